/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Raw rows become recordings. The order of work:
 *
 *   days     clock text that fell past midnight counts on
 *   split    a large step back begins a new part
 *   order    within a part, rows a little late are put in their place (indices, not rows, are
 * sorted) groups   rows of one stamp become one sample signs    a part that gives charge away was
 * logged with the signs turned power    taken, or computed; checked where both are there
 *
 * All is linear for a file whose stamps rise; such a file is not even copied. Sorting costs
 * O(n log n) of the part that needs it. A median is taken only where a rule asks for one.
 */
#include "recording/recording-private.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "recording/median.h"

#define DAY_S 86400.0

/* Method notes: logged power may differ from V·I by this much before it is a complaint. */
#define POWER_TOLERANCE 0.02
/* Below one watt the resolution of meters, not their agreement, would decide. */
#define POWER_FLOOR_W 1.0

/* Two swapped rows of an even log step back by exactly one interval, give or take its rounding;
 * they are sorted, too. */
#define ROUNDING 1e-9

/* About 3,000 years: differences of clocks beyond it are damage, and would not fit a gint64. */
#define MOST_US 1e17

/* Rows first .. end - 1 of the file belong together. */
typedef struct
{
  gsize first, end;
  gboolean unsorted;
} Part;

/* The work on one file. */
typedef struct
{
  TideRawRows *raw;
  gsize n;
  double *times;         /* of all rows, owned by raw */
  double origin_s;       /* the first of them, as it was */
  GArray *parts;         /* Part */
  GPtrArray *complaints; /* those that belong to the next recording made */
  GPtrArray *recordings; /* TideRecording, owned */
} Work;

/* ---- Time ---- */

static guint64
get_row (const Work *work, gsize index)
{
  return work->raw->rows != NULL ? g_array_index (work->raw->rows, guint64, index) : 0;
}

static void
complain (Work *work, TideComplaint *complaint)
{
  g_ptr_array_add (work->complaints, complaint);
}

