/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of the chart room, shared by its own files and its own tests.
 *
 * A picture is first planned, then drawn. The plan (layout.c, labels.c, marks.c) says where the
 * plot, the strip and every single text stand; drawing adds nothing to it. So a test can ask the
 * plan whether any two texts overlap without looking at a pixel.
 */
#pragma once

#include <pango/pangocairo.h>

#include "chart/chart.h"

#define TIDE_NO_RUN G_MAXUINT

/* --- pencil.c: text, colours, lines --- */

typedef enum { TIDE_PRINT_TITLE, TIDE_PRINT_STRONG, TIDE_PRINT_PLAIN, TIDE_PRINT_SMALL } TidePrint;

PangoContext *tide_pencil_context_new (void);
/* One paragraph of text; what is not UTF-8 is mended, what is very long is cut. Transfer full. */
PangoLayout  *tide_pencil_text        (PangoContext *context, const TideChartStyle *style, TidePrint print,
                                       const char *text);
double        tide_pencil_width       (PangoLayout *layout);
double        tide_pencil_height      (PangoLayout *layout);
/* Cuts the end with an ellipsis where it is wider. */
void          tide_pencil_limit       (PangoLayout *layout, double width);
/* Breaks into lines, the last cut where there are more. */
void          tide_pencil_wrap        (PangoLayout *layout, double width, int lines);

TideColor tide_color_mix   (TideColor a, TideColor b, double share_of_b);
/* Ink for what stands back: captions, values, ticks. */
TideColor tide_color_quiet (TideLook look);
/* A series' colour for its name: darker (lighter on dark) where it would be too pale to read. */
TideColor tide_color_print (TideLook look, guint slot);

void     tide_pencil_set_color  (cairo_t *cr, TideColor color, double alpha);
/* A straight line of that width; horizontal and vertical ones fall on whole pixels. */
void     tide_pencil_line       (cairo_t *cr, double x0, double y0, double x1, double y1, double width);
void     tide_pencil_show       (cairo_t *cr, PangoLayout *layout, double x, double y, TideColor color);
/* Clears a seam of that width around a text yet to be shown, so that it can be read before thin lines. */
void     tide_pencil_clear      (cairo_t *cr, PangoLayout *layout, double x, double y, double width, TideColor ground);
/* A drawing that is kept as paths: coordinates are rounded and strokes not cut into pieces. */
gboolean tide_pencil_is_vector  (cairo_t *cr);
void     tide_pencil_set_dash   (cairo_t *cr, guint slot, double line_px, double offset);
gboolean tide_rect_overlaps     (const TideRect *a, const TideRect *b);
gboolean tide_rect_contains     (const TideRect *outer, const TideRect *inner);

/* --- reduce.c: curves to few points --- */

/* A point of a curve in px; bridged: the way from the last point here crosses a gap in the log. */
typedef struct { double x, y; gboolean bridged; } TidePoint;
/* What a curve covers of one pixel column; starts: not joined to the column before. */
typedef struct { double x, top, bottom; gboolean starts; } TideColumn;

/* One curve of n samples, x never falling; gap in x units, INFINITY where there can be none. */
typedef struct {
  gsize n;
  const double *x, *y;
  const TideOverview *overview;
  double gap;
} TideTrace;

/* Bins for each pixel of width, each giving at most 4 points: one for a screen that has to follow a hand and for
 * vector files, whose size counts; two for published pixels. */
#define TIDE_BINS_QUICK 1
#define TIDE_BINS_FINE  2

/* The polyline between the ends of x. Every point where few, else first, least, greatest and last of each bin.
 * GArray of TidePoint, at most 4 × bins × (width + 1) + 2 of them. Transfer full. */
