/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One table: a key of a reading rule, what its switch says in --help, and what stands behind it.
 * Every switch may be given more than once; but for --column, which adds up, the last holds.
 */
#include "command/reading-switches.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "command/sources.h"

/* Of a question's answers, what one line can hold. */
#define MOST_ANSWERS 4

static const struct
{
  const char *key, *about, *argument;
} switches_table[] = {
  { "column",
    N_ ("A column's meaning and unit: v=3:mV, a=\"Strom\":mA, t=1, -=5 (not read); "
        "may be repeated"),
    N_ ("WHAT") },
  { "time", N_ ("How a point in time is written, as %d.%m.%Y %H:%M:%S, or serial"),
    N_ ("PATTERN") },
  { "every", N_ ("Seconds from row to row, where no column is the time"), N_ ("S") },
  { "decimal", N_ ("The decimal mark: . or ,"), N_ ("MARK") },
  { "delimiter", N_ ("What stands between columns: a character, tab or space"), N_ ("MARK") },
  { "encoding", N_ ("The text's encoding, as UTF-8 or WINDOWS-1252"), N_ ("NAME") },
  { "header", N_ ("The row that names the columns; 0: none does"), N_ ("ROW") },
  { "sheet", N_ ("Which sheet or packed file: its number from 1, or its name"), N_ ("N") },
  { "table", N_ ("Which table of several in one text, from 1"), N_ ("N") },
  { "broken", N_ ("accept: more than a fifth of the rows may be broken"), N_ ("accept") },
};
#define N_SWITCHES G_N_ELEMENTS (switches_table)

G_STATIC_ASSERT (N_SWITCHES <= TIDE_MAX_READING_SWITCHES);

/* Options */

GOptionGroup *
tide_reading_switches_make_group (TideReadingSwitches *switches)
{
  GOptionGroup *group =
      g_option_group_new ("reading", _ ("How an export is read:"), "", NULL, NULL);

  for (guint i = 0; i < N_SWITCHES; i++)
    {
      const GOptionEntry entries[] = {
        { switches_table[i].key, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, &switches->given[i],
          _ (switches_table[i].about), _ (switches_table[i].argument) },
        { NULL },
      };
      g_option_group_add_entries (group, entries);
    }
  const GOptionEntry entries[] = {
    { "rule", 0, 0, G_OPTION_ARG_FILENAME, &switches->rule_name,
      _ ("A remembered rule; what else is said goes before it"), _ ("NAME") },
    { NULL },
  };
  g_option_group_add_entries (group, entries);
  return group;
}

static TideExit
take_switch (TideReadingSwitches *switches, const char *verb, guint i)
{
  const char *key = switches_table[i].key;

  for (char **text = switches->given[i]; text != NULL && *text != NULL; text++)
    {
      g_autoptr (GError) error = NULL;
      if (!g_utf8_validate (*text, -1, NULL))
        return tide_wrong_use (verb, _ ("--%s: not valid UTF-8 text"), key);
      if (!tide_reading_rule_set (switches->stated, key, *text, &error))
        return tide_wrong_use (verb, "--%s: %s", key, error->message);
    }
  return TIDE_GO_ON;
}

TideExit
tide_reading_switches_take (TideReadingSwitches *switches, const char *verb)
{
  switches->stated = tide_reading_rule_new ();
  for (guint i = 0; i < N_SWITCHES; i++)
    if (take_switch (switches, verb, i) != TIDE_GO_ON)
      return TIDE_EXIT_WRONG_USE;
  if (switches->rule_name != NULL && !g_utf8_validate (switches->rule_name, -1, NULL))
    return tide_wrong_use (verb, _ ("--%s: not valid UTF-8 text"), "rule");
  return TIDE_GO_ON;
}

void
tide_reading_switches_clear (TideReadingSwitches *switches)
{
  for (guint i = 0; i < N_SWITCHES; i++)
    g_clear_pointer (&switches->given[i], g_strfreev);
  g_clear_pointer (&switches->rule_name, g_free);
  g_clear_pointer (&switches->stated, tide_reading_rule_free);
}

gboolean
tide_reading_switches_are_given (const TideReadingSwitches *switches)
{
  for (guint i = 0; i < N_SWITCHES; i++)
    if (switches->given[i] != NULL)
      return TRUE;
  return switches->rule_name != NULL;
}

/* The rule */

