/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one way for samples into a library: a sink that writes them as they come.
 *
 * The first recording opens a transaction, which ends with the import: whatever fails on the way,
 * or is cancelled, leaves the file as it was. A run's row is inserted when its recording begins and
 * filled in at the import's end (completing.c), once the file's name and hash are known.
 */
#include "library/import-store-private.h"

#include <glib/gi18n-lib.h>

static void
free_part (gpointer data)
{
  TideImportPart *part = data;

  tide_writer_clear (&part->writer);
  g_free (part->label);
  g_free (part->member);
  g_free (part);
}

static TideImportPart *
get_part (TideStoreImport *import, guint number)
{
  TideImportPart *part = g_hash_table_lookup (import->by_number, GUINT_TO_POINTER (number));

  g_assert (part != NULL);
  return part;
}

/* ---- The sink ---- */

static gboolean
begin_transaction (TideStoreImport *import, GError **error)
{
  if (import->is_begun)
    return TRUE;
  if (!tide_store_begin_write (import->store, error))
    return FALSE;
  import->is_begun = TRUE;
  import->insert_run = tide_store_prepare (
      import->store,
      "INSERT INTO run (name, device, port, mode, supply, cable, meter, ambient,"
      " date, notes, part, start_us, skipped_rows, power_logged, n_samples,"
      " duration_s, slot, added_us, member, names_row, lane, nth)"
      " VALUES ('', '', '', '', '', '', '', '', '', '', ?1, 0, 0, ?2, 0, 0, -1, 0,"
      " ?3, ?4, ?5, ?6)",
      error);
  return import->insert_run != NULL
         && tide_desk_init (&import->desk, import->store, import->cancellable, error);
}

/* Whoever hands recordings over one by one knows no more of them than their order. */
static TideRecordingPlace
get_place (const TideRecordingHead *head)
{
  return head->place.lane > 0 ? head->place : (TideRecordingPlace){ NULL, 0, 1, head->part };
}

static gint64
insert_run (TideStoreImport *import, const TideRecordingHead *head, GError **error)
{
  TideRecordingPlace place = get_place (head);
  gboolean done;

  sqlite3_bind_int64 (import->insert_run, 1, head->part);
  sqlite3_bind_int (import->insert_run, 2, head->power_logged);
  tide_sql_bind_text (import->insert_run, 3, place.member);
  sqlite3_bind_int64 (import->insert_run, 4, (gint64)place.names_row);
  sqlite3_bind_int64 (import->insert_run, 5, place.lane);
  sqlite3_bind_int64 (import->insert_run, 6, place.nth);
  done = tide_store_step (import->store, import->insert_run, NULL, error);
  sqlite3_reset (import->insert_run);
  return done ? sqlite3_last_insert_rowid (import->store->db) : 0;
}

static gboolean
begin_cb (TideSink *sink, const TideRecordingHead *head, GError **error)
{
  TideStoreImport *import = (TideStoreImport *)sink;
  gint64 id;

  if (!begin_transaction (import, error))
    return FALSE;
  id = insert_run (import, head, error);
  if (id == 0)
    return FALSE;

  TideImportPart *part = g_new0 (TideImportPart, 1);
  part->import = import;
  part->head = *head;
  part->head.label = part->label = g_strdup (head->label);
  part->head.place = get_place (head);
  part->head.place.member = part->member = g_strdup (head->place.member);
  part->id = id;
  part->energy_wh = NAN;
  tide_writer_init (&part->writer, &import->desk, id);
  g_ptr_array_add (import->parts, part);
  g_hash_table_insert (import->by_number, GUINT_TO_POINTER (head->part), part);
  return TRUE;
}

static void
watch_cb (const TideColumns *samples, gboolean is_first, gpointer user_data)
{
  TideImportPart *part = user_data;

  if (part->import->watch != NULL)
    part->import->watch (part->head.part, samples, is_first, part->import->watch_data);
}

static gboolean
samples_cb (TideSink *sink, guint number, TideColumns *samples, GError **error)
{
  TideStoreImport *import = (TideStoreImport *)sink;
  TideImportPart *part = get_part (import, number);

  if (g_cancellable_set_error_if_cancelled (import->cancellable, error))
    return FALSE;
  watch_cb (samples, part->writer.n == 0, part);
  return tide_writer_add (&part->writer, samples, error);
}

static gboolean
needs_revision (const TideRevision *revision)
{
  return revision->turned != 0 || revision->left_out != 0 || revision->has_holes;
}

