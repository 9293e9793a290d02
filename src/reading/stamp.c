/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field becomes a point in time: clocks ("93:40:55.5", "1:02 PM") and dates (ISO 8601, and
 * day, month and year in the order the caller decided on).
 *
 * Never guesses between orders of a date: tide_date_orders() tells all that fit. ISO 8601's
 * rarer forms (basic, week and ordinal dates) go to GLib. Costs one pass; allocates only for those.
 */
#include "reading/reading-private.h"

#include <string.h>

/* Julian day number, as GDate counts, of 1970-01-01. */
#define JULIAN_1970 719163
/* No log is longer than this many hours (over 100 years); a bound for arithmetic. */
#define MAX_HOURS 1000000u

typedef struct
{
  const char *p, *end;
} Scan;

static Scan
begin_scan (const char *text, gsize length)
{
  Scan scan = { text, text + length };
  while (scan.end > scan.p && g_ascii_isspace (scan.end[-1]))
    scan.end--;
  while (scan.p < scan.end && g_ascii_isspace (*scan.p))
    scan.p++;
  return scan;
}

static gboolean
take_char (Scan *scan, char c)
{
  if (scan->p == scan->end || *scan->p != c)
    return FALSE;
  scan->p++;
  return TRUE;
}

static void
skip_spaces (Scan *scan)
{
  while (scan->p < scan->end && *scan->p == ' ')
    scan->p++;
}

/* At least one and at most max_digits digits, no larger than max. */
static gboolean
take_integer (Scan *scan, guint max_digits, guint max, guint *value)
{
  guint n = 0;
  *value = 0;
  while (scan->p < scan->end && g_ascii_isdigit (*scan->p) && n < max_digits)
    {
      *value = *value * 10 + (guint)(*scan->p++ - '0');
      n++;
    }
  return n > 0 && *value <= max && !(scan->p < scan->end && g_ascii_isdigit (*scan->p));
}

/* ".123" or ",123" in millionths, rounded down beyond six digits; 0 when there is none. */
static gboolean
take_fraction (Scan *scan, guint *micros)
{
  *micros = 0;
  if (scan->end - scan->p < 2 || (*scan->p != '.' && *scan->p != ',')
      || !g_ascii_isdigit (scan->p[1]))
    return FALSE;
  scan->p++;
  for (guint unit = 100000; scan->p < scan->end && g_ascii_isdigit (*scan->p);
       scan->p++, unit /= 10)
    *micros += (guint)(*scan->p - '0') * unit;
  return TRUE;
}

/* "AM", "p.m." ... in place; hours becomes 0 to 23. */
static gboolean
take_half_of_day (Scan *scan, guint *hours)
{
  Scan ahead = *scan;
  skip_spaces (&ahead);
  if (ahead.p == ahead.end)
    return FALSE;
  char half = g_ascii_tolower (*ahead.p++);
  take_char (&ahead, '.');
  if ((half != 'a' && half != 'p') || !(take_char (&ahead, 'M') || take_char (&ahead, 'm'))
      || *hours < 1 || *hours > 12)
    return FALSE;
  take_char (&ahead, '.');
  *hours = *hours % 12 + (half == 'p' ? 12 : 0);
  *scan = ahead;
  return TRUE;
}

/* "2d " or "2 days " in front of a clock. */
static guint
take_days (Scan *scan)
{
  Scan ahead = *scan;
  guint days;
  if (!take_integer (&ahead, 5, MAX_HOURS / 24, &days))
    return 0;
  skip_spaces (&ahead);
  static const char *const words[] = { "days", "day", "d" };
  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    {
      gsize n = strlen (words[i]);
      if ((gsize)(ahead.end - ahead.p) > n && g_ascii_strncasecmp (ahead.p, words[i], n) == 0)
        {
          ahead.p += n;
          skip_spaces (&ahead);
          *scan = ahead;
          return days;
        }
    }
  return 0;
}

typedef struct
{
  guint first, second, third; /* as they stand */
  guint micros;
  TideClock clock;
} ClockParts;

static gboolean
take_clock (Scan *scan, guint max_first, ClockParts *parts)
{
  *parts = (ClockParts){ 0 };
  if (!take_integer (scan, 7, max_first, &parts->first) || !take_char (scan, ':')
      || !take_integer (scan, 2, 59, &parts->second))
    return FALSE;
  parts->clock.parts = 2;
  if (take_char (scan, ':'))
    {
      /* 60: a leap second */
      if (!take_integer (scan, 2, 60, &parts->third))
        return FALSE;
      parts->clock.parts = 3;
    }
  parts->clock.has_fraction = take_fraction (scan, &parts->micros);
  parts->clock.is_daytime = take_half_of_day (scan, &parts->first);
  return TRUE;
}

