/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows become samples, a chunk at a time. The order of work on a chunk:
 *
 *   days     clock text that fell past midnight counts on          (rows.c)
 *   split    a large step back begins a new part                   (rows.c)
 *   plan     rows a little late are put in their place, rows of
 *            one stamp become one sample                           (rows.c)
 *   power    taken, or computed                                    (making.c)
 *   audit    signs, power against V·I and missing values are
 *            summed up                                             (audit.c)
 *   sink     has the samples
 *
 * The rows within two usual intervals of the latest stamp wait for the next chunk: others may still
 * have to stand between them.
 */
#include "recording/assembler-private.h"

#include <glib/gi18n-lib.h>
#include <stdlib.h>

#include "recording/making-private.h"

/* A file of many runs has tens of them; a column that falls ever again is no clock. */
#define MOST_PARTS 10000
/* So many rows that cannot be told apart in time: no clock either. */
#define MOST_WAITING (1024 * 1024)
/* Of an even chunk, so many steps show the usual interval. */
#define STEPS_LOOKED_AT 1024
/* A row is sorted when it is an interval late; the usual interval may be twice as long in the next
 * chunk. */
#define INTERVALS_KEPT 2

TideAssembler *
tide_assembler_new (TideSink *sink, guint *next_part, const char *label)
{
  TideAssembler *a = g_new0 (TideAssembler, 1);

  a->sink = sink;
  a->next_part = next_part;
  a->label = label;
  a->chunk_rows = TIDE_CHUNK_ROWS;
  a->complaints = tide_complaints_new ();
  a->making.front = TIDE_FRONT_NONE;
  return a;
}

void
tide_assembler_free (TideAssembler *a)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&a->held.columns[q], g_array_unref);
  g_clear_pointer (&a->held.rows, g_array_unref);
  tide_audit_clear (&a->making.audit);
  tide_complaint_free (a->midnight);
  g_free (a->stamps);
  g_free (a->power);
  g_ptr_array_unref (a->complaints);
  g_clear_pointer (&a->first_tail.complaints, g_ptr_array_unref);
  g_free (a);
}

void
tide_assembler_set_place (TideAssembler *a, const TideRecordingPlace *place)
{
  a->place = *place;
}

void
tide_assembler_set_names (TideAssembler *a, const char *const names[TIDE_N_QUANTITIES], guint64 row)
{
  a->names = names;
  a->names_row = row;
}

void
tide_assembler_set_chunk_rows (TideAssembler *a, guint chunk_rows)
{
  a->chunk_rows = chunk_rows;
}

/* ---- A part ---- */

static void
begin_part (TideAssembler *a, gsize first)
{
  a->making.first_row = tide_making_get_row (a, first);
  if (a->n_parts++ > 0)
    g_ptr_array_add (a->complaints,
                     tide_complaint_new (a->making.first_row, NULL, "%s",
                                         _ ("time steps back; a new recording begins here")));
}

static void
shift_stamps (TideAssembler *a, const TidePart *part)
{
  const double *times = (const double *)a->held.columns[TIDE_QUANTITY_TIME]->data;

  if (a->making.number == 0)
    a->making.front.start_s = tide_part_find_start (times, part);
  for (gsize i = part->first; i < part->end; i++)
    a->stamps[i] = times[i] - a->making.front.start_s;
}

/* How many of the plan's samples no row to come can change: those well before the latest. */
static gsize
count_final (const TideAssembler *a, const TidePlan *plan)
{
  const double *times = (const double *)a->held.columns[TIDE_QUANTITY_TIME]->data;
  gsize n = a->held.columns[TIDE_QUANTITY_TIME]->len;
  gsize stride = plan->order != NULL ? 1 : MAX (n / STEPS_LOOKED_AT, 1);
  double step = tide_rows_median_step (times, n, stride);
  gsize n_final = plan->n_samples - 1;
  double latest = a->stamps[tide_plan_get_row (plan, n_final)];

  while (n_final > 0
         && !(a->stamps[tide_plan_get_row (plan, n_final - 1)] < latest - INTERVALS_KEPT * step))
    n_final--;
  return n_final;
}

static int
compare_indices_cb (gconstpointer a, gconstpointer b)
{
  gsize i = *(const gsize *)a, j = *(const gsize *)b;

  return (i > j) - (i < j);
}

