/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a word on the command line to a run.
 *
 * A word is, in this order: a decimal number, the library's number; a path with a slash
 * that exists, an export; a name in the library, which must be one run's alone; an existing file, an
 * export. Exports are read and not stored; each recording in one is a run of its own. The library is
 * opened when a word first needs it, and never made.
 */
#pragma once

#include "command/reading-switches.h"
#include "comparison/comparison.h"
#include "library/store.h"

typedef struct {
  gint64 id;                  /* the library's number; 0: read from an export */
  TideConditions *conditions; /* the name is never empty */
  TideRecording *recording;
  guint slot;                 /* the library's; runs from exports get the free ones */
} TideSource;

/* GPtrArray of TideSource in the order of the words, each with its samples. Transfer full. Where any of the switches of
 * reading was given, every word is the path of an export, read as they say. Errors:
 * G_IO_ERROR_NOT_FOUND for what is no run, G_IO_ERROR_INVALID_ARGUMENT for a name of several, and
 * those of the rooms. */
GPtrArray *tide_sources_find (const char *library, const TideReadingSwitches *reading, char **words, GError **error);

/* The same for runs that stand side by side: what reference (may be NULL) names comes first and must be
 * one run; a run that is named again counts once. */
GPtrArray *tide_sources_find_distinct (const char *library, const TideReadingSwitches *reading, const char *reference,
                                       char **words, GError **error);

/* What a RUN is, for --help. Translated, static. */
const char *tide_sources_get_help (void);

/* Opens the library at path, which must exist. */
TideStore *tide_sources_open_library (const char *path, GError **error);

/* Measures all and puts them side by side; the first is the reference. Transfer full. */
TideComparison *tide_sources_compare (GPtrArray *sources, GError **error);
