/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file's head becomes an understanding: the delimiter, the table, its columns.
 *
 * The row of names is the first that names a time and power, or voltage and current, and has
 * rows below it that can be read. Of the delimiters, the one by which most rows of the head can be
 * read wins. A table without names is refused: which column is which would be a guess.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

/* Rows of names that lead to no data are passed over, so many times. */
#define MAX_CANDIDATES 8

gboolean
tide_is_comment (const char *first_field, gsize length)
{
  return length > 0 && memchr ("#~%;", *first_field, 4) != NULL;
}

static gboolean
is_data (const TideTable *table, guint row)
{
  const char *first = tide_table_field (table, row, 0);
  if (tide_is_comment (first, strlen (first)))
    return FALSE;
  for (guint i = 0; i < tide_table_n_fields (table, row); i++)
    if (tide_table_field (table, row, i)[0] != '\0')
      return TRUE;
  return FALSE;
}

/* Comments and rows of nothing but delimiters would only blur what the columns are. Where every row
 * looks like a comment it is none: a number sign stands before the rows' numbers. */
static void
leave_out_comments (TideTable *table)
{
  guint n_kept = 0;
  for (guint row = 0; row < table->rows->len; row++)
    if (is_data (table, row))
      g_array_index (table->rows, TideTableRow, n_kept++) =
          g_array_index (table->rows, TideTableRow, row);
  if (n_kept > 0)
    g_array_set_size (table->rows, n_kept);
}

/* With commas between the columns and in the numbers, each number becomes two columns. */
static gboolean
check_columns_fit (const TideTable *table, char delimiter, guint n_names, GError **error)
{
  guint n_wide = 0;
  for (guint row = 0; row < table->rows->len; row++)
    {
      guint n = tide_table_n_fields (table, row);
      while (n > 0 && tide_table_field (table, row, n - 1)[0] == '\0')
        n--;
      n_wide += n > n_names;
    }
  if (delimiter != ',' || n_wide * 2 <= table->rows->len)
    return TRUE;
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS,
               _ ("the rows have more columns than the %u names above them: the commas can stand "
                  "between columns or be "
                  "decimal commas; export with another delimiter"),
               n_names);
  return FALSE;
}

/* ---- The understanding ---- */

/* The understanding that follows from a row of names and what stands below it. */
static TideUnderstanding *
understand_header (const TideHead *head,
                   char delimiter,
                   const TideHeader *header,
                   guint *n_usable,
                   GError **error)
{
  g_autoptr (TideUnderstanding) u = tide_understanding_new (NULL);
  u->delimiter = delimiter;
  u->wrapped = header->wrapped;
  u->header_row = header->row;
  u->units_row = header->units_row;
  u->first_row = header->first_row;
  u->data_offset = header->data_offset;
  for (guint i = 0; i < header->n; i++)
    g_ptr_array_add (u->names,
                     g_strstrip (g_utf8_make_valid (tide_table_field (header->names, 0, i), -1)));

  g_autoptr (TideTable) table =
      tide_table_new (head->text + u->data_offset, head->length - u->data_offset, delimiter,
                      u->wrapped, u->first_row, head->at_end, error);
  if (!table)
    return NULL;
  leave_out_comments (table);
  if (table->rows->len == 0)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
                   _ ("row %" PRIu64 " names the columns, but no rows stand below it"),
                   u->header_row);
      return NULL;
    }
  if (!check_columns_fit (table, delimiter, header->n, error)
      || !tide_sniff_decimal_mark (table, header->meanings, header->n, &u->decimal_mark, error)
      || !tide_choose_columns (u, header->meanings, table, n_usable, error))
    return NULL;
  if (u->wrapped)
    g_ptr_array_add (
        u->complaints,
        tide_complaint_new (u->header_row, NULL,
                            _ ("each row is one quoted field; read as what is inside")));
  return g_steal_pointer (&u);
}