static void
move_row (TideRawRows *raw, gsize from, gsize to)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q] != NULL)
      g_array_index (raw->columns[q], double, to) = g_array_index (raw->columns[q], double, from);
  if (raw->rows != NULL)
    g_array_index (raw->rows, guint64, to) = g_array_index (raw->rows, guint64, from);
}

static void
shorten (TideRawRows *raw, gsize n)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q] != NULL)
      g_array_set_size (raw->columns[q], (guint)n);
  if (raw->rows != NULL)
    g_array_set_size (raw->rows, (guint)n);
}

/* The rows of all but the first n_samples wait, in the order of the file. */
static void
keep_waiting (TideAssembler *a, const TidePlan *plan, gsize n_samples)
{
  gsize position = tide_plan_get_position (plan, n_samples);

  a->n_waiting = plan->n_rows - position;
  if (plan->order != NULL)
    qsort (plan->order + position, a->n_waiting, sizeof *plan->order, compare_indices_cb);
  for (gsize i = 0; i < a->n_waiting; i++)
    move_row (&a->held,
              plan->order != NULL ? plan->order[position + i] : plan->first + position + i, i);
  shorten (&a->held, a->n_waiting);
}

static gboolean
work_on_part (TideAssembler *a, const TidePart *part, gboolean ends, GError **error)
{
  g_auto (TidePlan) plan = { 0 };
  gsize n_final;

  shift_stamps (a, part);
  tide_plan_init (&plan, a->stamps, part, a->n_waiting);
  if (a->making.n_late == 0 && plan.n_late > 0)
    a->making.first_late = tide_making_get_row (a, plan.first_late);
  a->making.n_late += plan.n_late;
  n_final = ends ? plan.n_samples : count_final (a, &plan);
  if (!tide_making_add (a, &plan, n_final, ends, error))
    return FALSE;
  if (ends)
    tide_making_forget (a);
  else
    keep_waiting (a, &plan, n_final);
  return TRUE;
}

/* ---- A chunk ---- */

static void
reserve_scratch (TideAssembler *a, gsize n)
{
  if (n <= a->n_scratch)
    return;
  g_free (a->stamps);
  g_free (a->power);
  a->stamps = g_new (double, n);
  a->power = a->held.columns[TIDE_QUANTITY_POWER] != NULL ? NULL : g_new (double, n);
  a->n_scratch = n;
}

static void
count_days (TideAssembler *a, double *times, gsize n)
{
  gsize midnight =
      tide_rows_count_days (&a->days, a->held.clock_of_day, times + a->n_waiting, n - a->n_waiting);

  if (midnight < n - a->n_waiting)
    a->midnight = tide_complaint_new (tide_making_get_row (a, a->n_waiting + midnight), NULL, "%s",
                                      _ ("the clock passes midnight; time counts on"));
}

static gboolean
fail_no_clock (GError **error)
{
  g_set_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_CLOCK,
               _ ("time steps back more than %d times; this column is no clock"), MOST_PARTS - 1);
  return FALSE;
}

static gboolean
work_on_chunk (TideAssembler *a, gboolean at_end, GError **error)
{
  double *times = (double *)a->held.columns[TIDE_QUANTITY_TIME]->data;
  gsize n = a->held.columns[TIDE_QUANTITY_TIME]->len;

  reserve_scratch (a, n);
  count_days (a, times, n);
  g_autoptr (GArray) parts = tide_rows_split (times, n, a->n_waiting, a->making.front,
                                              MOST_PARTS + 1 - MAX (a->n_parts, 1));
  if (parts == NULL)
    return fail_no_clock (error);
  for (guint i = 0; i < parts->len; i++)
    {
      const TidePart *part = &g_array_index (parts, TidePart, i);

      if (i > 0 || a->n_parts == 0)
        begin_part (a, part->first);
      if (!work_on_part (a, part, at_end || i + 1 < parts->len, error))
        return FALSE;
    }
  if (a->n_waiting <= MOST_WAITING)
    return TRUE;
  g_set_error (
      error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_CLOCK,
      _ ("more than %d rows follow each other without time going on; this column is no clock"),
      MOST_WAITING);
  return FALSE;
}

/* ---- Rows come in ---- */

static gboolean
are_of_one_length (const TideRawRows *raw)
{
  guint n = raw->columns[TIDE_QUANTITY_TIME]->len;

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q] != NULL && raw->columns[q]->len != n)
      return FALSE;
  return raw->rows == NULL || raw->rows->len == n;
}

