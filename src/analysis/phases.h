/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a charge begins, stays flat, tapers and settles, on a power curve that is already
 * smoothed. The definitions are those of the help page "Methods", with their constants named in
 * phases.c and plateaus.c. Pure functions on columns; measure.h puts them together.
 */
#pragma once

#include "analysis/measure.h"

/* What counts as drawing: max (0.25 W, 5 % of sustained_peak). */
double tide_draw_limit_w     (double sustained_peak);
/* First time from which smoothed power stays >= max (0.25 W, 5 % of sustained_peak) for 30 s. NaN: never. */
double tide_find_draw_begins (const double *t, const double *smoothed, gsize n, double sustained_peak);
/* The start of the final settled stretch; NaN when the log ends before, also where it cuts off a taper so
 * slow that the last minutes would fit into the band. top_ups counts pulses inside that did not end it.
 * Excursions in the last 15 s of the log are let pass. */
double tide_find_settles     (const double *t, const double *smoothed, gsize n, double sustained_peak, guint *top_ups);
/* How far a settled draw wanders about its median: max (3 % of sustained_peak, 0.15 W); for how long it has to; and
 * below which share of the sustained peak. */
double tide_settled_band_w   (double sustained_peak);
#define TIDE_SETTLED_LEAST_S 300.0
#define TIDE_SETTLED_SHARE   0.50
/* All flat stretches of at least min_s between from and to, each at least min_level, longest first, not
 * overlapping, at most TIDE_MAX_PLATEAUS; level_w is the stretch's median of smoothed power, for the caller
 * to replace by its mean. GArray of TidePlateau, transfer full. */
#define TIDE_MAX_PLATEAUS 64
GArray *tide_find_plateaus   (const double *t, const double *smoothed, gsize n, double from_s, double to_s,
                              double min_s, double min_level_w);
/* The longest of them alone; FALSE when there is none. */
gboolean tide_find_plateau (const double *t, const double *smoothed, gsize n, double from_s, double to_s,
                            double min_s, double min_level_w, TidePlateau *plateau);
/* A plateau is flat where smoothed power is within ± TIDE_PLATEAU_BAND of its median. */
#define TIDE_PLATEAU_BAND 0.05
