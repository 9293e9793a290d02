/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one road into the library, for the command line and the window alike: a recording that was
 * read is looked up by its file, given the conditions its export states, integrated and stored.
 */
#pragma once

#include "library/store.h"
#include "reading/understanding.h"

/* Puts a recording into the library unless that part of that very file is there already.
 * stated: what the person says of the run; the date is taken from the log's own clock where it is
 * not stated, and with several recordings in the file (n_parts > 1) a stated name is numbered.
 * already_there (may be NULL) tells which of the two happened. Blocking; with a cancellable
 * it can be given up and leaves nothing behind. Gives the run's number; 0 on error. */
gint64 tide_intake_recording (TideStore *store, TideRecording *recording, guint n_parts, const TideConditions *stated,
                              gboolean *already_there, GCancellable *cancellable, GError **error);

/* ---- A whole file ---- */

typedef struct {
  TideReadOptions read;         /* read.rule: what is stated for this file, before any remembered rule */
  const TideConditions *stated; /* may be NULL */
  gboolean replace;             /* a file that is there already is read anew, its runs keep their conditions */
  gboolean ignore_rules;        /* do not look for a remembered rule */
} TideIntakeOptions;

/* The file's tables as they would be imported: with the rule that the library remembers for its header, where there is one,
 * under what options state. rule_name (may be NULL) is set to the remembered rule's name or NULL; transfer full. The
 * same array as tide_understand_file(). */
GPtrArray *tide_intake_understand (TideStore *store, GFile *file, const TideIntakeOptions *options, char **rule_name,
                                   GCancellable *cancellable, GError **error);

/* Reads file into the library, in one transaction and in memory that does not grow with it. Gives a GArray of TideStored
 * (transfer full) in the order of the file, NULL on error, with nothing left behind. bytes: the file's content where it
 * is not on disk (then file is NULL and name its name). */
GArray *tide_intake_file  (TideStore *store, GFile *file, const TideIntakeOptions *options, GCancellable *cancellable,
                           GError **error);
GArray *tide_intake_bytes (TideStore *store, GBytes *bytes, const char *name, const TideIntakeOptions *options,
                           GCancellable *cancellable, GError **error);
