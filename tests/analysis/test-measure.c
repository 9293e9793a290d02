/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a run that are not phases: energy and charge of a stretch, signs, counters, gaps,
 * spikes, milestones; and what is refused.
 */
#include "analysis/measure.h"

#include <string.h>

#include "analysis/support.h"

static TideMeasurement *
measure (TideRecording *recording, TideStretch stretch)
{
  g_autoptr (GError) error = NULL;
  TideMeasurement *m = tide_measure (recording, stretch, &error);

  g_assert_no_error (error);
  return m;
}

/* ---- Energy, charge and the stretch ---- */

#define N_RAMP 11

/* 10 V, current from 0 to 10 A in 10 s: ∫ I = I²/2, energy ten times that. */
static TideRecording *
make_ramp (void)
{
  double t[N_RAMP], power[N_RAMP], voltage[N_RAMP], current[N_RAMP];

  for (guint i = 0; i < N_RAMP; i++)
    {
      t[i] = i;
      voltage[i] = 10;
      current[i] = i;
      power[i] = 10 * i;
    }
  return support_make_recording (N_RAMP, t, power, voltage, current, NULL, NULL);
}

static void
test_stretch (void)
{
  static const struct
  {
    double from_s, to_s, start_s, end_s;
    gsize first, n;
  } cases[] = {
    { NAN, NAN, 0, 10, 0, 11 },
    { 2, 7, 2, 7, 2, 6 },
    { 2.5, 7.5, 2.5, 7.5, 3, 5 },
    { NAN, 4, 0, 4, 0, 5 },
    { 9, NAN, 9, 10, 9, 2 },
    { -5, 99, 0, 10, 0, 11 },
    { -INFINITY, INFINITY, 0, 10, 0, 11 },
  };
  g_autoptr (TideRecording) recording = make_ramp ();

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double a = cases[k].start_s, b = cases[k].end_s, charge = (b * b - a * a) / 2;
      g_autoptr (TideMeasurement) m =
          measure (recording, (TideStretch){ cases[k].from_s, cases[k].to_s });

      g_assert_cmpfloat (m->stretch.from_s, ==, a);
      g_assert_cmpfloat (m->stretch.to_s, ==, b);
      g_assert_cmpuint (m->first_sample, ==, cases[k].first);
      g_assert_cmpuint (m->n_samples, ==, cases[k].n);
      g_assert_cmpuint (m->n_smoothed, ==, cases[k].n);
      g_assert_cmpfloat (m->duration_s, ==, b - a);
      support_assert_near (m->charge_ah.value, charge / 3600, 1e-15);
      support_assert_near (m->energy_wh.value, 10 * charge / 3600, 1e-14);
      support_assert_near (m->mean_power_w.value, 10 * charge / (b - a), 1e-12);
      g_assert_cmpfloat (m->peak_power_w.value, ==, 10 * floor (b));
      g_assert_cmpfloat (m->median_interval_s, ==, 1);
      g_assert_cmpuint (m->complaints->len, ==, 0);
      /* No accuracy is known. */
      g_assert_true (isnan (m->energy_wh.uncertainty));
      g_assert_true (isnan (m->peak_power_w.uncertainty));
    }
  support_assert_near (tide_measure_energy_wh (recording), 10 * (10 * 10 / 2.0) / 3600, 1e-15);
}

static void
test_refused (void)
{
  static const struct
  {
    double from_s, to_s;
    const char *message;
  } cases[] = {
    { 7, 2, "*7 s to 2 s ends before it begins*" },
    { 5, 5, "*ends before it begins*" },
    { 2.1, 2.9, "*fewer than two samples*" },
    { 2.1, 3.9, "*fewer than two samples*" },
    { 10, NAN, "*ends before it begins*" },
    { 11, 20, "*fewer than two samples of the log's 10 s*" },
    { -9, -1, "*fewer than two samples*" },
    { NAN, -1, "*ends before it begins*" },
    { INFINITY, INFINITY, "*ends before it begins*" },
  };
  g_autoptr (TideRecording) recording = make_ramp ();

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_autoptr (GError) error = NULL;
      TideMeasurement *m =
          tide_measure (recording, (TideStretch){ cases[k].from_s, cases[k].to_s }, &error);

      g_assert_null (m);
      g_assert_error (error, TIDE_ANALYSIS_ERROR, TIDE_ANALYSIS_ERROR_STRETCH);
      g_assert_true (g_pattern_match_simple (cases[k].message, error->message));
    }
}

/* ---- Signs ---- */