GArray  *tide_reduce_line    (const TideTrace *samples, const TideScale *x, const TideScale *y, guint bins);
/* Drops points from which the line through those that stay is less than tolerance away. Transfer full. */
GArray  *tide_reduce_straighten (GArray *points, double tolerance);
/* The lowest and highest place of the polyline in each pixel column. GArray of TideColumn. */
GArray  *tide_reduce_columns (const TideTrace *samples, const TideScale *x, const TideScale *y);
/* Samples in the view for each pixel of width. */
double   tide_reduce_density (const TideTrace *samples, const TideScale *x);
/* Where the curve ends inside the view, bridged where it goes on beyond; FALSE when nothing of it is there. */
gboolean tide_reduce_end     (const TideTrace *samples, const TideScale *x, const TideScale *y, TidePoint *end);
/* Does the polyline come into rect? Errs towards yes. */
gboolean tide_reduce_touches (const TideTrace *samples, const TideScale *x, const TideScale *y, const TideRect *rect);

/* --- the plan --- */

typedef enum {
  TIDE_TEXT_TITLE, TIDE_TEXT_SUBTITLE, TIDE_TEXT_FOOT, TIDE_TEXT_AXIS, TIDE_TEXT_TICK, TIDE_TEXT_LABEL,
  TIDE_TEXT_LEVEL, TIDE_TEXT_LEGEND,
} TideTextKind;

/* A text where it stands. */
typedef struct {
  TideTextKind kind;
  guint run;             /* TIDE_NO_RUN: of none */
  PangoLayout *layout;
  TideRect box;
  TideColor color;
} TideText;

/* From a curve's end to its label. */
typedef struct { guint run; guint n; double x[3], y[3]; } TideLeader;
/* A piece of a run's line in the legend. */
typedef struct { guint run; double x, y, width; } TideKey;

typedef struct {
  TideComparison *comparison;   /* borrowed */
  TideChartStyle style;
  double width, height, pad;
  PangoContext *context;
  TideChartLayout room;
  TideTicks x_ticks, y_ticks, strip_ticks;
  GPtrArray *texts;             /* TideText */
  GArray *leaders, *keys;       /* TideLeader, TideKey */
  gboolean legend;              /* instead of labels at the curves */
  gboolean quick;               /* drawn again at every move */
} TidePlan;

/* NULL where there is nothing to draw or no room for it. Transfer full. */
TidePlan *tide_plan_new  (TideComparison *comparison, const TideChartStyle *style, double width, double height);
void      tide_plan_free (TidePlan *plan);
/* Puts a layout (transfer full) at a place; returns its box. */
TideRect  tide_plan_put  (TidePlan *plan, TideTextKind kind, guint run, PangoLayout *layout, double x, double y,
                          TideColor color);
gboolean  tide_plan_has_text (const TidePlan *plan, const TideRect *rect);
/* No text and no leader there yet, and within the picture? */
gboolean  tide_plan_is_free (const TidePlan *plan, const TideRect *rect);
/* Does a curve or the dot at its end come into rect, but for the one of a run (TIDE_NO_RUN: of any)? */
gboolean  tide_plan_is_crossed (const TidePlan *plan, const TideRect *rect, guint except);
/* The same of the lines alone: spikes and noise may come into rect. */
gboolean  tide_plan_is_on_line (const TidePlan *plan, const TideRect *rect, guint except);

/* The samples a run's line is drawn from: its trend, or where they are few each of them. */
TideTrace tide_plan_get_line   (const TidePlan *plan, guint run);
TideTrace tide_plan_get_logged (const TidePlan *plan, guint run);
/* Trend and logged values are both worth drawing. */
gboolean    tide_plan_has_band   (const TidePlan *plan, guint run);
guint       tide_plan_get_slot   (const TidePlan *plan, guint run);
/* Width of a run's line: the reference's is greater, many runs' are thinner. */
double      tide_plan_get_pen    (const TidePlan *plan, guint run);
guint       tide_plan_get_bins   (const TidePlan *plan, cairo_t *cr);
/* Positions, the reference last so that it lies on top. GArray of guint, transfer full. */
GArray     *tide_plan_get_order  (const TidePlan *plan);

/* --- axes.c: the ranges of the axes, their ticks, the grid --- */

