/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is the time, and how it is read.
 *
 * Every column whose name can be a time is looked at over the file's head: are its fields
 * numbers, clocks or dates; does it rise; does it ever fall. Elapsed time in a unit is preferred,
 * and a column that never falls: a step's time that restarts loses to the time of the whole
 * test. A column of dates beside it gives the start. An elapsed time without a unit is held
 * against such dates. Dates that can be read in two orders are never guessed.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Of the filled fields of a column, this share must be of one form. */
#define FORM_SHARE 0.8
/* Numbers in this range, as seconds, are counts from 1970: the years 2001 to 2128. */
#define EPOCH_LOW_S  1e9
#define EPOCH_HIGH_S 5e9
/* Dates that span less say nothing about a unit. */
#define CLOCK_SPAN_S 10
/* A unit found by the dates beside must fit this well. */
#define UNIT_TOLERANCE 0.1

typedef struct
{
  TideTimeUse use;
  gboolean rises, falls;
  gboolean has_clock;    /* DATE: there is more than the date */
  gboolean is_ambiguous; /* DATE: several orders fit all fields */
  gboolean is_two_part;  /* CLOCK: 12:34, and no word on which it is */
  double score;
} Candidate;

/* What a column's fields are, over the head. */
typedef struct
{
  guint n_filled, n_numbers, n_clocks, n_dates, n_two_part;
  guint orders; /* those in which every date can be read */
  gboolean has_clock, has_daytime, is_past_day;
  double first_number;
} Looks;

static void
look_at_field (Looks *looks, const char *text, char mark, gboolean minutes_first)
{
  gsize length = strlen (text);
  double number;
  TideClock clock;
  TideMoment moment;
  if (tide_number_is_missing (text, length))
    return;
  looks->n_filled++;
  if (tide_number_parse (text, length, mark, 0, &number))
    {
      if (looks->n_numbers++ == 0)
        looks->first_number = number;
      return;
    }
  if (tide_clock_parse (text, length, minutes_first, &clock))
    {
      looks->n_clocks++;
      looks->n_two_part += clock.parts == 2 && !clock.has_fraction && !clock.is_daytime;
      looks->has_daytime |= clock.is_daytime;
      looks->is_past_day |= clock.seconds >= 86400;
      return;
    }
  TideDateOrder orders = tide_date_orders (text, length);
  if (orders == TIDE_ORDER_NONE)
    return;
  looks->n_dates++;
  looks->orders &= orders;
  for (guint order = TIDE_ORDER_YEAR; order <= TIDE_ORDER_MONTH; order <<= 1)
    if ((orders & order) && tide_date_parse (text, length, order, &moment))
      looks->has_clock |= moment.has_clock;
}

static Looks
look_at_column (const TideTable *table, guint column, char mark, gboolean minutes_first)
{
  Looks looks = { .orders = TIDE_ORDER_YEAR | TIDE_ORDER_DAY | TIDE_ORDER_MONTH };
  for (guint row = 0; row < table->rows->len; row++)
    look_at_field (&looks, tide_table_field (table, row, column), mark, minutes_first);
  return looks;
}

/* Is a number in unit a count from 1970? Without a named unit, finds the one in which it is. */
static gboolean
is_epoch (double number, const TideMeaning *meaning, TideUnit *unit)
{
  static const TideUnit units[] = {
    { 0, 1, 1, "s" }, { -3, 1, 1, "ms" }, { -6, 1, 1, "µs" }, { -9, 1, 1, "ns" }
  };
  for (guint i = 0; i < G_N_ELEMENTS (units); i++)
    {
      double seconds = number * pow (10, units[i].exponent);
      gboolean fits = seconds >= EPOCH_LOW_S && seconds <= EPOCH_HIGH_S;
      if (fits
          && (!meaning->unit_named
              || (meaning->unit.exponent == units[i].exponent && meaning->unit.times == 1)))
        {
          *unit = units[i];
          return TRUE;
        }
    }
  return FALSE;
}

static gboolean
find_form (const Looks *looks, const TideMeaning *meaning, Candidate *candidate)
{
  double needed = FORM_SHARE * looks->n_filled;
  TideTimeUse *use = &candidate->use;
  if (looks->n_filled == 0)
    return FALSE;
  if (looks->n_numbers >= needed)
    use->form =
        is_epoch (looks->first_number, meaning, &use->unit) ? TIDE_FORM_EPOCH : TIDE_FORM_NUMBER;
  else if (looks->n_clocks >= needed)
    {
      use->form = TIDE_FORM_CLOCK;
      use->daytime =
          looks->has_daytime || (!looks->is_past_day && !(meaning->time_words & TIDE_TIME_TOTAL));
      candidate->is_two_part =
          looks->n_two_part > 0 && !use->minutes_first && !(meaning->time_words & TIDE_TIME_HOURS);
    }
  else if (looks->n_dates >= needed && looks->orders != 0)
    {
      use->form = TIDE_FORM_DATE;
      candidate->has_clock = looks->has_clock;
      candidate->is_ambiguous = (looks->orders & (looks->orders - 1)) != 0;
      use->order = looks->orders & ~(looks->orders - 1);
    }
  else
    return FALSE;
  return TRUE;
}