/* A log that gives away more than it takes, with a charge in its middle third. */
static TideRecording *
make_cycle (gboolean absolute_power, gboolean with_current)
{
  double t[3000], power[3000], voltage[3000], current[3000];

  for (guint i = 0; i < 3000; i++)
    {
      t[i] = i;
      voltage[i] = 4;
      current[i] = i >= 1000 && i < 2000 ? -2 : 3; /* turned as a whole when assembled */
      power[i] = absolute_power ? fabs (voltage[i] * current[i]) : voltage[i] * current[i];
    }
  return support_make_recording (3000, t, power, with_current ? voltage : NULL,
                                 with_current ? current : NULL, NULL, NULL);
}

static void
test_sign (void)
{
  static const struct
  {
    gboolean absolute_power, with_current;
  } cases[] = { { FALSE, TRUE }, { TRUE, TRUE }, { FALSE, FALSE } };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_autoptr (TideRecording) recording =
          make_cycle (cases[k].absolute_power, cases[k].with_current);
      g_autoptr (TideMeasurement) whole = measure (recording, TIDE_STRETCH_ALL);
      g_autoptr (TideMeasurement) charge = measure (recording, (TideStretch){ 1000, 1999 });

      g_assert_cmpuint (whole->complaints->len, ==, 0);
      support_assert_near (charge->energy_wh.value, 8 * 999 / 3600.0, 1e-12);
      support_assert_near (charge->sustained_peak_w.value, 8, 0);
      support_assert_near (charge->smoothed_w[500], 8, 0);
      if (cases[k].with_current)
        support_assert_near (charge->charge_ah.value, 2 * 999 / 3600.0, 1e-12);
      else
        g_assert_true (isnan (charge->charge_ah.value));

      gboolean turned = charge->complaints->len > 0;
      g_assert_true (turned == (cases[k].with_current || !cases[k].absolute_power));
      const TideComplaint *complaint = g_ptr_array_index (charge->complaints, 0);
      g_assert_cmpstr (complaint->text, ==,
                       "the charge over the measured stretch is negative; "
                       "current and power are counted the other way");
    }
}

/* ---- Counters ---- */

static void
test_counter (void)
{
  static const struct
  {
    const char *what;
    double counter[6]; /* at 0, 1 ... 5 s */
    double from_s, to_s, growth;
  } cases[] = {
    { "rises", { 1, 2, 3, 4, 5, 6 }, 0, 5, 5 },
    { "restarts at nothing", { 1, 2, 3, 0, 1, 2 }, 0, 5, 4 },
    { "restarts and has counted", { 1, 2, 3, 0.5, 1, 2 }, 0, 5, 4 },
    { "restarts twice", { 5, 6, 0, 1, 0, 1 }, 0, 5, 3 },
    { "falls below zero", { -1, -2, -3, -4, -5, -6 }, 0, 5, 5 },
    { "inside", { 1, 2, 3, 4, 5, 6 }, 1, 3, 2 },
    { "between samples", { 0, 1, 3, 6, 10, 15 }, 0.5, 3.25, 0.5 + 2 + 3 + 1 },
    { "stands still", { 7, 7, 7, 7, 7, 7 }, 0, 5, 0 },
  };
  static const double t[] = { 0, 1, 2, 3, 4, 5 }, power[] = { 3600, 3600, 3600, 3600, 3600, 3600 };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      const double *counter = cases[k].counter;
      g_autoptr (TideRecording) recording =
          support_make_recording (6, t, power, NULL, NULL, counter, counter);
      g_autoptr (TideMeasurement) m =
          measure (recording, (TideStretch){ cases[k].from_s, cases[k].to_s });
      double energy_wh = cases[k].to_s - cases[k].from_s, growth = cases[k].growth;

      g_test_message ("%s", cases[k].what);
      g_assert_true (m->has_counter);
      support_assert_near (m->counter.energy_wh, growth, 1e-14);
      support_assert_near (m->counter.charge_ah, growth, 1e-14);
      if (growth > 0)
        support_assert_near (m->counter.energy_difference_percent,
                             (energy_wh - growth) / growth * 100, 1e-10);
      else
        g_assert_true (isnan (m->counter.energy_difference_percent));
    }
}

static void
test_counter_missing (void)
{
  static const double t[] = { 0, 1, 2 }, y[] = { 1, 2, 3 };
  g_autoptr (TideRecording) none = support_make_recording (3, t, y, NULL, NULL, NULL, NULL);
  g_autoptr (TideRecording) charge = support_make_recording (3, t, y, NULL, NULL, NULL, y);
  g_autoptr (TideMeasurement) without = measure (none, TIDE_STRETCH_ALL);
  g_autoptr (TideMeasurement) with = measure (charge, TIDE_STRETCH_ALL);

  g_assert_false (without->has_counter);
  g_assert_true (isnan (without->counter.energy_wh));
  g_assert_true (with->has_counter);
  g_assert_true (isnan (with->counter.energy_wh));
  g_assert_true (isnan (with->counter.energy_difference_percent));
  g_assert_cmpfloat (with->counter.charge_ah, ==, 2);
}

