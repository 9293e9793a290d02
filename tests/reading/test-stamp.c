/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clocks and dates. ISO 8601 cases: what g_date_time_new_from_iso8601() of GLib 2.74.6 gives
 * (measured); each is also asked of the GLib at hand, so that the two readings cannot part. They do
 * in leap seconds, which GLib takes as the second before.
 */
#include "reading/reading-private.h"

#include <string.h>

static void
test_clocks (void)
{
  static const struct
  {
    const char *text;
    gboolean minutes_first;
    double seconds;
    guint parts;
  } cases[] = {
    { "00:00:00", FALSE, 0, 3 },
    { "01:02:03", FALSE, 3723, 3 },
    { "1:02:03.5", FALSE, 3723.5, 3 },
    { "00:00:01,250", FALSE, 1.25, 3 },
    { "93:40:55", FALSE, 337255, 3 },
    { "12:34", FALSE, 45240, 2 },
    { "12:34", TRUE, 754, 2 },
    { "12:34.5", FALSE, 754.5, 2 },
    { "1:51:37 PM", FALSE, 49897, 3 },
    { "12:00:00 am", FALSE, 0, 3 },
    { "12:00 p.m.", FALSE, 43200, 2 },
    { "2d 01:00:00", FALSE, 176400, 3 },
    { "1 day 00:00:01", FALSE, 86401, 3 },
    { " 00:00:07 ", FALSE, 7, 3 },
    { "00:00:00.000001", FALSE, 1e-6, 3 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideClock clock;
      if (!tide_clock_parse (cases[i].text, strlen (cases[i].text), cases[i].minutes_first, &clock))
        g_error ("\"%s\" was refused", cases[i].text);
      g_assert_cmpfloat (clock.seconds, ==, cases[i].seconds);
      g_assert_cmpuint (clock.parts, ==, cases[i].parts);
    }
}

static void
test_no_clocks (void)
{
  static const char *const cases[] = { "",
                                       "12",
                                       "12:",
                                       ":12:00",
                                       "12:60:00",
                                       "12:00:61",
                                       "1:2:3:4",
                                       "-1:00:00",
                                       "12:00:0x",
                                       "13:00 PM",
                                       "0:00:00 PM",
                                       "12:000:00",
                                       "99999999:00:00",
                                       "2024-05-01 10:00:00",
                                       "12:00:00 XM",
                                       "12:00:00." };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideClock clock;
      if (tide_clock_parse (cases[i], strlen (cases[i]), FALSE, &clock))
        g_error ("\"%s\" was taken as %g s", cases[i], clock.seconds);
    }
}

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
      g_assert_cmpint (moment.us, ==, cases[i].seconds * G_USEC_PER_SEC);
      g_assert_cmpint (moment.has_clock, ==, cases[i].has_clock);
      g_assert_false (moment.has_zone);
    }
}

static void
test_local_time (void)
{
  /* New York, 2024-05-01: UTC-4 (tz database) */
  g_autofree char *before = g_strdup (g_getenv ("TZ"));
  TideMoment wall = { (gint64)1714571130 * G_USEC_PER_SEC + 5, FALSE, TRUE };
  TideMoment zoned = { (gint64)1714571130 * G_USEC_PER_SEC + 5, TRUE, TRUE };
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
  g_test_add_func ("/reading/stamp/clocks", test_clocks);
  g_test_add_func ("/reading/stamp/no-clocks", test_no_clocks);
  g_test_add_func ("/reading/stamp/iso8601-as-glib", test_iso8601_as_glib);
  g_test_add_func ("/reading/stamp/dates", test_dates);
  g_test_add_func ("/reading/stamp/local-time", test_local_time);
  return g_test_run ();
}
