/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One run in memory: flat columns of doubles in SI-near units (s, V, A, W, Wh, Ah), immutable
 * once made, shared by counted reference between threads.
 *
 * A recording always has the columns time and power; voltage, current, the meter's own energy
 * and charge counters and temperature only where the export had them. Every value is finite.
 * Time starts at 0 and strictly rises. What had to be done to get there (rows skipped, equal
 * stamps averaged, signs turned) stands in its complaints.
 *
 * Recordings are made from raw rows by tide_recordings_assemble() and by nothing else; the rules
 * are written there.
 */
#pragma once

#include <glib-object.h>

#include "recording/complaint.h"
#include "recording/quantity.h"

typedef struct _TideRecording TideRecording;

/* As many as anybody logs, 50 ms for four weeks; more is a mistake or an attack. What makes a
 * recording refuses more. */
#define TIDE_RECORDING_MAX_SAMPLES 50000000

#define TIDE_TYPE_RECORDING (tide_recording_get_type ())
GType tide_recording_get_type (void);

TideRecording *tide_recording_ref   (TideRecording *recording);
void           tide_recording_unref (TideRecording *recording);

/* At least 2. */
gsize         tide_recording_get_n_samples  (const TideRecording *recording);
/* n_samples values, owned by the recording; NULL where the export had no such column. */
const double *tide_recording_get_column     (const TideRecording *recording, TideQuantity quantity);
/* Was power logged (TRUE) or computed as V·I (FALSE)? */
gboolean      tide_recording_is_power_logged (const TideRecording *recording);

double        tide_recording_get_duration_s        (const TideRecording *recording);
/* Median of the intervals, after equal stamps were averaged. */
double        tide_recording_get_median_interval_s (const TideRecording *recording);
/* An interval longer than this is a gap: max (5 × median interval, 10 s). */
double        tide_recording_get_gap_limit_s       (const TideRecording *recording);

/* Wall clock of the first sample, in microseconds since 1970 UTC; 0 when the export does not say. */
gint64        tide_recording_get_start_us     (const TideRecording *recording);
/* Rows of the export that were skipped because a mapped column had no value. */
guint64       tide_recording_get_skipped_rows (const TideRecording *recording);
/* GPtrArray of TideComplaint, transfer none, never NULL. */
GPtrArray    *tide_recording_get_complaints   (const TideRecording *recording);

/* Base name and lower-case hex SHA-256 of the file it came from; NULL when from no file. */
const char   *tide_recording_get_file   (const TideRecording *recording);
const char   *tide_recording_get_sha256 (const TideRecording *recording);
/* From 1; a file can hold several recordings. */
guint         tide_recording_get_part   (const TideRecording *recording);
/* Which of several that stand side by side, or which sheet it was: "Port A"; NULL where there was one. */
const char   *tide_recording_get_label  (const TideRecording *recording);

/* Where a recording comes from; all fields may be zero. Strings are copied by whoever takes it. */
typedef struct {
  const char *file;
  const char *sha256;
  gint64 start_us;
  guint64 skipped_rows;
  const char *label;
} TideProvenance;

/* Raw rows on their way into recordings. Columns are arrays of double of equal length, NULL
 * where absent; TIME must be there (any zero will do), and POWER or both of VOLTAGE and CURRENT. */
typedef struct {
  GArray *columns[TIDE_N_QUANTITIES];
  GArray *rows;          /* guint64: the file's row of each, for complaints; may be NULL */
  gboolean clock_of_day; /* times are clock text without a date: a step back is midnight */
  gboolean dated;        /* times are of a clock with dates: they tell when later recordings began */
  gint64 start_us;       /* wall clock of the first row, 0: unknown; for a TideAssembler */
} TideRawRows;

/* Makes recordings of raw rows, in memory, by the rules of the house for a recording (those of a TideAssembler):
 *  - rows with equal stamps are averaged into one (of the meter's counters the furthest value is kept);
 *  - a backward step smaller than one median interval (of the steps that rise) is sorted, as is
 *    one of exactly an interval, two rows swapped; a larger one starts a new recording, except for
 *    clock_of_day, where a fall of more than half a day adds a day;
 *  - power is the power column if present, else V·I; where both exist and the median of
 *    |P − VI| / max (P, 1 W) exceeds 2 %, a complaint says so;
 *  - if the charge over a whole recording (without a current column: its energy) is negative, the
 *    current, power that is negative over the whole, and counters that fall are turned and a complaint
 *    says so. Otherwise counters stay as the meter wrote them, restarts and all.
 * Parts with fewer than 2 distinct stamps are dropped with a complaint; the rest are numbered
 * from 1. start_us and skipped_rows of provenance are those of the file: later recordings have
 * no skipped rows, and a start only where the times are dated.
 *
 * Gives a GPtrArray of TideRecording (transfer full), never empty. The arrays of raw are left
 * empty; free them all the same. raw's start_us is passed over for provenance's. complaints (transfer none, may be NULL)
 * are copied into the first recording. Errors: TIDE_RECORDING_ERROR when not one recording
 * can be made, or when a value of one is not finite (DAMAGED). Source of the rules: the project's method notes, help page "Methods". */
GPtrArray *tide_recordings_assemble (TideRawRows *raw, const TideProvenance *provenance, GPtrArray *complaints,
                                     GError **error);

/* For the library: a recording from columns that already satisfy the contract above (they came
 * out of one). Columns are n doubles each, copied; NULL where absent. Checks the contract and fails
 * with TIDE_RECORDING_ERROR_DAMAGED where it does not hold. complaints is transfer none. */
TideRecording *tide_recording_restore (gsize n, const double *const columns[TIDE_N_QUANTITIES], gboolean power_logged,
                                       const TideProvenance *provenance, guint part, GPtrArray *complaints,
                                       GError **error);
/* The same without a copy: made with g_new(), the columns are the recording's on success, and
 * set to NULL. */
TideRecording *tide_recording_restore_take (gsize n, double *columns[TIDE_N_QUANTITIES], gboolean power_logged,
                                            const TideProvenance *provenance, guint part, GPtrArray *complaints,
                                            GError **error);

typedef enum {
  TIDE_RECORDING_ERROR_TOO_SHORT, /* fewer than two distinct time stamps */
  TIDE_RECORDING_ERROR_NO_POWER,  /* neither power nor both of voltage and current */
  TIDE_RECORDING_ERROR_NO_CLOCK,  /* time steps back thousands of times */
  TIDE_RECORDING_ERROR_DAMAGED,   /* columns break the contract above */
  TIDE_RECORDING_ERROR_TOO_LONG,  /* more rows than G_MAXINT, or recordings than any file has */
} TideRecordingError;

#define TIDE_RECORDING_ERROR (tide_recording_error_quark ())
GQuark tide_recording_error_quark (void);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRecording, tide_recording_unref)
