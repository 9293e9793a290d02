/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the table in a file's head: the delimiter, the row that names the columns, a row of
 * units below it, the decimal mark.
 *
 * The names are looked for line by line, so that quotes in a preamble cannot swallow the table; a
 * name may itself hold line ends inside quotes. The row of names is the first that names a time and
 * power, or voltage and current, and has rows below it that can be read. Of the delimiters, the one
 * by which most rows can be read wins. A table without names is refused: which column is which
 * would be a guess.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

/* Names stand above the data; no preamble is longer. */
#define MAX_PREAMBLE_LINES 2000
/* A name with line ends inside quotes spans no more lines. */
#define MAX_NAME_LINES 5
/* Rows of names that lead to no data are passed over, so many times. */
#define MAX_CANDIDATES 8

typedef struct
{
  const char *text;
  gsize length;
  gboolean at_end;
} Head;

/* ---- Lines ---- */

/* Where the line after the one at offset begins. */
static gsize
find_next_line (const Head *head, gsize offset)
{
  while (offset < head->length && head->text[offset] != '\n' && head->text[offset] != '\r')
    offset++;
  if (offset + 1 < head->length && head->text[offset] == '\r' && head->text[offset + 1] == '\n')
    offset++;
  return MIN (offset + 1, head->length);
}

static gboolean
has_open_quote (const char *text, gsize length)
{
  gboolean open = FALSE;
  for (gsize i = 0; i < length; i++)
    open ^= text[i] == '"';
  return open;
}

/* The record that begins at offset, alone; *end is where the next line begins. NULL: none. */
static TideTable *
read_record (const Head *head, gsize offset, char delimiter, gboolean wrapped, gsize *end)
{
  *end = find_next_line (head, offset);
  for (guint n = 1; n < MAX_NAME_LINES && has_open_quote (head->text + offset, *end - offset); n++)
    *end = find_next_line (head, *end);
  if (has_open_quote (head->text + offset, *end - offset))
    *end = find_next_line (head, offset);
  g_autoptr (TideTable) table =
      tide_table_new (head->text + offset, *end - offset, delimiter, wrapped, 0, TRUE, NULL);
  if (!table || table->rows->len == 0)
    return NULL;
  return g_steal_pointer (&table);
}

/* ---- The row of names ---- */

typedef struct
{
  gboolean has_time, has_voltage, has_current, has_power;
} Named;

static gboolean
has_electric (const Named *named)
{
  return named->has_power || (named->has_voltage && named->has_current);
}

static Named
find_named (const TideMeaning *meanings, guint n)
{
  Named named = { 0 };
  for (guint i = 0; i < n; i++)
    if (meanings[i].known)
      {
        named.has_time |= meanings[i].quantity == TIDE_QUANTITY_TIME;
        named.has_voltage |= meanings[i].quantity == TIDE_QUANTITY_VOLTAGE;
        named.has_current |= meanings[i].quantity == TIDE_QUANTITY_CURRENT;
        named.has_power |= meanings[i].quantity == TIDE_QUANTITY_POWER;
      }
  return named;
}

/* A row of data; cheaper to know than that it names nothing. */
static gboolean
is_mostly_numbers (const TideTable *record)
{
  guint n = tide_table_n_fields (record, 0), n_numbers = 0;
  for (guint i = 0; i < n; i++)
    {
      const char *text = tide_table_field (record, 0, i);
      gsize length = strlen (text);
      double value;
      n_numbers += tide_number_parse (text, length, '.', 0, &value)
                   || tide_number_parse (text, length, ',', 0, &value);
    }
  return n_numbers * 2 > n;
}

static gboolean
is_units_row (const TideTable *record, guint n_names)
{
  guint n_units = 0, n = tide_table_n_fields (record, 0);
  for (guint i = 0; i < MIN (n, n_names); i++)
    {
      g_autofree char *text = g_strdup (tide_table_field (record, 0, i));
      TideQuantity quantity;
      TideUnit unit;
      gsize length = strlen (g_strstrip (text));
      double value;
      if (length > 1 && strchr ("([", text[0]) && strchr (")]", text[length - 1]))
        text[length - 1] = '\0', memmove (text, text + 1, length - 1);
      if (tide_unit_parse (text, TIDE_N_QUANTITIES, &quantity, &unit))
        n_units++;
      else if (tide_number_parse (text, strlen (text), '.', 0, &value)
               || g_ascii_strncasecmp (text, "hh:", 3) == 0)
        return g_ascii_strncasecmp (text, "hh:", 3) == 0;
    }
  return n_units >= 2;
}

