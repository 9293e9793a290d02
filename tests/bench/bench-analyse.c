/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a run. What reads its memory once is held against copying that memory; what sorts
 * or selects, against sorting the same values with the C library.
 */
#include <stdlib.h>
#include <string.h>

#include "analysis/compare.h"
#include "analysis/phases.h"
#include "analysis/series.h"
#include "bench/bench.h"
#include "bench/logs.h"

#define N_LONG     4000000
#define N_SAMPLES  1000000
#define N_SEGMENTS 2000
/* 101 samples of a log of 10 ms. */
#define DESPIKE_S 1.005

typedef struct
{
  TideRecording *recording;
  const double *t, *power;
  gsize n;
  double *scratch; /* n values */
  double result;   /* so that no work is optimised away */
} Load;

static Load
make_load (gsize n)
{
  Load load = { .recording = log_make_recording (n, 1), .n = n, .scratch = g_new0 (double, n) };

  load.t = tide_recording_get_column (load.recording, TIDE_QUANTITY_TIME);
  load.power = tide_recording_get_column (load.recording, TIDE_QUANTITY_POWER);
  return load;
}

static void
clear_load (Load *load)
{
  tide_recording_unref (load->recording);
  g_free (load->scratch);
}

static void
copy_columns (gpointer data)
{
  Load *load = data;

  memcpy (load->scratch, load->t, load->n * sizeof (double));
  load->result += load->scratch[load->n / 2];
  memcpy (load->scratch, load->power, load->n * sizeof (double));
  load->result += load->scratch[load->n / 2];
}

static int
compare_doubles_cb (const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

static void
sort_power (gpointer data)
{
  Load *load = data;

  memcpy (load->scratch, load->power, load->n * sizeof (double));
  qsort (load->scratch, load->n, sizeof (double), compare_doubles_cb);
}

static void
integrate (gpointer data)
{
  Load *load = data;

  load->result += tide_integrate (load->t, load->power, load->n);
}

static void
despike (gpointer data)
{
  Load *load = data;
  g_autofree double *medians = tide_running_median (load->t, load->power, load->n, DESPIKE_S, 5);

  for (gsize i = 0; i < load->n; i++)
    load->scratch[i] = load->power[i] - medians[i];
  load->result += tide_scaled_mad (load->scratch, load->n);
}

static void
smooth (gpointer data)
{
  Load *load = data;
  g_autofree double *medians = tide_running_median (load->t, load->power, load->n, 30, 5);

  load->result += medians[load->n / 2];
}

static void
measure (gpointer data)
{
  Load *load = data;
  g_autoptr (TideMeasurement) measurement = tide_measure (load->recording, TIDE_STRETCH_ALL, NULL);

  load->result += measurement->energy_wh.value;
}

static void
find_plateaus (gpointer data)
{
  Load *load = data;
  g_autoptr (GArray) plateaus =
      tide_find_plateaus (load->t, load->power, load->n, load->t[0], load->t[load->n - 1], 300, 1);

  load->result += plateaus->len;
}

/* The run against itself, as the strip of two runs shows it. */
static void
find_difference (gpointer data)
{
  Load *load = data;
  const TideCurve curve = { load->t, load->power, load->n, 0.04, 0.01 };
  g_autoptr (TideDifference) difference = tide_difference_new (&curve, &curve, 1, 30, NULL);

  load->result += difference->mean;
}

int
main (void)
{
  Load load = make_load (N_LONG);

  bench_race ((BenchRunner[]){ { "integrate-4m", integrate, NULL, &load, NULL },
                               { "memcpy", copy_columns, NULL, &load, NULL } },
              2);
  clear_load (&load);

  load = make_load (N_SAMPLES);
  bench_race ((BenchRunner[]){ { "despike-1m", despike, NULL, &load, NULL },
                               { "qsort", sort_power, NULL, &load, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "smooth-1m", smooth, NULL, &load, NULL },
                               { "qsort", sort_power, NULL, &load, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "measure-1m", measure, NULL, &load, NULL },
                               { "qsort", sort_power, NULL, &load, NULL } },
              2);
  bench_race ((BenchRunner[]){ { "difference-1m", find_difference, NULL, &load, NULL },
                               { "memcpy", copy_columns, NULL, &load, NULL } },
              2);
  clear_load (&load);

  load = make_load (N_SEGMENTS);
  bench_race ((BenchRunner[]){ { "plateaus-2k", find_plateaus, NULL, &load, NULL },
                               { "qsort", sort_power, NULL, &load, NULL } },
              2);
  clear_load (&load);
  return 0;
}
