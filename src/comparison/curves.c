/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is drawn of a comparison: where each run stands, its curve, its marks, its difference to
 * the reference. Every run is placed when first asked for; a run without the mark that was asked
 * for stands on the next simpler one (draw begins, then the log's start) and its note says so.
 */
#include "comparison/comparison-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Cells of a difference: what methods say in time, but never more than a screen could show; on
 * the other axes, which have no interval of their own, a fixed number. */
#define FINEST_STEP_S   1.0
#define MOST_CELLS      20000
#define CELLS_OFF_TIME  2000
#define SMOOTH_OVER_S   30.0
#define SMOOTH_OFF_TIME 0.01

/* Helpers */

static TideMeasured
get_measured (TideComparedRun *run)
{
  return (TideMeasured){ tide_compared_run_get_recording (run),
                         tide_compared_run_get_measurement (run) };
}

static TideComparedRun *
get_reference_run (TideComparison *self)
{
  return g_ptr_array_index (self->runs, self->reference);
}

/* The alignments to try, in order; the log's start always works. */
static guint
list_alignments (TideAlignment asked, TideAlignment order[3])
{
  guint n = 0;

  order[n++] = asked;
  if (asked != TIDE_ALIGN_BEGIN && asked != TIDE_ALIGN_LOG)
    order[n++] = TIDE_ALIGN_BEGIN;
  if (asked != TIDE_ALIGN_LOG)
    order[n++] = TIDE_ALIGN_LOG;
  return n;
}

/* Seconds that put the run on the reference's clock, and by which mark. */
static double
find_offset_s (TideComparison *self, TideComparedRun *run, TideAlignment *stands_on)
{
  TideAlignment order[3];
  guint n = list_alignments (self->alignment, order);
  TideMeasured reference = get_measured (get_reference_run (self));

  for (guint i = 0; i < n; i++)
    {
      double offset_s = tide_align_offset_s (reference, get_measured (run), order[i]);

      if (isnan (offset_s))
        continue;
      *stands_on = order[i];
      return offset_s;
    }
  g_assert_not_reached ();
}

static void
place_run (TideComparison *self, TideComparedRun *run)
{
  TideComparedRun *reference = get_reference_run (self);
  double reference_begins_s = tide_compared_run_get_measurement (reference)->draw_begins_s;
  double begins_s = tide_compared_run_get_measurement (run)->draw_begins_s;
  TideAlignment stands_on = self->alignment;
  double offset_s = 0;

  if (run != reference)
    offset_s = find_offset_s (self, run, &stands_on);
  if (self->alignment != TIDE_ALIGN_LOG && !isnan (reference_begins_s))
    offset_s -= reference_begins_s;
  tide_compared_run_place (run, offset_s, self->alignment == TIDE_ALIGN_LOG ? NAN : begins_s,
                           stands_on);
}

/* The mark that an alignment needs; NaN where a run has none, 0 where none is needed. */
static double
get_mark_s (TideComparedRun *run, TideAlignment alignment)
{
  const TideMeasurement *measurement = tide_compared_run_get_measurement (run);

  return alignment == TIDE_ALIGN_BEGIN    ? measurement->draw_begins_s
         : alignment == TIDE_ALIGN_SETTLE ? measurement->settles_s
                                          : 0;
}

/* Why the alignment could not be had, as a sentence. */
static char *
make_reason (TideComparison *self, TideComparedRun *run)
{
  TideComparedRun *reference = get_reference_run (self);
  TideComparedRun *lacking = isnan (get_mark_s (reference, self->alignment)) ? reference : run;
  const char *name = tide_compared_run_get_name (lacking);

  if (self->alignment == TIDE_ALIGN_FIT)
    return g_strdup_printf (_ ("“%s” shares too little with the reference for a best fit."), name);
  if (self->alignment == TIDE_ALIGN_SETTLE)
    return g_strdup_printf (_ ("The log of “%s” ends before its draw settles."), name);
  return g_strdup_printf (_ ("“%s” shows no beginning of the draw."), name);
}

static char *
make_note (TideComparison *self, TideComparedRun *run)
{
  TideAlignment stands_on = tide_compared_run_get_stands_on (run);
  const char *name = tide_compared_run_get_name (run);
  g_autofree char *reason = NULL, *instead = NULL;

  if (run == get_reference_run (self))
    {
      /* It stands where it is, but its clock needs draw begins. */
      if (self->alignment == TIDE_ALIGN_LOG || !isnan (get_mark_s (run, TIDE_ALIGN_BEGIN)))
        return NULL;
      return g_strdup_printf (
          _ ("“%s” shows no beginning of the draw. Times count from the start of its log."), name);
    }
  if (stands_on == self->alignment)
    return NULL;
  reason = make_reason (self, run);
  instead = stands_on == TIDE_ALIGN_BEGIN
                ? g_strdup_printf (_ ("“%s” stands on draw begins instead."), name)
                : g_strdup_printf (_ ("“%s” stands on the log's start instead."), name);
  return g_strdup_printf ("%s %s", reason, instead);
}

/* How far apart samples lie on the axis. Energy has no intervals of its own: there it is the mean.
 */
static double
find_interval (TideComparison *self, TideComparedRun *run, const TideRunCurve *curve)
{
  if (self->x == TIDE_AXIS_TIME)
    return tide_compared_run_get_measurement (run)->median_interval_s;
  return curve->n > 1 ? (curve->x[curve->n - 1] - curve->x[0]) / (curve->n - 1) : 0;
}

static TideCurve
make_analysis_curve (TideComparison *self, guint position)
{
  TideRunCurve curve = tide_comparison_get_curve (self, position);
  TideComparedRun *run = g_ptr_array_index (self->runs, position);

  if (curve.n == 0)
    return (TideCurve){ 0 };
  return (TideCurve){ .x = curve.x,
                      .y = curve.y,
                      .n = curve.n,
                      .noise = tide_compared_run_get_noise (run, self->y),
                      .interval = find_interval (self, run, &curve) };
}

static TideDifference *
make_difference (TideComparison *self, guint position)
{
  TideCurve reference = make_analysis_curve (self, self->reference);
  TideCurve run = make_analysis_curve (self, position);
  double overlap, step, smooth_over;

  if (reference.n < 2 || run.n < 2)
    return NULL;
  overlap = MIN (reference.x[reference.n - 1], run.x[run.n - 1]) - MAX (reference.x[0], run.x[0]);
  if (!(overlap > 0))
    return NULL;
  if (self->x == TIDE_AXIS_TIME)
    {
      step = MAX (FINEST_STEP_S, MAX (reference.interval, run.interval));
      step = MAX (step, overlap / MOST_CELLS);
      smooth_over = SMOOTH_OVER_S;
    }
  else
    {
      step = overlap / CELLS_OFF_TIME;
      smooth_over = SMOOTH_OFF_TIME * overlap;
    }
  if (!(step > 0))
    return NULL;
  /* The one error there is says that nothing overlaps: there is no difference then. */
  return tide_difference_new (&reference, &run, step, smooth_over, NULL);
}

/* Inside the room */

TideComparedRun *
tide_comparison_get_placed (TideComparison *self, guint position)
{
  TideComparedRun *run = g_ptr_array_index (self->runs, position);

  if (!tide_compared_run_is_placed (run))
    place_run (self, run);
  return run;
}

/* Public */

double
tide_comparison_get_shift_s (TideComparison *self, guint position)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NAN);
  g_return_val_if_fail (position < self->runs->len, NAN);
  return tide_compared_run_get_shift_s (tide_comparison_get_placed (self, position));
}

