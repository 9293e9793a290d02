/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The legend, for where names at the curves' ends do not fit or their colours do not tell runs
 * apart: rows of entries above the plot, each a piece of the run's line and its name. What does not
 * fit is left out in this order: values, the ends of long names, the last runs, which are counted.
 */
#include "chart/chart-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* In units of the style's base. */
#define ENTRY_GAP        1.6
#define KEY_WIDTH        2.2
#define LEGEND_LINE      1.5
#define WIDEST_ENTRY     16.0
#define REST_WIDTH       6.0
#define ROWS_WITH_VALUES 3
/* Of the picture's height. */
#define HIGHEST_LEGEND 0.28

typedef struct
{
  double x, y, width; /* next free place; width of the rows */
  double line;
  guint rows;
} Flow;

static double
get_entry_width (const TidePlan *plan, const TideLabel *label)
{
  return (KEY_WIDTH + 0.5) * plan->style.base_px + label->width;
}

/* Gives the place of an entry of that width, in this row or the next. */
static double
flow_entry (Flow *flow, double width, double gap)
{
  double x = flow->x;

  if (x > 0 && x + width > flow->width)
    {
      flow->rows++;
      flow->y += flow->line;
      x = 0;
    }
  flow->x = x + width + gap;
  return x;
}

static guint
get_most_rows (const TidePlan *plan)
{
  return (guint)MAX (1,
                     floor (HIGHEST_LEGEND * plan->height / (LEGEND_LINE * plan->style.base_px)));
}

/* No entry is wider than half a row, or than what leaves room for counting the rest beside it. */
static TideLabel
make_entry (const TidePlan *plan, guint run, gboolean values)
{
  double u = plan->style.base_px, row = plan->width - 2 * plan->pad;
  double widest = MAX (row / 2, MIN (WIDEST_ENTRY * u, row - (REST_WIDTH + ENTRY_GAP) * u));
  TideLabel label = tide_label_make (plan, run, FALSE, widest - (KEY_WIDTH + 0.5) * u);

  if (!values)
    {
      g_clear_object (&label.value);
      label.width = tide_pencil_width (label.name);
    }
  return label;
}

static guint
count_rows (const TidePlan *plan, gboolean values)
{
  double u = plan->style.base_px;
  Flow flow = { .width = plan->width - 2 * plan->pad, .line = LEGEND_LINE * u, .rows = 1 };

  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideLabel label = make_entry (plan, run, values);
      flow_entry (&flow, get_entry_width (plan, &label), ENTRY_GAP * u);
      tide_label_clear (&label);
    }
  return flow.rows;
}

/* Values are dropped before names are. */
static gboolean
shows_values (const TidePlan *plan)
{
  return count_rows (plan, TRUE) <= MIN (get_most_rows (plan), ROWS_WITH_VALUES);
}

double
tide_legend_get_height (TidePlan *plan)
{
  return MIN (count_rows (plan, shows_values (plan)), get_most_rows (plan)) * LEGEND_LINE
         * plan->style.base_px;
}

/* "+ 3 more" in place of the entries that found none. */
static void
put_rest (TidePlan *plan, guint rest, double x, double y)
{
  g_autofree char *text = g_strdup_printf (_ ("+ %u more"), rest);
  PangoLayout *layout = tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_PLAIN, text);
  double room = plan->width - plan->pad - x;

  tide_pencil_limit (layout, room);
  tide_plan_put (plan, TIDE_TEXT_LEGEND, TIDE_NO_RUN, layout, x, y,
                 tide_color_quiet (plan->style.look));
}

static void
put_entry (TidePlan *plan, TideLabel *label, double x, double y)
{
  double u = plan->style.base_px;
  TideKey key = { label->run, x, y + label->height / 2, KEY_WIDTH * u };

  g_array_append_val (plan->keys, key);
  tide_label_put (plan, label, TIDE_TEXT_LEGEND, x + (KEY_WIDTH + 0.5) * u, y);
}

void
tide_legend_put (TidePlan *plan, double y)
{
  double u = plan->style.base_px, rest_width = REST_WIDTH * u;
  guint n = tide_comparison_get_n_runs (plan->comparison), most = get_most_rows (plan);
  Flow flow = { .width = plan->width - 2 * plan->pad, .line = LEGEND_LINE * u, .rows = 1 };
  gboolean values = shows_values (plan);

  for (guint run = 0; run < n; run++)
    {
      TideLabel label = make_entry (plan, run, values);
      double width = get_entry_width (plan, &label);
      gboolean last_row = flow.rows == most, last = run + 1 == n;
      double x, row_start = flow.x;

      /* In the last row keep room for saying how many are missing. */
      if (last_row && flow.x > 0 && flow.x + width + (last ? 0 : rest_width) > flow.width)
        {
          put_rest (plan, n - run, plan->pad + row_start, y + flow.y);
          tide_label_clear (&label);
          return;
        }
      x = flow_entry (&flow, width, ENTRY_GAP * u);
      put_entry (plan, &label, plan->pad + x, y + flow.y);
      tide_label_clear (&label);
    }
}

void
tide_legend_draw (const TidePlan *plan, cairo_t *cr)
{
  for (guint i = 0; i < plan->keys->len; i++)
    {
      const TideKey *key = &g_array_index (plan->keys, TideKey, i);
      guint slot = tide_plan_get_slot (plan, key->run);
      double pen = tide_plan_get_pen (plan, key->run);

      tide_pencil_set_color (cr, tide_palette_get_series (plan->style.look, slot), 1);
      cairo_set_line_width (cr, pen);
      tide_pencil_set_dash (cr, slot, pen, 0);
      cairo_new_path (cr);
      cairo_move_to (cr, key->x, key->y);
      cairo_line_to (cr, key->x + key->width, key->y);
      cairo_stroke (cr);
    }
  cairo_set_dash (cr, NULL, 0, 0);
}
