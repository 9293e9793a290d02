/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Real logs of battery laboratories, published under free licences, against figures computed from
 * them with pandas and SciPy (reference.json beside each). TIDEMARK_DATASETS names their folder;
 * without it these cases skip. No log of a meter is among them: what they test is the reading of
 * tables in general.
 */
#include "support.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <string.h>

static char *
find_dataset (const char *path)
{
  const char *folder = g_getenv ("TIDEMARK_DATASETS");
  g_autofree char *found = folder ? g_build_filename (folder, path, NULL) : NULL;
  if (!found || !g_file_test (found, G_FILE_TEST_EXISTS))
    {
      g_test_skip ("TIDEMARK_DATASETS names no folder with this log");
      return NULL;
    }
  return g_steal_pointer (&found);
}

static TideRecording *
read_path (const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_read_file (file, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 1);
  return tide_recording_ref (g_ptr_array_index (runs, 0));
}

/* ---- Against the reference ---- */

typedef struct
{
  const char *folder, *file;
  const char *member; /* of reference.json, below which the figures stand; "/" divides */
  guint n_skipped;
  gboolean
      is_averaged_flat; /* rows of one stamp differ, so extremes change when they are averaged */
} Dataset;

static JsonObject *
get_figures (JsonNode *root, const char *member)
{
  g_auto (GStrv) steps = g_strsplit (member, "/", -1);
  JsonObject *object = json_node_get_object (root);
  for (guint i = 0; steps[i]; i++)
    object = json_object_get_object_member (object, steps[i]);
  return object;
}

static void
find_range (TideRecording *run, TideQuantity quantity, double *low, double *high)
{
  gsize n = tide_recording_get_n_samples (run);
  *low = INFINITY;
  *high = -INFINITY;
  for (gsize i = 0; i < n; i++)
    {
      double value = get_value (run, quantity, i);
      *low = MIN (*low, value);
      *high = MAX (*high, value);
    }
}

/* The references have nine digits. */
static void
assert_near (double value, double expected)
{
  g_assert_cmpfloat_with_epsilon (value, expected, fabs (expected) * 2e-9 + 1e-12);
}

static void
check_ranges (TideRecording *run, JsonObject *figures)
{
  double low, high;
  find_range (run, TIDE_QUANTITY_VOLTAGE, &low, &high);
  assert_near (low, json_object_get_double_member (figures, "V_min"));
  assert_near (high, json_object_get_double_member (figures, "V_max"));
  find_range (run, TIDE_QUANTITY_CURRENT, &low, &high);
  double i_min = json_object_get_double_member (figures, "I_min");
  double i_max = json_object_get_double_member (figures, "I_max");
  /* where charge leaves over the whole log, the house counts current the other way */
  gboolean is_turned = has_complaint (run, "the other way");
  assert_near (low, is_turned ? -i_max : i_min);
  assert_near (high, is_turned ? -i_min : i_max);
}

static void
test_reference (gconstpointer user_data)
{
  const Dataset *set = user_data;
  g_autofree char *name = g_build_filename (set->folder, set->file, NULL);
  g_autofree char *path = find_dataset (name);
  if (!path)
    return;
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *reference = g_build_filename (folder, "reference.json", NULL);
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  g_assert_true (json_parser_load_from_file (parser, reference, &error));
  JsonObject *figures = get_figures (json_parser_get_root (parser), set->member);

  g_autoptr (TideRecording) run = read_path (path);
  gint64 n_rows = json_object_get_int_member (figures, "data_rows");
  gint64 n_equal = json_object_get_int_member (figures, "zero_dt");
  g_assert_cmpint (tide_recording_get_n_samples (run), ==, n_rows - n_equal);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, set->n_skipped);
  assert_near (tide_recording_get_duration_s (run),
               json_object_get_double_member (figures, "t_last_s")
                   - json_object_get_double_member (figures, "t_first_s"));
  if (!set->is_averaged_flat)
    check_ranges (run, figures);
}

static const Dataset datasets[] = {
  { "pouch-five-rates", "run.csv", "file", 0, FALSE },
  { "pouch-same-run-two-dialects", "run-milliseconds.csv", "file_ms", 0, FALSE },
  { "pouch-same-run-two-dialects", "run-seconds-tab.txt", "file_s", 0, FALSE },
  { "cccv-many-cycles", "run.tsv", "file", 0, FALSE },
  { "pulses-then-cccv", "run.tsv", "file", 0, FALSE },
  { "mid-test-sparse-taper", "run.tsv", "file", 0, FALSE },
  { "hours-json-preamble", "run.csv", "file", 0, FALSE },
  { "header-line-count", "run.txt", "file", 0, FALSE },
  { "iron-phosphate-fast-multistep", "run.csv", "file", 0, FALSE },
  { "iron-phosphate-two-plateaus", "run.csv", "file", 0, FALSE },
  { "microampere-hms-over-24h", "part.csv", "file", 0, TRUE },
  { "coin-quantised-current", "part.csv", "file", 0, FALSE },
  { "counter-from-rounded-power", "rate-1c.csv", "files/rate-1c.csv/file", 0, FALSE },
  { "counter-from-rounded-power", "rate-3c.csv", "files/rate-3c.csv/file", 0, FALSE },
  { "counter-from-rounded-power", "slow-cycling.csv", "files/slow-cycling.csv/file", 0, FALSE },
  { "tilde-comments", "run.tsv", "file", 0, FALSE },
  { "rows-quoted-whole", "run.csv", "file", 0, FALSE },
  { "preamble-and-footer", "run.csv", "file", 1, FALSE }, /* the footer */
  { "clock-too-fast-by-3600", "part.csv", "file_as_printed", 0, FALSE },
};

