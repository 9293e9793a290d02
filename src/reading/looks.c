/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the fields of a column look like in a file's head, for a column whose name can be a time:
 * numbers, counts from 1970, clocks, dates, dates written as digits alone, a spreadsheet's days, or
 * what a rule states.
 *
 *   1714571130, ...000, ...000000    counts from 1970 where they fall into the years 2001 to 2128;
 * from 2000 on in a column named as a date, for clocks that were never set 260403101112,
 * 20260403101112     dates as digits, where every field is one and no count from 1970 46115.42437
 * a spreadsheet's days (the years 1954 to 2119), where they rise by less than a day from row to row
 * and have fractions: surely in a column named as a date, else in question 12:34 minutes and
 * seconds where fractions follow, where longer clocks stand in the same column, or where only so
 * the column rises; hours and minutes of a clock by its name, or where only so it rises; else in
 * question
 */
#include "reading/timing.h"

#include "reading/rule-private.h"

#include <math.h>
#include <string.h>

/* Of the filled fields of a column, this share must be of one form. */
#define FORM_SHARE 0.8
/* Numbers in this range, as seconds, are counts from 1970: the years 2001 to 2128. */
#define EPOCH_LOW_S  1e9
#define EPOCH_HIGH_S 5e9
/* 2000-01-01: where clocks begin that were never set. */
#define UNSET_LOW_S 946684800.0
/* A spreadsheet's days of the years 1954 to 2119. */
#define SERIAL_LOW  20000
#define SERIAL_HIGH 80000
/* Logs take a sample a minute, or more. */
#define MINUTE_STEP_S 65

/* What a column's fields are, over the head. */
typedef struct
{
  guint n_filled, n_numbers, n_clocks, n_dates, n_stated, n_compact;
  guint n_two_part, n_fractions, n_hands; /* CLOCK: of the last, those of three parts */
  guint n_in_cells;                       /* "1.5 ms"; they are among the clocks too */
  TideUnit cell_unit;                     /* of the first of them */
  TideOrderScan orders;
  gboolean has_clock, has_daytime, is_past_day, has_duration, stated_clock, has_decimals;
  double first_number, lowest, highest, greatest_step, last_number;
} Looks;

static void
look_at_number (Looks *looks, const char *text, gsize length, double number)
{
  TideMoment moment;
  if (looks->n_numbers++ == 0)
    looks->first_number = looks->lowest = looks->highest = number;
  else
    looks->greatest_step = MAX (looks->greatest_step, fabs (number - looks->last_number));
  looks->last_number = number;
  looks->lowest = MIN (looks->lowest, number);
  looks->highest = MAX (looks->highest, number);
  looks->has_decimals |= number != floor (number);
  if (tide_date_parse (text, length, TIDE_ORDER_YEAR, &moment) && moment.us >= EPOCH_LOW_S * 1e6
      && moment.us <= EPOCH_HIGH_S * 1e6)
    {
      looks->n_compact++;
      looks->has_clock |= moment.has_clock;
    }
}

static void
look_at_clock (Looks *looks, const TideClock *clock)
{
  looks->n_clocks++;
  looks->n_two_part += clock->parts == 2 && !clock->is_daytime && !clock->has_fraction;
  looks->n_fractions += clock->parts == 2 && clock->has_fraction;
  looks->n_hands += clock->parts == 3 && !clock->is_duration;
  looks->has_daytime |= clock->is_daytime;
  looks->has_duration |= clock->is_duration;
  looks->is_past_day |= clock->seconds >= 86400;
}

static void
look_at_date (Looks *looks, const char *text, gsize length)
{
  TideDateOrder orders = tide_date_orders (text, length);
  TideMoment moment;
  if (orders == TIDE_ORDER_NONE)
    return;
  looks->n_dates++;
  tide_order_scan_feed (&looks->orders, text, length);
  for (guint order = TIDE_ORDER_YEAR; order <= TIDE_ORDER_MONTH; order <<= 1)
    if ((orders & order) && tide_date_parse (text, length, order, &moment))
      looks->has_clock |= moment.has_clock;
}

