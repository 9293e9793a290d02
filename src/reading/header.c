/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the row that names the columns.
 *
 * Names are looked for line by line, so that quotes in a preamble cannot swallow the table; a
 * name may itself hold line ends inside quotes. The first MAX_PREAMBLE_LINES lines of the head are
 * looked at; a row that is mostly numbers is passed over early. Costs one pass over them a
 * delimiter; ends early when cancelled. What a rule states of columns is held against each row that
 * may name them.
 */
#include "reading/header-private.h"

#include <string.h>

#include "reading/rule-private.h"

/* Names stand above the data; no preamble is longer. */
#define MAX_PREAMBLE_LINES 2000
/* A name with line ends inside quotes spans no more lines. */
#define MAX_NAME_LINES 5

gsize
tide_head_next_line (const TideHead *head, gsize offset)
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

TideTable *
tide_head_read_record (const TideHead *head,
                       gsize offset,
                       char delimiter,
                       gboolean wrapped,
                       guint64 row,
                       gsize *end,
                       GError **error)
{
  *end = tide_head_next_line (head, offset);
  for (guint n = 1; n < MAX_NAME_LINES && has_open_quote (head->text + offset, *end - offset); n++)
    *end = tide_head_next_line (head, *end);
  if (has_open_quote (head->text + offset, *end - offset))
    *end = tide_head_next_line (head, offset);
  g_autoptr (TideTable) table =
      tide_table_new (head->text + offset, *end - offset, delimiter, wrapped, row, TRUE, error);
  if (!table || table->rows->len == 0)
    return NULL;
  return g_steal_pointer (&table);
}

/* The decimal mark is not known yet. */
gboolean
tide_may_be_number (const char *text)
{
  static const char *const marks[] = { ".,", ". ", ".'", ",.", ", " };
  gsize length = strlen (text), n = length;
  char unit_text[TIDE_MAX_CELL_UNIT];
  TideQuantity quantity;
  TideUnit unit;
  double value;
  if (tide_cell_split (text, length, &n, unit_text)
      && !tide_unit_parse (unit_text, TIDE_N_QUANTITIES, &quantity, &unit))
    return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
    if (tide_number_parse_grouped (text, n, marks[i][0], marks[i][1], 0, &value))
      return TRUE;
  return FALSE;
}

gboolean
tide_table_is_mostly_numbers (const TideTable *record)
{
  guint n = tide_table_n_fields (record, 0), n_numbers = 0;
  for (guint i = 0; i < n; i++)
    n_numbers += tide_may_be_number (tide_table_field (record, 0, i));
  return n_numbers * 2 > n;
}

/* ---- What the names say ---- */

void
tide_search_clear (TideSearch *search)
{
  g_clear_error (&search->too_large);
  g_clear_error (&search->misfit);
  g_clear_pointer (&search->foreign, g_free);
}

typedef struct
{
  gboolean has_time, has_electric;
} Named;

static Named
find_named (const TideHeader *header)
{
  gboolean has[TIDE_N_QUANTITIES] = { FALSE };
  for (guint i = 0; i < header->n; i++)
    if (header->meanings[i].known)
      has[header->meanings[i].quantity] = TRUE;
  return (Named){
    .has_time = has[TIDE_QUANTITY_TIME],
    .has_electric =
        has[TIDE_QUANTITY_POWER] || (has[TIDE_QUANTITY_VOLTAGE] && has[TIDE_QUANTITY_CURRENT]),
  };
}

/* Data stand below: what tells a table that lacks a column from a line of prose. */
static gboolean
is_above_numbers (const TideHead *head, char delimiter, const TideHeader *header)
{
  gsize end;
  if (header->data_offset >= head->length)
    return FALSE;
  g_autoptr (TideTable) record =
      tide_head_read_record (head, header->data_offset, delimiter, header->wrapped,
                             header->first_row, &end, NULL);
  return record && tide_table_n_fields (record, 0) > 1 && tide_table_is_mostly_numbers (record);
}

/* "Voltage (kV)": what is lacking is there, in a unit that is not known. */
static void
remember_foreign (const TideHeader *header, Named named, TideSearch *search)
{
  for (guint i = 0; i < header->n && header->names && !search->foreign; i++)
    {
      TideQuantity quantity = header->meanings[i].quantity;
      gboolean is_lacking = quantity == TIDE_QUANTITY_TIME
                                ? !named.has_time
                                : quantity <= TIDE_QUANTITY_POWER && !named.has_electric;
      if (header->meanings[i].known || !header->meanings[i].is_foreign || !is_lacking)
        continue;
      search->foreign = g_strstrip (g_utf8_make_valid (tide_table_field (header->names, 0, i), -1));
      search->foreign_row = header->row;
    }
}

static void
remember_partial (const TideHead *head,
                  char delimiter,
                  const TideHeader *header,
                  Named named,
                  TideSearch *search)
{
  if ((!named.has_time && !named.has_electric) || !is_above_numbers (head, delimiter, header))
    return;
  if (named.has_electric && search->row_without_time == 0)
    search->row_without_time = header->row;
  if (named.has_time && search->row_without_electric == 0)
    search->row_without_electric = header->row;
  remember_foreign (header, named, search);
}

