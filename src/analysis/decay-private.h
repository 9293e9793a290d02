/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A decay to a level, y (t) = end + height · exp (-t / tau), fitted to some means of a curve. For this room only.
 *
 * For each tau of a ladder the best end (from 0 to most_end) and height are linear least squares, weighted down where
 * single values lie far off (biweight, two rounds); the ladder's best tau wins, and all that fit about as well tell what is
 * left open. n values are as many independent ones as their residuals' autocorrelation leaves. Costs 200 walks over them.
 */
#pragma once

#include <glib.h>

#define TIDE_DECAY_STEPS 200

typedef struct {
  double tau, end, height; /* height at t = 0 */
} TideDecay;

typedef struct {
  TideDecay best;
  double rms;                         /* of the residuals of the values that count */
  guint n_open;                       /* decays that fit about as well, the best among them, in the order of tau */
  TideDecay open[TIDE_DECAY_STEPS];
  gboolean is_bounded;                /* neither the shortest nor the longest tau is among them */
} TideDecayFit;

/* t rises from 0 or more; n >= 8. floor: a residual that is no more than this is none at all. */
void tide_decay_fit (const double *t, const double *y, gsize n, double most_end, double floor, TideDecayFit *fit);
