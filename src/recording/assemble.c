/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Raw rows that are in memory become recordings in memory: an assembler with a memory sink behind
 * it. */
#include "recording/assembler.h"
#include "recording/memory-sink.h"

GPtrArray *
tide_recordings_assemble (TideRawRows *raw,
                          const TideProvenance *provenance,
                          GPtrArray *complaints,
                          GError **error)
{
  static const TideProvenance nowhere = { 0 };
  const TideProvenance *own = provenance != NULL ? provenance : &nowhere;
  guint next_part = 1;
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_autoptr (TideAssembler) assembler =
      tide_assembler_new (tide_memory_sink_get_sink (memory), &next_part, own->label);

  raw->start_us = own->start_us;
  if (!tide_assembler_push (assembler, raw, error)
      || !tide_assembler_finish (assembler, own->skipped_rows, complaints, error))
    return NULL;
  return tide_memory_sink_finish (memory, own->file, own->sha256, error);
}
