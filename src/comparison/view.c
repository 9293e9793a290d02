/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What of a comparison is visible. The view is a span of the x axis, or nothing at all for
 * everything: a view that reaches both ends is stored as everything, so that zooming out comes
 * back to it and later runs are shown whole.
 */
#include "comparison/comparison-private.h"

#include <math.h>

/* A view as wide as the extent but for this share of it is everything. */
#define WHOLE_SHARE 1e-9
/* Not narrower than this many samples. */
#define FEWEST_SAMPLES 2

/* Helpers */

/* Where the run begins and ends on the x axis. */
static gboolean
find_run_extent (TideComparison *self, guint position, double *start, double *end)
{
  TideComparedRun *run = tide_comparison_get_placed (self, position);
  const double *x = tide_compared_run_get_x (run, self->x);

  if (x == NULL)
    return FALSE;
  *start = x[0];
  *end = x[tide_compared_run_get_n (run) - 1];
  return TRUE;
}

/* Two samples of the run with the finest steps; energy has no steps, so there it is their mean. */
static double
find_narrowest (TideComparison *self, double whole)
{
  double narrowest = whole;

  for (guint i = 0; i < self->runs->len; i++)
    {
      TideComparedRun *run = g_ptr_array_index (self->runs, i);
      gsize n = tide_compared_run_get_n (run);
      double step = self->x == TIDE_AXIS_TIME
                        ? tide_compared_run_get_measurement (run)->median_interval_s
                        : whole / (n > 1 ? n - 1 : 1);

      if (step > 0)
        narrowest = MIN (narrowest, FEWEST_SAMPLES * step);
    }
  return narrowest;
}

/* Puts a view on what there is; NaN, NaN when that is everything. */
static void
clamp_view (TideComparison *self, double *start, double *end)
{
  double from, to, width, middle;
  double low = MIN (*start, *end), high = MAX (*start, *end);

  if (isnan (*start) || isnan (*end) || !tide_comparison_get_extent (self, &from, &to))
    {
      *start = *end = NAN;
      return;
    }
  low = isinf (low) ? from : low;
  high = isinf (high) ? to : high;
  middle = low / 2 + high / 2;
  width = MAX (high - low, find_narrowest (self, to - from));
  if (width >= (to - from) * (1 - WHOLE_SHARE))
    {
      *start = *end = NAN;
      return;
    }
  *start = CLAMP (middle - width / 2, from, to - width);
  *end = *start + width;
}

/* Widens a range by a value that may be NaN. */
static void
widen_range (TideRange *range, double value)
{
  range->low = fmin (range->low, value);
  range->high = fmax (range->high, value);
}

/* All samples in the span, and where the curve crosses the span's ends. */
static void
widen_by_run (TideComparison *self, guint position, double start, double end, TideRange *range)
{
  TideRunCurve curve = tide_comparison_get_curve (self, position);
  gsize first, last;

  if (curve.n == 0)
    return;
  first = tide_find_time (curve.x, curve.n, start);
  last = tide_find_time (curve.x, curve.n, nextafter (end, INFINITY));
  if (first < last)
    {
      TideRange inside = tide_overview_query (curve.overview_y, curve.y, first, last);

      widen_range (range, inside.low);
      widen_range (range, inside.high);
    }
  widen_range (range, tide_comparison_read (self, position, start));
  widen_range (range, tide_comparison_read (self, position, end));
}

/* Inside the room */

gboolean
tide_comparison_store_view (TideComparison *self, double start, double end)
{
  gboolean moves_start = !tide_is_same_value (self->view_start, start);
  gboolean moves_end = !tide_is_same_value (self->view_end, end);

  self->view_start = start;
  self->view_end = end;
  if (moves_start)
    tide_comparison_notify (self, TIDE_PROP_VIEW_START);
  if (moves_end)
    tide_comparison_notify (self, TIDE_PROP_VIEW_END);
  return moves_start || moves_end;
}

gboolean
tide_comparison_store_cursor (TideComparison *self, double x)
{
  if (tide_is_same_value (self->cursor, x))
    return FALSE;
  self->cursor = x;
  tide_comparison_notify (self, TIDE_PROP_CURSOR);
  return TRUE;
}

void
tide_comparison_reset_view (TideComparison *self)
{
  tide_comparison_store_view (self, NAN, NAN);
  tide_comparison_store_cursor (self, NAN);
}

void
tide_comparison_refit_view (TideComparison *self, double moved_x)
{
  double start = self->view_start + moved_x, end = self->view_end + moved_x;
  double cursor = self->cursor + moved_x;
  double from, to;

  if (isnan (self->view_start) && isnan (self->cursor))
    return;
  clamp_view (self, &start, &end);
  tide_comparison_store_view (self, start, end);
  if (!tide_comparison_get_extent (self, &from, &to) || cursor < from || cursor > to)
    cursor = NAN;
  tide_comparison_store_cursor (self, cursor);
}

/* Public */

gboolean
tide_comparison_get_extent (TideComparison *self, double *start, double *end)
{
  gboolean any = FALSE;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);

  for (guint i = 0; i < self->runs->len; i++)
    {
      double from, to;

      if (!find_run_extent (self, i, &from, &to))
        continue;
      *start = any ? MIN (*start, from) : from;
      *end = any ? MAX (*end, to) : to;
      any = TRUE;
    }
  return any;
}

gboolean
tide_comparison_get_view (TideComparison *self, double *start, double *end)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);

  if (!tide_comparison_is_zoomed (self))
    return tide_comparison_get_extent (self, start, end);
  *start = self->view_start;
  *end = self->view_end;
  return TRUE;
}

void
tide_comparison_set_view (TideComparison *self, double start, double end)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));

  clamp_view (self, &start, &end);
  if (tide_comparison_store_view (self, start, end))
    tide_comparison_emit_changed (self);
}

gboolean
tide_comparison_is_zoomed (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);
  return !isnan (self->view_start);
}

void
tide_comparison_zoom (TideComparison *self, double factor, double around_x)
{
  double start, end, from, to, share, width;

  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (factor > 0 && isfinite (factor) && isfinite (around_x));

  if (!tide_comparison_get_view (self, &start, &end)
      || !tide_comparison_get_extent (self, &from, &to) || end <= start)
    return;
  /* The width is clamped first, or x would creep at the narrowest view. */
  width = MAX ((end - start) * factor, find_narrowest (self, to - from));
  share = (around_x - start) / (end - start);
  tide_comparison_set_view (self, around_x - share * width, around_x + (1 - share) * width);
}

void
tide_comparison_pan (TideComparison *self, double share)
{
  double start, end;

  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (isfinite (share));

  if (tide_comparison_is_zoomed (self) && tide_comparison_get_view (self, &start, &end))
    tide_comparison_set_view (self, start + share * (end - start), end + share * (end - start));
}

double
tide_comparison_get_cursor (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NAN);
  return self->cursor;
}

void
tide_comparison_set_cursor (TideComparison *self, double x)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));
  tide_comparison_store_cursor (self, isfinite (x) ? x : NAN);
}

gboolean
tide_comparison_get_y_range (TideComparison *self, double *low, double *high)
{
  TideRange range = { INFINITY, -INFINITY };
  double start, end;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);

  if (!tide_comparison_get_view (self, &start, &end))
    return FALSE;
  for (guint i = 0; i < self->runs->len; i++)
    widen_by_run (self, i, start, end, &range);
  if (range.low > range.high)
    return FALSE;
  *low = range.low;
  *high = range.high;
  return TRUE;
}
