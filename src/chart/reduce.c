/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From samples to the few points a picture can show.
 *
 * Two forms. The line keeps of each bin (a pixel or half of one) the first, least, greatest and
 * last value, after M4 (Jugel et al., VLDB 2014), or each sample where a bin has no more than four.
 * The columns say for each pixel how low and how high the polyline of all samples comes there. Both
 * ask the overview for extremes, so that the cost is bounded by the width times the logarithm of
 * the number of samples, and neither loses a spike, however short.
 *
 * Samples outside the view are never turned into pixels: the curve is cut at the view's ends, so
 * that no coordinate is larger than cairo can hold.
 */
#include "chart/chart-private.h"

#include <math.h>

#define POINTS_PER_BIN 4
/* Within a bin a curve that moves less than this (px) is one point. */
#define FLAT_PX 0.5
/* One that moves less than this is told by its least and greatest: first and last lie between. */
#define GENTLE_PX 2
/* Whether a curve comes into a rectangle is asked for stretches of this width. */
#define TOUCH_PX 4

/* The samples inside a view: first .. last - 1; before and after may be cut ends. */
typedef struct
{
  gsize first, last;
  gboolean cut_start, cut_end;
  double start_y, end_y;
} Span;

static double
interpolate (const TideTrace *samples, gsize i, double at)
{
  double width = samples->x[i] - samples->x[i - 1];

  return width > 0 ? samples->y[i - 1]
                         + (samples->y[i] - samples->y[i - 1]) * (at - samples->x[i - 1]) / width
                   : samples->y[i];
}

static gboolean
is_gap (const TideTrace *samples, gsize i)
{
  return samples->x[i] - samples->x[i - 1] > samples->gap;
}

static gboolean
find_span (const TideTrace *samples, const TideScale *x, Span *span)
{
  gsize first, last;

  if (samples->n == 0)
    return FALSE;
  first = tide_find_time (samples->x, samples->n, x->low);
  last = tide_find_time (samples->x, samples->n, nextafter (x->high, INFINITY));
  *span = (Span){ .first = first, .last = last };
  if (first > 0 && first < samples->n && samples->x[first] > x->low)
    {
      span->cut_start = TRUE;
      span->start_y = interpolate (samples, first, x->low);
    }
  if (last > 0 && last < samples->n && samples->x[last - 1] < x->high)
    {
      span->cut_end = TRUE;
      span->end_y = interpolate (samples, last, x->high);
    }
  return first < last || (span->cut_start && span->cut_end);
}

static void
add_point (GArray *points, double x, double y, gboolean bridged)
{
  TidePoint point = { x, y, bridged };

  g_array_append_val (points, point);
}

/* The end of the bin that starts at first: the first sample beyond it. */
static gsize
find_bin_end (const TideTrace *samples,
              const TideScale *x,
              const Span *span,
              gsize first,
              double bins)
{
  double bin = floor ((tide_scale_to_px (x, samples->x[first]) - x->start_px) * bins);
  double edge = tide_scale_from_px (x, x->start_px + (bin + 1) / bins);
  /* A sample on an edge may be taken for left of it by a last bit. */
  if (edge <= samples->x[first])
    edge = tide_scale_from_px (x, x->start_px + (bin + 2) / bins);
  gsize end = first + tide_find_time_near (samples->x + first, span->last - first, edge);

  return MAX (end, first + 1);
}

static void
add_sample (GArray *points,
            const TideTrace *samples,
            const TideScale *x,
            const TideScale *y,
            gsize i)
{
  add_point (points, tide_scale_to_px (x, samples->x[i]), tide_scale_to_px (y, samples->y[i]),
             i > 0 && is_gap (samples, i));
}

