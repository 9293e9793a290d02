/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Command lines by GOption, with its --help kept in our hands: it would print and exit by itself,
 * before a full disk under stdout could be noticed. Option values are taken as bytes
 * (G_OPTION_ARG_FILENAME), as G_OPTION_ARG_STRING converts from the locale's charset and so refuses
 * an "é" under LC_ALL=C; and numbers as text, as G_OPTION_ARG_DOUBLE knows the locale's comma.
 */
#include "command/arguments.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "command/tables.h"
#include "library/store.h"

/* Helpers */

static void
print_line (const char *text)
{
  g_autofree char *line = tide_text_one_line (text);
  fprintf (stderr, "tide: %s\n", line);
}

static GOptionGroup *
make_conditions_group (TideArguments *self)
{
  GOptionGroup *group =
      g_option_group_new ("conditions", _ ("Conditions of the run:"), "", NULL, NULL);
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    {
      GOptionEntry entries[] = {
        { tide_condition_get_id (i), 0, 0, G_OPTION_ARG_FILENAME, &self->condition_texts[i],
          tide_condition_get_label (i), _ ("TEXT") },
        { NULL },
      };
      g_option_group_add_entries (group, entries);
    }
  return group;
}

static void
add_json_switch (GOptionContext *context, TideArguments *self)
{
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &self->json, _ ("Print JSON for programs"), NULL },
    { NULL },
  };
  g_option_context_add_main_entries (context, entries, NULL);
}

static GOptionContext *
make_context (TideArguments *self, const TideUsage *usage, const GOptionEntry *own, gboolean *help)
{
  const GOptionEntry common[] = {
    { "library", 0, 0, G_OPTION_ARG_FILENAME, &self->library, _ ("The library file to use"),
      _ ("PATH") },
    { "help", 'h', 0, G_OPTION_ARG_NONE, help, _ ("Show this help"), NULL },
    { G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, &self->words, NULL, usage->words },
    { NULL },
  };
  GOptionContext *context = g_option_context_new (NULL);
  g_option_context_set_help_enabled (context, FALSE);
  g_option_context_set_summary (context, usage->about);
  g_option_context_set_description (context, usage->more);
  if (own != NULL)
    g_option_context_add_main_entries (context, own, NULL);
  if (usage->has_json)
    add_json_switch (context, self);
  g_option_context_add_main_entries (context, common, NULL);
  if (usage->group != NULL)
    g_option_context_add_group (context, usage->group);
  if (usage->has_conditions)
    g_option_context_add_group (context, make_conditions_group (self));
  return context;
}

static TideExit
check_condition (TideArguments *self, const TideUsage *usage, TideCondition field)
{
  const char *text = self->condition_texts[field];
  if (text == NULL)
    return TIDE_GO_ON;
  if (!g_utf8_validate (text, -1, NULL))
    return tide_wrong_use (usage->verb, _ ("--%s: not valid UTF-8 text"),
                           tide_condition_get_id (field));
  g_autoptr (GError) error = NULL;
  if (!tide_condition_check (field, text, &error))
    return tide_wrong_use (usage->verb, "%s", error->message);
  tide_conditions_set (self->conditions, field, text);
  return TIDE_GO_ON;
}

static TideExit
take_conditions (TideArguments *self, const TideUsage *usage)
{
  if (!usage->has_conditions)
    return TIDE_GO_ON;
  self->conditions = tide_conditions_new ();
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    if (check_condition (self, usage, i) != TIDE_GO_ON)
      return TIDE_EXIT_WRONG_USE;
  return TIDE_GO_ON;
}

static TideExit
take_words (TideArguments *self, const TideUsage *usage)
{
  if (self->words == NULL)
    self->words = g_new0 (char *, 1);
  self->n_words = g_strv_length (self->words);
  if (usage->word == NULL && self->n_words > 0)
    return tide_wrong_use (usage->verb, _ ("unexpected word: %s"), self->words[0]);
  if (usage->word != NULL && self->n_words == 0 && !usage->may_be_bare)
    return tide_wrong_use (usage->verb, _ ("name at least one %s"), usage->word);
  for (guint i = 0; i < self->n_words; i++)
    if (*self->words[i] == '\0')
      return tide_wrong_use (usage->verb, _ ("an empty word is no %s"), usage->word);
  return TIDE_GO_ON;
}

