/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The crosshair: one thin line through plot and strip, a dot on each curve it meets, and a small
 * column of values on the side with more room, in the order of the curves at that moment. Runs
 * that have no value there are left out; where the column would be higher than the plot its last
 * rows are counted instead.
 */
#include "chart/chart-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* In units of the style's base. */
#define GAP     0.7
#define PADDING 0.6
#define KEY     1.1
#define ROW     1.5
#define NAME    14.0
#define NEAR    0.4

typedef struct
{
  guint run;
  double value;
  double difference; /* to the reference's value in this column, NaN for the reference itself */
  double strip;      /* where the strip's line is, that is smoothed; NaN where it has none */
  PangoLayout *name, *number, *change; /* change may be NULL */
} Row;

static void
clear_row (gpointer data)
{
  Row *row = data;

  g_clear_object (&row->name);
  g_clear_object (&row->number);
  g_clear_object (&row->change);
}

static int
compare_rows (gconstpointer a, gconstpointer b)
{
  const Row *first = a, *second = b;

  if (first->value != second->value)
    return first->value > second->value ? -1 : 1;
  return first->run < second->run ? -1 : 1;
}

static PangoLayout *
make_text (const TidePlan *plan, TidePrint print, const char *text)
{
  PangoLayout *layout = tide_pencil_text (plan->context, &plan->style, print, text);

  tide_pencil_limit (layout, NAME * plan->style.base_px);
  return layout;
}

static void
fill_row (const TidePlan *plan, Row *row)
{
  TideQuantity y = tide_comparison_get_y (plan->comparison);
  int decimals = tide_quantity_get_decimals (y);
  g_autofree char *number = tide_text_quantity (row->value, decimals, y);
  TideComparedRun *run = tide_comparison_get_run (plan->comparison, row->run);

  row->name = make_text (plan, TIDE_PRINT_PLAIN, tide_compared_run_get_name (run));
  row->number = make_text (plan, TIDE_PRINT_PLAIN, number);
  if (isfinite (row->difference))
    {
      g_autofree char *change = tide_text_signed (row->difference, decimals);
      row->change = make_text (plan, TIDE_PRINT_SMALL, change);
    }
}

static GArray *
collect_rows (const TidePlan *plan, double x)
{
  GArray *rows = g_array_new (FALSE, FALSE, sizeof (Row));
  gboolean has_strip = plan->room.strip.height > 0;
  guint reference = tide_comparison_get_reference (plan->comparison);
  double reference_value = tide_comparison_read (plan->comparison, reference, x);

  g_array_set_clear_func (rows, clear_row);
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      Row row = { .run = run,
                  .value = tide_comparison_read (plan->comparison, run, x),
                  .difference = NAN,
                  .strip = NAN };

      if (!isfinite (row.value))
        continue;
      /* What a reader would work out from the two values beside it. */
      if (run != reference)
        row.difference = row.value - reference_value;
      if (has_strip)
        row.strip = tide_strip_read (plan->comparison, run, x);
      g_array_append_val (rows, row);
    }
  g_array_sort (rows, compare_rows);
  for (guint i = 0; i < rows->len; i++)
    fill_row (plan, &g_array_index (rows, Row, i));
  return rows;
}

/* --- the line and the dots --- */

static void
draw_dot (const TidePlan *plan, cairo_t *cr, double x, double y, guint run)
{
  double radius = 1.6 * plan->style.line_px;

  cairo_new_path (cr);
  cairo_arc (cr, x, y, radius, 0, 2 * G_PI);
  tide_pencil_set_color (cr,
                         tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, run)),
                         1);
  cairo_fill_preserve (cr);
  tide_pencil_set_color (cr, tide_palette_get_ground (plan->style.look), 1);
  cairo_set_line_width (cr, plan->style.line_px / 2);
  cairo_stroke (cr);
}

static void
draw_line (const TidePlan *plan, cairo_t *cr, double px)
{
  const TideRect *low = plan->room.strip.height > 0 ? &plan->room.strip : &plan->room.plot;

  tide_pencil_set_color (cr, tide_palette_get_ink (plan->style.look), 0.55);
  tide_pencil_line (cr, px, plan->room.plot.y, px, low->y + low->height, 1);
}

