/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that is followed in the window: its run grows, the bar tells, and what is done when it
 * ends. */
#include "support.h"

#include <glib/gstdio.h>
#include <math.h>

/* ---- The desktop that shows notifications ---- */

/* What it was told last, "ID: title: action"; freed with the next. */
static char *notified;

static void
called_cb (GDBusConnection *connection,
           const char *sender,
           const char *path,
           const char *interface,
           const char *method,
           GVariant *parameters,
           GDBusMethodInvocation *invocation,
           gpointer unused)
{
  const char *id, *title = NULL, *action = NULL;
  g_autoptr (GVariant) dict = NULL;

  if (strcmp (method, "AddNotification") == 0)
    {
      g_variant_get (parameters, "(&s&s@a{sv})", NULL, &id, &dict);
      g_variant_lookup (dict, "title", "&s", &title);
      g_variant_lookup (dict, "default-action", "&s", &action);
      g_free (notified);
      notified = g_strdup_printf ("%s: %s: %s", id, title, action);
    }
  g_dbus_method_invocation_return_value (invocation, NULL);
}

static void
owned_cb (GDBusConnection *connection, const char *name, gpointer owned)
{
  *(gboolean *)owned = TRUE;
}

static gboolean
is_true (gpointer data)
{
  return *(gboolean *)data;
}

/* Gives what ends it. */
static guint
begin_desktop (Ground *ground)
{
  static const char xml[] =
      "<node><interface name='org.gtk.Notifications'><method name='AddNotification'>"
      "<arg type='s'/><arg type='s'/><arg type='a{sv}'/></method>"
      "<method name='RemoveNotification'><arg type='s'/><arg "
      "type='s'/></method></interface></node>";
  static const GDBusInterfaceVTable table = { .method_call = called_cb };
  static GDBusNodeInfo *info;
  GDBusConnection *bus = g_application_get_dbus_connection (G_APPLICATION (ground->application));
  g_autoptr (GError) error = NULL;
  gboolean owned = FALSE;

  if (info == NULL)
    {
      info = g_dbus_node_info_new_for_xml (xml, &error);
      g_assert_no_error (error);
      g_dbus_connection_register_object (bus, "/org/gtk/Notifications", info->interfaces[0], &table,
                                         NULL, NULL, &error);
      g_assert_no_error (error);
    }
  g_clear_pointer (&notified, g_free);
  guint owner =
      g_bus_own_name_on_connection (bus, "org.gtk.Notifications", G_BUS_NAME_OWNER_FLAGS_NONE,
                                    owned_cb, NULL, &owned, NULL);
  g_assert_true (wait_until (is_true, &owned));
  return owner;
}

static gboolean
was_notified (gpointer text)
{
  return g_strcmp0 (notified, text) == 0;
}

/* ---- A log that grows ---- */

/* A minute of nothing, half an hour at 20 W, a decay, and from an hour and a quarter on 0.5 W. */
static double
get_power_w (guint t)
{
  if (t < 60)
    return 0.02;
  if (t < 1860)
    return 20;
  return t < 4500 ? 0.5 + 19.5 * exp (-(t - 1860.0) / 800) : 0.5;
}

static void
write_rows (GFile *file, guint from, guint to)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GString) text = g_string_new (from == 0 ? "time_s,power_W\n" : "");
  g_autoptr (GFileOutputStream) stream = g_file_append_to (file, G_FILE_CREATE_NONE, NULL, &error);

  g_assert_no_error (error);
  for (guint t = from; t < to; t++)
    g_string_append_printf (text, "%u,%.3f\n", t, get_power_w (t));
  g_output_stream_write_all (G_OUTPUT_STREAM (stream), text->str, text->len, NULL, NULL, &error);
  g_assert_no_error (error);
}

static GFile *
begin_log (Ground *ground, guint n)
{
  g_autofree char *path = g_build_filename (ground->dir, "base-port.csv", NULL);
  GFile *file = g_file_new_for_path (path);

  write_rows (file, 0, n);
  return file;
}

/* ---- Looking ---- */

typedef struct
{
  TideWindow *window;
  guint n_samples;
  const char *words;
} Wanted;

static gboolean
has_samples (gpointer data)
{
  const Wanted *wanted = data;
  TideComparison *comparison = wanted->window->comparison;
  guint n = tide_comparison_get_n_runs (comparison);

  return n > 0
         && tide_recording_get_n_samples (
                tide_compared_run_get_recording (tide_comparison_get_run (comparison, n - 1)))
                == wanted->n_samples;
}

static void
wait_samples (TideWindow *window, guint n_samples)
{
  Wanted wanted = { window, n_samples, NULL };

  g_assert_true (wait_until (has_samples, &wanted));
}

static gboolean
bar_says (gpointer data)
{
  const Wanted *wanted = data;

  return gtk_revealer_get_reveal_child (wanted->window->follow_revealer)
         && (strstr (tide_follow_bar_get_text (wanted->window->follow_bar), wanted->words) != NULL
             || find_widget (GTK_WIDGET (wanted->window->follow_bar), is_label_with, wanted->words)
                    != NULL);
}

static void
wait_bar (TideWindow *window, const char *words)
{
  Wanted wanted = { window, 0, words };

  if (!wait_until (bar_says, &wanted))
    g_error ("the bar says \"%s\", not \"%s\"", tide_follow_bar_get_text (window->follow_bar),
             words);
}

static gboolean
has_entry (gpointer window)
{
  return get_n_entries (window) == 1 && is_idle (window)
         && tide_comparison_get_n_runs (TIDE_WINDOW (window)->comparison) == 1;
}

