/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one road into the library, for the command line and the window alike: a recording that was
 * read is looked up by its file, given the conditions its export states, integrated and stored.
 */
#pragma once

#include "library/store.h"

/* Puts a recording into the library unless that part of that very file is there already.
 * stated: what the person says of the run; the date is taken from the log's own clock where it is
 * not stated, and with several recordings in the file (n_parts > 1) a stated name is numbered.
 * already_there (may be NULL) tells which of the two happened. Blocking; with a cancellable
 * it can be given up and leaves nothing behind. Gives the run's number; 0 on error. */
gint64 tide_intake_recording (TideStore *store, TideRecording *recording, guint n_parts, const TideConditions *stated,
                              gboolean *already_there, GCancellable *cancellable, GError **error);