/* ---- Two dialects of one run ---- */

static void
test_two_dialects (void)
{
  g_autofree char *ms = find_dataset ("pouch-same-run-two-dialects/run-milliseconds.csv");
  g_autofree char *s = ms ? find_dataset ("pouch-same-run-two-dialects/run-seconds-tab.txt") : NULL;
  if (!s)
    return;
  g_autoptr (TideRecording) a = read_path (ms);
  g_autoptr (TideRecording) b = read_path (s);
  assert_same_columns (a, b);
  g_assert_cmpint (tide_recording_get_start_us (a), ==, tide_recording_get_start_us (b));
}

static void
test_same_as_five_rates (void)
{
  g_autofree char *one = find_dataset ("pouch-same-run-two-dialects/run-seconds-tab.txt");
  g_autofree char *other = one ? find_dataset ("pouch-five-rates/run.csv") : NULL;
  if (!other)
    return;
  g_autoptr (TideRecording) a = read_path (one);
  g_autoptr (TideRecording) b = read_path (other);
  gsize n = tide_recording_get_n_samples (a);
  g_assert_cmpuint (n, ==, tide_recording_get_n_samples (b));
  for (gsize i = 0; i < n; i++)
    for (int q = TIDE_QUANTITY_TIME; q <= TIDE_QUANTITY_CURRENT; q++)
      g_assert_cmpfloat (get_value (a, q, i), ==, get_value (b, q, i));
}

/* ---- What is odd about some ---- */

static void
test_minutes_without_unit (void)
{
  /* reference.json: the time grows by 1 where the wall clock grows by 60 s; the last row is cut */
  g_autofree char *path = find_dataset ("decimal-comma-tabs/run.tsv");
  if (!path)
    return;
  g_autoptr (TideRecording) run = read_path (path);
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 213);
  g_assert_cmpfloat (tide_recording_get_duration_s (run), ==, 212 * 60);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 0), ==, 0.1377);
  g_assert_true (has_complaint (run, "taken as min"));
  g_assert_true (has_complaint (run, "row 229"));
}

static void
test_three_kinds_of_rows (void)
{
  /* 7 rows of cycles and 26 of steps stand among the records; only records are read */
  g_autofree char *path = find_dataset ("nested-three-level-rows/part.csv");
  if (!path)
    return;
  g_autoptr (TideRecording) run = read_path (path);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 7 + 26);
  double low, high;
  find_range (run, TIDE_QUANTITY_VOLTAGE, &low, &high);
  g_assert_cmpfloat (low, >=, 3.9);
  g_assert_cmpfloat (high, <=, 4.7);
}

static void
test_eight_years (void)
{
  g_autofree char *path = find_dataset ("clock-too-fast-by-3600/part.csv");
  if (!path)
    return;
  g_autoptr (TideRecording) run = read_path (path);
  g_assert_true (has_complaint (run, "is the unit of the time right?"));
}

/* ---- Awkward files ---- */

/* There is no right answer for these but no crash, and one line for what is refused. */
static void
check_awkward (const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_read_file (file, NULL, NULL, &error);
  g_assert_true ((runs == NULL) == (error != NULL));
  if (!error)
    return;
  g_autofree char *base = g_path_get_basename (path);
  g_autofree char *prefix = g_strconcat (base, ": ", NULL);
  g_assert_true (g_str_has_prefix (error->message, prefix));
  g_assert_null (strpbrk (error->message, "\r\n"));
  g_assert_true (g_utf8_validate (error->message, -1, NULL));
}

static guint
walk (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  g_assert_nonnull (dir);
  const char *name;
  guint n = 0;
  while ((name = g_dir_read_name (dir)))
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);
      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        n += walk (path);
      else
        {
          check_awkward (path);
          n++;
        }
    }
  return n;
}

static void
test_corpus (void)
{
  g_autofree char *folder = find_dataset ("csv-corpus");
  if (folder)
    g_assert_cmpuint (walk (folder), >=, 350);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (datasets); i++)
    {
      g_autofree char *name =
          g_strdup_printf ("/reading/datasets/%s/%s", datasets[i].folder, datasets[i].file);
      g_test_add_data_func (name, &datasets[i], test_reference);
    }
  g_test_add_func ("/reading/datasets/two-dialects", test_two_dialects);
  g_test_add_func ("/reading/datasets/same-as-five-rates", test_same_as_five_rates);
  g_test_add_func ("/reading/datasets/minutes-without-unit", test_minutes_without_unit);
  g_test_add_func ("/reading/datasets/three-kinds-of-rows", test_three_kinds_of_rows);
  g_test_add_func ("/reading/datasets/eight-years", test_eight_years);
  g_test_add_func ("/reading/datasets/corpus", test_corpus);
  return g_test_run ();
}
