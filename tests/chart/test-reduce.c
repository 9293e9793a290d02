/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Few points for many samples, and nothing lost that a picture could show. What a picture of all
 * samples shows is found here by walking over all of them; the idea is that of M4 (Jugel et al.,
 * VLDB 2014; from memory). */
#include "chart/chart-private.h"

#include <math.h>

typedef struct
{
  gsize n;
  double *x, *y;
  TideOverview *overview;
  TideTrace samples;
} Fixture;

static double
flat_power (gsize i, GRand *rand)
{
  return 30 + g_rand_double_range (rand, -1, 1) + 0 * (double)i;
}

static Fixture *
fixture_new (gsize n, double interval)
{
  Fixture *fixture = g_new0 (Fixture, 1);
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);

  fixture->n = n;
  fixture->x = g_new (double, n);
  fixture->y = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    {
      fixture->x[i] = (double)i * interval;
      fixture->y[i] = flat_power (i, rand);
    }
  return fixture;
}

/* After y is what the case wants it to be. */
static const TideTrace *
fixture_done (Fixture *fixture)
{
  fixture->overview = tide_overview_new (fixture->y, fixture->n);
  fixture->samples =
      (TideTrace){ fixture->n, fixture->x, fixture->y, fixture->overview, INFINITY };
  return &fixture->samples;
}

static void
fixture_free (Fixture *fixture)
{
  g_clear_pointer (&fixture->overview, tide_overview_free);
  g_free (fixture->x);
  g_free (fixture->y);
  g_free (fixture);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Fixture, fixture_free)

static TideScale
make_x (double low, double high)
{
  return (TideScale){ low, high, 100, 900 };
}

static const TideScale scale_y = { 0, 50, 500, 0 };

/* --- how many --- */

static void
test_bounded (void)
{
  static const gsize sizes[] = { 2, 1000, 10000, 100000, 1000000 };

  for (guint k = 0; k < G_N_ELEMENTS (sizes); k++)
    {
      g_autoptr (Fixture) fixture = fixture_new (sizes[k], 1e4 / (double)sizes[k]);
      const TideTrace *samples = fixture_done (fixture);
      TideScale x = make_x (0, 1e4);

      for (guint bins = 1; bins <= 2; bins++)
        {
          g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, bins);
          g_autoptr (GArray) straight = tide_reduce_straighten (points, 0.25);

          g_assert_cmpuint (points->len, <=, 4 * bins * (800 + 1) + 2);
          g_assert_cmpuint (points->len, >=, MIN (sizes[k], 800 * bins));
          g_assert_cmpuint (straight->len, <=, points->len);
        }
      g_autoptr (GArray) columns = tide_reduce_columns (samples, &x, &scale_y);
      g_assert_cmpuint (columns->len, <=, 801);
    }
}

static void
test_few_are_exact (void)
{
  g_autoptr (Fixture) fixture = fixture_new (400, 1);
  const TideTrace *samples = fixture_done (fixture);
  TideScale x = make_x (0, 399);
  g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, 1);

  g_assert_cmpuint (points->len, ==, 400);
  for (guint i = 0; i < points->len; i++)
    {
      const TidePoint *point = &g_array_index (points, TidePoint, i);

      g_assert_cmpfloat_with_epsilon (point->x, tide_scale_to_px (&x, fixture->x[i]), 1e-9);
      g_assert_cmpfloat_with_epsilon (point->y, tide_scale_to_px (&scale_y, fixture->y[i]), 1e-9);
      g_assert_false (point->bridged);
    }
}

/* --- nothing is lost --- */

