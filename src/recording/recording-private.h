/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: how a recording comes to be. */
#pragma once

#include "recording/recording.h"

/* n values each, NULL where absent, to be freed with g_free(). */
typedef struct {
  gsize n;
  double *values[TIDE_N_QUANTITIES];
} TideColumns;

void tide_columns_clear (TideColumns *columns);

/* Takes the values out of columns when they keep the contract of a recording (see recording.h),
 * else leaves them and fails with TIDE_RECORDING_ERROR_DAMAGED. complaints is transfer none. */
TideRecording *tide_recording_take (TideColumns *columns, gboolean power_logged, const TideProvenance *provenance,
                                    guint part, GPtrArray *complaints, GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideColumns, tide_columns_clear)
