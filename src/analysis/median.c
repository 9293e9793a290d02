/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Medians: of an array, of deviations, and running over time.
 *
 * The running median keeps the window's values sorted. Up to SORTED_MAX values a sorted array is
 * fastest: one binary search for what goes, one for what comes, one move of what lies between.
 * Above that (thousands of samples a second, or a hostile file) the moves would grow with the
 * window, and a tree of counts over the ranks of all values takes over: O(log n) a step.
 */
#include "analysis/series.h"

#include <stdlib.h>
#include <string.h>

#include "recording/median.h"

/* 1/Φ⁻¹(3/4): makes the median absolute deviation estimate a normal standard deviation. */
#define MAD_TO_SIGMA 1.4826022185056018

/* 30 s at 10 ms are 3001 samples: they stay in the fast array. */
#define SORTED_MAX 4096

/* Time stamps are decimals rounded to binary: "within 15 s" must not depend on the last bit. */
#define SPAN_SLACK 1e-9

double
tide_median (double *values, gsize n)
{
  return tide_select_median (values, n);
}

double
tide_scaled_mad (const double *values, gsize n)
{
  g_autofree double *copy = g_new (double, n);

  g_return_val_if_fail (n > 0, NAN);

  memcpy (copy, values, n * sizeof *copy);
  double center = tide_median (copy, n);
  for (gsize i = 0; i < n; i++)
    copy[i] = fabs (values[i] - center);
  return tide_median (copy, n) * MAD_TO_SIGMA;
}

/* ---- Where the window stands ---- */

typedef struct
{
  const double *t;
  gsize n, beside; /* beside: neighbours on either side when the span holds too few */
  guint min_samples;
  double reach_s;
  gsize low, high; /* the samples within reach of the last one asked for: low .. high - 1 */
} Reach;

/* Samples come in order. Sets *first .. *end - 1. */
static void
find_window (Reach *reach, gsize i, gsize *first, gsize *end)
{
  while (reach->t[i] - reach->t[reach->low] > reach->reach_s)
    reach->low++;
  while (reach->high < reach->n && reach->t[reach->high] - reach->t[i] <= reach->reach_s)
    reach->high++;
  *first = reach->low;
  *end = reach->high;
  if (reach->high - reach->low < reach->min_samples)
    {
      *first = MIN (*first, i - MIN (i, reach->beside));
      *end = MAX (*end, MIN (i + reach->beside + 1, reach->n));
    }
}

static gsize
find_widest_window (Reach reach)
{
  gsize widest = 0, first, end;

  for (gsize i = 0; i < reach.n; i++)
    {
      find_window (&reach, i, &first, &end);
      widest = MAX (widest, end - first);
    }
  return widest;
}

/* ---- The window as a sorted array ---- */

typedef struct
{
  double *values;
  gsize n;
} Sorted;

static gsize
find_place (const Sorted *sorted, double value)
{
  gsize low = 0, size = sorted->n;

  while (size > 0)
    {
      gsize half = size / 2;

      if (sorted->values[low + half] < value)
        {
          low += half + 1;
          size -= half + 1;
        }
      else
        size = half;
    }
  return low;
}

static void
insert_value (Sorted *sorted, double value)
{
  gsize at = find_place (sorted, value);

  memmove (sorted->values + at + 1, sorted->values + at, (sorted->n - at) * sizeof (double));
  sorted->values[at] = value;
  sorted->n++;
}

static void
remove_value (Sorted *sorted, double value)
{
  gsize at = find_place (sorted, value);

  sorted->n--;
  memmove (sorted->values + at, sorted->values + at + 1, (sorted->n - at) * sizeof (double));
}

/* The common step: moves only what lies between the two places. */
static void
replace_value (Sorted *sorted, double old, double value)
{
  gsize from = find_place (sorted, old), to = find_place (sorted, value);
  double *values = sorted->values;

  if (to > from)
    {
      to--;
      memmove (values + from, values + from + 1, (to - from) * sizeof (double));
    }
  else
    memmove (values + to + 1, values + to, (from - to) * sizeof (double));
  values[to] = value;
}

