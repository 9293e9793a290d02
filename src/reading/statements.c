/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a rule says of columns, held against the names of a table: which column each statement
 * tells. A name that is not there, or is there twice, and a number beyond the width are errors
 * that list what there is.
 */
#include "reading/rule-private.h"

#include <glib/gi18n-lib.h>

/* So many names are listed before the rest is counted. */
#define MAX_LISTED 12

/* "1 Time (s), 2 Voltage (V) … and 3 more". */
static char *
list_names (GPtrArray *names)
{
  g_autoptr (GString) list = g_string_new (NULL);
  for (guint i = 0; i < MIN (names->len, MAX_LISTED); i++)
    {
      const char *name = g_ptr_array_index (names, i);
      g_autofree char *cut = g_utf8_substring (name, 0, MIN (g_utf8_strlen (name, -1), 40));
      g_string_append_printf (list, "%s%u%s%s", i > 0 ? ", " : "", i + 1, *cut ? " " : "", cut);
    }
  if (names->len > MAX_LISTED)
    g_string_append_printf (list, ", …, %u", names->len);
  g_strdelimit (list->str, "\r\n\t", ' ');
  return g_string_free (g_steal_pointer (&list), FALSE);
}

static gboolean
refuse (GError **error, const TideColumnStatement *statement, GPtrArray *names, const char *why)
{
  g_autofree char *text = g_strdelimit (tide_column_statement_format (statement), "\r\n\t", ' ');
  g_autofree char *list = list_names (names);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               _ ("column %s: %s; the columns are: %s"), text, why, list);
  return FALSE;
}

static gboolean
is_same_folded (const char *a, const char *b)
{
  g_autofree char *one = g_utf8_casefold (a, -1);
  g_autofree char *other = g_utf8_casefold (b, -1);
  return g_strcmp0 (one, other) == 0;
}

/* Counts the columns of that name, to the letter or, where none is, whatever its letters' case. */
static guint
count_named (const char *name, GPtrArray *names, guint *column)
{
  for (int folded = 0; folded < 2; folded++)
    {
      guint n = 0;
      for (guint i = names->len; i > 0; i--)
        {
          const char *other = g_ptr_array_index (names, i - 1);
          if (folded ? !is_same_folded (name, other) : g_strcmp0 (name, other) != 0)
            continue;
          *column = i - 1;
          n++;
        }
      if (n > 0)
        return n;
    }
  return 0;
}

gboolean
tide_column_statement_find (const TideColumnStatement *statement,
                            GPtrArray *names,
                            guint *column,
                            GError **error)
{
  if (!statement->name)
    {
      *column = statement->number - 1;
      return *column < names->len
             || refuse (error, statement, names, _ ("the table has no column of that number"));
    }
  guint n = count_named (statement->name, names, column);
  if (n == 0)
    return refuse (error, statement, names, _ ("the table has no column of that name"));
  return n == 1
         || refuse (error, statement, names,
                    _ ("several columns have that name; tell which by its number"));
}

/* The unit stated, or the one that the name says where it is a unit of that quantity. */
static void
state (TideMeaning *meaning, const TideColumnStatement *statement)
{
  TideMeaning said = *meaning;
  gboolean is_same = said.known && said.quantity == statement->quantity;
  meaning->stated = TRUE;
  meaning->unit_stated = statement->unit_text != NULL;
  meaning->known = statement->is_read;
  if (!statement->is_read)
    return;
  meaning->quantity = statement->quantity;
  meaning->lane = statement->lane;
  meaning->cost = 0;
  meaning->time_words = is_same ? said.time_words : 0;
  gboolean keeps = is_same && said.unit_named;
  meaning->unit = statement->unit_text ? statement->unit
                  : keeps              ? said.unit
                                       : tide_unit_plain (meaning->quantity);
  meaning->unit_named = statement->unit_text || keeps;
}

gboolean
tide_meanings_state (TideMeaning *meanings,
                     GPtrArray *names,
                     const TideReadingRule *rule,
                     GError **error)
{
  for (guint i = 0; rule && i < rule->columns->len; i++)
    {
      const TideColumnStatement *statement = g_ptr_array_index (rule->columns, i);
      guint column;
      if (!tide_column_statement_find (statement, names, &column, error))
        return FALSE;
      state (&meanings[column], statement);
    }
  return TRUE;
}
