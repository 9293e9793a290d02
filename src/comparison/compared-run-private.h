/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What only the comparison may do with a run in it: put it somewhere on the axes, and ask for the
 * columns that are drawn. Everything here is computed when first asked for and kept until what
 * it depends on changes; a run keeps a column per quantity that was once looked at.
 */
#pragma once

#include "comparison/comparison.h"

/* One quantity of a run as it is drawn. NULL columns: the export had none. */
typedef struct {
  const double *y, *smoothed;      /* in the recording, the measurement, or the next two */
  double *own_y, *own_smoothed;
  TideOverview *overview_y;
  TideOverview *own_overview_smoothed; /* NULL where smoothed is y itself */
  double noise;                    /* of one sample about smoothed; 0: unknown; NaN: not asked for yet */
  gboolean ready;
} TideRunChannel;

struct _TideComparedRun {
  GObject parent_instance;

  gint64 id;
  TideConditions *conditions;
  TideRecording *recording;
  TideMeasurement *measurement;
  guint slot;

  /* The measured stretch of the recording. */
  gsize first, n;
  const double *t;

  TideRunChannel channels[TIDE_N_QUANTITIES];
  double *energy_wh; /* n: since the stretch began */

  /* Where it stands. */
  gboolean placed;
  double shift_s, zero_s;
  TideAlignment stands_on;
  TideAxis x_axis; /* of x */
  double *x;       /* n, or NULL while not asked for */
  gboolean x_ready;

  TideDifference *difference;
  gboolean compared;
  char *note;
};

void tide_run_channel_clear (TideRunChannel *channel);

/* Measurement is transfer full; a run without a name is given one. */
TideComparedRun *tide_compared_run_new (gint64 id, const TideConditions *conditions, TideRecording *recording,
                                        TideMeasurement *measurement, guint slot);
/* Forgets all that was made of the recording before. */
void     tide_compared_run_set_recording  (TideComparedRun *run, TideRecording *recording, TideMeasurement *measurement);
/* Say whether anything changed. */
gboolean tide_compared_run_set_conditions (TideComparedRun *run, const TideConditions *conditions);
gboolean tide_compared_run_set_slot       (TideComparedRun *run, guint slot);

/* Where the run stands: shift_s is added to its times, energy counts from zero_s (a time of its
 * recording), stands_on is the mark that was found. */
void          tide_compared_run_place        (TideComparedRun *run, double shift_s, double zero_s, TideAlignment stands_on);
void          tide_compared_run_drop_place   (TideComparedRun *run);
gboolean      tide_compared_run_is_placed    (TideComparedRun *run);
double        tide_compared_run_get_shift_s  (TideComparedRun *run);
TideAlignment tide_compared_run_get_stands_on (TideComparedRun *run);

/* Samples in the measured stretch, which is all that a comparison shows of a run. */
gsize         tide_compared_run_get_n        (TideComparedRun *run);
/* n values that never fall; NULL where the run has no such axis (share of no energy). Placed runs only. */
const double *tide_compared_run_get_x        (TideComparedRun *run, TideAxis axis);
/* A time of the recording on that axis; NaN for NaN and outside the stretch. */
double        tide_compared_run_find_x       (TideComparedRun *run, TideAxis axis, double time_s);
const TideRunChannel *tide_compared_run_get_channel (TideComparedRun *run, TideQuantity quantity);
double        tide_compared_run_get_noise    (TideComparedRun *run, TideQuantity quantity);

/* The comparison's notes about the run; both owned by it. */
void  tide_compared_run_keep_difference (TideComparedRun *run, TideDifference *difference);
void  tide_compared_run_drop_difference (TideComparedRun *run);
/* FALSE: not asked for yet. *difference NULL: asked for, there is none. */
gboolean tide_compared_run_get_difference (TideComparedRun *run, const TideDifference **difference);
const char *tide_compared_run_keep_note (TideComparedRun *run, char *note);
