/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chart/support.h"

#include <math.h>

MadeRun
made_run (const char *name, double plateau_w, double plateau_s, guint32 seed)
{
  return (MadeRun){
    .name = name,
    .seed = seed,
    .interval_s = 1,
    .lead_s = 45,
    .plateau_w = plateau_w,
    .plateau_s = plateau_s,
    .tau_s = 1500,
    .standing_w = 1.4,
    .tail_s = 1500,
    .noise_w = 0.25,
    .spike_every_s = 900,
    .spike_w = 6,
    .device = "Survey tablet (simulated)",
    .supply = "65 W supply",
  };
}

/* Power without noise at time t of the log. */
static double
true_power (const MadeRun *run, double t)
{
  double since = t - run->lead_s, taper = since - run->plateau_s;

  if (since < 0)
    return 0;
  if (taper < 0)
    return run->plateau_w;
  if (taper > 3.5 * run->tau_s)
    return run->standing_w;
  return run->standing_w + (run->plateau_w - run->standing_w) * exp (-taper / run->tau_s);
}

static void
add_sample (TideRawRows *raw, double t, double power)
{
  const double voltage = 20 - power * 0.01;
  double current = power / voltage;

  g_array_append_val (raw->columns[TIDE_QUANTITY_TIME], t);
  g_array_append_val (raw->columns[TIDE_QUANTITY_POWER], power);
  g_array_append_val (raw->columns[TIDE_QUANTITY_VOLTAGE], voltage);
  g_array_append_val (raw->columns[TIDE_QUANTITY_CURRENT], current);
}

static void
fill_rows (const MadeRun *run, TideRawRows *raw)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (run->seed);
  double length = run->lead_s + run->plateau_s + 3.5 * run->tau_s + run->tail_s;
  double next_spike = run->spike_every_s;

  for (double t = 0; t <= length; t += run->interval_s)
    {
      double power = true_power (run, t) + g_rand_double_range (rand, -1, 1) * run->noise_w;

      if (run->spike_every_s > 0 && t >= next_spike)
        {
          power += run->spike_w * g_rand_double_range (rand, 0.5, 1);
          next_spike += run->spike_every_s * g_rand_double_range (rand, 0.5, 1.5);
        }
      if (run->gap_s == 0 || t < run->gap_at_s || t > run->gap_at_s + run->gap_s)
        add_sample (raw, t, power);
    }
}

TideRecording *
made_recording (const MadeRun *run)
{
  TideRawRows raw = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GPtrArray) recordings = NULL;
  g_autoptr (GError) error = NULL;
  TideProvenance provenance = { 0 };

  for (TideQuantity q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    raw.columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
  fill_rows (run, &raw);
  recordings = tide_recordings_assemble (&raw, &provenance, complaints, &error);
  g_assert_no_error (error);
  for (TideQuantity q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    g_array_unref (raw.columns[q]);
  return tide_recording_ref (g_ptr_array_index (recordings, 0));
}

void
made_add (TideComparison *comparison, const MadeRun *run)
{
  g_autoptr (TideRecording) recording = made_recording (run);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autoptr (GError) error = NULL;

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, run->name);
  tide_conditions_set (conditions, TIDE_CONDITION_DEVICE, run->device);
  tide_conditions_set (conditions, TIDE_CONDITION_SUPPLY, run->supply);
  tide_conditions_set (conditions, TIDE_CONDITION_NOTES, run->notes);
  tide_comparison_add (comparison, 0, conditions, recording, NULL,
                       tide_comparison_get_free_slot (comparison), &error);
  g_assert_no_error (error);
}

TideComparison *
made_comparison (guint n)
{
  static const char *const names[] = { "Base port", "Left port",     "Dock",
                                       "Handheld",  "In use",        "Long cable",
                                       "Warm room", "Second supply", "Old supply" };
  TideComparison *comparison = tide_comparison_new ();

  for (guint i = 0; i < n; i++)
    {
      MadeRun run = made_run (names[i % G_N_ELEMENTS (names)], 38 - 2.4 * (i % 7),
                              4200 + 420.0 * (i % 5), 11 + i);

      run.standing_w += 0.3 * (i % 4);
      run.lead_s += 20.0 * (i % 3);
      made_add (comparison, &run);
    }
  return comparison;
}
