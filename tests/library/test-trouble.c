/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The store in trouble: nothing is lost, nothing is half there, and one line says why. */
#define _GNU_SOURCE
#include "library/store-private.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <sched.h>
#include <signal.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support.h"

static TideStore *
open_store (const char *path)
{
  g_autoptr (GError) error = NULL;
  TideStore *store = tide_store_open (path, &error);

  g_assert_no_error (error);
  return store;
}

/* The message is one line that names the file and what became of the verb. */
static void
assert_trouble (const GError *error, TideStoreError code, const char *path, const char *outcome)
{
  g_assert_error (error, TIDE_STORE_ERROR, (int)code);
  g_assert_nonnull (strstr (error->message, path));
  g_assert_nonnull (strstr (error->message, outcome));
  g_assert_null (strchr (error->message, '\n'));
}

static gint64
try_add (TideStore *store, gsize n, GCancellable *cancellable, GError **error)
{
  g_autoptr (TideRecording) recording = make_log (n, 42);
  g_autoptr (TideConditions) conditions = make_conditions ("big", "Survey tablet");

  return tide_store_add (store, recording, conditions, 1.0, cancellable, error);
}

/* Exactly the runs 1 .. n are there, all of them whole, and the file is sound. */
static void
assert_whole (const char *path, guint n)
{
  g_autoptr (TideStore) store = open_store (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) list = tide_store_list (store, &error);
  gint64 n_others = -1, n_faults = -1;

  g_assert_no_error (error);
  g_assert_cmpuint (list->len, ==, n);
  for (guint i = 0; i < n; i++)
    {
      const TideRunInfo *info = g_ptr_array_index (list, i);
      g_autoptr (TideRecording) recording = tide_store_load (store, info->id, &error);

      g_assert_no_error (error);
      g_assert_cmpint (info->id, ==, i + 1);
    }
  tide_store_get_int (store,
                      "SELECT (SELECT count(*) FROM chunk WHERE run NOT IN (SELECT id FROM run))"
                      " + (SELECT count(*) FROM overview WHERE run NOT IN (SELECT id FROM run))"
                      " + (SELECT count(*) FROM complaint WHERE run NOT IN (SELECT id FROM run))",
                      &n_others, &error);
  g_assert_cmpint (n_others, ==, 0);
  tide_store_get_int (store,
                      "SELECT count(*) FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
                      &n_faults, &error);
  g_assert_cmpint (n_faults, ==, 0);
  g_assert_no_error (error);
}

/* --- Opening --- */

static void
test_opening (Place *place, gconstpointer unused)
{
  g_autofree char *file = g_build_filename (place->folder, "file", NULL);
  g_autofree char *under_file = g_build_filename (file, "library.db", NULL);
  g_autofree char *folder = g_build_filename (place->folder, "folder", NULL);
  const struct
  {
    const char *path;
    TideStoreError code;
  } cases[] = {
    { file, TIDE_STORE_ERROR_NOT_OURS },
    { under_file, TIDE_STORE_ERROR_OPEN },
    { folder, TIDE_STORE_ERROR_OPEN },
    { "/proc/library.db", TIDE_STORE_ERROR_OPEN },
    { "/proc/deeper/library.db", TIDE_STORE_ERROR_OPEN },
    { "", TIDE_STORE_ERROR_OPEN },
  };
  const char text[] = "time_s,power_W\n0,1\n";
  g_autofree char *after = NULL;

  g_assert_true (g_file_set_contents (file, text, -1, NULL));
  g_assert_cmpint (g_mkdir (folder, 0700), ==, 0);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (tide_store_open (cases[i].path, &error));
      g_assert_error (error, TIDE_STORE_ERROR, (int)cases[i].code);
      g_test_message ("%s", error->message);
      g_assert_null (strchr (error->message, '\n'));
    }
  g_assert_true (g_file_get_contents (file, &after, NULL, NULL));
  g_assert_cmpstr (after, ==, text);
}

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

/* --- Writing --- */

