/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is really drawn: ink in pixels. Colours are those of the palette; places those of the
 * layout. */
#include "chart/chart-private.h"
#include "chart/support.h"

#include <math.h>
#include <string.h>

#define WIDTH  800
#define HEIGHT 500

typedef struct
{
  cairo_surface_t *surface;
  cairo_t *cr;
} Paper;

static Paper
paper_new (int width, int height)
{
  Paper paper = { cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height), NULL };

  paper.cr = cairo_create (paper.surface);
  return paper;
}

static void
paper_clear (Paper *paper)
{
  g_assert_cmpint (cairo_status (paper->cr), ==, CAIRO_STATUS_SUCCESS);
  cairo_destroy (paper->cr);
  cairo_surface_destroy (paper->surface);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Paper, paper_clear)

static guint32
get_pixel (Paper *paper, int x, int y)
{
  const guchar *data;
  guint32 pixel;

  cairo_surface_flush (paper->surface);
  g_assert_true (x >= 0 && y >= 0 && x < cairo_image_surface_get_width (paper->surface)
                 && y < cairo_image_surface_get_height (paper->surface));
  data = cairo_image_surface_get_data (paper->surface);
  memcpy (&pixel, data + y * cairo_image_surface_get_stride (paper->surface) + 4 * x, 4);
  return pixel;
}

static guint
get_alpha (Paper *paper, int x, int y)
{
  return get_pixel (paper, x, y) >> 24;
}

static guint
count_ink (Paper *paper)
{
  guint count = 0;

  for (int y = 0; y < cairo_image_surface_get_height (paper->surface); y++)
    for (int x = 0; x < cairo_image_surface_get_width (paper->surface); x++)
      count += get_alpha (paper, x, y) > 0;
  return count;
}

/* --- nothing is lost --- */

/* One sample among a million is far above the others: its column has ink up to its height, well
 * apart from the ground, the columns around it have none. */
static void
test_spike_of_one_sample (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun run = made_run ("Spike", 20, 3500, 3);
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  g_auto (Paper) paper = paper_new (WIDTH, HEIGHT);
  g_autoptr (TideRecording) recording = NULL;
  TideChartLayout layout;
  double spike_t = 0, highest = 0;
  const double *t, *power;

  run.interval_s = 0.01;
  run.spike_every_s = 2000;
  run.spike_w = 30;
  run.tail_s = 1400;
  made_add (comparison, &run);
  recording = tide_recording_ref (
      tide_compared_run_get_recording (tide_comparison_get_run (comparison, 0)));
  g_assert_cmpuint (tide_recording_get_n_samples (recording), >, 1000000);
  t = tide_recording_get_column (recording, TIDE_QUANTITY_TIME);
  power = tide_recording_get_column (recording, TIDE_QUANTITY_POWER);
  for (gsize i = 0; i < tide_recording_get_n_samples (recording); i++)
    if (power[i] > highest)
      {
        highest = power[i];
        spike_t = t[i];
      }

  tide_chart_draw (comparison, &style, paper.cr, WIDTH, HEIGHT);
  g_assert_true (tide_chart_layout (comparison, &style, WIDTH, HEIGHT, &layout));
  double x = tide_scale_to_px (&layout.x, spike_t + tide_comparison_get_shift_s (comparison, 0));
  double y = tide_scale_to_px (&layout.y, highest), trend = tide_scale_to_px (&layout.y, 21);
  for (int row = (int)ceil (y) + 1; row < (int)trend - 2; row++)
    g_assert_cmpuint (get_alpha (&paper, (int)floor (x), row), >, 100);
  g_assert_cmpuint (get_alpha (&paper, (int)floor (x), (int)floor (y) - 3), ==, 0);
  g_assert_cmpuint (get_alpha (&paper, (int)floor (x) + 4, (int)((y + trend) / 2)), <, 40);
}

