/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the reading room share; only they and their tests include it. Beside it each step has a header of its
 * own.
 *
 * The way of a file: bytes -> text (UTF-8) -> its head is sniffed into a TideUnderstanding ->
 * the understanding is applied to all rows. An understanding is a value of its own: it can be
 * shown to a person, changed, and applied again; nothing in it depends on the rows beyond the head.
 */
#pragma once

#include "reading/names-private.h"
#include "reading/number-private.h"
#include "reading/time-private.h"
#include "reading/tokens-private.h"
#include "reading/understanding.h"
#include "unpack/unpack.h"

/* The first bytes of a text, from which it is understood: as many as come in one piece. */
#define TIDE_HEAD_BYTES TIDE_PIECE_BYTES

/* ---- the understanding ---- */

typedef enum {
  TIDE_FORM_NUMBER, /* elapsed, in a unit */
  TIDE_FORM_EPOCH,  /* a number counted from 1970 */
  TIDE_FORM_CLOCK,  /* 12:34:56 */
  TIDE_FORM_DATE,   /* a date, with a clock where it is the time */
  TIDE_FORM_SERIAL, /* days as a spreadsheet counts them */
  TIDE_FORM_STATED, /* by a pattern that a rule states */
  TIDE_FORM_COUNT,  /* no column: rows follow each other at a stated interval */
} TideTimeForm;

/* How one column of points in time is read. */
typedef struct {
  int index;             /* -1: there is none, or COUNT */
  TideTimeForm form;
  TideUnit unit;         /* NUMBER, EPOCH */
  const TidePattern *pattern; /* STATED; the understanding's */
  double every_s;        /* COUNT */
  TideDateOrder order;   /* DATE */
  gboolean minutes_first; /* CLOCK */
  gboolean daytime;      /* CLOCK: may be a time of day, so that it can pass midnight */
  gboolean unit_named;   /* NUMBER, EPOCH: the file or a rule says the unit */
  char group_mark;       /* NUMBER, EPOCH, SERIAL: between thousands; 0: none */
  gboolean in_cells;     /* NUMBER: cells bear units of their own; unit is that of those which do not */
} TideTimeUse;

typedef struct {
  int index; /* -1: the export has none */
  TideUnit unit;
  gboolean unit_named; /* the file or a rule says it */
  gboolean in_cells;   /* cells bear units of their own; unit is that of those which do not */
  gboolean only_in_cells; /* those which do not are no values: nothing tells their unit */
} TideColumnUse;

/* Runs that a table holds side by side share its time: a two-port meter's, the supply's side and the device's. */
#define TIDE_MAX_LANES 8

typedef struct {
  char *label;                              /* "Port A"; NULL where there is one lane */
  TideColumnUse columns[TIDE_N_QUANTITIES]; /* TIME is void: see the understanding's time */
} TideLane;

/* What was understood of a table from the head of its file. */
struct _TideUnderstanding {
  gatomicrefcount ref_count;
  char delimiter;
  char decimal_mark;
  char group_mark;               /* between thousands; 0: none */
  gboolean has_both_marks;       /* some columns are written with decimal points, such as the first, others with commas */
  guint marked_columns[2];       /* an example of each */
  gboolean wrapped;
  guint64 header_row, units_row; /* as a spreadsheet counts; units_row 0: none */
  gsize data_offset;             /* where in the text the records below the names begin */
  guint64 first_row;             /* the number of the first of them */
  GPtrArray *names;              /* char *, as the file has them */
  TideLane lanes[TIDE_MAX_LANES];
  guint n_lanes;                 /* at least 1 */
  TideTimeUse time;
  TideTimeUse date;              /* the date that time, a clock, belongs to: together they are points in time */
  int millis_index;              /* the column of thousandths that time, in whole seconds, is read with; -1: there is none */
  TideTimeUse clock;             /* where the wall clock of the first sample stands */
  TidePattern *pattern;          /* what a rule states of the time; NULL: nothing */
  double noted_every_s;          /* from row to row, as the lines above the names tell; 0: they do not */
  guint64 noted_row;             /* where */
  GPtrArray *complaints;         /* TideComplaint */
  guint n_remarks;               /* of them, those that tell a fact; all others tell a guess */
  GPtrArray *questions;          /* TideQuestion; by the first answer of each the rest was understood */
  TideReadingRule *rule;         /* what is stated, its own copy; NULL: nothing. See rule-private.h */
  char *member, *encoding;       /* of the file; NULL: not said */
  char *signature;               /* NULL: of no use */
  TideTable *samples;            /* the first rows, cut to a bound; NULL: not yet */
};

