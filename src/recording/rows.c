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

gsize
tide_rows_count_days (TideDays *days, gboolean is_clock, double *times, gsize n)
{
  gsize first_midnight = n;

  if (!is_clock && days->n == 0)
    return n;
  for (gsize i = 0; i < n; i++)
    {
      double now = times[i];

      if (is_clock && days->is_begun && days->before_s - now > DAY_S / 2 && days->n++ == 0)
        first_midnight = i;
      days->is_begun = TRUE;
      days->before_s = now;
      times[i] = now + days->n * DAY_S;
    }
  return first_midnight;
}

double
tide_rows_median_step (const double *times, gsize n, gsize stride)
{
  g_autofree double *steps = g_new (double, n / stride + 1);
  gsize n_steps = 0;

  for (gsize i = 1; i < n; i += stride)
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
static gboolean
steps_back (const TideFront *front, double latest_s, double time_s, double limit)
{
  return latest_s - time_s > limit || time_s - front->start_s <= front->floor_s;
}

static GArray *
split_at_falls (const double *times, gsize n, gsize n_known, TideFront front, guint most)
{
  g_autoptr (GArray) parts = g_array_new (FALSE, FALSE, sizeof (TidePart));
  double limit = tide_rows_median_step (times, n, 1) * (1 + ROUNDING);
  double latest_s = times[0];
  TidePart part = { 0, n, FALSE };

  for (gsize i = 1; i < n; i++)
    {
      if (i >= n_known && steps_back (&front, latest_s, times[i], limit))
        {
          part.end = i;
          g_array_append_val (parts, part);
          part = (TidePart){ i, n, FALSE };
          front = TIDE_FRONT_NONE;
          latest_s = times[i];
          if (parts->len == most)
            return NULL;
        }
      part.unsorted |= times[i] < latest_s;
      latest_s = MAX (latest_s, times[i]);
    }
  g_array_append_val (parts, part);
  return g_steal_pointer (&parts);
}

GArray *
tide_rows_split (const double *times, gsize n, gsize n_known, TideFront front, guint most)
{
  TidePart part = { 0, n, FALSE };
  GArray *parts;

  if (!never_falls (times, n))
    return split_at_falls (times, n, n_known, front, most);
  parts = g_array_new (FALSE, FALSE, sizeof (TidePart));
  g_array_append_val (parts, part);
  return parts;
}

/* ---- The plan of a part ---- */

double
tide_part_find_start (const double *times, const TidePart *part)
{
  double start_s = times[part->first];

  for (gsize i = part->first; part->unsorted && i < part->end; i++)
    start_s = MIN (start_s, times[i]);
  return start_s;
}

static int
compare_stamps_cb (gconstpointer a, gconstpointer b, gpointer stamps)
{
  gsize i = *(const gsize *)a, j = *(const gsize *)b;
  double x = ((const double *)stamps)[i], y = ((const double *)stamps)[j];

  /* Rows of one stamp keep the order of the file. */
  return x != y ? (x > y) - (x < y) : (i > j) - (i < j);
}

static void
order_rows (TidePlan *plan, const double *stamps, gsize n_known)
{
  double latest = stamps[plan->first];

  plan->order = g_new (gsize, plan->n_rows);
  for (gsize i = 0; i < plan->n_rows; i++)
    {
      gsize row = plan->first + i;

      plan->order[i] = row;
      if (stamps[row] < latest && row >= n_known && plan->n_late++ == 0)
        plan->first_late = row;
      latest = MAX (latest, stamps[row]);
    }
  g_qsort_with_data (plan->order, (int)plan->n_rows, sizeof *plan->order, compare_stamps_cb,
                     (gpointer)stamps);
}

static gsize
get_row (const TidePlan *plan, gsize position)
{
  return plan->order != NULL ? plan->order[position] : plan->first + position;
}

static gboolean
begins_sample (const TidePlan *plan, const double *stamps, gsize position)
{
  return position == 0 || stamps[get_row (plan, position)] != stamps[get_row (plan, position - 1)];
}

static void
group_rows (TidePlan *plan, const double *stamps)
{
  plan->n_samples = 0;
  for (gsize i = 0; i < plan->n_rows; i++)
    plan->n_samples += begins_sample (plan, stamps, i);
  if (plan->n_samples == plan->n_rows)
    return;

  gsize n = 0;
  plan->starts = g_new (gsize, plan->n_samples + 1);
  for (gsize i = 0; i < plan->n_rows; i++)
    if (begins_sample (plan, stamps, i))
      plan->starts[n++] = i;
  plan->starts[n] = plan->n_rows;
}

void
tide_plan_init (TidePlan *plan, const double *stamps, const TidePart *part, gsize n_known)
{
  *plan = (TidePlan){ .first = part->first, .n_rows = part->end - part->first };
  if (part->unsorted)
    order_rows (plan, stamps, n_known);
  group_rows (plan, stamps);
}

void
tide_plan_clear (TidePlan *plan)
{
  g_clear_pointer (&plan->order, g_free);
  g_clear_pointer (&plan->starts, g_free);
}

gsize
tide_plan_get_position (const TidePlan *plan, gsize sample)
{
  return plan->starts != NULL ? plan->starts[sample] : sample;
}

gsize
tide_plan_get_row (const TidePlan *plan, gsize sample)
{
  return get_row (plan, tide_plan_get_position (plan, sample));
}

gsize
tide_plan_find_equal (const TidePlan *plan)
{
  gsize sample = 0;

  while (plan->starts[sample] + 1 == plan->starts[sample + 1])
    sample++;
  return get_row (plan, plan->starts[sample] + 1);
}

/* Equal values have themselves as mean, whatever rounding a sum would bring. */
static double
find_mean (const TidePlan *plan, const double *values, gsize from, gsize to)
{
  double first = NAN, sum = 0;
  gboolean differ = FALSE;
  gsize n = 0;

  for (gsize i = from; i < to; i++)
    {
      double value = values[get_row (plan, i)];

      if (isnan (value))
        continue;
      if (n++ == 0)
        first = value;
      sum += value;
      differ |= value != first;
    }
  return differ ? sum / n : first;
}

static double
find_furthest (const TidePlan *plan, const double *values, gsize from, gsize to)
{
  double furthest = values[get_row (plan, from)];

  for (gsize i = from + 1; i < to; i++)
    {
      double value = values[get_row (plan, i)];

      if (isnan (furthest) || fabs (value) > fabs (furthest))
        furthest = value;
    }
  return furthest;
}

double *
tide_plan_gather (const TidePlan *plan, const double *values, gsize n_samples, gboolean is_counter)
{
  double *samples = g_new (double, n_samples);

  for (gsize k = 0; k < n_samples; k++)
    if (plan->starts == NULL)
      samples[k] = values[get_row (plan, k)];
    else if (is_counter)
      samples[k] = find_furthest (plan, values, plan->starts[k], plan->starts[k + 1]);
    else
      samples[k] = find_mean (plan, values, plan->starts[k], plan->starts[k + 1]);
  return samples;
}
