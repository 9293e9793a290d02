/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that have to be asked about: the sheet, what is stated in it, what is remembered, and how
 * an import is told and undone. The exports written here are of constant power, so that their
 * energy is known. */
#include "support.h"
#include "window/details-dialog.h"
#include "window/import-sheet.h"
#include "window/rules-dialog.h"

/* One hour at 20 V and 1 A, a row every 10 s, on the third of April or the fourth of March. */
static char *
make_dated (void)
{
  GString *text = g_string_new ("Date time,Voltage(V),Current(A)\n");

  for (guint i = 0; i <= 360; i++)
    g_string_append_printf (text, "03/04/2026 %02u:%02u:%02u,20.0,1.0\n", 10 + i / 360, i / 6 % 60,
                            i % 6 * 10);
  return g_string_free (text, FALSE);
}

static char *
make_timed (const char *head, const char *format)
{
  GString *text = g_string_new (head);

  for (guint i = 0; i <= 360; i++)
    {
      g_autofree char *time = g_strdup_printf ("%u", i * 10);
      g_auto (GStrv) parts = g_strsplit (format, "T", 2);

      g_string_append_printf (text, "%s%s%s\n", parts[0], parts[1] != NULL ? time : "",
                              parts[1] != NULL ? parts[1] : "");
    }
  return g_string_free (text, FALSE);
}

static GFile *
write_dated (Ground *ground, const char *name)
{
  g_autofree char *text = make_dated ();

  return write_text (ground, name, text);
}

static GFile *
write_timed (Ground *ground, const char *name, const char *head, const char *format)
{
  g_autofree char *text = make_timed (head, format);

  return write_text (ground, name, text);
}

/* The sheet */

static gboolean
has_sheet (gpointer unused)
{
  return find_dialog (TIDE_TYPE_IMPORT_SHEET) != NULL;
}

static gboolean
has_no_sheet (gpointer unused)
{
  return !has_sheet (NULL);
}

static GtkWidget *
wait_sheet (void)
{
  g_assert_true (wait_until (has_sheet, NULL));
  return GTK_WIDGET (find_dialog (TIDE_TYPE_IMPORT_SHEET));
}

static gboolean
is_button_with (GtkWidget *widget, gconstpointer text)
{
  return GTK_IS_BUTTON (widget) && find_widget (widget, is_label_with, text) != NULL;
}

static gboolean
is_answer_with (GtkWidget *widget, gconstpointer text)
{
  return GTK_IS_CHECK_BUTTON (widget) && find_widget (widget, is_label_with, text) != NULL;
}

static GtkWidget *
find_button (GtkWidget *root, const char *text)
{
  GtkWidget *button = find_widget (root, is_button_with, text);

  g_assert_nonnull (button);
  return button;
}

static GtkCheckButton *
find_answer (GtkWidget *root, const char *text)
{
  GtkWidget *answer = find_widget (root, is_answer_with, text);

  if (answer == NULL)
    g_error ("no answer with: %s", text);
  return GTK_CHECK_BUTTON (answer);
}

static void
answer (GtkWidget *sheet, const char *text)
{
  gtk_check_button_set_active (find_answer (sheet, text), TRUE);
}

static gboolean
can_import (gpointer sheet)
{
  return gtk_widget_get_sensitive (find_button (sheet, "Import"));
}

static gboolean
cannot_import (gpointer sheet)
{
  return !can_import (sheet);
}

static void
click (GtkWidget *root, const char *text)
{
  g_signal_emit_by_name (find_button (root, text), "clicked");
}

static void
import (TideWindow *window, GtkWidget *sheet)
{
  g_assert_true (wait_until (can_import, sheet));
  click (sheet, "Import");
  g_assert_true (wait_until (is_idle, window));
}

typedef struct
{
  GtkWidget *root;
  const char *text;
} Said;

static gboolean
is_said (gpointer data)
{
  Said *said = data;

  return find_widget (said->root, is_label_with, said->text) != NULL;
}

