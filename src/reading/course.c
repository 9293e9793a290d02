/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The time of a table's rows, one after the other: fields become seconds since the first row.
 *
 *   numbers    as they are; counts from 1970 and a spreadsheet's days are held against the first
 * before anything is rounded dates      with the clock of another column where the understanding
 * says so. Where that clock passes midnight and the date stays, a day is added until the date moves
 * on; said once daylight   stamps of local time that step back an hour (autumn) or on an hour
 * (spring) while they are otherwise regular, at the very moment at which this machine's time zone
 * changes: the hour is not counted, and that is said. At another moment on a Sunday between 0 and 4
 *              o'clock it is only said that it may be such a change (common practice, no source)
 *   no column  each row of the table, broken ones too, is one interval later
 *
 * Costs one parse a row and no memory.
 */
#include "reading/runs-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#define HOUR_US (G_GINT64_CONSTANT (3600) * G_USEC_PER_SEC)
#define DAY_US  (24 * HOUR_US)
/* Days from the spreadsheets' first day to 1970-01-01. */
#define SERIAL_1970 25569
/* A step of an hour may differ from it by so many usual intervals, or by this much. */
#define MOST_INTERVALS 10
#define LEAST_SLACK_US (G_GINT64_CONSTANT (60) * G_USEC_PER_SEC)
/* Rows so far apart tell nothing about an hour. */
#define MOST_USUAL_US (20 * LEAST_SLACK_US)

void
tide_course_init (TideCourse *course, const TideUnderstanding *u)
{
  *course = (TideCourse){ .u = u };
  course->is_dated = u->date.index >= 0 || u->time.form == TIDE_FORM_DATE
                     || u->time.form == TIDE_FORM_SERIAL
                     || (u->time.form == TIDE_FORM_STATED && tide_pattern_has_date (u->pattern));
}

/* ---- Fields ---- */

/* Held against the first before anything is rounded. */
static gboolean
take_epoch (TideCourse *course, const char *text, gsize length, double *seconds)
{
  const TideUnit *unit = &course->u->time.unit;
  double number;
  if (!tide_number_parse_grouped (text, length, course->u->decimal_mark, course->u->group_mark, 0,
                                  &number))
    return FALSE;
  if (!course->has_base)
    course->base = number;
  course->has_base = TRUE;
  *seconds = (number - course->base) / pow (10, -unit->exponent);
  return TRUE;
}

gboolean
tide_course_take_date (TideCourse *course, const char *text, gsize length)
{
  TideMoment date;
  course->has_date =
      tide_time_use_parse_moment (&course->u->date, course->u->decimal_mark, text, length, &date);
  course->date_us = date.us;
  return course->has_date;
}

gboolean
tide_course_take_millis (TideCourse *course, const char *text, gsize length)
{
  double millis;
  course->has_millis = tide_number_parse (text, length, course->u->decimal_mark, 0, &millis)
                       && millis >= 0 && millis < 1000;
  course->millis_us = course->has_millis ? (gint64)round (millis * 1000) : 0;
  return course->has_millis;
}

gboolean
tide_course_take_time (TideCourse *course, const char *text, gsize length, double *seconds)
{
  const TideTimeUse *use = &course->u->time;
  if (use->form == TIDE_FORM_EPOCH)
    return take_epoch (course, text, length, seconds);
  *seconds = 0;
  if (course->is_dated)
    return tide_time_use_parse_moment (use, course->u->decimal_mark, text, length, &course->moment);
  if (!tide_time_use_parse (use, course->u->decimal_mark, text, length, seconds))
    return FALSE;
  course->greatest_s = MAX (course->greatest_s, *seconds);
  return TRUE;
}

/* ---- A date and a clock ---- */

/* The clock that was taken becomes a point in time. */
static void
join_date (TideCourse *course, TideTally *tally, guint64 row)
{
  gint64 clock_us = course->moment.us;
  if (course->has_before && course->date_us != course->date_before_us)
    course->days_us = 0;
  else if (course->has_before && course->clock_before_us - clock_us > DAY_US / 2)
    {
      if (course->days_us == 0)
        tide_tally_add (tally, row, g_ptr_array_index (course->u->names, course->u->date.index),
                        _ ("the clock passes midnight and the date stays; time counts on"));
      course->days_us += DAY_US;
    }
  course->date_before_us = course->date_us;
  course->clock_before_us = clock_us;
  course->moment.us += course->date_us + course->days_us;
}

