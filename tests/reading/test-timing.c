/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is the time and how it is read, over whole files: dates in an order that the column
 * decides, dates beside clocks, daylight saving, a spreadsheet's days, what a rule states,
 * intervals that are stated or noted; what is asked, and what each answer leads to. The files are
 * invented; common practice of logs, no source, where none is named.
 */
#include <math.h>
#include <string.h>

#include "reading/opening-private.h"
#include "support.h"

#define D(days) ((days)*86400.0)

/* ---- Reading by a rule ---- */

/* key and text may be NULL. */
static GPtrArray *
read_by (const char *text, gssize length, const char *key, const char *value, GError **error)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (GError) problem = NULL;
  if (key)
    tide_reading_rule_set (rule, key, value, &problem);
  g_assert_no_error (problem);
  TideReadOptions options = { .rule = rule };
  g_autoptr (GBytes) bytes = g_bytes_new (text, length < 0 ? strlen (text) : (gsize)length);
  return tide_read_bytes (bytes, "log.csv", &options, NULL, error);
}

static TideRecording *
read_one_by (const char *text, const char *key, const char *value)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = read_by (text, -1, key, value, &error);
  if (error)
    g_error ("%s=%s, %.60s: %s", key, value, text, error->message);
  g_assert_cmpuint (runs->len, ==, 1);
  return tide_recording_ref (g_ptr_array_index (runs, 0));
}

static TideUnderstanding *
understand (const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = tide_understand_bytes (bytes, "log.csv", NULL, NULL, &error);
  g_assert_no_error (error);
  return tide_understanding_ref (g_ptr_array_index (tables, 0));
}

/* ---- What is read without a question ---- */

typedef struct
{
  const char *text;
  const char *key, *value; /* of a rule; NULL: none */
  double duration_s;
  gint64 start_s;        /* 0: unknown */
  const char *complaint; /* NULL: none is looked for */
} Case;

static void
check_cases (const Case *cases, guint n)
{
  for (guint i = 0; i < n; i++)
    {
      g_autoptr (TideRecording) run = read_one_by (cases[i].text, cases[i].key, cases[i].value);
      if (fabs (tide_recording_get_duration_s (run) - cases[i].duration_s) > 2e-6)
        g_error ("case %u, %s: %.9g s", i, cases[i].text, tide_recording_get_duration_s (run));
      if (tide_recording_get_start_us (run) / G_USEC_PER_SEC != cases[i].start_s)
        g_error ("case %u, %s: begins at %" G_GINT64_FORMAT, i, cases[i].text,
                 tide_recording_get_start_us (run));
      if (cases[i].complaint && !has_complaint (run, cases[i].complaint))
        g_error ("case %u: no complaint says \"%s\"", i, cases[i].complaint);
    }
}

