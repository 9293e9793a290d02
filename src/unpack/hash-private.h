/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The SHA-256 of what is read, and the buffer it is read into. */
#pragma once

#include <glib.h>

typedef struct _TideHash TideHash;

TideHash   *tide_hash_new         (void);
void        tide_hash_free        (TideHash *hash);
/* The buffer to read into, of TIDE_PIECE_BYTES, once so many bytes in it (0 the first time) are hashed. */
guint8     *tide_hash_next_buffer (TideHash *hash, gsize length);
/* In hex, once the last buffer has its bytes; only once. */
const char *tide_hash_finish      (TideHash *hash, gsize length);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideHash, tide_hash_free)
