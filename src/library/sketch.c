/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overview of a run, and the sketch made of it.
 *
 * The overview holds, of time and of power, the smallest and the largest value of every so many
 * samples (at most OVERVIEW_STEP), as a series of alternating values. It is a hundredth of the
 * samples' size, and all that a sketch reads.
 */
#include "library/series-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "recording/overview.h"

#define OVERVIEW_STEP 256
/* Short runs get finer pairs: at least so many where they have the samples. */
#define OVERVIEW_PAIRS 256

static gsize
get_overview_step (gsize n)
{
  return CLAMP (n / OVERVIEW_PAIRS, 1, OVERVIEW_STEP);
}

static gsize
count_pairs (gsize n)
{
  gsize step = get_overview_step (n);

  return n / step + (n % step != 0);
}

static TideSeries
describe_overview (gint64 id, TideQuantity channel, gsize n_pairs)
{
  return (
      TideSeries){ .table = TIDE_SERIES_OVERVIEW, .run = id, .channel = channel, .n = 2 * n_pairs };
}

/* --- Writing --- */

static gboolean
write_overview (TideStore *store,
                gint64 id,
                TideQuantity channel,
                const double *values,
                gsize n,
                GCancellable *cancellable,
                GError **error)
{
  gsize step = get_overview_step (n);
  TideSeries series = describe_overview (id, channel, count_pairs (n));
  g_autofree double *pairs = g_new (double, series.n);

  for (gsize i = 0; i < n; i++)
    {
      double *pair = pairs + 2 * (i / step);

      pair[0] = i % step == 0 ? values[i] : MIN (pair[0], values[i]);
      pair[1] = i % step == 0 ? values[i] : MAX (pair[1], values[i]);
    }
  return tide_series_write (store, &series, pairs, cancellable, error);
}

gboolean
tide_store_add_overview (TideStore *store,
                         gint64 id,
                         TideRecording *recording,
                         GCancellable *cancellable,
                         GError **error)
{
  const TideQuantity channels[] = { TIDE_QUANTITY_TIME, TIDE_QUANTITY_POWER };

  for (guint i = 0; i < G_N_ELEMENTS (channels); i++)
    if (!write_overview (store, id, channels[i], tide_recording_get_column (recording, channels[i]),
                         tide_recording_get_n_samples (recording), cancellable, error))
      return FALSE;
  return TRUE;
}

/* --- Reading --- */

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
               gsize n_pairs,
               double **pairs,
               GError **error)
{
  TideSeries series = describe_overview (id, channel, n_pairs);

  if (!tide_series_read (store, &series, NULL, pairs, error))
    return FALSE;
  if (*pairs != NULL)
    return TRUE;
  tide_store_fail_run (store, id, _ ("its overview is missing"), error);
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
  *n = (gsize)MAX (sqlite3_column_int64 (select, 0), 0);
  return TRUE;
}

static GArray *
load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error)
{
  g_autofree double *times = NULL;
  g_autofree double *values = NULL;
  gsize n, n_pairs;

  if (!read_n_samples (store, id, &n, error))
    return NULL;
  n_pairs = count_pairs (n);
  if (!read_overview (store, id, TIDE_QUANTITY_TIME, n_pairs, &times, error)
      || !read_overview (store, id, TIDE_QUANTITY_POWER, n_pairs, &values, error))
    return NULL;
  if (check_pairs (times, values, n_pairs))
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
