/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pane of numbers: rows are quantities, columns are runs, differences to the reference stand
 * under each value. Shows what tide measure prints, from the same measurements.
 *
 * Signal "copied" (const char *text): a number was clicked and is on the clipboard now.
 */
#pragma once

#include <gtk/gtk.h>

#include "comparison/comparison.h"

#define TIDE_TYPE_ANALYSIS_PANE (tide_analysis_pane_get_type ())
G_DECLARE_FINAL_TYPE (TideAnalysisPane, tide_analysis_pane, TIDE, ANALYSIS_PANE, GtkWidget)

GtkWidget      *tide_analysis_pane_new            (void);
/* Property "comparison". Transfer none. */
TideComparison *tide_analysis_pane_get_comparison (TideAnalysisPane *self);
void            tide_analysis_pane_set_comparison (TideAnalysisPane *self, TideComparison *comparison);
