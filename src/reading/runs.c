/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of one table become recordings: tokens, rows and, for each of the runs that stand side
 * by side, an assembler. A run without rows is left out where others have some; a table without any
 * is an error.
 */
#include "reading/header-private.h"
#include "reading/runs-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "recording/assembler.h"

struct _TideRuns
{
  TideUnderstanding *u;
  TideRows *rows;
  TideTokens *tokens;
  guint n_suspects, n_general;
  TideAssembler *assemblers[TIDE_MAX_LANES];
  char *labels[TIDE_MAX_LANES];
  const char *names[TIDE_MAX_LANES][TIDE_N_QUANTITIES];
  GPtrArray *told[TIDE_MAX_LANES]; /* at the end, of those that are not left out */
};

/* The sheet's name, the run's, or both. Transfer full. */
static char *
make_label (const TideUnderstanding *u, guint lane)
{
  const char *own = u->lanes[lane].label;
  if (u->member && own)
    return g_strdup_printf ("%s \342\200\223 %s", u->member, own);
  return g_strdup (own ? own : u->member);
}

static gboolean
assemble_cb (TideRawRows *raw, gpointer assembler, GError **error)
{
  return tide_assembler_push (assembler, raw, error);
}

static void
begin_lane (TideRuns *runs, guint lane, TideSink *sink, guint *next_part)
{
  runs->labels[lane] = make_label (runs->u, lane);
  TideRecordingPlace place = { runs->u->member, runs->u->header_row, lane + 1, 0 };
  runs->assemblers[lane] = tide_assembler_new (sink, next_part, runs->labels[lane]);
  tide_assembler_set_place (runs->assemblers[lane], &place);
  for (TideQuantity q = 0; q < TIDE_N_QUANTITIES; q++)
    runs->names[lane][q] = tide_understanding_get_name (runs->u, lane, q);
  tide_assembler_set_names (runs->assemblers[lane], runs->names[lane], runs->u->header_row);
  tide_rows_connect (runs->rows, lane, assemble_cb, runs->assemblers[lane]);
}

TideRuns *
tide_runs_new (TideUnderstanding *u, TideSink *sink, guint *next_part)
{
  TideRuns *runs = g_new0 (TideRuns, 1);
  runs->u = tide_understanding_ref (u);
  runs->rows = tide_rows_new (u);
  runs->n_general = 1;
  runs->tokens = tide_tokens_new (u->delimiter, u->wrapped, u->first_row, tide_rows_field_cb,
                                  tide_rows_record_cb, runs->rows);
  for (guint lane = 0; lane < u->n_lanes; lane++)
    begin_lane (runs, lane, sink, next_part);
  return runs;
}

void
tide_runs_free (TideRuns *runs)
{
  tide_tokens_free (runs->tokens);
  tide_rows_free (runs->rows);
  for (guint lane = 0; lane < runs->u->n_lanes; lane++)
    {
      tide_assembler_free (runs->assemblers[lane]);
      g_free (runs->labels[lane]);
      g_clear_pointer (&runs->told[lane], g_ptr_array_unref);
    }
  tide_understanding_unref (runs->u);
  g_free (runs);
}

/* ---- Another table ---- */

/* Looks at so many rows of words for the names of another table, in one table. */
#define MOST_SUSPECTS      100
#define MOST_GENERAL_LINES 4096

/* Where row stands in text, of which row first_row is the first. */
static gsize
find_row (const TideRuns *runs, const char *text, gsize length, guint64 first_row, guint64 row)
{
  TideHead head = { text, length, TRUE };
  gsize offset = 0;
  for (; first_row < row && offset < length; first_row++)
    {
      gsize end = 0;
      g_autoptr (TideTable) record =
          memchr (text + offset, '"', length - offset)
              ? tide_head_read_record (&head, offset, runs->u->delimiter, runs->u->wrapped,
                                       first_row, &end, NULL)
              : NULL;
      offset = record ? end : tide_head_next_line (&head, offset);
    }
  return offset;
}

static void
pass_suspect (TideRuns *runs)
{
  guint64 row = tide_rows_get_suspect (runs->rows);
  runs->n_suspects++;
  tide_rows_clear_suspect (runs->rows);
  tide_tokens_free (runs->tokens);
  runs->tokens = tide_tokens_new (runs->u->delimiter, runs->u->wrapped, row, tide_rows_field_cb,
                                  tide_rows_record_cb, runs->rows);
}

void
tide_runs_go_on (TideRuns *runs, const char *text, gsize length, gboolean at_end)
{
  if (!tide_rows_has_ended (runs->rows) && tide_begins_summary (runs->rows, text, length, at_end))
    tide_rows_end (runs->rows);
  pass_suspect (runs);
}

/* They may be those of a summary: the rows below tell. */
static gboolean
names_others (const TideRuns *runs, const char *text, gsize length, guint64 row)
{
  TideHead head = { text, length, FALSE };
  gsize end;
  if (tide_rows_has_ended (runs->rows))
    return FALSE;
  g_autoptr (TideTable) record =
      tide_head_read_record (&head, 0, runs->u->delimiter, runs->u->wrapped, row, &end, NULL);
  return record && tide_names_other_columns (record, 0);
}

