/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The store: what goes in comes out, under its number; edits and removals are kept. */
#include "support.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "library/store-private.h"
#include "recording/overview.h"

static gint64
add_recording (TideStore *store, TideRecording *recording, const char *name)
{
  g_autoptr (TideConditions) conditions = make_conditions (name, "Survey tablet");
  g_autoptr (GError) error = NULL;
  gint64 id = tide_store_add (store, recording, conditions, 12.25, NULL, &error);

  g_assert_no_error (error);
  return id;
}

/* What the list shows, as "1:name 2:name". */
static char *
list_text (TideStore *store)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) list = tide_store_list (store, &error);
  GString *text = g_string_new (NULL);

  g_assert_no_error (error);
  for (guint i = 0; i < list->len; i++)
    {
      const TideRunInfo *info = g_ptr_array_index (list, i);

      g_string_append_printf (text, "%s%" G_GINT64_FORMAT ":%s", i > 0 ? " " : "", info->id,
                              tide_conditions_get (info->conditions, TIDE_CONDITION_NAME));
    }
  return g_string_free (text, FALSE);
}

static void
assert_list (TideStore *store, const char *expected)
{
  g_autofree char *text = list_text (store);

  g_assert_cmpstr (text, ==, expected);
}

/* --- Round trips --- */

static void
test_round_trip (Place *place, gconstpointer unused)
{
  const gsize lengths[] = { 2, 3, 255, 65535, 65536, 65537, 140000 };
  g_autoptr (TideStore) store = open_store (place->path);

  for (guint i = 0; i < G_N_ELEMENTS (lengths); i++)
    {
      g_autoptr (TideRecording) recording = make_log (lengths[i], i);
      gint64 id = add_recording (store, recording, "");
      g_autoptr (TideRecording) back = NULL;
      g_autoptr (GError) error = NULL;

      g_clear_pointer (&store, tide_store_free);
      store = open_store (place->path);
      back = tide_store_load (store, id, &error);
      g_assert_no_error (error);
      assert_same_recording (recording, back);
    }
}

/* Power that was computed, columns beyond the four, no columns but two, values that are no
 * decimals, nothing known of a file. */
static void
test_other_columns (Place *place, gconstpointer unused)
{
  enum
  {
    N = 1000
  };
  g_autoptr (TideStore) store = open_store (place->path);
  double values[TIDE_N_QUANTITIES][N];

  for (int i = 0; i < N; i++)
    {
      values[TIDE_QUANTITY_TIME][i] = i / 3.0;
      values[TIDE_QUANTITY_VOLTAGE][i] = 5.0 + 0.01 * (i % 7);
      values[TIDE_QUANTITY_CURRENT][i] = 1e-3 * (i % 13);
      values[TIDE_QUANTITY_POWER][i] =
          values[TIDE_QUANTITY_VOLTAGE][i] * values[TIDE_QUANTITY_CURRENT][i];
      values[TIDE_QUANTITY_ENERGY][i] = i * 1e-6;
      values[TIDE_QUANTITY_CHARGE][i] = i * -1e-7 - 0.0;
      for (int q = TIDE_QUANTITY_TEMPERATURE; q < TIDE_N_QUANTITIES; q++)
        values[q][i] = i % 2 ? -0.0 : 1e300;
    }
  /* 71 is odd: every column is there and is not, in many company */
  for (guint present = 0; present < 1u << TIDE_N_QUANTITIES; present += 71)
    {
      const guint factors = 1u << TIDE_QUANTITY_VOLTAGE | 1u << TIDE_QUANTITY_CURRENT;
      guint with = present | 1u << TIDE_QUANTITY_TIME | 1u << TIDE_QUANTITY_POWER;
      gboolean logged = (with & factors) != factors;
      const double *columns[TIDE_N_QUANTITIES] = { NULL };
      TideProvenance provenance = { 0 };
      g_autoptr (GPtrArray) complaints = tide_complaints_new ();
      g_autoptr (GError) error = NULL;
      g_autoptr (TideRecording) recording = NULL;
      g_autoptr (TideRecording) back = NULL;

      for (int q = 0; q < TIDE_N_QUANTITIES; q++)
        columns[q] = with & 1u << q ? values[q] : NULL;
      recording = tide_recording_restore (N, columns, logged, &provenance, 1, complaints, &error);
      g_assert_no_error (error);
      back = tide_store_load (store, add_recording (store, recording, ""), &error);
      g_assert_no_error (error);
      assert_same_recording (recording, back);
    }
}

