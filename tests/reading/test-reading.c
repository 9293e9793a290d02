/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files: which column is the time, which rows are skipped, what is said of it, what is
 * refused and in which words. The cases are invented; common practice of logs, no source.
 */
#include "support.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

#include "reading/runs-private.h"

/* ---- Time ---- */

static void
test_choice_of_time (void)
{
  static const struct
  {
    const char *text;
    double duration_s;
    const char *complaint; /* NULL: none is looked for */
  } cases[] = {
    /* a step's time restarts; the whole test's does not */
    { "Time(s),Total Time(s),Power (W)\n0,0,5\n1,1,5\n0,2,5\n1,3,5\n", 3, NULL },
    { "Step time (s),Test time (s),Power (W)\n0,0,5\n1,1,5\n2,2,5\n", 2, NULL },
    /* elapsed time is preferred to dates, whatever their order */
    { "Date,Time (s),Power (W)\n01/02/2024 10:00:00,0,5\n01/02/2024 10:00:01,1,5\n01/02/2024 "
      "10:00:02,2.5,5\n",
      2.5, "left open" },
    /* dates are taken where elapsed time only restarts */
    { "Date,Step time (s),Power (W)\n2024-05-01 10:00:00,0,5\n2024-05-01 10:00:05,5,5\n2024-05-01 "
      "10:00:06,0,5\n",
      6, NULL },
    { "Time,Power (W)\n12/31/2024 10:00:00,5\n12/31/2024 10:00:07,5\n", 7, NULL },
    { "Time,Power (W)\n23:59:58,5\n23:59:59,5\n00:00:00,5\n00:00:03,5\n", 5, "midnight" },
    { "Uhrzeit;Leistung (W)\n23:59:59,5;7,65\n00:00:00,0;7,65\n", 0.5, "midnight" },
    { "Time (mm:ss),Power (W)\n00:58,5\n01:02,5\n", 4, NULL },
    { "Time (hh:mm),Power (W)\n00:58,5\n01:02,5\n", 240, NULL },
    { "Time,Power (W)\n1:59:58 PM,5\n2:00:03 PM,5\n", 5, NULL },
    { "Run time (h),Power (W)\n0,5\n0.5,5\n", 1800, NULL },
    { "Timestamp,Power (W)\n1714571130,5\n1714571131,5\n1714571137,6\n", 7, NULL },
    { "Timestamp (ms),Power (W)\n1714571130000,5\n1714571130250,5\n", 0.25, NULL },
    { "Timestamp,Power (W)\n1714571130000000,5\n1714571130000250,5\n", 0.00025, NULL },
    { "Time,Power (W)\n93:00:00,5\n93:40:55,5\n", 2455, NULL },
    /* a column of one value is no time */
    { "Time (s),Timestamp,Power (W)\n7,2024-05-01T10:00:00Z,5\n7,2024-05-01T10:00:09Z,5\n", 9,
      NULL },
    /* no unit is named: dates tell, or seconds are taken and said */
    { "Time,Date,Power (W)\n0,2024-05-01 10:00:00,5\n1,2024-05-01 10:01:00,5\n2,2024-05-01 "
      "10:02:00,5\n",
      120, "taken as min" },
    { "Time,Power (W)\n0,5\n1,5\n4,5\n", 4, "taken as s" },
    { "Time (s),Date,Power (W)\n0,2024-05-01 10:00:00,5\n1,2024-05-01 11:00:00,5\n2,2024-05-01 "
      "12:00:00,5\n",
      2, "does not go with the dates" },
    { "Time (s),Power (W)\n0,5\n6000000,5\n", 6000000, "is the unit of the time right?" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      if (fabs (tide_recording_get_duration_s (run) - cases[i].duration_s) > 1e-9)
        g_error ("case %u: %.9g s", i, tide_recording_get_duration_s (run));
      if (cases[i].complaint && !has_complaint (run, cases[i].complaint))
        g_error ("case %u: no complaint says \"%s\"", i, cases[i].complaint);
    }
}

static void
test_start (void)
{
  static const struct
  {
    const char *text;
    gint64 start_s; /* TZ is UTC */
  } cases[] = {
    { "Date,Time (s),Power (W)\n2024-05-01 13:45:30,0,5\n2024-05-01 13:45:31,1,5\n", 1714571130 },
    { "Date,Time (s),Power (W)\n2024-05-01T13:45:30+02:00,0,5\n2024-05-01T13:45:31+02:00,1,5\n",
      1714563930 },
    { "Unix time (ms),Time (s),Power (W)\n1714571130000,0,5\n1714571131000,1,5\n", 1714571130 },
    { "Date,Time,Power (W)\n2024-05-01,13:45:30,5\n2024-05-01,13:45:31,5\n", 1714571130 },
    { "Timestamp,Power (W)\n1714571130,5\n1714571131,5\n", 1714571130 },
    { "Time,Power (W)\n2024-05-01 13:45:30,5\n2024-05-01 13:45:31,5\n", 1714571130 },
    /* the first row that is kept */
    { "Date,Time (s),Power (W)\n2024-05-01 13:45:29,0,x\n2024-05-01 13:45:30,1,5\n2024-05-01 "
      "13:45:31,2,5\n"
      "2024-05-01 13:45:32,3,5\n2024-05-01 13:45:33,4,5\n2024-05-01 13:45:34,5,5\n",
      1714571130 },
    /* a count that is no wall clock, in the first row that is kept */
    { "Unix time (s),Time (s),Power (W)\n1714571130,0,x\n-1e300,1,5\n1714571132,2,5\n"
      "1714571133,3,5\n1714571134,4,5\n1714571135,5,5\n",
      0 },
    { "Time (s),Power (W)\n0,5\n1,5\n", 0 },
    { "Date,Time (s),Power (W)\n01/02/2024 10:00:00,0,5\n01/02/2024 10:00:01,1,5\n", 0 },
    { "Date,Time (s),Power (W)\n2024-05-01,0,5\n2024-05-01,1,5\n", 0 },
    { "Date,Elapsed time,Power (W)\n2024-05-01,00:00:00,5\n2024-05-01,00:00:01,5\n", 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      g_assert_cmpint (tide_recording_get_start_us (run), ==, cases[i].start_s * G_USEC_PER_SEC);
    }
}

/* Where the stamps are dated, a later recording of the file knows when it began. */
static void
test_start_of_later_recordings (void)
{
  static const char *const text = "Time,Power (W)\n2024-05-02 10:00:00,5\n2024-05-02 10:00:01,5\n"
                                  "2024-05-01 09:00:00,5\n2024-05-01 09:00:01,5\n";
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "two.csv", NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_cmpint (tide_recording_get_start_us (runs->pdata[0]), ==,
                   G_GINT64_CONSTANT (1714644000) * G_USEC_PER_SEC);
  g_assert_cmpint (tide_recording_get_start_us (runs->pdata[1]), ==,
                   G_GINT64_CONSTANT (1714554000) * G_USEC_PER_SEC);
}

/* ---- Columns ---- */

static void
test_choice_of_columns (void)
{
  g_autoptr (TideRecording) run = read_one (
      "Time (s),D+ (V),D- (V),CC1 (V),Voltage (V),Aux voltage (V),Current (A),Discharge capacity "
      "(Ah),"
      "Charge capacity (Ah),Energy (Wh),Temperature (°C),Note\n"
      "0,0.1,0.2,0.3,5,9,1,0.7,0.5,0.25,21,start\n1,0.1,0.2,0.3,6,9,2,0.7,0.6,0.26,22,\n");
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 1), ==, 6);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CHARGE, 1), ==, 0.6);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_ENERGY, 1), ==, 0.26);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_TEMPERATURE, 1), ==, 22);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 12);
  g_assert_false (tide_recording_is_power_logged (run));
  g_assert_cmpuint (tide_recording_get_complaints (run)->len, ==, 0);
}