const char *
tide_comparison_get_alignment_note (TideComparison *self, guint position)
{
  TideComparedRun *run;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NULL);
  g_return_val_if_fail (position < self->runs->len, NULL);

  run = tide_comparison_get_placed (self, position);
  return tide_compared_run_keep_note (run, make_note (self, run));
}

TideRunCurve
tide_comparison_get_curve (TideComparison *self, guint position)
{
  TideComparedRun *run;
  const TideRunChannel *channel;
  const double *x;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), (TideRunCurve){ 0 });
  g_return_val_if_fail (position < self->runs->len, (TideRunCurve){ 0 });

  run = tide_comparison_get_placed (self, position);
  x = tide_compared_run_get_x (run, self->x);
  channel = tide_compared_run_get_channel (run, self->y);
  if (x == NULL || channel->y == NULL)
    return (TideRunCurve){ 0 };
  return (TideRunCurve){ .n = tide_compared_run_get_n (run),
                         .x = x,
                         .y = channel->y,
                         .smoothed = channel->smoothed,
                         .overview_y = channel->overview_y,
                         .overview_smoothed = channel->own_overview_smoothed != NULL
                                                  ? channel->own_overview_smoothed
                                                  : channel->overview_y };
}

TideRunMarks
tide_comparison_get_marks (TideComparison *self, guint position)
{
  TideRunMarks marks = { NAN, NAN, NAN, NAN, NAN };
  TideComparedRun *run;
  const TideMeasurement *measurement;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), marks);
  g_return_val_if_fail (position < self->runs->len, marks);

  run = tide_comparison_get_placed (self, position);
  measurement = tide_compared_run_get_measurement (run);
  marks.draw_begins = tide_compared_run_find_x (run, self->x, measurement->draw_begins_s);
  marks.settles = tide_compared_run_find_x (run, self->x, measurement->settles_s);
  if (measurement->has_plateau)
    {
      const TidePlateau *plateau = &measurement->plateau;

      marks.plateau_start = tide_compared_run_find_x (run, self->x, plateau->start_s);
      marks.plateau_end = tide_compared_run_find_x (run, self->x, plateau->end_s);
      if (self->y == TIDE_QUANTITY_POWER)
        marks.plateau_level = plateau->level_w.value;
    }
  return marks;
}

