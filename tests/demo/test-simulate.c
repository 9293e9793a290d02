/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The simulator against arithmetic that is not its own: closed forms by hand, and a fine trapezoid
 * over what it writes when the meter adds nothing.
 */
#include "demo/demo.h"

#include <math.h>
#include <string.h>

/* No noise, no rounding, no events: closed forms hold. */
static TideSimulation
make_plain (void)
{
  return (TideSimulation){
    .seed = 1,
    .interval_s = 1,
    .lead_s = 60,
    .plateau_w = 20,
    .plateau_s = 3600,
    .taper_tau_s = 1000,
    .taper_end_share = 0.05,
    .standing_w = 1,
    .tail_s = 900,
    .voltage_v = 10,
  };
}

typedef struct
{
  gsize n;
  double *t, *v, *a, *w;
} Table;

static void
clear_table (Table *table)
{
  g_free (table->t);
  g_free (table->v);
  g_free (table->a);
  g_free (table->w);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Table, clear_table)

/* Reads the plain dialect back, without the reading room. */
static void
parse_plain (GBytes *bytes, Table *table)
{
  const char *p = g_bytes_get_data (bytes, NULL), *end = p + g_bytes_get_size (bytes);
  gsize n_lines = 0;

  for (const char *q = p; q < end; q++)
    n_lines += *q == '\n';
  p = strchr (strchr (p, '\n') + 1, '\n') + 1; /* title and header */
  *table = (Table){ n_lines - 2, g_new (double, n_lines), g_new (double, n_lines),
                    g_new (double, n_lines), g_new (double, n_lines) };
  for (gsize i = 0; i < table->n; i++)
    {
      double counter, *const fields[] = { &table->t[i], &table->v[i], &table->a[i], &table->w[i],
                                          &counter };

      for (guint k = 0; k < G_N_ELEMENTS (fields); k++)
        {
          char *behind;

          *fields[k] = g_ascii_strtod (p, &behind);
          g_assert_true (behind > p);
          g_assert_cmpint (*behind, ==, k < 4 ? ',' : '\n');
          p = behind + 1;
        }
    }
  g_assert_true (p == end);
}

static void
simulate_plain (const TideSimulation *simulation, Table *table, TideTruth *truth)
{
  g_autoptr (GBytes) bytes = tide_simulate (simulation, "test", truth);
  parse_plain (bytes, table);
}

static double
integrate (const double *t, const double *y, gsize n)
{
  double sum = 0;

  for (gsize i = 1; i < n; i++)
    sum += (y[i] + y[i - 1]) / 2 * (t[i] - t[i - 1]);
  return sum;
}

/* ∫ of constant, exponential and constant power, written down by hand. */
static void
test_simulate__energy_in_closed_form (void)
{
  TideSimulation s = make_plain ();
  TideTruth truth;
  g_autoptr (GBytes) bytes = tide_simulate (&s, "test", &truth);
  double charging_w = s.plateau_w - s.standing_w;
  double taper_s = s.taper_tau_s * log (1 / s.taper_end_share);
  double charging_j = charging_w * (s.plateau_s + s.taper_tau_s * (1 - s.taper_end_share));
  double window_j = charging_j + s.standing_w * (s.plateau_s + taper_s);
  double end_s = floor (s.lead_s + s.plateau_s + taper_s + s.tail_s);
  double all_j = charging_j + s.standing_w * (end_s - s.lead_s);

  g_assert_nonnull (bytes);
  g_assert_cmpfloat_with_epsilon (truth.energy_wh, all_j / 3600, 1e-8);
  g_assert_cmpfloat_with_epsilon (truth.charge_ah, all_j / 3600 / s.voltage_v, 1e-9);
  /* settles on the truth's grid of 0.1 s */
  g_assert_cmpfloat_with_epsilon (truth.window_energy_wh, window_j / 3600, 1e-4);
}

static void
test_simulate__marks_in_closed_form (void)
{
  TideSimulation s = make_plain ();
  TideTruth truth;
  g_autoptr (GBytes) bytes = tide_simulate (&s, "test", &truth);
  double taper_at_s = s.lead_s + s.plateau_s;
  /* 0.95 · 20 = 1 + 19 · exp (−t/τ) */
  double leaves_s = taper_at_s + s.taper_tau_s * log (19.0 / 18.0);

  g_assert_nonnull (bytes);
  g_assert_cmpfloat (truth.draw_begins_s, ==, s.lead_s);
  g_assert_cmpfloat (truth.plateau_start_s, ==, s.lead_s);
  g_assert_cmpfloat_with_epsilon (truth.plateau_end_s, leaves_s, 0.11);
  g_assert_cmpfloat_with_epsilon (truth.plateau_w, 20, 0.02);
  g_assert_cmpfloat_with_epsilon (truth.standing_w, 1, 1e-9);
  /* Charging stops at 0.95 W, above the band of 0.03 · 20 W: settling is the step itself. */
  g_assert_cmpfloat_with_epsilon (truth.settles_s,
                                  taper_at_s + s.taper_tau_s * log (1 / s.taper_end_share), 0.11);

  /* Charging that goes on to 0.1 W settles where it enters the band: 19 · exp (−t/τ) = 0.6. The
   * tail must be long enough for the median to be the standing draw. */
  s.taper_end_share = 0.1 / 19;
  s.tail_s = 6000;
  g_autoptr (GBytes) longer = tide_simulate (&s, "test", &truth);
  g_assert_nonnull (longer);
  g_assert_cmpfloat_with_epsilon (truth.settles_s, taper_at_s + s.taper_tau_s * log (19 / 0.6),
                                  0.11);
}

