/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The curve run − reference: both averaged area-true onto one grid over what both have, and what
 * is to be said of it in four numbers. The grid never has more than CELLS_MAX cells: step is
 * widened where it would. O(n) but for the smoothing.
 */
#include "analysis/compare.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "analysis/series.h"

/* Far more than any picture is wide; bounds memory for a log of centuries. */
#define CELLS_MAX (1u << 20)

/* As for power itself. */
#define SMOOTH_LEAST 5

/* Expanded by k = 2, as every uncertainty. */
#define COVERAGE 2.0

/* A range that is a whole number of steps has that many cells, whatever rounding says. */
#define STEP_SLACK 1e-9

/* Variance of the mean of the samples that fall into one cell. */
static double
find_cell_variance (const TideCurve *curve, double step)
{
  double samples = curve->interval > 0 ? MAX (step / curve->interval, 1) : 1;

  return curve->noise * curve->noise / samples;
}

static void
find_delta (TideDifference *difference, const TideCurve *reference, const TideCurve *run)
{
  g_autofree double *before = tide_resample (reference->x, reference->y, reference->n,
                                             difference->start, difference->step, difference->n);

  difference->delta =
      tide_resample (run->x, run->y, run->n, difference->start, difference->step, difference->n);
  for (gsize k = 0; k < difference->n; k++)
    difference->delta[k] -= before[k];
}

static double
get_center (const TideDifference *difference, gsize k)
{
  return difference->start + ((double)k + 0.5) * difference->step;
}

static void
smooth_delta (TideDifference *difference, double smooth_over)
{
  g_autofree double *centers = g_new (double, difference->n);

  for (gsize k = 0; k < difference->n; k++)
    centers[k] = get_center (difference, k);
  difference->smoothed =
      tide_running_median (centers, difference->delta, difference->n, smooth_over, SMOOTH_LEAST);
}

static void
sum_up (TideDifference *difference)
{
  TideSum sum = { 0 }, squares = { 0 };
  gsize n_inside = 0;

  difference->largest = difference->smoothed[0];
  difference->largest_at = get_center (difference, 0);
  for (gsize k = 0; k < difference->n; k++)
    {
      double delta = difference->delta[k];

      tide_sum_add (&sum, delta);
      tide_sum_add (&squares, delta * delta);
      n_inside += fabs (delta) <= difference->band;
      if (fabs (difference->smoothed[k]) > fabs (difference->largest))
        {
          difference->largest = difference->smoothed[k];
          difference->largest_at = get_center (difference, k);
        }
    }
  difference->mean = tide_sum_get (&sum) / (double)difference->n;
  difference->rms = sqrt (tide_sum_get (&squares) / (double)difference->n);
  difference->overlap_percent =
      difference->band > 0 ? 100.0 * (double)n_inside / (double)difference->n : NAN;
}

TideDifference *
tide_difference_new (const TideCurve *reference,
                     const TideCurve *run,
                     double step,
                     double smooth_over,
                     GError **error)
{
  g_autoptr (TideDifference) difference = g_new0 (TideDifference, 1);

  g_return_val_if_fail (reference->n >= 1 && run->n >= 1 && step > 0, NULL);

  double start = MAX (reference->x[0], run->x[0]);
  double end = MIN (reference->x[reference->n - 1], run->x[run->n - 1]);
  difference->start = start;
  difference->step = MAX (step, (end - start) / CELLS_MAX);
  if (!((end - start) / difference->step * (1 + STEP_SLACK) >= 1))
    {
      g_set_error_literal (error, TIDE_ANALYSIS_ERROR, TIDE_ANALYSIS_ERROR_NO_OVERLAP,
                           _ ("the runs have no stretch in common; align them another way"));
      return NULL;
    }
  difference->n = (gsize)((end - start) / difference->step * (1 + STEP_SLACK));
  find_delta (difference, reference, run);
  smooth_delta (difference, smooth_over);
  if (reference->noise > 0 && run->noise > 0)
    difference->band = COVERAGE
                       * sqrt (find_cell_variance (reference, difference->step)
                               + find_cell_variance (run, difference->step));
  sum_up (difference);
  return g_steal_pointer (&difference);
}

void
tide_difference_free (TideDifference *difference)
{
  if (difference == NULL)
    return;
  g_free (difference->delta);
  g_free (difference->smoothed);
  g_free (difference);
}
