/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An understanding applied to every row: fields become numbers, rows become columns.
 *
 * A row that lacks a value of a needed column (time, voltage, current, power: those that are
 * mapped) is skipped, counted and complained about. Counters and temperature are optional: a column
 * of these that lacks many values is left out as a whole, one that lacks few costs these rows.
 * Blank rows, comment rows and repeated names are no data and not counted. Keeps the columns and
 * one row; nothing of the text.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>

/* The contract of tide_read_file(): more broken rows than this, and the file is refused. */
#define BROKEN_SHARE 0.2
/* Five times the longest log the house is built for, and within what GArray can hold. */
#define MAX_ROWS TIDE_RECORDING_MAX_SAMPLES
/* About 3,000 years from 1970, in microseconds: a count beyond it is no wall clock. */
#define MOST_START_US 1e17
/* No charge takes so long: the unit of the time is in question. */
#define LONGEST_S (60 * 86400.0)

#define IS_OPTIONAL(q) ((q) >= TIDE_QUANTITY_ENERGY)

struct _TideRows
{
  const TideUnderstanding *u;
  guint lane;
  gint8 roles[TIDE_MAX_COLUMNS]; /* TideQuantity, or -1 */
  guint needed;                  /* bits of TideQuantity */
  TideRawRows raw;
  TideTally tally;
  guint64 n_skipped;
  gboolean is_full; /* MAX_ROWS were kept, and there were more */

  /* the row being read */
  double value[TIDE_N_QUANTITIES];
  guint have; /* bits of TideQuantity */
  guint n_filled;
  gboolean is_comment;
  char *bad[TIDE_N_QUANTITIES]; /* the field as it is, where it is no value */
  char *start_text;

  guint usual_n_fields; /* of the row before */
  gboolean has_base, has_start;
  double base;       /* EPOCH: the first number */
  gint64 base_us;    /* DATE: the first moment */
  double greatest_s; /* CLOCK */
  gint64 start_us;
};

TideRows *
tide_rows_new (const TideUnderstanding *understanding, guint lane)
{
  TideRows *rows = g_new0 (TideRows, 1);
  rows->u = understanding;
  rows->lane = lane;
  rows->tally.told = tide_complaints_new ();
  memset (rows->roles, -1, sizeof rows->roles);
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      int index =
          q == TIDE_QUANTITY_TIME ? understanding->time.index : understanding->lanes[lane].columns[q].index;
      if (index < 0)
        continue;
      rows->roles[index] = (gint8)q;
      rows->raw.columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
      if (!IS_OPTIONAL (q))
        rows->needed |= 1u << q;
    }
  rows->raw.rows = g_array_new (FALSE, FALSE, sizeof (guint64));
  return rows;
}

void
tide_rows_free (TideRows *rows)
{
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      g_clear_pointer (&rows->raw.columns[q], g_array_unref);
      g_free (rows->bad[q]);
    }
  g_array_unref (rows->raw.rows);
  g_ptr_array_unref (rows->tally.told);
  g_free (rows->start_text);
  g_free (rows);
}

/* ---- Field ---- */

/* Counts from 1970 are held against the first before anything is rounded. */
static gboolean
parse_epoch (TideRows *rows, const char *text, gsize length, double *seconds)
{
  const TideUnit *unit = &rows->u->time.unit;
  double number;
  if (!tide_number_parse (text, length, rows->u->decimal_mark, 0, &number))
    return FALSE;
  if (!rows->has_base)
    rows->base = number;
  rows->has_base = TRUE;
  *seconds = (number - rows->base) / pow (10, -unit->exponent);
  return TRUE;
}

static gboolean
parse_date (TideRows *rows, const char *text, gsize length, double *seconds)
{
  TideMoment moment;
  if (!tide_date_parse (text, length, rows->u->time.order, &moment))
    return FALSE;
  if (!rows->has_base)
    rows->base_us = moment.us;
  rows->has_base = TRUE;
  *seconds = (double)(moment.us - rows->base_us) / G_USEC_PER_SEC;
  return TRUE;
}

