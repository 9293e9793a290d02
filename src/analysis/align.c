/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far to shift a run so that it stands on the reference's clock: by a mark of both, or where
 * their smoothed powers correlate best.
 *
 * The best fit puts both on one grid, each less its mean, and takes the lag of the highest
 * cross-correlation. Where the logs do not begin and end alike what hangs over biases it a little,
 * so it is then sought around there, and on a finer grid, by the correlation coefficient of what
 * overlaps; between the grid's steps by a parabola through three points. Some 10 ms whatever the
 * runs' length.
 */
#include "analysis/compare.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "analysis/series.h"

/* Meters seldom log faster than once a second for a reason that matters to alignment. */
#define FIT_LEAST_STEP_S 1.0
/* Bounds the fine grid of the longer run and, for all lags, the coarse one. */
#define FIT_FINE_CELLS   20000
#define FIT_COARSE_CELLS 1000
/* How far what hangs over can pull the plain correlation's lag: this share of the shorter run. */
#define FIT_BIAS_SHARE 0.1

static const struct
{
  const char *id, *name;
} alignments[TIDE_N_ALIGNMENTS] = {
  [TIDE_ALIGN_BEGIN] = { "begin", N_ ("Draw begins") },
  [TIDE_ALIGN_SETTLE] = { "settle", N_ ("Settling") },
  [TIDE_ALIGN_LOG] = { "log", N_ ("Log start") },
  [TIDE_ALIGN_FIT] = { "fit", N_ ("Best fit") },
};

const char *
tide_alignment_get_id (TideAlignment alignment)
{
  g_return_val_if_fail (alignment < TIDE_N_ALIGNMENTS, NULL);

  return alignments[alignment].id;
}

const char *
tide_alignment_get_name (TideAlignment alignment)
{
  g_return_val_if_fail (alignment < TIDE_N_ALIGNMENTS, NULL);

  return _ (alignments[alignment].name);
}

gboolean
tide_alignment_from_id (const char *id, TideAlignment *alignment)
{
  for (guint k = 0; k < TIDE_N_ALIGNMENTS; k++)
    if (g_strcmp0 (id, alignments[k].id) == 0)
      {
        *alignment = (TideAlignment)k;
        return TRUE;
      }
  return FALSE;
}

/* ---- Best fit ---- */

/* Smoothed power less its mean, in cells of one width from the stretch's first sample on. */
typedef struct
{
  double *cells;
  gssize n;
} Profile;

static void
clear_profile (Profile *profile)
{
  g_free (profile->cells);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Profile, clear_profile)

static const double *
get_times (TideMeasured run)
{
  return tide_recording_get_column (run.recording, TIDE_QUANTITY_TIME)
         + run.measurement->first_sample;
}

static double
get_span_s (TideMeasured run)
{
  const double *t = get_times (run);

  return t[run.measurement->n_smoothed - 1] - t[0];
}

static Profile
make_profile (TideMeasured run, double step_s)
{
  const double *t = get_times (run);
  Profile profile = { .n = (gssize)(get_span_s (run) / step_s) };
  TideSum total = { 0 };

  profile.cells = tide_resample (t, run.measurement->smoothed_w, run.measurement->n_smoothed, t[0],
                                 step_s, (gsize)profile.n);
  for (gssize i = 0; i < profile.n; i++)
    tide_sum_add (&total, profile.cells[i]);
  for (gssize i = 0; i < profile.n; i++)
    profile.cells[i] -= tide_sum_get (&total) / (double)profile.n;
  return profile;
}

/* How well run fits reference when moved by lag cells. */
typedef double (*FitFunc) (const Profile *reference, const Profile *run, gssize lag);

/* Σ reference[i] · run[i − lag] over what overlaps. */
static double
correlate (const Profile *reference, const Profile *run, gssize lag)
{
  gssize from = MAX (0, lag), to = MIN (reference->n, run->n + lag);
  double sum = 0;

  for (gssize i = from; i < to; i++)
    sum += reference->cells[i] * run->cells[i - lag];
  return sum;
}

