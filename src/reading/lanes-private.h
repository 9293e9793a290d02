/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The steps of tide_choose_columns() that are files of their own. */
#pragma once

#include "reading/reading-private.h"

/* Of a table's rows, this share must have a number in a column for it to be taken. */
#define TIDE_FILLED_SHARE 0.5

/* ---- lanes.c ---- */

/* Sorts the columns that are known (filled says which hold values, one for each) into the understanding's lanes. Two columns
 * for one place become a question. Errors: _NO_TABLE, _RULE. */
gboolean tide_lanes_choose (TideUnderstanding *understanding, const TideMeaning *meanings, const gboolean *filled,
                            const TideTable *table, GError **error);

/* ---- magnitude.c ---- */

/* Holds the middle values of voltage, current and power against what a charge by cable can have, and against each other:
 * units that cannot be are mended and said, or asked about. */
void     tide_magnitude_check (TideUnderstanding *understanding, const TideMeaning *meanings, const TideTable *table);