gboolean
tide_clock_parse (const char *text, gsize length, gboolean minutes_first, TideClock *clock)
{
  Scan scan = begin_scan (text, length);
  guint days = take_days (&scan);
  ClockParts parts;
  if (!take_clock (&scan, MAX_HOURS, &parts) || scan.p != scan.end)
    return FALSE;

  double seconds = parts.first * 3600.0 + parts.second * 60.0 + parts.third;
  if (parts.clock.parts == 2 && (minutes_first || parts.clock.has_fraction))
    seconds = parts.first * 60.0 + parts.second;
  *clock = parts.clock;
  /* whole microseconds are exact here, so the division is the only rounding */
  clock->seconds = ((days * 86400.0 + seconds) * 1e6 + parts.micros) / 1e6;
  return TRUE;
}

/* "Z", "+02", "+02:00", "-0130". */
static gboolean
take_zone (Scan *scan, gint64 *offset_us)
{
  skip_spaces (scan);
  *offset_us = 0;
  if (take_char (scan, 'Z') || take_char (scan, 'z'))
    return TRUE;
  if (scan->p == scan->end || (*scan->p != '+' && *scan->p != '-'))
    return FALSE;
  gint64 sign = *scan->p++ == '-' ? -1 : 1;
  guint hours, minutes = 0;
  Scan pair = { scan->p, MIN (scan->p + 2, scan->end) };
  if (!take_integer (&pair, 2, 23, &hours))
    return FALSE;
  scan->p = pair.p;
  if ((take_char (scan, ':') || scan->p < scan->end) && !take_integer (scan, 2, 59, &minutes))
    return FALSE;
  *offset_us = sign * ((gint64)hours * 60 + minutes) * 60 * G_USEC_PER_SEC;
  return TRUE;
}

/* Three numbers with one kind of separator between; which is which follows from order. */
static gboolean
take_date (Scan *scan, TideDateOrder order, gint64 *day)
{
  guint part[3];
  guint year_at = order == TIDE_ORDER_YEAR ? 0 : 2;
  char separator = 0;
  for (guint i = 0; i < 3; i++)
    {
      const char *from = scan->p;
      if (!take_integer (scan, 4, 9999, &part[i]))
        return FALSE;
      gsize n_digits = (gsize)(scan->p - from);
      if (i == year_at ? n_digits != 4 : n_digits > 2)
        return FALSE;
      if (i == 2)
        break;
      if (i == 0 && scan->p < scan->end && strchr ("-/.", *scan->p))
        separator = *scan->p;
      if (separator == 0 || !take_char (scan, separator))
        return FALSE;
    }
  guint d = order == TIDE_ORDER_YEAR ? part[2] : order == TIDE_ORDER_DAY ? part[0] : part[1];
  guint m = order == TIDE_ORDER_MONTH ? part[0] : part[1];
  /* points between day, month and year: the day stands first wherever that is written */
  if ((order == TIDE_ORDER_MONTH && separator == '.')
      || !g_date_valid_dmy ((GDateDay)d, m, (GDateYear)part[year_at]))
    return FALSE;
  GDate date;
  g_date_clear (&date, 1);
  g_date_set_dmy (&date, (GDateDay)d, (GDateMonth)m, (GDateYear)part[year_at]);
  *day = (gint64)g_date_get_julian (&date) - JULIAN_1970;
  return TRUE;
}

/* ISO 8601's basic, week and ordinal forms. */
static gboolean
parse_rare_iso (Scan scan, TideMoment *moment)
{
  if (scan.end - scan.p < 15 || scan.end - scan.p > 40
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

gboolean
tide_date_parse (const char *text, gsize length, TideDateOrder order, TideMoment *moment)
{
  Scan whole = begin_scan (text, length);
  Scan scan = whole;
  gint64 day;
  *moment = (TideMoment){ 0 };
  if (!take_date (&scan, order, &day))
    return order == TIDE_ORDER_YEAR && parse_rare_iso (whole, moment);
  moment->us = day * 86400 * G_USEC_PER_SEC;
  if (scan.p == scan.end)
    return TRUE;

  if (!take_char (&scan, 'T') && !take_char (&scan, ' '))
    return FALSE;
  skip_spaces (&scan);
  ClockParts parts;
  if (!take_clock (&scan, 23, &parts))
    return FALSE;
  /* a leap second has no place of its own in the count of seconds: it is the one before, as in GLib
   */
  gint64 seconds = parts.first * 3600 + parts.second * 60 + MIN (parts.third, 59);
  moment->us += seconds * G_USEC_PER_SEC + parts.micros;
  moment->has_clock = TRUE;
  if (scan.p == scan.end)
    return TRUE;
  gint64 offset_us;
  if (!take_zone (&scan, &offset_us) || scan.p != scan.end)
    return FALSE;
  moment->us -= offset_us;
  moment->has_zone = TRUE;
  return TRUE;
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
  return g_date_time_to_unix (local) * G_USEC_PER_SEC + (moment.us - seconds * G_USEC_PER_SEC);
}
