/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What measure.c puts together from files of their own: the meter's counters, spikes, levels and
 * milestones. For this room only.
 */
#pragma once

#include "analysis/measure.h"

/* The samples of a stretch, the right way round. */
typedef struct
{
  const double *t, *power, *smoothed;
  gsize n;
} TideSamples;

/* How far the meter's own counter moved from from_s to to_s (both within t's range), in its own
 * unit: restarts summed, falling counters by their size, part of an interval by its share. */
double     tide_count_growth     (const double *t, const double *counter, gsize n, double from_s, double to_s);

/* Adds a complaint where the column that the energy is made of (power if it was logged, else current) is printed in
 * steps of a tenth of its mean or more. */
void       tide_complain_of_coarseness (TideRecording *recording, GPtrArray *complaints);

/* Scaled MAD of power about its smoothed curve. */
double     tide_find_noise_w     (const TideSamples *samples);
/* The least height above the smoothed curve that makes a spike. */
double     tide_spike_limit_w    (double level_w, double noise_w);
TideSpikes tide_find_spikes      (const TideSamples *samples, double limit_w);

/* Time-weighted mean of power over the plateau, without spikes and interruptions. plateau->level_w
 * is the plateau's median. */
double     tide_find_level_w     (const TideSamples *samples, const TidePlateau *plateau, double spike_limit_w);

/* Seconds from from_s until each share of the energy up to to_s has passed; both are samples' times. */
void       tide_find_milestones  (const TideSamples *samples, double from_s, double to_s,
                                  double milestones_s[TIDE_N_MILESTONES]);
