/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide runs: what is in the library. */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/tables.h"

/* Helpers */

static void
add_run_row (TideTextTable *table, const TideRunInfo *info)
{
  const TideConditions *conditions = info->conditions;
  tide_text_table_take (table, g_strdup_printf ("%" G_GINT64_FORMAT, info->id));
  tide_text_table_add (table, tide_conditions_get (conditions, TIDE_CONDITION_NAME));
  tide_text_table_add (table, tide_conditions_get (conditions, TIDE_CONDITION_DEVICE));
  tide_text_table_take (table, tide_conditions_to_line (conditions));
  tide_text_table_add (table, tide_conditions_get (conditions, TIDE_CONDITION_DATE));
  tide_text_table_take (table, tide_text_duration (info->duration_s));
  tide_text_table_take (table,
                        tide_text_quantity (info->energy_wh,
                                            tide_quantity_get_decimals (TIDE_QUANTITY_ENERGY),
                                            TIDE_QUANTITY_ENERGY));
}

static void
print_runs (GPtrArray *infos)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("rllllrr");
  const char *heads[] = { _ ("No."),  _ ("Name"),     _ ("Device"), _ ("Conditions"),
                          _ ("Date"), _ ("Duration"), _ ("Energy") };
  for (guint i = 0; i < G_N_ELEMENTS (heads); i++)
    tide_text_table_add (table, heads[i]);
  for (guint i = 0; i < infos->len; i++)
    add_run_row (table, g_ptr_array_index (infos, i));
  tide_text_table_print (table);
}

static void
add_run (JsonBuilder *builder, const TideRunInfo *info)
{
  g_autoptr (GDateTime) added = g_date_time_new_from_unix_utc (info->added_us / G_USEC_PER_SEC);
  g_autofree char *added_text = added != NULL ? g_date_time_format_iso8601 (added) : NULL;
  json_builder_begin_object (builder);
  tide_json_id (builder, "number", info->id);
  tide_json_text (builder, "name", tide_conditions_get (info->conditions, TIDE_CONDITION_NAME));
  tide_json_conditions (builder, "conditions", info->conditions);
  tide_json_text (builder, "file", info->file);
  tide_json_text (builder, "sha256", info->sha256);
  tide_json_count (builder, "part", info->part);
  tide_json_text (builder, "added", added_text);
  tide_json_count (builder, "samples", info->n_samples);
  tide_json_number (builder, "duration_s", info->duration_s);
  tide_json_number (builder, "energy_wh", info->energy_wh);
  json_builder_end_object (builder);
}

static void
print_json (const char *library, GPtrArray *infos)
{
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  tide_json_text (builder, "library", library);
  json_builder_set_member_name (builder, "runs");
  json_builder_begin_array (builder);
  for (guint i = 0; i < infos->len; i++)
    add_run (builder, g_ptr_array_index (infos, i));
  json_builder_end_array (builder);
  tide_json_print (builder);
}

/* Public */

int
tide_verb_runs (int argc, char **argv)
{
  const TideUsage usage = {
    .verb = argv[0],
    .about = _ ("Lists the runs in the library."),
    .has_json = TRUE,
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, NULL, argc, argv);
  if (exit != TIDE_GO_ON)
    return exit;

  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_sources_open_library (arguments.library, &error);
  g_autoptr (GPtrArray) infos = store != NULL ? tide_store_list (store, &error) : NULL;
  if (infos == NULL)
    return tide_work_failed (error);
  if (arguments.json)
    print_json (arguments.library, infos);
  else if (infos->len > 0)
    print_runs (infos);
  else
    tide_remark (_ ("%s holds no runs; “tide import FILE…” puts some in"), arguments.library);
  return TIDE_EXIT_DONE;
}
