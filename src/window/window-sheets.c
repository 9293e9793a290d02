/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that a person has to be asked about: those that look alike share one sheet, one sheet shows
 * at a time, the others wait. What is dropped meanwhile joins the sheet that waits for its like. */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>

#include "window/details-dialog.h"
#include "window/glancing.h"
#include "window/import-sheet.h"
#include "window/rules-dialog.h"

typedef struct
{
  char *key;          /* of tide_glance_dup_key() */
  GPtrArray *glances; /* TideGlance */
} Group;

static void
free_group (gpointer data)
{
  Group *group = data;

  g_free (group->key);
  g_ptr_array_unref (group->glances);
  g_free (group);
}

static Group *
find_group (TideWindow *self, const char *key)
{
  for (GList *l = self->sheets.head; l != NULL; l = l->next)
    if (g_str_equal (((Group *)l->data)->key, key))
      return l->data;
  return NULL;
}

/* Takes glance. */
static void
add_glance (TideWindow *self, TideGlance *glance)
{
  g_autofree char *key = tide_glance_dup_key (glance);
  Group *group = tide_glance_get_replace (glance) ? NULL : find_group (self, key);

  if (group == NULL)
    {
      group = g_new0 (Group, 1);
      group->key = g_steal_pointer (&key);
      group->glances = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_glance_unref);
      g_queue_push_tail (&self->sheets, group);
    }
  g_ptr_array_add (group->glances, glance);
}

/* Remembering */

/* A name that another header's rule does not have already. */
static char *
find_free_name (TideStore *store, const char *name, const char *signature, GError **error)
{
  g_autofree char *free_name = g_strdup (name);

  for (guint n = 2;; n++)
    {
      g_autoptr (TideStoredRule) taken = NULL;

      if (!tide_store_find_rule (store, free_name, FALSE, &taken, error))
        return NULL;
      if (taken == NULL || g_str_equal (taken->signature, signature))
        return g_steal_pointer (&free_name);
      g_free (free_name);
      free_name = g_strdup_printf ("%s (%u)", name, n);
    }
}

static void
remember (TideWindow *self, const TideReadingRule *rule, const char *name, const char *signature)
{
  TideStore *store = tide_library_get_store (self->library);
  g_autoptr (GError) error = NULL;
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_autofree char *stripped = g_strstrip (g_strdup (name));
  g_autofree char *free_name =
      find_free_name (store, *stripped != '\0' ? stripped : _ ("Unnamed rule"), signature, &error);

  if (free_name == NULL || tide_store_save_rule (store, free_name, signature, text, &error) == 0)
    tide_window_toast (self, error->message);
}

/* The sheet */

static void
import_cb (TideImportSheet *sheet,
           GPtrArray *requests,
           const char *rule_name,
           const char *signature,
           TideWindow *self)
{
  if (self->library == NULL)
    return;
  if (rule_name != NULL)
    remember (self, tide_glance_get_rule (requests->pdata[0]), rule_name, signature);
  tide_importer_add_glances (self->importer, requests);
}

static void
skip_all_cb (TideImportSheet *sheet, TideWindow *self)
{
  g_queue_clear_full (&self->sheets, free_group);
  g_queue_init (&self->sheets);
}

static void show_next (TideWindow *self);

static void
destroyed_cb (GtkWidget *sheet, TideWindow *self)
{
  g_clear_weak_pointer (&self->sheet);
  show_next (self);
}

static void
show_next (TideWindow *self)
{
  Group *group;
  GtkWidget *sheet;

  if (self->sheet != NULL || self->library == NULL)
    return;
  group = g_queue_pop_head (&self->sheets);
  if (group == NULL)
    return;
  sheet = tide_import_sheet_new (GTK_WINDOW (self), self->library_path, group->glances,
                                 g_queue_get_length (&self->sheets));
  free_group (group);
  g_set_weak_pointer (&self->sheet, sheet);
  g_signal_connect_object (sheet, "import", G_CALLBACK (import_cb), self, 0);
  g_signal_connect_object (sheet, "skip-all", G_CALLBACK (skip_all_cb), self, 0);
  g_signal_connect_object (sheet, "destroy", G_CALLBACK (destroyed_cb), self, 0);
  gtk_window_present (GTK_WINDOW (sheet));
}

/* How runs were read */

static void
glanced_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideWindow *self = TIDE_WINDOW (source);
  TideEntry *entry;
  gint64 *id = g_object_get_data (G_OBJECT (result), "run-id");
  gpointer library = g_object_get_data (G_OBJECT (result), "library");
  g_autoptr (GError) error = NULL;
  g_autoptr (TideGlance) glance = g_task_propagate_pointer (G_TASK (result), &error);

  /* the number is that of a run in the library that was open then */
  if (self->library == NULL || self->library != library)
    return;
  entry = tide_library_find (self->library, *id);
  if (glance == NULL)
    tide_window_toast (self, error->message);
  if (glance == NULL || entry == NULL)
    return;
  add_glance (self, tide_glance_request (glance, tide_glance_get_rule (glance),
                                         tide_entry_get_info (entry)->conditions, TRUE));
  show_next (self);
}

static void
read_again_cb (TideDetailsDialog *dialog, gint64 id, TideWindow *self)
{
  GFile *file = g_hash_table_lookup (self->run_files, &id);
  GTask *task;

  if (file == NULL)
    return;
  task = tide_glance_async (G_OBJECT (self), self->library_path, file, NULL, NULL, glanced_cb);
  g_object_set_data_full (G_OBJECT (task), "library", g_object_ref (self->library), g_object_unref);
  g_object_set_data_full (G_OBJECT (task), "run-id", g_memdup2 (&id, sizeof id), g_free);
}

/* For window-private.h */

void
tide_window_ask (TideWindow *self, GPtrArray *glances)
{
  for (guint i = 0; i < glances->len; i++)
    add_glance (self, tide_glance_ref (glances->pdata[i]));
  show_next (self);
}

void
tide_window_show_rules (TideWindow *self)
{
  if (self->library != NULL)
    gtk_window_present (GTK_WINDOW (tide_rules_dialog_new (GTK_WINDOW (self),
                                                           tide_library_get_store (self->library),
                                                           self->settings)));
}

void
tide_window_clear_sheets (TideWindow *self)
{
  g_queue_clear_full (&self->sheets, free_group);
  g_queue_init (&self->sheets);
  if (self->sheet != NULL)
    gtk_window_destroy (GTK_WINDOW (self->sheet));
}

void
tide_window_show_details (TideWindow *self, GArray *ids)
{
  GtkWidget *dialog;

  if (self->library == NULL || ids->len == 0)
    return;
  dialog = tide_details_dialog_new (GTK_WINDOW (self), tide_library_get_store (self->library), ids,
                                    self->run_files);
  g_signal_connect_object (dialog, "read-again", G_CALLBACK (read_again_cb), self, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}
