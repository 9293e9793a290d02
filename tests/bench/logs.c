/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/logs.h"

#include <math.h>
#include <stdio.h>

#define DURATION_S 10000.0
#define DECIMALS   1e4
/* Normal enough from so many uniform numbers, whose sum has deviation sqrt (n / 12). */
#define N_UNIFORM 4

typedef struct
{
  double values[4]; /* time, voltage, current, power */
} Row;

/* Deviation 1. */
static double
draw_noise (GRand *random)
{
  double sum = -N_UNIFORM / 2.0;

  for (guint i = 0; i < N_UNIFORM; i++)
    sum += g_rand_double (random);
  return sum / sqrt (N_UNIFORM / 12.0);
}

/* Current without noise: two steps up, a plateau with a pause, a taper, the standing draw. */
static double
find_level_a (double time_s, guint32 seed)
{
  double plateau_a = 2.2 + 0.05 * (seed % 8);

  if (time_s < 60)
    return 0.02;
  if (time_s < 400)
    return 1.5;
  if (time_s < 5500)
    return fmod (time_s, 2000) < 30 ? 0.3 : plateau_a;
  return MAX (plateau_a * exp (-(time_s - 5500) / 900), 0.1);
}

static double
round_decimals (double value)
{
  return rint (value * DECIMALS) / DECIMALS;
}

static Row
make_row (GRand *random, gsize i, gsize n, guint32 seed)
{
  double time_s = (double)i * DURATION_S / (double)n;
  double current = find_level_a (time_s, seed) + 0.006 * sin ((double)i * 0.7);
  double voltage;

  current += 0.004 * draw_noise (random) + (g_rand_int_range (random, 0, 50000) == 0 ? 0.8 : 0);
  voltage = 9.05 - 0.05 * current + 0.02 * sin (time_s / 700) + 0.0018 * draw_noise (random);
  return (Row){ { round_decimals (time_s), round_decimals (voltage), round_decimals (current),
                  round_decimals (voltage * current + 0.0002 * draw_noise (random)) } };
}

guint64
log_write_csv (const char *path, gsize n, guint32 seed)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (seed);
  FILE *file = fopen (path, "w");
  long size;

  if (file == NULL)
    g_error ("%s cannot be written", path);
  fputs ("time_s,voltage_V,current_A,power_W\n", file);
  for (gsize i = 0; i < n; i++)
    {
      Row row = make_row (random, i, n, seed);

      fprintf (file, "%.4f,%.4f,%.4f,%.4f\n", row.values[0], row.values[1], row.values[2],
               row.values[3]);
    }
  size = ftell (file);
  if (fclose (file) != 0 || size < 0)
    g_error ("%s cannot be written", path);
  return (guint64)size;
}

TideRecording *
log_make_recording (gsize n, guint32 seed)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (seed);
  g_autoptr (GError) error = NULL;
  double *columns[TIDE_N_QUANTITIES] = { NULL };
  TideRecording *recording;

  for (guint q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    columns[q] = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    {
      Row row = make_row (random, i, n, seed);

      for (guint q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
        columns[q][i] = row.values[q];
    }
  recording =
      tide_recording_restore (n, (const double *const *)columns, TRUE, NULL, 1, NULL, &error);
  g_assert_no_error (error);
  for (guint q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    g_free (columns[q]);
  return recording;
}

TideComparison *
log_make_comparison (guint n_runs, gsize n)
{
  TideComparison *comparison = tide_comparison_new ();

  for (guint i = 0; i < n_runs; i++)
    {
      g_autoptr (TideRecording) recording = log_make_recording (n, i);
      g_autoptr (TideConditions) conditions = tide_conditions_new ();
      g_autoptr (GError) error = NULL;
      g_autofree char *name = g_strdup_printf ("Run %u", i + 1);

      tide_conditions_set (conditions, TIDE_CONDITION_NAME, name);
      tide_comparison_add (comparison, 0, conditions, recording, NULL, i, &error);
      g_assert_no_error (error);
    }
  return comparison;
}
