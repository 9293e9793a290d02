/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands beside a run's row: its complaints, its samples as blocks, its overview.
 *
 * Each channel is cut into blocks of TIDE_BLOCK_SAMPLES; channels are written one after the
 * other, so that reading one goes straight through the file. Power is encoded with V·I as a guess,
 * hence after voltage and current.
 *
 * The overview holds, of time and of power, the smallest and the largest value of every so many
 * samples (at most OVERVIEW_STEP), as a series of alternating values in the same blocks. It is a
 * hundredth of the samples' size, and all that a sketch reads.
 */
#include "library/store-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "recording/overview.h"

#define OVERVIEW_STEP 256
/* Short runs get finer pairs: at least so many where they have the samples. */
#define OVERVIEW_PAIRS 256

#define INSERT_CHUNK "INSERT INTO chunk (run, channel, seq, n, data) VALUES (?1, ?2, ?3, ?4, ?5)"
#define INSERT_OVERVIEW                                                                            \
  "INSERT INTO overview (run, channel, seq, n, data) VALUES (?1, ?2, ?3, ?4, ?5)"
#define COUNT_CHUNK    "SELECT count(*) FROM chunk WHERE run = ?1 AND channel = ?2"
#define COUNT_OVERVIEW "SELECT count(*) FROM overview WHERE run = ?1 AND channel = ?2"
#define SELECT_CHUNK   "SELECT seq, n, data FROM chunk WHERE run = ?1 AND channel = ?2 ORDER BY seq"
#define SELECT_OVERVIEW                                                                            \
  "SELECT seq, n, data FROM overview WHERE run = ?1 AND channel = ?2 ORDER BY seq"

/* One series of a run, on its way in or out. */
typedef struct
{
  gint64 run;
  TideQuantity channel;
  gsize n;
  const double *voltage, *current; /* of which the guess is made; both or neither */
  double *guess;                   /* scratch for one block; NULL without these */
} Series;

static TideCoder *
get_coder (TideStore *store)
{
  if (store->coder == NULL)
    store->coder = tide_coder_new ();
  return store->coder;
}

static gsize
count_blocks (gsize n)
{
  return n / TIDE_BLOCK_SAMPLES + (n % TIDE_BLOCK_SAMPLES != 0);
}

static gsize
get_block_length (gsize n, gsize seq)
{
  return MIN (TIDE_BLOCK_SAMPLES, n - seq * TIDE_BLOCK_SAMPLES);
}

/* The guess for one block: V·I, rounded once, the same in both directions. NULL for none. */
static const double *
make_guess (const Series *series, gsize seq)
{
  gsize first = seq * TIDE_BLOCK_SAMPLES;
  gsize length = get_block_length (series->n, seq);

  if (series->guess == NULL)
    return NULL;
  for (gsize i = 0; i < length; i++)
    series->guess[i] = series->voltage[first + i] * series->current[first + i];
  return series->guess;
}

/* A power series has a guess where the run has both factors. */
static void
begin_series (Series *series,
              gint64 run,
              TideQuantity channel,
              gsize n,
              const double *const columns[TIDE_N_QUANTITIES])
{
  *series = (Series){ .run = run, .channel = channel, .n = n };
  if (channel != TIDE_QUANTITY_POWER || columns == NULL || columns[TIDE_QUANTITY_VOLTAGE] == NULL
      || columns[TIDE_QUANTITY_CURRENT] == NULL)
    return;
  series->voltage = columns[TIDE_QUANTITY_VOLTAGE];
  series->current = columns[TIDE_QUANTITY_CURRENT];
  series->guess = g_new (double, MIN (n, TIDE_BLOCK_SAMPLES));
}

static void
end_series (Series *series)
{
  g_clear_pointer (&series->guess, g_free);
}

static void
bind_series (sqlite3_stmt *statement, const Series *series)
{
  sqlite3_bind_int64 (statement, 1, series->run);
  tide_bind_text (statement, 2, tide_quantity_get_id (series->channel));
}

/* --- Writing --- */

