/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where things stand: inside the picture, on each other nowhere. Hundreds of random situations ask
 * the plan for every box it places. */
#include "chart/chart-private.h"
#include "chart/publish.h"
#include "chart/support.h"

#include <math.h>

/* --- moving labels apart --- */

typedef struct
{
  const char *what;
  guint n;
  double wanted[4], heights[4], low, high;
  gboolean fits;
  double centres[4];
} RelaxCase;

/* Centres found by hand: the mean of a block's wishes, less the offsets inside it. */
static const RelaxCase relax_cases[] = {
  { "none", 0, { 0 }, { 0 }, 0, 10, TRUE, { 0 } },
  { "one", 1, { 50 }, { 10 }, 0, 100, TRUE, { 50 } },
  { "one too high", 1, { 2 }, { 10 }, 0, 100, TRUE, { 5 } },
  { "one too low", 1, { 120 }, { 10 }, 0, 100, TRUE, { 95 } },
  { "apart", 2, { 20, 80 }, { 10, 10 }, 0, 100, TRUE, { 20, 80 } },
  { "equal", 2, { 50, 50 }, { 10, 10 }, 0, 100, TRUE, { 45, 55 } },
  { "close", 2, { 50, 54 }, { 10, 10 }, 0, 100, TRUE, { 47, 57 } },
  { "three equal", 3, { 50, 50, 50 }, { 10, 10, 10 }, 0, 100, TRUE, { 40, 50, 60 } },
  { "a push that pushes on",
    3,
    { 50, 50, 58 },
    { 10, 10, 10 },
    0,
    100,
    TRUE,
    { 42.667, 52.667, 62.667 } },
  { "unequal heights", 2, { 50, 50 }, { 20, 10 }, 0, 100, TRUE, { 42.5, 57.5 } },
  { "all at the bottom", 3, { 99, 99, 99 }, { 10, 10, 10 }, 0, 100, TRUE, { 75, 85, 95 } },
  { "all at the top", 3, { 0, 1, 2 }, { 10, 10, 10 }, 0, 100, TRUE, { 5, 15, 25 } },
  { "just fits", 4, { 1, 2, 3, 4 }, { 25, 25, 25, 25 }, 0, 100, TRUE, { 12.5, 37.5, 62.5, 87.5 } },
  { "does not fit", 4, { 1, 2, 3, 4 }, { 26, 26, 26, 26 }, 0, 100, FALSE, { 0 } },
};

static void
test_relax_cases (void)
{
  for (guint k = 0; k < G_N_ELEMENTS (relax_cases); k++)
    {
      const RelaxCase *c = &relax_cases[k];
      double centres[4] = { -1, -1, -1, -1 };

      g_test_message ("%s", c->what);
      g_assert_cmpint (tide_labels_relax (c->wanted, c->heights, c->n, c->low, c->high, centres),
                       ==, c->fits);
      for (guint i = 0; i < c->n; i++)
        g_assert_cmpfloat_with_epsilon (centres[i], c->fits ? c->centres[i] : -1, 1e-3);
    }
}

static double
sum_squares (const double *a, const double *b, guint n)
{
  double sum = 0;

  for (guint i = 0; i < n; i++)
    sum += (a[i] - b[i]) * (a[i] - b[i]);
  return sum;
}

