/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The seconds from row to row, as the lines above a table tell them: "Interval: 1 s", "sample
 * rate;10 Hz", "Abtastintervall 500 ms", "sampling interval (s);2", "Log interval,00:00:05".
 *
 * A line counts where it holds the word for an interval or a rate of samples, and behind it one
 * number with its unit (or the unit in brackets before it), or one clock of three parts. Whether it
 * is a time or a rate, the unit tells, not the word: "rate" is written for both. A line without a
 * unit is passed over, and so are lines that say different things. Looks at no more than MAX_LINES
 * lines.
 */
#include "reading/reading-private.h"

#include <string.h>

#define MAX_LINES      400
#define MAX_LINE_BYTES 400
#define SHORTEST_S     1e-6
#define LONGEST_S      86400.0

/* Lower case. The first that stands in a line counts, so longer ones that hold shorter ones are not
 * needed. */
static const char *const keys[] = {
  "interval",
  "sample rate",
  "sampling rate",
  "sample time",
  "sampling time",
  "sample period",
  "sampling period",
  "sampling frequency",
  "sample frequency",
  "logging rate",
  "log rate",
  "abtastrate",
  "abtastfrequenz",
  "abtastzeit",
  "messrate",
  "abtastperiode",
  "période d",
  "periode d",
  "fréquence d",
  "frequence d",
  "cadence",
  "periodo de muestreo",
  "período de muestreo",
  "frecuencia de muestreo",
  "tasa de muestreo",
  "período de amostragem",
  "periodo de amostragem",
  "taxa de amostragem",
  "frequência de amostragem",
  "periodo di campionamento",
  "frequenza di campionamento",
  "tempo di campionamento",
  "间隔",
  "間隔",
  "采样周期",
  "采样率",
  "采样频率",
  "取样率",
  "周期",
  "サンプリング",
};

typedef struct
{
  const char *word; /* lower case */
  double seconds;   /* of one */
  gboolean is_rate;
} IntervalUnit;

/* Longer words before those they begin with. */
static const IntervalUnit units[] = {
  { "khz", 1e-3, TRUE },
  { "hz", 1, TRUE },
  { "samples/s", 1, TRUE },
  { "sps", 1, TRUE },
  { "s/s", 1, TRUE },
  { "/min", 60, TRUE },
  { "/s", 1, TRUE },
  { "1/s", 1, TRUE },
  { "ms", 1e-3, FALSE },
  { "millisecond", 1e-3, FALSE },
  { "millisekunde", 1e-3, FALSE },
  { "毫秒", 1e-3, FALSE },
  { "µs", 1e-6, FALSE },
  { "μs", 1e-6, FALSE },
  { "us", 1e-6, FALSE },
  { "min", 60, FALSE },
  { "分", 60, FALSE },
  { "hour", 3600, FALSE },
  { "hr", 3600, FALSE },
  { "std", 3600, FALSE },
  { "stunde", 3600, FALSE },
  { "h", 3600, FALSE },
  { "sec", 1, FALSE },
  { "sek", 1, FALSE },
  { "seg", 1, FALSE },
  { "秒", 1, FALSE },
  { "s", 1, FALSE },
};

/* The unit at the start of text. A plain "s", "h" or "min" must end there. */
static const IntervalUnit *
find_unit (const char *text)
{
  while (*text == ' ' || g_str_has_prefix (text, "\xc2\xa0"))
    text += *text == ' ' ? 1 : 2;
  for (guint i = 0; i < G_N_ELEMENTS (units); i++)
    {
      if (!g_str_has_prefix (text, units[i].word))
        continue;
      gunichar behind = g_utf8_get_char (text + strlen (units[i].word));
      gboolean is_short = strlen (units[i].word) <= 2;
      if (!is_short || !g_unichar_isalpha (behind))
        return &units[i];
    }
  return NULL;
}

/* The unit in brackets within text. */
static const IntervalUnit *
find_bracketed (const char *text, const char *end)
{
  for (const char *p = text; p < end; p++)
    if (*p == '(' || *p == '[')
      return find_unit (p + 1);
  return NULL;
}

static double
convert (double value, const IntervalUnit *unit)
{
  double seconds = unit->is_rate ? unit->seconds / value : unit->seconds * value;
  return value > 0 && seconds >= SHORTEST_S && seconds <= LONGEST_S ? seconds : 0;
}

/* A clock of three parts, or a number; blanks end it. */
static double
read_amount (const char *text, gsize length, const IntervalUnit *before)
{
  TideClock clock;
  double value;
  if (memchr (text, ':', length))
    return tide_clock_parse (text, length, FALSE, &clock) && clock.parts == 3
                   && clock.seconds >= SHORTEST_S && clock.seconds <= LONGEST_S
               ? clock.seconds
               : 0;
  const IntervalUnit *unit = find_unit (text + length);
  if (!unit)
    unit = before;
  if (!unit
      || !(tide_number_parse (text, length, '.', 0, &value)
           || tide_number_parse (text, length, ',', 0, &value)))
    return 0;
  return convert (value, unit);
}

static gboolean
has_digit (const char *text)
{
  return strpbrk (text, "0123456789") != NULL;
}

/* What stands behind the key: one amount. */
static double
read_rest (const char *rest)
{
  const char *from = strpbrk (rest, "0123456789");
  if (!from)
    return 0;
  /* a rate may be written as "1/s": its unit is not an amount */
  gsize length = strspn (from, "0123456789.,:");
  while (length > 1 && strchr (".,:", from[length - 1]))
    length--;
  if (has_digit (from + length))
    return 0;
  return read_amount (from, length, find_bracketed (rest, from));
}

static double
read_line (const char *line, gsize length)
{
  if (length > MAX_LINE_BYTES)
    return 0;
  g_autofree char *valid = g_utf8_make_valid (line, (gssize)length);
  g_autofree char *lower = g_utf8_strdown (valid, -1);
  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      const char *key = strstr (lower, keys[i]);
      if (key)
        return read_rest (key + strlen (keys[i]));
    }
  return 0;
}

double
tide_interval_find (const char *text, gsize length, guint64 *row)
{
  double found_s = 0;
  const char *end = text + length;
  guint64 number = 1;
  for (const char *line = text; line < end && number <= MAX_LINES; number++)
    {
      const char *line_end = memchr (line, '\n', (gsize)(end - line));
      if (!line_end)
        line_end = end;
      double seconds = read_line (line, (gsize)(line_end - line));
      if (seconds > 0 && found_s > 0 && seconds != found_s)
        return 0;
      if (seconds > 0 && found_s == 0)
        *row = number;
      found_s = seconds > 0 ? seconds : found_s;
      line = line_end + 1;
    }
  return found_s;
}
