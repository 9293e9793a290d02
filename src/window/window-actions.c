/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every action of the window, with its keys. Keys are bindings of the window, not of the
 * application: a field that is being typed in has them first, so that Ctrl+C or 1 there mean
 * what they mean in any field. */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "window/publish-dialog.h"

/* One step of the zoom keys, and the share of the view that a pan key moves. */
#define ZOOM_STEP 1.5
#define PAN_STEP  0.2

/* Radio actions: the comparison's choices by their ids */

static const char *
get_y_id (TideComparison *comparison)
{
  return tide_quantity_get_id (tide_comparison_get_y (comparison));
}

static void
set_y_id (TideComparison *comparison, const char *id)
{
  TideQuantity quantity;

  if (tide_quantity_from_id (id, &quantity))
    tide_comparison_set_y (comparison, quantity);
}

static const char *
get_x_id (TideComparison *comparison)
{
  return tide_axis_get_id (tide_comparison_get_x (comparison));
}

static void
set_x_id (TideComparison *comparison, const char *id)
{
  TideAxis axis;

  if (tide_axis_from_id (id, &axis))
    tide_comparison_set_x (comparison, axis);
}

static const char *
get_alignment_id (TideComparison *comparison)
{
  return tide_alignment_get_id (tide_comparison_get_alignment (comparison));
}

static void
set_alignment_id (TideComparison *comparison, const char *id)
{
  TideAlignment alignment;

  if (tide_alignment_from_id (id, &alignment))
    tide_comparison_set_alignment (comparison, alignment);
}

typedef struct
{
  const char *action;
  const char *(*get_id) (TideComparison *comparison);
  void (*set_id) (TideComparison *comparison, const char *id);
} Radio;

static const Radio radios[] = {
  { "y", get_y_id, set_y_id },
  { "x", get_x_id, set_x_id },
  { "align", get_alignment_id, set_alignment_id },
};

/* The state follows when the comparison has taken the choice. */
static void
change_radio_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  TideWindow *self = user_data;

  for (guint i = 0; i < G_N_ELEMENTS (radios); i++)
    if (g_str_equal (g_action_get_name (G_ACTION (action)), radios[i].action))
      radios[i].set_id (self->comparison, g_variant_get_string (value, NULL));
  tide_window_update_actions (self);
}

/* Toggles */

static void
change_strip_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  TideWindow *self = user_data;

  tide_comparison_set_show_strip (self->comparison, g_variant_get_boolean (value));
  tide_window_update_actions (self);
}

static void
change_library_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  adw_flap_set_reveal_flap (TIDE_WINDOW (user_data)->library_flap, g_variant_get_boolean (value));
}

static void
change_analysis_cb (GSimpleAction *action, GVariant *value, gpointer user_data)
{
  adw_flap_set_reveal_flap (TIDE_WINDOW (user_data)->analysis_flap, g_variant_get_boolean (value));
}

/* The chart */

static void
zoom (TideWindow *self, double factor)
{
  double start, end;

  if (tide_comparison_get_view (self->comparison, &start, &end))
    tide_comparison_zoom (self->comparison, factor, (start + end) / 2);
}

static void
zoom_in_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  zoom (user_data, 1 / ZOOM_STEP);
}

static void
zoom_out_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  zoom (user_data, ZOOM_STEP);
}

static void
zoom_reset_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_comparison_set_view (TIDE_WINDOW (user_data)->comparison, NAN, NAN);
}

static void
pan_left_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_comparison_pan (TIDE_WINDOW (user_data)->comparison, -PAN_STEP);
}

static void
pan_right_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_comparison_pan (TIDE_WINDOW (user_data)->comparison, PAN_STEP);
}

static void
copy_chart_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  TideWindow *self = user_data;

  g_autoptr (GError) error = NULL;

  if (tide_chart_view_copy (self->chart_view, &error))
    tide_window_toast (self, _ ("Chart copied"));
  else
    tide_window_toast (self, error->message);
}

static void
published_cb (TidePublishDialog *dialog, GFile *file, TideWindow *self)
{
  g_autofree char *name = g_file_get_basename (file);
  g_autofree char *shown = g_filename_display_name (name);
  /* Translators: %s is the name of a file */
  g_autofree char *text = g_strdup_printf (_ ("%s published"), shown);

  tide_window_toast (self, text);
}

static void
publish_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  TideWindow *self = user_data;
  GtkWidget *dialog = tide_publish_dialog_new (GTK_WINDOW (self), self->comparison);

  g_signal_connect_object (dialog, "published", G_CALLBACK (published_cb), self, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

/* The library and its runs */

static void
add_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_choose_exports (user_data);
}

