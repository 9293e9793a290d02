/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An export becomes recordings: what is this file, and its rows.
 *
 * The steps, each a file of its own:
 *   source, texts           a file -> the texts that unpack/unpack.h finds in it: itself, the logs of an archive, sheets
 *   text      bytes -> UTF-8 text: byte-order marks, encodings
 *   tokens    text -> records of fields (libcsv), rows numbered as a spreadsheet does
 *   header    the first lines -> where the names of the columns and their units stand
 *   words, units, saying, columns   a name -> which quantity, in which unit
 *   decimal, choose         the head's rows -> decimal mark, which columns are read
 *   lanes, magnitude, cells ... of which run, in units that can be, by the name or by each cell
 *   timing, looks, beside   the head's rows -> which column is the time, and how it is read
 *   order, ahead            a column of dates -> whether the day or the month stands first
 *   interval                the lines above a table -> the seconds from row to row
 *   dialect   puts these together: delimiter, and a TideUnderstanding of each table
 *   head, look              the first bytes of a text -> its tables; for reading on, or to be shown
 *   rule, statements        what a person states of a file; comes before what was sniffed
 *   question                what can be read in two ways, with the statements that answer it
 *   number, clock, stamp, pattern   a field -> a double, a time that passed, a point in time
 *   course                  such fields, row after row -> seconds since the first
 *   rows, tally             the understanding applied to every row; what was skipped
 *   runs      the rows of a table -> recordings, by a TideAssembler for each of those side by side
 *   reading   drives them
 *
 * Two plausible readings are never guessed between: a question names both, which as an error ends the reading.
 */
#pragma once

#include <gio/gio.h>

#include "reading/rule.h"
#include "recording/recording.h"
#include "recording/sink.h"

/* What was understood of a table: see reading/understanding.h. */
typedef struct _TideUnderstanding TideUnderstanding;

/* Called from the reading thread, at most ten times a second and once at the end. */
typedef void (*TideProgressFunc) (goffset done_bytes, goffset total_bytes, gpointer user_data);

typedef struct {
  TideProgressFunc progress; /* may be NULL */
  gpointer progress_data;
  const TideReadingRule *rule; /* what a person says of the file; NULL: nothing */
  GPtrArray *complaints;       /* TideComplaint, to stand before those of the reading; may be NULL */
} TideReadOptions;

/* Reads a whole export. Blocking; safe in any thread. options may be NULL.
 * Gives a GPtrArray of TideRecording (transfer full), never empty; their complaints tell every
 * row skipped. Errors: G_IO_ERROR (not found, is a directory, cancelled ...) or
 * TIDE_READING_ERROR, with one line that names the file's base name, the row where there is one,
 * and the reason. More than 20 % broken rows is an error. */
GPtrArray *tide_read_file (GFile *file, const TideReadOptions *options, GCancellable *cancellable, GError **error);

/* The same from memory; name stands in messages and becomes the recordings' file. */
GPtrArray *tide_read_bytes (GBytes *bytes, const char *name, const TideReadOptions *options,
                            GCancellable *cancellable, GError **error);

/* What remains to be said of a file once its recordings went into a sink. */
typedef struct {
  char *name;     /* its base name, for people */
  char *sha256;   /* lower-case hex, of the file's own bytes, packed or not */
  guint n_parts;  /* recordings, at least 1 */
} TideReadResult;

void tide_read_result_clear (TideReadResult *result);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideReadResult, tide_read_result_clear)

/* The same with the recordings handed to sink as they are read, in memory that does not grow with
 * the file. A recording may have reached the sink, end() and all, before an error; what it did must then be undone. */
gboolean tide_read_file_into  (GFile *file, const TideReadOptions *options, TideSink *sink, TideReadResult *result,
                               GCancellable *cancellable, GError **error);
gboolean tide_read_bytes_into (GBytes *bytes, const char *name, const TideReadOptions *options, TideSink *sink,
                               TideReadResult *result, GCancellable *cancellable, GError **error);

/* FALSE: it comes through a pipe or the like, from which what was read is gone. Such a file is opened once only. */
gboolean tide_file_can_be_read_again (GFile *file);

typedef enum {
  TIDE_READING_ERROR_EMPTY,     /* no bytes, or nothing but blank lines */
  TIDE_READING_ERROR_NOT_TEXT,  /* a picture, an archive ... */
  TIDE_READING_ERROR_NO_TABLE,  /* text without a table of a time and power (or V and A) column */
  TIDE_READING_ERROR_NO_TIME,   /* a table without a column that can be time */
  TIDE_READING_ERROR_NO_ROWS,   /* a header, and fewer than two usable rows below it */
  TIDE_READING_ERROR_AMBIGUOUS, /* two plausible readings; the message names both */
  TIDE_READING_ERROR_BROKEN,    /* more than 20 % of the rows are broken */
  TIDE_READING_ERROR_TOO_LARGE, /* a bound on line, field or column count was hit */
  TIDE_READING_ERROR_RULE,      /* what was stated of the file cannot be, or does not fit it */
  TIDE_READING_ERROR_PACKED,    /* an archive or a workbook that cannot be unpacked */
} TideReadingError;

#define TIDE_READING_ERROR (tide_reading_error_quark ())
GQuark tide_reading_error_quark (void);
