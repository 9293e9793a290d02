/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When a charge will settle, asked while it is still tapering: of the simulator's charges, whose
 * truth is known, and of charges in closed form; then what must give no estimate.
 *
 * The bound on the error is ours: an eighth of the whole taper, since nothing in a taper tells at
 * which share of its current the charger will stop (2.5 % to 10 %, data sheets SLUS940D and
 * JAJSQH4). The range must hold the truth.
 */
#include "analysis/expect.h"

#include "analysis/decay-private.h"
#include "analysis/support.h"
#include "demo/demo.h"
#include "reading/reading.h"

#define MOST_ERROR_SHARE 0.125

/* What was logged up to a time. */
static TideRecording *
cut_recording (TideRecording *whole, double to_s)
{
  const double *columns[TIDE_N_QUANTITIES];
  const TideProvenance nowhere = { 0 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  gsize n = 0;

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    columns[q] = tide_recording_get_column (whole, q);
  while (n < tide_recording_get_n_samples (whole) && columns[TIDE_QUANTITY_TIME][n] <= to_s)
    n++;
  TideRecording *cut = tide_recording_restore (n, columns, TRUE, &nowhere, 1, complaints, &error);
  g_assert_no_error (error);
  return cut;
}

static TideExpectation
expect_at (TideRecording *whole, double to_s, gboolean log_ended)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRecording) cut = cut_recording (whole, to_s);
  g_autoptr (TideMeasurement) m = tide_measure (cut, TIDE_STRETCH_ALL, &error);

  g_assert_no_error (error);
  return tide_expect_settling (cut, m, log_ended);
}

static void
check_none (TideExpectation e, TideChargeState state)
{
  g_assert_cmpint (e.state, ==, state);
  g_assert_true (isnan (e.settles_s) && isnan (e.earliest_s) && isnan (e.latest_s));
  g_assert_nonnull (e.reason);
}

static void
check_known (TideExpectation e, TideChargeState state, double settles_s, double within_s)
{
  g_assert_cmpint (e.state, ==, state);
  support_assert_near (e.settles_s, settles_s, within_s);
  g_assert_null (e.reason);
}

static void
check_estimate (TideExpectation e, double now_s, double settles_s, double most_error_s)
{
  g_assert_cmpint (e.state, ==, TIDE_CHARGE_TAPERING);
  support_assert_near (e.settles_s, settles_s, most_error_s);
  g_assert_cmpfloat (e.earliest_s, <=, settles_s);
  g_assert_cmpfloat (e.latest_s, >=, settles_s);
  g_assert_cmpfloat (e.earliest_s, >=, now_s - 60);
  g_assert_cmpfloat (e.tau_s, >, 0);
  g_assert_cmpfloat (e.end_w, >=, 0);
  g_assert_null (e.reason);
}

/* ---- The simulator's charges ---- */

/* A device in use, and little of a taper, may leave it open. */
static gboolean
may_be_unknown (const TideSimulation *simulation, double share)
{
  return simulation->load_every_s > 0 || share < 0.5;
}

static gboolean
check_share (TideRecording *log, const TideDemoRun *run, const TideTruth *truth, double share)
{
  double taper_s = truth->settles_s - truth->plateau_end_s;
  double now_s = truth->plateau_end_s + share * taper_s;
  TideExpectation e = expect_at (log, now_s, FALSE);

  if (isnan (e.settles_s) && may_be_unknown (&run->simulation, share))
    {
      check_none (e, TIDE_CHARGE_TAPERING);
      return FALSE;
    }
  g_test_message ("%s at %g %% of the taper of %.0f s: error %+.0f s, range %+.0f to %+.0f s",
                  run->file, 100 * share, taper_s, e.settles_s - truth->settles_s,
                  e.earliest_s - truth->settles_s, e.latest_s - truth->settles_s);
  check_estimate (e, now_s, truth->settles_s, MOST_ERROR_SHARE * taper_s);
  return TRUE;
}

