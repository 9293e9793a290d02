/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The window as a whole: its pages, choices, dialogs, what it remembers, how it shares its room. */
#include "support.h"

#include "window/application.h"
#include "window/publish-dialog.h"

static void
test_empty (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);

  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");
  g_assert_nonnull (strstr (gtk_label_get_label (window->cautions), "unattended"));
  g_assert_true (is_enabled (window, "add"));
  g_assert_false (is_enabled (window, "publish"));
  g_assert_false (is_enabled (window, "copy-chart"));
  g_assert_false (is_enabled (window, "undo"));
  g_assert_false (is_enabled (window, "remove-run"));
  g_assert_false (is_enabled (window, "select-all"));
  close_window (window);
}

static const char *
get_state (TideWindow *window, const char *name)
{
  g_autoptr (GVariant) state = g_action_group_get_action_state (G_ACTION_GROUP (window), name);

  return g_intern_string (g_variant_get_string (state, NULL));
}

/* Actions set the comparison, the comparison sets the actions' states. */
static void
test_choices (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);

  import_three (ground, window);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.y", "s", "voltage"));
  g_assert_cmpint (tide_comparison_get_y (window->comparison), ==, TIDE_QUANTITY_VOLTAGE);
  g_assert_cmpstr (get_state (window, "y"), ==, "voltage");
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.y", "s", "no such thing"));
  g_assert_cmpstr (get_state (window, "y"), ==, "voltage");
  tide_comparison_set_y (window->comparison, TIDE_QUANTITY_ENERGY);
  g_assert_cmpstr (get_state (window, "y"), ==, "energy");
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.x", "s", "share"));
  g_assert_cmpint (tide_comparison_get_x (window->comparison), ==, TIDE_AXIS_SHARE);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.x", "s", "time"));
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.align", "s", "log"));
  g_assert_cmpint (tide_comparison_get_alignment (window->comparison), ==, TIDE_ALIGN_LOG);
  act (window, "win.show-strip");
  g_assert_false (tide_comparison_get_show_strip (window->comparison));
  g_assert_false (is_enabled (window, "zoom-reset"));
  act (window, "win.zoom-in");
  g_assert_true (tide_comparison_is_zoomed (window->comparison));
  act (window, "win.pan-right");
  act (window, "win.zoom-reset");
  g_assert_false (tide_comparison_is_zoomed (window->comparison));
  close_window (window);
}

static void
test_chart_actions (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) picture = g_file_new_for_path ("/nowhere/chart & strip.png");
  GtkWindow *dialog;
  double start, end, panned_start, panned_end;

  import_three (ground, window);
  dismiss_toast (window, "Imported 3 runs");
  act (window, "win.copy-chart");
  dismiss_toast (window, "Chart copied");
  act (window, "win.publish");
  dialog = find_dialog (TIDE_TYPE_PUBLISH_DIALOG);
  g_assert_nonnull (dialog);
  g_signal_emit_by_name (dialog, "published", picture);
  dismiss_toast (window, "published");
  gtk_window_destroy (dialog);
  act (window, "win.zoom-in");
  act (window, "win.zoom-in");
  g_assert_true (tide_comparison_get_view (window->comparison, &start, &end));
  act (window, "win.pan-left");
  g_assert_true (tide_comparison_get_view (window->comparison, &panned_start, &panned_end));
  g_assert_cmpfloat (panned_start, <, start);
  g_assert_cmpfloat_with_epsilon (panned_end - panned_start, end - start, 1e-6);
  act (window, "win.zoom-out");
  act (window, "win.search");
  act (window, "win.close");
  g_assert_null (gtk_application_get_windows (ground->application));
}