static gboolean
write_block (TideStore *store,
             sqlite3_stmt *insert,
             const Series *series,
             gsize seq,
             const double *values,
             GError **error)
{
  gsize length = get_block_length (series->n, seq);
  gsize size;
  const guint8 *bytes = tide_coder_encode (get_coder (store), values + seq * TIDE_BLOCK_SAMPLES,
                                           make_guess (series, seq), length, &size);

  sqlite3_reset (insert);
  sqlite3_bind_int64 (insert, 3, (gint64)seq);
  sqlite3_bind_int64 (insert, 4, (gint64)length);
  sqlite3_bind_blob64 (insert, 5, bytes, size, SQLITE_STATIC);
  return tide_store_step (store, insert, NULL, error);
}

static gboolean
write_series (TideStore *store,
              const char *sql,
              const Series *series,
              const double *values,
              GCancellable *cancellable,
              GError **error)
{
  g_autoptr (sqlite3_stmt) insert = tide_store_prepare (store, sql, error);

  if (insert == NULL)
    return FALSE;
  bind_series (insert, series);
  for (gsize seq = 0; seq < count_blocks (series->n); seq++)
    if (g_cancellable_set_error_if_cancelled (cancellable, error)
        || !write_block (store, insert, series, seq, values, error))
      return FALSE;
  return TRUE;
}

static gboolean
write_channel (TideStore *store,
               gint64 id,
               TideQuantity channel,
               gsize n,
               const double *const columns[TIDE_N_QUANTITIES],
               GCancellable *cancellable,
               GError **error)
{
  Series series;
  gboolean written;

  begin_series (&series, id, channel, n, columns);
  written = write_series (store, INSERT_CHUNK, &series, columns[channel], cancellable, error);
  end_series (&series);
  return written;
}

static gsize
get_overview_step (gsize n)
{
  return CLAMP (n / OVERVIEW_PAIRS, 1, OVERVIEW_STEP);
}

static gsize
count_pairs (gsize n)
{
  gsize step = get_overview_step (n);

  return n / step + (n % step != 0);
}

static gboolean
write_overview (TideStore *store,
                gint64 id,
                TideQuantity channel,
                gsize n,
                const double *values,
                GCancellable *cancellable,
                GError **error)
{
  gsize step = get_overview_step (n);
  gsize n_pairs = count_pairs (n);
  g_autofree double *pairs = g_new (double, 2 * n_pairs);
  Series series;

  for (gsize i = 0; i < n; i++)
    {
      double *pair = pairs + 2 * (i / step);

      pair[0] = i % step == 0 ? values[i] : MIN (pair[0], values[i]);
      pair[1] = i % step == 0 ? values[i] : MAX (pair[1], values[i]);
    }
  begin_series (&series, id, channel, 2 * n_pairs, NULL);
  return write_series (store, INSERT_OVERVIEW, &series, pairs, cancellable, error);
}

static gboolean
write_complaints (TideStore *store, gint64 id, GPtrArray *complaints, GError **error)
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
      tide_bind_text (insert, 4, complaint->column);
      tide_bind_text (insert, 5, complaint->text);
      if (!tide_store_step (store, insert, NULL, error))
        return FALSE;
    }
  return TRUE;
}

gboolean
tide_store_add_samples (TideStore *store,
                        gint64 id,
                        TideRecording *recording,
                        GCancellable *cancellable,
                        GError **error)
{
  const TideQuantity overviews[] = { TIDE_QUANTITY_TIME, TIDE_QUANTITY_POWER };
  gsize n = tide_recording_get_n_samples (recording);
  const double *columns[TIDE_N_QUANTITIES];

  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    columns[q] = tide_recording_get_column (recording, (TideQuantity)q);

  if (!write_complaints (store, id, tide_recording_get_complaints (recording), error))
    return FALSE;
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns[q] != NULL
        && !write_channel (store, id, (TideQuantity)q, n, columns, cancellable, error))
      return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (overviews); i++)
    if (!write_overview (store, id, overviews[i], n, columns[overviews[i]], cancellable, error))
      return FALSE;
  return TRUE;
}

/* --- Reading --- */