/* ---- What is stated ---- */

/* Transfer full: the names as tide_meanings_state() wants them. */
static GPtrArray *
dup_names (const TideHeader *header)
{
  GPtrArray *names = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; i < header->n; i++)
    {
      const char *name = header->names ? tide_table_field (header->names, 0, i) : "";
      g_ptr_array_add (names, g_strstrip (g_utf8_make_valid (name, -1)));
    }
  return names;
}

gboolean
tide_header_state (TideHeader *header, const TideReadingRule *rule, GError **error)
{
  g_autoptr (GPtrArray) names = dup_names (header);
  return tide_meanings_state (header->meanings, names, rule, error);
}

static gboolean
is_stated_by_number (const TideReadingRule *rule)
{
  for (guint i = 0; rule && i < rule->columns->len; i++)
    {
      const TideColumnStatement *statement = g_ptr_array_index (rule->columns, i);
      if (!statement->name && statement->is_read)
        return TRUE;
    }
  return FALSE;
}

/* Below stand numbers where the statements say so, and here none: a row of data, taken apart at a
 * wrong delimiter, is no row of names. */
static gboolean
is_above_stated (const TideHead *head, char delimiter, const TideHeader *header)
{
  gsize end;
  if (header->data_offset >= head->length)
    return FALSE;
  g_autoptr (TideTable) record =
      tide_head_read_record (head, header->data_offset, delimiter, header->wrapped,
                             header->first_row, &end, NULL);
  guint n_numbers = 0;
  for (guint i = 0; record && i < header->n; i++)
    if (header->meanings[i].stated && header->meanings[i].known
        && header->meanings[i].quantity != TIDE_QUANTITY_TIME)
      {
        const char *text = tide_table_field (record, 0, i);
        if (!tide_may_be_number (text)
            || tide_may_be_number (tide_table_field (header->names, 0, i)))
          return FALSE;
        n_numbers++;
      }
  return n_numbers > 0;
}

/* Do the names and what is stated make a whole table? */
static gboolean
is_whole (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header)
{
  Named by_names = find_named (header), named = by_names;
  const TideReadingRule *rule = search->rule;
  if (rule)
    {
      g_autoptr (GError) misfit = NULL;
      gboolean fits = tide_header_state (header, rule, &misfit);
      named = find_named (header);
      named.has_time |= rule->every_s > 0;
      gboolean is_table = (by_names.has_time && by_names.has_electric)
                          || is_above_numbers (head, delimiter, header);
      if (!fits && is_table && !search->misfit)
        search->misfit = g_steal_pointer (&misfit);
      if (!fits)
        return FALSE;
    }
  guint64 noted_row;
  if (!named.has_time && named.has_electric && is_above_numbers (head, delimiter, header))
    named.has_time = tide_interval_find (head->text, header->offset, &noted_row) > 0;
  gboolean needs_look = is_stated_by_number (rule) && !by_names.has_electric;
  if (named.has_time && named.has_electric
      && (!needs_look || is_above_stated (head, delimiter, header)))
    return TRUE;
  remember_partial (head, delimiter, header, named, search);
  return FALSE;
}

/* ---- The search ---- */

/* Below a table such a line is one of its rows, which need not be taken apart to see it. */
static gboolean
is_row_of_numbers (const TideHead *head, gsize offset)
{
  const char *p = head->text + offset, *end = head->text + head->length;
  while (p < end && (*p == ' ' || *p == '"'))
    p++;
  return p < end && (g_ascii_isdigit (*p) || *p == '-' || *p == '+' || *p == '.');
}

/* One name is no table, unless the time is stated: a line of prose need not be taken apart. */
static gboolean
may_name_table (const TideTable *names, const TideReadingRule *rule)
{
  return tide_table_n_fields (names, 0) > 1 || (rule && rule->every_s > 0);
}

gboolean
tide_header_find (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header)
{
  while (search->offset < head->length && search->row < search->first_row + MAX_PREAMBLE_LINES
         && !g_cancellable_is_cancelled (head->cancellable))
    {
      gsize begin = search->offset, end;
      search->row++;
      if (search->is_below && is_row_of_numbers (head, search->offset))
        {
          search->first_row++;
          search->offset = tide_head_next_line (head, search->offset);
          continue;
        }
      g_autoptr (TideTable) names =
          tide_header_read_names (head, begin, delimiter, search, &end, &header->wrapped);
      search->offset = end;
      if (!names || tide_table_is_mostly_numbers (names))
        continue;
      gboolean may_name = may_name_table (names, search->rule);
      if (may_name)
        tide_header_begin (head, delimiter, g_steal_pointer (&names), begin, search, header);
      search->has_above = TRUE;
      search->above = begin;
      if (may_name && is_whole (head, delimiter, search, header))
        return TRUE;
    }
  return FALSE;
}
