/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs in and out of a comparison, and what they are called together. The first run in becomes
 * the reference; when the reference goes, the first that is left becomes it. Each change says
 * so in this order: the list model's "items-changed", "notify" of what moved with it, "changed".
 */
#include "comparison/comparison-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Helpers */

static void
insert_run (TideComparison *self, TideComparedRun *run)
{
  guint position = tide_comparison_find (self, tide_compared_run_get_id (run));
  gboolean replaces = position != G_MAXUINT;

  if (!replaces)
    {
      position = self->runs->len;
      g_ptr_array_add (self->runs, run);
    }
  else
    {
      g_object_unref (g_ptr_array_index (self->runs, position));
      g_ptr_array_index (self->runs, position) = run;
      if (position == self->reference)
        tide_comparison_drop_places (self);
    }
  g_list_model_items_changed (G_LIST_MODEL (self), position, replaces ? 1 : 0, 1);
  tide_comparison_refit_view (self, 0);
  tide_comparison_emit_changed (self);
}

/* The device that all runs name, NULL when they differ or name none. */
static const char *
find_common_device (TideComparison *self)
{
  const char *device = NULL;

  for (guint i = 0; i < self->runs->len; i++)
    {
      const TideConditions *conditions =
          tide_compared_run_get_conditions (g_ptr_array_index (self->runs, i));
      const char *named = tide_conditions_get (conditions, TIDE_CONDITION_DEVICE);

      if (*named == '\0' || (device != NULL && strcmp (device, named) != 0))
        return NULL;
      device = named;
    }
  return device;
}

/* Inside the room */

void
tide_comparison_drop_places (TideComparison *self)
{
  for (guint i = 0; i < self->runs->len; i++)
    tide_compared_run_drop_place (g_ptr_array_index (self->runs, i));
}

double
tide_comparison_note_shift (TideComparison *self, guint position)
{
  if (self->x != TIDE_AXIS_TIME || (!tide_comparison_is_zoomed (self) && isnan (self->cursor)))
    return NAN;
  return tide_comparison_get_shift_s (self, position);
}

double
tide_comparison_move_reference (TideComparison *self, TideComparedRun *run, double old_shift_s)
{
  if (!g_ptr_array_find (self->runs, run, &self->reference))
    g_assert_not_reached ();
  tide_comparison_drop_places (self);
  if (isnan (old_shift_s))
    return 0;
  return tide_comparison_get_shift_s (self, self->reference) - old_shift_s;
}

/* Public */

gboolean
tide_comparison_add (TideComparison *self,
                     gint64 id,
                     const TideConditions *conditions,
                     TideRecording *recording,
                     TideMeasurement *measurement,
                     guint slot,
                     GError **error)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);
  g_return_val_if_fail (recording != NULL, FALSE);

  if (measurement == NULL)
    measurement = tide_measure (recording, TIDE_STRETCH_ALL, error);
  if (measurement == NULL)
    return FALSE;
  insert_run (self, tide_compared_run_new (id, conditions, recording, measurement, slot));
  return TRUE;
}

gboolean
tide_comparison_set_recording (TideComparison *self,
                               guint position,
                               TideRecording *recording,
                               TideMeasurement *measurement,
                               GError **error)
{
  double old_shift_s, moved_x = 0;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);
  g_return_val_if_fail (position < self->runs->len && recording != NULL, FALSE);

  if (measurement == NULL)
    measurement = tide_measure (recording, TIDE_STRETCH_ALL, error);
  if (measurement == NULL)
    return FALSE;
  TideComparedRun *run = g_ptr_array_index (self->runs, position);
  old_shift_s = position == self->reference ? tide_comparison_note_shift (self, position) : NAN;
  tide_compared_run_set_recording (run, recording, measurement);
  if (position == self->reference)
    moved_x = tide_comparison_move_reference (self, run, old_shift_s);
  tide_comparison_refit_view (self, moved_x);
  tide_comparison_emit_changed (self);
  return TRUE;
}