typedef struct
{
  TideTable *names; /* one row */
  TideTable *units; /* one row or NULL */
  TideMeaning *meanings;
  guint n;
  gsize data_offset;
  guint64 row, units_row, first_row;
  gboolean wrapped;
} Header;

static void
clear_header (Header *header)
{
  g_clear_pointer (&header->names, tide_table_free);
  g_clear_pointer (&header->units, tide_table_free);
  g_clear_pointer (&header->meanings, g_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Header, clear_header)

static char *
dup_unit_text (const Header *header, guint column)
{
  if (!header->units)
    return NULL;
  char *text = g_strstrip (g_strdup (tide_table_field (header->units, 0, column)));
  gsize length = strlen (text);
  if (length > 1 && strchr ("([", text[0]) && strchr (")]", text[length - 1]))
    {
      text[length - 1] = '\0';
      memmove (text, text + 1, length - 1);
    }
  return text;
}

static void
find_meanings (Header *header)
{
  header->n = tide_table_n_fields (header->names, 0);
  g_free (header->meanings);
  header->meanings = g_new0 (TideMeaning, header->n);
  for (guint i = 0; i < header->n; i++)
    {
      g_autofree char *unit_text = dup_unit_text (header, i);
      header->meanings[i] =
          tide_meaning_of_name (tide_table_field (header->names, 0, i), unit_text);
    }
}

/* A line quoted as a whole is tried as what is inside it. */
static TideTable *
read_names (const Head *head, gsize offset, char delimiter, gsize *end, gboolean *wrapped)
{
  g_autoptr (TideTable) plain = read_record (head, offset, delimiter, FALSE, end);
  *wrapped = plain && tide_table_n_fields (plain, 0) == 1 && head->text[offset] == '"'
             && strchr (tide_table_field (plain, 0, 0), delimiter);
  if (*wrapped)
    return read_record (head, offset, delimiter, TRUE, end);
  return g_steal_pointer (&plain);
}

/* A row of units may follow; blank lines may stand before it. */
static void
take_units_row (const Head *head, char delimiter, Header *header)
{
  gsize offset = header->data_offset, end;
  guint64 row = header->first_row;
  while (offset < head->length && find_next_line (head, offset) <= offset + 2
         && strchr ("\r\n", head->text[offset]))
    {
      offset = find_next_line (head, offset);
      row++;
    }
  if (offset >= head->length)
    return;
  g_autoptr (TideTable) record = read_record (head, offset, delimiter, header->wrapped, &end);
  if (!record || !is_units_row (record, header->n))
    return;
  header->units = g_steal_pointer (&record);
  header->units_row = row;
  header->data_offset = end;
  header->first_row = row + 1;
  find_meanings (header);
}

/* Data stand below: what tells a table that lacks a column from a line of prose. */
static gboolean
is_above_numbers (const Head *head, char delimiter, const Header *header)
{
  gsize end;
  if (header->data_offset >= head->length)
    return FALSE;
  g_autoptr (TideTable) record =
      read_record (head, header->data_offset, delimiter, header->wrapped, &end);
  return record && tide_table_n_fields (record, 0) > 1 && is_mostly_numbers (record);
}

/* Where the search for names stands; partial is the best row seen that names too little. */
typedef struct
{
  gsize offset;
  guint64 row;
  guint n_lines;
  guint64 row_without_time, row_without_electric;
} Search;

/* The next row that names a whole table. FALSE: there is none. */
static gboolean
find_header (const Head *head, char delimiter, Search *search, Header *header)
{
  for (; search->offset < head->length && search->n_lines < MAX_PREAMBLE_LINES; search->n_lines++)
    {
      gsize end;
      gsize offset = search->offset;
      g_autoptr (TideTable) names = read_names (head, offset, delimiter, &end, &header->wrapped);
      search->offset = end;
      search->row++;
      if (!names || is_mostly_numbers (names))
        continue;
      clear_header (header);
      header->names = g_steal_pointer (&names);
      header->row = search->row;
      header->data_offset = end;
      header->first_row = search->row + 1;
      header->units_row = 0;
      find_meanings (header);
      take_units_row (head, delimiter, header);
      Named named = find_named (header->meanings, header->n);
      if (named.has_time && has_electric (&named))
        return TRUE;
      if (!has_electric (&named) && !named.has_time)
        continue;
      if (!is_above_numbers (head, delimiter, header))
        continue;
      if (has_electric (&named) && search->row_without_time == 0)
        search->row_without_time = header->row;
      if (named.has_time && search->row_without_electric == 0)
        search->row_without_electric = header->row;
    }
  return FALSE;
}

/* ---- Decimal mark ---- */

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
                   _ ("row %" G_GUINT64_FORMAT
                      ": \"%s\" can have a decimal comma or a comma between thousands"),
                   marks.example_row, marks.example);
      return FALSE;
    }
  return TRUE;
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

