/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Selection against plain sorting. */
#include "recording/median.h"

static int
compare_cb (gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

static double
sort_and_take (const double *values, gsize n)
{
  g_autofree double *sorted = g_memdup2 (values, n * sizeof *sorted);

  qsort (sorted, n, sizeof *sorted, compare_cb);
  return n % 2 != 0 ? sorted[n / 2] : sorted[n / 2 - 1] / 2 + sorted[n / 2] / 2;
}

static void
test_median__random (void)
{
  for (guint round = 0; round < 500; round++)
    {
      gsize n = g_test_rand_int_range (1, 200);
      gint32 kinds = g_test_rand_int_range (1, 300);
      g_autofree double *values = g_new (double, n);

      for (gsize i = 0; i < n; i++)
        values[i] = g_test_rand_int_range (0, kinds) - 100;
      double expected = sort_and_take (values, n);
      g_assert_cmpfloat (tide_select_median (values, n), ==, expected);
    }
}

/* Equal, rising, falling, and organ-pipe orders, each long enough to hurt a quadratic selection. */
static void
test_median__hard_orders (void)
{
  const gsize n = 200001;
  g_autofree double *values = g_new (double, n);

  for (guint kind = 0; kind < 4; kind++)
    {
      for (gsize i = 0; i < n; i++)
        values[i] = kind == 0 ? 7 : kind == 1 ? i : kind == 2 ? n - i : MIN (i, n - i);
      double expected = sort_and_take (values, n);
      g_assert_cmpfloat (tide_select_median (values, n), ==, expected);
    }
}

/* D. R. Musser, "Introspective Sorting and Selection Algorithms", Software: Practice and Experience
 * 27 (1997): the order that makes the median-of-three pivot of its first rounds the smallest left.
 */
static void
test_median__three_killer (void)
{
  const gsize k = 20000, n = 2 * k;
  g_autofree double *values = g_new (double, n);

  for (gsize i = 1; i <= k; i++)
    {
      values[i - 1] = i % 2 != 0 ? i : k + i - 1;
      values[k + i - 1] = 2 * i;
    }
  double expected = sort_and_take (values, n);
  g_assert_cmpfloat (tide_select_median (values, n), ==, expected);
}

static void
test_median__no_overflow (void)
{
  double values[] = { G_MAXDOUBLE, G_MAXDOUBLE };

  g_assert_cmpfloat (tide_select_median (values, 2), ==, G_MAXDOUBLE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/median/random", test_median__random);
  g_test_add_func ("/recording/median/hard-orders", test_median__hard_orders);
  g_test_add_func ("/recording/median/three-killer", test_median__three_killer);
  g_test_add_func ("/recording/median/no-overflow", test_median__no_overflow);
  return g_test_run ();
}
