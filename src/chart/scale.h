/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From values to pixels, and which values get a tick. Pure arithmetic. */
#pragma once

#include <glib.h>

/* value → pixel: start_px at low, end_px at high. A degenerate scale (low == high) puts all in the middle. */
typedef struct { double low, high, start_px, end_px; } TideScale;

double tide_scale_to_px   (const TideScale *scale, double value);
double tide_scale_from_px (const TideScale *scale, double px);

/* Ticks first + k·step, k < count, inside [low, high] of a view; steps 1, 2, 5 × 10ⁿ (after Heckbert,
 * Graphics Gems, 1990), the finest that gives at most wanted + 1 ticks: six wanted is four to seven.
 * decimals: what the step's multiples need. No ticks between ends that are no numbers; one tick
 * where low == high. */
typedef struct { double first, step; guint count; int decimals; } TideTicks;

TideTicks tide_ticks_plain (double low, double high, guint wanted);
/* Steps that clocks know: 1 2 5 10 15 20 30 s and min, 1 2 3 6 12 h; days beyond, 1-2-5 below. */
TideTicks tide_ticks_time  (double low_s, double high_s, guint wanted);
/* Value of tick k, without the rounding that adds up in first + k·step: zero is exactly 0. */
double    tide_ticks_get_value (const TideTicks *ticks, guint index);

/* "0", "30 min", "1 h", "1 h 30"; units follow the step: "40 s", "1 min 20 s", "36 h", "2 d". No two
 * ticks have one label. Transfer full. */
char *tide_ticks_time_label (const TideTicks *ticks, double value_s);
