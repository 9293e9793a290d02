/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The built-in scenario, and scenarios that are wrong. */
#include "demo/demo.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <string.h>

static const TideDemoRun *
find_run (GPtrArray *runs, const char *name)
{
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];

      if (g_str_equal (tide_conditions_get (run->conditions, TIDE_CONDITION_NAME), name))
        return run;
    }
  g_error ("no run %s", name);
}

static TideTruth
find_truth (GPtrArray *runs, const char *name)
{
  TideTruth truth;
  g_autoptr (GBytes) bytes = tide_simulate (&find_run (runs, name)->simulation, name, &truth);

  g_assert_nonnull (bytes);
  return truth;
}

static void
test_scenario__conditions_may_be_stored (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();

  g_assert_cmpuint (runs->len, >=, 9);
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];

      for (guint field = 0; field < TIDE_N_CONDITIONS; field++)
        {
          g_autoptr (GError) error = NULL;
          const char *text = tide_conditions_get (run->conditions, field);

          g_assert_true (tide_condition_check (field, text, &error));
          g_assert_no_error (error);
          g_assert_cmpstr (text, !=, "");
        }
      g_assert_true (g_str_has_prefix (tide_conditions_get (run->conditions, TIDE_CONDITION_NOTES),
                                       "Simulated, not measured."));
      g_assert_nonnull (
          strstr (tide_conditions_get (run->conditions, TIDE_CONDITION_DEVICE), "simulated"));
    }
}

static void
test_scenario__runs_differ (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  guint dialects = 0;

  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];

      dialects |= 1 << run->simulation.dialect;
      for (guint k = 0; k < i; k++)
        {
          const TideDemoRun *other = runs->pdata[k];

          g_assert_cmpstr (run->file, !=, other->file);
          g_assert_cmpuint (run->simulation.seed, !=, other->simulation.seed);
          g_assert_false (tide_conditions_equal (run->conditions, other->conditions));
        }
    }
  g_assert_cmpuint (dialects, ==, (1 << TIDE_N_DIALECTS) - 1);
}

/* What the demo is there to show. */
static void
test_scenario__tells_its_story (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  TideTruth left = find_truth (runs, "Left port"), base = find_truth (runs, "Base port");
  TideTruth cradle = find_truth (runs, "Desk cradle"), use = find_truth (runs, "In use");
  TideTruth small = find_truth (runs, "39 W supply"), early = find_truth (runs, "Early stop");

  g_assert_cmpfloat_with_epsilon (base.plateau_w / left.plateau_w, 1, 0.005);
  g_assert_cmpfloat_with_epsilon (base.window_energy_wh / left.window_energy_wh, 1, 0.01);
  g_assert_cmpfloat_with_epsilon (cradle.plateau_w / left.plateau_w, 0.96, 0.002);
  g_assert_cmpfloat (use.window_energy_wh, >, 1.2 * left.window_energy_wh);
  g_assert_cmpfloat (use.settles_s, >, left.settles_s + 600);
  g_assert_cmpfloat (small.plateau_w, <, 0.85 * left.plateau_w);
  g_assert_cmpfloat (small.settles_s, >, left.settles_s + 600);
  g_assert_true (isnan (early.settles_s) && isnan (early.window_energy_wh)
                 && isnan (early.standing_w));
  g_assert_false (isnan (early.plateau_end_s));
}

static void
test_scenario__same_bytes_each_time (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  g_autoptr (GPtrArray) again = tide_demo_runs ();

  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *a = runs->pdata[i], *b = again->pdata[i];
      TideTruth truth;
      g_autoptr (GBytes) first = tide_simulate (&a->simulation, "x", &truth);
      g_autoptr (GBytes) second = tide_simulate (&b->simulation, "x", NULL);

      g_assert_true (g_bytes_equal (first, second));
    }
}

static void
check_member (JsonObject *object, const char *key, double expected)
{
  if (isnan (expected))
    g_assert_true (json_object_get_null_member (object, key));
  else
    g_assert_cmpfloat_with_epsilon (json_object_get_double_member (object, key), expected, 1e-6);
}

static void
test_scenario__truth_as_json (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  g_autofree char *text = tide_demo_truth_to_json ();
  g_autoptr (GError) error = NULL;
  g_autoptr (JsonNode) node = json_from_string (text, &error);
  g_assert_no_error (error);
  JsonObject *root = json_node_get_object (node);
  JsonArray *array = json_object_get_array_member (root, "runs");

  g_assert_cmpint (json_object_get_int_member (root, "schema"), ==, 1);
  g_assert_true (json_object_get_boolean_member (root, "simulated"));
  g_assert_cmpuint (json_array_get_length (array), ==, runs->len);
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = runs->pdata[i];
      const char *name = tide_conditions_get (run->conditions, TIDE_CONDITION_NAME);
      TideTruth truth = find_truth (runs, name);
      JsonObject *object = json_array_get_object_element (array, i);
      JsonObject *plateau = json_object_get_object_member (object, "plateau");

      g_assert_cmpstr (json_object_get_string_member (object, "name"), ==, name);
      g_assert_cmpstr (json_object_get_string_member (object, "file"), ==, run->file);
      check_member (object, "energy_wh", truth.energy_wh);
      check_member (object, "charge_ah", truth.charge_ah);
      check_member (object, "window_energy_wh", truth.window_energy_wh);
      check_member (object, "draw_begins_s", truth.draw_begins_s);
      check_member (object, "settles_s", truth.settles_s);
      check_member (object, "standing_draw_w", truth.standing_w);
      check_member (plateau, "level_w", truth.plateau_w);
      check_member (plateau, "start_s", truth.plateau_start_s);
      check_member (plateau, "end_s", truth.plateau_end_s);
      g_assert_cmpint (json_object_get_int_member (object, "spikes"), ==, truth.spikes);
    }
}