static void
test_equal_columns (void)
{
  assert_refused ("Time (s),Input voltage (V),Output voltage (V),Current (A)\n0,5,4,1\n1,6,4,1\n",
                  TIDE_READING_ERROR_AMBIGUOUS, "column 3, \"Output voltage (V)\"");
  /* columns that hold the same need no choice */
  g_autoptr (TideRecording) same =
      read_one ("Time (s),Input voltage (V),Output voltage (V),Current (A)\n0,5,5,1\n1,6,6,1\n");
  g_assert_cmpfloat (get_value (same, TIDE_QUANTITY_VOLTAGE, 1), ==, 6);
  /* nothing is computed from a temperature */
  g_autoptr (TideRecording) run =
      read_one ("Time (s),Power (W),Left temp (°C),Right temp (°C)\n0,5,20,21\n1,6,20,21\n");
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_TEMPERATURE, 1), ==, 20);
  g_assert_true (has_complaint (run, "column \"Right temp (°C)\" is named as plainly"));
}

static void
test_power_alone (void)
{
  g_autoptr (TideRecording) run = read_one ("Time (s),Power (mW)\n0,5000\n1,6000.5\n");
  g_assert_true (tide_recording_is_power_logged (run));
  g_assert_null (tide_recording_get_column (run, TIDE_QUANTITY_VOLTAGE));
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 6.0005);
}

