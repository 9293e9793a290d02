/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bar above the chart: what is drawn over what, on which mark the runs are aligned, which
 * run is the reference. Follows the comparison and sets it.
 */
#pragma once

#include <gtk/gtk.h>

#include "comparison/comparison.h"

#define TIDE_TYPE_CHART_BAR (tide_chart_bar_get_type ())
G_DECLARE_FINAL_TYPE (TideChartBar, tide_chart_bar, TIDE, CHART_BAR, GtkBox)

/* Transfer none; once in a bar's life. */
void tide_chart_bar_set_comparison (TideChartBar *self, TideComparison *comparison);