/* Never on each other, never outside; and no small move that is allowed makes the ways shorter. */
static void
test_relax_random (void)
{
  for (guint round = 0; round < 500; round++)
    {
      double wanted[12], heights[12], centres[12], last = -20;
      guint n = (guint)g_test_rand_int_range (1, 12);

      for (guint i = 0; i < n; i++)
        {
          wanted[i] = last = last + g_test_rand_double_range (0, 30);
          heights[i] = g_test_rand_double_range (8, 16);
        }
      g_assert_true (tide_labels_relax (wanted, heights, n, 0, 250, centres));
      for (guint i = 0; i < n; i++)
        {
          double above = i == 0 ? 0 : centres[i - 1] + heights[i - 1] / 2;
          double below = i + 1 == n ? 250 : centres[i + 1] - heights[i + 1] / 2;
          double best = sum_squares (wanted, centres, n);

          g_assert_cmpfloat (centres[i] - heights[i] / 2, >=, above - 1e-9);
          g_assert_cmpfloat (centres[i] + heights[i] / 2, <=, below + 1e-9);
          for (int way = -1; way <= 1; way += 2)
            {
              double moved[12];

              memcpy (moved, centres, sizeof moved);
              moved[i] += 0.01 * way;
              if (moved[i] - heights[i] / 2 >= above && moved[i] + heights[i] / 2 <= below)
                g_assert_cmpfloat (sum_squares (wanted, moved, n), >=, best - 1e-9);
            }
        }
    }
}

/* --- random situations --- */

static char *
make_name (void)
{
  static const char *const parts[] = { "Base",   "port",     "left",         "Ø 2 m cable",
                                       "in use", "dock",     "µ-test",       "ambient 31 °C",
                                       "W",      "überlang", "日本語の名前", "—" };
  GString *name = g_string_new (parts[g_test_rand_int_range (0, G_N_ELEMENTS (parts))]);
  int more = g_test_rand_int_range (0, 4);

  if (g_test_rand_int_range (0, 20) == 0)
    more = 60;
  for (int i = 0; i < more; i++)
    g_string_append_printf (name, " %s", parts[g_test_rand_int_range (0, G_N_ELEMENTS (parts))]);
  return g_string_free (name, FALSE);
}

static void
add_random_run (TideComparison *comparison, guint i)
{
  g_autofree char *name = make_name ();
  MadeRun run = made_run (name, g_test_rand_double_range (3, 60),
                          g_test_rand_double_range (300, 5000), i + 1);

  run.interval_s = (const double[]){ 1, 5, 30, 60 }[g_test_rand_int_range (0, 4)];
  run.tail_s = g_test_rand_double_range (-5000, 3000);
  run.standing_w = g_test_rand_double_range (-2, 3);
  run.noise_w = g_test_rand_double_range (0, 2);
  run.notes = g_test_rand_bit () ? "simulated" : NULL;
  run.device = g_test_rand_bit () ? "Survey tablet" : "Another tablet of a longer name";
  made_add (comparison, &run);
}

static TideComparison *
make_random (void)
{
  TideComparison *comparison = tide_comparison_new ();
  guint n = (guint)g_test_rand_int_range (1, 12);
  double low, high;

  for (guint i = 0; i < n; i++)
    add_random_run (comparison, i);
  tide_comparison_set_reference (comparison, (guint)g_test_rand_int_range (0, (int)n));
  tide_comparison_set_alignment (comparison,
                                 (TideAlignment)g_test_rand_int_range (0, TIDE_N_ALIGNMENTS));
  tide_comparison_set_x (comparison, (TideAxis)g_test_rand_int_range (0, TIDE_N_AXES));
  tide_comparison_set_y (comparison,
                         (TideQuantity)g_test_rand_int_range (TIDE_QUANTITY_VOLTAGE,
                                                              TIDE_QUANTITY_ENERGY + 1));
  tide_comparison_set_show_strip (comparison, g_test_rand_bit ());
  if (g_test_rand_bit () && tide_comparison_get_extent (comparison, &low, &high))
    {
      double from = g_test_rand_double_range (0, 0.9);
      tide_comparison_set_view (comparison, low + (high - low) * from,
                                low
                                    + (high - low)
                                          * (from + g_test_rand_double_range (0.0001, 0.5)));
    }
  return comparison;
}

static void
assert_inside (const TideRect *rect, double width, double height)
{
  g_assert_cmpfloat (rect->x, >=, -0.01);
  g_assert_cmpfloat (rect->y, >=, -0.01);
  g_assert_cmpfloat (rect->x + rect->width, <=, width + 0.01);
  g_assert_cmpfloat (rect->y + rect->height, <=, height + 0.01);
}

