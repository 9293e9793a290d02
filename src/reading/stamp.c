/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field becomes a point in time: a date, mostly with a clock, in the order of day, month and year
 * that the caller decided on.
 *
 *   2026-04-03 10:11:12.5+02:00   and with / . or blanks, years of two digits too
 *   3 Apr 2026, Apr 3, 2026       months by name in six languages, days of the week passed over
 *   2026年4月3日 上午10:11:12
 *   20260403T101112, 20260403 10:11:12, 20260403101112, 260403101112
 *   10:11:12 03.04.2026           the clock in front
 *   Fri Apr  3 10:11:12 2026      the clock in the middle
 *
 * Never guesses between orders: tide_date_orders() tells all that fit. A year of two digits is one
 * of 1969 to 2068 (POSIX, strptime's %y); between points it stands last. A second 60 is the next
 * minute's first. ISO 8601's week and ordinal dates go to GLib. Costs one pass; allocates only for
 * those.
 */
#include "reading/scan.h"

#include <string.h>

/* ---- Date and clock ---- */

static void
add_clock (TideMoment *moment, const TideClockParts *parts)
{
  gint64 seconds = (gint64)parts->first * 3600 + parts->second * 60 + parts->third;
  moment->us += seconds * G_USEC_PER_SEC + parts->micros;
  moment->has_clock = TRUE;
}

/* A clock of two parts is one of hours and minutes here. */
static gboolean
take_clock_of_date (TideScan *scan, TideMoment *moment)
{
  TideClockParts parts;
  if (!tide_scan_clock (scan, 23, TIDE_CLOCK_DOTS, &parts)
      || (parts.clock.parts == 2 && parts.clock.has_fraction))
    return FALSE;
  add_clock (moment, &parts);
  return TRUE;
}

/* Nothing more, or a zone. */
static gboolean
finish_moment (TideScan *scan, TideMoment *moment)
{
  gint64 offset_us;
  if (tide_scan_at_end (scan))
    return TRUE;
  if (!tide_scan_zone (scan, &offset_us) || !tide_scan_at_end (scan))
    return FALSE;
  moment->us -= offset_us;
  moment->has_zone = TRUE;
  return TRUE;
}

static gboolean
take_between (TideScan *scan)
{
  if (tide_scan_char (scan, 'T') || tide_scan_char (scan, 't') || tide_scan_char (scan, '_'))
    return TRUE;
  gboolean has_comma = tide_scan_char (scan, ',');
  return tide_scan_spaces (scan) || has_comma;
}

static gboolean
parse_date_first (TideScan scan, TideDateOrder order, TideMoment *moment)
{
  gint64 day;
  if (!tide_scan_date (&scan, order, &day))
    return FALSE;
  moment->us = day * 86400 * G_USEC_PER_SEC;
  if (tide_scan_at_end (&scan))
    return TRUE;
  return take_between (&scan) && take_clock_of_date (&scan, moment)
         && finish_moment (&scan, moment);
}

static gboolean
parse_clock_first (TideScan scan, TideDateOrder order, TideMoment *moment)
{
  gint64 day;
  if (!take_clock_of_date (&scan, moment) || !take_between (&scan)
      || !tide_scan_date (&scan, order, &day) || !tide_scan_at_end (&scan))
    return FALSE;
  moment->us += day * 86400 * G_USEC_PER_SEC;
  return TRUE;
}

/* Fri Apr  3 10:11:12 2026 */
static gboolean
parse_clock_between (TideScan scan, TideMoment *moment)
{
  guint month, date, year;
  gint64 day;
  tide_scan_weekday (&scan);
  if (!tide_scan_month (&scan, &month) || !tide_scan_spaces (&scan)
      || !tide_scan_integer (&scan, 2, 31, &date))
    return FALSE;
  tide_scan_note (&scan, "%d");
  if (!tide_scan_spaces (&scan) || !take_clock_of_date (&scan, moment) || !tide_scan_spaces (&scan)
      || !tide_scan_digits (&scan, 4, 4, 9999, &year) || !tide_scan_at_end (&scan)
      || !tide_scan_compute_day (year, month, date, &day))
    return FALSE;
  tide_scan_note (&scan, "%Y");
  moment->us += day * 86400 * G_USEC_PER_SEC;
  return TRUE;
}

/* ---- Digits alone ---- */

/* Two digits for each hand, as many hands as there are digits for. */
static gboolean
take_compact_clock (TideScan *scan, TideMoment *moment)
{
  TideClockParts parts = { 0 };
  if (!tide_scan_digits (scan, 2, 2, 23, &parts.first))
    return FALSE;
  tide_scan_note (scan, "%H%M");
  if (!tide_scan_digits (scan, 2, 2, 59, &parts.second))
    return FALSE;
  if (scan->p < scan->end && g_ascii_isdigit (*scan->p))
    {
      tide_scan_note (scan, "%S");
      if (!tide_scan_digits (scan, 2, 2, 60, &parts.third))
        return FALSE;
      guint thousandths;
      TideScan behind = *scan;
      if (tide_scan_digits (&behind, 3, 3, 999, &thousandths))
        {
          scan->p = behind.p;
          parts.micros = thousandths * 1000;
          tide_scan_note (scan, "%f");
        }
      else
        tide_scan_fraction (scan, &parts.micros);
    }
  add_clock (moment, &parts);
  return TRUE;
}

/* Behind the eight digits of a date. */
static gboolean
take_clock_behind (TideScan *scan, TideMoment *moment)
{
  TideScan with_marks = *scan;
  gsize n_noted = scan->pattern ? scan->pattern->len : 0;
  if (take_clock_of_date (&with_marks, moment))
    {
      *scan = with_marks;
      return TRUE;
    }
  if (scan->pattern)
    g_string_truncate (scan->pattern, n_noted);
  return take_compact_clock (scan, moment);
}

static gsize
count_digits (const TideScan *scan)
{
  const char *p = scan->p;
  while (p < scan->end && g_ascii_isdigit (*p))
    p++;
  return (gsize)(p - scan->p);
}

/* 20260403T101112, 20260403101112345, 260403101112, 20260403. */
static gboolean
parse_compact (TideScan scan, TideMoment *moment)
{
  gsize n_digits = count_digits (&scan);
  gboolean is_short = n_digits == 12;
  guint year, month, date;
  gint64 day;
  if (n_digits != 8 && n_digits != 12 && n_digits != 14 && n_digits != 17)
    return FALSE;
  tide_scan_note (&scan, is_short ? "%y%m%d" : "%Y%m%d");
  if (!tide_scan_digits (&scan, is_short ? 2 : 4, is_short ? 2 : 4, 9999, &year)
      || !tide_scan_digits (&scan, 2, 2, 12, &month) || !tide_scan_digits (&scan, 2, 2, 31, &date)
      || !tide_scan_compute_day (is_short ? tide_scan_whole_year (year) : year, month, date, &day))
    return FALSE;
  moment->us = day * 86400 * G_USEC_PER_SEC;
  if (tide_scan_at_end (&scan))
    return TRUE;
  gboolean has_clock = n_digits > 8 ? take_compact_clock (&scan, moment)
                                    : take_between (&scan) && take_clock_behind (&scan, moment);
  return has_clock && finish_moment (&scan, moment);
}

/* ISO 8601's week and ordinal forms. */
static gboolean
parse_rare_iso (TideScan scan, TideMoment *moment)
{
  if (scan.pattern || scan.end - scan.p < 15 || scan.end - scan.p > 40
      || !memchr (scan.p, 'T', (gsize)(scan.end - scan.p)))
    return FALSE;
  g_autofree char *copy = g_strndup (scan.p, (gsize)(scan.end - scan.p));
  g_autoptr (GTimeZone) utc = g_time_zone_new_utc ();
  g_autoptr (GDateTime) as_utc = g_date_time_new_from_iso8601 (copy, utc);
  if (!as_utc)
    return FALSE;
  g_autoptr (GDateTime) alone = g_date_time_new_from_iso8601 (copy, NULL);
  moment->us = g_date_time_to_unix (as_utc) * G_USEC_PER_SEC + g_date_time_get_microsecond (as_utc);
  moment->has_zone = alone != NULL;
  moment->has_clock = TRUE;
  return TRUE;
}

/* ---- All of them ---- */

/* Makes moment and what was noted as new, for the next way to read the text. */
static gboolean
begin_anew (const TideScan *scan, TideMoment *moment)
{
  *moment = (TideMoment){ .has_date = TRUE };
  if (scan->pattern)
    g_string_truncate (scan->pattern, 0);
  return TRUE;
}

static gboolean
parse (const TideScan *scan, TideDateOrder order, TideMoment *moment)
{
  if (begin_anew (scan, moment) && parse_date_first (*scan, order, moment))
    return TRUE;
  /* every other form holds more than eight characters; most fields of numbers do not */
  if (scan->end - scan->p < 8)
    return FALSE;
  if (begin_anew (scan, moment) && parse_clock_first (*scan, order, moment))
    return TRUE;
  if (order == TIDE_ORDER_MONTH)
    return begin_anew (scan, moment) && parse_clock_between (*scan, moment);
  if (order != TIDE_ORDER_YEAR)
    return FALSE;
  return (begin_anew (scan, moment) && parse_compact (*scan, moment))
         || (begin_anew (scan, moment) && parse_rare_iso (*scan, moment));
}

gboolean
tide_date_parse (const char *text, gsize length, TideDateOrder order, TideMoment *moment)
{
  TideScan scan = tide_scan_begin (text, length);
  return parse (&scan, order, moment);
}

TideDateOrder
tide_date_orders (const char *text, gsize length)
{
  static const TideDateOrder orders[] = { TIDE_ORDER_YEAR, TIDE_ORDER_DAY, TIDE_ORDER_MONTH };
  TideDateOrder found = TIDE_ORDER_NONE;
  TideMoment moment;
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if (tide_date_parse (text, length, orders[i], &moment))
      found |= orders[i];
  return found;
}

char *
tide_date_pattern (const char *text, gsize length, TideDateOrder order)
{
  g_autoptr (GString) pattern = g_string_new (NULL);
  TideScan scan = tide_scan_begin (text, length);
  scan.pattern = pattern;
  TideMoment moment;
  if (!parse (&scan, order, &moment))
    return NULL;
  return g_strdup (pattern->str);
}

gint64
tide_moment_to_us (TideMoment moment)
{
  if (moment.has_zone)
    return moment.us;
  gint64 seconds = moment.us / G_USEC_PER_SEC - (moment.us % G_USEC_PER_SEC < 0);
  g_autoptr (GDateTime) wall = g_date_time_new_from_unix_utc (seconds);
  if (!wall)
    return moment.us;
  g_autoptr (GDateTime) local =
      g_date_time_new_local (g_date_time_get_year (wall), g_date_time_get_month (wall),
                             g_date_time_get_day_of_month (wall), g_date_time_get_hour (wall),
                             g_date_time_get_minute (wall), g_date_time_get_second (wall));
  if (!local)
    return moment.us;
  /* when daylight saving ends an hour has two passes: the first is meant, as in Python's datetime
   */
  g_autoptr (GDateTime) earlier = g_date_time_add_hours (local, -1);
  gboolean is_twice = g_date_time_get_hour (earlier) == g_date_time_get_hour (local);
  return g_date_time_to_unix (is_twice ? earlier : local) * G_USEC_PER_SEC
         + (moment.us - seconds * G_USEC_PER_SEC);
}
