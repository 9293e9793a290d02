/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scenarios: a key file becomes runs. Everything in it is named in a table; what is not named
 * there is an error, so that a slip of the pen does not silently simulate something else.
 */
#include "demo/demo.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include <glib/gi18n-lib.h>
#include <json-glib/json-glib.h>

#include "demo/curve-private.h"
#include "demo/demo-resources.h"

#define SCENARIO_PATH "/org/tidemark/Tidemark/demo/survey-tablet.ini"
#define COMMON        "common"

#define MOST_BYTES (1024 * 1024)

G_DEFINE_QUARK (tide_demo_error, tide_demo_error)

/* ---- The table ---- */

#define FIELD(name)                                                                                \
  {                                                                                                \
#name, offsetof(TideSimulation, name)                                                          \
  }

static const struct
{
  const char *key;
  gsize offset;
} fields[] = {
  FIELD (interval_s),    FIELD (lead_s),    FIELD (idle_w),       FIELD (idle_v),
  FIELD (first_s),       FIELD (first_w),   FIELD (first_v),      FIELD (pause_s),
  FIELD (plateau_w),     FIELD (plateau_s), FIELD (taper_tau_s),  FIELD (taper_end_share),
  FIELD (standing_w),    FIELD (tail_s),    FIELD (voltage_v),    FIELD (cable_ohm),
  FIELD (spike_every_s), FIELD (spike_w),   FIELD (spike_s),      FIELD (load_every_s),
  FIELD (load_w),        FIELD (load_s),    FIELD (ripple_share), FIELD (ripple_s),
  FIELD (noise_share),   FIELD (step_v),    FIELD (step_a),
};

static const char *const dialects[TIDE_N_DIALECTS] = {
  [TIDE_DIALECT_PLAIN] = "plain",
  [TIDE_DIALECT_SEMICOLON] = "semicolon",
  [TIDE_DIALECT_CLOCK] = "clock",
  [TIDE_DIALECT_MILLI] = "milli",
};

/* ---- One key ---- */

static gboolean
fail_key (GError **error, const char *group, const char *key, const char *reason)
{
  g_set_error (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SCENARIO, "[%s] %s: %s", group, key, reason);
  return FALSE;
}

static gboolean
set_number (double *value, const char *group, const char *key, const char *text, GError **error)
{
  char *end = NULL;

  *value = g_ascii_strtod (text, &end);
  if (end == text || *end != '\0' || !isfinite (*value))
    return fail_key (error, group, key, _ ("not a number"));
  return TRUE;
}

static gboolean
set_dialect (TideSimulation *simulation, const char *group, const char *text, GError **error)
{
  for (guint i = 0; i < TIDE_N_DIALECTS; i++)
    if (g_str_equal (text, dialects[i]))
      {
        simulation->dialect = i;
        return TRUE;
      }
  return fail_key (error, group, "dialect", _ ("no dialect of that name"));
}

static gboolean
set_seed (TideSimulation *simulation, const char *group, const char *text, GError **error)
{
  guint64 seed;

  if (!g_ascii_string_to_unsigned (text, 10, 0, G_MAXUINT32, &seed, NULL))
    return fail_key (error, group, "seed", _ ("not a whole number of 32 bits"));
  simulation->seed = (guint32)seed;
  return TRUE;
}

/* FALSE also when key is none of a condition's; then *found says so. */
static gboolean
set_condition (TideConditions *conditions,
               const char *group,
               const char *key,
               const char *text,
               gboolean *found,
               GError **error)
{
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    if (g_str_equal (key, tide_condition_get_id (i)))
      {
        g_autoptr (GError) fault = NULL;

        *found = TRUE;
        if (!tide_condition_check (i, text, &fault))
          return fail_key (error, group, key, fault->message);
        tide_conditions_set (conditions, i, text);
        return TRUE;
      }
  *found = FALSE;
  return FALSE;
}

static gboolean
set_file (TideDemoRun *run, const char *group, const char *text, GError **error)
{
  if (*text == '\0' || *text == '.' || strpbrk (text, "/\\") != NULL)
    return fail_key (error, group, "file", _ ("not a plain file name"));
  g_free (run->file);
  run->file = g_strdup (text);
  return TRUE;
}

static gboolean
set_key (TideDemoRun *run, const char *group, const char *key, const char *text, GError **error)
{
  gboolean found;

  if (g_str_equal (key, "file"))
    return set_file (run, group, text, error);
  if (g_str_equal (key, "seed"))
    return set_seed (&run->simulation, group, text, error);
  if (g_str_equal (key, "dialect"))
    return set_dialect (&run->simulation, group, text, error);
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    if (g_str_equal (key, fields[i].key))
      return set_number (G_STRUCT_MEMBER_P (&run->simulation, fields[i].offset), group, key, text,
                         error);
  if (set_condition (run->conditions, group, key, text, &found, error))
    return TRUE;
  return found ? FALSE : fail_key (error, group, key, _ ("no such key"));
}

/* ---- Runs ---- */

void
tide_demo_run_free (TideDemoRun *run)
{
  if (run == NULL)
    return;
  g_free (run->file);
  tide_conditions_free (run->conditions);
  g_free (run);
}

static gboolean
set_group (TideDemoRun *run, GKeyFile *keys, const char *group, GError **error)
{
  g_auto (GStrv) names = g_key_file_get_keys (keys, group, NULL, NULL);

  for (guint i = 0; names != NULL && names[i] != NULL; i++)
    {
      g_autoptr (GError) fault = NULL;
      g_autofree char *text = g_key_file_get_string (keys, group, names[i], &fault);

      /* A broken escape comes with what could be read of it. */
      if (fault != NULL)
        return fail_key (error, group, names[i], _ ("not valid UTF-8, or a broken escape"));
      if (!set_key (run, group, names[i], text, error))
        return FALSE;
    }
  return TRUE;
}

