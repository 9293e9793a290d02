/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list model: it tells every change, tells nothing else, and never differs from the store. */
#include "library/library.h"

#include <glib/gstdio.h>
#include <string.h>

#include "library/store-private.h"
#include "support.h"

/* A library and what it has told, as "position-removed+added" and "name" of properties. */
typedef struct
{
  Place place;
  TideLibrary *library;
  TideStore *other; /* a second connection, as an import has it */
  GString *told;
} Fixture;

static void
changed_cb (GListModel *model, guint position, guint removed, guint added, gpointer told)
{
  g_string_append_printf (told, "%u-%u+%u ", position, removed, added);
  /* What is told is true at that moment. */
  for (guint i = 0; i < g_list_model_get_n_items (model); i++)
    {
      g_autoptr (TideEntry) entry = g_list_model_get_item (model, i);

      g_assert_true (TIDE_IS_ENTRY (entry));
    }
}

static void
notify_cb (GObject *entry, GParamSpec *property, gpointer told)
{
  g_string_append_printf (told, "%s ", property->name);
}

static void
set_up (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;

  set_up_place (&self->place, NULL);
  self->told = g_string_new (NULL);
  self->library = tide_library_open (self->place.path, &error);
  g_assert_no_error (error);
  self->other = tide_store_open (self->place.path, &error);
  g_assert_no_error (error);
  g_signal_connect (self->library, "items-changed", G_CALLBACK (changed_cb), self->told);
}

static void
tear_down (Fixture *self, gconstpointer unused)
{
  tide_store_free (self->other);
  g_assert_finalize_object (self->library);
  g_string_free (self->told, TRUE);
  tear_down_place (&self->place, NULL);
}

/* What was told since the last time. */
static void
assert_told (Fixture *self, const char *expected)
{
  g_assert_cmpstr (g_strchomp (self->told->str), ==, expected);
  g_string_truncate (self->told, 0);
}

/* The list as "device/name device/name"; and the store says the same, in full. */
static void
assert_list (Fixture *self, const char *expected)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) infos = tide_store_list (self->other, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (infos->len, ==, g_list_model_get_n_items (G_LIST_MODEL (self->library)));
  for (guint i = 0; i < infos->len; i++)
    {
      g_autoptr (TideEntry) entry = g_list_model_get_item (G_LIST_MODEL (self->library), i);
      const TideRunInfo *info = g_ptr_array_index (infos, i);

      g_string_append_printf (text, "%s%s/%s", i > 0 ? " " : "", tide_entry_get_device (entry),
                              tide_entry_get_name (entry));
      g_assert_cmpint (tide_entry_get_id (entry), ==, info->id);
      g_assert_cmpuint (tide_entry_get_slot (entry), ==, info->slot);
      g_assert_true (
          tide_conditions_equal (tide_entry_get_info (entry)->conditions, info->conditions));
    }
  g_assert_cmpstr (text->str, ==, expected);
}

static void
refresh (Fixture *self)
{
  g_autoptr (GError) error = NULL;

  tide_library_refresh (self->library, &error);
  g_assert_no_error (error);
}

static void
set_both (Fixture *self, gint64 id, const char *name, const char *device)
{
  g_autoptr (TideConditions) conditions = make_conditions (name, device);
  g_autoptr (GError) error = NULL;

  tide_library_set_conditions (self->library, id, conditions, &error);
  g_assert_no_error (error);
}

/* --- Refreshing --- */

static void
test_empty (Fixture *self, gconstpointer unused)
{
  GListModel *model = G_LIST_MODEL (self->library);

  g_assert_true (g_list_model_get_item_type (model) == TIDE_TYPE_ENTRY);
  g_assert_cmpuint (g_list_model_get_n_items (model), ==, 0);
  g_assert_null (g_list_model_get_item (model, 0));
  g_assert_null (tide_library_find (self->library, 1));
  g_assert_cmpstr (tide_library_get_path (self->library), ==, self->place.path);
  refresh (self);
  assert_told (self, "");
}

