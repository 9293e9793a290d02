/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Recordings brought back from storage: what is kept, and that damage is refused. */
#include "recording/recording.h"

#include <math.h>
#include <string.h>

#define N 4

static const double good_time[N] = { 0, 1, 2, 4 };
static const double good_power[N] = { 1, 2, 3, 4 };
static const double good_voltage[N] = { 5, 5, 5, 5 };
static const double good_current[N] = { 0.2, 0.4, 0.6, 0.8 };

static TideRecording *
restore (const double *time, const double *power, gboolean power_logged, GError **error)
{
  const double *columns[TIDE_N_QUANTITIES] = { [TIDE_QUANTITY_TIME] = time,
                                               [TIDE_QUANTITY_VOLTAGE] = good_voltage,
                                               [TIDE_QUANTITY_POWER] = power };

  return tide_recording_restore (N, columns, power_logged, NULL, 1, NULL, error);
}

static void
test_recording__keeps_what_it_is_given (void)
{
  const double *columns[TIDE_N_QUANTITIES] = { [TIDE_QUANTITY_TIME] = good_time,
                                               [TIDE_QUANTITY_VOLTAGE] = good_voltage,
                                               [TIDE_QUANTITY_CURRENT] = good_current,
                                               [TIDE_QUANTITY_POWER] = good_power };
  TideProvenance provenance = { "run.csv", "abc", 1714571130000000, 7 };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  g_ptr_array_add (complaints, tide_complaint_new (2, "A", "odd"));

  g_autoptr (TideRecording) recording =
      tide_recording_restore (N, columns, FALSE, &provenance, 3, complaints, &error);
  g_assert_no_error (error);
  g_ptr_array_set_size (complaints, 0);

  g_assert_cmpuint (tide_recording_get_n_samples (recording), ==, N);
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns[q] == NULL)
      g_assert_null (tide_recording_get_column (recording, q));
    else
      {
        const double *column = tide_recording_get_column (recording, q);
        g_assert_true (column != columns[q]);
        g_assert_cmpmem (column, N * sizeof (double), columns[q], N * sizeof (double));
      }
  g_assert_false (tide_recording_is_power_logged (recording));
  g_assert_cmpfloat (tide_recording_get_duration_s (recording), ==, 4);
  g_assert_cmpfloat (tide_recording_get_median_interval_s (recording), ==, 1);
  g_assert_cmpfloat (tide_recording_get_gap_limit_s (recording), ==, 10);
  g_assert_cmpint (tide_recording_get_start_us (recording), ==, 1714571130000000);
  g_assert_cmpuint (tide_recording_get_skipped_rows (recording), ==, 7);
  g_assert_cmpstr (tide_recording_get_file (recording), ==, "run.csv");
  g_assert_cmpstr (tide_recording_get_sha256 (recording), ==, "abc");
  g_assert_cmpuint (tide_recording_get_part (recording), ==, 3);
  g_assert_cmpuint (tide_recording_get_complaints (recording)->len, ==, 1);
}

/* Method notes: max (5 × median interval, 10 s). */
static void
test_recording__gap_limit (void)
{
  static const double slow[N] = { 0, 60, 120, 180 };
  g_autoptr (TideRecording) recording = restore (slow, good_power, TRUE, NULL);

  g_assert_cmpfloat (tide_recording_get_gap_limit_s (recording), ==, 300);
}

static void
test_recording__is_shared (void)
{
  g_autoptr (TideRecording) recording = restore (good_time, good_power, TRUE, NULL);
  TideRecording *boxed = g_boxed_copy (TIDE_TYPE_RECORDING, recording);

  g_assert_true (boxed == recording);
  g_boxed_free (TIDE_TYPE_RECORDING, boxed);
  g_assert_cmpfloat (tide_recording_get_column (recording, TIDE_QUANTITY_POWER)[3], ==, 4);
  g_assert_null (tide_recording_get_file (recording));
  g_assert_cmpuint (tide_recording_get_complaints (recording)->len, ==, 0);
}

