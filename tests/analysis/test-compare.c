/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two runs: known shifts are found again, a curve does not differ from itself, known differences
 * come out as they went in, and nothing is decided that cannot be.
 */
#include "analysis/compare.h"

#include "analysis/series.h"
#include "analysis/support.h"

typedef struct
{
  TideRecording *recording;
  TideMeasurement *m;
} Run;

static void
clear_run (Run *run)
{
  tide_measurement_free (run->m);
  tide_recording_unref (run->recording);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Run, clear_run)

static Run
make_run (const SupportCharge *charge)
{
  g_autoptr (GError) error = NULL;
  Run run = { .recording = support_charge_log (charge) };

  run.m = tide_measure (run.recording, TIDE_STRETCH_ALL, &error);
  g_assert_no_error (error);
  return run;
}

static TideMeasured
borrow (const Run *run)
{
  return (TideMeasured){ run->recording, run->m };
}

/* The charge shift_s later. */
static SupportCharge
shift (double shift_s)
{
  SupportCharge charge = support_charge;

  charge.begins_s += shift_s;
  charge.plateau_ends_s += shift_s;
  charge.seed = 99;
  return charge;
}

/* ---- Alignment ---- */

static void
test_ids (void)
{
  static const char *const ids[] = { "begin", "settle", "log", "fit" };
  TideAlignment alignment = TIDE_ALIGN_LOG;

  for (guint k = 0; k < TIDE_N_ALIGNMENTS; k++)
    {
      g_assert_cmpstr (tide_alignment_get_id ((TideAlignment)k), ==, ids[k]);
      g_assert_cmpstr (tide_alignment_get_name ((TideAlignment)k), !=, "");
      g_assert_true (tide_alignment_from_id (ids[k], &alignment));
      g_assert_cmpint (alignment, ==, (int)k);
    }
  alignment = TIDE_ALIGN_LOG;
  g_assert_false (tide_alignment_from_id ("Begin", &alignment));
  g_assert_false (tide_alignment_from_id (NULL, &alignment));
  g_assert_cmpint (alignment, ==, TIDE_ALIGN_LOG);
  g_assert_cmpstr (tide_compared_get_id (TIDE_COMPARED_ENERGY), ==, "energy_wh");
  g_assert_cmpstr (tide_compared_get_id (TIDE_COMPARED_MEAN_POWER), ==, "mean_power_w");
  g_assert_cmpstr (tide_verdict_get_id (TIDE_VERDICT_SAME), ==, "same");
  g_assert_cmpstr (tide_verdict_get_id (TIDE_VERDICT_DIFFERENT), ==, "different");
  g_assert_cmpstr (tide_verdict_get_id (TIDE_VERDICT_UNDECIDED), ==, "undecided");
}

static void
test_align (void)
{
  g_auto (Run) reference = make_run (&support_charge);
  static const double shifts_s[] = { 0, 1, 77, 600 };

  for (guint k = 0; k < G_N_ELEMENTS (shifts_s); k++)
    {
      SupportCharge later = shift (shifts_s[k]);
      g_auto (Run) run = make_run (&later);
      TideMeasured a = borrow (&reference), b = borrow (&run);

      support_assert_near (tide_align_offset_s (a, b, TIDE_ALIGN_BEGIN), -shifts_s[k], 1);
      support_assert_near (tide_align_offset_s (a, b, TIDE_ALIGN_SETTLE), -shifts_s[k], 2);
      support_assert_near (tide_align_offset_s (a, b, TIDE_ALIGN_LOG), 0, 0);
      support_assert_near (tide_align_offset_s (b, a, TIDE_ALIGN_BEGIN), shifts_s[k], 1);
    }
}

/* The best fit recovers a shift, also between samples, other sampling, noise and part of the log.
 */
