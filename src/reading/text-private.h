/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: bytes become text (UTF-8), and text lines. */
#pragma once

#include "reading/understanding.h"
#include "unpack/unpack.h"

/* ---- text.c ---- */

typedef struct _TideDecoder TideDecoder;

/* Decides from a text's first bytes (all of them if at_end) how they become UTF-8: by encoding, which may be NULL; complains
 * of what is not stated or marked. Errors: TIDE_READING_ERROR_EMPTY, _NOT_TEXT, _RULE. */
TideDecoder *tide_decoder_new  (const guint8 *head, gsize length, gboolean at_end, const char *encoding,
                                GPtrArray *complaints, GError **error);
/* As iconv knows it. */
const char  *tide_decoder_get_encoding (const TideDecoder *decoder);
/* Statistics chose the encoding: a letter outside ASCII may be another. */
gboolean     tide_decoder_is_guess (const TideDecoder *decoder);
void         tide_decoder_free (TideDecoder *decoder);
/* Gives the text of the next bytes, without NULs; it stays the decoder's (or is bytes itself) until the next
 * call. A sequence cut by the end of bytes waits for the next call. */
gboolean     tide_decoder_feed (TideDecoder *decoder, const guint8 *bytes, gsize length, gboolean at_end,
                                const char **text, gsize *text_length, GError **error);
/* Complains of the NULs that were passed over so far. */
void         tide_decoder_tell (const TideDecoder *decoder, GPtrArray *complaints);

/* ---- encoding.c ---- */

/* Nothing beyond ASCII but what WINDOWS-1252 writes into units and numbers. */
gboolean tide_has_only_unit_signs (const guint8 *head, gsize length);
/* The likeliest encoding of bytes that are no UTF-8, by iconv's name. Transfer full; never NULL. */
char    *tide_guess_encoding      (const guint8 *head, gsize length);

/* ---- lines.c ---- */

typedef struct _TideLines TideLines;

/* text: the first piece of unpacker's text as decoder gave it. All are borrowed. */
TideLines *tide_lines_new  (TideUnpacker *unpacker, TideDecoder *decoder, const char *text, gsize length,
                            gboolean at_end);
void       tide_lines_free (TideLines *lines);
/* The next block of whole lines; the last line of the text may lack its end. length is 0 at the text's end. */
gboolean   tide_lines_next (TideLines *lines, const char **text, gsize *length, GError **error);
/* Puts back the last length bytes of the block before, from on; text is at least TIDE_HEAD_BYTES from there, or all there is,
 * and stays until the block after the next. */
gboolean   tide_lines_go_back (TideLines *lines, const char *from, gsize length, const char **text, gsize *text_length,
                               GError **error);
/* Passes over n bytes of what comes next; no more than were put back. */
void       tide_lines_skip (TideLines *lines, gsize n);
/* No more will be read than was. */
gboolean   tide_lines_is_at_end (const TideLines *lines);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideLines, tide_lines_free)

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideDecoder, tide_decoder_free)
