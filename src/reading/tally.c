/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Complaints about rows, bounded: a file of a million broken rows tells of the first hundred and
 * counts the others.
 */
#include "reading/runs-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

void
tide_tally_add (TideTally *tally, guint64 row, const char *column, const char *text)
{
  if (tally->n++ < TIDE_MAX_TOLD)
    g_ptr_array_add (tally->told, tide_complaint_new (row, column, "%s", text));
}

static int
compare_rows_cb (gconstpointer a, gconstpointer b)
{
  const TideComplaint *first = *(TideComplaint *const *)a;
  const TideComplaint *second = *(TideComplaint *const *)b;
  return first->row < second->row ? -1 : first->row > second->row;
}

void
tide_tally_tell (const TideTally *tally, GPtrArray *complaints)
{
  g_ptr_array_sort (tally->told, compare_rows_cb);
  for (guint i = 0; i < tally->told->len; i++)
    g_ptr_array_add (complaints, tide_complaint_copy (g_ptr_array_index (tally->told, i)));
  if (tally->n <= TIDE_MAX_TOLD)
    return;
  guint64 n_more = tally->n - TIDE_MAX_TOLD;
  g_ptr_array_add (complaints,
                   tide_complaint_new (0, NULL,
                                       g_dngettext (GETTEXT_PACKAGE,
                                                    "and %" PRIu64 " more complaint about a row",
                                                    "and %" PRIu64 " more complaints about rows",
                                                    (gulong)n_more),
                                       n_more));
}