/* A number with one unit is a number, though it is a duration as well: marks between thousands and
 * all its digits count. */
static void
look_at_cell (Looks *looks, const TideUnderstanding *u, const char *text, gsize length)
{
  double seconds;
  TideUnit unit;
  if (!tide_cell_parse_time (text, length, u->decimal_mark, u->group_mark, &unit, &seconds))
    return;
  if (looks->n_in_cells++ == 0)
    looks->cell_unit = unit;
}

static void
look_at_field (Looks *looks, const TideUnderstanding *u, const char *text, gboolean minutes_first)
{
  gsize length = strlen (text);
  double number;
  TideClock clock;
  TideMoment moment;
  if (tide_number_is_missing (text, length))
    return;
  looks->n_filled++;
  if (u->pattern && tide_pattern_parse (u->pattern, text, length, &moment))
    looks->n_stated++;
  if (tide_number_parse_grouped (text, length, u->decimal_mark, u->group_mark, 0, &number))
    {
      look_at_number (looks, text, length, number);
      return;
    }
  look_at_cell (looks, u, text, length);
  if (tide_clock_parse (text, length, minutes_first, &clock))
    look_at_clock (looks, &clock);
  else
    look_at_date (looks, text, length);
}

static Looks
look_at_column (const TideUnderstanding *u,
                const TideTable *table,
                guint column,
                gboolean minutes_first)
{
  Looks looks = { 0 };
  tide_order_scan_init (&looks.orders);
  for (guint row = 0; row < table->rows->len; row++)
    look_at_field (&looks, u, tide_table_field (table, row, column), minutes_first);
  return looks;
}

/* ---- Numbers ---- */