static void
test_read_only (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autoptr (GPtrArray) list = NULL;
  GError *errors[6] = { NULL };

  add_log (store, "one", "", 1);
  g_assert_true (tide_store_run_sql (store, "PRAGMA query_only = 1", NULL));
  try_add (store, 100, NULL, &errors[0]);
  tide_store_set_conditions (store, 1, conditions, &errors[1]);
  tide_store_set_slot (store, 1, 4, &errors[2]);
  tide_store_remove (store, 1, &errors[3]);
  tide_store_restore (store, 1, &errors[4]);
  tide_store_purge (store, 0, &errors[5]);
  assert_trouble (errors[0], TIDE_STORE_ERROR_READ_ONLY, place->path, "nothing was imported");
  assert_trouble (errors[5], TIDE_STORE_ERROR_READ_ONLY, place->path, "nothing was deleted");
  for (guint i = 0; i < G_N_ELEMENTS (errors); i++)
    {
      g_assert_error (errors[i], TIDE_STORE_ERROR, TIDE_STORE_ERROR_READ_ONLY);
      g_error_free (errors[i]);
    }
  list = tide_store_list (store, NULL);
  g_assert_cmpuint (list->len, ==, 1);
}

/* A file that cannot grow, where SQLite itself sees the bound. */
static void
test_page_limit (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GError) error = NULL;

  add_log (store, "one", "", 1);
  g_assert_true (tide_store_run_sql (store, "PRAGMA max_page_count = 20", NULL));
  g_assert_cmpint (try_add (store, 200000, NULL, &error), ==, 0);
  assert_trouble (error, TIDE_STORE_ERROR_FULL, place->path, "nothing was imported");
  g_assert_true (g_str_has_prefix (error->message, "disk is full: "));
  g_assert_true (tide_store_run_sql (store, "PRAGMA max_page_count = 100000", NULL));
  g_clear_error (&error);
  g_assert_cmpint (try_add (store, 200000, NULL, &error), ==, 2);
  g_assert_no_error (error);
  assert_whole (place->path, 2);
}

/* Where the system refuses to write on, at bounds from within the first pages to the last ones;
 * with the log beside the file, and without one, as on disks that cannot have it. */
static void
test_file_limit (Place *place, gconstpointer journal_mode)
{
  g_autoptr (TideStore) store = open_store (place->path);
  struct rlimit old, limit;
  guint n_failed = 0;

  g_assert_true (tide_store_run_sql (store, journal_mode, NULL));
  add_log (store, "one", "", 1);
  signal (SIGXFSZ, SIG_IGN);
  g_assert_cmpint (getrlimit (RLIMIT_FSIZE, &old), ==, 0);
  for (rlim_t size = 150000; size <= 1650000; size += 250000)
    {
      g_autoptr (GError) error = NULL;
      gint64 id;

      limit = old;
      limit.rlim_cur = size;
      g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &limit), ==, 0);
      id = try_add (store, 200000, NULL, &error);
      g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &old), ==, 0);
      if (id == 0)
        {
          assert_trouble (error, TIDE_STORE_ERROR_FULL, place->path, "nothing was imported");
          n_failed++;
        }
      else
        {
          g_assert_true (tide_store_remove (store, id, NULL));
          g_assert_true (tide_store_purge (store, 0, NULL));
        }
    }
  g_assert_cmpuint (n_failed, >=, 2);
  g_clear_pointer (&store, tide_store_free);
  assert_whole (place->path, 1);
}

#define NO_RIGHT 77

/* Runs the function in a process of its own, with a small disk of its own at the place, which goes
 * away with the process's name space. */
