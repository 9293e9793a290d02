/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a charge begins, stays flat, tapers and settles, on a power curve that is already
 * smoothed. The definitions are those of the help page "Methods", with their constants named in
 * phases.c. Pure functions on columns; measure.h puts them together.
 */
#pragma once

#include "analysis/measure.h"

/* First time from which smoothed power stays >= max (0.25 W, 5 % of sustained_peak) for 30 s. NaN: never. */
double tide_find_draw_begins (const double *t, const double *smoothed, gsize n, double sustained_peak);
/* The start of the final settled stretch; NaN when the log ends before. top_ups counts pulses
 * inside that did not end it. */
double tide_find_settles     (const double *t, const double *smoothed, gsize n, double sustained_peak, guint *top_ups);
/* All flat stretches of at least min_s between from and to, each at least min_level, longest first, not
 * overlapping; level_w is left for the caller. GArray of TidePlateau, transfer full. */
GArray *tide_find_plateaus   (const double *t, const double *smoothed, gsize n, double from_s, double to_s,
                              double min_s, double min_level_w);