static void
test_fit (void)
{
  static const struct
  {
    double shift_s, interval_s, noise, end_s;
  } cases[] = {
    { 0, 1, 0, 11000 },        { 77, 1, 0.005, 11000 },   { 300, 1, 0.02, 11000 },
    { 12.5, 1, 0.005, 11000 }, { -100, 1, 0.005, 11000 }, { 45, 5, 0.005, 11000 },
    { 600, 1, 0.005, 9000 },   { 33, 0.5, 0.005, 11000 },
  };
  SupportCharge base = support_charge;

  base.noise = 0.005;
  g_auto (Run) reference = make_run (&base);
  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      SupportCharge charge = shift (cases[k].shift_s);

      charge.interval_s = cases[k].interval_s;
      charge.noise = cases[k].noise;
      charge.end_s = cases[k].end_s;
      g_auto (Run) run = make_run (&charge);
      double offset_s = tide_align_offset_s (borrow (&reference), borrow (&run), TIDE_ALIGN_FIT);
      g_test_message ("shift %g s: offset %g s", cases[k].shift_s, offset_s);
      support_assert_near (offset_s, -cases[k].shift_s, MAX (1, cases[k].interval_s));
    }
}

/* Longer than the fine grid has cells for at one a second. */
static void
test_fit_long (void)
{
  SupportCharge charge = support_charge;

  charge.interval_s = 10;
  charge.plateau_ends_s = 120000;
  charge.tau_s = 20000;
  charge.end_s = 250000;
  g_auto (Run) reference = make_run (&charge);
  charge.begins_s += 5000;
  charge.plateau_ends_s += 5000;
  g_auto (Run) run = make_run (&charge);
  support_assert_near (tide_align_offset_s (borrow (&reference), borrow (&run), TIDE_ALIGN_FIT),
                       -5000, 12.5);
}

static void
test_align_missing (void)
{
  SupportCharge charge = support_charge;
  static const double t[] = { 0, 1 }, power[] = { 0, 0 };
  g_auto (Run) reference = make_run (&support_charge);
  g_auto (Run) idle = { support_make_recording (2, t, power, NULL, NULL, NULL, NULL), NULL };

  charge.end_s = 3000;
  g_auto (Run) unsettled = make_run (&charge);
  idle.m = tide_measure (idle.recording, TIDE_STRETCH_ALL, NULL);
  g_assert_nonnull (idle.m);

  TideMeasured a = borrow (&reference);
  g_assert_true (isnan (tide_align_offset_s (a, borrow (&unsettled), TIDE_ALIGN_SETTLE)));
  g_assert_false (isnan (tide_align_offset_s (a, borrow (&unsettled), TIDE_ALIGN_BEGIN)));
  g_assert_true (isnan (tide_align_offset_s (a, borrow (&idle), TIDE_ALIGN_BEGIN)));
  g_assert_true (isnan (tide_align_offset_s (a, borrow (&idle), TIDE_ALIGN_FIT)));
}

/* ---- Difference curves ---- */

#define N 1000

static void
fill_curve (double *x, double *y, double step, double offset)
{
  for (guint i = 0; i < N; i++)
    {
      x[i] = i * step;
      y[i] = 10 + sin (x[i] / 50) + offset;
    }
}

