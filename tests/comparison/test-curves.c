/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where runs stand and what is drawn of them, on charges whose marks and energies can be written
 * down by hand. The definitions are those of the help page "Methods"; no outside source.
 */
#include "synthetic.h"

/* A detector may put a mark one sample beside the step. */
#define MARK_S 1.5

static TideComparison *
make_comparison (const Charge *first, const Charge *second)
{
  TideComparison *comparison = tide_comparison_new ();

  add_charge (comparison, 0, "A", first);
  if (second != NULL)
    add_charge (comparison, 0, "B", second);
  return comparison;
}

/* A: draw begins 60, settles 1860. B: 200 and 2600. C is A, 40 s later. */
static void
test_shifts (void)
{
  static const struct
  {
    const Charge *second;
    TideAlignment alignment;
    double shift_a, shift_b;
  } rows[] = {
    { &charge_b, TIDE_ALIGN_BEGIN, -60, -200 },
    { &charge_b, TIDE_ALIGN_SETTLE, -60, -60 + 1860 - 2600 },
    { &charge_b, TIDE_ALIGN_LOG, 0, 0 },
    { &charge_c, TIDE_ALIGN_FIT, -60, -100 },
    { &charge_c, TIDE_ALIGN_SETTLE, -60, -100 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (TideComparison) comparison = make_comparison (&charge_a, rows[i].second);

      g_test_message ("%s", tide_alignment_get_id (rows[i].alignment));
      tide_comparison_set_alignment (comparison, rows[i].alignment);
      g_assert_cmpfloat_with_epsilon (tide_comparison_get_shift_s (comparison, 0), rows[i].shift_a,
                                      MARK_S);
      g_assert_cmpfloat_with_epsilon (tide_comparison_get_shift_s (comparison, 1), rows[i].shift_b,
                                      MARK_S);
      g_assert_null (tide_comparison_get_alignment_note (comparison, 0));
      g_assert_null (tide_comparison_get_alignment_note (comparison, 1));
    }
}

/* Aligned marks stand on each other exactly, not nearly. */
static void
test_marks_meet (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_b);
  TideRunMarks a = tide_comparison_get_marks (comparison, 0);
  TideRunMarks b = tide_comparison_get_marks (comparison, 1);

  g_assert_cmpfloat (a.draw_begins, ==, 0);
  g_assert_cmpfloat (b.draw_begins, ==, 0);
  g_assert_cmpfloat_with_epsilon (a.settles, 1800, MARK_S);
  g_assert_cmpfloat_with_epsilon (b.settles, 2400, MARK_S);
  g_assert_cmpfloat_with_epsilon (a.plateau_start, 0, MARK_S);
  g_assert_cmpfloat_with_epsilon (b.plateau_end, 2400, MARK_S);
  g_assert_cmpfloat_with_epsilon (a.plateau_level, 20, 0.01);
  g_assert_cmpfloat_with_epsilon (b.plateau_level, 15, 0.01);

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_SETTLE);
  a = tide_comparison_get_marks (comparison, 0);
  b = tide_comparison_get_marks (comparison, 1);
  g_assert_cmpfloat (a.draw_begins, ==, 0);
  g_assert_cmpfloat (a.settles, ==, b.settles);

  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  b = tide_comparison_get_marks (comparison, 1);
  g_assert_cmpfloat (b.draw_begins, ==, 0);
  g_assert_cmpfloat_with_epsilon (b.settles, 100, 1e-9);

  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  g_assert_true (isnan (tide_comparison_get_marks (comparison, 0).plateau_level));
}

