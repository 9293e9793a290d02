/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: one channel of one run as a row of encoded blocks. */
#pragma once

#include "library/store-private.h"

typedef enum { TIDE_SERIES_CHUNK, TIDE_SERIES_OVERVIEW } TideSeriesTable;

typedef struct {
  TideSeriesTable table;
  gint64 run;
  TideQuantity channel;
  gsize n;                         /* values */
  const double *voltage, *current; /* n each: the values may be near their product; or both NULL */
} TideSeries;

/* A statement that writes blocks into a table, in place of what stands there. */
sqlite3_stmt *tide_series_prepare_put (TideStore *store, TideSeriesTable table, GError **error);
/* Writes block number seq of series, whose n is of no matter here: length values, at most TIDE_BLOCK_SAMPLES. guess as for
 * tide_coder_encode(). */
gboolean tide_series_put_block (TideStore *store, sqlite3_stmt *put, const TideSeries *series, gsize seq, const double *values,
                                const double *guess, gsize length, GError **error);
/* Reads it back: the same guess and length. */
gboolean tide_series_get_block (TideStore *store, const TideSeries *series, gsize seq, double *values, const double *guess,
                                gsize length, GError **error);
/* Takes the blocks from seq on out of the file. */
gboolean tide_series_cut       (TideStore *store, const TideSeries *series, gsize seq, GError **error);
/* The number of values that stand in the file, as its blocks say. */
gboolean tide_series_count     (TideStore *store, const TideSeries *series, gsize *n, GError **error);

/* *values stays NULL when the run has none of that channel, else n values, transfer full, also on
 * error. Memory is taken only once the file has shown as many blocks as it claims values for. */
gboolean tide_series_read  (TideStore *store, const TideSeries *series, GCancellable *cancellable, double **values,
                            GError **error);
