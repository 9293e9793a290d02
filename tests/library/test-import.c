/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs that are stored as they come: blocks, revisions at the end, several at a time, thousands in
 * one file, and nothing left of what was given up.
 */
#include <math.h>
#include <string.h>

#include "library/import-store-private.h"
#include "support.h"
#include "recording/overview.h"

#define BIT(name) (1u << TIDE_QUANTITY_##name)

/* ---- Helpers ---- */

static TideStoreImport *
begin_import (TideStore *store, const TideConditions *conditions, GCancellable *cancellable)
{
  g_autoptr (GError) error = NULL;
  TideStoreImport *import = tide_store_import_begin (store, conditions, cancellable, &error);

  g_assert_no_error (error);
  return import;
}

/* Sample i of a run: power is V·I, a temperature is missing now and then. */
static double
get_value (TideQuantity quantity, gsize i, gsize hole_step)
{
  double voltage = 5 + (double)(i % 100) / 100, current = (double)(i % 7) / 10 - 1;

  switch (quantity)
    {
    case TIDE_QUANTITY_TIME:
      return (double)i;
    case TIDE_QUANTITY_VOLTAGE:
      return voltage;
    case TIDE_QUANTITY_CURRENT:
      return current;
    case TIDE_QUANTITY_POWER:
      return voltage * current;
    case TIDE_QUANTITY_TEMPERATURE:
      return hole_step > 0 && i % hole_step == 0 ? NAN : 20 + (double)(i % 3);
    default:
      return (double)i / 1000;
    }
}

static gboolean
send_samples (TideSink *sink,
              guint part,
              guint columns,
              gsize first,
              gsize n,
              gsize hole_step,
              GError **error)
{
  g_auto (TideColumns) samples = { .n = n };

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (!(columns & (1u << q)))
        continue;
      samples.values[q] = g_new (double, n);
      for (gsize i = 0; i < n; i++)
        samples.values[q][i] = get_value (q, first + i, hole_step);
    }
  return sink->samples (sink, part, &samples, error);
}

static gboolean
begin_run (TideSink *sink, guint part, const char *label, guint columns, GError **error)
{
  TideRecordingHead head = {
    .part = part, .label = label, .start_us = 1000000, .columns = columns, .power_logged = TRUE
  };

  return sink->begin (sink, &head, error);
}

static gboolean
end_run (TideSink *sink, guint part, TideRevision revision, GError **error)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  TideRecordingTail tail = { .revision = revision, .skipped_rows = 2, .complaints = complaints };

  g_ptr_array_add (complaints, tide_complaint_new (part, NULL, "something"));
  return sink->end (sink, part, &tail, error);
}

static void
send_run (TideStoreImport *import,
          guint part,
          const char *label,
          guint columns,
          gsize n,
          gsize piece,
          gsize hole_step,
          TideRevision revision)
{
  TideSink *sink = tide_store_import_get_sink (import);
  g_autoptr (GError) error = NULL;

  g_assert_true (begin_run (sink, part, label, columns, &error));
  for (gsize first = 0; first < n; first += piece)
    g_assert_true (
        send_samples (sink, part, columns, first, MIN (piece, n - first), hole_step, &error));
  g_assert_true (end_run (sink, part, revision, &error));
  g_assert_no_error (error);
}

static GArray *
end_import (TideStoreImport *import, const char *sha256)
{
  g_autoptr (GError) error = NULL;
  GArray *stored = tide_store_import_end (import, "log.csv", sha256, FALSE, &error);

  g_assert_no_error (error);
  return stored;
}

static void
assert_column (TideRecording *recording, TideQuantity quantity, gsize hole_step, double sign)
{
  const double *values = tide_recording_get_column (recording, quantity);
  gsize n = tide_recording_get_n_samples (recording), from = 0;
  double shift = hole_step > 0 && quantity == TIDE_QUANTITY_TIME ? 1 : 0;

  g_assert_nonnull (values);
  for (gsize i = 0; i < n; i++, from++)
    {
      if (hole_step > 0 && from % hole_step == 0)
        from++;
      if (values[i] != sign * get_value (quantity, from, hole_step) - shift)
        g_error ("%s of sample %zu: %g", tide_quantity_get_id (quantity), i, values[i]);
    }
}

/* ---- Blocks ---- */

