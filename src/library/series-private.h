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

/* Cancellable between blocks. */
gboolean tide_series_write (TideStore *store, const TideSeries *series, const double *values,
                            GCancellable *cancellable, GError **error);
/* *values stays NULL when the run has none of that channel, else n values, transfer full, also on
 * error. Memory is taken only once the file has shown as many blocks as it claims values for. */
gboolean tide_series_read  (TideStore *store, const TideSeries *series, GCancellable *cancellable, double **values,
                            GError **error);