static void
assert_texts_apart (const TidePlan *plan)
{
  for (guint i = 0; i < plan->texts->len; i++)
    {
      const TideText *a = g_ptr_array_index (plan->texts, i);

      g_test_message ("“%s” (%d, run %u) at %g %g %g %g", pango_layout_get_text (a->layout),
                      a->kind, a->run, a->box.x, a->box.y, a->box.width, a->box.height);
      assert_inside (&a->box, plan->width, plan->height);
      for (guint k = i + 1; k < plan->texts->len; k++)
        {
          const TideText *b = g_ptr_array_index (plan->texts, k);

          if (tide_rect_overlaps (&a->box, &b->box))
            g_error ("%g × %g: “%s” (%d, run %u) at %g %g %g %g overlaps “%s” (%d, run %u) at %g "
                     "%g %g %g",
                     plan->width, plan->height, pango_layout_get_text (a->layout), a->kind, a->run,
                     a->box.x, a->box.y, a->box.width, a->box.height,
                     pango_layout_get_text (b->layout), b->kind, b->run, b->box.x, b->box.y,
                     b->box.width, b->box.height);
        }
    }
}

/* What a text must keep away from: all that was logged, but for the reference's level, which may
 * stand before spikes, the line alone. */
static TideTrace
get_forbidden (const TidePlan *plan, const TideText *text, guint run)
{
  gboolean before_spikes = text->kind == TIDE_TEXT_LEVEL
                           && text->run == tide_comparison_get_reference (plan->comparison);

  return before_spikes ? tide_plan_get_line (plan, run) : tide_plan_get_logged (plan, run);
}

/* No text in the plot lies on a curve or a curve's end. */
static void
assert_curves_free (const TidePlan *plan)
{
  const TideChartLayout *room = &plan->room;

  for (guint i = 0; i < plan->texts->len; i++)
    {
      const TideText *text = g_ptr_array_index (plan->texts, i);

      for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
        {
          TideTrace samples = get_forbidden (plan, text, run),
                    line = tide_plan_get_line (plan, run);
          TidePoint end;

          if (text->kind == TIDE_TEXT_LEVEL || text->kind == TIDE_TEXT_LABEL)
            g_assert_false (tide_rect_overlaps (&text->box, &room->plot)
                            && tide_reduce_touches (&samples, &room->x, &room->y, &text->box));
          if (tide_reduce_end (&line, &room->x, &room->y, &end) && end.y >= room->plot.y
              && end.y <= room->plot.y + room->plot.height)
            {
              double r = 1.4 * tide_plan_get_pen (plan, run); /* the dot's */
              TideRect dot = { end.x - r, end.y - r, 2 * r, 2 * r };
              if (tide_rect_overlaps (&text->box, &dot))
                g_error ("%g × %g: “%s” (%d, run %u) at %g %g %g %g overlaps end of run %u at %g "
                         "%g (plot %g %g %g %g)",
                         plan->width, plan->height, pango_layout_get_text (text->layout),
                         text->kind, text->run, text->box.x, text->box.y, text->box.width,
                         text->box.height, run, end.x, end.y, room->plot.x, room->plot.y,
                         room->plot.width, room->plot.height);
            }
        }
    }
}

/* No line leads through a text. */
static void
assert_leaders_free (const TidePlan *plan)
{
  for (guint i = 0; i < plan->leaders->len; i++)
    {
      const TideLeader *leader = &g_array_index (plan->leaders, TideLeader, i);

      for (guint step = 0; step <= 200; step++)
        for (guint k = 1; k < leader->n; k++)
          {
            double share = step / 200.0;
            TideRect at = { leader->x[k - 1] + (leader->x[k] - leader->x[k - 1]) * share,
                            leader->y[k - 1] + (leader->y[k] - leader->y[k - 1]) * share, 0.01,
                            0.01 };
            g_assert_false (tide_plan_has_text (plan, &at));
          }
    }
}

