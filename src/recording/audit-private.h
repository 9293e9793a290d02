/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: what is summed up of a recording's samples as they go by, so that its end can tell
 * how its signs stand, whether its power is V·I, and which values it lacks. Some kilobytes, whatever its length.
 */
#pragma once

#include "recording/complaint.h"
#include "recording/sink.h"

#define TIDE_IS_OPTIONAL(q) ((q) >= TIDE_QUANTITY_ENERGY)
#define TIDE_N_OPTIONAL     (TIDE_N_QUANTITIES - TIDE_QUANTITY_ENERGY)

/* Rows without a value that are told one by one; the others are counted. */
#define TIDE_AUDIT_MOST_TOLD 100

/* Samples that lack values in the same columns. */
typedef struct {
  guint64 n;
  double first_s, last_s;
} TideHole;

typedef struct {
  gsize n;                            /* samples */
  double last[TIDE_N_QUANTITIES];     /* of each column, the value before */
  double area[TIDE_N_QUANTITIES];     /* of current and power */
  double product;                     /* of power and current, summed: below 0 where they are counted opposite ways */
  gint64 n_rises[TIDE_N_QUANTITIES];  /* of counters: steps up less steps down */
  guint64 n_off;                      /* samples whose power is not V·I */
  guint32 *off;                       /* how many by how much; NULL: none */
  TideHole holes[1 << TIDE_N_OPTIONAL]; /* by the bits of what is missing, from ENERGY on */
  GArray *hole_rows[TIDE_N_OPTIONAL]; /* guint64: of each column the first rows without a value; NULL: none */
} TideAudit;

/* The file's row of a sample. */
typedef guint64 (*TideSampleRowFunc) (gsize sample, gpointer user_data);

void         tide_audit_clear (TideAudit *audit);
void         tide_audit_add   (TideAudit *audit, const TideColumns *samples, TideSampleRowFunc get_row, gpointer user_data);
/* What is to be done to all samples that were added. */
TideRevision tide_audit_judge (const TideAudit *audit, gboolean power_logged, gboolean has_current);
/* The number of samples once that is done, and their first and last time. */
gsize        tide_audit_count (const TideAudit *audit, const TideRevision *revision, double *first_s, double *last_s);
/* The median of |P − V·I| / max (|P|, 1 W) where it is above TIDE_POWER_TOLERANCE, to 1 part in 2,000; else 0. */
double       tide_audit_find_mismatch (const TideAudit *audit);
/* The values that the column lacks: ENERGY is 0. */
guint64      tide_audit_count_missing (const TideAudit *audit, guint optional);

/* ---- missing.c ---- */

/* Of values that are missing. names as the file has them, NULL for those it does not have; they stand in names_row. */
void         tide_audit_complain (const TideAudit *audit, const TideRevision *revision, const char *const *names,
                                  guint64 names_row, GPtrArray *complaints);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideAudit, tide_audit_clear)
