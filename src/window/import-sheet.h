/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The import sheet: what was understood of a file, or of several that look alike, for a person to see, to change, and
 * to import.
 *
 * A choice is stated in one reading rule for all of the files. A moment later the file in sight is looked at again
 * in a worker thread, and again read for the preview; what came out of date meanwhile is dropped.
 */
#pragma once

#include <adwaita.h>

#include "intake/glance.h"

#define TIDE_TYPE_IMPORT_SHEET (tide_import_sheet_get_type ())
G_DECLARE_FINAL_TYPE (TideImportSheet, tide_import_sheet, TIDE, IMPORT_SHEET, AdwWindow)

/* looks: TideGlance that look alike, at least one. n_waiting: so many sheets come after this one. Signals: "import" (GPtrArray of
 * TideGlance, the requests; char *name of a rule to remember or NULL; char *signature it is for), then it closes; "skip-all" (), the person wants to see
 * no further sheet either. */
GtkWidget *tide_import_sheet_new (GtkWindow *parent, const char *library_path, GPtrArray *looks, guint n_waiting);
