/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One run in the library pane: its check box, colour chip, name, conditions, energy and sketch, and
 * above them the device's name where a new device begins. Shows an entry and asks for changes
 * through the pane's actions "library.tick" and "library.slot"; changes nothing itself.
 */
#pragma once

#include <gtk/gtk.h>

#include "library/library.h"

#define TIDE_TYPE_LIBRARY_ROW (tide_library_row_get_type ())
G_DECLARE_FINAL_TYPE (TideLibraryRow, tide_library_row, TIDE, LIBRARY_ROW, GtkBox)

GtkWidget *tide_library_row_new         (void);
/* Transfer none; NULL shows nothing. */
void       tide_library_row_set_entry   (TideLibraryRow *self, TideEntry *entry);
TideEntry *tide_library_row_get_entry   (TideLibraryRow *self);
void       tide_library_row_set_ticked  (TideLibraryRow *self, gboolean ticked);
/* NULL: no heading. */
void       tide_library_row_set_heading (TideLibraryRow *self, const char *heading);
