/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See expect.h. The order of work: what the measurement says already (no draw, settled); where the
 * last steady stretch ends; whether the draw has dropped off the taper and lies still; the fit, and
 * how much it leaves open.
 */
#include "analysis/expect.h"

#include <glib/gi18n-lib.h>

#include "analysis/decay-private.h"
#include "analysis/phases.h"
#include "analysis/series.h"
#include "recording/overview.h"

/* Shares of the fast current at which a charger stops: settings of charger chips range from 2.5 %
 * to 10 %, which is the default of several (data sheets SLUS940D and JAJSQH4; C/20 lies in the
 * middle). */
#define STOP_SHARE_HIGH 0.10
#define STOP_SHARE_LOW  0.025

/* A plateau that falls by more than this, from its first third to its last, is the slow beginning
 * of a taper (a quarter of the plateau's band either way). */
#define HELD_SHARE (TIDE_PLATEAU_BAND / 2)

/* From here on common practice, no source; held by the tests to what the simulator knows. */

/* A taper shorter than this, or of fewer means, says nothing. */
#define TAPER_LEAST_S 300.0
#define BLOCK_LEAST_S 15.0
#define FEWEST_BLOCKS 8
/* A whole device follows its cell no better than to this share of its peak... */
#define MODEL_SHARE 0.002
/* ... and a curve further off than this is no decay. */
#define MISFIT_SHARE 0.03
/* An estimate whose range is wider than this share of the whole taper is none. */
#define WIDEST_SHARE 0.75
/* A drop below the decay by so many bands is the charger's stop, not the decay. */
#define DROP_BANDS 0.5
/* A decay that is still so many bands above its end has not settled, however still its last minutes
 * lie: a device in use can hide a slow fall for that long. */
#define FALLING_BANDS 2.0
/* The running median spreads a step over half a minute; the stretch at rest begins behind that. */
#define STEP_S 60.0

typedef struct
{
  const double *t, *y; /* smoothed power */
  gsize n;
  double peak, band; /* W */
  gsize taper;       /* the taper's first sample */
  gsize rest;        /* the first sample of the last stretch that lies within band */
} Work;

static const struct
{
  const char *id, *name;
} states[TIDE_N_CHARGE_STATES] = {
  [TIDE_CHARGE_WAITING] = { "waiting", N_ ("waiting for the draw") },
  [TIDE_CHARGE_STEADY] = { "steady", N_ ("charging steadily") },
  [TIDE_CHARGE_TAPERING] = { "tapering", N_ ("tapering") },
  [TIDE_CHARGE_RESTING] = { "resting", N_ ("coming to rest") },
  [TIDE_CHARGE_SETTLED] = { "settled", N_ ("settled") },
  [TIDE_CHARGE_ENDED] = { "ended", N_ ("log ended") },
};

const char *
tide_charge_state_get_id (TideChargeState state)
{
  g_return_val_if_fail ((guint)state < TIDE_N_CHARGE_STATES, NULL);
  return states[state].id;
}

const char *
tide_charge_state_get_name (TideChargeState state)
{
  g_return_val_if_fail ((guint)state < TIDE_N_CHARGE_STATES, NULL);
  return _ (states[state].name);
}

static TideExpectation
make_unknown (TideChargeState state, const char *reason)
{
  return (TideExpectation){ state, NAN, NAN, NAN, reason, NAN, NAN };
}

/* ---- Where it stands ---- */

static double
find_median (const Work *work, double from_s, double to_s)
{
  gsize first = tide_find_time (work->t, work->n, from_s);
  gsize end = MAX (tide_find_time (work->t, work->n, to_s), first + 1);
  g_autofree double *copy = NULL;

  if (first >= work->n)
    return work->y[work->n - 1];
  end = MIN (end, work->n);
  copy = g_memdup2 (work->y + first, (end - first) * sizeof *copy);
  return tide_median (copy, end - first);
}

static gboolean
is_held (const Work *work, const TidePlateau *plateau)
{
  double third_s = (plateau->end_s - plateau->start_s) / 3;
  double first = find_median (work, plateau->start_s, plateau->start_s + third_s);
  double last = find_median (work, plateau->end_s - third_s, plateau->end_s);

  return plateau->level_w.value >= TIDE_SETTLED_SHARE * work->peak
         && first - last < HELD_SHARE * plateau->level_w.value;
}