/* ---- Rows ---- */

#define ROWS                                                                                       \
  "0,5,1,20\n1,5,1,20\n2,5,1,20\n3,5,1,20\n4,5,1,20\n5,5,1,20\n6,5,1,20\n7,5,1,20\n8,5,1,20\n"
#define NAMES "Time (s),Voltage (V),Current (A),Temperature (°C)\n"

static void
test_skipped_rows (void)
{
  static const struct
  {
    const char *text;
    guint n_samples, n_skipped;
    const char *complaint;
  } cases[] = {
    { NAMES ROWS "9,,1,20\n10,5,1,20\n", 10, 1, "row 11, column Voltage (V): no value" },
    { NAMES ROWS "9,5,abc,20\n10,5,1,20\n", 10, 1,
      "row 11, column Current (A): not a number: \"abc\"" },
    { NAMES ROWS "x,5,1,20\n10,5,1,20\n", 10, 1, "row 11, column Time (s): not a time: \"x\"" },
    { NAMES ROWS "9,N/A,1,20\n10,5,1,20\n", 10, 1, "no value" },
    { NAMES ROWS "9\n10,5,1,20\n", 10, 1, "row 11" },
    { NAMES ROWS "\n,,,\n10,5,1,20\n", 10, 0, NULL },
    { NAMES ROWS "End of the log\n", 9, 1,
      "row 11, column Time (s): not a time: \"End of the log\"" },
    { NAMES ROWS "9,5,", 9, 1, "row 11: the file ends inside this row" },
    { NAMES ROWS "9,5", 9, 1, "row 11: the file ends inside this row" },
    { NAMES ROWS "10,5,1,20", 10, 0, NULL }, /* no final line end, but whole */
    { NAMES ROWS NAMES "10,5,1,20\n", 10, 0, "stand here again" },
    { NAMES ROWS "# pause\n10,5,1,20\n", 10, 0, NULL },
    { NAMES ROWS "10,5,1,20,7,8,9\n", 10, 0, NULL },
    { NAMES "0,5,1,20\n\n1,5,x,20\n"
            "2,5,1,20\n3,5,1,20\n4,5,1,20\n5,5,1,20\n",
      5, 1, "row 4" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      if (tide_recording_get_n_samples (run) != cases[i].n_samples
          || tide_recording_get_skipped_rows (run) != cases[i].n_skipped)
        g_error ("case %u: %u samples, %u skipped", i, (guint)tide_recording_get_n_samples (run),
                 (guint)tide_recording_get_skipped_rows (run));
      if (cases[i].complaint && !has_complaint (run, cases[i].complaint))
        g_error ("case %u: no complaint says \"%s\"", i, cases[i].complaint);
      if (!cases[i].complaint)
        g_assert_cmpuint (tide_recording_get_complaints (run)->len, ==, 0);
    }
}

/* Lines of words between the rows of a short table: told, counted as skipped, but no sign that its
 * rows are broken. */
static void
test_prose (void)
{
  static const struct
  {
    const char *text;
    guint n_samples, n_skipped;
    const char *complaint;
  } cases[] = {
    { NAMES "First part\n0,5,1,20\n1,5,1,20\nSecond part\n2,5,1,20\nEnd of log\n", 3, 3,
      "row 5, column Time (s): not a time: \"Second part\"" },
    { NAMES "0,5,1,20\n1,5,1,20\n2,5,1,20\n\"Saved, then closed\"\nEnd of log", 3, 2,
      "row 6, column Time (s): not a time: \"End of log\"" },
    { NAMES "0,5,1,20\n1,5,1,20\n,,,a note\n,,,another\n", 2, 2,
      "row 4: a line of words; the row is skipped" },
    { "Power (W),Time (s),Note\n5,0,\n5,1,\n,,a note\n", 2, 1, "a line of words" },
    { "Interval: 2 s\nVoltage (V),Current (A),Note\n5,1,\n5,1,\n,,a note\n5,1,\n", 3, 1,
      "row 5: a line of words" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      guint n = (guint)tide_recording_get_n_samples (run);
      if (n != cases[i].n_samples || tide_recording_get_skipped_rows (run) != cases[i].n_skipped
          || !has_complaint (run, cases[i].complaint))
        g_error ("case %u: %u samples, %u skipped, no \"%s\"", i, n,
                 (guint)tide_recording_get_skipped_rows (run), cases[i].complaint);
      /* they take no time where rows follow each other at an interval */
      if (i == 4)
        g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_TIME, 2), ==, 4);
    }
}

