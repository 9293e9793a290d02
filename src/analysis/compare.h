/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two runs beside each other: how far to shift one, how their curves differ, what is to be said
 * of each quantity. Definitions: help page "Methods".
 */
#pragma once

#include "analysis/measure.h"

typedef enum {
  TIDE_ALIGN_BEGIN,  /* on draw begins */
  TIDE_ALIGN_SETTLE, /* on settling */
  TIDE_ALIGN_LOG,    /* on the log's start */
  TIDE_ALIGN_FIT,    /* on the best fit of smoothed power (cross-correlation) */
  TIDE_N_ALIGNMENTS
} TideAlignment;

/* "begin" ...; static. */
const char *tide_alignment_get_id   (TideAlignment alignment);
const char *tide_alignment_get_name (TideAlignment alignment);
gboolean    tide_alignment_from_id  (const char *id, TideAlignment *alignment);

/* One run as comparing needs it; borrowed. */
typedef struct {
  TideRecording *recording;
  const TideMeasurement *measurement;
} TideMeasured;

/* Seconds to add to the run's times so that they stand on the reference's clock. Where a run lacks the
 * mark (not settled, no draw) the offset is NaN: the caller says so and chooses another way. */
double tide_align_offset_s (TideMeasured reference, TideMeasured run, TideAlignment alignment);

/* The curve run − reference over what both have of x. */
typedef struct {
  gsize n;
  double start, step;       /* cell k covers start + k·step .. start + (k + 1)·step */
  double *delta;            /* n values, y units, NaN where a side has no data */
  double *smoothed;         /* delta by running median over 30 s (time) or 1 % of the range */
  double band;              /* half-width of the noise of one cell's difference, k = 2; 0 unknown */
  double mean, rms;
  double largest, largest_at; /* largest |smoothed|, with its sign */
  double overlap_percent;   /* share of the range with |delta| inside band */
} TideDifference;

/* x and y are the two curves on one axis (both rising in x); step is the grid's cell; noise the
 * standard deviation of one sample of each (0: unknown), interval their median spacing in x.
 * Errors: TIDE_ANALYSIS_ERROR_NO_OVERLAP. Transfer full. */
typedef struct {
  const double *x, *y;
  gsize n;
  double noise, interval;
} TideCurve;
TideDifference *tide_difference_new  (const TideCurve *reference, const TideCurve *run, double step, double smooth_over,
                                      GError **error);
void            tide_difference_free (TideDifference *difference);

typedef enum {
  TIDE_COMPARED_ENERGY, TIDE_COMPARED_CHARGE, TIDE_COMPARED_PLATEAU, TIDE_COMPARED_CHARGE_TIME,
  TIDE_COMPARED_STANDING_DRAW, TIDE_COMPARED_MEAN_POWER, TIDE_N_COMPARED
} TideCompared;

/* "energy_wh", "plateau_w" ...: the keys of JSON. Static. */
const char *tide_compared_get_id (TideCompared compared);

typedef enum { TIDE_VERDICT_SAME, TIDE_VERDICT_DIFFERENT, TIDE_VERDICT_UNDECIDED } TideVerdict;
const char *tide_verdict_get_id (TideVerdict verdict);

/* One quantity of run against reference; NaN where a side has none. */
typedef struct {
  double reference, value, difference, difference_percent;
  double low_percent, high_percent; /* 90 % interval; NaN while the meter's accuracy is unknown */
  double margin_percent;
  TideVerdict verdict;
  double repeats_needed;            /* NaN: not known, reason says why */
  const char *reason;               /* translated, static; NULL when decided */
} TideFinding;

/* TRUE: quantities over the charge window, because both settled; FALSE: over the recording. */
gboolean    tide_compare_over_window (const TideMeasurement *reference, const TideMeasurement *run);
TideFinding tide_compare_quantity    (const TideMeasurement *reference, const TideMeasurement *run, TideCompared compared,
                                      double margin_percent);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideDifference, tide_difference_free)
