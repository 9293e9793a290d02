/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See details-dialog.h. */
#include "window/details-dialog.h"

#include <glib/gi18n-lib.h>

#include "window/complaint-list.h"

struct _TideDetailsDialog
{
  AdwWindow parent;

  /* template */
  GtkBox *runs;
};

G_DEFINE_FINAL_TYPE (TideDetailsDialog, tide_details_dialog, ADW_TYPE_WINDOW)

static guint read_again_signal;

static void
again_cb (GtkButton *button, TideDetailsDialog *self)
{
  gint64 *id = g_object_get_data (G_OBJECT (button), "run-id");

  g_signal_emit (self, read_again_signal, 0, *id);
  gtk_window_close (GTK_WINDOW (self));
}

static GtkWidget *
make_again_button (TideDetailsDialog *self, const TideRunInfo *info)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (_ ("_Read Differently…"));
  /* Translators: %s is the name of a run */
  g_autofree char *label =
      g_strdup_printf (_ ("Read the file of %s differently"),
                       tide_conditions_get (info->conditions, TIDE_CONDITION_NAME));

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                  -1);
  g_object_set_data_full (G_OBJECT (button), "run-id", g_memdup2 (&info->id, sizeof info->id),
                          g_free);
  g_signal_connect (button, "clicked", G_CALLBACK (again_cb), self);
  return button;
}

static char *
describe_size (const TideRunInfo *info, guint64 skipped_rows)
{
  g_autofree char *length = tide_text_duration (info->duration_s);
  guint samples = (guint)MIN (info->n_samples, G_MAXUINT);
  guint skipped = (guint)MIN (skipped_rows, G_MAXUINT);
  g_autoptr (GString) text = g_string_new (NULL);

  g_string_append_printf (text, ngettext ("%u sample", "%u samples", samples), samples);
  g_string_append_printf (text, " · %s", length);
  if (skipped > 0)
    g_string_append_printf (text, ngettext (" · %u row skipped", " · %u rows skipped", skipped),
                            skipped);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

/* Every run has its heading, where it came from, and its complaints or a word that there are none.
 */
static void
add_run (TideDetailsDialog *self, TideStore *store, const TideRunInfo *info, gboolean can_read)
{
  GtkWidget *group = adw_preferences_group_new (), *row = adw_action_row_new ();
  GtkWidget *list = tide_complaint_list_new ();
  guint64 skipped_rows = 0;
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) complaints =
      tide_store_get_complaints (store, info->id, &skipped_rows, &error);
  g_autofree char *size = describe_size (info, skipped_rows), *title = NULL;

  title = g_markup_escape_text (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), -1);
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (group), title);
  adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (row), FALSE);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row),
                                 info->file != NULL ? info->file : _ ("From no file"));
  adw_action_row_set_title_lines (ADW_ACTION_ROW (row), 2);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), size);
  if (can_read)
    adw_action_row_add_suffix (ADW_ACTION_ROW (row), make_again_button (self, info));
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), row);
  if (error != NULL || complaints->len == 0)
    {
      GtkWidget *none = adw_action_row_new ();

      adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (none), FALSE);
      adw_preferences_row_set_title (ADW_PREFERENCES_ROW (none),
                                     error != NULL
                                         ? error->message
                                         : _ ("Every row was read, and nothing was guessed"));
      adw_preferences_group_add (ADW_PREFERENCES_GROUP (group), none);
    }
  gtk_box_append (self->runs, group);
  tide_complaint_list_update (TIDE_COMPLAINT_LIST (list), complaints, NULL);
  gtk_box_append (self->runs, list);
}

static void
tide_details_dialog_class_init (TideDetailsDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  read_again_signal = g_signal_new ("read-again", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0,
                                    NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_INT64);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/details-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, TideDetailsDialog, runs);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
tide_details_dialog_init (TideDetailsDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/* Public */

GtkWidget *
tide_details_dialog_new (GtkWindow *parent, TideStore *store, GArray *ids, GHashTable *files)
{
  TideDetailsDialog *self = g_object_new (TIDE_TYPE_DETAILS_DIALOG, "transient-for", parent, NULL);

  for (guint i = 0; i < MIN (ids->len, TIDE_DETAILS_RUNS); i++)
    {
      gint64 id = g_array_index (ids, gint64, i);
      g_autoptr (TideRunInfo) info = tide_store_get (store, id, NULL);

      /* removed meanwhile */
      if (info != NULL)
        add_run (self, store, info, g_hash_table_contains (files, &id));
    }
  if (ids->len > TIDE_DETAILS_RUNS)
    {
      guint n = ids->len - TIDE_DETAILS_RUNS;
      g_autofree char *rest =
          g_strdup_printf (ngettext ("and %u more run", "and %u more runs", n), n);

      gtk_box_append (self->runs, gtk_label_new (rest));
    }
  return GTK_WIDGET (self);
}
