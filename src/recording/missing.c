/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is told of the values that an audit missed: the columns that are left out for it, and of the
 * others the rows, the first of them one by one.
 */
#include <glib/gi18n-lib.h>
#include <inttypes.h>

#include "recording/audit-private.h"

typedef struct
{
  guint64 row;
  guint optional;
} MissingValue;

static int
compare_missing_cb (gconstpointer a, gconstpointer b)
{
  const MissingValue *x = a, *y = b;

  if (x->row != y->row)
    return x->row < y->row ? -1 : 1;
  return (x->optional > y->optional) - (x->optional < y->optional);
}

/* Of the columns that stay. Transfer full. */
static GArray *
list_missing (const TideAudit *audit, const TideRevision *revision)
{
  GArray *list = g_array_new (FALSE, FALSE, sizeof (MissingValue));

  for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
    {
      GArray *rows = audit->hole_rows[k];

      if (revision->left_out & (1u << (TIDE_QUANTITY_ENERGY + k)))
        continue;
      for (guint i = 0; rows != NULL && i < rows->len; i++)
        {
          MissingValue value = { g_array_index (rows, guint64, i), k };
          g_array_append_val (list, value);
        }
    }
  g_array_sort (list, compare_missing_cb);
  return list;
}

static const char *
get_name (const char *const *names, guint optional)
{
  TideQuantity quantity = TIDE_QUANTITY_ENERGY + optional;

  return names != NULL && names[quantity] != NULL ? names[quantity]
                                                  : tide_quantity_get_id (quantity);
}

static void
complain_of_missing (const TideAudit *audit,
                     const TideRevision *revision,
                     const char *const *names,
                     GPtrArray *complaints)
{
  g_autoptr (GArray) list = list_missing (audit, revision);
  double first_s, last_s;
  guint64 n = audit->n - tide_audit_count (audit, revision, &first_s, &last_s), n_told = 0;

  for (guint i = 0; i < list->len && n_told < TIDE_AUDIT_MOST_TOLD; i++)
    {
      const MissingValue *value = &g_array_index (list, MissingValue, i);

      if (i > 0 && value->row != 0 && value->row == value[-1].row)
        continue;
      g_ptr_array_add (complaints,
                       tide_complaint_new (value->row, get_name (names, value->optional),
                                           _ ("no value; the row is skipped")));
      n_told++;
    }
  if (n > n_told)
    g_ptr_array_add (
        complaints,
        tide_complaint_new (0, NULL,
                            g_dngettext (GETTEXT_PACKAGE,
                                         "%" PRIu64 " more row lacks a value and is skipped",
                                         "%" PRIu64 " more rows lack a value and are skipped",
                                         (gulong)(n - n_told)),
                            n - n_told));
}

void
tide_audit_complain (const TideAudit *audit,
                     const TideRevision *revision,
                     const char *const *names,
                     guint64 names_row,
                     GPtrArray *complaints)
{
  for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
    if (revision->left_out & (1u << (TIDE_QUANTITY_ENERGY + k)))
      g_ptr_array_add (complaints,
                       tide_complaint_new (names_row, get_name (names, k),
                                           _ ("the column lacks %" PRIu64 " of %" PRIu64
                                              " values and is left out"),
                                           tide_audit_count_missing (audit, k), (guint64)audit->n));
  complain_of_missing (audit, revision, names, complaints);
}
