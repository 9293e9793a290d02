/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every real log there is, read and measured, as one table: the energies of its phases beside what
 * SciPy computed of the same rows (scipy.integrate.trapezoid over V·I, in reference.json beside
 * each log), how far the log's own counter is off by each, and what must be remarked or refused.
 * The logs are not part of the project: without TIDEMARK_DATASETS this skips. The table is printed
 * (meson test -v analysis-dataset-table), and written as Markdown to the file that
 * TIDEMARK_DATASET_TABLE names.
 */
#include "analysis/measure.h"

#include <json-glib/json-glib.h>
#include <string.h>

#include "reading/reading.h"

/* A hundredth of a percent: the goal for energies of real logs. */
#define CLOSE 1e-4
/* Of the difference between counter and integral, in percent: the references have four digits of
 * it. */
#define COUNTER_CLOSE 0.02
/* A stretch of fewer rows says little of energy. */
#define FEWEST_ROWS 10

typedef struct
{
  const char *folder, *file;
  const char *column; /* what is stated of a column, as a reading rule does; NULL: nothing */
  const char
      *first; /* in reference.json, where the file's figures stand; "/" divides; NULL: no figures */
  const char *phases; /* likewise, the list of phases */
  const char *says;   /* what a complaint or the refusal must say; NULL: nothing */
  const char *remark; /* for the table */
  double off_percent; /* energies are off by at most so much more, for the reason in remark */
} Log;

#define LOGGED   "power as logged, rounded: with the counter"
#define COMPUTED "the same by V·I, the power column not read"
#define EDGES    "rows of one stamp at the phases' ends are averaged"

static const Log logs[] = {
  { "pouch-five-rates", "run.csv", NULL, "file", "step_phases", NULL, "" },
  { "pouch-same-run-two-dialects", "run-milliseconds.csv", NULL, "file_ms", "step_phases", NULL,
    "no counters" },
  { "pouch-same-run-two-dialects", "run-seconds-tab.txt", NULL, "file_s", "step_phases", NULL,
    "no counters" },
  { "cccv-many-cycles", "run.tsv", NULL, "file", "step_phases", NULL, "" },
  { "pulses-then-cccv", "run.tsv", NULL, "file", "step_phases", NULL, "" },
  { "hours-json-preamble", "run.csv", NULL, "file", "step_phases", NULL,
    "hours; a preamble line of 13 kB" },
  { "microampere-hms-over-24h", "part.csv", NULL, "file", "step_phases", NULL, EDGES },
  { "mid-test-sparse-taper", "run.tsv", NULL, "file", "step_phases", NULL,
    "sparse where current jumps; " EDGES },
  { "rows-quoted-whole", "run.csv", NULL, "file", "step_phases", NULL,
    "every row in one pair of quotes" },
  { "counter-from-rounded-power", "rate-1c.csv", NULL, "files/rate-1c.csv/file",
    "files/rate-1c.csv/step_phases", NULL, LOGGED, 0.4 },
  { "counter-from-rounded-power", "rate-1c.csv", "-=11", "files/rate-1c.csv/file",
    "files/rate-1c.csv/step_phases", NULL, COMPUTED },
  { "counter-from-rounded-power", "rate-3c.csv", NULL, "files/rate-3c.csv/file",
    "files/rate-3c.csv/step_phases", NULL, LOGGED, 0.4 },
  { "counter-from-rounded-power", "rate-3c.csv", "-=11", "files/rate-3c.csv/file",
    "files/rate-3c.csv/step_phases", NULL, COMPUTED },
  { "counter-from-rounded-power", "slow-cycling.csv", NULL, "files/slow-cycling.csv/file",
    "files/slow-cycling.csv/step_phases", NULL, LOGGED, 1.1 },
  { "counter-from-rounded-power", "slow-cycling.csv", "-=11", "files/slow-cycling.csv/file",
    "files/slow-cycling.csv/step_phases", NULL, COMPUTED },
  { "coin-quantised-current", "part.csv", NULL, "file", "charge_runs",
    "printed in steps of 0.0001 A", "warned of: current in steps of half its size" },
  { "iron-phosphate-two-plateaus", "run.csv", NULL, "file", "step_phases", NULL, "" },
  { "iron-phosphate-fast-multistep", "run.csv", NULL, "file", "step_phases", NULL, "" },
  { "header-line-count", "run.txt", NULL, "file", "step_phases", NULL,
    "103 header lines; currents in mA" },
  { "preamble-and-footer", "run.csv", NULL, "file", "step_phases", NULL, "the footer is skipped" },
  { "tilde-comments", "run.tsv", NULL, "file", "step_phases", NULL, "" },
  { "nested-three-level-rows", "part.csv", NULL, "file_records_only", "charge_runs", NULL,
    "only record rows are read; " EDGES },
  { "clock-too-fast-by-3600", "part.csv", NULL, "file_as_printed", "as_printed/charge_runs",
    "is the unit of the time right?", "warned of: the log would last 8 years" },
  { "decimal-comma-tabs", "run.tsv", NULL, NULL, NULL, "row 229",
    "no current; the cut last line is skipped" },
  { "usb-pd-messages", "messages.csv", NULL, NULL, NULL, "messages.csv: ", "refused: no log" },
  { "usb-pd-messages", "offers-decoded.csv", NULL, NULL, NULL,
    "offers-decoded.csv: ", "refused: no log" },
};

