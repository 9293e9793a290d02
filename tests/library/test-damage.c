/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Failing statements and damaged files: an error that says so, and never anything worse. */
#include <string.h>

#include "library/store-private.h"
#include "support.h"

/* --- Failures of any statement --- */

typedef gboolean (*Verb) (TideStore *store, GError **error);

static gboolean
verb_list (TideStore *store, GError **error)
{
  g_autoptr (GPtrArray) list = tide_store_list (store, error);

  return list != NULL;
}

static gboolean
verb_get (TideStore *store, GError **error)
{
  g_autoptr (TideRunInfo) info = tide_store_get (store, 1, error);

  return info != NULL;
}

static gboolean
verb_load (TideStore *store, GError **error)
{
  g_autoptr (TideRecording) recording = tide_store_load (store, 1, error);

  return recording != NULL;
}

static gboolean
verb_sketch (TideStore *store, GError **error)
{
  g_autoptr (GArray) sketch = tide_store_load_sketch (store, 1, 20, error);

  return sketch != NULL;
}

static gboolean
verb_find_name (TideStore *store, GError **error)
{
  return tide_store_find_name (store, "one", NULL, error) >= 0;
}

static gboolean
verb_set_conditions (TideStore *store, GError **error)
{
  g_autoptr (TideConditions) conditions = make_conditions ("one", "");

  return tide_store_set_conditions (store, 1, conditions, error);
}

static gboolean
verb_set_slot (TideStore *store, GError **error)
{
  return tide_store_set_slot (store, 1, 0, error);
}

static gboolean
verb_purge (TideStore *store, GError **error)
{
  return tide_store_purge (store, 0, error);
}

static gboolean
verb_add (TideStore *store, GError **error)
{
  g_autoptr (TideRecording) recording = make_log (500, 1);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();

  return tide_store_add (store, recording, conditions, 1.0, NULL, error) > 0;
}

static const struct
{
  const char *name;
  Verb verb;
} VERBS[] = {
  { "list", verb_list },
  { "get", verb_get },
  { "load", verb_load },
  { "sketch", verb_sketch },
  { "find-name", verb_find_name },
  { "set-conditions", verb_set_conditions },
  { "set-slot", verb_set_slot },
  { "purge", verb_purge },
  { "add", verb_add },
};

typedef struct
{
  int n_left;            /* steps until then */
  gboolean rolling_back; /* which is never broken off: nothing could be told of it */
} Interrupt;

static int
interrupt_cb (void *user_data)
{
  Interrupt *interrupt = user_data;

  return !interrupt->rolling_back && --interrupt->n_left == 0;
}

static int
trace_cb (unsigned type, void *user_data, void *statement, void *sql)
{
  ((Interrupt *)user_data)->rolling_back = g_str_has_prefix (sql, "ROLLBACK");
  return 0;
}

/* Every verb, broken off ever later until it gets through: each time an error and the run there as
 * before, or all of it done. */
static void
test_interrupted (Place *place, gconstpointer unused)
{
  for (guint v = 0; v < G_N_ELEMENTS (VERBS); v++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%u", place->path, v);
      g_autoptr (TideStore) store = open_store (path);
      gboolean done = FALSE;
      guint n_failed = 0;

      add_log (store, "one", "", 1);
      add_log (store, "two", "", 2);
      g_assert_true (tide_store_remove (store, 2, NULL));
      g_test_message ("%s", VERBS[v].name);
      for (int n = 1; !done; n += 1 + n / 10)
        {
          g_autoptr (GError) error = NULL;
          g_autoptr (GPtrArray) list = NULL;
          Interrupt interrupt = { n, FALSE };

          sqlite3_progress_handler (store->db, 1, interrupt_cb, &interrupt);
          sqlite3_trace_v2 (store->db, SQLITE_TRACE_STMT, trace_cb, &interrupt);
          done = VERBS[v].verb (store, &error);
          sqlite3_progress_handler (store->db, 0, NULL, NULL);
          sqlite3_trace_v2 (store->db, 0, NULL, NULL);
          g_assert_true (sqlite3_get_autocommit (store->db));
          list = tide_store_list (store, NULL);
          if (done)
            g_assert_no_error (error);
          else
            {
              assert_trouble (error, TIDE_STORE_ERROR_FAILED, path, "; ");
              g_assert_cmpuint (list->len, ==, 1);
              n_failed++;
            }
        }
      g_assert_cmpuint (n_failed, >, 2);
    }
}

