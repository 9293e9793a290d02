/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Integrals and resampling of flat columns; the medians are in median.c. Every function walks
 * its columns once; nothing is checked but lengths, because a recording's columns are finite and
 * its time rises.
 */
#include "analysis/series.h"

#include "recording/overview.h"

/* A cell's end may miss the last x by rounding of start + k·step; by this share of a cell it
 * still counts as inside. */
#define CELL_SLACK 1e-6

static inline double
get_area (const double *t, const double *y, gsize i)
{
  return (t[i + 1] - t[i]) * (y[i] + y[i + 1]) / 2;
}

void
tide_area_add (TideArea *area, const double *t, const double *y, gsize n)
{
  if (n == 0)
    return;
  if (area->is_begun)
    tide_sum_add (&area->sum, (t[0] - area->last_t) * (area->last_y + y[0]) / 2);
  for (gsize i = 0; i + 1 < n; i++)
    tide_sum_add (&area->sum, get_area (t, y, i));
  area->is_begun = TRUE;
  area->last_t = t[n - 1];
  area->last_y = y[n - 1];
}

double
tide_area_get (const TideArea *area)
{
  return tide_sum_get (&area->sum);
}

double
tide_integrate (const double *t, const double *y, gsize n)
{
  TideArea area = { 0 };

  tide_area_add (&area, t, y, n);
  return tide_area_get (&area);
}

double
tide_integrate_between (const double *t, const double *y, gsize n, double from, double to)
{
  TideSum total = { 0 };

  g_return_val_if_fail (n > 0 && from >= t[0] && to <= t[n - 1], NAN);

  if (!(from < to))
    return 0;

  gsize first = tide_find_time (t, n, from), end = tide_find_time (t, n, to);
  double y_from = tide_interpolate (t, y, n, from), y_to = tide_interpolate (t, y, n, to);

  if (first == end)
    return (to - from) * (y_from + y_to) / 2;
  tide_sum_add (&total, (t[first] - from) * (y_from + y[first]) / 2);
  for (gsize i = first; i + 1 < end; i++)
    tide_sum_add (&total, get_area (t, y, i));
  tide_sum_add (&total, (to - t[end - 1]) * (y[end - 1] + y_to) / 2);
  return tide_sum_get (&total);
}

double *
tide_integrate_running (const double *t, const double *y, gsize n)
{
  double *running = g_new (double, n);
  TideSum total = { 0 };

  for (gsize i = 0; i < n; i++)
    {
      if (i > 0)
        tide_sum_add (&total, get_area (t, y, i - 1));
      running[i] = tide_sum_get (&total);
    }
  return running;
}

double
tide_interpolate (const double *t, const double *y, gsize n, double at)
{
  if (n == 0 || !(at >= t[0]) || at > t[n - 1])
    return NAN;

  gsize i = tide_find_time (t, n, at);

  if (t[i] == at)
    return y[i];
  return y[i - 1] + (y[i] - y[i - 1]) * ((at - t[i - 1]) / (t[i] - t[i - 1]));
}

/* The mean of y over a .. b. *segment is where the last cell was found; cells come in order. */
static double
average_cell (const double *x, const double *y, gsize n, double a, double b, gsize *segment)
{
  double slack = (b - a) * CELL_SLACK;
  TideSum area = { 0 };

  if (a < x[0] - slack || b > x[n - 1] + slack)
    return NAN;
  a = MAX (a, x[0]);
  b = MIN (b, x[n - 1]);
  if (!(a < b))
    return NAN;
  while (*segment + 2 < n && x[*segment + 1] <= a)
    (*segment)++;
  for (gsize i = *segment; i + 1 < n && x[i] < b; i++)
    {
      double low = MAX (a, x[i]), high = MIN (b, x[i + 1]);

      if (low < high)
        {
          double middle = ((low + high) / 2 - x[i]) / (x[i + 1] - x[i]);
          tide_sum_add (&area, (high - low) * (y[i] + (y[i + 1] - y[i]) * middle));
        }
    }
  return tide_sum_get (&area) / (b - a);
}

double *
tide_resample (const double *x, const double *y, gsize n, double start, double step, gsize n_cells)
{
  double *cells = g_new (double, n_cells);
  gsize segment = 0;

  for (gsize k = 0; k < n_cells; k++)
    cells[k] = n < 2 ? NAN
                     : average_cell (x, y, n, start + (double)k * step,
                                     start + (double)(k + 1) * step, &segment);
  return cells;
}
