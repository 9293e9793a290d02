/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files on their way into the library, for the verbs that put some there: what was stored, what was there
 * before, and how both are told.
 */
#pragma once

#include <json-glib/json-glib.h>

#include "intake/intake.h"

typedef struct {
  TideRunInfo *info;      /* as the library has it */
  guint64 skipped_rows;
  GPtrArray *complaints;  /* TideComplaint */
  gboolean already_there;
} TideImported;

/* GPtrArray of TideImported. Transfer full. */
GPtrArray *tide_imported_list_new (void);

/* Reads an export into the library and puts its runs into list: those that were stored, and those that were there. All of a
 * file is there or nothing. */
gboolean tide_import_file  (TideStore *store, GFile *file, const TideIntakeOptions *options, GPtrArray *list, GError **error);
/* The same of an export that is in memory. */
gboolean tide_import_bytes (TideStore *store, GBytes *bytes, const char *name, const TideIntakeOptions *options,
                            GPtrArray *list, GError **error);

/* "   12  Base port  9841 samples  2 h 44 min  36.61 Wh" for each from index first on, to stdout. */
void tide_imported_print    (GPtrArray *list, guint first);
/* What the reader had against their exports, in a few lines on stderr. */
void tide_imported_remark   (GPtrArray *list, guint first);
/* The list as an array. */
void tide_json_imported     (JsonBuilder *builder, const char *key, GPtrArray *list);