static void
stroke_all (cairo_t *cr,
            const TideTrace *samples,
            const TideScale *x,
            const TideScale *y,
            double width)
{
  cairo_set_line_width (cr, width);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  for (gsize i = 0; i < samples->n; i++)
    cairo_line_to (cr, tide_scale_to_px (x, samples->x[i]), tide_scale_to_px (y, samples->y[i]));
  cairo_stroke (cr);
}

static gboolean
has_ink_near (Paper *paper, int x, int y)
{
  for (int dy = -1; dy <= 1; dy++)
    for (int dx = -1; dx <= 1; dx++)
      if (x + dx >= 0 && y + dy >= 0 && x + dx < cairo_image_surface_get_width (paper->surface)
          && y + dy < cairo_image_surface_get_height (paper->surface)
          && get_alpha (paper, x + dx, y + dy) > 0)
        return TRUE;
  return FALSE;
}

/* The picture of few points against that of all: where one has clear ink the other has some within
 * a pixel (the measure of M4's paper, relaxed to anti-aliased drawing). */
static void
test_same_picture (void)
{
  const guint n = 20000;
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);
  g_autofree double *xs = g_new (double, n), *ys = g_new (double, n);
  TideScale x = { 0, n - 1, 2, 298 }, y = { 0, 60, 98, 2 };

  for (guint i = 0; i < n; i++)
    {
      xs[i] = i;
      ys[i] =
          30 + 10 * sin (i / 900.0) + g_rand_double_range (rand, -2, 2) + (i % 3001 == 0 ? 18 : 0);
    }
  g_autoptr (TideOverview) overview = tide_overview_new (ys, n);
  TideTrace samples = { n, xs, ys, overview, INFINITY };

  for (guint bins = TIDE_BINS_QUICK; bins <= TIDE_BINS_FINE; bins++)
    {
      g_auto (Paper) few = paper_new (300, 100);
      g_auto (Paper) all = paper_new (300, 100);
      g_autoptr (GArray) points = tide_reduce_line (&samples, &x, &y, bins);
      guint lost = 0, added = 0;

      tide_lines_stroke (few.cr, points, (TideColor){ 0, 0, 0 }, 1, 1.5, 0);
      stroke_all (all.cr, &samples, &x, &y, 1.5);
      for (int row = 0; row < 100; row++)
        for (int column = 0; column < 300; column++)
          {
            lost += get_alpha (&all, column, row) > 128 && !has_ink_near (&few, column, row);
            added += get_alpha (&few, column, row) > 128 && !has_ink_near (&all, column, row);
          }
      g_assert_cmpuint (lost, ==, 0);
      g_assert_cmpuint (added, ==, 0);
    }
}

/* Dashes go on over the pieces a line is stroked in. */
static void
test_dashes_go_on (void)
{
  g_auto (Paper) pieces = paper_new (300, 10);
  g_auto (Paper) whole = paper_new (300, 10);
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (TidePoint));

  for (guint i = 0; i < 100; i++)
    {
      TidePoint point = { 3.0 * i, 5 + (i % 2), FALSE };
      g_array_append_val (points, point);
    }
  tide_lines_stroke (pieces.cr, points, (TideColor){ 0, 0, 0 }, 1, 2, 4);
  cairo_set_line_width (whole.cr, 2);
  cairo_set_line_join (whole.cr, CAIRO_LINE_JOIN_ROUND);
  tide_pencil_set_dash (whole.cr, 4, 2, 0);
  for (guint i = 0; i < points->len; i++)
    cairo_line_to (whole.cr, g_array_index (points, TidePoint, i).x,
                   g_array_index (points, TidePoint, i).y);
  cairo_stroke (whole.cr);
  guint off = 0;
  for (int row = 0; row < 10; row++)
    for (int column = 0; column < 300; column++)
      off +=
          ABS ((int)get_alpha (&pieces, column, row) - (int)get_alpha (&whole, column, row)) > 64;
  g_assert_cmpuint (count_ink (&pieces), >, 300);
  g_assert_cmpuint (off, <=, 20);
}