static void
test_refresh (Fixture *self, gconstpointer unused)
{
  add_log (self->other, "one", "b", 1);
  refresh (self);
  assert_told (self, "0-0+1");
  refresh (self);
  assert_told (self, "");
  add_log (self->other, "two", "a", 2);
  add_log (self->other, "three", "a", 3);
  add_log (self->other, "four", "b", 4);
  add_log (self->other, "five", "c", 5);
  refresh (self);
  assert_told (self, "0-0+2 3-0+2");
  assert_list (self, "a/two a/three b/one b/four c/five");

  tide_store_remove (self->other, 3, NULL);
  tide_store_remove (self->other, 1, NULL);
  tide_store_remove (self->other, 5, NULL);
  refresh (self);
  assert_told (self, "1-2+0 2-1+0");
  assert_list (self, "a/two b/four");
  add_log (self->other, "six", "aa", 6);
  tide_store_remove (self->other, 2, NULL);
  refresh (self);
  assert_told (self, "0-1+0 0-0+1");
  assert_list (self, "aa/six b/four");
}

/* Entries stay the same objects, even where they move; what changed of them is notified. */
static void
test_identity (Fixture *self, gconstpointer unused)
{
  g_autoptr (TideConditions) moved = make_conditions ("one", "z");
  g_autoptr (TideConditions) renamed = make_conditions ("zwei", "b");
  g_autoptr (TideEntry) one = NULL;
  g_autoptr (TideEntry) two = NULL;

  add_log (self->other, "one", "a", 1);
  add_log (self->other, "two", "b", 2);
  add_log (self->other, "three", "c", 3);
  refresh (self);
  one = g_object_ref (tide_library_find (self->library, 1));
  two = g_object_ref (tide_library_find (self->library, 2));
  assert_told (self, "0-0+3");
  g_signal_connect (one, "notify", G_CALLBACK (notify_cb), self->told);
  g_signal_connect (two, "notify", G_CALLBACK (notify_cb), self->told);

  tide_store_set_conditions (self->other, 1, moved, NULL);
  tide_store_set_conditions (self->other, 2, renamed, NULL);
  tide_store_set_slot (self->other, 2, 6, NULL);
  refresh (self);
  assert_told (self, "0-1+0 name slot search-text device search-text 2-0+1");
  assert_list (self, "b/zwei c/three z/one");
  g_assert_true (tide_library_find (self->library, 1) == one);
  g_assert_true (tide_library_find (self->library, 2) == two);
}

/* Any list becomes any other: the signals, applied to a copy, give the new list. */
static void
mirror_cb (GListModel *model, guint position, guint removed, guint added, gpointer data)
{
  GPtrArray *mirror = data;

  g_assert_cmpuint (position + removed, <=, mirror->len);
  if (removed > 0)
    g_ptr_array_remove_range (mirror, position, removed);
  for (guint i = 0; i < added; i++)
    g_ptr_array_insert (mirror, (int)(position + i), g_list_model_get_item (model, position + i));
}

static void
change_at_random (TideStore *store, GRand *random)
{
  gint64 id = g_rand_int_range (random, 1, 13);
  const char *const devices[] = { "a", "b", "c", "d" };
  g_autoptr (TideConditions) conditions =
      make_conditions ("x", devices[g_rand_int_range (random, 0, 4)]);

  /* Each may find no such run, which is no matter. */
  switch (g_rand_int_range (random, 0, 3))
    {
    case 0:
      tide_store_remove (store, id, NULL);
      break;
    case 1:
      tide_store_restore (store, id, NULL);
      break;
    default:
      tide_store_set_conditions (store, id, conditions, NULL);
    }
}

static void
test_random_changes (Fixture *self, gconstpointer unused)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (20240229);
  g_autoptr (GPtrArray) mirror = g_ptr_array_new_with_free_func (g_object_unref);
  GListModel *model = G_LIST_MODEL (self->library);

  g_signal_connect (self->library, "items-changed", G_CALLBACK (mirror_cb), mirror);
  for (guint32 i = 0; i < 12; i++)
    add_log (self->other, "x", "a", i);
  for (int round = 0; round < 60; round++)
    {
      g_autoptr (GPtrArray) infos = NULL;

      for (int n = g_rand_int_range (random, 0, 8); n > 0; n--)
        change_at_random (self->other, random);
      refresh (self);
      infos = tide_store_list (self->other, NULL);
      g_assert_cmpuint (g_list_model_get_n_items (model), ==, infos->len);
      g_assert_cmpuint (mirror->len, ==, infos->len);
      for (guint i = 0; i < mirror->len; i++)
        {
          g_autoptr (TideEntry) entry = g_list_model_get_item (model, i);

          g_assert_true (entry == g_ptr_array_index (mirror, i));
          g_assert_cmpint (tide_entry_get_id (entry), ==,
                           ((TideRunInfo *)g_ptr_array_index (infos, i))->id);
        }
    }
}

