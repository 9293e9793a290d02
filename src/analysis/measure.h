/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of one run. Each is defined once, in the help page "Methods"; the comments here
 * say which. Times are seconds from the recording's first sample, energies Wh, charges Ah,
 * powers W. NaN stands for a number that does not exist for this run; reason says why.
 */
#pragma once

#include <math.h>

#include "recording/recording.h"

/* A value and its expanded uncertainty (k = 2), NaN while no accuracy is known. */
typedef struct { double value, uncertainty; } TideFigure;

/* A stretch of a recording; an end that is NaN is the recording's own. */
typedef struct { double from_s, to_s; } TideStretch;
#define TIDE_STRETCH_ALL ((TideStretch){ NAN, NAN })

typedef struct {
  TideFigure level_w;     /* time-weighted mean without spikes */
  double start_s, end_s;
} TidePlateau;

typedef struct {
  guint count;            /* excursions above the smoothed curve shorter than 30 s */
  double tallest_w;       /* absolute power of the tallest; NaN when none */
  double total_s;
  double energy_wh;       /* above the smoothed curve */
} TideSpikes;

typedef struct {
  guint count;
  double total_s;         /* whole gap intervals */
} TideGaps;

/* What the meter's own counters say; NaN where the export has none. */
typedef struct {
  double energy_wh, charge_ah;
  double energy_difference_percent; /* (integral − counter) / counter */
  double charge_difference_percent; /* likewise */
} TideCounter;

#define TIDE_N_MILESTONES 6
/* 50, 80, 90, 95, 99, 100 percent of the charge window's energy. */
extern const int tide_milestone_percent[TIDE_N_MILESTONES];

typedef struct {
  gsize n_samples;
  double duration_s, median_interval_s;
  TideGaps gaps;
  TideFigure energy_wh, charge_ah, mean_power_w;                      /* the whole stretch */
  TideFigure window_energy_wh, window_charge_ah, window_mean_power_w; /* draw begins to settles */
  TideFigure peak_power_w;       /* highest sample */
  TideFigure sustained_peak_w;   /* highest smoothed power */
  double draw_begins_s, settles_s, charge_time_s, taper_s;
  TideFigure standing_draw_w;
  guint top_ups;                 /* pulses after settling that did not end it */
  gboolean has_plateau;
  TidePlateau plateau;           /* the plateau: the longest; valid if has_plateau */
  GArray *plateaus;              /* TidePlateau, all of at least 5 min, in time order; never NULL */
  TideSpikes spikes;
  double milestones_s[TIDE_N_MILESTONES]; /* from draw begins */
  gboolean has_counter;
  TideCounter counter;
  double noise_w;                /* scaled MAD of power about the smoothed curve */
  const char *unsettled_reason;  /* translated, static; NULL when the draw settles */
  GPtrArray *complaints;         /* TideComplaint: the recording's own and what measuring adds */

  /* The stretch that was measured, and power smoothed over it (running median over 30 s). Only in
   * the stretch: index 0 is the recording's sample first_sample. */
  TideStretch stretch;
  gsize first_sample, n_smoothed;
  double *smoothed_w;
} TideMeasurement;

/* Measures a recording or a stretch of it. If the charge over the stretch is negative, current
 * and power are counted the other way and a complaint says so. Ends between samples are interpolated
 * for energy and charge. Errors: TIDE_ANALYSIS_ERROR when the stretch holds fewer than 2 samples
 * or its ends are the wrong way round. */
TideMeasurement *tide_measure          (TideRecording *recording, TideStretch stretch, GError **error);
void             tide_measurement_free (TideMeasurement *measurement);

/* The energy over a whole recording alone, in Wh: what tide_measure() gives as energy_wh, in a
 * hundredth of its time. */
double           tide_measure_energy_wh (TideRecording *recording);

typedef enum {
  TIDE_ANALYSIS_ERROR_STRETCH,
  TIDE_ANALYSIS_ERROR_NO_OVERLAP,
} TideAnalysisError;

#define TIDE_ANALYSIS_ERROR (tide_analysis_error_quark ())
GQuark tide_analysis_error_quark (void);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideMeasurement, tide_measurement_free)