/* What is said where a mark is missing, and on what the run stands then. */
static void
test_fallbacks (void)
{
  static const struct
  {
    const Charge *first, *second;
    TideAlignment alignment;
    double shift_b;
    const char *note_a, *note_b;
  } rows[] = {
    { &charge_a, &charge_unsettled, TIDE_ALIGN_SETTLE, -30, NULL,
      "The log of “B” ends before its draw settles. “B” stands on draw begins instead." },
    { &charge_unsettled, &charge_a, TIDE_ALIGN_SETTLE, -60, NULL,
      "The log of “A” ends before its draw settles. “B” stands on draw begins instead." },
    { &charge_a, &charge_idle, TIDE_ALIGN_BEGIN, -60, NULL,
      "“B” shows no beginning of the draw. “B” stands on the log's start instead." },
    { &charge_a, &charge_idle, TIDE_ALIGN_SETTLE, -60, NULL,
      "The log of “B” ends before its draw settles. “B” stands on the log's start instead." },
    { &charge_idle, &charge_a, TIDE_ALIGN_BEGIN, 0,
      "“A” shows no beginning of the draw. Times count from the start of its log.",
      "“A” shows no beginning of the draw. “B” stands on the log's start instead." },
    { &charge_idle, &charge_a, TIDE_ALIGN_LOG, 0, NULL, NULL },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (TideComparison) comparison = make_comparison (rows[i].first, rows[i].second);

      tide_comparison_set_alignment (comparison, rows[i].alignment);
      g_assert_cmpstr (tide_comparison_get_alignment_note (comparison, 0), ==, rows[i].note_a);
      g_assert_cmpstr (tide_comparison_get_alignment_note (comparison, 1), ==, rows[i].note_b);
      g_assert_cmpfloat_with_epsilon (tide_comparison_get_shift_s (comparison, 1), rows[i].shift_b,
                                      MARK_S);
    }
}

/* Too short for a grid, let alone a fit. */
static void
test_no_fit (void)
{
  const double t[] = { 0, 0.4, 0.8 }, p[] = { 5, 5, 5 };
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  g_autoptr (TideRecording) recording = make_recording (3, t, p, NULL, NULL, "brief.csv");
  g_autoptr (GError) error = NULL;

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_FIT);
  tide_comparison_add (comparison, 0, NULL, recording, NULL, 1, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (tide_comparison_get_alignment_note (comparison, 1), ==,
                   "“brief” shares too little with the reference for a best fit. “brief” stands "
                   "on the log's start instead.");
}

/* Figures beyond all reason: finite, as a recording promises, but not their energy. */
static void
test_beyond_doubles (void)
{
  const double t[] = { 0, 1e10, 2e10, 3e10 }, p[] = { 1e305, -1e305, 1e305, 1e305 };
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  g_autoptr (TideRecording) recording = make_recording (4, t, p, NULL, NULL, NULL);
  g_autoptr (GError) error = NULL;
  double start, end;

  tide_comparison_add (comparison, 0, NULL, recording, NULL, 1, &error);
  g_assert_no_error (error);
  for (guint axis = 0; axis < TIDE_N_AXES; axis++)
    for (guint y = TIDE_QUANTITY_VOLTAGE; y <= TIDE_QUANTITY_ENERGY; y++)
      {
        TideRunCurve curve;

        tide_comparison_set_x (comparison, axis);
        tide_comparison_set_y (comparison, y);
        curve = tide_comparison_get_curve (comparison, 1);
        g_assert_true ((curve.n > 0) == (axis == TIDE_AXIS_TIME && y == TIDE_QUANTITY_POWER));
        tide_comparison_get_marks (comparison, 1);
        tide_comparison_get_difference (comparison, 1);
        g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
        g_assert_true (isfinite (start) && isfinite (end));
        tide_comparison_zoom (comparison, 0.5, start);
        g_assert_true (tide_comparison_is_zoomed (comparison));
        g_assert_true (tide_comparison_get_y_range (comparison, &start, &end));
        tide_comparison_set_view (comparison, NAN, NAN);
      }
}

/* A run renamed is called by its new name in the note. */
static void
test_note_renamed (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_idle);
  g_autoptr (TideConditions) conditions = make_conditions ("Left port", "");

  g_assert_nonnull (tide_comparison_get_alignment_note (comparison, 1));
  tide_comparison_set_conditions (comparison, 1, conditions);
  g_assert_cmpstr (tide_comparison_get_alignment_note (comparison, 1), ==,
                   "“Left port” shows no beginning of the draw. “Left port” stands on the log's "
                   "start instead.");
}

static void
assert_never_falls (TideRunCurve curve)
{
  for (gsize i = 1; i < curve.n; i++)
    g_assert_cmpfloat (curve.x[i], >=, curve.x[i - 1]);
}

static void
test_time_axis (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  TideRunCurve curve = tide_comparison_get_curve (comparison, 0);
  double shift_s = tide_comparison_get_shift_s (comparison, 0);

  g_assert_cmpuint (curve.n, ==, 2761);
  assert_never_falls (curve);
  for (gsize i = 0; i < curve.n; i++)
    {
      g_assert_cmpfloat (curve.x[i], ==, i + shift_s);
      g_assert_cmpfloat (curve.y[i], ==, charge_power_w (&charge_a, i));
    }
}

