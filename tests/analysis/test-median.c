/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Medians and the running median, against the definition written down as plainly as possible. */
#include "analysis/series.h"

#include <string.h>

#include "analysis/support.h"

static void
test_mad (void)
{
  /* Textbook example; 1.4826022185056018 = 1/Φ⁻¹(3/4), from SciPy. */
  static const double example[] = { 1, 1, 2, 2, 4, 6, 9 };
  double copy[7];

  memcpy (copy, example, sizeof copy);
  g_assert_cmpfloat (tide_median (copy, 7), ==, 2.0);
  g_assert_cmpfloat (tide_scaled_mad (example, 7), ==, 1.4826022185056018);
  memcpy (copy, example, sizeof copy);
  g_assert_cmpfloat (tide_median (copy, 6), ==, 2.0);
  g_assert_cmpfloat (tide_median (copy, 1), ==, copy[0]);
}

static int
compare_cb (const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

/* The definition, one sample at a time. */
static double
find_median_at (const double *t, const double *y, gsize n, double span_s, guint least, gsize i)
{
  g_autoptr (GArray) window = g_array_new (FALSE, FALSE, sizeof (double));
  double reach = span_s / 2 * (1 + 1e-9);

  for (gsize k = 0; k < n; k++)
    if (fabs (t[k] - t[i]) <= reach)
      g_array_append_val (window, y[k]);
  if (window->len < least)
    {
      gsize beside = least / 2;

      g_array_set_size (window, 0);
      for (gsize k = 0; k < n; k++)
        if (fabs (t[k] - t[i]) <= reach || (k + beside >= i && k <= i + beside))
          g_array_append_val (window, y[k]);
    }
  g_array_sort (window, compare_cb);
  const double *sorted = (const double *)window->data;
  return sorted[window->len / 2] / 2 + sorted[(window->len - 1) / 2] / 2;
}

typedef enum
{
  EVEN,
  IRREGULAR,
  WITH_GAPS
} Stamps;

static void
check_running (Stamps stamps, double span_s, guint least, gsize n, double quantum)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (42 + (guint32)n);
  g_autofree double *t = g_new (double, n), *y = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    {
      double step = stamps == EVEN ? 0.1 : g_rand_double_range (rand, 0.001, 0.2);
      if (stamps == WITH_GAPS && g_rand_int_range (rand, 0, 20) == 0)
        step = 30;
      t[i] = i == 0 ? 0 : t[i - 1] + step;
      y[i] = support_normal (rand) + sin (t[i]);
      if (quantum > 0)
        y[i] = round (y[i] / quantum) * quantum;
    }
  g_autofree double *medians = tide_running_median (t, y, n, span_s, least);
  for (gsize i = 0; i < n; i++)
    support_assert_near (medians[i], find_median_at (t, y, n, span_s, least, i), 0);
}

static void
test_running (void)
{
  static const double spans[] = { 0, 0.05, 0.3, 1, 7, 1000 };
  static const gsize lengths[] = { 1, 2, 3, 4, 5, 6, 200 };

  for (guint s = 0; s < G_N_ELEMENTS (spans); s++)
    for (guint k = 0; k < G_N_ELEMENTS (lengths); k++)
      for (Stamps stamps = EVEN; stamps <= WITH_GAPS; stamps++)
        for (guint least = 1; least <= 21; least += 4)
          check_running (stamps, spans[s], least, lengths[k], least % 8 == 1 ? 0 : 0.5);
}

/* More samples in a window than the sorted array is for: the tree of counts has to agree. */
static void
test_running_wide (void)
{
  gsize n = 12000;
  guint least = 4701; /* on either side of the gap the windows have fewer */
  g_autoptr (GRand) rand = g_rand_new_with_seed (3);
  g_autofree double *t = g_new (double, n), *y = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    {
      t[i] = (double)i * 0.001 + (i > 9000 ? 500 : 0);
      y[i] = round (support_normal (rand) * 100) / 100;
    }
  g_autofree double *medians = tide_running_median (t, y, n, 5, least);
  for (gsize i = 0; i < n; i += 97)
    support_assert_near (medians[i], find_median_at (t, y, n, 5, least, i), 0);
}

/* A centred median keeps a step where it is and forgets what is shorter than half its span. */
static void
test_running_step (void)
{
  double t[200], y[200];

  for (guint i = 0; i < 200; i++)
    {
      t[i] = i;
      y[i] = i < 90 ? 1 : 18;
      if (i >= 140 && i < 154)
        y[i] = 27;
    }
  g_autofree double *medians = tide_running_median (t, y, 200, 30, 5);
  for (guint i = 0; i < 200; i++)
    g_assert_cmpfloat (medians[i], ==, i < 90 ? 1.0 : 18.0);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/median/mad", test_mad);
  g_test_add_func ("/median/running", test_running);
  g_test_add_func ("/median/running-wide", test_running_wide);
  g_test_add_func ("/median/running-step", test_running_step);
  return g_test_run ();
}