static gboolean
parse_time (TideRows *rows, const char *text, gsize length, double *seconds)
{
  const TideTimeUse *use = &rows->u->time;
  if (use->form == TIDE_FORM_EPOCH)
    return parse_epoch (rows, text, length, seconds);
  if (use->form == TIDE_FORM_DATE)
    return parse_date (rows, text, length, seconds);
  if (!tide_time_use_parse (use, rows->u->decimal_mark, text, length, seconds))
    return FALSE;
  rows->greatest_s = MAX (rows->greatest_s, *seconds);
  return TRUE;
}

static gboolean
parse_value (TideRows *rows, TideQuantity q, const char *text, gsize length)
{
  if (q == TIDE_QUANTITY_TIME)
    return parse_time (rows, text, length, &rows->value[q]);
  const TideUnit *unit = &rows->u->lanes[rows->lane].columns[q].unit;
  double shifted;
  if (!tide_number_parse (text, length, rows->u->decimal_mark, unit->exponent, &shifted))
    return FALSE;
  rows->value[q] = tide_unit_scale (*unit, shifted);
  return isfinite (rows->value[q]);
}

void
tide_rows_field_cb (guint column, const char *text, gsize length, gpointer user_data)
{
  TideRows *rows = user_data;
  rows->n_filled += length > 0;
  if (column == 0)
    rows->is_comment = tide_is_comment (text, length);
  if (!rows->has_start && (int)column == rows->u->clock.index)
    {
      g_free (rows->start_text);
      rows->start_text = g_strndup (text, length);
    }
  int q = rows->roles[column];
  if (q < 0)
    return;
  if (parse_value (rows, q, text, length))
    rows->have |= 1u << q;
  else
    rows->bad[q] = g_strndup (text, length);
}

/* ---- Row ---- */

/* What is wrong with the field of q. Transfer full. */
static char *
describe_bad (const TideRows *rows, TideQuantity q)
{
  const char *bad = rows->bad[q];
  if (!bad || tide_number_is_missing (bad, strlen (bad)))
    return g_strdup (_ ("no value; the row is skipped"));
  g_autofree char *valid = g_utf8_make_valid (bad, -1);
  g_autofree char *line =
      g_strdelimit (g_utf8_substring (valid, 0, MIN (g_utf8_strlen (valid, -1), 40)), "\r\n\t",
                    ' ');
  return g_strdup_printf (q == TIDE_QUANTITY_TIME ? _ ("not a time: \"%s\"; the row is skipped")
                                                  : _ ("not a number: \"%s\"; the row is skipped"),
                          line);
}

static gboolean
is_repeated_names (const TideRows *rows)
{
  return rows->bad[TIDE_QUANTITY_TIME]
         && g_strcmp0 (rows->bad[TIDE_QUANTITY_TIME],
                       tide_understanding_get_name (rows->u, rows->lane, TIDE_QUANTITY_TIME))
                == 0;
}

static void
skip_row (TideRows *rows, guint64 row, gboolean is_cut)
{
  rows->n_skipped++;
  if (is_cut)
    {
      tide_tally_add (&rows->tally, row, NULL,
                      _ ("the file ends inside this row; the row is skipped"));
      return;
    }
  guint missing = rows->needed & ~rows->have;
  TideQuantity q = (TideQuantity)g_bit_nth_lsf (missing, -1);
  g_autofree char *text = describe_bad (rows, q);
  tide_tally_add (&rows->tally, row, tide_understanding_get_name (rows->u, rows->lane, q), text);
}

/* The wall clock of the first row that is kept. */
static gint64
compute_start (const TideRows *rows)
{
  const TideTimeUse *clock = &rows->u->clock;
  const char *text = rows->start_text;
  double number;
  TideMoment moment;
  if (!text)
    return 0;
  if (clock->form == TIDE_FORM_EPOCH)
    {
      if (!tide_number_parse (text, strlen (text), rows->u->decimal_mark, clock->unit.exponent + 6,
                              &number))
        return 0;
      return fabs (number) < MOST_START_US ? (gint64)round (number) : 0;
    }
  if (clock->order == TIDE_ORDER_NONE
      || !tide_date_parse (text, strlen (text), clock->order, &moment))
    return 0;
  if (!moment.has_clock)
    {
      if (!rows->u->time.daytime)
        return 0;
      moment.us += (gint64)round (rows->value[TIDE_QUANTITY_TIME] * G_USEC_PER_SEC);
    }
  return tide_moment_to_us (moment);
}