static void
check_around (TideRecording *log, const TideDemoRun *run, const TideTruth *truth)
{
  double step_s = run->simulation.interval_s;

  check_none (expect_at (log, run->simulation.lead_s / 2, FALSE), TIDE_CHARGE_WAITING);
  check_none (expect_at (log, truth->plateau_start_s + 900, FALSE), TIDE_CHARGE_STEADY);
  check_none (expect_at (log, truth->plateau_end_s - 300, FALSE), TIDE_CHARGE_STEADY);
  check_none (expect_at (log, truth->plateau_end_s + 1000, TRUE), TIDE_CHARGE_ENDED);
  check_known (expect_at (log, truth->settles_s + 150, FALSE), TIDE_CHARGE_RESTING,
               truth->settles_s, MAX (2, step_s));
  check_known (expect_at (log, truth->settles_s + 600, FALSE), TIDE_CHARGE_SETTLED,
               truth->settles_s, MAX (2, step_s));
}

/* Gives the number of estimates. */
static guint
check_run (TideDemoRun *run)
{
  static const double shares[] = { 0.3, 0.5, 0.7, 0.9 };
  TideTruth truth;
  g_autoptr (GError) error = NULL;
  guint n = 0;

  run->simulation.tail_s = MAX (run->simulation.tail_s, 1200);
  g_autoptr (GBytes) bytes = tide_simulate (&run->simulation, "log", &truth);
  g_autoptr (GPtrArray) recordings = tide_read_bytes (bytes, run->file, NULL, NULL, &error);
  g_assert_no_error (error);
  for (guint k = 0; k < G_N_ELEMENTS (shares); k++)
    n += check_share (recordings->pdata[0], run, &truth, shares[k]);
  check_around (recordings->pdata[0], run, &truth);
  return n;
}

static void
test_simulated (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  guint n = 0;

  for (guint i = 0; i < runs->len; i++)
    n += check_run (runs->pdata[i]);
  g_assert_cmpuint (n, >=, runs->len * 3);
}

/* Its last minutes lie within the band while the loads of its use hide the fall: no false alarm. */
static void
test_in_use_is_not_settled (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  guint n = 0;

  for (guint i = 0; i < runs->len; i++)
    {
      TideDemoRun *run = runs->pdata[i];
      TideTruth truth;
      g_autoptr (GError) error = NULL;

      if (run->simulation.load_every_s == 0)
        continue;
      g_autoptr (GBytes) bytes = tide_simulate (&run->simulation, "log", &truth);
      g_autoptr (GPtrArray) recordings = tide_read_bytes (bytes, run->file, NULL, NULL, &error);
      g_assert_no_error (error);
      double taper_s = truth.settles_s - truth.plateau_end_s;
      for (double share = 0.4; share < 0.95; share += 0.02, n++)
        {
          TideExpectation e =
              expect_at (recordings->pdata[0], truth.plateau_end_s + share * taper_s, FALSE);
          g_assert_cmpint (e.state, ==, TIDE_CHARGE_TAPERING);
        }
    }
  g_assert_cmpuint (n, >, 20);
}

/* ---- Charges in closed form ---- */

/* A cell of capacitance and resistance, charged at constant current up to a voltage and held there
 * until the current has fallen to a share; the numbers follow from its equations (derived for this
 * project, and checked by quadrature). */
typedef struct
{
  double capacitance_f, resistance_ohm, begin_v, current_a, most_v, stop_a;
  double knee_s, tau_s, stop_s; /* what the equations give */
} Cell;

static const Cell cells[] = {
  { 20000, 0.08, 3.3, 2.5, 4.2, 0.25, 5600, 1600, 9284.136148790476 },
  { 20000, 0.08, 3.3, 2.5, 4.2, 0.125, 5600, 1600, 10393.171637686388 },
  { 36000, 0.05, 3.2, 5, 4.35, 0.5, 6480, 1800, 10624.653167389279 },
  { 10000, 0.16, 6.6, 2.5, 8.4, 0.25, 5600, 1600, 9284.136148790476 },
};