void
tide_comparison_remove (TideComparison *self, guint position)
{
  guint old_reference;
  double moved_x = 0;

  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (position < self->runs->len);

  old_reference = self->reference;
  if (position == self->reference && self->runs->len > 1)
    {
      guint next = position == 0 ? 1 : 0;
      TideComparedRun *run = g_ptr_array_index (self->runs, next);
      double old_shift_s = tide_comparison_note_shift (self, next);

      g_ptr_array_remove_index (self->runs, position);
      moved_x = tide_comparison_move_reference (self, run, old_shift_s);
    }
  else
    {
      g_ptr_array_remove_index (self->runs, position);
      if (position < self->reference)
        self->reference--;
    }
  g_list_model_items_changed (G_LIST_MODEL (self), position, 1, 0);
  if (self->reference != old_reference)
    tide_comparison_notify (self, TIDE_PROP_REFERENCE);
  tide_comparison_refit_view (self, moved_x);
  tide_comparison_emit_changed (self);
}

void
tide_comparison_clear (TideComparison *self)
{
  guint n;
  gboolean reference_moves;

  g_return_if_fail (TIDE_IS_COMPARISON (self));

  n = self->runs->len;
  if (n == 0)
    return;
  reference_moves = self->reference != 0;
  self->reference = 0;
  g_ptr_array_set_size (self->runs, 0);
  g_list_model_items_changed (G_LIST_MODEL (self), 0, n, 0);
  if (reference_moves)
    tide_comparison_notify (self, TIDE_PROP_REFERENCE);
  tide_comparison_reset_view (self);
  tide_comparison_store_title (self, NULL);
  tide_comparison_emit_changed (self);
}

guint
tide_comparison_find (TideComparison *self, gint64 id)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), G_MAXUINT);

  for (guint i = 0; id != 0 && i < self->runs->len; i++)
    if (tide_compared_run_get_id (g_ptr_array_index (self->runs, i)) == id)
      return i;
  return G_MAXUINT;
}

void
tide_comparison_set_conditions (TideComparison *self,
                                guint position,
                                const TideConditions *conditions)
{
  TideComparedRun *run = tide_comparison_get_run (self, position);

  g_return_if_fail (run != NULL);
  if (tide_compared_run_set_conditions (run, conditions))
    tide_comparison_emit_changed (self);
}

void
tide_comparison_set_slot (TideComparison *self, guint position, guint slot)
{
  TideComparedRun *run = tide_comparison_get_run (self, position);

  g_return_if_fail (run != NULL);
  if (tide_compared_run_set_slot (run, slot))
    tide_comparison_emit_changed (self);
}

TideComparedRun *
tide_comparison_get_run (TideComparison *self, guint position)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NULL);
  return position < self->runs->len ? g_ptr_array_index (self->runs, position) : NULL;
}

guint
tide_comparison_get_n_runs (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), 0);
  return self->runs->len;
}

guint
tide_comparison_get_free_slot (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), 0);

  for (guint slot = 0;; slot++)
    {
      gboolean taken = FALSE;

      for (guint i = 0; i < self->runs->len && !taken; i++)
        taken = tide_compared_run_get_slot (g_ptr_array_index (self->runs, i)) == slot;
      if (!taken)
        return slot;
    }
}

char *
tide_comparison_dup_title (TideComparison *self)
{
  guint n;
  const char *device;
  g_autofree char *count = NULL;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NULL);

  n = self->runs->len;
  if (self->title != NULL)
    return g_strdup (self->title);
  if (n == 1)
    return g_strdup (tide_compared_run_get_name (g_ptr_array_index (self->runs, 0)));
  if (n == 2)
    return g_strdup_printf ("%s – %s",
                            tide_compared_run_get_name (g_ptr_array_index (self->runs, 0)),
                            tide_compared_run_get_name (g_ptr_array_index (self->runs, 1)));
  count =
      n == 0 ? g_strdup (_ ("No runs")) : g_strdup_printf (ngettext ("%u run", "%u runs", n), n);
  device = find_common_device (self);
  return device != NULL ? g_strdup_printf (_ ("%s: %s"), device, count) : g_steal_pointer (&count);
}
