/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An understanding applied to every row: fields become numbers, rows become columns.
 *
 * A row that lacks a value of a needed column (time, voltage, current, power: those that are
 * mapped) is skipped, counted and complained about (broken.c); where runs stand side by side, of
 * each run by itself. Counters, temperature and data lines are optional: they may lack values.
 * Blank rows, comment rows and repeated names are no data and not counted. Rows go on some at a
 * time; what is kept is one row, and nothing of the text.
 */
#include "reading/rows-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>

/* No log has so much text in one piece that is no row of it; what has may have no end. */
#define MOST_FRUITLESS_MIB 64
/* About 3,000 years from 1970, in microseconds: a count beyond it is no wall clock. */
#define MOST_START_US 1e17
/* No charge takes so long: the unit of the time is in question. */
#define LONGEST_S  (60 * 86400.0)
#define HALF_DAY_S 43200

#define IS_OPTIONAL(q) ((q) >= TIDE_QUANTITY_ENERGY)

const char *
tide_understanding_get_name (const TideUnderstanding *u, guint lane, TideQuantity quantity)
{
  int index =
      quantity == TIDE_QUANTITY_TIME ? u->time.index : u->lanes[lane].columns[quantity].index;
  return index >= 0 ? g_ptr_array_index (u->names, index) : NULL;
}

static void
use_column (TideRows *rows, guint lane, TideQuantity quantity)
{
  TideRowsLane *l = &rows->lanes[lane];
  int index = l->columns[quantity].index;
  if (index < 0)
    return;
  l->raw.columns[quantity] = g_array_sized_new (FALSE, FALSE, sizeof (double), TIDE_ROWS_AT_A_TIME);
  if (!IS_OPTIONAL (quantity))
    l->needed |= 1u << quantity;
  rows->uses[rows->n_uses] = (TideRowsUse){ (gint8)lane, (gint8)quantity, rows->first_use[index] };
  rows->first_use[index] = rows->n_uses++;
}

TideRows *
tide_rows_new (const TideUnderstanding *understanding)
{
  TideRows *rows = g_new0 (TideRows, 1);
  rows->u = understanding;
  tide_course_init (&rows->course, understanding);
  memset (rows->first_use, -1, sizeof rows->first_use);
  for (guint lane = 0; lane < understanding->n_lanes; lane++)
    {
      TideRowsLane *l = &rows->lanes[lane];
      l->columns = understanding->lanes[lane].columns;
      l->tally.told = tide_complaints_new ();
      l->raw.columns[TIDE_QUANTITY_TIME] =
          g_array_sized_new (FALSE, FALSE, sizeof (double), TIDE_ROWS_AT_A_TIME);
      l->raw.rows = g_array_sized_new (FALSE, FALSE, sizeof (guint64), TIDE_ROWS_AT_A_TIME);
      for (TideQuantity q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
        use_column (rows, lane, q);
    }
  tide_rows_plan_plain (rows);
  return rows;
}

void
tide_rows_connect (TideRows *rows, guint lane, TideRowsFunc push, gpointer user_data)
{
  rows->lanes[lane].push = push;
  rows->lanes[lane].user_data = user_data;
}

static void
clear_lane (TideRowsLane *lane)
{
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      g_clear_pointer (&lane->raw.columns[q], g_array_unref);
      g_free (lane->bad[q]);
    }
  g_free (lane->first_broken);
  g_array_unref (lane->raw.rows);
  g_ptr_array_unref (lane->tally.told);
}

void
tide_rows_free (TideRows *rows)
{
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    clear_lane (&rows->lanes[lane]);
  g_clear_error (&rows->error);
  g_free (rows->bad_time);
  g_free (rows->start_text);
  g_free (rows);
}

/* ---- Field ---- */

/* Below the table's end only the names of another are looked for. */
static void
take_time (TideRows *rows, const char *text, gsize length)
{
  rows->has_time =
      rows->end_row == 0 && tide_course_take_time (&rows->course, text, length, &rows->time_s);
  if (rows->has_time)
    return;
  g_free (rows->bad_time);
  rows->bad_time = g_strndup (text, length);
}

static void
take_date (TideRows *rows, const char *text, gsize length)
{
  if (!tide_course_take_date (&rows->course, text, length) && !rows->bad_time)
    rows->bad_time = g_strndup (text, length);
}

