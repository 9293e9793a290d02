/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list of runs as a GListModel over a store.
 *
 * The list is sorted by device, then by number. It changes by comparing itself with what the store
 * says: first what is gone or stands elsewhere goes out, then what is new or has moved comes in,
 * neighbours in one signal; an entry whose device changes is thus taken out and put back, the
 * same object. O(runs) a refresh, one statement.
 */
#include "library/library-private.h"

#include "library/store-private.h"

struct _TideLibrary
{
  GObject parent_instance;

  TideStore *store;   /* owned */
  GPtrArray *entries; /* owned TideEntry, sorted */
  GHashTable *hidden; /* id (gint64 *) -> owned TideEntry that was removed here and may come back */
};

static void list_model_iface_init (GListModelInterface *iface);

G_DEFINE_FINAL_TYPE_WITH_CODE (TideLibrary,
                               tide_library,
                               G_TYPE_OBJECT,
                               G_IMPLEMENT_INTERFACE (G_TYPE_LIST_MODEL, list_model_iface_init))

/* --- GListModel --- */

static GType
tide_library_get_item_type (GListModel *model)
{
  return TIDE_TYPE_ENTRY;
}

static guint
tide_library_get_n_items (GListModel *model)
{
  return TIDE_LIBRARY (model)->entries->len;
}

static gpointer
tide_library_get_item (GListModel *model, guint position)
{
  TideLibrary *self = TIDE_LIBRARY (model);

  return position < self->entries->len ? g_object_ref (g_ptr_array_index (self->entries, position))
                                       : NULL;
}

static void
list_model_iface_init (GListModelInterface *iface)
{
  iface->get_item_type = tide_library_get_item_type;
  iface->get_n_items = tide_library_get_n_items;
  iface->get_item = tide_library_get_item;
}

/* --- Object --- */

static void
tide_library_finalize (GObject *object)
{
  TideLibrary *self = TIDE_LIBRARY (object);

  g_clear_pointer (&self->entries, g_ptr_array_unref);
  g_clear_pointer (&self->hidden, g_hash_table_unref);
  g_clear_pointer (&self->store, tide_store_free);
  G_OBJECT_CLASS (tide_library_parent_class)->finalize (object);
}

static void
tide_library_class_init (TideLibraryClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = tide_library_finalize;
}

static void
tide_library_init (TideLibrary *self)
{
  self->entries = g_ptr_array_new_with_free_func (g_object_unref);
  self->hidden = g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, g_object_unref);
}

TideLibrary *
tide_library_open (const char *path, GError **error)
{
  g_autoptr (TideLibrary) self = g_object_new (TIDE_TYPE_LIBRARY, NULL);

  self->store = tide_store_open (path, error);
  if (self->store == NULL || !tide_library_refresh (self, error))
    return NULL;
  return g_steal_pointer (&self);
}

const char *
tide_library_get_path (TideLibrary *self)
{
  g_return_val_if_fail (TIDE_IS_LIBRARY (self), NULL);
  return tide_store_get_path (self->store);
}

TideStore *
tide_library_get_store (TideLibrary *self)
{
  g_return_val_if_fail (TIDE_IS_LIBRARY (self), NULL);
  return self->store;
}

/* --- Keeping the list in order --- */

static TideEntry *
get_entry (TideLibrary *self, guint position)
{
  return g_ptr_array_index (self->entries, position);
}

/* Where info stands or would stand. */
static guint
find_place (TideLibrary *self, const TideRunInfo *info)
{
  guint low = 0, high = self->entries->len;

  while (low < high)
    {
      guint middle = low + (high - low) / 2;

      if (tide_run_info_compare (tide_entry_get_info (get_entry (self, middle)), info) < 0)
        low = middle + 1;
      else
        high = middle;
    }
  return low;
}

static void
take_out (TideLibrary *self, guint position, guint n)
{
  if (n == 0)
    return;
  g_ptr_array_remove_range (self->entries, position, n);
  g_list_model_items_changed (G_LIST_MODEL (self), position, n, 0);
}

static void
put_in (TideLibrary *self, TideEntry *entry)
{
  guint position = find_place (self, tide_entry_get_info (entry));

  g_ptr_array_insert (self->entries, (int)position, g_object_ref (entry));
  g_list_model_items_changed (G_LIST_MODEL (self), position, 0, 1);
}

