/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The row of names, taken for what it says: the names, the row of units that may stand below, the
 * names of groups above.
 *
 * Where blanks divide the columns, a name may hold single blanks: the row is split at each blank or
 * at two and more, whichever gives as many names as the rows below have fields; else it is no row
 * of names. Rows of dashes below the names are passed over. The names of groups may stand in a row
 * above ("Port A" over voltage and current), or in the row of names where the units below tell
 * voltage from current; they then go before the names they stand over.
 */
#include "reading/header-private.h"

#include <string.h>

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

/* At least two units, or nothing but one; and nothing that is data. */
gboolean
tide_is_units_row (const TideTable *record, guint n_names)
{
  guint n_units = 0, n_filled = 0;
  guint n = tide_table_n_fields (record, 0);
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *text = dup_unit_text (record, i);
      TideQuantity quantity;
      TideUnit unit;
      if (tide_may_be_number (text))
        return FALSE;
      n_filled += !tide_number_is_missing (text, strlen (text));
      n_units += tide_unit_parse (text, TIDE_N_QUANTITIES, &quantity, &unit);
    }
  return n_units >= 2 || (n_units == 1 && n_filled == 1 && n > 1 && n_names > 1);
}

/* "---;---;---", "|===|===|", "+----+----+" */
static gboolean
is_line_of_dashes (const TideTable *record)
{
  guint n_dashes = 0;
  for (guint i = 0; i < tide_table_n_fields (record, 0); i++)
    for (const char *p = tide_table_field (record, 0, i); *p; p++)
      {
        if (!strchr ("-=+:_|* ", *p))
          return FALSE;
        n_dashes += *p == '-' || *p == '=' || *p == '_';
      }
  return n_dashes >= 3;
}

/* ---- The row of names ---- */

void
tide_header_clear (TideHeader *header)
{
  g_clear_pointer (&header->names, tide_table_free);
  g_clear_pointer (&header->units, tide_table_free);
  g_clear_pointer (&header->meanings, g_free);
}

/* The name of column i: where only a unit stands, that of the group to its left. */
static const char *
find_name (const TideHeader *header, guint i, const char *unit_text)
{
  const char *name = tide_table_field (header->names, 0, i);
  if (*name || !unit_text || !*unit_text)
    return name;
  while (i > 0 && !*name)
    name = tide_table_field (header->names, 0, --i);
  return tide_meaning_of_name (name, NULL).known ? "" : name;
}

static void
find_meanings (TideHeader *header)
{
  header->n = tide_table_n_fields (header->names, 0);
  if (header->units)
    header->n = MAX (header->n, tide_table_n_fields (header->units, 0));
  g_free (header->meanings);
  header->meanings = g_new0 (TideMeaning, header->n);
  for (guint i = 0; i < header->n; i++)
    {
      g_autofree char *unit_text = header->units ? dup_unit_text (header->units, i) : NULL;
      header->meanings[i] = tide_meaning_of_name (find_name (header, i, unit_text), unit_text);
    }
}

/* ---- Names of groups above the names ---- */

/* A table of one row. */
static TideTable *
make_record (GPtrArray *fields, guint64 row)
{
  g_autoptr (GString) text = g_string_new (NULL);
  for (guint i = 0; i < fields->len; i++)
    {
      g_auto (GStrv) parts = g_strsplit (g_ptr_array_index (fields, i), "\"", -1);
      g_autofree char *quoted = g_strjoinv ("\"\"", parts);
      g_string_append_printf (text, "%s\"%s\"", i > 0 ? "," : "", quoted);
    }
  return tide_table_new (text->str, text->len, ',', FALSE, row, TRUE, NULL);
}

/* Two columns that have the same name, which is one of ours. */
static gboolean
has_twins (const TideHeader *header)
{
  for (guint i = 0; i < header->n; i++)
    for (guint k = i + 1; header->meanings[i].known && k < header->n; k++)
      if (strcmp (tide_table_field (header->names, 0, i), tide_table_field (header->names, 0, k))
          == 0)
        return TRUE;
  return FALSE;
}

/* Words over some columns, the others blank. */
static gboolean
is_row_of_groups (const TideTable *record, guint n_names)
{
  guint n_filled = 0;
  for (guint i = 0; i < tide_table_n_fields (record, 0); i++)
    {
      const char *text = tide_table_field (record, 0, i);
      if (*text && (tide_may_be_number (text) || tide_meaning_of_name (text, NULL).known))
        return FALSE;
      n_filled += *text != '\0';
    }
  return n_filled >= 2 && n_filled < n_names && tide_table_n_fields (record, 0) <= n_names;
}