static void
take_millis (TideRows *rows, const char *text, gsize length)
{
  if (!tide_course_take_millis (&rows->course, text, length) && !rows->bad_time)
    rows->bad_time = g_strndup (text, length);
}

static void
take_value (TideRows *rows, const TideRowsUse *use, const char *text, gsize length)
{
  TideRowsLane *lane = &rows->lanes[use->lane];
  if (tide_column_use_parse (rows->u, &lane->columns[use->quantity], use->quantity, text, length,
                             &lane->value[use->quantity]))
    {
      lane->have |= 1u << use->quantity;
      return;
    }
  g_free (lane->bad[use->quantity]);
  lane->bad[use->quantity] = g_strndup (text, length);
}

static void
take_start (TideRows *rows, const char *text, gsize length)
{
  g_free (rows->start_text);
  rows->start_text = g_strndup (text, length);
}

void
tide_rows_field_cb (guint column, const char *text, gsize length, gpointer user_data)
{
  TideRows *rows = user_data;
  if (rows->suspect)
    return;
  if (length > 0 && rows->n_filled++ == 0)
    rows->has_words = tide_field_is_words (text, length);
  if (column == 0)
    rows->is_comment = tide_is_comment (text, length);
  if (!rows->has_start && (int)column == rows->u->clock.index)
    take_start (rows, text, length);
  if ((int)column == rows->u->time.index)
    take_time (rows, text, length);
  else if ((int)column == rows->u->date.index)
    take_date (rows, text, length);
  else if ((int)column == rows->u->millis_index)
    take_millis (rows, text, length);
  for (gint16 use = rows->first_use[column]; use >= 0; use = rows->uses[use].next)
    take_value (rows, &rows->uses[use], text, length);
}

/* ---- Row ---- */

/* The row's fields are all there: it has a time, or not. Rows that are skipped have one too. */
static void
finish_time (TideRows *rows, guint64 row)
{
  const TideRowsLane *lane = &rows->lanes[0];
  gboolean is_comment = rows->is_comment && (lane->needed & ~lane->have) != 0;
  gboolean is_data =
      rows->n_filled > 0 && !rows->is_prose && !is_comment && !tide_rows_has_names_again (rows);
  rows->has_time = is_data
                   && tide_course_finish_row (&rows->course, rows->has_time, &rows->lanes[0].tally,
                                              row, &rows->time_s);
}

/* The wall clock of the first row that is kept. */
static gint64
compute_start (const TideRows *rows)
{
  const TideTimeUse *clock = &rows->u->clock;
  const char *text = rows->start_text;
  double number;
  TideMoment moment;
  if (rows->course.is_dated)
    return tide_course_get_start_us (&rows->course, rows->time_s);
  if (!text)
    return 0;
  if (clock->form == TIDE_FORM_EPOCH)
    {
      if (!tide_number_parse_grouped (text, strlen (text), rows->u->decimal_mark, clock->group_mark,
                                      clock->unit.exponent + 6, &number))
        return 0;
      return fabs (number) < MOST_START_US ? (gint64)round (number) : 0;
    }
  if ((clock->form == TIDE_FORM_DATE && clock->order == TIDE_ORDER_NONE)
      || !tide_time_use_parse_moment (clock, rows->u->decimal_mark, text, strlen (text), &moment))
    return 0;
  if (!moment.has_clock)
    {
      if (!rows->u->time.daytime)
        return 0;
      moment.us += (gint64)round (rows->time_s * G_USEC_PER_SEC);
    }
  return tide_moment_to_us (moment);
}

void
tide_rows_push_lane (TideRows *rows, TideRowsLane *lane)
{
  lane->raw.clock_of_day = tide_course_is_of_day (&rows->course);
  lane->raw.dated = rows->course.is_dated || rows->u->time.form == TIDE_FORM_EPOCH;
  if (lane->push != NULL && rows->error == NULL)
    lane->push (&lane->raw, lane->user_data, &rows->error);
}

