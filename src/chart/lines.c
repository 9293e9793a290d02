/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The curves: for each run a soft band of what was logged and its trend on top.
 *
 * The band covers the polyline of all samples in each pixel column; excursions that stand out of it
 * (a spike may be one sample of a million) get a stroke of their own, since a sliver of 22 % is not
 * seen. Where samples are further apart than two pixels there is nothing to smooth: the line then
 * runs through each of them.
 *
 * Image surfaces get strokes in pieces of 32 px, because cairo's time grows faster than the length
 * of a path; vector files get whole paths with coordinates rounded to a quarter px.
 */
#include "chart/chart-private.h"

#include <math.h>

#include "recording/median.h"

/* Below this many samples a pixel each of them is shown. */
#define SPARSE_DENSITY 0.5
#define BAND_ALPHA     0.22
#define SPIKE_ALPHA    0.60
#define BRIDGE_ALPHA   0.55
/* An excursion stands out of the others from this many median deviations, and this many bases, on.
 */
#define SPIKE_SPREAD  6.0
#define LEAST_SPIKE   0.35
#define PIECE_PX      32.0
#define FINEST_PX     0.25
#define REFERENCE_PEN 1.25
/* In line widths. */
#define END_RADIUS 1.4

/* --- what of a run is drawn --- */

static TideTrace
get_samples (const TidePlan *plan, guint run, gboolean smoothed)
{
  TideRunCurve curve = tide_comparison_get_curve (plan->comparison, run);
  TideRecording *recording =
      tide_compared_run_get_recording (tide_comparison_get_run (plan->comparison, run));
  gboolean time = tide_comparison_get_x (plan->comparison) == TIDE_AXIS_TIME;

  return (TideTrace){
    .n = curve.n,
    .x = curve.x,
    .y = smoothed ? curve.smoothed : curve.y,
    .overview = smoothed ? curve.overview_smoothed : curve.overview_y,
    .gap = time ? tide_recording_get_gap_limit_s (recording) : INFINITY,
  };
}

TideTrace
tide_plan_get_logged (const TidePlan *plan, guint run)
{
  return get_samples (plan, run, FALSE);
}

gboolean
tide_plan_has_band (const TidePlan *plan, guint run)
{
  TideRunCurve curve = tide_comparison_get_curve (plan->comparison, run);
  TideTrace logged = tide_plan_get_logged (plan, run);

  return curve.smoothed != curve.y
         && tide_reduce_density (&logged, &plan->room.x) >= SPARSE_DENSITY;
}

TideTrace
tide_plan_get_line (const TidePlan *plan, guint run)
{
  return get_samples (plan, run, tide_plan_has_band (plan, run));
}

guint
tide_plan_get_slot (const TidePlan *plan, guint run)
{
  return tide_compared_run_get_slot (tide_comparison_get_run (plan->comparison, run));
}

double
tide_plan_get_pen (const TidePlan *plan, guint run)
{
  guint n = tide_comparison_get_n_runs (plan->comparison);
  double density = n <= 2 ? 1.1 : n <= 5 ? 1.0 : 0.85;

  return plan->style.line_px * density
         * (n > 1 && run == tide_comparison_get_reference (plan->comparison) ? REFERENCE_PEN : 1);
}

guint
tide_plan_get_bins (const TidePlan *plan, cairo_t *cr)
{
  return plan->quick || tide_pencil_is_vector (cr) ? TIDE_BINS_QUICK : TIDE_BINS_FINE;
}

GArray *
tide_plan_get_order (const TidePlan *plan)
{
  guint reference = tide_comparison_get_reference (plan->comparison);
  GArray *order = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint run = tide_comparison_get_n_runs (plan->comparison); run-- > 0;)
    if (run != reference)
      g_array_append_val (order, run);
  g_array_append_val (order, reference);
  return order;
}

