/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-facts.h. */
#include "window/import-facts.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

/* A preamble is never longer: reading looks no further for the names. */
#define MAX_HEADER_ROW 1000

struct _TideImportFacts
{
  AdwPreferencesGroup parent;

  /* template */
  AdwComboRow *table_row, *delimiter_row, *decimal_row, *encoding_row;
  AdwActionRow *header_row, *time_row, *alone_row;
  GtkSwitch *alone;
  GtkSpinButton *header_spin;
  AdwEntryRow *pattern_row, *every_row;

  TideUnderstanding *shown; /* of the table in sight */
  guint table;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (TideImportFacts, tide_import_facts, ADW_TYPE_PREFERENCES_GROUP)

enum
{
  SIGNAL_STATED,
  SIGNAL_TABLE,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* In the order of the template's items; text is what a rule says. */
static const struct
{
  char mark;
  const char *text;
} delimiters[] = { { ',', "," }, { ';', ";" }, { '\t', "tab" }, { ' ', "space" }, { '|', "|" } };

static const char *const decimals[] = { ".", "," };

/* What exports are written in, as iconv knows them; one that is none of these is put in front. */
static const char *const encodings[] = { "UTF-8",        "UTF-16LE",   "UTF-16BE",
                                         "WINDOWS-1252", "ISO-8859-1", "WINDOWS-1250",
                                         "WINDOWS-1251", "SHIFT_JIS",  "GB18030",
                                         "BIG5",         "EUC-KR",     NULL };

/* Telling */

static void
state (TideImportFacts *self, const char *key, const char *text)
{
  if (!self->updating)
    g_signal_emit (self, signals[SIGNAL_STATED], 0, key, text);
}

static const char *
get_selected_string (AdwComboRow *row)
{
  GtkStringObject *item = adw_combo_row_get_selected_item (row);

  return item != NULL ? gtk_string_object_get_string (item) : NULL;
}

static void
table_cb (TideImportFacts *self)
{
  guint selected = adw_combo_row_get_selected (self->table_row);

  if (!self->updating && selected != GTK_INVALID_LIST_POSITION)
    g_signal_emit (self, signals[SIGNAL_TABLE], 0, selected);
}

/* A sheet or a member of an archive goes by its name, a table of a text by its number. */
static void
alone_cb (TideImportFacts *self)
{
  const char *member = tide_understanding_get_member (self->shown);
  const char *key = member != NULL ? "sheet" : "table";
  g_autofree char *number = g_strdup_printf ("%u", self->table + 1);

  if (gtk_switch_get_active (self->alone))
    state (self, key, member != NULL ? member : number);
  else
    state (self, key, NULL);
}

static void
delimiter_cb (TideImportFacts *self)
{
  guint selected = adw_combo_row_get_selected (self->delimiter_row);

  if (selected < G_N_ELEMENTS (delimiters))
    state (self, "delimiter", delimiters[selected].text);
}

static void
decimal_cb (TideImportFacts *self)
{
  guint selected = adw_combo_row_get_selected (self->decimal_row);

  if (selected < G_N_ELEMENTS (decimals))
    state (self, "decimal", decimals[selected]);
}

static void
encoding_cb (TideImportFacts *self)
{
  const char *encoding = get_selected_string (self->encoding_row);

  if (encoding != NULL)
    state (self, "encoding", encoding);
}

static void
header_cb (TideImportFacts *self)
{
  g_autofree char *text =
      g_strdup_printf ("%d", gtk_spin_button_get_value_as_int (self->header_spin));

  state (self, "header", text);
}

static void
state_entry (TideImportFacts *self, const char *key, AdwEntryRow *row)
{
  g_autofree char *text = g_strdup (gtk_editable_get_text (GTK_EDITABLE (row)));

  g_strstrip (text);
  state (self, key, *text != '\0' ? text : NULL);
}

static void
pattern_cb (TideImportFacts *self)
{
  state_entry (self, "time", self->pattern_row);
}

static void
every_cb (TideImportFacts *self)
{
  state_entry (self, "every", self->every_row);
}

/* Showing */

static char *
dup_table_name (TideUnderstanding *table)
{
  const char *member = tide_understanding_get_member (table);

  if (member != NULL)
    return g_strdup (member);
  return g_strdup_printf (_ ("From row %" PRIu64), tide_understanding_get_header_row (table));
}

/* A model that says the same stays: this may be called by the choice from it. */
static void
set_items (AdwComboRow *row, GtkStringList *items)
{
  GListModel *old = adw_combo_row_get_model (row);
  guint n = g_list_model_get_n_items (G_LIST_MODEL (items));
  gboolean same = old != NULL && g_list_model_get_n_items (old) == n;

  for (guint i = 0; same && i < n; i++)
    same = g_str_equal (gtk_string_list_get_string (GTK_STRING_LIST (old), i),
                        gtk_string_list_get_string (items, i));
  if (!same)
    adw_combo_row_set_model (row, G_LIST_MODEL (items));
}

static void
show_tables (TideImportFacts *self, GPtrArray *tables, guint table)
{
  g_autoptr (GtkStringList) names = gtk_string_list_new (NULL);

  for (guint i = 0; i < tables->len; i++)
    gtk_string_list_take (names, dup_table_name (tables->pdata[i]));
  set_items (self->table_row, names);
  adw_combo_row_set_selected (self->table_row, table);
  gtk_widget_set_visible (GTK_WIDGET (self->table_row), tables->len > 1);
}

static void
show_alone (TideImportFacts *self, GPtrArray *tables, const TideReadingRule *rule)
{
  g_auto (GStrv) sheet = tide_reading_rule_get (rule, "sheet");
  g_auto (GStrv) table = tide_reading_rule_get (rule, "table");
  gboolean stated = sheet[0] != NULL || table[0] != NULL;

  gtk_switch_set_active (self->alone, stated);
  gtk_widget_set_visible (GTK_WIDGET (self->alone_row), stated || tables->len > 1);
}

static void
show_marks (TideImportFacts *self, TideUnderstanding *table)
{
  char delimiter = tide_understanding_get_delimiter (table);
  char mark = tide_understanding_get_decimal_mark (table);
  guint found = GTK_INVALID_LIST_POSITION;

  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    if (delimiters[i].mark == delimiter)
      found = i;
  adw_combo_row_set_selected (self->delimiter_row, found);
  adw_combo_row_set_selected (self->decimal_row, mark == ',' ? 1 : 0);
}

static void
show_encoding (TideImportFacts *self, const char *encoding)
{
  g_autoptr (GtkStringList) list = gtk_string_list_new (NULL);
  guint selected = 0;

  if (encoding != NULL && !g_strv_contains (encodings, encoding))
    gtk_string_list_append (list, encoding);
  for (guint i = 0; encodings[i] != NULL; i++)
    {
      if (g_strcmp0 (encodings[i], encoding) == 0)
        selected = i;
      gtk_string_list_append (list, encodings[i]);
    }
  set_items (self->encoding_row, list);
  adw_combo_row_set_selected (self->encoding_row, selected);
}

/* While it is being typed in, the person's text stays. */
static void
show_entry (AdwEntryRow *row, const TideReadingRule *rule, const char *key)
{
  g_auto (GStrv) texts = tide_reading_rule_get (rule, key);
  const char *text = texts[0] != NULL ? texts[0] : "";

  if (!(gtk_widget_get_state_flags (GTK_WIDGET (row)) & GTK_STATE_FLAG_FOCUS_WITHIN)
      && !g_str_equal (gtk_editable_get_text (GTK_EDITABLE (row)), text))
    gtk_editable_set_text (GTK_EDITABLE (row), text);
}

/* As long as its reading is open, none is told. */
static gboolean
asks_for_time (TideUnderstanding *table)
{
  GPtrArray *questions = tide_understanding_get_questions (table);

  for (guint q = 0; q < questions->len; q++)
    {
      const TideQuestion *question = questions->pdata[q];
      const TideAnswer *answer = question->answers->pdata[0];

      if (question->is_open && g_str_equal (answer->key, "time"))
        return TRUE;
    }
  return FALSE;
}

static void
show_time (TideImportFacts *self, TideGlance *look, TideUnderstanding *table)
{
  g_autofree char *text = tide_glance_is_probe (look) || asks_for_time (table)
                              ? g_strdup (_ ("not known yet"))
                              : tide_understanding_dup_time_text (table);
  g_autofree char *escaped = g_markup_escape_text (text != NULL ? text : "", -1);

  adw_action_row_set_subtitle (self->time_row, escaped);
}

/* Class */

static void
bind_template (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/import-facts.ui");
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, table_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, delimiter_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, decimal_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, encoding_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, header_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, header_spin);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, time_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, alone_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, alone);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, pattern_row);
  gtk_widget_class_bind_template_child (widget_class, TideImportFacts, every_row);
  gtk_widget_class_bind_template_callback (widget_class, table_cb);
  gtk_widget_class_bind_template_callback (widget_class, alone_cb);
  gtk_widget_class_bind_template_callback (widget_class, delimiter_cb);
  gtk_widget_class_bind_template_callback (widget_class, decimal_cb);
  gtk_widget_class_bind_template_callback (widget_class, encoding_cb);
  gtk_widget_class_bind_template_callback (widget_class, header_cb);
  gtk_widget_class_bind_template_callback (widget_class, pattern_cb);
  gtk_widget_class_bind_template_callback (widget_class, every_cb);
}