static void
follow_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_choose_followed (user_data);
}

static void
import_followed_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_import_followed (user_data);
}

static void
close_following_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_close_following (user_data);
}

static void
cancel_import_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_importer_cancel (TIDE_WINDOW (user_data)->importer);
}

static void
open_library_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_choose_library (user_data);
}

static void
try_again_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  TideWindow *self = user_data;

  tide_window_open_library (self, self->library_path);
}

static void
edit_run_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_edit_run (user_data);
}

static void
remove_run_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_remove_selected (user_data);
}

static void
make_reference_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_make_reference (user_data);
}

static void
show_reading_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_show_reading (user_data);
}

static void
show_rules_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_show_rules (user_data);
}

static void
undo_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_undo (user_data);
}

static void
select_all_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_library_pane_tick_shown (TIDE_WINDOW (user_data)->library_pane);
}

static void
select_none_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_choice_clear (TIDE_WINDOW (user_data)->choice);
}

static void
search_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  TideWindow *self = user_data;

  adw_flap_set_reveal_flap (self->library_flap, TRUE);
  tide_library_pane_focus_search (self->library_pane);
}

static void
close_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  gtk_window_close (user_data);
}

/* The tables */

static const GActionEntry entries[] = {
  { "add", add_cb },
  { "cancel-import", cancel_import_cb },
  { "follow", follow_cb },
  { "stop-following", import_followed_cb },
  { "import-followed", import_followed_cb },
  { "close-following", close_following_cb },
  { "open-library", open_library_cb },
  { "try-again", try_again_cb },
  { "publish", publish_cb },
  { "copy-chart", copy_chart_cb },
  { "zoom-in", zoom_in_cb },
  { "zoom-out", zoom_out_cb },
  { "zoom-reset", zoom_reset_cb },
  { "pan-left", pan_left_cb },
  { "pan-right", pan_right_cb },
  { "edit-run", edit_run_cb },
  { "remove-run", remove_run_cb },
  { "make-reference", make_reference_cb },
  { "show-reading", show_reading_cb },
  { "show-rules", show_rules_cb },
  { "undo", undo_cb },
  { "select-all", select_all_cb },
  { "select-none", select_none_cb },
  { "search", search_cb },
  { "close", close_cb },
  { "y", NULL, "s", "'power'", change_radio_cb },
  { "x", NULL, "s", "'time'", change_radio_cb },
  { "align", NULL, "s", "'begin'", change_radio_cb },
  { "show-strip", NULL, NULL, "true", change_strip_cb },
  { "toggle-library", NULL, NULL, "true", change_library_cb },
  { "toggle-analysis", NULL, NULL, "true", change_analysis_cb },
};

typedef struct
{
  guint key;
  GdkModifierType modifiers;
  const char *action;
  const char *target; /* NULL: none */
} Key;

static const Key keys[] = {
  { GDK_KEY_o, GDK_CONTROL_MASK, "win.add", NULL },
  { GDK_KEY_e, GDK_CONTROL_MASK, "win.publish", NULL },
  { GDK_KEY_c, GDK_CONTROL_MASK, "win.copy-chart", NULL },
  { GDK_KEY_plus, GDK_CONTROL_MASK, "win.zoom-in", NULL },
  { GDK_KEY_equal, GDK_CONTROL_MASK, "win.zoom-in", NULL },
  { GDK_KEY_KP_Add, GDK_CONTROL_MASK, "win.zoom-in", NULL },
  { GDK_KEY_minus, GDK_CONTROL_MASK, "win.zoom-out", NULL },
  { GDK_KEY_KP_Subtract, GDK_CONTROL_MASK, "win.zoom-out", NULL },
  { GDK_KEY_0, GDK_CONTROL_MASK, "win.zoom-reset", NULL },
  { GDK_KEY_KP_0, GDK_CONTROL_MASK, "win.zoom-reset", NULL },
  { GDK_KEY_Left, GDK_ALT_MASK, "win.pan-left", NULL },
  { GDK_KEY_Right, GDK_ALT_MASK, "win.pan-right", NULL },
  { GDK_KEY_F2, 0, "win.edit-run", NULL },
  { GDK_KEY_Delete, 0, "win.remove-run", NULL },
  { GDK_KEY_r, GDK_CONTROL_MASK, "win.make-reference", NULL },
  { GDK_KEY_z, GDK_CONTROL_MASK, "win.undo", NULL },
  { GDK_KEY_i, GDK_CONTROL_MASK, "win.show-reading", NULL },
  { GDK_KEY_a, GDK_CONTROL_MASK | GDK_SHIFT_MASK, "win.select-all", NULL },
  { GDK_KEY_n, GDK_CONTROL_MASK | GDK_SHIFT_MASK, "win.select-none", NULL },
  { GDK_KEY_f, GDK_CONTROL_MASK, "win.search", NULL },
  { GDK_KEY_w, GDK_CONTROL_MASK, "win.close", NULL },
  { GDK_KEY_1, 0, "win.y", "power" },
  { GDK_KEY_2, 0, "win.y", "voltage" },
  { GDK_KEY_3, 0, "win.y", "current" },
  { GDK_KEY_4, 0, "win.y", "energy" },
  { GDK_KEY_d, GDK_CONTROL_MASK, "win.show-strip", NULL },
  { GDK_KEY_F9, 0, "win.toggle-library", NULL },
  { GDK_KEY_F9, GDK_CONTROL_MASK, "win.toggle-analysis", NULL },
};