static gboolean
ends_in (const TidePlan *plan, const TideTrace *samples, guint run, const TideRect *rect)
{
  double radius = END_RADIUS * tide_plan_get_pen (plan, run);
  TidePoint end;

  if (!tide_reduce_end (samples, &plan->room.x, &plan->room.y, &end))
    return FALSE;
  const TideRect dot = { end.x - radius, end.y - radius, 2 * radius, 2 * radius };
  return tide_rect_overlaps (&dot, rect);
}

/* The one of two questions: of all that was logged, or of the lines through it. */
static gboolean
is_touched (const TidePlan *plan, const TideRect *rect, guint except, gboolean logged)
{
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideTrace line = tide_plan_get_line (plan, run);
      TideTrace trace = logged ? tide_plan_get_logged (plan, run) : line;

      if (run != except
          && (tide_reduce_touches (&trace, &plan->room.x, &plan->room.y, rect)
              || ends_in (plan, &line, run, rect)))
        return TRUE;
    }
  return FALSE;
}

gboolean
tide_plan_is_crossed (const TidePlan *plan, const TideRect *rect, guint except)
{
  return is_touched (plan, rect, except, TRUE);
}

gboolean
tide_plan_is_on_line (const TidePlan *plan, const TideRect *rect, guint except)
{
  return is_touched (plan, rect, except, FALSE);
}

/* --- the band --- */

/* From where on an excursion stands out of the others: median and SPIKE_SPREAD median deviations.
 */
static double
find_spike_limit (const double *excursions, guint n)
{
  g_autofree double *scratch = g_memdup2 (excursions, n * sizeof (double));
  double median = tide_select_median (scratch, n);

  for (guint i = 0; i < n; i++)
    scratch[i] = fabs (excursions[i] - median);
  return median + SPIKE_SPREAD * tide_select_median (scratch, n);
}

static double
round_for (gboolean vector, double px)
{
  return vector ? round (px / FINEST_PX) * FINEST_PX : px;
}

/* One closed outline of the columns first .. last - 1, never thinner than 1 px. */
static void
add_outline (cairo_t *cr, GArray *columns, guint first, guint last, gboolean vector)
{
  const TideColumn *all = (const TideColumn *)(void *)columns->data;

  cairo_new_sub_path (cr);
  for (guint i = first; i < last; i++)
    cairo_line_to (cr, all[i].x,
                   round_for (vector, MIN (all[i].top, (all[i].top + all[i].bottom - 1) / 2)));
  for (guint i = last; i-- > first;)
    cairo_line_to (cr, all[i].x,
                   round_for (vector, MAX (all[i].bottom, (all[i].top + all[i].bottom + 1) / 2)));
  cairo_close_path (cr);
}

static void
fill_band (cairo_t *cr, GArray *columns, TideColor color)
{
  gboolean vector = tide_pencil_is_vector (cr);
  guint first = 0;

  cairo_new_path (cr);
  for (guint i = 1; i <= columns->len; i++)
    if (i == columns->len || g_array_index (columns, TideColumn, i).starts)
      {
        add_outline (cr, columns, first, i, vector);
        first = i;
      }
  tide_pencil_set_color (cr, color, BAND_ALPHA);
  cairo_fill (cr);
}

/* Where the trend is in each column, in px. Transfer full. */
static double *
find_bases (const TidePlan *plan, GArray *columns, const TideTrace *trend)
{
  double *bases = g_new (double, columns->len);
  gsize at = 0;

  for (guint i = 0; i < columns->len; i++)
    {
      double x = tide_scale_from_px (&plan->room.x, g_array_index (columns, TideColumn, i).x);

      at += tide_find_time_near (trend->x + at, trend->n - at, x);
      bases[i] = tide_scale_to_px (&plan->room.y, trend->y[MIN (at, trend->n - 1)]);
    }
  return bases;
}

/* How far each column reaches from the trend, in px. Transfer full. */
static double *
measure_excursions (GArray *columns, const double *bases)
{
  double *excursions = g_new (double, columns->len);

  for (guint i = 0; i < columns->len; i++)
    {
      const TideColumn *column = &g_array_index (columns, TideColumn, i);
      excursions[i] = MAX (bases[i] - column->top, column->bottom - bases[i]);
    }
  return excursions;
}

