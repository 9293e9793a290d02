/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The order of the layers, the two styles, and the small sketch of a run.
 *
 * A drawing is a plan (layout.c) and layers over each other, the quiet ones first. Nothing is
 * kept between two drawings.
 */
#include "chart/chart-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define SCREEN_BASE 14.0
#define SCREEN_LINE 2.0

/* A picture of this height has an ordinary text of height / 54: 20 px of 1080. */
#define BASES_PER_HEIGHT 54.0
/* Upright pictures get their measure from the width: 40 characters' heights across. */
#define BASES_PER_WIDTH 40.0
/* Small pictures have larger text in proportion, as long as there is room for it at all. */
#define LEAST_BASE     12.0
#define SMALLEST_BASE  8.0
#define BASES_IN_SMALL 30.0
#define LEAST_LINE     1.4
/* Around a level, in bases: it may stand before spikes. */
#define LEVEL_SEAM 0.22

TideChartStyle
tide_chart_style_screen (TideLook look)
{
  return (TideChartStyle){
    .look = look, .base_px = SCREEN_BASE, .line_px = SCREEN_LINE, .show_cursor = TRUE
  };
}

TideChartStyle
tide_chart_style_publish (TideLook look, int width, int height)
{
  double base = MIN (height / BASES_PER_HEIGHT, width / BASES_PER_WIDTH);
  double least = CLAMP (MIN (width, height) / BASES_IN_SMALL, SMALLEST_BASE, LEAST_BASE);

  base = MAX (base, least);
  return (TideChartStyle){
    .look = look,
    .base_px = base,
    .line_px = MAX (base / 10, LEAST_LINE), /* height / 540 in a video's proportions */
    .paint_ground = TRUE,
    .show_title = TRUE,
  };
}

static void
draw_texts (const TidePlan *plan, cairo_t *cr)
{
  for (guint i = 0; i < plan->texts->len; i++)
    {
      const TideText *text = g_ptr_array_index (plan->texts, i);

      if (text->kind == TIDE_TEXT_LEVEL)
        tide_pencil_clear (cr, text->layout, text->box.x, text->box.y,
                           LEVEL_SEAM * plan->style.base_px,
                           tide_palette_get_ground (plan->style.look));
      tide_pencil_show (cr, text->layout, text->box.x, text->box.y, text->color);
    }
}

static void
draw_plan (const TidePlan *plan, cairo_t *cr)
{
  /* Coarser steps of grey at the edges of curves, for half the time; nobody sees them move. */
  cairo_set_antialias (cr, plan->quick ? CAIRO_ANTIALIAS_FAST : CAIRO_ANTIALIAS_DEFAULT);
  tide_axes_draw_grid (plan, cr);
  tide_marks_draw (plan, cr);
  tide_lines_draw (plan, cr);
  tide_strip_draw (plan, cr);
  tide_leaders_draw (plan, cr);
  tide_legend_draw (plan, cr);
  draw_texts (plan, cr);
}

/* What stands there instead of a chart. */
static void
draw_excuse (TideComparison *comparison,
             const TideChartStyle *style,
             cairo_t *cr,
             double width,
             double height)
{
  PangoContext *context = tide_pencil_context_new ();
  gboolean empty = tide_comparison_get_n_runs (comparison) == 0;
  g_autoptr (PangoLayout) layout =
      tide_pencil_text (context, style, TIDE_PRINT_PLAIN,
                        empty ? _ ("No run is chosen") : _ ("Too small to draw"));

  tide_pencil_limit (layout, width);
  tide_pencil_show (cr, layout, (width - tide_pencil_width (layout)) / 2,
                    (height - tide_pencil_height (layout)) / 2, tide_color_quiet (style->look));
  g_object_unref (context);
}

void
tide_chart_draw (TideComparison *comparison,
                 const TideChartStyle *style,
                 cairo_t *cr,
                 double width,
                 double height)
{
  g_autoptr (TidePlan) plan = tide_plan_new (comparison, style, width, height);

  cairo_save (cr);
  if (style->paint_ground)
    {
      tide_pencil_set_color (cr, tide_palette_get_ground (style->look), 1);
      cairo_rectangle (cr, 0, 0, width, height);
      cairo_fill (cr);
    }
  if (plan == NULL)
    draw_excuse (comparison, style, cr, width, height);
  else
    draw_plan (plan, cr);
  if (plan != NULL && style->show_cursor)
    tide_cursor_draw (plan, cr);
  cairo_restore (cr);
}

void
tide_chart_draw_cursor (TideComparison *comparison,
                        const TideChartStyle *style,
                        cairo_t *cr,
                        double width,
                        double height)
{
  g_autoptr (TidePlan) plan = NULL;

  if (!isfinite (tide_comparison_get_cursor (comparison)))
    return;
  plan = tide_plan_new (comparison, style, width, height);
  if (plan == NULL)
    return;
  cairo_save (cr);
  tide_cursor_draw (plan, cr);
  cairo_restore (cr);
}

/* --- the sketch --- */

static void
find_range (const TideRange *ranges, guint n, double *low, double *high)
{
  *low = 0;
  *high = 0;
  for (guint i = 0; i < n; i++)
    {
      *low = MIN (*low, ranges[i].low);
      *high = MAX (*high, ranges[i].high);
    }
  if (*high <= *low)
    *high = *low + 1;
}

void
tide_chart_draw_sketch (const TideRange *ranges,
                        guint n_ranges,
                        TideColor color,
                        cairo_t *cr,
                        double width,
                        double height)
{
  double low, high;

  if (n_ranges == 0)
    return;
  find_range (ranges, n_ranges, &low, &high);
  const TideScale y = { low, high, height - 1, 1 };

  cairo_save (cr);
  cairo_new_path (cr);
  for (guint i = 0; i < n_ranges; i++)
    cairo_line_to (cr, (i + 0.5) * width / n_ranges,
                   tide_scale_to_px (&y, (ranges[i].low + ranges[i].high) / 2) - 0.5);
  tide_pencil_set_color (cr, color, 1);
  cairo_set_line_width (cr, 1.2);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke_preserve (cr);
  cairo_line_to (cr, width - 0.5 * width / n_ranges, tide_scale_to_px (&y, 0));
  cairo_line_to (cr, 0.5 * width / n_ranges, tide_scale_to_px (&y, 0));
  cairo_close_path (cr);
  tide_pencil_set_color (cr, color, 0.15);
  cairo_fill (cr);
  cairo_restore (cr);
}
