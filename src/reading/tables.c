/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A row of names and what stands below it become the understanding of a table; and where that
 * table ends: below it another may begin, with a row of other names. The same names again are the
 * same table, a log that was resumed.
 */
#include "reading/header-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#include "reading/rule-private.h"

/* Of the head; a file has a few. */
#define MAX_TABLES 100

gboolean
tide_is_comment (const char *first_field, gsize length)
{
  if (length == 0)
    return FALSE;
  switch (*first_field)
    {
    case '#':
    case '~':
    case '%':
    case ';':
      return TRUE;
    case '/':
      return length > 1 && first_field[1] == '/';
    case '\'':
      return length == 1 || !g_ascii_isdigit (first_field[1]);
    case 'R':
    case 'r':
      return length >= 3 && g_ascii_strncasecmp (first_field, "rem", 3) == 0
             && (length == 3 || g_ascii_isspace (first_field[3]));
    default:
      return FALSE;
    }
}

static gboolean
is_names (const TideTable *table, guint row, GPtrArray *names)
{
  guint n = tide_table_n_fields (table, row);
  for (guint i = 0; i < MIN (n, names->len); i++)
    if (g_strcmp0 (tide_table_field (table, row, i), g_ptr_array_index (names, i)) != 0)
      return FALSE;
  return n >= names->len;
}

/* Neither a comment, nor a line of prose, nor the names again, nor nothing but delimiters. */
static gboolean
is_data (const TideTable *table, guint row, GPtrArray *names)
{
  const char *first = tide_table_field (table, row, 0);
  guint n = tide_table_n_fields (table, row);
  if (tide_is_comment (first, strlen (first)) || (n < 2 && names->len > 1)
      || is_names (table, row, names))
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (tide_table_field (table, row, i)[0] != '\0')
      return TRUE;
  return FALSE;
}

/* What is no row of data would only blur what the columns are. Where every row looks like a comment
 * it is none: a number sign stands before the rows' numbers. */
static void
leave_out_comments (TideTable *table, GPtrArray *names)
{
  guint n_kept = 0;
  for (guint row = 0; row < table->rows->len; row++)
    if (is_data (table, row, names))
      g_array_index (table->rows, TideTableRow, n_kept++) =
          g_array_index (table->rows, TideTableRow, row);
  if (n_kept > 0)
    g_array_set_size (table->rows, n_kept);
}

/* With commas between the columns and in the numbers, each number becomes two columns. */
static void
ask_about_commas (TideUnderstanding *u, const TideTable *table)
{
  guint n_wide = 0;
  for (guint row = 0; row < table->rows->len; row++)
    {
      guint n = tide_table_n_fields (table, row);
      while (n > 0 && tide_table_field (table, row, n - 1)[0] == '\0')
        n--;
      n_wide += n > u->names->len;
    }
  if (u->delimiter != ',' || n_wide * 2 <= table->rows->len || (u->rule && u->rule->delimiter))
    return;
  TideQuestion *question =
      tide_question_new (TRUE, g_array_index (table->rows, TideTableRow, 0).row, NULL,
                         _ ("the rows have more columns than the %u names above them: the commas "
                            "can stand between columns or be decimal commas; if they are decimal "
                            "commas, export with another delimiter"),
                         u->names->len);
  tide_question_add_answer (question, "delimiter", ",",
                            _ ("commas stand between columns; those without a name are not read"));
  tide_understanding_ask (u, question);
}

/* ---- The understanding ---- */

static void
take_header (TideUnderstanding *u, const TideHeader *header, char delimiter)
{
  u->delimiter = delimiter;
  u->wrapped = header->wrapped;
  u->header_row = header->row;
  u->units_row = header->units_row;
  u->first_row = header->first_row;
  u->data_offset = header->data_offset;
  for (guint i = 0; i < header->n; i++)
    {
      const char *name = header->names ? tide_table_field (header->names, 0, i) : "";
      g_ptr_array_add (u->names, g_strstrip (g_utf8_make_valid (name, -1)));
    }
  tide_understanding_sign (u);
  if (u->wrapped)
    tide_understanding_remark (
        u, tide_complaint_new (u->header_row, NULL,
                               _ ("each row is one quoted field; read as what is inside")));
}

/* ---- Where a table ends ---- */

/* Names that stand again above more rows of the same table: a log was resumed. */
static gboolean
has_names (const TideHeader *header, GPtrArray *names)
{
  for (guint i = 0; i < MAX (header->n, names->len); i++)
    {
      const char *name = i < names->len ? g_ptr_array_index (names, i) : "";
      g_autofree char *other =
          g_strstrip (g_utf8_make_valid (tide_table_field (header->names, 0, i), -1));
      if (g_strcmp0 (name, other) != 0)
        return FALSE;
    }
  return TRUE;
}

/* Or the row of units below them, whose letters could name columns. */
static gboolean
goes_on (const TideHeader *header, const TideUnderstanding *u)
{
  return has_names (header, u->names)
         || (u->units_row > 0 && tide_is_units_row (header->names, u->names->len));
}

/* The search for names below u's; they are u's own where the log was resumed. */
static TideSearch
search_below (const TideUnderstanding *u)
{
  return (TideSearch){
    .offset = u->data_offset,
    .row = u->first_row - 1,
    .first_row = u->first_row - 1,
    .is_below = TRUE,
    .rule = u->rule,
  };
}

static gboolean
may_have_more_tables (const TideUnderstanding *u)
{
  return u->header_row > 0 && (!u->rule || u->rule->header_row < 0);
}

