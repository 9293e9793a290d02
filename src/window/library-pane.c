/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See library-pane.h. The library is ordered by device; a row shows its device's name when the
 * row above it is of another one, so that the list stays one flat model. */
#include "window/library-pane.h"

#include <glib/gi18n-lib.h>

#include "window/library-row.h"

struct _TideLibraryPane
{
  GtkWidget parent;

  /* template */
  GtkSearchEntry *search;
  GtkStack *stack;
  GtkListView *list;
  GtkPopoverMenu *menu;

  /* owned */
  TideLibrary *library;
  TideChoice *choice;
  GtkCustomFilter *filter;
  GtkFilterListModel *shown;
  GtkMultiSelection *selection;
  GPtrArray *items; /* GtkListItem that show a run at present, borrowed */
  GStrv words;      /* case-folded words of the search; all must be found */
};

G_DEFINE_FINAL_TYPE (TideLibraryPane, tide_library_pane, GTK_TYPE_WIDGET)

enum
{
  SIGNAL_SELECTION_CHANGED,
  SIGNAL_FAILED,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Helpers */

static TideEntry *
get_shown (TideLibraryPane *self, guint position)
{
  g_autoptr (TideEntry) entry = g_list_model_get_item (G_LIST_MODEL (self->shown), position);

  return entry; /* the library holds it */
}

static const char *
get_heading (TideLibraryPane *self, guint position)
{
  const char *device = tide_entry_get_device (get_shown (self, position));

  if (position > 0
      && g_strcmp0 (device, tide_entry_get_device (get_shown (self, position - 1))) == 0)
    return NULL;
  return device == NULL || *device == '\0' ? _ ("No device stated") : device;
}

static void
update_item (TideLibraryPane *self, GtkListItem *item)
{
  TideLibraryRow *row = TIDE_LIBRARY_ROW (gtk_list_item_get_child (item));
  TideEntry *entry = gtk_list_item_get_item (item);
  guint position = gtk_list_item_get_position (item);

  if (entry == NULL || get_shown (self, position) != entry)
    return;
  tide_library_row_set_heading (row, get_heading (self, position));
  tide_library_row_set_ticked (row,
                               self->choice != NULL
                                   && tide_choice_has (self->choice, tide_entry_get_id (entry)));
}

static void
update_items (TideLibraryPane *self)
{
  for (guint i = 0; i < self->items->len; i++)
    update_item (self, self->items->pdata[i]);
}

static void
update_stack (TideLibraryPane *self)
{
  guint n = g_list_model_get_n_items (G_LIST_MODEL (self->shown));
  gboolean nothing = n == 0 && self->words != NULL && self->words[0] != NULL;

  gtk_stack_set_visible_child_name (self->stack, nothing ? "nothing" : "list");
}

static void
report (TideLibraryPane *self, const GError *error)
{
  g_signal_emit (self, signals[SIGNAL_FAILED], 0, error->message);
}

/* Callbacks */

static gboolean
match_cb (gpointer item, gpointer user_data)
{
  TideLibraryPane *self = user_data;
  g_autofree char *text = NULL;

  if (self->words == NULL)
    return TRUE;
  g_object_get (item, "search-text", &text, NULL);
  for (guint i = 0; self->words[i] != NULL; i++)
    if (strstr (text != NULL ? text : "", self->words[i]) == NULL)
      return FALSE;
  return TRUE;
}

static void
search_changed_cb (GtkSearchEntry *search, TideLibraryPane *self)
{
  g_autofree char *folded = g_utf8_casefold (gtk_editable_get_text (GTK_EDITABLE (search)), -1);
  g_auto (GStrv) parts = g_strsplit_set (folded, " \t", -1);
  g_autoptr (GStrvBuilder) words = g_strv_builder_new ();

  for (guint i = 0; parts[i] != NULL; i++)
    if (*parts[i] != '\0')
      g_strv_builder_add (words, parts[i]);
  g_strfreev (self->words);
  self->words = g_strv_builder_end (words);
  gtk_filter_changed (GTK_FILTER (self->filter), GTK_FILTER_CHANGE_DIFFERENT);
  update_stack (self);
}

static void
stop_search_cb (GtkSearchEntry *search, TideLibraryPane *self)
{
  gtk_editable_set_text (GTK_EDITABLE (search), "");
  gtk_widget_grab_focus (GTK_WIDGET (self->list));
}

static void
setup_cb (GtkSignalListItemFactory *factory, GtkListItem *item, TideLibraryPane *self)
{
  gtk_list_item_set_child (item, tide_library_row_new ());
}

static void
bind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, TideLibraryPane *self)
{
  TideEntry *entry = gtk_list_item_get_item (item);
  GtkWidget *child = gtk_list_item_get_child (item);

  tide_library_row_set_entry (TIDE_LIBRARY_ROW (child), entry);
  g_ptr_array_add (self->items, item);
  update_item (self, item);
}

static void
unbind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, TideLibraryPane *self)
{
  GtkWidget *child = gtk_list_item_get_child (item);

  g_ptr_array_remove_fast (self->items, item);
  if (child != NULL)
    tide_library_row_set_entry (TIDE_LIBRARY_ROW (child), NULL);
}

