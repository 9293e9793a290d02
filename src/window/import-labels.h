/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The side of the import sheet where its files are named and their conditions filled in: a name for each file, proposed
 * from its own, and conditions once for all. A condition that the names of the files tell apart is taken from
 * them while its switch is on.
 */
#pragma once

#include <gtk/gtk.h>

#include "intake/glance.h"

#define TIDE_TYPE_IMPORT_LABELS (tide_import_labels_get_type ())
G_DECLARE_FINAL_TYPE (TideImportLabels, tide_import_labels, TIDE, IMPORT_LABELS, GtkBox)

/* Signals: "changed" (); "shown" (guint), that file is to be looked at.
 * looks: TideGlance, at least one, each with what was stated of it before. */
void            tide_import_labels_set_looks (TideImportLabels *self, GPtrArray *looks);
/* What is wrong with the first field that is; NULL when nothing is. Transfer full. */
char           *tide_import_labels_check     (TideImportLabels *self);
TideConditions *tide_import_labels_dup       (TideImportLabels *self, guint file);