/* Columns that reach far out of the band get a thin upright stroke, from the trend on. */
static void
stroke_spikes (const TidePlan *plan,
               cairo_t *cr,
               GArray *columns,
               const TideTrace *trend,
               TideColor color)
{
  g_autofree double *bases = find_bases (plan, columns, trend);
  g_autofree double *excursions = measure_excursions (columns, bases);
  double limit =
      MAX (find_spike_limit (excursions, columns->len), LEAST_SPIKE * plan->style.base_px);
  gboolean vector = tide_pencil_is_vector (cr);

  cairo_new_path (cr);
  for (guint i = 0; i < columns->len; i++)
    {
      const TideColumn *column = &g_array_index (columns, TideColumn, i);

      if (excursions[i] < limit)
        continue;
      cairo_move_to (cr, column->x, round_for (vector, MIN (column->top, bases[i])));
      cairo_line_to (cr, column->x, round_for (vector, MAX (column->bottom, bases[i])));
    }
  tide_pencil_set_color (cr, color, SPIKE_ALPHA);
  cairo_set_dash (cr, NULL, 0, 0);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  cairo_set_line_width (cr, MAX (1, plan->style.line_px / 2));
  cairo_stroke (cr);
}

static void
draw_band (const TidePlan *plan, cairo_t *cr, guint run)
{
  TideTrace logged = tide_plan_get_logged (plan, run), trend = get_samples (plan, run, TRUE);
  g_autoptr (GArray) columns = tide_reduce_columns (&logged, &plan->room.x, &plan->room.y);
  TideColor color = tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, run));

  if (columns->len == 0)
    return;
  fill_band (cr, columns, color);
  stroke_spikes (plan, cr, columns, &trend, color);
}

/* --- the line --- */

/* No points on the way of straight stretches; for vector files on a grid. */
static GArray *
prepare_points (GArray *points, gboolean vector)
{
  GArray *prepared = tide_reduce_straighten (points, vector ? 1.6 * FINEST_PX : FINEST_PX / 2);

  for (guint i = 0; i < prepared->len; i++)
    {
      TidePoint *point = &g_array_index (prepared, TidePoint, i);

      point->x = round_for (vector, point->x);
      point->y = round_for (vector, point->y);
    }
  return prepared;
}

/* Strokes the points from first until the piece is full, the log has a gap or the points end.
 * Returns the index of its last point; offset is the length of the line before it. */
static guint
stroke_piece (cairo_t *cr,
              GArray *points,
              guint first,
              double piece_px,
              guint slot,
              double width,
              double *offset)
{
  const TidePoint *all = (const TidePoint *)(void *)points->data;
  double length = 0;
  guint i = first;

  cairo_new_path (cr);
  cairo_move_to (cr, all[first].x, all[first].y);
  while (i + 1 < points->len && !all[i + 1].bridged
         && (i == first || all[i].x - all[first].x < piece_px))
    {
      i++;
      length += hypot (all[i].x - all[i - 1].x, all[i].y - all[i - 1].y);
      cairo_line_to (cr, all[i].x, all[i].y);
    }
  if (i == first) /* a point alone, between two gaps: a round cap makes it a dot */
    cairo_close_path (cr);
  tide_pencil_set_dash (cr, slot, width, *offset);
  cairo_stroke (cr);
  *offset += length;
  return i;
}

static void
stroke_bridges (cairo_t *cr, GArray *points, TideColor color, double alpha, double width)
{
  const double dots[] = { width / 2, width * 2 };

  cairo_new_path (cr);
  for (guint i = 1; i < points->len; i++)
    {
      const TidePoint *to = &g_array_index (points, TidePoint, i);
      const TidePoint *from = to - 1;

      if (!to->bridged)
        continue;
      cairo_move_to (cr, from->x, from->y);
      cairo_line_to (cr, to->x, to->y);
    }
  tide_pencil_set_color (cr, color, alpha * BRIDGE_ALPHA);
  cairo_set_dash (cr, dots, G_N_ELEMENTS (dots), 0);
  cairo_set_line_width (cr, width * 0.75);
  cairo_stroke (cr);
}