static gboolean
count_stored_blocks (TideStore *store,
                     const char *sql,
                     const Series *series,
                     gsize *n_blocks,
                     GError **error)
{
  g_autoptr (sqlite3_stmt) count = tide_store_prepare (store, sql, error);

  if (count == NULL)
    return FALSE;
  bind_series (count, series);
  if (!tide_store_step (store, count, NULL, error))
    return FALSE;
  *n_blocks = (gsize)sqlite3_column_int64 (count, 0);
  return TRUE;
}

/* The row that select stands at must be block number seq. */
static gboolean
read_block (TideStore *store,
            sqlite3_stmt *select,
            const Series *series,
            gsize seq,
            double *values,
            GError **error)
{
  gsize length = get_block_length (series->n, seq);
  const void *data = sqlite3_column_blob (select, 2);
  gsize size = (gsize)sqlite3_column_bytes (select, 2);

  if (sqlite3_column_int64 (select, 0) == (gint64)seq
      && sqlite3_column_int64 (select, 1) == (gint64)length && data != NULL
      && tide_coder_decode (get_coder (store), data, size, make_guess (series, seq), length,
                            values + seq * TIDE_BLOCK_SAMPLES))
    return TRUE;
  tide_store_fail_run (store, series->run, _ ("a block of samples does not decode"), error);
  return FALSE;
}

static gboolean
read_blocks (TideStore *store,
             const char *sql,
             const Series *series,
             double *values,
             GCancellable *cancellable,
             GError **error)
{
  g_autoptr (sqlite3_stmt) select = tide_store_prepare (store, sql, error);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  bind_series (select, series);
  for (gsize seq = 0; seq < count_blocks (series->n); seq++)
    {
      if (g_cancellable_set_error_if_cancelled (cancellable, error)
          || !tide_store_step (store, select, &has_row, error))
        return FALSE;
      if (!has_row)
        {
          tide_store_fail_run (store, series->run, _ ("a block of samples is missing"), error);
          return FALSE;
        }
      if (!read_block (store, select, series, seq, values, error))
        return FALSE;
    }
  return TRUE;
}

/* The values of a series; *values stays NULL when the run has none of that channel. Memory is
 * taken only once the file has shown as many blocks as it claims samples for. */
static gboolean
read_series (TideStore *store,
             const char *count_sql,
             const char *select_sql,
             const Series *series,
             GCancellable *cancellable,
             double **values,
             GError **error)
{
  gsize n_blocks;

  if (!count_stored_blocks (store, count_sql, series, &n_blocks, error))
    return FALSE;
  if (n_blocks == 0)
    return TRUE;
  if (n_blocks != count_blocks (series->n))
    {
      tide_store_fail_run (store, series->run, _ ("the number of its samples is wrong"), error);
      return FALSE;
    }
  *values = g_try_new (double, series->n);
  if (*values == NULL)
    {
      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_FAILED,
                   _ ("run %" G_GINT64_FORMAT " needs more memory than there is; %s"), series->run,
                   store->outcome);
      return FALSE;
    }
  return read_blocks (store, select_sql, series, *values, cancellable, error);
}

static gboolean
read_complaints (TideStore *store, gint64 id, GPtrArray *complaints, GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      tide_store_prepare (store,
                          "SELECT file_row, file_column, text FROM complaint WHERE run = ?1"
                          " ORDER BY seq",
                          error);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  sqlite3_bind_int64 (select, 1, id);
  while (TRUE)
    {
      g_autofree char *column = NULL;
      g_autofree char *text = NULL;

      if (!tide_store_step (store, select, &has_row, error))
        return FALSE;
      if (!has_row)
        return TRUE;
      column = tide_column_text (select, 1);
      text = tide_column_text (select, 2);
      g_ptr_array_add (complaints, tide_complaint_new ((guint64)sqlite3_column_int64 (select, 0),
                                                       column, "%s", text != NULL ? text : ""));
    }
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
  row->file = tide_column_text (select, 0);
  row->sha256 = tide_column_text (select, 1);
  row->provenance = (TideProvenance){ row->file, row->sha256, sqlite3_column_int64 (select, 2),
                                      (guint64)sqlite3_column_int64 (select, 3) };
  row->part = (guint)sqlite3_column_int64 (select, 4);
  row->power_logged = sqlite3_column_int (select, 5) != 0;
  row->n = (gsize)MAX (sqlite3_column_int64 (select, 6), 0);
  return TRUE;
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
      Series series;
      gboolean read;

      begin_series (&series, id, (TideQuantity)q, n, (const double *const *)columns);
      read =
          read_series (store, COUNT_CHUNK, SELECT_CHUNK, &series, cancellable, &columns[q], error);
      end_series (&series);
      if (!read)
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
      tide_recording_restore (row->n, (const double *const *)columns, row->power_logged,
                              &row->provenance, row->part, complaints, &damage);

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
  if (!tide_store_run_sql (store, "BEGIN", error))
    return NULL;
  recording = load_parts (store, id, cancellable, error);
  tide_store_roll_back (store);
  return recording;
}

