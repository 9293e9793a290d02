/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scales, ticks and their labels. Outside sources: R 4.2.2, package labeling (Debian
 * r-cran-labeling), functions heckbert() and rpretty(): the rows of published_ticks.
 */
#include "chart/scale.h"

#include <math.h>

static void
test_scale (void)
{
  const TideScale up = { 0, 50, 400, 0 };
  const TideScale flat = { 3, 3, 100, 200 };
  const TideScale no_room = { 1, 3, 100, 100 };

  g_assert_cmpfloat (tide_scale_to_px (&up, 0), ==, 400);
  g_assert_cmpfloat (tide_scale_to_px (&up, 50), ==, 0);
  g_assert_cmpfloat (tide_scale_to_px (&up, 12.5), ==, 300);
  g_assert_cmpfloat (tide_scale_to_px (&up, 100), ==, -400);
  g_assert_cmpfloat (tide_scale_from_px (&up, 300), ==, 12.5);
  g_assert_cmpfloat (tide_scale_to_px (&flat, 3), ==, 150);
  g_assert_cmpfloat (tide_scale_to_px (&flat, 900), ==, 150);
  g_assert_cmpfloat (tide_scale_from_px (&flat, 120), ==, 3);
  g_assert_cmpfloat (tide_scale_to_px (&no_room, 2), ==, 100);
  g_assert_cmpfloat (tide_scale_from_px (&no_room, 100), ==, 2);
}

/* Loose labels of the two methods, as R 4.2.2 with labeling 0.4 printed them: first, last and
 * step. Ours must equal Heckbert's, or R's pretty() where Heckbert's double rounding is coarser. */
static const struct
{
  double low, high;
  guint wanted;
  double first, last, step;
  gboolean heckbert; /* FALSE: pretty() */
} published_ticks[] = {
  { 0, 45.7, 5, 0, 50, 10, TRUE },
  { 0, 45.7, 6, 0, 50, 10, TRUE },
  { 0, 139.2, 5, 0, 150, 50, TRUE },
  { 0, 10830, 6, 0, 12000, 2000, FALSE }, /* heckbert: 0 5000 10000 15000 */
  { 0, 180.5, 6, 0, 200, 50, TRUE },
  { 4.73, 20.41, 5, 0, 25, 5, TRUE },
  { 0, 19.17, 5, 0, 20, 5, TRUE },
  { 0, 3, 5, 0, 3, 1, TRUE },
  { 0, 2.6, 5, 0, 3, 1, TRUE },
  { -1.2, 41.9, 6, -10, 50, 10, TRUE },
  { 0.0013, 0.0087, 5, 0, 0.01, 0.002, TRUE },
  { 1000000, 1000005, 5, 1000000, 1000005, 1, TRUE },
  { 8.1, 14.1, 4, 8, 16, 2, FALSE }, /* heckbert: 5 10 15 */
  { -100, 100, 5, -100, 100, 50, TRUE },
  { 0.1, 0.9, 5, 0, 1, 0.2, TRUE },
  { 99.7, 100.2, 5, 99.7, 100.2, 0.1, TRUE },
  { 0, 1, 2, 0, 1, 0.5, FALSE }, /* heckbert: 0 1 */
};

static void
test_published (void)
{
  guint from_heckbert = 0;

  for (guint i = 0; i < G_N_ELEMENTS (published_ticks); i++)
    {
      double first = published_ticks[i].first, last = published_ticks[i].last;
      double step = published_ticks[i].step;
      TideTicks ticks = tide_ticks_plain (first, last, published_ticks[i].wanted);

      g_test_message ("%g to %g, %u wanted", published_ticks[i].low, published_ticks[i].high,
                      published_ticks[i].wanted);
      g_assert_cmpfloat_with_epsilon (tide_ticks_get_value (&ticks, 0), first, 1e-9 * step);
      g_assert_cmpfloat_with_epsilon (ticks.step, step, 1e-12 * step);
      g_assert_cmpuint (ticks.count, ==, (guint)lround ((last - first) / step) + 1);
      from_heckbert += published_ticks[i].heckbert;
    }
  g_assert_cmpuint (from_heckbert, ==, 14);
}

