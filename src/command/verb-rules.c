/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide rules: the reading rules that the library remembers. One action a call; a rule's text
 * (reading/rule.h) goes out by --show and comes in by --add, so that it can be kept and passed on
 * as a file.
 */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/reading-switches.h"
#include "command/sources.h"
#include "command/tables.h"
#include "intake/rule-file.h"

/* Which action was asked for, and by which switch. */
typedef enum
{
  ACTION_LIST,
  ACTION_SHOW,
  ACTION_ADD,
  ACTION_RENAME,
  ACTION_REMOVE,
  N_ACTIONS
} Action;

static const struct
{
  const char *option;
  guint n_words; /* beside what the switch takes */
} actions[N_ACTIONS] = {
  [ACTION_LIST] = { NULL, 0 },       [ACTION_SHOW] = { "show", 0 },     [ACTION_ADD] = { "add", 0 },
  [ACTION_RENAME] = { "rename", 1 }, [ACTION_REMOVE] = { "remove", 0 },
};

typedef struct
{
  const TideArguments *arguments;
  TideStore *store;
  const char *name; /* what the switch took: a rule's name, a file's path; NULL: nothing */
} Work;

/* Text */

/* "--decimal , --time '%d.%m.%Y'": what the rule says, as switches. Transfer full. */
static char *
make_switches (const TideStoredRule *stored)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_from_text (stored->text, &error);
  if (rule == NULL)
    return g_strdup (error->message);
  GString *text = g_string_new (NULL);
  for (const char *const *key = tide_reading_rule_get_keys (); *key != NULL; key++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, *key);
      for (guint i = 0; texts[i] != NULL; i++)
        {
          g_autofree char *one = tide_reading_switch_to_text (*key, texts[i]);
          g_string_append_printf (text, "%s%s", text->len > 0 ? " " : "", one);
        }
    }
  return g_string_free (text, FALSE);
}

static char *
make_date (gint64 saved_us)
{
  g_autoptr (GDateTime) saved = g_date_time_new_from_unix_local (saved_us / G_USEC_PER_SEC);
  return saved != NULL ? g_date_time_format (saved, "%Y-%m-%d %H:%M") : g_strdup ("");
}

static void
print_rules (GPtrArray *rules)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("lll");
  const char *heads[] = { _ ("Name"), _ ("Saved"), _ ("Says") };
  for (guint i = 0; i < G_N_ELEMENTS (heads); i++)
    tide_text_table_add (table, heads[i]);
  for (guint i = 0; i < rules->len; i++)
    {
      const TideStoredRule *rule = g_ptr_array_index (rules, i);
      tide_text_table_add (table, rule->name);
      tide_text_table_take (table, make_date (rule->saved_us));
      tide_text_table_take (table, make_switches (rule));
    }
  tide_text_table_print (table);
}

/* JSON */

static void
add_rule (JsonBuilder *builder, const TideStoredRule *rule)
{
  g_autoptr (GDateTime) saved = g_date_time_new_from_unix_utc (rule->saved_us / G_USEC_PER_SEC);
  g_autofree char *saved_text = saved != NULL ? g_date_time_format_iso8601 (saved) : NULL;
  g_autofree char *switches = make_switches (rule);
  json_builder_begin_object (builder);
  tide_json_id (builder, "number", rule->id);
  tide_json_text (builder, "name", rule->name);
  tide_json_text (builder, "saved", saved_text);
  tide_json_text (builder, "signature", rule->signature);
  tide_json_text (builder, "switches", switches);
  tide_json_text (builder, "text", rule->text);
  json_builder_end_object (builder);
}

static void
print_json (const char *library, GPtrArray *rules)
{
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  tide_json_text (builder, "library", library);
  json_builder_set_member_name (builder, "rules");
  json_builder_begin_array (builder);
  for (guint i = 0; i < rules->len; i++)
    add_rule (builder, g_ptr_array_index (rules, i));
  json_builder_end_array (builder);
  tide_json_print (builder);
}

/* What became of one rule: itself for programs, a line for people. Takes rule. */
static void
tell_done (const Work *work, TideStoredRule *rule, const char *line)
{
  g_autoptr (GPtrArray) rules =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_stored_rule_free);
  g_ptr_array_add (rules, rule);
  if (work->arguments->json)
    print_json (work->arguments->library, rules);
  else
    tide_text_print ("%s", line);
}

/* Actions */

/* The rule of that name, which there must be. */
static TideStoredRule *
find_rule (TideStore *store, const char *name, GError **error)
{
  TideStoredRule *rule = NULL;
  if (tide_store_find_rule (store, name, FALSE, &rule, error) && rule == NULL)
    g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
                 _ ("%s: no rule is called that; “tide rules” lists those there are"), name);
  return rule;
}

static gboolean
list_rules (const Work *work, GError **error)
{
  g_autoptr (GPtrArray) rules = tide_store_list_rules (work->store, error);
  if (rules == NULL)
    return FALSE;
  if (work->arguments->json)
    print_json (work->arguments->library, rules);
  else if (rules->len > 0)
    print_rules (rules);
  else
    tide_remark (_ ("%s holds no rules; “tide import … --remember NAME” makes one"),
                 work->arguments->library);
  return TRUE;
}

static gboolean
show_rule (const Work *work, GError **error)
{
  TideStoredRule *rule = find_rule (work->store, work->name, error);
  if (rule == NULL)
    return FALSE;
  if (work->arguments->json)
    tell_done (work, rule, NULL);
  else
    {
      g_autofree char *text = tide_rule_file_to_text (rule);
      fputs (text, stdout);
      tide_stored_rule_free (rule);
    }
  return TRUE;
}

