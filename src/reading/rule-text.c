/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule as a key file of one group, and back. A file with anything in it that is not
 * known, or written by a newer version, is refused: half a rule would read a file wrongly.
 */
#include "reading/rule.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "reading/rule-private.h"

#define GROUP       "Reading rule"
#define VERSION_KEY "version"
#define VERSION     1

static gboolean
may_have_many (const char *key)
{
  return g_strcmp0 (key, "column") == 0;
}

char *
tide_reading_rule_to_text (const TideReadingRule *rule)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_key_file_set_integer (file, GROUP, VERSION_KEY, VERSION);
  const char *const *keys = tide_reading_rule_get_keys ();
  for (guint i = 0; keys[i]; i++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, keys[i]);
      if (texts[0] && may_have_many (keys[i]))
        g_key_file_set_string_list (file, GROUP, keys[i], (const char *const *)texts,
                                    g_strv_length (texts));
      else if (texts[0])
        g_key_file_set_string (file, GROUP, keys[i], texts[0]);
    }
  return g_key_file_to_data (file, NULL, NULL);
}

static gboolean
refuse (GError **error, const char *text)
{
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE, _ ("not a reading rule: %s"),
               text);
  return FALSE;
}

static gboolean
take_key (TideReadingRule *rule, GKeyFile *file, const char *key, GError **error)
{
  g_auto (GStrv) texts = NULL;
  g_autoptr (GError) problem = NULL;
  if (may_have_many (key))
    texts = g_key_file_get_string_list (file, GROUP, key, NULL, &problem);
  else
    {
      texts = g_new0 (char *, 2);
      texts[0] = g_key_file_get_string (file, GROUP, key, &problem);
    }
  /* with an escape that is none, a text comes along with the error */
  if (problem || !texts || !texts[0])
    return refuse (error, _ ("a line of it cannot be read"));
  for (guint i = 0; texts[i]; i++)
    if (!tide_reading_rule_take (rule, key, texts[i], error))
      return FALSE;
  return TRUE;
}

static gboolean
check_version (GKeyFile *file, GError **error)
{
  gsize n_groups;
  g_auto (GStrv) groups = g_key_file_get_groups (file, &n_groups);
  if (n_groups != 1 || g_strcmp0 (groups[0], GROUP) != 0)
    return refuse (error, _ ("it must hold the one group [Reading rule]"));
  int version = g_key_file_get_integer (file, GROUP, VERSION_KEY, NULL);
  if (version > VERSION)
    return refuse (error, _ ("it was written by a newer version of this program"));
  return version == VERSION || refuse (error, _ ("its version is missing"));
}

TideReadingRule *
tide_reading_rule_from_text (const char *text, GError **error)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  if (strlen (text) > TIDE_RULE_MAX_TEXT_BYTES)
    {
      refuse (error, _ ("it is longer than 64 KiB"));
      return NULL;
    }
  if (!g_utf8_validate (text, -1, NULL)
      || !g_key_file_load_from_data (file, text, (gsize)-1, G_KEY_FILE_NONE, NULL))
    {
      refuse (error, _ ("its text is no key file"));
      return NULL;
    }
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  if (!check_version (file, error))
    return NULL;
  g_auto (GStrv) keys = g_key_file_get_keys (file, GROUP, NULL, NULL);
  for (guint i = 0; keys[i]; i++)
    if (g_strcmp0 (keys[i], VERSION_KEY) != 0 && !take_key (rule, file, keys[i], error))
      return NULL;
  return g_steal_pointer (&rule);
}
