/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: the columns a recording is made of, before it is one. */
#pragma once

#include "recording/sink.h"

/* Method notes: logged power may differ from V·I by this much before it is a complaint. */
#define TIDE_POWER_TOLERANCE 0.02

/* All three of power, voltage and current are there. */
gboolean     tide_columns_have_all (const TideColumns *columns);
/* |P − V·I| / max (|P|, 1 W) of one sample; turned: I counts the other way. */
double       tide_columns_measure_sample (const TideColumns *columns, gsize i, gboolean turned);
/* The median of that where it is above TIDE_POWER_TOLERANCE; 0 where it is not, or where not all three are there. */
double       tide_columns_measure_mismatch (const TideColumns *columns);
/* Which column holds a value that is no finite number, missing ones of optional columns aside; TIDE_N_QUANTITIES: none. */
TideQuantity tide_columns_find_infinite (const TideColumns *columns);
