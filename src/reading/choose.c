/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of a table's columns are read: the time, then for each run that the table holds and each
 * quantity the one with the plainest name whose fields are numbers (lanes.c), in units that can
 * be (magnitude.c). A column that is mostly empty at the beginning is not taken, so that it cannot
 * cost the file its rows; that is told. Where cells bear units, those are the column's.
 */
#include "reading/lanes-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static gboolean
is_value_at (const TideUnderstanding *u,
             const TideTable *table,
             guint row,
             const TideColumnUse *use,
             TideQuantity quantity)
{
  double value;
  const char *text = tide_table_field (table, row, (guint)use->index);
  return tide_column_use_parse (u, use, quantity, text, strlen (text), &value);
}

static guint
count_filled (const TideUnderstanding *u,
              const TideTable *table,
              guint column,
              const TideMeaning *meaning)
{
  TideColumnUse use = { .index = (int)column,
                        .unit = meaning->unit,
                        .in_cells = meaning->in_cells,
                        .only_in_cells = meaning->only_in_cells };
  guint n_filled = 0;
  for (guint row = 0; row < table->rows->len; row++)
    n_filled += is_value_at (u, table, row, &use, meaning->quantity);
  return n_filled;
}

/* A column that is not taken is told of, unless it is known that nothing is lost with it. */
static gboolean
check_filled (TideUnderstanding *u,
              const TideTable *table,
              guint column,
              const TideMeaning *meaning)
{
  guint n = table->rows->len, n_filled = count_filled (u, table, column, meaning);
  if (n_filled >= TIDE_FILLED_SHARE * n)
    return TRUE;
  if ((n_filled > 0 || !table->is_whole) && !meaning->stated)
    tide_understanding_remark (
        u, tide_complaint_new (u->header_row, g_ptr_array_index (u->names, column),
                               ngettext ("%u of the first %u rows holds a number here; the column "
                                         "is not read unless its meaning is stated",
                                         "%u of the first %u rows hold a number here; the column "
                                         "is not read unless its meaning is stated",
                                         n_filled),
                               n_filled, n));
  return FALSE;
}

/* The cells say more than the name. */
static void
take_units_of_cells (TideUnderstanding *u, TideMeaning *meanings, const TideTable *table)
{
  for (guint column = 0; column < u->names->len; column++)
    {
      TideMeaning *meaning = &meanings[column];
      TideUnit unit;
      gboolean agree;
      if (!meaning->known || meaning->quantity == TIDE_QUANTITY_TIME
          || !tide_cells_find_unit (table, column, meaning->quantity, &unit, &agree))
        continue;
      if (meaning->unit_named && g_strcmp0 (meaning->unit.symbol, unit.symbol) != 0)
        g_ptr_array_add (u->complaints,
                         tide_complaint_new (u->header_row, g_ptr_array_index (u->names, column),
                                             _ ("the name says %s, the cells say %s; read as the "
                                                "cells say"),
                                             meaning->unit.symbol, unit.symbol));
      meaning->in_cells = TRUE;
      meaning->only_in_cells = !agree && !meaning->unit_named;
      if (!meaning->unit_named)
        meaning->unit = unit;
      meaning->unit_named = TRUE;
    }
}

static gboolean
is_usable (const TideUnderstanding *u, const TideTable *table, guint row)
{
  if (u->time.index >= 0)
    {
      double seconds;
      const char *time = tide_table_field (table, row, (guint)u->time.index);
      if (!tide_time_use_parse (&u->time, u->decimal_mark, time, strlen (time), &seconds))
        return FALSE;
    }
  for (int q = TIDE_QUANTITY_VOLTAGE; q <= TIDE_QUANTITY_POWER; q++)
    {
      const TideColumnUse *use = &u->lanes[0].columns[q];
      if (use->index >= 0 && !is_value_at (u, table, row, use, q))
        return FALSE;
    }
  return TRUE;
}

gboolean
tide_choose_columns (TideUnderstanding *u,
                     const TideMeaning *named,
                     const TideTable *table,
                     guint *n_usable,
                     GError **error)
{
  guint n = u->names->len;
  g_autofree TideMeaning *meanings = g_memdup2 (named, n * sizeof *named);
  g_autofree gboolean *filled = g_new0 (gboolean, n);
  if (!tide_choose_time (u, meanings, table, error))
    return FALSE;
  take_units_of_cells (u, meanings, table);
  for (guint column = 0; column < n; column++)
    filled[column] = meanings[column].known && meanings[column].quantity != TIDE_QUANTITY_TIME
                     && check_filled (u, table, column, &meanings[column]);
  if (!tide_lanes_choose (u, meanings, filled, table, error))
    return FALSE;
  tide_magnitude_check (u, meanings, table);
  *n_usable = 0;
  for (guint row = 0; row < table->rows->len; row++)
    *n_usable += is_usable (u, table, row);
  return TRUE;
}
