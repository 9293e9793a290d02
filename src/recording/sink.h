/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the samples of recordings go as they are made: into memory (tide_recordings_assemble(),
 * recording/memory-sink.h) or into a library file.
 *
 * Whoever makes recordings calls begin(), then samples() any number of times, then end(), for each part;
 * several parts may be open at a time (a two-port meter logs two runs side by side). What only the
 * end of a recording tells, such as that its current was logged the other way round, comes with end() as a
 * TideRevision, to be applied to every sample handed over before: tide_columns_revise().
 * So the length of a log costs no memory here.
 */
#pragma once

#include "recording/complaint.h"
#include "recording/quantity.h"

/* Samples of one recording, or some of them: n values each, NULL where there is no such column. */
typedef struct {
  gsize n;
  double *values[TIDE_N_QUANTITIES];
} TideColumns;

/* Where in its file a recording stands, whatever else of the file is read. */
typedef struct {
  const char *member; /* the archive's member or the workbook's sheet; NULL in a plain file */
  guint64 names_row;  /* of its table; 0: none */
  guint lane;         /* of the runs side by side, from 1; 0: the place is not known, and its part stands for it */
  guint nth;          /* of those that follow each other there, from 1 */
} TideRecordingPlace;

/* What is known of a recording when it begins. */
typedef struct {
  guint part;            /* from 1, over the whole file */
  const char *label;     /* which of several that stand side by side, or which sheet: "Port A"; NULL: there is one */
  TideRecordingPlace place;
  gint64 start_us;       /* wall clock of its first sample, 0: unknown */
  guint columns;         /* bits of TideQuantity: what each samples() has; TIME and POWER always */
  gboolean power_logged; /* else it is V·I */
} TideRecordingHead;

/* What is to be done to samples that were handed over already. */
typedef struct {
  guint turned;      /* bits of TideQuantity: these columns change sign */
  guint left_out;    /* bits: these columns lack so many values that they are left out */
  gboolean has_holes; /* samples that lack a value (NaN) in a column that stays are taken out */
} TideRevision;

/* What is known at its end. */
typedef struct {
  TideRevision revision;
  gsize n_samples;        /* after the revision */
  double duration_s;      /* likewise */
  guint64 skipped_rows;
  GPtrArray *complaints;  /* TideComplaint, in order; transfer none */
} TideRecordingTail;

/* To be the first member of a struct of one's own. Each gives FALSE and an error to end the work; then, and whenever
 * reading fails, parts that began never end. */
typedef struct _TideSink TideSink;
struct _TideSink {
  gboolean (*begin)   (TideSink *sink, const TideRecordingHead *head, GError **error);
  /* times start at 0 with the first sample of the part and rise; samples are borrowed for the call and may be
   * changed in place; n >= 1 */
  gboolean (*samples) (TideSink *sink, guint part, TideColumns *samples, GError **error);
  gboolean (*end)     (TideSink *sink, guint part, const TideRecordingTail *tail, GError **error);
};

/* Applies a revision to some samples in place: columns turned, left out (freed, NULL), rows with holes
 * taken out (n shrinks, may become 0). Time never has holes; after rows went the first time need not be
 * 0 any more: tail->n_samples and duration_s are told, and whoever keeps the samples shifts them by the
 * first that stays. */
void tide_columns_revise (TideColumns *columns, const TideRevision *revision);
void tide_columns_clear  (TideColumns *columns);
/* Times count from first_s, where that is above 0. */
void tide_columns_shift  (TideColumns *columns, double first_s);
/* The start once the first sample is the one at first_s. */
gint64 tide_recording_head_get_start_us (const TideRecordingHead *head, double first_s);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideColumns, tide_columns_clear)