/* ---- Printed too coarsely ---- */

/* A row a second at 1 V, power and current swinging between low and high; what its energy is made
 * of. */
static gboolean
is_called_coarse (gsize n, gboolean power_logged, double low, double high, const char *words)
{
  g_autofree double *t = g_new (double, n), *power = g_new (double, n);
  g_autofree double *voltage = g_new (double, n);
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = t,
    [TIDE_QUANTITY_POWER] = power,
    [TIDE_QUANTITY_VOLTAGE] = voltage,
    [TIDE_QUANTITY_CURRENT] = power,
  };
  const TideProvenance provenance = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < n; i++)
    {
      t[i] = (double)i;
      voltage[i] = 1;
      power[i] = i % 2 ? low : high;
    }
  g_autoptr (TideRecording) recording =
      tide_recording_restore (n, columns, power_logged, &provenance, 1, complaints, &error);
  g_assert_no_error (error);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
  for (guint i = 0; i < m->complaints->len; i++)
    {
      const TideComplaint *complaint = g_ptr_array_index (m->complaints, i);

      if (strstr (complaint->text, words) != NULL)
        return TRUE;
    }
  return FALSE;
}

static void
test_coarse (void)
{
  /* 0.0001 A of a mean of 0.0002 A; of 0.0003 A */
  g_assert_true (
      is_called_coarse (200, FALSE, 0.0002, 0.0002,
                        "steps of 0.0001 A, 50 % of its mean, and lies within 0 of them"));
  g_assert_true (
      is_called_coarse (200, FALSE, 0.0002, 0.0004, "33 % of its mean, and lies within 2"));
  g_assert_true (is_called_coarse (200, FALSE, 0.3, -0.2, "steps of 0.1 A, 40 %"));
  g_assert_true (is_called_coarse (200, TRUE, 0.3, 0.2, "the power is printed in steps of 0.1 W"));
  /* one value with more decimals, a step below a tenth, whole numbers, a short log, nothing */
  g_assert_false (is_called_coarse (200, FALSE, 0.2, 0.21, "steps of"));
  g_assert_false (is_called_coarse (200, FALSE, 1.5, 1.4, "steps of"));
  g_assert_false (is_called_coarse (200, FALSE, 2, 1, "steps of"));
  g_assert_false (is_called_coarse (50, FALSE, 0.2, 0.2, "steps of"));
  g_assert_false (is_called_coarse (200, FALSE, 0, 0, "steps of"));
}

/* ---- Gaps, spikes, noise ---- */

static void
test_gaps (void)
{
  static const double t[] = { 0, 1, 2, 3, 13, 14, 15, 35, 36, 37, 48, 49 };
  double power[12];

  for (guint i = 0; i < 12; i++)
    power[i] = 5;
  g_autoptr (TideRecording) recording =
      support_make_recording (12, t, power, NULL, NULL, NULL, NULL);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
  /* The limit is max (5 × 1 s, 10 s): 10 s are no gap, 11 s are. */
  g_assert_cmpuint (m->gaps.count, ==, 2);
  g_assert_cmpfloat (m->gaps.total_s, ==, 31);
  support_assert_near (m->energy_wh.value, 5 * 49 / 3600.0, 1e-15);
}