/* Every verb, with each of the tables missing. */
static void
test_missing_tables (Place *place, gconstpointer unused)
{
  const char *const tables[] = { "run", "chunk", "overview", "complaint" };

  for (guint t = 0; t < G_N_ELEMENTS (tables); t++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%u", place->path, t);
      g_autofree char *drop =
          g_strdup_printf ("PRAGMA foreign_keys = OFF; DROP TABLE %s; PRAGMA foreign_keys = ON",
                           tables[t]);
      g_autoptr (TideStore) store = open_store (path);
      guint n_failed = 0;

      add_log (store, "one", "", 1);
      g_assert_true (tide_store_run_sql (store, drop, NULL));
      for (guint v = 0; v < G_N_ELEMENTS (VERBS); v++)
        {
          g_autoptr (GError) error = NULL;

          if (!VERBS[v].verb (store, &error))
            {
              assert_trouble (error, TIDE_STORE_ERROR_FAILED, path, tables[t]);
              n_failed++;
            }
          g_assert_true (sqlite3_get_autocommit (store->db));
        }
      g_assert_cmpuint (n_failed, >=, t == 0 ? G_N_ELEMENTS (VERBS) : 2);
    }
}

/* --- Damage --- */

/* Noise behind the true head of a database. */
static void
test_torn_file (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autofree char *bytes = NULL;
  gsize size;
  g_autoptr (GError) error = NULL;

  add_log (store, "one", "", 1);
  g_clear_pointer (&store, tide_store_free);
  g_assert_true (g_file_get_contents (place->path, &bytes, &size, NULL));
  memset (bytes + 100, 0x5a, size - 100);
  g_assert_true (g_file_set_contents (place->path, bytes, (gssize)size, NULL));
  g_assert_null (tide_store_open (place->path, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_DAMAGED);
  g_assert_nonnull (strstr (error->message, "from a copy"));
}

/* Each breaks what is stored of run 1 in one way; loading says so. */
static void
test_broken_rows (Place *place, gconstpointer unused)
{
  static const struct
  {
    const char *sql;
    gboolean load, sketch; /* which of the two still works */
  } cases[] = {
    { "DELETE FROM chunk WHERE channel = 'voltage' AND seq = 1", FALSE, TRUE },
    { "DELETE FROM chunk WHERE channel = 'time'", FALSE, TRUE },
    { "DELETE FROM chunk WHERE channel = 'power'", FALSE, TRUE },
    { "DELETE FROM chunk WHERE channel = 'voltage'", FALSE, TRUE },
    { "UPDATE chunk SET seq = 7 WHERE channel = 'time' AND seq = 1", FALSE, TRUE },
    { "UPDATE chunk SET n = n - 1 WHERE channel = 'power'", FALSE, TRUE },
    { "UPDATE chunk SET n = -1", FALSE, TRUE },
    { "UPDATE chunk SET data = x'' WHERE channel = 'current'", FALSE, TRUE },
    { "UPDATE chunk SET data = zeroblob(100000)", FALSE, TRUE },
    { "UPDATE chunk SET data = 'text'", FALSE, TRUE },
    { "UPDATE chunk SET data = (SELECT data FROM chunk WHERE channel = 'power' AND seq = 0)"
      " WHERE channel = 'time' AND seq = 0",
      FALSE, TRUE },
    { "UPDATE run SET n_samples = n_samples + 1", FALSE, TRUE },
    { "UPDATE run SET n_samples = 0", FALSE, FALSE },
    { "UPDATE run SET n_samples = -5", FALSE, FALSE },
    { "UPDATE run SET n_samples = 9223372036854775807", FALSE, FALSE },
    { "UPDATE run SET n_samples = 60000000", FALSE, FALSE },
    { "UPDATE run SET n_samples = 'many'", FALSE, FALSE },
    { "DELETE FROM overview WHERE channel = 'time'", TRUE, FALSE },
    { "DELETE FROM overview WHERE channel = 'power'", TRUE, FALSE },
    { "UPDATE overview SET data = x'01020304'", TRUE, FALSE },
    { "UPDATE overview SET data = (SELECT data FROM overview WHERE channel = 'power')"
      " WHERE channel = 'time'",
      TRUE, FALSE },
  };
  g_autoptr (TideStore) store = open_store (place->path);

  g_assert_cmpint (try_add (store, 70000, NULL, NULL), ==, 1);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) load_error = NULL;
      g_autoptr (GError) sketch_error = NULL;
      g_autoptr (TideRecording) recording = NULL;
      g_autoptr (GArray) sketch = NULL;
      g_autoptr (GPtrArray) list = NULL;

      g_test_message ("%s", cases[i].sql);
      g_assert_true (tide_store_run_sql (store, "SAVEPOINT before", NULL));
      g_assert_true (tide_store_run_sql (store, cases[i].sql, NULL));
      g_assert_true (tide_store_run_sql (store, "RELEASE before", NULL));
      recording = tide_store_load (store, 1, &load_error);
      sketch = tide_store_load_sketch (store, 1, 10, &sketch_error);
      g_assert_cmpint (recording != NULL, ==, cases[i].load);
      g_assert_cmpint (sketch != NULL, ==, cases[i].sketch);
      if (!cases[i].load)
        assert_trouble (load_error, TIDE_STORE_ERROR_DAMAGED, place->path, "import its file again");
      if (!cases[i].sketch)
        assert_trouble (sketch_error, TIDE_STORE_ERROR_DAMAGED, place->path, "run 1");
      list = tide_store_list (store, NULL);
      g_assert_cmpuint (list->len, ==, 1);

      /* Next: a whole run again, as number 1. */
      g_assert_true (
          tide_store_run_sql (store, "DELETE FROM run; DELETE FROM sqlite_sequence", NULL));
      g_assert_cmpint (try_add (store, 70000, NULL, NULL), ==, 1);
    }
}