static void
items_changed_cb (TideLibraryPane *self)
{
  update_items (self);
  update_stack (self);
}

static void
selection_changed_cb (TideLibraryPane *self)
{
  g_signal_emit (self, signals[SIGNAL_SELECTION_CHANGED], 0);
}

/* Enter or a double click on a row ticks it, or unticks it. */
static void
activate_cb (GtkListView *list, guint position, TideLibraryPane *self)
{
  gint64 id = tide_entry_get_id (get_shown (self, position));

  tide_choice_set (self->choice, id, !tide_choice_has (self->choice, id));
}

static void
popup_menu (TideLibraryPane *self, double x, double y)
{
  gtk_popover_set_pointing_to (GTK_POPOVER (self->menu), &(GdkRectangle){ (int)x, (int)y, 1, 1 });
  gtk_popover_popup (GTK_POPOVER (self->menu));
}

static guint
find_position_at (TideLibraryPane *self, double x, double y)
{
  GtkWidget *picked = gtk_widget_pick (GTK_WIDGET (self), x, y, GTK_PICK_DEFAULT);

  for (guint i = 0; picked != NULL && i < self->items->len; i++)
    {
      GtkWidget *row = gtk_list_item_get_child (self->items->pdata[i]);

      if (picked == gtk_widget_get_parent (row) || picked == row
          || gtk_widget_is_ancestor (picked, row))
        return gtk_list_item_get_position (self->items->pdata[i]);
    }
  return GTK_INVALID_LIST_POSITION;
}

static char *
describe_run (const TideRunInfo *info)
{
  g_autofree char *line = tide_conditions_to_line (info->conditions);
  g_autofree char *duration = tide_text_duration (info->duration_s);

  return g_strdup_printf ("%s\n%s%s%s", tide_conditions_get (info->conditions, TIDE_CONDITION_NAME),
                          line, *line != '\0' ? "\n" : "", duration);
}

/* What the row has no room for; not while the menu stands over it. */
static gboolean
query_tooltip_cb (GtkWidget *widget,
                  int x,
                  int y,
                  gboolean keyboard,
                  GtkTooltip *tooltip,
                  TideLibraryPane *self)
{
  guint position = find_position_at (self, x, y);
  g_autofree char *text = NULL;

  if (keyboard || position == GTK_INVALID_LIST_POSITION
      || gtk_widget_get_visible (GTK_WIDGET (self->menu)))
    return FALSE;
  text = describe_run (tide_entry_get_info (get_shown (self, position)));
  gtk_tooltip_set_text (tooltip, text);
  return TRUE;
}

static void
secondary_click_cb (GtkGestureClick *gesture,
                    int n_press,
                    double x,
                    double y,
                    TideLibraryPane *self)
{
  guint position = find_position_at (self, x, y);

  if (position == GTK_INVALID_LIST_POSITION)
    return;
  gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
  if (!gtk_selection_model_is_selected (GTK_SELECTION_MODEL (self->selection), position))
    gtk_selection_model_select_item (GTK_SELECTION_MODEL (self->selection), position, TRUE);
  popup_menu (self, x, y);
}

/* Actions */

static void
popup_at_selection (GtkWidget *widget, const char *name, GVariant *parameter)
{
  TideLibraryPane *self = TIDE_LIBRARY_PANE (widget);

  for (guint i = 0; i < self->items->len; i++)
    {
      GtkListItem *item = self->items->pdata[i];
      graphene_rect_t bounds;

      if (!gtk_list_item_get_selected (item)
          || !gtk_widget_compute_bounds (gtk_list_item_get_child (item), widget, &bounds))
        continue;
      popup_menu (self, bounds.origin.x + bounds.size.width / 2,
                  bounds.origin.y + bounds.size.height);
      return;
    }
}

static void
tick (GtkWidget *widget, const char *name, GVariant *parameter)
{
  TideLibraryPane *self = TIDE_LIBRARY_PANE (widget);
  gint64 id;
  gboolean in;

  g_variant_get (parameter, "(xb)", &id, &in);
  tide_choice_set (self->choice, id, in);
}

static void
set_slot (GtkWidget *widget, const char *name, GVariant *parameter)
{
  TideLibraryPane *self = TIDE_LIBRARY_PANE (widget);
  g_autoptr (GError) error = NULL;
  gint64 id;
  guint slot;

  g_variant_get (parameter, "(xu)", &id, &slot);
  if (!tide_library_set_slot (self->library, id, slot, &error))
    report (self, error);
  tide_choice_update (self->choice, id);
}

/* Overrides */

static void
tide_library_pane_dispose (GObject *object)
{
  TideLibraryPane *self = TIDE_LIBRARY_PANE (object);
  GtkWidget *child;

  tide_library_pane_set_choice (self, NULL);
  if (self->list != NULL)
    gtk_list_view_set_model (self->list, NULL);
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_widget_unparent (child);
  self->list = NULL;
  g_clear_object (&self->selection);
  g_clear_object (&self->shown);
  g_clear_object (&self->filter);
  g_clear_object (&self->library);
  G_OBJECT_CLASS (tide_library_pane_parent_class)->dispose (object);
}