/* Goal 7 of the project's performance goals: a library takes at most 0.16 of its logs. */
static void
test_size (Place *place, gconstpointer unused)
{
  const gsize n = 200000;
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (n, 1);
  const double *columns[4];
  gsize csv_size = strlen ("time_s,voltage_V,current_A,power_W\n");
  GStatBuf file;

  for (int q = 0; q < 4; q++)
    columns[q] = tide_recording_get_column (recording, (TideQuantity)q);
  for (gsize i = 0; i < n; i++)
    csv_size += (gsize)snprintf (NULL, 0, "%.4f,%.4f,%.4f,%.4f\n", columns[0][i], columns[1][i],
                                 columns[2][i], columns[3][i]);
  add_recording (store, recording, "");
  g_clear_pointer (&store, tide_store_free);
  g_assert_cmpint (g_stat (place->path, &file), ==, 0);
  g_test_message ("library %.4f of the log", (double)file.st_size / (double)csv_size);
  g_assert_cmpfloat ((double)file.st_size / (double)csv_size, <=, 0.16);
}

/* --- The list --- */

static void
test_info (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (1000, 5);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRunInfo) info = NULL;
  g_autoptr (TideRunInfo) copy = NULL;
  gint64 before_us = g_get_real_time ();
  gint64 id;

  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    {
      g_autofree char *text = g_strdup_printf ("field %d '; DROP TABLE run; --\"√", field);

      tide_conditions_set (conditions, (TideCondition)field, text);
    }
  id = tide_store_add (store, recording, conditions, 12.25, NULL, &error);
  g_assert_no_error (error);
  info = tide_store_get (store, id, &error);
  g_assert_no_error (error);
  copy = tide_run_info_copy (info);
  g_clear_pointer (&info, tide_run_info_free);

  g_assert_cmpint (copy->id, ==, id);
  g_assert_true (tide_conditions_equal (copy->conditions, conditions));
  g_assert_cmpstr (copy->file, ==, "log 5.csv");
  g_assert_cmpstr (copy->sha256, ==, tide_recording_get_sha256 (recording));
  g_assert_cmpuint (copy->part, ==, 2);
  g_assert_cmpint (copy->added_us, >=, before_us);
  g_assert_cmpint (copy->added_us, <=, g_get_real_time ());
  g_assert_cmpuint (copy->n_samples, ==, 1000);
  g_assert_cmpfloat (copy->duration_s, ==, tide_recording_get_duration_s (recording));
  g_assert_cmpfloat (copy->energy_wh, ==, 12.25);
  g_assert_cmpuint (copy->slot, ==, 0);
}

static void
test_unknown_energy (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (10, 0);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autoptr (GError) error = NULL;
  gint64 id = tide_store_add (store, recording, conditions, NAN, NULL, &error);
  g_autoptr (TideRunInfo) info = tide_store_get (store, id, &error);

  g_assert_no_error (error);
  g_assert_true (isnan (info->energy_wh));
}

static void
test_order (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);

  assert_list (store, "");
  add_log (store, "one", "b", 1);
  add_log (store, "two", "a", 2);
  add_log (store, "three", "b", 3);
  add_log (store, "four", "", 4);
  add_log (store, "five", "a", 5);
  assert_list (store, "4:four 2:two 5:five 1:one 3:three");
}

static int
count_statement_cb (unsigned type, void *count, void *statement, void *sql)
{
  *(int *)count += 1;
  return 0;
}

static void
test_one_statement (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  int n_statements = 0;

  for (guint32 i = 0; i < 20; i++)
    add_log (store, "", "a", i);
  sqlite3_trace_v2 (store->db, SQLITE_TRACE_STMT, count_statement_cb, &n_statements);
  g_free (list_text (store));
  sqlite3_trace_v2 (store->db, 0, NULL, NULL);
  g_assert_cmpint (n_statements, ==, 1);
}