static void
tide_import_facts_finalize (GObject *object)
{
  g_clear_pointer (&TIDE_IMPORT_FACTS (object)->shown, tide_understanding_unref);
  G_OBJECT_CLASS (tide_import_facts_parent_class)->finalize (object);
}

static void
tide_import_facts_class_init (TideImportFactsClass *klass)
{
  GType type = G_TYPE_FROM_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = tide_import_facts_finalize;

  signals[SIGNAL_STATED] = g_signal_new ("stated", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                         G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_STRING);
  signals[SIGNAL_TABLE] = g_signal_new ("table", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                        G_TYPE_NONE, 1, G_TYPE_UINT);
  bind_template (GTK_WIDGET_CLASS (klass));
}

static void
tide_import_facts_init (TideImportFacts *self)
{
  self->updating = TRUE;
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_spin_button_set_range (self->header_spin, 0, MAX_HEADER_ROW);
  gtk_spin_button_set_increments (self->header_spin, 1, 10);
  self->updating = FALSE;
}

/* Public */

void
tide_import_facts_update (TideImportFacts *self,
                          TideGlance *look,
                          guint table,
                          const TideReadingRule *rule)
{
  GPtrArray *tables = tide_glance_get_tables (look);
  TideUnderstanding *shown = tables->pdata[table];

  tide_understanding_ref (shown);
  g_clear_pointer (&self->shown, tide_understanding_unref);
  self->shown = shown;
  self->table = table;
  self->updating = TRUE;
  show_tables (self, tables, table);
  show_alone (self, tables, rule);
  show_marks (self, shown);
  show_encoding (self, tide_understanding_get_encoding (shown));
  gtk_spin_button_set_value (self->header_spin, (double)tide_understanding_get_header_row (shown));
  show_time (self, look, shown);
  show_entry (self->pattern_row, rule, "time");
  show_entry (self->every_row, rule, "every");
  self->updating = FALSE;
}