gboolean
tide_time_use_parse (const TideTimeUse *use,
                     char decimal_mark,
                     const char *text,
                     gsize length,
                     double *seconds)
{
  TideClock clock;
  TideMoment moment;
  switch (use->form)
    {
    case TIDE_FORM_NUMBER:
    case TIDE_FORM_EPOCH:
      if (!tide_number_parse (text, length, decimal_mark, use->unit.exponent, seconds))
        return FALSE;
      *seconds = tide_unit_scale (use->unit, *seconds);
      return TRUE;
    case TIDE_FORM_CLOCK:
      if (!tide_clock_parse (text, length, use->minutes_first, &clock))
        return FALSE;
      *seconds = clock.seconds;
      return TRUE;
    case TIDE_FORM_DATE:
      if (!tide_date_parse (text, length, use->order, &moment))
        return FALSE;
      *seconds = moment.us / 1e6;
      return TRUE;
    }
  g_return_val_if_reached (FALSE);
}

static void
look_at_course (Candidate *candidate, const TideTable *table, char mark)
{
  double before = NAN, seconds;
  for (guint row = 0; row < table->rows->len; row++)
    {
      const char *text = tide_table_field (table, row, candidate->use.index);
      if (!tide_time_use_parse (&candidate->use, mark, text, strlen (text), &seconds))
        continue;
      gboolean is_midnight = candidate->use.daytime && before - seconds > 43200;
      candidate->rises |= seconds > before || is_midnight;
      candidate->falls |= seconds < before && !is_midnight;
      before = seconds;
    }
}

/* The order of these terms is the rule: never falling; elapsed; whole; in a unit; plainly named. */
static double
score_candidate (const Candidate *candidate, const TideMeaning *meaning)
{
  TideTimeForm form = candidate->use.form;
  gboolean is_elapsed = form == TIDE_FORM_NUMBER || form == TIDE_FORM_CLOCK;
  double score = candidate->falls ? 0 : 1000;
  if (meaning->time_words & TIDE_TIME_PART)
    score -= 400;
  score += is_elapsed ? 200 : 100;
  score += meaning->time_words & TIDE_TIME_TOTAL ? 50 : 0;
  score += meaning->unit_named || form != TIDE_FORM_NUMBER ? 20 : 0;
  score -= candidate->is_ambiguous ? 20 : 0;
  return score - MIN (meaning->cost, 10);
}

static gboolean
examine_column (const TideUnderstanding *u,
                const TideMeaning *meaning,
                const TideTable *table,
                guint column,
                Candidate *candidate)
{
  *candidate = (Candidate){ .use = { .index = (int)column, .unit = meaning->unit } };
  candidate->use.minutes_first = (meaning->time_words & TIDE_TIME_MINUTES) != 0;
  Looks looks = look_at_column (table, column, u->decimal_mark, candidate->use.minutes_first);
  if (!find_form (&looks, meaning, candidate))
    return FALSE;
  look_at_course (candidate, table, u->decimal_mark);
  candidate->score = score_candidate (candidate, meaning);
  return TRUE;
}

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

static gboolean
check_ambiguous (const TideUnderstanding *u,
                 const Candidate *best,
                 const TideTable *table,
                 GError **error)
{
  const char *sample = tide_table_field (table, 0, best->use.index);
  if (best->use.form == TIDE_FORM_DATE && best->is_ambiguous)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS,
                 _ ("the dates in column \"%s\", such as \"%s\", can be day/month/year or "
                    "month/day/year, and no other "
                    "column tells the time"),
                 get_name (u, best->use.index), sample);
  else if (best->use.form == TIDE_FORM_CLOCK && best->is_two_part)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS,
                 _ ("the times in column \"%s\", such as \"%s\", can be hours:minutes or "
                    "minutes:seconds; write (hh:mm) "
                    "or (mm:ss) behind the column's name"),
                 get_name (u, best->use.index), sample);
  else
    return TRUE;
  return FALSE;
}

/* ---- The clock beside an elapsed time ---- */