/* --- The sketch --- */

/* Spreads the pairs over the columns of their time. A pair covers the time up to the next pair, so
 * that no column stays empty in a gap. */
static GArray *
spread_pairs (const double *times, const double *values, gsize n_pairs, guint n_columns)
{
  GArray *sketch = g_array_sized_new (FALSE, TRUE, sizeof (TideRange), n_columns);
  double scale = n_columns / times[2 * n_pairs - 1];
  guint next = 0; /* the first column that has nothing yet */

  g_array_set_size (sketch, n_columns);
  for (gsize i = 0; i < n_pairs; i++)
    {
      double end = i + 1 < n_pairs ? times[2 * (i + 1)] : times[2 * i + 1];
      guint first = (guint)CLAMP (times[2 * i] * scale, 0, n_columns - 1);
      guint last = (guint)CLAMP (end * scale, 0, n_columns - 1);

      for (guint column = first; column <= last; column++)
        {
          TideRange *range = &g_array_index (sketch, TideRange, column);

          range->low = column < next ? MIN (range->low, values[2 * i]) : values[2 * i];
          range->high = column < next ? MAX (range->high, values[2 * i + 1]) : values[2 * i + 1];
        }
      next = MAX (next, last + 1);
    }
  return sketch;
}

/* Whether the pairs may be drawn: times from 0 on and rising, everything finite. */
static gboolean
check_pairs (const double *times, const double *values, gsize n_pairs)
{
  double before = 0.0;

  for (gsize i = 0; i < 2 * n_pairs; i++)
    {
      if (!isfinite (times[i]) || !isfinite (values[i]) || times[i] < before)
        return FALSE;
      before = times[i];
    }
  return before > 0.0;
}

static gboolean
read_overview (TideStore *store,
               gint64 id,
               TideQuantity channel,
               gsize n,
               double **pairs,
               GError **error)
{
  Series series;

  begin_series (&series, id, channel, n, NULL);
  if (!read_series (store, COUNT_OVERVIEW, SELECT_OVERVIEW, &series, NULL, pairs, error))
    return FALSE;
  if (*pairs != NULL)
    return TRUE;
  tide_store_fail_run (store, id, _ ("its overview is missing"), error);
  return FALSE;
}

static GArray *
load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error)
{
  g_auto (RunRow) row = { 0 };
  g_autofree double *times = NULL;
  g_autofree double *values = NULL;
  gsize n_pairs;

  if (!read_row (store, id, &row, error))
    return NULL;
  n_pairs = count_pairs (row.n);
  if (!read_overview (store, id, TIDE_QUANTITY_TIME, 2 * n_pairs, &times, error)
      || !read_overview (store, id, TIDE_QUANTITY_POWER, 2 * n_pairs, &values, error))
    return NULL;
  if (check_pairs (times, values, n_pairs))
    return spread_pairs (times, values, n_pairs, n_columns);
  tide_store_fail_run (store, id, _ ("its overview is no series"), error);
  return NULL;
}

GArray *
tide_store_load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error)
{
  GArray *sketch;

  g_return_val_if_fail (n_columns >= 1, NULL);

  store->outcome = _ ("the sketch was not read");
  if (!tide_store_run_sql (store, "BEGIN", error))
    return NULL;
  sketch = load_sketch (store, id, n_columns, error);
  tide_store_roll_back (store);
  return sketch;
}