/* Pieces that fit blocks and that do not; what comes back is what was sent. */
static void
test_blocks (Place *place, gconstpointer unused)
{
  static const gsize sizes[] = { 2, 65535, 65536, 65537, 131072, 200001 };
  static const gsize pieces[] = { 1000, 65536, 300000 };
  const guint columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (POWER);
  g_autoptr (TideStore) store = open_store (place->path);

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    for (guint k = 0; k < G_N_ELEMENTS (pieces); k++)
      {
        TideStoreImport *import = begin_import (store, NULL, NULL);
        send_run (import, 1, NULL, columns, sizes[i], pieces[k], 0, (TideRevision){ 0 });
        g_autoptr (GArray) stored = end_import (import, NULL);
        gint64 id = g_array_index (stored, TideStored, 0).id;
        g_autoptr (TideRecording) recording = tide_store_load (store, id, NULL);
        g_autoptr (GArray) sketch = tide_store_load_sketch (store, id, 50, NULL);
        g_autoptr (TideRunInfo) info = tide_store_get (store, id, NULL);

        g_assert_cmpuint (tide_recording_get_n_samples (recording), ==, sizes[i]);
        g_assert_cmpuint (info->n_samples, ==, sizes[i]);
        g_assert_cmpfloat (info->duration_s, ==, (double)sizes[i] - 1);
        g_assert_true (isnan (info->energy_wh));
        for (guint q = 0; q <= TIDE_QUANTITY_POWER; q++)
          assert_column (recording, q, 0, 1);
        g_assert_nonnull (sketch);
        /* the lowest of each column of a long run: -1 A at just below 6 V */
        if (sizes[i] > 65536)
          g_assert_cmpfloat_with_epsilon (g_array_index (sketch, TideRange, 25).low, -5.99, 1e-12);
      }
}

/* ---- Revisions ---- */

typedef struct
{
  double sum;
  gsize n, n_begun;
} Watched;

static void
watch_cb (guint part, const TideColumns *samples, gboolean is_first, gpointer user_data)
{
  Watched *watched = user_data;

  if (is_first)
    *watched = (Watched){ .n_begun = watched->n_begun + 1 };
  for (gsize i = 0; i < samples->n; i++)
    watched->sum += samples->values[TIDE_QUANTITY_POWER][i];
  watched->n += samples->n;
}

/* Columns turn, one is left out, samples go, the first among them; who watches sees what is kept.
 */
static void
test_revision (Place *place, gconstpointer unused)
{
  const guint columns =
      BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (POWER) | BIT (ENERGY) | BIT (TEMPERATURE);
  const TideRevision revision = { BIT (CURRENT) | BIT (POWER), BIT (ENERGY), TRUE };
  static const gsize sizes[] = { 100, 65536, 65540, 300000 };
  g_autoptr (TideStore) store = open_store (place->path);

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    {
      TideStoreImport *import = begin_import (store, NULL, NULL);
      Watched watched = { 0 };

      tide_store_import_watch (import, watch_cb, &watched);
      send_run (import, 1, NULL, columns, sizes[i], 7777, 30, revision);
      g_autoptr (GArray) stored = end_import (import, NULL);
      gint64 id = g_array_index (stored, TideStored, 0).id;
      g_autoptr (TideRecording) recording = tide_store_load (store, id, NULL);
      g_autoptr (GArray) sketch = tide_store_load_sketch (store, id, 50, NULL);
      gsize n = sizes[i] - (sizes[i] + 29) / 30;
      double sum = 0;

      g_assert_cmpuint (tide_recording_get_n_samples (recording), ==, n);
      g_assert_null (tide_recording_get_column (recording, TIDE_QUANTITY_ENERGY));
      assert_column (recording, TIDE_QUANTITY_TIME, 30, 1);
      assert_column (recording, TIDE_QUANTITY_VOLTAGE, 30, 1);
      assert_column (recording, TIDE_QUANTITY_CURRENT, 30, -1);
      assert_column (recording, TIDE_QUANTITY_POWER, 30, -1);
      assert_column (recording, TIDE_QUANTITY_TEMPERATURE, 30, 1);
      g_assert_cmpint (tide_recording_get_start_us (recording), ==, 2000000);
      g_assert_cmpuint (tide_recording_get_skipped_rows (recording), ==, 2);
      g_assert_nonnull (sketch);
      for (gsize k = 0; k < n; k++)
        sum += tide_recording_get_column (recording, TIDE_QUANTITY_POWER)[k];
      g_assert_cmpuint (watched.n, ==, n);
      g_assert_cmpuint (watched.n_begun, ==, 2);
      g_assert_cmpfloat (watched.sum, ==, sum);
    }
  assert_whole (place->path, G_N_ELEMENTS (sizes));
}