TideUnderstanding *
tide_understanding_new (void)
{
  TideUnderstanding *u = g_new0 (TideUnderstanding, 1);
  u->decimal_mark = '.';
  u->names = g_ptr_array_new_with_free_func (g_free);
  u->complaints = tide_complaints_new ();
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    u->columns[q].index = -1;
  u->time.index = u->clock.index = -1;
  return u;
}

void
tide_understanding_free (TideUnderstanding *u)
{
  g_ptr_array_unref (u->names);
  g_ptr_array_unref (u->complaints);
  g_free (u);
}

/* The understanding that follows from a row of names and what stands below it. */
static TideUnderstanding *
understand_header (const Head *head,
                   char delimiter,
                   const Header *header,
                   guint *n_usable,
                   GError **error)
{
  g_autoptr (TideUnderstanding) u = tide_understanding_new ();
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
  if (table->rows->len == 0)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
                   _ ("row %" G_GUINT64_FORMAT " names the columns, but no rows stand below it"),
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
understand_by (const Head *head, char delimiter, Search *search, guint *n_usable, GError **problem)
{
  g_auto (Header) header = { 0 };
  g_autoptr (TideUnderstanding) poor = NULL;
  for (guint n = 0; n < MAX_CANDIDATES && find_header (head, delimiter, search, &header); n++)
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
say_why_not (const Head *head, const Search *search, GError **error)
{
  gsize end;
  g_autoptr (TideTable) first = read_record (head, 0, ',', FALSE, &end);
  if (search->row_without_time > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                 _ ("row %" G_GUINT64_FORMAT
                    " names the columns of a table, but none is a time, such as \"Time (s)\""),
                 search->row_without_time);
  else if (search->row_without_electric > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                 _ ("row %" G_GUINT64_FORMAT
                    " names a time, but neither power nor both of voltage and current, such as "
                    "\"Voltage (V), Current (A)\""),
                 search->row_without_electric);
  else if (first && is_mostly_numbers (first))
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
check_head (const Head *head, GError **error)
{
  gsize blank = 0;
  while (blank < head->length && g_ascii_isspace (head->text[blank]))
    blank++;
  if (blank == head->length && head->at_end)
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY,
                         _ ("the file holds nothing but blank lines"));
  else if (!head->at_end && find_next_line (head, 0) == head->length)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("row 1 is longer than %d bytes"), TIDE_HEAD_BYTES);
  else
    return TRUE;
  return FALSE;
}

TideUnderstanding *
tide_understand (const char *text, gsize length, gboolean at_end, GError **error)
{
  static const char delimiters[] = { ',', ';', '\t', '|' };
  Head head = { text, length, at_end };
  if (!check_head (&head, error))
    return NULL;
  g_autoptr (TideUnderstanding) best = NULL;
  g_autoptr (GError) problem = NULL;
  Search seen = { 0 };
  guint best_usable = 0;
  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    {
      Search search = { 0 };
      guint n_usable = 0;
      g_autoptr (GError) why = NULL;
      if (!memchr (text, delimiters[i], length))
        continue;
      g_autoptr (TideUnderstanding) u =
          understand_by (&head, delimiters[i], &search, &n_usable, &why);
      if (u && (!best || n_usable > best_usable))
        {
          g_clear_pointer (&best, tide_understanding_free);
          best = g_steal_pointer (&u);
          best_usable = n_usable;
        }
      if (why && !problem)
        problem = g_steal_pointer (&why);
      seen.row_without_time = MAX (seen.row_without_time, search.row_without_time);
      seen.row_without_electric = MAX (seen.row_without_electric, search.row_without_electric);
    }
  if (best)
    return g_steal_pointer (&best);
  if (problem)
    g_propagate_error (error, g_steal_pointer (&problem));
  else
    say_why_not (&head, &seen, error);
  return NULL;
}
