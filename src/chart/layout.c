/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where everything stands: the plan of a picture.
 *
 * From top to bottom: title, subtitle, legend (if any), title of the y axis, plot, title of the
 * strip, strip, tick labels, title of the x axis, foot. Where the height does not carry all of it,
 * parts are left out in the order of how little they are missed, until the plot has a height worth
 * drawing in; where even that fails there is no plan. Positions come from the extents of the texts,
 * so they hold for any font. All edges of plot and strip are whole pixels.
 */
#include "chart/chart-private.h"

#include <math.h>

/* In units of the style's base. */
#define LEAST_PLOT_HEIGHT  9.0
#define LEAST_STRIP_HEIGHT 3.6
#define SMALLEST_HEIGHT    3.5
#define SMALLEST_WIDTH     7.0
#define STRIP_SHARE        0.27
#define FOOT_LINES         3

/* The texts around the plot that may be left out; NULL: left out. */
typedef enum
{
  PART_TITLE,
  PART_SUBTITLE,
  PART_FOOT,
  PART_X,
  PART_Y,
  PART_STRIP,
  N_PARTS
} Part;

typedef struct
{
  PangoLayout *text[N_PARTS];
  double y[N_PARTS];
  double tick_height, legend_height, legend_y;
} Parts;

static void
free_text (gpointer data)
{
  TideText *text = data;

  g_object_unref (text->layout);
  g_free (text);
}

TideRect
tide_plan_put (TidePlan *plan,
               TideTextKind kind,
               guint run,
               PangoLayout *layout,
               double x,
               double y,
               TideColor color)
{
  TideText *text = g_new (TideText, 1);

  *text = (TideText){ .kind = kind, .run = run, .layout = layout, .color = color };
  text->box = (TideRect){ x, y, tide_pencil_width (layout), tide_pencil_height (layout) };
  g_ptr_array_add (plan->texts, text);
  return text->box;
}

static gboolean
is_led_through (const TidePlan *plan, const TideRect *rect)
{
  for (guint i = 0; i < plan->leaders->len; i++)
    {
      const TideLeader *leader = &g_array_index (plan->leaders, TideLeader, i);

      for (guint k = 1; k < leader->n; k++)
        {
          TideRect way = { MIN (leader->x[k - 1], leader->x[k]),
                           MIN (leader->y[k - 1], leader->y[k]) - 1,
                           fabs (leader->x[k] - leader->x[k - 1]),
                           fabs (leader->y[k] - leader->y[k - 1]) + 2 };
          if (tide_rect_overlaps (&way, rect))
            return TRUE;
        }
    }
  return FALSE;
}

gboolean
tide_plan_has_text (const TidePlan *plan, const TideRect *rect)
{
  for (guint i = 0; i < plan->texts->len; i++)
    {
      const TideText *text = g_ptr_array_index (plan->texts, i);

      if (tide_rect_overlaps (&text->box, rect))
        return TRUE;
    }
  return FALSE;
}

gboolean
tide_plan_is_free (const TidePlan *plan, const TideRect *rect)
{
  const TideRect whole = { 0, 0, plan->width, plan->height };

  return tide_rect_contains (&whole, rect) && !tide_plan_has_text (plan, rect)
         && !is_led_through (plan, rect);
}

/* --- the texts --- */

static PangoLayout *
make_part (TidePlan *plan, TidePrint print, char *text)
{
  PangoLayout *layout = text != NULL && *text != '\0'
                            ? tide_pencil_text (plan->context, &plan->style, print, text)
                            : NULL;

  g_free (text);
  return layout;
}

static gboolean
wants_strip (TideComparison *comparison)
{
  if (!tide_comparison_get_show_strip (comparison))
    return FALSE;
  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    if (tide_comparison_get_difference (comparison, i) != NULL)
      return TRUE;
  return FALSE;
}