/* What a row of the table tells. */
typedef struct
{
  guint n_phases;
  double energy_wh, reference_wh;    /* sums over the phases */
  double worst;                      /* relative, with its sign */
  double counter, counter_reference; /* the largest, in percent, with its sign; NaN: none */
  GString *faults;                   /* what is not as it must be, a line each */
} Result;

static GString *table;

/* ---- Reference ---- */

static JsonNode *
find_member (JsonNode *root, const char *path)
{
  g_auto (GStrv) steps = g_strsplit (path, "/", -1);
  JsonNode *node = root;

  for (guint i = 0; steps[i] != NULL; i++)
    node = json_object_get_member (json_node_get_object (node), steps[i]);
  g_assert_nonnull (node);
  return node;
}

/* ---- One log ---- */

/* What averaging rows of one stamp can do at both ends of a phase, in Wh: half of its longest
 * interval at its highest power. The reference takes the phase's own row of such a stamp. */
static double
get_edge_wh (JsonObject *phase)
{
  return fabs (json_object_get_double_member (phase, "max_W"))
         * json_object_get_double_member (phase, "longest_interval_s") / 3600;
}

static void
check_counter (Result *result, const TideMeasurement *m, JsonObject *phase, double slack)
{
  if (!json_object_has_member (phase, "rel_diff_Wh"))
    return;
  double ours = m->counter.energy_difference_percent;
  double reference = 100 * json_object_get_double_member (phase, "rel_diff_Wh");
  gboolean is_charge = g_str_has_prefix (json_object_get_string_member (phase, "kind"), "charge");
  if (isnan (ours) && !is_charge)
    return; /* of two counters the one of charging is read, and stands still */
  if (isnan (result->counter) || fabs (reference) > fabs (result->counter_reference))
    {
      result->counter = ours;
      result->counter_reference = reference;
    }
  if (!(fabs (ours - reference) <= COUNTER_CLOSE + 100 * slack))
    g_string_append_printf (result->faults, "counter off by %g %%, reference %g %%\n", ours,
                            reference);
}

static void
check_phase (Result *result,
             const Log *log,
             TideRecording *recording,
             JsonObject *file,
             JsonObject *phase)
{
  double from_s = json_object_get_double_member (phase, "t_start_s")
                  - json_object_get_double_member (file, "t_first_s");
  double to_s = from_s + json_object_get_double_member (phase, "duration_s");
  double reference_wh = fabs (json_object_get_double_member (phase, "energy_Wh"));
  double edge_wh = json_object_get_int_member (file, "zero_dt") > 0 ? get_edge_wh (phase) : 0;
  double slack = edge_wh / reference_wh + log->off_percent / 100;
  g_autoptr (GError) error = NULL;
  g_autoptr (TideMeasurement) m = tide_measure (recording, (TideStretch){ from_s, to_s }, &error);

  g_assert_no_error (error);
  double off = m->energy_wh.value / reference_wh - 1;
  result->n_phases++;
  result->energy_wh += m->energy_wh.value;
  result->reference_wh += reference_wh;
  if (fabs (off) >= fabs (result->worst))
    result->worst = off;
  if (!(fabs (off) <= CLOSE + slack))
    g_string_append_printf (result->faults, "%s from %g s to %g s: %.9g Wh, reference %.9g Wh\n",
                            json_object_get_string_member (phase, "kind"), from_s, to_s,
                            m->energy_wh.value, reference_wh);
  check_counter (result, m, phase, slack);
}

static void
check_phases (Result *result, const Log *log, TideRecording *recording, const char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *reference = g_build_filename (folder, "reference.json", NULL);
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;

  json_parser_load_from_file (parser, reference, &error);
  g_assert_no_error (error);
  JsonNode *root = json_parser_get_root (parser);
  JsonObject *file = json_node_get_object (find_member (root, log->first));
  JsonArray *phases = json_node_get_array (find_member (root, log->phases));
  for (guint i = 0; i < json_array_get_length (phases); i++)
    {
      JsonObject *phase = json_array_get_object_element (phases, i);

      if (json_object_get_int_member (phase, "rows") >= FEWEST_ROWS)
        check_phase (result, log, recording, file, phase);
    }
  g_assert_cmpuint (result->n_phases, >, 0);
}

