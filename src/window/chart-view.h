/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The widget that shows a comparison's chart: draws it with chart/, turns the pointer, the wheel
 * and keys into changes of the comparison's view and cursor.
 */
#pragma once

#include <gtk/gtk.h>

#include "comparison/comparison.h"

#define TIDE_TYPE_CHART_VIEW (tide_chart_view_get_type ())
G_DECLARE_FINAL_TYPE (TideChartView, tide_chart_view, TIDE, CHART_VIEW, GtkWidget)

GtkWidget      *tide_chart_view_new            (void);
/* Property "comparison". Transfer none. */
TideComparison *tide_chart_view_get_comparison (TideChartView *self);
void            tide_chart_view_set_comparison (TideChartView *self, TideComparison *comparison);
/* Puts the picture, as published at the widget's size, on the clipboard. Errors: TIDE_PUBLISH_ERROR. */
gboolean        tide_chart_view_copy           (TideChartView *self, GError **error);
