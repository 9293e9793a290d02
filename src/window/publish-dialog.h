/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet for publishing a chart: size, look and format with a live preview, then a file. */
#pragma once

#include <adwaita.h>

#include "comparison/comparison.h"

#define TIDE_TYPE_PUBLISH_DIALOG (tide_publish_dialog_get_type ())
G_DECLARE_FINAL_TYPE (TidePublishDialog, tide_publish_dialog, TIDE, PUBLISH_DIALOG, AdwWindow)

/* Signal "published" (GFile *file): a file was written. Failures are told inside the sheet. */
GtkWidget *tide_publish_dialog_new (GtkWindow *parent, TideComparison *comparison);
