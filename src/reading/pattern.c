/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a point in time is written, as a person states it: a subset of the letters of strftime.
 *
 *   %Y %y   the year, in four digits or two (1969 to 2068)      %H %I   the hour, of 24 or of 12
 *   %m      the month, %b %B its name                           %M      the minute
 *   %d %e   the day of the month, %j of the year                %S      the second, with any
 * fraction %a %A   a day of the week, passed over                      %f      a fraction's digits
 * alone %F %T   %Y-%m-%d and %H:%M:%S, %R %H:%M                     %p      AM, PM or what says so
 * elsewhere %s      seconds since 1970, with any fraction               %z      a zone: Z, +02:00,
 * UTC
 *   %%      a percent sign                                      blanks  any blanks, or none
 *
 * All else stands for itself. Names of months are known in the languages of scan.c, whatever the
 * locale. Without a date the first hand of a clock may count on: %H past 24, %M past 60. Strict: a
 * field that holds more, or less, does not fit. Refuses patterns by which no time could be told,
 * and those that say a thing twice. Cost: one pass, no allocation.
 */
#include "reading/scan.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#define MAX_PATTERN_BYTES 200
/* A count from 1970 of so many digits fits microseconds in 64 bits: beyond the year 30000. */
#define MAX_SECONDS_DIGITS 12

struct _TidePattern
{
  char *letters;   /* %F, %T and %R written out */
  guint64 has;     /* bits of the letters, by get_bit() */
  char first_hand; /* of a clock without a date: it may count on; else 0 */
};

static guint64
get_bit (char letter)
{
  return G_GUINT64_CONSTANT (1) << (guint)((letter - 'A') & 63);
}

static gboolean
has_letter (guint64 has, char letter)
{
  return (has & get_bit (letter)) != 0;
}

/* Letters that say the same thing in another way. */
static char
get_plain_letter (char letter)
{
  switch (letter)
    {
    case 'e':
      return 'd';
    case 'B':
    case 'h':
      return 'b';
    case 'A':
      return 'a';
    default:
      return letter;
    }
}

static char *
write_out (const char *text)
{
  GString *out = g_string_new (NULL);
  for (const char *p = text; *p; p++)
    if (p[0] != '%' || p[1] == '\0')
      g_string_append_c (out, *p);
    else
      {
        p++;
        if (*p == 'F')
          g_string_append (out, "%Y-%m-%d");
        else if (*p == 'T')
          g_string_append (out, "%H:%M:%S");
        else if (*p == 'R')
          g_string_append (out, "%H:%M");
        else
          g_string_append_printf (out, "%%%c", get_plain_letter (*p));
      }
  return g_string_free (out, FALSE);
}

/* ---- What a pattern may be ---- */

G_GNUC_PRINTF (3, 4)
static gboolean
refuse (const char *text, GError **error, const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *why = g_strdup_vprintf (format, args);
  va_end (args);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               /* Translators: the pattern of a time, and what is wrong with it */
               _ ("the time pattern \"%s\" cannot be used: %s"), text, why);
  return FALSE;
}

static gboolean
collect_letters (const char *text, const char *letters, guint64 *has, GError **error)
{
  static const char known[] = "YymdbajHIMSfpsz";
  for (const char *p = letters; *p; p++)
    {
      if (*p != '%')
        continue;
      if (*++p == '%')
        continue;
      if (*p == '\0' || !strchr (known, *p))
        return refuse (text, error,
                       _ ("its letters are %%Y %%y %%m %%b %%d %%j %%a %%H %%I %%M %%S %%f %%p %%z "
                          "%%s %%F %%T %%R and %%%%"));
      if (has_letter (*has, *p))
        return refuse (text, error, _ ("it names %%%c twice"), *p);
      *has |= get_bit (*p);
    }
  return TRUE;
}

