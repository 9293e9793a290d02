/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Publishing 4 runs of a million samples: PNG at 1080p, against an empty picture of that size
 * through cairo's own PNG writer; SVG, against cairo's SVG of one stroke of 10,000 points, in time
 * and in size.
 */
#include <cairo-svg.h>

#include "bench/bench.h"
#include "bench/logs.h"
#include "chart/publish.h"

#define WIDTH    1920
#define HEIGHT   1080
#define N_POINTS 10000

typedef struct
{
  TideComparison *comparison;
  TideFormat format;
  guint64 bytes; /* of the last file */
} Export;

static void
publish (gpointer data)
{
  Export *export = data;
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, WIDTH, HEIGHT);
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes =
      tide_publish_to_bytes (export->comparison, &style, WIDTH, HEIGHT, export->format, &error);

  g_assert_no_error (error);
  export->bytes = g_bytes_get_size (bytes);
}

static cairo_status_t
count_cb (void *closure, const unsigned char *data, unsigned int length)
{
  *(guint64 *)closure += length;
  return CAIRO_STATUS_SUCCESS;
}

static void
write_empty_png (gpointer data)
{
  Export *export = data;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);

  export->bytes = 0;
  g_assert (cairo_surface_write_to_png_stream (surface, count_cb, &export->bytes)
            == CAIRO_STATUS_SUCCESS);
  cairo_surface_destroy (surface);
}

static void
write_svg_stroke (gpointer data)
{
  Export *export = data;
  cairo_surface_t *surface;
  cairo_t *cr;

  export->bytes = 0;
  surface = cairo_svg_surface_create_for_stream (count_cb, &export->bytes, WIDTH, HEIGHT);
  cr = cairo_create (surface);
  for (guint i = 0; i < N_POINTS; i++)
    cairo_line_to (cr, (double)i * WIDTH / N_POINTS, 500 + (i * 7919 % 1000) / 10.0);
  cairo_stroke (cr);
  cairo_destroy (cr);
  cairo_surface_finish (surface);
  cairo_surface_destroy (surface);
}

int
main (void)
{
  g_autoptr (TideComparison) million = log_make_comparison (4, 1000000);
  g_autoptr (TideComparison) short_runs = log_make_comparison (4, 10000);
  Export png = { .comparison = million, .format = TIDE_FORMAT_PNG };
  Export svg = { .comparison = million, .format = TIDE_FORMAT_SVG };
  Export short_svg = { .comparison = short_runs, .format = TIDE_FORMAT_SVG };
  Export empty = { 0 }, stroke = { 0 };

  bench_race ((BenchRunner[]){ { "png-4x1m", publish, NULL, &png, &png.bytes },
                               { "empty", write_empty_png, NULL, &empty, &empty.bytes } },
              2);
  bench_race ((BenchRunner[]){ { "svg-4x1m", publish, NULL, &svg, &svg.bytes },
                               { "10k-samples", publish, NULL, &short_svg, &short_svg.bytes },
                               { "stroke-10k", write_svg_stroke, NULL, &stroke, &stroke.bytes } },
              3);
  bench_size ("svg-bytes-4x1m", svg.bytes, "stroke-10k", stroke.bytes);
  return 0;
}
