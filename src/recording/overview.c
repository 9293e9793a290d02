/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A pyramid of block extremes. Building reads every value once (10 million: some 10 ms) and
 * takes about 1.2 bytes a sample; a query climbs from both ends of its range to the level where
 * the two meet and comes to the exact extremes, never to an estimate.
 */
#include "recording/overview.h"

#include <math.h>

/* 16 · 8²⁰ samples are more than an address can reach. */
#define MOST_LEVELS 21

struct _TideOverview
{
  gsize n;
  guint n_levels;
  gsize n_blocks[MOST_LEVELS];
  TideRange *blocks[MOST_LEVELS];
};

/* Widens by nothing: NaN compares false and so leaves no trace. */
static const TideRange nothing = { INFINITY, -INFINITY };

static void
widen (TideRange *range, double low, double high)
{
  range->low = low < range->low ? low : range->low;
  range->high = high > range->high ? high : range->high;
}

static TideRange
scan_values (const double *values, gsize first, gsize last)
{
  TideRange range = nothing;

  for (gsize i = first; i < last; i++)
    widen (&range, values[i], values[i]);
  return range;
}

static TideRange
scan_blocks (const TideRange *blocks, gsize first, gsize last)
{
  TideRange range = nothing;

  for (gsize i = first; i < last; i++)
    widen (&range, blocks[i].low, blocks[i].high);
  return range;
}

static TideRange *
add_level (TideOverview *overview, gsize n_below, gsize fan)
{
  guint level = overview->n_levels++;

  overview->n_blocks[level] = n_below / fan + (n_below % fan != 0);
  overview->blocks[level] = g_new (TideRange, overview->n_blocks[level]);
  return overview->blocks[level];
}

TideOverview *
tide_overview_new (const double *values, gsize n)
{
  TideOverview *overview = g_new0 (TideOverview, 1);
  TideRange *blocks = add_level (overview, n, TIDE_OVERVIEW_BLOCK);
  gsize n_blocks = overview->n_blocks[0];

  overview->n = n;
  for (gsize k = 0; k < n_blocks; k++)
    blocks[k] =
        scan_values (values, k * TIDE_OVERVIEW_BLOCK, MIN ((k + 1) * TIDE_OVERVIEW_BLOCK, n));

  while (n_blocks > TIDE_OVERVIEW_FAN)
    {
      TideRange *joined = add_level (overview, n_blocks, TIDE_OVERVIEW_FAN);
      gsize n_joined = overview->n_blocks[overview->n_levels - 1];

      for (gsize k = 0; k < n_joined; k++)
        joined[k] = scan_blocks (blocks, k * TIDE_OVERVIEW_FAN,
                                 MIN ((k + 1) * TIDE_OVERVIEW_FAN, n_blocks));
      blocks = joined;
      n_blocks = n_joined;
    }
  return overview;
}

void
tide_overview_free (TideOverview *overview)
{
  if (overview == NULL)
    return;
  for (guint level = 0; level < overview->n_levels; level++)
    g_free (overview->blocks[level]);
  g_free (overview);
}

/* Widens range by entries first .. last - 1 that stick out of whole groups of fan entries at
 * either end, and turns first and last into the groups between. */
static void
trim (TideRange *range, const TideRange *blocks, gsize *first, gsize *last)
{
  gsize inner_first =
      MIN ((*first + TIDE_OVERVIEW_FAN - 1) / TIDE_OVERVIEW_FAN * TIDE_OVERVIEW_FAN, *last);
  gsize inner_last = MAX (*last / TIDE_OVERVIEW_FAN * TIDE_OVERVIEW_FAN, inner_first);
  TideRange before = scan_blocks (blocks, *first, inner_first);
  TideRange after = scan_blocks (blocks, inner_last, *last);

  widen (range, before.low, before.high);
  widen (range, after.low, after.high);
  *first = inner_first / TIDE_OVERVIEW_FAN;
  *last = inner_last / TIDE_OVERVIEW_FAN;
}

TideRange
tide_overview_query (const TideOverview *overview, const double *values, gsize first, gsize last)
{
  g_assert (first < last && last <= overview->n);

  gsize inner_first =
      MIN ((first + TIDE_OVERVIEW_BLOCK - 1) / TIDE_OVERVIEW_BLOCK * TIDE_OVERVIEW_BLOCK, last);
  gsize inner_last = MAX (last / TIDE_OVERVIEW_BLOCK * TIDE_OVERVIEW_BLOCK, inner_first);
  TideRange range = scan_values (values, first, inner_first);
  TideRange after = scan_values (values, inner_last, last);
  guint level = 0;

  widen (&range, after.low, after.high);
  first = inner_first / TIDE_OVERVIEW_BLOCK;
  last = inner_last / TIDE_OVERVIEW_BLOCK;
  while (first < last && level + 1 < overview->n_levels)
    trim (&range, overview->blocks[level++], &first, &last);
  if (first < last)
    {
      TideRange top = scan_blocks (overview->blocks[level], first, last);
      widen (&range, top.low, top.high);
    }
  return range.low <= range.high ? range : (TideRange){ NAN, NAN };
}

gsize
tide_find_time (const double *times, gsize n, double t)
{
  gsize low = 0, high = n;

  while (low < high)
    {
      gsize middle = low + (high - low) / 2;

      if (times[middle] >= t)
        high = middle;
      else
        low = middle + 1;
    }
  return low;
}

gsize
tide_find_time_near (const double *times, gsize n, double t)
{
  gsize reach = 1;

  while (reach < n && !(times[reach - 1] >= t))
    reach *= 2;
  return reach / 2 + tide_find_time (times + reach / 2, MIN (reach, n) - reach / 2, t);
}
