/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of rows.c, plain-rows.c and broken.c: the rows of a table on their way. */
#pragma once

#include "reading/runs-private.h"

/* Five times the longest log the house is built for. */
#define TIDE_MAX_ROWS TIDE_RECORDING_MAX_SAMPLES
/* So many rows go on at a time: few enough to be still in the processor's cache. */
#define TIDE_ROWS_AT_A_TIME 4096

/* One of the runs that stand side by side. */
typedef struct {
  TideRowsFunc push; /* NULL: its rows are not wanted */
  gpointer user_data;
  const TideColumnUse *columns;
  guint needed; /* bits of TideQuantity, TIME aside */
  TideRawRows raw;
  TideTally tally;
  guint64 n_kept, n_skipped;
  guint64 n_prose;    /* of n_skipped: lines of words */
  guint64 n_footer;   /* of n_skipped: lines that begin with words, below the last row that was kept */
  char *first_broken; /* what was told of the first of the others */
  double first_s, last_s;

  /* the row being read */
  double value[TIDE_N_QUANTITIES];
  guint have;                   /* bits of TideQuantity */
  char *bad[TIDE_N_QUANTITIES]; /* the field as it is, where it is no value */
} TideRowsLane;

/* Who reads a column. Quantities of several lanes may share one. */
typedef struct {
  gint8 lane, quantity;
  gint16 next; /* the column's next use; -1: there is none */
} TideRowsUse;

struct _TideRows {
  const TideUnderstanding *u;
  TideRowsLane lanes[TIDE_MAX_LANES];
  TideRowsUse uses[TIDE_MAX_LANES * TIDE_N_QUANTITIES];
  gint16 n_uses;
  gint16 first_use[TIDE_MAX_COLUMNS]; /* -1: the column is not read */
  gboolean is_full;                   /* MAX_ROWS were kept, and there were more */
  GError *error;                      /* of a push: nothing more is taken */
  guint64 last_row;                   /* that was kept, of any lane; 0: none */
  guint64 fruitful_row;               /* as last_row was when text was counted last */
  gsize n_fruitless;                  /* bytes of text since then */

  TideCourse course;

  /* plain-rows.c */
  gboolean has_plain;                 /* plain lines can be read there */
  guint n_plain;                      /* columns up to the last that is read */
  gint8 plain[TIDE_MAX_COLUMNS];      /* of each the TideQuantity, -1: it is not read */

  gboolean is_watched;
  guint64 suspect;  /* the row that may name another table: all below it waits; 0: there is none */
  guint64 no_names; /* the last that proved to be none */
  guint64 end_row;  /* the table ended there, at the names of a summary; 0: it goes on */
  guint64 n_below;  /* rows below it, which are not read */

  /* the row being read */
  double time_s;
  gboolean has_time;
  char *bad_time;
  guint n_filled;
  gboolean has_words; /* the first that is filled is words */
  gboolean is_comment, is_prose;
  char *start_text;

  guint usual_n_fields; /* of the row before */
  gboolean has_start;
};

/* Gives what a lane has to its push. */
void tide_rows_push_lane  (TideRows *rows, TideRowsLane *lane);
/* Decides whether plain lines of the table can be read by tide_rows_take_plain(). */
void tide_rows_plan_plain (TideRows *rows);

/* ---- broken.c: the row being read, all its fields taken ---- */

/* The names of the columns stand here once more. */
gboolean tide_rows_has_names_again (const TideRows *rows);
/* They may be those of another table. */
gboolean tide_rows_may_name_table  (const TideRows *rows, guint64 row);
/* One field is filled, with words, and none that is needed. */
gboolean tide_rows_has_words_only  (const TideRows *rows);
gboolean tide_field_is_words       (const char *text, gsize length);
/* Words stand where the time should. */
gboolean tide_rows_has_words_first (const TideRows *rows);
/* The row is no data of the lane. */
void     tide_rows_skip            (TideRows *rows, guint lane, guint64 row, gboolean is_cut);
/* At the end. Errors: _NO_ROWS, _BROKEN. */
gboolean tide_rows_check_broken    (const TideRows *rows, const TideRowsLane *lane, GError **error);
