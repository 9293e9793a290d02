/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A recording: the columns of one run and what is to be known of them. The contract of the
 * header is checked in one place, check_columns(), through which every recording passes.
 */
#include "recording/recording-private.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "recording/median.h"

/* Method notes: a gap is longer than five usual intervals, and than ten seconds. */
#define GAP_INTERVALS 5
#define GAP_S         10

struct _TideRecording
{
  gatomicrefcount references;
  TideColumns columns;
  gboolean power_logged;
  double median_interval_s;
  gint64 start_us;
  guint64 skipped_rows;
  GPtrArray *complaints;
  char *file;
  char *sha256;
  char *label;
  guint part;
};

G_DEFINE_QUARK (tide_recording_error, tide_recording_error)
G_DEFINE_BOXED_TYPE (TideRecording, tide_recording, tide_recording_ref, tide_recording_unref)

/* ---- The contract ---- */

static gboolean
are_finite (const double *values, gsize n)
{
  for (gsize i = 0; i < n; i++)
    if (!isfinite (values[i]))
      return FALSE;
  return TRUE;
}

static gboolean
do_rise (const double *times, gsize n)
{
  for (gsize i = 1; i < n; i++)
    if (!(times[i] > times[i - 1]))
      return FALSE;
  return TRUE;
}

static gboolean
fail_damaged (GError **error, const char *reason)
{
  g_set_error_literal (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED, reason);
  return FALSE;
}

static gboolean
check_columns (const TideColumns *columns, gboolean power_logged, GError **error)
{
  const double *times = columns->values[TIDE_QUANTITY_TIME];

  if (times == NULL || columns->values[TIDE_QUANTITY_POWER] == NULL)
    return fail_damaged (error, _ ("a recording lacks its time or its power"));
  if (!power_logged
      && (columns->values[TIDE_QUANTITY_VOLTAGE] == NULL
          || columns->values[TIDE_QUANTITY_CURRENT] == NULL))
    return fail_damaged (error, _ ("computed power lacks its voltage or its current"));
  if (columns->n < 2)
    return fail_damaged (error, _ ("a recording has fewer than two samples"));

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns->values[q] != NULL && !are_finite (columns->values[q], columns->n))
      {
        g_set_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED,
                     _ ("the column %s holds a value that is no finite number"),
                     tide_quantity_get_id (q));
        return FALSE;
      }
  if (times[0] != 0)
    return fail_damaged (error, _ ("the time of a recording does not start at 0"));
  if (!do_rise (times, columns->n))
    return fail_damaged (error, _ ("the time of a recording does not rise all along"));
  return TRUE;
}

/* ---- Making one ---- */

static double
compute_median_interval (const double *times, gsize n)
{
  g_autofree double *intervals = g_new (double, n - 1);

  for (gsize i = 1; i < n; i++)
    intervals[i - 1] = times[i] - times[i - 1];
  return tide_select_median (intervals, n - 1);
}

TideRecording *
tide_recording_take (TideColumns *columns,
                     gboolean power_logged,
                     const TideProvenance *provenance,
                     guint part,
                     GPtrArray *complaints,
                     GError **error)
{
  if (!check_columns (columns, power_logged, error))
    return NULL;

  TideRecording *recording = g_new0 (TideRecording, 1);
  g_atomic_ref_count_init (&recording->references);
  recording->columns = *columns;
  *columns = (TideColumns){ 0 };
  recording->power_logged = power_logged;
  recording->median_interval_s =
      compute_median_interval (recording->columns.values[TIDE_QUANTITY_TIME], recording->columns.n);
  recording->part = part;
  recording->complaints =
      complaints != NULL ? tide_complaints_copy (complaints) : tide_complaints_new ();
  if (provenance != NULL)
    {
      recording->start_us = provenance->start_us;
      recording->skipped_rows = provenance->skipped_rows;
      recording->file = g_strdup (provenance->file);
      recording->sha256 = g_strdup (provenance->sha256);
      recording->label = g_strdup (provenance->label);
    }
  return recording;
}

static gboolean
check_bounds (gsize n, guint part, GError **error)
{
  if (n <= G_MAXSIZE / sizeof (double) && part > 0)
    return TRUE;
  return fail_damaged (error, _ ("the size or the number of a recording is out of bounds"));
}

TideRecording *
tide_recording_restore (gsize n,
                        const double *const columns[TIDE_N_QUANTITIES],
                        gboolean power_logged,
                        const TideProvenance *provenance,
                        guint part,
                        GPtrArray *complaints,
                        GError **error)
{
  g_auto (TideColumns) copies = { .n = n };

  if (!check_bounds (n, part, error))
    return NULL;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns[q] != NULL)
      copies.values[q] = g_memdup2 (columns[q], n * sizeof (double));
  return tide_recording_take (&copies, power_logged, provenance, part, complaints, error);
}

TideRecording *
tide_recording_restore_take (gsize n,
                             double *columns[TIDE_N_QUANTITIES],
                             gboolean power_logged,
                             const TideProvenance *provenance,
                             guint part,
                             GPtrArray *complaints,
                             GError **error)
{
  TideColumns taken = { .n = n };
  TideRecording *recording;

  if (!check_bounds (n, part, error))
    return NULL;
  memcpy (taken.values, columns, sizeof taken.values);
  recording = tide_recording_take (&taken, power_logged, provenance, part, complaints, error);
  if (recording != NULL)
    memset (columns, 0, sizeof taken.values);
  return recording;
}

TideRecording *
tide_recording_ref (TideRecording *recording)
{
  g_atomic_ref_count_inc (&recording->references);
  return recording;
}

void
tide_recording_unref (TideRecording *recording)
{
  if (!g_atomic_ref_count_dec (&recording->references))
    return;
  tide_columns_clear (&recording->columns);
  g_ptr_array_unref (recording->complaints);
  g_free (recording->file);
  g_free (recording->sha256);
  g_free (recording->label);
  g_free (recording);
}

/* ---- Asking it ---- */

gsize
tide_recording_get_n_samples (const TideRecording *recording)
{
  return recording->columns.n;
}

const double *
tide_recording_get_column (const TideRecording *recording, TideQuantity quantity)
{
  g_return_val_if_fail ((guint)quantity < TIDE_N_QUANTITIES, NULL);
  return recording->columns.values[quantity];
}

gboolean
tide_recording_is_power_logged (const TideRecording *recording)
{
  return recording->power_logged;
}

double
tide_recording_get_duration_s (const TideRecording *recording)
{
  return recording->columns.values[TIDE_QUANTITY_TIME][recording->columns.n - 1];
}

double
tide_recording_get_median_interval_s (const TideRecording *recording)
{
  return recording->median_interval_s;
}

double
tide_recording_get_gap_limit_s (const TideRecording *recording)
{
  return MAX (GAP_INTERVALS * recording->median_interval_s, GAP_S);
}

gint64
tide_recording_get_start_us (const TideRecording *recording)
{
  return recording->start_us;
}

guint64
tide_recording_get_skipped_rows (const TideRecording *recording)
{
  return recording->skipped_rows;
}

GPtrArray *
tide_recording_get_complaints (const TideRecording *recording)
{
  return recording->complaints;
}

const char *
tide_recording_get_file (const TideRecording *recording)
{
  return recording->file;
}

const char *
tide_recording_get_sha256 (const TideRecording *recording)
{
  return recording->sha256;
}

guint
tide_recording_get_part (const TideRecording *recording)
{
  return recording->part;
}

const char *
tide_recording_get_label (const TideRecording *recording)
{
  return recording->label;
}
