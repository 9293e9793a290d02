/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rules by which raw rows become recordings (method notes, "Recording"), case by case. Columns
 * are written as text, one number a row, so that a case can be read at a glance.
 */
#include "recording/recording.h"

#include <math.h>
#include <string.h>

/* ---- Helpers ---- */

static GArray *
make_column (const char *text)
{
  GArray *column = g_array_new (FALSE, FALSE, sizeof (double));
  char *end;

  for (double value = g_ascii_strtod (text, &end); end != text; value = g_ascii_strtod (text, &end))
    {
      g_array_append_val (column, value);
      text = end;
    }
  return column;
}

static void
clear_raw (TideRawRows *raw)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&raw->columns[q], g_array_unref);
  g_clear_pointer (&raw->rows, g_array_unref);
}

typedef struct
{
  const char *time, *voltage, *current, *power, *energy, *charge;
  gboolean clock_of_day, dated;
} Rows;

/* Rows are numbered from 2, as below a header. */
static GPtrArray *
assemble (const Rows *rows, const TideProvenance *provenance, GPtrArray *complaints, GError **error)
{
  const char *const texts[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = rows->time,       [TIDE_QUANTITY_VOLTAGE] = rows->voltage,
    [TIDE_QUANTITY_CURRENT] = rows->current, [TIDE_QUANTITY_POWER] = rows->power,
    [TIDE_QUANTITY_ENERGY] = rows->energy,   [TIDE_QUANTITY_CHARGE] = rows->charge,
  };
  TideRawRows raw = { .clock_of_day = rows->clock_of_day, .dated = rows->dated };

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (texts[q] != NULL)
      raw.columns[q] = make_column (texts[q]);
  raw.rows = g_array_new (FALSE, FALSE, sizeof (guint64));
  for (guint64 row = 2; row < raw.columns[TIDE_QUANTITY_TIME]->len + 2; row++)
    g_array_append_val (raw.rows, row);

  GPtrArray *recordings = tide_recordings_assemble (&raw, provenance, complaints, error);
  clear_raw (&raw);
  return recordings;
}

static GPtrArray *
assemble_well (const Rows *rows)
{
  g_autoptr (GError) error = NULL;
  GPtrArray *recordings = assemble (rows, NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (recordings->len, >, 0);
  return recordings;
}

/* "0 1 2 | 0 1": a column of each recording, parts divided by a bar. */
static char *
print_column (GPtrArray *recordings, TideQuantity quantity)
{
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < recordings->len; i++)
    {
      const TideRecording *recording = recordings->pdata[i];
      const double *column = tide_recording_get_column (recording, quantity);

      g_assert_cmpuint (tide_recording_get_part (recording), ==, i + 1);
      if (i > 0)
        g_string_append (text, " |");
      for (gsize k = 0; column != NULL && k < tide_recording_get_n_samples (recording); k++)
        g_string_append_printf (text, "%s%g", text->len > 0 ? " " : "", column[k]);
    }
  return g_string_free (text, FALSE);
}

/* All complaints of the recordings, one a line. */
static char *
print_complaints (GPtrArray *recordings)
{
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < recordings->len; i++)
    {
      GPtrArray *complaints = tide_recording_get_complaints (recordings->pdata[i]);

      for (guint k = 0; k < complaints->len; k++)
        {
          g_autofree char *line = tide_complaint_to_text (complaints->pdata[k]);
          g_string_append_printf (text, "%u: %s\n", i + 1, line);
        }
    }
  return g_string_free (text, FALSE);
}

static void
assert_says (GPtrArray *recordings, const char *expected)
{
  g_autofree char *complaints = print_complaints (recordings);

  if (expected == NULL)
    g_assert_cmpstr (complaints, ==, "");
  else if (strstr (complaints, expected) == NULL)
    g_error ("expected “%s” in:\n%s", expected, complaints);
}

/* ---- Time ---- */