static void
take_groups_above (const TideHead *head,
                   char delimiter,
                   const TideSearch *search,
                   TideHeader *header)
{
  gsize end;
  if (!search->has_above || header->wrapped || tide_delimiter_is_blanks (delimiter)
      || !has_twins (header))
    return;
  g_autoptr (TideTable) groups =
      tide_head_read_record (head, search->above, delimiter, FALSE, 1, &end, NULL);
  if (!groups || !is_row_of_groups (groups, header->n))
    return;
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  const char *group = "";
  for (guint i = 0; i < header->n; i++)
    {
      const char *above = tide_table_field (groups, 0, i);
      group = *above ? above : group;
      g_ptr_array_add (names,
                       g_strstrip (
                           g_strconcat (group, " ", tide_table_field (header->names, 0, i), NULL)));
    }
  TideTable *joined = make_record (names, header->row);
  if (!joined)
    return;
  tide_table_free (header->names);
  header->names = joined;
  find_meanings (header);
}

/* ---- Names between blanks ---- */

/* How many fields the rows below offset have, where two of them agree; 0: that is not certain. */
static guint
find_blank_width (const TideHead *head, gsize offset)
{
  guint width = 0;
  for (guint n = 0; n < 8 && offset < head->length; n++)
    {
      gsize end;
      g_autoptr (TideTable) record =
          tide_head_read_record (head, offset, ' ', FALSE, 1, &end, NULL);
      offset = end;
      guint n_fields = record ? tide_table_n_fields (record, 0) : 0, n_numbers = 0;
      for (guint i = 0; i < n_fields; i++)
        n_numbers += tide_may_be_number (tide_table_field (record, 0, i));
      if (n_numbers < 2)
        continue;
      if (width > 0)
        return width == n_fields ? width : 0;
      width = n_fields;
    }
  return 0;
}

/* The line at offset split where two blanks or a tab stand. */
static TideTable *
split_wide (const TideHead *head, gsize offset, gsize end, guint64 row)
{
  g_autofree char *line = g_strndup (head->text + offset, end - offset);
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  g_auto (GStrv) tabbed = g_strsplit (g_strstrip (line), "\t", -1);
  for (char **part = tabbed; *part; part++)
    {
      g_auto (GStrv) words = g_strsplit (*part, "  ", -1);
      for (char **word = words; *word; word++)
        if (*g_strstrip (*word))
          g_ptr_array_add (names, g_strdup (*word));
    }
  return make_record (names, row);
}

/* Takes names, split at each blank; NULL where it is not certain which blanks divide them. */
static TideTable *
settle_blank_names (const TideHead *head, TideTable *names, gsize offset, gsize end, guint64 row)
{
  g_autoptr (TideTable) narrow = names;
  for (guint i = 0; i < tide_table_n_fields (narrow, 0); i++)
    if (tide_may_be_number (tide_table_field (narrow, 0, i)))
      return NULL;
  guint width = find_blank_width (head, end);
  if (width < 2)
    return NULL;
  if (tide_table_n_fields (narrow, 0) == width)
    return g_steal_pointer (&narrow);
  g_autoptr (TideTable) wide = split_wide (head, offset, end, row);
  return wide && wide->rows->len > 0 && tide_table_n_fields (wide, 0) == width
             ? g_steal_pointer (&wide)
             : NULL;
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
  *wrapped = FALSE;
  if (delimiter == ' ')
    return plain ? settle_blank_names (head, g_steal_pointer (&plain), offset, *end, search->row)
                 : NULL;
  if (delimiter == TIDE_WIDE_BLANKS)
    return g_steal_pointer (&plain);
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

/* A row of units may follow; blank lines may stand before it, and lines of dashes about it. */
static void
take_units_row (const TideHead *head, char delimiter, TideHeader *header)
{
  gsize offset = header->data_offset, end;
  guint64 row = header->first_row;
  for (; offset < head->length; offset = end, row++)
    {
      if (is_blank_line (head, offset))
        {
          end = tide_head_next_line (head, offset);
          continue;
        }
      g_autoptr (TideTable) record =
          tide_head_read_record (head, offset, delimiter, header->wrapped, row, &end, NULL);
      gboolean is_dashes = record && is_line_of_dashes (record);
      gboolean is_units = record && !header->units && tide_is_units_row (record, header->n);
      if (!is_dashes && !is_units)
        return;
      header->data_offset = end;
      header->first_row = row + 1;
      if (!is_units)
        continue;
      header->units = g_steal_pointer (&record);
      header->units_row = row;
      find_meanings (header);
    }
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
  take_groups_above (head, delimiter, search, header);
}
