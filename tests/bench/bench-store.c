/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library against plain tables of rows in the same SQLite: storing a run of 200,000 samples,
 * reading it back, deleting it; listing a thousand runs, an edit, and the sketch of a long run.
 */
#include <glib/gstdio.h>
#include <sqlite3.h>

#include "bench/bench.h"
#include "bench/logs.h"
#include "library/store.h"

#define N_SAMPLES 200000
#define N_RUNS    1000
#define N_SHORT   200
#define N_LONG    1000000

typedef struct
{
  const char *folder;
  TideStore *store;
  sqlite3 *rows;
  TideRecording *recording;
  TideConditions *conditions;
  gint64 id;
  guint slot;
  double sum; /* of what was read, so that reading is not optimised away */
} Shelf;

/* --- the library --- */

static void
add_run (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;

  shelf->id = tide_store_add (shelf->store, shelf->recording, shelf->conditions, 1, NULL, &error);
  g_assert_no_error (error);
}

static void
load_run (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRecording) loaded = tide_store_load (shelf->store, shelf->id, &error);

  g_assert_no_error (error);
  shelf->sum = tide_recording_get_column (loaded, TIDE_QUANTITY_POWER)[N_SAMPLES - 1];
}

static void
delete_run (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;

  tide_store_remove (shelf->store, shelf->id, &error);
  g_assert_no_error (error);
  tide_store_purge (shelf->store, 0, &error);
  g_assert_no_error (error);
  shelf->id = 0;
}

static void
list_runs (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_store_list (shelf->store, &error);

  g_assert_no_error (error);
  g_assert (runs->len >= N_RUNS);
}

static void
edit_run (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;

  tide_store_set_slot (shelf->store, shelf->id, shelf->slot++ % 8, &error);
  g_assert_no_error (error);
}

static void
load_sketch (gpointer data)
{
  Shelf *shelf = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) sketch = tide_store_load_sketch (shelf->store, shelf->id, 64, &error);

  g_assert_no_error (error);
  shelf->sum = g_array_index (sketch, TideRange, 0).high;
}

/* --- the same as rows --- */

static void
run_sql (Shelf *shelf, const char *sql)
{
  char *message = NULL;

  if (sqlite3_exec (shelf->rows, sql, NULL, NULL, &message) != SQLITE_OK)
    g_error ("%s: %s", sql, message);
}

static sqlite3_stmt *
prepare_sql (Shelf *shelf, const char *sql)
{
  sqlite3_stmt *statement;

  if (sqlite3_prepare_v2 (shelf->rows, sql, -1, &statement, NULL) != SQLITE_OK)
    g_error ("%s: %s", sql, sqlite3_errmsg (shelf->rows));
  return statement;
}

