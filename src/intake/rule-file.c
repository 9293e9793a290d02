/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See rule-file.h. */
#include "intake/rule-file.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "reading/reading.h"

#define GROUP         "Files"
#define NAME_KEY      "name"
#define SIGNATURE_KEY "signature"
/* A rule is 64 KiB at most; a header of many long names stands beside it. */
#define MAX_FILE_BYTES (1024 * 1024)

static TideStoredRule *
refuse (GError **error, const char *why)
{
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               _ ("not a file of a reading rule: %s"), why);
  return NULL;
}

char *
tide_rule_file_to_text (const TideStoredRule *rule)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autofree char *head = NULL;

  g_key_file_set_string (file, GROUP, NAME_KEY, rule->name);
  g_key_file_set_string (file, GROUP, SIGNATURE_KEY, rule->signature);
  head = g_key_file_to_data (file, NULL, NULL);
  return g_strconcat (head, "\n", rule->text, NULL);
}

/* The rule's own key file is what is left without the group. */
static char *
take_rule_text (GKeyFile *file, GError **error)
{
  g_autofree char *text = NULL;
  g_autoptr (TideReadingRule) rule = NULL;

  if (!g_key_file_remove_group (file, GROUP, error))
    return NULL;
  text = g_key_file_to_data (file, NULL, NULL);
  rule = tide_reading_rule_from_text (text, error);
  return rule != NULL ? tide_reading_rule_to_text (rule) : NULL;
}

TideStoredRule *
tide_rule_file_from_text (const char *text, GError **error)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autoptr (TideStoredRule) rule = NULL;

  if (!g_utf8_validate (text, -1, NULL)
      || !g_key_file_load_from_data (file, text, (gsize)-1, G_KEY_FILE_NONE, NULL))
    return refuse (error, _ ("its text is no key file"));
  rule = g_new0 (TideStoredRule, 1);
  rule->name = g_key_file_get_string (file, GROUP, NAME_KEY, NULL);
  rule->signature = g_key_file_get_string (file, GROUP, SIGNATURE_KEY, NULL);
  if (rule->name == NULL || *rule->name == '\0' || rule->signature == NULL)
    return refuse (error, _ ("the group [Files] with the name and the signature is missing"));
  rule->text = take_rule_text (file, error);
  return rule->text != NULL ? g_steal_pointer (&rule) : NULL;
}

gboolean
tide_rule_file_write (const TideStoredRule *rule, GFile *file, GError **error)
{
  g_autofree char *text = tide_rule_file_to_text (rule);

  return g_file_replace_contents (file, text, strlen (text), NULL, FALSE, G_FILE_CREATE_NONE, NULL,
                                  NULL, error);
}

TideStoredRule *
tide_rule_file_read (GFile *file, GError **error)
{
  g_autoptr (GFileInputStream) stream = g_file_read (file, NULL, error);
  g_autofree char *text = NULL;
  gsize length;

  if (stream == NULL)
    return NULL;
  text = g_malloc (MAX_FILE_BYTES + 1);
  if (!g_input_stream_read_all (G_INPUT_STREAM (stream), text, MAX_FILE_BYTES + 1, &length, NULL,
                                error))
    return NULL;
  if (length > MAX_FILE_BYTES)
    return refuse (error, _ ("it is longer than 1 MiB"));
  if (memchr (text, '\0', length) != NULL)
    return refuse (error, _ ("its text is no key file"));
  text[length] = '\0';
  return tide_rule_file_from_text (text, error);
}
