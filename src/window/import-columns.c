/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-columns.h. GTK 4.8 has no room for menus in the head of a column view and none of its
 * heads takes the keyboard: the heads stand in a box of their own above it and share its widths. */
#include "window/import-columns.h"

#include <glib/gi18n-lib.h>

#include "window/column-head.h"

#define NUMBER_PX   64
#define NARROW_PX   118
#define WIDE_PX     210
#define CHARS_SHOWN 80

struct _TideImportColumns
{
  GtkBox parent;

  /* owned by the tree */
  GtkBox *heads;
  GtkColumnView *view;
  GtkLabel *rest; /* says that there are more columns */

  /* owned */
  GtkStringList *rows; /* their numbers */
  GtkSingleSelection *selection;
  GArray *columns;          /* guint, those shown */
  GPtrArray *items;         /* GtkListItem that are bound, borrowed */
  TideUnderstanding *table; /* NULL: none yet */
  gboolean unread[TIDE_SHOWN_COLUMNS];
};

G_DEFINE_FINAL_TYPE (TideImportColumns, tide_import_columns, GTK_TYPE_BOX)

static guint stated_signal;

/* Which columns */

static GArray *
choose_columns (TideUnderstanding *table, const TideReadingRule *rule, guint supposed)
{
  GArray *chosen = g_array_new (FALSE, FALSE, sizeof (guint));
  guint n = tide_understanding_get_n_columns (table), n_read = 0, spare;

  for (guint c = 0; c < n; c++)
    {
      g_auto (TideColumnState) state = tide_column_state_get (rule, table, c, supposed);

      n_read += state.meaning != TIDE_MEANING_UNREAD;
    }
  spare = TIDE_SHOWN_COLUMNS - MIN (n_read, TIDE_SHOWN_COLUMNS);
  for (guint c = 0; c < n && chosen->len < TIDE_SHOWN_COLUMNS; c++)
    {
      g_auto (TideColumnState) state = tide_column_state_get (rule, table, c, supposed);

      if (state.meaning == TIDE_MEANING_UNREAD && spare == 0)
        continue;
      spare -= state.meaning == TIDE_MEANING_UNREAD;
      g_array_append_val (chosen, c);
    }
  return chosen;
}

static gboolean
has_same_rows (TideUnderstanding *a, TideUnderstanding *b)
{
  guint n = tide_understanding_get_n_samples (a), columns = tide_understanding_get_n_columns (a);

  if (n != tide_understanding_get_n_samples (b) || columns != tide_understanding_get_n_columns (b))
    return FALSE;
  for (guint c = 0; c < columns; c++)
    {
      if (!g_str_equal (tide_understanding_get_column (a, c).name,
                        tide_understanding_get_column (b, c).name))
        return FALSE;
      for (guint i = 0; i < n; i++)
        if (tide_understanding_get_sample_row (a, i) != tide_understanding_get_sample_row (b, i)
            || !g_str_equal (tide_understanding_get_sample (a, i, c),
                             tide_understanding_get_sample (b, i, c)))
          return FALSE;
    }
  return TRUE;
}

/* Room for the samples, within limits, and for the menu above them. */
static int
choose_width (TideUnderstanding *table, guint column)
{
  glong longest = 0;

  for (guint i = 0; i < tide_understanding_get_n_samples (table); i++)
    longest = MAX (longest, g_utf8_strlen (tide_understanding_get_sample (table, i, column), -1));
  return (int)CLAMP (24 + 8 * longest, NARROW_PX, WIDE_PX);
}

/* Cells: what the table has there, as one line */

static void
mark_cell (TideImportColumns *self, GtkListItem *item, guint place)
{
  GtkWidget *label = gtk_list_item_get_child (item);

  if (self->unread[place])
    gtk_widget_add_css_class (label, "dim-label");
  else
    gtk_widget_remove_css_class (label, "dim-label");
}

static guint
get_place (GtkListItem *item)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (item), "place"));
}

static void
setup_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
  GtkWidget *label = gtk_label_new ("");

  gtk_label_set_single_line_mode (GTK_LABEL (label), TRUE);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  gtk_widget_add_css_class (label, "numeric");
  gtk_list_item_set_child (item, label);
}