/* Is a number in unit a count from 1970? Without a named unit, finds the one in which it is. */
static gboolean
is_epoch (double number, const TideMeaning *meaning, TideUnit *unit)
{
  static const TideUnit units[] = {
    { 0, 1, 1, "s" }, { -3, 1, 1, "ms" }, { -6, 1, 1, "µs" }, { -9, 1, 1, "ns" }
  };
  double low_s = meaning->time_words & TIDE_TIME_ABSOLUTE ? UNSET_LOW_S : EPOCH_LOW_S;
  for (guint i = 0; i < G_N_ELEMENTS (units); i++)
    {
      double seconds = number * pow (10, units[i].exponent);
      gboolean fits = seconds >= low_s && seconds <= EPOCH_HIGH_S;
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
looks_serial (const Looks *looks)
{
  return looks->has_decimals && looks->lowest >= SERIAL_LOW && looks->highest <= SERIAL_HIGH
         && looks->greatest_step < 1;
}

/* Parts of one day, that step on by less than a minute or so: as seconds the log would be over at
 * once. */
static gboolean
looks_like_daytimes (const Looks *looks)
{
  return looks->has_decimals && looks->n_numbers > 1 && looks->lowest >= 0 && looks->highest < 1
         && (looks->highest - looks->lowest) * 86400 < MINUTE_STEP_S * (looks->n_numbers - 1);
}

static gboolean
is_named_as_date (const TideMeaning *meaning)
{
  return (meaning->time_words & TIDE_TIME_ABSOLUTE) && !(meaning->time_words & TIDE_TIME_TOTAL);
}

/* Eight digits are a date only where the name says so: they may count anything else. */
static gboolean
is_compact (const Looks *looks, const TideMeaning *meaning)
{
  return looks->n_compact == looks->n_numbers && !meaning->unit_named
         && (looks->has_clock || is_named_as_date (meaning));
}

static void
find_number_form (const Looks *looks, const TideUnderstanding *u, TideTimeCandidate *candidate)
{
  const TideMeaning *meaning = candidate->meaning;
  TideTimeUse *use = &candidate->use;
  use->unit_named = meaning->unit_named;
  use->form = TIDE_FORM_NUMBER;
  if (u->rule && u->rule->time_serial)
    use->form = TIDE_FORM_SERIAL;
  else if (is_epoch (looks->first_number, meaning, &use->unit))
    use->form = TIDE_FORM_EPOCH;
  else if (is_compact (looks, meaning))
    {
      use->form = TIDE_FORM_DATE;
      use->order = candidate->orders = TIDE_ORDER_YEAR;
    }
  else if (!meaning->unit_named && looks_serial (looks) && is_named_as_date (meaning))
    use->form = TIDE_FORM_SERIAL;
  else if (!meaning->unit_named && (looks_serial (looks) || looks_like_daytimes (looks)))
    candidate->maybe_serial = TRUE;
  candidate->has_date = use->form != TIDE_FORM_NUMBER;
  candidate->has_clock = candidate->has_date && (use->form != TIDE_FORM_DATE || looks->has_clock);
}

/* ---- The course ---- */

typedef struct
{
  gboolean rises, falls;
} Course;

static Course
follow (const TideUnderstanding *u, const TideTimeUse *use, const TideTable *table)
{
  Course course = { 0 };
  double before = NAN, seconds;
  for (guint row = 0; row < table->rows->len; row++)
    {
      const char *text = tide_table_field (table, row, (guint)use->index);
      if (!tide_time_use_parse (use, u->decimal_mark, text, strlen (text), &seconds))
        continue;
      gboolean is_midnight = use->daytime && before - seconds > 43200;
      course.rises |= seconds > before || is_midnight;
      course.falls |= seconds < before && !is_midnight;
      before = seconds;
    }
  return course;
}

/* ---- Clocks ---- */

/* What the two parts of 12:34 are, where the fields tell. FALSE: they do not. */
static gboolean
find_hands (const Looks *looks,
            const TideUnderstanding *u,
            const TideTable *table,
            TideTimeCandidate *candidate)
{
  TideTimeUse *use = &candidate->use;
  guint words = candidate->meaning->time_words;
  if (use->minutes_first || (words & TIDE_TIME_HOURS)
      || looks->n_two_part + looks->n_fractions == 0)
    return TRUE;
  if (looks->has_daytime)
    return TRUE;
  if (looks->n_fractions > 0 || looks->n_hands > 0)
    {
      use->minutes_first = TRUE;
      return TRUE;
    }
  TideTimeUse minutes = *use;
  minutes.minutes_first = TRUE;
  minutes.daytime = FALSE;
  if (words & TIDE_TIME_ABSOLUTE)
    {
      use->minutes_first = looks->is_past_day;
      return TRUE;
    }
  Course as_hours = follow (u, use, table), as_minutes = follow (u, &minutes, table);
  if (as_hours.falls == as_minutes.falls)
    return FALSE;
  if (as_hours.falls)
    *use = minutes;
  return TRUE;
}

static void
find_clock_form (const Looks *looks,
                 const TideUnderstanding *u,
                 const TideTable *table,
                 TideTimeCandidate *candidate)
{
  TideTimeUse *use = &candidate->use;
  use->form = TIDE_FORM_CLOCK;
  use->daytime = looks->has_daytime
                 || (!looks->is_past_day && !looks->has_duration
                     && !(candidate->meaning->time_words & TIDE_TIME_TOTAL));
  candidate->is_two_part = !find_hands (looks, u, table, candidate);
}

/* ---- All forms ---- */

/* Plain numbers among the cells are in the unit that the name says, or the first cell. */
static void
find_cells_form (const Looks *looks, TideTimeCandidate *candidate)
{
  TideTimeUse *use = &candidate->use;
  use->form = TIDE_FORM_NUMBER;
  use->in_cells = use->unit_named = TRUE;
  if (!candidate->meaning->unit_named)
    use->unit = looks->cell_unit;
}

static void
find_stated_form (const TideUnderstanding *u, TideTimeCandidate *candidate)
{
  TideTimeUse *use = &candidate->use;
  use->form = TIDE_FORM_STATED;
  use->pattern = u->pattern;
  candidate->has_date = tide_pattern_has_date (u->pattern);
  candidate->has_clock = tide_pattern_has_clock (u->pattern);
  use->daytime = !candidate->has_date && tide_pattern_has_hours (u->pattern)
                 && !(candidate->meaning->time_words & TIDE_TIME_TOTAL);
}

static void
find_date_form (const Looks *looks, TideTimeCandidate *candidate)
{
  candidate->use.form = TIDE_FORM_DATE;
  candidate->has_date = TRUE;
  candidate->has_clock = looks->has_clock;
  TideDateOrder decided = tide_order_scan_decide (&looks->orders);
  candidate->orders = decided != TIDE_ORDER_NONE ? decided : looks->orders.fits;
  candidate->order_by_course = decided != TIDE_ORDER_NONE && decided != looks->orders.fits;
  /* the likeliest first, which is also the first answer */
  candidate->use.order = candidate->orders & TIDE_ORDER_DAY     ? TIDE_ORDER_DAY
                         : candidate->orders & TIDE_ORDER_MONTH ? TIDE_ORDER_MONTH
                                                                : TIDE_ORDER_YEAR;
}

static gboolean
find_form (const Looks *looks,
           const TideUnderstanding *u,
           const TideTable *table,
           TideTimeCandidate *candidate)
{
  double needed = FORM_SHARE * looks->n_filled;
  if (looks->n_filled == 0)
    return FALSE;
  if (u->pattern && looks->n_stated >= needed)
    find_stated_form (u, candidate);
  else if (looks->n_in_cells * 2 >= looks->n_filled
           && looks->n_in_cells + looks->n_numbers >= needed)
    find_cells_form (looks, candidate);
  else if (looks->n_numbers >= needed)
    find_number_form (looks, u, candidate);
  else if (looks->n_clocks >= needed)
    find_clock_form (looks, u, table, candidate);
  else if (looks->n_dates >= needed && looks->orders.fits != 0)
    find_date_form (looks, candidate);
  else
    return FALSE;
  return TRUE;
}

gboolean
tide_time_is_day (const TideTimeCandidate *candidate)
{
  return candidate->has_date && !candidate->has_clock;
}

gboolean
tide_time_is_ambiguous (const TideTimeCandidate *candidate)
{
  return candidate->use.form == TIDE_FORM_DATE
         && (candidate->orders & (candidate->orders - 1)) != 0;
}

static gboolean
is_elapsed (const TideTimeCandidate *candidate)
{
  return !candidate->has_date
         && !(candidate->use.daytime && (candidate->meaning->time_words & TIDE_TIME_ABSOLUTE));
}

/* The order of these terms is the rule: stated; never falling; elapsed; whole; in a unit; plainly
 * named. */
static double
score_candidate (const TideTimeCandidate *candidate)
{
  const TideMeaning *meaning = candidate->meaning;
  double score = candidate->falls ? 0 : 1000;
  score += meaning->stated ? 20000 : 0;
  score += candidate->use.form == TIDE_FORM_STATED && !tide_time_is_day (candidate) ? 10000 : 0;
  if (meaning->time_words & TIDE_TIME_PART)
    score -= 400;
  score += is_elapsed (candidate) ? 200 : 100;
  score += meaning->time_words & TIDE_TIME_TOTAL ? 50 : 0;
  score += meaning->unit_named || candidate->use.form != TIDE_FORM_NUMBER ? 20 : 0;
  score -= tide_time_is_ambiguous (candidate) ? 20 : 0;
  score -= tide_time_is_day (candidate) ? 50 : 0;
  return score - MIN (meaning->cost, 10);
}

gboolean
tide_time_examine (const TideUnderstanding *u,
                   const TideMeaning *meaning,
                   const TideTable *table,
                   guint column,
                   TideTimeCandidate *candidate)
{
  *candidate = (TideTimeCandidate){
    .meaning = meaning,
    .use = { .index = (int)column, .unit = meaning->unit, .group_mark = u->group_mark }
  };
  candidate->use.minutes_first = (meaning->time_words & TIDE_TIME_MINUTES) != 0;
  Looks looks = look_at_column (u, table, column, candidate->use.minutes_first);
  if (!find_form (&looks, u, table, candidate))
    return FALSE;
  Course course = follow (u, &candidate->use, table);
  candidate->rises = course.rises;
  candidate->falls = course.falls;
  candidate->score = score_candidate (candidate);
  return TRUE;
}
