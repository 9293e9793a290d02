/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arithmetic on flat columns: sums, integrals, medians, resampling. No knowledge of charging.
 *
 * All take rising times in s and arrays of n values, allocate nothing but what they return, and
 * are exact to the last bits of a double: sums are Neumaier's (A. Neumaier, ZAMM 54, 1974).
 */
#pragma once

#include <glib.h>
#include <math.h>

/* A running sum that keeps what rounding drops. Starts as { 0 }. Values are finite. */
typedef struct { double sum, lost; } TideSum;

static inline void
tide_sum_add (TideSum *total, double value)
{
  double next = total->sum + value;

  if (fabs (total->sum) >= fabs (value))
    total->lost += (total->sum - next) + value;
  else
    total->lost += (value - next) + total->sum;
  total->sum = next;
}

static inline double
tide_sum_get (const TideSum *total)
{
  return total->sum + total->lost;
}

#define TIDE_SECONDS_PER_HOUR 3600.0

/* ∫ y dt by the trapezoid rule over the real time stamps. 0 for n < 2. */
double  tide_integrate         (const double *t, const double *y, gsize n);
/* The same of values that come some at a time, the same bits however they are cut. Starts as { 0 }. */
typedef struct { TideSum sum; double last_t, last_y; gboolean is_begun; } TideArea;
void    tide_area_add          (TideArea *area, const double *t, const double *y, gsize n);
double  tide_area_get          (const TideArea *area);
/* The same from t = from to t = to, y taken as straight between samples; both within t's range. */
double  tide_integrate_between (const double *t, const double *y, gsize n, double from, double to);
/* The running integral: n values, the first 0. Transfer full (g_free). */
double *tide_integrate_running (const double *t, const double *y, gsize n);
/* y at time t, straight between samples, NaN outside. */
double  tide_interpolate       (const double *t, const double *y, gsize n, double at);

/* Median; values is reordered. Expected O(n), never worse than O(n log n). n >= 1. The mean of the middle two for even n. */
double  tide_median     (double *values, gsize n);
/* Median absolute deviation × 1.4826022185056018 (1/Φ⁻¹(3/4), so that it estimates a normal
 * distribution's standard deviation). values is left alone. */
double  tide_scaled_mad (const double *values, gsize n);

/* Centred running median over a span of time: each value is the median of the samples within
 * ± span_s/2; where they are fewer than min_samples, of the sample and min_samples / 2 neighbours on
 * either side. The window is cut at the ends of the log. No value is NaN. n values, transfer full.
 * O(n log n) at worst, whatever the window. */
double *tide_running_median (const double *t, const double *y, gsize n, double span_s, guint min_samples);

/* Area-true averages onto a regular grid: value k is the mean of y over
 * [start + k·step, start + (k + 1)·step], y straight between samples; NaN for cells that reach
 * beyond x's range. x need not strictly rise. n_cells values, transfer full. */
double *tide_resample (const double *x, const double *y, gsize n, double start, double step, gsize n_cells);