static void
test_cut_number (void)
{
  /* the last row ends after "1": that may be half of 1.5, so it is not taken */
  g_autoptr (TideRecording) run = read_one (NAMES ROWS "9,5,1");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 9);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 1);
  g_assert_true (has_complaint (run, "row 11: the file ends inside this row"));
}

static void
test_holes (void)
{
  /* an optional column that lacks half its values is left out */
  g_autoptr (TideRecording) hollow =
      read_one ("Time (s),Power (W),Energy (Wh)\n0,5,0\n1,5,\n2,5,0.1\n3,5,\n4,5,0.2\n5,5,0.3\n");
  g_assert_null (tide_recording_get_column (hollow, TIDE_QUANTITY_ENERGY));
  g_assert_cmpuint (tide_recording_get_n_samples (hollow), ==, 6);
  g_assert_cmpuint (tide_recording_get_skipped_rows (hollow), ==, 0);
  g_assert_true (has_complaint (hollow, "lacks 2 of 6 values"));

  /* one that lacks one of thirty costs that row */
  g_autoptr (GString) text = g_string_new ("Time (s),Power (W),Energy (Wh)\n");
  for (int i = 0; i < 30; i++)
    g_string_append_printf (text, i == 7 ? "%d,5,\n" : "%d,5,0.5\n", i);
  g_autoptr (TideRecording) whole = read_one (text->str);
  g_assert_nonnull (tide_recording_get_column (whole, TIDE_QUANTITY_ENERGY));
  g_assert_cmpuint (tide_recording_get_n_samples (whole), ==, 29);
  g_assert_cmpuint (tide_recording_get_skipped_rows (whole), ==, 1);
  g_assert_cmpfloat (get_value (whole, TIDE_QUANTITY_TIME, 7), ==, 8);
  g_assert_true (has_complaint (whole, "row 9, column Energy (Wh): no value"));

  /* a column that is mostly empty is not taken at all, even a voltage */
  g_autoptr (TideRecording) empty =
      read_one ("Time (s),Voltage (V),Power (W)\n0,,5\n1,,5\n2,5,5\n");
  g_assert_null (tide_recording_get_column (empty, TIDE_QUANTITY_VOLTAGE));
  g_assert_cmpuint (tide_recording_get_n_samples (empty), ==, 3);
}

static void
test_complaints_are_bounded (void)
{
  g_autoptr (GString) text = g_string_new ("Time (s),Power (W)\n");
  for (int i = 0; i < 2000; i++)
    g_string_append_printf (text, i % 10 == 9 ? "%d,x\n" : "%d,5\n", i);
  g_autoptr (TideRecording) run = read_one (text->str);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 200);
  g_assert_cmpuint (tide_recording_get_complaints (run)->len, ==, TIDE_MAX_TOLD + 1);
  g_assert_true (has_complaint (run, "and 100 more complaints"));
}

