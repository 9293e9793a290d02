/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files that choose the time of a table share: looks.c, timing.c, beside.c. */
#pragma once

#include "reading/reading-private.h"

/* A column that may be the time, as its fields in the head show it. */
typedef struct {
  TideTimeUse use;
  const TideMeaning *meaning;
  gboolean rises, falls;
  gboolean has_clock;    /* DATE, STATED: there is more than the date */
  gboolean has_date;     /* DATE, STATED, SERIAL, EPOCH */
  guint orders;          /* DATE: those that are left */
  gboolean order_by_course; /* DATE: the days' course decided */
  gboolean is_two_part;  /* CLOCK: 12:34, and nothing tells what it is */
  gboolean maybe_serial; /* NUMBER: may be a spreadsheet's days as well */
  double score;
} TideTimeCandidate;

/* FALSE: the column cannot be the time. */
gboolean tide_time_examine (const TideUnderstanding *u, const TideMeaning *meaning, const TideTable *table, guint column,
                            TideTimeCandidate *candidate);
/* A date without a clock. */
gboolean tide_time_is_day  (const TideTimeCandidate *candidate);
/* DATE: more than one order is left. */
gboolean tide_time_is_ambiguous (const TideTimeCandidate *candidate);

/* ---- hands.c ---- */

/* FALSE and _NO_TIME where best is the larger hand of a time in several columns. */
gboolean tide_time_check_not_split (const TideUnderstanding *u, const TideTimeCandidate *best, const GArray *candidates,
                                    const TideTable *table, GError **error);
/* The column of thousandths that go with the time that was chosen, if there is one. */
void     tide_time_join_millis     (TideUnderstanding *u, const GArray *candidates, const TideTable *table);

/* ---- beside.c ---- */

/* The dates that give the start. */
void     tide_time_choose_clock (TideUnderstanding *u, const GArray *candidates);
/* The unit of an elapsed time, held against the dates of clock (index -1: none); said, or asked. */
void     tide_time_settle_unit  (TideUnderstanding *u, const TideTimeCandidate *time, const TideTimeUse *clock,
                                 const TideTable *table);
/* Hours and minutes, or minutes and seconds, by the dates of clock. FALSE: they do not tell. */
gboolean tide_time_settle_hands (TideUnderstanding *u, const TideTimeUse *clock, const TideTable *table);