static void
tide_library_pane_finalize (GObject *object)
{
  TideLibraryPane *self = TIDE_LIBRARY_PANE (object);

  g_ptr_array_unref (self->items);
  g_strfreev (self->words);
  G_OBJECT_CLASS (tide_library_pane_parent_class)->finalize (object);
}

static void
tide_library_pane_class_init (TideLibraryPaneClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = tide_library_pane_dispose;
  object_class->finalize = tide_library_pane_finalize;
  signals[SIGNAL_SELECTION_CHANGED] =
      g_signal_new ("selection-changed", TIDE_TYPE_LIBRARY_PANE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                    NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_FAILED] = g_signal_new ("failed", TIDE_TYPE_LIBRARY_PANE, G_SIGNAL_RUN_LAST, 0,
                                         NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_css_name (widget_class, "library");
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/library-pane.ui");
  gtk_widget_class_bind_template_child (widget_class, TideLibraryPane, search);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryPane, stack);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryPane, list);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryPane, menu);
  gtk_widget_class_bind_template_callback (widget_class, search_changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, stop_search_cb);
  gtk_widget_class_bind_template_callback (widget_class, setup_cb);
  gtk_widget_class_bind_template_callback (widget_class, bind_cb);
  gtk_widget_class_bind_template_callback (widget_class, unbind_cb);
  gtk_widget_class_bind_template_callback (widget_class, activate_cb);
  gtk_widget_class_bind_template_callback (widget_class, secondary_click_cb);
  gtk_widget_class_bind_template_callback (widget_class, query_tooltip_cb);

  gtk_widget_class_install_action (widget_class, "library.tick", "(xb)", tick);
  gtk_widget_class_install_action (widget_class, "library.slot", "(xu)", set_slot);
  gtk_widget_class_install_action (widget_class, "library.menu", NULL, popup_at_selection);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Menu, 0, "library.menu", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_F10, GDK_SHIFT_MASK, "library.menu",
                                       NULL);
}

static void
tide_library_pane_init (TideLibraryPane *self)
{
  self->items = g_ptr_array_new ();
  gtk_widget_init_template (GTK_WIDGET (self));
  self->filter = gtk_custom_filter_new (match_cb, self, NULL);
  self->shown = gtk_filter_list_model_new (NULL, g_object_ref (GTK_FILTER (self->filter)));
  self->selection = gtk_multi_selection_new (g_object_ref (G_LIST_MODEL (self->shown)));
  gtk_list_view_set_model (self->list, GTK_SELECTION_MODEL (self->selection));
  g_signal_connect_object (self->selection, "selection-changed", G_CALLBACK (selection_changed_cb),
                           self, G_CONNECT_SWAPPED);
  /* after the list, so that its items know their new places */
  g_signal_connect_object (self->selection, "items-changed", G_CALLBACK (items_changed_cb), self,
                           G_CONNECT_SWAPPED | G_CONNECT_AFTER);
}

/* Public */

void
tide_library_pane_set_library (TideLibraryPane *self, TideLibrary *library)
{
  g_set_object (&self->library, library);
  gtk_filter_list_model_set_model (self->shown, (GListModel *)library);
}

void
tide_library_pane_set_choice (TideLibraryPane *self, TideChoice *choice)
{
  if (self->choice != NULL)
    g_signal_handlers_disconnect_by_data (self->choice, self);
  g_set_object (&self->choice, choice);
  if (choice != NULL)
    g_signal_connect_swapped (choice, "changed", G_CALLBACK (update_items), self);
}

GArray *
tide_library_pane_dup_selected (TideLibraryPane *self)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (gint64));
  g_autoptr (GtkBitset) selected =
      gtk_selection_model_get_selection (GTK_SELECTION_MODEL (self->selection));

  for (guint64 i = 0; i < gtk_bitset_get_size (selected); i++)
    {
      gint64 id = tide_entry_get_id (get_shown (self, gtk_bitset_get_nth (selected, (guint)i)));

      g_array_append_val (ids, id);
    }
  return ids;
}

void
tide_library_pane_select (TideLibraryPane *self, gint64 id)
{
  for (guint i = 0; i < g_list_model_get_n_items (G_LIST_MODEL (self->shown)); i++)
    if (tide_entry_get_id (get_shown (self, i)) == id)
      gtk_selection_model_select_item (GTK_SELECTION_MODEL (self->selection), i, TRUE);
}

void
tide_library_pane_tick_shown (TideLibraryPane *self)
{
  for (guint i = 0; i < g_list_model_get_n_items (G_LIST_MODEL (self->shown)); i++)
    tide_choice_set (self->choice, tide_entry_get_id (get_shown (self, i)), TRUE);
}

guint
tide_library_pane_get_n_shown (TideLibraryPane *self)
{
  return g_list_model_get_n_items (G_LIST_MODEL (self->shown));
}

void
tide_library_pane_focus_search (TideLibraryPane *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self->search));
}
