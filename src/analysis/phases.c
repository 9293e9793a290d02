/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the draw begins and where it settles; plateaus.c finds what is flat between. Both walk
 * the smoothed curve a few times: O(n) each but for the medians.
 *
 * An excursion's length is the time from its first to its last sample outside, so that sampling
 * never makes it longer than it was.
 */
#include "analysis/phases.h"

#include <string.h>

#include "analysis/series.h"
#include "recording/overview.h"

/* A device that draws at all draws more than this: below it are meters' zero errors and the
 * supply's own idle (standards for no-load power stand near 0.1 W). */
#define DRAW_FLOOR_W 0.25
/* ... and in a strong charge, this share of the sustained peak: above detection and negotiation. */
#define DRAW_SHARE 0.05
/* As long as the smoothing: shorter is not sustained. */
#define DRAW_HOLDS_S 30.0

/* Shorter calm spells than TIDE_SETTLED_LEAST_S occur in the middle of charges. A settled device
 * draws well less than it did when charging; above TIDE_SETTLED_SHARE it may be a long plateau. */

/* How far a settled draw wanders: a share of the sustained peak, at least a small device's ripple.
 */
#define SETTLED_BAND_SHARE   0.03
#define SETTLED_BAND_FLOOR_W 0.15
/* Top-up pulses: short, apart from each other, and rare, or it is not a standing draw. */
#define TOP_UP_LONGEST_S 60.0
#define TOP_UP_APART_S   60.0
#define TOP_UP_SHARE     0.05

/* A stretch that falls by this share of the half-band from its first third to its last is no rest:
 * a straight fall through the whole band gives 4/3, a decay that has come to rest half or less. */
#define FALLING_SHARE 0.75
/* ... unless its last third has come to rest: from one half of that to the other it falls by less
 * than this share of the half-band. A decay to nothing that falls by the share above falls more. */
#define RESTING_SHARE 0.075

/* The window of smoothing is one-sided over this last part of a log: a spike there, or pulling the
 * plug before the logging was stopped, does not speak against having settled. */
#define LOOSE_END_S 15.0

/* A start that still moves back after so many rounds is found well enough; it is then only
 * shortened until it satisfies the definition. Where that takes as many rounds again nothing has
 * settled. */
#define SETTLE_ROUNDS 200

double
tide_draw_limit_w (double sustained_peak)
{
  return MAX (DRAW_FLOOR_W, DRAW_SHARE * sustained_peak);
}

double
tide_settled_band_w (double sustained_peak)
{
  return MAX (SETTLED_BAND_SHARE * sustained_peak, SETTLED_BAND_FLOOR_W);
}

double
tide_find_draw_begins (const double *t, const double *smoothed, gsize n, double sustained_peak)
{
  double limit = tide_draw_limit_w (sustained_peak);
  gsize first = 0;

  for (gsize i = 0; i < n; i++)
    {
      if (smoothed[i] < limit)
        first = i + 1;
      else if (t[i] - t[first] >= DRAW_HOLDS_S)
        return t[first];
    }
  return NAN;
}

typedef struct
{
  const double *t, *y;
  gsize n;
  double band;
} Tail;

/* Time from just before sample first to just after sample end - 1: as long as a spell of samples
 * can have been. */
static double
get_longest_span (const Tail *tail, gsize first, gsize end)
{
  return tail->t[MIN (end, tail->n - 1)] - tail->t[first > 0 ? first - 1 : 0];
}

/* Walks back from the log's end: the earliest sample from which all stay within center ± band,
 * but for top-up pulses, which are counted. n when even the last sample is outside. */
static gsize
find_start (const Tail *tail, double center, guint *top_ups)
{
  const double *t = tail->t, *y = tail->y;
  double low = center - tail->band, high = center + tail->band, pulses_s = 0;
  guint pulses = 0;
  gsize start = tail->n, i = tail->n;

  *top_ups = 0;
  while (i > 1 && (y[i - 1] < low || y[i - 1] > high) && t[tail->n - 1] - t[i - 2] < LOOSE_END_S)
    i--;
  for (;;)
    {
      gsize end = i;

      while (i > 0 && y[i - 1] >= low && y[i - 1] <= high)
        i--;

      gboolean apart = end > i && get_longest_span (tail, i, end) >= TOP_UP_APART_S;
      if (end == i || (pulses > 0 && !apart))
        break;
      if (pulses_s < TOP_UP_SHARE * (t[tail->n - 1] - t[i]) || pulses == 0)
        {
          start = i;
          *top_ups = pulses;
        }
      if (i == 0 || !apart)
        break;

      end = i;
      while (i > 0 && y[i - 1] > high)
        i--;
      if (end == i || t[end - 1] - t[i] > TOP_UP_LONGEST_S)
        break;
      pulses_s += t[end - 1] - t[i];
      pulses++;
    }
  return start;
}

