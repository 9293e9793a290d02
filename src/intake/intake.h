/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one road into the library, for the command line and the window alike: a file is read by what is
 * stated of it and what the library remembers of its header; its runs are integrated and stored as they are read.
 */
#pragma once

#include "library/store.h"
#include "reading/understanding.h"

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