static void
run_on_small_disk (Place *place, void (*function) (const Place *))
{
  pid_t child = fork ();
  int status;

  g_assert_cmpint (child, >=, 0);
  if (child == 0)
    {
      if (unshare (CLONE_NEWNS) != 0 || mount (NULL, "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0
          || mount ("none", place->folder, "tmpfs", 0, "size=4m") != 0)
        _exit (NO_RIGHT);
      function (place);
      _exit (0);
    }
  g_assert_cmpint (waitpid (child, &status, 0), ==, child);
  g_assert_true (WIFEXITED (status));
  if (WEXITSTATUS (status) == NO_RIGHT)
    g_test_skip ("no right to mount a small disk");
  else
    g_assert_cmpint (WEXITSTATUS (status), ==, 0);
}

/* A real, full disk. */
static void
fill_small_disk (const Place *place)
{
  g_autoptr (TideStore) store = open_store (place->path);
  guint n_added = 0;

  while (TRUE)
    {
      g_autoptr (GError) error = NULL;

      if (try_add (store, 50000, NULL, &error) == 0)
        {
          assert_trouble (error, TIDE_STORE_ERROR_FULL, place->path, "nothing was imported");
          break;
        }
      n_added++;
      g_assert_cmpuint (n_added, <, 100);
    }
  g_assert_cmpuint (n_added, >=, 1);
  g_clear_pointer (&store, tide_store_free);
  assert_whole (place->path, n_added);
}

static void
test_small_disk (Place *place, gconstpointer unused)
{
  run_on_small_disk (place, fill_small_disk);
}

/* A disk that may only be read, with a library on it and with none. */
static void
open_read_only (const Place *place)
{
  g_autofree char *none = g_build_filename (place->folder, "none.db", NULL);
  g_autofree char *deeper = g_build_filename (place->folder, "folder", "none.db", NULL);
  g_autofree char *path_without_log = g_build_filename (place->folder, "without-log.db", NULL);
  g_autoptr (TideStore) without_log = NULL;
  const struct
  {
    const char *path;
    TideStoreError code;
  } cases[] = {
    { place->path, TIDE_STORE_ERROR_OPEN }, /* whose log cannot be opened */
    { path_without_log, TIDE_STORE_ERROR_READ_ONLY },
    { none, TIDE_STORE_ERROR_OPEN },
    { deeper, TIDE_STORE_ERROR_OPEN },
  };

  tide_store_free (open_store (place->path));
  without_log = open_store (path_without_log);
  g_assert_true (tide_store_run_sql (without_log, "PRAGMA journal_mode = DELETE", NULL));
  g_clear_pointer (&without_log, tide_store_free);
  g_assert_cmpint (mount ("none", place->folder, NULL, MS_REMOUNT | MS_RDONLY, NULL), ==, 0);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (tide_store_open (cases[i].path, &error));
      g_test_message ("%s", error->message);
      g_assert_error (error, TIDE_STORE_ERROR, (int)cases[i].code);
      g_assert_nonnull (strstr (error->message, place->folder));
    }
}

static void
test_read_only_disk (Place *place, gconstpointer unused)
{
  run_on_small_disk (place, open_read_only);
}

/* --- Others --- */

/* Readers see the state before, and another writer is told to wait, until the first commits. */
static void
test_two_at_once (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) writer = open_store (place->path);
  g_autoptr (TideStore) other = open_store (place->path);
  g_autoptr (GPtrArray) before = NULL;
  g_autoptr (GPtrArray) after = NULL;
  g_autoptr (GError) error = NULL;

  add_log (writer, "one", "", 1);
  sqlite3_busy_timeout (other->db, 20);
  g_assert_true (tide_store_begin_write (writer, &error));
  g_assert_true (tide_store_run_sql (writer, "UPDATE run SET name = 'changed', slot = 5", &error));

  before = tide_store_list (other, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (((TideRunInfo *)g_ptr_array_index (before, 0))->slot, ==, 0);
  g_assert_cmpint (try_add (other, 100, NULL, &error), ==, 0);
  assert_trouble (error, TIDE_STORE_ERROR_BUSY, place->path, "nothing was imported");
  g_clear_error (&error);
  g_assert_false (tide_store_set_slot (other, 1, 2, &error));
  assert_trouble (error, TIDE_STORE_ERROR_BUSY, place->path, "nothing was changed");
  g_clear_error (&error);

  g_assert_true (tide_store_commit (writer, &error));
  after = tide_store_list (other, &error);
  g_assert_cmpuint (((TideRunInfo *)g_ptr_array_index (after, 0))->slot, ==, 5);
  g_assert_cmpint (try_add (other, 100, NULL, &error), ==, 2);
  g_assert_no_error (error);
}

static gpointer
add_in_thread (gpointer path)
{
  g_autoptr (TideStore) store = open_store (path);

  for (int i = 0; i < 5; i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_cmpint (try_add (store, 5000, NULL, &error), >, 0);
      g_assert_no_error (error);
    }
  return NULL;
}

