/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files on their way into the library: dropped, read twice, broken, stopped, closed midway, and the
 * demo. The energies of the exports written here are known in closed form. */
#include "support.h"

static void
test_drop (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  const TideRunInfo *info;

  import_three (ground, window);
  g_assert_cmpuint (get_n_entries (window), ==, 3);
  assert_toast (window, "Imported 3 runs");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "runs");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->middle), ==, "chart");
  g_assert_true (is_enabled (window, "publish"));
  for (guint i = 0; i < 3; i++)
    {
      info = tide_entry_get_info (tide_library_find (window->library, get_id (window, i)));
      /* a constant power for one hour */
      g_assert_cmpfloat_with_epsilon (info->energy_wh, 10 * (i + 1), 1e-9);
      g_assert_cmpint (tide_compared_run_get_id (tide_comparison_get_run (window->comparison, i)),
                       ==, info->id);
    }
  close_window (window);
}

/* Undo in the toast takes the imported runs out again, Ctrl+Z's action brings them back. */
static void
test_undo_import (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (AdwToast) toast = NULL;

  import_three (ground, window);
  assert_toast (window, "Imported 3 runs");
  toast = find_toast (window, "Imported 3 runs");
  g_signal_emit_by_name (toast, "button-clicked");
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");
  act (window, "win.undo");
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (get_n_entries (window), ==, 3);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 3);
  close_window (window);
}

/* The toast outlives the library that its offer to undo was made for. */
static void
test_undo_elsewhere (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autofree char *other = g_build_filename (ground->dir, "other.db", NULL);
  g_autoptr (AdwToast) toast = NULL;

  import_three (ground, window);
  g_assert_true (tide_window_open_library (window, other));
  import_three (ground, window);
  toast = find_toast (window, "Imported 3 runs");
  g_assert_true (tide_window_open_library (window, ground->library));
  g_assert_cmpuint (get_n_entries (window), ==, 3);
  g_signal_emit_by_name (toast, "button-clicked");
  g_assert_cmpuint (get_n_entries (window), ==, 3);
  close_window (window);
}

static void
test_same_file (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_export (ground, "twice.csv", 12);

  import_and_wait (window, &file, 1);
  act (window, "win.select-none");
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 0);
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->middle), ==, "none");
  dismiss_toast (window, "Imported 1 run");
  import_and_wait (window, &file, 1);
  assert_toast (window, "is in the library already");
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 1);
  close_window (window);
}

static void
test_bad_file (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) bad = write_text (ground, "<b>&notes.csv", "not a log at all\nreally not\n");

  import_and_wait (window, &bad, 1);
  assert_toast (window, "notes.csv");
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");
  close_window (window);
}

static GtkWindow *
find_toplevel (const char *title_part)
{
  g_autoptr (GListModel) windows = g_object_ref (gtk_window_get_toplevels ());

  for (guint i = 0; i < g_list_model_get_n_items (windows); i++)
    {
      g_autoptr (GtkWindow) window = g_list_model_get_item (windows, i);

      if (gtk_window_get_title (window) != NULL
          && strstr (gtk_window_get_title (window), title_part) != NULL)
        return window;
    }
  return NULL;
}

/* Two that fail are listed in a page; the good one between them is in the library. */
static void
test_bad_files (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) bad = write_text (ground, "bad.csv", "not a log at all\nreally not\n");
  g_autoptr (GFile) good = write_export (ground, "good.csv", 15);
  g_autoptr (GFile) missing = g_file_get_child (bad, "missing.csv");
  GtkWindow *page;

  import_and_wait (window, (GFile *[]){ bad, good, missing }, 3);
  page = find_toplevel ("2 files could not be imported");
  g_assert_nonnull (page);
  g_assert_nonnull (find_widget (GTK_WIDGET (page), is_label_with, "bad.csv"));
  g_assert_nonnull (find_widget (GTK_WIDGET (page), is_label_with, "missing.csv"));
  gtk_window_destroy (page);
  assert_toast (window, "Imported 1 run");
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  close_window (window);
}

#define MANY 60

static void
write_many (Ground *ground, GFile **files)
{
  for (guint i = 0; i < MANY; i++)
    {
      g_autofree char *name = g_strdup_printf ("many-%02u.csv", i);

      files[i] = write_export (ground, name, 5 + i);
    }
}

static void
clear_many (GFile **files)
{
  for (guint i = 0; i < MANY; i++)
    g_clear_object (&files[i]);
}

static gboolean
has_progress (gpointer data)
{
  double fraction;

  g_object_get (TIDE_WINDOW (data)->importer, "fraction", &fraction, NULL);
  return fraction > 0.02;
}

/* What was stored before stays and is listed; nothing is there by halves. */
static void
test_cancel (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GFile *files[MANY];

  write_many (ground, files);
  g_assert_true (drop (window, files, MANY));
  g_assert_true (drop (window, files, MANY)); /* waits, and is forgotten */
  g_assert_true (is_enabled (window, "cancel-import"));
  g_assert_true (wait_until (has_progress, window));
  act (window, "win.cancel-import");
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (get_n_entries (window), <, MANY);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==,
                    MIN (get_n_entries (window), TIDE_N_SLOTS));
  g_assert_false (is_enabled (window, "cancel-import"));
  g_assert_false (gtk_revealer_get_reveal_child (window->progress));
  clear_many (files);
  close_window (window);
}

static gboolean
is_released (gpointer importer)
{
  return *(gpointer *)importer == NULL;
}

static void
test_close_midway (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  gpointer importer = window->importer;
  GFile *files[MANY];
  guint n;

  g_object_add_weak_pointer (importer, &importer);
  write_many (ground, files);
  g_assert_true (drop (window, files, MANY));
  g_assert_true (wait_until (has_progress, window));
  close_window (window);
  g_assert_true (wait_until (is_released, &importer));

  window = open_window (ground);
  n = get_n_entries (window);
  g_assert_cmpuint (n, <, MANY);
  act (window, n > 0 ? "win.select-all" : "win.open-library");
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, n);
  clear_many (files);
  close_window (window);
}

static void
test_demo (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  guint n;

  tide_window_open_demo (window);
  g_assert_true (wait_until (is_idle, window));
  n = get_n_entries (window);
  g_assert_cmpuint (n, >=, 4);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 4);
  act (window, "win.select-none");
  tide_window_open_demo (window);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (get_n_entries (window), ==, n);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 4);
  close_window (window);
}

static void
add_tests (void)
{
  add ("/import/drop", test_drop, NULL);
  add ("/import/undo", test_undo_import, NULL);
  add ("/import/undo-elsewhere", test_undo_elsewhere, NULL);
  add ("/import/same-file", test_same_file, NULL);
  add ("/import/bad-file", test_bad_file, NULL);
  add ("/import/bad-files", test_bad_files, NULL);
  add ("/import/cancel", test_cancel, NULL);
  add ("/import/close-midway", test_close_midway, NULL);
  add ("/import/demo", test_demo, NULL);
}

int
main (int argc, char **argv)
{
  return run_tests (argc, argv, add_tests);
}