/* A gap in the log is bridged by dots, not by a line; a sample alone between two gaps is a dot. */
static void
test_gaps (void)
{
  const TidePoint given[] = {
    { 5, 10, FALSE }, { 40, 10, FALSE }, { 80, 10, TRUE }, { 120, 10, TRUE }, { 150, 10, FALSE }
  };
  g_auto (Paper) paper = paper_new (160, 20);
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  guint solid = 0, dotted = 0;

  g_array_append_vals (points, given, G_N_ELEMENTS (given));
  tide_lines_stroke (paper.cr, points, (TideColor){ 0, 0, 0 }, 1, 4, 0);
  for (int x = 0; x < 30; x++)
    {
      solid += get_alpha (&paper, 8 + x, 10) > 200;
      dotted += get_alpha (&paper, 45 + x, 10) > 60;
    }
  g_assert_cmpuint (solid, ==, 30);
  g_assert_cmpuint (dotted, >, 3);
  g_assert_cmpuint (dotted, <, 20);
  g_assert_cmpuint (get_alpha (&paper, 80, 10), >, 200);
  g_assert_cmpuint (get_alpha (&paper, 140, 10), >, 200);
}

/* --- the layers --- */

static void
test_ground (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (2);

  for (TideLook look = 0; look < TIDE_N_LOOKS; look++)
    {
      TideChartStyle style = tide_chart_style_publish (look, WIDTH, HEIGHT);
      TideColor ground = tide_palette_get_ground (look);
      g_auto (Paper) paper = paper_new (WIDTH, HEIGHT);

      tide_chart_draw (comparison, &style, paper.cr, WIDTH, HEIGHT);
      g_assert_cmphex (get_pixel (&paper, 1, 1), ==,
                       0xFF000000u | (guint)lround (ground.red * 255) << 16
                           | (guint)lround (ground.green * 255) << 8
                           | (guint)lround (ground.blue * 255));
    }
  TideChartStyle screen = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  g_auto (Paper) paper = paper_new (WIDTH, HEIGHT);
  tide_chart_draw (comparison, &screen, paper.cr, WIDTH, HEIGHT);
  g_assert_cmpuint (get_alpha (&paper, 1, HEIGHT - 1), ==, 0);
}

static void
test_line_has_its_color (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, WIDTH, HEIGHT);
  g_auto (Paper) paper = paper_new (WIDTH, HEIGHT);
  TideChartLayout layout;

  style.line_px = 5;
  tide_chart_draw (comparison, &style, paper.cr, WIDTH, HEIGHT);
  g_assert_true (tide_chart_layout (comparison, &style, WIDTH, HEIGHT, &layout));
  g_assert_cmphex (get_pixel (&paper, (int)tide_scale_to_px (&layout.x, 2000),
                              (int)tide_scale_to_px (&layout.y, 38)),
                   ==, 0xFF22329D); /* slot 1 of the house's table of colours */
}

static void
test_excuses (void)
{
  g_autoptr (TideComparison) empty = tide_comparison_new (), one = made_comparison (1);
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  g_auto (Paper) nothing = paper_new (300, 100);
  g_auto (Paper) small = paper_new (40, 30);

  tide_chart_draw (empty, &style, nothing.cr, 300, 100);
  tide_chart_draw (one, &style, small.cr, 40, 30);
  g_assert_cmpuint (count_ink (&nothing), >, 100);
  g_assert_cmpuint (count_ink (&small), >, 10);
}

/* The wish to draw in no space at all is granted without a word. */
static void
test_no_space (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 200, 200);
  g_auto (Paper) paper = paper_new (10, 10);

  tide_chart_draw (comparison, &style, paper.cr, 0, 0);
  tide_chart_draw (comparison, &style, paper.cr, -5, 1);
  tide_chart_draw_cursor (comparison, &style, paper.cr, 0, 0);
}

/* --- the cursor --- */