/* Any byte of the file may be wrong: that is an error or goes unseen, but nothing worse. */
static void
test_flipped_file (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GRand) random = g_rand_new_with_seed (20240229);
  g_autofree char *hurt_path = g_strconcat (place->path, "-hurt", NULL);
  g_autofree char *bytes = NULL;
  gsize size;
  guint n_errors = 0;

  for (guint32 i = 0; i < 4; i++)
    add_log (store, "", "Survey tablet", i);
  g_clear_pointer (&store, tide_store_free);
  g_assert_true (g_file_get_contents (place->path, &bytes, &size, NULL));
  for (int round = 0; round < 250; round++)
    {
      g_autofree char *hurt = g_memdup2 (bytes, size);
      g_autoptr (GError) error = NULL;
      g_autoptr (TideStore) hurt_store = NULL;
      g_autoptr (GPtrArray) list = NULL;

      /* Half of the rounds in the head and the schema's page, which decide the most. */
      for (int flips = g_rand_int_range (random, 1, 20); flips > 0; flips--)
        hurt[g_rand_int_range (random, 0, round % 2 ? 16384 : (gint32)size)] ^=
            (char)(1 << g_rand_int_range (random, 0, 8));
      g_assert_true (g_file_set_contents (hurt_path, hurt, (gssize)size, NULL));
      hurt_store = tide_store_open (hurt_path, &error);
      if (hurt_store != NULL)
        list = tide_store_list (hurt_store, &error);
      for (gint64 id = 1; id <= 4 && error == NULL; id++)
        {
          g_autoptr (TideRecording) recording = tide_store_load (hurt_store, id, &error);
          g_autoptr (GArray) sketch = NULL;

          if (error == NULL)
            sketch = tide_store_load_sketch (hurt_store, id, 16, &error);
        }
      if (error != NULL)
        {
          g_assert_true (error->domain == TIDE_STORE_ERROR);
          g_assert_null (strchr (error->message, '\n'));
          n_errors++;
        }
    }
  g_assert_cmpuint (n_errors, >, 50);
}

/* A file that claims to be a library and has none of its tables, or a trap in place of one. */
static void
test_false_library (Place *place, gconstpointer unused)
{
  const char *const schemas[] = {
    "CREATE TABLE letters (text)",
    "CREATE TABLE run (id); INSERT INTO run VALUES (1)",
    "CREATE VIEW run AS SELECT 1 AS id, load_extension('x') AS name",
  };

  for (guint i = 0; i < G_N_ELEMENTS (schemas); i++)
    {
      g_autofree char *path = g_strdup_printf ("%s-%u", place->path, i);
      g_autoptr (GError) error = NULL;
      g_autoptr (TideStore) maker = tide_store_connect (path, &error);
      g_autoptr (TideStore) store = NULL;

      g_assert_true (tide_store_run_sql (maker, schemas[i], &error));
      g_assert_true (
          tide_store_run_sql (maker, "PRAGMA application_id = 0x54696465; PRAGMA user_version = 2",
                              &error));
      g_clear_pointer (&maker, tide_store_free);
      store = open_store (path);
      g_assert_null (tide_store_list (store, &error));
      assert_trouble (error, TIDE_STORE_ERROR_FAILED, path, "the list was not read");
    }
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/damage/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("torn-file", test_torn_file);
  ADD ("interrupted", test_interrupted);
  ADD ("missing-tables", test_missing_tables);
  ADD ("broken-rows", test_broken_rows);
  ADD ("flipped-file", test_flipped_file);
  ADD ("false-library", test_false_library);
  return g_test_run ();
}
