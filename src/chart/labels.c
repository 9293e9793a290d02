/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names at the right ends of the curves.
 *
 * A name is wanted at the height of its curve's end. Names that would overlap are moved apart by as
 * little as can be (least squares: isotonic regression by pooling adjacent violators, Barlow et
 * al., 1972) and a thin line leads from the end to the name (leaders.c). A legend takes over where
 * the column of names would leave too little width to the curves, or where not all of them find a
 * place in it.
 */
#include "chart/chart-private.h"

#include <math.h>

/* In units of the style's base. */
#define LEAST_PLOT_WIDTH 22.0
#define VALUE_GAP        0.45
/* Of the picture's width. */
#define WIDEST_COLUMN 0.27
#define WIDE_COLUMN   0.20

void
tide_label_clear (gpointer data)
{
  TideLabel *label = data;

  g_clear_object (&label->name);
  g_clear_object (&label->value);
}

static double
get_baseline (PangoLayout *layout)
{
  return (double)pango_layout_get_baseline (layout) / PANGO_SCALE;
}

/* Fallback fonts have heights of their own: name and value stand on one line, not at one top. */
static void
measure (const TidePlan *plan, TideLabel *label)
{
  double name = tide_pencil_width (label->name), name_height = tide_pencil_height (label->name);

  label->width = name;
  label->height = name_height;
  label->name_y = label->value_y = 0;
  if (label->value == NULL)
    return;
  double value = tide_pencil_width (label->value), value_height = tide_pencil_height (label->value);

  if (label->below)
    {
      label->width = MAX (name, value);
      label->value_y = name_height;
    }
  else
    {
      label->width = name + VALUE_GAP * plan->style.base_px + value;
      label->name_y = MAX (0, get_baseline (label->value) - get_baseline (label->name));
      label->value_y = MAX (0, get_baseline (label->name) - get_baseline (label->value));
    }
  label->height = MAX (label->name_y + name_height, label->value_y + value_height);
}

TideLabel
tide_label_make (const TidePlan *plan, guint run, gboolean below, double widest)
{
  g_autofree char *value = tide_words_value (plan->comparison, run);
  TideLabel label = { .run = run, .below = below };

  label.name = tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_STRONG,
                                 tide_compared_run_get_name (
                                     tide_comparison_get_run (plan->comparison, run)));
  if (value != NULL)
    label.value = tide_pencil_text (plan->context, &plan->style, TIDE_PRINT_PLAIN, value);
  measure (plan, &label);
  if (label.width > widest)
    {
      double beside = label.value != NULL && !below
                          ? tide_pencil_width (label.value) + VALUE_GAP * plan->style.base_px
                          : 0;
      tide_pencil_limit (label.name, widest - beside);
      measure (plan, &label);
    }
  return label;
}

void
tide_label_put (TidePlan *plan, TideLabel *label, TideTextKind kind, double x, double y)
{
  TideColor color = tide_color_print (plan->style.look, tide_plan_get_slot (plan, label->run));
  TideRect name = tide_plan_put (plan, kind, label->run, g_steal_pointer (&label->name), x,
                                 y + label->name_y, color);

  if (label->value == NULL)
    return;
  if (!label->below)
    x += name.width + VALUE_GAP * plan->style.base_px;
  tide_plan_put (plan, kind, label->run, g_steal_pointer (&label->value), x, y + label->value_y,
                 tide_color_quiet (plan->style.look));
}

/* --- moving apart --- */

gboolean
tide_labels_relax (const double *wanted,
                   const double *heights,
                   guint n,
                   double low,
                   double high,
                   double *centres)
{
  g_autofree double *offset = g_new (double, n + 1), *sum = g_new (double, n + 1);
  g_autofree guint *count = g_new (guint, n + 1);
  double total = 0;
  guint blocks = 0, at = 0;

  for (guint i = 0; i < n; i++)
    {
      offset[i] = total + heights[i] / 2;
      total += heights[i];
    }
  if (total > high - low)
    return FALSE;
  /* Less the heights of those before it, each centre must not fall below the one before. */
  for (guint i = 0; i < n; i++)
    {
      sum[blocks] = wanted[i] - offset[i];
      count[blocks++] = 1;
      while (blocks > 1
             && sum[blocks - 2] / count[blocks - 2] > sum[blocks - 1] / count[blocks - 1])
        {
          sum[blocks - 2] += sum[blocks - 1];
          count[blocks - 2] += count[blocks - 1];
          blocks--;
        }
    }
  for (guint block = 0; block < blocks; block++)
    for (guint k = 0; k < count[block]; k++, at++)
      centres[at] = CLAMP (sum[block] / count[block], low, high - total) + offset[at];
  return TRUE;
}

/* --- the column --- */

/* Mean height of the curve over the last quarter of the view: it tells which of two curves
 * that end at the same height came from above. */
static double
find_mean_y (const TidePlan *plan, guint run)
{
  const TideScale *x = &plan->room.x;
  const guint n = 8;
  double sum = 0;
  guint count = 0;

  for (guint i = 0; i < n; i++)
    {
      double value = tide_comparison_read (plan->comparison, run,
                                           x->high - (x->high - x->low) * i / (4.0 * n));

      if (isfinite (value))
        {
          sum += tide_scale_to_px (&plan->room.y, value);
          count++;
        }
    }
  return count > 0 ? sum / count : plan->room.y.start_px;
}

