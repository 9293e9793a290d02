/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The smallest and largest value of each block of samples, and of blocks of blocks: what a
 * picture of millions of samples is drawn from.
 *
 * Level 0 has blocks of TIDE_OVERVIEW_BLOCK samples; each higher level joins TIDE_OVERVIEW_FAN
 * blocks of the one below. A range query visits at most 2·(BLOCK + FAN·levels) entries, whatever
 * the run's length. Values are kept as doubles so that a peak read off a chart is the logged one.
 */
#pragma once

#include <glib.h>

#define TIDE_OVERVIEW_BLOCK 16
#define TIDE_OVERVIEW_FAN   8

typedef struct _TideOverview TideOverview;

typedef struct { double low, high; } TideRange;

/* Keeps no reference to values: pass the same n values to each query. O(n). */
TideOverview *tide_overview_new   (const double *values, gsize n);
void          tide_overview_free  (TideOverview *overview);
/* Smallest and largest of values[first] .. values[last - 1]; first < last <= n. NaN is passed over; a
 * range of nothing else gives { NaN, NaN }. */
TideRange     tide_overview_query (const TideOverview *overview, const double *values, gsize first, gsize last);

/* The first index with times[index] >= t, n when there is none. times rises. O(log n). */
gsize tide_find_time (const double *times, gsize n, double t);
/* The same in O(log of the index found): for walking along, from where the last one was found. */
gsize tide_find_time_near (const double *times, gsize n, double t);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideOverview, tide_overview_free)
