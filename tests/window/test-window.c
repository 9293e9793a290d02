/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The window from inside: what a person does through actions, drops and check boxes, and what
 * the library, the comparison and the settings hold afterwards. Exports are written here; their
 * energies are known in closed form. */
#include "window/window-private.h"

#include <glib/gstdio.h>
#include <math.h>

#include "chart/palette.h"
#include "window/application.h"
#include "window/conditions-dialog.h"
#include "window/publish-dialog.h"

#define LONG_MS 20000

/* Waiting */

typedef gboolean (*Condition) (gpointer data);

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

static gboolean
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

static gboolean
is_idle (gpointer data)
{
  TideWindow *window = data;

  return !tide_importer_is_busy (window->importer) && !tide_choice_is_loading (window->choice);
}

static gboolean
is_null (gpointer data)
{
  return *(gpointer *)data == NULL;
}

static gboolean
is_elapsed (gpointer end)
{
  return g_get_monotonic_time () > *(gint64 *)end;
}

static void
settle (guint ms)
{
  gint64 end = g_get_monotonic_time () + ms * 1000;

  wait_until (is_elapsed, &end);
}

/* One test's ground: a folder, a library in it, settings as new */

typedef struct
{
  char *dir;
  char *library;
  GtkApplication *application;
} Ground;

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

static TideWindow *
open_window (Ground *ground)
{
  TideWindow *window = TIDE_WINDOW (tide_window_new (ground->application, ground->library));

  gtk_window_present (GTK_WINDOW (window));
  g_assert_true (wait_until (is_allocated, window));
  return window;
}

/* Closes as a person does and waits until the window is really gone: a window that is kept alive
 * by its own handlers fails here. */
static void
close_window (TideWindow *window)
{
  gpointer weak = window;

  g_object_add_weak_pointer (G_OBJECT (window), &weak);
  gtk_window_close (GTK_WINDOW (window));
  g_assert_true (wait_until (is_null, &weak));
}

/* An hour at a constant power, a sample a second: its energy is power_w × 1 h. */
static GFile *
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

static GFile *
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

static gboolean
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

static void
act (TideWindow *window, const char *action)
{
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window), action, NULL));
}

static gboolean
is_enabled (TideWindow *window, const char *name)
{
  return g_action_group_get_action_enabled (G_ACTION_GROUP (window), name);
}

static guint
get_n_entries (TideWindow *window)
{
  return g_list_model_get_n_items (G_LIST_MODEL (window->library));
}

static gint64
get_id (TideWindow *window, guint position)
{
  g_autoptr (TideEntry) entry = g_list_model_get_item (G_LIST_MODEL (window->library), position);

  return tide_entry_get_id (entry);
}

static GtkWidget *
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

static gboolean
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

static void
assert_toast (TideWindow *window, const char *text)
{
  if (!wait_until (has_toast, &(Toast){ window, text }))
    g_error ("no toast with: %s", text);
}

/* Transfer full. */
static AdwToast *
find_toast (TideWindow *window, const char *text)
{
  GtkWidget *widget = find_widget (GTK_WIDGET (window->toasts), is_toast_with, text);
  AdwToast *toast = NULL;

  g_assert_nonnull (widget);
  g_object_get (widget, "toast", &toast, NULL);
  return toast;
}

static void
dismiss_toast (TideWindow *window, const char *text)
{
  g_autoptr (AdwToast) toast = NULL;

  assert_toast (window, text);
  toast = find_toast (window, text);
  adw_toast_dismiss (toast);
}

static void
import_and_wait (TideWindow *window, GFile *const *files, guint n)
{
  g_assert_true (drop (window, files, n));
  g_assert_true (wait_until (is_idle, window));
}

/* A library of three runs of 10, 20 and 30 W, all in the comparison. */
static void
import_three (Ground *ground, TideWindow *window)
{
  g_autoptr (GFile) one = write_export (ground, "one.csv", 10);
  g_autoptr (GFile) two = write_export (ground, "two.csv", 20);
  g_autoptr (GFile) three = write_export (ground, "three.csv", 30);

  import_and_wait (window, (GFile *[]){ one, two, three }, 3);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 3);
}

/* Tests */

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

static gboolean
is_check (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_CHECK_BUTTON (widget);
}