void   tide_axes_scale_y     (TidePlan *plan);
void   tide_axes_scale_strip (TidePlan *plan);
/* Width of the widest tick label on the left. */
double tide_axes_get_left    (const TidePlan *plan);
/* Sets the ticks of x so that their labels have room, then puts the labels of all axes. */
void   tide_axes_put_ticks   (TidePlan *plan);
void   tide_axes_draw_grid   (const TidePlan *plan, cairo_t *cr);

/* --- words.c: every sentence on a chart --- */

char *tide_words_title    (TideComparison *comparison);
/* Conditions that all runs have in common; NULL when there are none. */
char *tide_words_subtitle (TideComparison *comparison);
/* Simulated? Aligned how? What do the values stand for? What has to be known? */
char *tide_words_foot     (TideComparison *comparison);
char *tide_words_x        (TideComparison *comparison);
char *tide_words_y        (TideComparison *comparison);
char *tide_words_strip    (TideComparison *comparison);
/* The value beside a run's name; NULL when it is not known. */
char *tide_words_value    (TideComparison *comparison, guint run);
/* "1 h 12 min" of the cursor; exact to what a view of that span shows. */
char *tide_words_moment   (TideComparison *comparison, double x, double span);

/* --- labels.c --- */

/* Moves n boxes of given heights, wanted centres rising, so that none overlaps and all lie
 * between low and high, with the least sum of squared ways. FALSE: they do not fit; nothing is written. */
gboolean tide_labels_relax (const double *wanted, const double *heights, guint n, double low, double high,
                            double *centres);
/* One run's name and value, and where they go. */
typedef struct {
  guint run;
  PangoLayout *name, *value; /* value may be NULL */
  gboolean below;            /* the value stands under the name */
  double width, height;
  double name_y, value_y;    /* below the label's top */
  TidePoint end;
  double mean_y;             /* of the curve's last quarter: who lies above whom */
} TideLabel;

/* The name is cut where the label would be wider. Free it with clear. */
TideLabel tide_label_make  (const TidePlan *plan, guint run, gboolean below, double widest);
void      tide_label_clear (gpointer label);
void      tide_label_put   (TidePlan *plan, TideLabel *label, TideTextKind kind, double x, double y);

/* Width of the column of labels right of the plot; 0: they do not fit there, take a legend. */
double   tide_labels_get_column (const TidePlan *plan, double plot_height);
void     tide_labels_put        (TidePlan *plan);

/* --- leaders.c --- */

/* Puts the labels (of TideLabel) that have a place at their early ends and takes them out. */
void     tide_leaders_put_early (TidePlan *plan, GArray *labels);
/* From the label's end to its place in the column: its left at x, its middle at y. */
void     tide_leaders_add       (TidePlan *plan, const TideLabel *label, double x, double y);
void     tide_leaders_draw      (const TidePlan *plan, cairo_t *cr);

/* --- legend.c --- */

/* Height the legend takes within the width of the picture. */
double   tide_legend_get_height (TidePlan *plan);
void     tide_legend_put        (TidePlan *plan, double y);
void     tide_legend_draw       (const TidePlan *plan, cairo_t *cr);

/* --- the layers --- */

void tide_marks_put   (TidePlan *plan);
void tide_marks_draw  (const TidePlan *plan, cairo_t *cr);
void tide_lines_draw  (const TidePlan *plan, cairo_t *cr);
/* A polyline of TidePoint; dashes go on over pieces. */
void tide_lines_stroke (cairo_t *cr, GArray *points, TideColor color, double alpha, double width, guint slot);
void tide_strip_draw  (const TidePlan *plan, cairo_t *cr);
/* Least and greatest of what the strip shows in the view; FALSE when it shows nothing. */
gboolean tide_strip_get_range (TideComparison *comparison, double start, double end, double *low, double *high);
/* The smoothed difference of a run at x; NaN where there is none. */
double   tide_strip_read      (TideComparison *comparison, guint run, double x);
void tide_cursor_draw (const TidePlan *plan, cairo_t *cr);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TidePlan, tide_plan_free)