static gboolean
end_cb (TideSink *sink, guint number, const TideRecordingTail *tail, GError **error)
{
  TideStoreImport *import = (TideStoreImport *)sink;
  TideImportPart *part = get_part (import, number);
  double first_s = 0;

  if (!tide_writer_finish (&part->writer, error)
      || (needs_revision (&tail->revision)
          && !tide_writer_revise (&part->writer, &tail->revision, watch_cb, part, &first_s, error))
      || !tide_store_add_complaints (import->store, part->id, tail->complaints, error))
    return FALSE;
  part->n_samples = part->writer.n;
  part->duration_s = part->writer.last_s;
  part->start_us = tide_recording_head_get_start_us (&part->head, first_s);
  part->skipped_rows = tail->skipped_rows;
  tide_writer_clear (&part->writer);
  return TRUE;
}

/* ---- Begin and end ---- */

TideStoreImport *
tide_store_import_begin (TideStore *store,
                         const TideConditions *conditions,
                         GCancellable *cancellable,
                         GError **error)
{
  TideStoreImport *import = g_new0 (TideStoreImport, 1);

  store->outcome = _ ("nothing was imported");
  import->sink = (TideSink){ begin_cb, samples_cb, end_cb };
  import->store = store;
  import->conditions =
      conditions != NULL ? tide_conditions_copy (conditions) : tide_conditions_new ();
  import->cancellable = cancellable != NULL ? g_object_ref (cancellable) : NULL;
  import->parts = g_ptr_array_new_with_free_func (free_part);
  import->by_number = g_hash_table_new (NULL, NULL);
  return import;
}

TideSink *
tide_store_import_get_sink (TideStoreImport *import)
{
  return &import->sink;
}

void
tide_store_import_watch (TideStoreImport *import, TideStoreWatch watch, gpointer user_data)
{
  import->watch = watch;
  import->watch_data = user_data;
}

void
tide_store_import_set_energy (TideStoreImport *import, guint part, double energy_wh)
{
  get_part (import, part)->energy_wh = energy_wh;
}

void
tide_store_import_abort (TideStoreImport *import)
{
  if (import == NULL)
    return;
  g_ptr_array_unref (import->parts);
  g_hash_table_unref (import->by_number);
  g_clear_pointer (&import->insert_run, sqlite3_finalize);
  tide_desk_clear (&import->desk);
  if (import->is_begun)
    tide_store_roll_back (import->store);
  tide_conditions_free (import->conditions);
  g_clear_object (&import->cancellable);
  g_free (import);
}

GArray *
tide_store_import_end (TideStoreImport *import,
                       const char *file,
                       const char *sha256,
                       gboolean replace,
                       GError **error)
{
  TideStore *store = import->store;
  GArray *stored = tide_store_import_complete (import, file, sha256, replace, error);

  /* what was committed is not open any more, all else is undone here */
  tide_store_import_abort (import);
  /* The import is safe in the log. Moving it into the file now halves the space on disk; where
   * that cannot be done, because someone reads or the disk is full, a later one does it. */
  if (stored != NULL)
    sqlite3_wal_checkpoint_v2 (store->db, NULL, SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
  return stored;
}

/* ---- A recording that is in memory ---- */

static gboolean
pour (TideStoreImport *import, TideRecording *recording, GError **error)
{
  TideSink *sink = tide_store_import_get_sink (import);
  TideColumns samples = { .n = tide_recording_get_n_samples (recording) };
  TideRecordingHead head = { .part = tide_recording_get_part (recording),
                             .label = tide_recording_get_label (recording),
                             .start_us = tide_recording_get_start_us (recording),
                             .power_logged = tide_recording_is_power_logged (recording) };
  TideRecordingTail tail = { .n_samples = samples.n,
                             .duration_s = tide_recording_get_duration_s (recording),
                             .skipped_rows = tide_recording_get_skipped_rows (recording),
                             .complaints = tide_recording_get_complaints (recording) };

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      /* this sink only copies */
      samples.values[q] = (double *)tide_recording_get_column (recording, q);
      head.columns |= samples.values[q] != NULL ? 1u << q : 0;
    }
  return sink->begin (sink, &head, error) && sink->samples (sink, head.part, &samples, error)
         && sink->end (sink, head.part, &tail, error);
}

gint64
tide_store_add (TideStore *store,
                TideRecording *recording,
                const TideConditions *conditions,
                double energy_wh,
                GCancellable *cancellable,
                GError **error)
{
  TideStoreImport *import;
  g_autoptr (GArray) stored = NULL;

  g_return_val_if_fail (recording != NULL && conditions != NULL, 0);

  import = tide_store_import_begin (store, conditions, cancellable, error);
  import->is_given = TRUE;
  if (!pour (import, recording, error))
    {
      tide_store_import_abort (import);
      return 0;
    }
  tide_store_import_set_energy (import, tide_recording_get_part (recording), energy_wh);
  stored = tide_store_import_end (import, tide_recording_get_file (recording),
                                  tide_recording_get_sha256 (recording), FALSE, error);
  return stored != NULL ? g_array_index (stored, TideStored, 0).id : 0;
}
