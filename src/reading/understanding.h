/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was understood of one table of a file from its head, for a person to see and to change.
 *
 * An understanding is immutable. Changing one means to state a rule and to understand the file again: it costs
 * one read of the head. Columns count from 0 here, rows from 1 as a spreadsheet does.
 */
#pragma once

#include <gio/gio.h>

#include "reading/reading.h"

typedef enum {
  TIDE_ROLE_UNREAD, /* nothing of ours, or not wanted */
  TIDE_ROLE_TIME,   /* the time of the samples */
  TIDE_ROLE_DATE,   /* the date that a TIME column of clocks belongs to */
  TIDE_ROLE_CLOCK,  /* tells when the log began, no more */
  TIDE_ROLE_VALUE,  /* a quantity */
} TideColumnRole;

typedef struct {
  const char *name;      /* as the file has it; "" where there is none. Borrowed */
  TideColumnRole role;
  TideQuantity quantity; /* VALUE */
  const char *unit;      /* symbol, static; NULL where it has none (dates) */
  gboolean unit_named;   /* the file says so, or a rule; else it was taken as plain */
  guint lane;            /* VALUE: from 1: of which run, where several stand side by side */
} TideColumnReading;

/* One possible answer: set key to text and read again. */
typedef struct {
  char *key, *text; /* as tide_reading_rule_set() takes them */
  char *meaning;    /* for a person: "day/month/year, so that the log begins on 3 April 2026" */
} TideAnswer;

/* Something that can be read in more than one way. */
typedef struct {
  char *text;         /* one line that names both */
  guint64 row;        /* an example, 0: none */
  char *column;       /* its name, NULL: none */
  GPtrArray *answers; /* TideAnswer, the likelier first; never empty */
  gboolean is_open;   /* TRUE: nothing is read until it is answered. FALSE: read by the first answer, with a doubt */
} TideQuestion;

/* Its text with the row, and the column where the text does not name it, before it: one line. Transfer full. */
char *tide_question_to_text (const TideQuestion *question);

TideUnderstanding *tide_understanding_ref   (TideUnderstanding *understanding);
void               tide_understanding_unref (TideUnderstanding *understanding);

/* The tables that the head of a file shows, at least one, in order: GPtrArray of TideUnderstanding (transfer full). With a rule
 * that chooses a sheet or table, that one. Open questions are no error here; everything else is, as for
 * tide_read_file(). Blocking; safe in any thread. */
GPtrArray *tide_understand_file  (GFile *file, const TideReadOptions *options, GCancellable *cancellable, GError **error);
GPtrArray *tide_understand_bytes (GBytes *bytes, const char *name, const TideReadOptions *options,
                                  GCancellable *cancellable, GError **error);

/* The sheet's or archive member's name; NULL for a plain file. */
const char *tide_understanding_get_member       (const TideUnderstanding *understanding);
/* "UTF-8". */
const char *tide_understanding_get_encoding     (const TideUnderstanding *understanding);
/* ' ' for columns lined up with blanks. */
char        tide_understanding_get_delimiter    (const TideUnderstanding *understanding);
char        tide_understanding_get_decimal_mark (const TideUnderstanding *understanding);
/* Between thousands; 0: none. A no-break space counts as a blank. */
char        tide_understanding_get_group_mark   (const TideUnderstanding *understanding);
/* 0: none. */
guint64     tide_understanding_get_header_row   (const TideUnderstanding *understanding);
guint64     tide_understanding_get_units_row    (const TideUnderstanding *understanding);
/* The first row below the names. */
guint64     tide_understanding_get_first_row    (const TideUnderstanding *understanding);
/* How the time is read, in a few translated words: "days.months.years with a clock, column \"Zeit\"". Transfer full. */
char       *tide_understanding_dup_time_text    (const TideUnderstanding *understanding);

guint             tide_understanding_get_n_columns (const TideUnderstanding *understanding);
TideColumnReading tide_understanding_get_column    (const TideUnderstanding *understanding, guint column);
/* Runs that stand side by side; 1 mostly. Their labels from 0, NULL where there is one. */
guint             tide_understanding_get_n_lanes   (const TideUnderstanding *understanding);
const char       *tide_understanding_get_lane_label (const TideUnderstanding *understanding, guint lane);

/* The first rows below the names, at most TIDE_SAMPLE_ROWS, comments left out, as the file has them. */
#define TIDE_SAMPLE_ROWS 50
guint       tide_understanding_get_n_samples  (const TideUnderstanding *understanding);
guint64     tide_understanding_get_sample_row (const TideUnderstanding *understanding, guint sample);
/* "" beyond the end of a row. */
const char *tide_understanding_get_sample     (const TideUnderstanding *understanding, guint sample, guint column);

/* TideComplaint, TideQuestion; transfer none. */
GPtrArray *tide_understanding_get_complaints (const TideUnderstanding *understanding);
GPtrArray *tide_understanding_get_questions  (const TideUnderstanding *understanding);
/* No question, open or not, and no complaint of a guess: may be read without a look. */
gboolean   tide_understanding_is_sure        (const TideUnderstanding *understanding);
/* The same for all files with this header: the names of the columns. "" where a rule could not be known again by it. */
const char *tide_understanding_get_signature (const TideUnderstanding *understanding);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideUnderstanding, tide_understanding_unref)
