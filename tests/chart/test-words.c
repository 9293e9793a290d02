/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences on a chart. */
#include "chart/chart-private.h"
#include "chart/support.h"

#include <math.h>

#define ASSERT_TEXT(call, expected)                                                                \
  G_STMT_START                                                                                     \
  {                                                                                                \
    g_autofree char *text_ = (call);                                                               \
    g_assert_cmpstr (text_, ==, (expected));                                                       \
  }                                                                                                \
  G_STMT_END

static void
test_axes (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (2);

  ASSERT_TEXT (tide_words_y (comparison), "Power (W)");
  ASSERT_TEXT (tide_words_strip (comparison), "Difference (W)");
  ASSERT_TEXT (tide_words_x (comparison), "Time since draw begins");
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  ASSERT_TEXT (tide_words_x (comparison), "Time since the log’s start");
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  ASSERT_TEXT (tide_words_y (comparison), "Energy (Wh)");
  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  ASSERT_TEXT (tide_words_x (comparison), "Share of the delivered energy (%)");
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  ASSERT_TEXT (tide_words_x (comparison), "Energy since the log’s start (Wh)");
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_BEGIN);
  ASSERT_TEXT (tide_words_x (comparison), "Energy since draw begins (Wh)");
}

static void
test_subtitle (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun a = made_run ("A", 20, 600, 1), b = made_run ("B", 21, 600, 2);

  made_add (comparison, &a);
  ASSERT_TEXT (tide_words_subtitle (comparison), "Survey tablet (simulated) · 65 W supply");
  tide_comparison_set_title (comparison, "Survey tablet (simulated), day one");
  ASSERT_TEXT (tide_words_subtitle (comparison), "65 W supply");
  tide_comparison_set_title (comparison, "Day one");
  b.supply = "30 W supply";
  made_add (comparison, &b);
  ASSERT_TEXT (tide_words_subtitle (comparison), "Survey tablet (simulated)");
  a.device = b.device = "Other";
  made_add (comparison, &a);
  ASSERT_TEXT (tide_words_subtitle (comparison), NULL);
}

static void
test_foot (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun run = made_run ("Base port", 20, 600, 1), cut = made_run ("Cut", 21, 600, 2);

  made_add (comparison, &run);
  ASSERT_TEXT (tide_words_foot (comparison),
               "Simulated data · Energy from draw begins to settling");
  run.device = "A tablet";
  run.name = "Dock";
  made_add (comparison, &run);
  ASSERT_TEXT (tide_words_foot (comparison),
               "Partly simulated data · Reference: Base port · Aligned: Draw begins · "
               "Energy from draw begins to settling");
  cut.tail_s = -3000;
  cut.notes = "all of this is Simulated\nas one sees";
  made_add (comparison, &cut);
  ASSERT_TEXT (tide_words_foot (comparison),
               "Partly simulated data · Reference: Base port · Aligned: Draw begins · Energy over "
               "the whole recording"
               " · Cut: log ends before the draw settles");
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  g_autofree char *charge = tide_words_foot (comparison);
  g_assert_nonnull (strstr (charge, " · Charge over the whole recording · "));
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  g_autofree char *voltage = tide_words_foot (comparison);
  g_assert_null (strstr (voltage, "over the whole"));
}

static void
test_many_notes (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();

  for (guint i = 0; i < 5; i++)
    {
      MadeRun cut = made_run ("Cut", 21, 600, i + 1);

      cut.tail_s = -3000;
      made_add (comparison, &cut);
    }
  g_autofree char *foot = tide_words_foot (comparison);
  g_assert_true (g_str_has_suffix (foot, " · 3 more notes"));
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_SETTLE);
  tide_comparison_set_reference (comparison, 1);
  g_autofree char *more = tide_words_foot (comparison);
  /* These sentences name their run themselves. */
  g_assert_nonnull (strstr (more, " · The log of “Cut” ends before its draw settles. “Cut” stands "
                                  "on draw begins instead · "));
  g_assert_nonnull (strstr (more, " more notes"));
}