static void
test_plain_inside (void)
{
  TideTicks ticks = tide_ticks_plain (4.73, 20.41, 6);

  /* By twos there would be eight. */
  g_assert_cmpfloat (ticks.first, ==, 5);
  g_assert_cmpfloat (ticks.step, ==, 5);
  g_assert_cmpuint (ticks.count, ==, 4);
}

/* Whatever the span: multiples of the step, inside it, as many as fit, one rung finer too many. */
static void
test_plain_any (void)
{
  for (guint i = 0; i < 5000; i++)
    {
      double width = pow (10, g_test_rand_double_range (-9, 9));
      double low = g_test_rand_double_range (-3, 3) * width;
      double high = low + width;
      TideTicks ticks = tide_ticks_plain (low, high, 6);
      double last = tide_ticks_get_value (&ticks, ticks.count - 1);

      g_assert_cmpuint (ticks.count, >=, 2);
      g_assert_cmpuint (ticks.count, <=, 7);
      g_assert_cmpfloat (tide_ticks_get_value (&ticks, 0), >=, low - 1e-5 * ticks.step);
      g_assert_cmpfloat (last, <=, high + 1e-5 * ticks.step);
      g_assert_cmpfloat (last + ticks.step, >, high);
      g_assert_cmpfloat (ticks.first - ticks.step, <, low);
      g_assert_cmpfloat (width / ticks.step, >=, 2.5);
    }
}

static void
test_decimals (void)
{
  g_assert_cmpint (tide_ticks_plain (0, 50, 6).decimals, ==, 0);
  g_assert_cmpint (tide_ticks_plain (0, 3, 6).decimals, ==, 1);
  g_assert_cmpint (tide_ticks_plain (0.0013, 0.0087, 6).decimals, ==, 3);
  g_assert_cmpint (tide_ticks_plain (0, 5e6, 6).decimals, ==, 0);
}

static void
test_degenerate (void)
{
  static const double bad[][2] = {
    { NAN, 1 }, { 0, NAN }, { -INFINITY, 0 }, { 0, INFINITY }, { -1.7e308, 1.7e308 }
  };
  TideTicks ticks = tide_ticks_plain (2, 2, 5);

  g_assert_cmpuint (ticks.count, ==, 1);
  g_assert_cmpfloat (tide_ticks_get_value (&ticks, 0), ==, 2);
  ticks = tide_ticks_time (90.25, 90.25, 5);
  g_assert_cmpuint (ticks.count, ==, 1);
  g_assert_cmpfloat (tide_ticks_get_value (&ticks, 0), ==, 90.25);
  ticks = tide_ticks_plain (1e17, 1e17 + 32, 5); /* two doubles apart: no labels could tell */
  g_assert_cmpuint (ticks.count, ==, 1);

  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_assert_cmpuint (tide_ticks_plain (bad[i][0], bad[i][1], 6).count, ==, 0);
      g_assert_cmpuint (tide_ticks_time (bad[i][0], bad[i][1], 6).count, ==, 0);
    }
  /* The wrong way round, and at both ends of what doubles hold. */
  g_assert_cmpfloat (tide_ticks_plain (50, 0, 6).step, ==, 10);
  g_assert_cmpuint (tide_ticks_plain (0, 5e-324, 6).count, >=, 1);
  g_assert_cmpuint (tide_ticks_plain (0, 1.7e308, 6).count, >=, 4);
  g_assert_cmpuint (tide_ticks_plain (0, 10, 0).count, <=, 3);
  g_assert_cmpuint (tide_ticks_plain (0, 10, G_MAXUINT).count, <=, 101);
}

/* Labels joined by " | ". */
static char *
join_labels (double low_s, double high_s, guint wanted)
{
  TideTicks ticks = tide_ticks_time (low_s, high_s, wanted);
  g_autoptr (GPtrArray) labels = g_ptr_array_new_with_free_func (g_free);

  for (guint i = 0; i < ticks.count; i++)
    g_ptr_array_add (labels, tide_ticks_time_label (&ticks, tide_ticks_get_value (&ticks, i)));
  g_ptr_array_add (labels, NULL);
  return g_strjoinv (" | ", (char **)labels->pdata);
}

