/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The row of names that a rule states, whatever it says, or none: then the table begins with the
 * first row of numbers and its columns go by number.
 */
#include "reading/header-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

#include "reading/rule-private.h"

/* As far as names are looked for. */
#define MAX_PREAMBLE_LINES 2000

static gboolean
take_named_row (const TideHead *head,
                char delimiter,
                TideSearch *search,
                TideHeader *header,
                GError **error)
{
  guint64 wanted = (guint64)search->rule->header_row;
  while (search->offset < head->length && search->row < wanted)
    {
      gsize begin = search->offset, end;
      search->row++;
      g_autoptr (TideTable) names =
          tide_header_read_names (head, begin, delimiter, search, &end, &header->wrapped);
      search->offset = end;
      if (search->row < wanted || !names)
        continue;
      tide_header_begin (head, delimiter, g_steal_pointer (&names), begin, search, header);
      return tide_header_state (header, search->rule, error);
    }
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               _ ("header: row %" PRIu64 " is blank or lies behind the first %d bytes of the file"),
               wanted, TIDE_HEAD_BYTES);
  return FALSE;
}

/* The table is as wide as the widest of its first rows. */
static guint
find_width (const TideHead *head, char delimiter, const TideHeader *header)
{
  gsize offset = header->data_offset, end;
  guint width = 0;
  for (guint n = 0; n < TIDE_SAMPLE_ROWS && offset < head->length; n++, offset = end)
    {
      g_autoptr (TideTable) record =
          tide_head_read_record (head, offset, delimiter, header->wrapped, 1, &end, NULL);
      width = MAX (width, record ? tide_table_n_fields (record, 0) : 0);
    }
  return width;
}

/* A line of data: it has a number where a statement wants one, or is mostly numbers. */
static gboolean
is_nameless_row (const TideTable *record, const TideReadingRule *rule)
{
  if (tide_table_is_mostly_numbers (record))
    return TRUE;
  for (guint i = 0; i < rule->columns->len; i++)
    {
      const TideColumnStatement *statement = g_ptr_array_index (rule->columns, i);
      if (statement->number > 0 && statement->is_read && statement->quantity != TIDE_QUANTITY_TIME
          && tide_may_be_number (tide_table_field (record, 0, statement->number - 1)))
        return TRUE;
    }
  return FALSE;
}

static gboolean
take_nameless (const TideHead *head,
               char delimiter,
               TideSearch *search,
               TideHeader *header,
               GError **error)
{
  for (; search->offset < head->length && search->row < MAX_PREAMBLE_LINES;)
    {
      gsize begin = search->offset, end;
      g_autoptr (TideTable) record =
          tide_header_read_names (head, begin, delimiter, search, &end, &header->wrapped);
      search->offset = end;
      search->row++;
      if (!record || !is_nameless_row (record, search->rule))
        continue;
      tide_header_clear (header);
      *header = (TideHeader){ .wrapped = header->wrapped,
                              .first_row = search->row,
                              .data_offset = begin };
      header->n = find_width (head, delimiter, header);
      header->meanings = g_new0 (TideMeaning, header->n);
      return tide_header_state (header, search->rule, error);
    }
  g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                       _ ("header: 0 says that no row names the columns, but no row of numbers "
                          "was found"));
  return FALSE;
}

gboolean
tide_header_take (const TideHead *head,
                  char delimiter,
                  TideSearch *search,
                  TideHeader *header,
                  GError **error)
{
  return search->rule->header_row > 0 ? take_named_row (head, delimiter, search, header, error)
                                      : take_nameless (head, delimiter, search, header, error);
}
