/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The axes: what range they show, where their ticks stand, the grid behind the curves.
 *
 * Power, current, voltage and energy are shown from zero, so that heights can be compared; only
 * what is really negative takes the axis below it. The highest sample is always inside: a spike may
 * press the rest down, but it is not hidden.
 */
#include "chart/chart-private.h"

#include <math.h>

/* Above the highest value, of the range. */
#define HEADROOM 0.05
/* A whole tick above is taken into the axis when it costs no more than this of the range. */
#define TICK_ROOM 0.12
/* Noise about zero reaches a little below it: not worth a tick of its own. */
#define SMALL_NEGATIVE 0.05
#define MOST_X_TICKS   6
#define FEW_X_TICKS    5
/* Between the axis and its labels, where the marks stand, in units of the style's base. */
#define MARK_ROOM 0.7

static guint
choose_wanted (double px, double per_tick_px, guint least, guint most)
{
  return (guint)CLAMP (px / per_tick_px, least, most);
}

/* The next whole tick outside, when it is near enough; else a little air. */
static double
choose_end (double end, double range, double step)
{
  double tick = end > 0 ? ceil (end / step - 1e-9) * step : floor (end / step + 1e-9) * step;

  return fabs (tick - end) <= TICK_ROOM * range ? tick : end + copysign (HEADROOM * range, end);
}

static void
choose_range (double *low, double *high, guint wanted)
{
  double range, step;

  *low = MIN (*low, 0);
  *high = MAX (*high, 0);
  if (*high <= *low)
    *high = *low + 1;
  range = *high - *low;
  step = tide_ticks_plain (*low, *high, wanted).step;
  if (*high > SMALL_NEGATIVE * range)
    *high = choose_end (*high, range, step);
  if (*low < -SMALL_NEGATIVE * range)
    *low = choose_end (*low, range, step);
  else if (*low < 0)
    *low -= 0.01 * range;
}

void
tide_axes_scale_y (TidePlan *plan)
{
  TideChartLayout *room = &plan->room;
  guint wanted = choose_wanted (room->plot.height, 3.2 * plan->style.base_px, 3, 6);
  double low, high;

  if (!tide_comparison_get_y_range (plan->comparison, &low, &high))
    {
      low = 0;
      high = 1;
    }
  choose_range (&low, &high, wanted);
  room->y = (TideScale){ low, high, room->plot.y + room->plot.height, room->plot.y };
  plan->y_ticks = tide_ticks_plain (low, high, wanted);
}

void
tide_axes_scale_strip (TidePlan *plan)
{
  TideChartLayout *room = &plan->room;
  guint wanted = choose_wanted (room->strip.height, 2.2 * plan->style.base_px, 2, 4);
  double low = 0, high = 0, least;

  if (room->strip.height <= 0)
    return;
  tide_strip_get_range (plan->comparison, room->x.low, room->x.high, &low, &high);
  /* Where runs are as good as equal, a strip that fills itself with rounding errors would lie. */
  least = (room->y.high - room->y.low) / 100;
  low = MIN (low, -least);
  high = MAX (high, least);
  low -= (high - low) * HEADROOM;
  high += (high - low) * HEADROOM;
  room->strip_y = (TideScale){ low, high, room->strip.y + room->strip.height, room->strip.y };
  plan->strip_ticks = tide_ticks_plain (low, high, wanted);
}

static PangoLayout *
make_tick (const TidePlan *plan, char *text)
{
  PangoLayout *layout = tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_SMALL, text);

  g_free (text);
  return layout;
}

static char *
make_y_text (const TideTicks *ticks, guint k, gboolean difference)
{
  double value = tide_ticks_get_value (ticks, k);

  return difference ? tide_text_signed (value, value == 0 ? 0 : ticks->decimals)
                    : tide_text_number (value, value == 0 ? 0 : ticks->decimals);
}

static double
measure_ticks (const TidePlan *plan, const TideTicks *ticks, gboolean difference)
{
  double widest = 0;

  for (guint k = 0; k < ticks->count; k++)
    {
      g_autoptr (PangoLayout) layout = make_tick (plan, make_y_text (ticks, k, difference));
      widest = MAX (widest, tide_pencil_width (layout));
    }
  return widest;
}

double
tide_axes_get_left (const TidePlan *plan)
{
  double plot = measure_ticks (plan, &plan->y_ticks, FALSE);
  double strip = plan->room.strip.height > 0 ? measure_ticks (plan, &plan->strip_ticks, TRUE) : 0;

  return MAX (plot, strip);
}

static void
put_y_ticks (TidePlan *plan, const TideTicks *ticks, const TideScale *scale, gboolean difference)
{
  for (guint k = 0; k < ticks->count; k++)
    {
      PangoLayout *layout = make_tick (plan, make_y_text (ticks, k, difference));
      double x = plan->room.plot.x - 0.5 * plan->style.base_px - tide_pencil_width (layout);
      double y = tide_scale_to_px (scale, tide_ticks_get_value (ticks, k))
                 - tide_pencil_height (layout) / 2;

      tide_plan_put (plan, TIDE_TEXT_TICK, TIDE_NO_RUN, layout, x, y,
                     tide_color_quiet (plan->style.look));
    }
}