/* ---- Wrong scenarios ---- */

#define GOOD                                                                                       \
  "[a]\nname=A\nfile=a.csv\ninterval_s=1\nplateau_w=20\nplateau_s=600\ntaper_tau_s=300\n"          \
  "taper_end_share=0.1\nvoltage_v=9\ntail_s=400\nseed=1\n"

static void
test_scenario__smallest_parses (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_demo_parse (GOOD, strlen (GOOD), &error);

  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 1);
}

static void
test_scenario__group_overrides_common (void)
{
  static const char text[] = "[common]\nsupply=S\nstanding_w=2\nport=p\n" GOOD "port=q\n";
  g_autoptr (GPtrArray) runs = tide_demo_parse (text, strlen (text), NULL);
  const TideDemoRun *run = runs->pdata[0];

  g_assert_cmpstr (tide_conditions_get (run->conditions, TIDE_CONDITION_SUPPLY), ==, "S");
  g_assert_cmpstr (tide_conditions_get (run->conditions, TIDE_CONDITION_PORT), ==, "q");
  g_assert_cmpfloat (run->simulation.standing_w, ==, 2);
}

static void
test_scenario__bad_ones_are_refused (void)
{
  static const struct
  {
    const char *text;
    int code;
    const char *names; /* what the message must name */
  } cases[] = {
    { "", TIDE_DEMO_ERROR_SCENARIO, "no run" },
    { "[common]\nseed=1\n", TIDE_DEMO_ERROR_SCENARIO, "no run" },
    { "no group", TIDE_DEMO_ERROR_SCENARIO, "" },
    { GOOD "colour=red\n", TIDE_DEMO_ERROR_SCENARIO, "[a] colour" },
    { GOOD "lead_s=soon\n", TIDE_DEMO_ERROR_SCENARIO, "[a] lead_s" },
    { GOOD "lead_s=1,5\n", TIDE_DEMO_ERROR_SCENARIO, "[a] lead_s" },
    { GOOD "lead_s=nan\n", TIDE_DEMO_ERROR_SCENARIO, "[a] lead_s" },
    { GOOD "seed=-1\n", TIDE_DEMO_ERROR_SCENARIO, "[a] seed" },
    { GOOD "seed=4294967296\n", TIDE_DEMO_ERROR_SCENARIO, "[a] seed" },
    { GOOD "dialect=morse\n", TIDE_DEMO_ERROR_SCENARIO, "[a] dialect" },
    { GOOD "ambient=hot\n", TIDE_DEMO_ERROR_SCENARIO, "[a] ambient" },
    { GOOD "date=today\n", TIDE_DEMO_ERROR_SCENARIO, "[a] date" },
    { GOOD "file=../a.csv\n", TIDE_DEMO_ERROR_SCENARIO, "[a] file" },
    { GOOD "file=\n", TIDE_DEMO_ERROR_SCENARIO, "[a] file" },
    { GOOD "name=\n", TIDE_DEMO_ERROR_SCENARIO, "[a] file, name" },
    { GOOD "notes=broken \\q escape\n", TIDE_DEMO_ERROR_SCENARIO, "[a] notes" },
    { GOOD "[b]\n", TIDE_DEMO_ERROR_SCENARIO, "[b] file, name" },
    { GOOD "interval_s=0\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "interval_s=0.0001\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "interval_s=0.5\ndialect=clock\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "plateau_s=1e9\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "plateau_s=390000\ninterval_s=0.001\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "plateau_w=-1\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "standing_w=-1\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "standing_w=20\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "taper_end_share=1\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "taper_end_share=0\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "tail_s=-1300\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "tail_s=1e7\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "cable_ohm=3\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "first_s=60\nfirst_w=5\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "first_s=601\nfirst_w=5\nfirst_v=5\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "spike_every_s=60\nspike_w=5\nspike_s=2\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "spike_every_s=300\nspike_w=5\nspike_s=31\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
    { GOOD "load_every_s=100\nload_w=1\nload_s=90\n", TIDE_DEMO_ERROR_SIMULATION, "[a]" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs = tide_demo_parse (cases[i].text, strlen (cases[i].text), &error);

      g_test_message ("case %u: %s", i, error != NULL ? error->message : "no error");
      g_assert_null (runs);
      g_assert_nonnull (error);
      g_assert_error (error, TIDE_DEMO_ERROR, cases[i].code);
      g_assert_nonnull (strstr (error->message, cases[i].names));
      g_assert_null (strchr (error->message, '\n'));
    }
}

static void
test_scenario__too_long_is_refused (void)
{
  g_autofree char *text = g_strnfill (1024 * 1024 + 1, '#');
  g_autoptr (GError) error = NULL;

  g_assert_null (tide_demo_parse (text, strlen (text), &error));
  g_assert_error (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SCENARIO);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/demo/scenario/conditions", test_scenario__conditions_may_be_stored);
  g_test_add_func ("/demo/scenario/runs-differ", test_scenario__runs_differ);
  g_test_add_func ("/demo/scenario/story", test_scenario__tells_its_story);
  g_test_add_func ("/demo/scenario/same-bytes", test_scenario__same_bytes_each_time);
  g_test_add_func ("/demo/scenario/json", test_scenario__truth_as_json);
  g_test_add_func ("/demo/scenario/smallest", test_scenario__smallest_parses);
  g_test_add_func ("/demo/scenario/common", test_scenario__group_overrides_common);
  g_test_add_func ("/demo/scenario/bad", test_scenario__bad_ones_are_refused);
  g_test_add_func ("/demo/scenario/too-long", test_scenario__too_long_is_refused);
  return g_test_run ();
}