static void
assert_said (GtkWidget *root, const char *text)
{
  if (!wait_until (is_said, &(Said){ root, text }))
    g_error ("not said: %s", text);
}

static const TideRunInfo *
get_info (TideWindow *window, guint position)
{
  return tide_entry_get_info (tide_library_find (window->library, get_id (window, position)));
}

static void
assert_energy (TideWindow *window, guint position, double energy_wh)
{
  g_assert_cmpfloat_with_epsilon (get_info (window, position)->energy_wh, energy_wh, 1e-6);
}

static void
assert_condition (TideWindow *window, guint position, TideCondition field, const char *text)
{
  g_assert_cmpstr (tide_conditions_get (get_info (window, position)->conditions, field), ==, text);
}

/* Nothing is read before it is said which, nothing is chosen beforehand; the answer can be changed.
 */
static void
test_dates (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_dated (ground, "base-port_run1.csv");
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_false (can_import (sheet));
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  g_assert_false (gtk_check_button_get_active (find_answer (sheet, "3 April")));
  g_assert_false (gtk_check_button_get_active (find_answer (sheet, "4 March")));
  answer (sheet, "4 March");
  assert_said (sheet, "began 4 March 2026");
  answer (sheet, "3 April");
  assert_said (sheet, "began 3 April 2026");
  assert_said (sheet, "20.00\302\240Wh");
  import (window, sheet);
  g_assert_true (has_no_sheet (NULL));
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  assert_energy (window, 0, 20);
  assert_condition (window, 0, TIDE_CONDITION_DATE, "2026-04-03 10:00");
  assert_condition (window, 0, TIDE_CONDITION_NAME, "base port run 1");
  assert_condition (window, 0, TIDE_CONDITION_PORT, "base port");
  close_window (window);
}

static gboolean
is_switch (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_SWITCH (widget);
}

/* The switch in the row that says text. */
static gboolean
is_row_with (GtkWidget *widget, gconstpointer text)
{
  return ADW_IS_ACTION_ROW (widget)
         && strstr (adw_preferences_row_get_title (ADW_PREFERENCES_ROW (widget)), text) != NULL;
}

static GtkSwitch *
find_switch (GtkWidget *root, const char *text)
{
  GtkWidget *row = find_widget (root, is_row_with, text);

  g_assert_nonnull (row);
  return GTK_SWITCH (find_widget (row, is_switch, NULL));
}

static gboolean
is_entry_row_titled (GtkWidget *widget, gconstpointer title)
{
  return ADW_IS_ENTRY_ROW (widget)
         && g_str_equal (adw_preferences_row_get_title (ADW_PREFERENCES_ROW (widget)), title);
}

static GtkEditable *
find_entry (GtkWidget *root, const char *title)
{
  GtkWidget *row = find_widget (root, is_entry_row_titled, title);

  if (row == NULL)
    g_error ("no entry: %s", title);
  return GTK_EDITABLE (row);
}

static void
remember_dates (Ground *ground, TideWindow *window)
{
  g_autoptr (GFile) first = write_dated (ground, "first.csv");
  GtkWidget *sheet;

  import_and_wait (window, &first, 1);
  sheet = wait_sheet ();
  answer (sheet, "3 April");
  gtk_switch_set_active (find_switch (sheet, "Remember"), TRUE);
  gtk_editable_set_text (find_entry (sheet, "Name of the reading rule"), "Dated log");
  import (window, sheet);
}

/* The second file with that header comes in without a word. */
static void
test_remember (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autofree char *text = make_dated (),
                  *other = g_strdup_printf ("%s%s", text, "03/04/2026 12:00:00,20.0,1.0\n");
  g_autoptr (GFile) second = write_text (ground, "second.csv", other);

  remember_dates (ground, window);
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  import_and_wait (window, &second, 1);
  settle (50);
  g_assert_true (has_no_sheet (NULL));
  g_assert_cmpuint (get_n_entries (window), ==, 2);
  assert_condition (window, 1, TIDE_CONDITION_DATE, "2026-04-03 10:00");
  close_window (window);
}

