/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Integrals and resampling against closed forms and published sums. SciPy's answers are asked for
 * in test-scipy.c.
 */
#include "analysis/series.h"

#include "analysis/support.h"

/* ---- Sums ---- */

static void
test_sum (void)
{
  /* A. Neumaier, ZAMM 54 (1974): the plain and the Kahan sum of these are 0. */
  static const double hard[] = { 1, 1e100, 1, -1e100 };
  TideSum total = { 0 };

  for (guint i = 0; i < G_N_ELEMENTS (hard); i++)
    tide_sum_add (&total, hard[i]);
  g_assert_cmpfloat (tide_sum_get (&total), ==, 2.0);

  /* A day at ten samples a second: the plain sum is 86400.00000054126. */
  total = (TideSum){ 0 };
  for (guint i = 0; i < 864000; i++)
    tide_sum_add (&total, 0.1);
  g_assert_cmpfloat (tide_sum_get (&total), ==, 86400.0);
}

/* ---- Integrals ---- */

/* Source: closed form of a constant-current constant-voltage charge (cell: 3.3 V + q / 20000 F
 * behind 0.08 ohm; 2.5 A to 4.2 V, then to 0.25 A), derived by hand and checked by quadrature. */
#define CELL_FARAD    20000.0
#define CELL_OHM      0.08
#define CELL_EMPTY_V  3.3
#define CELL_A        2.5
#define CELL_FULL_V   4.2
#define CELL_CUT_A    0.25
#define CELL_CC_END_S 5600.0
#define CELL_TAU_S    1600.0
#define CELL_END_S    9284.136148790476
#define CELL_ENERGY_J 69020.0
#define CELL_CHARGE_C 17600.0

static double
get_cell_current (double t)
{
  return t <= CELL_CC_END_S ? CELL_A : CELL_A * exp ((CELL_CC_END_S - t) / CELL_TAU_S);
}

static double
get_cell_power (double t)
{
  double voltage =
      t <= CELL_CC_END_S ? CELL_EMPTY_V + CELL_A * CELL_OHM + CELL_A * t / CELL_FARAD : CELL_FULL_V;
  return voltage * get_cell_current (t);
}

/* Samples every step_s, and the last point. Returns their number. */
static gsize
sample_cell (double step_s, double *t, double *power, double *current)
{
  gsize n = 0;

  for (double at_s = 0; at_s < CELL_END_S; at_s = step_s * (double)n)
    t[n++] = at_s;
  t[n++] = CELL_END_S;
  for (gsize i = 0; i < n; i++)
    {
      power[i] = get_cell_power (t[i]);
      current[i] = get_cell_current (t[i]);
    }
  return n;
}

static void
test_model (void)
{
  /* The trapezoid rule on exact samples of the model, with SciPy. */
  static const struct
  {
    double step_s, energy_j;
  } cases[] = {
    { 1, 69020.00049218295 },  { 5, 69020.01230356832 },  { 10, 69020.04920698416 },
    { 60, 69019.02484362527 }, { 300, 68994.7823321099 },
  };
  g_autofree double *t = g_new (double, 10000), *power = g_new (double, 10000);
  g_autofree double *current = g_new (double, 10000);

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      gsize n = sample_cell (cases[k].step_s, t, power, current);
      support_assert_near (tide_integrate (t, power, n), cases[k].energy_j, 1e-8);
    }
  gsize n = sample_cell (1, t, power, current);
  support_assert_near (tide_integrate (t, power, n), CELL_ENERGY_J, 1e-3);
  support_assert_near (tide_integrate (t, current, n), CELL_CHARGE_C, 1e-3);
}

