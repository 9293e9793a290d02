/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A charge that is measured while its log is written: what is told of it, and in which words; and
 * the pulse it is looked at with. The marks and energies are those of the same log once it is
 * finished.
 */
#include "intake/live.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "intake/pulse.h"
#include "library/store.h"
#include "reading/understanding.h"

/* ---- A log ---- */

typedef struct
{
  char *folder, *path, *library;
  GFile *file;
} Place;

static void
clear_place (Place *place)
{
  g_autoptr (GDir) dir = g_dir_open (place->folder, 0, NULL);

  for (const char *name; (name = g_dir_read_name (dir)) != NULL;)
    {
      g_autofree char *path = g_build_filename (place->folder, name, NULL);
      g_unlink (path);
    }
  g_rmdir (place->folder);
  g_free (place->folder);
  g_free (place->path);
  g_free (place->library);
  g_object_unref (place->file);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Place, clear_place)

static Place
make_place (void)
{
  g_autoptr (GError) error = NULL;
  Place place = { .folder = g_dir_make_tmp ("tide-live-XXXXXX", &error) };

  g_assert_no_error (error);
  place.path = g_build_filename (place.folder, "log.csv", NULL);
  place.library = g_build_filename (place.folder, "library.db", NULL);
  place.file = g_file_new_for_path (place.path);
  return place;
}

static void
append (const Place *place, const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GFileOutputStream) stream =
      g_file_append_to (place->file, G_FILE_CREATE_NONE, NULL, &error);

  g_assert_no_error (error);
  g_output_stream_write_all (G_OUTPUT_STREAM (stream), text, strlen (text), NULL, NULL, &error);
  g_assert_no_error (error);
}

/* A minute of nothing, half an hour at 20 W, a decay, and from 4500 s on 0.5 W. */
static double
get_power_w (guint t)
{
  if (t < 60)
    return 0.02;
  if (t < 1860)
    return 20;
  return t < 4500 ? 0.5 + 19.5 * exp (-(t - 1860.0) / 800) : 0.5;
}

static void
write_rows (const Place *place, guint from, guint to)
{
  g_autoptr (GString) text = g_string_new (from == 0 ? "time_s,power_W\n" : "");

  for (guint t = from; t < to; t++)
    g_string_append_printf (text, "%u,%.4f\n", t, get_power_w (t));
  append (place, text->str);
}

/* ---- What is told ---- */

static TideFollowEvent
poll_once (TideLive *live)
{
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  tide_live_poll (live, &event, NULL, &error);
  g_assert_no_error (error);
  tide_live_catch_up (live, &error);
  g_assert_no_error (error);
  return event;
}

static void
assert_words (TideLive *live, const char *words)
{
  TideLiveState state = tide_live_get_state (live);
  g_autofree char *text = tide_live_state_to_text (&state);

  if (strstr (text, words) == NULL)
    g_error ("\"%s\" has no \"%s\"", text, words);
  g_assert_null (strchr (text, '\n'));
}

static void
assert_state (TideLive *live, guint n_samples, TideChargeState wanted)
{
  TideLiveState state = tide_live_get_state (live);

  g_assert_cmpstr (state.reason, ==, NULL);
  g_assert_nonnull (state.recording);
  g_assert_cmpuint (tide_recording_get_n_samples (state.recording), ==, n_samples);
  g_assert_cmpint (state.expectation.state, ==, wanted);
  g_assert_cmpuint (state.n_parts, ==, 1);
}