/* Energy since draw begins, 0 before; on the log's start all of it. */
static void
test_energy_axis (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  TideRunCurve curve;
  gsize begins;

  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  begins = (gsize)tide_compared_run_get_measurement (tide_comparison_get_run (comparison, 0))
               ->draw_begins_s;
  curve = tide_comparison_get_curve (comparison, 0);
  assert_never_falls (curve);
  g_assert_cmpfloat (curve.x[0], ==, 0);
  g_assert_cmpfloat (curve.x[begins], ==, 0);
  for (gsize i = begins; i < curve.n; i += 90)
    g_assert_cmpfloat_with_epsilon (curve.x[i], charge_energy_wh (&charge_a, begins, i), 1e-9);

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  curve = tide_comparison_get_curve (comparison, 0);
  for (gsize i = 0; i < curve.n; i += 90)
    g_assert_cmpfloat_with_epsilon (curve.x[i], charge_energy_wh (&charge_a, 0, i), 1e-9);
}

/* The charge window is 0 to 100 %; where the draw never settles, all energy is. */
static void
test_share_axis (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_unsettled);
  const TideMeasurement *measurement =
      tide_compared_run_get_measurement (tide_comparison_get_run (comparison, 0));
  gsize begins = (gsize)measurement->draw_begins_s, settles = (gsize)measurement->settles_s;
  double window_wh = charge_energy_wh (&charge_a, begins, settles);
  TideRunCurve curve;

  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  curve = tide_comparison_get_curve (comparison, 0);
  assert_never_falls (curve);
  g_assert_cmpfloat (curve.x[begins], ==, 0);
  g_assert_cmpfloat_with_epsilon (curve.x[settles], 100, 1e-9);
  g_assert_cmpfloat_with_epsilon (curve.x[curve.n - 1],
                                  100 * charge_energy_wh (&charge_a, begins, curve.n - 1)
                                      / window_wh,
                                  1e-9);
  curve = tide_comparison_get_curve (comparison, 1);
  g_assert_cmpfloat (curve.x[curve.n - 1], ==, 100);
}

/* Power that dips below zero: x stands still, y tells the truth. */
static void
test_energy_never_falls (void)
{
  const double t[] = { 0, 60, 120, 180, 240, 300, 360 };
  const double p[] = { 30, 30, 30, -30, -30, 30, 30 };
  const double energy_wh[] = { 0, 0.5, 1, 1, 0.5, 0.5, 1 };
  const double x[] = { 0, 0.5, 1, 1, 1, 1, 1 };
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = make_recording (7, t, p, NULL, NULL, NULL);
  g_autoptr (GError) error = NULL;
  TideRunCurve curve;

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  tide_comparison_add (comparison, 0, NULL, recording, NULL, 0, &error);
  g_assert_no_error (error);
  curve = tide_comparison_get_curve (comparison, 0);
  for (gsize i = 0; i < curve.n; i++)
    {
      g_assert_cmpfloat_with_epsilon (curve.x[i], x[i], 1e-12);
      g_assert_cmpfloat_with_epsilon (curve.y[i], energy_wh[i], 1e-12);
    }
  /* Where x stands still, the last sample there. */
  g_assert_cmpfloat_with_epsilon (tide_comparison_read (comparison, 0, 1), 1, 1e-12);
  g_assert_cmpfloat_with_epsilon (tide_comparison_read (comparison, 0, 0.25), 0.25, 1e-12);
}

/* A run without any energy has no shares, and does not stand in the way of the others. */
static void
test_no_energy (void)
{
  const double t[] = { 0, 1, 2 }, p[] = { 0, 0, 0 };
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  g_autoptr (TideRecording) recording = make_recording (3, t, p, NULL, NULL, NULL);
  g_autoptr (GError) error = NULL;
  double start, end;

  tide_comparison_add (comparison, 0, NULL, recording, NULL, 1, &error);
  g_assert_no_error (error);
  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  g_assert_cmpuint (tide_comparison_get_curve (comparison, 1).n, ==, 0);
  g_assert_true (isnan (tide_comparison_read (comparison, 1, 0)));
  g_assert_true (isnan (tide_comparison_get_marks (comparison, 1).draw_begins));
  g_assert_null (tide_comparison_get_difference (comparison, 1));
  g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
  tide_comparison_remove (comparison, 0);
  g_assert_false (tide_comparison_get_extent (comparison, &start, &end));
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
  g_assert_cmpfloat (start, ==, end);
  tide_comparison_zoom (comparison, 0.5, 0);
  g_assert_false (tide_comparison_is_zoomed (comparison));
}