static void
bind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, TideImportColumns *self)
{
  guint place = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (factory), "place"));
  guint row = gtk_list_item_get_position (item);
  const char *sample =
      tide_understanding_get_sample (self->table, row, g_array_index (self->columns, guint, place));
  g_autofree char *text =
      g_utf8_substring (sample, 0, MIN (g_utf8_strlen (sample, -1), CHARS_SHOWN));

  gtk_label_set_label (GTK_LABEL (gtk_list_item_get_child (item)),
                       g_strdelimit (text, "\r\n\t", ' '));
  g_object_set_data (G_OBJECT (item), "place", GUINT_TO_POINTER (place));
  g_ptr_array_add (self->items, item);
  mark_cell (self, item, place);
}

static void
unbind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, TideImportColumns *self)
{
  g_ptr_array_remove_fast (self->items, item);
}

static void
bind_number_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
  GtkStringObject *number = gtk_list_item_get_item (item);
  GtkWidget *label = gtk_list_item_get_child (item);

  gtk_label_set_label (GTK_LABEL (label), gtk_string_object_get_string (number));
  gtk_label_set_xalign (GTK_LABEL (label), 1);
  gtk_widget_add_css_class (label, "dim-label");
}

static void
append_column (TideImportColumns *self, GtkListItemFactory *factory, int width)
{
  g_autoptr (GtkColumnViewColumn) column = gtk_column_view_column_new (NULL, factory);

  gtk_column_view_column_set_fixed_width (column, width);
  gtk_column_view_append_column (self->view, column);
}

/* Building */

static void
clear (TideImportColumns *self)
{
  GListModel *columns = gtk_column_view_get_columns (self->view);
  GtkWidget *child;

  gtk_column_view_set_model (self->view, NULL);
  for (guint i = g_list_model_get_n_items (columns); i > 0; i--)
    {
      g_autoptr (GtkColumnViewColumn) column = g_list_model_get_item (columns, i - 1);

      gtk_column_view_remove_column (self->view, column);
    }
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self->heads))) != NULL)
    gtk_box_remove (self->heads, child);
  g_ptr_array_set_size (self->items, 0);
}

static void
stated_cb (TideColumnHead *head, guint column, TideColumnState *state, TideImportColumns *self)
{
  g_signal_emit (self, stated_signal, 0, column, state);
}

static void
add_numbers (TideImportColumns *self)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
  GtkWidget *corner = gtk_label_new (_ ("Row"));

  g_signal_connect (factory, "setup", G_CALLBACK (setup_cb), NULL);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_number_cb), NULL);
  append_column (self, factory, NUMBER_PX);
  gtk_widget_set_size_request (corner, NUMBER_PX, -1);
  gtk_label_set_xalign (GTK_LABEL (corner), 1);
  gtk_widget_set_valign (corner, GTK_ALIGN_START);
  gtk_widget_add_css_class (corner, "column-head");
  gtk_widget_add_css_class (corner, "caption");
  gtk_widget_add_css_class (corner, "dim-label");
  gtk_box_append (self->heads, corner);
}

static void
add_column (TideImportColumns *self, guint place)
{
  guint column = g_array_index (self->columns, guint, place);
  int width = choose_width (self->table, column);
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
  GtkWidget *head =
      tide_column_head_new (column, tide_understanding_get_column (self->table, column).name);

  g_object_set_data (G_OBJECT (factory), "place", GUINT_TO_POINTER (place));
  g_signal_connect (factory, "setup", G_CALLBACK (setup_cb), NULL);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_cb), self);
  g_signal_connect (factory, "unbind", G_CALLBACK (unbind_cb), self);
  append_column (self, factory, width);
  gtk_widget_set_size_request (head, width, -1);
  g_signal_connect (head, "stated", G_CALLBACK (stated_cb), self);
  gtk_box_append (self->heads, head);
}

static void
build (TideImportColumns *self)
{
  guint n = tide_understanding_get_n_columns (self->table);
  g_autofree char *rest =
      g_strdup_printf (ngettext ("%u of %u column is shown", "%u of %u columns are shown", n),
                       self->columns->len, n);

  gtk_string_list_splice (self->rows, 0, g_list_model_get_n_items (G_LIST_MODEL (self->rows)),
                          NULL);
  for (guint i = 0; i < tide_understanding_get_n_samples (self->table); i++)
    {
      guint64 row = tide_understanding_get_sample_row (self->table, i);

      gtk_string_list_take (self->rows, g_strdup_printf ("%" G_GUINT64_FORMAT, row));
    }
  add_numbers (self);
  for (guint place = 0; place < self->columns->len; place++)
    add_column (self, place);
  gtk_label_set_label (self->rest, rest);
  gtk_widget_set_visible (GTK_WIDGET (self->rest), self->columns->len < n);
  gtk_column_view_set_model (self->view, GTK_SELECTION_MODEL (self->selection));
}