static void
test_course (void)
{
  g_auto (Place) place = make_place ();
  append (&place, "");
  g_autoptr (TideLive) live = tide_live_new (place.file, NULL, 0, NULL);

  g_assert_cmpstr (tide_live_get_name (live), ==, "log.csv");
  poll_once (live);
  assert_words (live, "empty");
  TideLiveState state = tide_live_get_state (live);
  g_assert_null (state.recording);
  g_assert_true (isnan (state.power_w) && isnan (state.energy_wh) && isnan (state.settles_in_s));
  g_assert_null (tide_live_steal_measurement (live));

  write_rows (&place, 0, 50);
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_GREW);
  assert_state (live, 50, TIDE_CHARGE_WAITING);
  assert_words (live, "waiting for the draw");
  write_rows (&place, 50, 1200);
  poll_once (live);
  assert_state (live, 1200, TIDE_CHARGE_STEADY);
  assert_words (live, "charging steadily");
  state = tide_live_get_state (live);
  g_assert_cmpfloat (state.power_w, ==, 20);
  g_assert_cmpfloat (fabs (state.energy_wh - 20 * 1139.5 / 3600), <, 0.01);
  g_assert_cmpfloat (state.draw_begins_s, ==, 60);

  write_rows (&place, 1200, 2200);
  poll_once (live);
  assert_words (live, "no end can be told");
  write_rows (&place, 2200, 3800);
  poll_once (live);
  assert_state (live, 3800, TIDE_CHARGE_TAPERING);
  assert_words (live, "tapering, settles in about ");
  state = tide_live_get_state (live);
  g_assert_cmpfloat (state.sooner_s, <=, state.settles_in_s);
  g_assert_cmpfloat (state.later_s, >=, state.settles_in_s);
  g_assert_cmpfloat (state.expectation.settles_s, ==, state.settles_in_s + 3799);
  write_rows (&place, 3800, 5600);
  poll_once (live);
  assert_state (live, 5600, TIDE_CHARGE_SETTLED);
  assert_words (live, "settled; the charge took ");
  g_autoptr (TideMeasurement) m = tide_live_steal_measurement (live);
  g_assert_nonnull (m);
  g_assert_null (tide_live_steal_measurement (live));
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_SAME);
  g_assert_null (tide_live_steal_measurement (live));
}

static void
test_rest (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (GString) text = g_string_new ("time_s,power_W\n");

  for (guint t = 0; t < 4000; t++)
    g_string_append_printf (text, "%u,%.4f\n", t,
                            t < 1800   ? 20
                            : t < 3800 ? 1 + 19 * exp (-(t - 1800.0) / 1000)
                                       : 1);
  append (&place, text->str);
  g_autoptr (TideLive) live = tide_live_new (place.file, NULL, 0, NULL);
  poll_once (live);
  assert_state (live, 4000, TIDE_CHARGE_RESTING);
  assert_words (live, "settled in 2 min if it stays so");
}

/* Rows are measured at most once a second, and not lost by it. */
static void
test_pace (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideLive) live = tide_live_new (place.file, NULL, 0, NULL);
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  write_rows (&place, 0, 100);
  poll_once (live);
  write_rows (&place, 100, 200);
  g_assert_true (tide_live_poll (live, &event, NULL, &error));
  assert_state (live, 100, TIDE_CHARGE_STEADY);
  g_usleep (1100000);
  g_assert_true (tide_live_poll (live, &event, NULL, &error));
  g_assert_cmpint (event, ==, TIDE_FOLLOW_SAME);
  assert_state (live, 200, TIDE_CHARGE_STEADY);
  TideLiveState state = tide_live_get_state (live);
  g_assert_cmpfloat (state.still_s, >=, 1);
  g_assert_cmpfloat (state.still_s, <, 60);
}

static void
test_other_files (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideLive) live = tide_live_new (place.file, NULL, 0, NULL);
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  g_assert_false (tide_live_poll (live, &event, NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  write_rows (&place, 0, 100);
  poll_once (live);
  g_unlink (place.path);
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_REMOVED);
  assert_state (live, 100, TIDE_CHARGE_ENDED);
  assert_words (live, "log ended");
  append (&place, "time_s,power_W\n0,5\n1,5\n2,6\n");
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_REPLACED);
  g_assert_null (tide_live_get_state (live).recording);
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_GREW);
  assert_state (live, 3, TIDE_CHARGE_WAITING);
}