static void
test_y_columns (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  TideRunCurve curve;

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  curve = tide_comparison_get_curve (comparison, 0);
  g_assert_cmpfloat (curve.y[500], ==, SUPPLY_V);
  g_assert_cmpfloat (curve.smoothed[500], ==, SUPPLY_V);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  curve = tide_comparison_get_curve (comparison, 0);
  g_assert_cmpfloat (curve.y[500], ==, 20 / SUPPLY_V);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  curve = tide_comparison_get_curve (comparison, 0);
  g_assert_cmpfloat_with_epsilon (curve.y[500], charge_energy_wh (&charge_a, 0, 500), 1e-9);
  g_assert_true (curve.smoothed == curve.y);
  g_assert_true (curve.overview_smoothed == curve.overview_y);
}

/* A log of power alone has no voltage to show, but a place on the axis all the same. */
static void
test_missing_column (void)
{
  static const Charge power_only = { 60, 20, 1800, 900, 1, TRUE };
  g_autoptr (TideComparison) comparison = make_comparison (&power_only, NULL);
  double low, high;

  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  g_assert_cmpuint (tide_comparison_get_curve (comparison, 0).n, ==, 0);
  g_assert_null (tide_comparison_get_curve (comparison, 0).y);
  g_assert_true (isnan (tide_comparison_read (comparison, 0, 100)));
  g_assert_true (tide_comparison_get_extent (comparison, &low, &high));
  g_assert_false (tide_comparison_get_y_range (comparison, &low, &high));
  add_charge (comparison, 0, "B", &charge_b);
  g_assert_null (tide_comparison_get_difference (comparison, 1));
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
}

/* One spike in an even draw: the trend passes it by, both overviews and the noise are right. */
static void
test_smoothed (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = NULL;
  g_autoptr (GError) error = NULL;
  double t[600], p[600], a[600], v[600];
  TideRunCurve curve;
  TideRange range;

  for (guint i = 0; i < G_N_ELEMENTS (t); i++)
    {
      t[i] = i;
      v[i] = 20;
      p[i] = i == 300 ? 60 : 20;
      a[i] = p[i] / v[i];
    }
  recording = make_recording (G_N_ELEMENTS (t), t, p, v, a, NULL);
  tide_comparison_add (comparison, 0, NULL, recording, NULL, 0, &error);
  g_assert_no_error (error);
  for (guint y = TIDE_QUANTITY_CURRENT; y <= TIDE_QUANTITY_POWER; y++)
    {
      double level = y == TIDE_QUANTITY_POWER ? 20 : 1;

      tide_comparison_set_y (comparison, y);
      curve = tide_comparison_get_curve (comparison, 0);
      g_assert_cmpfloat (curve.y[300], ==, 3 * level);
      g_assert_cmpfloat (curve.smoothed[300], ==, level);
      range = tide_overview_query (curve.overview_y, curve.y, 0, curve.n);
      g_assert_cmpfloat (range.high, ==, 3 * level);
      range = tide_overview_query (curve.overview_smoothed, curve.smoothed, 0, curve.n);
      g_assert_cmpfloat (range.high, ==, level);
    }
}

/* The cursor reads the samples themselves, the straight line between, nothing outside. */
static void
test_read (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);

  for (guint axis = 0; axis < TIDE_N_AXES; axis++)
    {
      TideRunCurve curve;

      tide_comparison_set_x (comparison, axis);
      curve = tide_comparison_get_curve (comparison, 0);
      for (gsize i = 0; i + 1 < curve.n; i++)
        if (curve.x[i + 1] > curve.x[i])
          {
            g_assert_cmpfloat (tide_comparison_read (comparison, 0, curve.x[i]), ==, curve.y[i]);
            g_assert_cmpfloat_with_epsilon (
                tide_comparison_read (comparison, 0, (curve.x[i] + curve.x[i + 1]) / 2),
                (curve.y[i] + curve.y[i + 1]) / 2, 1e-6);
          }
      g_assert_cmpfloat (tide_comparison_read (comparison, 0, curve.x[curve.n - 1]), ==,
                         curve.y[curve.n - 1]);
      g_assert_true (isnan (tide_comparison_read (comparison, 0, curve.x[0] - 0.001)));
      g_assert_true (isnan (tide_comparison_read (comparison, 0, curve.x[curve.n - 1] + 0.001)));
      g_assert_true (isnan (tide_comparison_read (comparison, 0, NAN)));
      g_assert_true (isnan (tide_comparison_read (comparison, 0, INFINITY)));
    }
}