static void
test_values (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun run = made_run ("Flat", 20, 3600, 1);

  run.noise_w = run.spike_every_s = run.standing_w = 0;
  run.tau_s = 1; /* as good as none: 20 W for an hour */
  made_add (comparison, &run);
  ASSERT_TEXT (tide_words_value (comparison, 0), "20.01\u00A0Wh");
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  ASSERT_TEXT (tide_words_value (comparison, 0), "20.01\u00A0Wh");
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  ASSERT_TEXT (tide_words_value (comparison, 0), "1.01\u00A0Ah"); /* 20 W at 19.8 V */
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  ASSERT_TEXT (tide_words_value (comparison, 0), NULL);
}

/* On the energy axis the curve goes on after settling, and the number is that of its end. */
static void
test_value_is_at_the_end_of_an_energy_curve (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);
  TideRunCurve curve;

  g_autofree char *window = tide_words_value (comparison, 0);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  g_autofree char *end = tide_words_value (comparison, 0);
  curve = tide_comparison_get_curve (comparison, 0);
  g_autofree char *expected = tide_text_quantity (curve.y[curve.n - 1], 2, TIDE_QUANTITY_ENERGY);
  g_assert_cmpstr (end, ==, expected);
  g_assert_cmpstr (end, !=, window);
}

static void
test_moment (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);

  ASSERT_TEXT (tide_words_moment (comparison, 125, 10000), "2 min 5 s");
  ASSERT_TEXT (tide_words_moment (comparison, 4321, 10000), "1 h 12 min");
  ASSERT_TEXT (tide_words_moment (comparison, 4321, 600), "1 h 12 min 1 s");
  ASSERT_TEXT (tide_words_moment (comparison, 7199.9, 600), "1 h 59 min 59 s");
  ASSERT_TEXT (tide_words_moment (comparison, -4321, 600), "\u22121 h 12 min 1 s");
  ASSERT_TEXT (tide_words_moment (comparison, -30, 600), "\u221230 s");
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  ASSERT_TEXT (tide_words_moment (comparison, 12.345, 50), "12.35\u00A0Wh");
  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  ASSERT_TEXT (tide_words_moment (comparison, 45, 100), "45.0\u00A0%");
}

static void
test_describe (void)
{
  g_autoptr (TideComparison) none = tide_comparison_new (), one = made_comparison (1),
                             two = made_comparison (2);

  ASSERT_TEXT (tide_chart_describe (none), "An empty chart: no run is chosen.");
  g_autofree char *single = tide_chart_describe (one);
  g_assert_true (g_str_has_prefix (single, "Chart of 1 run, Power over "));
  g_assert_null (strstr (single, "reference"));
  g_autofree char *pair = tide_chart_describe (two);
  g_assert_true (g_str_has_prefix (pair, "Chart of 2 runs, Power over "));
  g_assert_nonnull (strstr (pair, ": Base port, 61."));
  g_assert_nonnull (strstr (pair, "Wh, reference; Left port, 61."));
}

/* What both curves read, and nothing where the crosshair is not to be seen. */
static void
test_describe_cursor (void)
{
  g_autoptr (TideComparison) none = tide_comparison_new (), two = made_comparison (2);
  double start, end;

  g_assert_null (tide_chart_describe_cursor (none));
  g_assert_null (tide_chart_describe_cursor (two));
  tide_comparison_set_cursor (two, 600);
  g_autofree char *expected =
      g_strdup_printf ("Crosshair at 10 min 0 s; Base port, %.2f\u00A0W; Left port, %.2f\u00A0W.",
                       tide_comparison_read (two, 0, 600), tide_comparison_read (two, 1, 600));
  ASSERT_TEXT (tide_chart_describe_cursor (two), expected);
  g_assert_true (tide_comparison_get_view (two, &start, &end));
  tide_comparison_set_view (two, 1200, end);
  g_assert_null (tide_chart_describe_cursor (two));
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/words/axes", test_axes);
  g_test_add_func ("/words/subtitle", test_subtitle);
  g_test_add_func ("/words/foot", test_foot);
  g_test_add_func ("/words/many-notes", test_many_notes);
  g_test_add_func ("/words/values", test_values);
  g_test_add_func ("/words/value-at-end", test_value_is_at_the_end_of_an_energy_curve);
  g_test_add_func ("/words/moment", test_moment);
  g_test_add_func ("/words/describe", test_describe);
  g_test_add_func ("/words/describe-cursor", test_describe_cursor);
  return g_test_run ();
}
