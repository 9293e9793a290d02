/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide demo: simulated runs into the library, over the same road as any export. */
#include "command/verbs.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <string.h>

#include "command/arguments.h"
#include "command/importing.h"
#include "command/json.h"
#include "demo/demo.h"

#define TRUTH_FILE   "truth.json"
#define EXPORTS_MODE 0777 /* less the umask */

/* Helpers */

static GBytes *
make_export (const TideDemoRun *run)
{
  return tide_simulate (&run->simulation,
                        tide_conditions_get (run->conditions, TIDE_CONDITION_NAME), NULL);
}

static gboolean
import_demo (TideStore *store, GPtrArray *runs, GPtrArray *imported, GError **error)
{
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = g_ptr_array_index (runs, i);
      g_autoptr (GBytes) bytes = make_export (run);
      TideIntakeOptions options = { .stated = run->conditions, .ignore_rules = TRUE };
      if (!tide_import_bytes (store, bytes, run->file, &options, imported, error))
        return FALSE;
    }
  return TRUE;
}

static gboolean
write_into (const char *folder, const char *name, const char *data, gsize length, GError **error)
{
  g_autofree char *path = g_build_filename (folder, name, NULL);
  return g_file_set_contents (path, data, (gssize)length, error);
}

static gboolean
write_exports (GPtrArray *runs, const char *folder, GError **error)
{
  if (g_mkdir_with_parents (folder, EXPORTS_MODE) != 0)
    {
      g_set_error (error, G_IO_ERROR, g_io_error_from_errno (errno), "%s: %s", folder,
                   g_strerror (errno));
      return FALSE;
    }
  for (guint i = 0; i < runs->len; i++)
    {
      const TideDemoRun *run = g_ptr_array_index (runs, i);
      g_autoptr (GBytes) bytes = make_export (run);
      gsize length;
      const char *data = g_bytes_get_data (bytes, &length);
      if (!write_into (folder, run->file, data, length, error))
        return FALSE;
    }
  g_autofree char *truth = tide_demo_truth_to_json ();
  return write_into (folder, TRUTH_FILE, truth, strlen (truth), error);
}

static gboolean
print_json (const char *library, GPtrArray *imported, GError **error)
{
  g_autofree char *text = tide_demo_truth_to_json ();
  g_autoptr (JsonNode) truth = json_from_string (text, error);
  if (truth == NULL)
    return FALSE;
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  tide_json_text (builder, "library", library);
  tide_json_imported (builder, "imported", imported);
  json_builder_set_member_name (builder, "truth");
  json_builder_add_value (builder, g_steal_pointer (&truth));
  tide_json_print (builder);
  return TRUE;
}

static int
make_demo (const TideArguments *arguments, const char *exports)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_demo_runs ();
  if (exports != NULL && !write_exports (runs, exports, &error))
    return tide_work_failed (error);
  g_autoptr (TideStore) store = tide_store_open (arguments->library, &error);
  g_autoptr (GPtrArray) imported = tide_imported_list_new ();
  if (store == NULL || !import_demo (store, runs, imported, &error))
    return tide_work_failed (error);
  if (!arguments->json)
    tide_imported_print (imported, 0);
  else if (!print_json (arguments->library, imported, &error))
    return tide_work_failed (error);
  return TIDE_EXIT_DONE;
}

/* Public */

int
tide_verb_demo (int argc, char **argv)
{
  g_autofree char *exports = NULL;
  const GOptionEntry entries[] = {
    { "exports", 0, 0, G_OPTION_ARG_FILENAME, &exports,
      _ ("Also write the simulated exports and their truth here"), _ ("FOLDER") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .about =
        _ ("Puts simulated charges of an invented survey tablet into the library, to try things "
           "on.\nThe library is made if it is missing; runs that are in it are not doubled."),
    .has_json = TRUE,
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  return exit == TIDE_GO_ON ? make_demo (&arguments, exports) : (int)exit;
}