static void
test_cancel (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_dated (ground, "dated.csv");
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  answer (sheet, "3 April");
  gtk_window_close (GTK_WINDOW (sheet));
  g_assert_true (wait_until (has_no_sheet, NULL));
  settle (300);
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  g_assert_cmpstr (gtk_stack_get_visible_child_name (window->stack), ==, "empty");
  /* and it can be dropped again */
  import_and_wait (window, &file, 1);
  wait_sheet ();
  close_window (window);
}

/* Two that look alike share a sheet, a third waits for its own; what comes while a sheet shows
 * waits too. */
static void
test_groups (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) left = write_dated (ground, "left-port.csv");
  g_autoptr (GFile) milli = write_timed (ground, "milli.csv", "Time(s),V,A\n", "T,20000,1.0");
  g_autofree char *text = make_dated (),
                  *other = g_strconcat (text, "03/04/2026 12:00:00,20.0,1.0\n", NULL);
  g_autoptr (GFile) late =
      write_text (ground, "late.csv",
                  "Time(s),V,A\n0,20000,1\n10,20000,1\n20,20000,1\n30,20000,1\n");
  g_autoptr (GFile) base = write_text (ground, "base-port.csv", other);
  GtkWidget *sheet;

  import_and_wait (window, (GFile *[]){ left, milli, base }, 3);
  sheet = wait_sheet ();
  assert_said (sheet, "2 files that look alike");
  import_and_wait (window, &late, 1);
  answer (sheet, "3 April");
  gtk_editable_set_text (find_entry (sheet, "Device"), "Survey tablet");
  import (window, sheet);
  g_assert_cmpuint (get_n_entries (window), ==, 2);
  assert_condition (window, 0, TIDE_CONDITION_NAME, "left port");
  assert_condition (window, 0, TIDE_CONDITION_PORT, "left port");
  assert_condition (window, 1, TIDE_CONDITION_PORT, "base port");
  assert_condition (window, 1, TIDE_CONDITION_DEVICE, "Survey tablet");
  sheet = wait_sheet ();
  assert_said (sheet, "2 files that look alike");
  answer (sheet, "mV");
  import (window, sheet);
  g_assert_cmpuint (get_n_entries (window), ==, 4);
  settle (50);
  g_assert_true (has_no_sheet (NULL));
  close_window (window);
}

static void
test_skip_all (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) dated = write_dated (ground, "dated.csv");
  g_autoptr (GFile) milli = write_timed (ground, "milli.csv", "Time(s),V,A\n", "T,20000,1.0");

  import_and_wait (window, (GFile *[]){ dated, milli }, 2);
  click (wait_sheet (), "Cancel _All");
  settle (100);
  g_assert_true (has_no_sheet (NULL));
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  close_window (window);
}

static void
test_millivolts (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_timed (ground, "milli.csv", "Time(s),V,A\n", "T,20000,1.0");
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  answer (sheet, "mV");
  import (window, sheet);
  assert_energy (window, 0, 20);
  close_window (window);
}

static gboolean
is_interval (GtkWidget *widget, gconstpointer unused)
{
  return GTK_IS_ENTRY (widget)
         && gtk_entry_get_input_purpose (GTK_ENTRY (widget)) == GTK_INPUT_PURPOSE_NUMBER;
}

/* Without a time there is an interval to state; what is no interval is refused in a line. */
static void
test_no_time (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_timed (ground, "plain.csv", "voltage_V,current_A\n", "20.0,1.0");
  GtkEditable *interval;
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_true (cannot_import (sheet));
  interval = GTK_EDITABLE (find_widget (sheet, is_interval, NULL));
  gtk_editable_set_text (interval, "soon");
  g_signal_emit_by_name (interval, "activate");
  assert_said (sheet, "seconds from row to row, such as");
  g_assert_true (cannot_import (sheet));
  gtk_editable_set_text (interval, " 10 ");
  g_signal_emit_by_name (interval, "activate");
  import (window, sheet);
  assert_energy (window, 0, 20);
  close_window (window);
}

