/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of a table's columns are read: for each quantity the one with the plainest name whose
 * fields are numbers. A choice between equals is said in a complaint. A column that is mostly empty
 * is not taken, so that it cannot cost the file its rows.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

/* Of a table's rows, this share must have a number in a column for it to be taken. */
#define FILLED_SHARE 0.5

static gboolean
is_number_at (const TideUnderstanding *u, const TideTable *table, guint row, int column)
{
  double value;
  const char *text = tide_table_field (table, row, (guint)column);
  return tide_number_parse (text, strlen (text), u->decimal_mark, 0, &value);
}

static gboolean
is_filled (const TideUnderstanding *u, const TideTable *table, guint column)
{
  guint n_filled = 0;
  for (guint row = 0; row < table->rows->len; row++)
    n_filled += is_number_at (u, table, row, (int)column);
  return n_filled >= FILLED_SHARE * table->rows->len;
}

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

static int
get_effective_cost (const TideMeaning *meaning)
{
  return meaning->cost + (meaning->unit_named ? 0 : 1);
}

static void
choose_column (TideUnderstanding *u,
               TideQuantity quantity,
               const TideMeaning *meanings,
               const TideTable *table)
{
  int best = -1, equal = -1;
  for (guint column = 0; column < u->names->len; column++)
    {
      const TideMeaning *meaning = &meanings[column];
      if (!meaning->known || meaning->quantity != quantity || !is_filled (u, table, column))
        continue;
      if (best < 0 || get_effective_cost (meaning) < get_effective_cost (&meanings[best]))
        {
          best = (int)column;
          equal = -1;
        }
      else if (equal < 0 && get_effective_cost (meaning) == get_effective_cost (&meanings[best]))
        equal = (int)column;
    }
  if (best < 0)
    return;
  u->lanes[0].columns[quantity] = (TideColumnUse){ best, meanings[best].unit };
  if (equal >= 0)
    g_ptr_array_add (u->complaints,
                     tide_complaint_new (u->header_row, get_name (u, best),
                                         _ ("taken as %s; the column \"%s\" is named as plainly"),
                                         tide_quantity_get_name (quantity), get_name (u, equal)));
  if (!meanings[best].unit_named)
    g_ptr_array_add (u->complaints, tide_complaint_new (u->header_row, get_name (u, best),
                                                        _ ("the column names no unit; taken as %s"),
                                                        u->lanes[0].columns[quantity].unit.symbol));
}

static guint
count_usable (const TideUnderstanding *u, const TideTable *table)
{
  guint n = 0;
  for (guint row = 0; row < table->rows->len; row++)
    {
      double seconds;
      const char *time = tide_table_field (table, row, (guint)u->time.index);
      gboolean usable =
          tide_time_use_parse (&u->time, u->decimal_mark, time, strlen (time), &seconds);
      for (int q = TIDE_QUANTITY_VOLTAGE; q <= TIDE_QUANTITY_POWER && usable; q++)
        usable = u->lanes[0].columns[q].index < 0 || is_number_at (u, table, row, u->lanes[0].columns[q].index);
      n += usable;
    }
  return n;
}

gboolean
tide_choose_columns (TideUnderstanding *u,
                     const TideMeaning *meanings,
                     const TideTable *table,
                     guint *n_usable,
                     GError **error)
{
  if (!tide_choose_time (u, meanings, table, error))
    return FALSE;
  for (int q = TIDE_QUANTITY_VOLTAGE; q < TIDE_N_QUANTITIES; q++)
    choose_column (u, q, meanings, table);
  if (u->lanes[0].columns[TIDE_QUANTITY_POWER].index < 0
      && (u->lanes[0].columns[TIDE_QUANTITY_VOLTAGE].index < 0
          || u->lanes[0].columns[TIDE_QUANTITY_CURRENT].index < 0))
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                   _ ("row %" PRIu64
                      " names columns, but below them neither power nor both of voltage and "
                      "current hold numbers"),
                   u->header_row);
      return FALSE;
    }
  *n_usable = count_usable (u, table);
  return TRUE;
}
