/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The window's fields and what its files call of each other. For window*.c only.
 *
 *   window.c          construction, the library, the panes, which page shows
 *   window-actions.c  every action, its keys, what is enabled
 *   window-runs.c     removing, undoing, editing runs
 *   window-import.c   progress and outcome of imports
 *   window-sheets.c   files that a person is asked about, and how runs were read
 *   window-follow.c   a file that is still being written
 *   window-drop.c     files dropped on the window
 *   window-state.c    what is remembered in the settings
 */
#pragma once

#include "window/analysis-pane.h"
#include "window/chart-bar.h"
#include "window/chart-view.h"
#include "window/choice.h"
#include "window/follow-bar.h"
#include "window/following.h"
#include "window/importer.h"
#include "window/library-pane.h"
#include "window/window.h"

struct _TideWindow
{
  AdwApplicationWindow parent;

  /* template */
  AdwToastOverlay *toasts;
  AdwWindowTitle *title;
  GtkStack *stack;              /* "empty", "runs", "failed" */
  GtkStack *middle;             /* "none", "chart" */
  AdwStatusPage *failed_page;
  GtkLabel *cautions;
  AdwFlap *library_flap;
  AdwFlap *analysis_flap;
  TideLibraryPane *library_pane;
  TideAnalysisPane *analysis_pane;
  TideChartBar *chart_bar;
  TideChartView *chart_view;
  GtkWidget *drop_zone;
  GtkRevealer *progress;
  GtkProgressBar *progress_bar;
  GtkLabel *progress_label;
  GtkRevealer *follow_revealer;
  TideFollowBar *follow_bar;

  /* owned */
  GSettings *settings;
  char *library_path;
  TideLibrary *library;         /* NULL: none is open */
  TideComparison *comparison;
  TideChoice *choice;
  TideImporter *importer;       /* of that library; NULL without one */
  TideFollowing *following;     /* the file that is followed, or was until it ended; NULL: none */
  GQueue removals;              /* Removal of window-runs.c, the latest first */
  GQueue sheets;                /* Group of window-sheets.c, those that wait */
  GHashTable *run_files;        /* gint64 * to GFile: where the runs imported since the library was opened came from */
  GtkFileChooserNative *chooser; /* while it is open */

  GtkWidget *sheet;             /* weak: the import sheet, while it shows */
  TideComparedRun *live_run;    /* weak: what is followed, on the chart */
  AdwToast *copied_toast;       /* weak: the one that says what was copied last, while it shows */
  AdwToast *undo_toast;         /* weak: the one that offers, or offered, to undo something, while it shows */
  gboolean offers_removal;      /* ... and does so for the latest removal */
  guint save_source;            /* a save of the state is due */
  gboolean restoring;           /* the remembered runs are still being read */
};

/* window.c */
gboolean tide_window_open_library (TideWindow *self, const char *path);
void     tide_window_toast        (TideWindow *self, const char *text);
/* Transfer none; with a button, of which "button-clicked" has to be connected. It may be the toast of the
 * last offer, with another text. */
AdwToast *tide_window_toast_undo  (TideWindow *self, const char *text);
/* The same with another label on its button. */
AdwToast *tide_window_toast_offer (TideWindow *self, const char *text, const char *button);
/* In "button-clicked" of such a toast: is its offer still open? It is not any more. */
gboolean tide_window_take_undo    (TideWindow *self, AdwToast *toast);
/* The open offer is out of date: takes its button away, and says text, if not NULL, instead of its own. */
void     tide_window_end_undo     (TideWindow *self, const char *text);
/* Shows the page and the title that fit the library and the comparison. */
void     tide_window_update_pages (TideWindow *self);
/* The name of a run, or NULL. Transfer none. */
const char *tide_window_get_run_name (TideWindow *self, gint64 id);

/* window-actions.c */
void tide_window_class_add_keys   (GtkWidgetClass *widget_class);
void tide_window_add_actions      (TideWindow *self);
/* Sets what is enabled, and the states of the radio actions. */
void tide_window_update_actions   (TideWindow *self);

/* window-runs.c */
void tide_window_edit_run         (TideWindow *self);
void tide_window_make_reference   (TideWindow *self);
void tide_window_remove_selected  (TideWindow *self);
/* ids: gint64, borrowed. */
void tide_window_remove_runs      (TideWindow *self, GArray *ids);
/* ids: gint64, runs that an import just brought: to be taken out again by undoing; replaced: those that went for them and
 * come back then. */
void tide_window_note_import      (TideWindow *self, GArray *ids, GArray *replaced);
void tide_window_undo             (TideWindow *self);
void tide_window_show_reading     (TideWindow *self);
gboolean tide_window_can_undo     (TideWindow *self);
void tide_window_clear_removals   (TideWindow *self);
gboolean tide_window_can_edit     (TideWindow *self);
gboolean tide_window_can_remove   (TideWindow *self);
gboolean tide_window_can_refer    (TideWindow *self);

/* window-import.c */
void tide_window_choose_exports   (TideWindow *self);
void tide_window_choose_library   (TideWindow *self);
/* Of one dialog at a time, self->chooser, which response_cb clears. */
void tide_window_show_chooser     (TideWindow *self, const char *title, gboolean many, GCallback response_cb);
void tide_window_attach_importer  (TideWindow *self);
void tide_window_detach_importer  (TideWindow *self);

/* window-sheets.c */
/* TideGlance: files that cannot be imported without a person's say. */
void tide_window_ask              (TideWindow *self, GPtrArray *glances);
/* How these runs (gint64) were read. */
void tide_window_show_details     (TideWindow *self, GArray *ids);
void tide_window_show_rules       (TideWindow *self);
void tide_window_clear_sheets     (TideWindow *self);

/* window-follow.c */
void tide_window_follow           (TideWindow *self, GFile *file);
void tide_window_choose_followed  (TideWindow *self);
/* Takes the run off the chart, and the bar away. */
void tide_window_close_following  (TideWindow *self);
/* The same, and imports the file. */
void tide_window_import_followed  (TideWindow *self);
/* FALSE once it has ended by itself. */
gboolean tide_window_is_following (TideWindow *self);

/* window-drop.c */
void tide_window_add_drop_target  (TideWindow *self);

/* window-state.c */
void tide_window_restore_frame    (TideWindow *self);
void tide_window_restore_look     (TideWindow *self);
/* Ticks the runs that were compared in this library; the reference and the view follow when all are read. */
void tide_window_restore_runs     (TideWindow *self);
/* A path in the settings, as the file system has it: not every file name is UTF-8. "" when none is. */
char *tide_window_dup_path        (TideWindow *self, const char *key);
void  tide_window_set_path        (TideWindow *self, const char *key, const char *path);
void tide_window_save_soon        (TideWindow *self);
void tide_window_save_now         (TideWindow *self);
/* Whether the person wants that pane, when there is room: flap is one of the two. */
void tide_window_remember_pane    (TideWindow *self, AdwFlap *flap);
gboolean tide_window_wants_pane   (TideWindow *self, AdwFlap *flap);