/* The rows of u: up to the names of another table. */
static TideHead
cut_head (const TideHead *head, const TideUnderstanding *u)
{
  g_auto (TideSearch) search = search_below (u);
  g_auto (TideHeader) next = { 0 };
  while (may_have_more_tables (u) && tide_header_find (head, u->delimiter, &search, &next))
    if (!goes_on (&next, u))
      return (TideHead){ head->text, next.offset, TRUE, head->cancellable };
  return *head;
}

/* The understanding that follows from a row of names and what stands below it. */
TideUnderstanding *
tide_understand_header (const TideHead *all,
                        char delimiter,
                        const TideHeader *header,
                        const TideReadingRule *rule,
                        guint *n_usable,
                        GError **error)
{
  g_autoptr (TideUnderstanding) u = tide_understanding_new (rule);
  take_header (u, header, delimiter);
  u->noted_every_s = tide_interval_find (all->text, header->offset, &u->noted_row);
  TideHead head = cut_head (all, u);
  if (g_cancellable_set_error_if_cancelled (all->cancellable, error))
    return NULL;
  g_autoptr (TideTable) table =
      tide_table_new (head.text + u->data_offset, head.length - u->data_offset, delimiter,
                      u->wrapped, u->first_row, head.at_end, error);
  if (!table)
    return NULL;
  leave_out_comments (table, u->names);
  if (table->rows->len == 0)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
                   _ ("row %" PRIu64 " names the columns, but no rows stand below it"),
                   u->header_row);
      return NULL;
    }
  tide_understanding_keep_samples (u, table);
  tide_leave_out_summary (table, header->meanings, header->n);
  ask_about_commas (u, table);
  tide_sniff_marks (u, table, header->meanings, header->n);
  if (!tide_choose_columns (u, header->meanings, table, n_usable, error))
    return NULL;
  return g_steal_pointer (&u);
}

/* ---- Several tables ---- */

/* Those that begin below the first; a table that cannot be understood is passed over here, as its
 * rows are complained of when they are read. */
static void
add_tables_below (const TideHead *head, GPtrArray *tables)
{
  const TideUnderstanding *last = g_ptr_array_index (tables, 0);
  g_auto (TideSearch) search = search_below (last);
  g_auto (TideHeader) header = { 0 };
  while (may_have_more_tables (last) && tables->len < MAX_TABLES
         && tide_header_find (head, last->delimiter, &search, &header))
    {
      guint n_usable;
      if (goes_on (&header, last))
        continue;
      g_autoptr (TideUnderstanding) u =
          tide_understand_header (head, last->delimiter, &header, last->rule, &n_usable, NULL);
      if (!u || n_usable < 2)
        continue;
      last = u;
      g_ptr_array_add (tables, g_steal_pointer (&u));
    }
}

/* Leaves the one that is stated. */
static gboolean
keep_stated_table (GPtrArray *tables, guint table, GError **error)
{
  if (table > tables->len)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   ngettext ("table: number %u is not there; the file's beginning shows %u table",
                             "table: number %u is not there; the file's beginning shows %u tables",
                             tables->len),
                   table, tables->len);
      return FALSE;
    }
  g_ptr_array_remove_range (tables, table, tables->len - table);
  g_ptr_array_remove_range (tables, 0, table - 1);
  return TRUE;
}

GPtrArray *
tide_understand_tables (const char *text,
                        gsize length,
                        gboolean at_end,
                        const TideReadingRule *rule,
                        GCancellable *cancellable,
                        GError **error)
{
  TideHead head = { text, length, at_end, cancellable };
  TideUnderstanding *first = tide_understand (text, length, at_end, rule, cancellable, error);
  if (!first)
    return NULL;
  g_autoptr (GPtrArray) tables =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_understanding_unref);
  g_ptr_array_add (tables, first);
  add_tables_below (&head, tables);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  if (rule && rule->table > 0 && !keep_stated_table (tables, rule->table, error))
    return NULL;
  return g_steal_pointer (&tables);
}

/* ---- A table that begins below ---- */

/* Whether row is the very first of text, and names a table that is not u's. */
static gboolean
find_another (const TideUnderstanding *u, const TideHead *head, guint64 row, TideHeader *header)
{
  g_auto (TideSearch)
      search = { .row = row - 1, .first_row = row - 1, .is_below = TRUE, .rule = u->rule };
  return may_have_more_tables (u) && tide_header_find (head, u->delimiter, &search, header)
         && header->row == row && !goes_on (header, u);
}

gboolean
tide_names_another_table (const TideUnderstanding *u, const char *text, gsize length, guint64 row)
{
  g_auto (TideHeader) header = { 0 };
  TideHead head = { text, length, FALSE };
  gsize end = 0;
  /* the names, perhaps units, and a row of numbers: no need to look any further */
  for (guint i = 0; i < 4 && end < length; i++)
    end = tide_head_next_line (&head, end);
  head.length = end;
  return find_another (u, &head, row, &header);
}

TideUnderstanding *
tide_understand_another (const TideUnderstanding *u,
                         const char *text,
                         gsize length,
                         gboolean at_end,
                         guint64 row)
{
  g_auto (TideHeader) header = { 0 };
  TideHead head = { text, length, at_end };
  guint n_usable;
  if (!find_another (u, &head, row, &header))
    return NULL;
  g_autoptr (TideUnderstanding) other =
      tide_understand_header (&head, u->delimiter, &header, u->rule, &n_usable, NULL);
  if (!other || n_usable < 2)
    return NULL;
  other->member = g_strdup (u->member);
  other->encoding = g_strdup (u->encoding);
  return g_steal_pointer (&other);
}