static void
add_rows (gpointer data)
{
  Shelf *shelf = data;
  sqlite3_stmt *insert;

  run_sql (shelf, "BEGIN");
  insert = prepare_sql (shelf, "INSERT INTO sample (run, t, v, i, p) VALUES (1, ?1, ?2, ?3, ?4)");
  for (gsize i = 0; i < N_SAMPLES; i++)
    {
      for (int q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
        sqlite3_bind_double (insert, q + 1,
                             tide_recording_get_column (shelf->recording, (TideQuantity)q)[i]);
      g_assert (sqlite3_step (insert) == SQLITE_DONE);
      sqlite3_reset (insert);
    }
  sqlite3_finalize (insert);
  run_sql (shelf, "COMMIT");
}

static void
delete_rows (gpointer data)
{
  run_sql (data, "DELETE FROM sample WHERE run = 1");
}

/* Steps through all that sql gives and adds up its columns of numbers. */
static void
sum_rows (Shelf *shelf, const char *sql)
{
  sqlite3_stmt *select = prepare_sql (shelf, sql);

  shelf->sum = 0;
  while (sqlite3_step (select) == SQLITE_ROW)
    for (int column = 0; column < sqlite3_column_count (select); column++)
      shelf->sum += sqlite3_column_double (select, column);
  sqlite3_finalize (select);
}

static void
load_rows (gpointer data)
{
  sum_rows (data, "SELECT t, v, i, p FROM sample WHERE run = 1");
}

static void
list_rows (gpointer data)
{
  sum_rows (data, "SELECT id, energy FROM run ORDER BY name");
}

static void
edit_row (gpointer data)
{
  run_sql (data, "UPDATE run SET energy = energy + 1 WHERE id = 7");
}

/* A sketch from rows: least and greatest power of each of 64 parts of the run's time. */
static void
sketch_rows (gpointer data)
{
  sum_rows (data,
            "SELECT min (p), max (p) FROM sample WHERE run = 1 GROUP BY CAST (t / 157 AS INTEGER)");
}

/* --- both --- */

static guint64
get_file_size (const char *folder, const char *name)
{
  g_autofree char *path = g_build_filename (folder, name, NULL);
  GStatBuf about;

  return g_stat (path, &about) == 0 ? (guint64)about.st_size : 0;
}

static void
open_shelf (Shelf *shelf)
{
  g_autofree char *library = g_build_filename (shelf->folder, "library.db", NULL);
  g_autofree char *rows = g_build_filename (shelf->folder, "rows.db", NULL);
  g_autoptr (GError) error = NULL;

  shelf->store = tide_store_open (library, &error);
  g_assert_no_error (error);
  g_assert (sqlite3_open (rows, &shelf->rows) == SQLITE_OK);
  run_sql (shelf, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"
                  "CREATE TABLE run (id INTEGER PRIMARY KEY, name TEXT, energy REAL);"
                  "CREATE TABLE sample (run INTEGER, t REAL, v REAL, i REAL, p REAL);"
                  "CREATE INDEX sample_of_run ON sample (run);");
}

static void
close_shelf (Shelf *shelf)
{
  g_clear_pointer (&shelf->store, tide_store_free);
  sqlite3_close (shelf->rows);
}

static void
delete_all (gpointer data)
{
  Shelf *shelf = data;

  if (shelf->id != 0)
    delete_run (shelf);
}

static void
add_run_anew (gpointer data)
{
  delete_all (data);
  add_run (data);
}

static void
add_rows_anew (gpointer data)
{
  delete_rows (data);
  add_rows (data);
}

/* How large a run is in a library that holds nothing else, once closed, against its export. */
static void
measure_size (TideConditions *conditions)
{
  char *folder = bench_make_folder ();
  g_autofree char *csv = g_build_filename (folder, "log.csv", NULL);
  g_autoptr (TideRecording) recording = log_make_recording (N_LONG, 1);
  Shelf shelf = { .folder = folder, .recording = recording, .conditions = conditions };
  guint64 csv_bytes = log_write_csv (csv, N_LONG, 1);

  open_shelf (&shelf);
  add_run (&shelf);
  close_shelf (&shelf);
  bench_size ("library-1m", get_file_size (folder, "library.db"), "csv", csv_bytes);
  bench_delete_folder (folder);
}

static void
race_long_run (Shelf *shelf)
{
  bench_race ((BenchRunner[]){ { "store-add-200k", add_run, delete_all, shelf, NULL },
                               { "rows", add_rows, delete_rows, shelf, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "store-load-200k", load_run, NULL, shelf, NULL },
                               { "rows", load_rows, NULL, shelf, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "store-sketch-200k", load_sketch, NULL, shelf, NULL },
                               { "rows", sketch_rows, NULL, shelf, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "store-edit", edit_run, NULL, shelf, NULL },
                               { "rows", edit_row, NULL, shelf, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "store-delete-200k", delete_run, add_run_anew, shelf, NULL },
                               { "rows", delete_rows, add_rows_anew, shelf, NULL } },
              2);
}

static void
race_list (Shelf *shelf)
{
  g_autoptr (TideRecording) recording = log_make_recording (N_SHORT, 2);
  TideRecording *long_recording = shelf->recording;

  shelf->recording = recording;
  for (guint i = 0; i < N_RUNS; i++)
    add_run (shelf);
  shelf->recording = long_recording;
  run_sql (
      shelf,
      "WITH RECURSIVE number (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM number WHERE n < 1000)"
      " INSERT INTO run SELECT n, 'Run ' || n, n FROM number");
  bench_race ((BenchRunner[]){ { "store-list-1000", list_runs, NULL, shelf, NULL },
                               { "rows", list_rows, NULL, shelf, NULL } },
              2);
}

int
main (void)
{
  char *folder = bench_make_folder ();
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autoptr (TideRecording) recording = log_make_recording (N_SAMPLES, 1);
  Shelf shelf = { .folder = folder, .recording = recording, .conditions = conditions };

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, "Run");
  tide_conditions_set (conditions, TIDE_CONDITION_DEVICE, "Survey tablet");
  measure_size (conditions);
  open_shelf (&shelf);
  race_list (&shelf);
  shelf.id = 0; /* the short ones stay */
  race_long_run (&shelf);
  close_shelf (&shelf);
  bench_delete_folder (folder);
  return 0;
}