/* The row of words is none of this table's, or is one like any other: then rows go on with it. */
static gboolean
decide_suspect (TideRuns *runs, const char *text, gsize length)
{
  guint64 row = tide_rows_get_suspect (runs->rows);
  if (tide_names_another_table (runs->u, text, length, row)
      || names_others (runs, text, length, row))
    return TRUE;
  pass_suspect (runs);
  return FALSE;
}

/* What goes the general way before plain lines are looked for again: a line, and more and more
 * where there are none. */
static gsize
choose_piece (TideRuns *runs, const char *text, gsize length)
{
  gsize end = 0;
  if (!tide_rows_reads_plain (runs->rows))
    return length;
  for (guint i = 0; i < runs->n_general && end < length; i++)
    {
      const char *line_end = memchr (text + end, '\n', length - end);
      end = line_end ? (gsize)(line_end - text) + 1 : length;
    }
  runs->n_general = MIN (2 * runs->n_general, MOST_GENERAL_LINES);
  return end;
}

/* The rows go on, or a row is met that may name another table. */
static gboolean
feed_piece (TideRuns *runs, const char *text, gsize length, gsize *taken, GError **error)
{
  guint64 first_row, n_plain = 0;
  gboolean is_between = tide_tokens_is_between (runs->tokens, &first_row);
  gsize done =
      is_between ? tide_rows_take_plain (runs->rows, text, length, first_row, &n_plain) : 0;
  if (n_plain > 0)
    {
      tide_tokens_pass (runs->tokens, n_plain);
      runs->n_general = 1;
    }
  gsize piece = choose_piece (runs, text + done, length - done);
  tide_rows_watch (runs->rows, is_between && runs->n_suspects < MOST_SUSPECTS);
  if (!tide_tokens_feed (runs->tokens, text + done, piece, error)
      || !tide_rows_check_text (runs->rows, done + piece, error))
    return FALSE;
  guint64 suspect = tide_rows_get_suspect (runs->rows);
  *taken =
      done + (suspect ? find_row (runs, text + done, piece, first_row + n_plain, suspect) : piece);
  return TRUE;
}

gboolean
tide_runs_feed (TideRuns *runs, const char *text, gsize length, gsize *taken, GError **error)
{
  gsize piece;
  for (*taken = 0; *taken < length; *taken += piece)
    {
      if (!feed_piece (runs, text + *taken, length - *taken, &piece, error))
        return FALSE;
      if (tide_rows_get_suspect (runs->rows)
          && decide_suspect (runs, text + *taken + piece, length - *taken - piece))
        {
          *taken += piece;
          return TRUE;
        }
    }
  return TRUE;
}

guint64
tide_runs_get_end (const TideRuns *runs)
{
  return tide_rows_get_suspect (runs->rows);
}

/* ---- The end ---- */

/* Of several, one that logged nothing. */
static gboolean
is_empty (const GError *problem)
{
  return g_error_matches (problem, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS)
         || g_error_matches (problem, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT);
}

static gboolean
close_lane (TideRuns *runs, guint lane, GError **error)
{
  runs->told[lane] = tide_complaints_new ();
  return tide_rows_finish_lane (runs->rows, lane, runs->told[lane], error)
         && tide_assembler_close (runs->assemblers[lane], error);
}

/* What is left out is known of all before the first ends, which takes the complaints with it. */
static gboolean
close_lanes (TideRuns *runs, GPtrArray *complaints, GError **error)
{
  g_autoptr (GError) first_problem = NULL;
  guint n_closed = 0;
  for (guint lane = 0; lane < runs->u->n_lanes; lane++)
    {
      g_autoptr (GError) problem = NULL;
      if (close_lane (runs, lane, &problem))
        {
          n_closed++;
          continue;
        }
      if (!is_empty (problem))
        {
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
      g_clear_pointer (&runs->told[lane], g_ptr_array_unref);
      if (runs->labels[lane])
        g_ptr_array_add (complaints, tide_complaint_new (0, NULL, _ ("%s is left out: %s"),
                                                         runs->labels[lane], problem->message));
      if (!first_problem)
        first_problem = g_steal_pointer (&problem);
    }
  if (n_closed > 0)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&first_problem));
  return FALSE;
}

gboolean
tide_runs_finish (TideRuns *runs, GPtrArray *complaints, GError **error)
{
  gboolean has_ended = tide_runs_get_end (runs) > 0; /* what its tokens hold is of another table */
  if ((!has_ended && !tide_tokens_finish (runs->tokens, error))
      || !tide_rows_flush (runs->rows, error) || !close_lanes (runs, complaints, error))
    return FALSE;
  g_autoptr (GPtrArray) all = tide_complaints_copy (complaints);
  for (guint lane = 0; lane < runs->u->n_lanes; lane++)
    {
      if (!runs->told[lane])
        continue;
      g_ptr_array_extend_and_steal (all, g_steal_pointer (&runs->told[lane]));
      if (!tide_assembler_finish (runs->assemblers[lane], tide_rows_get_skipped (runs->rows, lane),
                                  all, error))
        return FALSE;
      g_ptr_array_set_size (all, 0);
    }
  return TRUE;
}
