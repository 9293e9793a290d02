/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Points in time. ISO 8601 cases: what g_date_time_new_from_iso8601() of GLib 2.74.6 gives
 * (measured); each is also asked of the GLib at hand, so that the two readings cannot part. They do
 * in leap seconds, which GLib takes as the second before.
 */
#include "reading/time-private.h"

#include <string.h>

static void
test_iso8601_as_glib (void)
{
  /* seconds and microseconds since 1970; G_MININT64: no date-time */
  static const struct
  {
    const char *text;
    gint64 seconds;
    int us;
  } cases[] = {
    { "2024-05-01T13:45:30+02:00", 1714563930, 0 },
    { "2024-05-01T13:45:30Z", 1714571130, 0 },
    { "20240501T134530Z", 1714571130, 0 },
    { "2009-W01-1T00:00:00Z", 1230508800, 0 },
    { "2024-060T00:00:00Z", 1709164800, 0 },
    { "2024-02-30T00:00:00Z", G_MININT64, 0 },
    { "2024-05-01T24:00:00Z", G_MININT64, 0 },
    { "2024-05-01T13:45:30.123456Z", 1714571130, 123456 },
    { "2024-05-01T13:45:30,5Z", 1714571130, 500000 },
    { "2024-05-01 13:45:30Z", 1714571130, 0 },
    { "2024-05-01T13:45:30-0130", 1714576530, 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideMoment moment;
      gboolean parsed =
          tide_date_parse (cases[i].text, strlen (cases[i].text), TIDE_ORDER_YEAR, &moment);
      g_autoptr (GDateTime) glib = g_date_time_new_from_iso8601 (cases[i].text, NULL);
      g_assert_cmpint (parsed, ==, cases[i].seconds != G_MININT64);
      g_assert_cmpint (glib != NULL, ==, parsed);
      if (!parsed)
        continue;
      g_assert_true (moment.has_zone);
      g_assert_true (moment.has_clock);
      g_assert_cmpint (moment.us, ==, cases[i].seconds * G_USEC_PER_SEC + cases[i].us);
      g_assert_cmpint (g_date_time_to_unix (glib), ==, cases[i].seconds);
    }
}

static void
test_dates (void)
{
  static const struct
  {
    const char *text;
    TideDateOrder orders;
    gint64 seconds; /* in the first of orders */
    gboolean has_clock;
  } cases[] = {
    /* more lenient than GLib: logs leave out the zone, the seconds, the clock */
    { "2024-05-01T13:45", TIDE_ORDER_YEAR, 1714571100, TRUE },
    { "2024-05-01", TIDE_ORDER_YEAR, 1714521600, FALSE },
    { "2024/05/01 13:45:30", TIDE_ORDER_YEAR, 1714571130, TRUE },
    { "20240501T134530", TIDE_ORDER_YEAR, 1714571130, TRUE },
    { "01.05.2024 13:45:30", TIDE_ORDER_DAY, 1714571130, TRUE },
    { "31/05/2024 00:00:00", TIDE_ORDER_DAY, 1717113600, TRUE },
    { "05/31/2024 00:00:00", TIDE_ORDER_MONTH, 1717113600, TRUE },
    { "5/1/2024 1:45:30 PM", TIDE_ORDER_DAY | TIDE_ORDER_MONTH, 1704462330, TRUE },
    { "1970-01-01 00:00:00", TIDE_ORDER_YEAR, 0, TRUE },
    { "1969-12-31 23:59:59", TIDE_ORDER_YEAR, -1, TRUE },
    /* years of two digits: POSIX.1-2017, strptime(): 69 to 99 are of the 1900s */
    { "26-04-13", TIDE_ORDER_YEAR | TIDE_ORDER_DAY, 1776038400, FALSE },
    { "13/04/26 10:11:12", TIDE_ORDER_YEAR | TIDE_ORDER_DAY, 1366971072, TRUE },
    { "31/12/69", TIDE_ORDER_DAY, -86400, FALSE },
    { "31/12/68", TIDE_ORDER_DAY, 3124137600, FALSE },
    { "03-04-05", TIDE_ORDER_ALL, 1049500800, FALSE },
    { "13.04.26", TIDE_ORDER_DAY, 1776038400, FALSE },
    { "3. 4. 2026 10:11", TIDE_ORDER_DAY, 1775211060, TRUE },
    { "2026. 04. 03.", TIDE_ORDER_YEAR, 1775174400, FALSE },
    { "2026 04 03 10:11:12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "13 4 26", TIDE_ORDER_NONE, 0, FALSE },
    /* months by name; common practice, no source */
    { "3 Apr 2026 10:11:12", TIDE_ORDER_DAY, 1775211072, TRUE },
    { "Apr 3, 2026 10:11:12 AM", TIDE_ORDER_MONTH, 1775211072, TRUE },
    { "Friday, April 3rd, 2026", TIDE_ORDER_MONTH, 1775174400, FALSE },
    { "03-Apr-26 22:11:12", TIDE_ORDER_YEAR | TIDE_ORDER_DAY, 1051395072, TRUE },
    { "2026-Apr-03 10:11:12.5", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "3. April 2026 10:11:12", TIDE_ORDER_DAY, 1775211072, TRUE },
    { "3. März 2026", TIDE_ORDER_DAY, 1772496000, FALSE },
    { "1er août 2026", TIDE_ORDER_DAY, 1785542400, FALSE },
    { "3 févr. 2026 à", TIDE_ORDER_NONE, 0, FALSE },
    { "3 févr. 2026", TIDE_ORDER_DAY, 1770076800, FALSE },
    { "mar. 3 mars 2026", TIDE_ORDER_DAY, 1772496000, FALSE },
    { "mar 3 2026", TIDE_ORDER_MONTH, 1772496000, FALSE },
    { "3 de abril de 2026, 10:11:12", TIDE_ORDER_DAY, 1775211072, TRUE },
    { "3 aprile 2026 10.11.12", TIDE_ORDER_DAY, 1775211072, TRUE },
    { "3 Foo 2026", TIDE_ORDER_NONE, 0, FALSE },
    { "31 Apr 2026", TIDE_ORDER_NONE, 0, FALSE },
    /* East Asia; common practice, no source */
    { "2026年4月3日 上午10:11:12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "2026年4月3日 10:11:12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "2026年4月3日 10时11分12秒", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "3. April 2026, 10:11:12 Uhr", TIDE_ORDER_DAY, 1775211072, TRUE },
    /* a zone that is none but a name's is not guessed */
    { "2026-04-03 10:11:12 CET", TIDE_ORDER_NONE, 0, FALSE },
    { "2026-04-03 10:11:12 EST", TIDE_ORDER_NONE, 0, FALSE },
    { "2026/04/03 午後0:11:12", TIDE_ORDER_YEAR, 1775218272, TRUE },
    { "2026년 4월 3일 오전 10:11:12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    /* digits alone */
    { "20260403101112", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "20260403101112000", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "260403101112", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "20260403_101112", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "20260403 1011", TIDE_ORDER_YEAR, 1775211060, TRUE },
    { "20260403 10:11:12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "20260403 10:11:12 PM", TIDE_ORDER_YEAR, 1775254272, TRUE },
    { "20260403T10:11:60:99", TIDE_ORDER_NONE, 0, FALSE },
    { "20261303101112", TIDE_ORDER_NONE, 0, FALSE },
    { "20260403251112", TIDE_ORDER_NONE, 0, FALSE },
    /* the clock elsewhere */
    { "10:11:12 03.04.2026", TIDE_ORDER_DAY, 1775211072, TRUE },
    { "10:11:12, 2026-04-03", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "Fri Apr  3 10:11:12 2026", TIDE_ORDER_MONTH, 1775211072, TRUE },
    { "2026-04-03 10.11.12", TIDE_ORDER_YEAR, 1775211072, TRUE },
    { "2026-04-03 10.11", TIDE_ORDER_NONE, 0, FALSE },
    { "2026-04-03 10:11.5", TIDE_ORDER_NONE, 0, FALSE },
    { "2026-04-03 10:11:12\xe2\x80\xafp.\xc2\xa0m.", TIDE_ORDER_YEAR, 1775254272, TRUE },
    { "2000-02-29", TIDE_ORDER_YEAR, 951782400, FALSE },
    { "1900-02-29", TIDE_ORDER_NONE, 0, FALSE },
    { "2100-02-29", TIDE_ORDER_NONE, 0, FALSE },
    { "2100-02-28", TIDE_ORDER_YEAR, 4107456000, FALSE },
    { "2024-13-01", TIDE_ORDER_NONE, 0, FALSE },
    { "31/31/2024", TIDE_ORDER_NONE, 0, FALSE },
    { "2024-05/01", TIDE_ORDER_NONE, 0, FALSE },
    { "2024-05-01 25:00:00", TIDE_ORDER_NONE, 0, FALSE },
    { "2024-05-01 10:00:00 +2x", TIDE_ORDER_NONE, 0, FALSE },
    { "2024-05-01 10:00:00 junk", TIDE_ORDER_NONE, 0, FALSE },
    { "1714571130", TIDE_ORDER_NONE, 0, FALSE },
    { "12:00:00", TIDE_ORDER_NONE, 0, FALSE },
    { "", TIDE_ORDER_NONE, 0, FALSE },
    { "May 1 2024", TIDE_ORDER_MONTH, 1714521600, FALSE },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideDateOrder orders = tide_date_orders (cases[i].text, strlen (cases[i].text));
      if (orders != cases[i].orders)
        g_error ("\"%s\": orders %u", cases[i].text, orders);
      if (orders == TIDE_ORDER_NONE)
        continue;
      TideMoment moment;
      g_assert_true (
          tide_date_parse (cases[i].text, strlen (cases[i].text), orders & ~(orders - 1), &moment));
      if (moment.us / G_USEC_PER_SEC != cases[i].seconds)
        g_error ("\"%s\": %" G_GINT64_FORMAT " us", cases[i].text, moment.us);
      g_assert_cmpint (moment.has_clock, ==, cases[i].has_clock);
      g_assert_false (moment.has_zone);
    }
}

/* RFC 3339, section 5.8, and others: seconds and microseconds since 1970. */
static void
test_zones (void)
{
  static const struct
  {
    const char *text;
    gint64 seconds;
    int us;
  } cases[] = {
    /* RFC 3339, 5.8: these two and two more pairs are the same moments, as it says */
    { "1985-04-12T23:20:50.52Z", 482196050, 520000 },
    { "1996-12-19T16:39:57-08:00", 851042397, 0 },
    { "1996-12-20T00:39:57Z", 851042397, 0 },
    { "1990-12-31T23:59:60Z", 662688000, 0 },
    { "1990-12-31T15:59:60-08:00", 662688000, 0 },
    { "1937-01-01T12:00:27.87+00:20", -1041337173, 870000 },
    /* common practice, no source */
    { "2026-04-03 10:11:12 UTC", 1775211072, 0 },
    { "2026-04-03 10:11:12 GMT", 1775211072, 0 },
    { "2026-04-03 10:11:12 UTC+2", 1775203872, 0 },
    { "2026-04-03 10:11:12 GMT-01:30", 1775216472, 0 },
    { "2026-04-03 10:11:12+02", 1775203872, 0 },
    { "2026-04-03 10:11:12 +0200", 1775203872, 0 },
    { "20260403T101112Z", 1775211072, 0 },
    { "20260403T101112+0200", 1775203872, 0 },
    { "20260403T101112.25Z", 1775211072, 250000 },
    { "3 Apr 2026 10:11:12 +0200", 1775203872, 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideMoment moment;
      TideDateOrder orders = tide_date_orders (cases[i].text, strlen (cases[i].text));
      g_assert_cmpint (orders & (orders - 1), ==, 0);
      g_assert_true (tide_date_parse (cases[i].text, strlen (cases[i].text), orders, &moment));
      g_assert_true (moment.has_zone);
      if (moment.us != cases[i].seconds * G_USEC_PER_SEC + cases[i].us)
        g_error ("\"%s\": %" G_GINT64_FORMAT, cases[i].text, moment.us);
    }
  static const char *const wrong[] = { "2026-04-03 10:11:12 CET",    "2026-04-03 10:11:12 +2",
                                       "2026-04-03 10:11:12 +24:00", "2026-04-03 10:11:12 +02:60",
                                       "2026-04-03 10:11:12 UTC+",   "2026-04-03Z" };
  for (guint i = 0; i < G_N_ELEMENTS (wrong); i++)
    g_assert_cmpint (tide_date_orders (wrong[i], strlen (wrong[i])), ==, TIDE_ORDER_NONE);
}

/* Random moments of 1970 to 2068 as GLib writes them, in every form, come back the same; the
 * pattern that is told of the text reads it to the same. */
static void
test_forms_as_glib (void)
{
  static const struct
  {
    const char *format;
    TideDateOrder order;
  } forms[] = {
    { "%Y-%m-%d %H:%M:%S", TIDE_ORDER_YEAR },
    { "%Y-%m-%dT%H:%M:%S", TIDE_ORDER_YEAR },
    { "%Y/%m/%d %H:%M:%S", TIDE_ORDER_YEAR },
    { "%Y.%m.%d %H:%M:%S", TIDE_ORDER_YEAR },
    { "%y-%m-%d %H:%M:%S", TIDE_ORDER_YEAR },
    { "%Y%m%dT%H%M%S", TIDE_ORDER_YEAR },
    { "%Y%m%d%H%M%S", TIDE_ORDER_YEAR },
    { "%y%m%d%H%M%S", TIDE_ORDER_YEAR },
    { "%Y-%b-%d %H:%M:%S", TIDE_ORDER_YEAR },
    { "%d.%m.%Y %H:%M:%S", TIDE_ORDER_DAY },
    { "%d.%m.%y %H:%M:%S", TIDE_ORDER_DAY },
    { "%d/%m/%Y %I:%M:%S %p", TIDE_ORDER_DAY },
    { "%d/%m/%y %H:%M:%S", TIDE_ORDER_DAY },
    { "%d-%m-%Y %H:%M:%S", TIDE_ORDER_DAY },
    { "%-d %b %Y %H:%M:%S", TIDE_ORDER_DAY },
    { "%a, %d %b %Y %H:%M:%S", TIDE_ORDER_DAY },
    { "%d-%b-%y %H:%M:%S", TIDE_ORDER_DAY },
    { "%H:%M:%S %d.%m.%Y", TIDE_ORDER_DAY },
    { "%m/%d/%Y %H:%M:%S", TIDE_ORDER_MONTH },
    { "%-m/%-d/%Y %-I:%M:%S %p", TIDE_ORDER_MONTH },
    { "%m/%d/%y %I:%M:%S %p", TIDE_ORDER_MONTH },
    { "%B %-d, %Y %I:%M:%S %p", TIDE_ORDER_MONTH },
    { "%a %b %e %H:%M:%S %Y", TIDE_ORDER_MONTH },
    { "%m-%d-%Y %H:%M:%S", TIDE_ORDER_MONTH },
    { "%Y年%-m月%-d日 %H:%M:%S", TIDE_ORDER_YEAR },
  };
  for (guint i = 0; i < 200 * G_N_ELEMENTS (forms); i++)
    {
      const guint form = i % G_N_ELEMENTS (forms);
      gint64 seconds =
          g_test_rand_int_range (0, G_MAXINT32) + (gint64)g_test_rand_int_range (0, 946684800);
      g_autoptr (GDateTime) glib = g_date_time_new_from_unix_utc (seconds);
      g_autofree char *text = g_date_time_format (glib, forms[form].format);
      TideMoment moment, again;
      g_autoptr (GError) error = NULL;
      if (!tide_date_parse (text, strlen (text), forms[form].order, &moment)
          || moment.us != seconds * G_USEC_PER_SEC || !moment.has_clock || !moment.has_date)
        g_error ("\"%s\" (%s) is not %" G_GINT64_FORMAT, text, forms[form].format, seconds);
      g_autofree char *told = tide_date_pattern (text, strlen (text), forms[form].order);
      g_assert_nonnull (told);
      g_autoptr (TidePattern) pattern = tide_pattern_new (told, &error);
      g_assert_no_error (error);
      if (!tide_pattern_parse (pattern, text, strlen (text), &again) || again.us != moment.us)
        g_error ("\"%s\" is told to be %s", text, told);
    }
}

static void
test_local_time (void)
{
  /* New York, 2024-05-01: UTC-4 (tz database) */
  g_autofree char *before = g_strdup (g_getenv ("TZ"));
  TideMoment wall = { (gint64)1714571130 * G_USEC_PER_SEC + 5, FALSE, TRUE, TRUE };
  TideMoment zoned = { (gint64)1714571130 * G_USEC_PER_SEC + 5, TRUE, TRUE, TRUE };
  g_setenv ("TZ", "EST5EDT", TRUE);
  g_assert_cmpint (tide_moment_to_us (wall), ==,
                   (gint64)(1714571130 + 4 * 3600) * G_USEC_PER_SEC + 5);
  g_assert_cmpint (tide_moment_to_us (zoned), ==, zoned.us);
  wall.us = -1;
  g_assert_cmpint (tide_moment_to_us (wall), ==, (gint64)5 * 3600 * G_USEC_PER_SEC - 1);
  g_setenv ("TZ", before ? before : "UTC", TRUE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/stamp/iso8601-as-glib", test_iso8601_as_glib);
  g_test_add_func ("/reading/stamp/dates", test_dates);
  g_test_add_func ("/reading/stamp/zones", test_zones);
  g_test_add_func ("/reading/stamp/forms-as-glib", test_forms_as_glib);
  g_test_add_func ("/reading/stamp/local-time", test_local_time);
  return g_test_run ();
}