static gboolean
is_head (GtkWidget *widget, gconstpointer unused)
{
  return g_str_equal (G_OBJECT_TYPE_NAME (widget), "TideColumnHead");
}

/* The head of the column, from 0. */
static GtkWidget *
find_head (GtkWidget *sheet, guint column)
{
  GtkWidget *head = find_widget (sheet, is_head, NULL);

  while (column-- > 0)
    head = gtk_widget_get_next_sibling (head);
  g_assert_nonnull (head);
  return head;
}

static void
choose (GtkWidget *sheet, guint column, const char *action, const char *target)
{
  GtkWidget *button = gtk_widget_get_last_child (find_head (sheet, column));

  g_assert_true (gtk_widget_activate_action (button, action, "s", target));
}

/* Rows without names: every column is said by hand. */
static void
test_no_names (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_timed (ground, "bare.csv", "", "T,20000,1.0,7");
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_true (cannot_import (sheet));
  choose (sheet, 0, "column.meaning", "t");
  choose (sheet, 1, "column.meaning", "v");
  choose (sheet, 1, "column.unit", "mV");
  choose (sheet, 2, "column.meaning", "a");
  import (window, sheet);
  assert_energy (window, 0, 20);
  close_window (window);
}

/* More than a fifth of the rows is broken: asked, and then read without them. */
static void
test_broken (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GString) text = g_string_new ("Time(s),Voltage(V),Current(A)\n");
  g_autoptr (GFile) file = NULL;
  GtkWidget *sheet;

  for (guint i = 0; i <= 3600; i += 10)
    g_string_append_printf (text, i % 30 == 10 ? "%u,oops,?\n" : "%u,20.0,1.0\n", i);
  file = write_text (ground, "broken.csv", text->str);
  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_true (cannot_import (sheet));
  answer (sheet, "Leave the broken rows out");
  import (window, sheet);
  assert_energy (window, 0, 20);
  assert_toast (window, "rows skipped");
  close_window (window);
}

/* With the setting off a file that is fully understood is shown first. */
static void
test_always_ask (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_export (ground, "sure.csv", 12);

  g_settings_set_boolean (window->settings, "import-unasked", FALSE);
  import_and_wait (window, &file, 1);
  import (window, wait_sheet ());
  assert_energy (window, 0, 12);
  close_window (window);
}

static gboolean
is_combo_titled (GtkWidget *widget, gconstpointer title)
{
  return ADW_IS_COMBO_ROW (widget)
         && g_str_equal (adw_preferences_row_get_title (ADW_PREFERENCES_ROW (widget)), title);
}

/* Of two tables in a file the one that is chosen comes in. */
static void
test_tables (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autofree char *first = make_timed ("Time(s),Voltage(V),Current(A)\n", "T,20.0,1.0");
  g_autofree char *second = make_timed ("\nTime(s),Power(W)\n", "T,30.0");
  g_autofree char *text = g_strconcat (first, second, NULL);
  g_autoptr (GFile) file = write_text (ground, "two.csv", text);
  GtkWidget *sheet;

  g_settings_set_boolean (window->settings, "import-unasked", FALSE);
  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  adw_combo_row_set_selected (ADW_COMBO_ROW (find_widget (sheet, is_combo_titled, "Table")), 1);
  gtk_switch_set_active (find_switch (sheet, "Import this table alone"), TRUE);
  g_assert_true (wait_until (cannot_import, sheet));
  import (window, sheet);
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  assert_energy (window, 0, 30);
  close_window (window);
}