/* Method notes: the final stretch must last 5 min, and lie below half of the sustained peak. */
static void
test_simulate__unsettled (void)
{
  TideSimulation s = make_plain ();
  TideTruth truth;

  s.tail_s = -2000;
  g_autoptr (GBytes) early = tide_simulate (&s, "test", &truth);
  g_assert_nonnull (early);
  g_assert_true (isnan (truth.settles_s) && isnan (truth.standing_w)
                 && isnan (truth.window_energy_wh));

  s.tail_s = 900;
  s.standing_w = 11;
  s.taper_end_share = 0.2;
  g_autoptr (GBytes) high = tide_simulate (&s, "test", &truth);
  g_assert_nonnull (high);
  g_assert_true (isnan (truth.settles_s));
}

static void
test_simulate__log_ends_on_plateau (void)
{
  TideSimulation s = make_plain ();
  TideTruth truth;

  s.tail_s = -4000;
  g_autoptr (GBytes) bytes = tide_simulate (&s, "test", &truth);
  g_assert_nonnull (bytes);
  g_assert_true (isnan (truth.plateau_end_s));
  g_assert_cmpfloat_with_epsilon (truth.plateau_w, 20, 1e-9);

  s.tail_s = -6500;
  g_autoptr (GBytes) sooner = tide_simulate (&s, "test", &truth);
  g_assert_nonnull (sooner);
  g_assert_true (isnan (truth.plateau_w) && isnan (truth.plateau_start_s));
}

/* Spikes, loads, ripple, a first stage and a cable: the truth against a trapezoid of 0.2 s. */
static void
test_simulate__truth_against_fine_trapezoid (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();

  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];
      TideSimulation s = run->simulation;
      g_auto (Table) table = { 0 };
      TideTruth truth;

      s.dialect = TIDE_DIALECT_PLAIN;
      s.interval_s = 0.2;
      s.noise_share = s.step_v = s.step_a = 0;
      simulate_plain (&s, &table, &truth);

      /* A jump between two samples is wrong by half an interval at most. */
      double jumps_j =
          0.1 * s.spike_w * 2 * truth.spikes + 0.1 * 3 * s.plateau_w + 0.1 * s.load_w * 100;
      g_assert_cmpfloat_with_epsilon (integrate (table.t, table.w, table.n) / 3600, truth.energy_wh,
                                      jumps_j / 3600 + 1e-6);
      g_assert_cmpfloat_with_epsilon (integrate (table.t, table.a, table.n) / 3600, truth.charge_ah,
                                      jumps_j / 5 / 3600 + 1e-6);
    }
}

/* Ohm's law holds in every row of a perfect meter. */
static void
test_simulate__cable_drop (void)
{
  TideSimulation s = make_plain ();
  g_auto (Table) table = { 0 };

  s.cable_ohm = 0.25;
  s.idle_w = 0.5;
  s.idle_v = 5;
  simulate_plain (&s, &table, NULL);
  for (gsize i = 0; i < table.n; i++)
    {
      double supply_v = table.t[i] < s.lead_s ? 5 : 10;

      g_assert_cmpfloat_with_epsilon (table.v[i], supply_v - 0.25 * table.a[i], 1e-8);
      g_assert_cmpfloat_with_epsilon (table.w[i], table.v[i] * table.a[i], 1e-7);
    }
}

/* The standard deviation and the steps the scenario asks for are those of the log. */
static void
test_simulate__noise_and_resolution (void)
{
  TideSimulation s = make_plain ();
  g_auto (Table) table = { 0 };
  double sum = 0, squares = 0;
  gsize n = 0;

  s.noise_share = 0.01;
  s.step_v = 0.01;
  s.step_a = 0.0005;
  simulate_plain (&s, &table, NULL);
  for (gsize i = 0; i < table.n; i++)
    {
      double steps = table.a[i] / s.step_a;

      g_assert_cmpfloat_with_epsilon (steps, round (steps), 1e-6);
      if (table.t[i] < 100 || table.t[i] > 3600)
        continue;
      sum += table.a[i] / 2 - 1; /* 20 W at 10 V */
      squares += (table.a[i] / 2 - 1) * (table.a[i] / 2 - 1);
      n++;
    }
  /* 3500 values: the mean is known to 0.01/√3500, the deviation to 1/√7000 of itself; 5 of each. */
  g_assert_cmpfloat_with_epsilon (sum / n, 0, 5 * 0.01 / sqrt (n));
  g_assert_cmpfloat_with_epsilon (sqrt (squares / n), 0.01, 5 * 0.01 / sqrt (2.0 * n));
}