static TideExit
take_library (TideArguments *self, const TideUsage *usage)
{
  if (self->library == NULL)
    self->library = tide_store_default_path ();
  if (*self->library == '\0')
    return tide_wrong_use (usage->verb, _ ("--library: the path is empty"));
  return TIDE_GO_ON;
}

/* Public */

TideExit
tide_arguments_parse (TideArguments *self,
                      const TideUsage *usage,
                      const GOptionEntry *own,
                      int argc,
                      char **argv)
{
  gboolean help = FALSE;
  g_autoptr (GOptionContext) context = make_context (self, usage, own, &help);
  /* GOption takes what it knows out of the array; the strings stay the caller's. */
  g_autofree char **rest = g_memdup2 (argv, sizeof *argv * ((gsize)argc + 1));
  g_autofree char *program = g_strconcat ("tide ", usage->verb, NULL);
  g_set_prgname (program);

  g_autoptr (GError) error = NULL;
  if (!g_option_context_parse (context, &argc, &rest, &error))
    return tide_wrong_use (usage->verb, "%s", error->message);
  if (help)
    {
      g_autofree char *text = g_option_context_get_help (context, FALSE, NULL);
      fputs (text, stdout);
      return TIDE_EXIT_DONE;
    }
  TideExit exit = take_words (self, usage);
  if (exit == TIDE_GO_ON)
    exit = take_library (self, usage);
  return exit == TIDE_GO_ON ? take_conditions (self, usage) : exit;
}

void
tide_arguments_clear (TideArguments *self)
{
  g_free (self->library);
  g_strfreev (self->words);
  g_clear_pointer (&self->conditions, tide_conditions_free);
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    g_free (self->condition_texts[i]);
}

gboolean
tide_parse_number (const char *text, double low, double high, double *value)
{
  /* g_ascii_strtod() also takes "inf", "nan", "0x1p3" and leading blanks. */
  if (*text == '\0' || strspn (text, "0123456789.eE+-") != strlen (text))
    return FALSE;
  char *end = NULL;
  double number = g_ascii_strtod (text, &end);
  if (end == text || *end != '\0' || !isfinite (number) || number < low || number > high)
    return FALSE;
  *value = number;
  return TRUE;
}

gboolean
tide_parse_size (const char *text, int *width, int *height)
{
  g_auto (GStrv) parts = g_strsplit_set (text, "xX", 3);
  guint64 w, h;
  if (g_strv_length (parts) != 2
      || !g_ascii_string_to_unsigned (parts[0], 10, 1, G_MAXINT, &w, NULL)
      || !g_ascii_string_to_unsigned (parts[1], 10, 1, G_MAXINT, &h, NULL))
    return FALSE;
  *width = (int)w;
  *height = (int)h;
  return TRUE;
}

TideExit
tide_choose (const char *verb,
             const char *option,
             const char *given,
             const char *const *ids,
             guint *index)
{
  if (given == NULL)
    return TIDE_GO_ON;
  for (guint i = 0; ids[i] != NULL; i++)
    if (strcmp (given, ids[i]) == 0)
      {
        *index = i;
        return TIDE_GO_ON;
      }
  g_autofree char *choices = g_strjoinv (", ", (char **)ids);
  return tide_wrong_use (verb, _ ("%s: %s is none of %s"), option, given, choices);
}

TideExit
tide_choose_alignment (const char *verb, const char *given, TideAlignment *alignment)
{
  const char *ids[TIDE_N_ALIGNMENTS + 1] = { NULL };
  for (guint i = 0; i < TIDE_N_ALIGNMENTS; i++)
    ids[i] = tide_alignment_get_id (i);
  guint index = *alignment;
  TideExit exit = tide_choose (verb, "--align", given, ids, &index);
  *alignment = index;
  return exit;
}

TideExit
tide_wrong_use (const char *verb, const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *what = g_strdup_vprintf (format, args);
  va_end (args);
  g_autofree char *line = g_strdup_printf (_ ("%s: %s (see “tide %s --help”)"), verb, what, verb);
  print_line (line);
  return TIDE_EXIT_WRONG_USE;
}

TideExit
tide_work_failed (const GError *error)
{
  print_line (error->message);
  return TIDE_EXIT_FAILED;
}

void
tide_remark (const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  print_line (text);
}