static void
keep_row (TideRows *rows, TideRowsLane *lane, guint64 row)
{
  rows->is_full |= lane->n_kept >= TIDE_MAX_ROWS;
  if (rows->is_full)
    return;
  lane->n_footer = 0;
  if (lane->n_kept++ == 0)
    {
      lane->first_s = rows->time_s;
      lane->raw.start_us = compute_start (rows);
    }
  lane->last_s = rows->time_s;
  rows->last_row = row;
  if (lane->push == NULL)
    return;
  g_array_append_val (lane->raw.columns[TIDE_QUANTITY_TIME], rows->time_s);
  for (int q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
    {
      if (!lane->raw.columns[q])
        continue;
      double value = (lane->have >> q) & 1 ? lane->value[q] : NAN;
      g_array_append_val (lane->raw.columns[q], value);
    }
  g_array_append_val (lane->raw.rows, row);
  if (lane->raw.rows->len >= TIDE_ROWS_AT_A_TIME)
    tide_rows_push_lane (rows, lane);
}

static void
clear_row (TideRows *rows)
{
  rows->has_time = FALSE;
  rows->n_filled = 0;
  rows->is_comment = FALSE;
  g_clear_pointer (&rows->bad_time, g_free);
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    {
      rows->lanes[lane].have = 0;
      for (int q = 0; q < TIDE_N_QUANTITIES; q++)
        g_clear_pointer (&rows->lanes[lane].bad[q], g_free);
    }
}

/* A row cut by the end of the file: its last field may be half a number. */
static void
forget_field (TideRows *rows, guint column)
{
  if ((int)column == rows->u->time.index)
    rows->has_time = FALSE;
  for (gint16 use = rows->first_use[column]; use >= 0; use = rows->uses[use].next)
    rows->lanes[rows->uses[use].lane].have &= ~(1u << rows->uses[use].quantity);
}

/* Gives whether the lane has a sample in this row. */
static gboolean
finish_lane (TideRows *rows, guint index, guint64 row, gboolean is_cut)
{
  TideRowsLane *lane = &rows->lanes[index];
  gboolean is_whole = rows->has_time && (lane->needed & ~lane->have) == 0;
  if (is_whole)
    keep_row (rows, lane, row);
  if (is_whole && is_cut)
    tide_tally_add (&lane->tally, row, NULL, _ ("the file ends inside this row"));
  else if (!is_whole && rows->n_filled > 0 && !rows->is_comment)
    {
      if (!tide_rows_has_names_again (rows))
        tide_rows_skip (rows, index, row, is_cut);
      else if (index == 0)
        tide_tally_add (&lane->tally, row, NULL,
                        _ ("the names of the columns stand here again; passed over"));
    }
  return is_whole;
}

void
tide_rows_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data)
{
  TideRows *rows = user_data;
  if (rows->suspect)
    return;
  if (tide_rows_may_name_table (rows, row))
    {
      rows->suspect = row;
      clear_row (rows);
      return;
    }
  if (rows->end_row > 0)
    {
      rows->n_below += row > rows->end_row && rows->n_filled > 0;
      clear_row (rows);
      return;
    }
  gboolean is_cut = !terminated && n_fields < rows->usual_n_fields, is_whole = FALSE;
  if (is_cut && n_fields > 0)
    forget_field (rows, n_fields - 1);
  rows->is_prose = tide_rows_has_words_only (rows);
  finish_time (rows, row);
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    is_whole |= finish_lane (rows, lane, row, is_cut);
  rows->has_start |= is_whole;
  if (is_whole)
    rows->usual_n_fields = n_fields;
  clear_row (rows);
}

/* ---- Other tables ---- */

void
tide_rows_watch (TideRows *rows, gboolean is_watched)
{
  rows->is_watched = is_watched;
}

guint64
tide_rows_get_suspect (const TideRows *rows)
{
  return rows->suspect;
}

void
tide_rows_clear_suspect (TideRows *rows)
{
  rows->no_names = rows->suspect;
  rows->suspect = 0;
}

/* ---- Where the table ends ---- */

void
tide_rows_end (TideRows *rows)
{
  rows->end_row = rows->suspect;
}

gboolean
tide_rows_has_ended (const TideRows *rows)
{
  return rows->end_row > 0;
}

