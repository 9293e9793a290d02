/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schema: built from nothing, led from step to step, refused where it is not ours. */
#include "library/known-private.h"
#include "library/schema-private.h"

#include <string.h>

#include "support.h"

static TideStore *
connect_store (const Place *place)
{
  g_autoptr (GError) error = NULL;
  TideStore *store = tide_store_connect (place->path, &error);

  g_assert_no_error (error);
  return store;
}

static void
run_sql (TideStore *store, const char *sql)
{
  g_autoptr (GError) error = NULL;

  tide_store_run_sql (store, sql, &error);
  g_assert_no_error (error);
}

static gint64
get_int (TideStore *store, const char *sql)
{
  g_autoptr (GError) error = NULL;
  gint64 value = -1;

  tide_store_get_int (store, sql, &value, &error);
  g_assert_no_error (error);
  return value;
}

static char *
get_text (TideStore *store, const char *sql)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (sqlite3_stmt) statement = tide_store_prepare (store, sql, &error);

  g_assert_no_error (error);
  g_assert_true (tide_store_step (store, statement, NULL, &error));
  return tide_sql_get_text (statement, 0);
}

/* What performance asks of a new file, and the marks by which it is known. */
static void
test_new_file (Place *place, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (place->path, &error);
  g_autofree char *journal = NULL;

  g_assert_no_error (error);
  journal = get_text (store, "PRAGMA journal_mode");
  g_assert_cmpstr (journal, ==, "wal");
  g_assert_cmpint (get_int (store, "PRAGMA page_size"), ==, 16384);
  g_assert_cmpint (get_int (store, "PRAGMA auto_vacuum"), ==, 2);   /* incremental */
  g_assert_cmpint (get_int (store, "PRAGMA synchronous"), ==, 2);   /* full */
  g_assert_cmpint (get_int (store, "PRAGMA secure_delete"), ==, 2); /* fast */
  g_assert_cmpint (get_int (store, "PRAGMA foreign_keys"), ==, 1);
  g_assert_cmpint (get_int (store, "PRAGMA application_id"), ==, TIDE_SCHEMA_APPLICATION_ID);
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, tide_schema_n_steps);
  g_assert_cmpint (get_int (store, "SELECT count(*) FROM pragma_integrity_check"
                                   " WHERE integrity_check <> 'ok'"),
                   ==, 0);
}

/* Every condition has its column. */
static void
test_conditions (Place *place, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (place->path, &error);

  g_assert_no_error (error);
  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    {
      g_autofree char *sql =
          g_strdup_printf ("SELECT count(*) FROM pragma_table_info('run') WHERE name = '%s'",
                           tide_condition_get_id ((TideCondition)field));

      g_assert_cmpint (get_int (store, sql), ==, 1);
    }
}

/* A file of each older schema is led to the present one: the same tables as a new file has. */
static void
test_from_each_step (Place *place, gconstpointer unused)
{
  const char *dump = "SELECT group_concat(sql, char(10)) FROM"
                     " (SELECT sql FROM sqlite_schema ORDER BY name)";
  g_autofree char *fresh_path = g_strconcat (place->path, "-fresh", NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) fresh = tide_store_open (fresh_path, &error);
  g_autofree char *expected = NULL;

  g_assert_no_error (error);
  expected = get_text (fresh, dump);
  for (guint n = 1; n <= tide_schema_n_steps; n++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%u", place->path, n);
      g_autoptr (TideStore) old = tide_store_connect (path, &error);
      g_autoptr (TideStore) store = NULL;
      g_autofree char *found = NULL;

      g_assert_true (tide_schema_upgrade (old, tide_schema_steps, n, &error));
      g_assert_cmpint (get_int (old, "PRAGMA user_version"), ==, n);
      g_clear_pointer (&old, tide_store_free);
      store = tide_store_open (path, &error);
      g_assert_no_error (error);
      found = get_text (store, dump);
      g_assert_cmpstr (found, ==, expected);
    }
}

/* A file that an older version made, with what it wrote in it (schema-1.sql): its run comes
 * through, and it takes rules. */
static void
test_old_file (Place *place, gconstpointer unused)
{
  const double currents_a[] = { 1.5, 1.49, 1.51, 1.5, 1.5, 1.5, 1.5 };
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "library", "schema-1.sql", NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = connect_store (place);
  g_autoptr (TideRunInfo) info = NULL;
  g_autoptr (TideRecording) recording = NULL;
  g_autofree char *sql = NULL;

  g_assert_true (g_file_get_contents (path, &sql, NULL, &error));
  run_sql (store, sql);
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, 1);
  g_clear_pointer (&store, tide_store_free);

  store = open_store (place->path);
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, tide_schema_n_steps);
  info = tide_store_get (store, 1, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==, "Left port");
  recording = tide_store_load (store, 1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tide_recording_get_n_samples (recording), ==, G_N_ELEMENTS (currents_a));
  g_assert_cmpmem (tide_recording_get_column (recording, TIDE_QUANTITY_CURRENT), sizeof currents_a,
                   currents_a, sizeof currents_a);
  g_assert_cmpuint (tide_recording_get_complaints (recording)->len, ==, 1);
  g_assert_cmpint (tide_store_save_rule (store, "port", "Time", "[rule]", &error), ==, 1);
  g_assert_no_error (error);

  /* where its names stand is not known; it is known again all the same */
  TideRecordingPlace where = { NULL, 7, 1, info->part };
  g_autoptr (TideKnown) known = tide_known_new (store, info->sha256, &error);
  g_assert_no_error (error);
  g_assert_cmpint (tide_known_find (known, &where), ==, 1);
  where.nth++;
  g_assert_cmpint (tide_known_find (known, &where), ==, 0);
}

