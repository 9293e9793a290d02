/* SPDX-License-Identifier: GPL-3.0-or-later */
/* In which order day, month and year stand, decided over a whole column of dates.
 *
 * An order in which some date cannot be read is out: a 31 is no month. Of several that are left,
 * the course of time decides: logs go from a day into the next. One order is taken where in it
 * every change of the date is a step on of one or two days, while in each other order some change
 * is a step back or one of more than 20 days. Else it is a question. Dates that never change tell
 * nothing; where all of a file are the same day in every order (3/3/2026) there is nothing to tell.
 *
 * What the head leaves open, the rest of the file may decide: the scan costs three parses a row.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#define CALM_DAYS 2
#define WILD_DAYS 20
#define DAY_US    (G_GINT64_CONSTANT (86400) * G_USEC_PER_SEC)

static const TideDateOrder orders[] = { TIDE_ORDER_YEAR, TIDE_ORDER_DAY, TIDE_ORDER_MONTH };

void
tide_order_scan_init (TideOrderScan *scan)
{
  *scan = (TideOrderScan){ .fits = TIDE_ORDER_ALL };
}

static gint64
get_day (gint64 us)
{
  return us / DAY_US - (us % DAY_US < 0);
}

/* A date, read in the order of that place, goes on its way. */
static void
follow_course (TideOrderScan *scan, guint place, gint64 day)
{
  gint64 step = scan->courses[place].is_begun ? day - scan->courses[place].day : 0;
  scan->courses[place].is_calm |= step > 0 && step <= CALM_DAYS;
  scan->courses[place].is_wild |= step < 0 || step > WILD_DAYS;
  /* between the two it speaks neither for the order nor against it, but it is not calm any more */
  scan->courses[place].is_uneven |= step < 0 || step > CALM_DAYS;
  scan->courses[place].is_begun = TRUE;
  scan->courses[place].day = day;
}

void
tide_order_scan_feed (TideOrderScan *scan, const char *text, gsize length)
{
  TideMoment moments[G_N_ELEMENTS (orders)];
  guint fits = 0;
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if ((scan->fits & orders[i]) && tide_date_parse (text, length, orders[i], &moments[i]))
      fits |= orders[i];
  /* damage, and not a date in an order that was out before */
  if (fits == 0)
    return;
  scan->fits = fits;
  int first = -1;
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    if (fits & orders[i])
      {
        first = first < 0 ? (int)i : first;
        scan->differs |= moments[i].us != moments[first].us;
        follow_course (scan, i, get_day (moments[i].us));
      }
}

TideDateOrder
tide_order_scan_decide (const TideOrderScan *scan)
{
  TideDateOrder calm = TIDE_ORDER_NONE;
  for (guint i = 0; i < G_N_ELEMENTS (orders); i++)
    {
      if (!(scan->fits & orders[i]))
        continue;
      if (scan->fits == orders[i])
        return orders[i];
      if (scan->courses[i].is_calm && !scan->courses[i].is_uneven && calm == TIDE_ORDER_NONE)
        calm = orders[i];
      else if (!scan->courses[i].is_wild)
        return TIDE_ORDER_NONE;
    }
  return calm;
}

/* ---- What the rest of the file says ---- */

static TideTimeUse *
get_dates (const TideUnderstanding *u)
{
  const TideTimeUse *dates = u->date.index >= 0 ? &u->date : &u->time;
  return dates->form == TIDE_FORM_DATE ? (TideTimeUse *)dates : NULL;
}

static int
find_question (const TideUnderstanding *u)
{
  const TideTimeUse *dates = get_dates (u);
  for (guint i = 0; dates && i < u->questions->len; i++)
    {
      const TideQuestion *question = g_ptr_array_index (u->questions, i);
      const TideAnswer *answer = g_ptr_array_index (question->answers, 0);
      if (question->is_open && g_strcmp0 (answer->key, "time") == 0
          && g_strcmp0 (question->column, g_ptr_array_index (u->names, dates->index)) == 0)
        return (int)i;
    }
  return -1;
}

int
tide_order_get_column (const TideUnderstanding *u)
{
  return find_question (u) >= 0 ? get_dates (u)->index : -1;
}

gboolean
tide_order_settle (TideUnderstanding *u, const TideOrderScan *scan)
{
  int question = find_question (u);
  TideDateOrder order = tide_order_scan_decide (scan);
  g_return_val_if_fail (question >= 0, FALSE);
  if (order == TIDE_ORDER_NONE && !scan->differs)
    {
      /* 3/3/2026 throughout: by the first answer the rest was understood */
      g_ptr_array_remove_index (u->questions, (guint)question);
      return TRUE;
    }
  if (order == TIDE_ORDER_NONE)
    return FALSE;
  TideTimeUse *dates = get_dates (u);
  dates->order = order;
  if (u->clock.index == dates->index)
    u->clock.order = order;
  g_ptr_array_remove_index (u->questions, (guint)question);
  tide_understanding_remark (
      u,
      tide_complaint_new (u->header_row, g_ptr_array_index (u->names, dates->index), "%s",
                          _ ("in which order day and month stand is told by dates further down")));
  return TRUE;
}
