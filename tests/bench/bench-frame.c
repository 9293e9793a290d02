/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One frame of the chart: 8 runs of a million samples into an image of 1400 × 900, whole and zoomed
 * in by powers of ten. Held against the same with 10,000 samples a run (a frame must not grow with
 * the log), and against cairo doing nothing but stroking 8 zig-zags: of as many points as a picture
 * of that width can show (4 a column), and of 10,000.
 *
 * Then the first frame of two runs that were just measured, against the frames that follow.
 */
#include <cairo.h>
#include <math.h>

#include "bench/bench.h"
#include "bench/logs.h"
#include "chart/chart.h"

#define WIDTH       1400
#define HEIGHT      900
#define N_RUNS      8
#define N_LONG      1000000
#define N_SHORT     10000
#define N_DECIMATED (4 * WIDTH)

typedef struct
{
  TideComparison *comparison;
  double around, width; /* of the view, as shares of everything */
  guint n_points;       /* of a zig-zag */
  cairo_surface_t *surface;
} Canvas;

static cairo_t *
begin_frame (Canvas *canvas)
{
  cairo_t *cr = cairo_create (canvas->surface);

  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_paint (cr);
  return cr;
}

static void
end_frame (Canvas *canvas, cairo_t *cr)
{
  g_assert (cairo_status (cr) == CAIRO_STATUS_SUCCESS);
  cairo_destroy (cr);
  cairo_surface_flush (canvas->surface);
}

static void
draw_chart (gpointer data)
{
  Canvas *canvas = data;
  TideChartStyle style = tide_chart_style_screen (TIDE_LOOK_LIGHT);
  cairo_t *cr = begin_frame (canvas);

  tide_chart_draw (canvas->comparison, &style, cr, WIDTH, HEIGHT);
  end_frame (canvas, cr);
}

/* Moves the view a little, as a pan does; nothing of the frame before can be kept. */
static void
pan (gpointer data)
{
  Canvas *canvas = data;
  double start, end;

  g_assert (tide_comparison_get_extent (canvas->comparison, &start, &end));
  canvas->around = fmod (canvas->around + 0.07, 1);
  tide_comparison_set_view (
      canvas->comparison, start + (end - start) * (1 - canvas->width) * canvas->around,
      start + (end - start) * ((1 - canvas->width) * canvas->around + canvas->width));
}

/* Strokes of 1,000 points, since cairo's time grows faster than a path. */
static void
stroke_zigzags (gpointer data)
{
  Canvas *canvas = data;
  cairo_t *cr = begin_frame (canvas);

  cairo_set_line_width (cr, 2);
  for (guint run = 0; run < N_RUNS; run++)
    {
      cairo_set_source_rgb (cr, run / 8.0, 0.4, 0.6);
      for (guint i = 0; i < canvas->n_points; i++)
        {
          double x = (double)i * WIDTH / canvas->n_points,
                 y = 100.0 * run + (i % 4 < 2 ? 40 : 50 + i % 7);

          cairo_line_to (cr, x, y);
          if (i % 1000 == 999 || i + 1 == canvas->n_points)
            {
              cairo_stroke (cr);
              cairo_move_to (cr, x, y);
            }
        }
      cairo_new_path (cr);
    }
  end_frame (canvas, cr);
}

static void
race_frames (Canvas *million, Canvas *short_runs, const char *name, double width)
{
  Canvas decimated = { .n_points = N_DECIMATED, .surface = million->surface };
  Canvas all = { .n_points = N_SHORT, .surface = million->surface };

  million->width = short_runs->width = width;
  bench_race ((BenchRunner[]){ { name, draw_chart, pan, million, NULL },
                               { "10k-samples", draw_chart, pan, short_runs, NULL },
                               { "stroke-decimated", stroke_zigzags, NULL, &decimated, NULL },
                               { "stroke-10k", stroke_zigzags, NULL, &all, NULL } },
              4);
}

static void
make_anew (gpointer data)
{
  Canvas *canvas = data;

  g_clear_object (&canvas->comparison);
  canvas->comparison = log_make_comparison (2, N_LONG);
}

static void
race_first_frame (cairo_surface_t *surface)
{
  Canvas fresh = { .surface = surface };
  Canvas warm = { .surface = surface, .comparison = log_make_comparison (2, N_LONG) };

  bench_race ((BenchRunner[]){ { "first-frame-2x1m", draw_chart, make_anew, &fresh, NULL },
                               { "next-frame", draw_chart, NULL, &warm, NULL } },
              2);
  g_object_unref (fresh.comparison);
  g_object_unref (warm.comparison);
}

int
main (void)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  Canvas million = { .surface = surface, .comparison = log_make_comparison (N_RUNS, N_LONG) };
  Canvas short_runs = { .surface = surface, .comparison = log_make_comparison (N_RUNS, N_SHORT) };

  race_frames (&million, &short_runs, "frame-8x1m-whole", 1);
  race_frames (&million, &short_runs, "frame-8x1m-tenth", 0.1);
  race_frames (&million, &short_runs, "frame-8x1m-hundredth", 0.01);
  race_frames (&million, &short_runs, "frame-8x1m-thousandth", 0.001);
  g_object_unref (million.comparison);
  g_object_unref (short_runs.comparison);
  race_first_frame (surface);
  cairo_surface_destroy (surface);
  return 0;
}