/* A wrong ambient holds the import back, and says so. */
static void
test_conditions (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_export (ground, "sure.csv", 12);
  GtkWidget *sheet;

  g_settings_set_boolean (window->settings, "import-unasked", FALSE);
  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_true (wait_until (can_import, sheet));
  gtk_editable_set_text (find_entry (sheet, "Ambient"), "warm");
  g_assert_true (cannot_import (sheet));
  assert_said (sheet, "Ambient");
  gtk_editable_set_text (find_entry (sheet, "Ambient"), "22,5");
  gtk_editable_set_text (find_entry (sheet, "sure.csv"), "My run");
  import (window, sheet);
  assert_condition (window, 0, TIDE_CONDITION_AMBIENT, "22.5");
  assert_condition (window, 0, TIDE_CONDITION_NAME, "My run");
  close_window (window);
}

/* A file that goes while its sheet shows is told of, and nothing comes in. */
static void
test_vanished (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_dated (ground, "dated.csv");
  GtkWidget *sheet;

  import_and_wait (window, &file, 1);
  sheet = wait_sheet ();
  g_assert_true (g_file_delete (file, NULL, NULL));
  answer (sheet, "3 April");
  assert_said (sheet, "dated.csv");
  settle (300);
  g_assert_true (cannot_import (sheet));
  close_window (window);
}

/* The window goes with a sheet open and a look under way. */
static void
test_close (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_dated (ground, "dated.csv");

  import_and_wait (window, &file, 1);
  answer (wait_sheet (), "3 April");
  close_window (window);
  g_assert_true (has_no_sheet (NULL));
}

/* What was worth knowing is behind the toast's button; the import is undone by the menu all the
 * same. */
static void
test_details (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GString) text = g_string_new ("Time(s),Voltage(V),Current(A)\n");
  g_autoptr (GFile) file = NULL;
  g_autoptr (AdwToast) toast = NULL;
  GtkWidget *details;

  for (guint i = 0; i <= 3600; i += 10)
    g_string_append_printf (text, i == 100 ? "%u,oops,?\n" : "%u,20.0,1.0\n", i);
  file = write_text (ground, "one bad row.csv", text->str);
  import_and_wait (window, &file, 1);
  assert_toast (window, "1 row skipped");
  toast = find_toast (window, "1 row skipped");
  g_assert_cmpstr (adw_toast_get_button_label (toast), ==, "_Details");
  g_signal_emit_by_name (toast, "button-clicked");
  details = GTK_WIDGET (find_dialog (TIDE_TYPE_DETAILS_DIALOG));
  g_assert_nonnull (details);
  assert_said (details, "1 row skipped");
  assert_said (details, "row 12");
  gtk_window_close (GTK_WINDOW (details));
  act (window, "win.undo");
  g_assert_cmpuint (get_n_entries (window), ==, 0);
  act (window, "win.undo");
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  close_window (window);
}

/* Read again with another decision: the run is replaced and keeps its conditions. */
static void
test_read_again (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  g_autoptr (GFile) file = write_export (ground, "sure.csv", 10);
  GtkWidget *details, *sheet;

  import_and_wait (window, &file, 1);
  tide_library_pane_select (window->library_pane, get_id (window, 0));
  act (window, "win.show-reading");
  details = GTK_WIDGET (find_dialog (TIDE_TYPE_DETAILS_DIALOG));
  g_assert_nonnull (details);
  assert_said (details, "nothing was guessed");
  click (details, "_Read Differently");
  sheet = wait_sheet ();
  choose (sheet, 3, "column.unit", "mW");
  import (window, sheet);
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  assert_energy (window, 0, 0.01);
  assert_condition (window, 0, TIDE_CONDITION_NAME, "sure");
  g_assert_cmpuint (tide_choice_get_ids (window->choice)->len, ==, 1);
  act (window, "win.undo");
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  assert_energy (window, 0, 10);
  g_assert_true (wait_until (is_idle, window));
  g_assert_cmpuint (tide_choice_get_ids (window->choice)->len, ==, 1);
  g_assert_true (tide_choice_has (window->choice, get_id (window, 0)));
  close_window (window);
}

/* Rules */

static guint
count_rules (TideWindow *window)
{
  g_autoptr (GPtrArray) rules =
      tide_store_list_rules (tide_library_get_store (window->library), NULL);

  return rules->len;
}