/* The box in a row takes the run out and, last, in again. */
static void
test_tick (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkCheckButton *check;

  import_three (ground, window);
  check = GTK_CHECK_BUTTON (find_widget (GTK_WIDGET (window->library_pane), is_check, NULL));
  g_assert_true (gtk_check_button_get_active (check));
  gtk_check_button_set_active (check, FALSE);
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 2);
  g_assert_cmpuint (tide_comparison_find (window->comparison, get_id (window, 0)), ==, G_MAXUINT);
  gtk_check_button_set_active (check, TRUE);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (tide_comparison_find (window->comparison, get_id (window, 0)), ==, 2);
  act (window, "win.select-none");
  g_assert_false (gtk_check_button_get_active (check));
  act (window, "win.select-all");
  /* taken out again while it is being read: it never arrives */
  tide_choice_set (window->choice, get_id (window, 0), FALSE);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 2);
  close_window (window);
}

/* Two runs with one slot: the later one gets a free slot and keeps it in the library. */
static void
test_slots (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  guint slots[3];

  import_three (ground, window);
  act (window, "win.select-none");
  for (guint i = 0; i < 3; i++)
    g_assert_true (tide_library_set_slot (window->library, get_id (window, i), 4, NULL));
  act (window, "win.select-all");
  g_assert_true (wait_until (is_idle, window));
  for (guint i = 0; i < 3; i++)
    {
      slots[i] = tide_compared_run_get_slot (tide_comparison_get_run (window->comparison, i));
      g_assert_cmpuint (tide_entry_get_slot (
                            tide_library_find (window->library, get_id (window, i))),
                        ==, slots[i]);
    }
  g_assert_cmpuint (slots[0], ==, 4);
  g_assert_cmpuint (slots[1], !=, slots[0]);
  g_assert_cmpuint (slots[2], !=, slots[0]);
  g_assert_cmpuint (slots[2], !=, slots[1]);
  /* choosing one in the row changes both */
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (window->library_pane), "library.slot",
                                             "(xu)", get_id (window, 1), 7));
  g_assert_cmpuint (tide_compared_run_get_slot (tide_comparison_get_run (window->comparison, 1)),
                    ==, 7);
  close_window (window);
}

static void
test_remove_undo (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  gint64 id;

  import_three (ground, window);
  id = get_id (window, 1);
  tide_library_pane_select (window->library_pane, id);
  g_assert_true (is_enabled (window, "remove-run"));
  act (window, "win.remove-run");
  g_assert_cmpuint (get_n_entries (window), ==, 2);
  g_assert_null (tide_library_find (window->library, id));
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 2);
  g_assert_true (is_enabled (window, "undo"));
  act (window, "win.undo");
  g_assert_true (wait_until (is_idle, window));
  g_assert_nonnull (tide_library_find (window->library, id));
  g_assert_cmpuint (tide_comparison_find (window->comparison, id), ==, 2);
  g_assert_false (is_enabled (window, "undo"));
  close_window (window);
}

static void
test_reference (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);

  import_three (ground, window);
  g_assert_false (is_enabled (window, "make-reference"));
  tide_library_pane_select (window->library_pane, get_id (window, 2));
  act (window, "win.make-reference");
  g_assert_cmpuint (tide_comparison_get_reference (window->comparison), ==, 2);
  close_window (window);
}

static gboolean
is_entry_row_titled (GtkWidget *widget, gconstpointer title)
{
  return ADW_IS_ENTRY_ROW (widget)
         && g_strcmp0 (adw_preferences_row_get_title (ADW_PREFERENCES_ROW (widget)), title) == 0;
}

static gboolean
is_suggested (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_BUTTON (widget) && gtk_widget_has_css_class (widget, "suggested-action");
}

static void
set_field (GtkWindow *dialog, TideCondition field, const char *text)
{
  GtkWidget *row =
      find_widget (GTK_WIDGET (dialog), is_entry_row_titled, tide_condition_get_label (field));

  g_assert_nonnull (row);
  gtk_editable_set_text (GTK_EDITABLE (row), text);
}

static void
test_conditions (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkWindow *dialog;
  GtkWidget *save;

  import_three (ground, window);
  tide_library_pane_select (window->library_pane, get_id (window, 0));
  act (window, "win.edit-run");
  dialog = find_dialog (TIDE_TYPE_CONDITIONS_DIALOG);
  g_assert_nonnull (dialog);
  save = find_widget (GTK_WIDGET (dialog), is_suggested, NULL);
  set_field (dialog, TIDE_CONDITION_AMBIENT, "warm");
  g_assert_false (gtk_widget_get_sensitive (save));
  set_field (dialog, TIDE_CONDITION_AMBIENT, "22.5");
  set_field (dialog, TIDE_CONDITION_NAME, "Base port");
  set_field (dialog, TIDE_CONDITION_DEVICE, "Survey tablet");
  g_assert_true (gtk_widget_get_sensitive (save));
  g_signal_emit_by_name (save, "clicked");
  g_assert_cmpstr (tide_compared_run_get_name (tide_comparison_get_run (window->comparison, 0)), ==,
                   "Base port");
  g_assert_nonnull (
      find_widget (GTK_WIDGET (window->library_pane), is_label_with, "Survey tablet"));
  g_assert_nonnull (find_widget (GTK_WIDGET (window->chart_bar), is_label_with, "Base port"));
  g_assert_null (find_dialog (TIDE_TYPE_CONDITIONS_DIALOG));
  close_window (window);
}

