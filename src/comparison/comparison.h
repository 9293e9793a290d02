/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one object that holds what is being looked at: which runs stand side by side, the
 * reference, how they are aligned, what the axes are, the visible span and the cursor. Views are
 * bound to it and never to each other; actions change it; it knows nothing of widgets or drawing.
 *
 * TideComparison is a GListModel of TideComparedRun in the order they were put in. Everything derived (measurements,
 * curves, differences) is computed when first asked for and kept until what it depends on changes.
 *
 * Times of a comparison ("x" on the time axis) are seconds on the reference's clock, counted from the
 * reference's draw begins (from its log start when aligned on that).
 */
#pragma once

#include <gio/gio.h>

#include "analysis/compare.h"
#include "recording/conditions.h"
#include "recording/overview.h"

#define TIDE_N_SLOTS 8
/* Of the margin, in percent. */
#define TIDE_MOST_MARGIN_PERCENT 100

typedef enum { TIDE_AXIS_TIME, TIDE_AXIS_ENERGY, TIDE_AXIS_SHARE, TIDE_N_AXES } TideAxis;
/* "time", "energy", "share" (of the delivered energy, percent); static. */
const char *tide_axis_get_id   (TideAxis axis);
const char *tide_axis_get_name (TideAxis axis);
gboolean    tide_axis_from_id  (const char *id, TideAxis *axis);

#define TIDE_TYPE_COMPARED_RUN (tide_compared_run_get_type ())
G_DECLARE_FINAL_TYPE (TideComparedRun, tide_compared_run, TIDE, COMPARED_RUN, GObject)

/* id: the library's number, or 0 for a run that is in no library. */
gint64                 tide_compared_run_get_id          (TideComparedRun *run);
/* The condition "name" (never empty). Transfer none. */
const char            *tide_compared_run_get_name        (TideComparedRun *run);
const TideConditions  *tide_compared_run_get_conditions  (TideComparedRun *run);
TideRecording         *tide_compared_run_get_recording   (TideComparedRun *run);
const TideMeasurement *tide_compared_run_get_measurement (TideComparedRun *run);
/* Colour slot, 0-based; may be >= TIDE_N_SLOTS (the dash then changes). */
guint                  tide_compared_run_get_slot        (TideComparedRun *run);

/* A run's curve on the comparison's axes, owned by the comparison, valid until it changes. Only the
 * measured stretch of the run. x never falls. smoothed is y's trend (running median over 30 s for power,
 * current and voltage; y itself for energy). low/high bands come from the overview of y. n is 0 (and
 * all else NULL) where the export has no such column, or the run no energy to take shares of.
 * Energy, on either axis, counts from draw begins (0 before it; from the log's start where
 * there is none or the alignment is on that); 100 % is the charge window's, or all of it if not settled. */
typedef struct {
  gsize n;
  const double *x, *y, *smoothed;
  const TideOverview *overview_y, *overview_smoothed;
} TideRunCurve;

/* Marks on the x axis of the comparison, NaN where the run has none; plateau_level (W) only while y is power. */
typedef struct { double draw_begins, settles, plateau_start, plateau_end, plateau_level; } TideRunMarks;

#define TIDE_TYPE_COMPARISON (tide_comparison_get_type ())
G_DECLARE_FINAL_TYPE (TideComparison, tide_comparison, TIDE, COMPARISON, GObject)

TideComparison *tide_comparison_new (void);

/* Measures the recording (blocking; from TideMeasurement made elsewhere when given, transfer full) and
 * puts it last. The first run in becomes the reference. A run without a name is called after its
 * file. Several runs may have one id 0; an id other than 0 that is already there is replaced.
 * Errors: TIDE_ANALYSIS_ERROR. */
gboolean tide_comparison_add (TideComparison *self, gint64 id, const TideConditions *conditions, TideRecording *recording,
                              TideMeasurement *measurement, guint slot, GError **error);
/* Another recording in the place of a run's: the longer one of a log that grows, say. Name, colour, order and reference
 * stay, and so does what is visible: everything, or the span that was zoomed in on. measurement and errors as above; told by
 * "changed" alone. */
gboolean tide_comparison_set_recording (TideComparison *self, guint position, TideRecording *recording,
                                        TideMeasurement *measurement, GError **error);
