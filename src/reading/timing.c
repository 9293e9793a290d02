/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is the time, and how it is read.
 *
 * Every column whose name can be a time is looked at over the file's head (looks.c): are its fields
 * numbers, clocks or dates; does it rise; does it ever fall. What a rule states comes first.
 * Elapsed time in a unit is preferred, and a column that never falls: a step's time that restarts
 * loses to the time of the whole test. A clock of day with a column of dates beside it is read
 * together with that; dates beside an elapsed time give the start (beside.c). Without any such
 * column the rows follow each other at the interval that a rule states, or the lines above the
 * table.
 *
 * What can be read in two ways, such as dates whose order nothing decides (order.c), is asked.
 */
#include "reading/timing.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>

#include "reading/rule-private.h"

/* Of a field in a message, the first letters. */
#define MOST_SHOWN 60

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

/* ---- Questions ---- */

/* The first field of column in which use reads something, and its row. */
static const char *
find_sample (const TideUnderstanding *u,
             const TideTimeUse *use,
             const TideTable *table,
             guint64 *row)
{
  double seconds;
  for (guint i = 0; i < table->rows->len; i++)
    {
      const char *text = tide_table_field (table, i, (guint)use->index);
      *row = g_array_index (table->rows, TideTableRow, i).row;
      if (tide_time_use_parse (use, u->decimal_mark, text, strlen (text), &seconds))
        return text;
    }
  *row = 0;
  return "";
}

static const char *
describe_order (TideDateOrder order)
{
  return order == TIDE_ORDER_DAY     ? _ ("day/month/year")
         : order == TIDE_ORDER_MONTH ? _ ("month/day/year")
                                     : _ ("year/month/day");
}

static void
add_order_answer (TideQuestion *question, const char *sample, TideDateOrder order)
{
  TideMoment moment;
  g_autofree char *pattern = tide_date_pattern (sample, strlen (sample), order);
  if (!pattern || !tide_date_parse (sample, strlen (sample), order, &moment))
    return;
  g_autoptr (GDateTime) begin = g_date_time_new_from_unix_utc (moment.us / G_USEC_PER_SEC);
  /* Translators: a date in full, letters of strftime: 3 April 2026 */
  g_autofree char *date = g_date_time_format (begin, _ ("%-d %B %Y"));
  tide_question_add_answer (question, "time", pattern, _ ("%s: the log begins on %s"),
                            describe_order (order), date);
}

static void
ask_order (TideUnderstanding *u, const TideTimeCandidate *dates, const TideTable *table)
{
  static const TideDateOrder orders[] = { TIDE_ORDER_DAY, TIDE_ORDER_MONTH, TIDE_ORDER_YEAR };
  guint64 row;
  const char *sample = find_sample (u, &dates->use, table, &row),
             *name = get_name (u, dates->use.index);
  g_autoptr (GString) readings = g_string_new (NULL);
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if (dates->orders & orders[i])
      g_string_append_printf (readings, "%s%s", readings->len > 0 ? _ (" or ") : "",
                              describe_order (orders[i]));
  TideQuestion *question =
      tide_question_new (TRUE, row, name,
                         _ ("the dates in column \"%s\", such as \"%s\", can be %s"), name, sample,
                         readings->str);
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if (dates->orders & orders[i])
      add_order_answer (question, sample, orders[i]);
  tide_understanding_ask (u, question);
}

static void
ask_hands (TideUnderstanding *u, const TideTable *table)
{
  guint64 row;
  const char *sample = find_sample (u, &u->time, table, &row), *name = get_name (u, u->time.index);
  TideQuestion *question = tide_question_new (
      TRUE, row, name,
      _ ("the times in column \"%s\", such as \"%s\", can be hours:minutes or minutes:seconds"),
      name, sample);
  tide_question_add_answer (question, "time", "%H:%M", _ ("hours:minutes"));
  tide_question_add_answer (question, "time", "%M:%S", _ ("minutes:seconds"));
  tide_understanding_ask (u, question);
}

/* Said where the days' course decided. */
static void
tell_order (TideUnderstanding *u, const TideTimeCandidate *dates)
{
  tide_understanding_remark (
      u, tide_complaint_new (u->header_row, get_name (u, dates->use.index),
                             _ ("the dates are read as %s: only so one day follows the other"),
                             describe_order (dates->use.order)));
}

static void
settle_order (TideUnderstanding *u, const TideTimeCandidate *dates, const TideTable *table)
{
  if (tide_time_is_ambiguous (dates))
    ask_order (u, dates, table);
  else if (dates->order_by_course)
    tell_order (u, dates);
}

/* ---- What a rule states ---- */

static gboolean
take_pattern (TideUnderstanding *u, GError **error)
{
  if (!u->rule || !u->rule->time_pattern || u->pattern)
    return TRUE;
  u->pattern = tide_pattern_new (u->rule->time_pattern, error);
  return u->pattern != NULL;
}

