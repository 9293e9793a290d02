/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: one point in time as it is written; see scan.h for what its readers share. */
#pragma once

#include "reading/understanding.h"

/* ---- stamp.c ---- */

typedef enum {
  TIDE_ORDER_NONE  = 0,
  TIDE_ORDER_YEAR  = 1 << 0, /* 2024-05-31, 24/05/31, 2024年5月31日, and ISO 8601's other forms */
  TIDE_ORDER_DAY   = 1 << 1, /* 31/05/2024, 31.05.24, 31 May 2024 */
  TIDE_ORDER_MONTH = 1 << 2, /* 05/31/2024, May 31, 2024 */
  TIDE_ORDER_ALL   = TIDE_ORDER_YEAR | TIDE_ORDER_DAY | TIDE_ORDER_MONTH,
} TideDateOrder;

typedef struct {
  gint64 us;          /* since 1970: UTC if has_zone, else as the clock on the wall reads */
  gboolean has_zone;
  gboolean has_clock; /* FALSE: a date alone, us is its midnight */
  gboolean has_date;  /* FALSE: a clock alone, us is since midnight or since the log began */
} TideMoment;

/* A date, with or without a clock and a zone, its parts in that order (one bit). */
gboolean      tide_date_parse   (const char *text, gsize length, TideDateOrder order, TideMoment *moment);
/* The orders in which text is a date; several bits if it can be read in several ways. */
TideDateOrder tide_date_orders  (const char *text, gsize length);
/* How tide_date_parse() read text, as a pattern of pattern.c; NULL where no pattern says it. Transfer full. */
char         *tide_date_pattern (const char *text, gsize length, TideDateOrder order);
/* Microseconds since 1970 UTC; a moment without a zone is taken as this machine's local time. */
gint64        tide_moment_to_us (TideMoment moment);

/* ---- clock.c ---- */

typedef struct {
  double seconds;
  guint parts;           /* 2 for 12:34, 3 for 12:34:56 and for durations */
  gboolean has_fraction;
  gboolean is_daytime;   /* an AM or PM stands beside it */
  gboolean is_duration;  /* it counts days or names units: no time of day */
  gboolean is_utc;       /* "UTC", "Z" behind it */
} TideClock;

/* "1:02:03.5", "93:40:55", "12:34", "1:02 PM", "2d 01:02:03", "1.02:03:04", "2h 3m 4s", "PT2H3M4S". A clock of two
 * parts is read as hours and minutes, or as minutes and seconds if minutes_first or a fraction follows. */
gboolean tide_clock_parse (const char *text, gsize length, gboolean minutes_first, TideClock *clock);

/* ---- pattern.c ---- */

/* How a point in time is written, as a person states it; see the head of the file for its letters. */
typedef struct _TidePattern TidePattern;

/* Errors: TIDE_READING_ERROR_RULE, one line. */
TidePattern *tide_pattern_new    (const char *text, GError **error);
void         tide_pattern_free   (TidePattern *pattern);
gboolean     tide_pattern_has_date  (const TidePattern *pattern);
gboolean     tide_pattern_has_clock (const TidePattern *pattern);
gboolean     tide_pattern_has_hours (const TidePattern *pattern);
gboolean     tide_pattern_parse  (const TidePattern *pattern, const char *text, gsize length, TideMoment *moment);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TidePattern, tide_pattern_free)
