/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up recordings and places for the library's tests. */
#include "support.h"

#include <gio/gio.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "library/store-private.h"

/* As a meter would print it: a decimal, read back. */
static double
round_decimals (double value, double scale)
{
  return rint (value * scale) / scale;
}

/* A sum of uniform noises: near enough to the normal one, deviation 1. */
static double
draw_noise (GRand *random)
{
  double sum = 0;

  for (int i = 0; i < 12; i++)
    sum += g_rand_double (random);
  return sum - 6;
}

/* A charge from 9 V in three steps of current, then a taper; noise 1.8 mV, 4 mA and 6 mA ripple. */
static void
fill_columns (double **columns, gsize n, guint32 seed)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (seed);

  for (gsize i = 0; i < n; i++)
    {
      double share = (double)i / (double)n;
      double level = share < 0.1 ? 1.5 : share < 0.6 ? 2.2 : 2.2 * exp (-(share - 0.6) * 8);
      double current = level + 0.006 * sin ((double)i * 0.7) + 0.004 * draw_noise (random);
      double voltage = 9.05 - 0.05 * current + 0.0018 * draw_noise (random);

      columns[TIDE_QUANTITY_TIME][i] = round_decimals ((double)i * 0.01, 1e4);
      columns[TIDE_QUANTITY_VOLTAGE][i] = round_decimals (voltage, 1e4);
      columns[TIDE_QUANTITY_CURRENT][i] = round_decimals (current, 1e4);
      columns[TIDE_QUANTITY_POWER][i] =
          round_decimals (voltage * current + 0.0002 * draw_noise (random), 1e4);
    }
}

TideRecording *
make_log (gsize n, guint32 seed)
{
  double *columns[TIDE_N_QUANTITIES] = { NULL };
  g_autofree char *file = g_strdup_printf ("log %u.csv", seed);
  g_autofree char *sha256 = g_strdup_printf ("%064x", seed);
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  TideProvenance provenance = { file, sha256, 1700000000000000 + seed, 3 };
  TideRecording *recording;

  for (int q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    columns[q] = g_new (double, n);
  fill_columns (columns, n, seed);
  g_ptr_array_add (complaints, tide_complaint_new (12, "Voltage(V)", "not a number: abc"));
  g_ptr_array_add (complaints, tide_complaint_new (0, NULL, "the sign was turned"));
  recording = tide_recording_restore (n, (const double *const *)columns, TRUE, &provenance, 2,
                                      complaints, &error);
  g_assert_no_error (error);
  for (int q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_POWER; q++)
    g_free (columns[q]);
  return recording;
}

TideConditions *
make_conditions (const char *name, const char *device)
{
  TideConditions *conditions = tide_conditions_new ();

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, name);
  tide_conditions_set (conditions, TIDE_CONDITION_DEVICE, device);
  return conditions;
}

gint64
add_log (TideStore *store, const char *name, const char *device, guint32 seed)
{
  g_autoptr (TideRecording) recording = make_log (300, seed);
  g_autoptr (TideConditions) conditions = make_conditions (name, device);
  g_autoptr (GError) error = NULL;
  gint64 id = tide_store_add (store, recording, conditions, 1.5, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpint (id, >, 0);
  return id;
}

static void
assert_same_columns (TideRecording *a, TideRecording *b)
{
  gsize n = tide_recording_get_n_samples (a);

  g_assert_cmpuint (n, ==, tide_recording_get_n_samples (b));
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      const double *values = tide_recording_get_column (a, (TideQuantity)q);
      const double *others = tide_recording_get_column (b, (TideQuantity)q);

      g_assert_true ((values == NULL) == (others == NULL));
      if (values != NULL)
        g_assert_cmpmem (values, n * sizeof *values, others, n * sizeof *others);
    }
}

