/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Raw rows become recordings. The order of work:
 *
 *   days     clock text that fell past midnight counts on          (rows.c)
 *   split    a large step back begins a new part                   (rows.c)
 *   plan     rows a little late are put in their place, rows of
 *            one stamp become one sample                           (rows.c)
 *   signs    a part that gives charge away was logged turned round (columns.c)
 *   power    taken, or computed; checked where both are there      (columns.c)
 *
 * All is linear for a file whose stamps rise, and such a file is not even copied.
 */
#include "recording/recording-private.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "recording/rows-private.h"

/* Method notes: logged power may differ from V·I by this much before it is a complaint. */
#define POWER_TOLERANCE 0.02

/* A file of many runs has tens of them; a column that falls ever again is no clock. */
#define MOST_PARTS 10000

/* About 3,000 years: differences of clocks beyond it are damage, and would not fit a gint64. */
#define MOST_US 1e17

/* The work on one file. */
typedef struct
{
  TideRawRows *raw;
  const TideProvenance *provenance;
  double origin_s;       /* the file's first stamp, as it was */
  GPtrArray *complaints; /* those that belong to the next recording made */
  GPtrArray *recordings; /* TideRecording, owned */
} Work;

/* ---- A part ---- */

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

static void
complain_of_plan (Work *work, const TidePlan *plan)
{
  if (plan->n_late > 0)
    complain (work, tide_complaint_new (
                        get_row (work, plan->first_late), NULL,
                        g_dngettext (GETTEXT_PACKAGE,
                                     "%u row stood a little out of time order and was sorted",
                                     "%u rows stood a little out of time order and were sorted",
                                     plan->n_late),
                        (guint)plan->n_late));
  if (plan->n_equal > 0)
    complain (work, tide_complaint_new (
                        get_row (work, plan->first_equal), NULL,
                        g_dngettext (GETTEXT_PACKAGE,
                                     "%u row has the time stamp of the row before it; "
                                     "rows of one stamp were averaged",
                                     "%u rows have the time stamp of the row before them; "
                                     "rows of one stamp were averaged",
                                     plan->n_equal),
                        (guint)plan->n_equal));
}

/* Known for the file's first row; for later parts only where stamps have dates, since other clocks
 * may have been restarted. */
static gint64
compute_start_us (const Work *work, const TidePlan *plan)
{
  double since_us = (plan->start_s - work->origin_s) * G_USEC_PER_SEC;
  gint64 start_us = work->provenance->start_us;

  if (start_us == 0)
    return 0;
  if (work->raw->dated && fabs (since_us) < MOST_US)
    return start_us + (gint64)round (since_us);
  return plan->first == 0 ? start_us : 0;
}

/* The samples of one column. Takes the array's own memory where nothing has to be moved. */
static double *
take_column (GArray *column, const TidePlan *plan, TideQuantity quantity)
{
  gboolean is_counter = quantity == TIDE_QUANTITY_ENERGY || quantity == TIDE_QUANTITY_CHARGE;

  if (plan->n_samples == column->len && plan->order == NULL)
    return g_realloc_n (g_array_steal (column, NULL), plan->n_samples, sizeof (double));
  return tide_plan_gather (plan, (const double *)column->data, is_counter);
}

static void
settle_signs_and_power (Work *work, TideColumns *columns)
{
  if (tide_columns_are_turned (columns))
    {
      tide_columns_turn (columns);
      complain (work, tide_complaint_new (0, NULL, "%s",
                                          _ ("the charge over the whole recording is negative; "
                                             "current and power are counted the other way")));
    }

  double mismatch = tide_columns_measure_mismatch (columns, POWER_TOLERANCE);
  if (mismatch > 0)
    {
      g_autofree char *percent = tide_text_number (100 * mismatch, 1);
      complain (work, tide_complaint_new (0, NULL,
                                          _ ("logged power differs from voltage times current by "
                                             "%s %% (median); logged power is used"),
                                          percent));
    }
  if (columns->values[TIDE_QUANTITY_POWER] == NULL)
    tide_columns_compute_power (columns);
}