static const struct
{
  const char *name;
  Rows rows;
  const char *time, *power; /* what is expected */
  const char *says;         /* part of a complaint; NULL: there is none */
} time_cases[] = {
  { "rising", { "0 1 2 3", .power = "1 2 3 4" }, "0 1 2 3", "1 2 3 4", NULL },
  { "starts at zero", { "100 101 103", .power = "1 2 3" }, "0 1 3", "1 2 3", NULL },
  { "before zero", { "-5 -4 0", .power = "1 2 3" }, "0 1 5", "1 2 3", NULL },
  { "equal stamps",
    { "0 1 1 1 2", .power = "1 2 3 7 5" },
    "0 1 2",
    "1 4 5",
    "1: row 4: 2 rows have the time stamp of the row before them" },
  { "one equal stamp",
    { "0 0 1", .power = "1 3 5" },
    "0 1",
    "2 5",
    "1: row 3: 1 row has the time stamp of the row before it" },
  { "equal stamps at the end",
    { "0 1 2 2", .power = "1 2 3 4" },
    "0 1 2",
    "1 2 3.5",
    "row 5: 1 row" },
  { "swapped neighbours",
    { "0 1 2 4 3 5 6", .power = "0 1 2 4 3 5 6" },
    "0 1 2 3 4 5 6",
    "0 1 2 3 4 5 6",
    "1: row 6: 1 row stood a little out of time order" },
  { "a little late",
    { "0 10 20 30 25 40 50", .power = "0 1 2 3 9 4 5" },
    "0 10 20 25 30 40 50",
    "0 1 2 9 3 4 5",
    "1: row 6: 1 row stood" },
  { "late, then equal",
    { "0 1 2 3 2 4 5 6", .power = "0 1 2 3 4 4 5 6" },
    "0 1 2 3 4 5 6",
    "0 1 3 3 4 5 6",
    "1 row has the time stamp" },
  { "the first row late",
    { "10 9.5 11 12 13", .power = "1 2 3 4 5" },
    "0 0.5 1.5 2.5 3.5",
    "2 1 3 4 5",
    "1: row 3: 1 row stood" },
  { "restart",
    { "0 1 2 3 0 1 2", .power = "1 2 3 4 5 6 7" },
    "0 1 2 3 | 0 1 2",
    "1 2 3 4 | 5 6 7",
    "2: row 6: time steps back; a new recording begins here" },
  { "restart with an offset",
    { "0 1 2 3 1.5 2.5 4", .power = "1 2 3 4 5 6 7" },
    "0 1 2 3 | 0 1 2.5",
    "1 2 3 4 | 5 6 7",
    "2: row 6: time steps back" },
  { "creeping back is not sorted",
    { "0 1 2 3 4 5 6 5.4 4.8 4.2 5.2", .power = "0 1 2 3 4 5 6 7 8 9 10" },
    "0 1 2 3 4 5 5.4 6 | 0 0.6 1",
    "0 1 2 3 4 5 7 6 | 9 8 10",
    "2: row 10: time steps back" },
  { "three runs",
    { "0 1 2 0 1 2 0 1 2", .power = "1 1 1 2 2 2 3 3 3" },
    "0 1 2 | 0 1 2 | 0 1 2",
    "1 1 1 | 2 2 2 | 3 3 3",
    "3: row 8: time steps back" },
  { "a part of one row is left out",
    { "0 1 2 3 1.5 0 1 2", .power = "1 2 3 4 5 6 7 8" },
    "0 1 2 3 | 0 1 2",
    "1 2 3 4 | 6 7 8",
    "2: row 6: a recording of 1 row cannot be used and is left out" },
  { "a first part of one row is left out",
    { "50 0 1 2", .power = "9 1 2 3" },
    "0 1 2",
    "1 2 3",
    "1: row 2: a recording of 1 row cannot be used and is left out" },
  { "a last part of one stamp is left out",
    { "0 1 2 3 0 0", .power = "1 2 3 4 5 6" },
    "0 1 2 3",
    "1 2 3 4",
    "1: row 6: a recording of 2 rows with one time stamp is left out" },
};

static void
test_assemble__time (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (time_cases); i++)
    {
      g_test_message ("%s", time_cases[i].name);
      g_autoptr (GPtrArray) recordings = assemble_well (&time_cases[i].rows);
      g_autofree char *time = print_column (recordings, TIDE_QUANTITY_TIME);
      g_autofree char *power = print_column (recordings, TIDE_QUANTITY_POWER);

      g_assert_cmpstr (time, ==, time_cases[i].time);
      g_assert_cmpstr (power, ==, time_cases[i].power);
      assert_says (recordings, time_cases[i].says);
    }
}