static void
keep_row (TideRows *rows, guint64 row)
{
  rows->is_full = rows->raw.rows->len >= MAX_ROWS;
  if (rows->is_full)
    return;
  if (!rows->has_start)
    rows->start_us = compute_start (rows);
  rows->has_start = TRUE;
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (!rows->raw.columns[q])
        continue;
      gboolean has = (rows->have >> q) & 1;
      double value = has ? rows->value[q] : NAN;
      g_array_append_val (rows->raw.columns[q], value);
    }
  g_array_append_val (rows->raw.rows, row);
}

static void
clear_row (TideRows *rows)
{
  rows->have = 0;
  rows->n_filled = 0;
  rows->is_comment = FALSE;
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&rows->bad[q], g_free);
}

void
tide_rows_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data)
{
  TideRows *rows = user_data;
  /* a row cut by the end of the file: its last field may be half a number */
  gboolean is_cut = !terminated && n_fields < rows->usual_n_fields;
  int last = n_fields > 0 ? rows->roles[n_fields - 1] : -1;
  if (is_cut && last >= 0)
    rows->have &= ~(1u << last);

  gboolean is_whole = (rows->needed & ~rows->have) == 0;
  if (is_whole)
    keep_row (rows, row);
  if (is_whole && is_cut)
    tide_tally_add (&rows->tally, row, NULL, _ ("the file ends inside this row"));
  else if (!is_whole && rows->n_filled > 0 && !rows->is_comment)
    {
      if (is_repeated_names (rows))
        tide_tally_add (&rows->tally, row, NULL,
                        _ ("the names of the columns stand here again; passed over"));
      else
        skip_row (rows, row, is_cut);
    }
  if (is_whole)
    rows->usual_n_fields = n_fields;
  clear_row (rows);
}

/* ---- File ---- */

static gboolean
check_rows (const TideRows *rows, GError **error)
{
  guint64 n_kept = rows->raw.rows->len;
  guint64 n_all = n_kept + rows->n_skipped;
  g_autofree char *first = rows->tally.told->len > 0
                               ? tide_complaint_to_text (g_ptr_array_index (rows->tally.told, 0))
                               : NULL;
  if (rows->is_full)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("the file has more than %d rows"), MAX_ROWS);
  else if (n_kept < 2)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
                 _ ("fewer than two usable rows below the names in row %" PRIu64 "%s%s"),
                 rows->u->header_row, first ? "; " : "", first ? first : "");
  else if (rows->n_skipped > BROKEN_SHARE * n_all)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN,
                 _ ("%" PRIu64 " of %" PRIu64 " rows are broken, the first: %s"), rows->n_skipped,
                 n_all, first);
  else
    return TRUE;
  return FALSE;
}

static void
question_span (const TideRows *rows, GPtrArray *complaints)
{
  const GArray *times = rows->raw.columns[TIDE_QUANTITY_TIME];
  double span_s = g_array_index (times, double, times->len - 1) - g_array_index (times, double, 0);
  if (span_s <= LONGEST_S)
    return;
  g_ptr_array_add (
      complaints,
      tide_complaint_new (rows->u->header_row,
                          tide_understanding_get_name (rows->u, rows->lane, TIDE_QUANTITY_TIME),
                          _ ("the log would span %.6g days; is the unit of the time right?"),
                          span_s / 86400));
}

TideRawRows *
tide_rows_finish (TideRows *rows, GPtrArray *complaints, GError **error)
{
  rows->n_skipped += tide_holes_close (&rows->raw, rows->u, rows->lane, &rows->tally);
  if (!check_rows (rows, error))
    return NULL;
  question_span (rows, complaints);
  tide_tally_tell (&rows->tally, complaints);
  rows->raw.clock_of_day =
      rows->u->time.form == TIDE_FORM_CLOCK && rows->u->time.daytime && rows->greatest_s < 86400;
  rows->raw.dated = rows->u->time.form == TIDE_FORM_DATE || rows->u->time.form == TIDE_FORM_EPOCH;
  return &rows->raw;
}

gboolean
tide_rows_is_full (const TideRows *rows)
{
  return rows->is_full;
}

guint64
tide_rows_get_skipped (const TideRows *rows)
{
  return rows->n_skipped;
}

gint64
tide_rows_get_start_us (const TideRows *rows)
{
  return rows->start_us;
}