static gboolean
add_recording (Work *work, const TidePlan *plan, GError **error)
{
  g_auto (TideColumns) columns = { .n = plan->n_samples };
  gboolean power_logged = work->raw->columns[TIDE_QUANTITY_POWER] != NULL;
  TideProvenance own = *work->provenance;
  TideRecording *recording;

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (work->raw->columns[q] != NULL)
      columns.values[q] = take_column (work->raw->columns[q], plan, q);
  settle_signs_and_power (work, &columns);

  own.start_us = compute_start_us (work, plan);
  own.skipped_rows = work->recordings->len == 0 ? own.skipped_rows : 0;
  recording = tide_recording_take (&columns, power_logged, &own, work->recordings->len + 1,
                                   work->complaints, error);
  if (recording == NULL)
    return FALSE;
  g_ptr_array_add (work->recordings, recording);
  g_ptr_array_set_size (work->complaints, 0);
  return TRUE;
}

/* Makes the recording of one part, or drops the part with a complaint. */
static gboolean
work_on_part (Work *work, const TidePart *part, GError **error)
{
  g_auto (TidePlan) plan = { 0 };

  if (part->first > 0)
    complain (work, tide_complaint_new (get_row (work, part->first), NULL, "%s",
                                        _ ("time steps back; a new recording begins here")));
  tide_plan_init (&plan, (double *)work->raw->columns[TIDE_QUANTITY_TIME]->data, part);
  complain_of_plan (work, &plan);
  if (plan.n_samples >= 2)
    return add_recording (work, &plan, error);

  complain (work,
            tide_complaint_new (
                get_row (work, part->first), NULL,
                g_dngettext (GETTEXT_PACKAGE,
                             "a recording of %u row cannot be used and is left out",
                             "a recording of %u rows with one time stamp is left out", plan.n_rows),
                (guint)plan.n_rows));
  return TRUE;
}

/* ---- The file ---- */

static gboolean
check_raw (const TideRawRows *raw, GError **error)
{
  guint n = raw->columns[TIDE_QUANTITY_TIME]->len;

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

/* What is left over once the last recording is made concerns the file: its first one says so. */
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
  g_clear_pointer (&work->complaints, g_ptr_array_unref);
  g_clear_pointer (&work->recordings, g_ptr_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Work, clear_work)

static gboolean
fail_no_clock (GError **error)
{
  g_set_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_CLOCK,
               _ ("time steps back more than %d times; this column is no clock"), MOST_PARTS - 1);
  return FALSE;
}

static gboolean
work_on_file (Work *work, GError **error)
{
  GArray *column = work->raw->columns[TIDE_QUANTITY_TIME];
  double *times = (double *)column->data;
  gsize first_midnight;

  work->origin_s = times[0];
  if (work->raw->clock_of_day && tide_rows_count_days (times, column->len, &first_midnight) > 0)
    complain (work, tide_complaint_new (get_row (work, first_midnight), NULL, "%s",
                                        _ ("the clock passes midnight; time counts on")));

  g_autoptr (GArray) parts = tide_rows_split (times, column->len, MOST_PARTS);
  if (parts == NULL)
    return fail_no_clock (error);
  for (guint i = 0; i < parts->len; i++)
    if (!work_on_part (work, &g_array_index (parts, TidePart, i), error))
      return FALSE;

  if (work->recordings->len == 0)
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT,
                           _ ("no two rows follow each other in time"));
      return FALSE;
    }
  return TRUE;
}

GPtrArray *
tide_recordings_assemble (TideRawRows *raw,
                          const TideProvenance *provenance,
                          GPtrArray *complaints,
                          GError **error)
{
  static const TideProvenance nowhere = { 0 };
  g_auto (Work) work = { .raw = raw, .provenance = provenance != NULL ? provenance : &nowhere };

  g_assert (raw->columns[TIDE_QUANTITY_TIME] != NULL && are_of_one_length (raw));
  if (!check_raw (raw, error))
    return NULL;

  work.complaints = complaints != NULL ? tide_complaints_copy (complaints) : tide_complaints_new ();
  work.recordings = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_recording_unref);
  if (!work_on_file (&work, error))
    return NULL;
  hand_over_complaints (&work);
  return g_steal_pointer (&work.recordings);
}