/* Clock text without a date, in seconds since midnight. */
static void
test_assemble__midnight (void)
{
  static const struct
  {
    Rows rows;
    const char *time, *says;
  } cases[] = {
    { { "86398 86399 0 1", .power = "1 1 1 1", .clock_of_day = TRUE },
      "0 1 2 3",
      "1: row 4: the clock passes midnight; time counts on" },
    { { "60000 80000 10000 50000 80000 10000", .power = "1 1 1 1 1 1", .clock_of_day = TRUE },
      "0 20000 36400 76400 106400 122800",
      "row 4: the clock passes midnight" },
    /* Less than half a day back is no midnight but a new recording. */
    { { "50000 50001 50002 20000 20001", .power = "1 1 1 1 1", .clock_of_day = TRUE },
      "0 1 2 | 0 1",
      "2: row 5: time steps back" },
    /* A clock with dates does not fall at midnight: such a fall is a new recording. */
    { { "86398 86399 0 1", .power = "1 1 1 1" }, "0 1 | 0 1", "2: row 4: time steps back" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GPtrArray) recordings = assemble_well (&cases[i].rows);
      g_autofree char *time = print_column (recordings, TIDE_QUANTITY_TIME);

      g_assert_cmpstr (time, ==, cases[i].time);
      assert_says (recordings, cases[i].says);
    }
}

/* Stamps since 1970 with tenths: equal once they are shifted means equal. */
static void
test_assemble__wide_stamps (void)
{
  g_autoptr (GPtrArray) hostile =
      assemble_well (&(Rows){ "-1e18 1e-9 2e-9 1e18", .power = "1 2 4 5" });
  g_autofree char *time = print_column (hostile, TIDE_QUANTITY_TIME);
  g_assert_cmpstr (time, ==, "0 1e+18 2e+18");

  g_autoptr (GPtrArray) unix_time =
      assemble_well (&(Rows){ "1714571130.0 1714571130.1 1714571130.2", .power = "1 2 3" });
  g_assert_cmpfloat_with_epsilon (tide_recording_get_duration_s (unix_time->pdata[0]), 0.2, 1e-6);
}

static void
test_assemble__median_interval (void)
{
  static const struct
  {
    const char *time;
    double median_s, gap_limit_s;
  } cases[] = {
    { "0 1 2 3", 1, 10 },
    { "0 1 3", 1.5, 10 },
    { "0 10 20 500", 10, 50 },
    { "0 0 0 0 0 0 3 6", 3, 15 }, /* after equal stamps are averaged */
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GArray) times = make_column (cases[i].time);
      g_autoptr (GString) power = g_string_new (NULL);
      for (guint k = 0; k < times->len; k++)
        g_string_append (power, "1 ");
      g_autoptr (GPtrArray) recordings =
          assemble_well (&(Rows){ cases[i].time, .power = power->str });
      const TideRecording *recording = recordings->pdata[0];

      g_assert_cmpfloat (tide_recording_get_median_interval_s (recording), ==, cases[i].median_s);
      g_assert_cmpfloat (tide_recording_get_gap_limit_s (recording), ==, cases[i].gap_limit_s);
    }
}

/* ---- Power and signs ---- */

