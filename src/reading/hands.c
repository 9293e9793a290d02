/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A time whose hands stand in several columns: hours, minutes and seconds, which is refused; a
 * clock with whole seconds and its thousandths in a column of their own, which are read together.
 *
 * The thousandths are taken only where it is certain that they are: whole numbers below 1000 in a
 * column that names milliseconds, which rise while the clock stands and begin anew where it steps
 * on.
 */
#include "reading/timing.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

static double
get_unit_s (const TideTimeCandidate *candidate)
{
  TideUnit unit = candidate->use.unit;
  return tide_unit_scale (unit, pow (10, unit.exponent));
}

/* Whole numbers that begin anew before they reach the next larger unit: the minutes of an hour. */
static gboolean
is_hand (const TideUnderstanding *u, const TideTimeCandidate *candidate, const TideTable *table)
{
  double unit_s = get_unit_s (candidate), seconds;
  if (candidate->use.form != TIDE_FORM_NUMBER || !candidate->use.unit_named || !candidate->falls
      || unit_s > 60)
    return FALSE;
  for (guint row = 0; row < table->rows->len; row++)
    {
      const char *text = tide_table_field (table, row, (guint)candidate->use.index);
      if (!tide_time_use_parse (&candidate->use, u->decimal_mark, text, strlen (text), &seconds))
        continue;
      double n = seconds / unit_s;
      if (n < 0 || n >= (unit_s < 1 ? 1000 : 60) || fabs (n - round (n)) > 1e-6)
        return FALSE;
    }
  return TRUE;
}

/* "Hour", "Minute", "Second": the larger one alone would put many rows at one time. */
gboolean
tide_time_check_not_split (const TideUnderstanding *u,
                           const TideTimeCandidate *best,
                           const GArray *candidates,
                           const TideTable *table,
                           GError **error)
{
  for (guint i = 0; best->use.form == TIDE_FORM_NUMBER && !best->meaning->stated
                    && best->use.unit_named && i < candidates->len;
       i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      if (c == best || get_unit_s (c) >= get_unit_s (best) || !is_hand (u, c, table))
        continue;
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                   _ ("the time stands in several columns, such as \"%s\" and \"%s\": put them "
                      "into one, such as 12:34:56, or say the seconds from row to row"),
                   get_name (u, best->use.index), get_name (u, c->use.index));
      return FALSE;
    }
  return TRUE;
}

/* ---- Thousandths ---- */

/* How the thousandths go with the clock. */
typedef struct
{
  guint n_rising, n_anew; /* while the clock stands; where it steps on */
  gboolean has_contrary;
} Steps;

static gboolean
parse_row (const TideUnderstanding *u,
           const TideTimeUse *use,
           const TideTable *table,
           guint row,
           double *seconds)
{
  const char *text = tide_table_field (table, row, (guint)use->index);
  return tide_time_use_parse (use, u->decimal_mark, text, strlen (text), seconds);
}

static Steps
count_steps (const TideUnderstanding *u, const TideTimeUse *thousandths, const TideTable *table)
{
  Steps steps = { 0 };
  double clock_s, part_s, clock_before_s = NAN, part_before_s = NAN;
  for (guint row = 0; row < table->rows->len; row++)
    {
      if (!parse_row (u, &u->time, table, row, &clock_s)
          || !parse_row (u, thousandths, table, row, &part_s))
        continue;
      gboolean stands = clock_s == clock_before_s;
      steps.has_contrary |= clock_s != floor (clock_s) || (stands && part_s <= part_before_s);
      steps.n_rising += stands && part_s > part_before_s;
      steps.n_anew += !stands && part_s < part_before_s;
      clock_before_s = clock_s;
      part_before_s = part_s;
    }
  return steps;
}

static gboolean
may_have_thousandths (const TideTimeUse *use)
{
  return use->index >= 0
         && (use->form == TIDE_FORM_CLOCK || use->form == TIDE_FORM_DATE
             || use->form == TIDE_FORM_STATED);
}

void
tide_time_join_millis (TideUnderstanding *u, const GArray *candidates, const TideTable *table)
{
  for (guint i = 0; may_have_thousandths (&u->time) && i < candidates->len; i++)
    {
      const TideTimeCandidate *c = &g_array_index (candidates, TideTimeCandidate, i);
      if (c->use.in_cells || get_unit_s (c) != 0.001 || !is_hand (u, c, table))
        continue;
      Steps steps = count_steps (u, &c->use, table);
      if (steps.has_contrary || steps.n_rising == 0 || steps.n_anew == 0)
        continue;
      u->millis_index = c->use.index;
      tide_understanding_remark (
          u, tide_complaint_new (u->header_row, get_name (u, c->use.index),
                                 _ ("read as the thousandths of the seconds in column \"%s\""),
                                 get_name (u, u->time.index)));
      return;
    }
}
