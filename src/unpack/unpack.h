/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The texts that a file holds: one where it is plain or packed with gzip, the members of a ZIP archive, the
 * sheets of an .xlsx workbook. What a file is is told by its first bytes, never by its name.
 *
 * In the order of use: new(), then for each text next() and read() up to its end (or no further, when the rest is not
 * wanted), at last finish(). The unpacker reads the file itself and hashes it as it goes; a plain file's bytes are
 * handed over where they were read, without a copy. Memory does not grow with the file, but for what the bounds below
 * say.
 *
 *   while (tide_unpacker_next (unpacker))
 *     do tide_unpacker_read (unpacker, &bytes, &length, &at_end, error) while (!at_end);
 */
#pragma once

#include <gio/gio.h>

/* A piece: what a text is handed out in, and what a file is known by. */
#define TIDE_PIECE_BYTES (256 * 1024)
/* More than any export has; each costs a look. */
#define TIDE_MAX_MEMBERS 1000
/* What unpacks to more than so many bytes, and to more than so many times what was packed, is made to fill memory
 * and time. Logs shrink to a tenth or a thirtieth; deflate reaches a thousandth with nothing but repetition. */
#define TIDE_UNPACKED_FREE_BYTES (64 * 1024 * 1024)
#define TIDE_MAX_UNPACKED_RATIO  100
/* An archive that comes through a pipe, where nothing can be looked up twice, is held in memory up to this. */
#define TIDE_MAX_HELD_BYTES (256 * 1024 * 1024)

typedef enum {
  TIDE_UNPACK_ERROR_PACKED,    /* cannot be unpacked: damaged, locked, made to fill memory, of a kind not opened ... */
  TIDE_UNPACK_ERROR_TOO_LARGE, /* a row, a cell or the text of a workbook is beyond a bound */
  TIDE_UNPACK_ERROR_NO_SHEET,  /* there is no text of that number or name, or more than one */
} TideUnpackError;

#define TIDE_UNPACK_ERROR (tide_unpack_error_quark ())
GQuark tide_unpack_error_quark (void);

/* An archive of any kind, opened here or not, begins so. */
gboolean tide_is_packed (const guint8 *bytes, gsize length);

typedef struct _TideUnpacker TideUnpacker;

/* raw: from its beginning. is_hashed: finish() is to give the file's SHA-256. sheet: the only text that is wanted, by
 * its number from 1 or its name, in quotes where it could be both; NULL: all. Errors: those of raw; TIDE_UNPACK_ERROR:
 * _PACKED, _TOO_LARGE, _NO_SHEET (the message names those there are). Messages do not name the file. */
TideUnpacker *tide_unpacker_new  (GInputStream *raw, gboolean is_hashed, const char *sheet,
                                  GCancellable *cancellable, GError **error);
void          tide_unpacker_free (TideUnpacker *unpacker);

/* The next text begins; what was not read of the one before is passed over. FALSE: there are no more. */
gboolean      tide_unpacker_next (TideUnpacker *unpacker);
/* The next bytes of the text, borrowed until the next call for the unpacker. Every piece but the last has
 * TIDE_PIECE_BYTES; the last may have none. A sheet is UTF-8 with a TAB between columns and a line for every row, so
 * that rows have the spreadsheet's numbers. FALSE and an error: this text cannot be read on (encrypted, damaged, an
 * archive itself ...); next() may still be asked for another. */
gboolean      tide_unpacker_read (TideUnpacker *unpacker, const guint8 **bytes, gsize *length, gboolean *at_end,
                                  GError **error);

/* Of the text that next() began: the member's or sheet's name, fit for one line; NULL for a plain file and gzip. */
const char   *tide_unpacker_get_member  (TideUnpacker *unpacker);
/* How many texts the file holds, whichever of them are asked for; at least 1. */
guint         tide_unpacker_get_n_texts (TideUnpacker *unpacker);
/* Of the file's bytes, how many are done with. */
goffset       tide_unpacker_get_done    (TideUnpacker *unpacker);
/* Moves what there is to complain of the text read so far (cut short ...) to the end of complaints (TideComplaint). */
void          tide_unpacker_tell        (TideUnpacker *unpacker, GPtrArray *complaints);

/* Reads the rest of the file for the hash: SHA-256 in lower-case hex, owned by unpacker; only once, and only if
 * is_hashed. NULL and an error when the file cannot be read on. */
const char   *tide_unpacker_finish      (TideUnpacker *unpacker, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideUnpacker, tide_unpacker_free)