/* Every run that is to be seen has its name, or a legend says how many are missing. */
static void
assert_runs_named (const TidePlan *plan)
{
  guint n = tide_comparison_get_n_runs (plan->comparison), named = 0;
  gboolean rest = FALSE;

  for (guint run = 0; run < n; run++)
    {
      TideTrace samples = tide_plan_get_line (plan, run);
      gboolean found = FALSE, seen;
      TidePoint end;

      seen = plan->legend || tide_reduce_end (&samples, &plan->room.x, &plan->room.y, &end);
      for (guint i = 0; i < plan->texts->len; i++)
        {
          const TideText *text = g_ptr_array_index (plan->texts, i);

          found = found
                  || ((text->kind == TIDE_TEXT_LABEL || text->kind == TIDE_TEXT_LEGEND)
                      && text->run == run);
          rest = rest || (text->kind == TIDE_TEXT_LEGEND && text->run == TIDE_NO_RUN);
        }
      named += found || !seen;
    }
  g_assert_true (named == n || (plan->legend && rest));
}

static void
assert_room (const TidePlan *plan)
{
  const TideChartLayout *room = &plan->room;

  assert_inside (&room->plot, plan->width, plan->height);
  g_assert_cmpfloat (room->plot.width, >, 0);
  g_assert_cmpfloat (room->plot.height, >, 0);
  g_assert_cmpfloat (room->x.start_px, ==, room->plot.x);
  g_assert_cmpfloat (room->x.end_px, ==, room->plot.x + room->plot.width);
  g_assert_cmpfloat (room->y.end_px, ==, room->plot.y);
  g_assert_cmpfloat (room->y.start_px, ==, room->plot.y + room->plot.height);
  g_assert_cmpfloat (room->y.low, <=, 0);
  g_assert_cmpfloat (room->y.high, >, 0);
  if (room->strip.height > 0)
    {
      assert_inside (&room->strip, plan->width, plan->height);
      g_assert_cmpfloat (room->strip.y, >, room->plot.y + room->plot.height);
      g_assert_cmpfloat (room->strip.x, ==, room->plot.x);
      g_assert_cmpfloat (room->strip.width, ==, room->plot.width);
    }
}

static void
test_random (void)
{
  static const struct
  {
    int width, height;
  } sizes[] = {
    { 1920, 1080 }, { 1280, 720 }, { 800, 500 },  { 400, 300 },
    { 200, 200 },   { 1000, 200 }, { 300, 1200 }, { 720, 1280 },
  };
  const guint rounds = g_test_thorough () ? 300 : 40;
  guint planned = 0;

  for (guint round = 0; round < rounds; round++)
    {
      g_autoptr (TideComparison) comparison = make_random ();

      for (guint k = 0; k < G_N_ELEMENTS (sizes); k++)
        {
          TideChartStyle style =
              tide_chart_style_publish (TIDE_LOOK_LIGHT, sizes[k].width, sizes[k].height);
          g_autoptr (TidePlan) plan = NULL;

          if (k % 3 == 1)
            style = tide_chart_style_screen (TIDE_LOOK_DARK);
          plan = tide_plan_new (comparison, &style, sizes[k].width, sizes[k].height);
          if (plan == NULL)
            continue;
          planned++;
          assert_room (plan);
          assert_texts_apart (plan);
          assert_curves_free (plan);
          assert_leaders_free (plan);
          assert_runs_named (plan);
        }
    }
  g_assert_cmpuint (planned, >, rounds * G_N_ELEMENTS (sizes) * 9 / 10);
}

/* --- single texts --- */

static const TideText *
find_text (const TidePlan *plan, TideTextKind kind, guint run)
{
  for (guint i = 0; i < plan->texts->len; i++)
    {
      const TideText *text = g_ptr_array_index (plan->texts, i);

      if (text->kind == kind && text->run == run)
        return text;
    }
  return NULL;
}