static void
make_parts (TidePlan *plan, Parts *parts)
{
  double width = plan->width - 2 * plan->pad;
  g_autoptr (PangoLayout) tick =
      tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_SMALL, "0");

  if (plan->style.show_title)
    {
      parts->text[PART_TITLE] =
          make_part (plan, TIDE_PRINT_TITLE, tide_words_title (plan->comparison));
      parts->text[PART_SUBTITLE] =
          make_part (plan, TIDE_PRINT_PLAIN, tide_words_subtitle (plan->comparison));
      parts->text[PART_FOOT] =
          make_part (plan, TIDE_PRINT_SMALL, tide_words_foot (plan->comparison));
    }
  parts->text[PART_X] = make_part (plan, TIDE_PRINT_PLAIN, tide_words_x (plan->comparison));
  parts->text[PART_Y] = make_part (plan, TIDE_PRINT_PLAIN, tide_words_y (plan->comparison));
  if (wants_strip (plan->comparison))
    parts->text[PART_STRIP] =
        make_part (plan, TIDE_PRINT_PLAIN, tide_words_strip (plan->comparison));
  for (Part part = 0; part < N_PARTS; part++)
    if (parts->text[part] != NULL)
      tide_pencil_wrap (parts->text[part], width,
                        part == PART_FOOT    ? FOOT_LINES
                        : part == PART_TITLE ? 2
                                             : 1);
  parts->tick_height = tide_pencil_height (tick);
}

static void
clear_parts (Parts *parts)
{
  for (Part part = 0; part < N_PARTS; part++)
    g_clear_object (&parts->text[part]);
}

/* --- from top to bottom --- */

/* Moves *y down over a part, if it is there, and the gap below it. */
static void
stack_down (Parts *parts, Part part, double *y, double gap)
{
  if (parts->text[part] == NULL)
    return;
  parts->y[part] = *y;
  *y += tide_pencil_height (parts->text[part]) + gap;
}

static void
stack_up (Parts *parts, Part part, double *y, double gap)
{
  if (parts->text[part] == NULL)
    return;
  *y -= tide_pencil_height (parts->text[part]);
  parts->y[part] = *y;
  *y -= gap;
}

/* Gives plot and strip their heights; what is left for the plot may be anything. */
static void
stack_parts (TidePlan *plan, Parts *parts)
{
  double u = plan->style.base_px, top = plan->pad, bottom = plan->height - plan->pad;
  double tick = parts->tick_height / 2 + 0.35 * u, between, room;
  gboolean head = parts->text[PART_TITLE] != NULL || parts->text[PART_SUBTITLE] != NULL;

  stack_down (parts, PART_TITLE, &top, 0.1 * u);
  stack_down (parts, PART_SUBTITLE, &top, 0);
  top += head ? 0.9 * u : 0;
  parts->legend_y = top;
  top += parts->legend_height > 0 ? parts->legend_height + 0.5 * u : 0;
  stack_down (parts, PART_Y, &top, tick);
  stack_up (parts, PART_FOOT, &bottom, 0.7 * u);
  stack_up (parts, PART_X, &bottom, 0.15 * u);
  bottom -= parts->tick_height + 0.7 * u;

  between = parts->text[PART_STRIP] != NULL
                ? 2 * tick + 0.3 * u + tide_pencil_height (parts->text[PART_STRIP])
                : 0;
  top = ceil (top);
  bottom = floor (bottom);
  room = bottom - top - between;
  plan->room.strip = (TideRect){ 0 };
  if (between > 0)
    {
      plan->room.strip.height = MAX (floor (room * STRIP_SHARE), 0);
      plan->room.strip.y = bottom - plan->room.strip.height;
      room = floor (room - plan->room.strip.height);
      parts->y[PART_STRIP] =
          plan->room.strip.y - tick - tide_pencil_height (parts->text[PART_STRIP]);
    }
  plan->room.plot.y = top;
  plan->room.plot.height = floor (room);
}

static gboolean
is_high_enough (const TidePlan *plan, const Parts *parts)
{
  double u = plan->style.base_px;

  return plan->room.plot.height >= LEAST_PLOT_HEIGHT * u
         && (parts->text[PART_STRIP] == NULL || plan->room.strip.height >= LEAST_STRIP_HEIGHT * u);
}

/* Leaves out parts, the least missed first, until plot and strip are high enough. */
static gboolean
fit_parts (TidePlan *plan, Parts *parts)
{
  static const Part spared[] = { PART_STRIP, PART_SUBTITLE, PART_X, PART_TITLE, PART_FOOT };

  stack_parts (plan, parts);
  for (guint i = 0; i < G_N_ELEMENTS (spared) && !is_high_enough (plan, parts); i++)
    {
      g_clear_object (&parts->text[spared[i]]);
      stack_parts (plan, parts);
    }
  return plan->room.plot.height >= SMALLEST_HEIGHT * plan->style.base_px;
}

/* --- from left to right --- */

