/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: text becomes records of fields. */
#pragma once

#include "reading/understanding.h"

/* ---- plain.c ---- */

/* What libcsv calls, so that a line is reported the same whoever split it. */
typedef struct {
  void (*field)  (void *text, gsize length, gpointer user_data);
  void (*record) (int terminator, gpointer user_data);
} TidePlainFuncs;

/* Splits the whole lines at the start of text up to one with a quote mark or a lone CR in it, and
 * gives the number of bytes taken; the rest is for libcsv. text begins with a record. */
gsize tide_plain_split (const char *text, gsize length, char delimiter, const TidePlainFuncs *report,
                        gpointer user_data);

/* ---- tokens.c ---- */

#define TIDE_MAX_FIELD_BYTES  (64 * 1024)
#define TIDE_MAX_RECORD_BYTES (1024 * 1024)
#define TIDE_MAX_COLUMNS      2000

/* The delimiter where columns are lined up with at least two blanks, or a tab, and one blank stands inside a cell. To people it
 * is a blank too. */
#define TIDE_WIDE_BLANKS '\v'

static inline gboolean
tide_delimiter_is_blanks (char delimiter)
{
  return delimiter == ' ' || delimiter == TIDE_WIDE_BLANKS;
}

typedef struct _TideTokens TideTokens;

/* text ends nowhere but after length. */
typedef void (*TideFieldFunc) (guint column, const char *text, gsize length, gpointer user_data);
/* terminated: a line end stood behind the record; FALSE at a file's end without one. */
typedef void (*TideRecordFunc) (guint64 row, guint n_fields, gboolean terminated, gpointer user_data);

/* wrapped: a record that is one quoted field with delimiters inside is unwrapped. first_row: the
 * number of the first record to come. Blank lines are counted but not reported. */
TideTokens *tide_tokens_new    (char delimiter, gboolean wrapped, guint64 first_row, TideFieldFunc field,
                                TideRecordFunc record, gpointer user_data);
void        tide_tokens_free   (TideTokens *tokens);
/* Errors: TIDE_READING_ERROR_TOO_LARGE, with the row. */
gboolean    tide_tokens_feed   (TideTokens *tokens, const char *text, gsize length, GError **error);
/* Whether no record is begun; row: the number of the next, or of the one begun. */
gboolean    tide_tokens_is_between (const TideTokens *tokens, guint64 *row);
/* Counts records that were read some other way, between two that are fed. */
void        tide_tokens_pass     (TideTokens *tokens, guint64 n_records);
/* The end of the file. Errors: _BROKEN when a quote that was opened is followed by line ends only. */
gboolean    tide_tokens_finish (TideTokens *tokens, GError **error);

/* Records kept as text: the head's rows, or one line. */
typedef struct {
  GString *text;
  GArray *starts; /* guint32: where each field begins in text */
  GArray *rows;   /* TideTableRow */
  gboolean is_whole; /* the text it was made of is all there is */
} TideTable;

typedef struct {
  guint64 row;
  guint first, n_fields;
} TideTableRow;

/* Tokenises text; a record without its line end is kept only if at_end. */
TideTable  *tide_table_new      (const char *text, gsize length, char delimiter, gboolean wrapped, guint64 first_row,
                                 gboolean at_end, GError **error);
void        tide_table_free     (TideTable *table);
/* "" beyond the end of a row. */
const char *tide_table_field    (const TideTable *table, guint row, guint column);
guint       tide_table_n_fields (const TideTable *table, guint row);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTokens, tide_tokens_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTable, tide_table_free)
