/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: how a recording comes to be. */
#pragma once

#include "recording/columns-private.h"
#include "recording/recording.h"

/* Takes the values out of columns when they keep the contract of a recording (see recording.h),
 * else leaves them and fails with TIDE_RECORDING_ERROR_DAMAGED. complaints is transfer none. */
TideRecording *tide_recording_take (TideColumns *columns, gboolean power_logged, const TideProvenance *provenance,
                                    guint part, GPtrArray *complaints, GError **error);