/* --- Edits --- */

static void
test_edit (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideEntry) two = NULL;

  add_log (self->other, "one", "a", 1);
  add_log (self->other, "two", "b", 2);
  add_log (self->other, "three", "c", 3);
  refresh (self);
  assert_told (self, "0-0+3");
  two = g_object_ref (tide_library_find (self->library, 2));
  g_signal_connect (two, "notify", G_CALLBACK (notify_cb), self->told);

  set_both (self, 2, "zwei", "b");
  assert_told (self, "name search-text");
  set_both (self, 2, "zwei", "b");
  assert_told (self, "");
  g_assert_true (tide_library_set_slot (self->library, 2, 5, &error));
  assert_told (self, "slot");
  g_assert_true (tide_library_set_slot (self->library, 2, 5, &error));
  assert_told (self, "");
  assert_list (self, "a/one b/zwei c/three");

  set_both (self, 2, "zwei", "d");
  assert_told (self, "1-1+0 device search-text 2-0+1");
  assert_list (self, "a/one c/three d/zwei");
  set_both (self, 2, "zwei", "");
  assert_told (self, "2-1+0 device search-text 0-0+1");
  assert_list (self, "/zwei a/one c/three");
  g_assert_true (tide_library_find (self->library, 2) == two);
}

static void
test_remove_and_restore (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideEntry) two = NULL;

  add_log (self->other, "one", "a", 1);
  add_log (self->other, "two", "a", 2);
  add_log (self->other, "three", "b", 3);
  refresh (self);
  assert_told (self, "0-0+3");
  two = g_object_ref (tide_library_find (self->library, 2));

  g_assert_true (tide_library_remove (self->library, 2, &error));
  assert_told (self, "1-1+0");
  assert_list (self, "a/one b/three");
  g_assert_null (tide_library_find (self->library, 2));
  g_assert_true (tide_library_restore (self->library, 2, &error));
  assert_told (self, "1-0+1");
  assert_list (self, "a/one a/two b/three");
  g_assert_true (tide_library_find (self->library, 2) == two);
  g_assert_true (tide_library_restore (self->library, 2, &error));
  assert_told (self, "");

  /* Hidden by another program, which this list has not noticed yet, or has. */
  tide_store_remove (self->other, 3, &error);
  refresh (self);
  assert_told (self, "2-1+0");
  g_assert_true (tide_library_restore (self->library, 3, &error));
  assert_told (self, "2-0+1");
  g_assert_no_error (error);
  assert_list (self, "a/one a/two b/three");
}

/* An edit that the store refuses changes neither. */
static void
test_refused_edits (Fixture *self, gconstpointer unused)
{
  g_autoptr (TideConditions) conditions = make_conditions ("new", "z");
  GError *errors[4] = { NULL };
  TideStore *store = tide_library_get_store (self->library);

  add_log (self->other, "one", "a", 1);
  add_log (self->other, "two", "a", 2);
  tide_store_remove (self->other, 2, NULL);
  refresh (self);
  assert_told (self, "0-0+1");
  g_signal_connect (tide_library_find (self->library, 1), "notify", G_CALLBACK (notify_cb),
                    self->told);
  g_assert_true (tide_store_run_sql (store, "PRAGMA query_only = 1", NULL));
  g_assert_false (tide_library_set_conditions (self->library, 1, conditions, &errors[0]));
  g_assert_false (tide_library_set_slot (self->library, 1, 3, &errors[1]));
  g_assert_false (tide_library_remove (self->library, 1, &errors[2]));
  g_assert_false (tide_library_restore (self->library, 2, &errors[3]));
  for (guint i = 0; i < G_N_ELEMENTS (errors); i++)
    {
      g_assert_error (errors[i], TIDE_STORE_ERROR, TIDE_STORE_ERROR_READ_ONLY);
      g_error_free (errors[i]);
    }
  assert_told (self, "");
  assert_list (self, "a/one");
}

