/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Signs and power: what is done to columns before they become a recording. All linear. */
#include "recording/columns-private.h"

#include <math.h>

#include "recording/median.h"

/* Below one watt the resolution of meters, not their agreement, would decide. */
#define POWER_FLOOR_W 1.0

void
tide_columns_clear (TideColumns *columns)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&columns->values[q], g_free);
}

/* ---- Signs ---- */

/* Only its sign is asked for, so a plain sum will do. */
static double
integrate (const TideColumns *columns, TideQuantity quantity)
{
  const double *times = columns->values[TIDE_QUANTITY_TIME];
  const double *values = columns->values[quantity];
  double sum = 0;

  for (gsize i = 1; i < columns->n; i++)
    sum += (values[i] + values[i - 1]) / 2 * (times[i] - times[i - 1]);
  return sum;
}

static void
turn (double *values, gsize n)
{
  for (gsize i = 0; i < n; i++)
    values[i] = 0 - values[i]; /* not −x: a zero stays positive */
}

/* Whether a counter counts downwards; it may restart now and then. */
static gboolean
mostly_falls (const double *values, gsize n)
{
  gsize n_up = 0, n_down = 0;

  for (gsize i = 1; i < n; i++)
    {
      n_up += values[i] > values[i - 1];
      n_down += values[i] < values[i - 1];
    }
  return n_down > n_up;
}

gboolean
tide_columns_are_turned (const TideColumns *columns)
{
  gboolean has_current = columns->values[TIDE_QUANTITY_CURRENT] != NULL;

  return integrate (columns, has_current ? TIDE_QUANTITY_CURRENT : TIDE_QUANTITY_POWER) < 0;
}

void
tide_columns_turn (TideColumns *columns)
{
  static const TideQuantity counters[] = { TIDE_QUANTITY_ENERGY, TIDE_QUANTITY_CHARGE };
  double *power = columns->values[TIDE_QUANTITY_POWER];
  double *current = columns->values[TIDE_QUANTITY_CURRENT];

  if (current != NULL)
    turn (current, columns->n);
  if (power != NULL && integrate (columns, TIDE_QUANTITY_POWER) < 0)
    turn (power, columns->n);
  for (guint i = 0; i < G_N_ELEMENTS (counters); i++)
    {
      double *counter = columns->values[counters[i]];

      if (counter != NULL && mostly_falls (counter, columns->n))
        turn (counter, columns->n);
    }
}

/* ---- Power ---- */

void
tide_columns_compute_power (TideColumns *columns)
{
  const double *voltage = columns->values[TIDE_QUANTITY_VOLTAGE];
  const double *current = columns->values[TIDE_QUANTITY_CURRENT];
  double *power = g_new (double, columns->n);

  for (gsize i = 0; i < columns->n; i++)
    power[i] = voltage[i] * current[i];
  columns->values[TIDE_QUANTITY_POWER] = power;
}

static double
measure_sample (const TideColumns *columns, gsize i)
{
  double power = columns->values[TIDE_QUANTITY_POWER][i];
  double product =
      columns->values[TIDE_QUANTITY_VOLTAGE][i] * columns->values[TIDE_QUANTITY_CURRENT][i];

  return fabs (power - product) / MAX (fabs (power), POWER_FLOOR_W);
}

double
tide_columns_measure_mismatch (const TideColumns *columns, double limit)
{
  gsize n_off = 0;

  if (columns->values[TIDE_QUANTITY_POWER] == NULL || columns->values[TIDE_QUANTITY_VOLTAGE] == NULL
      || columns->values[TIDE_QUANTITY_CURRENT] == NULL)
    return 0;

  /* With fewer than half of the samples off the median cannot be, and need not be found. */
  for (gsize i = 0; i < columns->n; i++)
    n_off += measure_sample (columns, i) > limit;
  if (n_off < columns->n / 2)
    return 0;

  g_autofree double *mismatches = g_new (double, columns->n);
  for (gsize i = 0; i < columns->n; i++)
    mismatches[i] = measure_sample (columns, i);
  double median = tide_select_median (mismatches, columns->n);
  return median > limit ? median : 0;
}
