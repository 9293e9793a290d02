/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library's reading rules: listed in words, renamed, removed and brought back, written to a file and taken
 * from one; and whether files that are fully understood are imported without asking.
 */
#pragma once

#include <adwaita.h>

#include "library/store.h"

#define TIDE_TYPE_RULES_DIALOG (tide_rules_dialog_get_type ())
G_DECLARE_FINAL_TYPE (TideRulesDialog, tide_rules_dialog, TIDE, RULES_DIALOG, AdwWindow)

/* Borrows store, which has to outlive it: the dialog is modal. */
GtkWidget *tide_rules_dialog_new (GtkWindow *parent, TideStore *store, GSettings *settings);