/* Edits of a run that another program imported, or purged, since the last refresh. */
static void
test_unseen_runs (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;

  add_log (self->other, "one", "a", 1);
  set_both (self, 1, "eins", "a");
  g_assert_true (tide_library_set_slot (self->library, 1, 3, &error));
  assert_told (self, "");
  refresh (self);
  assert_told (self, "0-0+1");
  assert_list (self, "a/eins");

  tide_store_remove (self->other, 1, NULL);
  tide_store_purge (self->other, 0, NULL);
  g_assert_false (tide_library_set_slot (self->library, 1, 4, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN);
  refresh (self);
  assert_told (self, "0-1+0");
}

/* The list cannot be read: that is told, and restoring is undone. */
static void
test_unreadable_list (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) infos = NULL;

  add_log (self->other, "one", "a", 1);
  refresh (self);
  g_assert_true (tide_library_remove (self->library, 1, &error));
  assert_told (self, "0-0+1 0-1+0");
  g_assert_true (
      tide_store_run_sql (self->other, "ALTER TABLE run RENAME COLUMN cable TO rope", &error));
  g_assert_false (tide_library_restore (self->library, 1, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_FAILED);
  assert_told (self, "");
  g_clear_error (&error);
  g_assert_true (
      tide_store_run_sql (self->other, "ALTER TABLE run RENAME COLUMN rope TO cable", &error));
  infos = tide_store_list (self->other, &error);
  g_assert_cmpuint (infos->len, ==, 0);
}

/* --- Entries --- */

static void
test_properties (Fixture *self, gconstpointer unused)
{
  g_autoptr (TideConditions) conditions = make_conditions ("Base Port", "TABLET");
  g_autofree char *name = NULL, *device = NULL, *line = NULL, *search_text = NULL;
  TideEntry *entry;
  gint64 id;
  double energy_wh;
  guint slot;

  add_log (self->other, "x", "y", 3);
  tide_conditions_set (conditions, TIDE_CONDITION_MODE, "docked");
  tide_conditions_set (conditions, TIDE_CONDITION_NOTES, "ÄRGER");
  tide_store_set_conditions (self->other, 1, conditions, NULL);
  tide_store_set_slot (self->other, 1, 4, NULL);
  refresh (self);
  entry = tide_library_find (self->library, 1);
  g_object_get (entry, "id", &id, "name", &name, "device", &device, "line", &line, "energy-wh",
                &energy_wh, "slot", &slot, "search-text", &search_text, NULL);
  g_assert_cmpint (id, ==, 1);
  g_assert_cmpstr (name, ==, "Base Port");
  g_assert_cmpstr (device, ==, "TABLET");
  g_assert_cmpstr (line, ==, "docked");
  g_assert_cmpfloat (energy_wh, ==, 1.5);
  g_assert_cmpuint (slot, ==, 4);
  g_assert_nonnull (strstr (search_text, "base port"));
  g_assert_nonnull (strstr (search_text, "tablet"));
  g_assert_nonnull (strstr (search_text, "ärger"));
  g_assert_nonnull (strstr (search_text, "log 3.csv"));
}

static void
test_sketch (Fixture *self, gconstpointer unused)
{
  g_autoptr (TideEntry) hurt = NULL;
  GArray *sketch;

  add_log (self->other, "one", "a", 1);
  add_log (self->other, "two", "a", 2);
  tide_store_run_sql (self->other, "DELETE FROM overview WHERE run = 2", NULL);
  refresh (self);
  sketch = tide_entry_get_sketch (tide_library_find (self->library, 1));
  g_assert_nonnull (sketch);
  g_assert_cmpuint (sketch->len, ==, 64);
  /* Kept: it is there when the file's is gone. */
  tide_store_run_sql (self->other, "DELETE FROM overview", NULL);
  g_assert_true (tide_entry_get_sketch (tide_library_find (self->library, 1)) == sketch);
  hurt = g_object_ref (tide_library_find (self->library, 2));
  g_assert_null (tide_entry_get_sketch (hurt));
  g_assert_null (tide_entry_get_sketch (hurt));
}

/* An entry that outlives its library has no sketch, and does not mind. */
static void
test_entry_alone (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideLibrary) library = NULL;
  g_autoptr (TideEntry) entry = NULL;

  add_log (self->other, "one", "a", 1);
  library = tide_library_open (self->place.path, &error);
  g_assert_no_error (error);
  entry = g_list_model_get_item (G_LIST_MODEL (library), 0);
  g_assert_finalize_object (g_steal_pointer (&library));
  g_assert_null (tide_entry_get_sketch (entry));
  g_assert_cmpstr (tide_entry_get_name (entry), ==, "one");
}