/* Writers in several threads wait for each other. */
static void
test_many_writers (Place *place, gconstpointer unused)
{
  GThread *threads[3];

  tide_store_free (open_store (place->path));
  for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
    threads[i] = g_thread_new ("add", add_in_thread, place->path);
  for (guint i = 0; i < G_N_ELEMENTS (threads); i++)
    g_thread_join (threads[i]);
  assert_whole (place->path, 15);
}

/* --- Giving up --- */

typedef struct
{
  GCancellable *cancellable; /* NULL: the process dies instead */
  int n_left;                /* rows until then */
} Stop;

static void
stop_cb (void *user_data, int operation, const char *database, const char *table, sqlite3_int64 row)
{
  Stop *stop = user_data;

  if (--stop->n_left > 0)
    return;
  if (stop->cancellable == NULL)
    _exit (7);
  g_cancellable_cancel (stop->cancellable);
}

/* Cancelled before, and after each of the first rows. */
static void
test_cancel (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GError) late = NULL;

  add_log (store, "one", "", 1);
  for (int n = 0; n < 12; n++)
    {
      g_autoptr (GCancellable) cancellable = g_cancellable_new ();
      g_autoptr (GError) error = NULL;
      Stop stop = { cancellable, n };

      if (n == 0)
        g_cancellable_cancel (cancellable);
      else
        sqlite3_update_hook (store->db, stop_cb, &stop);
      g_assert_cmpint (try_add (store, 140000, cancellable, &error), ==, 0);
      sqlite3_update_hook (store->db, NULL, NULL);
      g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
      assert_whole (place->path, 1);
    }
  g_assert_cmpint (try_add (store, 140000, NULL, &late), ==, 2);
  g_assert_no_error (late);
  assert_whole (place->path, 2);
}

/* The process dies in the middle of an import. */
static void
test_death (Place *place, gconstpointer unused)
{
  tide_store_free (open_store (place->path));
  for (int n = 1; n < 12; n += 5)
    {
      pid_t child = fork ();
      int status;

      g_assert_cmpint (child, >=, 0);
      if (child == 0)
        {
          TideStore *store = tide_store_open (place->path, NULL);
          Stop stop = { NULL, n };

          sqlite3_update_hook (store->db, stop_cb, &stop);
          try_add (store, 140000, NULL, NULL);
          _exit (0);
        }
      g_assert_cmpint (waitpid (child, &status, 0), ==, child);
      g_assert_cmpint (WEXITSTATUS (status), ==, 7);
      assert_whole (place->path, 0);
    }
}

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
verb_find_file (TideStore *store, GError **error)
{
  return tide_store_find_file (store, "abc", 1, error) >= 0;
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
  { "find-file", verb_find_file },
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
          tide_store_run_sql (maker, "PRAGMA application_id = 0x54696465; PRAGMA user_version = 1",
                              &error));
      g_clear_pointer (&maker, tide_store_free);
      store = open_store (path);
      g_assert_null (tide_store_list (store, &error));
      assert_trouble (error, TIDE_STORE_ERROR_FAILED, path, "the list was not read");
    }
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/trouble/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("opening", test_opening);
  ADD ("torn-file", test_torn_file);
  ADD ("read-only", test_read_only);
  ADD ("page-limit", test_page_limit);
  g_test_add ("/library/trouble/file-limit", Place, "PRAGMA journal_mode = WAL", set_up_place,
              test_file_limit, tear_down_place);
  g_test_add ("/library/trouble/file-limit-without-log", Place, "PRAGMA journal_mode = DELETE",
              set_up_place, test_file_limit, tear_down_place);
  ADD ("small-disk", test_small_disk);
  ADD ("read-only-disk", test_read_only_disk);
  ADD ("two-at-once", test_two_at_once);
  ADD ("many-writers", test_many_writers);
  ADD ("cancel", test_cancel);
  ADD ("death", test_death);
  ADD ("interrupted", test_interrupted);
  ADD ("missing-tables", test_missing_tables);
  ADD ("broken-rows", test_broken_rows);
  ADD ("flipped-file", test_flipped_file);
  ADD ("false-library", test_false_library);
  return g_test_run ();
}