/* The first column that is named as a time; -1: there is none. */
static int
find_time_column (const TideUnderstanding *u, const TideMeaning *meanings)
{
  for (guint column = 0; column < u->names->len; column++)
    if (meanings[column].known && meanings[column].quantity == TIDE_QUANTITY_TIME)
      return (int)column;
  return -1;
}

static gboolean
has_form (const GArray *candidates, TideTimeForm form)
{
  for (guint i = 0; i < candidates->len; i++)
    if (g_array_index (candidates, TideTimeCandidate, i).use.form == form)
      return TRUE;
  return FALSE;
}

static gboolean
has_days (const GArray *candidates)
{
  for (guint i = 0; i < candidates->len; i++)
    if (tide_time_is_day (&g_array_index (candidates, TideTimeCandidate, i)))
      return TRUE;
  return FALSE;
}

/* A pattern that no column fits, or days that are no numbers: with the first field that does not
 * fit. */
static gboolean
check_pattern (const TideUnderstanding *u,
               const TideMeaning *meanings,
               const GArray *candidates,
               const TideTable *table,
               GError **error)
{
  gboolean is_serial = u->rule && u->rule->time_serial;
  int column = find_time_column (u, meanings);
  if ((!u->pattern && !is_serial) || column < 0
      || has_form (candidates, is_serial ? TIDE_FORM_SERIAL : TIDE_FORM_STATED))
    return TRUE;
  gboolean is_split = u->pattern && tide_pattern_has_date (u->pattern)
                      && tide_pattern_has_clock (u->pattern) && has_days (candidates);
  g_autofree char *field = g_utf8_make_valid (tide_table_field (table, 0, (guint)column), -1);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               _ ("the time \"%s\" in row %" PRIu64
                  ", column \"%s\", is not written as stated: %s%s"),
               g_strdelimit (field, "\r\n\t", ' '),
               g_array_index (table->rows, TideTableRow, 0).row, get_name (u, column),
               is_serial ? "serial" : u->rule->time_pattern,
               is_split ? _ ("; of a date and a clock in two columns, state the date alone") : "");
  return FALSE;
}

static void
use_interval (TideUnderstanding *u, double every_s)
{
  u->time = (TideTimeUse){ .index = -1, .form = TIDE_FORM_COUNT, .every_s = every_s };
}

/* ---- The choice ---- */

static GArray *
find_candidates (const TideUnderstanding *u, const TideMeaning *meanings, const TideTable *table)
{
  GArray *candidates = g_array_new (FALSE, FALSE, sizeof (TideTimeCandidate));
  for (guint column = 0; column < u->names->len; column++)
    {
      TideTimeCandidate candidate;
      if (meanings[column].known && meanings[column].quantity == TIDE_QUANTITY_TIME
          && tide_time_examine (u, &meanings[column], table, column, &candidate))
        g_array_append_val (candidates, candidate);
    }
  return candidates;
}

static gboolean
is_clock_of_day (const TideTimeCandidate *candidate)
{
  return !candidate->has_date && candidate->use.daytime;
}

/* A clock need not rise where its date does: one row a day. */
static gboolean
has_rising_days (const GArray *candidates)
{
  for (guint i = 0; i < candidates->len; i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      if (tide_time_is_day (c) && c->rises)
        return TRUE;
    }
  return FALSE;
}

static const TideTimeCandidate *
choose_best (const GArray *candidates, const TideTable *table)
{
  const TideTimeCandidate *best = NULL;
  gboolean have_days = has_rising_days (candidates);
  for (guint i = 0; i < candidates->len; i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      gboolean may_be = c->rises || c->meaning->stated || (have_days && is_clock_of_day (c))
                        || (table->rows->len < 2 && !tide_time_is_day (c));
      if (may_be && (!best || c->score > best->score))
        best = c;
    }
  return best;
}

/* The dates that a clock of day belongs to. */
static const TideTimeCandidate *
find_days (const GArray *candidates, const TideTimeCandidate *clock)
{
  const TideTimeCandidate *days = NULL;
  if (!is_clock_of_day (clock))
    return NULL;
  for (guint i = 0; i < candidates->len; i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      if (tide_time_is_day (c) && (!days || c->score > days->score))
        days = c;
    }
  return days;
}

/* ---- No column is the time ---- */

static gboolean
is_candidate (const GArray *candidates, guint column)
{
  for (guint i = 0; i < candidates->len; i++)
    if (g_array_index (candidates, TideTimeCandidate, i).use.index == (int)column)
      return TRUE;
  return FALSE;
}

static gboolean
has_no_form (const TideUnderstanding *u, const char *text, gsize length)
{
  double number;
  TideClock clock;
  return !tide_number_is_missing (text, length)
         && !tide_number_parse_grouped (text, length, u->decimal_mark, u->group_mark, 0, &number)
         && !tide_clock_parse (text, length, FALSE, &clock)
         && tide_date_orders (text, length) == TIDE_ORDER_NONE;
}