static void
draw_dots (const TidePlan *plan, cairo_t *cr, double px, GArray *rows)
{
  const TideChartLayout *room = &plan->room;

  for (guint i = rows->len; i-- > 0;)
    {
      const Row *row = &g_array_index (rows, Row, i);
      double y = tide_scale_to_px (&room->y, row->value);

      if (y >= room->plot.y - 1 && y <= room->plot.y + room->plot.height + 1)
        draw_dot (plan, cr, px, y, row->run);
      if (isfinite (row->strip))
        draw_dot (plan, cr, px, tide_scale_to_px (&room->strip_y, row->strip), row->run);
    }
}

/* --- the column --- */

/* "Base port settles" when the cursor is at such a mark; NULL else. Transfer full. */
static char *
find_mark (const TidePlan *plan, double px)
{
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideRunMarks marks = tide_comparison_get_marks (plan->comparison, run);
      const char *name =
          tide_compared_run_get_name (tide_comparison_get_run (plan->comparison, run));
      double near_px = NEAR * plan->style.base_px;

      if (isfinite (marks.settles)
          && fabs (tide_scale_to_px (&plan->room.x, marks.settles) - px) <= near_px)
        return g_strdup_printf (_ ("%s settles"), name);
      if (isfinite (marks.draw_begins)
          && fabs (tide_scale_to_px (&plan->room.x, marks.draw_begins) - px) <= near_px)
        return g_strdup_printf (_ ("%s: draw begins"), name);
    }
  return NULL;
}

/* The column's texts and measures. */
typedef struct
{
  PangoLayout *head, *mark, *rest; /* mark, rest: may be NULL */
  GArray *rows;
  guint n_shown;
  double name, number, change; /* widths */
  TideRect box;
} Column;

static void
measure_column (const TidePlan *plan, Column *column)
{
  double u = plan->style.base_px, inner;

  for (guint i = 0; i < column->n_shown; i++)
    {
      const Row *row = &g_array_index (column->rows, Row, i);

      column->name = MAX (column->name, tide_pencil_width (row->name));
      column->number = MAX (column->number, tide_pencil_width (row->number));
      if (row->change != NULL)
        column->change = MAX (column->change, tide_pencil_width (row->change));
    }
  inner = KEY * u + column->name + GAP * u + column->number
          + (column->change > 0 ? GAP * u + column->change : 0);
  inner = MAX (inner, tide_pencil_width (column->head));
  if (column->mark != NULL)
    inner = MAX (inner, tide_pencil_width (column->mark));
  column->box.width = inner + 2 * PADDING * u;
  column->box.height =
      (1 + (column->mark != NULL) + column->n_shown + (column->rest != NULL)) * ROW * u
      + 2 * PADDING * u;
}

static void
place_column (const TidePlan *plan, Column *column, double px)
{
  const TideRect *plot = &plan->room.plot;
  double gap = GAP * plan->style.base_px;
  gboolean right = plot->x + plot->width - px >= px - plot->x;

  column->box.x = right ? px + gap : px - gap - column->box.width;
  column->box.x = CLAMP (column->box.x, 0, MAX (0, plan->width - column->box.width));
  column->box.y = plot->y + gap;
}

static void
draw_frame (const TidePlan *plan, cairo_t *cr, const TideRect *box)
{
  double radius = 0.4 * plan->style.base_px;

  cairo_new_path (cr);
  cairo_arc (cr, box->x + box->width - radius, box->y + radius, radius, -G_PI / 2, 0);
  cairo_arc (cr, box->x + box->width - radius, box->y + box->height - radius, radius, 0, G_PI / 2);
  cairo_arc (cr, box->x + radius, box->y + box->height - radius, radius, G_PI / 2, G_PI);
  cairo_arc (cr, box->x + radius, box->y + radius, radius, G_PI, 3 * G_PI / 2);
  cairo_close_path (cr);
  tide_pencil_set_color (cr, tide_palette_get_ground (plan->style.look), 0.94);
  cairo_fill_preserve (cr);
  tide_pencil_set_color (cr, tide_palette_get_ink (plan->style.look), 0.18);
  cairo_set_line_width (cr, 1);
  cairo_stroke (cr);
}