/* Steps run once each, in order, and leave what is in the file alone. */
static void
test_steps (Place *place, gconstpointer unused)
{
  const char *const steps[] = {
    "CREATE TABLE log (step INTEGER); INSERT INTO log VALUES (1)",
    "INSERT INTO log VALUES (2); ALTER TABLE log ADD COLUMN note TEXT DEFAULT 'none'",
    "INSERT INTO log (step, note) VALUES (3, 'three')",
  };
  g_autoptr (TideStore) store = connect_store (place);
  g_autoptr (GError) error = NULL;
  g_autofree char *found = NULL;

  g_assert_true (tide_schema_check (store, 3, &error));
  g_assert_true (tide_schema_upgrade (store, steps, 1, &error));
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, 1);
  run_sql (store, "INSERT INTO log VALUES (77)");
  g_assert_true (tide_schema_check (store, 3, &error));
  g_assert_true (tide_schema_upgrade (store, steps, 3, &error));
  g_assert_true (tide_schema_upgrade (store, steps, 3, &error));
  g_assert_no_error (error);
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, 3);
  found = get_text (store, "SELECT group_concat(step || note, ' ') FROM log");
  g_assert_cmpstr (found, ==, "1none 77none 2none 3three");
}

/* A step that fails half-way leaves nothing of itself; those before it stand. */
static void
test_failing_step (Place *place, gconstpointer unused)
{
  const char *const steps[] = { "CREATE TABLE log (step INTEGER)",
                                "INSERT INTO log VALUES (2); INSERT INTO nowhere VALUES (1)" };
  g_autoptr (TideStore) store = connect_store (place);
  g_autoptr (GError) error = NULL;

  g_assert_false (tide_schema_upgrade (store, steps, 2, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_FAILED);
  g_assert_nonnull (strstr (error->message, "nowhere"));
  g_assert_cmpint (get_int (store, "PRAGMA user_version"), ==, 1);
  g_assert_cmpint (get_int (store, "SELECT count(*) FROM log"), ==, 0);
}

/* Files that are no library of this version, and what they are told. */
static void
test_refusals (Place *place, gconstpointer unused)
{
  static const struct
  {
    const char *what, *sql, *text;
    TideStoreError code;
  } cases[] = {
    { "newer", "PRAGMA application_id = 0x54696465; PRAGMA user_version = 99", "schema 99",
      TIDE_STORE_ERROR_TOO_NEW },
    { "another program's", "PRAGMA application_id = 0x12345678; PRAGMA user_version = 1",
      "choose another", TIDE_STORE_ERROR_NOT_OURS },
    { "someone's tables", "CREATE TABLE letters (text)", "choose another",
      TIDE_STORE_ERROR_NOT_OURS },
    { "someone's version", "PRAGMA user_version = 1", "choose another", TIDE_STORE_ERROR_NOT_OURS },
    { "negative version", "PRAGMA application_id = 0x54696465; PRAGMA user_version = -1",
      "choose another", TIDE_STORE_ERROR_NOT_OURS },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%u", place->path, i);
      g_autoptr (GError) error = NULL;
      g_autoptr (TideStore) store = tide_store_connect (path, &error);
      g_autofree char *before = NULL, *after = NULL;
      gsize size_before, size_after;

      run_sql (store, cases[i].sql);
      g_clear_pointer (&store, tide_store_free);
      g_assert_true (g_file_get_contents (path, &before, &size_before, NULL));
      g_test_message ("%s", cases[i].what);
      g_assert_null (tide_store_open (path, &error));
      g_assert_error (error, TIDE_STORE_ERROR, (int)cases[i].code);
      g_assert_nonnull (strstr (error->message, path));
      g_assert_nonnull (strstr (error->message, cases[i].text));
      /* Not a byte of it was touched. */
      g_assert_true (g_file_get_contents (path, &after, &size_after, NULL));
      g_assert_cmpmem (before, size_before, after, size_after);
    }
}

/* An empty file, as a person makes with touch, becomes a library. */
static void
test_empty_file (Place *place, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = NULL;

  g_assert_true (g_file_set_contents (place->path, "", 0, &error));
  store = tide_store_open (place->path, &error);
  g_assert_no_error (error);
  g_assert_cmpint (get_int (store, "PRAGMA page_size"), ==, 16384);
}

static gpointer
open_in_thread (gpointer path)
{
  GError *error = NULL;
  TideStore *store = tide_store_open (path, &error);

  tide_store_free (store);
  return error;
}

/* Several programs that make the same new file at the same moment all get it. */
static void
test_race (Place *place, gconstpointer unused)
{
  for (int round = 0; round < 10; round++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%d", place->path, round);
      GThread *threads[6];

      for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
        threads[i] = g_thread_new ("open", open_in_thread, path);
      for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
        {
          g_autoptr (GError) error = g_thread_join (threads[i]);

          g_assert_no_error (error);
        }
    }
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/schema/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("new-file", test_new_file);
  ADD ("conditions", test_conditions);
  ADD ("from-each-step", test_from_each_step);
  ADD ("old-file", test_old_file);
  ADD ("steps", test_steps);
  ADD ("failing-step", test_failing_step);
  ADD ("refusals", test_refusals);
  ADD ("empty-file", test_empty_file);
  ADD ("race", test_race);
  return g_test_run ();
}
