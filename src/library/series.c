/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Series of values in the tables chunk and overview, which have the same columns.
 *
 * A series is cut into blocks of TIDE_BLOCK_SAMPLES, all full but the last, numbered by seq from 0
 * and written in that order, so that reading it goes straight through the file. What is read must
 * be exactly that, or the run is damaged.
 */
#include "library/series-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

static const char
    *const TABLES[] = { [TIDE_SERIES_CHUNK] = "chunk", [TIDE_SERIES_OVERVIEW] = "overview" };

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

/* Room for the guess of one block; NULL where the series has none. Transfer full. */
static double *
allocate_guess (const TideSeries *series)
{
  return series->voltage != NULL ? g_new (double, MIN (series->n, TIDE_BLOCK_SAMPLES)) : NULL;
}

/* Volts times amperes, rounded once: the same in both directions. */
static void
fill_guess (const TideSeries *series, gsize seq, double *guess)
{
  gsize first = seq * TIDE_BLOCK_SAMPLES;
  gsize length = get_block_length (series->n, seq);

  if (guess != NULL)
    for (gsize i = 0; i < length; i++)
      guess[i] = series->voltage[first + i] * series->current[first + i];
}

/* A statement of the series' table, with its run and channel bound as ?1 and ?2; head and tail
 * stand around the table's name. */
static sqlite3_stmt *
prepare_series (TideStore *store,
                const TideSeries *series,
                const char *head,
                const char *tail,
                GError **error)
{
  g_autofree char *sql = g_strconcat (head, TABLES[series->table], tail, NULL);
  sqlite3_stmt *statement = tide_store_prepare (store, sql, error);

  if (statement != NULL)
    {
      sqlite3_bind_int64 (statement, 1, series->run);
      tide_sql_bind_text (statement, 2, tide_quantity_get_id (series->channel));
    }
  return statement;
}

/* --- Writing --- */

sqlite3_stmt *
tide_series_prepare_put (TideStore *store, TideSeriesTable table, GError **error)
{
  g_autofree char *sql =
      g_strconcat ("INSERT OR REPLACE INTO ", TABLES[table],
                   " (run, channel, seq, n, data) VALUES (?1, ?2, ?3, ?4, ?5)", NULL);

  return tide_store_prepare (store, sql, error);
}

gboolean
tide_series_put_block (TideStore *store,
                       sqlite3_stmt *put,
                       const TideSeries *series,
                       gsize seq,
                       const double *values,
                       const double *guess,
                       gsize length,
                       GError **error)
{
  gsize size;
  const guint8 *bytes = tide_coder_encode (get_coder (store), values, guess, length, &size);
  gboolean done;

  sqlite3_bind_int64 (put, 1, series->run);
  tide_sql_bind_text (put, 2, tide_quantity_get_id (series->channel));
  sqlite3_bind_int64 (put, 3, (gint64)seq);
  sqlite3_bind_int64 (put, 4, (gint64)length);
  sqlite3_bind_blob64 (put, 5, bytes, size, SQLITE_STATIC);
  done = tide_store_step (store, put, NULL, error);
  sqlite3_reset (put);
  return done;
}

gboolean
tide_series_cut (TideStore *store, const TideSeries *series, gsize seq, GError **error)
{
  g_autoptr (sqlite3_stmt) cut =
      prepare_series (store, series, "DELETE FROM ",
                      " WHERE run = ?1 AND channel = ?2 AND seq >= ?3", error);

  if (cut == NULL)
    return FALSE;
  sqlite3_bind_int64 (cut, 3, (gint64)seq);
  return tide_store_step (store, cut, NULL, error);
}

/* --- Reading --- */

static gboolean
count_stored_blocks (TideStore *store, const TideSeries *series, gsize *n_blocks, GError **error)
{
  g_autoptr (sqlite3_stmt) count = prepare_series (store, series, "SELECT count(*) FROM ",
                                                   " WHERE run = ?1 AND channel = ?2", error);

  if (count == NULL || !tide_store_step (store, count, NULL, error))
    return FALSE;
  *n_blocks = (gsize)sqlite3_column_int64 (count, 0);
  return TRUE;
}

/* Whether the row that select stands at is block number seq, and decodes. */
static gboolean
read_block (TideStore *store,
            sqlite3_stmt *select,
            gsize seq,
            const double *guess,
            gsize length,
            double *values)
{
  const void *data = sqlite3_column_blob (select, 2);
  gsize size = (gsize)sqlite3_column_bytes (select, 2);

  return sqlite3_column_int64 (select, 0) == (gint64)seq
         && sqlite3_column_int64 (select, 1) == (gint64)length && data != NULL
         && tide_coder_decode (get_coder (store), data, size, guess, length, values);
}

gboolean
tide_series_get_block (TideStore *store,
                       const TideSeries *series,
                       gsize seq,
                       double *values,
                       const double *guess,
                       gsize length,
                       GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      prepare_series (store, series, "SELECT seq, n, data FROM ",
                      " WHERE run = ?1 AND channel = ?2 AND seq = ?3", error);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  sqlite3_bind_int64 (select, 3, (gint64)seq);
  if (!tide_store_step (store, select, &has_row, error))
    return FALSE;
  if (has_row && read_block (store, select, seq, guess, length, values))
    return TRUE;
  tide_store_fail_run (store, series->run, _ ("a block of samples does not decode"), error);
  return FALSE;
}

gboolean
tide_series_count (TideStore *store, const TideSeries *series, gsize *n, GError **error)
{
  g_autoptr (sqlite3_stmt) count =
      prepare_series (store, series, "SELECT CAST (total (n) AS INTEGER) FROM ",
                      " WHERE run = ?1 AND channel = ?2", error);

  if (count == NULL || !tide_store_step (store, count, NULL, error))
    return FALSE;
  *n = (gsize)CLAMP (sqlite3_column_int64 (count, 0), 0, 2 * (gint64)TIDE_RECORDING_MAX_SAMPLES);
  return TRUE;
}

static gboolean
read_blocks (TideStore *store,
             const TideSeries *series,
             double *values,
             GCancellable *cancellable,
             GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      prepare_series (store, series, "SELECT seq, n, data FROM ",
                      " WHERE run = ?1 AND channel = ?2 ORDER BY seq", error);
  g_autofree double *guess = allocate_guess (series);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  for (gsize seq = 0; seq < count_blocks (series->n); seq++)
    {
      if (g_cancellable_set_error_if_cancelled (cancellable, error)
          || !tide_store_step (store, select, &has_row, error))
        return FALSE;
      fill_guess (series, seq, guess);
      if (!has_row
          || !read_block (store, select, seq, guess, get_block_length (series->n, seq),
                          values + seq * TIDE_BLOCK_SAMPLES))
        {
          tide_store_fail_run (store, series->run, _ ("a block of samples does not decode"), error);
          return FALSE;
        }
    }
  return TRUE;
}

gboolean
tide_series_read (TideStore *store,
                  const TideSeries *series,
                  GCancellable *cancellable,
                  double **values,
                  GError **error)
{
  gsize n_blocks;

  if (!count_stored_blocks (store, series, &n_blocks, error))
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
      g_autofree char *name = g_filename_display_name (store->path);

      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_FAILED,
                   _ ("%s: run %" PRId64 " needs more memory than there is; %s"), name, series->run,
                   store->outcome);
      return FALSE;
    }
  return read_blocks (store, series, *values, cancellable, error);
}
