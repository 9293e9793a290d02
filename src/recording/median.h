/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The median by selection, for whoever needs one of millions of values. */
#pragma once

#include <glib.h>

/* The median of n >= 1 finite values, the mean of the middle two for even n. Reorders values;
 * allocates nothing to speak of. O(n), O(n log n) on values made to be hard. */
double tide_select_median (double *values, gsize n);