/* 10 W for 1000 s, with excursions of given lengths and heights at 500 s. */
static void
test_spikes (void)
{
  static const struct
  {
    double height_w;
    guint length, count;
  } cases[] = {
    { 0.9, 4, 0 }, /* below 10 % of the level */
    { 1.1, 4, 1 }, { 5, 1, 1 },
    { 5, 14, 1 },  { 5, 20, 0 }, /* longer than half the window: smoothed power follows */
    { -5, 4, 0 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double t[1000], power[1000];
      guint length = cases[k].length;

      for (guint i = 0; i < 1000; i++)
        {
          t[i] = i;
          power[i] = 10 + (i >= 500 && i < 500 + length ? cases[k].height_w : 0);
        }
      g_autoptr (TideRecording) recording =
          support_make_recording (1000, t, power, NULL, NULL, NULL, NULL);
      g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
      g_assert_cmpuint (m->spikes.count, ==, cases[k].count);
      support_assert_near (m->spikes.total_s, cases[k].count * length, 1e-9);
      support_assert_near (m->spikes.energy_wh, cases[k].count * length * cases[k].height_w / 3600,
                           1e-12);
      if (cases[k].count > 0)
        g_assert_cmpfloat (m->spikes.tallest_w, ==, 10 + cases[k].height_w);
      else
        g_assert_true (isnan (m->spikes.tallest_w));
      g_assert_cmpfloat (m->noise_w, ==, 0);
      if (length < 15)
        support_assert_near (m->plateau.level_w.value, 10, cases[k].count > 0 ? 1e-12 : 0.03);
    }
}

/* Noise raises the bar to five standard deviations, and is itself found. */
static void
test_noise (void)
{
  SupportCharge charge = support_charge;

  charge.end_s = 5500;
  charge.noise = 0.03;
  g_autoptr (TideRecording) recording = support_charge_log (&charge);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
  support_assert_near (m->noise_w, 0.03 * 18, 0.03);
  g_assert_cmpuint (m->spikes.count, <=, 1);
}

/* ---- The window ---- */

static void
test_window (void)
{
  SupportCharge charge = support_charge;
  g_autoptr (TideRecording) recording = support_charge_log (&charge);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
  double fall_s = support_charge_settles_s (&charge) - charge.plateau_ends_s;
  double plateau_j = 18 * (charge.plateau_ends_s - charge.begins_s);
  double energy_j = plateau_j + 18 * charge.tau_s * (1 - exp (-fall_s / charge.tau_s));

  support_assert_near (m->window_energy_wh.value, energy_j / 3600, 0.001 * energy_j / 3600);
  support_assert_near (m->window_mean_power_w.value,
                       m->window_energy_wh.value * 3600 / m->charge_time_s, 1e-9);
  g_assert_true (isnan (m->window_charge_ah.value));
  g_assert_cmpint (tide_milestone_percent[0], ==, 50);
  support_assert_near (m->milestones_s[0], energy_j * 0.5 / 18, 3);
  /* In the taper: 90 % of the energy has passed where the rest is 10 %. */
  double left_j = 0.1 * energy_j, at_cut_j = 18 * charge.tau_s * exp (-fall_s / charge.tau_s);
  double expected_s = charge.plateau_ends_s - charge.begins_s
                      - charge.tau_s * log ((left_j + at_cut_j) / (18 * charge.tau_s));
  support_assert_near (m->milestones_s[2], expected_s, 5);
  g_assert_cmpfloat (m->milestones_s[TIDE_N_MILESTONES - 1], ==, m->charge_time_s);
  for (guint k = 1; k < TIDE_N_MILESTONES; k++)
    g_assert_cmpfloat (m->milestones_s[k], >, m->milestones_s[k - 1]);
}

/* Between samples a milestone lies where the trapezoid's own energy has passed. */
static void
test_milestones_between (void)
{
  double t[20], power[20], voltage[20], current[20];

  for (guint i = 0; i < 20; i++)
    {
      t[i] = 100.0 * i;
      power[i] = i < 10 ? 20 - i : 1;
      voltage[i] = 5;
      current[i] = power[i] / 5;
    }
  g_autoptr (TideRecording) recording =
      support_make_recording (20, t, power, voltage, current, NULL, NULL);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);
  g_assert_cmpfloat (m->draw_begins_s, ==, 0);
  g_assert_cmpfloat (m->settles_s, ==, 1000);
  /* Power is 20 − t/100 up to 900 s: energy 20 t − t²/200 = 13,950 J, then 600 J; half is 7,275 J.
   */
  support_assert_near (m->window_energy_wh.value, 14550 / 3600.0, 1e-12);
  support_assert_near (m->window_charge_ah.value, 14550 / 5 / 3600.0, 1e-12);
  support_assert_near (m->milestones_s[0], 2000 - sqrt (4e6 - 200 * 7275), 1e-9);
}

/* The smallest recording there is, and a strange one. */
static void
test_small (void)
{
  static const double t[] = { 0, 1e9 }, power[] = { 3, -3 };
  g_autoptr (TideRecording) recording =
      support_make_recording (2, t, power, NULL, NULL, NULL, NULL);
  g_autoptr (TideMeasurement) m = measure (recording, TIDE_STRETCH_ALL);

  g_assert_cmpuint (m->n_samples, ==, 2);
  g_assert_cmpfloat (m->energy_wh.value, ==, 0);
  g_assert_cmpuint (m->plateaus->len, ==, 0);
  tide_measurement_free (NULL);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/measure/stretch", test_stretch);
  g_test_add_func ("/measure/refused", test_refused);
  g_test_add_func ("/measure/sign", test_sign);
  g_test_add_func ("/measure/counter", test_counter);
  g_test_add_func ("/measure/counter-missing", test_counter_missing);
  g_test_add_func ("/measure/coarse", test_coarse);
  g_test_add_func ("/measure/gaps", test_gaps);
  g_test_add_func ("/measure/spikes", test_spikes);
  g_test_add_func ("/measure/noise", test_noise);
  g_test_add_func ("/measure/window", test_window);
  g_test_add_func ("/measure/milestones-between", test_milestones_between);
  g_test_add_func ("/measure/small", test_small);
  return g_test_run ();
}
