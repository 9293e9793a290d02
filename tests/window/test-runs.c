/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a person does with runs in the library pane, and what the library and the comparison hold
 * afterwards. */
#include "support.h"

#include "chart/palette.h"
#include "window/conditions-dialog.h"

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

  /* Faster than any toast comes and goes. */
  for (guint i = 0; i < 2; i++)
    {
      tide_library_pane_select (window->library_pane, get_id (window, 0));
      act (window, "win.remove-run");
    }
  g_assert_cmpuint (get_n_entries (window), ==, 1);
  act (window, "win.undo");
  act (window, "win.undo");
  g_assert_cmpuint (get_n_entries (window), ==, 3);
  settle (1200);
  act (window, "win.undo"); /* the import before */
  g_assert_cmpuint (get_n_entries (window), ==, 0);
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

/* The popover of a row's chip has a button for each slot; it sets it in both places. */
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
add_tests (void)
{
  add ("/runs/tick", test_tick, NULL);
  add ("/runs/slots", test_slots, NULL);
  add ("/runs/remove-undo", test_remove_undo, NULL);
  add ("/runs/reference", test_reference, NULL);
  add ("/runs/conditions", test_conditions, NULL);
  add ("/runs/search", test_search, NULL);
  add ("/runs/gone", test_gone, NULL);
  add ("/runs/chip", test_chip, NULL);
  add ("/runs/list", test_list, NULL);
}

int
main (int argc, char **argv)
{
  return run_tests (argc, argv, add_tests);
}