/* Of several recordings the newest; of rows most of which are broken none, until good ones come. */
static void
test_newest_and_broken (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideLive) live = tide_live_new (place.file, NULL, 0, NULL);

  write_rows (&place, 0, 100);
  append (&place, "0,7\n1,7\n2,7\n3,7\n4,7\n");
  poll_once (live);
  TideLiveState state = tide_live_get_state (live);
  g_assert_cmpuint (state.n_parts, ==, 2);
  g_assert_cmpuint (tide_recording_get_n_samples (state.recording), ==, 5);
  g_assert_cmpfloat (state.power_w, ==, 7);

  g_unlink (place.path);
  write_rows (&place, 0, 30);
  for (guint i = 0; i < 10; i++)
    append (&place, "30,nothing\n");
  g_assert_cmpint (poll_once (live), ==, TIDE_FOLLOW_REPLACED);
  poll_once (live);
  state = tide_live_get_state (live);
  g_assert_null (state.recording);
  assert_words (live, "10 of 40 rows are broken");
  write_rows (&place, 30, 100);
  poll_once (live);
  assert_state (live, 100, TIDE_CHARGE_STEADY);
}

/* ---- A rule that the library remembers ---- */

static const char dates_head[] = "time,power_W\n";

static void
write_dates (const Place *place, guint n)
{
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *row = g_strdup_printf ("03/04/2026 10:00:%02u,10\n", i);

      append (place, row);
    }
}

/* By the header of a file like it. */
static void
remember_rule (const Place *place)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideReadOptions options = { .rule = rule };
  g_autofree char *example =
      g_strconcat (dates_head, "03/04/2026 10:00:00,1\n03/04/2026 10:00:01,1\n", NULL);
  g_autoptr (GBytes) bytes = g_bytes_new (example, strlen (example));

  g_assert_true (tide_reading_rule_set (rule, "time", "%d/%m/%Y %H:%M:%S", &error));
  g_autoptr (GPtrArray) tables =
      tide_understand_bytes (bytes, "example.csv", &options, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (TideStore) store = tide_store_open (place->library, &error);
  g_assert_no_error (error);
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_assert_cmpint (tide_store_save_rule (store, "days first",
                                         tide_understanding_get_signature (tables->pdata[0]), text,
                                         &error),
                   >, 0);
  g_assert_no_error (error);
}

static void
test_rule (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  append (&place, dates_head);
  write_dates (&place, 40);
  g_autoptr (TideLive) without = tide_live_new (place.file, NULL, 0, place.library);
  g_assert_false (tide_live_poll (without, &event, NULL, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS);
  g_assert_false (g_file_test (place.library, G_FILE_TEST_EXISTS));

  remember_rule (&place);
  g_autoptr (TideLive) with = tide_live_new (place.file, NULL, 0, place.library);
  poll_once (with);
  assert_state (with, 40, TIDE_CHARGE_STEADY);
}

/* ---- The pulse ---- */

typedef struct
{
  guint n, wanted;
  GMainLoop *loop;
} Count;

static void
count_cb (gpointer user_data)
{
  Count *count = user_data;

  if (++count->n == count->wanted)
    g_main_loop_quit (count->loop);
}

static void
test_pulse (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (GMainLoop) loop = g_main_loop_new (NULL, FALSE);
  Count count = { 0, 1, loop };
  gint64 begin_us = g_get_monotonic_time ();
  TidePulse *pulse = tide_pulse_new (place.file, count_cb, &count);

  g_assert_cmpuint (count.n, ==, 0);
  g_main_loop_run (loop);
  g_assert_cmpint (g_get_monotonic_time () - begin_us, <, 900000);
  /* once a second without anything that is seen */
  count.wanted = 3;
  g_main_loop_run (loop);
  g_assert_cmpint (g_get_monotonic_time () - begin_us, >, 1500000);
  tide_pulse_free (pulse);
  guint n = count.n;
  g_usleep (1200000);
  while (g_main_context_iteration (NULL, FALSE))
    ;
  g_assert_cmpuint (count.n, ==, n);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/intake/live/course", test_course);
  g_test_add_func ("/intake/live/rest", test_rest);
  g_test_add_func ("/intake/live/pace", test_pace);
  g_test_add_func ("/intake/live/other-files", test_other_files);
  g_test_add_func ("/intake/live/newest-and-broken", test_newest_and_broken);
  g_test_add_func ("/intake/live/rule", test_rule);
  g_test_add_func ("/intake/pulse", test_pulse);
  return g_test_run ();
}