static guint
draw_cursor (TideComparison *comparison, double x, TideChartLayout *layout, Paper *paper)
{
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);

  tide_comparison_set_cursor (comparison, x);
  g_assert_true (tide_chart_layout (comparison, &style, WIDTH, HEIGHT, layout));
  tide_chart_draw_cursor (comparison, &style, paper->cr, WIDTH, HEIGHT);
  return count_ink (paper);
}

static guint
count_ink_between (Paper *paper, double from, double to)
{
  guint count = 0;

  for (int y = 0; y < HEIGHT; y++)
    for (int x = (int)from; x < (int)to; x++)
      count += get_alpha (paper, x, y) > 0;
  return count;
}

static void
test_cursor (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);
  g_auto (Paper) none = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) left = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) right = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) outside = paper_new (WIDTH, HEIGHT);
  TideChartLayout layout;
  double px;

  g_assert_cmpuint (draw_cursor (comparison, NAN, &layout, &none), ==, 0);

  g_assert_cmpuint (draw_cursor (comparison, 1500, &layout, &left), >, 1000);
  px = tide_scale_to_px (&layout.x, 1500);
  for (int y = (int)layout.plot.y + 2; y < (int)(layout.strip.y + layout.strip.height) - 2; y++)
    g_assert_cmpuint (get_alpha (&left, (int)px, y), >, 0);
  g_assert_cmpuint (count_ink_between (&left, px + 12, WIDTH), >,
                    3000); /* the column is on the roomier side */
  g_assert_cmpuint (count_ink_between (&left, 0, px - 12), ==, 0);

  draw_cursor (comparison, 9000, &layout, &right);
  px = tide_scale_to_px (&layout.x, 9000);
  g_assert_cmpuint (count_ink_between (&right, 0, px - 12), >, 3000);
  g_assert_cmpuint (count_ink_between (&right, px + 12, WIDTH), ==, 0);

  tide_comparison_set_view (comparison, 0, 1000);
  g_assert_cmpuint (draw_cursor (comparison, 9000, &layout, &outside), ==, 0);
}

/* At a mark the column says so; with many runs in little height it counts the rest. */
static void
test_cursor_rows (void)
{
  g_autoptr (TideComparison) few = made_comparison (2), many = made_comparison (12);
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_DARK);
  g_auto (Paper) off = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) on = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) begins = paper_new (WIDTH, HEIGHT);
  g_auto (Paper) low = paper_new (WIDTH, 260);
  TideChartLayout layout;
  TideRunMarks marks = tide_comparison_get_marks (few, 1);

  draw_cursor (few, marks.settles - 900, &layout, &off);
  draw_cursor (few, marks.settles, &layout, &on);
  draw_cursor (few, marks.draw_begins, &layout, &begins);
  g_assert_cmpuint (count_ink (&on), >, count_ink (&off) + 1000);
  g_assert_cmpuint (count_ink (&begins), >, count_ink (&off) + 1000);

  tide_comparison_set_cursor (many, 2000);
  style.show_cursor = TRUE;
  tide_chart_draw (many, &style, low.cr, WIDTH, 260);
  g_assert_cmpuint (count_ink (&low), >, 10000);
}

/* --- sketch --- */

static void
test_sketch (void)
{
  g_auto (Paper) paper = paper_new (64, 20);
  g_auto (Paper) blank = paper_new (64, 20);
  TideRange ranges[64];

  for (guint i = 0; i < 64; i++)
    ranges[i] = (TideRange){ i < 32 ? 30 : 2, i < 32 ? 32 : 3 };
  tide_chart_draw_sketch (ranges, 64, (TideColor){ 0, 0, 1 }, paper.cr, 64, 20);
  g_assert_cmpuint (get_alpha (&paper, 10, 1), >, 128);
  g_assert_cmpuint (get_alpha (&paper, 10, 10), >, 20);
  g_assert_cmpuint (get_alpha (&paper, 10, 10), <, 80);
  g_assert_cmpuint (get_alpha (&paper, 50, 5), ==, 0);
  g_assert_cmpuint (get_alpha (&paper, 50, 17), >, 60);
  tide_chart_draw_sketch (ranges, 0, (TideColor){ 0, 0, 1 }, blank.cr, 64, 20);
  g_assert_cmpuint (count_ink (&blank), ==, 0);
  for (guint i = 0; i < 64; i++)
    ranges[i] = (TideRange){ 0, 0 };
  tide_chart_draw_sketch (ranges, 64, (TideColor){ 0, 0, 1 }, blank.cr, 64, 20);
  g_assert_cmpuint (count_ink (&blank), >, 60);
}

