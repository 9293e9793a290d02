/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Recordings for the tests of analysis, plain and simulated. Every simulated one is the same each
 * time: the seed is part of it.
 */
#include "analysis/support.h"

/* An ordinary charge; tests copy it and change what they are about. */
const SupportCharge support_charge = {
  .begins_s = 120,
  .plateau_w = 18,
  .plateau_ends_s = 5520,
  .tau_s = 1200,
  .cut_w = 1.8,
  .standing_w = 0.4,
  .end_s = 11000,
  .interval_s = 1,
  .seed = 1,
};

#define SPIKE_S        4.0
#define TOP_UP_S       40.0
#define TOP_UP_EVERY_S 900.0

TideRecording *
support_make_recording (gsize n,
                        const double *t,
                        const double *power,
                        const double *voltage,
                        const double *current,
                        const double *energy,
                        const double *charge)
{
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = t,          [TIDE_QUANTITY_POWER] = power,
    [TIDE_QUANTITY_VOLTAGE] = voltage, [TIDE_QUANTITY_CURRENT] = current,
    [TIDE_QUANTITY_ENERGY] = energy,   [TIDE_QUANTITY_CHARGE] = charge,
  };
  TideProvenance provenance = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  TideRecording *recording =
      tide_recording_restore (n, columns, TRUE, &provenance, 1, complaints, &error);

  g_assert_no_error (error);
  return recording;
}

double
support_charge_settles_s (const SupportCharge *charge)
{
  return charge->plateau_ends_s + charge->tau_s * log (charge->plateau_w / charge->cut_w);
}

double
support_charge_leaves_band_s (const SupportCharge *charge)
{
  return charge->plateau_ends_s - charge->tau_s * log (0.95);
}

double
support_charge_power_w (const SupportCharge *charge, double t)
{
  double settles_s = support_charge_settles_s (charge);

  if (t < charge->begins_s)
    return 0;
  if (t < charge->plateau_ends_s)
    return charge->plateau_w;
  if (t < settles_s)
    return charge->plateau_w * exp ((charge->plateau_ends_s - t) / charge->tau_s);
  if (charge->top_up_w > 0 && t - settles_s > TOP_UP_EVERY_S / 2
      && fmod (t - settles_s + TOP_UP_EVERY_S / 2, TOP_UP_EVERY_S) < TOP_UP_S)
    return charge->top_up_w;
  return charge->standing_w;
}

double
support_normal (GRand *rand)
{
  /* Box and Muller, Annals of Mathematical Statistics 29, 1958. */
  double radius = sqrt (-2 * log (1 - g_rand_double (rand)));

  return radius * cos (2 * G_PI * g_rand_double (rand));
}

static void
add_spikes (const SupportCharge *charge, GRand *rand, GArray *t, GArray *power)
{
  double room_s = (charge->plateau_ends_s - charge->begins_s) / charge->n_spikes;

  for (guint k = 0; k < charge->n_spikes; k++)
    {
      double from_s = charge->begins_s + (k + g_rand_double_range (rand, 0.3, 0.7)) * room_s;
      double factor = g_rand_double_range (rand, 1.4, 1.5);

      for (guint i = 0; i < t->len; i++)
        {
          double at_s = g_array_index (t, double, i);
          if (at_s >= from_s && at_s < from_s + SPIKE_S)
            g_array_index (power, double, i) *= factor;
        }
    }
}

TideRecording *
support_charge_log (const SupportCharge *charge)
{
  g_autoptr (GArray) t = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) power = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GRand) rand = g_rand_new_with_seed (charge->seed);

  for (guint i = 0; i * charge->interval_s <= charge->end_s; i++)
    {
      double at_s = i * charge->interval_s;
      double true_w = support_charge_power_w (charge, at_s);
      double value = true_w * (1 + charge->noise * support_normal (rand));

      if (charge->quantum_w > 0)
        value = round (value / charge->quantum_w) * charge->quantum_w;
      if (charge->gap_s > 0 && at_s > charge->gap_at_s && at_s < charge->gap_at_s + charge->gap_s)
        continue;
      g_array_append_val (t, at_s);
      g_array_append_val (power, value);
    }
  if (charge->n_spikes > 0)
    add_spikes (charge, rand, t, power);
  return support_make_recording (t->len, (const double *)t->data, (const double *)power->data, NULL,
                                 NULL, NULL, NULL);
}