static void
assert_damaged (TideRecording *recording, const GError *error)
{
  g_assert_null (recording);
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED);
  g_assert_null (strchr (error->message, '\n'));
}

static void
test_recording__refuses_damaged_columns (void)
{
  static const struct
  {
    double time[N], power[N];
  } cases[] = {
    { { 0, 1, NAN, 3 }, { 1, 1, 1, 1 } }, { { 0, 1, 2, INFINITY }, { 1, 1, 1, 1 } },
    { { 0, 1, 2, 3 }, { 1, NAN, 1, 1 } }, { { 0, 1, 2, 3 }, { 1, 1, 1, -INFINITY } },
    { { 0, 1, 1, 3 }, { 1, 1, 1, 1 } },   { { 0, 2, 1, 3 }, { 1, 1, 1, 1 } },
    { { 1, 2, 3, 4 }, { 1, 1, 1, 1 } },   { { -1, 0, 1, 2 }, { 1, 1, 1, 1 } },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (TideRecording) recording = restore (cases[i].time, cases[i].power, TRUE, &error);

      assert_damaged (recording, error);
    }
}

static void
test_recording__refuses_missing_columns (void)
{
  static const struct
  {
    const double *time, *power;
    gboolean power_logged;
  } cases[] = {
    { NULL, good_power, TRUE },
    { good_time, NULL, TRUE },
    { good_time, good_power, FALSE }, /* computed, but there is no current */
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (TideRecording) recording =
          restore (cases[i].time, cases[i].power, cases[i].power_logged, &error);

      assert_damaged (recording, error);
    }
}

static void
test_recording__refuses_odd_sizes (void)
{
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = good_time, [TIDE_QUANTITY_POWER] = good_power
  };
  static const struct
  {
    gsize n;
    guint part;
  } cases[] = { { 0, 1 }, { 1, 1 }, { G_MAXSIZE, 1 }, { G_MAXSIZE / 4, 1 }, { N, 0 } };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (TideRecording) recording =
          tide_recording_restore (cases[i].n, columns, TRUE, NULL, cases[i].part, NULL, &error);

      assert_damaged (recording, error);
    }
}

/* Either the recording has the columns, or they are still the caller's. */
static void
test_recording__takes_columns_whole (void)
{
  double *columns[TIDE_N_QUANTITIES] = { NULL };
  double *time, *power;
  g_autoptr (GError) error = NULL;

  columns[TIDE_QUANTITY_TIME] = time = g_memdup2 (good_time, sizeof good_time);
  columns[TIDE_QUANTITY_POWER] = power = g_memdup2 (good_power, sizeof good_power);
  g_assert_null (tide_recording_restore_take (N, columns, FALSE, NULL, 1, NULL, &error));
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED);
  g_clear_error (&error);
  g_assert_null (tide_recording_restore_take (N, columns, TRUE, NULL, 0, NULL, &error));
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED);
  g_clear_error (&error);
  g_assert_true (columns[TIDE_QUANTITY_TIME] == time && columns[TIDE_QUANTITY_POWER] == power);

  g_autoptr (TideRecording) recording =
      tide_recording_restore_take (N, columns, TRUE, NULL, 1, NULL, &error);
  g_assert_no_error (error);
  g_assert_true (tide_recording_get_column (recording, TIDE_QUANTITY_TIME) == time);
  g_assert_true (tide_recording_get_column (recording, TIDE_QUANTITY_POWER) == power);
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_assert_null (columns[q]);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/recording/keeps", test_recording__keeps_what_it_is_given);
  g_test_add_func ("/recording/recording/gap-limit", test_recording__gap_limit);
  g_test_add_func ("/recording/recording/is-shared", test_recording__is_shared);
  g_test_add_func ("/recording/recording/damaged-columns", test_recording__refuses_damaged_columns);
  g_test_add_func ("/recording/recording/missing-columns", test_recording__refuses_missing_columns);
  g_test_add_func ("/recording/recording/odd-sizes", test_recording__refuses_odd_sizes);
  g_test_add_func ("/recording/recording/takes-columns-whole", test_recording__takes_columns_whole);
  return g_test_run ();
}
