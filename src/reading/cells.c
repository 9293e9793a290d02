/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One field of a column of values becomes a number in the quantity's own unit.
 *
 * A plain number takes the column's unit. Where cells bear units of their own ("980 mA", "1.02 A"),
 * each is converted by its own; one of another quantity, and what is no unit of ours ("12 %"), is
 * no value, nor is a plain number among cells of several units that the name does not decide. Cost:
 * that of the number; a cell's unit adds one look-up.
 */
#include "reading/reading-private.h"

#include <math.h>
#include <string.h>

/* A longer cell is no number with a unit. */
#define MAX_CELL_BYTES 80

gboolean
tide_cell_split (const char *text,
                 gsize length,
                 gsize *number_length,
                 char unit[static TIDE_MAX_CELL_UNIT])
{
  gsize end = length;
  while (end > 0 && !g_ascii_isdigit (text[end - 1]))
    end--;
  gsize begin = end;
  while (begin < length && g_ascii_isspace (text[begin]))
    begin++;
  if (end == 0 || begin == length || length - begin >= TIDE_MAX_CELL_UNIT)
    return FALSE;
  memcpy (unit, text + begin, length - begin);
  unit[length - begin] = '\0';
  *number_length = end;
  return TRUE;
}

static gboolean
parse_with_unit (const TideUnderstanding *u,
                 TideQuantity quantity,
                 const char *text,
                 gsize length,
                 double *value)
{
  char unit_text[TIDE_MAX_CELL_UNIT];
  gsize n;
  TideQuantity of_unit;
  TideUnit unit;
  if (length > MAX_CELL_BYTES || !tide_cell_split (text, length, &n, unit_text)
      || !tide_unit_parse (unit_text, quantity, &of_unit, &unit)
      || !tide_quantity_takes (quantity, of_unit)
      || !tide_number_parse_grouped (text, n, u->decimal_mark, u->group_mark, unit.exponent, value))
    return FALSE;
  *value = tide_unit_scale (unit, *value);
  return isfinite (*value);
}

gboolean
tide_cell_parse_time (const char *text,
                      gsize length,
                      char decimal_mark,
                      char group_mark,
                      TideUnit *unit,
                      double *seconds)
{
  char unit_text[TIDE_MAX_CELL_UNIT];
  gsize n;
  TideQuantity quantity;
  if (length > MAX_CELL_BYTES || !tide_cell_split (text, length, &n, unit_text)
      || !tide_unit_parse (unit_text, TIDE_QUANTITY_TIME, &quantity, unit)
      || quantity != TIDE_QUANTITY_TIME
      || !tide_number_parse_grouped (text, n, decimal_mark, group_mark, unit->exponent, seconds))
    return FALSE;
  *seconds = tide_unit_scale (*unit, *seconds);
  return isfinite (*seconds);
}

gboolean
tide_column_use_parse (const TideUnderstanding *u,
                       const TideColumnUse *use,
                       TideQuantity quantity,
                       const char *text,
                       gsize length,
                       double *value)
{
  double shifted;
  if (use->only_in_cells)
    return parse_with_unit (u, quantity, text, length, value);
  if (!tide_number_parse_grouped (text, length, u->decimal_mark, u->group_mark, use->unit.exponent,
                                  &shifted))
    return use->in_cells && parse_with_unit (u, quantity, text, length, value);
  *value = tide_unit_scale (use->unit, shifted);
  return isfinite (*value);
}

/* ---- A column whose cells bear units ---- */

gboolean
tide_cells_find_unit (const TideTable *table,
                      guint column,
                      TideQuantity quantity,
                      TideUnit *unit,
                      gboolean *agree)
{
  guint n_filled = 0, n_units = 0;
  *agree = TRUE;
  for (guint row = 0; row < table->rows->len; row++)
    {
      const char *text = tide_table_field (table, row, column);
      gsize length = strlen (text), n;
      char unit_text[TIDE_MAX_CELL_UNIT];
      TideQuantity of_unit;
      TideUnit found;
      if (tide_number_is_missing (text, length))
        continue;
      n_filled++;
      if (!tide_cell_split (text, length, &n, unit_text)
          || !tide_unit_parse (unit_text, quantity, &of_unit, &found)
          || !tide_quantity_takes (quantity, of_unit))
        continue;
      if (n_units++ == 0)
        *unit = found;
      *agree &= strcmp (unit->symbol, found.symbol) == 0;
    }
  return n_units > 0 && n_units * 2 >= n_filled;
}