static void
draw_row (const TidePlan *plan, cairo_t *cr, const Column *column, const Row *row, double y)
{
  double u = plan->style.base_px, x = column->box.x + PADDING * u;
  double right = column->box.x + column->box.width - PADDING * u;
  TideColor ink = tide_palette_get_ink (plan->style.look);
  double middle = y + tide_pencil_height (row->name) / 2;

  tide_pencil_set_color (
      cr, tide_palette_get_series (plan->style.look, tide_plan_get_slot (plan, row->run)), 1);
  cairo_rectangle (cr, x, middle - 0.15 * u, 0.7 * u, 0.3 * u);
  cairo_fill (cr);
  tide_pencil_show (cr, row->name, x + KEY * u, y, ink);
  if (row->change != NULL)
    tide_pencil_show (cr, row->change, right - tide_pencil_width (row->change),
                      middle - tide_pencil_height (row->change) / 2,
                      tide_color_quiet (plan->style.look));
  right -= column->change > 0 ? column->change + GAP * u : 0;
  tide_pencil_show (cr, row->number, right - tide_pencil_width (row->number), y, ink);
}

static void
draw_column (const TidePlan *plan, cairo_t *cr, const Column *column)
{
  double u = plan->style.base_px, x = column->box.x + PADDING * u, y = column->box.y + PADDING * u;
  TideColor ink = tide_palette_get_ink (plan->style.look),
            quiet = tide_color_quiet (plan->style.look);

  draw_frame (plan, cr, &column->box);
  tide_pencil_show (cr, column->head, x, y, ink);
  y += ROW * u;
  if (column->mark != NULL)
    {
      tide_pencil_show (cr, column->mark, x, y, quiet);
      y += ROW * u;
    }
  for (guint i = 0; i < column->n_shown; i++, y += ROW * u)
    draw_row (plan, cr, column, &g_array_index (column->rows, Row, i), y);
  if (column->rest != NULL)
    tide_pencil_show (cr, column->rest, x, y, quiet);
}

static void
fill_column (const TidePlan *plan, Column *column, double x, double px)
{
  double u = plan->style.base_px;
  g_autofree char *moment =
      tide_words_moment (plan->comparison, x, plan->room.x.high - plan->room.x.low);
  g_autofree char *mark = find_mark (plan, px);
  guint most = (guint)MAX (1, floor (plan->room.plot.height / (ROW * u)) - 3);

  column->head = make_text (plan, TIDE_PRINT_STRONG, moment);
  column->mark = mark != NULL ? make_text (plan, TIDE_PRINT_SMALL, mark) : NULL;
  column->n_shown = MIN (column->rows->len, most);
  if (column->n_shown < column->rows->len)
    {
      g_autofree char *rest =
          g_strdup_printf (_ ("+ %u more"), column->rows->len - column->n_shown);
      column->rest = make_text (plan, TIDE_PRINT_SMALL, rest);
    }
  measure_column (plan, column);
  place_column (plan, column, px);
}

void
tide_cursor_draw (const TidePlan *plan, cairo_t *cr)
{
  double x = tide_comparison_get_cursor (plan->comparison), px;
  g_autoptr (GArray) rows = NULL;
  Column column = { 0 };

  if (!isfinite (x) || x < plan->room.x.low || x > plan->room.x.high)
    return;
  px = tide_scale_to_px (&plan->room.x, x);
  rows = collect_rows (plan, x);
  column.rows = rows;
  fill_column (plan, &column, x, px);
  draw_line (plan, cr, px);
  draw_dots (plan, cr, px, rows);
  draw_column (plan, cr, &column);
  g_clear_object (&column.head);
  g_clear_object (&column.mark);
  g_clear_object (&column.rest);
}