/* --- Names, slots, files --- */

static void
test_default_names (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (10, 7);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (add_recording (store, recording, ""), ==, 1);
  g_assert_cmpint (add_recording (store, recording, ""), ==, 2);
  tide_store_remove (store, 2, &error);
  g_assert_no_error (error);
  g_assert_cmpint (add_recording (store, recording, "  "), ==, 3);
  g_assert_cmpint (add_recording (store, recording, "log 7"), ==, 4);
  tide_store_restore (store, 2, &error);
  g_assert_no_error (error);
  assert_list (store, "1:log 7 2:log 7 (2) 3:log 7 (3) 4:log 7");
}

static void
test_names_of_files (Place *place, gconstpointer unused)
{
  static const struct
  {
    const char *file, *name;
  } cases[] = {
    { "a.b.csv", "a.b" },        { "plain", "plain" }, { ".hidden", ".hidden" },
    { "folder/x.txt", "x" },     { NULL, "Run" },      { NULL, "Run (2)" },
    { " .csv", "Run (3)" },      { " y .csv", "y" },   { "y.csv", "y (2)" },
    { "bad \xff.csv", "bad �" },
  };
  g_autoptr (TideStore) store = open_store (place->path);
  const double times[] = { 0, 1 }, powers[] = { 1, 2 };
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = times, [TIDE_QUANTITY_POWER] = powers
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideProvenance provenance = { .file = cases[i].file };
      g_autoptr (GPtrArray) complaints = tide_complaints_new ();
      g_autoptr (GError) error = NULL;
      g_autoptr (TideRecording) recording =
          tide_recording_restore (2, columns, TRUE, &provenance, 1, complaints, &error);
      g_autoptr (TideRunInfo) info = NULL;

      g_assert_no_error (error);
      info = tide_store_get (store, add_recording (store, recording, ""), &error);
      g_assert_no_error (error);
      g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==,
                       cases[i].name);
    }
}

/* A file can hold ten thousand recordings, which are all called after it. */
static void
test_many_names (Place *place, gconstpointer unused)
{
  static const char sql[] =
      "WITH RECURSIVE k (i) AS (SELECT 2 UNION ALL SELECT i + 1 FROM k WHERE i < 20000)"
      " INSERT INTO run (name, device, port, mode, supply, cable, meter, ambient, date, notes, "
      "part,"
      " start_us, skipped_rows, power_logged, n_samples, duration_s, slot, added_us)"
      " SELECT printf ('log 7 (%d)', i), '', '', '', '', '', '', '', '', '', 1, 0, 0, 1, 2, 1, 0, 0"
      " FROM k";
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (10, 7);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (add_recording (store, recording, "log 7"), ==, 1);
  g_assert_cmpint (sqlite3_exec (store->db, sql, NULL, NULL, NULL), ==, SQLITE_OK);
  g_test_timer_start ();
  gint64 id = add_recording (store, recording, "");
  g_assert_cmpfloat (g_test_timer_elapsed (), <, 3);
  g_autoptr (TideRunInfo) info = tide_store_get (store, id, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==,
                   "log 7 (20001)");
}

static void
test_find (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GError) error = NULL;
  guint n_matches = 99;

  add_log (store, "other", "", 8);
  add_log (store, "twin", "", 9);
  add_log (store, "twin", "", 9);
  g_assert_cmpint (tide_store_find_name (store, "twin", &n_matches, &error), ==, 2);
  g_assert_cmpuint (n_matches, ==, 2);
  g_assert_true (tide_store_remove (store, 2, &error));
  g_assert_cmpint (tide_store_find_name (store, "twin", &n_matches, &error), ==, 3);
  g_assert_cmpuint (n_matches, ==, 1);
  g_assert_cmpint (tide_store_find_name (store, "Twin", &n_matches, &error), ==, 0);
  g_assert_cmpuint (n_matches, ==, 0);
  g_assert_cmpint (tide_store_find_name (store, "other", NULL, &error), ==, 1);
  g_assert_no_error (error);
}

