/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Days as spreadsheets count them, written as text that every reader of dates understands.
 *
 * ECMA-376 Part 1, 18.17.4: in the 1900 system day 1 is 1 January 1900, and 1900 has a 29 February
 * as day 60, which no calendar knows; so from 1 March 1900 on, day 0 is 30 December 1899. In the
 * 1904 system day 0 is 1 January 1904. The last day is 31 December 9999. A number below one is a
 * time of day.
 *
 * Rounded to a ten-thousandth of a second: with the 15 digits that programs store, a day of our
 * time is known to 9 microseconds.
 */
#include "unpack/workbook-private.h"

#include <math.h>

#define TICKS_PER_S   10000
#define TICKS_PER_DAY (86400LL * TICKS_PER_S)
#define QUIRK_DAY     60
#define LAST_DAY_1900 2958465
#define LAST_DAY_1904 2957003
/* Clock formats show the time of day of a date too; a time that ran for a year or more is none. */
#define LONGEST_CLOCK_DAYS 366

/* "05:06:07.25"; hours may pass 24. */
static void
append_clock (GString *text, gint64 ticks)
{
  gint64 s = ticks / TICKS_PER_S;
  int fraction = (int)(ticks % TICKS_PER_S);
  g_string_append_printf (text, "%02" G_GINT64_FORMAT ":%02d:%02d", s / 3600, (int)(s / 60 % 60),
                          (int)(s % 60));
  if (fraction == 0)
    return;
  g_string_append_printf (text, ".%04d", fraction);
  while (text->str[text->len - 1] == '0')
    g_string_truncate (text, text->len - 1);
}

static void
append_date (GString *text, gint64 day, gboolean is_1904)
{
  if (!is_1904 && day == QUIRK_DAY)
    {
      g_string_append (text, "1900-02-29");
      return;
    }
  g_autoptr (GDateTime) first =
      is_1904 ? g_date_time_new_utc (1904, 1, 1, 0, 0, 0)
              : g_date_time_new_utc (1899, 12, day < QUIRK_DAY ? 31 : 30, 0, 0, 0);
  g_autoptr (GDateTime) date = g_date_time_add_days (first, (int)day);
  g_string_append_printf (text, "%04d-%02d-%02d", g_date_time_get_year (date),
                          g_date_time_get_month (date), g_date_time_get_day_of_month (date));
}

gboolean
tide_serial_append (GString *text, double serial, TideCellKind kind, gboolean is_1904)
{
  double last_day = is_1904 ? LAST_DAY_1904 : LAST_DAY_1900;
  if (kind == TIDE_CELL_NUMBER || !(serial >= 0 && serial < last_day + 1))
    return FALSE;
  gint64 ticks = llround (serial * (double)TICKS_PER_DAY);
  gint64 day = ticks / TICKS_PER_DAY;
  gboolean is_clock = kind == TIDE_CELL_DURATION
                      || (kind == TIDE_CELL_CLOCK && day < LONGEST_CLOCK_DAYS)
                      || (serial < 1 && !is_1904);
  if (is_clock)
    append_clock (text, ticks);
  else if (day > last_day)
    return FALSE;
  else
    {
      append_date (text, day, is_1904);
      if (kind == TIDE_CELL_DATE && ticks % TICKS_PER_DAY == 0)
        return TRUE;
      g_string_append_c (text, 'T');
      append_clock (text, ticks % TICKS_PER_DAY);
    }
  return TRUE;
}