static const struct
{
  const char *name;
  Rows rows;
  gboolean logged;
  const char *current, *power, *energy, *charge, *says;
} power_cases[] = {
  { "computed",
    { "0 1 2", .voltage = "5 5 4", .current = "1 2 3" },
    FALSE,
    "1 2 3",
    "5 10 12",
    "",
    "",
    NULL },
  { "logged is used, not V·I",
    { "0 1 2", .voltage = "5 5 5", .current = "1 2 3", .power = "5.01 10.01 15.01" },
    TRUE,
    "1 2 3",
    "5.01 10.01 15.01",
    "",
    "",
    NULL },
  { "a log that gives away more charge than it takes, but less energy",
    { "0 1 2 3", .voltage = "5 5 1 1", .current = "1 1 -2 -2", .power = "5 5 -2 -2" },
    TRUE,
    "-1 -1 2 2",
    "-5 -5 2 2",
    "",
    "",
    "1: the charge over the whole recording is negative; current and power are counted the other "
    "way" },
  { "mismatch just below 2 %",
    { "0 1 2", .voltage = "10 10 10", .current = "1 1 1", .power = "10.2 10.2 10.2" },
    TRUE,
    "1 1 1",
    "10.2 10.2 10.2",
    "",
    "",
    NULL },
  { "mismatch above 2 %",
    { "0 1 2", .voltage = "10 10 10", .current = "1 1 1", .power = "10.3 10.3 10.3" },
    TRUE,
    "1 1 1",
    "10.3 10.3 10.3",
    "",
    "",
    "1: logged power differs from voltage times current by 2.9 % (median)" },
  { "mismatch of a minority",
    { "0 1 2 3 4", .voltage = "10 10 10 10 10", .current = "1 1 1 1 1", .power = "10 10 10 20 20" },
    TRUE,
    "1 1 1 1 1",
    "10 10 10 20 20",
    "",
    "",
    NULL },
  { "half off: the mean of the middle two decides",
    { "0 1 2 3", .voltage = "10 10 10 10", .current = "1 1 1 1", .power = "10 10 20 20" },
    TRUE,
    "1 1 1 1",
    "10 10 20 20",
    "",
    "",
    "differs from voltage times current by 25.0 %" },
  { "below a watt the difference is taken of a watt",
    { "0 1 2", .voltage = "5 5 5", .current = "0.002 0.002 0.002", .power = "0.02 0.02 0.02" },
    TRUE,
    "0.002 0.002 0.002",
    "0.02 0.02 0.02",
    "",
    "",
    NULL },
  { "negative current, computed",
    { "0 1 2", .voltage = "5 5 5", .current = "-1 0 -3" },
    FALSE,
    "1 0 3",
    "5 0 15",
    "",
    "",
    "1: the charge over the whole recording is negative" },
  { "negative current and power",
    { "0 1 2", .voltage = "5 5 5", .current = "-1 -2 -3", .power = "-5 -10 -15" },
    TRUE,
    "1 2 3",
    "5 10 15",
    "",
    "",
    "is negative" },
  { "negative current, power already positive",
    { "0 1 2", .voltage = "5 5 5", .current = "-1 -2 -3", .power = "5 10 15" },
    TRUE,
    "1 2 3",
    "5 10 15",
    "",
    "",
    "is negative" },
  { "negative power without a current",
    { "0 1 2", .power = "-5 -10 -15" },
    TRUE,
    "",
    "5 10 15",
    "",
    "",
    "is negative" },
  { "mostly positive stays",
    { "0 1 2 3", .voltage = "5 5 5 5", .current = "1 2 -1 3" },
    FALSE,
    "1 2 -1 3",
    "5 10 -5 15",
    "",
    "",
    NULL },
  { "falling counters turn along",
    { "0 1 2", .power = "-5 -10 -15", .energy = "0 -1 -2", .charge = "0 1 2" },
    TRUE,
    "",
    "5 10 15",
    "0 1 2",
    "0 1 2",
    "is negative" },
  { "counters stay as the meter wrote them",
    { "0 1 2 3", .power = "5 5 5 5", .energy = "3 2 1 0", .charge = "7 8 0 1" },
    TRUE,
    "",
    "5 5 5 5",
    "3 2 1 0",
    "7 8 0 1",
    NULL },
};

/* A mean would be a count that never was, and would lose the growth before the restart. */
static void
test_assemble__counter_restarts_in_a_stamp (void)
{
  g_autoptr (GPtrArray) recordings = assemble_well (
      &(Rows){ "0 1 2 2 3", .power = "1 1 1 3 1", .energy = "1 2 3 0 1", .charge = "1 2 3 0 1" });
  g_autofree char *power = print_column (recordings, TIDE_QUANTITY_POWER);
  g_autofree char *energy = print_column (recordings, TIDE_QUANTITY_ENERGY);
  g_autofree char *charge = print_column (recordings, TIDE_QUANTITY_CHARGE);

  g_assert_cmpstr (power, ==, "1 1 2 1");
  g_assert_cmpstr (energy, ==, "1 2 3 1");
  g_assert_cmpstr (charge, ==, "1 2 3 1");
}

static void
test_assemble__power (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (power_cases); i++)
    {
      g_test_message ("%s", power_cases[i].name);
      g_autoptr (GPtrArray) recordings = assemble_well (&power_cases[i].rows);
      g_autofree char *current = print_column (recordings, TIDE_QUANTITY_CURRENT);
      g_autofree char *power = print_column (recordings, TIDE_QUANTITY_POWER);
      g_autofree char *energy = print_column (recordings, TIDE_QUANTITY_ENERGY);
      g_autofree char *charge = print_column (recordings, TIDE_QUANTITY_CHARGE);

      g_assert_cmpint (tide_recording_is_power_logged (recordings->pdata[0]), ==,
                       power_cases[i].logged);
      g_assert_cmpstr (current, ==, power_cases[i].current);
      g_assert_cmpstr (power, ==, power_cases[i].power);
      g_assert_cmpstr (energy, ==, power_cases[i].energy);
      g_assert_cmpstr (charge, ==, power_cases[i].charge);
      assert_says (recordings, power_cases[i].says);
    }
}