/* A run beside itself: no difference anywhere, on no axis, in no quantity. */
static void
test_difference_with_itself (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_a);

  for (guint axis = 0; axis < TIDE_N_AXES; axis++)
    for (guint y = TIDE_QUANTITY_VOLTAGE; y <= TIDE_QUANTITY_ENERGY; y++)
      {
        const TideDifference *difference;

        tide_comparison_set_x (comparison, axis);
        tide_comparison_set_y (comparison, y);
        g_assert_null (tide_comparison_get_difference (comparison, 0));
        difference = tide_comparison_get_difference (comparison, 1);
        g_assert_nonnull (difference);
        g_assert_true (difference == tide_comparison_get_difference (comparison, 1));
        g_assert_cmpuint (difference->n, >, 1000);
        g_assert_cmpuint (difference->n, <=, 20000);
        for (gsize k = 0; k < difference->n; k++)
          g_assert_cmpfloat (difference->delta[k], ==, 0);
        g_assert_cmpfloat (difference->rms, ==, 0);
      }
}

/* A draws 20 W where B draws 15, from draw begins on for 1800 s. */
static void
test_difference_known (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_b);
  const TideDifference *difference = tide_comparison_get_difference (comparison, 1);
  gsize at;

  g_assert_nonnull (difference);
  g_assert_cmpfloat (difference->step, ==, 1);
  at = (gsize)((900 - difference->start) / difference->step);
  g_assert_cmpfloat_with_epsilon (difference->delta[at], -5, 1e-9);
  at = (gsize)((2100 - difference->start) / difference->step);
  g_assert_cmpfloat_with_epsilon (difference->delta[at], 14, 1e-9);
  g_assert_cmpfloat_with_epsilon (difference->largest, 14, 1e-9);

  /* The other way round. */
  tide_comparison_set_reference (comparison, 1);
  g_assert_null (tide_comparison_get_difference (comparison, 1));
  difference = tide_comparison_get_difference (comparison, 0);
  at = (gsize)((900 - difference->start) / difference->step);
  g_assert_cmpfloat_with_epsilon (difference->delta[at], 5, 1e-9);
}

/* However long the overlap, no more cells than a picture needs. */
static void
test_difference_bounded (void)
{
  const gsize n = 60000;
  g_autofree double *t = g_new (double, n), *p = g_new (double, n);
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = NULL;
  const TideDifference *difference;

  for (gsize i = 0; i < n; i++)
    {
      t[i] = i;
      p[i] = 10 + i % 3;
    }
  recording = make_recording (n, t, p, NULL, NULL, NULL);
  for (guint i = 0; i < 2; i++)
    {
      g_autoptr (GError) error = NULL;

      tide_comparison_add (comparison, 0, NULL, recording, NULL, i, &error);
      g_assert_no_error (error);
    }
  difference = tide_comparison_get_difference (comparison, 1);
  g_assert_cmpuint (difference->n, >=, 19990);
  g_assert_cmpuint (difference->n, <=, 20000);
  g_assert_cmpfloat (difference->band, >, 0);
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  difference = tide_comparison_get_difference (comparison, 1);
  g_assert_cmpuint (difference->n, >=, 1999);
  g_assert_cmpuint (difference->n, <=, 2000);
}

/* Logs that stand apart have no difference. */
static void
test_difference_apart (void)
{
  const double t[] = { 0, 1, 2 }, p[] = { 0, 0, 0 };
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, NULL);
  g_autoptr (TideRecording) recording = make_recording (3, t, p, NULL, NULL, NULL);
  g_autoptr (GError) error = NULL;

  tide_comparison_add (comparison, 0, NULL, recording, NULL, 1, &error);
  g_assert_no_error (error);
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  g_assert_null (tide_comparison_get_difference (comparison, 1));
}

static void
test_findings (void)
{
  g_autoptr (TideComparison) comparison = make_comparison (&charge_a, &charge_b);
  TideFinding finding;

  tide_comparison_set_margin (comparison, 4);
  finding = tide_comparison_get_finding (comparison, 1, TIDE_COMPARED_PLATEAU);
  g_assert_cmpfloat_with_epsilon (finding.reference, 20, 0.01);
  g_assert_cmpfloat_with_epsilon (finding.value, 15, 0.01);
  g_assert_cmpfloat_with_epsilon (finding.difference_percent, -25, 0.05);
  g_assert_cmpfloat (finding.margin_percent, ==, 4);
  tide_comparison_set_reference (comparison, 1);
  finding = tide_comparison_get_finding (comparison, 0, TIDE_COMPARED_PLATEAU);
  g_assert_cmpfloat_with_epsilon (finding.difference, 5, 0.02);
}

