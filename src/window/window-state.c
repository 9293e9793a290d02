/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the window remembers between two starts, in the settings. Changes are written in one go half
 * a second after the last of them, and when the window closes. */
#include "window/window-private.h"

#include <math.h>

#define SAVE_AFTER_MS 500

/* Paths */

char *
tide_window_dup_path (TideWindow *self, const char *key)
{
  g_autoptr (GVariant) path = g_settings_get_value (self->settings, key);

  return g_variant_dup_bytestring (path, NULL);
}

void
tide_window_set_path (TideWindow *self, const char *key, const char *path)
{
  g_settings_set_value (self->settings, key, g_variant_new_bytestring (path));
}

/* The frame: size and panes */

void
tide_window_restore_frame (TideWindow *self)
{
  gtk_window_set_default_size (GTK_WINDOW (self),
                               g_settings_get_int (self->settings, "window-width"),
                               g_settings_get_int (self->settings, "window-height"));
  if (g_settings_get_boolean (self->settings, "window-maximized"))
    gtk_window_maximize (GTK_WINDOW (self));
  adw_flap_set_reveal_flap (self->library_flap, tide_window_wants_pane (self, self->library_flap));
  adw_flap_set_reveal_flap (self->analysis_flap,
                            tide_window_wants_pane (self, self->analysis_flap));
}

static const char *
get_pane_key (TideWindow *self, AdwFlap *flap)
{
  return flap == self->library_flap ? "show-library" : "show-analysis";
}

void
tide_window_remember_pane (TideWindow *self, AdwFlap *flap)
{
  g_settings_set_boolean (self->settings, get_pane_key (self, flap),
                          adw_flap_get_reveal_flap (flap));
}

gboolean
tide_window_wants_pane (TideWindow *self, AdwFlap *flap)
{
  return g_settings_get_boolean (self->settings, get_pane_key (self, flap));
}

static void
save_frame (TideWindow *self)
{
  int width, height;

  g_settings_set_boolean (self->settings, "window-maximized",
                          gtk_window_is_maximized (GTK_WINDOW (self)));
  gtk_window_get_default_size (GTK_WINDOW (self), &width, &height);
  if (gtk_window_is_maximized (GTK_WINDOW (self)) || width <= 0 || height <= 0)
    return;
  g_settings_set_int (self->settings, "window-width", width);
  g_settings_set_int (self->settings, "window-height", height);
}

/* The look: axes, alignment, strip */

void
tide_window_restore_look (TideWindow *self)
{
  g_autofree char *y = g_settings_get_string (self->settings, "y");
  g_autofree char *x = g_settings_get_string (self->settings, "x");
  g_autofree char *align = g_settings_get_string (self->settings, "align");
  TideQuantity quantity;
  TideAxis axis;
  TideAlignment alignment;

  if (tide_quantity_from_id (y, &quantity))
    tide_comparison_set_y (self->comparison, quantity);
  if (tide_axis_from_id (x, &axis))
    tide_comparison_set_x (self->comparison, axis);
  if (tide_alignment_from_id (align, &alignment))
    tide_comparison_set_alignment (self->comparison, alignment);
  tide_comparison_set_show_strip (self->comparison,
                                  g_settings_get_boolean (self->settings, "show-strip"));
}

static void
save_look (TideWindow *self)
{
  g_settings_set_string (self->settings, "y",
                         tide_quantity_get_id (tide_comparison_get_y (self->comparison)));
  g_settings_set_string (self->settings, "x",
                         tide_axis_get_id (tide_comparison_get_x (self->comparison)));
  g_settings_set_string (self->settings, "align",
                         tide_alignment_get_id (tide_comparison_get_alignment (self->comparison)));
  g_settings_set_boolean (self->settings, "show-strip",
                          tide_comparison_get_show_strip (self->comparison));
}

/* The runs: which, the reference, the visible span */

static void
restore_view (TideWindow *self)
{
  guint reference =
      tide_comparison_find (self->comparison, g_settings_get_int64 (self->settings, "reference"));
  double start, end;

  if (reference != G_MAXUINT)
    tide_comparison_set_reference (self->comparison, reference);
  g_settings_get (self->settings, "view", "(dd)", &start, &end);
  if (isfinite (start) && isfinite (end) && start < end)
    tide_comparison_set_view (self->comparison, start, end);
}

static void
runs_loaded_cb (TideChoice *choice, TideWindow *self)
{
  g_signal_handlers_disconnect_by_func (choice, runs_loaded_cb, self);
  restore_view (self);
  self->restoring = FALSE;
}

void
tide_window_restore_runs (TideWindow *self)
{
  g_autoptr (GVariant) ids = g_settings_get_value (self->settings, "compared");
  g_autofree char *path = tide_window_dup_path (self, "compared-in");
  gsize n;
  const gint64 *id = g_variant_get_fixed_array (ids, &n, sizeof (gint64));

  g_signal_handlers_disconnect_by_func (self->choice, runs_loaded_cb, self);
  self->restoring = FALSE;
  if (g_strcmp0 (path, self->library_path) != 0 || n == 0)
    return;
  self->restoring = TRUE;
  for (gsize i = 0; i < n; i++)
    tide_choice_set (self->choice, id[i], TRUE);
  if (tide_choice_is_loading (self->choice))
    g_signal_connect (self->choice, "loaded", G_CALLBACK (runs_loaded_cb), self);
  else
    self->restoring = FALSE;
}

static void
save_runs (TideWindow *self)
{
  GArray *ids = tide_choice_get_ids (self->choice);
  TideComparedRun *reference =
      tide_comparison_get_run (self->comparison, tide_comparison_get_reference (self->comparison));
  double start = 0, end = 0;

  if (tide_comparison_is_zoomed (self->comparison))
    tide_comparison_get_view (self->comparison, &start, &end);
  tide_window_set_path (self, "compared-in", self->library_path);
  g_settings_set_value (self->settings, "compared",
                        g_variant_new_fixed_array (G_VARIANT_TYPE_INT64, ids->data, ids->len,
                                                   sizeof (gint64)));
  g_settings_set_int64 (self->settings, "reference",
                        reference != NULL ? tide_compared_run_get_id (reference) : 0);
  g_settings_set (self->settings, "view", "(dd)", start, end);
}

/* Saving */

static gboolean
save_cb (gpointer user_data)
{
  TideWindow *self = user_data;

  self->save_source = 0;
  tide_window_save_now (self);
  return G_SOURCE_REMOVE;
}

void
tide_window_save_soon (TideWindow *self)
{
  if (self->library == NULL)
    return;
  g_clear_handle_id (&self->save_source, g_source_remove);
  self->save_source = g_timeout_add (SAVE_AFTER_MS, save_cb, self);
}

void
tide_window_save_now (TideWindow *self)
{
  g_clear_handle_id (&self->save_source, g_source_remove);
  save_frame (self);
  save_look (self);
  /* what is still being restored is not replaced by a part of it */
  if (self->library != NULL && !self->restoring)
    save_runs (self);
}
