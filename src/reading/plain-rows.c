/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines that are nothing but numbers, read in one go from text to columns.
 *
 * Nearly every line of nearly every export is so: fields of digits with one mark, one run in the
 * table. The general way hands each field from callback to callback, which costs more than to read
 * it. What is anything else in a line (quotes, words, exponents, missing fields, too many digits)
 * leaves the line, as a whole, to the general way; the values are the same bits as there
 * (number.c).
 */
#include <string.h>

#include "reading/rows-private.h"

#define NOT_READ (-1)

/* Digits that fit 63 bits. */
#define MAX_DIGITS 18

/* ---- Which tables ---- */

static gboolean
can_plan (const TideUnderstanding *u)
{
  if (u->n_lanes != 1 || u->wrapped || tide_delimiter_is_blanks (u->delimiter) || u->date.index >= 0
      || u->millis_index >= 0 || u->time.index < 0)
    return FALSE;
  for (guint q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
    if (u->lanes[0].columns[q].index == u->time.index || u->lanes[0].columns[q].in_cells)
      return FALSE;
  return TRUE;
}

static void
plan_column (TideRows *rows, int index, TideQuantity quantity)
{
  if (index < 0)
    return;
  rows->has_plain &= rows->plain[index] == NOT_READ;
  rows->plain[index] = (gint8)quantity;
  rows->n_plain = MAX (rows->n_plain, (guint)index + 1);
}

void
tide_rows_plan_plain (TideRows *rows)
{
  rows->has_plain = can_plan (rows->u);
  memset (rows->plain, NOT_READ, sizeof rows->plain);
  plan_column (rows, rows->u->time.index, TIDE_QUANTITY_TIME);
  for (guint q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
    plan_column (rows, rows->u->lanes[0].columns[q].index, q);
}

/* ---- A field: each gives where it ends, NULL where it is not plain ---- */

static inline const char *
scan_digits (const char *p, guint64 *digits, guint *n)
{
  const char *first = p;
  guint digit;

  for (; (digit = (guint)(guchar)*p - '0') <= 9; p++)
    *digits = *digits * 10 + digit;
  *n += (guint)(p - first);
  return p;
}

static inline const char *
scan_number (const char *p, char mark, const TideUnit *unit, double *value)
{
  guint64 digits = 0;
  guint n = 0;
  gboolean negative = *p == '-';
  const char *whole = p + negative, *end = scan_digits (whole, &digits, &n);
  int power = unit->exponent;

  if (end == whole)
    return NULL;
  if (*end == mark)
    {
      const char *fraction = end + 1;

      end = scan_digits (fraction, &digits, &n);
      if (end == fraction)
        return NULL;
      power -= (int)(end - fraction);
    }
  if (n > MAX_DIGITS || digits > TIDE_EXACT_INTEGER || ABS (power) > TIDE_EXACT_POWER)
    return NULL;

  double magnitude = (double)digits;
  magnitude =
      power < 0 ? magnitude / tide_powers_of_ten[-power] : magnitude * tide_powers_of_ten[power];
  *value = negative ? -magnitude : magnitude;
  if (unit->times != 1 || unit->over != 1 || unit->offset != 0)
    *value = tide_unit_scale (*unit, *value);
  return end;
}

static inline const char *
skip_field (const char *p, char delimiter)
{
  while (*p != delimiter && *p != '\n' && *p != '\r' && *p != '"')
    p++;
  return p;
}

static const char *
scan_stamp (TideRows *rows, const char *p, double *seconds)
{
  const char *end = skip_field (p, rows->u->delimiter);

  return tide_course_take_time (&rows->course, p, (gsize)(end - p), seconds) ? end : NULL;
}

static inline const char *
scan_field (TideRows *rows, const char *p, guint column, double *values)
{
  int quantity = column < rows->n_plain ? rows->plain[column] : NOT_READ;

  if (quantity == NOT_READ)
    return skip_field (p, rows->u->delimiter);
  if (quantity != TIDE_QUANTITY_TIME)
    return scan_number (p, rows->u->decimal_mark, &rows->u->lanes[0].columns[quantity].unit,
                        &values[quantity]);
  if (rows->u->time.form == TIDE_FORM_NUMBER)
    return scan_number (p, rows->u->decimal_mark, &rows->u->time.unit, &values[TIDE_QUANTITY_TIME]);
  return scan_stamp (rows, p, &values[TIDE_QUANTITY_TIME]);
}

/* ---- A line ---- */

/* Gives the line after it; NULL: the line is not plain. text goes on to a line end. */
static const char *
scan_line (TideRows *rows, const char *line, double *values, guint *n_fields)
{
  const char *p = line;

  for (guint column = 0; column < TIDE_MAX_COLUMNS; column++, p++)
    {
      p = scan_field (rows, p, column, values);
      if (p == NULL)
        return NULL;
      if (*p == rows->u->delimiter)
        continue;
      if (*p == '\r' && p[1] == '\n')
        p++;
      *n_fields = column + 1;
      return *p == '\n' && column + 1 >= rows->n_plain && p - line < TIDE_MAX_FIELD_BYTES ? p + 1
                                                                                          : NULL;
    }
  return NULL;
}

/* Arrays with room for all rows of a batch. */
static void
open_batch (TideRowsLane *lane, double *columns[TIDE_N_QUANTITIES], guint64 **rows)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (lane->raw.columns[q] == NULL)
        continue;
      g_array_set_size (lane->raw.columns[q], TIDE_ROWS_AT_A_TIME);
      columns[q] = (double *)lane->raw.columns[q]->data;
    }
  g_array_set_size (lane->raw.rows, TIDE_ROWS_AT_A_TIME);
  *rows = (guint64 *)lane->raw.rows->data;
}

