/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The dates beside an elapsed time: they give the start, and tell what the elapsed time counts.
 *
 * An elapsed time without a unit is held against the dates; where there are none it is taken as
 * seconds and that is said. Where it would then span more than LONGEST_S already in the head, or
 * may be a spreadsheet's days as well, it is asked.
 */
#include "reading/timing.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Dates that span less say nothing about a unit. */
#define CLOCK_SPAN_S 10
/* A unit found by the dates beside must fit this well. */
#define UNIT_TOLERANCE 0.1
/* Dates of whole minutes over a short head may fit worse; by so much they say another thing. */
#define CONTRADICTION 2.0
/* No charge takes so long: the unit of the time is in question. */
#define LONGEST_S (60 * 86400.0)
/* Numbers from here on have 12 digits and more: as seconds they would be thousands of years. */
#define LEAST_COUNT 1e11

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

static gboolean
parse_row (const TideUnderstanding *u,
           const TideTimeUse *use,
           const TideTable *table,
           guint row,
           double *seconds)
{
  const char *text = tide_table_field (table, row, (guint)use->index);
  return tide_time_use_parse (use, u->decimal_mark, text, strlen (text), seconds);
}

/* How many seconds the clock moves for one of elapsed, over the head; 0 if it does not say. */
static double
compare_with_clock (const TideUnderstanding *u, const TideTimeUse *clock, const TideTable *table)
{
  double elapsed[2], wall[2];
  guint n = table->rows->len, first = 0, last = n;
  while (first < n
         && !(parse_row (u, &u->time, table, first, &elapsed[0])
              && parse_row (u, clock, table, first, &wall[0])))
    first++;
  while (last > first
         && !(parse_row (u, &u->time, table, last - 1, &elapsed[1])
              && parse_row (u, clock, table, last - 1, &wall[1])))
    last--;
  if (last <= first || elapsed[1] <= elapsed[0] || wall[1] - wall[0] < CLOCK_SPAN_S)
    return 0;
  return (wall[1] - wall[0]) / (elapsed[1] - elapsed[0]);
}

/* Takes text. */
static TideComplaint *
complain_of_time (const TideUnderstanding *u, char *text)
{
  g_autofree char *owned = text;
  return tide_complaint_new (u->header_row, get_name (u, u->time.index), "%s", owned);
}

/* ---- The unit ---- */

static const TideUnit units[] = { { -3, 1, 1, "ms" },
                                  { 0, 1, 1, "s" },
                                  { 0, 60, 1, "min" },
                                  { 0, 3600, 1, "h" },
                                  { 0, 86400, 1, "d" } };

/* The unit at which the elapsed time goes with the dates. FALSE: they do not tell. */
static gboolean
settle_by_dates (TideUnderstanding *u,
                 gboolean unit_named,
                 const TideTimeUse *clock,
                 const TideTable *table)
{
  double ratio = compare_with_clock (u, clock, table);
  for (guint i = 0; i < G_N_ELEMENTS (units) && ratio > 0; i++)
    {
      double fit = ratio / tide_unit_scale (units[i], pow (10, units[i].exponent));
      if (fabs (fit - 1) > UNIT_TOLERANCE)
        continue;
      if (!unit_named)
        {
          u->time.unit = units[i];
          tide_understanding_remark (
              u,
              complain_of_time (
                  u,
                  g_strdup_printf (
                      _ ("the column names no unit; taken as %s, at which it goes with the dates"),
                      units[i].symbol)));
        }
      else if (units[i].exponent != 0 || units[i].times != 1)
        g_ptr_array_add (u->complaints,
                         complain_of_time (
                             u, g_strdup_printf (_ ("the column's unit does not go with the dates: "
                                                    "each second of it is 1 %s by them"),
                                                 units[i].symbol)));
      return TRUE;
    }
  return FALSE;
}

