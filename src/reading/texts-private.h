/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The texts of a file, one after the other, each opened at its head. Looking at a file and reading it both go this way,
 * so that what was shown is what is read.
 */
#pragma once

#include "reading/opening-private.h"

typedef struct {
  GInputStream *raw;
  const TideReadingRule *rule;
  GCancellable *cancellable;
  TideUnpacker *unpacker;
  guint text;             /* the one at hand, from 1 */
  guint n_opened;
  GPtrArray *passed_over; /* TideComplaint: texts of several that are no logs, and why; may be taken out */
  GError *problem;        /* of the first of them */
} TideTexts;

/* tide_unpacker_new() and _read() with the sheet that rule (may be NULL) says, and TIDE_READING_ERROR in place of the
 * unpacker's own: all of reading unpacks by these. */
TideUnpacker *tide_texts_unpack (GInputStream *raw, gboolean is_hashed, const TideReadingRule *rule,
                                 GCancellable *cancellable, GError **error);
gboolean      tide_texts_read   (TideUnpacker *unpacker, const guint8 **bytes, gsize *length, gboolean *at_end,
                                 GError **error);

/* raw: from its beginning; all borrowed. Errors: as tide_texts_unpack(). Clear texts even then. */
gboolean tide_texts_open  (TideTexts *texts, GInputStream *raw, gboolean is_hashed, const TideReadingRule *rule,
                           GCancellable *cancellable, GError **error);
void     tide_texts_clear (TideTexts *texts);
/* Opens the next text that is a log: opening is cleared and made anew, at_end tells whether its first piece was all.
 * found is FALSE behind the last. Errors: cancelled; that of the first text when none is a log. */
gboolean tide_texts_next  (TideTexts *texts, TideOpening *opening, gboolean *at_end, gboolean *found, GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideTexts, tide_texts_clear)
