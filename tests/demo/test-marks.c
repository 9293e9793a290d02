/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole road, from an export's text to the marks, held against the truth of the simulation with
 * the tolerances of the method notes: plateau level within 1 %, plateau end and settling within
 * max (60 s, 1.5 % of the charge time, 2 intervals), draw begins within max (5 s, 2 intervals),
 * standing draw within 20 mW; up to 0.5 % noise. To 2 % noise they double.
 */
#include "analysis/measure.h"
#include "demo/demo.h"
#include "reading/reading.h"

#include <math.h>

typedef struct
{
  TideTruth truth;
  TideMeasurement *measurement;
} Pair;

static void
clear_pair (Pair *pair)
{
  g_clear_pointer (&pair->measurement, tide_measurement_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Pair, clear_pair)

static void
measure (const TideSimulation *simulation, Pair *pair)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = tide_simulate (simulation, "measured", &pair->truth);
  g_autoptr (GPtrArray) recordings = tide_read_bytes (bytes, "demo.csv", NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (recordings->len, ==, 1);
  pair->measurement = tide_measure (recordings->pdata[0], TIDE_STRETCH_ALL, &error);
  g_assert_no_error (error);
}

/* Both unknown, or both known and near. */
static void
check_near (const char *what, double measured, double truth, double tolerance)
{
  if (isnan (measured) && isnan (truth))
    return;
  if (!(fabs (measured - truth) <= tolerance))
    g_error ("%s: measured %g, truth %g, tolerance %g", what, measured, truth, tolerance);
}

static void
check_marks (const TideSimulation *simulation, double widen)
{
  g_auto (Pair) pair = { 0 };
  measure (simulation, &pair);
  const TideTruth *truth = &pair.truth;
  const TideMeasurement *found = pair.measurement;
  double two_s = 2 * simulation->interval_s;
  double charge_s = truth->settles_s - truth->draw_begins_s;
  double mark_s = widen * fmax (60, fmax (0.015 * charge_s, two_s)); /* fmax passes over NaN */

  check_near ("draw begins", found->draw_begins_s, truth->draw_begins_s, widen * fmax (5, two_s));
  check_near ("settles", found->settles_s, truth->settles_s, mark_s);
  check_near ("standing draw", found->standing_draw_w.value, truth->standing_w, widen * 0.020);
  g_assert_true (found->has_plateau);
  check_near ("plateau level", found->plateau.level_w.value, truth->plateau_w,
              widen * 0.01 * truth->plateau_w);
  check_near ("plateau start", found->plateau.start_s, truth->plateau_start_s, mark_s);
  check_near ("plateau end", found->plateau.end_s, truth->plateau_end_s, mark_s);
}

static void
test_marks__built_in (gconstpointer data)
{
  const TideDemoRun *run = data;

  check_marks (&run->simulation, 1);
}

/* The integrals: the meter's noise averages out, what is left is the trapezoid's error at the
 * spikes' edges, of which there are two a spike, half an interval each. */
static void
test_marks__integrals (gconstpointer data)
{
  const TideDemoRun *run = data;
  const TideSimulation *simulation = &run->simulation;
  g_auto (Pair) pair = { 0 };
  measure (simulation, &pair);
  double edges_wh = (pair.truth.spikes + 4) * simulation->interval_s * simulation->spike_w / 3600;

  check_near ("energy", pair.measurement->energy_wh.value, pair.truth.energy_wh,
              edges_wh + 1e-3 * pair.truth.energy_wh);
  check_near ("charge", pair.measurement->charge_ah.value, pair.truth.charge_ah,
              edges_wh / simulation->voltage_v + 1e-3 * pair.truth.charge_ah);
  if (isnan (pair.truth.settles_s))
    g_assert_true (isnan (pair.measurement->window_energy_wh.value));
  else
    check_near ("window energy", pair.measurement->window_energy_wh.value,
                pair.truth.window_energy_wh, 0.01 * pair.truth.window_energy_wh);
}

/* A spike of several samples cannot be missed; those of the run logged every 10 s may be. */
static void
test_marks__spikes (gconstpointer data)
{
  const TideDemoRun *run = data;
  g_auto (Pair) pair = { 0 };

  measure (&run->simulation, &pair);
  g_assert_cmpuint (pair.measurement->spikes.count, ==, pair.truth.spikes);
  g_assert_cmpuint (pair.truth.spikes, >, 0);
}

/* The method notes' span of sampling and noise. At 10 ms a whole charge would be a million rows:
 * there everything goes four times as fast. */
static void
test_marks__sampling_and_noise (gconstpointer data)
{
  static const struct
  {
    double interval_s, noise_share, faster, widen;
  } cases[] = {
    { 0.01, 0.005, 4, 1 }, { 1, 0, 1, 1 },      { 1, 0.005, 1, 1 }, { 5, 0.005, 1, 1 },
    { 30, 0.005, 1, 1 },   { 60, 0.005, 1, 1 }, { 1, 0.02, 1, 2 },  { 60, 0.02, 1, 2 },
  };
  const TideDemoRun *run = data;

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideSimulation simulation = run->simulation;

      /* 2 % of what a device in use draws is more than the tolerance of its standing draw, and
       * blurs the loads' two levels into one: that median is not the meter's to find. */
      if (simulation.load_every_s > 0 && cases[i].widen > 1)
        continue;
      simulation.dialect = TIDE_DIALECT_PLAIN;
      simulation.interval_s = cases[i].interval_s;
      simulation.noise_share = cases[i].noise_share;
      simulation.first_s /= cases[i].faster;
      simulation.plateau_s /= cases[i].faster;
      simulation.taper_tau_s /= cases[i].faster;
      simulation.tail_s /= cases[i].faster;
      if (simulation.tail_s > 0)
        simulation.tail_s = fmax (simulation.tail_s, 600);
      g_test_message ("%g s, %g %%", cases[i].interval_s, 100 * cases[i].noise_share);
      check_marks (&simulation, cases[i].widen);
    }
}

static void
add_tests (const char *name, const TideDemoRun *run, GTestDataFunc function)
{
  g_autofree char *path = g_strdup_printf ("/demo/marks/%s/%s", name, run->file);

  g_test_add_data_func (path, run, function);
}

int
main (int argc, char **argv)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();

  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];

      add_tests ("built-in", run, test_marks__built_in);
      add_tests ("integrals", run, test_marks__integrals);
      if (run->simulation.spike_s >= 2 * run->simulation.interval_s)
        add_tests ("spikes", run, test_marks__spikes);
      add_tests ("sampling-and-noise", run, test_marks__sampling_and_noise);
    }
  return g_test_run ();
}
