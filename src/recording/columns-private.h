/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: the columns a recording is made of, before it is one. */
#pragma once

#include "recording/sink.h"

/* Does the run, as the signs stand, give charge (without a current column: energy) away? */
gboolean tide_columns_are_turned      (const TideColumns *columns);
/* Turns current, power that is negative over the whole run, and counters that fall. */
void     tide_columns_turn            (TideColumns *columns);
/* Fills in power as V·I; voltage and current must be there. */
void     tide_columns_compute_power   (TideColumns *columns);
/* The median of |P − V·I| / max (|P|, 1 W) where it is above limit; 0 where it is not, or where not all
 * three are there. */
double   tide_columns_measure_mismatch (const TideColumns *columns, double limit);