/* The seconds that record has behind the rows so far. FALSE: it has none. */
static gboolean
find_next_time (const TideRows *rows, const TideTable *record, double *seconds)
{
  TideCourse course = rows->course;
  g_autoptr (GPtrArray) told = tide_complaints_new ();
  TideTally tally = { told, 0 };
  int time = rows->u->time.index, date = rows->u->date.index, millis = rows->u->millis_index;
  const char *text;
  if (time >= 0
      && (text = tide_table_field (record, 0, (guint)time),
          !tide_course_take_time (&course, text, strlen (text), seconds)))
    return FALSE;
  if (date >= 0
      && (text = tide_table_field (record, 0, (guint)date),
          !tide_course_take_date (&course, text, strlen (text))))
    return FALSE;
  if (millis >= 0
      && (text = tide_table_field (record, 0, (guint)millis),
          !tide_course_take_millis (&course, text, strlen (text))))
    return FALSE;
  return tide_course_finish_row (&course, TRUE, &tally, 1, seconds);
}

gboolean
tide_rows_go_on_with (const TideRows *rows, const TideTable *record)
{
  double seconds = 0, last_s = -INFINITY;
  if ((rows->usual_n_fields > 0 && tide_table_n_fields (record, 0) != rows->usual_n_fields)
      || !find_next_time (rows, record, &seconds))
    return FALSE;
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    if (rows->lanes[lane].n_kept > 0)
      last_s = MAX (last_s, rows->lanes[lane].last_s);
  gboolean is_midnight = tide_course_is_of_day (&rows->course) && last_s - seconds > HALF_DAY_S;
  return seconds > last_s || is_midnight;
}

static void
tell_end (const TideRows *rows, GPtrArray *complaints)
{
  if (rows->end_row == 0)
    return;
  g_ptr_array_add (complaints,
                   tide_complaint_new (
                       rows->end_row, NULL,
                       ngettext ("other columns are named here, such as a summary has: the table "
                                 "ends; %" PRIu64 " row below is not read",
                                 "other columns are named here, such as a summary has: the table "
                                 "ends; %" PRIu64 " rows below are not read",
                                 (gulong)rows->n_below),
                       rows->n_below));
}

/* ---- File ---- */

/* Whether there is use in reading on. */
static gboolean
check_rows (TideRows *rows, GError **error)
{
  if (rows->error != NULL)
    g_propagate_error (error, g_error_copy (rows->error));
  else if (rows->is_full)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("the file has more than %d rows"), TIDE_MAX_ROWS);
  else
    return TRUE;
  return FALSE;
}

gboolean
tide_rows_check_text (TideRows *rows, gsize n_bytes, GError **error)
{
  rows->n_fruitless = rows->last_row == rows->fruitful_row ? rows->n_fruitless + n_bytes : 0;
  rows->fruitful_row = rows->last_row;
  if (rows->n_fruitless <= (gsize)MOST_FRUITLESS_MIB * 1024 * 1024)
    return check_rows (rows, error);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
               _ ("the %d MiB of text below row %" PRIu64 " hold no usable row"),
               MOST_FRUITLESS_MIB, MAX (rows->last_row, rows->u->first_row - 1));
  return FALSE;
}

static void
question_span (const TideRows *rows, const TideRowsLane *lane, GPtrArray *complaints)
{
  double span_s = lane->last_s - lane->first_s;
  if (span_s <= LONGEST_S)
    return;
  char days[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (days, sizeof days, "%.6g", span_s / 86400);
  g_ptr_array_add (
      complaints,
      tide_complaint_new (rows->u->header_row,
                          tide_understanding_get_name (rows->u, 0, TIDE_QUANTITY_TIME),
                          _ ("the log would span %s days; is the unit of the time right?"), days));
}

gboolean
tide_rows_flush (TideRows *rows, GError **error)
{
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    if (rows->lanes[lane].raw.rows->len > 0)
      tide_rows_push_lane (rows, &rows->lanes[lane]);
  return check_rows (rows, error);
}

gboolean
tide_rows_finish_lane (TideRows *rows, guint lane, GPtrArray *complaints, GError **error)
{
  if (!tide_rows_check_broken (rows, &rows->lanes[lane], error))
    return FALSE;
  question_span (rows, &rows->lanes[lane], complaints);
  tell_end (rows, complaints);
  tide_tally_tell (&rows->lanes[lane].tally, complaints);
  return TRUE;
}

guint64
tide_rows_get_skipped (const TideRows *rows, guint lane)
{
  return rows->lanes[lane].n_skipped;
}