/* Without the reference the first run that is left becomes it; clearing takes the title along. */
void     tide_comparison_remove (TideComparison *self, guint position);
void     tide_comparison_clear  (TideComparison *self);
/* Position of the run with that library number, G_MAXUINT when not in (or 0, which is none). */
guint    tide_comparison_find   (TideComparison *self, gint64 id);
/* Told by "changed" and the run's own properties "name" and "slot"; "items-changed" of the list model is for
 * runs that come, go or are replaced. */
void     tide_comparison_set_conditions (TideComparison *self, guint position, const TideConditions *conditions);
void     tide_comparison_set_slot       (TideComparison *self, guint position, guint slot);

/* Transfer none; NULL beyond the end. */
TideComparedRun *tide_comparison_get_run (TideComparison *self, guint position);
guint            tide_comparison_get_n_runs (TideComparison *self);

/* Properties, each with its "notify": "reference" (guint position), "alignment", "y" (VOLTAGE, CURRENT,
 * POWER or ENERGY), "x" (TideAxis), "view-start" and "view-end" (double in x units, NaN: everything),
 * "cursor" (x, NaN: none), "margin" (percent), "title" (string, may be NULL), "show-strip". Enumerations are guint;
 * those that may be NaN are written by their functions alone. Setting x or alignment resets view and
 * cursor; moving the reference moves them along. The signal "changed" is emitted after anything
 * but the cursor changes what a view shows: redraw and read again. */
guint         tide_comparison_get_reference (TideComparison *self);
void          tide_comparison_set_reference (TideComparison *self, guint position);
TideAlignment tide_comparison_get_alignment (TideComparison *self);
void          tide_comparison_set_alignment (TideComparison *self, TideAlignment alignment);
TideQuantity  tide_comparison_get_y         (TideComparison *self);
void          tide_comparison_set_y         (TideComparison *self, TideQuantity y);
TideAxis      tide_comparison_get_x         (TideComparison *self);
void          tide_comparison_set_x         (TideComparison *self, TideAxis x);
double        tide_comparison_get_margin    (TideComparison *self);
void          tide_comparison_set_margin    (TideComparison *self, double percent);
const char   *tide_comparison_get_title     (TideComparison *self);
void          tide_comparison_set_title     (TideComparison *self, const char *title);
gboolean      tide_comparison_get_show_strip (TideComparison *self);
void          tide_comparison_set_show_strip (TideComparison *self, gboolean show);
double        tide_comparison_get_cursor    (TideComparison *self);
void          tide_comparison_set_cursor    (TideComparison *self, double x);

/* The whole x range of all runs; FALSE when there are none. */
gboolean tide_comparison_get_extent (TideComparison *self, double *start, double *end);
/* What is visible: the view, or the extent. FALSE when there are no runs. */
gboolean tide_comparison_get_view   (TideComparison *self, double *start, double *end);
/* Clamped so that it stays on the extent and is not narrower than two samples; NaN, NaN resets. */
void     tide_comparison_set_view   (TideComparison *self, double start, double end);
gboolean tide_comparison_is_zoomed  (TideComparison *self);
/* factor < 1 zooms in, keeping x where it is on the screen. */
void     tide_comparison_zoom       (TideComparison *self, double factor, double around_x);
/* Moves the view by a share of its width. */
void     tide_comparison_pan        (TideComparison *self, double share);

/* Smallest and largest y of all runs in the view; FALSE when nothing is there. */
gboolean tide_comparison_get_y_range (TideComparison *self, double *low, double *high);

/* Seconds to add to a run's own times to get the time axis (reference's draw begins = 0). */
double       tide_comparison_get_shift_s (TideComparison *self, guint position);
/* The sentence for a run that could not be aligned as asked and stands on another mark; NULL else. */
const char  *tide_comparison_get_alignment_note (TideComparison *self, guint position);
TideRunCurve tide_comparison_get_curve   (TideComparison *self, guint position);
TideRunMarks tide_comparison_get_marks   (TideComparison *self, guint position);
/* y of a run at x, straight between samples of the unsmoothed curve; NaN where it has none. */
double       tide_comparison_read        (TideComparison *self, guint position, double x);

/* Run − reference of y on the x axis; NULL for the reference itself and where nothing overlaps. Owned. */
const TideDifference *tide_comparison_get_difference (TideComparison *self, guint position);
TideFinding           tide_comparison_get_finding    (TideComparison *self, guint position, TideCompared compared);

/* "Base port – left port" or the title that was set; never NULL. Transfer full. */
char *tide_comparison_dup_title (TideComparison *self);

/* The next colour slot no run in it has. */
guint tide_comparison_get_free_slot (TideComparison *self);