static gboolean
check_raw (const TideAssembler *a, const TideRawRows *raw, GError **error)
{
  if (raw->columns[TIDE_QUANTITY_POWER] == NULL
      && (raw->columns[TIDE_QUANTITY_VOLTAGE] == NULL
          || raw->columns[TIDE_QUANTITY_CURRENT] == NULL))
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_POWER,
                           _ ("there is neither power nor both of voltage and current"));
      return FALSE;
    }
  if (a->n_rows + raw->columns[TIDE_QUANTITY_TIME]->len > G_MAXINT)
    {
      g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_LONG,
                           _ ("there are more than 2147483647 rows"));
      return FALSE;
    }
  return TRUE;
}

static void
make_held (TideAssembler *a, const TideRawRows *raw)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q] != NULL)
      a->held.columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
  if (raw->rows != NULL)
    a->held.rows = g_array_new (FALSE, FALSE, sizeof (guint64));
  a->held.dated = raw->dated;
  a->held.start_us = raw->start_us;
  if (raw->columns[TIDE_QUANTITY_TIME]->len > 0)
    a->origin_s = g_array_index (raw->columns[TIDE_QUANTITY_TIME], double, 0);
}

static void
append (GArray *into, const GArray *from, gsize first, gsize n)
{
  if (into != NULL)
    g_array_append_vals (into, from->data + first * g_array_get_element_size ((GArray *)from),
                         (guint)n);
}

static void
take_rows (TideAssembler *a, const TideRawRows *raw, gsize first, gsize n)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    append (a->held.columns[q], raw->columns[q], first, n);
  append (a->held.rows, raw->rows, first, n);
}

gboolean
tide_assembler_push (TideAssembler *a, TideRawRows *raw, GError **error)
{
  gsize n = raw->columns[TIDE_QUANTITY_TIME]->len, done = 0;

  g_assert (are_of_one_length (raw));
  if (!check_raw (a, raw, error))
    return FALSE;
  if (a->held.columns[TIDE_QUANTITY_TIME] == NULL)
    make_held (a, raw);
  a->held.clock_of_day = raw->clock_of_day;
  a->n_rows += n;
  while (done < n)
    {
      gsize length = a->held.columns[TIDE_QUANTITY_TIME]->len;
      gsize room = MAX (a->chunk_rows, 2 * a->n_waiting) - length;
      gsize piece = MIN (room, n - done);

      take_rows (a, raw, done, piece);
      done += piece;
      /* a chunk that is full waits for one row more: the log may end here, and be a chunk as a
       * whole */
      if (done < n && !work_on_chunk (a, FALSE, error))
        return FALSE;
    }
  shorten (raw, 0);
  return TRUE;
}

/* ---- The end ---- */

static gboolean
check_first (const TideAssembler *a, GError **error)
{
  if (a->first != 0)
    return TRUE;
  g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT,
                       a->n_rows < 2 ? _ ("there are fewer than two rows")
                                     : _ ("no two rows follow each other in time"));
  return FALSE;
}

/* What is said of the file, its first recording, and then what is left over once the last one is
 * made. */
static gboolean
end_first (TideAssembler *a, guint64 skipped_rows, GPtrArray *complaints, GError **error)
{
  g_autoptr (GPtrArray) all =
      complaints != NULL ? tide_complaints_copy (complaints) : tide_complaints_new ();

  if (a->midnight != NULL)
    g_ptr_array_add (all, g_steal_pointer (&a->midnight));
  g_ptr_array_extend_and_steal (all, g_steal_pointer (&a->first_tail.complaints));
  g_ptr_array_extend_and_steal (all, a->complaints);
  a->complaints = tide_complaints_new ();

  TideRecordingTail tail = a->first_tail;
  tail.skipped_rows += skipped_rows;
  tail.complaints = all;
  return a->sink->end (a->sink, a->first, &tail, error);
}

gboolean
tide_assembler_close (TideAssembler *a, GError **error)
{
  if (!a->is_closed && a->n_rows > 1 && !work_on_chunk (a, TRUE, error))
    return FALSE;
  a->is_closed = TRUE;
  return check_first (a, error);
}

gboolean
tide_assembler_finish (TideAssembler *a,
                       guint64 skipped_rows,
                       GPtrArray *complaints,
                       GError **error)
{
  return tide_assembler_close (a, error) && end_first (a, skipped_rows, complaints, error);
}
