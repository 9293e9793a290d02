/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When a charge that is still being logged will settle, told from its taper.
 *
 * While the device draws steadily nothing can be said. Once the draw tapers, its power is held against
 * P(t) = P_end + (P_0 - P_end) exp (-(t - t_0) / tau): held at constant voltage, a cell's current falls so to first
 * order (method notes' closed-form charge: tau = R C). What ends the taper is either the band of "settles" (phases.h)
 * or the charger, which stops at a share of its fast current: 10 % and 2.5 % bound what charger chips are set to. The range told
 * spans both bounds and all decays that fit the curve about as well as the best; where that leaves too much open, or the
 * curve is no such decay, there is no estimate but a reason. That a whole device's power follows its cell's current is common
 * practice, no source.
 */
#pragma once

#include "analysis/measure.h"

typedef enum {
  TIDE_CHARGE_WAITING,  /* the draw has not begun */
  TIDE_CHARGE_STEADY,   /* it draws, and does not taper yet */
  TIDE_CHARGE_TAPERING,
  TIDE_CHARGE_RESTING,  /* the draw has fallen and lies still, but not yet for the 5 minutes that make it settled */
  TIDE_CHARGE_SETTLED,
  TIDE_CHARGE_ENDED,    /* the log ended before that */
  TIDE_N_CHARGE_STATES
} TideChargeState;

/* "waiting", "steady" ...; static. */
const char *tide_charge_state_get_id   (TideChargeState state);
/* "waiting for the draw", translated, static. */
const char *tide_charge_state_get_name (TideChargeState state);

typedef struct {
  TideChargeState state;
  double settles_s;              /* seconds from the recording's first sample; NaN: cannot be told */
  double earliest_s, latest_s;   /* of settles_s; NaN with it */
  const char *reason;            /* why not, translated, static; NULL where settles_s is told */
  double tau_s, end_w;           /* of the decay; NaN where there is none */
} TideExpectation;

/* measurement is that of the whole recording. log_ended: nothing more will be logged. Costs a walk back over the taper
 * and a fit to at most TIDE_TAPER_BLOCKS means of it. */
TideExpectation tide_expect_settling (TideRecording *recording, const TideMeasurement *measurement, gboolean log_ended);
#define TIDE_TAPER_BLOCKS 120