static void
test_tail (void)
{
  /* The rule's excess on an exponential tail is (h / 2τ) coth (h / 2τ), exactly. Source: derived.
   */
  static const struct
  {
    double tau_s, step_s, ratio;
  } cases[] = {
    { 1600, 1, 1.000000032552083 }, { 1600, 10, 1.0000032552062141 },
    { 1600, 60, 1.00011718475351 }, { 1600, 300, 1.0029279723218663 },
    { 300, 60, 1.003331113225399 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double t[101], y[101];

      for (guint i = 0; i <= 100; i++)
        {
          t[i] = i * cases[k].step_s;
          y[i] = exp (-t[i] / cases[k].tau_s);
        }
      double exact = cases[k].tau_s * (1 - y[100]);
      support_assert_near (tide_integrate (t, y, 101) / exact, cases[k].ratio, 1e-13);
    }
}

static void
test_between (void)
{
  static const double t[] = { 0, 1, 3, 4 }, y[] = { 0, 2, 6, 0 };
  static const struct
  {
    double from, to, area;
  } cases[] = {
    { 0, 4, 12 },     { 0, 1, 1 }, { 1, 3, 8 }, { 0.5, 1, 0.75 }, { 1.5, 2.5, 4 },
    { 0.5, 3.5, 11 }, { 2, 2, 0 }, { 3, 2, 0 }, { 3.5, 4, 0.75 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    support_assert_near (tide_integrate_between (t, y, 4, cases[k].from, cases[k].to),
                         cases[k].area, 1e-15);
  g_assert_cmpfloat (tide_integrate (t, y, 4), ==, 12.0);
  g_assert_cmpfloat (tide_integrate (t, y, 1), ==, 0.0);
  g_assert_cmpfloat (tide_integrate (t, y, 0), ==, 0.0);
}

static void
test_running (void)
{
  static const double t[] = { 0, 1, 3, 4 }, y[] = { 0, 2, 6, 0 };
  static const double expected[] = { 0, 1, 9, 12 };
  g_autofree double *running = tide_integrate_running (t, y, 4);

  for (guint i = 0; i < 4; i++)
    g_assert_cmpfloat (running[i], ==, expected[i]);
}

static void
test_interpolate (void)
{
  static const double t[] = { 0, 1, 3, 4 }, y[] = { 0, 2, 6, 0 };

  g_assert_cmpfloat (tide_interpolate (t, y, 4, 0), ==, 0.0);
  g_assert_cmpfloat (tide_interpolate (t, y, 4, 0.25), ==, 0.5);
  g_assert_cmpfloat (tide_interpolate (t, y, 4, 3), ==, 6.0);
  g_assert_cmpfloat (tide_interpolate (t, y, 4, 3.5), ==, 3.0);
  g_assert_cmpfloat (tide_interpolate (t, y, 4, 4), ==, 0.0);
  g_assert_true (isnan (tide_interpolate (t, y, 4, -0.001)));
  g_assert_true (isnan (tide_interpolate (t, y, 4, 4.001)));
  g_assert_true (isnan (tide_interpolate (t, y, 4, NAN)));
  g_assert_true (isnan (tide_interpolate (t, y, 0, 0)));
}

/* ---- Resampling ---- */

static void
test_resample (void)
{
  static const double x[] = { 0, 1, 3, 4 }, y[] = { 0, 2, 6, 0 };
  g_autofree double *cells = tide_resample (x, y, 4, -1, 1, 6);

  g_assert_true (isnan (cells[0]));
  support_assert_near (cells[1], 1, 1e-15);
  support_assert_near (cells[2], 3, 1e-15);
  support_assert_near (cells[3], 5, 1e-15);
  support_assert_near (cells[4], 3, 1e-15);
  g_assert_true (isnan (cells[5]));
}

/* Where x stands still y jumps: no width, no weight. */
static void
test_resample_standing (void)
{
  static const double x[] = { 0, 1, 1, 1, 2 }, y[] = { 4, 4, 100, 6, 6 };
  g_autofree double *cells = tide_resample (x, y, 5, 0, 1, 2);
  g_autofree double *whole = tide_resample (x, y, 5, 0, 2, 1);
  g_autofree double *none = tide_resample (x, y, 1, 0, 1, 1);

  support_assert_near (cells[0], 4, 1e-15);
  support_assert_near (cells[1], 6, 1e-15);
  support_assert_near (whole[0], 5, 1e-15);
  g_assert_true (isnan (none[0]));
}

/* Area-true: the cells hold the integral, whatever the stamps. */
static void
test_resample_keeps_area (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  double t[500], y[500];

  for (guint i = 0; i < 500; i++)
    {
      t[i] = i == 0 ? 0 : t[i - 1] + g_rand_double_range (rand, 1e-4, 3);
      y[i] = 10 + 5 * support_normal (rand);
    }
  double step = t[499] / 77;
  g_autofree double *cells = tide_resample (t, y, 500, 0, step, 77);
  double area = 0;
  for (guint k = 0; k < 77; k++)
    area += cells[k] * step;
  support_assert_near (area / tide_integrate (t, y, 500), 1, 1e-12);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/series/sum", test_sum);
  g_test_add_func ("/series/model", test_model);
  g_test_add_func ("/series/tail", test_tail);
  g_test_add_func ("/series/between", test_between);
  g_test_add_func ("/series/running", test_running);
  g_test_add_func ("/series/interpolate", test_interpolate);
  g_test_add_func ("/series/resample", test_resample);
  g_test_add_func ("/series/resample-standing", test_resample_standing);
  g_test_add_func ("/series/resample-keeps-area", test_resample_keeps_area);
  return g_test_run ();
}