static void
test_remembered (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  gint64 first, third;
  double start, end;

  import_three (ground, window);
  first = get_id (window, 0);
  third = get_id (window, 2);
  act (window, "win.select-none");
  tide_choice_set (window->choice, third, TRUE);
  tide_choice_set (window->choice, first, TRUE);
  g_assert_true (wait_until (is_idle, window));
  tide_comparison_set_reference (window->comparison, 1);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.y", "s", "current"));
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), "win.align", "s", "log"));
  act (window, "win.show-strip");
  tide_comparison_set_view (window->comparison, 600, 1200);
  act (window, "win.toggle-analysis");
  close_window (window);

  window = open_window (ground);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 2);
  g_assert_cmpuint (tide_comparison_find (window->comparison, third), ==, 0);
  g_assert_cmpuint (tide_comparison_find (window->comparison, first), ==, 1);
  g_assert_cmpuint (tide_comparison_get_reference (window->comparison), ==, 1);
  g_assert_cmpint (tide_comparison_get_y (window->comparison), ==, TIDE_QUANTITY_CURRENT);
  g_assert_cmpint (tide_comparison_get_alignment (window->comparison), ==, TIDE_ALIGN_LOG);
  g_assert_false (tide_comparison_get_show_strip (window->comparison));
  g_assert_true (tide_comparison_get_view (window->comparison, &start, &end));
  g_assert_cmpfloat_with_epsilon (start, 600, 1e-6);
  g_assert_cmpfloat_with_epsilon (end, 1200, 1e-6);
  g_assert_false (adw_flap_get_reveal_flap (window->analysis_flap));
  close_window (window);
}

/* Numbers of runs are those of one library: another one starts with nothing compared. */
static void
test_other_library (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autofree char *other = g_build_filename (ground->dir, "other.db", NULL);

  import_three (ground, window);
  close_window (window);
  window = TIDE_WINDOW (tide_window_new (ground->application, other));
  g_assert_nonnull (window->library);
  g_assert_cmpuint (tide_choice_get_ids (window->choice)->len, ==, 0);
  gtk_window_destroy (GTK_WINDOW (window));
}

static void
test_no_library (Ground *ground, gconstpointer unused)
{
  g_autoptr (GFile) file =
      write_text (ground, "library.db", "this is <no> library, but somebody's text\n");
  g_autoptr (GFile) export = write_export (ground, "one.csv", 10);
  g_autofree char *kept = NULL;
  TideWindow *window = open_window (ground);

  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "failed");
  g_assert_nonnull (strstr (adw_status_page_get_description (window->failed_page), "library.db"));
  g_assert_false (is_enabled (window, "add"));
  g_assert_false (drop (window, &export, 1));
  g_assert_true (g_file_get_contents (ground->library, &kept, NULL, NULL));
  g_assert_cmpstr (kept, ==, "this is <no> library, but somebody's text\n");
  act (window, "win.try-again");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "failed");
  g_assert_true (g_file_delete (file, NULL, NULL));
  act (window, "win.try-again");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");
  close_window (window);
}

/* Files opened with the program are imported into the library that the settings name. */
static void
test_open_files (Ground *ground, gconstpointer unused)
{
  g_autoptr (GSettings) settings = g_settings_new ("org.tidemark.Tidemark");
  g_autoptr (GFile) file = write_export (ground, "opened.csv", 8);
  TideWindow *window;

  g_settings_set_value (settings, "library", g_variant_new_bytestring (ground->library));
  g_application_open (G_APPLICATION (ground->application), &file, 1, "");
  window = TIDE_WINDOW (gtk_application_get_windows (ground->application)->data);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpstr (tide_library_get_path (window->library), ==, ground->library);
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  /* a second start finds the window that is there */
  g_application_activate (G_APPLICATION (ground->application));
  g_assert_null (gtk_application_get_windows (ground->application)->next);
  close_window (window);
}

