/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of one table become recordings: tokens, rows and, for each of the runs that stand side
 * by side, an assembler. A run without rows is left out where others have some; a table without any
 * is an error.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>

#include "recording/assembler.h"

struct _TideRuns
{
  TideUnderstanding *u;
  TideRows *rows;
  TideTokens *tokens;
  TideAssembler *assemblers[TIDE_MAX_LANES];
  char *labels[TIDE_MAX_LANES];
  const char *names[TIDE_MAX_LANES][TIDE_N_QUANTITIES];
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
  runs->assemblers[lane] = tide_assembler_new (sink, next_part, runs->labels[lane]);
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
    }
  tide_understanding_unref (runs->u);
  g_free (runs);
}

gboolean
tide_runs_feed (TideRuns *runs, const char *text, gsize length, GError **error)
{
  return tide_tokens_feed (runs->tokens, text, length, error)
         && tide_rows_check (runs->rows, error);
}

/* ---- The end ---- */

static gboolean
finish_lane (TideRuns *runs, guint lane, GPtrArray *complaints, GError **error)
{
  return tide_rows_finish_lane (runs->rows, lane, complaints, error)
         && tide_assembler_finish (runs->assemblers[lane], tide_rows_get_skipped (runs->rows, lane),
                                   complaints, error);
}

/* Of several, one that logged nothing. */
static gboolean
is_empty (const GError *problem)
{
  return g_error_matches (problem, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS)
         || g_error_matches (problem, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT);
}

gboolean
tide_runs_finish (TideRuns *runs, GPtrArray *complaints, GError **error)
{
  g_autoptr (GError) first_problem = NULL;
  gboolean is_told = FALSE;
  if (!tide_tokens_finish (runs->tokens, error) || !tide_rows_flush (runs->rows, error))
    return FALSE;
  for (guint lane = 0; lane < runs->u->n_lanes; lane++)
    {
      g_autoptr (GError) problem = NULL;
      g_autoptr (GPtrArray) own =
          is_told ? tide_complaints_new () : tide_complaints_copy (complaints);
      if (finish_lane (runs, lane, own, &problem))
        {
          is_told = TRUE;
          continue;
        }
      if (!is_empty (problem))
        {
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
      if (runs->labels[lane])
        g_ptr_array_add (complaints, tide_complaint_new (0, NULL, _ ("%s is left out: %s"),
                                                         runs->labels[lane], problem->message));
      if (!first_problem)
        first_problem = g_steal_pointer (&problem);
    }
  if (is_told)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&first_problem));
  return FALSE;
}