static void
assert_same_complaints (GPtrArray *a, GPtrArray *b)
{
  g_assert_cmpuint (a->len, ==, b->len);
  for (guint i = 0; i < a->len; i++)
    {
      const TideComplaint *one = g_ptr_array_index (a, i);
      const TideComplaint *other = g_ptr_array_index (b, i);

      g_assert_cmpuint (one->row, ==, other->row);
      g_assert_cmpstr (one->column, ==, other->column);
      g_assert_cmpstr (one->text, ==, other->text);
    }
}

void
assert_same_recording (TideRecording *a, TideRecording *b)
{
  assert_same_columns (a, b);
  assert_same_complaints (tide_recording_get_complaints (a), tide_recording_get_complaints (b));
  g_assert_cmpstr (tide_recording_get_file (a), ==, tide_recording_get_file (b));
  g_assert_cmpstr (tide_recording_get_sha256 (a), ==, tide_recording_get_sha256 (b));
  g_assert_cmpuint (tide_recording_get_part (a), ==, tide_recording_get_part (b));
  g_assert_cmpint (tide_recording_get_start_us (a), ==, tide_recording_get_start_us (b));
  g_assert_cmpuint (tide_recording_get_skipped_rows (a), ==, tide_recording_get_skipped_rows (b));
  g_assert_cmpint (tide_recording_is_power_logged (a), ==, tide_recording_is_power_logged (b));
}

void
set_up_place (Place *place, gconstpointer unused)
{
  g_autoptr (GError) error = NULL;

  place->folder = g_dir_make_tmp ("tide-library-XXXXXX", &error);
  g_assert_no_error (error);
  place->path = g_build_filename (place->folder, "library.db", NULL);
}

static void
delete_folder (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  g_assert_nonnull (dir);
  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        delete_folder (path);
      else
        g_assert_cmpint (g_remove (path), ==, 0);
    }
  g_assert_cmpint (g_rmdir (folder), ==, 0);
}

void
tear_down_place (Place *place, gconstpointer unused)
{
  delete_folder (place->folder);
  g_free (place->folder);
  g_free (place->path);
}

TideStore *
open_store (const char *path)
{
  g_autoptr (GError) error = NULL;
  TideStore *store = tide_store_open (path, &error);

  g_assert_no_error (error);
  return store;
}

void
assert_trouble (const GError *error, TideStoreError code, const char *path, const char *outcome)
{
  g_assert_error (error, TIDE_STORE_ERROR, (int)code);
  g_assert_nonnull (strstr (error->message, path));
  g_assert_nonnull (strstr (error->message, outcome));
  g_assert_null (strchr (error->message, '\n'));
}

gint64
try_add (TideStore *store, gsize n, GCancellable *cancellable, GError **error)
{
  g_autoptr (TideRecording) recording = make_log (n, 42);
  g_autoptr (TideConditions) conditions = make_conditions ("big", "Survey tablet");

  return tide_store_add (store, recording, conditions, 1.0, cancellable, error);
}

void
assert_whole (const char *path, guint n)
{
  g_autoptr (TideStore) store = open_store (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) list = tide_store_list (store, &error);
  gint64 n_others = -1, n_faults = -1;

  g_assert_no_error (error);
  g_assert_cmpuint (list->len, ==, n);
  for (guint i = 0; i < n; i++)
    {
      const TideRunInfo *info = g_ptr_array_index (list, i);
      g_autoptr (TideRecording) recording = tide_store_load (store, info->id, &error);

      g_assert_no_error (error);
      g_assert_cmpint (info->id, ==, i + 1);
    }
  tide_store_get_int (store,
                      "SELECT (SELECT count(*) FROM chunk WHERE run NOT IN (SELECT id FROM run))"
                      " + (SELECT count(*) FROM overview WHERE run NOT IN (SELECT id FROM run))"
                      " + (SELECT count(*) FROM complaint WHERE run NOT IN (SELECT id FROM run))",
                      &n_others, &error);
  g_assert_cmpint (n_others, ==, 0);
  tide_store_get_int (store,
                      "SELECT count(*) FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
                      &n_faults, &error);
  g_assert_cmpint (n_faults, ==, 0);
  g_assert_no_error (error);
}