static void
test_dialogs (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkWindow *dialog;

  g_action_group_activate_action (G_ACTION_GROUP (ground->application), "about", NULL);
  dialog = find_dialog (ADW_TYPE_ABOUT_WINDOW);
  g_assert_nonnull (dialog);
  g_assert_nonnull (find_widget (GTK_WIDGET (dialog), is_label_with, "unattended"));
  settle (100);
  gtk_window_destroy (dialog);
  act (window, "win.show-help-overlay");
  settle (100);
  gtk_widget_set_visible (GTK_WIDGET (gtk_application_window_get_help_overlay (
                              GTK_APPLICATION_WINDOW (window))),
                          FALSE);
  close_window (window);
}

static void
test_quit (Ground *ground, gconstpointer unused)
{
  gpointer window = open_window (ground);

  g_object_add_weak_pointer (window, &window);
  g_action_group_activate_action (G_ACTION_GROUP (ground->application), "quit", NULL);
  g_assert_true (wait_until (is_null, &window));
}

/* "--library PATH" makes a process of its own, with that path made absolute. */
static void
test_library_option (Ground *ground, gconstpointer unused)
{
  g_autoptr (TideApplication) application = tide_application_new ();
  g_autoptr (GVariantDict) options = g_variant_dict_new (NULL);
  int status = 0;

  g_variant_dict_insert (options, "library", "^ay", "some/library.db");
  g_signal_emit_by_name (application, "handle-local-options", options, &status);
  g_assert_cmpint (status, ==, -1);
  g_assert_true (g_application_get_flags (G_APPLICATION (application)) & G_APPLICATION_NON_UNIQUE);
}

/* The chart keeps its half: at 900 × 600 the numbers fold away, at 1280 × 800 all three stand side
 * by side. */
static void
test_room (Ground *ground, gconstpointer narrow)
{
  g_autoptr (GSettings) settings = g_settings_new ("org.tidemark.Tidemark");
  TideWindow *window;

  g_settings_set_int (settings, "window-width", narrow != NULL ? 900 : 1260);
  g_settings_set_int (settings, "window-height", narrow != NULL ? 600 : 760);
  window = open_window (ground);
  import_three (ground, window);
  settle (600);
  g_assert_cmpint (adw_flap_get_folded (window->analysis_flap), ==, narrow != NULL);
  g_assert_cmpint (adw_flap_get_reveal_flap (window->analysis_flap), ==, narrow == NULL);
  g_assert_true (adw_flap_get_reveal_flap (window->library_flap));
  g_assert_cmpint (gtk_widget_get_width (GTK_WIDGET (window->chart_view)), >=, 450);
  act (window, "win.toggle-analysis");
  g_assert_cmpint (adw_flap_get_reveal_flap (window->analysis_flap), ==, narrow != NULL);
  act (window, "win.toggle-library");
  settle (600);
  g_assert_false (adw_flap_get_reveal_flap (window->library_flap));
  close_window (window);
}

static void
test_right_to_left (Ground *ground, gconstpointer unused)
{
  TideWindow *window;

  gtk_widget_set_default_direction (GTK_TEXT_DIR_RTL);
  window = open_window (ground);
  import_three (ground, window);
  settle (200);
  close_window (window);
  gtk_widget_set_default_direction (GTK_TEXT_DIR_LTR);
}

static void
add_tests (void)
{
  add ("/window/empty", test_empty, NULL);
  add ("/window/choices", test_choices, NULL);
  add ("/window/chart-actions", test_chart_actions, NULL);
  add ("/window/remembered", test_remembered, NULL);
  add ("/window/other-library", test_other_library, NULL);
  add ("/window/no-library", test_no_library, NULL);
  add ("/window/open-files", test_open_files, NULL);
  add ("/window/dialogs", test_dialogs, NULL);
  add ("/window/quit", test_quit, NULL);
  add ("/window/library-option", test_library_option, NULL);
  add ("/window/room/narrow", test_room, "narrow");
  add ("/window/room/wide", test_room, NULL);
  add ("/window/right-to-left", test_right_to_left, NULL);
}

int
main (int argc, char **argv)
{
  return run_tests (argc, argv, add_tests);
}