/* ---- Many runs ---- */

/* Two that come side by side, and a name for each. */
static void
test_side_by_side (Place *place, gconstpointer unused)
{
  const guint columns = BIT (TIME) | BIT (POWER);
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoreImport *import = begin_import (store, NULL, NULL);
  TideSink *sink = tide_store_import_get_sink (import);

  g_assert_true (begin_run (sink, 1, "Port A", columns, NULL));
  g_assert_true (begin_run (sink, 2, "Port B", columns, NULL));
  for (gsize first = 0; first < 100000; first += 10000)
    {
      g_assert_true (send_samples (sink, 1, columns, first, 10000, 0, NULL));
      g_assert_true (send_samples (sink, 2, columns, first, 10000, 0, NULL));
    }
  g_assert_true (end_run (sink, 2, (TideRevision){ 0 }, NULL));
  g_assert_true (end_run (sink, 1, (TideRevision){ 0 }, NULL));
  tide_store_import_set_energy (import, 2, 12.5);
  g_autoptr (GArray) stored = end_import (import, "ab");
  g_autoptr (TideRunInfo) a =
      tide_store_get (store, g_array_index (stored, TideStored, 0).id, NULL);
  g_autoptr (TideRunInfo) b =
      tide_store_get (store, g_array_index (stored, TideStored, 1).id, NULL);
  g_assert_cmpstr (tide_conditions_get (a->conditions, TIDE_CONDITION_NAME), ==,
                   "log \342\200\223 Port A");
  g_assert_cmpstr (tide_conditions_get (b->conditions, TIDE_CONDITION_NAME), ==,
                   "log \342\200\223 Port B");
  g_assert_cmpfloat (b->energy_wh, ==, 12.5);
  g_assert_cmpuint (a->slot, !=, b->slot);
  g_assert_cmpuint (b->part, ==, 2);
}

/* A file of as many recordings as any may have; each has a name and a colour of its own. */
static void
test_thousands (Place *place, gconstpointer unused)
{
  const guint columns = BIT (TIME) | BIT (POWER), n = 10000;
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoreImport *import = begin_import (store, NULL, NULL);

  for (guint part = 1; part <= n; part++)
    send_run (import, part, NULL, columns, 5, 5, 0, (TideRevision){ 0 });
  g_autoptr (GArray) stored = end_import (import, "ab");
  g_autoptr (TideRunInfo) last =
      tide_store_get (store, g_array_index (stored, TideStored, n - 1).id, NULL);
  g_assert_cmpstr (tide_conditions_get (last->conditions, TIDE_CONDITION_NAME), ==, "log (10000)");
  g_assert_cmpuint (last->slot, ==, n - 1);

  /* the same file again: nothing is stored */
  import = begin_import (store, NULL, NULL);
  send_run (import, 1, NULL, columns, 5, 5, 0, (TideRevision){ 0 });
  g_autoptr (GArray) again = end_import (import, "ab");
  g_assert_true (g_array_index (again, TideStored, 0).already_there);
  g_assert_cmpint (g_array_index (again, TideStored, 0).id, ==,
                   g_array_index (stored, TideStored, 0).id);
  assert_whole (place->path, n);

  /* one part was removed: it alone is stored anew */
  g_assert_true (tide_store_remove (store, g_array_index (stored, TideStored, 1).id, NULL));
  import = begin_import (store, NULL, NULL);
  for (guint part = 1; part <= 3; part++)
    send_run (import, part, NULL, columns, 5, 5, 0, (TideRevision){ 0 });
  g_autoptr (GArray) mixed = end_import (import, "ab");
  for (guint i = 0; i < 3; i++)
    g_assert_cmpint (g_array_index (mixed, TideStored, i).already_there, ==, i != 1);
  g_autoptr (GPtrArray) list = tide_store_list (store, NULL);
  g_assert_cmpuint (list->len, ==, n);
}

