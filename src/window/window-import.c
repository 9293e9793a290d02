/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Imports as the window shows them: choosing the files, a bar while it works, what came of it. */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>

#include "window/failures-dialog.h"

/* How many of the demo's runs are compared at first. */
#define DEMO_RUNS 4

/* What came of it */

static void
undo_import_cb (AdwToast *toast, TideWindow *self)
{
  if (tide_window_take_undo (self, toast))
    tide_window_undo (self);
}

static void
show_details_cb (AdwToast *toast, TideWindow *self)
{
  GArray *ids = g_object_get_data (G_OBJECT (toast), "ids");

  if (tide_window_take_undo (self, toast))
    tide_window_show_details (self, ids);
}

static char *
describe_added (const TideImportReport *report)
{
  g_autoptr (GString) text = g_string_new (NULL);

  g_string_append_printf (text,
                          ngettext ("Imported %u run", "Imported %u runs", report->added->len),
                          report->added->len);
  if (report->skipped_rows > 0)
    {
      guint rows = (guint)MIN (report->skipped_rows, G_MAXUINT);

      g_string_append_printf (text, ngettext (" · %u row skipped", " · %u rows skipped", rows),
                              rows);
    }
  if (report->cancelled)
    g_string_append (text, _ (" · the rest was stopped"));
  return g_string_free (g_steal_pointer (&text), FALSE);
}

/* A toast has one button. It opens the details where there is something worth knowing; an import is
 * undone by the menu and the keyboard all the same. */
static void
announce_added (TideWindow *self, const TideImportReport *report)
{
  gboolean wants_details = report->has_complaints && !report->is_demo;
  g_autofree char *text = NULL;
  AdwToast *toast;

  if (report->added->len == 0)
    {
      if (report->cancelled)
        tide_window_toast (self, _ ("Import stopped; nothing was added"));
      return;
    }
  text = describe_added (report);
  toast = wants_details ? tide_window_toast_offer (self, text, _ ("_Details"))
                        : tide_window_toast_undo (self, text);
  self->offers_removal = !wants_details;
  g_object_set_data_full (G_OBJECT (toast), "ids", g_array_ref (report->added),
                          (GDestroyNotify)g_array_unref);
  g_signal_connect_object (toast, "button-clicked",
                           wants_details ? G_CALLBACK (show_details_cb)
                                         : G_CALLBACK (undo_import_cb),
                           self, 0);
}

static void
announce_known (TideWindow *self, const TideImportReport *report)
{
  guint n = report->known->len;
  const char *name =
      n == 1 ? tide_window_get_run_name (self, g_array_index (report->known, gint64, 0)) : NULL;
  g_autofree char *text = NULL;

  if (n == 0)
    return;
  if (name != NULL)
    /* Translators: %s is the name of a run */
    text = g_strdup_printf (_ ("%s is in the library already"), name);
  else
    text = g_strdup_printf (ngettext ("%u run is in the library already",
                                      "%u runs are in the library already", n),
                            n);
  tide_window_toast (self, text);
}

static void
announce_failures (TideWindow *self, const TideImportReport *report)
{
  if (report->failures->len == 1)
    tide_window_toast (self, report->failures->pdata[0]);
  else if (report->failures->len > 1)
    tide_present_failures (GTK_WINDOW (self), report->failures);
}

/* What is imported goes into the comparison, as far as it has colors for it. */
static void
tick_runs (TideWindow *self, GArray *ids)
{
  for (guint i = 0; i < ids->len && tide_choice_get_ids (self->choice)->len < TIDE_N_SLOTS; i++)
    tide_choice_set (self->choice, g_array_index (ids, gint64, i), TRUE);
}

/* What it is plugged into and what for, as one text. */
static char *
dup_setup (TideWindow *self, gint64 id)
{
  TideEntry *entry = tide_library_find (self->library, id);
  const TideConditions *conditions = entry != NULL ? tide_entry_get_info (entry)->conditions : NULL;

  if (conditions == NULL)
    return NULL;
  return g_strjoin ("\n", tide_conditions_get (conditions, TIDE_CONDITION_PORT),
                    tide_conditions_get (conditions, TIDE_CONDITION_MODE),
                    tide_conditions_get (conditions, TIDE_CONDITION_SUPPLY), NULL);
}

/* The demo shows a few runs that differ; its repeats are there to be ticked. */
static void
tick_demo_runs (TideWindow *self, GArray *ids)
{
  g_autoptr (GHashTable) setups = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);

  for (guint i = 0; i < ids->len && g_hash_table_size (setups) < DEMO_RUNS; i++)
    {
      gint64 id = g_array_index (ids, gint64, i);
      char *setup = dup_setup (self, id);

      if (setup != NULL && g_hash_table_add (setups, setup))
        tide_choice_set (self->choice, id, TRUE);
    }
}

static void
note_files (TideWindow *self, const TideImportReport *report)
{
  for (guint i = 0; i < report->files->len; i++)
    {
      gint64 id = g_array_index (report->added, gint64, i);

      g_hash_table_insert (self->run_files, g_memdup2 (&id, sizeof id),
                           g_object_ref (report->files->pdata[i]));
    }
}

