/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a table ends though no other that can be read begins: below the rows of many a log stands a
 * summary, with names of its own ("Duration (s), Max voltage (V)") and a row of numbers, or lines
 * that begin with words ("Energy, 12.5"). Such numbers are no samples.
 *
 * Names that are not the table's end it where the rows below them do not go on with its time: the
 * next has another number of fields, or is not later than the last. Where it goes on, a line that
 * only looks like names was a remark, and so is the table's own.
 */
#include "reading/header-private.h"
#include "reading/rows-private.h"

#include <string.h>

/* So many rows of data tell what the table's columns are. */
#define LEAST_ROWS 2

/* ---- In the head ---- */

gboolean
tide_names_other_columns (const TideTable *table, guint row)
{
  guint n_names = 0;
  for (guint i = 0; i < tide_table_n_fields (table, row); i++)
    {
      const char *text = tide_table_field (table, row, i);
      if (*text != '\0' && tide_may_be_number (text))
        return FALSE;
      n_names += tide_name_says_quantity (text);
    }
  return n_names >= 2;
}

static gboolean
has_digit (const TideTable *table, guint row)
{
  for (guint i = 0; i < tide_table_n_fields (table, row); i++)
    if (strpbrk (tide_table_field (table, row, i), "0123456789"))
      return TRUE;
  return FALSE;
}

/* Words stand where a time should. */
static gboolean
is_footer (const TideTable *table, guint row, const TideMeaning *meanings, guint n)
{
  gboolean has_words = FALSE;
  for (guint column = 0; column < n; column++)
    {
      if (!meanings[column].known || meanings[column].quantity != TIDE_QUANTITY_TIME)
        continue;
      const char *text = tide_table_field (table, row, column);
      if (strpbrk (text, "0123456789"))
        return FALSE;
      has_words |= *text != '\0' && tide_field_is_words (text, strlen (text));
    }
  return has_words;
}

void
tide_leave_out_summary (TideTable *table, const TideMeaning *meanings, guint n)
{
  guint end = table->rows->len;
  for (guint row = LEAST_ROWS; row < end; row++)
    if (!has_digit (table, row) && tide_names_other_columns (table, row))
      end = row;
  while (end > LEAST_ROWS && is_footer (table, end - 1, meanings, n))
    end--;
  g_array_set_size (table->rows, end);
}

/* ---- Among the rows ---- */

/* The next record that is no blank line; NULL: there is none. */
static TideTable *
read_next (const TideUnderstanding *u, const TideHead *head, gsize *offset)
{
  TideTable *record = NULL;
  while (!record && *offset < head->length)
    record = tide_head_read_record (head, *offset, u->delimiter, u->wrapped, 1, offset, NULL);
  return record;
}

gboolean
tide_begins_summary (const TideRows *rows, const char *text, gsize length, gboolean at_end)
{
  TideHead head = { text, length, at_end };
  gsize offset = 0;
  g_autoptr (TideTable) names = read_next (rows->u, &head, &offset);
  if (!names || !tide_names_other_columns (names, 0))
    return FALSE;
  g_autoptr (TideTable) first = read_next (rows->u, &head, &offset);
  if (!first)
    return FALSE;
  if (!tide_rows_go_on_with (rows, first))
    return TRUE;
  /* a duration may be a little more than the last row's time */
  g_autoptr (TideTable) second = read_next (rows->u, &head, &offset);
  return at_end && !second && !has_digit (names, 0);
}