/* Behind the last stretch at which power was held; where there is none, behind the peak. */
static void
find_taper (Work *work, const TideMeasurement *m)
{
  double end_s = NAN;

  for (guint i = 0; i < m->plateaus->len; i++)
    {
      const TidePlateau *plateau = &g_array_index (m->plateaus, TidePlateau, i);

      if (is_held (work, plateau))
        end_s = plateau->end_s;
    }
  if (isnan (end_s) && m->has_plateau && is_held (work, &m->plateau))
    end_s = m->plateau.end_s;
  work->taper = 0;
  if (!isnan (end_s))
    work->taper = MIN (tide_find_time (work->t, work->n, end_s), work->n - 1);
  else
    for (gsize i = 0; i < work->n; i++)
      if (work->y[i] >= (1 - TIDE_PLATEAU_BAND) * work->peak)
        work->taper = i;
}

/* The last stretch that stays within the band of its own end. */
static void
find_rest (Work *work)
{
  double end_s = work->t[work->n - 1];
  double end_w = find_median (work, end_s - STEP_S, end_s);

  work->rest = work->n - 1;
  while (work->rest > work->taper && fabs (work->y[work->rest - 1] - end_w) <= work->band)
    work->rest--;
}

/* ---- The fit ---- */

/* Means of the taper up to sample end, each over the same time; gives how many. t counts from the
 * taper. */
static gsize
make_blocks (const Work *work, gsize end, double *t, double *y)
{
  double from_s = work->t[work->taper];
  double length_s = (work->t[end - 1] - from_s) / TIDE_TAPER_BLOCKS;
  gsize n = 0, i = work->taper;

  length_s = MAX (length_s, BLOCK_LEAST_S);
  while (i < end)
    {
      double until_s = from_s + (floor ((work->t[i] - from_s) / length_s) + 1) * length_s;
      TideSum sum_t = { 0 }, sum_y = { 0 };
      gsize first = i;

      for (; i < end && work->t[i] < until_s; i++)
        {
          tide_sum_add (&sum_t, work->t[i] - from_s);
          tide_sum_add (&sum_y, work->y[i]);
        }
      if (i == first || n > TIDE_TAPER_BLOCKS)
        break;
      t[n] = tide_sum_get (&sum_t) / (i - first);
      y[n++] = tide_sum_get (&sum_y) / (i - first);
    }
  return n;
}

static gboolean
fit_taper (const Work *work, gsize end, TideDecayFit *fit)
{
  double t[TIDE_TAPER_BLOCKS + 1], y[TIDE_TAPER_BLOCKS + 1];
  gsize n;

  if (end <= work->taper || work->t[end - 1] - work->t[work->taper] < TAPER_LEAST_S)
    return FALSE;
  n = make_blocks (work, end, t, y);
  if (n < FEWEST_BLOCKS)
    return FALSE;
  tide_decay_fit (t, y, n, TIDE_SETTLED_SHARE * work->peak, MODEL_SHARE * work->peak, fit);
  return TRUE;
}

static double
find_height (const Work *work, const TideDecay *decay, double at_s)
{
  return decay->height * exp (-(at_s - work->t[work->taper]) / decay->tau);
}

/* Has the draw dropped off the decay that it followed before the last stretch? */
static gboolean
has_dropped (const Work *work)
{
  const double *t = work->t;
  gsize before = tide_find_time (t, work->n, t[work->rest] - STEP_S);
  double end_s = t[work->n - 1], end_w = work->y[work->n - 1];
  TideDecayFit fit;

  if (end_w >= TIDE_SETTLED_SHARE * work->peak || end_s - t[work->rest] < STEP_S)
    return FALSE;
  if (!fit_taper (work, before, &fit))
    return work->y[MIN (before, work->n - 1)] - end_w > 2 * work->band;
  return fit.best.end + find_height (work, &fit.best, end_s) - end_w > DROP_BANDS * work->band;
}

/* Does the measurement take a spell of a taper for the settled draw? */
static gboolean
is_still_falling (const Work *work)
{
  TideDecayFit fit;

  return !has_dropped (work) && fit_taper (work, work->n, &fit) && fit.is_bounded
         && fit.rms <= MISFIT_SHARE * work->peak
         && find_height (work, &fit.best, work->t[work->n - 1]) > FALLING_BANDS * work->band;
}

/* ---- What the fit says ---- */

/* When the decay is down to a height, in the recording's time. */
static double
find_time_of (const Work *work, const TideDecay *decay, double height)
{
  return work->t[work->taper] + decay->tau * log (decay->height / height);
}

/* The heights above its end at which a decay may settle. */
typedef struct
{
  double first, last;
} Stops;

