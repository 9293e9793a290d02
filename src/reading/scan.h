/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small steps through the text of one stamp: clock.c, date.c, stamp.c and pattern.c are made of them.
 *
 * A step that fails leaves the scan somewhere behind where it was: whoever wants to try another way keeps a
 * copy. With a pattern the scan writes down what it meets in the letters of pattern.c.
 */
#pragma once

#include "reading/time-private.h"

/* No log is longer than this many hours (over 100 years); a bound for arithmetic. */
#define TIDE_MAX_HOURS 1000000u

typedef struct {
  const char *p, *end;
  GString *pattern; /* NULL: nothing is written down */
} TideScan;

typedef struct {
  guint first, second, third; /* as they stand; first from 0 to 23 once a half of the day was met */
  guint micros;
  TideClock clock;            /* seconds is void */
} TideClockParts;

typedef enum {
  TIDE_CLOCK_PLAIN = 0,
  TIDE_CLOCK_DOTS  = 1 << 0, /* 10.11.12 too: where a date stands beside it */
} TideClockFlags;

/* Without the blanks at both ends. */
TideScan tide_scan_begin   (const char *text, gsize length);
/* Blanks of all widths; FALSE if there are none. */
gboolean tide_scan_spaces  (TideScan *scan);
gboolean tide_scan_text    (TideScan *scan, const char *text);
/* A run of letters of any script, at most 24 bytes, in lower case; empty if there is none. word has 32 bytes. */
gboolean tide_scan_word    (TideScan *scan, char *word);
/* ".123" or ",123" in millionths, rounded down beyond six digits. */
gboolean tide_scan_fraction (TideScan *scan, guint *micros);
/* "AM", "p. m.", "午後"; hours becomes 0 to 23. */
gboolean tide_scan_half    (TideScan *scan, guint *hours);
gboolean tide_scan_clock   (TideScan *scan, guint max_first, TideClockFlags flags, TideClockParts *parts);
/* "Z", "UTC", "+02", "+02:00", "-0130", "GMT+1". */
gboolean tide_scan_zone    (TideScan *scan, gint64 *offset_us);
/* "April", "avr", "Abril" ...: 1 to 12. */
gboolean tide_scan_month   (TideScan *scan, guint *month);
/* "Fri,", "Freitag": passed over. */
void     tide_scan_weekday (TideScan *scan);
/* Days since 1970; FALSE where there is no such day. */
gboolean tide_scan_compute_day (guint year, guint month, guint day, gint64 *days);
/* A date; see date.c. */
gboolean tide_scan_date    (TideScan *scan, TideDateOrder order, gint64 *days);
/* What a year of two digits means: 1969 to 2068, as POSIX says of strptime's %y. */
guint    tide_scan_whole_year  (guint two_digits);
void     tide_scan_note        (TideScan *scan, const char *letters);

static inline gboolean
tide_scan_at_end (const TideScan *scan)
{
  return scan->p == scan->end;
}

static inline gboolean
tide_scan_char (TideScan *scan, char c)
{
  if (scan->p == scan->end || *scan->p != c)
    return FALSE;
  scan->p++;
  if (scan->pattern)
    g_string_append_c (scan->pattern, c);
  return TRUE;
}

/* min_digits to max_digits digits, no larger than max. */
static inline gboolean
tide_scan_digits (TideScan *scan, guint min_digits, guint max_digits, guint max, guint *value)
{
  guint n = 0;
  *value = 0;
  for (; n < max_digits && scan->p < scan->end && g_ascii_isdigit (*scan->p); n++)
    *value = *value * 10 + (guint)(*scan->p++ - '0');
  return n >= min_digits && *value <= max;
}

/* The same with no digit behind. */
static inline gboolean
tide_scan_integer (TideScan *scan, guint max_digits, guint max, guint *value)
{
  return tide_scan_digits (scan, 1, max_digits, max, value)
         && !(scan->p < scan->end && g_ascii_isdigit (*scan->p));
}