/* Only a stretch was measured: only that is shown, and its marks. */
static void
test_stretch (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = make_charge (&charge_a);
  g_autoptr (GError) error = NULL;
  TideMeasurement *measurement = tide_measure (recording, (TideStretch){ 600, 1200 }, &error);
  TideRunCurve curve;

  g_assert_no_error (error);
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_add (comparison, 0, NULL, recording, measurement, 0, &error);
  curve = tide_comparison_get_curve (comparison, 0);
  g_assert_cmpuint (curve.n, ==, 601);
  g_assert_cmpfloat (curve.x[0], ==, 600);
  g_assert_cmpfloat (curve.x[600], ==, 1200);
  g_assert_cmpfloat (curve.smoothed[300], ==, 20);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  curve = tide_comparison_get_curve (comparison, 0);
  g_assert_cmpfloat (curve.y[0], ==, 0);
  g_assert_cmpfloat_with_epsilon (curve.y[600], 20 * 600 / 3600.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (curve.y[600], measurement->energy_wh.value, 1e-9);
}

/* A stretch in which the device gave energy away is measured the other way round, and drawn so. */
static void
test_turned_stretch (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = NULL;
  g_autoptr (GError) error = NULL;
  TideMeasurement *measurement;
  double t[1000], p[1000], v[1000], a[1000];

  for (guint i = 0; i < G_N_ELEMENTS (t); i++)
    {
      t[i] = i;
      v[i] = 20;
      a[i] = i < 700 ? 1 : -0.5;
      p[i] = a[i] * v[i];
    }
  recording = make_recording (G_N_ELEMENTS (t), t, p, v, a, NULL);
  measurement = tide_measure (recording, (TideStretch){ 750, 950 }, &error);
  g_assert_no_error (error);
  tide_comparison_add (comparison, 0, NULL, recording, measurement, 0, &error);
  g_assert_cmpfloat (tide_comparison_get_curve (comparison, 0).y[100], ==, 10);
  g_assert_cmpfloat (tide_comparison_get_curve (comparison, 0).smoothed[100], ==, 10);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  g_assert_cmpfloat (tide_comparison_get_curve (comparison, 0).y[100], ==, 0.5);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  g_assert_cmpfloat (tide_comparison_get_curve (comparison, 0).y[100], ==, 20);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/comparison/curves/shifts", test_shifts);
  g_test_add_func ("/comparison/curves/marks-meet", test_marks_meet);
  g_test_add_func ("/comparison/curves/fallbacks", test_fallbacks);
  g_test_add_func ("/comparison/curves/no-fit", test_no_fit);
  g_test_add_func ("/comparison/curves/beyond-doubles", test_beyond_doubles);
  g_test_add_func ("/comparison/curves/note-renamed", test_note_renamed);
  g_test_add_func ("/comparison/curves/time-axis", test_time_axis);
  g_test_add_func ("/comparison/curves/energy-axis", test_energy_axis);
  g_test_add_func ("/comparison/curves/share-axis", test_share_axis);
  g_test_add_func ("/comparison/curves/energy-never-falls", test_energy_never_falls);
  g_test_add_func ("/comparison/curves/no-energy", test_no_energy);
  g_test_add_func ("/comparison/curves/y-columns", test_y_columns);
  g_test_add_func ("/comparison/curves/missing-column", test_missing_column);
  g_test_add_func ("/comparison/curves/smoothed", test_smoothed);
  g_test_add_func ("/comparison/curves/read", test_read);
  g_test_add_func ("/comparison/curves/difference-with-itself", test_difference_with_itself);
  g_test_add_func ("/comparison/curves/difference-known", test_difference_known);
  g_test_add_func ("/comparison/curves/difference-bounded", test_difference_bounded);
  g_test_add_func ("/comparison/curves/difference-apart", test_difference_apart);
  g_test_add_func ("/comparison/curves/findings", test_findings);
  g_test_add_func ("/comparison/curves/stretch", test_stretch);
  g_test_add_func ("/comparison/curves/turned-stretch", test_turned_stretch);
  return g_test_run ();
}
