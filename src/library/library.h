/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library as a list model: what a window shows and edits.
 *
 * TideLibrary is a GListModel of TideEntry, kept in step with a store file; it lives on the main
 * thread. Edits go through it, so that the file and the list never differ: each either
 * happens in both or reports an error and happens in neither. An import runs in a thread with
 * its own TideStore and is followed by tide_library_refresh().
 */
#pragma once

#include <gio/gio.h>

#include "library/store.h"

#define TIDE_TYPE_ENTRY (tide_entry_get_type ())
G_DECLARE_FINAL_TYPE (TideEntry, tide_entry, TIDE, ENTRY, GObject)

/* Properties, all read-only and notified on change: "id" (gint64), "name", "device", "line" (the
 * quiet line of conditions), "energy-wh" (double), "slot" (guint), "search-text" (all of the
 * conditions and the file's name, case-folded). */
const TideRunInfo *tide_entry_get_info   (TideEntry *entry);
gint64             tide_entry_get_id     (TideEntry *entry);
const char        *tide_entry_get_name   (TideEntry *entry);
const char        *tide_entry_get_device (TideEntry *entry);
guint              tide_entry_get_slot   (TideEntry *entry);
/* GArray of TideRange, 64 columns, read from the store on first use and kept; NULL when that
 * failed. Transfer none. */
GArray            *tide_entry_get_sketch (TideEntry *entry);

#define TIDE_TYPE_LIBRARY (tide_library_get_type ())
G_DECLARE_FINAL_TYPE (TideLibrary, tide_library, TIDE, LIBRARY, GObject)

TideLibrary *tide_library_open     (const char *path, GError **error);
const char  *tide_library_get_path (TideLibrary *library);
/* Transfer none; for the main thread only. */
TideStore   *tide_library_get_store (TideLibrary *library);

/* Reads the list again, telling only what changed: entries that stay keep their identity. */
gboolean   tide_library_refresh (TideLibrary *library, GError **error);
/* Transfer none; NULL when there is none of that number. */
TideEntry *tide_library_find    (TideLibrary *library, gint64 id);

gboolean tide_library_set_conditions (TideLibrary *library, gint64 id, const TideConditions *conditions, GError **error);
gboolean tide_library_set_slot       (TideLibrary *library, gint64 id, guint slot, GError **error);
gboolean tide_library_remove         (TideLibrary *library, gint64 id, GError **error);
/* Brings back the runs, newest removal last; those already there are left alone. */
gboolean tide_library_restore        (TideLibrary *library, gint64 id, GError **error);

/* Loads a recording in a worker thread with a store of its own. Finish: transfer full. */
void           tide_library_load_async  (TideLibrary *library, gint64 id, GCancellable *cancellable,
                                         GAsyncReadyCallback callback, gpointer user_data);
TideRecording *tide_library_load_finish (TideLibrary *library, GAsyncResult *result, GError **error);