/* Pearson's coefficient of what overlaps; −1 where there is none. */
static double
find_coefficient (const Profile *reference, const Profile *run, gssize lag)
{
  gssize from = MAX (0, lag), to = MIN (reference->n, run->n + lag);
  double a = 0, b = 0, aa = 0, bb = 0, ab = 0, n = (double)(to - from);

  for (gssize i = from; i < to; i++)
    {
      double x = reference->cells[i], y = run->cells[i - lag];

      a += x;
      b += y;
      aa += x * x;
      bb += y * y;
      ab += x * y;
    }
  double scale = sqrt (MAX (n * aa - a * a, 0)) * sqrt (MAX (n * bb - b * b, 0));
  return to > from && scale > 0 ? (n * ab - a * b) / scale : -1;
}

static gssize
find_best_lag (const Profile *reference, const Profile *run, FitFunc fit, gssize from, gssize to)
{
  gssize best = from;
  double highest = fit (reference, run, from);

  for (gssize lag = from + 1; lag <= to; lag++)
    {
      double value = fit (reference, run, lag);

      if (value > highest)
        {
          highest = value;
          best = lag;
        }
    }
  return best;
}

/* How far the top of the parabola through the best lag and its neighbours lies from it, in steps.
 */
static double
find_vertex (const Profile *reference, const Profile *run, FitFunc fit, gssize lag)
{
  double before = fit (reference, run, lag - 1), at = fit (reference, run, lag);
  double after = fit (reference, run, lag + 1), bend = before - 2 * at + after;

  return bend < 0 ? CLAMP ((before - after) / (2 * bend), -0.5, 0.5) : 0;
}

static double
choose_step_s (TideMeasured a, TideMeasured b, double longest_s, double cells)
{
  double coarser_s = MAX (a.measurement->median_interval_s, b.measurement->median_interval_s);

  return MAX (MAX (coarser_s, FIT_LEAST_STEP_S), longest_s / cells);
}

static double
fit_offset_s (TideMeasured reference, TideMeasured run)
{
  double longest_s = MAX (get_span_s (reference), get_span_s (run));
  double coarse_s = choose_step_s (reference, run, longest_s, FIT_COARSE_CELLS);
  double fine_s = choose_step_s (reference, run, longest_s, FIT_FINE_CELLS);
  g_auto (Profile) reference_coarse = make_profile (reference, coarse_s);
  g_auto (Profile) run_coarse = make_profile (run, coarse_s);
  g_auto (Profile) reference_fine = make_profile (reference, fine_s);
  g_auto (Profile) run_fine = make_profile (run, fine_s);

  if (reference_coarse.n < 2 || run_coarse.n < 2)
    return NAN;

  gssize lag = find_best_lag (&reference_coarse, &run_coarse, correlate, 1 - run_coarse.n,
                              reference_coarse.n - 1);
  double shorter = (double)MIN (reference_coarse.n, run_coarse.n);
  gssize bias = (gssize)ceil (FIT_BIAS_SHARE * shorter);
  lag = find_best_lag (&reference_coarse, &run_coarse, find_coefficient, lag - bias, lag + bias);
  double near_fine = (double)lag * coarse_s / fine_s, reach = 2 * coarse_s / fine_s;
  lag = find_best_lag (&reference_fine, &run_fine, find_coefficient,
                       (gssize)floor (near_fine - reach), (gssize)ceil (near_fine + reach));
  double shift = (double)lag + find_vertex (&reference_fine, &run_fine, find_coefficient, lag);
  return get_times (reference)[0] - get_times (run)[0] + shift * fine_s;
}

/* ---- Public ---- */

double
tide_align_offset_s (TideMeasured reference, TideMeasured run, TideAlignment alignment)
{
  switch (alignment)
    {
    case TIDE_ALIGN_BEGIN:
      return reference.measurement->draw_begins_s - run.measurement->draw_begins_s;
    case TIDE_ALIGN_SETTLE:
      return reference.measurement->settles_s - run.measurement->settles_s;
    case TIDE_ALIGN_LOG:
      return reference.measurement->stretch.from_s - run.measurement->stretch.from_s;
    case TIDE_ALIGN_FIT:
      return fit_offset_s (reference, run);
    case TIDE_N_ALIGNMENTS:
      break;
    }
  g_return_val_if_reached (NAN);
}