static void
test_spike (void)
{
  static const gsize places[] = { 0, 1, 15, 16, 127, 128, 499999, 777777, 999998, 999999 };

  for (guint k = 0; k < G_N_ELEMENTS (places); k++)
    {
      g_autoptr (Fixture) fixture = fixture_new (1000000, 0.01);
      TideScale x = make_x (0, 9999.99);
      double top = INFINITY, line_top = INFINITY;

      fixture->y[places[k]] = 49;
      const TideTrace *samples = fixture_done (fixture);
      g_autoptr (GArray) columns = tide_reduce_columns (samples, &x, &scale_y);
      g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, 1);
      g_autoptr (GArray) straight = tide_reduce_straighten (points, 0.25);

      for (guint i = 0; i < columns->len; i++)
        top = MIN (top, g_array_index (columns, TideColumn, i).top);
      for (guint i = 0; i < straight->len; i++)
        line_top = MIN (line_top, g_array_index (straight, TidePoint, i).y);
      g_assert_cmpfloat_with_epsilon (top, tide_scale_to_px (&scale_y, 49), 1e-9);
      g_assert_cmpfloat_with_epsilon (line_top, tide_scale_to_px (&scale_y, 49), 0.25);
    }
}

/* Each column holds exactly what the polyline of all samples covers there. */
static void
test_columns_cover_all (void)
{
  g_autoptr (Fixture) fixture = fixture_new (20000, 0.5);
  const TideTrace *samples = fixture_done (fixture);
  TideScale x = make_x (0, 9999.5);
  g_autoptr (GArray) columns = tide_reduce_columns (samples, &x, &scale_y);
  gsize at = 0;

  for (guint i = 0; i < columns->len; i++)
    {
      const TideColumn *column = &g_array_index (columns, TideColumn, i);

      g_assert_cmpint (column->starts, ==, i == 0);
      for (; at < fixture->n && tide_scale_to_px (&x, fixture->x[at]) < floor (column->x) + 1; at++)
        {
          double y = tide_scale_to_px (&scale_y, fixture->y[at]);
          g_assert_cmpfloat (column->top, <=, y + 1e-9);
          g_assert_cmpfloat (column->bottom, >=, y - 1e-9);
        }
    }
  g_assert_cmpuint (at, ==, fixture->n);
}

/* Least distance in y from a point to the polyline at its x. */
static double
find_distance (GArray *line, const TidePoint *point)
{
  double least = INFINITY;

  for (guint i = 1; i < line->len; i++)
    {
      const TidePoint *b = &g_array_index (line, TidePoint, i), *a = b - 1;
      double share = b->x > a->x ? (point->x - a->x) / (b->x - a->x) : 0;

      if (point->x >= a->x && point->x <= b->x)
        least = MIN (least, fabs (a->y + (b->y - a->y) * share - point->y));
    }
  return least;
}

static void
test_straighten (void)
{
  g_autoptr (Fixture) fixture = fixture_new (3000, 1);
  TideScale x = make_x (0, 2999);

  for (gsize i = 0; i < fixture->n; i++)
    fixture->y[i] = 25 + 20 * sin ((double)i / 200) + 0.02 * (fixture->y[i] - 30);
  const TideTrace *samples = fixture_done (fixture);
  g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, 2);
  g_autoptr (GArray) straight = tide_reduce_straighten (points, 0.5);

  g_assert_cmpuint (straight->len, <, points->len / 5);
  for (guint i = 0; i < points->len; i++)
    g_assert_cmpfloat (find_distance (straight, &g_array_index (points, TidePoint, i)), <=,
                       0.5 + 1e-9);
}

static void
test_straighten_keeps (void)
{
  /* Ends, both sides of a bridge, and sides that go straight up. */
  const TidePoint given[] = { { 0, 5, FALSE },  { 1, 5, FALSE }, { 2, 5, FALSE }, { 2, 90, FALSE },
                              { 3, 5, FALSE },  { 4, 5, FALSE }, { 5, 5, FALSE }, { 60, 5, TRUE },
                              { 61, 5, FALSE }, { 62, 5, FALSE } };
  const double kept_x[] = { 0, 2, 2, 3, 5, 60, 62 };
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  g_autoptr (GArray) empty = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  g_autoptr (GArray) nothing = tide_reduce_straighten (empty, 1);

  g_array_append_vals (points, given, G_N_ELEMENTS (given));
  g_autoptr (GArray) kept = tide_reduce_straighten (points, 0.1);
  g_assert_cmpuint (nothing->len, ==, 0);
  g_assert_cmpuint (kept->len, ==, G_N_ELEMENTS (kept_x));
  for (guint i = 0; i < kept->len; i++)
    g_assert_cmpfloat (g_array_index (kept, TidePoint, i).x, ==, kept_x[i]);
  g_assert_true (g_array_index (kept, TidePoint, 5).bridged);
}

