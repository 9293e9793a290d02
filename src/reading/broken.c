/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows that are no data: broken ones, lines of words, the names that stand again; and whether there
 * are too many of them.
 *
 * A line of words alone ("Second part", "End of log") in a table of three columns and more lacks
 * values as a broken row does: it is skipped, counted and complained of. But it says nothing of how
 * well the rows can be read, so the share of broken rows that is asked about leaves it out; and so
 * it does lines that begin with words below the last row ("Energy, 12.5").
 */
#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#include "reading/rows-private.h"
#include "reading/rule-private.h"

/* The contract of tide_read_file(): more broken rows than this, and the file is refused. */
#define BROKEN_SHARE 0.2
/* A table of fewer columns may lack one: its rows have one field as lines of words do. */
#define LEAST_COLUMNS 3

/* ---- What a row is ---- */

/* Names are kept without the blanks about them. */
static gboolean
is_name (const char *text, const char *name)
{
  if (!text)
    return FALSE;
  g_autofree char *stripped = g_strstrip (g_strdup (text));
  return g_strcmp0 (stripped, name) == 0;
}

/* Every column that is read holds its name: one that holds another began another table. */
gboolean
tide_rows_has_names_again (const TideRows *rows)
{
  const TideUnderstanding *u = rows->u;
  if (u->time.index >= 0
      && !is_name (rows->bad_time, tide_understanding_get_name (u, 0, TIDE_QUANTITY_TIME)))
    return FALSE;
  for (guint lane = 0; lane < u->n_lanes; lane++)
    for (int q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
      if (u->lanes[lane].columns[q].index >= 0
          && !is_name (rows->lanes[lane].bad[q], tide_understanding_get_name (u, lane, q)))
        return FALSE;
  return TRUE;
}

static gboolean
has_letter (const char *text)
{
  for (; *text; text++)
    if (g_ascii_isalpha (*text) || (*text & 0x80))
      return TRUE;
  return FALSE;
}

/* Words where numbers should be, in every column that is needed. */
gboolean
tide_rows_may_name_table (const TideRows *rows, guint64 row)
{
  const TideRowsLane *lane = &rows->lanes[0];
  if (!rows->is_watched || row <= rows->no_names || rows->has_time || (lane->have & lane->needed)
      || rows->n_filled < 2 || tide_rows_has_names_again (rows))
    return FALSE;
  if (rows->bad_time)
    return has_letter (rows->bad_time);
  int q = rows->u->time.index < 0 ? g_bit_nth_lsf (lane->needed, -1) : -1;
  return q > 0 && lane->bad[q] && has_letter (lane->bad[q]);
}

gboolean
tide_field_is_words (const char *text, gsize length)
{
  gboolean has_digit = FALSE;
  for (gsize i = 0; i < length; i++)
    if (g_ascii_isalpha (text[i]) || (text[i] & 0x80))
      return !tide_number_is_missing (text, length);
    else
      has_digit |= g_ascii_isdigit (text[i]);
  return !has_digit && !tide_number_is_missing (text, length);
}

/* Is there anything in a column that is needed? */
static gboolean
has_value (const TideRowsLane *lane)
{
  if (lane->have & lane->needed)
    return TRUE;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if ((lane->needed >> q & 1) && lane->bad[q] && lane->bad[q][0] != '\0')
      return TRUE;
  return FALSE;
}

gboolean
tide_rows_has_words_only (const TideRows *rows)
{
  if (rows->n_filled != 1 || !rows->has_words || rows->has_time
      || rows->u->names->len < LEAST_COLUMNS)
    return FALSE;
  for (guint lane = 0; lane < rows->u->n_lanes; lane++)
    if (has_value (&rows->lanes[lane]))
      return FALSE;
  return TRUE;
}

gboolean
tide_rows_has_words_first (const TideRows *rows)
{
  return !rows->has_time && rows->bad_time && !strpbrk (rows->bad_time, "0123456789")
         && tide_field_is_words (rows->bad_time, strlen (rows->bad_time));
}

/* ---- What is told of it ---- */

/* What is wrong with a field. Transfer full. */
static char *
describe_bad (const char *bad, gboolean is_time)
{
  if (!bad || tide_number_is_missing (bad, strlen (bad)))
    return g_strdup (_ ("no value; the row is skipped"));
  g_autofree char *valid = g_utf8_make_valid (bad, -1);
  g_autofree char *line =
      g_strdelimit (g_utf8_substring (valid, 0, MIN (g_utf8_strlen (valid, -1), 40)), "\r\n\t",
                    ' ');
  return g_strdup_printf (is_time ? _ ("not a time: \"%s\"; the row is skipped")
                                  : _ ("not a number: \"%s\"; the row is skipped"),
                          line);
}

/* Transfer full; column is set to the name of the one it is about, or NULL. */
static char *
describe_row (const TideRows *rows, guint index, gboolean is_cut, const char **column)
{
  const TideRowsLane *lane = &rows->lanes[index];
  guint missing = lane->needed & ~lane->have;
  TideQuantity q = rows->has_time ? (TideQuantity)g_bit_nth_lsf (missing, -1) : TIDE_QUANTITY_TIME;
  *column = NULL;
  if (is_cut)
    return g_strdup (_ ("the file ends inside this row; the row is skipped"));
  if (rows->is_prose && (!rows->bad_time || !*rows->bad_time))
    return g_strdup (_ ("a line of words; the row is skipped"));
  *column = tide_understanding_get_name (rows->u, index, q);
  return describe_bad (rows->has_time ? lane->bad[q] : rows->bad_time, !rows->has_time);
}

void
tide_rows_skip (TideRows *rows, guint index, guint64 row, gboolean is_cut)
{
  TideRowsLane *lane = &rows->lanes[index];
  gboolean is_first = !rows->is_prose && lane->n_skipped == lane->n_prose;
  const char *column;
  lane->n_skipped++;
  lane->n_prose += rows->is_prose;
  lane->n_footer += !rows->is_prose && tide_rows_has_words_first (rows);
  if (lane->tally.n >= TIDE_MAX_TOLD && !is_first)
    {
      lane->tally.n++;
      return;
    }
  g_autofree char *text = describe_row (rows, index, is_cut && !rows->is_prose, &column);
  tide_tally_add (&lane->tally, row, column, text);
  if (!is_first)
    return;
  g_autoptr (TideComplaint) complaint = tide_complaint_new (row, column, "%s", text);
  lane->first_broken = tide_complaint_to_text (complaint);
}

/* ---- Too many ---- */

static gboolean
fail_without_rows (const TideRows *rows, const TideRowsLane *lane, GError **error)
{
  const GPtrArray *told = lane->tally.told;
  g_autofree char *first =
      told->len > 0 ? tide_complaint_to_text (g_ptr_array_index (told, 0)) : NULL;
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
               _ ("fewer than two usable rows below the names in row %" PRIu64 "%s%s"),
               rows->u->header_row, first ? "; " : "", first ? first : "");
  return FALSE;
}

gboolean
tide_rows_check_broken (const TideRows *rows, const TideRowsLane *lane, GError **error)
{
  guint64 n_broken = lane->n_skipped - lane->n_prose - lane->n_footer,
          n_all = lane->n_kept + n_broken;
  if (lane->n_kept < 2)
    return fail_without_rows (rows, lane, error);
  if (n_broken <= BROKEN_SHARE * n_all || (rows->u->rule && rows->u->rule->accept_broken))
    return TRUE;
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN,
               _ ("%" PRIu64 " of %" PRIu64 " rows are broken, the first: %s"), n_broken, n_all,
               lane->first_broken);
  return FALSE;
}
