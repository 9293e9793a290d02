/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See scan.h. Names of months and days are those of English, German, French, Spanish, Portuguese
 * and Italian, whole and as they are commonly cut, taken from the C library's own locale data. */
#include "reading/scan.h"

#include <string.h>

/* Julian day number, as GDate counts, of 1970-01-01. */
#define JULIAN_1970 719163
/* No month or day has a longer name. */
#define MAX_WORD_BYTES 24

TideScan
tide_scan_begin (const char *text, gsize length)
{
  TideScan scan = { text, text + length, NULL };
  while (scan.end > scan.p && g_ascii_isspace (scan.end[-1]))
    scan.end--;
  while (scan.p < scan.end && g_ascii_isspace (*scan.p))
    scan.p++;
  return scan;
}

void
tide_scan_note (TideScan *scan, const char *letters)
{
  if (scan->pattern)
    g_string_append (scan->pattern, letters);
}

static gboolean
starts_with (const TideScan *scan, const char *text)
{
  gsize n = strlen (text);
  return (gsize)(scan->end - scan->p) >= n && memcmp (scan->p, text, n) == 0;
}

gboolean
tide_scan_text (TideScan *scan, const char *text)
{
  if (!starts_with (scan, text))
    return FALSE;
  scan->p += strlen (text);
  tide_scan_note (scan, text);
  return TRUE;
}

/* Blanks that are no ASCII: no-break, narrow no-break (before AM in some systems' exports), as wide
 * as a digit. */
static gboolean
take_wide_blank (TideScan *scan)
{
  static const char *const blanks[] = { "\xc2\xa0", "\xe2\x80\xaf", "\xe2\x80\x87" };
  for (guint i = 0; (guchar)*scan->p >= 0x80 && i < G_N_ELEMENTS (blanks); i++)
    if (starts_with (scan, blanks[i]))
      {
        scan->p += strlen (blanks[i]);
        return TRUE;
      }
  return FALSE;
}

gboolean
tide_scan_spaces (TideScan *scan)
{
  const char *from = scan->p;
  while (scan->p < scan->end)
    if (*scan->p == ' ')
      scan->p++;
    else if (!take_wide_blank (scan))
      break;
  if (scan->p > from)
    tide_scan_note (scan, " ");
  return scan->p > from;
}

gboolean
tide_scan_word (TideScan *scan, char *word)
{
  const char *from = scan->p;
  gsize n = 0;
  while (scan->p < scan->end)
    {
      gunichar c = g_utf8_get_char_validated (scan->p, scan->end - scan->p);
      if (c >= (gunichar)-2 || !g_unichar_isalpha (c))
        break;
      scan->p = g_utf8_next_char (scan->p);
      char small[8];
      gsize n_small = (gsize)g_unichar_to_utf8 (g_unichar_tolower (c), small);
      if (n + n_small > MAX_WORD_BYTES)
        return FALSE;
      memcpy (word + n, small, n_small);
      n += n_small;
    }
  word[n] = '\0';
  return scan->p > from;
}

gboolean
tide_scan_fraction (TideScan *scan, guint *micros)
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

/* ---- Clock ---- */

/* The halves that stand in front of a clock as well; the hours go from 0 to 11 or from 1 to 12. */
static gboolean
take_half_word (TideScan *scan, gboolean *is_second)
{
  static const char *const halves[] = { "上午", "下午", "午前", "午後", "오전", "오후" };
  if (tide_scan_at_end (scan) || (guchar)*scan->p < 0x80)
    return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (halves); i++)
    if (starts_with (scan, halves[i]))
      {
        scan->p += strlen (halves[i]);
        *is_second = i % 2 == 1;
        tide_scan_note (scan, "%p");
        return TRUE;
      }
  return FALSE;
}

static gboolean
add_half (guint *hours, guint least, gboolean is_second)
{
  if (*hours < least || *hours > 12)
    return FALSE;
  *hours = *hours % 12 + (is_second ? 12 : 0);
  return TRUE;
}

gboolean
tide_scan_half (TideScan *scan, guint *hours)
{
  if (tide_scan_at_end (scan))
    return FALSE;
  TideScan ahead = *scan;
  ahead.pattern = NULL;
  gboolean has_blank = tide_scan_spaces (&ahead), is_second;
  if (take_half_word (&ahead, &is_second))
    {
      if (!add_half (hours, 0, is_second))
        return FALSE;
    }
  else
    {
      if (ahead.p == ahead.end)
        return FALSE;
      char half = g_ascii_tolower (*ahead.p++);
      if (tide_scan_char (&ahead, '.'))
        tide_scan_spaces (&ahead);
      if ((half != 'a' && half != 'p')
          || !(tide_scan_char (&ahead, 'M') || tide_scan_char (&ahead, 'm'))
          || !add_half (hours, 1, half == 'p'))
        return FALSE;
      tide_scan_char (&ahead, '.');
    }
  scan->p = ahead.p;
  tide_scan_note (scan, has_blank ? " %p" : "%p");
  return TRUE;
}

