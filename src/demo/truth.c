/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The truth of a simulation: the marks of the help page "Methods", found on the true curve without
 * spikes, which needs no smoothing. The curve is looked at every GRID_S; nothing here is shared
 * with the code that finds the same marks in a noisy log, so that the two can be held together.
 */
#include "demo/curve-private.h"

#include <math.h>

#include "recording/median.h"

#define GRID_S 0.1

#define SECONDS_PER_HOUR 3600.0

/* Method notes, "Phases". */
#define PLATEAU_BAND         0.05
#define PLATEAU_LEAST_S      180.0
#define SETTLED_BAND_SHARE   0.03
#define SETTLED_BAND_FLOOR_W 0.15
#define SETTLED_LEAST_S      300.0
#define SETTLED_SHARE        0.5

/* Marks and medians depend on each other and agree after a few rounds. */
#define MOST_ROUNDS 50

/* The trend from the log's first to its last row. */
typedef struct
{
  const TideDemoCurve *curve;
  gsize n;
  double *watts; /* at k · GRID_S */
  double *scratch;
} Grid;

static void
fill_grid (Grid *grid, const TideDemoCurve *curve)
{
  grid->curve = curve;
  grid->n = (gsize)floor (curve->end_s / GRID_S + 1e-9) + 1;
  grid->watts = g_new (double, grid->n);
  grid->scratch = g_new (double, grid->n);
  for (gsize k = 0; k < grid->n; k++)
    grid->watts[k] = tide_demo_curve_get_trend_w (curve, k * GRID_S);
}

static void
clear_grid (Grid *grid)
{
  g_free (grid->watts);
  g_free (grid->scratch);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Grid, clear_grid)

static gsize
get_index (const Grid *grid, double t)
{
  return MIN ((gsize)ceil (MAX (t, 0) / GRID_S - 1e-9), grid->n);
}

static double
find_median (const Grid *grid, gsize first, gsize last)
{
  for (gsize k = first; k < last; k++)
    grid->scratch[k - first] = grid->watts[k];
  return tide_select_median (grid->scratch, last - first);
}

static double
find_highest (const Grid *grid)
{
  double highest = 0;

  for (gsize k = 0; k < grid->n; k++)
    highest = MAX (highest, grid->watts[k]);
  return highest;
}

/* ---- Plateau ---- */

/* One behind the last place where the curve is within the band below level. */
static gsize
find_band_end (const Grid *grid, double level)
{
  gsize last = get_index (grid, grid->curve->stop_s);

  while (last > 0 && grid->watts[last - 1] < (1 - PLATEAU_BAND) * level)
    last--;
  return last;
}

static void
find_plateau (const Grid *grid, TideTruth *truth)
{
  gsize first = get_index (grid, grid->curve->plateau_s);
  gsize last = get_index (grid, grid->curve->taper_s);

  truth->plateau_w = truth->plateau_start_s = truth->plateau_end_s = NAN;
  if (last < first + PLATEAU_LEAST_S / GRID_S)
    return;
  for (guint round = 0; round < MOST_ROUNDS; round++)
    {
      gsize found = find_band_end (grid, find_median (grid, first, last));

      if (found == last)
        break;
      last = found;
    }

  double sum = 0;
  for (gsize k = first; k < last; k++)
    sum += grid->watts[k];
  truth->plateau_w = sum / (last - first);
  truth->plateau_start_s = grid->curve->plateau_s;
  if (last < grid->n)
    truth->plateau_end_s = last * GRID_S;
}

/* ---- Settling ---- */

/* The earliest place from which the curve stays within band of center. */
static gsize
find_stretch (const Grid *grid, double center, double band)
{
  gsize first = grid->n;

  while (first > 0 && fabs (grid->watts[first - 1] - center) <= band)
    first--;
  return first;
}

static void
find_settling (const Grid *grid, TideTruth *truth)
{
  double highest = find_highest (grid), center = NAN;
  double band = MAX (SETTLED_BAND_SHARE * highest, SETTLED_BAND_FLOOR_W);
  gsize latest = get_index (grid, grid->curve->end_s - SETTLED_LEAST_S);
  gsize first = latest;

  truth->settles_s = truth->standing_w = NAN;
  if (grid->curve->end_s < SETTLED_LEAST_S)
    return;
  for (guint round = 0; round < MOST_ROUNDS; round++)
    {
      center = find_median (grid, first, grid->n);
      gsize found = find_stretch (grid, center, band);

      if (found > latest || found == first)
        {
          first = found;
          break;
        }
      first = found;
    }
  if (first > latest || center >= SETTLED_SHARE * highest || first == 0
      || grid->watts[first - 1] < center)
    return;
  truth->settles_s = first * GRID_S;
  truth->standing_w = center;
}

/* ---- Together ---- */

static guint
count_spikes (const TideDemoCurve *curve)
{
  guint n = 0;

  for (guint i = 0; i < curve->spikes->len; i++)
    n += g_array_index (curve->spikes, TideDemoEvent, i).end_s <= curve->end_s;
  return n;
}

void
tide_demo_curve_find_truth (const TideDemoCurve *curve, TideTruth *truth)
{
  g_auto (Grid) grid = { 0 };
  double energy_j, charge_c;

  fill_grid (&grid, curve);
  truth->draw_begins_s = curve->draw_s;
  find_plateau (&grid, truth);
  find_settling (&grid, truth);
  truth->spikes = count_spikes (curve);

  tide_demo_curve_integrate (curve, 0, curve->end_s, &energy_j, &charge_c);
  truth->energy_wh = energy_j / SECONDS_PER_HOUR;
  truth->charge_ah = charge_c / SECONDS_PER_HOUR;
  truth->window_energy_wh = NAN;
  if (isnan (truth->settles_s))
    return;
  tide_demo_curve_integrate (curve, curve->draw_s, truth->settles_s, &energy_j, &charge_c);
  truth->window_energy_wh = energy_j / SECONDS_PER_HOUR;
}