static TideReadingRule *
load_rule (const char *path, const char *name, GError **error)
{
  g_autoptr (TideStore) store = tide_sources_open_library (path, error);
  g_autoptr (TideStoredRule) stored = NULL;

  if (store == NULL || !tide_store_find_rule (store, name, FALSE, &stored, error))
    return NULL;
  if (stored == NULL)
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
                   _ ("%s: no rule is called that; “tide rules” lists those there are"), name);
      return NULL;
    }
  TideReadingRule *rule = tide_reading_rule_from_text (stored->text, error);
  if (rule == NULL)
    g_prefix_error (error, "%s: ", name);
  return rule;
}

TideReadingRule *
tide_reading_switches_make_rule (const TideReadingSwitches *switches,
                                 const char *path,
                                 GError **error)
{
  if (switches->rule_name == NULL)
    return tide_reading_rule_copy (switches->stated);
  TideReadingRule *rule = load_rule (path, switches->rule_name, error);
  if (rule != NULL)
    tide_reading_rule_merge (rule, switches->stated);
  return rule;
}

/* Hints */

char *
tide_reading_switch_to_text (const char *key, const char *text)
{
  /* What a shell leaves alone needs no quotes around it. */
  gboolean plain = *text != '\0'
                   && strspn (text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                    "0123456789.,:=_-+/%@")
                          == strlen (text);
  g_autofree char *quoted = plain ? g_strdup (text) : g_shell_quote (text);
  return g_strdup_printf ("--%s %s", key, quoted);
}

static char *
list_answers (const TideQuestion *question)
{
  GString *list = g_string_new (NULL);
  for (guint i = 0; i < MIN (question->answers->len, MOST_ANSWERS); i++)
    {
      const TideAnswer *answer = g_ptr_array_index (question->answers, i);
      g_autofree char *text = tide_reading_switch_to_text (answer->key, answer->text);
      g_string_append_printf (list, "%s%s", i > 0 ? _ (" or ") : "", text);
    }
  return g_string_free (list, FALSE);
}

static void
add_once (GPtrArray *texts, char *text)
{
  if (g_ptr_array_find_with_equal_func (texts, text, g_str_equal, NULL))
    g_free (text);
  else
    g_ptr_array_add (texts, text);
}

/* The answers to each question that is open, in order; tables that ask the same are answered
 * together. Transfer full. */
static GPtrArray *
list_open (GPtrArray *tables)
{
  GPtrArray *open = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; tables != NULL && i < tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (g_ptr_array_index (tables, i));
      for (guint k = 0; k < questions->len; k++)
        {
          const TideQuestion *question = g_ptr_array_index (questions, k);
          if (question->is_open)
            add_once (open, list_answers (question));
        }
    }
  return open;
}

/* The error names the first question. NULL when none is open. */
static char *
make_answers_hint (GPtrArray *tables)
{
  g_autoptr (GPtrArray) open = list_open (tables);
  if (open->len == 0)
    return NULL;
  g_autofree char *say = g_strdup_printf (_ ("say %s"), (char *)g_ptr_array_index (open, 0));
  if (open->len == 1)
    return g_steal_pointer (&say);
  guint n_more = open->len - 1;
  return g_strdup_printf (ngettext ("%s; %u more question: tide import --explain shows all",
                                    "%s; %u more questions: tide import --explain shows all",
                                    n_more),
                          say, n_more);
}

static char *
make_hint (const GError *error, GPtrArray *tables)
{
  switch ((TideReadingError)error->code)
    {
    case TIDE_READING_ERROR_AMBIGUOUS:
      return make_answers_hint (tables);
    case TIDE_READING_ERROR_BROKEN:
      return g_strdup (_ ("--broken accept imports the rest"));
    case TIDE_READING_ERROR_NO_TIME:
      return g_strdup (_ ("--column t=1 says which column it is, --time how it is written, --every "
                          "1 the seconds from row to row"));
    case TIDE_READING_ERROR_NO_TABLE:
      return g_strdup (_ ("--column v=2 --column a=3, or --column w=2, say which columns they are, "
                          "and --header 0 that none is named"));
    case TIDE_READING_ERROR_EMPTY:
    case TIDE_READING_ERROR_NOT_TEXT:
    case TIDE_READING_ERROR_NO_ROWS:
    case TIDE_READING_ERROR_TOO_LARGE:
    case TIDE_READING_ERROR_RULE:
    case TIDE_READING_ERROR_PACKED:
      return NULL;
    }
  g_return_val_if_reached (NULL);
}

void
tide_reading_error_hint (GError *error, GPtrArray *tables)
{
  if (error->domain != TIDE_READING_ERROR)
    return;
  g_autofree char *hint = make_hint (error, tables);
  if (hint == NULL)
    return;
  char *message = g_strdup_printf ("%s; %s", error->message, hint);
  g_free (error->message);
  error->message = message;
}