/* The dates go so differently that no unit can be meant: either may be wrong. */
static gboolean
contradicts_dates (const TideUnderstanding *u, const TideTimeUse *clock, const TideTable *table)
{
  double ratio = compare_with_clock (u, clock, table);
  for (guint i = 0; i < G_N_ELEMENTS (units) && ratio > 0; i++)
    {
      double fit = ratio / tide_unit_scale (units[i], pow (10, units[i].exponent));
      if (fit > 1 / CONTRADICTION && fit < CONTRADICTION)
        return FALSE;
    }
  return ratio > 0;
}

/* The least and the greatest time in the head. */
static void
measure_span (const TideUnderstanding *u, const TideTable *table, double *low_s, double *high_s)
{
  double seconds;
  *low_s = INFINITY;
  *high_s = -INFINITY;
  for (guint row = 0; row < table->rows->len; row++)
    if (parse_row (u, &u->time, table, row, &seconds))
      {
        *low_s = MIN (*low_s, seconds);
        *high_s = MAX (*high_s, seconds);
      }
}

static void
add_unit_answer (TideQuestion *question, const TideUnderstanding *u, const char *unit)
{
  g_autofree char *text = tide_column_answer ((guint)u->time.index, TIDE_QUANTITY_TIME, 1, unit);
  tide_question_add_answer (question, "column", text, _ ("elapsed time in %s"), unit);
}

/* 0.4375 is half past ten to a spreadsheet. */
static void
ask_daytimes (TideUnderstanding *u, const TideTable *table)
{
  const char *name = get_name (u, u->time.index);
  TideQuestion *question =
      tide_question_new (TRUE, g_array_index (table->rows, TideTableRow, 0).row, name,
                         _ ("the times in column \"%s\", such as \"%s\", can be parts of a day, as "
                            "a spreadsheet counts them, or elapsed seconds"),
                         name, tide_table_field (table, 0, (guint)u->time.index));
  add_unit_answer (question, u, "d");
  add_unit_answer (question, u, "s");
  tide_understanding_ask (u, question);
}

static void
ask_serial (TideUnderstanding *u, const TideTable *table)
{
  TideQuestion *question =
      tide_question_new (TRUE, g_array_index (table->rows, TideTableRow, 0).row,
                         get_name (u, u->time.index),
                         _ ("the times in column \"%s\", such as \"%s\", can be a spreadsheet's "
                            "days or elapsed seconds"),
                         get_name (u, u->time.index),
                         tide_table_field (table, 0, (guint)u->time.index));
  tide_question_add_answer (question, "time", "serial", _ ("days as a spreadsheet counts them"));
  add_unit_answer (question, u, "s");
  tide_understanding_ask (u, question);
  u->time.form = TIDE_FORM_SERIAL;
}

/* A count so high is one of a clock, but from 1970 it falls into no likely year. */
static void
ask_count (TideUnderstanding *u, const TideTable *table)
{
  const char *name = get_name (u, u->time.index);
  TideQuestion *question = tide_question_new (
      TRUE, g_array_index (table->rows, TideTableRow, 0).row, name,
      _ ("the times in column \"%s\", such as \"%s\", can be counted in milliseconds or seconds"),
      name, tide_table_field (table, 0, (guint)u->time.index));
  add_unit_answer (question, u, "ms");
  add_unit_answer (question, u, "s");
  tide_understanding_ask (u, question);
}

/* Counts of ten milliseconds, beside a clock. */
static void
ask_clock (TideUnderstanding *u, const TideTimeUse *clock, const TideTable *table)
{
  const char *name = get_name (u, u->time.index);
  TideQuestion *question = tide_question_new (
      TRUE, g_array_index (table->rows, TideTableRow, 0).row, name,
      _ ("the column \"%s\" names no unit, and in none does it go with the dates in \"%s\""), name,
      get_name (u, clock->index));
  add_unit_answer (question, u, "s");
  g_autofree char *text = tide_column_answer ((guint)clock->index, TIDE_QUANTITY_TIME, 1, NULL);
  tide_question_add_answer (question, "column", text, _ ("the time by column \"%s\""),
                            get_name (u, clock->index));
  tide_understanding_ask (u, question);
}

