/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See complaint-list.h. */
#include "window/complaint-list.h"

#include <glib/gi18n-lib.h>

#include "recording/complaint.h"

/* Nobody reads further; how many more there are is said. */
#define MAX_SHOWN 200

struct _TideComplaintList
{
  GtkBox parent;

  GtkLabel *heading;
  GtkListBox *list;
};

G_DEFINE_FINAL_TYPE (TideComplaintList, tide_complaint_list, GTK_TYPE_BOX)

static guint place_signal;

static void
activated_cb (GtkListBox *list, GtkListBoxRow *row, TideComplaintList *self)
{
  guint64 *place = g_object_get_data (G_OBJECT (row), "row");

  if (place != NULL)
    g_signal_emit (self, place_signal, 0, *place);
}

static void
append_row (TideComplaintList *self, const char *text, guint64 place)
{
  GtkWidget *label = gtk_label_new (text), *row = gtk_list_box_row_new ();

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  gtk_widget_add_css_class (label, "complaint");
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), label);
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), place > 0);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
  if (place > 0)
    g_object_set_data_full (G_OBJECT (row), "row", g_memdup2 (&place, sizeof place), g_free);
  gtk_list_box_append (self->list, row);
}

static void
collect (GPtrArray *complaints, GPtrArray *texts, GHashTable *seen, GArray *places)
{
  for (guint i = 0; complaints != NULL && i < complaints->len; i++)
    {
      const TideComplaint *complaint = complaints->pdata[i];
      char *text = tide_complaint_to_text (complaint);

      if (g_hash_table_contains (seen, text))
        {
          g_free (text);
          continue;
        }
      g_hash_table_add (seen, text);
      g_ptr_array_add (texts, text);
      g_array_append_val (places, complaint->row);
    }
}

static void
tide_complaint_list_class_init (TideComplaintListClass *klass)
{
  place_signal = g_signal_new ("place", TIDE_TYPE_COMPLAINT_LIST, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                               NULL, G_TYPE_NONE, 1, G_TYPE_UINT64);
}

static void
tide_complaint_list_init (TideComplaintList *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
  self->heading = GTK_LABEL (gtk_label_new (_ ("Worth Knowing")));
  gtk_label_set_xalign (self->heading, 0);
  gtk_widget_add_css_class (GTK_WIDGET (self->heading), "heading");
  self->list = GTK_LIST_BOX (gtk_list_box_new ());
  gtk_list_box_set_selection_mode (self->list, GTK_SELECTION_NONE);
  gtk_widget_add_css_class (GTK_WIDGET (self->list), "boxed-list");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Worth knowing of the file"), -1);
  g_signal_connect (self->list, "row-activated", G_CALLBACK (activated_cb), self);
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->heading));
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->list));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

/* Public */

GtkWidget *
tide_complaint_list_new (void)
{
  return g_object_new (TIDE_TYPE_COMPLAINT_LIST, NULL);
}

void
tide_complaint_list_update (TideComplaintList *self, GPtrArray *complaints, GPtrArray *more)
{
  g_autoptr (GPtrArray) texts = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GHashTable) seen = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GArray) places = g_array_new (FALSE, FALSE, sizeof (guint64));
  GtkListBoxRow *row;

  while ((row = gtk_list_box_get_row_at_index (self->list, 0)) != NULL)
    gtk_list_box_remove (self->list, GTK_WIDGET (row));
  collect (complaints, texts, seen, places);
  collect (more, texts, seen, places);
  for (guint i = 0; i < MIN (texts->len, MAX_SHOWN); i++)
    append_row (self, texts->pdata[i], g_array_index (places, guint64, i));
  if (texts->len > MAX_SHOWN)
    {
      guint n = texts->len - MAX_SHOWN;
      g_autofree char *rest = g_strdup_printf (ngettext ("and %u more", "and %u more", n), n);

      append_row (self, rest, 0);
    }
  gtk_widget_set_visible (GTK_WIDGET (self), texts->len > 0);
}