static void
test_difference_itself (void)
{
  double x[N], y[N];

  fill_curve (x, y, 1, 0);
  TideCurve curve = { x, y, N, 0.1, 1 };
  g_autoptr (GError) error = NULL;
  g_autoptr (TideDifference) difference = tide_difference_new (&curve, &curve, 2, 30, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (difference->n, ==, 499);
  for (gsize k = 0; k < difference->n; k++)
    g_assert_cmpfloat (difference->delta[k], ==, 0);
  g_assert_cmpfloat (difference->mean, ==, 0);
  g_assert_cmpfloat (difference->rms, ==, 0);
  g_assert_cmpfloat (difference->largest, ==, 0);
  g_assert_cmpfloat (difference->overlap_percent, ==, 100);
  /* Two samples a cell: 2 · √(0.1²/2 + 0.1²/2). */
  support_assert_near (difference->band, 0.2, 1e-15);
}

/* Other sampling, a constant offset, and one bump of 0.5 for 60 s that starts at 600. */
static void
test_difference_known (void)
{
  double x[N], y[N], x2[N], y2[N];

  fill_curve (x, y, 1, 0);
  fill_curve (x2, y2, 0.9, -0.25);
  for (guint i = 0; i < N; i++)
    if (x2[i] >= 600 && x2[i] < 660)
      y2[i] -= 0.5;
  TideCurve reference = { x, y, N, 0, 1 }, run = { x2, y2, N, 0.1, 0.9 };
  g_autoptr (TideDifference) difference = tide_difference_new (&reference, &run, 1, 30, NULL);
  g_assert_nonnull (difference);
  g_assert_cmpuint (difference->n, ==, 899);
  g_assert_cmpfloat (difference->start, ==, 0);
  support_assert_near (difference->mean, -0.25 - 0.5 * 60 / 899, 1e-3);
  support_assert_near (difference->rms, sqrt ((0.25 * 0.25 * 839 + 0.75 * 0.75 * 60) / 899), 1e-3);
  support_assert_near (difference->largest, -0.75, 1e-3);
  support_assert_near (difference->largest_at, 630, 31);
  /* One side's noise is not known. */
  g_assert_cmpfloat (difference->band, ==, 0);
  g_assert_true (isnan (difference->overlap_percent));
}

/* Two noisy runs of one truth: 95 % of the cells lie inside k = 2. */
static void
test_difference_overlap (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);
  double x[N], y[N], y2[N];

  fill_curve (x, y, 1, 0);
  fill_curve (x, y2, 1, 0);
  for (guint i = 0; i < N; i++)
    {
      y[i] += 0.1 * support_normal (rand);
      y2[i] += 0.2 * support_normal (rand);
    }
  TideCurve reference = { x, y, N, 0.1, 1 }, run = { x, y2, N, 0.2, 1 };
  g_autoptr (TideDifference) fine = tide_difference_new (&reference, &run, 1, 30, NULL);
  g_autoptr (TideDifference) coarse = tide_difference_new (&reference, &run, 10, 30, NULL);
  support_assert_near (fine->band, 2 * sqrt (0.05), 1e-15);
  support_assert_near (coarse->band, 2 * sqrt (0.005), 1e-15);
  /* A cell averages two halves of neighbours at the finest, so a little more than 95 %. */
  g_assert_cmpfloat (fine->overlap_percent, >=, 93);
  support_assert_near (coarse->overlap_percent, 95, 5);
}

static void
test_difference_refused (void)
{
  double x[N], y[N], far[N];

  fill_curve (x, y, 1, 0);
  for (guint i = 0; i < N; i++)
    far[i] = x[i] + 998.5;
  TideCurve near_curve = { x, y, N, 0, 1 }, far_curve = { far, y, N, 0, 1 };
  static const double steps[] = { 1, 0.4 };
  for (guint k = 0; k < 2; k++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (TideDifference) difference =
          tide_difference_new (&near_curve, &far_curve, steps[k], 30, &error);
      g_assert_true ((difference == NULL) == (k == 0));
      if (k == 0)
        g_assert_error (error, TIDE_ANALYSIS_ERROR, TIDE_ANALYSIS_ERROR_NO_OVERLAP);
      else
        g_assert_cmpuint (difference->n, ==, 1);
    }
  tide_difference_free (NULL);
}

/* A log of centuries does not ask for memory without bound. */
static void
test_difference_bounded (void)
{
  static const double x[] = { 0, 1e10 }, y[] = { 1, 3 };
  TideCurve curve = { x, y, 2, 0, 1e10 };
  g_autoptr (TideDifference) difference = tide_difference_new (&curve, &curve, 1, 30, NULL);

  g_assert_cmpuint (difference->n, <=, (1 << 20) + 1);
  support_assert_near (difference->step * (double)difference->n, 1e10, difference->step);
}

/* ---- Findings ---- */

