/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See support.h. */
#include "support.h"

#include <glib/gstdio.h>

#include "window/application.h"

/* A condition that has not come true by then never will, under a sanitizer either. */
#define LONG_MS 20000

/* Waiting */

static gboolean
expire_cb (gpointer flag)
{
  *(gboolean *)flag = TRUE;
  return G_SOURCE_REMOVE;
}

static gboolean
wake_cb (gpointer unused)
{
  return G_SOURCE_CONTINUE;
}

gboolean
wait_until (Condition condition, gpointer data)
{
  gboolean late = FALSE;
  guint limit = g_timeout_add (LONG_MS, expire_cb, &late), wake = g_timeout_add (20, wake_cb, NULL);

  while (!condition (data) && !late)
    g_main_context_iteration (NULL, TRUE);
  if (!late)
    g_source_remove (limit);
  g_source_remove (wake);
  return condition (data);
}

static gboolean
is_allocated (gpointer widget)
{
  return gtk_widget_get_mapped (widget) && gtk_widget_get_width (widget) > 0;
}

gboolean
is_idle (gpointer data)
{
  TideWindow *window = data;

  return !tide_importer_is_busy (window->importer) && !tide_choice_is_loading (window->choice);
}

gboolean
is_null (gpointer data)
{
  return *(gpointer *)data == NULL;
}

static gboolean
is_elapsed (gpointer end)
{
  return g_get_monotonic_time () > *(gint64 *)end;
}

void
settle (guint ms)
{
  gint64 end = g_get_monotonic_time () + ms * 1000;

  wait_until (is_elapsed, &end);
}

/* One test's ground: a folder, a library in it, settings as new */

static void
reset_settings (void)
{
  g_autoptr (GSettings) settings = g_settings_new ("org.tidemark.Tidemark");
  g_autoptr (GSettingsSchema) schema = NULL;
  g_auto (GStrv) keys = NULL;

  g_object_get (settings, "settings-schema", &schema, NULL);
  keys = g_settings_schema_list_keys (schema);
  for (guint i = 0; keys[i] != NULL; i++)
    g_settings_reset (settings, keys[i]);
}

static void
set_up (Ground *ground, gconstpointer unused)
{
  reset_settings ();
  ground->dir = g_dir_make_tmp ("tidemark-XXXXXX", NULL);
  ground->library = g_build_filename (ground->dir, "library.db", NULL);
  ground->application = GTK_APPLICATION (g_application_get_default ());
}

static void
tear_down (Ground *ground, gconstpointer unused)
{
  g_autoptr (GDir) dir = g_dir_open (ground->dir, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (ground->dir, name, NULL);

      g_assert_cmpint (g_remove (path), ==, 0);
    }
  g_rmdir (ground->dir);
  g_free (ground->dir);
  g_free (ground->library);
}

TideWindow *
open_window (Ground *ground)
{
  TideWindow *window = TIDE_WINDOW (tide_window_new (ground->application, ground->library));

  gtk_window_present (GTK_WINDOW (window));
  g_assert_true (wait_until (is_allocated, window));
  return window;
}

/* Closes as a person does and waits until the window is really gone: a window that is kept alive
 * by its own handlers fails here. */
void
close_window (TideWindow *window)
{
  gpointer weak = window;

  g_object_add_weak_pointer (G_OBJECT (window), &weak);
  gtk_window_close (GTK_WINDOW (window));
  g_assert_true (wait_until (is_null, &weak));
}

/* An hour at a constant power, a sample a second: its energy is power_w × 1 h. */
GFile *
write_export (Ground *ground, const char *name, double power_w)
{
  g_autoptr (GString) text = g_string_new ("Time(s),Voltage(V),Current(A),Power(W)\n");
  g_autofree char *path = g_build_filename (ground->dir, name, NULL);
  char current[G_ASCII_DTOSTR_BUF_SIZE], power[G_ASCII_DTOSTR_BUF_SIZE];

  g_ascii_formatd (current, sizeof current, "%.4f", power_w / 20);
  g_ascii_formatd (power, sizeof power, "%.4f", power_w);
  for (guint i = 0; i <= 3600; i++)
    g_string_append_printf (text, "%u,20.0000,%s,%s\n", i, current, power);
  g_assert_true (g_file_set_contents (path, text->str, (gssize)text->len, NULL));
  return g_file_new_for_path (path);
}

GFile *
write_text (Ground *ground, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename (ground->dir, name, NULL);

  g_assert_true (g_file_set_contents (path, text, -1, NULL));
  return g_file_new_for_path (path);
}

/* Doing what a person does */

static GtkDropTarget *
find_drop_target (GtkWidget *widget)
{
  g_autoptr (GListModel) list = gtk_widget_observe_controllers (widget);

  for (guint i = 0; i < g_list_model_get_n_items (list); i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (list, i);

      if (GTK_IS_DROP_TARGET (controller))
        return GTK_DROP_TARGET (controller);
    }
  g_assert_not_reached ();
}