/* The first field of no form in a column that is named as a time; NULL: there is none. */
static const char *
find_formless (const TideUnderstanding *u,
               const TideMeaning *meanings,
               const GArray *candidates,
               const TideTable *table,
               const char **name)
{
  for (guint column = 0; column < u->names->len; column++)
    {
      if (!meanings[column].known || meanings[column].quantity != TIDE_QUANTITY_TIME
          || is_candidate (candidates, column))
        continue;
      *name = get_name (u, (int)column);
      for (guint row = 0; row < table->rows->len; row++)
        {
          const char *text = tide_table_field (table, row, column);
          if (has_no_form (u, text, strlen (text)))
            return text;
        }
    }
  return NULL;
}

static gboolean
fail_without_time (const TideUnderstanding *u,
                   const TideMeaning *meanings,
                   const GArray *candidates,
                   const TideTable *table,
                   GError **error)
{
  const char *name, *text = find_formless (u, meanings, candidates, table, &name);
  if (!text)
    {
      g_set_error_literal (
          error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
          _ ("no column can be the time: one must hold rising numbers, clocks or "
             "dates and be named so, such as \"Time (s)\"; or say the seconds from "
             "row to row"));
      return FALSE;
    }
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autofree char *line =
      g_strdelimit (g_utf8_substring (valid, 0, MIN (g_utf8_strlen (valid, -1), MOST_SHOWN)),
                    "\r\n\t", ' ');
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
               _ ("the times in column \"%s\", such as \"%s\", are written in no form that is "
                  "known; state how, as in %%d.%%m.%%Y %%H:%%M:%%S"),
               name, line);
  return FALSE;
}

static void
use_noted_interval (TideUnderstanding *u)
{
  char seconds[G_ASCII_DTOSTR_BUF_SIZE];
  use_interval (u, u->noted_every_s);
  g_ascii_formatd (seconds, sizeof seconds, "%.9g", u->noted_every_s);
  g_ptr_array_add (u->complaints, tide_complaint_new (
                                      u->noted_row, NULL,
                                      _ ("no column is the time; the rows are taken to follow each "
                                         "other every %s s, as is noted here"),
                                      seconds));
}

/* A rule states how the dates beside a clock are written: together they are points in time, so that
 * two parts of the clock are hours and minutes. */
static gboolean
is_dated_by_rule (const TideUnderstanding *u)
{
  return u->date.index >= 0 && u->date.form == TIDE_FORM_STATED;
}

/* What the column of an elapsed time or a clock does not say of itself. */
static void
settle_number (TideUnderstanding *u,
               const TideTimeCandidate *time,
               const GArray *candidates,
               const TideTable *table)
{
  TideTimeUse clock = { .index = -1 };
  for (guint i = 0; i < candidates->len && u->clock.index >= 0; i++)
    if (g_array_index (candidates, TideTimeCandidate, i).use.index == u->clock.index)
      clock = g_array_index (candidates, TideTimeCandidate, i).use;
  if (time->use.form == TIDE_FORM_NUMBER)
    tide_time_settle_unit (u, time, &clock, table);
  else if (time->is_two_part && !is_dated_by_rule (u) && !tide_time_settle_hands (u, &clock, table))
    ask_hands (u, table);
}

static void
settle_choice (TideUnderstanding *u,
               const TideTimeCandidate *best,
               const GArray *candidates,
               const TideTable *table)
{
  const TideTimeCandidate *days = find_days (candidates, best);
  u->time = best->use;
  if (days)
    {
      u->date = days->use;
      settle_order (u, days, table);
    }
  else if (best->has_date)
    settle_order (u, best, table);
  tide_time_choose_clock (u, candidates);
  settle_number (u, best, candidates, table);
  tide_time_join_millis (u, candidates, table);
}

gboolean
tide_choose_time (TideUnderstanding *u,
                  const TideMeaning *meanings,
                  const TideTable *table,
                  GError **error)
{
  if (!take_pattern (u, error))
    return FALSE;
  g_autoptr (GArray) candidates = find_candidates (u, meanings, table);
  if (u->rule && u->rule->every_s > 0)
    {
      use_interval (u, u->rule->every_s);
      tide_time_choose_clock (u, candidates);
      return TRUE;
    }
  if (!check_pattern (u, meanings, candidates, table, error))
    return FALSE;
  const TideTimeCandidate *best = choose_best (candidates, table);
  if (!best)
    {
      if (u->noted_every_s == 0)
        return fail_without_time (u, meanings, candidates, table, error);
      use_noted_interval (u);
      return TRUE;
    }
  if (!tide_time_check_not_split (u, best, candidates, table, error))
    return FALSE;
  settle_choice (u, best, candidates, table);
  return TRUE;
}
