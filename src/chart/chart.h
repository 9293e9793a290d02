/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A comparison drawn into any cairo context: the same code for the screen, PNG, SVG and PDF.
 *
 * Layout first (where plot and strip stand for a size), then layers: grid, marks, noise bands,
 * lines, strip, labels, cursor. Nothing here keeps state between calls but caches of the
 * comparison; nothing here knows a widget. The number of points emitted is bounded by the width
 * in pixels, whatever the runs' length.
 */
#pragma once

#include <cairo.h>

#include "chart/palette.h"
#include "chart/scale.h"
#include "comparison/comparison.h"

typedef struct {
  TideLook look;
  double base_px;          /* size of ordinary text; titles and ticks follow from it */
  double line_px;          /* width of a curve */
  const char *font;        /* family; NULL: the system's sans */
  gboolean paint_ground;   /* fill the background (publishing), or leave it to the widget */
  gboolean show_title;     /* title, subtitle (conditions in common) and foot (simulated? aligned how? ...) */
  gboolean show_cursor;
} TideChartStyle;

/* For the screen at scale 1: base 14 px, line 2 px. */
TideChartStyle tide_chart_style_screen  (TideLook look);
/* For a picture of that size: base and line follow from its height. */
TideChartStyle tide_chart_style_publish (TideLook look, int width, int height);

typedef struct { double x, y, width, height; } TideRect;

/* Where things stand, in px of the context; for pointer work of a widget. */
typedef struct {
  TideRect plot, strip;    /* strip.height == 0: none */
  TideScale x, y, strip_y;
} TideChartLayout;

/* FALSE when the comparison has no runs or the size is too small to draw in (then a short text
 * is drawn by tide_chart_draw instead). */
gboolean tide_chart_layout (TideComparison *comparison, const TideChartStyle *style, double width, double height,
                            TideChartLayout *layout);
/* Draws everything but the cursor, then the cursor if style says so and the comparison has one. */
void     tide_chart_draw        (TideComparison *comparison, const TideChartStyle *style, cairo_t *cr, double width,
                                 double height);
/* The cursor alone, over a picture already drawn with the same style and size. */
void     tide_chart_draw_cursor (TideComparison *comparison, const TideChartStyle *style, cairo_t *cr, double width,
                                 double height);
/* A sentence for screen readers: what is shown, how many runs, their energies. Transfer full. */
char    *tide_chart_describe    (TideComparison *comparison);
/* The crosshair's reading as a sentence; NULL while there is none or it is out of sight. Transfer full. */
char    *tide_chart_describe_cursor (TideComparison *comparison);

/* A run's sketch, 64 × 20 px say: (min, max) pairs over the width. */
void tide_chart_draw_sketch (const TideRange *ranges, guint n_ranges, TideColor color, cairo_t *cr, double width,
                             double height);