/* Whether the sorted infos hold one that stands where the entry stands; goes on from *next. */
static gboolean
is_still_there (GPtrArray *infos, guint *next, TideEntry *entry)
{
  const TideRunInfo *present = tide_entry_get_info (entry);

  while (*next < infos->len
         && tide_run_info_compare (g_ptr_array_index (infos, *next), present) < 0)
    *next += 1;
  return *next < infos->len
         && tide_run_info_compare (g_ptr_array_index (infos, *next), present) == 0;
}

/* Takes out the entries that infos does not have at their place; keeps them in moved by id. */
static void
take_out_others (TideLibrary *self, GPtrArray *infos, GHashTable *moved)
{
  guint next = 0;
  guint position = 0;

  while (position < self->entries->len)
    {
      guint n = 0;

      while (position + n < self->entries->len
             && !is_still_there (infos, &next, get_entry (self, position + n)))
        {
          TideEntry *entry = get_entry (self, position + n);

          g_hash_table_insert (moved, g_memdup2 (&tide_entry_get_info (entry)->id, sizeof (gint64)),
                               g_object_ref (entry));
          n++;
        }
      take_out (self, position, n);
      position++;
    }
}

/* The entry for info, which it takes: one that moved or was hidden here, or a new one. Transfer
 * full. */
static TideEntry *
make_entry (TideLibrary *self, GHashTable *moved, TideRunInfo *info)
{
  TideEntry *entry = g_hash_table_lookup (moved, &info->id);

  if (entry == NULL)
    entry = g_hash_table_lookup (self->hidden, &info->id);
  if (entry == NULL)
    return tide_entry_new (self, info);
  g_object_ref (entry);
  tide_entry_update (entry, info);
  g_hash_table_remove (self->hidden, &info->id);
  return entry;
}

/* Makes the list equal infos, of which it takes every element. */
static void
put_in_others (TideLibrary *self, GPtrArray *infos, GHashTable *moved)
{
  guint position = 0;

  while (position < infos->len)
    {
      guint n = 0;

      while (position + n < infos->len
             && (position + n >= self->entries->len
                 || tide_run_info_compare (tide_entry_get_info (get_entry (self, position + n)),
                                           g_ptr_array_index (infos, position + n))
                        != 0))
        {
          TideRunInfo *info = g_steal_pointer (&g_ptr_array_index (infos, position + n));

          g_ptr_array_insert (self->entries, (int)(position + n), make_entry (self, moved, info));
          n++;
        }
      if (n > 0)
        g_list_model_items_changed (G_LIST_MODEL (self), position, 0, n);
      else
        {
          tide_entry_update (get_entry (self, position),
                             g_steal_pointer (&g_ptr_array_index (infos, position)));
          n = 1;
        }
      position += n;
    }
}

gboolean
tide_library_refresh (TideLibrary *self, GError **error)
{
  g_autoptr (GPtrArray) infos = NULL;
  g_autoptr (GHashTable) moved =
      g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, g_object_unref);

  g_return_val_if_fail (TIDE_IS_LIBRARY (self), FALSE);

  infos = tide_store_list (self->store, error);
  if (infos == NULL)
    return FALSE;
  take_out_others (self, infos, moved);
  put_in_others (self, infos, moved);
  return TRUE;
}

static gboolean
find_position (TideLibrary *self, gint64 id, guint *position)
{
  for (guint i = 0; i < self->entries->len; i++)
    if (tide_entry_get_id (get_entry (self, i)) == id)
      {
        *position = i;
        return TRUE;
      }
  return FALSE;
}

TideEntry *
tide_library_find (TideLibrary *self, gint64 id)
{
  guint position;

  g_return_val_if_fail (TIDE_IS_LIBRARY (self), NULL);
  return find_position (self, id, &position) ? get_entry (self, position) : NULL;
}

/* --- Edits: the store first, so that nothing is shown that is not kept --- */

/* Takes info. A run that the list does not have yet waits for the next refresh. */
static void
update_entry (TideLibrary *self, gint64 id, TideRunInfo *info)
{
  guint position;

  if (!find_position (self, id, &position))
    tide_run_info_free (info);
  else if (tide_run_info_compare (tide_entry_get_info (get_entry (self, position)), info) == 0)
    tide_entry_update (get_entry (self, position), info);
  else
    {
      g_autoptr (TideEntry) entry = g_object_ref (get_entry (self, position));

      take_out (self, position, 1);
      tide_entry_update (entry, info);
      put_in (self, entry);
    }
}