static void
set_enabled (TideWindow *self, const char *name, gboolean enabled)
{
  g_simple_action_set_enabled (G_SIMPLE_ACTION (
                                   g_action_map_lookup_action (G_ACTION_MAP (self), name)),
                               enabled);
}

static void
set_state (TideWindow *self, const char *name, GVariant *state)
{
  g_simple_action_set_state (G_SIMPLE_ACTION (
                                 g_action_map_lookup_action (G_ACTION_MAP (self), name)),
                             state);
}

static void
update_states (TideWindow *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (radios); i++)
    set_state (self, radios[i].action, g_variant_new_string (radios[i].get_id (self->comparison)));
  set_state (self, "show-strip",
             g_variant_new_boolean (tide_comparison_get_show_strip (self->comparison)));
  set_state (self, "toggle-library",
             g_variant_new_boolean (adw_flap_get_reveal_flap (self->library_flap)));
  set_state (self, "toggle-analysis",
             g_variant_new_boolean (adw_flap_get_reveal_flap (self->analysis_flap)));
}

/* For window-private.h */

void
tide_window_class_add_keys (GtkWidgetClass *widget_class)
{
  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    if (keys[i].target != NULL)
      gtk_widget_class_add_binding_action (widget_class, keys[i].key, keys[i].modifiers,
                                           keys[i].action, "s", keys[i].target);
    else
      gtk_widget_class_add_binding_action (widget_class, keys[i].key, keys[i].modifiers,
                                           keys[i].action, NULL);
}

void
tide_window_add_actions (TideWindow *self)
{
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
}

void
tide_window_update_actions (TideWindow *self)
{
  gboolean open = self->library != NULL;
  gboolean charted = tide_comparison_get_n_runs (self->comparison) > 0;
  gboolean zoomed = charted && tide_comparison_is_zoomed (self->comparison);
  gboolean filled = open && g_list_model_get_n_items (G_LIST_MODEL (self->library)) > 0;

  set_enabled (self, "add", open);
  set_enabled (self, "cancel-import",
               self->importer != NULL && tide_importer_is_busy (self->importer));
  set_enabled (self, "follow", open);
  set_enabled (self, "stop-following", open && tide_window_is_following (self));
  set_enabled (self, "import-followed", open && self->following != NULL);
  set_enabled (self, "close-following", self->following != NULL);
  set_enabled (self, "try-again", !open);
  set_enabled (self, "publish", charted);
  set_enabled (self, "copy-chart", charted);
  set_enabled (self, "zoom-in", charted);
  set_enabled (self, "zoom-out", zoomed);
  set_enabled (self, "zoom-reset", zoomed);
  set_enabled (self, "pan-left", zoomed);
  set_enabled (self, "pan-right", zoomed);
  set_enabled (self, "edit-run", tide_window_can_edit (self));
  set_enabled (self, "remove-run", tide_window_can_remove (self));
  set_enabled (self, "make-reference", tide_window_can_refer (self));
  set_enabled (self, "show-reading", tide_window_can_edit (self));
  set_enabled (self, "show-rules", open);
  set_enabled (self, "undo", tide_window_can_undo (self));
  set_enabled (self, "select-all",
               filled && tide_library_pane_get_n_shown (self->library_pane) > 0);
  set_enabled (self, "select-none", tide_choice_get_ids (self->choice)->len > 0);
  set_enabled (self, "search", filled);
  set_enabled (self, "toggle-library", filled);
  set_enabled (self, "toggle-analysis", filled);
  update_states (self);
}
