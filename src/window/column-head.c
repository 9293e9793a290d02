/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See column-head.h. Meaning and unit are radio actions of the head, so that the menus mark what
 * is chosen and work by keyboard like any menu. */
#include "window/column-head.h"

#include <glib/gi18n-lib.h>

/* "cc2/2" */
#define WORD_BYTES 16

struct _TideColumnHead
{
  GtkBox parent;

  guint column;
  GtkMenuButton *meaning_button, *unit_button;
  GtkLabel *meaning_label, *unit_label;
  GSimpleAction *meaning, *unit; /* of the group "column" */
  TideColumnMeaning shown;       /* whose units the menu has */
};

G_DEFINE_FINAL_TYPE (TideColumnHead, tide_column_head, GTK_TYPE_BOX)

static guint stated_signal;

/* Words: a meaning, and behind a slash the lane where it is not the first */

static void
print_word (char word[WORD_BYTES], TideColumnMeaning meaning, guint lane)
{
  if (lane > 1)
    g_snprintf (word, WORD_BYTES, "%s/%u", tide_meaning_get_word (meaning), lane);
  else
    g_strlcpy (word, tide_meaning_get_word (meaning), WORD_BYTES);
}

static TideColumnState
parse_word (const char *word)
{
  const char *slash = strchr (word, '/');
  g_autofree char *meaning =
      slash != NULL ? g_strndup (word, (gsize)(slash - word)) : g_strdup (word);
  TideColumnState state = { TIDE_MEANING_UNREAD, 1, NULL, TRUE, FALSE };

  for (TideColumnMeaning i = 0; i < TIDE_N_MEANINGS; i++)
    if (g_str_equal (meaning, tide_meaning_get_word (i)))
      state.meaning = i;
  if (slash != NULL)
    state.lane = (guint)g_ascii_strtoull (slash + 1, NULL, 10);
  return state;
}

/* Menus */

static void
append_choice (GMenu *menu, TideColumnMeaning meaning, guint lane)
{
  g_autoptr (GMenuItem) item = g_menu_item_new (tide_meaning_get_name (meaning), NULL);
  char word[WORD_BYTES];

  print_word (word, meaning, lane);
  g_menu_item_set_action_and_target (item, "column.meaning", "s", word);
  g_menu_append_item (menu, item);
}

static void
append_choices (GMenu *menu, TideColumnMeaning first, TideColumnMeaning last, guint lane)
{
  g_autoptr (GMenu) section = g_menu_new ();

  for (TideColumnMeaning i = first; i <= last; i++)
    append_choice (section, i, lane);
  g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
}

/* The same for every column: made once. */
static GMenuModel *
get_meanings_menu (void)
{
  static GMenu *menu;

  if (menu == NULL)
    {
      g_autoptr (GMenu) second = g_menu_new (), section = g_menu_new ();

      menu = g_menu_new ();
      append_choices (menu, TIDE_MEANING_UNREAD, TIDE_MEANING_UNREAD, 1);
      append_choices (menu, TIDE_MEANING_TIME, TIDE_MEANING_POWER, 1);
      append_choices (menu, TIDE_MEANING_ENERGY, TIDE_MEANING_TEMPERATURE, 1);
      append_choices (menu, TIDE_MEANING_DATA_PLUS, TIDE_MEANING_CC2, 1);
      append_choices (second, TIDE_MEANING_VOLTAGE, TIDE_MEANING_CHARGE, 2);
      g_menu_append_submenu (section, _ ("Of a second run"), G_MENU_MODEL (second));
      g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
    }
  return G_MENU_MODEL (menu);
}

static GMenuModel *
make_units_menu (TideColumnMeaning meaning)
{
  const char *const *units = tide_meaning_get_units (meaning);
  GMenu *menu = g_menu_new ();

  for (guint i = 0; units[i] != NULL; i++)
    {
      g_autoptr (GMenuItem) item = g_menu_item_new (units[i], NULL);

      g_menu_item_set_action_and_target (item, "column.unit", "s", units[i]);
      g_menu_append_item (menu, item);
    }
  return G_MENU_MODEL (menu);
}

/* Callbacks */

static void
meaning_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  TideColumnHead *self = user_data;
  TideColumnState state = parse_word (g_variant_get_string (value, NULL));

  g_signal_emit (self, stated_signal, 0, self->column, &state);
}

static void
unit_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  TideColumnHead *self = user_data;
  g_autoptr (GVariant) meaning = g_action_get_state (G_ACTION (self->meaning));
  g_auto (TideColumnState) state = parse_word (g_variant_get_string (meaning, NULL));

  state.unit = g_variant_dup_string (value, NULL);
  g_signal_emit (self, stated_signal, 0, self->column, &state);
}

static const GActionEntry entries[] = {
  { "meaning", NULL, "s", "'-'", meaning_cb },
  { "unit", NULL, "s", "''", unit_cb },
};

/* Making */

static void
tide_column_head_class_init (TideColumnHeadClass *klass)
{
  stated_signal = g_signal_new ("stated", TIDE_TYPE_COLUMN_HEAD, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                NULL, G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_POINTER);
}