gboolean
drop (TideWindow *window, GFile *const *files, guint n)
{
  GValue value = G_VALUE_INIT;
  GSList *list = NULL;
  gboolean taken = FALSE;

  for (guint i = n; i > 0; i--)
    list = g_slist_prepend (list, g_object_ref (files[i - 1]));
  g_value_init (&value, GDK_TYPE_FILE_LIST);
  g_value_take_boxed (&value, list);
  g_signal_emit_by_name (find_drop_target (GTK_WIDGET (window)), "drop", &value, 10.0, 10.0,
                         &taken);
  g_value_unset (&value);
  return taken;
}

void
act (TideWindow *window, const char *action)
{
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), action, NULL));
}

gboolean
is_enabled (TideWindow *window, const char *name)
{
  return g_action_group_get_action_enabled (G_ACTION_GROUP (window), name);
}

guint
get_n_entries (TideWindow *window)
{
  return g_list_model_get_n_items (G_LIST_MODEL (window->library));
}

gint64
get_id (TideWindow *window, guint position)
{
  g_autoptr (TideEntry) entry = g_list_model_get_item (G_LIST_MODEL (window->library), position);

  return tide_entry_get_id (entry);
}

GtkWidget *
find_widget (GtkWidget *root,
             gboolean (*matches) (GtkWidget *widget, gconstpointer data),
             gconstpointer data)
{
  if (matches (root, data))
    return root;
  for (GtkWidget *child = gtk_widget_get_first_child (root); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = find_widget (child, matches, data);

      if (found != NULL)
        return found;
    }
  return NULL;
}

gboolean
is_label_with (GtkWidget *widget, gconstpointer text)
{
  return GTK_IS_LABEL (widget) && strstr (gtk_label_get_label (GTK_LABEL (widget)), text) != NULL;
}

static gboolean
is_toast_with (GtkWidget *widget, gconstpointer text)
{
  return g_str_equal (G_OBJECT_TYPE_NAME (widget), "AdwToastWidget")
         && find_widget (widget, is_label_with, text) != NULL;
}

typedef struct
{
  TideWindow *window;
  const char *text;
} Toast;

static gboolean
has_toast (gpointer data)
{
  Toast *toast = data;

  return find_widget (GTK_WIDGET (toast->window->toasts), is_toast_with, toast->text) != NULL;
}

void
assert_toast (TideWindow *window, const char *text)
{
  if (!wait_until (has_toast, &(Toast){ window, text }))
    g_error ("no toast with: %s", text);
}

/* Transfer full. */
AdwToast *
find_toast (TideWindow *window, const char *text)
{
  GtkWidget *widget = find_widget (GTK_WIDGET (window->toasts), is_toast_with, text);
  AdwToast *toast = NULL;

  g_assert_nonnull (widget);
  g_object_get (widget, "toast", &toast, NULL);
  return toast;
}

void
dismiss_toast (TideWindow *window, const char *text)
{
  g_autoptr (AdwToast) toast = NULL;

  assert_toast (window, text);
  toast = find_toast (window, text);
  adw_toast_dismiss (toast);
}

void
import_and_wait (TideWindow *window, GFile *const *files, guint n)
{
  g_assert_true (drop (window, files, n));
  g_assert_true (wait_until (is_idle, window));
}

/* A library of three runs of 10, 20 and 30 W, all in the comparison. */
void
import_three (Ground *ground, TideWindow *window)
{
  g_autoptr (GFile) one = write_export (ground, "one.csv", 10);
  g_autoptr (GFile) two = write_export (ground, "two.csv", 20);
  g_autoptr (GFile) three = write_export (ground, "three.csv", 30);

  import_and_wait (window, (GFile *[]){ one, two, three }, 3);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 3);
}

GtkWindow *
find_dialog (GType type)
{
  g_autoptr (GListModel) windows = g_object_ref (gtk_window_get_toplevels ());

  for (guint i = 0; i < g_list_model_get_n_items (windows); i++)
    {
      g_autoptr (GtkWindow) window = g_list_model_get_item (windows, i);

      if (G_TYPE_CHECK_INSTANCE_TYPE (window, type))
        return window;
    }
  return NULL;
}

void
add (const char *path, void (*test) (Ground *ground, gconstpointer data), gconstpointer data)
{
  g_test_add (path, Ground, data, set_up, test, tear_down);
}

int
run_tests (int argc, char **argv, void (*add_tests) (void))
{
  g_autoptr (TideApplication) application = NULL;

  gtk_test_init (&argc, &argv, NULL);
  application = tide_application_new ();
  g_application_set_flags (G_APPLICATION (application),
                           G_APPLICATION_NON_UNIQUE | G_APPLICATION_HANDLES_OPEN);
  g_assert_true (g_application_register (G_APPLICATION (application), NULL, NULL));
  g_application_set_default (G_APPLICATION (application));
  g_application_hold (G_APPLICATION (application));
  add_tests ();
  return g_test_run ();
}