static gboolean
says (TideRecording *recording, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideMeasurement) m = tide_measure (recording, TIDE_STRETCH_ALL, &error);

  g_assert_no_error (error);
  for (guint i = 0; i < m->complaints->len; i++)
    {
      g_autofree char *text = tide_complaint_to_text (g_ptr_array_index (m->complaints, i));

      if (strstr (text, words) != NULL)
        return TRUE;
    }
  return FALSE;
}

/* ---- The table ---- */

static void
add_row (const Log *log, const Result *result)
{
  g_autofree char *counter =
      isnan (result->counter)
          ? g_strdup ("")
          : g_strdup_printf ("%+.3f / %+.3f", result->counter, result->counter_reference);
  g_autofree char *figures =
      result->n_phases == 0
          ? g_strdup ("| | | ")
          : g_strdup_printf ("%u | %.6g | %.6g | %+.5f", result->n_phases, result->energy_wh,
                             result->reference_wh, 100 * result->worst);
  g_autofree char *row = g_strdup_printf ("| %s | %s | %s | %s | %s |", log->folder, log->file,
                                          figures, counter, log->remark);

  g_test_message ("%s", row);
  g_string_append_printf (table, "%s\n", row);
}

/* ---- Cases ---- */

static void
check_refusal (const Log *log, const GError *error)
{
  g_assert_error (error, TIDE_READING_ERROR, error->code);
  g_assert_nonnull (strstr (error->message, log->says));
  g_assert_null (strchr (error->message, '\n'));
  g_assert_true (g_str_has_prefix (log->remark, "refused"));
}

static void
check_recordings (Result *result, const Log *log, GPtrArray *recordings, const char *path)
{
  TideRecording *recording = g_ptr_array_index (recordings, 0);

  g_assert_cmpuint (recordings->len, ==, 1);
  g_assert_false (g_str_has_prefix (log->remark, "refused"));
  if (log->first != NULL)
    check_phases (result, log, recording, path);
  if (log->says != NULL && !says (recording, log->says))
    g_string_append_printf (result->faults, "does not say: %s\n", log->says);
}

static GPtrArray *
read_log (const Log *log, const char *path, GError **error)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  const TideReadOptions options = { .rule = rule };
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) wrong = NULL;

  if (log->column != NULL)
    tide_reading_rule_set (rule, "column", log->column, &wrong);
  g_assert_no_error (wrong);
  return tide_read_file (file, &options, NULL, error);
}

static void
test_log (gconstpointer data)
{
  const Log *log = data;
  const char *root = g_getenv ("TIDEMARK_DATASETS");
  g_autofree char *path = g_build_filename (root != NULL ? root : "", log->folder, log->file, NULL);

  if (!g_file_test (path, G_FILE_TEST_EXISTS))
    {
      g_test_skip ("the real logs are not here: set TIDEMARK_DATASETS");
      return;
    }
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = read_log (log, path, &error);
  Result result = { .counter = NAN, .faults = g_string_new (NULL) };
  if (recordings == NULL)
    check_refusal (log, error);
  else
    check_recordings (&result, log, recordings, path);
  add_row (log, &result);
  g_autofree char *faults = g_string_free (result.faults, FALSE);
  g_assert_cmpstr (faults, ==, "");
}

static void
begin_table (void)
{
  table = g_string_new (
      "| folder | file | phases | energy, Wh | reference, Wh | worst difference of a phase, % "
      "| energy off the counter, %: ours / reference | remark |\n"
      "|---|---|---:|---:|---:|---:|---|---|\n");
}

static void
end_table (void)
{
  const char *path = g_getenv ("TIDEMARK_DATASET_TABLE");
  g_autofree char *text = g_string_free (table, FALSE);
  g_autoptr (GError) error = NULL;

  if (path != NULL)
    g_file_set_contents (path, text, -1, &error);
  g_assert_no_error (error);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  begin_table ();
  for (guint i = 0; i < G_N_ELEMENTS (logs); i++)
    {
      g_autofree char *name =
          g_strdup_printf ("/dataset-table/%s/%s%s", logs[i].folder, logs[i].file,
                           logs[i].column != NULL ? logs[i].column : "");

      g_test_add_data_func (name, &logs[i], test_log);
    }
  int status = g_test_run ();
  end_table ();
  return status;
}