static guint
get_slot (TideStore *store, gint64 id)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRunInfo) info = tide_store_get (store, id, &error);

  g_assert_no_error (error);
  return info->slot;
}

static void
test_slots (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (get_slot (store, add_log (store, "a", "x", 1)), ==, 0);
  g_assert_cmpuint (get_slot (store, add_log (store, "b", "y", 2)), ==, 0);
  g_assert_cmpuint (get_slot (store, add_log (store, "c", "x", 3)), ==, 1);
  g_assert_cmpuint (get_slot (store, add_log (store, "d", "x", 4)), ==, 2);
  g_assert_true (tide_store_set_slot (store, 1, 7, &error));
  g_assert_cmpuint (get_slot (store, 1), ==, 7);
  g_assert_cmpuint (get_slot (store, add_log (store, "e", "x", 5)), ==, 0);
  g_assert_true (tide_store_remove (store, 3, &error));
  g_assert_cmpuint (get_slot (store, add_log (store, "f", "x", 6)), ==, 1);
  g_assert_no_error (error);
}

/* --- Edits and removal --- */

static void
test_edit (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideConditions) conditions = make_conditions ("new", "z");
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRunInfo) info = NULL;

  add_log (store, "one", "a", 1);
  add_log (store, "two", "b", 2);
  tide_conditions_set (conditions, TIDE_CONDITION_NOTES, "two\nlines");
  g_assert_true (tide_store_set_conditions (store, 1, conditions, &error));
  g_assert_no_error (error);
  assert_list (store, "2:two 1:new");
  info = tide_store_get (store, 1, &error);
  g_assert_true (tide_conditions_equal (info->conditions, conditions));
}

static void
test_no_run (Place *place, gconstpointer unused)
{
  const gint64 ids[] = { 0, 3, -1, G_MAXINT64, 2 }; /* 2 is hidden */
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();

  add_log (store, "one", "a", 1);
  add_log (store, "two", "a", 2);
  g_assert_true (tide_store_remove (store, 2, NULL));
  for (guint i = 0; i < G_N_ELEMENTS (ids); i++)
    {
      GError *errors[6] = { NULL };

      g_assert_null (tide_store_get (store, ids[i], &errors[0]));
      g_assert_null (tide_store_load (store, ids[i], &errors[1]));
      g_assert_null (tide_store_load_sketch (store, ids[i], 8, &errors[2]));
      g_assert_false (tide_store_set_conditions (store, ids[i], conditions, &errors[3]));
      g_assert_false (tide_store_set_slot (store, ids[i], 1, &errors[4]));
      g_assert_false (tide_store_remove (store, ids[i], &errors[5]));
      for (guint e = 0; e < G_N_ELEMENTS (errors); e++)
        {
          g_assert_error (errors[e], TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN);
          g_assert_nonnull (strstr (errors[e]->message, place->path));
          g_error_free (errors[e]);
        }
    }
  assert_list (store, "1:one");
}

