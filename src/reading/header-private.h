/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files about the row of names share: what it says (names.c), the search for it (header.c), the one that is stated
 * (header-stated.c), and the table below it (tables.c). */
#pragma once

#include "reading/reading-private.h"

/* ---- header.c ---- */

/* A file's first text, sniffed but not yet read. */
typedef struct {
  const char *text;
  gsize length;
  gboolean at_end; /* it is all of the file */
  GCancellable *cancellable; /* asked between two looks at it; may be NULL */
} TideHead;

/* Where the line after the one at offset begins. */
gsize      tide_head_next_line   (const TideHead *head, gsize offset);
/* The record that begins at offset, alone: a table of one row, and the offset behind it. NULL for a
 * blank line, and beyond a bound. */
TideTable *tide_head_read_record (const TideHead *head, gsize offset, char delimiter, gboolean wrapped, guint64 row,
                                  gsize *end, GError **error);
/* Of the first row. */
gboolean   tide_table_is_mostly_numbers (const TideTable *record);

/* A row of names that names a whole table. */
typedef struct {
  TideTable *names;      /* one row; NULL: no row names the columns */
  TideTable *units;      /* one row, or NULL */
  TideMeaning *meanings; /* n */
  guint n;
  gboolean wrapped;
  guint64 row, units_row, first_row;
  gsize offset;          /* where the names begin */
  gsize data_offset;
} TideHeader;

/* Where the search stands, from 0 on, and what it met that is worth a message. */
typedef struct {
  gsize offset;
  guint64 row;                  /* the last one looked at */
  guint64 first_row;            /* where the search began: behind so many rows */
  gboolean is_below;            /* the search goes on below a table: lines that begin with a digit are its rows */
  gboolean has_above;           /* above is the offset of the row of words before */
  gsize above;
  const TideReadingRule *rule;  /* may be NULL */
  guint64 row_without_time, row_without_electric; /* above numbers, but naming too little; 0: none */
  char *foreign;                                  /* of such a row, the needed column that has a unit which is none of ours */
  guint64 foreign_row;
  GError *too_large;                              /* the first row beyond a bound */
  GError *misfit;                                 /* why what is stated does not fit the first row of names */
} TideSearch;

void     tide_header_clear (TideHeader *header);
void     tide_search_clear (TideSearch *search);
/* The next row that names a whole table, together with what the rule states. FALSE: there is none. */
gboolean tide_header_find  (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header);
/* The row that a rule states, from 1, whatever its names say; 0: none, the table begins with the first row of numbers.
 * Errors: _RULE. */
gboolean tide_header_take  (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header, GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideHeader, tide_header_clear)
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideSearch, tide_search_clear)

/* ---- the names, and the table below them ---- */

/* With either decimal mark, which is not known yet. */
gboolean   tide_may_be_number     (const char *text);
/* At least two units, or nothing but one; and nothing that is data. */
gboolean   tide_is_units_row      (const TideTable *record, guint n_names);
/* The record at offset as names; a line quoted as a whole is tried as what is inside it, and said so in wrapped. */
TideTable *tide_header_read_names (const TideHead *head, gsize offset, char delimiter, TideSearch *search, gsize *end,
                                   gboolean *wrapped);
/* The search stands behind the row of names, which begins at offset. Takes names; header->wrapped is known. */
void       tide_header_begin      (const TideHead *head, char delimiter, TideTable *names, gsize offset,
                                   const TideSearch *search, TideHeader *header);
/* Puts what rule says of columns into the header's meanings. Errors: _RULE. */
gboolean   tide_header_state      (TideHeader *header, const TideReadingRule *rule, GError **error);

/* The understanding of the table below header, up to the next; the number of rows that can be read so. Errors:
 * TIDE_READING_ERROR. */
TideUnderstanding *tide_understand_header (const TideHead *head, char delimiter, const TideHeader *header,
                                           const TideReadingRule *rule, guint *n_usable, GError **error);
