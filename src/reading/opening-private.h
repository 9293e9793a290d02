/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: a file is opened, its head understood, and looked at beyond that where dates need it. */
#pragma once

#include "reading/reading-private.h"
#include "reading/text-private.h"

/* ---- source.c ---- */

/* A file's name for people, on one line; transfer full. */
char         *tide_source_dup_name (GFile *file);
/* Opens a file for reading; name (transfer full) is set to one for people, on one line, total to its size or 0. Errors name the
 * file. */
GInputStream *tide_source_open     (GFile *file, char **name, goffset *total, GCancellable *cancellable, GError **error);

/* ---- head.c ---- */

/* A text whose first bytes are decoded and understood. */
typedef struct {
  TideDecoder *decoder; /* goes on with what follows */
  const char *text;     /* the first bytes as UTF-8; the decoder's until it is fed again */
  gsize length;
  GPtrArray *tables;    /* TideUnderstanding, at least one, in order; what there is to complain of the text stands in the first */
} TideOpening;

/* From the first piece of a text, of TIDE_HEAD_BYTES or less at_end. member and rule may be NULL. Errors: TIDE_READING_ERROR,
 * without the file's name; an open question is none. Clear opening even then. */
gboolean tide_opening_make  (TideOpening *opening, const guint8 *bytes, gsize length, gboolean at_end, const char *member,
                             const TideReadingRule *rule, GCancellable *cancellable, GError **error);
void     tide_opening_clear (TideOpening *opening);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideOpening, tide_opening_clear)

/* ---- ahead.c ---- */

/* Where the last of tables (those of the text-th text, from 1, of a file) leaves such a question, reads the file on from its
 * beginning to answer it, and winds raw back to where it was. rule may be NULL. FALSE: cancelled, or raw cannot be read. */
gboolean      tide_orders_look_ahead (GInputStream *raw, const TideReadingRule *rule, guint text, GPtrArray *tables,
                                      GCancellable *cancellable, GError **error);