/* A fall of more than half a day on a clock without a date is midnight. */
static void
count_days (Work *work)
{
  double days_s = 0, before = work->times[0];

  for (gsize i = 1; i < work->n; i++)
    {
      double now = work->times[i];

      if (before - now > DAY_S / 2)
        days_s += DAY_S;
      before = now;
      work->times[i] = now + days_s;
    }
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
static void
split (Work *work)
{
  Part part = { 0, work->n, FALSE };

  if (!never_falls (work->times, work->n))
    {
      double limit = compute_median_step (work->times, work->n) * (1 + ROUNDING);
      double latest = work->times[0];

      for (gsize i = 1; i < work->n; i++)
        {
          double back = latest - work->times[i];

          if (back > 0 && back <= limit)
            part.unsorted = TRUE;
          else if (back > limit)
            {
              part.end = i;
              g_array_append_val (work->parts, part);
              part = (Part){ i, work->n, FALSE };
            }
          latest = back > limit ? work->times[i] : MAX (latest, work->times[i]);
        }
    }
  g_array_append_val (work->parts, part);
}

static int
compare_stamps_cb (gconstpointer a, gconstpointer b, gpointer times)
{
  gsize i = *(const gsize *)a, j = *(const gsize *)b;
  double x = ((const double *)times)[i], y = ((const double *)times)[j];

  /* Rows of one stamp keep the order of the file. */
  return x != y ? (x > y) - (x < y) : (i > j) - (i < j);
}

/* The rows of a part in the order of their stamps; NULL where they stand so already. */
static gsize *
order_rows (Work *work, const Part *part)
{
  gsize n = part->end - part->first, n_late = 0, first_late = 0;
  double latest = work->times[part->first];

  if (!part->unsorted)
    return NULL;

  gsize *order = g_new (gsize, n);
  for (gsize i = 0; i < n; i++)
    {
      order[i] = part->first + i;
      if (work->times[order[i]] < latest && n_late++ == 0)
        first_late = order[i];
      latest = MAX (latest, work->times[order[i]]);
    }
  g_qsort_with_data (order, (int)n, sizeof *order, compare_stamps_cb, work->times);
  complain (work,
            tide_complaint_new (
                get_row (work, first_late), NULL,
                g_dngettext (GETTEXT_PACKAGE,
                             "%u row stood a little out of time order and was sorted",
                             "%u rows stood a little out of time order and were sorted", n_late),
                (guint)n_late));
  return order;
}

/* ---- Rows into samples ---- */

/* How the rows of one part become samples. */
typedef struct
{
  gsize first;
  gsize n_rows, n_samples;
  gsize *order;  /* n_rows indices of rows; NULL: as they stand */
  gsize *starts; /* n_samples + 1 positions in that order; NULL: one row a sample */
} Plan;

static void
clear_plan (Plan *plan)
{
  g_free (plan->order);
  g_free (plan->starts);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Plan, clear_plan)

static gsize
get_index (const Plan *plan, gsize position)
{
  return plan->order != NULL ? plan->order[position] : plan->first + position;
}

static void
group_rows (Work *work, Plan *plan)
{
  gsize n_equal = 0, first_equal = 0;
  const double *times = work->times;

  for (gsize i = 1; i < plan->n_rows; i++)
    if (times[get_index (plan, i)] == times[get_index (plan, i - 1)] && n_equal++ == 0)
      first_equal = get_index (plan, i);
  plan->n_samples = plan->n_rows - n_equal;
  if (n_equal == 0)
    return;

  gsize n = 0;
  plan->starts = g_new (gsize, plan->n_samples + 1);
  for (gsize i = 0; i < plan->n_rows; i++)
    if (i == 0 || times[get_index (plan, i)] != times[get_index (plan, i - 1)])
      plan->starts[n++] = i;
  plan->starts[n] = plan->n_rows;
  complain (work, tide_complaint_new (
                      get_row (work, first_equal), NULL,
                      g_dngettext (
                          GETTEXT_PACKAGE,
                          "%u row has the time stamp of the row before it; they were averaged",
                          "%u rows have the time stamp of the row before them; they were averaged",
                          n_equal),
                      (guint)n_equal));
}

/* Shifts a part's time to start at 0. Done before stamps are compared: two that differ by less
 * than the shift can resolve are equal from here on. */
static void
shift_to_zero (Work *work, const Plan *plan)
{
  double start = work->times[get_index (plan, 0)];

  for (gsize i = plan->first; i < plan->first + plan->n_rows; i++)
    work->times[i] -= start;
}

static double
average (const double *values, const Plan *plan, gsize from, gsize to)
{
  double sum = 0;

  for (gsize i = from; i < to; i++)
    sum += values[get_index (plan, i)];
  return to - from == 1 ? sum : sum / (to - from);
}

/* The samples of one column. Takes the array's own memory where nothing has to be moved. */
static double *
gather (GArray *column, const Plan *plan, gboolean is_time)
{
  const double *values = (const double *)column->data;

  if (plan->order == NULL && plan->starts == NULL)
    {
      if (plan->n_rows == column->len)
        return g_realloc_n (g_array_steal (column, NULL), plan->n_rows, sizeof (double));
      return g_memdup2 (values + plan->first, plan->n_rows * sizeof (double));
    }

  double *samples = g_new (double, plan->n_samples);
  for (gsize k = 0; k < plan->n_samples; k++)
    {
      gsize from = plan->starts != NULL ? plan->starts[k] : k;
      gsize to = plan->starts != NULL ? plan->starts[k + 1] : k + 1;

      /* The mean of equal stamps is the stamp, whatever rounding would make of it. */
      samples[k] = is_time ? values[get_index (plan, from)] : average (values, plan, from, to);
    }
  return samples;
}

/* ---- Signs and power ---- */

/* Only its sign is asked for, so a plain sum will do. */
static double
integrate (const double *times, const double *values, gsize n)
{
  double sum = 0;

  for (gsize i = 1; i < n; i++)
    sum += (values[i] + values[i - 1]) / 2 * (times[i] - times[i - 1]);
  return sum;
}

static void
turn (double *values, gsize n)
{
  for (gsize i = 0; i < n; i++)
    values[i] = 0 - values[i]; /* not −x: a zero stays positive */
}

/* Whether a counter counts downwards; it may restart now and then. */
static gboolean
mostly_falls (const double *values, gsize n)
{
  gsize n_up = 0, n_down = 0;

  for (gsize i = 1; i < n; i++)
    {
      n_up += values[i] > values[i - 1];
      n_down += values[i] < values[i - 1];
    }
  return n_down > n_up;
}

static void
turn_signs (Work *work, TideColumns *columns)
{
  const double *times = columns->values[TIDE_QUANTITY_TIME];
  double *current = columns->values[TIDE_QUANTITY_CURRENT];
  double *power = columns->values[TIDE_QUANTITY_POWER];
  gsize n = columns->n;

  if (!(integrate (times, current != NULL ? current : power, n) < 0))
    return;

  if (current != NULL)
    turn (current, n);
  if (power != NULL && integrate (times, power, n) < 0)
    turn (power, n);
  for (guint q = TIDE_QUANTITY_ENERGY; q <= TIDE_QUANTITY_CHARGE; q++)
    if (columns->values[q] != NULL && mostly_falls (columns->values[q], n))
      turn (columns->values[q], n);
  complain (work, tide_complaint_new (0, NULL, "%s",
                                      _ ("the charge over the whole recording is negative; "
                                         "current and power are counted the other way")));
}

static double *
compute_power (const TideColumns *columns)
{
  const double *voltage = columns->values[TIDE_QUANTITY_VOLTAGE];
  const double *current = columns->values[TIDE_QUANTITY_CURRENT];
  double *power = g_new (double, columns->n);

  for (gsize i = 0; i < columns->n; i++)
    power[i] = voltage[i] * current[i];
  return power;
}

/* |P − V·I| / max (|P|, 1 W) */
static double
compute_mismatch (const TideColumns *columns, gsize i)
{
  double power = columns->values[TIDE_QUANTITY_POWER][i];
  double product =
      columns->values[TIDE_QUANTITY_VOLTAGE][i] * columns->values[TIDE_QUANTITY_CURRENT][i];

  return fabs (power - product) / MAX (fabs (power), POWER_FLOOR_W);
}

static void
check_power (Work *work, const TideColumns *columns)
{
  gsize n_off = 0;

  /* Fewer than half of the samples off: the median cannot be. */
  for (gsize i = 0; i < columns->n; i++)
    n_off += compute_mismatch (columns, i) > POWER_TOLERANCE;
  if (n_off < columns->n / 2)
    return;

  g_autofree double *mismatches = g_new (double, columns->n);
  for (gsize i = 0; i < columns->n; i++)
    mismatches[i] = compute_mismatch (columns, i);
  double median = tide_select_median (mismatches, columns->n);
  if (!(median > POWER_TOLERANCE))
    return;

  g_autofree char *percent = tide_text_number (100 * median, 1);
  complain (work, tide_complaint_new (0, NULL,
                                      _ ("logged power differs from voltage × current by %s %% "
                                         "(median); logged power is used"),
                                      percent));
}

/* ---- A part ---- */

/* Wall clock of a part that starts at start_s on the file's own time. Known for the file's first
 * row; for later parts only where stamps have dates, since other clocks may have been restarted. */
static gint64
get_start_us (const Work *work, const TideProvenance *provenance, const Part *part, double start_s)
{
  double since_us = (start_s - work->origin_s) * G_USEC_PER_SEC;

  if (provenance->start_us == 0)
    return 0;
  if (work->raw->dated && fabs (since_us) < MOST_US)
    return provenance->start_us + (gint64)round (since_us);
  return part->first == 0 ? provenance->start_us : 0;
}

static gboolean
add_recording (Work *work, TideColumns *columns, const TideProvenance *provenance, GError **error)
{
  gboolean power_logged = columns->values[TIDE_QUANTITY_POWER] != NULL;

  turn_signs (work, columns);
  if (!power_logged)
    columns->values[TIDE_QUANTITY_POWER] = compute_power (columns);
  else if (columns->values[TIDE_QUANTITY_VOLTAGE] != NULL
           && columns->values[TIDE_QUANTITY_CURRENT] != NULL)
    check_power (work, columns);

  TideRecording *recording =
      tide_recording_take (columns, power_logged, provenance, work->recordings->len + 1,
                           work->complaints, error);
  if (recording == NULL)
    return FALSE;
  g_ptr_array_add (work->recordings, recording);
  g_ptr_array_set_size (work->complaints, 0);
  return TRUE;
}

/* Makes the recording of one part, or drops the part with a complaint. */
static gboolean
work_on_part (Work *work, const Part *part, const TideProvenance *provenance, GError **error)
{
  g_auto (Plan) plan = { .first = part->first, .n_rows = part->end - part->first };
  g_auto (TideColumns) columns = { 0 };
  TideProvenance own = *provenance;

  if (part->first > 0)
    complain (work, tide_complaint_new (get_row (work, part->first), NULL, "%s",
                                        _ ("time steps back; a new recording begins here")));
  plan.order = order_rows (work, part);
  own.start_us = get_start_us (work, provenance, part, work->times[get_index (&plan, 0)]);
  own.skipped_rows = work->recordings->len == 0 ? provenance->skipped_rows : 0;
  shift_to_zero (work, &plan);
  group_rows (work, &plan);
  if (plan.n_samples < 2)
    {
      complain (work, tide_complaint_new (
                          get_row (work, part->first), NULL,
                          g_dngettext (GETTEXT_PACKAGE,
                                       "a recording of %u row cannot be used and is left out",
                                       "a recording of %u rows with one time stamp is left out",
                                       plan.n_rows),
                          (guint)plan.n_rows));
      return TRUE;
    }

  columns.n = plan.n_samples;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (work->raw->columns[q] != NULL)
      columns.values[q] = gather (work->raw->columns[q], &plan, q == TIDE_QUANTITY_TIME);
  return add_recording (work, &columns, &own, error);
}

/* ---- The file ---- */

static gboolean
check_raw (const TideRawRows *raw, GError **error)
{
  gsize n = raw->columns[TIDE_QUANTITY_TIME]->len;

  if (raw->columns[TIDE_QUANTITY_POWER] == NULL
      && (raw->columns[TIDE_QUANTITY_VOLTAGE] == NULL
          || raw->columns[TIDE_QUANTITY_CURRENT] == NULL))
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_POWER,
                           _ ("there is neither power nor both of voltage and current"));
      return FALSE;
    }
  if (n < 2)
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT,
                           _ ("there are fewer than two rows"));
      return FALSE;
    }
  if (n > G_MAXINT)
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_LONG,
                           _ ("there are more than 2147483647 rows"));
      return FALSE;
    }
  return TRUE;
}