/* Near plateaus with so many spikes that no text is free of them: the reference's level alone
 * is there, before spikes but on no line. */
static void
test_reference_keeps_its_level (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 900, 600);
  const double plateaus_w[] = { 20, 20.3, 18.7 };
  g_autoptr (TidePlan) plan = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (plateaus_w); i++)
    {
      MadeRun run = made_run ("Spiky", plateaus_w[i], 3600, i + 1);

      run.spike_every_s = 200 + 10 * i;
      run.spike_w = 12;
      made_add (comparison, &run);
    }
  plan = tide_plan_new (comparison, &style, 900, 600);
  g_assert_nonnull (plan);
  const TideText *level = find_text (plan, TIDE_TEXT_LEVEL, 0);
  g_assert_nonnull (level);
  g_assert_true (tide_plan_is_crossed (plan, &level->box, TIDE_NO_RUN));
  g_assert_false (tide_plan_is_on_line (plan, &level->box, TIDE_NO_RUN));
  g_assert_null (find_text (plan, TIDE_TEXT_LEVEL, 1));
}

/* Curves that end a little before the right edge have names in the column; a way leads to each. */
static void
test_early_ends_are_led_to (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 900, 600);
  g_autoptr (TidePlan) plan = NULL;
  guint led = 0;

  MadeRun longer = made_run ("Longer", 21, 3600, 9);
  longer.tail_s += 700;
  made_add (comparison, &longer);
  plan = tide_plan_new (comparison, &style, 900, 600);
  g_assert_nonnull (plan);
  for (guint run = 0; run < 3; run++)
    {
      const TideText *name = find_text (plan, TIDE_TEXT_LABEL, run);

      g_assert_nonnull (name);
      for (guint i = 0; i < plan->leaders->len; i++)
        led += g_array_index (plan->leaders, TideLeader, i).run == run;
    }
  g_assert_cmpuint (led, ==, 3);
}

/* --- sizes --- */

static void
test_sizes (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (4);
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  gboolean was = FALSE;

  for (int size = 10; size <= 2000; size += 10)
    {
      TideChartLayout layout;
      gboolean is = tide_chart_layout (comparison, &style, size, size, &layout);

      g_assert_true (is || !was); /* what has room keeps it when it grows */
      was = is;
      if (is)
        assert_inside (&layout.plot, size, size);
    }
  g_assert_true (was);
}

static void
test_published_sizes_all_draw (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (9);

  for (int width = 200; width <= 2200; width += 250)
    for (int height = 200; height <= 2200; height += 250)
      {
        TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, width, height);
        TideChartLayout layout;

        g_assert_true (tide_chart_layout (comparison, &style, width, height, &layout));
      }
}

static void
test_style (void)
{
  /* The measures of the house's look for video: height / 54 and height / 540. */
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 1920, 1080);

  g_assert_cmpfloat (style.base_px, ==, 20);
  g_assert_cmpfloat (style.line_px, ==, 2);
  style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 3840, 2160);
  g_assert_cmpfloat (style.base_px, ==, 40);
  g_assert_cmpfloat (style.line_px, ==, 4);
  style = tide_chart_style_publish (TIDE_LOOK_DARK, 1080, 1920);
  g_assert_cmpfloat (style.base_px, ==, 27);
  style = tide_chart_style_publish (TIDE_LOOK_DARK, 200, 200);
  g_assert_cmpfloat (style.base_px, ==, 8);
  style = tide_chart_style_screen (TIDE_LOOK_DARK);
  g_assert_cmpfloat (style.base_px, ==, 14);
  g_assert_cmpfloat (style.line_px, ==, 2);
}

static void
test_no_runs (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  TideChartLayout layout;

  g_assert_false (tide_chart_layout (comparison, &style, 800, 600, &layout));
}