/* A copy of what the list shows of a run, for changing; NULL when it does not have it. */
static TideRunInfo *
copy_info (TideLibrary *self, gint64 id)
{
  TideEntry *entry = tide_library_find (self, id);

  return entry != NULL ? tide_run_info_copy (tide_entry_get_info (entry)) : NULL;
}

gboolean
tide_library_set_conditions (TideLibrary *self,
                             gint64 id,
                             const TideConditions *conditions,
                             GError **error)
{
  TideRunInfo *info;

  g_return_val_if_fail (TIDE_IS_LIBRARY (self), FALSE);

  if (!tide_store_set_conditions (self->store, id, conditions, error))
    return FALSE;
  info = copy_info (self, id);
  if (info != NULL)
    {
      tide_conditions_free (info->conditions);
      info->conditions = tide_conditions_copy (conditions);
      update_entry (self, id, info);
    }
  return TRUE;
}

gboolean
tide_library_set_slot (TideLibrary *self, gint64 id, guint slot, GError **error)
{
  TideRunInfo *info;

  g_return_val_if_fail (TIDE_IS_LIBRARY (self), FALSE);

  if (!tide_store_set_slot (self->store, id, slot, error))
    return FALSE;
  info = copy_info (self, id);
  if (info != NULL)
    {
      info->slot = slot;
      update_entry (self, id, info);
    }
  return TRUE;
}

gboolean
tide_library_remove (TideLibrary *self, gint64 id, GError **error)
{
  guint position;

  g_return_val_if_fail (TIDE_IS_LIBRARY (self), FALSE);

  if (!tide_store_remove (self->store, id, error))
    return FALSE;
  if (find_position (self, id, &position))
    {
      g_hash_table_insert (self->hidden, g_memdup2 (&id, sizeof id),
                           g_object_ref (get_entry (self, position)));
      take_out (self, position, 1);
    }
  return TRUE;
}

gboolean
tide_library_restore (TideLibrary *self, gint64 id, GError **error)
{
  g_return_val_if_fail (TIDE_IS_LIBRARY (self), FALSE);

  if (tide_library_find (self, id) != NULL)
    return TRUE;
  if (!tide_store_restore (self->store, id, error))
    return FALSE;
  if (tide_library_refresh (self, error))
    return TRUE;
  /* In neither, as promised; a failure here would tell no more than the error at hand. */
  tide_store_remove (self->store, id, NULL);
  return FALSE;
}

/* --- Loading in a thread --- */

typedef struct
{
  char *path;
  gint64 id;
} LoadJob;

static void
free_job (LoadJob *job)
{
  g_free (job->path);
  g_free (job);
}

static void
load_in_thread (GTask *task, gpointer source, gpointer task_data, GCancellable *cancellable)
{
  const LoadJob *job = task_data;
  GError *error = NULL;
  g_autoptr (TideStore) store = tide_store_open (job->path, &error);
  TideRecording *recording = NULL;

  if (store != NULL)
    recording = tide_store_load_samples (store, job->id, cancellable, &error);
  if (recording != NULL)
    g_task_return_pointer (task, recording, (GDestroyNotify)tide_recording_unref);
  else
    g_task_return_error (task, error);
}

void
tide_library_load_async (TideLibrary *self,
                         gint64 id,
                         GCancellable *cancellable,
                         GAsyncReadyCallback callback,
                         gpointer user_data)
{
  g_autoptr (GTask) task = NULL;
  LoadJob *job;

  g_return_if_fail (TIDE_IS_LIBRARY (self));

  job = g_new (LoadJob, 1);
  job->path = g_strdup (tide_store_get_path (self->store));
  job->id = id;
  task = g_task_new (self, cancellable, callback, user_data);
  g_task_set_source_tag (task, tide_library_load_async);
  g_task_set_task_data (task, job, (GDestroyNotify)free_job);
  g_task_run_in_thread (task, load_in_thread);
}

TideRecording *
tide_library_load_finish (TideLibrary *self, GAsyncResult *result, GError **error)
{
  g_return_val_if_fail (g_task_is_valid (result, self), NULL);
  return g_task_propagate_pointer (G_TASK (result), error);
}