/* ---- Giving up ---- */

static void
test_abort (Place *place, gconstpointer unused)
{
  const guint columns = BIT (TIME) | BIT (POWER);
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoreImport *import = begin_import (store, NULL, NULL);

  send_run (import, 1, NULL, columns, 200000, 65536, 0, (TideRevision){ 0 });
  g_assert_true (begin_run (tide_store_import_get_sink (import), 2, NULL, columns, NULL));
  tide_store_import_abort (import);
  assert_whole (place->path, 0);

  /* nothing was begun: others may write meanwhile */
  import = begin_import (store, NULL, NULL);
  g_autoptr (TideStore) other = open_store (place->path);
  add_log (other, "one", "", 1);
  tide_store_import_abort (import);
  assert_whole (place->path, 1);
}

static void
test_cancel (Place *place, gconstpointer unused)
{
  const guint columns = BIT (TIME) | BIT (POWER);
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  TideStoreImport *import = begin_import (store, NULL, cancellable);
  g_autoptr (GError) error = NULL;

  send_run (import, 1, NULL, columns, 1000, 1000, 0, (TideRevision){ 0 });
  g_cancellable_cancel (cancellable);
  g_assert_null (tide_store_import_end (import, "log.csv", "ab", FALSE, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  assert_whole (place->path, 0);
}

/* ---- Old libraries ---- */

static TideRange
find_range (GArray *sketch)
{
  TideRange range = g_array_index (sketch, TideRange, 0);

  for (guint i = 1; i < sketch->len; i++)
    {
      range.low = MIN (range.low, g_array_index (sketch, TideRange, i).low);
      range.high = MAX (range.high, g_array_index (sketch, TideRange, i).high);
    }
  return range;
}

/* An overview as earlier versions made it: a pair for every n / 256 samples, whatever that is. */
static void
test_old_overview (Place *place, gconstpointer unused)
{
  const guint columns = BIT (TIME) | BIT (POWER);
  const gsize n = 1000, step = n / 256, n_pairs = (n + step - 1) / step;
  static const TideQuantity channels[] = { TIDE_QUANTITY_TIME, TIDE_QUANTITY_POWER };
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoreImport *import = begin_import (store, NULL, NULL);

  send_run (import, 1, NULL, columns, n, n, 0, (TideRevision){ 0 });
  g_autoptr (GArray) stored = end_import (import, NULL);
  gint64 id = g_array_index (stored, TideStored, 0).id;
  g_autoptr (GArray) sketch = tide_store_load_sketch (store, id, 20, NULL);

  g_assert_true (tide_store_run_sql (store, "DELETE FROM overview", NULL));
  g_autoptr (sqlite3_stmt) put = tide_series_prepare_put (store, TIDE_SERIES_OVERVIEW, NULL);
  for (guint c = 0; c < G_N_ELEMENTS (channels); c++)
    {
      g_autofree double *pairs = g_new (double, 2 * n_pairs);
      TideSeries series = { TIDE_SERIES_OVERVIEW, id, channels[c] };

      for (gsize i = 0; i < n; i++)
        {
          double value = get_value (channels[c], i, 0), *pair = pairs + 2 * (i / step);

          pair[0] = i % step == 0 ? value : MIN (pair[0], value);
          pair[1] = i % step == 0 ? value : MAX (pair[1], value);
        }
      g_assert_true (
          tide_series_put_block (store, put, &series, 0, pairs, NULL, 2 * n_pairs, NULL));
    }
  g_autoptr (GArray) old = tide_store_load_sketch (store, id, 20, NULL);
  g_assert_nonnull (old);
  /* other pairs reach over the borders of columns elsewhere, but every one is in some column */
  TideRange before = find_range (sketch), now = find_range (old);
  g_assert_cmpfloat (now.low, ==, before.low);
  g_assert_cmpfloat (now.high, ==, before.high);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(path, function)                                                                        \
  g_test_add ("/library/import/" path, Place, NULL, set_up_place, function, tear_down_place)
  ADD ("blocks", test_blocks);
  ADD ("revision", test_revision);
  ADD ("side-by-side", test_side_by_side);
  ADD ("thousands", test_thousands);
  ADD ("abort", test_abort);
  ADD ("cancel", test_cancel);
  ADD ("old-overview", test_old_overview);
  return g_test_run ();
}
