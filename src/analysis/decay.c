/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fit of a decay; see decay-private.h. */
#include "analysis/decay-private.h"

#include <math.h>

#include "analysis/series.h"

/* The ladder of tau, in shares of the stretch seen: what is shorter has ended long ago, what is
 * longer looks straight. */
#define SHORTEST_SHARE 0.05
#define LONGEST_SHARE  20.0

/* Biweight as is usual: values beyond 4.685 standard deviations do not count (P. W. Holland and R.
 * E. Welsch, Communications in Statistics A6, 1977; from memory). */
#define BIWEIGHT_REACH 4.685
#define ROUNDS         3

/* Two standard deviations, as everywhere in this house, for one more parameter: Δχ² = k² (W. H.
 * Press and others, Numerical Recipes, on confidence limits; from memory). */
#define OPEN_CHI_SQUARE 4.0

typedef struct
{
  const double *t, *y;
  gsize n;
  double most_end, floor;
  double *weights, *residuals;
  TideDecay decays[TIDE_DECAY_STEPS];
  double sums[TIDE_DECAY_STEPS]; /* of squared residuals, weighted */
} Fit;

/* Weighted sums of a straight line y = end + height · x with x = exp (-t / tau). */
static TideDecay
fit_line (const Fit *fit, double tau)
{
  double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;

  for (gsize i = 0; i < fit->n; i++)
    {
      double w = fit->weights[i], x = exp (-fit->t[i] / tau), y = fit->y[i];

      s += w;
      sx += w * x;
      sy += w * y;
      sxx += w * x * x;
      sxy += w * x * y;
    }
  double spread = s * sxx - sx * sx;
  double end = spread > 0 ? (sxx * sy - sx * sxy) / spread : 0;

  end = CLAMP (end, 0, fit->most_end);
  return (TideDecay){ tau, end, sxx > 0 ? (sxy - end * sx) / sxx : 0 };
}

static double
find_residual (const Fit *fit, const TideDecay *decay, gsize i)
{
  return fit->y[i] - decay->end - decay->height * exp (-fit->t[i] / decay->tau);
}

static double
sum_squares (const Fit *fit, const TideDecay *decay)
{
  double sum = 0;

  for (gsize i = 0; i < fit->n; i++)
    {
      double residual = find_residual (fit, decay, i);

      sum += fit->weights[i] * residual * residual;
    }
  return sum;
}

/* Gives the index of the best. */
static guint
walk_ladder (Fit *fit)
{
  double span = fit->t[fit->n - 1] - fit->t[0];
  guint best = 0;

  for (guint k = 0; k < TIDE_DECAY_STEPS; k++)
    {
      double share =
          SHORTEST_SHARE * pow (LONGEST_SHARE / SHORTEST_SHARE, k / (TIDE_DECAY_STEPS - 1.0));

      fit->decays[k] = fit_line (fit, share * span);
      fit->sums[k] = sum_squares (fit, &fit->decays[k]);
      if (fit->sums[k] < fit->sums[best])
        best = k;
    }
  return best;
}

static void
find_residuals (Fit *fit, const TideDecay *decay)
{
  for (gsize i = 0; i < fit->n; i++)
    fit->residuals[i] = find_residual (fit, decay, i);
}

static void
weigh (Fit *fit)
{
  double reach = BIWEIGHT_REACH * MAX (tide_scaled_mad (fit->residuals, fit->n), fit->floor);

  for (gsize i = 0; i < fit->n; i++)
    {
      double u = fit->residuals[i] / reach;

      fit->weights[i] = fabs (u) < 1 ? (1 - u * u) * (1 - u * u) : 0;
    }
}

/* By how much neighbours agree: as many independent values as n (1 - r) / (1 + r). What does not
 * count for the fit does not count here. */
static double
count_independent (const Fit *fit)
{
  double square = 0, product = 0;

  for (gsize i = 0; i < fit->n; i++)
    {
      double residual = fit->weights[i] * fit->residuals[i];

      square += residual * residual;
      if (i > 0)
        product += residual * fit->weights[i - 1] * fit->residuals[i - 1];
    }
  double r = square > 0 ? CLAMP (product / square, 0, 0.99) : 0;

  return fit->n * (1 - r) / (1 + r);
}

static void
list_open (const Fit *fit, guint best, TideDecayFit *found)
{
  double n_free = MAX (count_independent (fit) - 3, 1), weight = 0;

  for (gsize i = 0; i < fit->n; i++)
    weight += fit->weights[i];
  double least = fit->sums[best] + weight * fit->floor * fit->floor;
  double limit = fit->sums[best] + least * OPEN_CHI_SQUARE / n_free;

  found->best = fit->decays[best];
  found->rms = sqrt (fit->sums[best] / MAX (weight, 1));
  found->n_open = 0;
  for (guint k = 0; k < TIDE_DECAY_STEPS; k++)
    if (fit->sums[k] <= limit)
      found->open[found->n_open++] = fit->decays[k];
  found->is_bounded = fit->sums[0] > limit && fit->sums[TIDE_DECAY_STEPS - 1] > limit;
}

void
tide_decay_fit (const double *t,
                const double *y,
                gsize n,
                double most_end,
                double floor,
                TideDecayFit *found)
{
  g_autofree double *weights = g_new (double, n);
  g_autofree double *residuals = g_new0 (double, n);
  Fit fit = { t, y, n, most_end, floor, weights, residuals, { { 0 } }, { 0 } };
  guint best = 0;

  for (gsize i = 0; i < n; i++)
    weights[i] = 1;
  for (int round = 0; round < ROUNDS; round++)
    {
      if (round > 0)
        weigh (&fit);
      best = walk_ladder (&fit);
      find_residuals (&fit, &fit.decays[best]);
    }
  list_open (&fit, best, found);
}
