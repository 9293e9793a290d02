/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How large a library is. Sizes are the same on every machine, so they are checked here and not
 * left to a benchmark.
 */
#include "support.h"

#include <glib/gstdio.h>

#define N_SAMPLES 300000

/* The house's goals are 0.16 at most and 0.10 to be proud of (performance notes, goal 7, lossless
 * and with the overviews); gzip -9 makes about 0.25 of such an export. */
#define MOST_OF_CSV 0.12

/* What the run takes as text, as a meter's own program would write it. */
static gsize
measure_csv (TideRecording *recording)
{
  gsize n = tide_recording_get_n_samples (recording), size = 0;
  char text[64];

  for (int q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    {
      const double *values = tide_recording_get_column (recording, (TideQuantity)q);

      for (gsize i = 0; i < n; i++)
        size += (gsize)g_snprintf (text, sizeof text, "%.4f,", values[i]);
    }
  return size;
}

static gsize
measure_file (const char *path)
{
  GStatBuf about;

  g_assert_cmpint (g_stat (path, &about), ==, 0);
  return (gsize)about.st_size;
}

static void
test_against_csv (Place *place, gconstpointer unused)
{
  g_autoptr (TideRecording) recording = make_log (N_SAMPLES, 1);
  g_autoptr (TideConditions) conditions = make_conditions ("Run", "Tablet");
  g_autoptr (GError) error = NULL;
  TideStore *store = open_store (place->path);

  tide_store_add (store, recording, conditions, 1, NULL, &error);
  g_assert_no_error (error);
  tide_store_free (store);
  g_test_message ("%" G_GSIZE_FORMAT " of %" G_GSIZE_FORMAT " bytes", measure_file (place->path),
                  measure_csv (recording));
  g_assert_cmpfloat ((double)measure_file (place->path), <,
                     MOST_OF_CSV * (double)measure_csv (recording));
}

/* A run that is deleted for good leaves its room to the disk, not to a file that only grows. */
static void
test_gives_back (Place *place, gconstpointer unused)
{
  g_autoptr (TideRecording) recording = make_log (N_SAMPLES, 1);
  g_autoptr (TideConditions) conditions = make_conditions ("Run", "Tablet");
  g_autoptr (GError) error = NULL;
  TideStore *store = open_store (place->path);
  gsize empty;
  gint64 id;

  tide_store_free (store);
  empty = measure_file (place->path);
  store = open_store (place->path);
  id = tide_store_add (store, recording, conditions, 1, NULL, &error);
  g_assert_no_error (error);
  tide_store_remove (store, id, &error);
  g_assert_no_error (error);
  tide_store_purge (store, 0, &error);
  g_assert_no_error (error);
  tide_store_free (store);
  g_assert_cmpuint (measure_file (place->path), <=, 2 * empty);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/library/size/against-csv", Place, NULL, set_up_place, test_against_csv,
              tear_down_place);
  g_test_add ("/library/size/gives-back", Place, NULL, set_up_place, test_gives_back,
              tear_down_place);
  return g_test_run ();
}
