/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up charges for the tests of the chart room: same wishes, same samples. */
#pragma once

#include "comparison/comparison.h"

/* One charge: lead, plateau, exponential taper, tail at the standing draw. */
typedef struct {
  const char *name;
  guint32 seed;
  double interval_s;   /* of the log */
  double lead_s, plateau_w, plateau_s, tau_s, standing_w, tail_s;
  double noise_w;      /* even noise, half-width */
  double spike_every_s, spike_w;
  double gap_at_s, gap_s; /* no samples there; 0: none */
  const char *device, *supply, *notes;
} MadeRun;

/* A charge as most tests take it; the name is borrowed. */
MadeRun         made_run       (const char *name, double plateau_w, double plateau_s, guint32 seed);
TideRecording  *made_recording (const MadeRun *run);
/* With the run put last, in the next free slot. */
void            made_add       (TideComparison *comparison, const MadeRun *run);
/* n runs that differ a little, in one comparison. */
TideComparison *made_comparison (guint n);
