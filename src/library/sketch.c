/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overview of a run, and the sketch made of it.
 *
 * The overview (see outline.c) is a hundredth of the samples' size, and all that a sketch reads.
 * How many pairs it has is for the file to say: earlier versions cut runs into other pairs.
 */
#include "library/outline-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "recording/overview.h"

/* Spreads the pairs over the columns of their time. A pair covers the time up to the next pair, so
 * that no column stays empty in a gap. */
static GArray *
spread_pairs (const double *times, const double *values, gsize n_pairs, guint n_columns)
{
  GArray *sketch = g_array_sized_new (FALSE, TRUE, sizeof (TideRange), n_columns);
  double whole = times[2 * n_pairs - 1];
  guint next = 0; /* the first column that has nothing yet */

  g_array_set_size (sketch, n_columns);
  for (gsize i = 0; i < n_pairs; i++)
    {
      double end = i + 1 < n_pairs ? times[2 * (i + 1)] : times[2 * i + 1];
      guint first = (guint)CLAMP (times[2 * i] / whole * n_columns, 0, n_columns - 1);
      guint last = (guint)CLAMP (end / whole * n_columns, 0, n_columns - 1);

      for (guint column = first; column <= last; column++)
        {
          TideRange *range = &g_array_index (sketch, TideRange, column);

          range->low = column < next ? MIN (range->low, values[2 * i]) : values[2 * i];
          range->high = column < next ? MAX (range->high, values[2 * i + 1]) : values[2 * i + 1];
        }
      next = MAX (next, last + 1);
    }
  return sketch;
}

/* Whether the pairs may be drawn: times from 0 on and rising, everything finite. */
static gboolean
check_pairs (const double *times, const double *values, gsize n_pairs)
{
  double before = 0.0;

  for (gsize i = 0; i < 2 * n_pairs; i++)
    {
      if (!isfinite (times[i]) || !isfinite (values[i]) || times[i] < before)
        return FALSE;
      before = times[i];
    }
  return before > 0.0;
}

/* Transfer full; also on error. */
static gboolean
read_overview (TideStore *store,
               gint64 id,
               TideQuantity channel,
               gsize *n_pairs,
               double **pairs,
               GError **error)
{
  TideSeries series = { .table = TIDE_SERIES_OVERVIEW, .run = id, .channel = channel };

  if (!tide_series_count (store, &series, &series.n, error))
    return FALSE;
  *n_pairs = series.n / 2;
  if (series.n == 0)
    tide_store_fail_run (store, id, _ ("its overview is missing"), error);
  else if (series.n % 2 != 0)
    tide_store_fail_run (store, id, _ ("its overview is no series"), error);
  else
    return tide_series_read (store, &series, NULL, pairs, error);
  return FALSE;
}

static gboolean
read_n_samples (TideStore *store, gint64 id, gsize *n, GError **error)
{
  g_autoptr (sqlite3_stmt) select =
      tide_store_prepare (store, "SELECT n_samples FROM run WHERE id = ?1 AND removed_us IS NULL",
                          error);
  gboolean has_row;

  if (select == NULL)
    return FALSE;
  sqlite3_bind_int64 (select, 1, id);
  if (!tide_store_step (store, select, &has_row, error))
    return FALSE;
  if (!has_row)
    {
      tide_store_fail_run (store, id, NULL, error);
      return FALSE;
    }
  *n = (gsize)CLAMP (sqlite3_column_int64 (select, 0), 0, G_MAXINT);
  return TRUE;
}

/* No pair is empty, none has more samples than are put into one. */
static gboolean
can_outline (gsize n_pairs, gsize n_samples)
{
  return n_pairs <= n_samples && n_samples <= n_pairs * TIDE_OUTLINE_STEP;
}

static GArray *
load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error)
{
  g_autofree double *times = NULL;
  g_autofree double *values = NULL;
  gsize n_samples, n_pairs, n_values;

  if (!read_n_samples (store, id, &n_samples, error)
      || !read_overview (store, id, TIDE_QUANTITY_TIME, &n_pairs, &times, error)
      || !read_overview (store, id, TIDE_QUANTITY_POWER, &n_values, &values, error))
    return NULL;
  if (n_pairs == n_values && can_outline (n_pairs, n_samples)
      && check_pairs (times, values, n_pairs))
    return spread_pairs (times, values, n_pairs, n_columns);
  tide_store_fail_run (store, id, _ ("its overview is no series"), error);
  return NULL;
}

GArray *
tide_store_load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error)
{
  GArray *sketch;

  g_return_val_if_fail (n_columns >= 1, NULL);

  store->outcome = _ ("the sketch was not read");
  if (!tide_store_begin_read (store, error))
    return NULL;
  sketch = load_sketch (store, id, n_columns, error);
  tide_store_roll_back (store);
  return sketch;
}