static gboolean
is_dialog_toast_with (GtkWidget *widget, gconstpointer text)
{
  return g_str_equal (G_OBJECT_TYPE_NAME (widget), "AdwToastWidget")
         && find_widget (widget, is_label_with, text) != NULL;
}

static gboolean
is_icon_button (GtkWidget *widget, gconstpointer icon)
{
  return GTK_IS_BUTTON (widget)
         && g_strcmp0 (gtk_button_get_icon_name (GTK_BUTTON (widget)), icon) == 0;
}

static void
test_rules (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  GtkWidget *dialog;
  GtkEditable *name;

  remember_dates (ground, window);
  act (window, "win.show-rules");
  dialog = GTK_WIDGET (find_dialog (TIDE_TYPE_RULES_DIALOG));
  assert_said (dialog, "Dated log");
  assert_said (dialog, "date time · voltage(v) · current(a)");
  assert_said (dialog, "Time written as");
  name = find_entry (dialog, "Name");
  gtk_editable_set_text (name, "Logs of the desk");
  g_signal_emit_by_name (name, "apply");
  assert_said (dialog, "Logs of the desk");
  g_signal_emit_by_name (find_widget (dialog, is_icon_button, "user-trash-symbolic"), "clicked");
  g_assert_cmpuint (count_rules (window), ==, 0);
  assert_said (dialog, "Rules come here from the import sheet");
  g_signal_emit_by_name (find_button (find_widget (dialog, is_dialog_toast_with, "removed"),
                                      "Undo"),
                         "clicked");
  g_assert_cmpuint (count_rules (window), ==, 1);
  assert_said (dialog, "Logs of the desk");
  gtk_switch_set_active (find_switch (dialog, "without asking"), FALSE);
  g_assert_false (g_settings_get_boolean (window->settings, "import-unasked"));
  gtk_window_close (GTK_WINDOW (dialog));
  close_window (window);
}

/* A rule of another header keeps its name. */
static void
test_rule_names (Ground *ground, gconstpointer unused)
{
  TideWindow *window = open_window (ground);
  TideStore *store = tide_library_get_store (window->library);
  g_autoptr (GPtrArray) rules = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autofree char *text = tide_reading_rule_to_text (rule);

  g_assert_cmpint (tide_store_save_rule (store, "Dated log", "other", text, NULL), >, 0);
  remember_dates (ground, window);
  rules = tide_store_list_rules (store, NULL);
  g_assert_cmpuint (rules->len, ==, 2);
  g_assert_cmpstr (((TideStoredRule *)rules->pdata[0])->signature, ==, "other");
  g_assert_cmpstr (((TideStoredRule *)rules->pdata[1])->name, ==, "Dated log (2)");
  close_window (window);
}

static void
add_tests (void)
{
  add ("/sheet/dates", test_dates, NULL);
  add ("/sheet/remember", test_remember, NULL);
  add ("/sheet/cancel", test_cancel, NULL);
  add ("/sheet/groups", test_groups, NULL);
  add ("/sheet/skip-all", test_skip_all, NULL);
  add ("/sheet/millivolts", test_millivolts, NULL);
  add ("/sheet/no-time", test_no_time, NULL);
  add ("/sheet/no-names", test_no_names, NULL);
  add ("/sheet/broken", test_broken, NULL);
  add ("/sheet/always-ask", test_always_ask, NULL);
  add ("/sheet/tables", test_tables, NULL);
  add ("/sheet/conditions", test_conditions, NULL);
  add ("/sheet/vanished", test_vanished, NULL);
  add ("/sheet/close", test_close, NULL);
  add ("/sheet/details", test_details, NULL);
  add ("/sheet/read-again", test_read_again, NULL);
  add ("/rules/dialog", test_rules, NULL);
  add ("/rules/names", test_rule_names, NULL);
}

int
main (int argc, char **argv)
{
  return run_tests (argc, argv, add_tests);
}