/* What goes together must all be there, and nothing beside it. */
static gboolean
check_letters (const char *text, guint64 has, GError **error)
{
  int n_years = has_letter (has, 'Y') + has_letter (has, 'y');
  int n_months = has_letter (has, 'm') + has_letter (has, 'b');
  int n_days = has_letter (has, 'd');
  int n_hours = has_letter (has, 'H') + has_letter (has, 'I');
  gboolean has_date = n_years + n_months + n_days > 0 || has_letter (has, 'j');
  gboolean has_clock = n_hours > 0 || has_letter (has, 'M') || has_letter (has, 'S');
  if (has_letter (has, 's'))
    return !(has_date || has_clock) || refuse (text, error, _ ("%%s is a whole time by itself"));
  if (!has_date && !has_clock)
    return refuse (text, error, _ ("it names neither a date nor a clock"));
  if (has_date
      && !(has_letter (has, 'j') ? n_years == 1 && n_months + n_days == 0
                                 : n_years == 1 && n_months == 1 && n_days == 1))
    return refuse (text, error, _ ("a date needs one year, one month and one day"));
  if (n_hours > 1 || has_letter (has, 'I') != has_letter (has, 'p'))
    return refuse (text, error, _ ("%%I and %%p need each other, and %%H stands alone"));
  if (n_hours == 1 ? !has_letter (has, 'M') && has_letter (has, 'S') : has_date && has_clock)
    return refuse (text, error, _ ("its clock lacks a hand"));
  if (has_letter (has, 'f') && !has_letter (has, 'S'))
    return refuse (text, error, _ ("a fraction needs seconds"));
  return !has_letter (has, 'z') || has_date || refuse (text, error, _ ("a zone needs a date"));
}

TidePattern *
tide_pattern_new (const char *text, GError **error)
{
  g_return_val_if_fail (text != NULL, NULL);
  guint64 has = 0;
  if (strlen (text) > MAX_PATTERN_BYTES)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   _ ("a time pattern has at most %d characters"), MAX_PATTERN_BYTES);
      return NULL;
    }
  g_autofree char *letters = write_out (text);
  if (!collect_letters (text, letters, &has, error) || !check_letters (text, has, error))
    return NULL;
  TidePattern *pattern = g_new0 (TidePattern, 1);
  pattern->letters = g_steal_pointer (&letters);
  pattern->has = has;
  if (!tide_pattern_has_date (pattern))
    pattern->first_hand = has_letter (has, 'H')   ? 'H'
                          : has_letter (has, 'I') ? 0
                          : has_letter (has, 'M') ? 'M'
                                                  : 'S';
  return pattern;
}

void
tide_pattern_free (TidePattern *pattern)
{
  g_free (pattern->letters);
  g_free (pattern);
}

gboolean
tide_pattern_has_date (const TidePattern *pattern)
{
  return has_letter (pattern->has, 'Y') || has_letter (pattern->has, 'y')
         || has_letter (pattern->has, 's');
}

gboolean
tide_pattern_has_hours (const TidePattern *pattern)
{
  return has_letter (pattern->has, 'H') || has_letter (pattern->has, 'I');
}

gboolean
tide_pattern_has_clock (const TidePattern *pattern)
{
  return tide_pattern_has_hours (pattern) || has_letter (pattern->has, 'M')
         || has_letter (pattern->has, 'S') || has_letter (pattern->has, 's');
}

/* ---- A field ---- */

typedef struct
{
  guint year, month, day, year_day;
  guint hour, minute, second, micros;
  gint64 epoch_s, offset_us;
  gboolean is_second_half, is_negative;
  gboolean is_am_pm; /* the half is of a clock that has no hour 0 */
} Fields;

/* AM or PM alone: as behind a clock of one o'clock. */
static gboolean
take_half (TideScan *scan, Fields *fields)
{
  guint hour = 1;
  TideScan ahead = *scan;
  tide_scan_spaces (&ahead);
  fields->is_am_pm = !tide_scan_at_end (&ahead) && g_ascii_isalpha (*ahead.p);
  if (!tide_scan_half (scan, &hour))
    return FALSE;
  fields->is_second_half = hour > 12;
  return TRUE;
}

/* Digits of a fraction, with no mark before them. */
static gboolean
take_bare_fraction (TideScan *scan, Fields *fields)
{
  guint n = 0;
  fields->micros = 0;
  for (guint unit = 100000; scan->p < scan->end && g_ascii_isdigit (*scan->p);
       scan->p++, unit /= 10, n++)
    fields->micros += (guint)(*scan->p - '0') * unit;
  return n > 0;
}

static gboolean
take_epoch (TideScan *scan, Fields *fields)
{
  guint n = 0;
  fields->is_negative = tide_scan_char (scan, '-');
  for (; n <= MAX_SECONDS_DIGITS && scan->p < scan->end && g_ascii_isdigit (*scan->p); n++)
    fields->epoch_s = fields->epoch_s * 10 + (*scan->p++ - '0');
  tide_scan_fraction (scan, &fields->micros);
  return n > 0 && n <= MAX_SECONDS_DIGITS;
}

