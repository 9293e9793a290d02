/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Recordings on their way into the library, for the verbs that put some there: what was stored,
 * what was there before, and how both are told.
 */
#pragma once

#include <json-glib/json-glib.h>

#include "library/store.h"

typedef struct {
  gint64 id;
  TideConditions *conditions;  /* as the library has them */
  TideRecording *recording;
  double energy_wh;
  gboolean already_there;
} TideImported;

/* GPtrArray of TideImported. Transfer full. */
GPtrArray *tide_imported_list_new (void);

/* Stores each recording of one export that is not in the library yet, and puts all into list. A name among the
 * conditions gets " (part)" behind it where the export holds several. Each recording is wholly there
 * or not at all. */
gboolean tide_import_recordings (TideStore *store, GPtrArray *recordings, const TideConditions *conditions, GPtrArray *list,
                                 GError **error);

/* "   12  Base port  9841 samples  2 h 44 min  36.61 Wh" for each from index first on, to stdout. */
void tide_imported_print    (GPtrArray *list, guint first);
/* What the reader had against their exports, in a few lines on stderr. */
void tide_imported_remark   (GPtrArray *list, guint first);
/* The list as an array. */
void tide_json_imported     (JsonBuilder *builder, const char *key, GPtrArray *list);
