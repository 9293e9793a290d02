/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sink that keeps what it is given in memory, and makes TideRecordings of it. */
#pragma once

#include "recording/recording.h"
#include "recording/sink.h"

typedef struct _TideMemorySink TideMemorySink;

TideMemorySink *tide_memory_sink_new  (void);
void            tide_memory_sink_free (TideMemorySink *memory);
/* Borrowed. */
TideSink       *tide_memory_sink_get_sink (TideMemorySink *memory);
/* Once all recordings have ended: GPtrArray of TideRecording, by part, transfer full. file and sha256 (may be NULL)
 * become theirs. Errors: TIDE_RECORDING_ERROR_DAMAGED, where what was given is no recording. */
GPtrArray      *tide_memory_sink_finish   (TideMemorySink *memory, const char *file, const char *sha256, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideMemorySink, tide_memory_sink_free)
