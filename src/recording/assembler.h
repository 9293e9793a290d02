/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Raw rows become recordings as they come, by the rules written at tide_recordings_assemble(), in
 * memory that does not grow with the log: a chunk of rows in hand, and a few sums.
 *
 * What cannot be known before the end is judged by the first chunk or told at the end:
 *  - the median interval, against which a step back is held, is that of the steps that rise in the rows of the
 *    chunk at hand (all rows of a log shorter than one);
 *  - signs, columns with many holes and rows with few are left to the TideRevision of end().
 * Optional columns (counters, temperature, data lines) may lack values: NaN in the raw rows. A column of
 * which a recording lacks more than 5 % is left out of it; else the samples that lack one go. Both are complained of.
 */
#pragma once

#include "recording/recording.h"
#include "recording/sink.h"

/* Rows to a chunk; raw rows may be pushed in pieces of any size. */
#define TIDE_CHUNK_ROWS 65536

typedef struct _TideAssembler TideAssembler;

/* next_part: the number that the next recording of the file gets, raised by each; shared between the assemblers of
 * one file. label may be NULL. Both borrowed, as is sink. */
TideAssembler *tide_assembler_new    (TideSink *sink, guint *next_part, const char *label);
void           tide_assembler_free   (TideAssembler *assembler);
/* Where its rows stand; nth is counted here. Borrows place->member. */
void           tide_assembler_set_place (TideAssembler *assembler, const TideRecordingPlace *place);
/* What the file calls its columns and in which row, for complaints; borrowed, NULL for those it does not name. */
void           tide_assembler_set_names (TideAssembler *assembler, const char *const names[TIDE_N_QUANTITIES], guint64 row);
/* Takes the rows out of raw, whose arrays come back empty; raw's columns must be the same each time. raw->start_us of
 * the first push is the wall clock of the first row. Errors: TIDE_RECORDING_ERROR, those of the sink. A file
 * of more than 10,000 recordings, whichever assemblers they come from, is one. */
gboolean       tide_assembler_push   (TideAssembler *assembler, TideRawRows *raw, GError **error);
/* No more rows come: the same errors as by finish(), which else does it, but nothing is said of the whole file yet. */
gboolean       tide_assembler_close  (TideAssembler *assembler, GError **error);
/* The last recording ends. skipped_rows and complaints (transfer none, may be NULL) are those of the rows that never came
 * here; they become the first recording's, whose end() waits until now. Errors: TOO_SHORT when not one recording
 * could be made. */
gboolean       tide_assembler_finish (TideAssembler *assembler, guint64 skipped_rows, GPtrArray *complaints, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideAssembler, tide_assembler_free)
