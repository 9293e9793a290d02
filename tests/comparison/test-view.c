/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is visible: extent, clamping, zooming there and back, the range of y. Arithmetic that can be
 * done by hand on the charges of synthetic.h; no outside source.
 */
#include "synthetic.h"

static TideComparison *
make_comparison (void)
{
  TideComparison *comparison = tide_comparison_new ();

  add_charge (comparison, 0, "A", &charge_a); /* -60 .. 2700 s */
  add_charge (comparison, 0, "B", &charge_b); /* -200 .. 3300 s */
  return comparison;
}

static void
assert_view (TideComparison *comparison, double start, double end)
{
  double from, to;

  g_assert_true (tide_comparison_get_view (comparison, &from, &to));
  g_assert_cmpfloat_with_epsilon (from, start, 1e-6);
  g_assert_cmpfloat_with_epsilon (to, end, 1e-6);
}

static void
test_extent (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  double start, end;

  g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
  g_assert_cmpfloat_with_epsilon (start, -200, 1);
  g_assert_cmpfloat_with_epsilon (end, 3300, 1);
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
  g_assert_cmpfloat (start, ==, 0);
  g_assert_cmpfloat (end, ==, 3500);
}

static void
test_clamp (void)
{
  static const struct
  {
    double start, end, wanted_start, wanted_end;
  } rows[] = {
    { 100, 200, 100, 200 },
    { 200, 100, 100, 200 },           /* the wrong way round */
    { -100, 300, 0, 400 },            /* pushed back on, as wide as it was */
    { 3400, 3600, 3300, 3500 },       /* at the other end */
    { -5000, 5000, 0, 3500 },         /* wider than all there is */
    { 500, 500, 499, 501 },           /* two samples */
    { 500.2, 500.4, 499.3, 501.3 },   /* around its middle */
    { 3500, 3500, 3498, 3500 },       /* at the end */
    { -INFINITY, 100, 0, 100 },       /* from the beginning */
    { 100, INFINITY, 100, 3500 },     /* to the end */
    { -INFINITY, INFINITY, 0, 3500 }, /* everything */
    { 0, 3500, 0, 3500 },             /* the same */
    { -1e300, -1e299, 0, 3500 },      /* far off, but wide */
    { 9000, 9001, 3498, 3500 },       /* far off */
  };
  g_autoptr (TideComparison) comparison = make_comparison ();

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_test_message ("%g .. %g", rows[i].start, rows[i].end);
      tide_comparison_set_view (comparison, rows[i].start, rows[i].end);
      assert_view (comparison, rows[i].wanted_start, rows[i].wanted_end);
      g_assert_true (tide_comparison_is_zoomed (comparison)
                     == (rows[i].wanted_end - rows[i].wanted_start < 3500));
    }
}

/* In around any point and out again: what was seen is seen again, and whole is whole. */
static void
test_zoom_there_and_back (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  double start, end;

  g_assert_true (tide_comparison_get_extent (comparison, &start, &end));
  for (guint i = 0; i <= 10; i++)
    {
      double around = start + (end - start) * i / 10;

      tide_comparison_zoom (comparison, 0.8, around);
      g_assert_true (tide_comparison_is_zoomed (comparison));
      tide_comparison_zoom (comparison, 0.5, around);
      tide_comparison_zoom (comparison, 2, around);
      tide_comparison_zoom (comparison, 1.25, around);
      g_assert_false (tide_comparison_is_zoomed (comparison));
    }
  tide_comparison_set_view (comparison, 1000, 1400);
  tide_comparison_zoom (comparison, 0.5, 1100);
  assert_view (comparison, 1050, 1250);
  tide_comparison_zoom (comparison, 2, 1100);
  assert_view (comparison, 1000, 1400);
}

/* At the narrowest view the point stays where it is, and zooming on does nothing. */
static void
test_zoom_narrowest (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = NULL;

  tide_comparison_zoom (comparison, 1e-9, 1000);
  witness = witness_new (comparison);
  tide_comparison_zoom (comparison, 0.5, 1000);
  {
    double start, end;

    g_assert_true (tide_comparison_get_view (comparison, &start, &end));
    g_assert_cmpfloat_with_epsilon (end - start, 2, 1e-9);
    g_assert_cmpfloat (start, <=, 1000);
    g_assert_cmpfloat (end, >=, 1000);
  }
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  tide_comparison_zoom (comparison, 1e-9, 5);
  g_assert_true (tide_comparison_is_zoomed (comparison));
}