static void
test_elapsed (void)
{
  static const Case cases[] = {
    { "Time (ns),P (W)\n0,5\n2000000000,5\n", NULL, NULL, 2, 0, NULL },
    { "Time (days),P (W)\n0,5\n0.5,5\n", NULL, NULL, D (0.5), 0, NULL },
    { "Time,P (W)\n23:59:59.5,5\n24:00:00.5,5\n101:00:00.5,5\n", NULL, NULL, 277201, 0, NULL },
    { "Time;P (W)\n23:59:59,5;5\n100:00:00,5;5\n", NULL, NULL, 273601, 0, NULL },
    { "Time,P (W)\n0d 23:59:59,5\n1d 02:03:04,5\n", NULL, NULL, 7385, 0, NULL },
    { "Time,P (W)\n\"1 day, 2:03:04\",5\n\"2 days, 2:03:04\",5\n", NULL, NULL, D (1), 0, NULL },
    { "Time,P (W)\n1.02:03:04,5\n1.02:03:05,5\n", NULL, NULL, 1, 0, NULL },
    { "Time,P (W)\n59s,5\n1m 0s,5\n2h 3m 4s,5\n", NULL, NULL, 7325, 0, NULL },
    { "Time,P (W)\nPT0S,5\nPT2H3M4.5S,5\n", NULL, NULL, 7384.5, 0, NULL },
    /* numbers with units: marks between thousands, every digit, units that change */
    { "Zeit;P (W)\n0 ms;5,5\n2.000 ms;5,5\n4.000 ms;5,5\n1.000.000 ms;5,5\n", NULL, NULL, 1000, 0,
      NULL },
    { "Time,P (W)\n0 us,5\n100000 us,5\n200000 us,5\n", NULL, NULL, 0.2, 0, NULL },
    { "Time,P (W)\n0 d,5\n0.00001157407 d,5\n", NULL, NULL, 0.999999648, 0, NULL },
    { "Time,P (W)\n900 ms,5\n1.9 s,5\n", NULL, NULL, 1, 0, NULL },
    { "Time,P (W)\n57s,5\n58s,5\n59s,5\n59.5s,5\n1m 2s,5\n", NULL, NULL, 5, 0, NULL },
    /* the word for an hour is that for the time of day; alone it can be either */
    { "Hora;P (W)\n0,0;5\n0,5;5\n", NULL, NULL, 1800, 0, "taken as h" },
    { "Horas;P (W)\n0,0;5\n0,5;5\n", NULL, NULL, 1800, 0, NULL },
    /* minutes and seconds: fractions, the hour that follows, or the course tell */
    { "Time,P (W)\n12:34,5\n12:34.5,5\n", NULL, NULL, 0.5, 0, NULL },
    { "Time,P (W)\n59:58,5\n59:59,5\n1:00:00,5\n", NULL, NULL, 2, 0, NULL },
    { "Uhrzeit,P (W)\n12:34,5\n12:35,5\n", NULL, NULL, 60, 0, NULL },
    { "Uhrzeit,P (W)\n24:34,5\n24:35,5\n", NULL, NULL, 1, 0, NULL },
    { "Time,P (W)\n23:58,5\n23:59,5\n00:00,5\n", NULL, NULL, 120, 0, "midnight" },
    { "Date,Time,P (W)\n2026-04-03 10:00:00,12:34,5\n2026-04-03 10:01:00,13:34,5\n", NULL, NULL, 60,
      1775210400, NULL },
    { "Date,Time,P (W)\n2026-04-03 10:00:00,12:34,5\n2026-04-03 10:01:00,12:35,5\n", NULL, NULL, 60,
      1775210400, NULL },
    { "Time,Date,P (W)\n0,2026-04-03 00:00:00,5\n1,2026-04-04 00:00:00,5\n", NULL, NULL, D (1),
      1775174400, "taken as d" },
    /* a named unit that makes a long log is doubted, not refused */
    { "Time (s),P (W)\n0,5\n6000000,5\n", NULL, NULL, 6000000, 0,
      "is the unit of the time right?" },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
}

static void
test_points_in_time (void)
{
  static const Case cases[] = {
    /* the same day, whichever number is the month */
    { "Time,P (W)\n3/3/2026 10:11:12,5\n3/3/2026 10:11:13,5\n", NULL, NULL, 1, 1772532672, NULL },
    { "Fecha y hora;P (W)\n1775211072;5\n1775211073;5\n", NULL, NULL, 1, 1775211072, NULL },
    { "Data/Ora;P (W)\n1775211072000;5\n1775211073000;5\n", NULL, NULL, 1, 1775211072, NULL },
    { "Heure;P (W)\n1775211072.5;5\n1775211073.5;5\n", NULL, NULL, 1, 1775211072, NULL },
    { "Time,P (W)\n\"Apr 3, 2026 10:11:12 AM\",5\n\"Apr 3, 2026 10:11:14 AM\",5\n", NULL, NULL, 2,
      1775211072, NULL },
    { "Zeit;P (W)\n3. Apr. 2026 10:11:12,5;5\n3. Apr. 2026 10:11:14;5\n", NULL, NULL, 1.5,
      1775211072, NULL },
    { "时间,功率 (W)\n2026年4月3日 上午10:11:12,5\n2026年4月3日 下午0:11:12,5\n", NULL, NULL, 7200,
      1775211072, NULL },
    { "Time,P (W)\n20260403T101112,5\n20260403T101113,5\n", NULL, NULL, 1, 1775211072, NULL },
    { "Time,P (W)\n20260403101159,5\n20260403101200,5\n", NULL, NULL, 1, 1775211119, NULL },
    { "Time,P (W)\n260403235959,5\n260404000000,5\n", NULL, NULL, 1, 1775260799, NULL },
    { "Time,P (W)\n2026-04-03T10:11:12+02:00,5\n2026-04-03T09:11:13+01:00,5\n", NULL, NULL, 1,
      1775203872, NULL },
    /* counts from 1970 of 10, 13, 16 and 19 digits; of 12 where the clock was never set */
    { "Timestamp,P (W)\n1775211072,5\n1775211073,5\n", NULL, NULL, 1, 1775211072, NULL },
    { "Timestamp,P (W)\n1775211072000,5\n1775211072250,5\n", NULL, NULL, 0.25, 1775211072, NULL },
    { "Timestamp,P (W)\n1775211072000000,5\n1775211072250000,5\n", NULL, NULL, 0.25, 1775211072,
      NULL },
    { "Timestamp,P (W)\n1775211072000000000,5\n1775211072250000000,5\n", NULL, NULL, 0.25,
      1775211072, NULL },
    { "Timestamp,P (W)\n946684800000,5\n946684801000,5\n", NULL, NULL, 1, 946684800, NULL },
    /* the column decides: a day that is no month, or how one day follows the other */
    { "Time,P (W)\n01/02/2026 23:59:59,5\n02/02/2026 00:00:01,5\n", NULL, NULL, 2, 1769990399,
      "read as day/month/year" },
    { "Time,P (W)\n01/02/2026 23:59:59,5\n01/03/2026 00:00:01,5\n", NULL, NULL, 2, 1767398399,
      "read as month/day/year" },
    { "Time,P (W)\n03-04-05 23:59:59,5\n03-04-06 00:00:01,5\n", NULL, NULL, 2, 1049587199,
      "read as year/month/day" },
    { "Time,P (W)\n12/01/2026 23:59:59,5\n13/01/2026 00:00:01,5\n", NULL, NULL, 2, 1768262399,
      NULL },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
}

static void
test_date_and_clock (void)
{
  static const Case cases[] = {
    { "Date,Time,P (W)\n2026-04-03,23:59:59,5\n2026-04-04,00:00:01,5\n", NULL, NULL, 2, 1775260799,
      NULL },
    { "Time,Date,P (W)\n23:59:59,2026-04-03,5\n00:00:01,2026-04-04,5\n", NULL, NULL, 2, 1775260799,
      NULL },
    { "Datum;Uhrzeit;P (W)\n13.04.2026;10:11:12;5\n13.04.2026;10:11:13,5;5\n", NULL, NULL, 1.5,
      1776075072, NULL },
    { "Date,Time,P (W)\n4/13/2026,11:59:59 PM,5\n4/14/2026,12:00:01 AM,5\n", NULL, NULL, 2,
      1776124799, NULL },
    { "Date,Time,P (W)\n20260413,10:11:12,5\n20260413,10:11:13,5\n", NULL, NULL, 1, 1776075072,
      NULL },
    /* over more than a day */
    { "Date,Time,P (W)\n2026-04-03,10:00:00,5\n2026-04-06,10:00:00,5\n", NULL, NULL, D (3),
      1775210400, NULL },
    /* the date stays behind, for good or for a while */
    { "Date,Time,P (W)\n2026-04-03,23:59:59,5\n2026-04-03,00:00:01,5\n2026-04-03,00:00:02,5\n",
      NULL, NULL, 3, 1775260799, "the date stays" },
    { "Date,Time,P (W)\n2026-04-03,23:59:59,5\n2026-04-03,00:00:01,5\n2026-04-04,00:00:02,5\n",
      NULL, NULL, 3, 1775260799, "the date stays" },
    { "Date,Time,P (W)\n01/02/2026,23:59:59,5\n02/02/2026,00:00:01,5\n", NULL, NULL, 2, 1769990399,
      "read as day/month/year" },
    { "Date,Time,P (W)\n03/04/2026,10:11:12,5\n03/04/2026,10:11:14,5\n", "time", "%d/%m/%Y", 2,
      1775211072, NULL },
    { "Date,Time,P (W)\n03/04/2026,10:11:12,5\n03/04/2026,10:11:14,5\n", "time", "%m/%d/%Y", 2,
      1772619072, NULL },
    { "Date,Time,P (W)\n03/04/2026,10:11,5\n03/04/2026,10:12,5\n", "time", "%d/%m/%Y", 60,
      1775211060, NULL },
    /* a broken date costs its row */
    { "Date,Time,P (W)\n2026-04-03,10:00:00,5\n?,10:00:01,5\n2026-04-03,10:00:02,5\n"
      "2026-04-03,10:00:03,5\n2026-04-03,10:00:04,5\n2026-04-03,10:00:05,5\n",
      NULL, NULL, 5, 1775210400, "not a time: \"?\"" },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
}

static void
test_serial (void)
{
  /* 46115 is 2026-04-03: days since 1899-12-30, as ECMA-376 part 1, 18.17.4.1 counts them (from
   * memory) */
  static const Case cases[] = {
    { "Date,P (W)\n46115.5,5\n46115.50001157407,5\n", NULL, NULL, 1, 1775217600, NULL },
    { "Timestamp,P (W)\n46115.42437,5\n46115.92437,5\n", NULL, NULL, 43200, 1775211065, NULL },
    { "Zeit;P (W)\n46115,5;5\n46115,75;5\n", "time", "serial", 21600, 1775217600, NULL },
    { "Time (s),P (W)\n46115.5,5\n46115.75,5\n", NULL, NULL, 0.25, 0, NULL },
    { "Elapsed,P (W)\n1.5,5\n2.25,5\n", NULL, NULL, 0.75, 0, "taken as s" },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
}

static void
test_stated (void)
{
  static const Case cases[] = {
    { "Time,P (W)\n03/04/2026 10:11:12,5\n03/04/2026 10:11:13,5\n", "time", "%d/%m/%Y %H:%M:%S", 1,
      1775211072, NULL },
    { "Time,P (W)\n12:34,5\n12:35,5\n", "time", "%H:%M", 60, 0, NULL },
    { "Time,P (W)\n12:34,5\n12:35,5\n", "time", "%M:%S", 1, 0, NULL },
    { "Time,P (W)\n23:59,5\n00:01,5\n", "time", "%H:%M", 120, 0, "midnight" },
    /* before what would be preferred */
    { "Elapsed (s),Date,P (W)\n0,03/04/2026 10:11:12,5\n1,03/04/2026 10:11:14,5\n", "time",
      "%d/%m/%Y %H:%M:%S", 2, 1775211072, NULL },
    { "Time,P (W)\n2604031011,5\n2604031012,5\n", "time", "%y%m%d%H%M", 60, 1775211060, NULL },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
}

static void
test_interval (void)
{
  static const Case cases[] = {
    { "U (V),I (A)\n5,1\n5,1\n5,1\n", "every", "0.5", 1, 0, NULL },
    /* rows that are skipped take their time too; names that stand again, comments and blanks do not
     */
    { "U (V),I (A)\n5,1\n5,x\n5,1\n\nU (V),I (A)\n5,1\n# note\n5,1\n5,1\n5,1\n", "every", "2", 12,
      0, "not a number" },
    { "Date,U (V),I (A)\n2026-04-03 10:00:00,5,1\n2026-04-03 10:00:01,5,1\n", "every", "10", 10,
      1775210400, NULL },
    { "Interval: 2 s\nU (V),I (A)\n5,1\n5,1\n5,1\n", NULL, NULL, 4, 0,
      "every 2 s, as is noted here" },
    { "Device;Logger\nAbtastrate;10 Hz\n\nU (V);I (A)\n5;1\n5;1\n5;1\n", NULL, NULL, 0.2, 0,
      "every 0.1 s, as is noted here" },
    /* a column that can be the time comes first */
    { "Interval: 2 s\nTime (s),U (V),I (A)\n0,5,1\n1,5,1\n", NULL, NULL, 1, 0, NULL },
  };
  check_cases (cases, G_N_ELEMENTS (cases));
  assert_refused ("Interval: 2 s\nInterval: 3 s\nU (V),I (A)\n5,1\n5,1\n",
                  TIDE_READING_ERROR_NO_TIME, "time");
}

static void
test_interval_lines (void)
{
  static const struct
  {
    const char *text;
    double seconds;
    guint64 row;
  } cases[] = {
    { "interval: 1 s", 1, 1 },
    { "# Sample rate: 10 Hz", 0.1, 1 },
    { "Sample rate: 5 s", 5, 1 },
    { "\nAbtastintervall 500 ms\r\n", 0.5, 2 },
    { "sampling interval (s);2", 2, 1 },
    { "Sampling interval [ms],250", 0.25, 1 },
    { "Log interval,00:00:05", 5, 1 },
    { "Intervalle d'acquisition : 2,5 s", 2.5, 1 },
    { "Fréquence d'échantillonnage : 4 Hz", 0.25, 1 },
    { "Intervalo de muestreo: 1 min", 60, 1 },
    { "Taxa de amostragem;100 samples/s", 0.01, 1 },
    { "Intervallo di campionamento 3 sec", 3, 1 },
    { "采样间隔：1秒", 1, 1 },
    { "サンプリング周波数,2kHz", 0.0005, 1 },
    { "interval: 1 s\ninterval: 1 s", 1, 1 },
    { "interval: 1 s\ninterval: 2 s", 0, 0 },
    { "interval: 1", 0, 0 },
    { "interval: 1 s to 5 s", 0, 0 },
    { "interval: 1 step", 0, 0 },
    { "interval: none", 0, 0 },
    { "interval: 0 s", 0, 0 },
    { "interval: 100000 s", 0, 0 },
    { "interval: 12:34", 0, 0 },
    { "Voltage: 5 s", 0, 0 },
    { "", 0, 0 },
    { "interval \xff\xfe 1 s", 1, 1 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      guint64 row = 0;
      double seconds = tide_interval_find (cases[i].text, strlen (cases[i].text), &row);
      if (fabs (seconds - cases[i].seconds) > 1e-12 || (seconds > 0 && row != cases[i].row))
        g_error ("\"%s\": %.9g s, row %" G_GUINT64_FORMAT, cases[i].text, seconds, row);
    }
  g_autofree char *longest = g_strnfill (1000, 'x');
  g_autofree char *line = g_strconcat ("interval: 1 s ", longest, NULL);
  guint64 row;
  g_assert_cmpfloat (tide_interval_find (line, strlen (line), &row), ==, 0);
}

/* ---- Questions ---- */

typedef struct
{
  const char *key, *text, *meaning; /* meaning: a part of it */
  double duration_s;
  gint64 start_s;
} Answer;

typedef struct
{
  const char *text, *words;
  gboolean is_open;
  Answer answers[4];
} Asked;

static void
check_answer (const Asked *asked, const TideAnswer *answer, const Answer *expected)
{
  g_assert_cmpstr (answer->key, ==, expected->key);
  g_assert_cmpstr (answer->text, ==, expected->text);
  if (!strstr (answer->meaning, expected->meaning))
    g_error ("\"%s\" does not say \"%s\"", answer->meaning, expected->meaning);
  g_autoptr (TideRecording) run = read_one_by (asked->text, answer->key, answer->text);
  if (fabs (tide_recording_get_duration_s (run) - expected->duration_s) > 1e-6
      || tide_recording_get_start_us (run) / G_USEC_PER_SEC != expected->start_s)
    g_error ("%s by %s=%s: %.9g s from %" G_GINT64_FORMAT, asked->text, answer->key, answer->text,
             tide_recording_get_duration_s (run), tide_recording_get_start_us (run));
}

static void
test_questions (void)
{
  static const Asked cases[] = {
    { "Time,P (W)\n03/04/2026 10:11:12,5\n03/04/2026 10:11:13,5\n",
      "\"03/04/2026 10:11:12\", can be day/month/year or month/day/year",
      TRUE,
      { { "time", "%d/%m/%Y %H:%M:%S", "day/month/year: the log begins on 3 April 2026", 1,
          1775211072 },
        { "time", "%m/%d/%Y %H:%M:%S", "month/day/year: the log begins on 4 March 2026", 1,
          1772619072 } } },
    { "Time,P (W)\n03-04-05 10:11,5\n03-04-05 10:12,5\n",
      "can be day/month/year or month/day/year or year/month/day",
      TRUE,
      { { "time", "%d-%m-%y %H:%M", "3 April 2005", 60, 1112523060 },
        { "time", "%m-%d-%y %H:%M", "4 March 2005", 60, 1109931060 },
        { "time", "%y-%m-%d %H:%M", "5 April 2003", 60, 1049537460 } } },
    /* a step of two weeks is neither here nor there */
    { "Time,P (W)\n01/02/2026 10:00:00,5\n03/04/2026 10:00:00,5\n",
      "can be",
      TRUE,
      { { "time", "%d/%m/%Y %H:%M:%S", "1 February 2026", D (61), 1769940000 },
        { "time", "%m/%d/%Y %H:%M:%S", "2 January 2026", D (61), 1767348000 } } },
    { "Date,Time,P (W)\n03/04/2026,10:11:12,5\n03/04/2026,10:11:13,5\n",
      "column \"Date\"",
      TRUE,
      { { "time", "%d/%m/%Y", "3 April 2026", 1, 1775211072 },
        { "time", "%m/%d/%Y", "4 March 2026", 1, 1772619072 } } },
    { "Time,P (W)\n12:34,5\n12:35,5\n",
      "hours:minutes or minutes:seconds",
      TRUE,
      { { "time", "%H:%M", "hours:minutes", 60, 0 },
        { "time", "%M:%S", "minutes:seconds", 1, 0 } } },
    { "Time,P (W)\n46115.5,5\n46115.75,5\n",
      "a spreadsheet's days or elapsed seconds",
      TRUE,
      { { "time", "serial", "spreadsheet", 21600, 1775217600 },
        { "column", "t=1:s", "in s", 0.25, 0 } } },
    { "Timestamp,Elapsed,P (W)\n2026-04-03 10:11:12,0,5\n2026-04-03 10:11:32,2000,5\n",
      "names no unit, and in none does it go with the dates in \"Timestamp\"",
      TRUE,
      { { "column", "t=2:s", "in s", 2000, 1775211072 },
        { "column", "t=1", "by column \"Timestamp\"", 20, 1775211072 } } },
    { "Time,P (W)\n0.4375,5\n0.4376,5\n",
      "can be parts of a day, as a spreadsheet counts them, or elapsed seconds",
      TRUE,
      { { "column", "t=1:d", "in d", 8.64, 0 }, { "column", "t=1:s", "in s", 0.0001, 0 } } },
    { "Time,P (W)\n0,5\n9000000,5\n",
      "names no unit",
      TRUE,
      { { "column", "t=1:ms", "in ms", 9000, 0 }, { "column", "t=1:s", "in s", 9000000, 0 } } },
    { "Time,P (W)\n177520000000,5\n177520001000,5\n",
      "\"177520000000\", can be counted in milliseconds or seconds",
      TRUE,
      { { "column", "t=1:ms", "in ms", 1, 0 }, { "column", "t=1:s", "in s", 1000, 0 } } },
    { "Time (s),P (W)\n0,5\n9000000,5\n",
      "is the unit right?",
      FALSE,
      { { "column", "t=1:s", "in s", 9000000, 0 }, { "column", "t=1:ms", "in ms", 9000, 0 } } },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideUnderstanding) u = understand (cases[i].text);
      GPtrArray *questions = tide_understanding_get_questions (u);
      if (questions->len != 1)
        g_error ("%s: %u questions", cases[i].text, questions->len);
      const TideQuestion *question = g_ptr_array_index (questions, 0);
      if (!strstr (question->text, cases[i].words))
        g_error ("\"%s\" does not say \"%s\"", question->text, cases[i].words);
      g_assert_cmpint (question->is_open, ==, cases[i].is_open);
      g_assert_false (tide_understanding_is_sure (u));
      if (cases[i].is_open)
        assert_refused (cases[i].text, TIDE_READING_ERROR_AMBIGUOUS, cases[i].words);
      guint n = 0;
      for (; n < 4 && cases[i].answers[n].key; n++)
        check_answer (&cases[i], g_ptr_array_index (question->answers, n), &cases[i].answers[n]);
      g_assert_cmpuint (question->answers->len, ==, n);
    }
}

/* Hands of a clock in columns of their own are not put together, and none is taken alone. */
static void
test_split (void)
{
  static const struct
  {
    const char *names;
    guint n_hands; /* of the hours, minutes, seconds */
  } cases[] = { { "Hour,Minute,Second,P (W)\n", 3 }, { "Minutes,Seconds,P (W)\n", 2 } };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GString) text = g_string_new (cases[i].names);
      for (guint s = 0; s < 150; s++)
        g_string_append_printf (text, "%s%u,%u,5\n", cases[i].n_hands == 3 ? "10," : "", s / 60,
                                s % 60);
      g_autoptr (GError) error = NULL;
      g_assert_null (read_text (text->str, -1, &error));
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME);
      g_assert_nonnull (strstr (error->message, "the time stands in several columns, such as"));
      g_autoptr (TideRecording) every = read_one_by (text->str, "every", "1");
      g_assert_cmpfloat (tide_recording_get_duration_s (every), ==, 149);
      g_autoptr (TideRecording) stated =
          read_one_by (text->str, "column", cases[i].n_hands == 3 ? "t=2" : "t=1");
      g_assert_cmpfloat (tide_recording_get_duration_s (stated), ==, 120);
    }
  /* a step's time that begins anew is none: it has decimals, or goes past the minute */
  g_autoptr (TideRecording) run =
      read_one ("Total time (h),Step time (s),P (W)\n0,0,5\n0.01,36.5,5\n0.02,0,5\n0.03,36.5,5\n");
  g_assert_cmpfloat_with_epsilon (tide_recording_get_duration_s (run), 108, 1e-9);
}

static void
test_misfits (void)
{
  static const struct
  {
    const char *text, *key, *value, *words;
  } cases[] = {
    { "Time,P (W)\n03/04/2026,5\n04/04/2026,5\n", "time", "%Y-%m-%d",
      "the time \"03/04/2026\" in row 2, column \"Time\", is not written as stated: %Y-%m-%d" },
    { "Time,P (W)\nsoon,5\nlater,5\n", "time", "%Y-%m-%d", "\"soon\" in row 2" },
    { "Date,Time,P (W)\n03/04/2026,10:11:12,5\n03/04/2026,10:11:13,5\n", "time", "%d/%m/%Y %T",
      "in two columns, state the date alone" },
    { "Timestamp,P (W)\n46115.25,5\n46115.5,5\n", "time", "%Y-%m-%d", "\"46115.25\" in row 2" },
    { "Time,P (W)\n03/04/2026,5\n04/04/2026,5\n", "time", "serial",
      "is not written as stated: serial" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs =
          read_by (cases[i].text, -1, cases[i].key, cases[i].value, &error);
      g_assert_null (runs);
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
      if (!strstr (error->message, cases[i].words))
        g_error ("\"%s\" does not say \"%s\"", error->message, cases[i].words);
    }
  /* in which order is not sure, but no elapsed time needs it */
  g_autoptr (TideRecording) run =
      read_one ("Date,Time (s),P (W)\n01/02/2026 10:00:00,0,5\n01/02/2026 10:00:01,1,5\n");
  g_assert_true (has_complaint (run, "left open"));
  g_assert_cmpint (tide_recording_get_start_us (run), ==, 0);
}

/* ---- The rest of the file ---- */

/* A log at one row a second whose head shows one day, up to the second midnight if days > 1. */
static char *
make_long_log (guint hours, gboolean packed_in_head, gsize *length)
{
  GString *text = g_string_new ("Time,P (W)\n");
  for (guint s = 0; s < hours * 3600; s++)
    {
      guint of_day = (s + 36000) % 86400, day = 3 + (s + 36000) / 86400;
      g_string_append_printf (text, "%02u/04/2026 %02u:%02u:%02u,5\n", day, of_day / 3600,
                              of_day / 60 % 60, of_day % 60);
    }
  *length = text->len;
  g_assert_cmpint (text->len > TIDE_HEAD_BYTES, ==, !packed_in_head);
  return g_string_free (text, FALSE);
}

static void
test_ahead (void)
{
  gsize length;
  g_autoptr (GError) error = NULL;
  g_autofree char *text = make_long_log (20, FALSE, &length);
  g_autoptr (GPtrArray) runs = read_by (text, (gssize)length, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 1);
  TideRecording *run = g_ptr_array_index (runs, 0);
  g_assert_cmpfloat (tide_recording_get_duration_s (run), ==, 20 * 3600 - 1);
  g_assert_cmpint (tide_recording_get_start_us (run), ==,
                   G_GINT64_CONSTANT (1775210400) * G_USEC_PER_SEC);
  g_assert_true (has_complaint (run, "told by dates further down"));

  g_autoptr (GBytes) bytes = g_bytes_new (text, length);
  g_autoptr (GPtrArray) tables = tide_understand_bytes (bytes, "log.csv", NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tide_understanding_get_questions (tables->pdata[0])->len, ==, 0);

  /* a file that stays within one day is asked about */
  g_autofree char *short_text = make_long_log (13, FALSE, &length);
  g_autoptr (GPtrArray) none = read_by (short_text, (gssize)length, NULL, NULL, &error);
  g_assert_null (none);
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS);
}

static void
test_ahead_cancelled (void)
{
  gsize length;
  g_autoptr (GError) error = NULL;
  g_autofree char *text = make_long_log (20, FALSE, &length);
  g_autoptr (GBytes) bytes = g_bytes_new (text, length);
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  g_autoptr (GPtrArray) tables =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_understanding_unref);
  g_ptr_array_add (tables,
                   understand ("Time,P (W)\n03/04/2026 10:11:12,5\n03/04/2026 10:11:13,5\n"));
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_cancellable_cancel (cancellable);
  g_assert_false (tide_orders_look_ahead (stream, NULL, 1, tables, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_cmpint (tide_order_get_column (tables->pdata[0]), ==, 0);
}

static void
test_order_scan (void)
{
  static const struct
  {
    const char *dates[5];
    TideDateOrder order;
  } cases[] = {
    { { "01/02/2026", "02/02/2026" }, TIDE_ORDER_DAY },
    { { "01/02/2026", "01/03/2026" }, TIDE_ORDER_MONTH },
    { { "01/02/2026", "13/02/2026" }, TIDE_ORDER_DAY },
    { { "01/02/2026", "02/13/2026" }, TIDE_ORDER_MONTH },
    { { "01/02/2026", "01/02/2026" }, TIDE_ORDER_NONE },
    { { "01/02/2026", "nonsense", "02/02/2026" }, TIDE_ORDER_DAY },
    /* a step of a week is no passing of midnight */
    { { "01/02/2026", "08/02/2026" }, TIDE_ORDER_NONE },
    { { "01/02/2026", "02/02/2026", "09/02/2026" }, TIDE_ORDER_NONE },
    /* the other order steps back */
    { { "12/11/2026", "11/12/2026" }, TIDE_ORDER_NONE },
    { { "03-04-05", "03-04-06" }, TIDE_ORDER_YEAR },
    { { "13-04-05", "14-04-05" }, TIDE_ORDER_DAY },
    { { "2026-04-03" }, TIDE_ORDER_YEAR },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideOrderScan scan;
      tide_order_scan_init (&scan);
      for (guint j = 0; j < 5 && cases[i].dates[j]; j++)
        tide_order_scan_feed (&scan, cases[i].dates[j], strlen (cases[i].dates[j]));
      if (tide_order_scan_decide (&scan) != cases[i].order)
        g_error ("case %u: %u", i, tide_order_scan_decide (&scan));
    }
}

/* ---- Daylight saving ---- */

static void
test_daylight (void)
{
  /* tz database: Berlin goes back at 03:00 on 2026-10-25, and on at 02:00 on 2026-03-29; New York
   * on 2026-11-01 and 2026-03-08 */
  static const struct
  {
    const char *zone;
    Case read;
  } cases[] = {
    { "Europe/Berlin",
      { "Time,P (W)\n2026-10-25 02:59:58,5\n2026-10-25 02:59:59,5\n2026-10-25 "
        "02:00:00,5\n2026-10-25 "
        "02:00:01,5\n",
        NULL, NULL, 3, 1792889998, "daylight saving ends here" } },
    { "Europe/Berlin",
      { "Time,P (W)\n2026-03-29 01:59:58,5\n2026-03-29 01:59:59,5\n2026-03-29 "
        "03:00:00,5\n2026-03-29 "
        "03:00:01,5\n",
        NULL, NULL, 3, 1774745998, "daylight saving begins here" } },
    { "Europe/Berlin",
      { "Date,Time,P (W)\n2026-03-29,01:59:58,5\n2026-03-29,01:59:59,5\n2026-03-29,03:00:00,5\n",
        NULL, NULL, 2, 1774745998, "daylight saving begins here" } },
    { "Europe/Berlin",
      { "Time,P (W)\n03/29/2026 01:59:58,5\n03/29/2026 01:59:59,5\n03/29/2026 03:00:00,5\n", "time",
        "%m/%d/%Y %T", 2, 1774745998, "daylight saving begins here" } },
    /* not the zone's change: left as it is, and doubted on a Sunday night alone */
    { "America/New_York",
      { "Time,P (W)\n2026-03-29 01:59:58,5\n2026-03-29 01:59:59,5\n2026-03-29 03:00:00,5\n", NULL,
        NULL, 3602, 1774763998, "may be the beginning of daylight saving" } },
    { "UTC",
      { "Time,P (W)\n2026-03-28 01:59:58,5\n2026-03-28 01:59:59,5\n2026-03-28 03:00:00,5\n", NULL,
        NULL, 3602, 1774663198, NULL } },
    /* with a zone nothing is to be done */
    { "Europe/Berlin",
      { "Time,P (W)\n2026-10-25 02:59:59+02:00,5\n2026-10-25 02:00:00+01:00,5\n", NULL, NULL, 1,
        1792889999, NULL } },
    /* rows an hour apart tell nothing */
    { "Europe/Berlin",
      { "Time,P (W)\n2026-03-29 00:00:00,5\n2026-03-29 01:00:00,5\n2026-03-29 03:00:00,5\n", NULL,
        NULL, 10800, 1774738800, NULL } },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_setenv ("TZ", cases[i].zone, TRUE);
      check_cases (&cases[i].read, 1);
    }
  g_setenv ("TZ", "UTC", TRUE);

  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = read_by ("Time,P (W)\n2026-10-25 02:59:58,5\n2026-10-25 02:59:59,5\n"
                                        "2026-10-25 02:00:00,5\n2026-10-25 02:00:01,5\n",
                                        -1, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_true (has_complaint (runs->pdata[0], "may be the end of daylight saving"));
}

/* A clock of whole seconds and its thousandths in a column of their own. */
static void
test_thousandths (void)
{
  static const struct
  {
    const char *text;
    gboolean is_joined;
    double second_s, duration_s;
  } cases[] = {
    { "Time,ms,P (W)\n10:00:00,250,5\n10:00:00,750,5\n10:00:01,250,5\n10:00:01,750,5\n", TRUE, 0.5,
      1.5 },
    { "msec;Clock;P (W)\n500;23:59:59;5\n999;23:59:59;5\n0;00:00:00;5\n4;00:00:00;5\n", TRUE, 0.499,
      0.504 },
    { "Date,Clock,Millis,P (W)\n2026-04-03,10:00:00,1,5\n2026-04-03,10:00:00,9,5\n"
      "2026-04-03,10:00:01,3,5\n",
      TRUE, 0.008, 1.002 },
    { "Timestamp,ms,P (W)\n2026-04-03 10:00:00,001,5\n2026-04-03 10:00:00,900,5\n"
      "2026-04-03 10:00:02,003,5\n",
      TRUE, 0.899, 2.002 },
    /* it runs on, or back while the clock stands, or never begins anew: not certain */
    { "Time,ms,P (W)\n10:00:00,250,5\n10:00:00,999,5\n10:00:01,1250,5\n10:00:02,5,5\n", FALSE, 0,
      2 },
    { "Time,ms,P (W)\n10:00:00,20,5\n10:00:00,10,5\n10:00:01,15,5\n10:00:01,18,5\n", FALSE, 0, 1 },
    { "Time,ms,P (W)\n10:00:00,20,5\n10:00:01,10,5\n10:00:02,15,5\n10:00:03,18,5\n", FALSE, 1, 3 },
    { "Time,ms,P (W)\n10:00:00.5,1,5\n10:00:00.5,2,5\n10:00:01,1,5\n10:00:01,2,5\n", FALSE, 0,
      0.5 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one_by (cases[i].text, NULL, NULL);
      if (has_complaint (run, "read as the thousandths of the seconds") != cases[i].is_joined)
        g_error ("case %u", i);
      g_assert_cmpfloat_with_epsilon (tide_recording_get_duration_s (run), cases[i].duration_s,
                                      1e-9);
      if (cases[i].is_joined)
        g_assert_cmpfloat_with_epsilon (get_value (run, TIDE_QUANTITY_TIME, 1), cases[i].second_s,
                                        1e-9);
    }
  g_autoptr (TideRecording) lacking = read_one_by (
      "Time,ms,P (W)\n10:00:00,250,5\n10:00:00,750,5\n10:00:01,250,5\n10:00:01,,5\n10:00:02,1,5\n"
      "10:00:02,700,5\n",
      NULL, NULL);
  g_assert_cmpuint (tide_recording_get_skipped_rows (lacking), ==, 1);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/timing/elapsed", test_elapsed);
  g_test_add_func ("/reading/timing/points-in-time", test_points_in_time);
  g_test_add_func ("/reading/timing/date-and-clock", test_date_and_clock);
  g_test_add_func ("/reading/timing/serial", test_serial);
  g_test_add_func ("/reading/timing/stated", test_stated);
  g_test_add_func ("/reading/timing/interval", test_interval);
  g_test_add_func ("/reading/timing/interval-lines", test_interval_lines);
  g_test_add_func ("/reading/timing/questions", test_questions);
  g_test_add_func ("/reading/timing/split", test_split);
  g_test_add_func ("/reading/timing/misfits", test_misfits);
  g_test_add_func ("/reading/timing/ahead", test_ahead);
  g_test_add_func ("/reading/timing/ahead-cancelled", test_ahead_cancelled);
  g_test_add_func ("/reading/timing/order-scan", test_order_scan);
  g_test_add_func ("/reading/timing/daylight", test_daylight);
  g_test_add_func ("/reading/timing/thousandths", test_thousandths);
  return g_test_run ();
}