/* A removed run outlives a restart, comes back whole, and its number is never given again. */
static void
test_removal (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (70000, 3);
  g_autoptr (TideRecording) back = NULL;
  g_autoptr (GError) error = NULL;
  gint64 id = add_recording (store, recording, "kept");

  g_assert_true (tide_store_remove (store, id, &error));
  g_assert_true (tide_store_purge (store, 3600, &error));
  g_clear_pointer (&store, tide_store_free);
  store = open_store (place->path);
  assert_list (store, "");
  g_assert_true (tide_store_restore (store, id, &error));
  g_assert_no_error (error);
  assert_list (store, "1:kept");
  back = tide_store_load (store, id, &error);
  g_assert_no_error (error);
  assert_same_recording (recording, back);

  g_assert_true (tide_store_remove (store, id, &error));
  g_assert_true (tide_store_purge (store, 0, &error));
  g_assert_false (tide_store_restore (store, id, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN);
  g_assert_cmpint (add_recording (store, recording, "next"), ==, 2);
}

static gint64
count_rows (TideStore *store, const char *table)
{
  g_autofree char *sql = g_strdup_printf ("SELECT count(*) FROM %s", table);
  g_autoptr (GError) error = NULL;
  gint64 n = -1;

  tide_store_get_int (store, sql, &n, &error);
  g_assert_no_error (error);
  return n;
}

/* Purging leaves no row and gives the pages back. */
static void
test_purge (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (200000, 3);
  g_autoptr (GError) error = NULL;
  gint64 pages_before, pages_after, pages_free;

  add_log (store, "stays", "", 1);
  g_assert_true (tide_store_get_int (store, "PRAGMA page_count", &pages_before, &error));
  add_recording (store, recording, "goes");
  g_assert_true (tide_store_remove (store, 2, &error));
  g_assert_true (tide_store_purge (store, 0, &error));
  g_assert_no_error (error);
  g_assert_cmpint (count_rows (store, "run"), ==, 1);
  g_assert_cmpint (count_rows (store, "chunk WHERE run = 2"), ==, 0);
  g_assert_cmpint (count_rows (store, "overview WHERE run = 2"), ==, 0);
  g_assert_cmpint (count_rows (store, "complaint WHERE run = 2"), ==, 0);
  g_assert_cmpint (count_rows (store, "chunk"), ==, 4);
  g_assert_true (tide_store_get_int (store, "PRAGMA page_count", &pages_after, &error));
  g_assert_true (tide_store_get_int (store, "PRAGMA freelist_count", &pages_free, &error));
  g_assert_cmpint (pages_free, ==, 0);
  g_assert_cmpint (pages_after, <=, pages_before + 2);
}

/* --- The sketch --- */

static TideRecording *
make_power (const double *times, const double *powers, gsize n)
{
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = times, [TIDE_QUANTITY_POWER] = powers
  };
  TideProvenance provenance = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  TideRecording *recording =
      tide_recording_restore (n, columns, TRUE, &provenance, 1, complaints, &error);

  g_assert_no_error (error);
  return recording;
}

static char *
sketch_text (TideStore *store, gint64 id, guint n_columns)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) sketch = tide_store_load_sketch (store, id, n_columns, &error);
  GString *text = g_string_new (NULL);

  g_assert_no_error (error);
  for (guint i = 0; i < sketch->len; i++)
    {
      TideRange range = g_array_index (sketch, TideRange, i);

      g_string_append_printf (text, "%s%g..%g", i > 0 ? " " : "", range.low, range.high);
    }
  return g_string_free (text, FALSE);
}

static void
test_short_sketches (Place *place, gconstpointer unused)
{
  static const double times[] = { 0, 1, 2, 3, 90, 100 };
  static const double powers[] = { 5, 1, 7, 4, 2, 9 };
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) all = make_power (times, powers, 6);
  g_autoptr (TideRecording) two = make_power (times, powers, 2);
  gint64 id_of_all = add_recording (store, all, "");
  gint64 id_of_two = add_recording (store, two, "");
  static const struct
  {
    gboolean of_two;
    guint n_columns;
    const char *text;
  } cases[] = {
    { FALSE, 1, "1..9" },
    { FALSE, 2, "1..7 2..9" },
    { FALSE, 5, "1..7 4..4 4..4 4..4 2..9" }, /* the gap keeps the last power */
    { TRUE, 4, "5..5 5..5 5..5 1..5" },
    { TRUE, 1, "1..5" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text =
          sketch_text (store, cases[i].of_two ? id_of_two : id_of_all, cases[i].n_columns);

      g_assert_cmpstr (text, ==, cases[i].text);
    }
}

