/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands beside a run's row, in and out: its complaints and its samples.
 *
 * Power is told as its difference from voltage times current, where the run has both.
 */
#include "library/series-private.h"

#include <glib/gi18n-lib.h>

/* A channel as a series. Power is about voltage times current, where the run has both. */
static TideSeries
describe_channel (gint64 id,
                  TideQuantity channel,
                  gsize n,
                  const double *const columns[TIDE_N_QUANTITIES])
{
  TideSeries series = { .table = TIDE_SERIES_CHUNK, .run = id, .channel = channel, .n = n };

  if (channel == TIDE_QUANTITY_POWER && columns[TIDE_QUANTITY_VOLTAGE] != NULL
      && columns[TIDE_QUANTITY_CURRENT] != NULL)
    {
      series.voltage = columns[TIDE_QUANTITY_VOLTAGE];
      series.current = columns[TIDE_QUANTITY_CURRENT];
    }
  return series;
}

/* --- Writing --- */

gboolean
tide_store_add_complaints (TideStore *store, gint64 id, GPtrArray *complaints, GError **error)
{
  g_autoptr (sqlite3_stmt) insert =
      tide_store_prepare (store,
                          "INSERT INTO complaint (run, seq, file_row, file_column, text)"
                          " VALUES (?1, ?2, ?3, ?4, ?5)",
                          error);

  if (insert == NULL)
    return FALSE;
  sqlite3_bind_int64 (insert, 1, id);
  for (guint i = 0; i < complaints->len; i++)
    {
      const TideComplaint *complaint = g_ptr_array_index (complaints, i);

      sqlite3_reset (insert);
      sqlite3_bind_int64 (insert, 2, i);
      sqlite3_bind_int64 (insert, 3, (gint64)complaint->row);
      tide_sql_bind_text (insert, 4, complaint->column);
      tide_sql_bind_text (insert, 5, complaint->text);
      if (!tide_store_step (store, insert, NULL, error))
        return FALSE;
    }
  return TRUE;
}

/* --- Reading --- */

static void
add_complaint_cb (sqlite3_stmt *row, gpointer complaints)
{
  g_autofree char *column = tide_sql_get_text (row, 1);
  g_autofree char *text = tide_sql_get_text (row, 2);

  g_ptr_array_add (complaints, tide_complaint_new ((guint64)sqlite3_column_int64 (row, 0), column,
                                                   "%s", text != NULL ? text : ""));
}

static gboolean
read_complaints (TideStore *store, gint64 id, GPtrArray *complaints, GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      tide_store_prepare (store,
                          "SELECT file_row, file_column, text FROM complaint WHERE run = ?1"
                          " ORDER BY seq",
                          error);

  if (select == NULL)
    return FALSE;
  sqlite3_bind_int64 (select, 1, id);
  return tide_store_each (store, select, add_complaint_cb, complaints, error);
}

/* What a run's row says of its recording. */
typedef struct
{
  char *file;
  char *sha256;
  TideProvenance provenance;
  guint part;
  gboolean power_logged;
  gsize n;
} RunRow;

static void
clear_row (RunRow *row)
{
  g_clear_pointer (&row->file, g_free);
  g_clear_pointer (&row->sha256, g_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (RunRow, clear_row)

static gboolean
read_row (TideStore *store, gint64 id, RunRow *row, GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      tide_store_prepare (store,
                          "SELECT file, sha256, start_us, skipped_rows, part, power_logged,"
                          " n_samples FROM run WHERE id = ?1 AND removed_us IS NULL",
                          error);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  sqlite3_bind_int64 (select, 1, id);
  if (!tide_store_step (store, select, &has_row, error))
    return FALSE;
  if (!has_row)
    {
      tide_store_fail_run (store, id, NULL, error);
      return FALSE;
    }
  row->file = tide_sql_get_text (select, 0);
  row->sha256 = tide_sql_get_text (select, 1);
  row->provenance = (TideProvenance){ .file = row->file,
                                      .sha256 = row->sha256,
                                      .start_us = sqlite3_column_int64 (select, 2),
                                      .skipped_rows = (guint64)sqlite3_column_int64 (select, 3) };
  row->part = (guint)sqlite3_column_int64 (select, 4);
  row->power_logged = sqlite3_column_int (select, 5) != 0;
  row->n = (gsize)CLAMP (sqlite3_column_int64 (select, 6), 0, TIDE_RECORDING_MAX_SAMPLES + 1);
  if (row->n <= TIDE_RECORDING_MAX_SAMPLES)
    return TRUE;
  tide_store_fail_run (store, id, _ ("it has more samples than a run can have"), error);
  return FALSE;
}

static gboolean
read_channels (TideStore *store,
               gint64 id,
               gsize n,
               GCancellable *cancellable,
               double *columns[TIDE_N_QUANTITIES],
               GError **error)
{
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      TideSeries series = describe_channel (id, (TideQuantity)q, n, (const double *const *)columns);

      if (!tide_series_read (store, &series, cancellable, &columns[q], error))
        return FALSE;
    }
  return TRUE;
}

static TideRecording *
restore_recording (TideStore *store,
                   gint64 id,
                   const RunRow *row,
                   double **columns,
                   GPtrArray *complaints,
                   GError **error)
{
  g_autoptr (GError) damage = NULL;
  TideRecording *recording =
      tide_recording_restore_take (row->n, columns, row->power_logged, &row->provenance, row->part,
                                   complaints, &damage);

  if (recording == NULL)
    tide_store_fail_run (store, id, damage->message, error);
  return recording;
}

static TideRecording *
load_parts (TideStore *store, gint64 id, GCancellable *cancellable, GError **error)
{
  g_auto (RunRow) row = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  double *columns[TIDE_N_QUANTITIES] = { NULL };
  TideRecording *recording = NULL;

  if (read_row (store, id, &row, error) && read_complaints (store, id, complaints, error)
      && read_channels (store, id, row.n, cancellable, columns, error))
    recording = restore_recording (store, id, &row, columns, complaints, error);
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    g_free (columns[q]);
  return recording;
}

TideRecording *
tide_store_load_samples (TideStore *store, gint64 id, GCancellable *cancellable, GError **error)
{
  TideRecording *recording;

  store->outcome = _ ("the run was not read");
  /* One transaction, so that all of it is seen at one moment. */
  if (!tide_store_begin_read (store, error))
    return NULL;
  recording = load_parts (store, id, cancellable, error);
  tide_store_roll_back (store);
  return recording;
}

GPtrArray *
tide_store_get_complaints (TideStore *store, gint64 id, guint64 *skipped_rows, GError **error)
{
  g_auto (RunRow) row = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  gboolean read;

  store->outcome = _ ("the run was not read");
  if (!tide_store_begin_read (store, error))
    return NULL;
  read = read_row (store, id, &row, error) && read_complaints (store, id, complaints, error);
  tide_store_roll_back (store);
  if (!read)
    return NULL;
  if (skipped_rows != NULL)
    *skipped_rows = row.provenance.skipped_rows;
  return g_steal_pointer (&complaints);
}
