/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The road into the library: twice the same file, dates, numbered names, giving up. */
#include "intake/intake.h"

#include "library/support.h"

/* 2024-05-01T13:45:30Z */
#define START_US (G_GINT64_CONSTANT (1714571130) * G_USEC_PER_SEC)

/* 10 W for ten seconds, from a file that tells when. */
static TideRecording *
make_recording (guint part)
{
  const double time_s[] = { 0, 5, 10 }, power_w[] = { 10, 10, 10 };
  const double *columns[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_TIME] = time_s, [TIDE_QUANTITY_POWER] = power_w
  };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  TideProvenance provenance = { "log.csv", "00ff", START_US, 0 };
  TideRecording *recording =
      tide_recording_restore (3, columns, TRUE, &provenance, part, complaints, &error);

  g_assert_no_error (error);
  return recording;
}

static gint64
take_in (TideStore *store,
         TideRecording *recording,
         guint n_parts,
         const TideConditions *stated,
         gboolean expected)
{
  g_autoptr (GError) error = NULL;
  gboolean already_there = !expected;
  gint64 id =
      tide_intake_recording (store, recording, n_parts, stated, &already_there, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpint (id, >, 0);
  g_assert_cmpint (already_there, ==, expected);
  return id;
}

static TideRunInfo *
get_info (TideStore *store, gint64 id)
{
  g_autoptr (GError) error = NULL;
  TideRunInfo *info = tide_store_get (store, id, &error);

  g_assert_no_error (error);
  return info;
}

static void
test_once (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_recording (1), second = make_recording (2);
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  gint64 id = take_in (store, recording, 1, stated, FALSE);
  g_autoptr (TideRunInfo) info = get_info (store, id);

  g_assert_cmpfloat_with_epsilon (info->energy_wh, 100 / 3600., 1e-15);
  g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==, "log");
  g_assert_cmpint (take_in (store, recording, 1, stated, TRUE), ==, id);
  /* another part of that file is another run */
  g_assert_cmpint (take_in (store, second, 2, stated, FALSE), !=, id);
}

static void
test_date (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) first = make_recording (1), second = make_recording (2);
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  g_autoptr (TideRunInfo) from_clock = get_info (store, take_in (store, first, 1, stated, FALSE));

  g_assert_cmpstr (tide_conditions_get (from_clock->conditions, TIDE_CONDITION_DATE), ==,
                   "2024-05-01 13:45");
  tide_conditions_set (stated, TIDE_CONDITION_DATE, "2024-04-30");
  g_autoptr (TideRunInfo) from_person = get_info (store, take_in (store, second, 1, stated, FALSE));
  g_assert_cmpstr (tide_conditions_get (from_person->conditions, TIDE_CONDITION_DATE), ==,
                   "2024-04-30");
  /* what was stated is left as it was */
  g_assert_cmpstr (tide_conditions_get (stated, TIDE_CONDITION_NAME), ==, "");
}

static void
test_names (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) first = make_recording (1), second = make_recording (2);
  g_autoptr (TideConditions) stated = tide_conditions_new ();

  tide_conditions_set (stated, TIDE_CONDITION_NAME, "Left port");
  g_autoptr (TideRunInfo) numbered = get_info (store, take_in (store, second, 2, stated, FALSE));
  g_autoptr (TideRunInfo) alone = get_info (store, take_in (store, first, 1, stated, FALSE));
  g_assert_cmpstr (tide_conditions_get (numbered->conditions, TIDE_CONDITION_NAME), ==,
                   "Left port (2)");
  g_assert_cmpstr (tide_conditions_get (alone->conditions, TIDE_CONDITION_NAME), ==, "Left port");
}

static void
test_given_up (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideRecording) recording = make_recording (1);
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;

  g_cancellable_cancel (cancellable);
  g_assert_cmpint (tide_intake_recording (store, recording, 1, stated, NULL, cancellable, &error),
                   ==, 0);
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  assert_whole (place->path, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/intake/once", Place, NULL, set_up_place, test_once, tear_down_place);
  g_test_add ("/intake/date", Place, NULL, set_up_place, test_date, tear_down_place);
  g_test_add ("/intake/names", Place, NULL, set_up_place, test_names, tear_down_place);
  g_test_add ("/intake/given-up", Place, NULL, set_up_place, test_given_up, tear_down_place);
  return g_test_run ();
}
