/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the analysis found something: plateaus as soft bars behind their stretch with the level
 * beside them, draw begins and settles as short ticks that stand on the time axis.
 *
 * A level is written where no curve and no other text is; where there is no such place it is left
 * out: the reference's comes first, then the runs in their order. Spikes over a plateau must not
 * take the reference's away: it may stand before them, never before a trend. The values are in the
 * pane as well.
 */
#include "chart/chart-private.h"

#include <math.h>

#define BAR_ALPHA 0.25
/* In line widths. */
#define BAR_WIDTH 4.0
/* In units of the style's base. */
#define TICK_LENGTH 0.5
#define LEVEL_GAP   0.3
#define BUNDLE      0.45
#define BUNDLE_WIDE 0.65
#define OVERHANG    1.8
/* In widths of the text, how far to move it along its bar, and how often. */
#define LEVEL_STEP  0.35
#define LEVEL_TRIES 64
/* How far away from the bar, in steps of the gap: beyond a wide band of noise. */
#define LEVEL_DISTANCES 5

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

/* A level on its way to a place along its bar. */
typedef struct
{
  guint run;
  PangoLayout *layout;
  gboolean over_spikes;
} Level;

static gboolean
is_crossed (const TidePlan *plan, const Level *level, const TideRect *rect, guint except)
{
  return level->over_spikes ? tide_plan_is_on_line (plan, rect, except)
                            : tide_plan_is_crossed (plan, rect, except);
}

/* Puts the level with its top at y, when the place is free of curves and texts, and nothing but the
 * run's own curve is between it and its bar. */
static gboolean
put_level_at (TidePlan *plan, const Level *level, double x, double y, double bar)
{
  PangoLayout *layout = level->layout;
  double gap = LEVEL_GAP * plan->style.base_px;
  TideRect rect = { x, y, tide_pencil_width (layout), tide_pencil_height (layout) };
  TideRect wide = { x - gap, y - gap * 0.5, rect.width + 2 * gap, rect.height + gap };
  /* Curves that run along the bar, closer than half a line, are one bundle to the eye. */
  double half = (level->over_spikes ? BUNDLE_WIDE : BUNDLE) * plan->style.base_px;
  double bundle = y < bar ? bar - half : bar + half;
  TideRect between = { x, MIN (y, bundle), rect.width, fabs (bundle - y) };

  if (!tide_rect_contains (&plan->room.plot, &rect) || !tide_plan_is_free (plan, &wide)
      || is_crossed (plan, level, &wide, TIDE_NO_RUN)
      || is_crossed (plan, level, &between, level->run))
    return FALSE;
  tide_plan_put (plan, TIDE_TEXT_LEVEL, level->run, g_object_ref (layout), x, y,
                 tide_color_print (plan->style.look, tide_plan_get_slot (plan, level->run)));
  return TRUE;
}

/* Is another run's bar close above this one? Then its level goes below. */
static gboolean
is_overhung (const TidePlan *plan, guint run)
{
  double from, to, y, other_from, other_to, other_y;

  if (!find_bar (plan, run, &from, &to, &y))
    return FALSE;
  for (guint other = 0; other < tide_comparison_get_n_runs (plan->comparison); other++)
    if (other != run && find_bar (plan, other, &other_from, &other_to, &other_y) && other_from < to
        && from < other_to && other_y <= y && y - other_y < OVERHANG * plan->style.base_px)
      return TRUE;
  return FALSE;
}

/* Along the bar from its right end: as near to that end, then to the bar, as there is room. */
static gboolean
put_level_along (TidePlan *plan, const Level *level, gboolean below)
{
  double from, to, bar, gap = 1.2 * LEVEL_GAP * plan->style.base_px;
  double width = tide_pencil_width (level->layout), height = tide_pencil_height (level->layout);

  if (!find_bar (plan, level->run, &from, &to, &bar))
    return FALSE;
  for (guint away = 0; away < LEVEL_DISTANCES; away++)
    for (guint left = 1; left <= LEVEL_TRIES; left++)
      {
        double x = to - left * LEVEL_STEP * width, distance = gap * (1 + away);

        if (x < from)
          break;
        if (put_level_at (plan, level, x, below ? bar + distance : bar - distance - height, bar))
          return TRUE;
      }
  return FALSE;
}

static void
put_level (TidePlan *plan, guint run)
{
  double value = tide_comparison_get_marks (plan->comparison, run).plateau_level;
  gboolean below = is_overhung (plan, run);
  g_autofree char *text = tide_text_quantity (value, 1, TIDE_QUANTITY_POWER);
  g_autoptr (PangoLayout) layout =
      tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_SMALL, text);
  Level level = { run, layout, FALSE };

  if (put_level_along (plan, &level, below) || put_level_along (plan, &level, !below)
      || run != tide_comparison_get_reference (plan->comparison))
    return;
  level.over_spikes = TRUE;
  if (!put_level_along (plan, &level, FALSE))
    put_level_along (plan, &level, TRUE);
}

/* The reference first, then from the highest level down. */
static int
compare_levels (gconstpointer a, gconstpointer b, gpointer data)
{
  const guint *first = a, *second = b;
  TideComparison *comparison = data;
  guint reference = tide_comparison_get_reference (comparison);
  double level = tide_comparison_get_marks (comparison, *first).plateau_level;
  double other = tide_comparison_get_marks (comparison, *second).plateau_level;

  if ((*first == reference) != (*second == reference))
    return *first == reference ? -1 : 1;
  if (isfinite (level) && isfinite (other) && level != other)
    return level > other ? -1 : 1;
  return *first < *second ? -1 : 1;
}

void
tide_marks_put (TidePlan *plan)
{
  g_autoptr (GArray) order = tide_plan_get_order (plan);

  g_array_sort_with_data (order, compare_levels, plan->comparison);
  for (guint i = 0; i < order->len; i++)
    put_level (plan, g_array_index (order, guint, i));
}

static void
draw_tick (const TidePlan *plan, cairo_t *cr, double x, guint run)
{
  const TideRect *plot = &plan->room.plot;
  double px = tide_scale_to_px (&plan->room.x, x), bottom = plot->y + plot->height;

  if (!isfinite (x) || x < plan->room.x.low || x > plan->room.x.high)
    return;
  tide_pencil_line (cr, px, bottom, px, bottom + TICK_LENGTH * plan->style.base_px,
                    tide_plan_get_pen (plan, run));
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
