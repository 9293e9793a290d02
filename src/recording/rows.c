/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows into parts and samples, by their stamps. Linear where the stamps rise; sorting costs
 * O(n log n) of the part that needs it, and sorts indices, so that no column is moved twice.
 */
#include "recording/rows-private.h"

#include <math.h>

#include "recording/median.h"

#define DAY_S 86400.0

/* Two swapped rows of an even log step back by exactly one interval, give or take its rounding;
 * they are sorted, too. */
#define ROUNDING 1e-9

guint
tide_rows_count_days (double *times, gsize n, gsize *first_midnight)
{
  double before = times[0];
  guint n_days = 0;

  for (gsize i = 1; i < n; i++)
    {
      double now = times[i];

      if (before - now > DAY_S / 2 && n_days++ == 0)
        *first_midnight = i;
      before = now;
      times[i] = now + n_days * DAY_S;
    }
  return n_days;
}

static double
compute_median_step (const double *times, gsize n)
{
  g_autofree double *steps = g_new (double, n);
  gsize n_steps = 0;

  for (gsize i = 1; i < n; i++)
    if (times[i] > times[i - 1])
      steps[n_steps++] = times[i] - times[i - 1];
  return n_steps > 0 ? tide_select_median (steps, n_steps) : 0;
}

static gboolean
never_falls (const double *times, gsize n)
{
  for (gsize i = 1; i < n; i++)
    if (times[i] < times[i - 1])
      return FALSE;
  return TRUE;
}

/* Steps back are taken from the latest stamp so far, so that a clock creeping back is not sorted
 * row by row into what it had logged before. */
GArray *
tide_rows_split (const double *times, gsize n, guint most)
{
  g_autoptr (GArray) parts = g_array_new (FALSE, FALSE, sizeof (TidePart));
  TidePart part = { 0, n, FALSE };

  if (!never_falls (times, n))
    {
      double limit = compute_median_step (times, n) * (1 + ROUNDING);
      double latest = times[0];

      for (gsize i = 1; i < n; i++)
        {
          double back = latest - times[i];

          latest = back > limit ? times[i] : MAX (latest, times[i]);
          if (back > limit)
            {
              part.end = i;
              g_array_append_val (parts, part);
              part = (TidePart){ i, n, FALSE };
              if (parts->len == most)
                return NULL;
            }
          else if (back > 0)
            part.unsorted = TRUE;
        }
    }
  g_array_append_val (parts, part);
  return g_steal_pointer (&parts);
}

/* ---- The plan of a part ---- */

static int
compare_stamps_cb (gconstpointer a, gconstpointer b, gpointer times)
{
  gsize i = *(const gsize *)a, j = *(const gsize *)b;
  double x = ((const double *)times)[i], y = ((const double *)times)[j];

  /* Rows of one stamp keep the order of the file. */
  return x != y ? (x > y) - (x < y) : (i > j) - (i < j);
}

static void
order_rows (TidePlan *plan, double *times)
{
  double latest = times[plan->first];

  plan->order = g_new (gsize, plan->n_rows);
  for (gsize i = 0; i < plan->n_rows; i++)
    {
      gsize row = plan->first + i;

      plan->order[i] = row;
      if (times[row] < latest && plan->n_late++ == 0)
        plan->first_late = row;
      latest = MAX (latest, times[row]);
    }
  g_qsort_with_data (plan->order, (int)plan->n_rows, sizeof *plan->order, compare_stamps_cb, times);
}

static gsize
get_row (const TidePlan *plan, gsize position)
{
  return plan->order != NULL ? plan->order[position] : plan->first + position;
}

static gboolean
begins_sample (const TidePlan *plan, const double *times, gsize position)
{
  return position == 0 || times[get_row (plan, position)] != times[get_row (plan, position - 1)];
}

static void
group_rows (TidePlan *plan, const double *times)
{
  for (gsize i = 0; i < plan->n_rows; i++)
    if (!begins_sample (plan, times, i) && plan->n_equal++ == 0)
      plan->first_equal = get_row (plan, i);
  plan->n_samples = plan->n_rows - plan->n_equal;
  if (plan->n_equal == 0)
    return;

  gsize n = 0;
  plan->starts = g_new (gsize, plan->n_samples + 1);
  for (gsize i = 0; i < plan->n_rows; i++)
    if (begins_sample (plan, times, i))
      plan->starts[n++] = i;
  plan->starts[n] = plan->n_rows;
}

void
tide_plan_init (TidePlan *plan, double *times, const TidePart *part)
{
  *plan = (TidePlan){ .first = part->first, .n_rows = part->end - part->first };
  if (part->unsorted)
    order_rows (plan, times);

  /* Shifted before stamps are compared: two that differ by less than the shifted time can resolve
   * are equal from here on. */
  plan->start_s = times[get_row (plan, 0)];
  for (gsize i = part->first; i < part->end; i++)
    times[i] -= plan->start_s;
  group_rows (plan, times);
}

void
tide_plan_clear (TidePlan *plan)
{
  g_clear_pointer (&plan->order, g_free);
  g_clear_pointer (&plan->starts, g_free);
}

/* Equal values have themselves as mean, whatever rounding a sum would bring. */
static double
find_mean (const TidePlan *plan, const double *values, gsize from, gsize to)
{
  double first = values[get_row (plan, from)], sum = 0;
  gboolean differ = FALSE;

  for (gsize i = from; i < to; i++)
    {
      double value = values[get_row (plan, i)];

      sum += value;
      differ |= value != first;
    }
  return differ ? sum / (to - from) : first;
}

static double
find_furthest (const TidePlan *plan, const double *values, gsize from, gsize to)
{
  double furthest = values[get_row (plan, from)];

  for (gsize i = from + 1; i < to; i++)
    {
      double value = values[get_row (plan, i)];

      if (fabs (value) > fabs (furthest))
        furthest = value;
    }
  return furthest;
}

double *
tide_plan_gather (const TidePlan *plan, const double *values, gboolean is_counter)
{
  double *samples;

  if (plan->order == NULL && plan->starts == NULL)
    return g_memdup2 (values + plan->first, plan->n_rows * sizeof (double));

  samples = g_new (double, plan->n_samples);
  for (gsize k = 0; k < plan->n_samples; k++)
    if (plan->starts == NULL)
      samples[k] = values[get_row (plan, k)];
    else if (is_counter)
      samples[k] = find_furthest (plan, values, plan->starts[k], plan->starts[k + 1]);
    else
      samples[k] = find_mean (plan, values, plan->starts[k], plan->starts[k + 1]);
  return samples;
}
