/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The comparison's insides, shared by the files of this room: comparison.c (properties),
 * runs.c (the list), view.c (what is visible), curves.c (what is drawn).
 */
#pragma once

#include "comparison/compared-run-private.h"

struct _TideComparison {
  GObject parent_instance;

  GPtrArray *runs;        /* TideComparedRun */
  guint reference;        /* 0 while there are no runs */
  TideAlignment alignment;
  TideQuantity y;
  TideAxis x;
  double view_start, view_end; /* both NaN: everything */
  double cursor;               /* NaN: none */
  double margin;
  char *title;            /* never "" */
  gboolean show_strip;
};

typedef enum {
  TIDE_PROP_0,
  TIDE_PROP_REFERENCE, TIDE_PROP_ALIGNMENT, TIDE_PROP_Y, TIDE_PROP_X, TIDE_PROP_VIEW_START, TIDE_PROP_VIEW_END,
  TIDE_PROP_CURSOR, TIDE_PROP_MARGIN, TIDE_PROP_TITLE, TIDE_PROP_SHOW_STRIP,
  TIDE_N_PROPS
} TideComparisonProp;

void tide_comparison_notify       (TideComparison *self, TideComparisonProp prop);
void tide_comparison_emit_changed (TideComparison *self);

/* Two doubles that mean the same: equal, or both NaN. */
static inline gboolean
tide_is_same_value (double a, double b)
{
  return a == b || (a != a && b != b);
}

/* The run, standing where it belongs. position < n. */
TideComparedRun *tide_comparison_get_placed  (TideComparison *self, guint position);
/* Forgets where the runs stand: reference or alignment changed. */
void             tide_comparison_drop_places (TideComparison *self);

/* Before the reference moves: the shift of a run, NaN if no view has to move along. Then move it there, and
 * get how far that moved the run on the time axis (0 for NaN). */
double tide_comparison_note_shift     (TideComparison *self, guint position);
double tide_comparison_move_reference (TideComparison *self, TideComparedRun *run, double old_shift_s);

/* Stored and notified, without "changed"; say whether there was a change. */
gboolean tide_comparison_store_view   (TideComparison *self, double start, double end);
gboolean tide_comparison_store_cursor (TideComparison *self, double x);
gboolean tide_comparison_store_title  (TideComparison *self, const char *title);
/* Axis or alignment changed, or nothing is left: view and cursor mean nothing any more. */
void     tide_comparison_reset_view   (TideComparison *self);
/* Runs came, went or moved: view and cursor move along by moved_x and stay on what is there. */
void     tide_comparison_refit_view   (TideComparison *self, double moved_x);