/* Without a unit nothing tells how long the log is; with one it may be wrong. */
static void
ask_span (TideUnderstanding *u, double span_s, gboolean unit_named)
{
  static const char *const symbols[] = { "d", "h", "min", "s", "ms", "µs", "ns" };
  const char *name = get_name (u, u->time.index), *unit = u->time.unit.symbol;
  guint at = 0;
  while (at < G_N_ELEMENTS (symbols) && g_strcmp0 (symbols[at], unit) != 0)
    at++;
  if (at + 1 >= G_N_ELEMENTS (symbols))
    return;
  const char *smaller = symbols[at + 1];
  char days[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (days, sizeof days, "%.6g", span_s / 86400);
  TideQuestion *question =
      unit_named
          ? tide_question_new (FALSE, u->header_row, name,
                               _ ("in %s, as the column is named, the beginning of the log alone "
                                  "spans %s days; is the unit right?"),
                               unit, days)
          : tide_question_new (TRUE, u->header_row, name,
                               _ ("the column names no unit; in %s the beginning of the log alone "
                                  "would span %s days, in %s it would not"),
                               unit, days, smaller);
  add_unit_answer (question, u, unit_named ? unit : smaller);
  add_unit_answer (question, u, unit_named ? smaller : unit);
  tide_understanding_ask (u, question);
}

void
tide_time_settle_unit (TideUnderstanding *u,
                       const TideTimeCandidate *time,
                       const TideTimeUse *clock,
                       const TideTable *table)
{
  gboolean unit_named = time->use.unit_named;
  gboolean by_dates = clock->index >= 0 && settle_by_dates (u, unit_named, clock, table);
  if (by_dates || (time->meaning->stated && unit_named))
    return;
  double low_s, high_s;
  measure_span (u, table, &low_s, &high_s);
  if (time->maybe_serial)
    {
      if (high_s < 1)
        ask_daytimes (u, table);
      else
        ask_serial (u, table);
      return;
    }
  if (!unit_named && low_s >= LEAST_COUNT)
    ask_count (u, table);
  else if (high_s - low_s > LONGEST_S)
    ask_span (u, high_s - low_s, unit_named);
  else if (!unit_named && clock->index >= 0 && contradicts_dates (u, clock, table))
    ask_clock (u, clock, table);
  else if (!unit_named)
    g_ptr_array_add (u->complaints,
                     complain_of_time (u,
                                       g_strdup_printf (_ ("the column names no unit; taken as %s"),
                                                        u->time.unit.symbol)));
}

gboolean
tide_time_settle_hands (TideUnderstanding *u, const TideTimeUse *clock, const TideTable *table)
{
  double ratio = clock->index >= 0 ? compare_with_clock (u, clock, table) : 0;
  gboolean are_hours = fabs (ratio - 1) <= UNIT_TOLERANCE;
  gboolean are_minutes = fabs (ratio * 60 - 1) <= UNIT_TOLERANCE;
  if (are_minutes)
    {
      u->time.minutes_first = TRUE;
      u->time.daytime = FALSE;
    }
  return are_hours || are_minutes;
}

/* ---- The start ---- */

static gboolean
tells_start (const TideUnderstanding *u, const TideTimeCandidate *c)
{
  return c->has_date && (c->has_clock || u->time.form == TIDE_FORM_CLOCK);
}

void
tide_time_choose_clock (TideUnderstanding *u, const GArray *candidates)
{
  const TideTimeCandidate *best = NULL;
  for (guint i = 0; i < candidates->len; i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      if (tells_start (u, c) && (!best || c->score > best->score))
        best = c;
    }
  if (!best)
    return;
  u->clock = best->use;
  if (!tide_time_is_ambiguous (best) || best->use.index == u->time.index
      || best->use.index == u->date.index)
    return;
  g_ptr_array_add (u->complaints,
                   tide_complaint_new (u->header_row, get_name (u, best->use.index), "%s",
                                       _ ("in which order day, month and year stand in these dates "
                                          "is not sure; the start's date is left open")));
  u->clock.order = TIDE_ORDER_NONE;
}
