/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The store in trouble: nothing is lost, nothing is half there, and one line says why. */
#define _GNU_SOURCE
#include "library/store-private.h"

#include <glib/gstdio.h>
#include <sched.h>
#include <signal.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support.h"

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
  /* who only comes now can read, too, and need not wait for it */
  g_autoptr (TideStore) late = open_store (place->path);
  g_autoptr (GPtrArray) seen = tide_store_list (late, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (seen->len, ==, 1);

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

#define ADD(path, function)                                                                        \
  g_test_add ("/library/trouble/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("opening", test_opening);
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
  return g_test_run ();
}