/* The best understanding by one delimiter; problem keeps why the first row of names failed. */
static TideUnderstanding *
understand_by (const TideHead *head,
               char delimiter,
               TideSearch *search,
               guint *n_usable,
               GError **problem)
{
  g_auto (TideHeader) header = { 0 };
  g_autoptr (TideUnderstanding) poor = NULL;
  for (guint n = 0; n < MAX_CANDIDATES && tide_header_find (head, delimiter, search, &header); n++)
    {
      g_autoptr (TideUnderstanding) u =
          understand_header (head, delimiter, &header, n_usable, *problem || poor ? NULL : problem);
      if (u && *n_usable >= 2)
        return g_steal_pointer (&u);
      if (u && !poor)
        poor = g_steal_pointer (&u);
    }
  *n_usable = poor != NULL;
  return g_steal_pointer (&poor);
}

static void
say_why_not (const TideHead *head, TideSearch *search, GError **error)
{
  gsize end;
  g_autoptr (TideTable) first = tide_head_read_record (head, 0, ',', FALSE, 1, &end, NULL);
  if (search->row_without_time > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                 _ ("row %" PRIu64
                    " names the columns of a table, but none is a time, such as \"Time (s)\""),
                 search->row_without_time);
  else if (search->row_without_electric > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                 _ ("row %" PRIu64
                    " names a time, but neither power nor both of voltage and current, such as "
                    "\"Voltage (V), Current (A)\""),
                 search->row_without_electric);
  else if (search->too_large)
    g_propagate_error (error, g_steal_pointer (&search->too_large));
  else if (first && tide_table_is_mostly_numbers (first))
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                         _ ("no row names the columns: the first row of a table must, such as "
                            "\"Time (s), Voltage (V), "
                            "Current (A)\""));
  else
    g_set_error_literal (
        error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
        _ ("no table of time and power found: the first row of a table names its columns, such as "
           "\"Time (s), Voltage (V), Current (A)\""));
}

static gboolean
check_head (const TideHead *head, GError **error)
{
  gsize blank = 0;
  while (blank < head->length && g_ascii_isspace (head->text[blank]))
    blank++;
  if (blank == head->length && head->at_end)
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY,
                         _ ("the file holds nothing but blank lines"));
  else if (!head->at_end && tide_head_next_line (head, 0) == head->length)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("row 1 is longer than %d bytes"), TIDE_HEAD_BYTES);
  else
    return TRUE;
  return FALSE;
}

/* One delimiter's result, held against the best so far. */
typedef struct
{
  TideUnderstanding *best;
  guint n_usable;
  GError *problem; /* why the first table that was found cannot be read */
  TideSearch seen; /* what all searches met */
} Contest;

static void
clear_contest (Contest *contest)
{
  g_clear_pointer (&contest->best, tide_understanding_unref);
  g_clear_error (&contest->problem);
  tide_search_clear (&contest->seen);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Contest, clear_contest)

static void
enter_contest (const TideHead *head, char delimiter, Contest *contest)
{
  g_auto (TideSearch) search = { 0 };
  g_autoptr (GError) why = NULL;
  guint n_usable = 0;
  g_autoptr (TideUnderstanding) u = understand_by (head, delimiter, &search, &n_usable, &why);
  if (u && (!contest->best || n_usable > contest->n_usable))
    {
      g_clear_pointer (&contest->best, tide_understanding_unref);
      contest->best = g_steal_pointer (&u);
      contest->n_usable = n_usable;
    }
  if (!contest->problem)
    contest->problem = g_steal_pointer (&why);
  if (!contest->seen.too_large)
    contest->seen.too_large = g_steal_pointer (&search.too_large);
  contest->seen.row_without_time = MAX (contest->seen.row_without_time, search.row_without_time);
  contest->seen.row_without_electric =
      MAX (contest->seen.row_without_electric, search.row_without_electric);
}

TideUnderstanding *
tide_understand (const char *text, gsize length, gboolean at_end, GError **error)
{
  static const char delimiters[] = { ',', ';', '\t', '|' };
  TideHead head = { text, length, at_end };
  if (!check_head (&head, error))
    return NULL;
  g_auto (Contest) contest = { 0 };
  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    if (memchr (text, delimiters[i], length))
      enter_contest (&head, delimiters[i], &contest);
  if (contest.best)
    return g_steal_pointer (&contest.best);
  if (contest.problem)
    g_propagate_error (error, g_steal_pointer (&contest.problem));
  else
    say_why_not (&head, &contest.seen, error);
  return NULL;
}