static gboolean
fit_width (TidePlan *plan, double column)
{
  TideChartLayout *room = &plan->room;
  double u = plan->style.base_px, left, right;

  tide_axes_scale_y (plan);
  if (!tide_comparison_get_view (plan->comparison, &room->x.low, &room->x.high))
    return FALSE;
  tide_axes_scale_strip (plan);
  left = ceil (plan->pad + tide_axes_get_left (plan) + 0.5 * u);
  right = floor (plan->width - plan->pad - (column > 0 ? column + 0.9 * u : 0.3 * u));
  if (right - left < SMALLEST_WIDTH * u)
    return FALSE;
  room->plot.x = left;
  room->plot.width = right - left;
  room->x.start_px = left;
  room->x.end_px = right;
  if (room->strip.height > 0)
    {
      room->strip.x = left;
      room->strip.width = right - left;
    }
  return TRUE;
}

/* Labels at the curves where they have room, else a legend, for which everything moves down. */
static gboolean
fit_labels (TidePlan *plan, Parts *parts)
{
  double column = tide_labels_get_column (plan, plan->room.plot.height);

  plan->legend = column <= 0;
  if (plan->legend)
    {
      parts->legend_height = tide_legend_get_height (plan);
      if (!fit_parts (plan, parts))
        return FALSE;
    }
  return fit_width (plan, column);
}

static void
put_parts (TidePlan *plan, Parts *parts)
{
  static const TideTextKind kinds[N_PARTS] = {
    TIDE_TEXT_TITLE, TIDE_TEXT_SUBTITLE, TIDE_TEXT_FOOT,
    TIDE_TEXT_AXIS,  TIDE_TEXT_AXIS,     TIDE_TEXT_AXIS
  };
  TideColor ink = tide_palette_get_ink (plan->style.look),
            quiet = tide_color_quiet (plan->style.look);

  for (Part part = 0; part < N_PARTS; part++)
    if (parts->text[part] != NULL)
      {
        double x = plan->pad, width = tide_pencil_width (parts->text[part]);

        if (part == PART_X)
          x = MAX (plan->pad, plan->room.plot.x + (plan->room.plot.width - width) / 2);
        tide_plan_put (plan, kinds[part], TIDE_NO_RUN, g_steal_pointer (&parts->text[part]), x,
                       parts->y[part], part == PART_TITLE ? ink : quiet);
      }
}

static gboolean
fill_plan (TidePlan *plan, Parts *parts)
{
  make_parts (plan, parts);
  if (!fit_parts (plan, parts) || !fit_labels (plan, parts))
    return FALSE;
  put_parts (plan, parts);
  tide_axes_put_ticks (plan);
  if (plan->legend)
    tide_legend_put (plan, parts->legend_y);
  else
    tide_labels_put (plan);
  tide_marks_put (plan);
  return TRUE;
}

TidePlan *
tide_plan_new (TideComparison *comparison, const TideChartStyle *style, double width, double height)
{
  g_autoptr (TidePlan) plan = g_new0 (TidePlan, 1);
  Parts parts = { 0 };
  gboolean filled;

  plan->comparison = comparison;
  plan->style = *style;
  plan->quick = !style->paint_ground; /* that is a widget */
  plan->width = width;
  plan->height = height;
  plan->pad = round ((style->show_title ? 1.5 : 0.8) * style->base_px);
  plan->context = tide_pencil_context_new ();
  plan->texts = g_ptr_array_new_with_free_func (free_text);
  plan->leaders = g_array_new (FALSE, FALSE, sizeof (TideLeader));
  plan->keys = g_array_new (FALSE, FALSE, sizeof (TideKey));
  if (tide_comparison_get_n_runs (comparison) == 0)
    return NULL;
  filled = fill_plan (plan, &parts);
  clear_parts (&parts);
  return filled ? g_steal_pointer (&plan) : NULL;
}

void
tide_plan_free (TidePlan *plan)
{
  g_ptr_array_unref (plan->texts);
  g_array_unref (plan->leaders);
  g_array_unref (plan->keys);
  g_object_unref (plan->context);
  g_free (plan);
}

gboolean
tide_chart_layout (TideComparison *comparison,
                   const TideChartStyle *style,
                   double width,
                   double height,
                   TideChartLayout *layout)
{
  g_autoptr (TidePlan) plan = tide_plan_new (comparison, style, width, height);

  if (plan == NULL)
    return FALSE;
  *layout = plan->room;
  return TRUE;
}