/* The steps are those of scale.h; from memory of clocks, no source. */
static const struct
{
  double low_s, high_s;
  const char *labels;
} time_ticks[] = {
  { 0, 10800, "0 | 30 min | 1 h | 1 h 30 | 2 h | 2 h 30 | 3 h" },
  { -600, 9000, "0 | 30 min | 1 h | 1 h 30 | 2 h | 2 h 30" },
  { 0, 3600, "0 | 10 min | 20 min | 30 min | 40 min | 50 min | 1 h" },
  { 0, 7000, "0 | 20 min | 40 min | 1 h | 1 h 20 | 1 h 40" },
  { 3300, 5100, "55 min | 1 h | 1 h 05 | 1 h 10 | 1 h 15 | 1 h 20 | 1 h 25" },
  { 0, 90, "0 | 15 s | 30 s | 45 s | 1 min | 1 min 15 s | 1 min 30 s" },
  { 3595, 3605, "59 min 56 s | 59 min 58 s | 1 h | 1 h 00 min 02 s | 1 h 00 min 04 s" },
  { 3590, 3720,
    "1 h | 1 h 00 min 20 s | 1 h 00 min 40 s | 1 h 01 min | 1 h 01 min 20 s | "
    "1 h 01 min 40 s | 1 h 02 min" },
  { 59.9, 60.4, "59.9 s | 1 min | 1 min 0.1 s | 1 min 0.2 s | 1 min 0.3 s | 1 min 0.4 s" },
  { -0.05, 0.25, "−0.05 s | 0 | 0.05 s | 0.10 s | 0.15 s | 0.20 s | 0.25 s" },
  { -7200, 7200, "−2 h | −1 h | 0 | 1 h | 2 h" },
  { -5400, 1800, "−1 h 20 | −1 h | −40 min | −20 min | 0 | 20 min" },
  { 0, 172800, "0 | 12 h | 24 h | 36 h | 48 h" },
  { 0, 518400, "0 | 1 d | 2 d | 3 d | 4 d | 5 d | 6 d" },
  { 0, 86400.0 * 365, "0 | 100 d | 200 d | 300 d" },
};

static void
test_time (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (time_ticks); i++)
    {
      g_autofree char *labels = join_labels (time_ticks[i].low_s, time_ticks[i].high_s, 6);

      g_assert_cmpstr (labels, ==, time_ticks[i].labels);
    }
}

/* No two ticks of one axis have the same label, and each label stands for its own time. */
static void
test_time_any (void)
{
  for (guint i = 0; i < 3000; i++)
    {
      double width = pow (10, g_test_rand_double_range (-2, 7));
      double low = g_test_rand_double_range (-0.5, 5) * width;
      TideTicks ticks = tide_ticks_time (low, low + width, 6);
      g_autoptr (GHashTable) seen = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);

      g_assert_cmpuint (ticks.count, >=, 2);
      g_assert_cmpuint (ticks.count, <=, 7);
      for (guint k = 0; k < ticks.count; k++)
        {
          double value_s = tide_ticks_get_value (&ticks, k);

          g_assert_true (g_hash_table_add (seen, tide_ticks_time_label (&ticks, value_s)));
        }
    }
}

static void
test_label_of_no_number (void)
{
  TideTicks ticks = tide_ticks_time (0, 60, 6);
  g_autofree char *label = tide_ticks_time_label (&ticks, NAN);

  g_assert_cmpstr (label, ==, "–");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/chart/scale/to-and-from", test_scale);
  g_test_add_func ("/chart/scale/published", test_published);
  g_test_add_func ("/chart/scale/plain-inside", test_plain_inside);
  g_test_add_func ("/chart/scale/plain-any", test_plain_any);
  g_test_add_func ("/chart/scale/decimals", test_decimals);
  g_test_add_func ("/chart/scale/degenerate", test_degenerate);
  g_test_add_func ("/chart/scale/time", test_time);
  g_test_add_func ("/chart/scale/time-any", test_time_any);
  g_test_add_func ("/chart/scale/label-of-no-number", test_label_of_no_number);
  return g_test_run ();
}
