/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the analysis found something: plateaus as soft bars behind their stretch with the level
 * beside them, draw begins and settles as short ticks that stand on the time axis.
 *
 * A level is written where no curve and no other text is; where there is no such place it is left out:
 * the reference's comes first, then the runs in their order. The values are in the pane as well.
 */
#include "chart/chart-private.h"

#include <math.h>

#define BAR_ALPHA 0.25
/* In line widths. */
#define BAR_WIDTH 4.0
/* In units of the style's base. */
#define TICK_LENGTH 0.55

static gboolean
shows_levels (const TidePlan *plan)
{
  return tide_comparison_get_y (plan->comparison) == TIDE_QUANTITY_POWER;
}

/* The part of the plateau's bar in view, in px; FALSE when there is none. */
static gboolean
find_bar (const TidePlan *plan, guint run, double *from, double *to, double *y)
{
  const TideScale *x = &plan->room.x;
  TideRunMarks marks = tide_comparison_get_marks (plan->comparison, run);

  if (!shows_levels (plan) || !isfinite (marks.plateau_start) || !isfinite (marks.plateau_end)
      || !isfinite (marks.plateau_level))
    return FALSE;
  *from = tide_scale_to_px (x, MAX (marks.plateau_start, x->low));
  *to = tide_scale_to_px (x, MIN (marks.plateau_end, x->high));
  *y = tide_scale_to_px (&plan->room.y, marks.plateau_level);
  return *from < *to && *y >= plan->room.plot.y && *y <= plan->room.plot.y + plan->room.plot.height;
}

static gboolean
is_crossed (const TidePlan *plan, const TideRect *rect)
{
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideSamples samples = tide_plan_get_logged (plan, run);

      if (tide_reduce_touches (&samples, &plan->room.x, &plan->room.y, rect))
        return TRUE;
    }
  return FALSE;
}

static gboolean
put_level_at (TidePlan *plan, guint run, PangoLayout *layout, double x, double y)
{
  double u = plan->style.base_px;
  TideRect rect = { x, y, tide_pencil_width (layout), tide_pencil_height (layout) };
  TideRect wide = { x - 0.3 * u, y, rect.width + 0.6 * u, rect.height };

  if (!tide_rect_contains (&plan->room.plot, &rect) || !tide_plan_is_free (plan, &wide) || is_crossed (plan, &wide))
    return FALSE;
  tide_plan_put (plan, TIDE_TEXT_LEVEL, run, g_object_ref (layout), x, y,
                 tide_color_print (plan->style.look, tide_plan_get_slot (plan, run)));
  return TRUE;
}

/* Tries places from the bar's right end on: above and below it, in rising distance, then further left. */
static void
put_level (TidePlan *plan, guint run)
{
  double from, to, y, u = plan->style.base_px;
  g_autoptr (PangoLayout) layout = NULL;
  g_autofree char *text = NULL;
  double width, height;

  if (!find_bar (plan, run, &from, &to, &y))
    return;
  text = tide_text_quantity (tide_comparison_get_marks (plan->comparison, run).plateau_level, 1, TIDE_QUANTITY_POWER);
  layout = tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_SMALL, text);
  width = tide_pencil_width (layout);
  height = tide_pencil_height (layout);
  for (guint left = 0; left < 4; left++)
    for (guint away = 0; away < 5; away++)
      {
        double x = to - width * (0.8 + 0.7 * left), distance = (0.35 + 0.3 * away) * u;

        if (x + width < from)
          return;
        if (put_level_at (plan, run, layout, x, y - distance - height)
            || put_level_at (plan, run, layout, x, y + distance))
          return;
      }
}

void
tide_marks_put (TidePlan *plan)
{
  guint reference = tide_comparison_get_reference (plan->comparison);

  put_level (plan, reference);
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    if (run != reference)
      put_level (plan, run);
}

static void
draw_tick (const TidePlan *plan, cairo_t *cr, double x, guint run)
{
  const TideRect *plot = &plan->room.plot;
  double px = tide_scale_to_px (&plan->room.x, x), bottom = plot->y + plot->height;

  if (!isfinite (x) || x < plan->room.x.low || x > plan->room.x.high)
    return;
  tide_pencil_line (cr, px, bottom, px, bottom + TICK_LENGTH * plan->style.base_px, tide_plan_get_pen (plan, run));
}

void
tide_marks_draw (const TidePlan *plan, cairo_t *cr)
{
  g_autoptr (GArray) order = tide_plan_get_order (plan);

  cairo_save (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  for (guint i = 0; i < order->len; i++)
    {
      guint run = g_array_index (order, guint, i);
      TideRunMarks marks = tide_comparison_get_marks (plan->comparison, run);
      TideColor color = tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, run));
      double from, to, y;

      tide_pencil_set_color (cr, color, BAR_ALPHA);
      if (find_bar (plan, run, &from, &to, &y))
        tide_pencil_line (cr, from, y, to, y, BAR_WIDTH * plan->style.line_px);
      tide_pencil_set_color (cr, color, 1);
      draw_tick (plan, cr, marks.draw_begins, run);
      draw_tick (plan, cr, marks.settles, run);
    }
  cairo_restore (cr);
}