/* Keeps a copy of rule, which may be NULL. */
TideUnderstanding *tide_understanding_new    (const TideReadingRule *rule);
/* Makes the signature, once the names are there. */
void               tide_understanding_sign   (TideUnderstanding *understanding);
/* Takes a complaint that tells a fact; one of a guess is added to complaints as it is, and the understanding is not sure. */
void               tide_understanding_remark (TideUnderstanding *understanding, TideComplaint *complaint);
/* Keeps the first rows of table, whose comments are left out. */
void               tide_understanding_keep_samples (TideUnderstanding *understanding, const TideTable *table);

/* ---- question.c ---- */

/* A question of one line, with no answers yet. column may be NULL, row 0. */
TideQuestion *tide_question_new        (gboolean is_open, guint64 row, const char *column, const char *format, ...)
                                        G_GNUC_PRINTF (4, 5);
/* The likelier answer first. key, text as tide_reading_rule_set() takes them. */
void          tide_question_add_answer (TideQuestion *question, const char *key, const char *text, const char *format, ...)
                                        G_GNUC_PRINTF (4, 5);
void          tide_question_free       (TideQuestion *question);
/* Takes question. */
void          tide_understanding_ask   (TideUnderstanding *understanding, TideQuestion *question);
/* FALSE and _AMBIGUOUS where an open question stands: what reading ends in. */
gboolean      tide_understanding_check_answered (const TideUnderstanding *understanding, GError **error);
/* The text of the "column" key that says what column (from 0) is: `v=3:mV`; lane from 1; unit may be NULL. */
char         *tide_column_answer       (guint column, TideQuantity quantity, guint lane, const char *unit);

/* ---- cells.c ---- */

#define TIDE_MAX_CELL_UNIT 32

/* "5.12 V": the bytes of the number and the unit behind it. FALSE: there is none. */
gboolean tide_cell_split       (const char *text, gsize length, gsize *number_length, char unit[static TIDE_MAX_CELL_UNIT]);
/* "1.5 ms": a number and a unit of time. */
gboolean tide_cell_parse_time  (const char *text, gsize length, char decimal_mark, char group_mark, TideUnit *unit,
                                double *seconds);
/* One field of a column of values, in the quantity's own unit. */
gboolean tide_column_use_parse (const TideUnderstanding *understanding, const TideColumnUse *use, TideQuantity quantity,
                                const char *text, gsize length, double *value);
/* Most filled cells of the column bear a unit of quantity: the first one's, and whether all are in it. */
gboolean tide_cells_find_unit  (const TideTable *table, guint column, TideQuantity quantity, TideUnit *unit,
                                gboolean *agree);

/* ---- course.c: a field; a table's rows are in runs-private.h ---- */

/* One field of a time column: seconds, for points in time since 1970 as the clock on the wall reads. */
gboolean tide_time_use_parse (const TideTimeUse *use, char decimal_mark, const char *text, gsize length, double *seconds);
/* The same for DATE, STATED, SERIAL and CLOCK. */
gboolean tide_time_use_parse_moment (const TideTimeUse *use, char decimal_mark, const char *text, gsize length,
                                     TideMoment *moment);

/* ---- decimal.c ---- */

/* The marks of the fields of the columns whose meaning is known, into understanding, whose names are there. What can be read
 * in two ways becomes a question. */
