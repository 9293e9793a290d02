/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be done with the runs that are selected in the library: edit one's conditions, make one
 * the reference, remove them; and bringing back what was removed. */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>

#include "window/conditions-dialog.h"

/* One removal, or one import, as it can be undone. */
typedef struct
{
  GArray *ids;      /* gint64, in the order of removal */
  GArray *replaced; /* gint64, what an import removed for what it added */
  GArray *ticked;   /* gint64, those removed that were in the comparison */
  gboolean is_import;
} Removal;

static Removal *
new_removal (void)
{
  Removal *removal = g_new0 (Removal, 1);

  removal->ids = g_array_new (FALSE, FALSE, sizeof (gint64));
  removal->replaced = g_array_new (FALSE, FALSE, sizeof (gint64));
  removal->ticked = g_array_new (FALSE, FALSE, sizeof (gint64));
  return removal;
}

static void
free_removal (Removal *removal)
{
  g_array_unref (removal->ids);
  g_array_unref (removal->replaced);
  g_array_unref (removal->ticked);
  g_free (removal);
}

/* The selected run when it is the only one, else 0. */
static gint64
get_only_selected (TideWindow *self)
{
  g_autoptr (GArray) ids = tide_library_pane_dup_selected (self->library_pane);

  return ids->len == 1 ? g_array_index (ids, gint64, 0) : 0;
}

/* Editing */

static void
saved_cb (TideConditionsDialog *dialog, const TideConditions *conditions, TideWindow *self)
{
  gint64 *id = g_object_get_data (G_OBJECT (dialog), "run-id");
  g_autoptr (GError) error = NULL;

  if (self->library == NULL)
    return;
  if (!tide_library_set_conditions (self->library, *id, conditions, &error))
    tide_window_toast (self, error->message);
  tide_choice_update (self->choice, *id);
}