/* A long sketch loses no extreme, and reads no samples. */
static void
test_long_sketch (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (300000, 4);
  const double *powers = tide_recording_get_column (recording, TIDE_QUANTITY_POWER);
  double low = INFINITY, high = -INFINITY, drawn_low = INFINITY, drawn_high = -INFINITY;
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) sketch = NULL;
  gint64 id = add_recording (store, recording, "");

  g_assert_true (tide_store_run_sql (store, "DELETE FROM chunk", &error));
  sketch = tide_store_load_sketch (store, id, 64, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (sketch->len, ==, 64);
  for (gsize i = 0; i < 300000; i++)
    {
      low = MIN (low, powers[i]);
      high = MAX (high, powers[i]);
    }
  for (guint i = 0; i < sketch->len; i++)
    {
      TideRange range = g_array_index (sketch, TideRange, i);

      /* Each column holds the range of its own samples. */
      for (gsize s = i * 300000 / 64 + 300; s < (i + 1) * 300000 / 64 - 300; s++)
        g_assert_true (range.low <= powers[s] && powers[s] <= range.high);
      drawn_low = MIN (drawn_low, range.low);
      drawn_high = MAX (drawn_high, range.high);
    }
  g_assert_cmpfloat (drawn_low, ==, low);
  g_assert_cmpfloat (drawn_high, ==, high);
}

/* --- Complaints --- */

static void
test_complaints (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_log (100, 1);
  gint64 id = add_recording (store, recording, "");
  g_autoptr (GError) error = NULL;
  guint64 skipped = 77;
  g_autoptr (GPtrArray) complaints = tide_store_get_complaints (store, id, &skipped, &error);
  GPtrArray *expected = tide_recording_get_complaints (recording);

  g_assert_no_error (error);
  g_assert_cmpuint (skipped, ==, tide_recording_get_skipped_rows (recording));
  g_assert_cmpuint (complaints->len, ==, expected->len);
  for (guint i = 0; i < expected->len; i++)
    {
      g_autofree char *found = tide_complaint_to_text (g_ptr_array_index (complaints, i));
      g_autofree char *wanted = tide_complaint_to_text (g_ptr_array_index (expected, i));

      g_assert_cmpstr (found, ==, wanted);
    }
  g_assert_null (tide_store_get_complaints (store, id + 1, NULL, &error));
  assert_trouble (error, TIDE_STORE_ERROR_NO_RUN, place->path, "no run 2");
}

/* --- Where --- */

static void
test_paths (Place *place, gconstpointer unused)
{
  g_autofree char *usual = tide_store_default_path ();
  g_autofree char *deep = g_build_filename (place->folder, "a", "b", "c.db", NULL);
  g_autofree char *odd = g_build_filename (place->folder, "file:x?mode=memory", NULL);
  g_autofree char *here = g_get_current_dir ();
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (deep, &error);
  g_autoptr (TideStore) strange = NULL;
  g_autoptr (TideStore) memory = NULL;

  g_assert_no_error (error);
  g_assert_true (g_str_has_suffix (usual, "/tidemark/library.db"));
  g_assert_cmpstr (tide_store_get_path (store), ==, deep);
  strange = tide_store_open (odd, &error);
  g_assert_no_error (error);
  g_assert_true (g_file_test (odd, G_FILE_TEST_IS_REGULAR));
  /* A name that SQLite would take for a database in memory is a file like any other. */
  g_assert_cmpint (g_chdir (place->folder), ==, 0);
  memory = tide_store_open (":memory:", &error);
  g_assert_no_error (error);
  g_assert_true (g_file_test (":memory:", G_FILE_TEST_IS_REGULAR));
  g_assert_cmpint (g_chdir (here), ==, 0);
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/store/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("round-trip", test_round_trip);
  ADD ("other-columns", test_other_columns);
  ADD ("size", test_size);
  ADD ("info", test_info);
  ADD ("unknown-energy", test_unknown_energy);
  ADD ("order", test_order);
  ADD ("one-statement", test_one_statement);
  ADD ("default-names", test_default_names);
  ADD ("names-of-files", test_names_of_files);
  ADD ("many-names", test_many_names);
  ADD ("find", test_find);
  ADD ("slots", test_slots);
  ADD ("edit", test_edit);
  ADD ("no-run", test_no_run);
  ADD ("removal", test_removal);
  ADD ("purge", test_purge);
  ADD ("short-sketches", test_short_sketches);
  ADD ("long-sketch", test_long_sketch);
  ADD ("complaints", test_complaints);
  ADD ("paths", test_paths);
  return g_test_run ();
}
