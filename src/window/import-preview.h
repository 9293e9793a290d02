/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a file would look like in the library: its power over time, and a line of figures, read in a worker thread by
 * the rule at hand. A large file is read as far as a bound, and the line says so.
 */
#pragma once

#include <gtk/gtk.h>

#include "reading/reading.h"

#define TIDE_TYPE_IMPORT_PREVIEW (tide_import_preview_get_type ())
G_DECLARE_FINAL_TYPE (TideImportPreview, tide_import_preview, TIDE, IMPORT_PREVIEW, GtkBox)

/* Signal "read" (GPtrArray *complaints or NULL, GError *or NULL) when a preview came, for what it was last asked for only. */
void tide_import_preview_read  (TideImportPreview *self, GFile *file, const TideReadingRule *rule);
/* There is nothing to show yet; why, in a line. What is being read is forgotten. */
void tide_import_preview_clear (TideImportPreview *self, const char *why);