static TideDemoRun *
make_run (GKeyFile *keys, const char *group, GError **error)
{
  g_autoptr (TideDemoRun) run = g_new0 (TideDemoRun, 1);
  g_autoptr (GError) fault = NULL;

  run->conditions = tide_conditions_new ();
  if (g_key_file_has_group (keys, COMMON) && !set_group (run, keys, COMMON, error))
    return NULL;
  if (!set_group (run, keys, group, error))
    return NULL;
  if (run->file == NULL || *tide_conditions_get (run->conditions, TIDE_CONDITION_NAME) == '\0')
    {
      fail_key (error, group, "file, name", _ ("both must be stated"));
      return NULL;
    }
  if (!tide_simulation_check (&run->simulation, &fault))
    {
      g_propagate_prefixed_error (error, g_steal_pointer (&fault), "[%s] ", group);
      return NULL;
    }
  return g_steal_pointer (&run);
}

GPtrArray *
tide_demo_parse (const char *text, gsize length, GError **error)
{
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autoptr (GPtrArray) runs = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_demo_run_free);
  g_autoptr (GError) fault = NULL;

  if (length > MOST_BYTES
      || !g_key_file_load_from_data (keys, text, length, G_KEY_FILE_NONE, &fault))
    {
      g_set_error (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SCENARIO, "%s",
                   fault != NULL ? fault->message : _ ("the scenario is too long"));
      return NULL;
    }

  g_auto (GStrv) groups = g_key_file_get_groups (keys, NULL);
  for (guint i = 0; groups[i] != NULL; i++)
    {
      if (g_str_equal (groups[i], COMMON))
        continue;
      TideDemoRun *run = make_run (keys, groups[i], error);
      if (run == NULL)
        return NULL;
      g_ptr_array_add (runs, run);
    }
  if (runs->len == 0)
    {
      g_set_error_literal (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SCENARIO,
                           _ ("the scenario holds no run"));
      return NULL;
    }
  return g_steal_pointer (&runs);
}

GPtrArray *
tide_demo_runs (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) scenario = g_resource_lookup_data (tide_demo_get_resource (), SCENARIO_PATH,
                                                        G_RESOURCE_LOOKUP_FLAGS_NONE, &error);
  GPtrArray *runs = NULL;

  if (scenario != NULL)
    runs = tide_demo_parse (g_bytes_get_data (scenario, NULL), g_bytes_get_size (scenario), &error);
  /* The built-in scenario is part of the program: when it does not parse, the program is wrong. */
  if (runs == NULL)
    g_error ("built-in scenario: %s", error->message);
  return runs;
}

/* ---- The truth as JSON ---- */

/* Six decimals: far finer than anything is measured to, and short to read. */
static void
add_number (JsonBuilder *builder, const char *key, double value)
{
  json_builder_set_member_name (builder, key);
  if (isfinite (value))
    json_builder_add_double_value (builder, round (value * 1e6) / 1e6);
  else
    json_builder_add_null_value (builder);
}

static void
add_text (JsonBuilder *builder, const char *key, const char *text)
{
  json_builder_set_member_name (builder, key);
  json_builder_add_string_value (builder, text);
}

static void
add_plateau (JsonBuilder *builder, const TideTruth *truth)
{
  json_builder_set_member_name (builder, "plateau");
  if (isnan (truth->plateau_w))
    {
      json_builder_add_null_value (builder);
      return;
    }
  json_builder_begin_object (builder);
  add_number (builder, "level_w", truth->plateau_w);
  add_number (builder, "start_s", truth->plateau_start_s);
  add_number (builder, "end_s", truth->plateau_end_s);
  json_builder_end_object (builder);
}

static void
add_run (JsonBuilder *builder, const TideDemoRun *run)
{
  g_auto (TideDemoCurve) curve = { 0 };
  TideTruth truth;

  tide_demo_curve_init (&curve, &run->simulation);
  tide_demo_curve_find_truth (&curve, &truth);

  json_builder_begin_object (builder);
  add_text (builder, "name", tide_conditions_get (run->conditions, TIDE_CONDITION_NAME));
  add_text (builder, "file", run->file);
  add_number (builder, "energy_wh", truth.energy_wh);
  add_number (builder, "charge_ah", truth.charge_ah);
  add_number (builder, "window_energy_wh", truth.window_energy_wh);
  add_number (builder, "draw_begins_s", truth.draw_begins_s);
  add_number (builder, "settles_s", truth.settles_s);
  add_plateau (builder, &truth);
  add_number (builder, "standing_draw_w", truth.standing_w);
  json_builder_set_member_name (builder, "spikes");
  json_builder_add_int_value (builder, truth.spikes);
  json_builder_end_object (builder);
}

char *
tide_demo_truth_to_json (void)
{
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  json_builder_set_member_name (builder, "schema");
  json_builder_add_int_value (builder, 1);
  json_builder_set_member_name (builder, "simulated");
  json_builder_add_boolean_value (builder, TRUE);
  json_builder_set_member_name (builder, "runs");
  json_builder_begin_array (builder);
  for (guint i = 0; i < runs->len; i++)
    add_run (builder, g_ptr_array_index (runs, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);

  g_autoptr (JsonNode) root = json_builder_get_root (builder);
  return json_to_string (root, TRUE);
}
