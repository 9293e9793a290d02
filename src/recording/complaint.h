/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a reader has against one place of a file: row, column, reason. Nothing is ever skipped,
 * guessed or mended without one of these.
 */
#pragma once

#include <glib.h>

typedef struct {
  guint64 row;   /* as a spreadsheet numbers the file's rows, from 1; 0: the file as a whole */
  char *column;  /* the column's name as the file has it; NULL: the row as a whole */
  char *text;    /* one line, translated */
} TideComplaint;

TideComplaint *tide_complaint_new  (guint64 row, const char *column, const char *format, ...) G_GNUC_PRINTF (3, 4);
TideComplaint *tide_complaint_copy (const TideComplaint *complaint);
void           tide_complaint_free (TideComplaint *complaint);
/* "row 12, column Voltage(V): not a number: abc" as one line. Transfer full. */
char          *tide_complaint_to_text (const TideComplaint *complaint);

/* An empty, owning array of complaints. Transfer full. */
GPtrArray *tide_complaints_new  (void);
/* A deep copy. Transfer full. */
GPtrArray *tide_complaints_copy (GPtrArray *complaints);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideComplaint, tide_complaint_free)