static void
add_bin (GArray *points,
         const TideTrace *samples,
         const TideScale *x,
         const TideScale *y,
         gsize first,
         gsize end)
{
  double from = tide_scale_to_px (x, samples->x[first]),
         to = tide_scale_to_px (x, samples->x[end - 1]);
  gboolean bridged = first > 0 && is_gap (samples, first), rises;
  TideRange range;
  double low, high;

  if (end - first <= POINTS_PER_BIN)
    {
      for (gsize i = first; i < end; i++)
        add_sample (points, samples, x, y, i);
      return;
    }
  range = tide_overview_query (samples->overview, samples->y, first, end);
  low = tide_scale_to_px (y, range.low);
  high = tide_scale_to_px (y, range.high);
  rises = samples->y[end - 1] >= samples->y[first];
  if (fabs (high - low) < FLAT_PX)
    add_point (points, (from + to) / 2, (low + high) / 2, bridged);
  else if (fabs (high - low) < GENTLE_PX)
    {
      add_point (points, from + (to - from) / 4, rises ? low : high, bridged);
      add_point (points, to - (to - from) / 4, rises ? high : low, FALSE);
    }
  else
    {
      add_sample (points, samples, x, y, first);
      add_point (points, (from + to) / 2, rises ? low : high, FALSE);
      add_point (points, (from + to) / 2, rises ? high : low, FALSE);
      add_sample (points, samples, x, y, end - 1);
    }
}

GArray *
tide_reduce_line (const TideTrace *samples, const TideScale *x, const TideScale *y, guint bins)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  Span span;

  if (!find_span (samples, x, &span))
    return points;
  if (span.cut_start)
    add_point (points, x->start_px, tide_scale_to_px (y, span.start_y), FALSE);
  for (gsize i = span.first; i < span.last;)
    {
      gsize end = find_bin_end (samples, x, &span, i, bins);

      add_bin (points, samples, x, y, i, end);
      i = end;
    }
  if (span.cut_end)
    add_point (points, x->end_px, tide_scale_to_px (y, span.end_y), is_gap (samples, span.last));
  return points;
}

/* The slopes from a point that pass no further than tolerance from all points since. */
typedef struct
{
  double least, most;
} Cone;

static gboolean
narrow_cone (Cone *cone, const TidePoint *from, const TidePoint *to, double tolerance)
{
  double width = to->x - from->x;

  if (width <= 0) /* straight up: a spike's side is a point of its own */
    return FALSE;
  if ((to->y - from->y) / width < cone->least || (to->y - from->y) / width > cone->most)
    return FALSE;
  cone->least = MAX (cone->least, (to->y - tolerance - from->y) / width);
  cone->most = MIN (cone->most, (to->y + tolerance - from->y) / width);
  return TRUE;
}

GArray *
tide_reduce_straighten (GArray *points, double tolerance)
{
  GArray *kept = g_array_sized_new (FALSE, FALSE, sizeof (TidePoint), points->len);
  const TidePoint *all = (const TidePoint *)(void *)points->data;
  const Cone open = { -INFINITY, INFINITY };
  Cone cone = open;
  guint from = 0;

  for (guint i = 0; i < points->len; i++)
    {
      gboolean must = i == 0 || i + 1 == points->len || all[i].bridged || all[i + 1].bridged;
      gboolean straight = i > 0 && narrow_cone (&cone, &all[from], &all[i], tolerance);

      if (straight && !must)
        continue;
      if (!straight && i > from + 1)
        {
          /* The point before was the last seen straight on; from there this one is tried anew. */
          g_array_append_val (kept, all[i - 1]);
          from = i - 1;
          cone = open;
          if (!must && narrow_cone (&cone, &all[from], &all[i], tolerance))
            continue;
        }
      g_array_append_val (kept, all[i]);
      from = i;
      cone = open;
    }
  return kept;
}

/* Widens range by the polyline's value where it crosses the edge left of sample i. */
static void
widen_by_crossing (TideRange *range, const TideTrace *samples, gsize i, double edge)
{
  double value;

  if (i == 0 || i >= samples->n || is_gap (samples, i))
    return;
  value = interpolate (samples, i, CLAMP (edge, samples->x[i - 1], samples->x[i]));
  range->low = MIN (range->low, value);
  range->high = MAX (range->high, value);
}