double
tide_comparison_read (TideComparison *self, guint position, double x)
{
  TideRunCurve curve = tide_comparison_get_curve (self, position);
  gsize next, last;
  double share;

  if (curve.n == 0 || isnan (x) || x < curve.x[0] || x > curve.x[curve.n - 1])
    return NAN;
  /* The last sample at or before x: where power is zero, energy stands still and only the last of
   * the samples there has the curve going on. */
  next = tide_find_time (curve.x, curve.n, nextafter (x, INFINITY));
  last = next - 1;
  if (next == curve.n || curve.x[last] == x)
    return curve.y[last];
  share = (x - curve.x[last]) / (curve.x[next] - curve.x[last]);
  return curve.y[last] + share * (curve.y[next] - curve.y[last]);
}

const TideDifference *
tide_comparison_get_difference (TideComparison *self, guint position)
{
  TideComparedRun *run;
  const TideDifference *difference;

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NULL);
  g_return_val_if_fail (position < self->runs->len, NULL);

  if (position == self->reference)
    return NULL;
  run = g_ptr_array_index (self->runs, position);
  if (!tide_compared_run_get_difference (run, &difference))
    {
      tide_compared_run_keep_difference (run, make_difference (self, position));
      tide_compared_run_get_difference (run, &difference);
    }
  return difference;
}

TideFinding
tide_comparison_get_finding (TideComparison *self, guint position, TideCompared compared)
{
  const TideFinding none = { NAN, NAN, NAN, NAN, NAN, NAN, NAN, TIDE_VERDICT_UNDECIDED, NAN, NULL };

  g_return_val_if_fail (TIDE_IS_COMPARISON (self), none);
  g_return_val_if_fail (position < self->runs->len, none);
  g_return_val_if_fail ((guint)compared < TIDE_N_COMPARED, none);

  return tide_compare_quantity (tide_compared_run_get_measurement (get_reference_run (self)),
                                tide_compared_run_get_measurement (
                                    tide_comparison_get_run (self, position)),
                                compared, self->margin);
}