/* The median from start on; scratch holds n values. */
static double
find_center (const Tail *tail, gsize start, double *scratch)
{
  gsize n = tail->n - start;

  memcpy (scratch, tail->y + start, n * sizeof *scratch);
  return tide_median (scratch, n);
}

/* The last five minutes' start, moved back as long as its median allows an earlier one. */
static gsize
grow_settled (const Tail *tail, gsize start, double *scratch)
{
  guint top_ups;

  for (int round = 0; round < SETTLE_ROUNDS; round++)
    {
      gsize found = find_start (tail, find_center (tail, start, scratch), &top_ups);

      if (found >= start)
        break;
      start = found;
    }
  return start;
}

/* Moves start forward until the stretch holds around its own median; n when none does that begins
 * at latest at the latest. A curve can be made so that each round moves by one sample. */
static gsize
shrink_settled (const Tail *tail, gsize start, gsize latest, double *scratch, guint *top_ups)
{
  for (int round = 0; round < SETTLE_ROUNDS && start <= latest; round++)
    {
      Tail rest = { tail->t + start, tail->y + start, tail->n - start, tail->band };
      gsize found = find_start (&rest, find_center (tail, start, scratch), top_ups);

      if (found == 0)
        return start;
      start += found;
    }
  return tail->n;
}

static gboolean
was_higher_before (const Tail *tail, gsize start, double limit)
{
  for (gsize i = start; i > 0; i--)
    if (tail->y[i - 1] > limit)
      return TRUE;
  return FALSE;
}

/* How far the median falls from the first part of a stretch, of this share of its time, to the
 * last. */
static double
find_fall (const Tail *tail, gsize start, double share, double *scratch)
{
  double part_s = share * (tail->t[tail->n - 1] - tail->t[start]);
  Tail first = *tail;

  first.n = MAX (tide_find_time (tail->t, tail->n, tail->t[start] + part_s), start + 1);
  gsize last = tide_find_time (tail->t, tail->n, tail->t[tail->n - 1] - part_s);
  return find_center (&first, start, scratch) - find_center (tail, last, scratch);
}

/* Whether the log's end cut off a slow taper, which crosses the band and never rests in it. */
static gboolean
is_still_falling (const Tail *tail, gsize start, double *scratch)
{
  double third_s = (tail->t[tail->n - 1] - tail->t[start]) / 3;
  gsize last = tide_find_time (tail->t, tail->n, tail->t[tail->n - 1] - third_s);

  return find_fall (tail, start, 1.0 / 3, scratch) > FALLING_SHARE * tail->band
         && find_fall (tail, last, 0.5, scratch) > RESTING_SHARE * tail->band;
}

double
tide_find_settles (const double *t,
                   const double *smoothed,
                   gsize n,
                   double sustained_peak,
                   guint *top_ups)
{
  Tail tail = { t, smoothed, n, tide_settled_band_w (sustained_peak) };

  *top_ups = 0;
  if (n < 2 || t[n - 1] - t[0] < TIDE_SETTLED_LEAST_S)
    return NAN;

  g_autofree double *scratch = g_new (double, n);
  gsize latest = tide_find_time (t, n, t[n - 1] - TIDE_SETTLED_LEAST_S);
  if (t[latest] > t[n - 1] - TIDE_SETTLED_LEAST_S)
    latest--;

  gsize start = grow_settled (&tail, latest, scratch);
  start = shrink_settled (&tail, start, latest, scratch, top_ups);
  if (start <= latest)
    {
      double center = find_center (&tail, start, scratch);

      if (center < TIDE_SETTLED_SHARE * sustained_peak
          && was_higher_before (&tail, start, center + tail.band)
          && !is_still_falling (&tail, start, scratch))
        return t[start];
    }
  *top_ups = 0;
  return NAN;
}