static gboolean
is_search_entry (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_SEARCH_ENTRY (widget);
}

static void
test_search (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  const struct
  {
    const char *text;
    guint n;
  } cases[] = { { "TWO", 1 }, { "csv", 3 }, { "t csv", 2 }, { "nothing like it", 0 },
                { "  ", 3 },  { "", 3 } };

  import_three (ground, window);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      GtkWidget *entry = find_widget (GTK_WIDGET (window->library_pane), is_search_entry, NULL);

      gtk_editable_set_text (GTK_EDITABLE (entry), cases[i].text);
      g_signal_emit_by_name (entry, "search-changed");
      g_assert_cmpuint (tide_library_pane_get_n_shown (window->library_pane), ==, cases[i].n);
    }
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

/* A run that another program deleted meanwhile: it is told, and taken out again. */
static void
test_gone (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (TideStore) other = tide_store_open (ground->library, NULL);
  gint64 id;

  import_three (ground, window);
  dismiss_toast (window, "Imported 3 runs");
  id = get_id (window, 1);
  tide_choice_set (window->choice, id, FALSE);
  g_assert_true (tide_store_remove (other, id, NULL));
  g_assert_true (tide_store_purge (other, -1, NULL));
  tide_choice_set (window->choice, id, TRUE);
  g_assert_true (wait_until (is_idle, window));
  g_assert_false (tide_choice_has (window->choice, id));
  g_assert_cmpuint (tide_comparison_get_n_runs (window->comparison), ==, 2);
  assert_toast (window, "library.db");
  close_window (window);
}

