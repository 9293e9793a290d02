/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How runs of the library were read: where from, how much, and what was worth knowing of their files.
 */
#pragma once

#include <adwaita.h>

#include "library/store.h"

#define TIDE_TYPE_DETAILS_DIALOG (tide_details_dialog_get_type ())
G_DECLARE_FINAL_TYPE (TideDetailsDialog, tide_details_dialog, TIDE, DETAILS_DIALOG, AdwWindow)

/* ids: gint64, at most TIDE_DETAILS_RUNS are shown; store: asked now and not kept; files: gint64 * to GFile, of runs whose
 * file is known, so that it can be read again. Signal "read-again" (gint64), then it closes. */
#define TIDE_DETAILS_RUNS 30
GtkWidget *tide_details_dialog_new (GtkWindow *parent, TideStore *store, GArray *ids, GHashTable *files);
