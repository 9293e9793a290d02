/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: the overview of one run, as its samples come. */
#pragma once

#include "library/series-private.h"

/* At most so many samples to a pair of smallest and largest value. */
#define TIDE_OUTLINE_STEP 256
/* Short runs get finer pairs: at least so many where they have the samples. */
#define TIDE_OUTLINE_PAIRS 256

typedef struct {
  gint64 run;
  gsize step;      /* samples to a pair, a power of 2 */
  gsize n_in_pair; /* of the last one */
  gsize n_blocks;  /* written */
  GArray *times, *powers; /* double: pairs not yet written */
} TideOutline;

void     tide_outline_init   (TideOutline *outline, gint64 run);
void     tide_outline_clear  (TideOutline *outline);
gboolean tide_outline_add    (TideOutline *outline, TideStore *store, sqlite3_stmt *put, const double *times,
                              const double *powers, gsize n, GError **error);
/* The last pairs are written. */
gboolean tide_outline_finish (TideOutline *outline, TideStore *store, sqlite3_stmt *put, GError **error);
