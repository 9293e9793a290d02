/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands above a column of a file in the import sheet: its name, and two menus: what it means, and its
 * unit. A choice is told, not taken: what shows follows tide_column_head_update().
 */
#pragma once

#include <gtk/gtk.h>

#include "intake/statements.h"

#define TIDE_TYPE_COLUMN_HEAD (tide_column_head_get_type ())
G_DECLARE_FINAL_TYPE (TideColumnHead, tide_column_head, TIDE, COLUMN_HEAD, GtkBox)

/* column counts from 0. Signal "stated" (guint column, TideColumnState *state): a person says what it is. */
GtkWidget *tide_column_head_new    (guint column, const char *name);
void       tide_column_head_update (TideColumnHead *self, const TideColumnState *state);
/* Moves the keyboard to the meaning. */
void       tide_column_head_focus (TideColumnHead *self);
