/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: which rows of a file belong together, and in which order. Works on the
 * column of stamps alone; says what it found and leaves complaining to whoever asked.
 */
#pragma once

#include <glib.h>

/* Rows first .. end - 1 of the file are one recording. */
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
  gsize n_equal, first_equal; /* rows that share the stamp of the one before, the index of the first */
  double start_s;      /* the earliest stamp, before it was shifted to 0 */
} TidePlan;

/* Clock text without a date: a fall of more than half a day is midnight and counts on. Gives the
 * number of midnights and the index behind the first. */
guint tide_rows_count_days (double *times, gsize n, gsize *first_midnight);
/* Where a step back that is too large to be sorted begins a new part. GArray of TidePart in the order of
 * the file, never empty, transfer full; NULL when there would be more than most. n >= 1. */
GArray *tide_rows_split (const double *times, gsize n, guint most);

/* Orders and groups the rows of a part and shifts their times to start at 0. */
void   tide_plan_init   (TidePlan *plan, double *times, const TidePart *part);
void   tide_plan_clear  (TidePlan *plan);
/* The samples of one column: the mean of each group's values. Of a counter, the value furthest from 0: where
 * it restarts within one stamp, a mean would be a count that never was. Transfer full. */
double *tide_plan_gather (const TidePlan *plan, const double *values, gboolean is_counter);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TidePlan, tide_plan_clear)