static double
get_cell_w (const Cell *cell, double t)
{
  if (t <= cell->knee_s)
    return cell->current_a
           * (cell->begin_v + cell->current_a * cell->resistance_ohm
              + cell->current_a * t / cell->capacitance_f);
  if (t <= cell->stop_s)
    return cell->most_v * cell->current_a * exp ((cell->knee_s - t) / cell->tau_s);
  return 0;
}

static TideRecording *
log_cell (const Cell *cell, double interval_s)
{
  gsize n = (gsize)((cell->stop_s + 900) / interval_s);
  g_autofree double *t = g_new (double, n), *power = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    {
      t[i] = i * interval_s;
      power[i] = get_cell_w (cell, t[i]);
    }
  return support_make_recording (n, t, power, NULL, NULL, NULL, NULL);
}

static void
check_cell (const Cell *cell, double interval_s)
{
  static const double shares[] = { 0.4, 0.5, 0.7, 0.9 };
  g_autoptr (TideRecording) log = log_cell (cell, interval_s);
  double taper_s = cell->stop_s - cell->knee_s;

  support_assert_near (cell->tau_s, cell->resistance_ohm * cell->capacitance_f, 1e-9);
  for (guint k = 0; k < G_N_ELEMENTS (shares); k++)
    {
      double now_s = cell->knee_s + shares[k] * taper_s;
      TideExpectation e = expect_at (log, now_s, FALSE);

      g_test_message ("stop at %g %%, %g s apart, at %g %%: error %+.0f s, tau %.0f s, end %.2f W",
                      100 * cell->stop_a / cell->current_a, interval_s, 100 * shares[k],
                      e.settles_s - cell->stop_s, e.tau_s, e.end_w);
      /* between a stop at 10 % and one at 2.5 % lie 2 ln 2 time constants */
      check_estimate (e, now_s, cell->stop_s + MAX (10, interval_s), 0.75 * cell->tau_s);
      support_assert_near (e.tau_s, cell->tau_s, 0.05 * cell->tau_s);
    }
  check_none (expect_at (log, cell->knee_s - 300, FALSE), TIDE_CHARGE_STEADY);
  check_known (expect_at (log, cell->stop_s + 200, FALSE), TIDE_CHARGE_RESTING, cell->stop_s,
               MAX (5, 2 * interval_s));
  check_known (expect_at (log, cell->stop_s + 600, FALSE), TIDE_CHARGE_SETTLED, cell->stop_s,
               MAX (5, 2 * interval_s));
}

static void
test_closed_form (void)
{
  static const double intervals_s[] = { 1, 10, 30 };

  for (guint i = 0; i < G_N_ELEMENTS (cells); i++)
    for (guint k = 0; k < G_N_ELEMENTS (intervals_s); k++)
      check_cell (&cells[i], intervals_s[k]);
}

/* ---- Better none than a wild one ---- */

typedef double (*PowerFunc) (double t);

static TideExpectation
expect_of (PowerFunc power_of, double end_s)
{
  gsize n = (gsize)end_s + 1;
  g_autofree double *t = g_new (double, n), *power = g_new (double, n);
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < n; i++)
    {
      t[i] = i;
      power[i] = power_of (i);
    }
  g_autoptr (TideRecording) log = support_make_recording (n, t, power, NULL, NULL, NULL, NULL);
  g_autoptr (TideMeasurement) m = tide_measure (log, TIDE_STRETCH_ALL, &error);
  g_assert_no_error (error);
  return tide_expect_settling (log, m, FALSE);
}

static double
get_nothing (double t)
{
  return 0.02;
}

static double
get_straight_fall (double t)
{
  return t < 1800 ? 20 : 20 - (t - 1800) * 0.004;
}

static double
get_wild (double t)
{
  return t < 1800 ? 20 : 10 + 6 * sin (t / 90);
}

static double
get_two_holds (double t)
{
  return t < 2400 ? 22 : 15;
}

/* held at a lower power for a while, then a decay */
static double
get_hold_and_decay (double t)
{
  return t < 2400 ? 22 : t < 3600 ? 15 : 1 + 14 * exp (-(t - 3600) / 1200);
}

