/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the row that names the columns, and the row of units that may stand below it.
 *
 * Names are looked for line by line, so that quotes in a preamble cannot swallow the table; a
 * name may itself hold line ends inside quotes. The first MAX_PREAMBLE_LINES lines of the head are
 * looked at; a row that is mostly numbers is passed over early. Costs one pass over them a
 * delimiter.
 */
#include "reading/reading-private.h"

#include <string.h>

#include "reading/header-private.h"
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
  gsize length = strlen (text);
  double value;
  return tide_number_parse (text, length, '.', 0, &value)
         || tide_number_parse (text, length, ',', 0, &value);
}

gboolean
tide_table_is_mostly_numbers (const TideTable *record)
{
  guint n = tide_table_n_fields (record, 0), n_numbers = 0;
  for (guint i = 0; i < n; i++)
    n_numbers += tide_may_be_number (tide_table_field (record, 0, i));
  return n_numbers * 2 > n;
}

/* ---- Units ---- */

/* "(V)" and "[V]" in a row of units are "V". Transfer full. */
static char *
dup_unit_text (const TideTable *units, guint column)
{
  char *text = g_strstrip (g_strdup (tide_table_field (units, 0, column)));
  gsize length = strlen (text);
  if (length > 1 && strchr ("([", text[0]) && strchr (")]", text[length - 1]))
    {
      text[length - 1] = '\0';
      memmove (text, text + 1, length - 1);
    }
  return text;
}

/* At least two units, and nothing that is data. */
static gboolean
is_units_row (const TideTable *record, guint n_names)
{
  guint n_units = 0;
  guint n = MIN (tide_table_n_fields (record, 0), n_names);
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *text = dup_unit_text (record, i);
      TideQuantity quantity;
      TideUnit unit;
      double value;
      if (tide_number_parse (text, strlen (text), '.', 0, &value))
        return FALSE;
      n_units += tide_unit_parse (text, TIDE_N_QUANTITIES, &quantity, &unit);
    }
  return n_units >= 2;
}

/* ---- The row of names ---- */

void
tide_header_clear (TideHeader *header)
{
  g_clear_pointer (&header->names, tide_table_free);
  g_clear_pointer (&header->units, tide_table_free);
  g_clear_pointer (&header->meanings, g_free);
}

void
tide_search_clear (TideSearch *search)
{
  g_clear_error (&search->too_large);
  g_clear_error (&search->misfit);
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

static void
find_meanings (TideHeader *header)
{
  header->n = tide_table_n_fields (header->names, 0);
  g_free (header->meanings);
  header->meanings = g_new0 (TideMeaning, header->n);
  for (guint i = 0; i < header->n; i++)
    {
      g_autofree char *unit_text = header->units ? dup_unit_text (header->units, i) : NULL;
      header->meanings[i] =
          tide_meaning_of_name (tide_table_field (header->names, 0, i), unit_text);
    }
}

/* A line quoted as a whole is tried as what is inside it. */
TideTable *
tide_header_read_names (const TideHead *head,
                        gsize offset,
                        char delimiter,
                        TideSearch *search,
                        gsize *end,
                        gboolean *wrapped)
{
  GError **error = search->too_large ? NULL : &search->too_large;
  g_autoptr (TideTable) plain =
      tide_head_read_record (head, offset, delimiter, FALSE, search->row, end, error);
  *wrapped = plain && tide_table_n_fields (plain, 0) == 1 && head->text[offset] == '"'
             && strchr (tide_table_field (plain, 0, 0), delimiter);
  if (*wrapped)
    return tide_head_read_record (head, offset, delimiter, TRUE, search->row, end, NULL);
  return g_steal_pointer (&plain);
}

static gboolean
is_blank_line (const TideHead *head, gsize offset)
{
  return head->text[offset] == '\r' || head->text[offset] == '\n';
}

/* A row of units may follow; blank lines may stand before it. */
static void
take_units_row (const TideHead *head, char delimiter, TideHeader *header)
{
  gsize offset = header->data_offset, end;
  guint64 row = header->first_row;
  for (; offset < head->length && is_blank_line (head, offset); row++)
    offset = tide_head_next_line (head, offset);
  if (offset >= head->length)
    return;
  g_autoptr (TideTable) record =
      tide_head_read_record (head, offset, delimiter, header->wrapped, row, &end, NULL);
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
}

/* The search stands behind the row of names, which begins at offset. Takes names. */
void
tide_header_begin (const TideHead *head,
                   char delimiter,
                   TideTable *names,
                   gsize offset,
                   const TideSearch *search,
                   TideHeader *header)
{
  gboolean wrapped = header->wrapped;
  tide_header_clear (header);
  *header = (TideHeader){
    .names = names,
    .wrapped = wrapped,
    .row = search->row,
    .first_row = search->row + 1,
    .offset = offset,
    .data_offset = search->offset,
  };
  find_meanings (header);
  take_units_row (head, delimiter, header);
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

/* Below stand numbers where the statements say so. */
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
        if (!tide_may_be_number (text))
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

gboolean
tide_header_find (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header)
{
  for (; search->offset < head->length && search->row < search->first_row + MAX_PREAMBLE_LINES;)
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
      tide_header_begin (head, delimiter, g_steal_pointer (&names), begin, search, header);
      if (is_whole (head, delimiter, search, header))
        return TRUE;
    }
  return FALSE;
}
