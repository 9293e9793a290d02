/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All rows are held in memory: a log that is followed is short enough for that, and its last row
 * may change what the recordings are.
 */
#include "reading/kept-rows-private.h"

#include "recording/assembler.h"

void
tide_kept_rows_clear (TideRawRows *raw)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&raw->columns[q], g_array_unref);
  g_clear_pointer (&raw->rows, g_array_unref);
  *raw = (TideRawRows){ 0 };
}

static void
move_array (GArray **into, GArray *from, guint size)
{
  if (from == NULL)
    return;
  if (*into == NULL)
    *into = g_array_new (FALSE, FALSE, size);
  g_array_append_vals (*into, from->data, from->len);
  g_array_set_size (from, 0);
}

gboolean
tide_kept_rows_take_cb (TideRawRows *raw, gpointer user_data, GError **error)
{
  TideRawRows *all = user_data;

  if (all->rows == NULL || all->rows->len == 0)
    all->start_us = raw->start_us;
  all->clock_of_day = raw->clock_of_day;
  all->dated = raw->dated;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    move_array (&all->columns[q], raw->columns[q], sizeof (double));
  move_array (&all->rows, raw->rows, sizeof (guint64));
  return TRUE;
}

static GArray *
copy_array (GArray *array)
{
  return array != NULL ? g_array_copy (array) : NULL;
}

static void
copy_raw (const TideRawRows *raw, TideRawRows *copy)
{
  *copy = *raw;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    copy->columns[q] = copy_array (raw->columns[q]);
  copy->rows = copy_array (raw->rows);
}

gboolean
tide_kept_rows_assemble (const TideRawRows *kept,
                         const TideUnderstanding *u,
                         guint lane,
                         TideRows *rows,
                         GPtrArray *complaints,
                         TideSink *sink,
                         GError **error)
{
  const char *names[TIDE_N_QUANTITIES];
  guint next_part = 1;
  g_auto (TideRawRows) raw = { 0 };

  if (!tide_rows_finish_lane (rows, lane, complaints, error))
    return FALSE;
  g_autoptr (TideAssembler) assembler = tide_assembler_new (sink, &next_part, u->lanes[lane].label);
  for (TideQuantity q = 0; q < TIDE_N_QUANTITIES; q++)
    names[q] = tide_understanding_get_name (u, lane, q);
  tide_assembler_set_names (assembler, names, u->header_row);
  copy_raw (kept, &raw);
  return tide_assembler_push (assembler, &raw, error)
         && tide_assembler_finish (assembler, tide_rows_get_skipped (rows, lane), complaints,
                                   error);
}