/* --- the strip --- */

static void
test_strip_range (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (2);
  double low, high;

  g_assert_true (tide_strip_get_range (comparison, 500, 3000, &low, &high));
  g_assert_cmpfloat_with_epsilon (low, -2.4, 0.2); /* 35.6 W against 38.0 W */
  g_assert_cmpfloat (high, >, 0);
  g_assert_cmpfloat (high, <, 1);
  g_assert_cmpfloat_with_epsilon (tide_strip_read (comparison, 1, 2000), -2.4, 0.2);
  g_assert_true (isnan (tide_strip_read (comparison, 0, 2000)));
  g_assert_true (isnan (tide_strip_read (comparison, 1, 1e6)));
  g_assert_false (tide_strip_get_range (comparison, 1e6, 2e6, &low, &high));
}

static gboolean
is_near (guint32 pixel, guint32 color)
{
  for (guint shift = 0; shift < 24; shift += 8)
    if (ABS ((int)(pixel >> shift & 0xFF) - (int)(color >> shift & 0xFF)) > 1)
      return FALSE;
  return TRUE;
}

/* Inside the band pale, outside in full colour, on either side of the crossing. */
static void
test_strip_colors (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun base = made_run ("Base", 20, 4200, 1), more = made_run ("More", 20, 4200, 2);
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 1200, 800);
  g_auto (Paper) paper = paper_new (1200, 800);
  TideChartLayout layout;
  guint full = 0, pale = 0;

  base.noise_w = more.noise_w = 0.4;
  base.spike_every_s = more.spike_every_s = 0;
  more.standing_w = base.standing_w + 3; /* the taper parts them */
  made_add (comparison, &base);
  made_add (comparison, &more);
  style.line_px = 4;
  tide_chart_draw (comparison, &style, paper.cr, 1200, 800);
  g_assert_true (tide_chart_layout (comparison, &style, 1200, 800, &layout));
  for (int y = (int)layout.strip.y; y < layout.strip.y + layout.strip.height; y++)
    {
      /* 45 % of ochre on white, and ochre: slot 2 of the house's table of colours. */
      pale += is_near (get_pixel (&paper, (int)tide_scale_to_px (&layout.x, 2000), y), 0xD7C9A3);
      full += is_near (get_pixel (&paper, (int)tide_scale_to_px (&layout.x, 10000), y), 0xA78833);
    }
  g_assert_cmpuint (pale, >, 0);
  g_assert_cmpuint (full, >, 0);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/chart/spike-of-one-sample", test_spike_of_one_sample);
  g_test_add_func ("/chart/same-picture", test_same_picture);
  g_test_add_func ("/chart/dashes-go-on", test_dashes_go_on);
  g_test_add_func ("/chart/gaps", test_gaps);
  g_test_add_func ("/chart/ground", test_ground);
  g_test_add_func ("/chart/line-has-its-color", test_line_has_its_color);
  g_test_add_func ("/chart/excuses", test_excuses);
  g_test_add_func ("/chart/no-space", test_no_space);
  g_test_add_func ("/chart/cursor", test_cursor);
  g_test_add_func ("/chart/cursor-rows", test_cursor_rows);
  g_test_add_func ("/chart/sketch", test_sketch);
  g_test_add_func ("/chart/strip-range", test_strip_range);
  g_test_add_func ("/chart/strip-colors", test_strip_colors);
  return g_test_run ();
}