static Stops
find_stops (const Work *work, const TideDecay *decay)
{
  double fast = work->peak - decay->end; /* at constant current power is highest at its end */

  return (Stops){ MAX (STOP_SHARE_HIGH * fast, work->band),
                  MAX (STOP_SHARE_LOW * fast, work->band) };
}

/* Of the stops that are still to come, the middle one. */
static double
find_middle (const Work *work, const TideDecay *decay)
{
  Stops stops = find_stops (work, decay);
  double now = find_height (work, decay, work->t[work->n - 1]);

  return find_time_of (work, decay, sqrt (MAX (MIN (stops.first, now), stops.last) * stops.last));
}

static TideExpectation
read_fit (const Work *work, const TideDecayFit *fit)
{
  TideExpectation e = { TIDE_CHARGE_TAPERING, .earliest_s = INFINITY, .latest_s = -INFINITY };
  double now_s = work->t[work->n - 1];

  e.tau_s = fit->best.tau;
  e.end_w = fit->best.end;
  e.settles_s = MAX (find_middle (work, &fit->best), now_s);
  for (guint k = 0; k < fit->n_open; k++)
    {
      Stops stops = find_stops (work, &fit->open[k]);

      e.earliest_s = MIN (e.earliest_s, find_time_of (work, &fit->open[k], stops.first));
      e.latest_s = MAX (e.latest_s, find_time_of (work, &fit->open[k], stops.last));
    }
  e.earliest_s = MAX (e.earliest_s, now_s);
  e.latest_s = MAX (e.latest_s, e.settles_s);
  return e;
}

/* Better none than a wild one. */
static const char *
find_doubt (const Work *work, const TideDecayFit *fit, const TideExpectation *e)
{
  if (fit->rms > MISFIT_SHARE * work->peak)
    return _ ("the power does not fall as a charge's does");
  if (!(fit->best.height > 0) || !fit->is_bounded || !isfinite (e->settles_s + e->latest_s)
      || e->latest_s - e->earliest_s > WIDEST_SHARE * (e->settles_s - work->t[work->taper]))
    return _ ("too little of the taper was seen");
  return NULL;
}

static TideExpectation
expect_from_taper (const Work *work)
{
  TideDecayFit fit;

  if (!fit_taper (work, work->n, &fit))
    return make_unknown (TIDE_CHARGE_TAPERING, _ ("too little of the taper was seen"));
  TideExpectation e = read_fit (work, &fit);
  const char *doubt = find_doubt (work, &fit, &e);

  return doubt != NULL ? make_unknown (TIDE_CHARGE_TAPERING, doubt) : e;
}

static TideExpectation
make_known (TideChargeState state, double settles_s)
{
  return (TideExpectation){ state, settles_s, settles_s, settles_s, NULL, NAN, NAN };
}

static void
begin_work (Work *work, TideRecording *recording, const TideMeasurement *m)
{
  *work = (Work){
    .t = tide_recording_get_column (recording, TIDE_QUANTITY_TIME) + m->first_sample,
    .y = m->smoothed_w,
    .n = m->n_smoothed,
    .peak = m->sustained_peak_w.value,
  };
  work->band = tide_settled_band_w (work->peak);
  find_taper (work, m);
  find_rest (work);
}

static gboolean
is_tapering (const Work *work)
{
  return work->y[work->n - 1] < (1 - TIDE_PLATEAU_BAND) * work->y[work->taper]
         || work->t[work->n - 1] - work->t[work->taper] >= TAPER_LEAST_S;
}

TideExpectation
tide_expect_settling (TideRecording *recording, const TideMeasurement *m, gboolean log_ended)
{
  Work work;

  if (isnan (m->draw_begins_s))
    return log_ended ? make_unknown (TIDE_CHARGE_ENDED, _ ("there was no draw in the log"))
                     : make_unknown (TIDE_CHARGE_WAITING, _ ("the draw has not begun"));
  begin_work (&work, recording, m);
  if (!isnan (m->settles_s) && (log_ended || !is_still_falling (&work)))
    return make_known (TIDE_CHARGE_SETTLED, m->settles_s);
  if (log_ended)
    return make_unknown (TIDE_CHARGE_ENDED, _ ("the log ended before the draw settled"));
  if (!is_tapering (&work))
    return make_unknown (TIDE_CHARGE_STEADY, _ ("not before the taper begins"));
  return has_dropped (&work) ? make_known (TIDE_CHARGE_RESTING, work.t[work.rest])
                             : expect_from_taper (&work);
}