static TideTicks
make_x_ticks (const TidePlan *plan, guint wanted)
{
  const TideScale *x = &plan->room.x;

  return tide_comparison_get_x (plan->comparison) == TIDE_AXIS_TIME
             ? tide_ticks_time (x->low, x->high, wanted)
             : tide_ticks_plain (x->low, x->high, wanted);
}

static char *
make_x_text (const TidePlan *plan, const TideTicks *ticks, guint k)
{
  double value = tide_ticks_get_value (ticks, k);

  return tide_comparison_get_x (plan->comparison) == TIDE_AXIS_TIME
             ? tide_ticks_time_label (ticks, value)
             : tide_text_number (value, ticks->decimals);
}

/* Where tick k's label starts: under its tick, but inside the picture. */
static double
place_x_label (const TidePlan *plan, const TideTicks *ticks, guint k, PangoLayout *layout)
{
  double centre = tide_scale_to_px (&plan->room.x, tide_ticks_get_value (ticks, k));
  double width = tide_pencil_width (layout), edge = plan->pad / 2;

  return CLAMP (centre - width / 2, edge, MAX (edge, plan->width - edge - width));
}

static gboolean
x_labels_fit (const TidePlan *plan, const TideTicks *ticks)
{
  double free_from = -INFINITY;

  for (guint k = 0; k < ticks->count; k++)
    {
      g_autoptr (PangoLayout) layout = make_tick (plan, make_x_text (plan, ticks, k));
      double x = place_x_label (plan, ticks, k, layout);

      if (x < free_from)
        return FALSE;
      free_from = x + tide_pencil_width (layout) + 0.9 * plan->style.base_px;
    }
  return TRUE;
}

static double
get_bottom (const TidePlan *plan)
{
  const TideRect *low = plan->room.strip.height > 0 ? &plan->room.strip : &plan->room.plot;

  return low->y + low->height;
}

static void
put_x_ticks (TidePlan *plan)
{
  guint wanted = choose_wanted (plan->room.plot.width, 6.5 * plan->style.base_px, 2, MOST_X_TICKS);

  plan->x_ticks = make_x_ticks (plan, wanted);
  /* A clock's steps lie far apart: one tick too many reads better than two too few. */
  if (wanted == MOST_X_TICKS && plan->x_ticks.count < FEW_X_TICKS)
    plan->x_ticks = make_x_ticks (plan, ++wanted);
  while (wanted > 2 && !x_labels_fit (plan, &plan->x_ticks))
    plan->x_ticks = make_x_ticks (plan, --wanted);
  /* Not even two beside each other: the first alone. */
  if (!x_labels_fit (plan, &plan->x_ticks))
    plan->x_ticks.count = 1;
  for (guint k = 0; k < plan->x_ticks.count; k++)
    {
      PangoLayout *layout = make_tick (plan, make_x_text (plan, &plan->x_ticks, k));

      tide_plan_put (plan, TIDE_TEXT_TICK, TIDE_NO_RUN, layout,
                     place_x_label (plan, &plan->x_ticks, k, layout),
                     get_bottom (plan) + MARK_ROOM * plan->style.base_px,
                     tide_color_quiet (plan->style.look));
    }
}

void
tide_axes_put_ticks (TidePlan *plan)
{
  put_y_ticks (plan, &plan->y_ticks, &plan->room.y, FALSE);
  if (plan->room.strip.height > 0)
    put_y_ticks (plan, &plan->strip_ticks, &plan->room.strip_y, TRUE);
  put_x_ticks (plan);
}

static void
draw_rows (const TidePlan *plan,
           cairo_t *cr,
           const TideTicks *ticks,
           const TideScale *scale,
           const TideRect *rect)
{
  TideColor ink = tide_palette_get_ink (plan->style.look);
  double hairline = MAX (1, round (plan->style.base_px / 20));

  for (guint k = 0; k < ticks->count; k++)
    {
      double value = tide_ticks_get_value (ticks, k);
      double y = tide_scale_to_px (scale, value);

      tide_pencil_set_color (cr, ink, value == 0 ? 0.30 : 0.08);
      tide_pencil_line (cr, rect->x, y, rect->x + rect->width, y, hairline);
    }
}

void
tide_axes_draw_grid (const TidePlan *plan, cairo_t *cr)
{
  const TideChartLayout *room = &plan->room;
  double bottom = get_bottom (plan), hairline = MAX (1, round (plan->style.base_px / 20));

  draw_rows (plan, cr, &plan->y_ticks, &room->y, &room->plot);
  if (room->strip.height > 0)
    draw_rows (plan, cr, &plan->strip_ticks, &room->strip_y, &room->strip);
  tide_pencil_set_color (cr, tide_palette_get_ink (plan->style.look), 0.30);
  for (guint k = 0; k < plan->x_ticks.count; k++)
    {
      double x = tide_scale_to_px (&room->x, tide_ticks_get_value (&plan->x_ticks, k));
      tide_pencil_line (cr, x, bottom, x, bottom + 0.35 * plan->style.base_px, hairline);
    }
}
