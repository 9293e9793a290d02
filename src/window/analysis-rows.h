/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which numbers the analysis pane shows, in which order, under which heading: one table. */
#pragma once

#include "analysis/compare.h"

typedef struct {
  const char *group;         /* N_(): heading; NULL: same as the row above */
  const char *label;         /* N_(): the quantity */
  const char *unit;          /* "" where the value's text carries it */
  int decimals;              /* -1: a duration, put in words */
  double (*get) (const TideMeasurement *measurement); /* NaN: the run has none */
  int compared;              /* TideCompared, or -1: no difference is shown */
  int over_window;           /* 1: the difference belongs here when taken over the charge window, 0: when over the
                              * whole log, -1: always */
} TideAnalysisRow;

extern const TideAnalysisRow tide_analysis_rows[];
extern const unsigned tide_n_analysis_rows;

/* The value as the pane shows it and as it is copied. Transfer full. */
char *tide_analysis_row_to_text (const TideAnalysisRow *row, const TideMeasurement *measurement);
/* Whether the row is the place for the difference between these two. */
gboolean tide_analysis_row_compares (const TideAnalysisRow *row, const TideMeasurement *reference,
                                     const TideMeasurement *run);
