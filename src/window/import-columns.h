/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The first rows of a file as the import sheet shows them: a table as the file has it, above each column what it
 * means. At most TIDE_SHOWN_COLUMNS stand side by side, those that are read among them; a line tells of the rest.
 */
#pragma once

#include <gtk/gtk.h>

#include "intake/statements.h"

#define TIDE_SHOWN_COLUMNS 40

#define TIDE_TYPE_IMPORT_COLUMNS (tide_import_columns_get_type ())
G_DECLARE_FINAL_TYPE (TideImportColumns, tide_import_columns, TIDE, IMPORT_COLUMNS, GtkBox)

/* Signal "stated" (guint column, TideColumnState *state). supposed: see tide_column_state_get(). */
void     tide_import_columns_update (TideImportColumns *self, TideUnderstanding *table, const TideReadingRule *rule,
                                     guint supposed);
/* Moves the keyboard to the first column's meaning. */
void     tide_import_columns_focus (TideImportColumns *self);
/* Selects the file's row and brings it into sight; FALSE where it is not among those shown. */
gboolean tide_import_columns_show_row (TideImportColumns *self, guint64 row);