/* ---- Daylight saving ---- */

static gint64
get_offset_us (GTimeZone *zone, gint64 us)
{
  int interval = g_time_zone_find_interval (zone, G_TIME_TYPE_UNIVERSAL, us / G_USEC_PER_SEC);
  return interval < 0 ? 0 : g_time_zone_get_offset (zone, interval) * (gint64)G_USEC_PER_SEC;
}

/* This machine's clocks go an hour on (back: an hour back) between two stamps. */
static gboolean
changes_between (gint64 before_us, gint64 after_us, gboolean is_back)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_local ();
  gint64 a = get_offset_us (zone, before_us - 2 * DAY_US);
  gint64 b = get_offset_us (zone, before_us + 2 * DAY_US);
  if (a - b != (is_back ? HOUR_US : -HOUR_US))
    return FALSE;
  return get_offset_us (zone, before_us - a) == a && get_offset_us (zone, after_us - b) == b;
}

/* Common hours of such changes; the days of the week since 1970-01-01, a Thursday. */
static gboolean
is_sunday_night (gint64 us)
{
  gint64 day = us / DAY_US;
  return day % 7 == 3 && us % DAY_US < 4 * HOUR_US + LEAST_SLACK_US;
}

static gboolean
is_about_an_hour (const TideCourse *course, gint64 step_us)
{
  gint64 rest_us = (step_us < 0 ? step_us + HOUR_US : step_us - HOUR_US);
  return course->usual_us > 0 && course->usual_us < MOST_USUAL_US && rest_us >= 0
         && rest_us <= MAX (MOST_INTERVALS * course->usual_us, LEAST_SLACK_US);
}

static void
judge_hour (TideCourse *course, gint64 step_us, TideTally *tally, guint64 row)
{
  gint64 now_us = course->moment.us, before_us = course->before_us;
  gboolean is_back = step_us < 0;
  const char *text = NULL;
  if (changes_between (before_us, now_us, is_back))
    {
      course->shift_us += is_back ? HOUR_US : -HOUR_US;
      text = is_back
                 ? _ ("the clock goes back an hour as daylight saving ends here; time counts on")
                 : _ ("the clock goes on an hour as daylight saving begins here; the hour is "
                      "not counted");
    }
  else if (is_sunday_night (before_us))
    text = is_back ? _ ("the clock goes back about an hour; this may be the end of daylight saving")
                   : _ ("the clock goes on about an hour; this may be the beginning of daylight "
                        "saving");
  if (text)
    tide_tally_add (tally, row, NULL, text);
}

static void
watch_hours (TideCourse *course, TideTally *tally, guint64 row)
{
  gint64 step_us = course->moment.us - course->before_us;
  if (course->has_before && is_about_an_hour (course, step_us))
    judge_hour (course, step_us, tally, row);
  else if (course->has_before && step_us > 0)
    course->usual_us = step_us;
  course->before_us = course->moment.us;
}

/* ---- Rows ---- */

gboolean
tide_course_finish_row (TideCourse *course,
                        gboolean has_time,
                        TideTally *tally,
                        guint64 row,
                        double *seconds)
{
  gboolean has_date = course->has_date, has_millis = course->has_millis;
  course->has_date = course->has_millis = FALSE;
  if (course->u->time.form == TIDE_FORM_COUNT)
    {
      *seconds = (double)course->n_rows++ * course->u->time.every_s;
      return TRUE;
    }
  if (course->u->millis_index >= 0)
    {
      has_time = has_time && has_millis;
      *seconds = (*seconds * G_USEC_PER_SEC + (double)course->millis_us) / G_USEC_PER_SEC;
      course->moment.us += course->millis_us;
    }
  if (!has_time || !course->is_dated)
    return has_time;
  if (course->u->date.index >= 0)
    {
      if (!has_date)
        return FALSE;
      join_date (course, tally, row);
    }
  if (!course->moment.has_zone)
    watch_hours (course, tally, row);
  course->has_before = TRUE;
  if (!course->has_base)
    {
      course->base_us = course->moment.us;
      course->base_has_zone = course->moment.has_zone;
    }
  course->has_base = TRUE;
  *seconds = (double)(course->moment.us + course->shift_us - course->base_us) / G_USEC_PER_SEC;
  return TRUE;
}