static GPtrArray *
list_entries (TideWindow *self)
{
  GListModel *model = G_LIST_MODEL (self->library);
  GPtrArray *entries = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < g_list_model_get_n_items (model); i++)
    g_ptr_array_add (entries, g_list_model_get_item (model, i));
  return entries;
}

static gboolean
has_content (TideWindow *self, GArray *ids, const char *sha256)
{
  for (guint i = 0; sha256 != NULL && i < ids->len; i++)
    {
      TideEntry *entry = tide_library_find (self->library, g_array_index (ids, gint64, i));

      if (entry != NULL && g_strcmp0 (tide_entry_get_info (entry)->sha256, sha256) == 0)
        return TRUE;
    }
  return FALSE;
}

/* What was there before and is no more, while the same file came in anew: gint64. */
static GArray *
find_replaced (TideWindow *self, GPtrArray *before, GArray *added)
{
  GArray *replaced = g_array_new (FALSE, FALSE, sizeof (gint64));

  for (guint i = 0; i < before->len; i++)
    {
      const TideRunInfo *info = tide_entry_get_info (before->pdata[i]);

      if (tide_library_find (self->library, info->id) == NULL
          && has_content (self, added, info->sha256))
        g_array_append_val (replaced, info->id);
    }
  return replaced;
}

/* The list, what can be undone, and the comparison follow the store. */
static void
take_up (TideWindow *self, const TideImportReport *report)
{
  g_autoptr (GPtrArray) before = list_entries (self);
  g_autoptr (GArray) replaced = NULL;
  g_autoptr (GError) error = NULL;

  if (!tide_library_refresh (self->library, &error))
    tide_window_toast (self, error->message);
  replaced = find_replaced (self, before, report->added);
  if (report->added->len > 0)
    tide_window_note_import (self, report->added, replaced);
  tide_choice_follow (self->choice);
}

static void
finished_cb (TideImporter *importer, const TideImportReport *report, TideWindow *self)
{
  note_files (self, report);
  take_up (self, report);
  if (report->is_demo)
    {
      tick_demo_runs (self, report->added);
      tick_demo_runs (self, report->known);
    }
  else
    {
      tick_runs (self, report->added);
      tick_runs (self, report->known);
      announce_known (self, report);
    }
  announce_failures (self, report);
  announce_added (self, report);
  if (!report->cancelled)
    tide_window_ask (self, report->glances);
}

/* Progress */

static void
busy_cb (TideImporter *importer, GParamSpec *pspec, TideWindow *self)
{
  gtk_revealer_set_reveal_child (self->progress, tide_importer_is_busy (importer));
  tide_window_update_actions (self);
}

void
tide_window_attach_importer (TideWindow *self)
{
  self->importer = tide_importer_new (self->library_path);
  g_signal_connect (self->importer, "finished", G_CALLBACK (finished_cb), self);
  g_signal_connect (self->importer, "notify::busy", G_CALLBACK (busy_cb), self);
  g_object_bind_property (self->importer, "fraction", self->progress_bar, "fraction",
                          G_BINDING_DEFAULT);
  g_object_bind_property (self->importer, "status", self->progress_label, "label",
                          G_BINDING_DEFAULT);
}

/* The worker may still be busy with its last words; nobody here listens any more. */
void
tide_window_detach_importer (TideWindow *self)
{
  g_signal_handlers_disconnect_by_data (self->importer, self);
  tide_importer_cancel (self->importer);
  g_clear_object (&self->importer);
  gtk_revealer_set_reveal_child (self->progress, FALSE);
}

/* Choosing files */

static void
exports_chosen_cb (GtkNativeDialog *dialog, int response, TideWindow *self)
{
  g_autoptr (GListModel) files = gtk_file_chooser_get_files (GTK_FILE_CHOOSER (dialog));
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; response == GTK_RESPONSE_ACCEPT && i < g_list_model_get_n_items (files); i++)
    g_ptr_array_add (list, g_list_model_get_item (files, i));
  tide_window_import (self, (GFile *const *)list->pdata, list->len);
  g_clear_object (&self->chooser);
}

static void
library_chosen_cb (GtkNativeDialog *dialog, int response, TideWindow *self)
{
  g_autoptr (GFile) file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (dialog));
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;

  g_clear_object (&self->chooser);
  if (response == GTK_RESPONSE_ACCEPT && path != NULL && tide_window_open_library (self, path))
    tide_window_set_path (self, "library", path);
}

void
tide_window_show_chooser (TideWindow *self, const char *title, gboolean many, GCallback response_cb)
{
  if (self->chooser != NULL)
    return;
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self),
                                               GTK_FILE_CHOOSER_ACTION_OPEN, NULL, NULL);
  gtk_file_chooser_set_select_multiple (GTK_FILE_CHOOSER (self->chooser), many);
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", response_cb, self, 0);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

void
tide_window_choose_exports (TideWindow *self)
{
  tide_window_show_chooser (self, _ ("Add Exports"), TRUE, G_CALLBACK (exports_chosen_cb));
}

void
tide_window_choose_library (TideWindow *self)
{
  tide_window_show_chooser (self, _ ("Open a Library"), FALSE, G_CALLBACK (library_chosen_cb));
}
