/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide import FILE…: puts exports into the library. A file that cannot be read leaves the others
 * alone; a library that cannot be written ends the work, as it would fail every file after.
 */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>

#include "command/arguments.h"
#include "command/importing.h"
#include "command/json.h"

typedef struct
{
  TideStore *store;
  const TideConditions *conditions;
  GPtrArray *imported;
  JsonBuilder *failed;    /* an open array; NULL without --json */
  gboolean library_ended; /* the store failed: no use to go on */
  gboolean all_well;
} Import;

/* Helpers */

static void
tell_failure (Import *import, const char *word, const GError *error)
{
  import->all_well = FALSE;
  tide_work_failed (error);
  if (import->failed == NULL)
    return;
  json_builder_begin_object (import->failed);
  tide_json_text (import->failed, "file", word);
  tide_json_text (import->failed, "error", error->message);
  json_builder_end_object (import->failed);
}

static void
import_file (Import *import, const char *word)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (word);
  TideIntakeOptions options = { .stated = import->conditions };
  guint first = import->imported->len;
  if (!tide_import_file (import->store, file, &options, import->imported, &error))
    {
      import->library_ended = error->domain == TIDE_STORE_ERROR;
      tell_failure (import, word, error);
      return;
    }
  if (import->failed == NULL)
    tide_imported_print (import->imported, first);
  tide_imported_remark (import->imported, first);
}

static void
import_all (Import *import, char **words)
{
  for (guint i = 0; words[i] != NULL && !import->library_ended; i++)
    import_file (import, words[i]);
}

static void
import_all_to_json (Import *import, const char *library, char **words)
{
  g_autoptr (JsonBuilder) failed = json_builder_new ();
  json_builder_begin_array (failed);
  import->failed = failed;
  import_all (import, words);
  json_builder_end_array (failed);

  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  tide_json_text (builder, "library", library);
  tide_json_imported (builder, "imported", import->imported);
  json_builder_set_member_name (builder, "failed");
  json_builder_add_value (builder, json_builder_get_root (failed));
  tide_json_print (builder);
}

/* Public */

int
tide_verb_import (int argc, char **argv)
{
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("FILE"),
    .words = _ ("FILE…"),
    .about =
        _ ("Reads exports of a meter and puts their runs into the library, which is made if "
           "it is missing.\nA file that is in the library already is noticed and not doubled."),
    .more = _ ("Without --name a run is called what its file is called."),
    .has_json = TRUE,
    .has_conditions = TRUE,
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, NULL, argc, argv);
  if (exit != TIDE_GO_ON)
    return exit;
  if (arguments.n_words > 1 && arguments.condition_texts[TIDE_CONDITION_NAME] != NULL)
    return tide_wrong_use (argv[0], _ ("--name names one run; import these files one by one"));

  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (arguments.library, &error);
  if (store == NULL)
    return tide_work_failed (error);
  g_autoptr (GPtrArray) imported = tide_imported_list_new ();
  Import import = {
    .store = store, .conditions = arguments.conditions, .imported = imported, .all_well = TRUE
  };
  if (arguments.json)
    import_all_to_json (&import, arguments.library, arguments.words);
  else
    import_all (&import, arguments.words);
  return import.all_well ? TIDE_EXIT_DONE : TIDE_EXIT_FAILED;
}
