/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field becomes a time since something began, or since midnight: clocks ("93:40:55.5", "1:02
 * PM"), clocks with days in front ("2d 01:02:03", "1 day, 2:03:04", "1.02:03:04") and durations
 * that name their units ("2 h 03 min 4.5 s", ISO 8601's "PT2H3M4S"; years and months have no length
 * and are refused).
 *
 * Whether two parts are hours and minutes or minutes and seconds is the caller's to know. One pass,
 * no allocation.
 */
#include "reading/scan.h"

#include <string.h>

/* A duration of so many seconds is refused: over 100 years, and whole microseconds stay exact. */
#define MAX_DURATION_S 3.6e9

/* ---- Days in front ---- */

/* "2d ", "2 days, ", "2." in front of a clock; nothing is taken where there are none. */
static gboolean
take_days (TideScan *scan, guint *days)
{
  static const char *const words[] = { "days", "day", "d", "Tage", "Tag", "T" };
  TideScan ahead = *scan;
  *days = 0;
  if (!tide_scan_integer (&ahead, 5, TIDE_MAX_HOURS / 24, days))
    return FALSE;
  if (tide_scan_char (&ahead, '.'))
    {
      scan->p = ahead.p;
      return TRUE;
    }
  tide_scan_spaces (&ahead);
  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    {
      gsize n = strlen (words[i]);
      if ((gsize)(ahead.end - ahead.p) <= n || g_ascii_strncasecmp (ahead.p, words[i], n) != 0)
        continue;
      ahead.p += n;
      tide_scan_char (&ahead, ',');
      tide_scan_spaces (&ahead);
      scan->p = ahead.p;
      return TRUE;
    }
  *days = 0;
  return FALSE;
}

/* "10:11:12 UTC": no other zone, which only a date could make a time of. */
static gboolean
take_utc (TideScan *scan, TideClock *clock)
{
  gint64 offset_us;
  if (tide_scan_at_end (scan))
    return TRUE;
  clock->is_utc = tide_scan_zone (scan, &offset_us) && offset_us == 0;
  clock->is_daytime = clock->is_utc;
  return clock->is_utc && tide_scan_at_end (scan);
}

static gboolean
parse_clock (TideScan scan, gboolean minutes_first, TideClock *clock)
{
  guint days;
  TideClockParts parts;
  gboolean has_days = take_days (&scan, &days);
  if (!tide_scan_clock (&scan, has_days ? 23 : TIDE_MAX_HOURS, TIDE_CLOCK_PLAIN, &parts)
      || !take_utc (&scan, &parts.clock)
      || (has_days && (parts.clock.is_daytime || parts.clock.parts < 3)))
    return FALSE;

  double seconds = parts.first * 3600.0 + parts.second * 60.0 + parts.third;
  if (parts.clock.parts == 2 && (minutes_first || parts.clock.has_fraction))
    seconds = parts.first * 60.0 + parts.second;
  *clock = parts.clock;
  clock->is_duration = has_days;
  /* whole microseconds are exact here, so the division is the only rounding */
  clock->seconds = ((days * 86400.0 + seconds) * 1e6 + parts.micros) / 1e6;
  return TRUE;
}

/* ---- Durations that name their units ---- */

typedef struct
{
  double unit_us;
  const char *words;
} DurationUnit;

static const DurationUnit duration_units[] = {
  { 86400e6, " d day days t tag tage j jour jours día días dia dias giorno giorni 天 日 " },
  { 3600e6, " h hr hrs hour hours std stunde stunden heure heures hora horas ora ore 小时 小時 "
            "時間 时 時 " },
  { 60e6, " m min mins minute minutes minuten minuto minutos minuti 分 分钟 分鐘 " },
  { 1e6, " s sec secs second seconds sek sekunde sekunden seconde secondes segundo segundos "
         "secondi 秒 " },
  { 1e3, " ms 毫秒 " },
};

/* Where among the units word stands, from 0; -1: nowhere. */
static int
find_unit (const char *word)
{
  g_autofree char *key = g_strconcat (" ", word, " ", NULL);
  for (guint i = 0; i < G_N_ELEMENTS (duration_units); i++)
    if (strstr (duration_units[i].words, key))
      return (int)i;
  return -1;
}

/* One number and its unit, smaller than the one before; total in microseconds. */
static gboolean
take_amount (TideScan *scan, int *unit, gboolean *has_fraction, double *total_us)
{
  guint whole, micros;
  char word[32];
  if (*has_fraction || !tide_scan_integer (scan, 9, 999999999, &whole))
    return FALSE;
  *has_fraction = tide_scan_fraction (scan, &micros);
  tide_scan_spaces (scan);
  if (!tide_scan_word (scan, word))
    return FALSE;
  tide_scan_char (scan, '.');
  int found = find_unit (word);
  if (found <= *unit)
    return FALSE;
  *unit = found;
  *total_us += (whole * 1e6 + micros) * (duration_units[found].unit_us / 1e6);
  tide_scan_char (scan, ',');
  tide_scan_spaces (scan);
  return TRUE;
}

static gboolean
finish_duration (double total_us, gboolean has_fraction, TideClock *clock)
{
  if (total_us > MAX_DURATION_S * 1e6)
    return FALSE;
  *clock = (TideClock){
    .seconds = total_us / 1e6, .parts = 3, .has_fraction = has_fraction, .is_duration = TRUE
  };
  return TRUE;
}

static gboolean
parse_amounts (TideScan scan, TideClock *clock)
{
  double total_us = 0;
  gboolean has_fraction = FALSE;
  int unit = -1;
  do
    if (!take_amount (&scan, &unit, &has_fraction, &total_us))
      return FALSE;
  while (!tide_scan_at_end (&scan));
  return finish_duration (total_us, has_fraction, clock);
}

/* ISO 8601: P1DT2H3M4.5S. */
static gboolean
parse_iso_duration (TideScan scan, TideClock *clock)
{
  static const struct
  {
    char letter;
    gboolean is_of_clock;
    double unit_s;
  } units[] = { { 'W', FALSE, 604800 },
                { 'D', FALSE, 86400 },
                { 'H', TRUE, 3600 },
                { 'M', TRUE, 60 },
                { 'S', TRUE, 1 } };
  double total_us = 0;
  gboolean has_fraction = FALSE, in_clock = FALSE;
  if (!tide_scan_char (&scan, 'P') || tide_scan_at_end (&scan))
    return FALSE;
  for (guint next = 0; !tide_scan_at_end (&scan);)
    {
      guint whole, micros;
      if (!in_clock && tide_scan_char (&scan, 'T'))
        in_clock = TRUE;
      if (has_fraction || !tide_scan_integer (&scan, 9, 999999999, &whole))
        return FALSE;
      has_fraction = tide_scan_fraction (&scan, &micros);
      while (
          next < G_N_ELEMENTS (units)
          && (units[next].is_of_clock != in_clock || !tide_scan_char (&scan, units[next].letter)))
        next++;
      if (next == G_N_ELEMENTS (units))
        return FALSE;
      total_us += (whole * 1e6 + micros) * units[next++].unit_s;
    }
  return finish_duration (total_us, has_fraction, clock);
}

gboolean
tide_clock_parse (const char *text, gsize length, gboolean minutes_first, TideClock *clock)
{
  TideScan scan = tide_scan_begin (text, length);
  if (tide_scan_at_end (&scan))
    return FALSE;
  return parse_clock (scan, minutes_first, clock) || parse_iso_duration (scan, clock)
         || (g_ascii_isdigit (*scan.p) && parse_amounts (scan, clock));
}