/* Files opened with the program are imported into the library that the settings name. */
static void
test_open_files (Ground *ground, gconstpointer unused)
{
  g_autoptr (GSettings) settings = g_settings_new ("org.tidemark.Tidemark");
  g_autoptr (GFile) file = write_export (ground, "opened.csv", 8);
  TideWindow *window;

  g_settings_set_string (settings, "library", ground->library);
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

/* The popover of a row's chip has a button for each slot; the third one sets the third. */
static gboolean
is_chip_button (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_MENU_BUTTON (widget) && gtk_widget_has_css_class (widget, "chip");
}

static gboolean
is_named (GtkWidget *widget, gconstpointer tooltip)
{
  return GTK_IS_BUTTON (widget) && g_strcmp0 (gtk_widget_get_tooltip_text (widget), tooltip) == 0;
}

static void
test_chip (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkWidget *chip, *button;
  TideEntry *entry;

  import_three (ground, window);
  entry = tide_library_find (window->library, get_id (window, 0));
  chip = find_widget (GTK_WIDGET (window->library_pane), is_chip_button, NULL);
  gtk_menu_button_popup (GTK_MENU_BUTTON (chip));
  button = find_widget (GTK_WIDGET (gtk_menu_button_get_popover (GTK_MENU_BUTTON (chip))), is_named,
                        tide_palette_get_name (TIDE_LOOK_LIGHT, 6));
  g_assert_nonnull (button);
  g_signal_emit_by_name (button, "clicked");
  g_assert_cmpuint (tide_entry_get_slot (entry), ==, 6);
  g_assert_cmpuint (tide_compared_run_get_slot (tide_comparison_get_run (window->comparison, 0)),
                    ==, 6);
  gtk_menu_button_popdown (GTK_MENU_BUTTON (chip));
  settle (200);
  close_window (window);
}

static gboolean
is_list_view (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_LIST_VIEW (widget);
}

static gboolean
is_menu (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_POPOVER_MENU (widget);
}

static gboolean
is_mapped (gpointer widget)
{
  return gtk_widget_get_mapped (widget);
}

static GtkGesture *
find_click_gesture (GtkWidget *widget)
{
  g_autoptr (GListModel) list = gtk_widget_observe_controllers (widget);

  for (guint i = 0; i < g_list_model_get_n_items (list); i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (list, i);

      if (GTK_IS_GESTURE_CLICK (controller))
        return GTK_GESTURE (controller);
    }
  g_assert_not_reached ();
}

/* Activating a row ticks or unticks it; a secondary click selects it and shows its menu, as the
 * menu key does; the tooltip tells what the row has no room for. */
static void
test_list (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkWidget *pane = GTK_WIDGET (window->library_pane), *list, *menu;
  g_autoptr (GtkTooltip) tooltip = g_object_new (GTK_TYPE_TOOLTIP, NULL);
  g_autoptr (GArray) selected = NULL;
  graphene_rect_t bounds;
  gboolean shown = FALSE;
  double x, y;

  import_three (ground, window);
  settle (300);
  list = find_widget (pane, is_list_view, NULL);
  menu = find_widget (pane, is_menu, NULL);
  g_signal_emit_by_name (list, "activate", 0);
  g_assert_false (tide_choice_has (window->choice, get_id (window, 0)));
  g_signal_emit_by_name (list, "activate", 0);
  g_assert_true (wait_until (is_idle, window));
  g_assert_true (tide_choice_has (window->choice, get_id (window, 0)));

  g_assert_true (
      gtk_widget_compute_bounds (find_widget (list, is_label_with, "two"), pane, &bounds));
  x = bounds.origin.x + 2;
  y = bounds.origin.y + 2;
  g_signal_emit_by_name (pane, "query-tooltip", (int)x, (int)y, FALSE, tooltip, &shown);
  g_assert_true (shown);
  g_signal_emit_by_name (find_click_gesture (pane), "pressed", 1, x, y);
  g_assert_true (wait_until (is_mapped, menu));
  selected = tide_library_pane_dup_selected (window->library_pane);
  g_assert_cmpuint (selected->len, ==, 1);
  g_assert_cmpint (g_array_index (selected, gint64, 0), ==, get_id (window, 1));
  g_signal_emit_by_name (pane, "query-tooltip", (int)x, (int)y, FALSE, tooltip, &shown);
  g_assert_false (shown);
  gtk_popover_popdown (GTK_POPOVER (menu));
  settle (300);
  g_assert_true (gtk_widget_activate_action (pane, "library.menu", NULL));
  g_assert_true (wait_until (is_mapped, menu));
  gtk_popover_popdown (GTK_POPOVER (menu));
  settle (300);
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
add (const char *path, void (*test) (Ground *ground, gconstpointer data), gconstpointer data)
{
  g_test_add (path, Ground, data, set_up, test, tear_down);
}

int
main (int argc, char **argv)
{
  g_autoptr (TideApplication) application = NULL;

  gtk_test_init (&argc, &argv, NULL);
  application = tide_application_new ();
  g_application_set_flags (G_APPLICATION (application),
                           G_APPLICATION_NON_UNIQUE | G_APPLICATION_HANDLES_OPEN);
  g_assert_true (g_application_register (G_APPLICATION (application), NULL, NULL));
  g_application_set_default (G_APPLICATION (application));
  g_application_hold (G_APPLICATION (application));

  add ("/window/empty", test_empty, NULL);
  add ("/window/drop", test_drop, NULL);
  add ("/window/undo-import", test_undo_import, NULL);
  add ("/window/same-file", test_same_file, NULL);
  add ("/window/bad-file", test_bad_file, NULL);
  add ("/window/bad-files", test_bad_files, NULL);
  add ("/window/tick", test_tick, NULL);
  add ("/window/slots", test_slots, NULL);
  add ("/window/remove-undo", test_remove_undo, NULL);
  add ("/window/reference", test_reference, NULL);
  add ("/window/conditions", test_conditions, NULL);
  add ("/window/search", test_search, NULL);
  add ("/window/choices", test_choices, NULL);
  add ("/window/remembered", test_remembered, NULL);
  add ("/window/other-library", test_other_library, NULL);
  add ("/window/no-library", test_no_library, NULL);
  add ("/window/cancel", test_cancel, NULL);
  add ("/window/close-midway", test_close_midway, NULL);
  add ("/window/demo", test_demo, NULL);
  add ("/window/room/narrow", test_room, "narrow");
  add ("/window/room/wide", test_room, NULL);
  add ("/window/gone", test_gone, NULL);
  add ("/window/open-files", test_open_files, NULL);
  add ("/window/dialogs", test_dialogs, NULL);
  add ("/window/chip", test_chip, NULL);
  add ("/window/list", test_list, NULL);
  add ("/window/chart-actions", test_chart_actions, NULL);
  add ("/window/quit", test_quit, NULL);
  add ("/window/library-option", test_library_option, NULL);
  add ("/window/right-to-left", test_right_to_left, NULL);
  return g_test_run ();
}