static void
test_strip (void)
{
  g_autoptr (TideComparison) one = made_comparison (1), two = made_comparison (2);
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  TideChartLayout layout;

  g_assert_true (tide_chart_layout (one, &style, 900, 600, &layout));
  g_assert_cmpfloat (layout.strip.height, ==, 0);
  g_assert_true (tide_chart_layout (two, &style, 900, 600, &layout));
  g_assert_cmpfloat (layout.strip.height, >, 0);
  g_assert_cmpfloat (layout.strip_y.low, <,
                     -2.4); /* the second run's plateau lies that much lower */
  tide_comparison_set_show_strip (two, FALSE);
  g_assert_true (tide_chart_layout (two, &style, 900, 600, &layout));
  g_assert_cmpfloat (layout.strip.height, ==, 0);
}

static guint
count_kind (const TidePlan *plan, TideTextKind kind)
{
  guint count = 0;

  for (guint i = 0; i < plan->texts->len; i++)
    count += ((TideText *)g_ptr_array_index (plan->texts, i))->kind == kind;
  return count;
}

static void
test_legend_or_labels (void)
{
  const struct
  {
    guint runs;
    int width, height;
    gboolean legend;
  } cases[] = {
    { 1, 1920, 1080, FALSE }, { 5, 1920, 1080, FALSE },
    { 8, 1280, 720, FALSE },  { 9, 1920, 1080, TRUE }, /* the ninth has the first one's colour */
    { 4, 300, 300, TRUE },                             /* too narrow */
    { 8, 900, 180, TRUE },                             /* too low, drawn for the screen */
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_autoptr (TideComparison) comparison = made_comparison (cases[k].runs);
      TideChartStyle style =
          tide_chart_style_publish (TIDE_LOOK_LIGHT, cases[k].width, cases[k].height);
      g_autoptr (TidePlan) plan = NULL;

      if (cases[k].height < TIDE_PUBLISH_MIN_PX)
        style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
      plan = tide_plan_new (comparison, &style, cases[k].width, cases[k].height);
      g_test_message ("case %u", k);
      g_assert_nonnull (plan);
      g_assert_cmpint (plan->legend, ==, cases[k].legend);
      g_assert_cmpint (count_kind (plan, TIDE_TEXT_LEGEND) > 0, ==, cases[k].legend);
      g_assert_cmpint (plan->keys->len > 0, ==, cases[k].legend);
    }
}

/* Five to seven ticks; a clock's steps may give one more. */
static void
test_ticks (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 1920, 1080);
  double low, high;

  g_assert_true (tide_comparison_get_extent (comparison, &low, &high));
  for (double share = 1; share > 0.001; share *= 0.83)
    {
      tide_comparison_set_view (comparison, low, low + (high - low) * share);
      g_autoptr (TidePlan) plan = tide_plan_new (comparison, &style, 1920, 1080);

      g_assert_nonnull (plan);
      g_assert_cmpuint (plan->x_ticks.count, >=, 4);
      g_assert_cmpuint (plan->x_ticks.count, <=, 8);
      g_assert_cmpuint (plan->y_ticks.count, >=, 4);
      g_assert_cmpuint (plan->y_ticks.count, <=, 7);
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/layout/relax/cases", test_relax_cases);
  g_test_add_func ("/layout/relax/random", test_relax_random);
  g_test_add_func ("/layout/random", test_random);
  g_test_add_func ("/layout/reference-keeps-its-level", test_reference_keeps_its_level);
  g_test_add_func ("/layout/early-ends-are-led-to", test_early_ends_are_led_to);
  g_test_add_func ("/layout/sizes", test_sizes);
  g_test_add_func ("/layout/published-sizes-all-draw", test_published_sizes_all_draw);
  g_test_add_func ("/layout/style", test_style);
  g_test_add_func ("/layout/no-runs", test_no_runs);
  g_test_add_func ("/layout/strip", test_strip);
  g_test_add_func ("/layout/legend-or-labels", test_legend_or_labels);
  g_test_add_func ("/layout/ticks", test_ticks);
  return g_test_run ();
}