static void
close_batch (TideRowsLane *lane, guint n)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (lane->raw.columns[q] != NULL)
      g_array_set_size (lane->raw.columns[q], n);
  g_array_set_size (lane->raw.rows, n);
}

/* Rows up to a full batch. Gives where the first line stands that was not taken. */
static const char *
take_batch (TideRows *rows, const char *p, const char *end, guint64 row, guint *n_rows)
{
  TideRowsLane *lane = &rows->lanes[0];
  double *columns[TIDE_N_QUANTITIES] = { NULL }, values[TIDE_N_QUANTITIES];
  guint first = lane->raw.rows->len, n = first;
  guint64 *numbers;

  open_batch (lane, columns, &numbers);
  while (p < end && n < TIDE_ROWS_AT_A_TIME)
    {
      const char *next = scan_line (rows, p, values, &rows->usual_n_fields);

      if (next == NULL)
        break;
      p = next;
      numbers[n] = row + n - first;
      tide_course_finish_row (&rows->course, TRUE, &lane->tally, numbers[n],
                              &values[TIDE_QUANTITY_TIME]);
      for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
        if (columns[q] != NULL)
          columns[q][n] = values[q];
      n++;
    }
  close_batch (lane, n);
  *n_rows = n - first;
  if (n > first)
    {
      /* values may be those of a line that was not taken */
      lane->last_s = columns[TIDE_QUANTITY_TIME][n - 1];
      rows->last_row = numbers[n - 1];
      lane->n_footer = 0;
    }
  lane->n_kept += n - first;
  return p;
}

gboolean
tide_rows_reads_plain (const TideRows *rows)
{
  return rows->has_plain;
}

gsize
tide_rows_take_plain (TideRows *rows, const char *text, gsize length, guint64 row, guint64 *n_rows)
{
  TideRowsLane *lane = &rows->lanes[0];
  const char *p = text, *end = text + length;

  *n_rows = 0;
  /* the first row is for the general way: it tells when the log began */
  if (!rows->has_plain || !rows->has_start || lane->push == NULL || rows->suspect
      || rows->end_row > 0)
    return 0;
  while (end > p && end[-1] != '\n')
    end--;
  while (p < end && rows->error == NULL && lane->n_kept + TIDE_ROWS_AT_A_TIME < TIDE_MAX_ROWS)
    {
      guint n;

      p = take_batch (rows, p, end, row + *n_rows, &n);
      *n_rows += n;
      if (lane->raw.rows->len < TIDE_ROWS_AT_A_TIME)
        break;
      tide_rows_push_lane (rows, lane);
    }
  return (gsize)(p - text);
}
