/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: one import, between the sink that takes its samples and its completion. */
#pragma once

#include <math.h>

#include "library/import-private.h"

/* A recording that came, on its way or whole. */
typedef struct {
  TideStoreImport *import;
  TideRecordingHead head;
  char *label, *member; /* of head */
  gint64 id;            /* of its row */
  TideWriter writer;
  gsize n_samples;
  double duration_s, energy_wh;
  gint64 start_us;
  guint64 skipped_rows;
} TideImportPart;

struct _TideStoreImport {
  TideSink sink;
  TideStore *store;
  TideConditions *conditions;
  GCancellable *cancellable;
  gboolean is_begun;         /* the transaction */
  gboolean is_given;         /* one recording, whose conditions are taken as they are */
  GPtrArray *parts;          /* TideImportPart, in order */
  GHashTable *by_number;     /* guint -> TideImportPart */
  sqlite3_stmt *insert_run;
  TideDesk desk;
  TideStoreWatch watch;
  gpointer watch_data;
};

/* Names the runs, fills in their rows and commits. NULL on error: the transaction is to be rolled back. */
GArray *tide_store_import_complete (TideStoreImport *import, const char *file, const char *sha256, gboolean replace,
                                    GError **error);