gint64
tide_course_get_start_us (const TideCourse *course, double seconds)
{
  g_return_val_if_fail (course->is_dated && course->has_base, 0);
  TideMoment moment = { .us = course->base_us + (gint64)round (seconds * G_USEC_PER_SEC),
                        .has_zone = course->base_has_zone,
                        .has_clock = TRUE,
                        .has_date = TRUE };
  return tide_moment_to_us (moment);
}

gboolean
tide_course_is_of_day (const TideCourse *course)
{
  const TideTimeUse *use = &course->u->time;
  return (use->form == TIDE_FORM_CLOCK || use->form == TIDE_FORM_STATED) && !course->is_dated
         && use->daytime && course->greatest_s < 86400;
}

/* ---- A field alone ---- */

static gboolean
parse_serial (const char *text,
              gsize length,
              char decimal_mark,
              char group_mark,
              TideMoment *moment)
{
  double days;
  if (!tide_number_parse_grouped (text, length, decimal_mark, group_mark, 0, &days)
      || !(days >= 0 && days < 1e6))
    return FALSE;
  *moment = (TideMoment){ .us = (gint64)round ((days - SERIAL_1970) * DAY_US),
                          .has_clock = days != floor (days),
                          .has_date = TRUE };
  return TRUE;
}

gboolean
tide_time_use_parse_moment (const TideTimeUse *use,
                            char decimal_mark,
                            const char *text,
                            gsize length,
                            TideMoment *moment)
{
  TideClock clock;
  *moment = (TideMoment){ 0 };
  switch (use->form)
    {
    case TIDE_FORM_DATE:
      return tide_date_parse (text, length, use->order, moment);
    case TIDE_FORM_STATED:
      return tide_pattern_parse (use->pattern, text, length, moment);
    case TIDE_FORM_SERIAL:
      return parse_serial (text, length, decimal_mark, use->group_mark, moment);
    case TIDE_FORM_CLOCK:
      if (!tide_clock_parse (text, length, use->minutes_first, &clock) || clock.seconds >= 86400)
        return FALSE;
      moment->us = (gint64)round (clock.seconds * G_USEC_PER_SEC);
      moment->has_clock = TRUE;
      moment->has_zone = clock.is_utc;
      return TRUE;
    case TIDE_FORM_NUMBER:
    case TIDE_FORM_EPOCH:
    case TIDE_FORM_COUNT:
      break;
    }
  g_return_val_if_reached (FALSE);
}

/* "1.5 ms"; where one unit is not enough for it, "1 min 2 s". */
static gboolean
parse_with_unit (const TideTimeUse *use,
                 char decimal_mark,
                 const char *text,
                 gsize length,
                 double *seconds)
{
  TideClock clock;
  TideUnit unit;
  if (tide_cell_parse_time (text, length, decimal_mark, use->group_mark, &unit, seconds))
    return TRUE;
  if (!tide_clock_parse (text, length, use->minutes_first, &clock))
    return FALSE;
  *seconds = clock.seconds;
  return TRUE;
}

gboolean
tide_time_use_parse (const TideTimeUse *use,
                     char decimal_mark,
                     const char *text,
                     gsize length,
                     double *seconds)
{
  TideMoment moment;
  TideClock clock;
  switch (use->form)
    {
    case TIDE_FORM_NUMBER:
    case TIDE_FORM_EPOCH:
      if (!tide_number_parse_grouped (text, length, decimal_mark, use->group_mark,
                                      use->unit.exponent, seconds))
        return use->in_cells && parse_with_unit (use, decimal_mark, text, length, seconds);
      *seconds = tide_unit_scale (use->unit, *seconds);
      return TRUE;
    case TIDE_FORM_CLOCK:
      if (!tide_clock_parse (text, length, use->minutes_first, &clock))
        return FALSE;
      *seconds = clock.seconds;
      return TRUE;
    case TIDE_FORM_DATE:
    case TIDE_FORM_STATED:
    case TIDE_FORM_SERIAL:
      if (!tide_time_use_parse_moment (use, decimal_mark, text, length, &moment))
        return FALSE;
      *seconds = moment.us / 1e6;
      return TRUE;
    case TIDE_FORM_COUNT:
      *seconds = 0;
      return TRUE;
    }
  g_return_val_if_reached (FALSE);
}
