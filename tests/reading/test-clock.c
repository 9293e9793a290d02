/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clocks and durations. Common practice of logs, no source, where none is named. */
#include "reading/time-private.h"

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
    { "123:00:00,5", FALSE, 442800.5, 3 },
    { "00:00:01:250", FALSE, 1.25, 3 },
    { "75:30", TRUE, 4530, 2 },
    { "1 day, 2:03:04", FALSE, 93784, 3 },
    { "1.02:03:04", FALSE, 93784, 3 },
    { "2 Tage 02:03:04", FALSE, 180184, 3 },
    { "2h 3m 4s", FALSE, 7384, 3 },
    { "2 h 03 min 4.5 s", FALSE, 7384.5, 3 },
    { "1d2h", FALSE, 93600, 3 },
    { "59s", FALSE, 59, 3 },
    { "1 Std. 5 Min.", FALSE, 3900, 3 },
    { "3 hours, 4 minutes", FALSE, 11040, 3 },
    { "1 s 250 ms", FALSE, 1.25, 3 },
    { "2小时3分4秒", FALSE, 7384, 3 },
    { "10时00分01秒", FALSE, 36001, 3 },
    { "10時00分", FALSE, 36000, 3 },
    { "10点00分01.5秒", FALSE, 36001.5, 3 },
    { "10:00:01 Uhr", FALSE, 36001, 3 },
    { "10:00:01 UTC", FALSE, 36001, 3 },
    { "10:00:01.5Z", FALSE, 36001.5, 3 },
    { "10:00Uhr", TRUE, 600, 2 },
    /* ISO 8601 durations: ISO 8601-1:2019, 5.5.2 (from memory) */
    { "PT2H3M4S", FALSE, 7384, 3 },
    { "P1DT2H3M4.5S", FALSE, 93784.5, 3 },
    { "PT0.25S", FALSE, 0.25, 3 },
    { "P2W", FALSE, 1209600, 3 },
    { "下午1:02:03", FALSE, 46923, 3 },
    { "午前0:02", FALSE, 120, 2 },
    { "1:02:03 a. m.", FALSE, 3723, 3 },
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
                                       "12:00:00 CET",
                                       "12:00:00+02:00",
                                       "1d 02:00:00 UTC",
                                       "12:00:00.",
                                       "1d 24:00:00",
                                       "1.5:03",
                                       "1.02:03",
                                       "2h 3h",
                                       "3m 2h",
                                       "1.5h 3m",
                                       "5",
                                       "5 V",
                                       "2h 3",
                                       "P",
                                       "PT",
                                       "P1Y",
                                       "P1M",
                                       "PT2S3H",
                                       "PT1.5H3M",
                                       "P1DT",
                                       "9999999 d",
                                       "午後",
                                       "13:00 下午",
                                       "1d 1:02:03 PM" };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideClock clock;
      if (tide_clock_parse (cases[i], strlen (cases[i]), FALSE, &clock))
        g_error ("\"%s\" was taken as %g s", cases[i], clock.seconds);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/clock/clocks", test_clocks);
  g_test_add_func ("/reading/clock/no-clocks", test_no_clocks);
  return g_test_run ();
}