static gboolean
add_rule_file (const Work *work, GError **error)
{
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (work->name);
  g_autoptr (TideStoredRule) read = tide_rule_file_read (file, error);
  if (read == NULL)
    {
      g_prefix_error (error, "%s: ", work->name);
      return FALSE;
    }
  if (tide_store_save_rule (work->store, read->name, read->signature, read->text, error) == 0)
    return FALSE;
  TideStoredRule *stored = find_rule (work->store, read->name, error);
  if (stored == NULL)
    return FALSE;
  g_autofree char *line = g_strdup_printf (_ ("%s: remembered"), read->name);
  tell_done (work, stored, line);
  return TRUE;
}

static gboolean
rename_rule (const Work *work, GError **error)
{
  const char *name = work->arguments->words[0];
  g_autoptr (TideStoredRule) rule = find_rule (work->store, work->name, error);
  if (rule == NULL || !tide_store_rename_rule (work->store, rule->id, name, error))
    return FALSE;
  g_autofree char *line = g_strdup_printf (_ ("%s: called %s now"), work->name, name);
  g_free (rule->name);
  rule->name = g_strdup (name);
  tell_done (work, g_steal_pointer (&rule), line);
  return TRUE;
}

static gboolean
remove_rule (const Work *work, GError **error)
{
  g_autoptr (TideStoredRule) rule = find_rule (work->store, work->name, error);
  if (rule == NULL || !tide_store_remove_rule (work->store, rule->id, error))
    return FALSE;
  g_autofree char *line = g_strdup_printf (_ ("%s: removed"), work->name);
  tell_done (work, g_steal_pointer (&rule), line);
  return TRUE;
}

typedef gboolean (*ActionFunc) (const Work *work, GError **error);

static const ActionFunc action_funcs[N_ACTIONS] = {
  [ACTION_LIST] = list_rules,    [ACTION_SHOW] = show_rule,     [ACTION_ADD] = add_rule_file,
  [ACTION_RENAME] = rename_rule, [ACTION_REMOVE] = remove_rule,
};

/* Command line */

static TideExit
choose_action (const char *verb,
               const TideArguments *arguments,
               char *const names[N_ACTIONS],
               Action *action)
{
  *action = ACTION_LIST;
  for (Action a = ACTION_SHOW; a < N_ACTIONS; a++)
    {
      if (names[a] == NULL)
        continue;
      if (*action != ACTION_LIST)
        return tide_wrong_use (verb, _ ("--%s and --%s: one at a time"), actions[*action].option,
                               actions[a].option);
      if (a != ACTION_ADD && !g_utf8_validate (names[a], -1, NULL))
        return tide_wrong_use (verb, _ ("--%s: not valid UTF-8 text"), actions[a].option);
      *action = a;
    }
  guint n = actions[*action].n_words;
  if (arguments->n_words > n)
    return tide_wrong_use (verb, _ ("unexpected word: %s"), arguments->words[n]);
  if (arguments->n_words < n)
    return tide_wrong_use (verb, _ ("--%s NAME: say the new name behind it"),
                           actions[*action].option);
  return TIDE_GO_ON;
}

static TideStore *
open_library (const char *path, Action action, GError **error)
{
  return action == ACTION_ADD ? tide_store_open (path, error)
                              : tide_sources_open_library (path, error);
}

static int
act (const TideArguments *arguments, Action action, const char *name)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = open_library (arguments->library, action, &error);
  const Work work = { arguments, store, name };
  if (store == NULL || !action_funcs[action](&work, &error))
    return tide_work_failed (error);
  return TIDE_EXIT_DONE;
}

static void
free_names (char *names[N_ACTIONS])
{
  for (Action a = 0; a < N_ACTIONS; a++)
    g_free (names[a]);
}

int
tide_verb_rules (int argc, char **argv)
{
  char *names[N_ACTIONS] = { NULL };
  const GOptionEntry entries[] = {
    { "show", 0, 0, G_OPTION_ARG_FILENAME, &names[ACTION_SHOW],
      _ ("Print the rule as text, which --add takes from a file"), _ ("NAME") },
    { "add", 0, 0, G_OPTION_ARG_FILENAME, &names[ACTION_ADD],
      _ ("Remember the rule in this file, in place of one of its name"), _ ("FILE") },
    { "rename", 0, 0, G_OPTION_ARG_FILENAME, &names[ACTION_RENAME], _ ("Call it NEW"), _ ("NAME") },
    { "remove", 0, 0, G_OPTION_ARG_FILENAME, &names[ACTION_REMOVE], _ ("Forget the rule"),
      _ ("NAME") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("WORD"),
    .words = _ ("[NEW]"),
    .about = _ ("Lists the reading rules that the library remembers, and keeps them in order.\n"
                "Files with the header that a rule was made for are imported by it unasked."),
    .more = _ ("“tide import … --remember NAME FILE” makes a rule of what is said of a file;\n"
               "“tide rules --show NAME > FILE” takes it along."),
    .has_json = TRUE,
    .may_be_bare = TRUE,
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  Action action = ACTION_LIST;
  if (exit == TIDE_GO_ON)
    exit = choose_action (argv[0], &arguments, names, &action);
  int status = exit == TIDE_GO_ON ? act (&arguments, action, names[action]) : (int)exit;
  free_names (names);
  return status;
}
