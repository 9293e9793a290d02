/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A date within a stamp: numbers with one kind of separator between, or with 年 月 日 behind, or a
 * month by its name; its parts in the order that the caller decided on. What the forms are and what
 * is refused is said in stamp.c.
 */
#include "reading/scan.h"

/* What stands between the numbers of a date; 0: nothing that can. Blanks may follow a point. */
static char
take_separator (TideScan *scan)
{
  static const char marks[] = "-/.";
  for (guint i = 0; marks[i] != '\0'; i++)
    if (tide_scan_char (scan, marks[i]))
      {
        if (marks[i] == '.')
          tide_scan_spaces (scan);
        return marks[i];
      }
  return tide_scan_spaces (scan) ? ' ' : 0;
}

/* 年, 월 ... behind the number of that place. */
static gboolean
take_suffix (TideScan *scan, guint place)
{
  static const char *const suffixes[3][2] = { { "年", "년" }, { "月", "월" }, { "日", "일" } };
  for (guint i = 0; i < 2; i++)
    if (tide_scan_text (scan, suffixes[place][i]))
      return TRUE;
  return FALSE;
}

/* A year of four digits or of two. */
static gboolean
take_year (TideScan *scan, guint *year, gboolean *is_short)
{
  const char *from = scan->p;
  if (!tide_scan_integer (scan, 4, 9999, year))
    return FALSE;
  gsize n_digits = (gsize)(scan->p - from);
  *is_short = n_digits == 2;
  tide_scan_note (scan, *is_short ? "%y" : "%Y");
  if (*is_short)
    *year = tide_scan_whole_year (*year);
  return *is_short || n_digits == 4;
}

static gboolean
take_part (TideScan *scan, guint max, const char *letters, guint *part)
{
  tide_scan_note (scan, letters);
  return tide_scan_integer (scan, 2, max, part);
}

typedef struct
{
  guint year, month, day;
  gboolean is_short; /* the year has two digits */
} DateParts;

/* What stands in each place of a date: Y, m or d. */
static const char *
get_places (TideDateOrder order)
{
  return order == TIDE_ORDER_YEAR ? "Ymd" : order == TIDE_ORDER_DAY ? "dmY" : "mdY";
}

static gboolean
take_place (TideScan *scan, char place, DateParts *parts)
{
  switch (place)
    {
    case 'Y':
      return take_year (scan, &parts->year, &parts->is_short);
    case 'm':
      return take_part (scan, 12, "%m", &parts->month);
    default:
      return take_part (scan, 31, "%d", &parts->day);
    }
}

/* Three numbers with one kind of separator between. */
static gboolean
take_numeric_date (TideScan *scan, TideDateOrder order, DateParts *parts)
{
  const char *places = get_places (order);
  char separator = 0;
  for (guint i = 0; i < 3; i++)
    {
      if (!take_place (scan, places[i], parts))
        return FALSE;
      if (i == 2)
        break;
      char next = take_separator (scan);
      if (next == 0 || (separator != 0 && next != separator))
        return FALSE;
      separator = next;
    }
  if (separator == '.' && order == TIDE_ORDER_YEAR)
    tide_scan_char (scan, '.');
  /* points between day, month and year: the day stands first wherever that is written, and the year
   * last if it is short; between blanks a short year is too little to tell a date by */
  if (separator == '.')
    return order == TIDE_ORDER_DAY || (order == TIDE_ORDER_YEAR && !parts->is_short);
  return separator != ' ' || !parts->is_short;
}

/* 2026年4月3日 */
static gboolean
take_suffixed_date (TideScan *scan, DateParts *parts)
{
  for (guint i = 0; i < 3; i++)
    {
      tide_scan_spaces (scan);
      if (!take_place (scan, "Ymd"[i], parts) || !take_suffix (scan, i))
        return FALSE;
    }
  return TRUE;
}

/* What stands beside the name of a month: blanks, points, commas, strokes, "de", "of". */
static void
skip_beside_name (TideScan *scan)
{
  static const char *const ordinals[] = { "º",   "er ", "st ", "nd ", "rd ",
                                          "th ", "st,", "nd,", "rd,", "th," };
  static const char *const words[] = { "de ", "of ", "del " };
  for (guint i = 0; i < G_N_ELEMENTS (ordinals); i++)
    if (tide_scan_text (scan, ordinals[i]))
      break;
  for (gboolean more = TRUE; more;)
    {
      more = tide_scan_spaces (scan) || tide_scan_char (scan, '.') || tide_scan_char (scan, ',')
             || tide_scan_char (scan, '-') || tide_scan_char (scan, '/');
      for (guint i = 0; i < G_N_ELEMENTS (words); i++)
        more |= tide_scan_text (scan, words[i]);
    }
}

static gboolean
take_named_date (TideScan *scan, TideDateOrder order, DateParts *parts)
{
  const char *places = get_places (order);
  for (guint i = 0; i < 3; i++)
    {
      if (places[i] == 'm' ? !tide_scan_month (scan, &parts->month)
                           : !take_place (scan, places[i], parts))
        return FALSE;
      if (i < 2)
        skip_beside_name (scan);
    }
  return TRUE;
}

gboolean
tide_scan_date (TideScan *scan, TideDateOrder order, gint64 *days)
{
  TideScan numeric = *scan, suffixed = *scan;
  gsize n_noted = scan->pattern ? scan->pattern->len : 0;
  DateParts parts = { 0 };
  if (take_numeric_date (&numeric, order, &parts))
    {
      *scan = numeric;
      return tide_scan_compute_day (parts.year, parts.month, parts.day, days);
    }
  if (scan->pattern)
    g_string_truncate (scan->pattern, n_noted);
  if (order == TIDE_ORDER_YEAR && take_suffixed_date (&suffixed, &parts))
    {
      *scan = suffixed;
      return tide_scan_compute_day (parts.year, parts.month, parts.day, days);
    }
  if (scan->pattern)
    g_string_truncate (scan->pattern, n_noted);
  tide_scan_weekday (scan);
  return take_named_date (scan, order, &parts)
         && tide_scan_compute_day (parts.year, parts.month, parts.day, days);
}
