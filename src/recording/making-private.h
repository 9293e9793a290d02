/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of assembler.c and making.c: the rows at hand and the recording that they become. */
#pragma once

#include "recording/assembler.h"
#include "recording/audit-private.h"
#include "recording/columns-private.h"
#include "recording/rows-private.h"

/* A recording in the making. */
typedef struct {
  guint number;      /* 0: the sink does not know of it */
  guint64 first_row; /* the file's */
  TideFront front;
  gsize n_rows, n_late, n_equal;
  guint64 first_late, first_equal; /* the file's rows */
  TideAudit audit;
} TideMaking;

struct _TideAssembler {
  TideSink *sink;
  guint *next_part;
  const char *label;
  TideRecordingPlace place; /* of the recording that began last */
  guint chunk_rows;
  const char *const *names; /* of the columns */
  guint64 names_row;

  TideRawRows held;
  gsize n_waiting; /* of held: rows that a chunk was ended before */
  guint64 n_rows;  /* all that came */
  gboolean is_closed;
  double origin_s; /* the first stamp, as it was */
  TideDays days;
  TideComplaint *midnight;
  guint n_parts; /* of the rows, the one at hand with them */
  TideMaking making;
  double *stamps, *power; /* scratch, n_scratch each */
  gsize n_scratch;
  GPtrArray *complaints; /* those that belong to the next recording made */

  guint first; /* the first recording, which ends last; 0: there is none */
  TideRecordingTail first_tail;
};

/* The file's row of a held one; 0: not known. */
guint64  tide_making_get_row (const TideAssembler *assembler, gsize index);
/* The first n_samples of plan are final; ends: the recording with them. */
gboolean tide_making_add     (TideAssembler *assembler, const TidePlan *plan, gsize n_samples, gboolean ends,
                              GError **error);
/* Once it is ended. */
void     tide_making_forget  (TideAssembler *assembler);
