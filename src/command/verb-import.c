/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide import FILE…: puts exports into the library, or says how it would read them. A file that
 * cannot be read leaves the others alone; a library that cannot be written ends the work, as it
 * would fail every file after.
 */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>

#include "command/arguments.h"
#include "command/explaining.h"
#include "command/importing.h"
#include "command/json.h"
#include "command/reading-switches.h"
#include "command/sources.h"
#include "command/tables.h"
#include "intake/intake.h"

/* The switches that are this verb's alone. */
typedef struct
{
  gboolean replace, explain;
  char *remember; /* NULL: not given */
} Given;

typedef struct
{
  TideStore *store; /* NULL: explaining without a library */
  TideIntakeOptions options;
  GPtrArray *imported;
  JsonBuilder *failed;    /* an open array; NULL without --json */
  JsonBuilder *files;     /* of --explain, an open array; likewise */
  gboolean library_ended; /* the store failed: no use to go on */
  gboolean all_well;
  const char *remember; /* the name of the rule to save; NULL: none */
  char *signature;      /* of the header it was saved for; NULL: not saved yet */
} Import;

typedef void (*FileFunc) (Import *import, const char *word);

static void
clear_import (Import *import)
{
  g_clear_pointer (&import->imported, g_ptr_array_unref);
  g_clear_object (&import->failed);
  g_clear_object (&import->files);
  g_clear_pointer (&import->signature, g_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Import, clear_import)

/* Helpers */

static void
tell_failure (Import *import, const char *word, const GError *error)
{
  import->all_well = FALSE;
  import->library_ended = error->domain == TIDE_STORE_ERROR && error->code != TIDE_STORE_ERROR_RULE;
  tide_work_failed (error);
  if (import->failed == NULL)
    return;
  json_builder_begin_object (import->failed);
  tide_json_text (import->failed, "file", word);
  tide_json_text (import->failed, "error", error->message);
  json_builder_end_object (import->failed);
}

/* Remembering */

/* Saves what was stated for files with the header of file; the first file of several says which. */
static gboolean
remember_rule (Import *import, GFile *file, GError **error)
{
  if (!tide_file_can_be_read_again (file))
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   _ ("what comes through a pipe can be read only once; the rule %s was not "
                      "remembered, save the log as a file first"),
                   import->remember);
      return FALSE;
    }
  g_autoptr (GPtrArray) tables = tide_understand_file (file, &import->options.read, NULL, error);
  if (tables == NULL)
    return FALSE;
  const char *signature = tide_understanding_get_signature (g_ptr_array_index (tables, 0));
  if (import->signature != NULL)
    {
      if (g_strcmp0 (import->signature, signature) != 0)
        {
          g_autofree char *name = g_file_get_basename (file);
          tide_remark (
              _ ("%s: has another header than the files before; the rule %s is for theirs"), name,
              import->remember);
        }
      return TRUE;
    }
  g_autofree char *text = tide_reading_rule_to_text (import->options.read.rule);
  if (tide_store_save_rule (import->store, import->remember, signature, text, error) == 0)
    return FALSE;
  import->signature = g_strdup (signature);
  if (import->failed == NULL)
    tide_text_print (_ ("The rule %s is remembered for files with this header."), import->remember);
  return TRUE;
}

/* Importing */

static GPtrArray *
understand (Import *import, GFile *file, char **rule_name, GError **error)
{
  if (import->store == NULL)
    return tide_understand_file (file, &import->options.read, NULL, error);
  return tide_intake_understand (import->store, file, &import->options, rule_name, NULL, error);
}

/* What is open is found by looking once more. */
static void
tell_failed_reading (Import *import, const char *word, GFile *file, GError *error)
{
  g_autoptr (GPtrArray) tables = NULL;
  if (g_error_matches (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS)
      && tide_file_can_be_read_again (file))
    tables = understand (import, file, NULL, NULL);
  tide_reading_error_hint (error, tables);
  tell_failure (import, word, error);
}

static void
import_file (Import *import, const char *word)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (word);
  guint first = import->imported->len;
  if (!tide_import_file (import->store, file, &import->options, import->imported, &error))
    {
      tell_failed_reading (import, word, file, error);
      return;
    }
  if (import->failed == NULL)
    tide_imported_print (import->imported, first);
  tide_imported_remark (import->imported, first);
  if (import->remember != NULL && !remember_rule (import, file, &error))
    tell_failure (import, word, error);
}

static void
explain_file (Import *import, const char *word)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *rule_name = NULL;
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (word);
  g_autoptr (GPtrArray) tables = understand (import, file, &rule_name, &error);
  if (tables == NULL)
    {
      tell_failed_reading (import, word, file, error);
      return;
    }
  g_autofree char *base = g_file_get_basename (file);
  g_autofree char *name = g_filename_display_name (base);
  const TideExplained explained = { name, rule_name, tables };
  if (import->files != NULL)
    tide_json_explained (import->files, &explained);
  else
    tide_explained_print (&explained);
}