/* ":345" behind seconds: thousandths, where they are three digits. */
static gboolean
take_thousandths (TideScan *scan, guint *micros)
{
  TideScan ahead = *scan;
  guint thousandths;
  if (!tide_scan_char (&ahead, ':') || !tide_scan_digits (&ahead, 3, 3, 999, &thousandths))
    return FALSE;
  scan->p = ahead.p;
  *micros = thousandths * 1000;
  tide_scan_note (scan, ":%f");
  return TRUE;
}

/* "10时00分01秒", with seconds or without: all behind the hours. */
static gboolean
take_named_hands (TideScan *scan, TideClockParts *parts)
{
  static const char *const hour_words[] = { "时", "時", "点", "點" };
  tide_scan_note (scan, "%H");
  guint i = 0;
  while (i < G_N_ELEMENTS (hour_words) && !tide_scan_text (scan, hour_words[i]))
    i++;
  if (i == G_N_ELEMENTS (hour_words) || !tide_scan_integer (scan, 2, 59, &parts->second))
    return FALSE;
  tide_scan_note (scan, "%M");
  if (!tide_scan_text (scan, "分"))
    return FALSE;
  parts->clock.parts = 3;
  if (!tide_scan_integer (scan, 2, 60, &parts->third))
    return tide_scan_at_end (scan);
  tide_scan_note (scan, "%S");
  parts->clock.has_fraction = tide_scan_fraction (scan, &parts->micros);
  return tide_scan_text (scan, "秒");
}

/* "10:00:01 Uhr" */
static gboolean
take_clock_word (TideScan *scan)
{
  TideScan ahead = *scan;
  ahead.pattern = NULL;
  gboolean has_blank = tide_scan_spaces (&ahead);
  if (!tide_scan_text (&ahead, "Uhr") && !tide_scan_text (&ahead, "uhr"))
    return FALSE;
  scan->p = ahead.p;
  tide_scan_note (scan, has_blank ? " Uhr" : "Uhr");
  return TRUE;
}

static gboolean
take_hands (TideScan *scan, guint max_first, TideClockFlags flags, TideClockParts *parts)
{
  if (!tide_scan_integer (scan, max_first > 23 ? 7 : 2, max_first, &parts->first))
    return FALSE;
  if (scan->p < scan->end && (guchar)*scan->p >= 0x80)
    return take_named_hands (scan, parts);
  gsize hours_at = scan->pattern ? scan->pattern->len : 0;
  char mark = (flags & TIDE_CLOCK_DOTS) && scan->p < scan->end && *scan->p == '.' ? '.' : ':';
  if (!tide_scan_char (scan, mark) || !tide_scan_integer (scan, 2, 59, &parts->second))
    return FALSE;
  tide_scan_note (scan, "%M");
  if (scan->pattern)
    g_string_insert (scan->pattern, (gssize)hours_at, "%H");
  parts->clock.parts = 2;
  if (tide_scan_char (scan, mark))
    {
      /* 60: a leap second */
      if (!tide_scan_integer (scan, 2, 60, &parts->third))
        return FALSE;
      tide_scan_note (scan, "%S");
      parts->clock.parts = 3;
    }
  if (mark == '.' && parts->clock.parts == 2)
    return FALSE;
  parts->clock.has_fraction =
      tide_scan_fraction (scan, &parts->micros)
      || (parts->clock.parts == 3 && take_thousandths (scan, &parts->micros));
  return TRUE;
}

/* A clock with a half of the day is one of %I. */
static void
note_twelve_hours (TideScan *scan)
{
  char *hours = scan->pattern ? strstr (scan->pattern->str, "%H") : NULL;
  if (hours)
    hours[1] = 'I';
}

gboolean
tide_scan_clock (TideScan *scan, guint max_first, TideClockFlags flags, TideClockParts *parts)
{
  *parts = (TideClockParts){ 0 };
  gboolean is_second = FALSE;
  gboolean in_front = take_half_word (scan, &is_second);
  if (in_front)
    tide_scan_spaces (scan);
  if (!take_hands (scan, max_first, flags, parts))
    return FALSE;
  if (in_front && !add_half (&parts->first, 0, is_second))
    return FALSE;
  gboolean is_half = in_front || tide_scan_half (scan, &parts->first);
  if (is_half)
    note_twelve_hours (scan);
  parts->clock.is_daytime = take_clock_word (scan) || is_half;
  return TRUE;
}