/* Events come from the seed, not from the meter. */
static void
test_simulate__noise_moves_no_event (void)
{
  TideSimulation s = make_plain ();
  TideTruth quiet, noisy, other;

  s.spike_every_s = 300;
  s.spike_w = 8;
  s.spike_s = 4;
  g_autoptr (GBytes) a = tide_simulate (&s, "test", &quiet);
  s.noise_share = 0.01;
  s.step_a = 0.001;
  g_autoptr (GBytes) b = tide_simulate (&s, "test", &noisy);
  s.seed = 2;
  g_autoptr (GBytes) c = tide_simulate (&s, "test", &other);

  g_assert_cmpuint (quiet.spikes, >, 5);
  g_assert_cmpfloat (quiet.energy_wh, ==, noisy.energy_wh);
  g_assert_cmpfloat (quiet.energy_wh, !=, other.energy_wh);
  g_assert_false (g_bytes_equal (a, b) || g_bytes_equal (b, c));
}

static void
test_simulate__dialects (void)
{
  static const char *const heads[TIDE_N_DIALECTS] = {
    [TIDE_DIALECT_PLAIN] = "# Simulated charge of an invented survey tablet: two lines\n"
                           "Time (s),Voltage (V),Current (A),Power (W),Energy (Wh)\n"
                           "0,10.00,0.050,0.500,0.0000\n2,10.00,0.050,0.500,0.0003\n",
    [TIDE_DIALECT_SEMICOLON] = "# Simulated charge of an invented survey tablet: two lines\r\n"
                               "Time [s];Voltage [V];Current [A];Power [W];Energy [Wh]\r\n"
                               "0;10,00;0,050;0,500;0,0000\r\n2;10,00;0,050;0,500;0,0003\r\n",
    [TIDE_DIALECT_CLOCK] = "# Simulated charge of an invented survey tablet: two lines\n"
                           "Elapsed time\tVoltage (V)\tCurrent (A)\tPower (W)\tEnergy (Wh)\n"
                           "00:00:00\t10.00\t0.050\t0.500\t0.0000\n"
                           "00:00:02\t10.00\t0.050\t0.500\t0.0003\n",
    [TIDE_DIALECT_MILLI] = "# Simulated charge of an invented survey tablet: two lines\n"
                           "Time (ms),Voltage (mV),Current (mA),Charge (mAh)\n"
                           "0,10000,50,0\n2000,10000,50,0\n",
  };

  for (guint i = 0; i < TIDE_N_DIALECTS; i++)
    {
      TideSimulation s = make_plain ();

      s.dialect = i;
      s.interval_s = 2;
      s.idle_w = 0.5;
      s.step_v = 0.01;
      s.step_a = 0.001;
      g_autoptr (GBytes) bytes = tide_simulate (&s, "two\nlines", NULL);
      g_autofree char *head = g_strndup (g_bytes_get_data (bytes, NULL), strlen (heads[i]));

      g_assert_cmpstr (head, ==, heads[i]);
      g_assert_true (
          g_utf8_validate (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes), NULL));
    }
}

static void
test_simulate__refuses_no_dialect (void)
{
  TideSimulation s = make_plain ();
  g_autoptr (GError) error = NULL;

  g_assert_true (tide_simulation_check (&s, NULL));
  s.dialect = TIDE_N_DIALECTS;
  g_assert_false (tide_simulation_check (&s, &error));
  g_assert_error (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SIMULATION);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/demo/simulate/energy", test_simulate__energy_in_closed_form);
  g_test_add_func ("/demo/simulate/marks", test_simulate__marks_in_closed_form);
  g_test_add_func ("/demo/simulate/unsettled", test_simulate__unsettled);
  g_test_add_func ("/demo/simulate/log-ends-on-plateau", test_simulate__log_ends_on_plateau);
  g_test_add_func ("/demo/simulate/fine-trapezoid", test_simulate__truth_against_fine_trapezoid);
  g_test_add_func ("/demo/simulate/cable-drop", test_simulate__cable_drop);
  g_test_add_func ("/demo/simulate/noise", test_simulate__noise_and_resolution);
  g_test_add_func ("/demo/simulate/events", test_simulate__noise_moves_no_event);
  g_test_add_func ("/demo/simulate/dialects", test_simulate__dialects);
  g_test_add_func ("/demo/simulate/no-dialect", test_simulate__refuses_no_dialect);
  return g_test_run ();
}
