/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: an understanding applied to the rows of its table, which become recordings. */
#pragma once

#include "reading/reading-private.h"
#include "recording/sink.h"

typedef struct _TideTally TideTally; /* complaints about rows: see tally.c below */

/* ---- course.c ---- */

/* The time of a table's rows, one after the other. All but u is course.c's own. */
typedef struct {
  const TideUnderstanding *u;
  gboolean is_dated;  /* the time is of points in time with their dates */
  gboolean has_base;
  double base;        /* EPOCH: the first number */
  gint64 base_us;     /* dated: the first moment */
  gboolean base_has_zone;
  double greatest_s;
  guint64 n_rows;     /* COUNT */
  /* the row being read */
  TideMoment moment;
  gboolean has_date, has_millis;
  gint64 millis_us;
  gint64 date_us;
  /* dated: the row before, and what is added to all */
  gboolean has_before;
  gint64 before_us, date_before_us, clock_before_us, usual_us;
  gint64 days_us, shift_us;
} TideCourse;

void     tide_course_init (TideCourse *course, const TideUnderstanding *u);
/* The fields of the time, the date and the thousandths' column. seconds may be void until tide_course_finish_row(). */
gboolean tide_course_take_time (TideCourse *course, const char *text, gsize length, double *seconds);
gboolean tide_course_take_date (TideCourse *course, const char *text, gsize length);
gboolean tide_course_take_millis (TideCourse *course, const char *text, gsize length);
/* Every row of data, whole or not. has_time: its time field was one. Gives seconds since the first row for points in time,
 * else leaves what take_time() gave. FALSE: the row has no time. What happens to the clock goes to tally. */
gboolean tide_course_finish_row (TideCourse *course, gboolean has_time, TideTally *tally, guint64 row, double *seconds);
/* Dated: the wall clock at so many seconds. */
gint64   tide_course_get_start_us (const TideCourse *course, double seconds);
/* The stamps so far can be those of a clock without a date that passes midnight. */
gboolean tide_course_is_of_day (const TideCourse *course);

/* ---- tally.c ---- */

/* Complaints about rows: the first TIDE_MAX_TOLD are kept, all are counted. */
#define TIDE_MAX_TOLD 100

struct _TideTally {
  GPtrArray *told; /* TideComplaint */
  guint64 n;
};

void tide_tally_add (TideTally *tally, guint64 row, const char *column, const char *text);
/* Appends copies in the order of rows, and one that says how many more there were. */
void tide_tally_tell (const TideTally *tally, GPtrArray *complaints);

/* ---- rows.c ---- */

/* The name of the column that is read as quantity, as the file has it; NULL where none is. */
const char *tide_understanding_get_name (const TideUnderstanding *understanding, guint lane, TideQuantity quantity);

typedef struct _TideRows TideRows;

/* Where the rows of a lane go, some at a time: takes them out of raw, whose arrays it leaves empty. An assembler is one such
 * place, a file that is followed another. */
typedef gboolean (*TideRowsFunc) (TideRawRows *raw, gpointer user_data, GError **error);

/* Reads all lanes of understanding, which is borrowed. */
TideRows *tide_rows_new     (const TideUnderstanding *understanding);
void      tide_rows_free    (TideRows *rows);
/* The rows of a lane that is not connected are counted only. */
void      tide_rows_connect (TideRows *rows, guint lane, TideRowsFunc push, gpointer user_data);
/* The callbacks of tokens; user_data is the rows. */
void      tide_rows_field_cb  (guint column, const char *text, gsize length, gpointer user_data);
void      tide_rows_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data);
/* Whether there may be plain lines, which need no tokens. */
gboolean  tide_rows_reads_plain (const TideRows *rows);
/* Reads the plain lines at the start of text, which begins with a record of that number, and gives the number of bytes taken and
 * of rows read; all else is for tokens. */
gsize     tide_rows_take_plain (TideRows *rows, const char *text, gsize length, guint64 row, guint64 *n_rows);
/* Whether there is use in reading on, once the next n_bytes of text were read; bounds what is read without a row that is
 * of use. Errors: those of push, _TOO_LARGE. */
gboolean  tide_rows_check_text (TideRows *rows, gsize n_bytes, GError **error);
/* A row of words where numbers should be may name another table: if watched, all from there on is passed over until the
 * suspect is cleared. */
void      tide_rows_watch         (TideRows *rows, gboolean is_watched);
guint64   tide_rows_get_suspect   (const TideRows *rows);
void      tide_rows_clear_suspect (TideRows *rows);
/* The table ends at the suspect: all from there on is passed over, counted and told. */
void      tide_rows_end           (TideRows *rows);
gboolean  tide_rows_has_ended     (const TideRows *rows);
/* Whether record has as many fields as the rows have, and a later time than the last. */
gboolean  tide_rows_go_on_with    (const TideRows *rows, const TideTable *record);
/* ends.c: whether text, which begins with a suspect, begins with the names of a summary and no more rows of the table. */
gboolean  tide_begins_summary     (const TideRows *rows, const char *text, gsize length, gboolean at_end);
/* Pushes the rows that are left. */
gboolean  tide_rows_flush     (TideRows *rows, GError **error);
/* Once all are flushed: what was skipped of one lane goes to complaints. Errors: _NO_ROWS, _BROKEN. */
gboolean  tide_rows_finish_lane (TideRows *rows, guint lane, GPtrArray *complaints, GError **error);
guint64   tide_rows_get_skipped (const TideRows *rows, guint lane);

/* ---- runs.c ---- */

/* The recordings of one table on their way into a sink. */
typedef struct _TideRuns TideRuns;

/* next_part as for tide_assembler_new(). sink is borrowed. */
TideRuns *tide_runs_new    (TideUnderstanding *understanding, TideSink *sink, guint *next_part);
void      tide_runs_free   (TideRuns *runs);
/* Text from the understanding's data_offset on, in blocks of whole lines. taken is less than length where the table ends, at
 * the names of another. */
gboolean  tide_runs_feed   (TideRuns *runs, const char *text, gsize length, gsize *taken, GError **error);
/* The row where it ended so; 0: it goes on. */
guint64   tide_runs_get_end (const TideRuns *runs);
/* No table that can be read begins there. text, which begins there and at_end goes on to the file's end, is to be fed again: it
 * is more of the table, or below its end. */
void      tide_runs_go_on  (TideRuns *runs, const char *text, gsize length, gboolean at_end);
/* complaints (TideComplaint) of the table as a whole become its first recording's. */
gboolean  tide_runs_finish (TideRuns *runs, GPtrArray *complaints, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRuns, tide_runs_free)

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRows, tide_rows_free)