void
tide_lines_stroke (cairo_t *cr,
                   GArray *points,
                   TideColor color,
                   double alpha,
                   double width,
                   guint slot)
{
  gboolean vector = tide_pencil_is_vector (cr);
  g_autoptr (GArray) drawn = prepare_points (points, vector);
  double offset = 0;
  const double *dashes;

  if (drawn->len == 0)
    return;
  stroke_bridges (cr, drawn, color, alpha, width);
  /* Caps close the seams between pieces of a solid line; seams of a translucent one must not add
   * up. */
  cairo_set_line_cap (cr, alpha == 1 && tide_palette_get_dash (slot, &dashes) == 0
                              ? CAIRO_LINE_CAP_ROUND
                              : CAIRO_LINE_CAP_BUTT);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_width (cr, width);
  tide_pencil_set_color (cr, color, alpha);
  for (guint i = 0; i < drawn->len;)
    {
      guint last = stroke_piece (cr, drawn, i, vector ? INFINITY : PIECE_PX, slot, width, &offset);
      gboolean broken = last + 1 < drawn->len && g_array_index (drawn, TidePoint, last + 1).bridged;

      i = broken || last + 1 == drawn->len ? last + 1 : last;
    }
  cairo_set_dash (cr, NULL, 0, 0);
}

/* Where a log ends: a dot, an open one where it ends before the draw settles. */
static void
draw_end (const TidePlan *plan, cairo_t *cr, guint run)
{
  TideTrace samples = tide_plan_get_line (plan, run);
  const TideMeasurement *measurement =
      tide_compared_run_get_measurement (tide_comparison_get_run (plan->comparison, run));
  double pen = tide_plan_get_pen (plan, run);
  TidePoint end;

  if (!tide_reduce_end (&samples, &plan->room.x, &plan->room.y, &end) || end.bridged)
    return;
  cairo_new_path (cr);
  cairo_arc (cr, end.x, end.y, END_RADIUS * pen, 0, 2 * G_PI);
  if (isfinite (measurement->settles_s))
    {
      tide_pencil_set_color (
          cr, tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, run)), 1);
      cairo_fill (cr);
      return;
    }
  tide_pencil_set_color (cr, tide_palette_get_ground (plan->style.look), 1);
  cairo_fill_preserve (cr);
  tide_pencil_set_color (cr,
                         tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, run)),
                         1);
  cairo_set_line_width (cr, pen * 0.75);
  cairo_stroke (cr);
}

void
tide_lines_draw (const TidePlan *plan, cairo_t *cr)
{
  g_autoptr (GArray) order = tide_plan_get_order (plan);
  const TideRect *plot = &plan->room.plot;
  double edge = 2 * plan->style.line_px;

  cairo_save (cr);
  cairo_rectangle (cr, plot->x - plan->style.line_px, plot->y - edge,
                   plot->width + 2 * plan->style.line_px, plot->height + 2 * edge);
  cairo_clip (cr);
  for (guint i = 0; i < order->len; i++)
    if (tide_plan_has_band (plan, g_array_index (order, guint, i)))
      draw_band (plan, cr, g_array_index (order, guint, i));
  for (guint i = 0; i < order->len; i++)
    {
      guint run = g_array_index (order, guint, i), slot = tide_plan_get_slot (plan, run);
      TideTrace samples = tide_plan_get_line (plan, run);
      g_autoptr (GArray) points =
          tide_reduce_line (&samples, &plan->room.x, &plan->room.y, tide_plan_get_bins (plan, cr));

      tide_lines_stroke (cr, points, tide_palette_get_series (plan->style.look, slot), 1,
                         tide_plan_get_pen (plan, run), slot);
    }
  cairo_restore (cr);
  for (guint i = 0; i < order->len; i++)
    draw_end (plan, cr, g_array_index (order, guint, i));
}