/* Each recording of a file has signs of its own. */
static void
test_assemble__signs_are_per_recording (void)
{
  g_autoptr (GPtrArray) recordings =
      assemble_well (&(Rows){ "0 1 2 3 0 1 2 3", .power = "1 1 1 1 -2 -2 -2 -2" });
  g_autofree char *power = print_column (recordings, TIDE_QUANTITY_POWER);
  g_autofree char *complaints = print_complaints (recordings);

  g_assert_cmpstr (power, ==, "1 1 1 1 | 2 2 2 2");
  g_assert_nonnull (strstr (complaints, "2: the charge over the whole recording is negative"));
  g_assert_null (strstr (complaints, "1: the charge"));
}

/* ---- Provenance and complaints ---- */

static void
test_assemble__provenance (void)
{
  const gint64 start_us = 1714571130000000;
  const TideProvenance provenance = { "log.csv", "00ff", start_us, 5 };
  static const Rows rows = { "1000 1001 1002 990.5 992 993", .power = "1 1 1 2 2 2" };

  for (guint dated = 0; dated < 2; dated++)
    {
      Rows now = rows;
      now.dated = dated;
      g_autoptr (GPtrArray) recordings = assemble (&now, &provenance, NULL, NULL);
      const TideRecording *first = recordings->pdata[0], *second = recordings->pdata[1];

      g_assert_cmpuint (recordings->len, ==, 2);
      g_assert_cmpstr (tide_recording_get_file (second), ==, "log.csv");
      g_assert_cmpstr (tide_recording_get_sha256 (second), ==, "00ff");
      g_assert_cmpint (tide_recording_get_start_us (first), ==, start_us);
      g_assert_cmpint (tide_recording_get_start_us (second), ==, dated ? start_us - 9500000 : 0);
      g_assert_cmpuint (tide_recording_get_skipped_rows (first), ==, 5);
      g_assert_cmpuint (tide_recording_get_skipped_rows (second), ==, 0);
    }
}

static void
test_assemble__start_unknown (void)
{
  g_autoptr (GPtrArray) recordings =
      assemble_well (&(Rows){ "5 6 7 0 1", .power = "1 1 1 1 1", .dated = TRUE });

  g_assert_cmpint (tide_recording_get_start_us (recordings->pdata[0]), ==, 0);
  g_assert_cmpint (tide_recording_get_start_us (recordings->pdata[1]), ==, 0);
}

/* What the reader had against the file stands in the first recording, before what was found here.
 */
static void
test_assemble__file_complaints_come_first (void)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_ptr_array_add (complaints, tide_complaint_new (9, "P", "no value"));

  g_autoptr (GPtrArray) recordings =
      assemble (&(Rows){ "0 1 1 2 0 1", .power = "1 1 1 1 1 1" }, NULL, complaints, NULL);
  g_autofree char *text = print_complaints (recordings);

  g_assert_true (g_str_has_prefix (text, "1: row 9, column P: no value\n1: row 4: 1 row has"));
  g_assert_null (strstr (text, "2: row 9"));
  g_assert_cmpuint (complaints->len, ==, 1);
}

/* ---- Refusals ---- */

static void
test_assemble__refusals (void)
{
  static const struct
  {
    Rows rows;
    TideRecordingError code;
  } cases[] = {
    { { "0 1 2", .voltage = "5 5 5" }, TIDE_RECORDING_ERROR_NO_POWER },
    { { "0 1 2", .current = "1 1 1" }, TIDE_RECORDING_ERROR_NO_POWER },
    { { "0 1 2", .energy = "1 1 1" }, TIDE_RECORDING_ERROR_NO_POWER },
    { { "", .power = "" }, TIDE_RECORDING_ERROR_TOO_SHORT },
    { { "0", .power = "1" }, TIDE_RECORDING_ERROR_TOO_SHORT },
    { { "3 3 3", .power = "1 2 3" }, TIDE_RECORDING_ERROR_TOO_SHORT },
    { { "3 2 1", .power = "1 2 3" }, TIDE_RECORDING_ERROR_TOO_SHORT },
    { { "0 1 2", .power = "1 nan 3" }, TIDE_RECORDING_ERROR_DAMAGED },
    { { "0 nan 2", .power = "1 2 3" }, TIDE_RECORDING_ERROR_DAMAGED },
    { { "0 1 inf", .power = "1 2 3" }, TIDE_RECORDING_ERROR_DAMAGED },
    { { "-1e308 1e308", .power = "1 2" }, TIDE_RECORDING_ERROR_DAMAGED },
    { { "0 1 2", .voltage = "1e200 1 1", .current = "1e200 1 1" }, TIDE_RECORDING_ERROR_DAMAGED },
    { { "0 1 1 2", .power = "1 1e308 1.5e308 1" }, TIDE_RECORDING_ERROR_DAMAGED },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_test_message ("case %u: %s", i, cases[i].rows.time);
      g_autoptr (GPtrArray) recordings = assemble (&cases[i].rows, NULL, NULL, &error);

      g_assert_null (recordings);
      g_assert_error (error, TIDE_RECORDING_ERROR, (int)cases[i].code);
      g_assert_null (strchr (error->message, '\n'));
    }
}