static GtkMenuButton *
add_button (TideColumnHead *self, GtkLabel **label)
{
  GtkWidget *button = gtk_menu_button_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  GtkWidget *arrow = gtk_image_new_from_icon_name ("pan-down-symbolic");

  *label = GTK_LABEL (gtk_label_new (""));
  gtk_label_set_ellipsize (*label, PANGO_ELLIPSIZE_END);
  gtk_label_set_xalign (*label, 0);
  gtk_widget_set_hexpand (GTK_WIDGET (*label), TRUE);
  gtk_box_append (GTK_BOX (box), GTK_WIDGET (*label));
  gtk_box_append (GTK_BOX (box), arrow);
  gtk_menu_button_set_child (GTK_MENU_BUTTON (button), box);
  /* GTK centers what it holds */
  gtk_widget_set_halign (gtk_widget_get_parent (box), GTK_ALIGN_FILL);
  gtk_widget_add_css_class (button, "flat");
  gtk_box_append (GTK_BOX (self), button);
  return GTK_MENU_BUTTON (button);
}

static void
tide_column_head_init (TideColumnHead *self)
{
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_widget_add_css_class (GTK_WIDGET (self), "column-head");
  g_action_map_add_action_entries (G_ACTION_MAP (group), entries, G_N_ELEMENTS (entries), self);
  gtk_widget_insert_action_group (GTK_WIDGET (self), "column", G_ACTION_GROUP (group));
  self->meaning = G_SIMPLE_ACTION (g_action_map_lookup_action (G_ACTION_MAP (group), "meaning"));
  self->unit = G_SIMPLE_ACTION (g_action_map_lookup_action (G_ACTION_MAP (group), "unit"));
  self->shown = TIDE_MEANING_UNREAD;
}

static void
describe (gpointer button, const char *label, const char *description)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
}

static void
show_unit (TideColumnHead *self, const TideColumnState *state)
{
  const char *const *units = tide_meaning_get_units (state->meaning);
  /* a unit that nobody stated is shown as a question */
  g_autofree char *text =
      g_strconcat (state->unit != NULL ? state->unit : "–", state->assumed ? "?" : NULL, NULL);

  if (self->shown != state->meaning)
    {
      g_autoptr (GMenuModel) menu = make_units_menu (state->meaning);

      gtk_menu_button_set_menu_model (self->unit_button, menu);
      self->shown = state->meaning;
    }
  gtk_label_set_label (self->unit_label, text);
  /* keeps its room, so that heads are of one height */
  gtk_widget_set_opacity (GTK_WIDGET (self->unit_button), units[0] != NULL ? 1 : 0);
  gtk_widget_set_sensitive (GTK_WIDGET (self->unit_button), units[0] != NULL);
  g_simple_action_set_state (self->unit,
                             g_variant_new_string (state->unit != NULL ? state->unit : ""));
}

/* Public */

GtkWidget *
tide_column_head_new (guint column, const char *name)
{
  TideColumnHead *self = g_object_new (TIDE_TYPE_COLUMN_HEAD, NULL);
  g_autofree char *number = g_strdup_printf (_ ("Column %u"), column + 1);
  GtkWidget *label = gtk_label_new (*name != '\0' ? name : number);

  self->column = column;
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_single_line_mode (GTK_LABEL (label), TRUE);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  gtk_widget_set_tooltip_text (label, *name != '\0' ? name : NULL);
  gtk_widget_add_css_class (label, *name != '\0' ? "caption-heading" : "caption");
  gtk_box_append (GTK_BOX (self), label);
  self->meaning_button = add_button (self, &self->meaning_label);
  self->unit_button = add_button (self, &self->unit_label);
  gtk_widget_add_css_class (GTK_WIDGET (self->unit_button), "unit");
  gtk_menu_button_set_menu_model (self->meaning_button, get_meanings_menu ());
  return GTK_WIDGET (self);
}

void
tide_column_head_update (TideColumnHead *self, const TideColumnState *state)
{
  const char *name = tide_meaning_get_name (state->meaning);
  g_autofree char *text = NULL, *meaning = NULL, *unit = NULL;
  char word[WORD_BYTES];

  /* Translators: a quantity and which of two runs that stand side by side in a file */
  text = state->lane > 1 ? g_strdup_printf (_ ("%s, run %u"), name, state->lane) : g_strdup (name);
  meaning = g_strdup_printf (_ ("Meaning of column %u"), self->column + 1);
  unit = g_strdup_printf (_ ("Unit of column %u"), self->column + 1);
  print_word (word, state->meaning, state->lane);
  gtk_label_set_label (self->meaning_label, text);
  g_simple_action_set_state (self->meaning, g_variant_new_string (word));
  show_unit (self, state);
  describe (self->meaning_button, meaning, text);
  describe (self->unit_button, unit, state->unit != NULL ? state->unit : "");
  if (state->meaning == TIDE_MEANING_UNREAD)
    gtk_widget_add_css_class (GTK_WIDGET (self), "unread");
  else
    gtk_widget_remove_css_class (GTK_WIDGET (self), "unread");
}

void
tide_column_head_focus (TideColumnHead *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self->meaning_button));
}