static gboolean
take_date_letter (TideScan *scan, char letter, Fields *fields)
{
  switch (letter)
    {
    case 'Y':
      return tide_scan_digits (scan, 4, 4, 9999, &fields->year);
    case 'y':
      if (!tide_scan_digits (scan, 2, 2, 99, &fields->year))
        return FALSE;
      fields->year = tide_scan_whole_year (fields->year);
      return TRUE;
    case 'm':
      return tide_scan_digits (scan, 1, 2, 12, &fields->month);
    case 'b':
      return tide_scan_month (scan, &fields->month);
    case 'd':
      return tide_scan_digits (scan, 1, 2, 31, &fields->day);
    case 'j':
      return tide_scan_digits (scan, 1, 3, 366, &fields->year_day) && fields->year_day > 0;
    default:
      g_return_val_if_reached (FALSE);
    }
}

/* A hand of a clock; the first of one without a date counts on. */
static gboolean
take_hand (TideScan *scan, const TidePattern *pattern, char letter, guint max, guint *value)
{
  gboolean counts_on = letter == pattern->first_hand;
  return tide_scan_digits (scan, 1, counts_on ? 9 : 2, counts_on ? TIDE_MAX_HOURS * 60 : max,
                           value);
}

/* next: what the pattern goes on with. */
static gboolean
take_letter (TideScan *scan,
             const TidePattern *pattern,
             char letter,
             const char *next,
             Fields *fields)
{
  char word[32];
  switch (letter)
    {
    case 'H':
      return take_hand (scan, pattern, letter, 23, &fields->hour);
    case 'I':
      return tide_scan_digits (scan, 1, 2, 12, &fields->hour);
    case 'M':
      return take_hand (scan, pattern, letter, 59, &fields->minute);
    case 'S':
      /* 60: a leap second */
      if (!take_hand (scan, pattern, letter, 60, &fields->second))
        return FALSE;
      if (!has_letter (pattern->has, 'f') && !g_str_has_prefix (next, "."))
        tide_scan_fraction (scan, &fields->micros);
      return TRUE;
    case 'f':
      return take_bare_fraction (scan, fields);
    case 'p':
      return take_half (scan, fields);
    case 's':
      return take_epoch (scan, fields);
    case 'z':
      return tide_scan_zone (scan, &fields->offset_us);
    case 'a':
      return tide_scan_word (scan, word);
    default:
      return take_date_letter (scan, letter, fields);
    }
}

static gboolean
take_fields (TideScan *scan, const TidePattern *pattern, Fields *fields)
{
  for (const char *p = pattern->letters; *p; p++)
    if (g_ascii_isspace (*p))
      tide_scan_spaces (scan);
    else if (*p != '%')
      {
        if (!tide_scan_char (scan, *p))
          return FALSE;
      }
    else if (*++p == '%')
      {
        if (!tide_scan_char (scan, '%'))
          return FALSE;
      }
    else if (!take_letter (scan, pattern, *p, p + 1, fields))
      return FALSE;
  return tide_scan_at_end (scan);
}

static gboolean
compute_day (const TidePattern *pattern, const Fields *fields, gint64 *day)
{
  *day = 0;
  if (!tide_pattern_has_date (pattern))
    return TRUE;
  if (!has_letter (pattern->has, 'j'))
    return tide_scan_compute_day (fields->year, fields->month, fields->day, day);
  if (fields->year_day == 366 && !g_date_is_leap_year ((GDateYear)fields->year))
    return FALSE;
  if (!tide_scan_compute_day (fields->year, 1, 1, day))
    return FALSE;
  *day += fields->year_day - 1;
  return TRUE;
}

gboolean
tide_pattern_parse (const TidePattern *pattern, const char *text, gsize length, TideMoment *moment)
{
  TideScan scan = tide_scan_begin (text, length);
  Fields fields = { 0 };
  gint64 day;
  if (!take_fields (&scan, pattern, &fields))
    return FALSE;
  if (fields.is_am_pm && fields.hour == 0)
    return FALSE;
  if (has_letter (pattern->has, 'I'))
    fields.hour = fields.hour % 12 + (fields.is_second_half ? 12 : 0);
  *moment = (TideMoment){
    .has_date = tide_pattern_has_date (pattern),
    .has_clock = tide_pattern_has_clock (pattern),
    .has_zone = has_letter (pattern->has, 'z') || has_letter (pattern->has, 's'),
  };
  if (has_letter (pattern->has, 's'))
    {
      moment->us = fields.epoch_s * G_USEC_PER_SEC + fields.micros;
      if (fields.is_negative)
        moment->us = -moment->us;
      return TRUE;
    }
  if (!compute_day (pattern, &fields, &day))
    return FALSE;
  gint64 seconds =
      day * 86400 + (gint64)fields.hour * 3600 + (gint64)fields.minute * 60 + fields.second;
  moment->us = seconds * G_USEC_PER_SEC + fields.micros - fields.offset_us;
  return TRUE;
}