static void
test_findings (void)
{
  SupportCharge other = support_charge;
  g_auto (Run) reference = make_run (&support_charge);

  other.plateau_w = 16.2;
  g_auto (Run) run = make_run (&other);
  g_assert_true (tide_compare_over_window (reference.m, run.m));
  for (guint k = 0; k < TIDE_N_COMPARED; k++)
    {
      TideFinding finding = tide_compare_quantity (reference.m, run.m, (TideCompared)k, 3);

      g_assert_cmpint (finding.verdict, ==, TIDE_VERDICT_UNDECIDED);
      g_assert_true (isnan (finding.low_percent) && isnan (finding.high_percent));
      g_assert_true (isnan (finding.repeats_needed));
      g_assert_cmpfloat (finding.margin_percent, ==, 3);
      if (k == TIDE_COMPARED_CHARGE)
        g_assert_cmpstr (finding.reason, ==, "current was not logged");
      else
        {
          g_assert_cmpstr (finding.reason, ==,
                           "meter accuracy unknown; repeatability unknown: one run each");
          support_assert_near (finding.difference, finding.value - finding.reference, 0);
          support_assert_near (finding.difference_percent,
                               100 * finding.difference / finding.reference, 1e-12);
        }
    }
  TideFinding plateau = tide_compare_quantity (reference.m, run.m, TIDE_COMPARED_PLATEAU, 3);
  support_assert_near (plateau.difference_percent, -10, 0.3);
  TideFinding energy = tide_compare_quantity (reference.m, run.m, TIDE_COMPARED_ENERGY, 3);
  g_assert_cmpfloat (energy.reference, ==, reference.m->window_energy_wh.value);
}

static void
test_findings_missing (void)
{
  SupportCharge charge = support_charge;
  static const double t[] = { 0, 1000 }, power[] = { 0, 0 };
  g_auto (Run) reference = make_run (&support_charge);
  g_auto (Run) idle = { support_make_recording (2, t, power, NULL, NULL, NULL, NULL), NULL };

  charge.end_s = 3000;
  g_auto (Run) unsettled = make_run (&charge);
  idle.m = tide_measure (idle.recording, TIDE_STRETCH_ALL, NULL);
  g_assert_nonnull (idle.m);

  g_assert_false (tide_compare_over_window (reference.m, unsettled.m));
  TideFinding energy = tide_compare_quantity (reference.m, unsettled.m, TIDE_COMPARED_ENERGY, 3);
  g_assert_cmpfloat (energy.reference, ==, reference.m->energy_wh.value);
  g_assert_cmpfloat (energy.value, ==, unsettled.m->energy_wh.value);
  TideFinding mean = tide_compare_quantity (reference.m, unsettled.m, TIDE_COMPARED_MEAN_POWER, 3);
  g_assert_cmpfloat (mean.value, ==, unsettled.m->mean_power_w.value);

  TideFinding time = tide_compare_quantity (reference.m, unsettled.m, TIDE_COMPARED_CHARGE_TIME, 3);
  g_assert_true (isnan (time.value) && isnan (time.difference_percent));
  g_assert_cmpstr (time.reason, ==, "log ends before the draw settles");
  TideFinding plateau = tide_compare_quantity (idle.m, reference.m, TIDE_COMPARED_PLATEAU, 3);
  g_assert_cmpstr (plateau.reason, ==, "no plateau");
  TideFinding none = tide_compare_quantity (idle.m, reference.m, TIDE_COMPARED_ENERGY, 3);
  g_assert_cmpfloat (none.reference, ==, 0);
  g_assert_true (isnan (none.difference_percent));
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/compare/ids", test_ids);
  g_test_add_func ("/compare/align", test_align);
  g_test_add_func ("/compare/fit", test_fit);
  g_test_add_func ("/compare/fit-long", test_fit_long);
  g_test_add_func ("/compare/align-missing", test_align_missing);
  g_test_add_func ("/compare/difference-itself", test_difference_itself);
  g_test_add_func ("/compare/difference-known", test_difference_known);
  g_test_add_func ("/compare/difference-overlap", test_difference_overlap);
  g_test_add_func ("/compare/difference-refused", test_difference_refused);
  g_test_add_func ("/compare/difference-bounded", test_difference_bounded);
  g_test_add_func ("/compare/findings", test_findings);
  g_test_add_func ("/compare/findings-missing", test_findings_missing);
  return g_test_run ();
}