static double *
run_sorted (const double *y, Reach reach, gsize widest)
{
  g_autofree double *buffer = g_new (double, widest + 1);
  double *medians = g_new (double, reach.n);
  Sorted sorted = { buffer, 0 };
  gsize low = 0, high = 0, first, end;

  for (gsize i = 0; i < reach.n; i++)
    {
      find_window (&reach, i, &first, &end);
      while (low < first && high < end && sorted.n > 0)
        replace_value (&sorted, y[low++], y[high++]);
      while (low < first)
        remove_value (&sorted, y[low++]);
      while (low > first)
        insert_value (&sorted, y[--low]);
      while (high < end)
        insert_value (&sorted, y[high++]);
      while (high > end)
        remove_value (&sorted, y[--high]);

      double upper = buffer[sorted.n / 2];
      double lower = buffer[(sorted.n - 1) / 2];
      medians[i] = lower / 2 + upper / 2;
    }
  return medians;
}

/* ---- The window as a tree of counts over ranks (Fenwick 1994) ---- */

typedef struct
{
  guint32 *counts; /* 1-based; counts[k] sums a power of two of ranks ending at k */
  gsize n, top;    /* top: the largest power of two <= n */
  gsize held;
} Ranks;

static void
count_rank (Ranks *ranks, gsize rank, gboolean in)
{
  for (gsize k = rank + 1; k <= ranks->n; k += k & -k)
    ranks->counts[k] += in ? 1 : (guint32)-1;
  ranks->held += in ? 1 : (gsize)-1;
}

/* The rank of the k-th smallest held, k from 0. */
static gsize
find_held (const Ranks *ranks, gsize k)
{
  gsize at = 0;

  for (gsize step = ranks->top; step > 0; step /= 2)
    if (at + step <= ranks->n && ranks->counts[at + step] <= k)
      {
        at += step;
        k -= ranks->counts[at];
      }
  return at;
}

static int
compare_pointees_cb (const void *a, const void *b)
{
  const double *x = *(const double *const *)a, *y = *(const double *const *)b;

  if (*x != *y)
    return *x < *y ? -1 : 1;
  return (x > y) - (x < y);
}

/* order[r] points to the value of rank r; returns the rank of each value. */
static gsize *
rank_values (const double *y, gsize n, const double **order)
{
  gsize *rank_of = g_new (gsize, n);

  for (gsize i = 0; i < n; i++)
    order[i] = y + i;
  qsort (order, n, sizeof *order, compare_pointees_cb);
  for (gsize r = 0; r < n; r++)
    rank_of[order[r] - y] = r;
  return rank_of;
}

static double *
run_ranked (const double *y, Reach reach)
{
  g_autofree const double **order = g_new (const double *, reach.n);
  g_autofree gsize *rank_of = rank_values (y, reach.n, order);
  g_autofree guint32 *counts = g_new0 (guint32, reach.n + 1);
  double *medians = g_new (double, reach.n);
  Ranks ranks = { counts, reach.n, 1, 0 };
  gsize low = 0, high = 0, first, end;

  while (ranks.top * 2 <= ranks.n)
    ranks.top *= 2;
  for (gsize i = 0; i < reach.n; i++)
    {
      find_window (&reach, i, &first, &end);
      while (low < first)
        count_rank (&ranks, rank_of[low++], FALSE);
      while (low > first)
        count_rank (&ranks, rank_of[--low], TRUE);
      while (high < end)
        count_rank (&ranks, rank_of[high++], TRUE);
      while (high > end)
        count_rank (&ranks, rank_of[--high], FALSE);

      double upper = *order[find_held (&ranks, ranks.held / 2)];
      double lower = *order[find_held (&ranks, (ranks.held - 1) / 2)];
      medians[i] = lower / 2 + upper / 2;
    }
  return medians;
}

double *
tide_running_median (const double *t, const double *y, gsize n, double span_s, guint min_samples)
{
  Reach reach = { .t = t,
                  .n = n,
                  .beside = min_samples / 2,
                  .min_samples = min_samples,
                  .reach_s = span_s / 2 * (1 + SPAN_SLACK) };
  gsize widest = find_widest_window (reach);

  return widest <= SORTED_MAX ? run_sorted (y, reach, widest) : run_ranked (y, reach);
}
