/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overview against plain scanning, and the search in times against plain walking. */
#include "recording/overview.h"

#include <math.h>

static TideRange
scan (const double *values, gsize first, gsize last)
{
  TideRange range = { values[first], values[first] };

  for (gsize i = first; i < last; i++)
    {
      range.low = fmin (range.low, values[i]);
      range.high = fmax (range.high, values[i]);
    }
  return range;
}

static void
check_range (const TideOverview *overview, const double *values, gsize first, gsize last)
{
  TideRange expected = scan (values, first, last);
  TideRange found = tide_overview_query (overview, values, first, last);

  g_assert_cmpfloat (found.low, ==, expected.low);
  g_assert_cmpfloat (found.high, ==, expected.high);
}

static double *
make_values (gsize n)
{
  double *values = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    values[i] = g_test_rand_double_range (-50, 50);
  return values;
}

static void
test_overview__all_ranges_of_short_runs (void)
{
  static const gsize lengths[] = { 1, 2, 15, 16, 17, 31, 32, 127, 128, 129, 150 };

  for (guint l = 0; l < G_N_ELEMENTS (lengths); l++)
    {
      gsize n = lengths[l];
      g_autofree double *values = make_values (n);
      g_autoptr (TideOverview) overview = tide_overview_new (values, n);

      for (gsize first = 0; first < n; first++)
        for (gsize last = first + 1; last <= n; last++)
          check_range (overview, values, first, last);
    }
}

static void
test_overview__random_ranges_of_long_runs (void)
{
  static const gsize lengths[] = { 1023, 1024, 1025, 8192, 65537, 200001 };

  for (guint l = 0; l < G_N_ELEMENTS (lengths); l++)
    {
      gsize n = lengths[l];
      g_autofree double *values = make_values (n);
      g_autoptr (TideOverview) overview = tide_overview_new (values, n);

      check_range (overview, values, 0, n);
      check_range (overview, values, n - 1, n);
      for (guint i = 0; i < 300; i++)
        {
          gsize first = g_test_rand_int_range (0, n);
          gsize last = g_test_rand_int_range (first + 1, n + 1);

          check_range (overview, values, first, last);
        }
    }
}

/* A peak of one sample is what the overview is for. */
static void
test_overview__no_spike_is_lost (void)
{
  const gsize n = 100003;
  g_autofree double *values = g_new0 (double, n);

  for (guint i = 0; i < 50; i++)
    {
      gsize at = g_test_rand_int_range (0, n);

      values[at] = 100 + i;
      g_autoptr (TideOverview) overview = tide_overview_new (values, n);
      g_assert_cmpfloat (tide_overview_query (overview, values, 0, n).high, ==, 100 + i);
      g_assert_cmpfloat (tide_overview_query (overview, values, at, at + 1).low, ==, 100 + i);
      values[at] = 0;
    }
}

static void
test_overview__passes_over_nan (void)
{
  double values[100];
  for (guint i = 0; i < 100; i++)
    values[i] = i < 50 ? NAN : i;
  g_autoptr (TideOverview) overview = tide_overview_new (values, 100);

  TideRange all = tide_overview_query (overview, values, 0, 100);
  TideRange none = tide_overview_query (overview, values, 0, 50);
  g_assert_cmpfloat (all.low, ==, 50);
  g_assert_cmpfloat (all.high, ==, 99);
  g_assert_true (isnan (none.low) && isnan (none.high));
}

static void
test_overview__of_nothing (void)
{
  g_autoptr (TideOverview) overview = tide_overview_new (NULL, 0);
  g_autoptr (TideOverview) none = NULL;

  g_assert_nonnull (overview);
  tide_overview_free (none);
}

static void
test_overview__find_time (void)
{
  const gsize n = 1000;
  g_autofree double *times = g_new (double, n);
  times[0] = 0;
  for (gsize i = 1; i < n; i++)
    times[i] = times[i - 1] + g_test_rand_double_range (0.5, 1.5);

  for (guint i = 0; i < 2000; i++)
    {
      double t = i % 2 != 0 ? times[g_test_rand_int_range (0, n)]
                            : g_test_rand_double_range (-5, times[n - 1] + 5);
      gsize expected = 0;

      while (expected < n && times[expected] < t)
        expected++;
      g_assert_cmpuint (tide_find_time (times, n, t), ==, expected);
      g_assert_cmpuint (tide_find_time_near (times, n, t), ==, expected);
    }
  g_assert_cmpuint (tide_find_time (times, n, INFINITY), ==, n);
  g_assert_cmpuint (tide_find_time_near (times, n, INFINITY), ==, n);
  g_assert_cmpuint (tide_find_time (times, n, NAN), ==, n);
  g_assert_cmpuint (tide_find_time_near (times, n, NAN), ==, n);
  g_assert_cmpuint (tide_find_time (NULL, 0, 1), ==, 0);
  g_assert_cmpuint (tide_find_time_near (NULL, 0, 1), ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/overview/short-runs", test_overview__all_ranges_of_short_runs);
  g_test_add_func ("/recording/overview/long-runs", test_overview__random_ranges_of_long_runs);
  g_test_add_func ("/recording/overview/no-spike-is-lost", test_overview__no_spike_is_lost);
  g_test_add_func ("/recording/overview/nan", test_overview__passes_over_nan);
  g_test_add_func ("/recording/overview/of-nothing", test_overview__of_nothing);
  g_test_add_func ("/recording/overview/find-time", test_overview__find_time);
  return g_test_run ();
}