static void
assert_not_following (TideWindow *window)
{
  g_assert_false (gtk_revealer_get_reveal_child (window->follow_revealer));
  g_assert_false (is_enabled (window, "stop-following"));
  g_assert_false (is_enabled (window, "import-followed"));
  g_assert_false (is_enabled (window, "close-following"));
  g_assert_true (is_enabled (window, "follow"));
}

/* ---- Cases ---- */

static void
test_grows (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = begin_log (ground, 600);
  double start, end;

  assert_not_following (window);
  tide_window_follow (window, file);
  wait_bar (window, "Following base-port.csv");
  wait_samples (window, 600);
  wait_bar (window, "charging steadily");
  TideComparedRun *run = tide_comparison_get_run (window->comparison, 0);
  g_assert_cmpstr (tide_compared_run_get_name (run), ==, "base-port · live");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "runs");
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->middle), ==, "chart");
  g_assert_true (is_enabled (window, "stop-following"));
  tide_comparison_set_slot (window->comparison, 0, 3);

  write_rows (file, 600, 900);
  wait_samples (window, 900);
  g_assert_true (tide_comparison_get_run (window->comparison, 0) == run);
  g_assert_cmpuint (tide_compared_run_get_slot (run), ==, 3);
  g_assert_true (tide_comparison_get_view (window->comparison, &start, &end));
  g_assert_cmpfloat (end - start, ==, 899);

  tide_comparison_set_view (window->comparison, 100, 300);
  write_rows (file, 900, 3400);
  wait_samples (window, 3400);
  g_assert_true (tide_comparison_get_view (window->comparison, &start, &end));
  g_assert_cmpfloat (start, ==, 100);
  g_assert_cmpfloat (end, ==, 300);
  wait_bar (window, "tapering, settles in about");
  close_window (window);
}

static void
test_settles (Ground *ground, gconstpointer unused)
{
  guint desktop = begin_desktop (ground);
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = begin_log (ground, 4000);

  tide_window_follow (window, file);
  wait_samples (window, 4000);
  g_assert_true (is_enabled (window, "stop-following"));
  write_rows (file, 4000, 5400);
  wait_bar (window, "base-port.csv has settled");
  wait_bar (window, "settled; the charge took");
  g_assert_true (wait_until (was_notified, "follow: base-port.csv has settled: app.present"));
  g_assert_false (is_enabled (window, "stop-following"));
  g_assert_true (is_enabled (window, "import-followed"));
  /* what is written now is not looked at any more */
  write_rows (file, 5400, 5500);
  settle (1500);
  wait_samples (window, 5400);
  act (window, "win.import-followed");
  assert_not_following (window);
  g_assert_true (wait_until (has_entry, window));
  TideComparedRun *run = tide_comparison_get_run (window->comparison, 0);
  g_assert_cmpint (tide_compared_run_get_id (run), ==, get_id (window, 0));
  g_assert_cmpuint (tide_recording_get_n_samples (tide_compared_run_get_recording (run)), ==, 5500);
  close_window (window);
  g_bus_unown_name (desktop);
}

static void
test_stop (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = begin_log (ground, 1000);

  tide_window_follow (window, file);
  wait_samples (window, 1000);
  act (window, "win.stop-following");
  assert_not_following (window);
  g_assert_true (wait_until (has_entry, window));
  g_assert_cmpint (tide_compared_run_get_id (tide_comparison_get_run (window->comparison, 0)), !=,
                   0);
  close_window (window);
}

/* Removed, replaced, not there: said, and nothing is lost from the chart until the bar is closed.
 */
static void
test_ends_badly (Ground *ground, gconstpointer unused)
{
  guint desktop = begin_desktop (ground);
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = begin_log (ground, 1000);
  g_autoptr (GError) error = NULL;

  tide_window_follow (window, file);
  wait_samples (window, 1000);
  g_assert_true (g_file_replace_contents (file, "time_s,power_W\n0,1\n", 19, NULL, FALSE,
                                          G_FILE_CREATE_NONE, NULL, NULL, &error));
  wait_bar (window, "base-port.csv was replaced");
  g_assert_true (wait_until (was_notified, "follow: base-port.csv was replaced: app.present"));
  wait_samples (window, 1000);
  act (window, "win.close-following");
  assert_not_following (window);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 0);
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");

  g_assert_true (g_file_delete (file, NULL, &error));
  write_rows (file, 0, 800);
  tide_window_follow (window, file);
  wait_samples (window, 800);
  g_assert_true (g_file_delete (file, NULL, &error));
  wait_bar (window, "base-port.csv is gone");
  wait_samples (window, 800);
  /* another one takes its place */
  tide_window_follow (window, file);
  wait_bar (window, "base-port.csv cannot be followed");
  wait_bar (window, "there is no such file");
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 0);
  act (window, "win.close-following");
  assert_not_following (window);
  close_window (window);
  g_bus_unown_name (desktop);
}

/* A run taken off the chart comes back with the next rows; a window closes while it follows. */
static void
test_beside_others (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = begin_log (ground, 0);

  import_three (ground, window);
  tide_window_follow (window, file);
  wait_bar (window, "no rows");
  write_rows (file, 0, 700);
  wait_samples (window, 700);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 4);
  g_assert_cmpuint (tide_comparison_get_reference (window->comparison), ==, 0);
  act (window, "win.select-none");
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 0);
  write_rows (file, 700, 800);
  wait_samples (window, 800);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 1);
  close_window (window);
}

static void
add_tests (void)
{
  add ("/window/follow/grows", test_grows, NULL);
  add ("/window/follow/settles", test_settles, NULL);
  add ("/window/follow/stop", test_stop, NULL);
  add ("/window/follow/ends-badly", test_ends_badly, NULL);
  add ("/window/follow/beside-others", test_beside_others, NULL);
}

int
main (int argc, char **argv)
{
  return run_tests (argc, argv, add_tests);
}