static TideRawRows
make_rows (gsize n)
{
  TideRawRows raw = { 0 };

  raw.columns[TIDE_QUANTITY_TIME] = g_array_sized_new (FALSE, FALSE, sizeof (double), n);
  raw.columns[TIDE_QUANTITY_POWER] = g_array_sized_new (FALSE, FALSE, sizeof (double), n);
  g_array_set_size (raw.columns[TIDE_QUANTITY_TIME], n);
  g_array_set_size (raw.columns[TIDE_QUANTITY_POWER], n);
  return raw;
}

/* A measured column taken for time falls ever again; millions of recordings are no answer. */
static void
test_assemble__no_clock (void)
{
  const gsize n = 100000;
  TideRawRows raw = make_rows (n);
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < n; i++)
    {
      g_array_index (raw.columns[TIDE_QUANTITY_TIME], double, i) = i % 4;
      g_array_index (raw.columns[TIDE_QUANTITY_POWER], double, i) = 1;
    }
  g_assert_null (tide_recordings_assemble (&raw, NULL, NULL, &error));
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_CLOCK);
  clear_raw (&raw);
}

/* Whatever the stamps, what comes out keeps the contract and every row is accounted for. */
static void
test_assemble__random_rows_keep_the_contract (void)
{
  for (guint round = 0; round < 300; round++)
    {
      gsize n = g_test_rand_int_range (2, 400), n_samples = 0;
      TideRawRows raw = make_rows (n);
      double t = 0;

      for (gsize i = 0; i < n; i++)
        {
          gint32 kind = g_test_rand_int_range (0, 60);

          t = kind == 0 ? 0 : kind < 4 ? t - 0.5 : kind < 8 ? t : t + 1;
          g_array_index (raw.columns[TIDE_QUANTITY_TIME], double, i) = t;
          g_array_index (raw.columns[TIDE_QUANTITY_POWER], double, i) = g_test_rand_double ();
        }
      g_autoptr (GPtrArray) recordings = tide_recordings_assemble (&raw, NULL, NULL, NULL);
      for (guint r = 0; recordings != NULL && r < recordings->len; r++)
        {
          const TideRecording *recording = recordings->pdata[r];
          const double *time = tide_recording_get_column (recording, TIDE_QUANTITY_TIME);

          n_samples += tide_recording_get_n_samples (recording);
          g_assert_cmpfloat (time[0], ==, 0);
          for (gsize i = 1; i < tide_recording_get_n_samples (recording); i++)
            g_assert_cmpfloat (time[i], >, time[i - 1]);
        }
      g_assert_cmpuint (n_samples, <=, n);
      clear_raw (&raw);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/assemble/time", test_assemble__time);
  g_test_add_func ("/recording/assemble/midnight", test_assemble__midnight);
  g_test_add_func ("/recording/assemble/wide-stamps", test_assemble__wide_stamps);
  g_test_add_func ("/recording/assemble/median-interval", test_assemble__median_interval);
  g_test_add_func ("/recording/assemble/counter-restarts-in-a-stamp",
                   test_assemble__counter_restarts_in_a_stamp);
  g_test_add_func ("/recording/assemble/power", test_assemble__power);
  g_test_add_func ("/recording/assemble/signs", test_assemble__signs_are_per_recording);
  g_test_add_func ("/recording/assemble/provenance", test_assemble__provenance);
  g_test_add_func ("/recording/assemble/start-unknown", test_assemble__start_unknown);
  g_test_add_func ("/recording/assemble/complaints", test_assemble__file_complaints_come_first);
  g_test_add_func ("/recording/assemble/refusals", test_assemble__refusals);
  g_test_add_func ("/recording/assemble/no-clock", test_assemble__no_clock);
  g_test_add_func ("/recording/assemble/random", test_assemble__random_rows_keep_the_contract);
  return g_test_run ();
}