static gboolean
are_of_one_length (const TideRawRows *raw)
{
  guint n = raw->columns[TIDE_QUANTITY_TIME]->len;

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q] != NULL && raw->columns[q]->len != n)
      return FALSE;
  return raw->rows == NULL || raw->rows->len == n;
}

/* What is left over once the last recording is made concerns the file: its first recording says so.
 */
static void
hand_over_complaints (Work *work)
{
  TideRecording *first = g_ptr_array_index (work->recordings, 0);

  g_ptr_array_extend_and_steal (tide_recording_get_complaints (first),
                                g_steal_pointer (&work->complaints));
}

static void
clear_work (Work *work)
{
  g_clear_pointer (&work->parts, g_array_unref);
  g_clear_pointer (&work->complaints, g_ptr_array_unref);
  g_clear_pointer (&work->recordings, g_ptr_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Work, clear_work)

GPtrArray *
tide_recordings_assemble (TideRawRows *raw,
                          const TideProvenance *provenance,
                          GPtrArray *complaints,
                          GError **error)
{
  static const TideProvenance nowhere = { 0 };
  g_auto (Work) work = { 0 };

  g_assert (raw->columns[TIDE_QUANTITY_TIME] != NULL && are_of_one_length (raw));
  if (!check_raw (raw, error))
    return NULL;

  work.raw = raw;
  work.n = raw->columns[TIDE_QUANTITY_TIME]->len;
  work.times = (double *)raw->columns[TIDE_QUANTITY_TIME]->data;
  work.origin_s = work.times[0];
  work.parts = g_array_new (FALSE, FALSE, sizeof (Part));
  work.complaints = complaints != NULL ? tide_complaints_copy (complaints) : tide_complaints_new ();
  work.recordings = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_recording_unref);

  if (raw->clock_of_day)
    count_days (&work);
  split (&work);
  for (guint i = 0; i < work.parts->len; i++)
    if (!work_on_part (&work, &g_array_index (work.parts, Part, i),
                       provenance != NULL ? provenance : &nowhere, error))
      return NULL;

  if (work.recordings->len == 0)
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT,
                           _ ("no two rows follow each other in time"));
      return NULL;
    }
  hand_over_complaints (&work);
  return g_steal_pointer (&work.recordings);
}