static int
compare_labels (gconstpointer a, gconstpointer b, gpointer data)
{
  const TideLabel *first = a, *second = b;
  const double *line = data;
  double rows = round (first->end.y / *line) - round (second->end.y / *line);

  if (rows != 0)
    return rows < 0 ? -1 : 1;
  if (first->mean_y != second->mean_y)
    return first->mean_y < second->mean_y ? -1 : 1;
  return first->run < second->run ? -1 : 1;
}

/* The widest label and the height of all of them on each other. */
static void
measure_all (const TidePlan *plan, gboolean below, double *widest, double *total)
{
  *widest = *total = 0;
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideLabel label = tide_label_make (plan, run, below, INFINITY);

      *widest = MAX (*widest, label.width);
      *total += label.height;
      tide_label_clear (&label);
    }
}

/* Are values put under the names, because the column would be wide otherwise? */
static gboolean
stacks_values (const TidePlan *plan)
{
  double widest, total;

  measure_all (plan, FALSE, &widest, &total);
  return widest > WIDE_COLUMN * plan->width;
}

/* Do two runs have one colour? Names at the ends would not tell them apart; a legend shows their
 * dashes. */
static gboolean
shares_colors (const TidePlan *plan)
{
  gboolean taken[TIDE_N_SLOTS] = { FALSE };

  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      guint color = tide_plan_get_slot (plan, run) % TIDE_N_SLOTS;

      if (taken[color])
        return TRUE;
      taken[color] = TRUE;
    }
  return FALSE;
}

double
tide_labels_get_column (const TidePlan *plan, double plot_height)
{
  double u = plan->style.base_px, column, total;

  measure_all (plan, stacks_values (plan), &column, &total);
  column = ceil (MIN (column, WIDEST_COLUMN * plan->width));
  if (plan->width - column - 2 * plan->pad - 4 * u < LEAST_PLOT_WIDTH * u || total > plot_height
      || shares_colors (plan))
    return 0;
  return column;
}

/* Every run's label that ends in the view, with its end. */
static GArray *
collect_labels (TidePlan *plan, double widest)
{
  GArray *labels = g_array_new (FALSE, FALSE, sizeof (TideLabel));
  gboolean below = stacks_values (plan);

  g_array_set_clear_func (labels, tide_label_clear);
  for (guint run = 0; run < tide_comparison_get_n_runs (plan->comparison); run++)
    {
      TideTrace samples = tide_plan_get_line (plan, run);
      TidePoint end;

      if (tide_reduce_end (&samples, &plan->room.x, &plan->room.y, &end))
        {
          TideLabel label = tide_label_make (plan, run, below, widest);

          label.end = end;
          label.end.y =
              CLAMP (end.y, plan->room.plot.y, plan->room.plot.y + plan->room.plot.height);
          label.mean_y = find_mean_y (plan, run);
          g_array_append_val (labels, label);
        }
    }
  return labels;
}

/* The strip's zero line has a name as well. */
static void
put_reference (TidePlan *plan, double x)
{
  guint reference = tide_comparison_get_reference (plan->comparison);
  TideLabel label;
  double y;

  if (plan->room.strip.height <= 0)
    return;
  label = tide_label_make (plan, reference, FALSE, INFINITY);
  g_clear_object (&label.value);
  tide_pencil_limit (label.name, plan->width - plan->pad - x);
  y = tide_scale_to_px (&plan->room.strip_y, 0) - label.height / 2;
  tide_label_put (plan, &label, TIDE_TEXT_LABEL, x, y);
  tide_label_clear (&label);
}

void
tide_labels_put (TidePlan *plan)
{
  double u = plan->style.base_px, line = u, x = plan->room.plot.x + plan->room.plot.width + 0.9 * u;
  g_autoptr (GArray) labels = collect_labels (plan, plan->width - plan->pad - x);

  tide_leaders_put_early (plan, labels);
  guint n = labels->len;
  g_autofree double *wanted = g_new (double, n + 1), *heights = g_new (double, n + 1),
                    *centres = g_new (double, n + 1);
  const TideRect *plot = &plan->room.plot;

  put_reference (plan, x);
  g_array_sort_with_data (labels, compare_labels, &line);
  for (guint i = 0; i < n; i++)
    {
      const TideLabel *label = &g_array_index (labels, TideLabel, i);
      wanted[i] = label->end.y;
      heights[i] = label->height;
    }
  if (!tide_labels_relax (wanted, heights, n, plot->y - 0.5 * u, plot->y + plot->height + 0.7 * u,
                          centres))
    return;
  for (guint i = 0; i < n; i++)
    {
      TideLabel *label = &g_array_index (labels, TideLabel, i);
      tide_leaders_add (plan, label, x, centres[i]);
      tide_label_put (plan, label, TIDE_TEXT_LABEL, x, centres[i] - label->height / 2);
    }
}