gboolean
tide_scan_zone (TideScan *scan, gint64 *offset_us)
{
  TideScan ahead = *scan;
  ahead.pattern = NULL;
  gboolean has_blank = tide_scan_spaces (&ahead);
  *offset_us = 0;
  gboolean is_named = tide_scan_text (&ahead, "UTC") || tide_scan_text (&ahead, "GMT");
  gboolean is_zero = is_named || tide_scan_char (&ahead, 'Z') || tide_scan_char (&ahead, 'z');
  if (ahead.p < ahead.end && (*ahead.p == '+' || *ahead.p == '-') && (is_named || !is_zero))
    {
      gint64 sign = *ahead.p++ == '-' ? -1 : 1;
      guint hours, minutes = 0;
      if (!tide_scan_digits (&ahead, is_named ? 1 : 2, 2, 23, &hours))
        return FALSE;
      if ((tide_scan_char (&ahead, ':') || (ahead.p < ahead.end && g_ascii_isdigit (*ahead.p)))
          && !tide_scan_digits (&ahead, 2, 2, 59, &minutes))
        return FALSE;
      *offset_us = sign * ((gint64)hours * 60 + minutes) * 60 * G_USEC_PER_SEC;
    }
  else if (!is_zero)
    return FALSE;
  scan->p = ahead.p;
  tide_scan_note (scan, has_blank ? " %z" : "%z");
  return TRUE;
}

/* ---- Date ---- */

static const char *const month_words[12] = {
  " jan january januar jän jänner janv janvier ene enero janeiro gen gennaio ",
  " feb february februar fév fev févr fevr février fevrier febrero fevereiro febbraio ",
  " mar march mär mrz märz maerz mars marzo março marco ",
  " apr april avr avril abr abril aprile ",
  " may mai mayo maio mag maggio ",
  " jun june juni juin junio junho giu giugno ",
  " jul july juli juil juillet julio julho lug luglio ",
  " aug august aoû aou août aout ago agosto ",
  " sep sept september septembre septiembre set setiembre setembro settembre ",
  " oct october okt oktober octobre octubre out outubro ott ottobre ",
  " nov november novembre noviembre novembro ",
  " dec december dez dezember déc décembre decembre dic diciembre dezembro dicembre ",
};

static const char day_words[] =
    " mon monday tue tues tuesday wed wednesday thu thur thurs thursday fri friday sat saturday "
    "sun sunday mo montag di dienstag mi mittwoch do donnerstag fr freitag sa samstag sonnabend so "
    "sonntag lun lundi mar mardi mer mercredi jeu jeudi ven vendredi sam samedi dim dimanche lunes "
    "martes mié mie miércoles miercoles jue jueves vie viernes sáb sab sábado sabado dom domingo "
    "seg segunda ter terça terca qua quarta qui quinta sex sexta lunedì lunedi martedì martedi "
    "mercoledì mercoledi gio giovedì giovedi venerdì venerdi sabato domenica ";

static gboolean
is_among (const char *words, const char *word)
{
  char key[MAX_WORD_BYTES + 3];
  g_snprintf (key, sizeof key, " %s ", word);
  return strstr (words, key) != NULL;
}

gboolean
tide_scan_month (TideScan *scan, guint *month)
{
  TideScan ahead = *scan;
  char word[32];
  if (!tide_scan_word (&ahead, word))
    return FALSE;
  for (*month = 1; *month <= 12; (*month)++)
    if (is_among (month_words[*month - 1], word))
      {
        scan->p = ahead.p;
        tide_scan_note (scan, "%b");
        return TRUE;
      }
  return FALSE;
}

void
tide_scan_weekday (TideScan *scan)
{
  TideScan ahead = *scan;
  ahead.pattern = NULL;
  char word[32];
  if (!tide_scan_word (&ahead, word) || !is_among (day_words, word))
    return;
  tide_scan_char (&ahead, '.');
  gboolean has_comma = tide_scan_char (&ahead, ',');
  gboolean has_blank = tide_scan_spaces (&ahead);
  /* "mar 3 2026" is in March, "mar. 3 mars" on a Tuesday: a month behind decides */
  TideScan behind = ahead;
  guint month, day;
  if (!has_comma && !has_blank)
    return;
  if (is_among (month_words[2], word) && !tide_scan_month (&behind, &month)
      && !(tide_scan_integer (&behind, 2, 31, &day)
           && (tide_scan_char (&behind, '.'), tide_scan_spaces (&behind),
               tide_scan_month (&behind, &month))))
    return;
  scan->p = ahead.p;
  tide_scan_note (scan, has_comma ? "%a, " : "%a ");
}

gboolean
tide_scan_compute_day (guint year, guint month, guint day, gint64 *days)
{
  if (year > 9999 || month > 12 || day > 31
      || !g_date_valid_dmy ((GDateDay)day, (GDateMonth)month, (GDateYear)year))
    return FALSE;
  GDate date;
  g_date_clear (&date, 1);
  g_date_set_dmy (&date, (GDateDay)day, (GDateMonth)month, (GDateYear)year);
  *days = (gint64)g_date_get_julian (&date) - JULIAN_1970;
  return TRUE;
}

guint
tide_scan_whole_year (guint two_digits)
{
  return two_digits + (two_digits <= 68 ? 2000 : 1900);
}