void tide_sniff_marks (TideUnderstanding *understanding, const TideTable *table, const TideMeaning *meanings,
                       guint n_columns);

/* ---- choose.c ---- */

/* Fills in which columns are used: time, clock, columns, complaints. meanings are those of
 * understanding's names. Gives the number of the table's rows that can be read so, in n_usable.
 * Errors: _NO_TIME, _NO_TABLE, _AMBIGUOUS. */
gboolean tide_choose_columns (TideUnderstanding *understanding, const TideMeaning *meanings, const TideTable *table,
                              guint *n_usable, GError **error);

/* ---- timing.c ---- */

/* Chooses the time, the date and the clock column; a part of tide_choose_columns(). What can be read in two ways becomes
 * questions. Errors: _NO_TIME, and _RULE where the pattern stated does not fit. */
gboolean tide_choose_time (TideUnderstanding *understanding, const TideMeaning *meanings, const TideTable *table,
                           GError **error);

/* ---- interval.c ---- */

/* The seconds from row to row that the lines of text (above a table) tell, such as "Interval: 1 s" or "sample rate;10 Hz"; row is
 * the line, from 1. 0: none, or several that differ. */
double   tide_interval_find (const char *text, gsize length, guint64 *row);

/* ---- order.c ---- */

/* Dates in the order of a table's rows, to decide in which order day, month and year stand. */
typedef struct {
  guint fits; /* TideDateOrder: those in which every date can be read */
  gboolean differs; /* some date is another day in another of the orders that fitted it */
  struct {
    gboolean is_begun;
    gint64 day;       /* of the row before */
    gboolean is_calm; /* a day passed into the next, or the one after */
    gboolean is_wild; /* it stepped back, or far on */
    gboolean is_uneven; /* some step was not such a passing */
  } courses[3];
} TideOrderScan;

void          tide_order_scan_init   (TideOrderScan *scan);
/* Fields that are no date are passed over. */
void          tide_order_scan_feed   (TideOrderScan *scan, const char *text, gsize length);
/* NONE: several are left. */
TideDateOrder tide_order_scan_decide (const TideOrderScan *scan);

/* The column whose dates leave understanding with an open question that the rows beyond the head may answer; -1: there is none. */
int           tide_order_get_column  (const TideUnderstanding *understanding);
/* Takes what a scan of the whole of that column's fields says: the question goes, and a complaint tells why. FALSE: it
 * says nothing. For an understanding that nobody else has seen yet. */
gboolean      tide_order_settle      (TideUnderstanding *understanding, const TideOrderScan *scan);

/* ---- dialect.c ---- */

/* The first table in a file's head. rule may be NULL. Errors: TIDE_READING_ERROR, without the file's name; an open question
 * is none. */
TideUnderstanding *tide_understand (const char *head, gsize length, gboolean at_end, const TideReadingRule *rule,
                                    GCancellable *cancellable, GError **error);

/* ---- tables.c ---- */

/* All tables of a head (GPtrArray of TideUnderstanding), or the one that rule chooses. */
GPtrArray         *tide_understand_tables (const char *head, gsize length, gboolean at_end, const TideReadingRule *rule,
                                           GCancellable *cancellable, GError **error);

/* Whether text begins with the names, in that row, of a whole table other than understanding's. */
gboolean           tide_names_another_table (const TideUnderstanding *understanding, const char *text, gsize length,
                                             guint64 row);
/* That table; its data_offset is in text. NULL: its rows cannot be read. */
TideUnderstanding *tide_understand_another  (const TideUnderstanding *understanding, const char *text, gsize length,
                                             gboolean at_end, guint64 row);

/* ---- ends.c ---- */

/* At least two fields name quantities, and none is a number. */
gboolean tide_names_other_columns (const TideTable *table, guint row);
/* Leaves the rows above a summary; meanings of the n columns. */
void     tide_leave_out_summary   (TideTable *table, const TideMeaning *meanings, guint n);

/* A row whose first field begins so is a comment, unless it can be read as data. */
gboolean tide_is_comment (const char *first_field, gsize length);
