/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: which rows of a file belong together, and in which order. Works on the
 * column of stamps alone, a chunk at a time; says what it found and leaves complaining to whoever asked.
 */
#pragma once

#include <glib.h>
#include <math.h>

/* Midnights met so far. Starts as { 0 }. */
typedef struct {
  gboolean is_begun;
  double before_s; /* the stamp before, as it was */
  guint n;
} TideDays;

/* Up to where the samples of the part at hand are gone, so that no row can join them. */
typedef struct {
  double start_s; /* what its stamps are shifted by */
  double floor_s; /* shifted */
} TideFront;

#define TIDE_FRONT_NONE ((TideFront){ 0, -INFINITY })

/* Rows first .. end - 1 of the chunk are one recording, or one stretch of it. */
typedef struct {
  gsize first, end;
  gboolean unsorted;   /* some rows stand a little out of time order */
} TidePart;

/* How the rows of one part become samples. */
typedef struct {
  gsize first, n_rows;
  gsize n_samples;
  gsize *order;        /* n_rows indices of rows; NULL: as they stand */
  gsize *starts;       /* n_samples + 1 positions in that order; NULL: one row a sample */
  gsize n_late, first_late;   /* rows that were sorted, the index of the first */
} TidePlan;

/* Clock text without a date: a fall of more than half a day is midnight and counts on. Gives the
 * index behind the first midnight that was ever met, n when it is not here. Not is_clock: days counted so far stay. */
gsize  tide_rows_count_days (TideDays *days, gboolean is_clock, double *times, gsize n);
/* The median of the steps that rise, 0 when none does. stride > 1: of every so many only. */
double tide_rows_median_step (const double *times, gsize n, gsize stride);
/* Where a step back that is too large to be sorted begins a new part. Of the n rows (>= 1) the first n_known are in the
 * part at hand already. GArray of TidePart in the order of the file, never empty, transfer full; NULL when there would be
 * more than most. */
GArray *tide_rows_split (const double *times, gsize n, gsize n_known, TideFront front, guint most);

/* The earliest stamp of a part. */
double tide_part_find_start (const double *times, const TidePart *part);
/* Orders and groups the rows of a part by their stamps, shifted and indexed as the rows. The first n_known rows of the
 * chunk were counted before. */
void   tide_plan_init   (TidePlan *plan, const double *stamps, const TidePart *part, gsize n_known);
void   tide_plan_clear  (TidePlan *plan);
/* The index of the first row of a sample. */
gsize  tide_plan_get_row (const TidePlan *plan, gsize sample);
/* The index of the first row that shares the stamp of the one before; there must be one. */
gsize  tide_plan_find_equal (const TidePlan *plan);
/* The position in order where a sample begins, n_rows for n_samples. */
gsize  tide_plan_get_position (const TidePlan *plan, gsize sample);
/* The first n_samples samples of one column: the mean of each group's values, those left out that are missing (NaN).
 * Of a counter, the value furthest from 0: where it restarts within one stamp, a mean would be a count that never
 * was. Transfer full. */
double *tide_plan_gather (const TidePlan *plan, const double *values, gsize n_samples, gboolean is_counter);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TidePlan, tide_plan_clear)