static void
add_column (GArray *columns,
            const TideTrace *samples,
            const TideScale *x,
            const TideScale *y,
            const Span *span,
            gsize first,
            gsize end)
{
  double column = floor (tide_scale_to_px (x, samples->x[first]) - x->start_px) + x->start_px;
  TideRange range = tide_overview_query (samples->overview, samples->y, first, end);
  TideColumn added = { .x = MIN (column + 0.5, x->end_px) };

  widen_by_crossing (&range, samples, first, tide_scale_from_px (x, column));
  widen_by_crossing (&range, samples, end, tide_scale_from_px (x, MIN (column + 1, x->end_px)));
  added.top = tide_scale_to_px (y, range.high);
  added.bottom = tide_scale_to_px (y, range.low);
  added.starts = columns->len == 0 || is_gap (samples, first);
  g_array_append_val (columns, added);
}

GArray *
tide_reduce_columns (const TideTrace *samples, const TideScale *x, const TideScale *y)
{
  GArray *columns = g_array_new (FALSE, FALSE, sizeof (TideColumn));
  Span span;

  if (!find_span (samples, x, &span))
    return columns;
  for (gsize i = span.first; i < span.last;)
    {
      gsize end = find_bin_end (samples, x, &span, i, 1);

      add_column (columns, samples, x, y, &span, i, end);
      i = end;
    }
  return columns;
}

double
tide_reduce_density (const TideTrace *samples, const TideScale *x)
{
  Span span;
  double from, to;

  if (!find_span (samples, x, &span) || span.last - span.first < 2)
    return 0;
  from = tide_scale_to_px (x, samples->x[span.first]);
  to = tide_scale_to_px (x, samples->x[span.last - 1]);
  return (double)(span.last - span.first) / MAX (to - from, 1);
}

gboolean
tide_reduce_end (const TideTrace *samples, const TideScale *x, const TideScale *y, TidePoint *end)
{
  Span span;

  if (!find_span (samples, x, &span))
    return FALSE;
  if (span.cut_end)
    *end = (TidePoint){ x->end_px, tide_scale_to_px (y, span.end_y), TRUE };
  else
    *end = (TidePoint){ tide_scale_to_px (x, samples->x[span.last - 1]),
                        tide_scale_to_px (y, samples->y[span.last - 1]), span.last < samples->n };
  return TRUE;
}

/* Lowest and highest of the curve from from_px to to_px; FALSE where there is none of it. */
static gboolean
find_range (const TideTrace *samples,
            const TideScale *x,
            double from_px,
            double to_px,
            TideRange *range)
{
  const TideScale slice = { tide_scale_from_px (x, from_px), tide_scale_from_px (x, to_px), from_px,
                            to_px };
  Span span;

  if (!find_span (samples, &slice, &span))
    return FALSE;
  *range = (TideRange){ INFINITY, -INFINITY };
  if (span.first < span.last)
    *range = tide_overview_query (samples->overview, samples->y, span.first, span.last);
  if (span.cut_start)
    *range = (TideRange){ MIN (range->low, span.start_y), MAX (range->high, span.start_y) };
  if (span.cut_end)
    *range = (TideRange){ MIN (range->low, span.end_y), MAX (range->high, span.end_y) };
  return TRUE;
}

/* Halves the stretch where its range reaches into top .. bottom, until it is as narrow as matters.
 */
static gboolean
touches_between (const TideTrace *samples,
                 const TideScale *x,
                 const TideScale *y,
                 double from_px,
                 double to_px,
                 double top,
                 double bottom)
{
  double middle = (from_px + to_px) / 2;
  TideRange range;

  if (!find_range (samples, x, from_px, to_px, &range) || tide_scale_to_px (y, range.high) > bottom
      || tide_scale_to_px (y, range.low) < top)
    return FALSE;
  return to_px - from_px <= TOUCH_PX
         || touches_between (samples, x, y, from_px, middle, top, bottom)
         || touches_between (samples, x, y, middle, to_px, top, bottom);
}

gboolean
tide_reduce_touches (const TideTrace *samples,
                     const TideScale *x,
                     const TideScale *y,
                     const TideRect *rect)
{
  double from = MAX (rect->x, x->start_px), to = MIN (rect->x + rect->width, x->end_px);

  return from < to && touches_between (samples, x, y, from, to, rect->y, rect->y + rect->height);
}
