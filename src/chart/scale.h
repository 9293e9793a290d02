/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From values to pixels, and which values get a tick. Pure arithmetic. */
#pragma once

#include <glib.h>

/* value → pixel: start_px at low, end_px at high. A degenerate scale (low == high) puts all in the middle. */
typedef struct { double low, high, start_px, end_px; } TideScale;

double tide_scale_to_px   (const TideScale *scale, double value);
double tide_scale_from_px (const TideScale *scale, double px);

/* Ticks low + k·step inside [low, high] of a view; steps 1, 2, 5 × 10ⁿ (Heckbert, Graphics Gems, 1990). */
typedef struct { double first, step; guint count; int decimals; } TideTicks;

TideTicks tide_ticks_plain (double low, double high, guint wanted);
/* Steps that clocks know: 1 2 5 10 15 20 30 s and min, 1 2 3 6 12 h; days beyond. */
TideTicks tide_ticks_time  (double low_s, double high_s, guint wanted);
/* The same span widened to whole ticks; for axes that start at 0 unless values are negative. */
void      tide_ticks_widen (double *low, double *high, guint wanted);

/* "0", "30 min", "1 h", "1 h 30"; units follow the step. Transfer full. */
char *tide_ticks_time_label (const TideTicks *ticks, double value_s);
