/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The coding of a block of samples: at most TIDE_BLOCK_SAMPLES doubles into few bytes and back,
 * bit for bit.
 *
 * A coder owns the scratch memory (about 2 MB) of one thread. Decoding trusts nothing: bytes that
 * are not exactly what encoding n values gives are refused, whatever they are.
 */
#pragma once

#include <glib.h>

#define TIDE_BLOCK_SAMPLES 65536

typedef struct _TideCoder TideCoder;

TideCoder *tide_coder_new  (void);
void       tide_coder_free (TideCoder *coder);

/* Any doubles will do; 1 <= n <= TIDE_BLOCK_SAMPLES. guess is n values that may lie near the
 * values, or NULL. The bytes belong to the coder, until its next call. */
const guint8 *tide_coder_encode (TideCoder *coder, const double *values, const double *guess, gsize n, gsize *size);
/* The way back, with the same guess and n. FALSE, with values in any state, when the bytes are
 * no encoding of n values. */
gboolean      tide_coder_decode (TideCoder *coder, const void *data, gsize size, const double *guess, gsize n,
                                 double *values);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideCoder, tide_coder_free)