/* so slow that each of its beginning's minutes looks like a plateau */
static double
get_slow_decay (double t)
{
  return t < 3600 ? 20 : 1 + 19 * exp (-(t - 3600) / 4800);
}

static void
test_none (void)
{
  check_none (expect_of (get_nothing, 900), TIDE_CHARGE_WAITING);
  check_none (expect_of (get_straight_fall, 3600), TIDE_CHARGE_TAPERING);
  check_none (expect_of (get_wild, 4800), TIDE_CHARGE_TAPERING);
  check_none (expect_of (get_two_holds, 4800), TIDE_CHARGE_STEADY);
  check_none (expect_of (get_hold_and_decay, 3850), TIDE_CHARGE_TAPERING);
}

static void
test_shapes (void)
{
  TideExpectation e = expect_of (get_hold_and_decay, 3600 + 2400);

  support_assert_near (e.tau_s, 1200, 60);
  support_assert_near (e.end_w, 1, 0.3);
  g_assert_cmpint (e.state, ==, TIDE_CHARGE_TAPERING);
  e = expect_of (get_slow_decay, 3600 + 4800 * 1.8);
  support_assert_near (e.tau_s, 4800, 240);
  support_assert_near (e.end_w, 1, 0.6);
}

static void
test_ended (void)
{
  SupportCharge charge = support_charge;
  g_autoptr (TideRecording) log = support_charge_log (&charge);

  check_none (expect_at (log, charge.begins_s / 2, TRUE), TIDE_CHARGE_ENDED);
  check_none (expect_at (log, charge.plateau_ends_s - 60, TRUE), TIDE_CHARGE_ENDED);
  check_known (expect_at (log, charge.end_s, TRUE), TIDE_CHARGE_SETTLED,
               support_charge_settles_s (&charge), 60);
}

/* ---- The fit ---- */

static void
test_fit (void)
{
  double t[60], y[60];
  TideDecayFit fit;

  for (guint i = 0; i < 60; i++)
    {
      t[i] = 30 + 60 * i;
      y[i] = 0.9 + 21 * exp (-t[i] / 1500);
    }
  tide_decay_fit (t, y, 60, 11, 0.001, &fit);
  /* the ladder's steps are 3 % apart */
  support_assert_near (fit.best.tau, 1500, 0.03 * 1500);
  support_assert_near (fit.best.end, 0.9, 0.25);
  g_assert_true (fit.is_bounded);
  g_assert_cmpuint (fit.n_open, >=, 1);
  double tau = fit.best.tau;
  y[7] += 30;
  y[40] -= 3;
  tide_decay_fit (t, y, 60, 11, 0.001, &fit);
  support_assert_near (fit.best.tau, tau, 0.001);
  /* an end above what is allowed is moved there */
  tide_decay_fit (t, y, 60, 0.1, 0.001, &fit);
  g_assert_cmpfloat (fit.best.end, <=, 0.1);
  for (guint i = 0; i < 60; i++)
    y[i] = 20 - 0.001 * i;
  tide_decay_fit (t, y, 60, 11, 0.04, &fit);
  g_assert_false (fit.is_bounded);
}

static void
test_words (void)
{
  for (guint i = 0; i < TIDE_N_CHARGE_STATES; i++)
    {
      g_assert_cmpstr (tide_charge_state_get_id (i), !=, "");
      g_assert_cmpstr (tide_charge_state_get_name (i), !=, "");
      for (guint k = 0; k < i; k++)
        g_assert_cmpstr (tide_charge_state_get_id (i), !=, tide_charge_state_get_id (k));
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/analysis/expect/simulated", test_simulated);
  g_test_add_func ("/analysis/expect/in-use", test_in_use_is_not_settled);
  g_test_add_func ("/analysis/expect/closed-form", test_closed_form);
  g_test_add_func ("/analysis/expect/none", test_none);
  g_test_add_func ("/analysis/expect/shapes", test_shapes);
  g_test_add_func ("/analysis/expect/ended", test_ended);
  g_test_add_func ("/analysis/expect/fit", test_fit);
  g_test_add_func ("/analysis/expect/words", test_words);
  return g_test_run ();
}
