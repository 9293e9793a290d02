/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the decimal mark a point or a comma? Decided from the fields of the columns that matter.
 *
 * "1,5" can only have a decimal comma; "1,500" can be thousands. Where a column holds nothing but
 * the second kind it has decimals; where it also holds whole numbers both readings are plausible,
 * and the file is refused with both named. Numbers with marks between thousands are not read.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

typedef enum
{
  MARK_NONE,
  MARK_POINT,
  MARK_COMMA,
  MARK_COMMA_OR_THOUSANDS
} MarkKind;

static MarkKind
look_at_mark (const char *text)
{
  gsize before = 0, behind = 0;
  const char *p = text + (*text == '-' || *text == '+');
  const char *digits = p;
  for (; g_ascii_isdigit (*p); p++)
    before++;
  char mark = *p;
  if (mark != '.' && mark != ',')
    return MARK_NONE;
  for (p++; g_ascii_isdigit (*p); p++)
    behind++;
  if (before + behind == 0 || (*p != '\0' && *p != 'e' && *p != 'E'))
    return MARK_NONE;
  if (mark == '.')
    return MARK_POINT;
  gboolean may_be_thousands =
      before >= 1 && before <= 3 && *digits != '0' && behind == 3 && *p == '\0';
  return may_be_thousands ? MARK_COMMA_OR_THOUSANDS : MARK_COMMA;
}

typedef struct
{
  guint n_point, n_comma, n_either;
  gboolean is_mixed; /* a column holds 1,234 and whole numbers: thousands, or decimals? */
  const char *example;
  guint64 example_row;
} Marks;

static void
look_at_column_marks (const TideTable *table, guint column, Marks *marks)
{
  guint n_whole = 0, n_either = 0;
  for (guint row = 0; row < table->rows->len; row++)
    {
      const char *text = tide_table_field (table, row, column);
      double value;
      MarkKind kind = look_at_mark (text);
      marks->n_point += kind == MARK_POINT;
      marks->n_comma += kind == MARK_COMMA;
      n_whole += kind == MARK_NONE && tide_number_parse (text, strlen (text), '.', 0, &value);
      n_either += kind == MARK_COMMA_OR_THOUSANDS;
      if (kind == MARK_COMMA_OR_THOUSANDS && !marks->example)
        {
          marks->example = text;
          marks->example_row = g_array_index (table->rows, TideTableRow, row).row;
        }
    }
  marks->n_either += n_either;
  marks->is_mixed |= n_either > 0 && n_whole > 0;
}

gboolean
tide_sniff_decimal_mark (const TideTable *table,
                         const TideMeaning *meanings,
                         guint n_columns,
                         char *mark,
                         GError **error)
{
  Marks marks = { 0 };
  for (guint column = 0; column < n_columns; column++)
    if (meanings[column].known)
      look_at_column_marks (table, column, &marks);
  *mark = marks.n_comma > marks.n_point || (marks.n_either > 0 && marks.n_point == 0) ? ',' : '.';
  if (marks.n_comma == 0 && marks.n_point == 0 && marks.is_mixed)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS,
                   _ ("row %" PRIu64
                      ": \"%s\" can have a decimal comma or a comma between thousands"),
                   marks.example_row, marks.example);
      return FALSE;
    }
  return TRUE;
}
