/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a measurement: counters, spikes, levels, milestones. Each walks its columns once.
 */
#include "analysis/parts-private.h"

#include <math.h>

#include "analysis/phases.h"
#include "analysis/series.h"
#include "recording/overview.h"

/* A spike stands out from the plateau and from the noise, and is over before it would be sustained.
 */
#define SPIKE_LEVEL_SHARE  0.10
#define SPIKE_NOISE_FACTOR 5.0
#define SPIKE_SHORTER_S    30.0

const int tide_milestone_percent[TIDE_N_MILESTONES] = { 50, 80, 90, 95, 99, 100 };

/* ---- Counters ---- */

double
tide_count_growth (const double *t, const double *counter, gsize n, double from_s, double to_s)
{
  TideSum total = { 0 };

  for (gsize i = MAX (tide_find_time (t, n, from_s), 1); i < n && t[i - 1] < to_s; i++)
    {
      double before = fabs (counter[i - 1]), now = fabs (counter[i]);
      double inside = MIN (t[i], to_s) - MAX (t[i - 1], from_s);

      /* Smaller than before: it restarted, and has counted what it shows. */
      tide_sum_add (&total, (now >= before ? now - before : now) * (inside / (t[i] - t[i - 1])));
    }
  return tide_sum_get (&total);
}

/* ---- Spikes ---- */

double
tide_find_noise_w (const TideSamples *samples)
{
  g_autofree double *residual = g_new (double, samples->n);

  for (gsize i = 0; i < samples->n; i++)
    residual[i] = samples->power[i] - samples->smoothed[i];
  return tide_scaled_mad (residual, samples->n);
}

double
tide_spike_limit_w (double level_w, double noise_w)
{
  return MAX (SPIKE_LEVEL_SHARE * level_w, SPIKE_NOISE_FACTOR * noise_w);
}

static inline gboolean
is_above (const TideSamples *samples, gsize i, double limit_w)
{
  return samples->power[i] - samples->smoothed[i] > limit_w;
}

/* The time a sample stands for: half way to its neighbours, never more than a spike can last. */
static double
get_share_s (const TideSamples *samples, gsize i)
{
  const double *t = samples->t;
  double before = i > 0 ? (t[i] - t[i - 1]) / 2 : 0;
  double after = i + 1 < samples->n ? (t[i + 1] - t[i]) / 2 : 0;

  return MIN (before, SPIKE_SHORTER_S / 2) + MIN (after, SPIKE_SHORTER_S / 2);
}

TideSpikes
tide_find_spikes (const TideSamples *samples, double limit_w)
{
  TideSpikes spikes = { .tallest_w = NAN };
  TideSum total_s = { 0 }, energy_j = { 0 };

  for (gsize i = 0; i < samples->n; i++)
    {
      gsize end = i;

      while (end < samples->n && is_above (samples, end, limit_w))
        end++;
      if (end == i)
        continue;
      if (samples->t[end - 1] - samples->t[i] < SPIKE_SHORTER_S)
        {
          spikes.count++;
          for (gsize k = i; k < end; k++)
            {
              double share_s = get_share_s (samples, k);

              tide_sum_add (&total_s, share_s);
              tide_sum_add (&energy_j, share_s * (samples->power[k] - samples->smoothed[k]));
              spikes.tallest_w = fmax (spikes.tallest_w, samples->power[k]);
            }
        }
      i = end;
    }
  spikes.total_s = tide_sum_get (&total_s);
  spikes.energy_wh = tide_sum_get (&energy_j) / 3600;
  return spikes;
}

/* ---- Levels ---- */

/* Where the log's end cuts its window, the smoothed curve can reach the plateau a sample before
 * power does. */
static inline gboolean
is_below (const TideSamples *samples, gsize i, double limit_w)
{
  return samples->smoothed[i] - samples->power[i] > limit_w;
}

double
tide_find_level_w (const TideSamples *samples, const TidePlateau *plateau, double spike_limit_w)
{
  double median = plateau->level_w.value, reach = median * TIDE_PLATEAU_BAND;
  gsize first = tide_find_time (samples->t, samples->n, plateau->start_s);
  gsize last = tide_find_time (samples->t, samples->n, plateau->end_s);
  TideSum area = { 0 }, time_s = { 0 };
  gboolean good_before = FALSE;

  while (first < last && is_below (samples, first, spike_limit_w))
    first++;
  while (first < last && is_below (samples, last, spike_limit_w))
    last--;
  for (gsize i = first; i <= last; i++)
    {
      gboolean good =
          fabs (samples->smoothed[i] - median) <= reach && !is_above (samples, i, spike_limit_w);

      if (good && good_before)
        {
          double dt = samples->t[i] - samples->t[i - 1];

          tide_sum_add (&time_s, dt);
          tide_sum_add (&area, dt * (samples->power[i - 1] + samples->power[i]) / 2);
        }
      good_before = good;
    }
  return tide_sum_get (&time_s) > 0 ? tide_sum_get (&area) / tide_sum_get (&time_s) : median;
}

/* ---- Milestones ---- */

/* Seconds into a straight piece of power, from p0 to p1 in length_s, until energy_j has passed. */
static double
solve_piece (double p0, double p1, double length_s, double energy_j)
{
  double slope = (p1 - p0) / length_s;
  double root = sqrt (MAX (p0 * p0 + 2 * slope * energy_j, 0));

  return p0 + root > 0 ? CLAMP (2 * energy_j / (p0 + root), 0, length_s) : length_s;
}

void
tide_find_milestones (const TideSamples *samples,
                      double from_s,
                      double to_s,
                      double milestones_s[TIDE_N_MILESTONES])
{
  gsize first = tide_find_time (samples->t, samples->n, from_s);
  gsize n = tide_find_time (samples->t, samples->n, to_s) - first + 1, i = 1;
  const double *t = samples->t + first, *power = samples->power + first;
  g_autofree double *energy_j = tide_integrate_running (t, power, n);

  for (guint k = 0; k < TIDE_N_MILESTONES; k++)
    {
      double wanted_j = energy_j[n - 1] * tide_milestone_percent[k] / 100;

      while (i + 1 < n && energy_j[i] < wanted_j)
        i++;
      milestones_s[k] = tide_milestone_percent[k] == 100
                            ? to_s - from_s
                            : t[i - 1] - from_s
                                  + solve_piece (power[i - 1], power[i], t[i] - t[i - 1],
                                                 wanted_j - energy_j[i - 1]);
    }
}