static gboolean
parse_row (const TideUnderstanding *u,
           const TideTimeUse *use,
           const TideTable *table,
           guint row,
           double *seconds)
{
  const char *text = tide_table_field (table, row, use->index);
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
static void
complain_of_time (TideUnderstanding *u, char *text)
{
  g_ptr_array_add (u->complaints,
                   tide_complaint_new (u->header_row, get_name (u, u->time.index), "%s", text));
  g_free (text);
}

/* An elapsed time whose unit nothing names: the clock tells, or it is taken as seconds; said in
 * either case. */
static void
settle_unit (TideUnderstanding *u,
             gboolean unit_named,
             const TideTimeUse *clock,
             const TideTable *table)
{
  static const TideUnit units[] = {
    { -3, 1, 1, "ms" }, { 0, 1, 1, "s" }, { 0, 60, 1, "min" }, { 0, 3600, 1, "h" }
  };
  double ratio = clock->index >= 0 ? compare_with_clock (u, clock, table) : 0;
  for (guint i = 0; i < G_N_ELEMENTS (units) && ratio > 0; i++)
    {
      double fit = ratio / tide_unit_scale (units[i], pow (10, units[i].exponent));
      if (fabs (fit - 1) > UNIT_TOLERANCE)
        continue;
      if (!unit_named)
        {
          u->time.unit = units[i];
          complain_of_time (
              u, g_strdup_printf (
                     _ ("the column names no unit; taken as %s, at which it goes with the dates"),
                     units[i].symbol));
        }
      else if (units[i].exponent != 0 || units[i].times != 1)
        complain_of_time (u, g_strdup_printf (_ ("the column's unit does not go with the dates: "
                                                 "each second of it is 1 %s by them"),
                                              units[i].symbol));
      return;
    }
  if (!unit_named)
    complain_of_time (u, g_strdup_printf (_ ("the column names no unit; taken as %s"),
                                          u->time.unit.symbol));
}

/* The dates that give the start: those that tell the clock too, unless the time is itself a clock.
 */
static void
choose_clock (TideUnderstanding *u, const GArray *candidates)
{
  const Candidate *best = NULL;
  for (guint i = 0; i < candidates->len; i++)
    {
      const Candidate *c = &g_array_index (candidates, Candidate, i);
      gboolean is_date =
          c->use.form == TIDE_FORM_EPOCH
          || (c->use.form == TIDE_FORM_DATE && (c->has_clock || u->time.form == TIDE_FORM_CLOCK));
      if (is_date && (!best || c->score > best->score))
        best = c;
    }
  if (best)
    u->clock = best->use;
  if (best && best->is_ambiguous)
    {
      g_ptr_array_add (u->complaints,
                       tide_complaint_new (u->header_row, get_name (u, best->use.index),
                                           _ ("the dates can be day/month/year or month/day/year; "
                                              "the start's date is left open")));
      u->clock.order = TIDE_ORDER_NONE;
    }
}

gboolean
tide_choose_time (TideUnderstanding *u,
                  const TideMeaning *meanings,
                  const TideTable *table,
                  GError **error)
{
  g_autoptr (GArray) candidates = g_array_new (FALSE, FALSE, sizeof (Candidate));
  const Candidate *best = NULL;
  for (guint column = 0; column < u->names->len; column++)
    {
      Candidate candidate;
      if (meanings[column].known && meanings[column].quantity == TIDE_QUANTITY_TIME
          && examine_column (u, &meanings[column], table, column, &candidate))
        g_array_append_val (candidates, candidate);
    }
  for (guint i = 0; i < candidates->len; i++)
    {
      const Candidate *c = &g_array_index (candidates, Candidate, i);
      gboolean is_date_alone = c->use.form == TIDE_FORM_DATE && !c->has_clock;
      gboolean may_be = c->rises || (table->rows->len < 2 && !is_date_alone);
      if (may_be && (!best || c->score > best->score))
        best = c;
    }
  if (!best)
    {
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                           _ ("no column can be the time: one must hold rising numbers, clocks or "
                              "dates and be named so, "
                              "such as \"Time (s)\""));
      return FALSE;
    }
  u->time = best->use;
  if (!check_ambiguous (u, best, table, error))
    return FALSE;
  TideTimeUse with_order = { .index = -1 };
  choose_clock (u, candidates);
  for (guint i = 0; i < candidates->len && u->clock.index >= 0; i++)
    if (g_array_index (candidates, Candidate, i).use.index == u->clock.index)
      with_order = g_array_index (candidates, Candidate, i).use;
  if (u->time.form == TIDE_FORM_NUMBER)
    settle_unit (u, meanings[u->time.index].unit_named, &with_order, table);
  return TRUE;
}