static void
do_all (Import *import, FileFunc func, char **words)
{
  for (guint i = 0; words[i] != NULL && !import->library_ended; i++)
    func (import, words[i]);
}

static JsonBuilder *
begin_array (void)
{
  JsonBuilder *builder = json_builder_new ();
  json_builder_begin_array (builder);
  return builder;
}

static void
add_array (JsonBuilder *builder, const char *key, JsonBuilder *array)
{
  json_builder_end_array (array);
  json_builder_set_member_name (builder, key);
  json_builder_add_value (builder, json_builder_get_root (array));
}

static void
do_all_to_json (Import *import, FileFunc func, const TideArguments *arguments)
{
  import->failed = begin_array ();
  if (func == explain_file)
    import->files = begin_array ();
  do_all (import, func, arguments->words);

  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  if (import->files != NULL)
    add_array (builder, "files", import->files);
  else
    {
      tide_json_text (builder, "library", arguments->library);
      tide_json_imported (builder, "imported", import->imported);
    }
  add_array (builder, "failed", import->failed);
  tide_json_print (builder);
}

/* Command line */

static TideExit
check_given (const char *verb,
             const TideArguments *arguments,
             const Given *given,
             const TideReadingSwitches *reading)
{
  if (arguments->n_words > 1 && arguments->condition_texts[TIDE_CONDITION_NAME] != NULL)
    return tide_wrong_use (verb, _ ("--name names one run; import these files one by one"));
  if (given->explain && (given->replace || given->remember != NULL))
    return tide_wrong_use (verb, _ ("--explain imports nothing; leave %s away"),
                           given->replace ? "--replace" : "--remember");
  if (given->remember == NULL)
    return TIDE_GO_ON;
  if (!g_utf8_validate (given->remember, -1, NULL) || *given->remember == '\0')
    return tide_wrong_use (verb, _ ("--remember: not a name for a rule"));
  if (!tide_reading_switches_are_given (reading))
    return tide_wrong_use (verb,
                           _ ("--remember: say with other switches what is to be remembered"));
  return TIDE_GO_ON;
}

/* Explaining makes no library. */
static gboolean
open_library (Import *import, const char *path, gboolean explain, GError **error)
{
  if (explain && !g_file_test (path, G_FILE_TEST_EXISTS))
    return TRUE;
  import->store = tide_store_open (path, error);
  return import->store != NULL;
}

static int
do_words (const TideArguments *arguments, const Given *given, const TideReadingSwitches *reading)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule =
      tide_reading_switches_make_rule (reading, arguments->library, &error);
  if (rule == NULL)
    return tide_work_failed (error);

  g_auto (Import) import = {
    .options = { .read.rule = rule,
                 .stated = arguments->conditions,
                 .replace = given->replace,
                 .ignore_rules = reading->rule_name != NULL },
    .imported = tide_imported_list_new (),
    .remember = given->remember,
    .all_well = TRUE,
  };
  FileFunc func = given->explain ? explain_file : import_file;
  if (!open_library (&import, arguments->library, given->explain, &error))
    return tide_work_failed (error);
  g_autoptr (TideStore) store = import.store;
  if (arguments->json)
    do_all_to_json (&import, func, arguments);
  else
    do_all (&import, func, arguments->words);
  return import.all_well ? TIDE_EXIT_DONE : TIDE_EXIT_FAILED;
}

int
tide_verb_import (int argc, char **argv)
{
  Given given = { 0 };
  g_auto (TideReadingSwitches) reading = { 0 };
  const GOptionEntry entries[] = {
    { "explain", 0, 0, G_OPTION_ARG_NONE, &given.explain,
      _ ("Import nothing; say how each file is understood"), NULL },
    { "replace", 0, 0, G_OPTION_ARG_NONE, &given.replace,
      _ ("Read a file anew that is in the library; its runs keep their conditions"), NULL },
    { "remember", 0, 0, G_OPTION_ARG_FILENAME, &given.remember,
      _ ("Keep what is said here of the file as a rule for files with this header"), _ ("NAME") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("FILE"),
    .words = _ ("FILE…"),
    .about =
        _ ("Reads exports of a meter and puts their runs into the library, which is made if "
           "it is missing.\nA file that is in the library already is noticed and not doubled."),
    .more = _ ("Without --name a run is called what its file is called. What can be read in two "
               "ways is\nnot guessed: the message names both, and the switches that decide."),
    .has_json = TRUE,
    .has_conditions = TRUE,
    .group = tide_reading_switches_make_group (&reading),
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  g_autofree char *remember = given.remember;
  if (exit == TIDE_GO_ON)
    exit = tide_reading_switches_take (&reading, argv[0]);
  if (exit == TIDE_GO_ON)
    exit = check_given (argv[0], &arguments, &given, &reading);
  return exit == TIDE_GO_ON ? do_words (&arguments, &given, &reading) : (int)exit;
}