/* --- the ends of the view --- */

static void
test_cut_at_view (void)
{
  g_autoptr (Fixture) fixture = fixture_new (11, 10);

  for (gsize i = 0; i < fixture->n; i++)
    fixture->y[i] = (double)i; /* 0 .. 10 over 0 .. 100 */
  const TideTrace *samples = fixture_done (fixture);
  const struct
  {
    double low, high;
    guint n;
    double first_y, last_y;
    gboolean goes_on;
  } cases[] = {
    { 0, 100, 11, 0, 10, FALSE },   { 25, 75, 7, 2.5, 7.5, TRUE },  { 20, 80, 7, 2, 8, TRUE },
    { 41, 49, 2, 4.1, 4.9, TRUE }, /* between two samples */
    { -50, 150, 11, 0, 10, FALSE }, { 95, 200, 2, 9.5, 10, FALSE }, { -20, 5, 2, 0, 0.5, TRUE },
    { 100, 200, 1, 10, 10, FALSE }, { -10, 0, 1, 0, 0, TRUE },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      TideScale x = make_x (cases[k].low, cases[k].high);
      g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, 2);
      TidePoint end;

      g_assert_cmpuint (points->len, ==, cases[k].n);
      g_assert_cmpfloat_with_epsilon (g_array_index (points, TidePoint, 0).y,
                                      tide_scale_to_px (&scale_y, cases[k].first_y), 1e-9);
      g_assert_true (tide_reduce_end (samples, &x, &scale_y, &end));
      g_assert_cmpfloat_with_epsilon (end.y, tide_scale_to_px (&scale_y, cases[k].last_y), 1e-9);
      g_assert_cmpint (end.bridged, ==, cases[k].goes_on);
      for (guint i = 0; i < points->len; i++)
        {
          g_assert_cmpfloat (g_array_index (points, TidePoint, i).x, >=, 100 - 1e-9);
          g_assert_cmpfloat (g_array_index (points, TidePoint, i).x, <=, 900 + 1e-9);
        }
    }
}

static void
test_nothing_in_view (void)
{
  g_autoptr (Fixture) fixture = fixture_new (11, 10);
  const TideTrace *samples = fixture_done (fixture);
  const TideTrace none = { 0 };
  const double views[][2] = { { -50, -1 }, { 101, 200 } };
  TideScale whole = make_x (0, 100);
  TidePoint end;

  for (guint k = 0; k < G_N_ELEMENTS (views); k++)
    {
      TideScale x = make_x (views[k][0], views[k][1]);
      g_autoptr (GArray) points = tide_reduce_line (samples, &x, &scale_y, 1);
      g_autoptr (GArray) columns = tide_reduce_columns (samples, &x, &scale_y);

      g_assert_cmpuint (points->len + columns->len, ==, 0);
      g_assert_false (tide_reduce_end (samples, &x, &scale_y, &end));
      g_assert_cmpfloat (tide_reduce_density (samples, &x), ==, 0);
    }
  g_autoptr (GArray) points = tide_reduce_line (&none, &whole, &scale_y, 1);
  g_autoptr (GArray) columns = tide_reduce_columns (&none, &whole, &scale_y);
  g_assert_cmpuint (points->len + columns->len, ==, 0);
  g_assert_false (tide_reduce_end (&none, &whole, &scale_y, &end));
}

/* A sample far outside must not reach cairo, whose numbers end at about 8 million. */
static void
test_far_outside (void)
{
  double xs[] = { 0, 1e9, 2e9 }, ys[] = { 10, 20, 30 };
  g_autoptr (TideOverview) overview = tide_overview_new (ys, 3);
  TideTrace samples = { 3, xs, ys, overview, INFINITY };
  TideScale x = make_x (1e9 - 0.01, 1e9 + 0.01);
  g_autoptr (GArray) points = tide_reduce_line (&samples, &x, &scale_y, 2);

  g_assert_cmpuint (points->len, ==, 3);
  g_assert_cmpfloat_with_epsilon (g_array_index (points, TidePoint, 0).x, 100, 1e-6);
  g_assert_cmpfloat_with_epsilon (g_array_index (points, TidePoint, 2).x, 900, 1e-6);
}

