/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ways from the curves' ends to their names.
 *
 * A curve that ends early has its name at its end, or close to it where no curve crosses; where
 * there is no such place, its name stands in the column with the others and a dotted line leads
 * there. No line leads through a text.
 */
#include "chart/chart-private.h"

#include <math.h>

/* From a curve's end to its name: the first ring of places to try, and how many. */
#define NEAR_END  0.6
#define END_RINGS 8

/* The label at a place reached from the end by going so far in a direction. */
static TideRect
place_from_end (const TideLabel *label, double far, double degrees)
{
  double dx = cos (degrees * G_PI / 180), dy = -sin (degrees * G_PI / 180);
  TideRect rect = { label->end.x + far * dx, label->end.y + far * dy, label->width, label->height };

  rect.x -= dx > 0.3 ? 0 : dx < -0.3 ? rect.width : rect.width / 2;
  rect.y -= fabs (dy) < 0.5 ? rect.height / 2 : dy > 0 ? 0 : rect.height;
  return rect;
}

/* From the end to the label's nearest place; nothing where they are beside each other. */
static gboolean
lead_to (TidePlan *plan, const TideLabel *label, const TideRect *rect, double far)
{
  double u = plan->style.base_px;
  double x = CLAMP (label->end.x, rect->x - 0.2 * u, rect->x + rect->width + 0.2 * u);
  double y = CLAMP (label->end.y, rect->y - 0.15 * u, rect->y + rect->height + 0.15 * u);
  double way = hypot (x - label->end.x, y - label->end.y);
  TideLeader leader = { .run = label->run, .n = 2 };

  if (far < NEAR_END * u * 1.5)
    return TRUE;
  leader.x[0] = label->end.x + (x - label->end.x) * 0.35 * u / way;
  leader.y[0] = label->end.y + (y - label->end.y) * 0.35 * u / way;
  leader.x[1] = x;
  leader.y[1] = y;
  const TideRect covered = { MIN (leader.x[0], x), MIN (leader.y[0], y), fabs (x - leader.x[0]),
                             fabs (y - leader.y[0]) };
  if (tide_plan_has_text (plan, &covered))
    return FALSE;
  g_array_append_val (plan->leaders, leader);
  return TRUE;
}

/* Near its end, in the plot, where nothing else is: beside it if that can be, else led to. Only for
 * ends so early that the column would be far away. */
static gboolean
put_at_end (TidePlan *plan, TideLabel *label)
{
  static const double directions[] = { 0, 45, -45, 90, -90, 135, -135, 180 };
  const TideRect *plot = &plan->room.plot;
  double u = plan->style.base_px, margin = 0.25 * u;

  if (label->end.x + NEAR_END * u + label->width > plot->x + plot->width - u)
    return FALSE;
  for (guint ring = 1; ring <= END_RINGS; ring++)
    for (guint i = 0; i < G_N_ELEMENTS (directions); i++)
      {
        double far = NEAR_END * u * ring;
        TideRect rect = place_from_end (label, far, directions[i]);
        TideRect wide = { rect.x - margin, rect.y - margin / 2, rect.width + 2 * margin,
                          rect.height + margin };

        if (!tide_rect_contains (plot, &rect) || !tide_plan_is_free (plan, &wide)
            || tide_plan_is_crossed (plan, &wide, TIDE_NO_RUN)
            || !lead_to (plan, label, &rect, far))
          continue;
        tide_label_put (plan, label, TIDE_TEXT_LABEL, rect.x, rect.y);
        return TRUE;
      }
  return FALSE;
}

static int
compare_ends (gconstpointer a, gconstpointer b)
{
  const TideLabel *first = a, *second = b;

  if (first->end.x != second->end.x)
    return first->end.x > second->end.x ? -1 : 1;
  return first->run < second->run ? -1 : 1;
}

static double
get_right (const TidePlan *plan)
{
  return plan->room.plot.x + plan->room.plot.width;
}

static gboolean
ends_early (const TidePlan *plan, const TideLabel *label)
{
  return label->end.x < get_right (plan) - plan->style.base_px;
}

/* The first part of the way from an early end to the column, before other names bar it. */
static void
keep_way (TidePlan *plan, const TideLabel *label)
{
  double start = label->end.x + 0.35 * plan->style.base_px, right = get_right (plan),
         y = label->end.y;
  TideRect way = { start, y - 1, right - start, 2 };
  TideLeader leader = { .run = label->run, .n = 2, .x = { start, right }, .y = { y, y } };

  if (ends_early (plan, label) && !tide_plan_has_text (plan, &way))
    g_array_append_val (plan->leaders, leader);
}

/* Puts what ends early at its end and takes it out. The last to end chooses first: another's name
 * right of its end would be taken for its own, and bar the way to the column. */
void
tide_leaders_put_early (TidePlan *plan, GArray *labels)
{
  g_array_sort (labels, compare_ends);
  for (guint i = 0; i < labels->len;)
    if (put_at_end (plan, &g_array_index (labels, TideLabel, i)))
      g_array_remove_index (labels, i);
    else
      keep_way (plan, &g_array_index (labels, TideLabel, i++));
}

static TideLeader *
find_way (const TidePlan *plan, guint run)
{
  for (guint i = 0; i < plan->leaders->len; i++)
    if (g_array_index (plan->leaders, TideLeader, i).run == run)
      return &g_array_index (plan->leaders, TideLeader, i);
  return NULL;
}

/* Where the way would lead through a text there is none: the colour has to do. */
void
tide_leaders_add (TidePlan *plan, const TideLabel *label, double x, double y)
{
  double u = plan->style.base_px;
  TideLeader leader = { .run = label->run, .n = 2 }, *way = find_way (plan, label->run);

  if (way != NULL)
    {
      way->x[way->n] = x - 0.2 * u;
      way->y[way->n++] = y;
    }
  if (ends_early (plan, label) || fabs (y - label->end.y) < 0.35 * u)
    return;
  leader.x[0] = label->end.x + 0.35 * u;
  leader.y[0] = label->end.y;
  leader.x[1] = x - 0.2 * u;
  leader.y[1] = y;
  g_array_append_val (plan->leaders, leader);
}

void
tide_leaders_draw (const TidePlan *plan, cairo_t *cr)
{
  double width = MAX (1, plan->style.base_px / 16);
  const double dots[] = { width, 3 * width };

  cairo_save (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  cairo_set_line_width (cr, width);
  for (guint i = 0; i < plan->leaders->len; i++)
    {
      const TideLeader *leader = &g_array_index (plan->leaders, TideLeader, i);

      tide_pencil_set_color (cr,
                             tide_palette_get_series (plan->style.look,
                                                      tide_plan_get_slot (plan, leader->run)),
                             0.6);
      /* A long way is dotted: a line would be read as the curve going on. */
      cairo_set_dash (cr, dots, leader->n > 2 ? G_N_ELEMENTS (dots) : 0, 0);
      cairo_new_path (cr);
      for (guint k = 0; k < leader->n; k++)
        cairo_line_to (cr, leader->x[k], leader->y[k]);
      cairo_stroke (cr);
    }
  cairo_restore (cr);
}
