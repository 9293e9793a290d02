/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Real logs of others, read and measured: energies and charges of their phases against what SciPy
 * computed of the same rows (reference.json beside each log, step_phases) and the logs' own
 * counters. The logs are not part of the project; without TIDEMARK_DATASETS these tests skip.
 */
#include "analysis/measure.h"

#include <json-glib/json-glib.h>

#include "analysis/support.h"
#include "reading/reading.h"

/* A hundredth of a percent: the goal for energies of real logs. */
#define CLOSE 1e-4

static char *
find_dataset (const char *folder, const char *file)
{
  const char *root = g_getenv ("TIDEMARK_DATASETS");
  g_autofree char *path =
      root != NULL ? g_build_filename (root, folder, file, NULL) : g_strdup ("");

  if (g_file_test (path, G_FILE_TEST_EXISTS))
    return g_steal_pointer (&path);
  g_test_skip ("the real logs are not here: set TIDEMARK_DATASETS");
  return NULL;
}

/* The file's only recording. */
static TideRecording *
read_dataset (const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = tide_read_file (file, NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (recordings->len, ==, 1);
  return tide_recording_ref (g_ptr_array_index (recordings, 0));
}

static TideMeasurement *
measure (TideRecording *recording, double from_s, double to_s)
{
  g_autoptr (GError) error = NULL;
  TideMeasurement *m = tide_measure (recording, (TideStretch){ from_s, to_s }, &error);

  g_assert_no_error (error);
  return m;
}

static void
check_phase (TideRecording *recording, JsonObject *phase)
{
  double start_s = json_object_get_double_member (phase, "t_start_s");
  double end_s = start_s + json_object_get_double_member (phase, "duration_s");
  double energy_wh = fabs (json_object_get_double_member (phase, "energy_Wh"));
  double charge_ah = fabs (json_object_get_double_member (phase, "charge_Ah"));
  g_autoptr (TideMeasurement) m = measure (recording, start_s, end_s);

  g_test_message ("%s %g s to %g s: %g Wh, off by %g; counter off by %g %%",
                  json_object_get_string_member (phase, "kind"), start_s, end_s, energy_wh,
                  m->energy_wh.value / energy_wh - 1, m->counter.energy_difference_percent);
  support_assert_near (m->energy_wh.value / energy_wh, 1, CLOSE);
  support_assert_near (m->charge_ah.value / charge_ah, 1, CLOSE);

  /* The log's own counter restarts at each step, within one time stamp; the references give by how
   * much it really differs from the integral: at most 0.05 % in these phases. */
  g_assert_true (m->has_counter);
  support_assert_near (m->counter.energy_difference_percent,
                       100 * json_object_get_double_member (phase, "rel_diff_Wh"), 0.005);
}

/* Phases of at least a minute and ten rows; returns how many there were. */
static guint
check_phases (TideRecording *recording, const char *folder, const char *kind)
{
  g_autofree char *path = find_dataset (folder, "reference.json");
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  guint n = 0;

  json_parser_load_from_file (parser, path, &error);
  g_assert_no_error (error);
  JsonObject *root = json_node_get_object (json_parser_get_root (parser));
  JsonArray *phases = json_object_get_array_member (root, "step_phases");
  for (guint i = 0; i < json_array_get_length (phases); i++)
    {
      JsonObject *phase = json_array_get_object_element (phases, i);

      if (g_strcmp0 (json_object_get_string_member (phase, "kind"), kind) != 0
          || json_object_get_double_member (phase, "duration_s") < 60
          || json_object_get_int_member (phase, "rows") < 10)
        continue;
      check_phase (recording, phase);
      n++;
    }
  return n;
}

static void
test_five_rates (void)
{
  g_autofree char *path = find_dataset ("pouch-five-rates", "run.csv");
  if (path == NULL)
    return;

  g_autoptr (TideRecording) recording = read_dataset (path);
  g_assert_cmpuint (check_phases (recording, "pouch-five-rates", "charge"), >=, 5);
}

static void
test_many_cycles (void)
{
  g_autofree char *path = find_dataset ("cccv-many-cycles", "run.tsv");
  if (path == NULL)
    return;

  g_autoptr (TideRecording) recording = read_dataset (path);
  g_assert_cmpuint (check_phases (recording, "cccv-many-cycles", "charge"), >=, 5);
}

/* One run in two forms of file must give the same numbers to the last bit. */
static void
test_two_dialects (void)
{
  g_autofree char *ms = find_dataset ("pouch-same-run-two-dialects", "run-milliseconds.csv");
  if (ms == NULL)
    return;

  g_autofree char *s = find_dataset ("pouch-same-run-two-dialects", "run-seconds-tab.txt");
  g_autoptr (TideRecording) first = read_dataset (ms);
  g_autoptr (TideRecording) second = read_dataset (s);
  static const double starts_s[] = { 7200, NAN }, ends_s[] = { 14402.56, NAN };
  for (guint k = 0; k < 2; k++)
    {
      g_autoptr (TideMeasurement) a = measure (first, starts_s[k], ends_s[k]);
      g_autoptr (TideMeasurement) b = measure (second, starts_s[k], ends_s[k]);

      g_assert_cmpuint (a->n_samples, ==, b->n_samples);
      support_assert_near (a->energy_wh.value, b->energy_wh.value, 1e-12);
      support_assert_near (a->charge_ah.value, b->charge_ah.value, 1e-12);
      support_assert_near (a->plateau.level_w.value, b->plateau.level_w.value, 1e-9);
      support_assert_near (a->plateau.start_s, b->plateau.start_s, 1e-6);
      support_assert_near (a->plateau.end_s, b->plateau.end_s, 1e-6);
      support_assert_near (a->draw_begins_s, b->draw_begins_s, 1e-6);
    }
  /* The first charge: 17.3939392 Wh. */
  g_autoptr (TideMeasurement) charge = measure (first, 7200, 14402.56);
  support_assert_near (charge->energy_wh.value / 17.3939392, 1, CLOSE);
}

/* Stages of 190 s and 831 s (reference.json): 23.38 W, the voltage rising by 9 %, then 3.73 W. Each
 * is measured as a stretch: as a whole the log settles on the second, which is less than half the
 * first. */
static void
test_two_plateaus (void)
{
  static const struct
  {
    double from_s, to_s, level_w;
  } stages[] = { { 0, 190.1683, 23.3766626 }, { 191.8657, 1022.8913, 3.7338733 } };
  g_autofree char *path = find_dataset ("iron-phosphate-two-plateaus", "run.csv");
  if (path == NULL)
    return;

  g_autoptr (TideRecording) recording = read_dataset (path);
  g_assert_cmpuint (check_phases (recording, "iron-phosphate-two-plateaus", "charge"), ==, 2);
  for (guint k = 0; k < G_N_ELEMENTS (stages); k++)
    {
      g_autoptr (TideMeasurement) m = measure (recording, stages[k].from_s, stages[k].to_s);

      g_assert_true (m->has_plateau);
      support_assert_near (m->plateau.start_s, stages[k].from_s, 1);
      support_assert_near (m->plateau.end_s, stages[k].to_s, 1);
      support_assert_near (m->plateau.level_w.value, stages[k].level_w, 0.01 * stages[k].level_w);
    }
  g_autoptr (TideMeasurement) whole = measure (recording, NAN, NAN);
  support_assert_near (whole->settles_s, 190.1683, 20);
  support_assert_near (whole->standing_draw_w.value, 3.7338733, 0.02);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/datasets/five-rates", test_five_rates);
  g_test_add_func ("/datasets/many-cycles", test_many_cycles);
  g_test_add_func ("/datasets/two-dialects", test_two_dialects);
  g_test_add_func ("/datasets/two-plateaus", test_two_plateaus);
  return g_test_run ();
}