static void
update_heads (TideImportColumns *self, const TideReadingRule *rule, guint supposed)
{
  /* behind the corner */
  GtkWidget *head =
      gtk_widget_get_next_sibling (gtk_widget_get_first_child (GTK_WIDGET (self->heads)));

  for (guint place = 0; place < self->columns->len; place++)
    {
      g_auto (TideColumnState) state =
          tide_column_state_get (rule, self->table, g_array_index (self->columns, guint, place),
                                 supposed);

      self->unread[place] = state.meaning == TIDE_MEANING_UNREAD;
      tide_column_head_update (TIDE_COLUMN_HEAD (head), &state);
      head = gtk_widget_get_next_sibling (head);
    }
  for (guint i = 0; i < self->items->len; i++)
    mark_cell (self, self->items->pdata[i], get_place (self->items->pdata[i]));
}

/* Class */

static void
tide_import_columns_dispose (GObject *object)
{
  TideImportColumns *self = TIDE_IMPORT_COLUMNS (object);

  /* the view tells its cells goodbye while it goes: they still need the table */
  if (self->view != NULL)
    clear (self);
  self->view = NULL;
  g_clear_object (&self->selection);
  g_clear_pointer (&self->table, tide_understanding_unref);
  g_clear_pointer (&self->columns, g_array_unref);
  g_clear_pointer (&self->items, g_ptr_array_unref);
  G_OBJECT_CLASS (tide_import_columns_parent_class)->dispose (object);
}

static void
tide_import_columns_class_init (TideImportColumnsClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_import_columns_dispose;
  stated_signal = g_signal_new ("stated", TIDE_TYPE_IMPORT_COLUMNS, G_SIGNAL_RUN_LAST, 0, NULL,
                                NULL, NULL, G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_POINTER);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/import-columns.ui");
  gtk_widget_class_bind_template_child (widget_class, TideImportColumns, heads);
  gtk_widget_class_bind_template_child (widget_class, TideImportColumns, view);
  gtk_widget_class_bind_template_child (widget_class, TideImportColumns, rest);
}

static void
tide_import_columns_init (TideImportColumns *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->items = g_ptr_array_new ();
  self->rows = gtk_string_list_new (NULL);
  self->selection = gtk_single_selection_new (G_LIST_MODEL (self->rows));
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  gtk_single_selection_set_can_unselect (self->selection, TRUE);
  gtk_single_selection_set_selected (self->selection, GTK_INVALID_LIST_POSITION);
  /* its own heads say nothing */
  gtk_widget_set_visible (gtk_widget_get_first_child (GTK_WIDGET (self->view)), FALSE);
}

/* Public */

void
tide_import_columns_update (TideImportColumns *self,
                            TideUnderstanding *table,
                            const TideReadingRule *rule,
                            guint supposed)
{
  g_autoptr (GArray) columns = choose_columns (table, rule, supposed);
  gboolean same =
      self->table != NULL && has_same_rows (self->table, table)
      && columns->len == self->columns->len
      && memcmp (columns->data, self->columns->data, columns->len * sizeof (guint)) == 0;

  if (!same)
    clear (self);
  tide_understanding_ref (table);
  g_clear_pointer (&self->table, tide_understanding_unref);
  self->table = table;
  if (!same)
    {
      g_clear_pointer (&self->columns, g_array_unref);
      self->columns = g_steal_pointer (&columns);
      build (self);
    }
  update_heads (self, rule, supposed);
}

void
tide_import_columns_focus (TideImportColumns *self)
{
  GtkWidget *corner = gtk_widget_get_first_child (GTK_WIDGET (self->heads));

  if (self->table != NULL && self->columns->len > 0)
    tide_column_head_focus (TIDE_COLUMN_HEAD (gtk_widget_get_next_sibling (corner)));
}

gboolean
tide_import_columns_show_row (TideImportColumns *self, guint64 row)
{
  for (guint i = 0; self->table != NULL && i < tide_understanding_get_n_samples (self->table); i++)
    if (tide_understanding_get_sample_row (self->table, i) == row)
      {
        GtkWidget *list = gtk_widget_get_last_child (GTK_WIDGET (self->view));

        gtk_single_selection_set_selected (self->selection, i);
        gtk_widget_activate_action (list, "list.scroll-to-item", "u", i);
        return TRUE;
      }
  return FALSE;
}
