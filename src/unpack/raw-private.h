/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file's own bytes from its beginning to its end, in pieces, and their SHA-256. */
#pragma once

#include <gio/gio.h>

typedef struct _TideRaw TideRaw;

TideRaw      *tide_raw_new  (GInputStream *stream, gboolean is_hashed, GCancellable *cancellable);
void          tide_raw_free (TideRaw *raw);
/* The next piece is at hand: TIDE_PIECE_BYTES, or fewer at the end. Errors: those of the stream; cancelled. */
gboolean      tide_raw_read (TideRaw *raw, GError **error);
/* The piece at hand, borrowed until the next. */
const guint8 *tide_raw_get_bytes (const TideRaw *raw, gsize *length);
gboolean      tide_raw_is_at_end (const TideRaw *raw);
/* How many bytes were read. */
goffset       tide_raw_get_done  (const TideRaw *raw);
/* The file as a stream that can seek, wherever it stands; transfer none. After the first piece; the rest is read for
 * the hash, or into memory where the file comes through a pipe. Errors: also TIDE_UNPACK_ERROR_PACKED: too large. */
GInputStream *tide_raw_make_seekable (TideRaw *raw, GError **error);
/* Reads the rest. The hash in lower-case hex, owned by raw; NULL on error. */
const char   *tide_raw_finish    (TideRaw *raw, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRaw, tide_raw_free)