static void
test_pan (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_pan (comparison, 0.5);
  g_assert_false (tide_comparison_is_zoomed (comparison));
  tide_comparison_set_view (comparison, 1000, 1400);
  tide_comparison_pan (comparison, 0.25);
  assert_view (comparison, 1100, 1500);
  tide_comparison_pan (comparison, -0.5);
  assert_view (comparison, 900, 1300);
  tide_comparison_pan (comparison, -100);
  assert_view (comparison, 0, 400);
  tide_comparison_pan (comparison, 100);
  assert_view (comparison, 3100, 3500);
}

/* Another reference: the same stretch of the same curves stays in view, and under the cursor. */
static void
test_view_moves_with_reference (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  double before_s, moved_s;

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_SETTLE);
  tide_comparison_set_view (comparison, 1000, 1400);
  tide_comparison_set_cursor (comparison, 1100);
  before_s = tide_comparison_get_shift_s (comparison, 0);
  tide_comparison_set_reference (comparison, 1);
  moved_s = tide_comparison_get_shift_s (comparison, 0) - before_s;
  g_assert_cmpfloat_with_epsilon (moved_s, 600, 2);
  assert_view (comparison, 1000 + moved_s, 1400 + moved_s);
  g_assert_cmpfloat_with_epsilon (tide_comparison_get_cursor (comparison), 1100 + moved_s, 1e-6);

  /* The reference leaves: back again. */
  tide_comparison_remove (comparison, 1);
  assert_view (comparison, 1000, 1400);
  g_assert_cmpfloat_with_epsilon (tide_comparison_get_cursor (comparison), 1100, 1e-6);
}

/* A run leaves: the view stays on what is left, the cursor goes if it stood beyond. */
static void
test_view_stays_on_runs (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  double end_s = 2760 + tide_comparison_get_shift_s (comparison, 0);

  tide_comparison_set_view (comparison, 2900, 3200);
  tide_comparison_set_cursor (comparison, 3000);
  tide_comparison_remove (comparison, 1);
  assert_view (comparison, end_s - 300, end_s);
  g_assert_true (isnan (tide_comparison_get_cursor (comparison)));
  tide_comparison_remove (comparison, 0);
  g_assert_false (tide_comparison_is_zoomed (comparison));
}

static void
test_y_range (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  double low, high;

  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat (low, ==, IDLE_W);
  g_assert_cmpfloat (high, ==, 20);
  tide_comparison_set_view (comparison, 300, 400);
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat (low, ==, 15);
  g_assert_cmpfloat (high, ==, 20);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat (low, ==, SUPPLY_V);
  g_assert_cmpfloat (high, ==, SUPPLY_V);
}

/* One sample high among many: the range has it, and between samples the range has the line. */
static void
test_y_range_spike (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = NULL;
  g_autoptr (GError) error = NULL;
  double t[2000], p[2000], low, high;

  for (guint i = 0; i < G_N_ELEMENTS (t); i++)
    {
      t[i] = i;
      p[i] = i == 1234 ? 47.25 : 10;
    }
  recording = make_recording (G_N_ELEMENTS (t), t, p, NULL, NULL, NULL);
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_add (comparison, 0, NULL, recording, NULL, 0, &error);
  g_assert_no_error (error);

  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat (high, ==, 47.25);
  tide_comparison_set_view (comparison, 0, 1233);
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat (high, ==, 10);
  tide_comparison_set_view (comparison, 0, 1233.5);
  g_assert_true (tide_comparison_get_y_range (comparison, &low, &high));
  g_assert_cmpfloat_with_epsilon (high, (10 + 47.25) / 2, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/comparison/view/extent", test_extent);
  g_test_add_func ("/comparison/view/clamp", test_clamp);
  g_test_add_func ("/comparison/view/zoom-there-and-back", test_zoom_there_and_back);
  g_test_add_func ("/comparison/view/zoom-narrowest", test_zoom_narrowest);
  g_test_add_func ("/comparison/view/pan", test_pan);
  g_test_add_func ("/comparison/view/moves-with-reference", test_view_moves_with_reference);
  g_test_add_func ("/comparison/view/stays-on-runs", test_view_stays_on_runs);
  g_test_add_func ("/comparison/view/y-range", test_y_range);
  g_test_add_func ("/comparison/view/y-range-spike", test_y_range_spike);
  return g_test_run ();
}