void
tide_window_edit_run (TideWindow *self)
{
  gint64 id = get_only_selected (self);
  TideEntry *entry = tide_library_find (self->library, id);
  GtkWidget *dialog;

  if (entry == NULL)
    return;
  dialog = tide_conditions_dialog_new (GTK_WINDOW (self), tide_entry_get_info (entry)->conditions);
  g_object_set_data_full (G_OBJECT (dialog), "run-id", g_memdup2 (&id, sizeof id), g_free);
  g_signal_connect_object (dialog, "saved", G_CALLBACK (saved_cb), self, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

gboolean
tide_window_can_edit (TideWindow *self)
{
  return self->library != NULL && get_only_selected (self) != 0;
}

void
tide_window_show_reading (TideWindow *self)
{
  gint64 id = get_only_selected (self);
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (gint64));

  if (tide_library_find (self->library, id) == NULL)
    return;
  g_array_append_val (ids, id);
  tide_window_show_details (self, ids);
}

/* The reference */

void
tide_window_make_reference (TideWindow *self)
{
  guint position = tide_comparison_find (self->comparison, get_only_selected (self));

  if (position != G_MAXUINT)
    tide_comparison_set_reference (self->comparison, position);
}

gboolean
tide_window_can_refer (TideWindow *self)
{
  gint64 id = get_only_selected (self);

  return id != 0 && tide_comparison_find (self->comparison, id) != G_MAXUINT;
}

/* Removing */

gboolean
tide_window_can_remove (TideWindow *self)
{
  g_autoptr (GArray) ids = tide_library_pane_dup_selected (self->library_pane);

  return self->library != NULL && ids->len > 0;
}

static gboolean
remove_run (TideWindow *self, gint64 id, Removal *removal)
{
  g_autoptr (GError) error = NULL;
  gboolean ticked = tide_choice_has (self->choice, id);

  if (!tide_library_remove (self->library, id, &error))
    {
      tide_window_toast (self, error->message);
      return FALSE;
    }
  g_array_append_val (removal->ids, id);
  if (ticked)
    g_array_append_val (removal->ticked, id);
  tide_choice_set (self->choice, id, FALSE);
  return TRUE;
}

static void
undo_clicked_cb (AdwToast *toast, TideWindow *self)
{
  if (tide_window_take_undo (self, toast))
    tide_window_undo (self);
}

static void
announce_removal (TideWindow *self, const char *text)
{
  AdwToast *toast = tide_window_toast_undo (self, text);

  g_signal_connect_object (toast, "button-clicked", G_CALLBACK (undo_clicked_cb), self, 0);
  self->offers_removal = TRUE;
}

void
tide_window_remove_runs (TideWindow *self, GArray *ids)
{
  Removal *removal;
  g_autofree char *name = NULL, *text = NULL;

  if (self->library == NULL || ids->len == 0)
    return;
  removal = new_removal ();
  for (guint i = 0; i < ids->len; i++)
    {
      gint64 id = g_array_index (ids, gint64, i);

      /* an import that is undone may have lost runs since */
      if (tide_library_find (self->library, id) == NULL)
        continue;
      if (name == NULL)
        name = g_strdup (tide_window_get_run_name (self, id));
      if (!remove_run (self, id, removal))
        break;
    }
  if (removal->ids->len == 0)
    {
      free_removal (removal);
      return;
    }
  g_queue_push_head (&self->removals, removal);
  text = removal->ids->len == 1
             /* Translators: %s is the name of a run */
             ? g_strdup_printf (_ ("%s removed"), name)
             : g_strdup_printf (ngettext ("%u run removed", "%u runs removed", removal->ids->len),
                                removal->ids->len);
  announce_removal (self, text);
  tide_window_update_actions (self);
}

void
tide_window_remove_selected (TideWindow *self)
{
  g_autoptr (GArray) ids = tide_library_pane_dup_selected (self->library_pane);

  tide_window_remove_runs (self, ids);
}

/* Bringing back */

gboolean
tide_window_can_undo (TideWindow *self)
{
  return self->library != NULL && !g_queue_is_empty (&self->removals);
}

/* Brings runs back and takes them out of ids; those that failed stay in, and the reason is told.
 * A run that was deleted for good meanwhile is not kept: no trying again would help. */
static void
restore_runs (TideWindow *self, GArray *ids)
{
  for (guint i = 0; i < ids->len;)
    {
      g_autoptr (GError) error = NULL;
      gboolean is_back =
          tide_library_restore (self->library, g_array_index (ids, gint64, i), &error);

      if (!is_back)
        tide_window_toast (self, error->message);
      if (is_back || g_error_matches (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN))
        g_array_remove_index (ids, i);
      else
        i++;
    }
}

void
tide_window_note_import (TideWindow *self, GArray *ids, GArray *replaced)
{
  Removal *import = new_removal ();

  import->is_import = TRUE;
  g_array_append_vals (import->ids, ids->data, ids->len);
  g_array_append_vals (import->replaced, replaced->data, replaced->len);
  for (guint i = 0; i < replaced->len; i++)
    if (tide_choice_has (self->choice, g_array_index (replaced, gint64, i)))
      g_array_append_val (import->ticked, g_array_index (replaced, gint64, i));
  g_queue_push_head (&self->removals, import);
  tide_window_update_actions (self);
}

/* Runs that were removed or replaced since are not there to be taken out. */
static gboolean
has_any_run (TideWindow *self, GArray *ids)
{
  for (guint i = 0; i < ids->len; i++)
    if (tide_library_find (self->library, g_array_index (ids, gint64, i)) != NULL)
      return TRUE;
  return FALSE;
}

static void
tick_again (TideWindow *self, GArray *ids)
{
  for (guint i = 0; i < ids->len; i++)
    tide_choice_set (self->choice, g_array_index (ids, gint64, i), TRUE);
}

/* The runs as they were read before, in place of those that were read anew. This cannot be undone
 * again; the file can be read anew again. */
static void
undo_replacement (TideWindow *self, Removal *import)
{
  Removal *anew = new_removal ();

  for (guint i = 0; i < import->ids->len; i++)
    if (!remove_run (self, g_array_index (import->ids, gint64, i), anew))
      break;
  if (anew->ids->len == import->ids->len)
    restore_runs (self, import->replaced);
  tick_again (self, import->ticked);
  tide_window_end_undo (self, _ ("Brought back"));
  free_removal (anew);
}

static void
undo_import (TideWindow *self, Removal *import)
{
  if (import->replaced->len > 0 && has_any_run (self, import->ids))
    undo_replacement (self, import);
  else if (has_any_run (self, import->ids))
    tide_window_remove_runs (self, import->ids);
  else
    tide_window_undo (self);
  free_removal (import);
  tide_window_update_actions (self);
}

void
tide_window_undo (TideWindow *self)
{
  Removal *removal = g_queue_pop_head (&self->removals);

  if (removal == NULL)
    return;
  if (removal->is_import)
    {
      undo_import (self, removal);
      return;
    }
  if (self->offers_removal)
    tide_window_end_undo (self, _ ("Brought back"));
  restore_runs (self, removal->ids);
  tick_again (self, removal->ticked);
  /* What could not be brought back (a full disk, another program at work) can be tried again. */
  if (removal->ids->len > 0)
    g_queue_push_head (&self->removals, removal);
  else
    free_removal (removal);
  tide_window_update_actions (self);
}

void
tide_window_clear_removals (TideWindow *self)
{
  g_queue_clear_full (&self->removals, (GDestroyNotify)free_removal);
  g_queue_init (&self->removals);
}