/* --- Loading --- */

/* The thread of a finished task lets go of the library a moment after its callback. */
static void
wait_for_thread (TideLibrary *library)
{
  for (int i = 0; i < 5000 && G_OBJECT (library)->ref_count > 1; i++)
    g_usleep (1000);
}

typedef struct
{
  TideRecording *recording;
  GError *error;
  gboolean done;
} Loaded;

static void
loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Loaded *loaded = user_data;

  loaded->recording = tide_library_load_finish (TIDE_LIBRARY (source), result, &loaded->error);
  loaded->done = TRUE;
}

static void
wait_for (Loaded *loaded)
{
  while (!loaded->done)
    g_main_context_iteration (NULL, TRUE);
}

static void
test_load (Fixture *self, gconstpointer unused)
{
  g_autoptr (TideRecording) expected = NULL;
  Loaded good = { 0 }, none = { 0 }, cancelled = { 0 };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();

  add_log (self->other, "one", "a", 1);
  expected = tide_store_load (self->other, 1, NULL);
  g_cancellable_cancel (cancellable);
  tide_library_load_async (self->library, 1, NULL, loaded_cb, &good);
  tide_library_load_async (self->library, 2, NULL, loaded_cb, &none);
  tide_library_load_async (self->library, 1, cancellable, loaded_cb, &cancelled);
  wait_for (&good);
  wait_for (&none);
  wait_for (&cancelled);
  wait_for_thread (self->library);
  assert_same_recording (good.recording, expected);
  tide_recording_unref (good.recording);
  g_assert_null (none.recording);
  g_assert_error (none.error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN);
  g_error_free (none.error);
  g_assert_null (cancelled.recording);
  g_assert_error (cancelled.error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_error_free (cancelled.error);
}

/* The file went away, or turned into another, since the library was opened. */
static void
test_load_without_file (Fixture *self, gconstpointer unused)
{
  g_autofree char *path = g_build_filename (self->place.folder, "gone", "library.db", NULL);
  g_autofree char *folder = g_path_get_dirname (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideLibrary) library = tide_library_open (path, &error);
  g_autofree char *away = g_build_filename (self->place.folder, "away", NULL);
  Loaded loaded = { 0 };

  g_assert_no_error (error);
  g_assert_cmpint (g_rename (folder, away), ==, 0);
  g_assert_true (g_file_set_contents (folder, "in the way", -1, NULL));
  tide_library_load_async (library, 1, NULL, loaded_cb, &loaded);
  wait_for (&loaded);
  wait_for_thread (library);
  g_assert_null (loaded.recording);
  g_assert_error (loaded.error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_OPEN);
  g_error_free (loaded.error);
}

static void
test_open_nothing (Fixture *self, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (tide_library_open (self->place.folder, &error));
  g_assert_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_OPEN);
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/list/" path, Fixture, NULL, set_up, function, tear_down)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("empty", test_empty);
  ADD ("refresh", test_refresh);
  ADD ("identity", test_identity);
  ADD ("random-changes", test_random_changes);
  ADD ("edit", test_edit);
  ADD ("remove-and-restore", test_remove_and_restore);
  ADD ("refused-edits", test_refused_edits);
  ADD ("unseen-runs", test_unseen_runs);
  ADD ("unreadable-list", test_unreadable_list);
  ADD ("properties", test_properties);
  ADD ("sketch", test_sketch);
  ADD ("entry-alone", test_entry_alone);
  ADD ("load", test_load);
  ADD ("load-without-file", test_load_without_file);
  ADD ("open-nothing", test_open_nothing);
  return g_test_run ();
}
