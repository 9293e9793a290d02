/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A form for the conditions of one run. Checks each field as it is typed and saves nothing while one
 * is wrong.
 */
#pragma once

#include <adwaita.h>

#include "recording/conditions.h"

#define TIDE_TYPE_CONDITIONS_DIALOG (tide_conditions_dialog_get_type ())
G_DECLARE_FINAL_TYPE (TideConditionsDialog, tide_conditions_dialog, TIDE, CONDITIONS_DIALOG, AdwWindow)

/* Signal "saved" (TideConditions *conditions) when the person saves; the dialog then closes. */
GtkWidget *tide_conditions_dialog_new (GtkWindow *parent, const TideConditions *conditions);