static void
test_several_recordings (void)
{
  g_autoptr (GString) text = g_string_new ("Time (s),Power (W)\n");
  for (int i = 0; i < 100; i++)
    g_string_append_printf (text, "%d,5\n", i % 50);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = read_text (text->str, -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_cmpuint (tide_recording_get_part (g_ptr_array_index (runs, 1)), ==, 2);
}

static void
test_beyond_the_head (void)
{
  /* rows over several pieces of the file, the last of them broken */
  g_autoptr (GString) text = g_string_new ("Time (s),Voltage (V),Current (A)\r\n");
  for (int i = 0; i < 60000; i++)
    g_string_append_printf (text, "%d.25,5.%04d,1.5\r\n", i, i % 10000);
  g_string_append (text, "60000.25,oops,1.5\r\n");
  g_assert_cmpuint (text->len, >, 4 * 256 * 1024);
  g_autoptr (TideRecording) run = read_one (text->str);
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 60000);
  g_assert_true (has_complaint (run, "row 60002, column Voltage (V): not a number: \"oops\""));
  for (int i = 0; i < 60000; i++)
    g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, i), ==, (50000 + i % 10000) / 10000.);
}

/* ---- Refusals ---- */

static void
test_refusals (void)
{
  static const struct
  {
    const char *text;
    TideReadingError code;
    const char *words;
  } cases[] = {
    { "", TIDE_READING_ERROR_EMPTY, "empty" },
    { "\n\n \t\r\n", TIDE_READING_ERROR_EMPTY, "blank lines" },
    { "\xef\xbb\xbf", TIDE_READING_ERROR_EMPTY, "blank lines" },
    { "Dear diary, the power of my charger is well.\nTime, current and voltage too, I think.\n",
      TIDE_READING_ERROR_NO_TABLE, "no table of time and power found" },
    { "single\n", TIDE_READING_ERROR_NO_TABLE, "\"Time (s), Voltage (V), Current (A)\"" },
    { "0,5,1\n1,5,1\n2,5,1\n", TIDE_READING_ERROR_NO_TABLE, "no row names the columns" },
    { "Time (s),Voltage (V)\n0,5\n1,5\n", TIDE_READING_ERROR_NO_TABLE,
      "row 1 names a time, but neither power" },
    { "Time (s),Voltage (kV),Current (A)\n0,0.005,1\n1,0.005,1\n", TIDE_READING_ERROR_NO_TABLE,
      "the unit of the column \"Voltage (kV)\" in row 1 is not known" },
    { "s,kV,A\n0,0.005,1\n1,0.005,1\n", TIDE_READING_ERROR_NO_TABLE,
      "the unit of the column \"kV\" in row 1 is not known" },
    { "Time,Power (W)\nWed Apr 03 2026 10:11:12 GMT+0200 (CEST),5\n"
      "Wed Apr 03 2026 10:11:13 GMT+0200 (CEST),5\n",
      TIDE_READING_ERROR_NO_TIME,
      "column \"Time\", such as \"Wed Apr 03 2026 10:11:12 GMT+0200 (CEST)\", are written" },
    { "Time,Power (W)\n2026-04-03 10:11:12 CET,5\n2026-04-03 10:11:13 CET,5\n",
      TIDE_READING_ERROR_NO_TIME, "such as \"2026-04-03 10:11:12 CET\"" },
    { "Time (s);Voltage (V);Current (A)\n0;5.25;1,5\n1;5.25;1,5\n2;5.25;1,5\n",
      TIDE_READING_ERROR_NO_TABLE,
      "column \"Voltage (V)\" has decimal points and column \"Current (A)\" decimal commas" },
    { "Time (s),Power (W)\n0,a\n1,b\n", TIDE_READING_ERROR_NO_TABLE,
      "row 1 names columns, but below them" },
    { "Voltage (V),Current (A)\n5,1\n5,1\n", TIDE_READING_ERROR_NO_TIME, "row 1" },
    { "Time (s),Power (W)\n7,5\n7,6\n7,7\n", TIDE_READING_ERROR_NO_TIME,
      "no column can be the time" },
    { "Time (s),Voltage (V),Current (A)\n", TIDE_READING_ERROR_NO_ROWS, "no rows stand below" },
    { "Time (s),Voltage (V),Current (A)", TIDE_READING_ERROR_NO_ROWS, "no rows stand below" },
    { "Time (s),Voltage (V),Current (A)\n0,5,1\n", TIDE_READING_ERROR_NO_ROWS,
      "fewer than two usable rows" },
    { "Time,Power (W)\n01/02/2024 10:00:00,5\n01/02/2024 10:00:01,5\n",
      TIDE_READING_ERROR_AMBIGUOUS, "day/month/year or month/day/year" },
    { "Time,Power (W)\n00:01,5\n00:02,5\n", TIDE_READING_ERROR_AMBIGUOUS,
      "hours:minutes or minutes:seconds" },
    { "Time (s),Power (W)\n0,5\n1,x\n2,5\n3,5\n4,y\n5,5\n6,z\n", TIDE_READING_ERROR_BROKEN,
      "3 of 7 rows are broken, the first: row 3, column Power (W): not a number: \"x\"" },
    /* no lines of words: a word in a column that is needed, a time alone, one of two columns */
    { NAMES ROWS "End\nx,,,\n,,a,\n,,b,\n,,c,\n", TIDE_READING_ERROR_BROKEN,
      "3 of 12 rows are broken, the first: row 13, column Time (s): no value" },
    { NAMES ROWS "9,,,\n9:61:99,,,\n10,,,\n", TIDE_READING_ERROR_BROKEN,
      "3 of 12 rows are broken" },
    { NAMES ROWS "NaN,,,\nn/a,,,\n-,,,\n", TIDE_READING_ERROR_BROKEN, "3 of 12 rows are broken" },
    { "Time (s),Power (W)\n0,5\n1,5\nEnd of\nthe log\n2,5\n", TIDE_READING_ERROR_BROKEN,
      "2 of 5 rows are broken" },
    { "Time (s),Power (W)\n0,5\n1,\"5\n2,5\n3,5\n", TIDE_READING_ERROR_BROKEN,
      "row 3 opens a quote mark" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    assert_refused (cases[i].text, cases[i].code, cases[i].words);
  assert_refused_bytes ("\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16, TIDE_READING_ERROR_NOT_TEXT,
                        "PNG picture");
  assert_refused_bytes ("Time\0\0\0\0\0,\0\0\0", 12, TIDE_READING_ERROR_NOT_TEXT,
                        "not a text file");
}

static void
test_large_refusals (void)
{
  g_autofree char *line = g_strnfill (3000000, 'x');
  assert_refused (line, TIDE_READING_ERROR_TOO_LARGE, "row 1 is longer than");
  g_autofree char *late = g_strconcat ("Time (s),Power (W)\n0,5\n1,", line, NULL);
  assert_refused (late, TIDE_READING_ERROR_TOO_LARGE, "row 3 has a field");
  memset (line, ',', 10000);
  line[10000] = '\0';
  g_autofree char *wide = g_strconcat (line, "\n1,2\n", NULL);
  assert_refused (wide, TIDE_READING_ERROR_TOO_LARGE, "row 1 has more than 2000 columns");
  g_autofree char *wide_row = g_strconcat ("Time (s),Power (W)\n0,5\n1,5", line, "\n", NULL);
  assert_refused (wide_row, TIDE_READING_ERROR_TOO_LARGE, "row 3 has more than 2000 columns");
}

/* Every prefix of a good file reads or is refused, and never more. */
static void
test_prefixes (void)
{
  const char *text = "\xef\xbb\xbf# log\r\n\"Time (s)\";Spannung [V];Strom [mA];Temp "
                     "(°C)\r\n0,0;5,123;1500;21,5\r\n"
                     "1,0;5,124;1499;21,5\r\n2,0;5,125;1498;21,6\r\n";
  guint n_read = 0;
  for (gsize n = 0; n <= strlen (text); n++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs = read_text (text, (gssize)n, &error);
      g_assert_true ((runs == NULL) == (error != NULL));
      n_read += runs != NULL;
    }
  g_assert_cmpuint (n_read, >, 10);
}

/* ---- Files, progress, cancelling ---- */

static void
test_provenance (void)
{
  const char *text = "Time (s),Power (W)\n0,5\n1,6\n";
  g_autofree char *sum = g_compute_checksum_for_string (G_CHECKSUM_SHA256, text, -1);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = read_via_file (text, -1, &error);
  g_assert_no_error (error);
  TideRecording *run = g_ptr_array_index (runs, 0);
  g_assert_cmpstr (tide_recording_get_file (run), ==, "log.csv");
  g_assert_cmpstr (tide_recording_get_sha256 (run), ==, sum);
}

static void
assert_file_refused (const char *path, GIOErrorEnum code, const char *words)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_assert_null (tide_read_file (file, NULL, NULL, &error));
  g_assert_error (error, G_IO_ERROR, (int)code);
  g_assert_nonnull (strstr (error->message, words));
  g_assert_null (strchr (error->message, '/'));
}

static void
test_no_file (void)
{
  g_autofree char *folder = g_dir_make_tmp ("tidemark-reading-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "log.csv", NULL);
  assert_file_refused (folder, G_IO_ERROR_IS_DIRECTORY, "this is a folder");
  assert_file_refused (path, G_IO_ERROR_NOT_FOUND, "log.csv: there is no such file");
  g_assert_true (g_file_set_contents (path, "x", 1, NULL));
  g_assert_cmpint (g_chmod (path, 0), ==, 0);
  /* root reads everything */
  if (g_access (path, R_OK) != 0)
    assert_file_refused (path, G_IO_ERROR_PERMISSION_DENIED, "log.csv: the file may not be read");
  g_unlink (path);
  g_rmdir (folder);
}

typedef struct
{
  guint n;
  goffset done, total;
  GCancellable *cancellable;
} Progress;

static void
note_progress_cb (goffset done, goffset total, gpointer user_data)
{
  Progress *progress = user_data;
  g_assert_cmpint (done, >=, progress->done);
  g_assert_cmpint (done, <=, total);
  progress->n++;
  progress->done = done;
  progress->total = total;
  if (progress->cancellable)
    g_cancellable_cancel (progress->cancellable);
}

static char *
write_long_text (void)
{
  g_autoptr (GString) text = g_string_new ("Time (s),Power (W)\n");
  for (int i = 0; i < 200000; i++)
    g_string_append_printf (text, "%d,5.5\n", i);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
test_progress (void)
{
  g_autofree char *text = write_long_text ();
  gsize length = strlen (text);
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, length);
  Progress progress = { 0 };
  TideReadOptions options = { note_progress_cb, &progress };
  gint64 begin_us = g_get_monotonic_time ();
  g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "log.csv", &options, NULL, NULL);
  gint64 tenths = (g_get_monotonic_time () - begin_us) / (G_USEC_PER_SEC / 10);
  g_assert_nonnull (runs);
  g_assert_cmpint (progress.done, ==, length);
  g_assert_cmpint (progress.total, ==, length);
  g_assert_cmpuint (progress.n, >=, 1);
  g_assert_cmpuint (progress.n, <=, tenths + 2);
}

static void
test_cancel (void)
{
  g_autofree char *text = write_long_text ();
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  Progress progress = { .cancellable = cancellable };
  TideReadOptions options = { note_progress_cb, &progress };
  g_autoptr (GError) error = NULL;
  g_assert_null (tide_read_bytes (bytes, "log.csv", &options, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_cmpint (progress.done, <, (goffset)strlen (text));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/time/choice", test_choice_of_time);
  g_test_add_func ("/reading/time/start", test_start);
  g_test_add_func ("/reading/time/start-of-later-recordings", test_start_of_later_recordings);
  g_test_add_func ("/reading/columns/choice", test_choice_of_columns);
  g_test_add_func ("/reading/columns/equal", test_equal_columns);
  g_test_add_func ("/reading/columns/power-alone", test_power_alone);
  g_test_add_func ("/reading/rows/skipped", test_skipped_rows);
  g_test_add_func ("/reading/rows/prose", test_prose);
  g_test_add_func ("/reading/rows/cut-number", test_cut_number);
  g_test_add_func ("/reading/rows/holes", test_holes);
  g_test_add_func ("/reading/rows/complaints-are-bounded", test_complaints_are_bounded);
  g_test_add_func ("/reading/rows/several-recordings", test_several_recordings);
  g_test_add_func ("/reading/rows/beyond-the-head", test_beyond_the_head);
  g_test_add_func ("/reading/refusals", test_refusals);
  g_test_add_func ("/reading/refusals/large", test_large_refusals);
  g_test_add_func ("/reading/refusals/prefixes", test_prefixes);
  g_test_add_func ("/reading/file/provenance", test_provenance);
  g_test_add_func ("/reading/file/none", test_no_file);
  g_test_add_func ("/reading/file/progress", test_progress);
  g_test_add_func ("/reading/file/cancel", test_cancel);
  return g_test_run ();
}