static void
test_gap (void)
{
  g_autoptr (Fixture) fixture = fixture_new (2000, 1);
  TideScale x = make_x (0, 2999);
  guint bridges = 0, starts = 0;

  for (gsize i = 1000; i < 2000; i++)
    fixture->x[i] += 1000;
  fixture_done (fixture);
  fixture->samples.gap = 10;
  g_autoptr (GArray) points = tide_reduce_line (&fixture->samples, &x, &scale_y, 1);
  g_autoptr (GArray) columns = tide_reduce_columns (&fixture->samples, &x, &scale_y);

  for (guint i = 0; i < points->len; i++)
    bridges += g_array_index (points, TidePoint, i).bridged;
  for (guint i = 0; i < columns->len; i++)
    starts += g_array_index (columns, TideColumn, i).starts;
  g_assert_cmpuint (bridges, ==, 1);
  g_assert_cmpuint (starts, ==, 2);
}

static void
test_density (void)
{
  g_autoptr (Fixture) fixture = fixture_new (8001, 1);
  const TideTrace *samples = fixture_done (fixture);
  TideScale whole = make_x (0, 8000), part = make_x (0, 800), deep = make_x (100, 101.5);

  g_assert_cmpfloat_with_epsilon (tide_reduce_density (samples, &whole), 10, 0.01);
  g_assert_cmpfloat_with_epsilon (tide_reduce_density (samples, &part), 1, 0.01);
  g_assert_cmpfloat (tide_reduce_density (samples, &deep), <, 0.01);
}

/* --- is a place free --- */

static void
test_touches (void)
{
  g_autoptr (Fixture) fixture = fixture_new (801, 1);

  for (gsize i = 0; i < fixture->n; i++)
    fixture->y[i] = i < 400 ? 40 : 10;
  fixture->y[200] = 48;
  const TideTrace *samples = fixture_done (fixture);
  TideScale x = make_x (0, 800); /* a px a sample, from 100 */
  const struct
  {
    TideRect rect;
    gboolean touches;
  } cases[] = {
    { { 110, 50, 100, 40 }, FALSE },   /* above the line at px 100 */
    { { 110, 90, 100, 20 }, TRUE },    /* on it */
    { { 110, 110, 100, 200 }, FALSE }, /* below */
    { { 280, 50, 40, 40 }, TRUE },     /* the spike at px 300 comes up to 20 */
    { { 280, 0, 40, 15 }, FALSE },     /* but not so far */
    { { 520, 150, 300, 200 }, FALSE }, /* between the levels, right of the fall */
    { { 480, 150, 300, 200 }, TRUE },  /* over the fall */
    { { 480, 150, 10, 200 }, FALSE },  /* left of it */
    { { 900, 0, 100, 500 }, FALSE },   /* outside the plot */
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_test_message ("case %u", k);
      g_assert_cmpint (tide_reduce_touches (samples, &x, &scale_y, &cases[k].rect), ==,
                       cases[k].touches);
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reduce/bounded", test_bounded);
  g_test_add_func ("/reduce/few-are-exact", test_few_are_exact);
  g_test_add_func ("/reduce/spike", test_spike);
  g_test_add_func ("/reduce/columns-cover-all", test_columns_cover_all);
  g_test_add_func ("/reduce/straighten", test_straighten);
  g_test_add_func ("/reduce/straighten-keeps", test_straighten_keeps);
  g_test_add_func ("/reduce/cut-at-view", test_cut_at_view);
  g_test_add_func ("/reduce/nothing-in-view", test_nothing_in_view);
  g_test_add_func ("/reduce/far-outside", test_far_outside);
  g_test_add_func ("/reduce/gap", test_gap);
  g_test_add_func ("/reduce/density", test_density);
  g_test_add_func ("/reduce/touches", test_touches);
  return g_test_run ();
}
