/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Counters and temperature that lack values. A recording's columns are whole, so either the
 * rows go or the column does: a column that lacks many of its values would cost more rows than it
 * is worth and is left out; a row that lacks one of few is taken out and counted.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* A column that lacks a larger share of its values is left out. */
#define HOLES_SHARE 0.05

const char *
tide_understanding_get_name (const TideUnderstanding *u, guint lane, TideQuantity quantity)
{
  int index = quantity == TIDE_QUANTITY_TIME ? u->time.index : u->lanes[lane].columns[quantity].index;
  return g_ptr_array_index (u->names, index);
}

static guint
count_holes (const GArray *column)
{
  guint n = 0;
  for (guint i = 0; i < column->len; i++)
    n += isnan (g_array_index (column, double, i)) != 0;
  return n;
}

/* Gives the number of holes that remain. */
static guint
leave_out_hollow (TideRawRows *raw,
                  const TideUnderstanding *u,
                  guint lane,
                  TideQuantity quantity,
                  TideTally *tally)
{
  GArray *column = raw->columns[quantity];
  guint n_holes = column ? count_holes (column) : 0;
  if (n_holes <= HOLES_SHARE * raw->rows->len)
    return n_holes;
  g_autofree char *text = g_strdup_printf (_ ("the column lacks %u of %u values and is left out"),
                                           n_holes, raw->rows->len);
  tide_tally_add (tally, u->header_row, tide_understanding_get_name (u, lane, quantity), text);
  g_clear_pointer (&raw->columns[quantity], g_array_unref);
  return 0;
}

/* TIDE_N_QUANTITIES when the row is whole. */
static TideQuantity
find_hole (const TideRawRows *raw, guint index)
{
  TideQuantity q = TIDE_QUANTITY_ENERGY;
  while (q < TIDE_N_QUANTITIES
         && !(raw->columns[q] && isnan (g_array_index (raw->columns[q], double, index))))
    q++;
  return q;
}

static void
copy_row (TideRawRows *raw, guint from, guint to)
{
  g_array_index (raw->rows, guint64, to) = g_array_index (raw->rows, guint64, from);
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q])
      g_array_index (raw->columns[q], double, to) = g_array_index (raw->columns[q], double, from);
}

static void
shorten (TideRawRows *raw, guint n)
{
  g_array_set_size (raw->rows, n);
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    if (raw->columns[q])
      g_array_set_size (raw->columns[q], n);
}

guint64
tide_holes_close (TideRawRows *raw, const TideUnderstanding *u, guint lane, TideTally *tally)
{
  guint n_holes = 0, n_kept = 0, n = raw->rows->len;
  for (int q = TIDE_QUANTITY_ENERGY; q < TIDE_N_QUANTITIES; q++)
    n_holes += leave_out_hollow (raw, u, lane, q, tally);
  if (n_holes == 0)
    return 0;
  for (guint i = 0; i < n; i++)
    {
      TideQuantity hole = find_hole (raw, i);
      if (hole == TIDE_N_QUANTITIES)
        copy_row (raw, i, n_kept++);
      else
        tide_tally_add (tally, g_array_index (raw->rows, guint64, i),
                        tide_understanding_get_name (u, lane, hole), _ ("no value; the row is skipped"));
    }
  shorten (raw, n_kept);
  return n - n_kept;
}
