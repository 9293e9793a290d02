/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule as a whole: set, asked for, merged, compared; its keys are in rule-keys.c.
 *
 * A text that is refused leaves the rule as it was; what is accepted comes back from get() in a
 * form that set() takes to the same effect. A rule's texts are bounded, so that its key file is.
 */
#include "reading/rule.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "reading/rule-private.h"

/* Of all texts of a rule together: two rules merged and each byte escaped still are a key file
 * within its bound. */
#define MAX_RULE_BYTES 15000

TideReadingRule *
tide_reading_rule_new (void)
{
  TideReadingRule *rule = g_new0 (TideReadingRule, 1);
  rule->columns = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_column_statement_free);
  rule->header_row = -1;
  return rule;
}

void
tide_reading_rule_free (TideReadingRule *rule)
{
  g_ptr_array_unref (rule->columns);
  g_free (rule->time_pattern);
  g_free (rule->encoding);
  g_free (rule->sheet);
  g_free (rule);
}

/* Texts of key, without its name. */
static char **
get_texts (const TideReadingRule *rule, const TideRuleKey *key)
{
  g_autoptr (GPtrArray) texts = g_ptr_array_new ();
  if (!key->get)
    for (guint i = 0; i < rule->columns->len; i++)
      g_ptr_array_add (texts, tide_column_statement_format (g_ptr_array_index (rule->columns, i)));
  else
    {
      char *text = key->get (rule);
      if (text)
        g_ptr_array_add (texts, text);
    }
  g_ptr_array_add (texts, NULL);
  return (char **)g_ptr_array_free (g_steal_pointer (&texts), FALSE);
}

char **
tide_reading_rule_get (const TideReadingRule *rule, const char *name)
{
  const TideRuleKey *key = tide_rule_key_find (name);
  g_return_val_if_fail (key != NULL, NULL);
  return rule ? get_texts (rule, key) : g_new0 (char *, 1);
}

static gsize
count_bytes (const TideReadingRule *rule)
{
  gsize n = 0;
  for (const char *const *key = tide_reading_rule_get_keys (); *key; key++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, *key);
      for (guint k = 0; texts[k]; k++)
        n += strlen (texts[k]) + 1;
    }
  return n;
}

gboolean
tide_reading_rule_take (TideReadingRule *rule, const char *name, const char *text, GError **error)
{
  const TideRuleKey *key = tide_rule_key_find (name);
  if (!key)
    {
      g_autofree char *all = g_strjoinv (", ", (char **)tide_reading_rule_get_keys ());
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   _ ("%s: a reading rule has no such key; it has %s"), name, all);
      return FALSE;
    }
  if (text && !g_utf8_validate (text, -1, NULL))
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   _ ("%s: the text is not UTF-8"), name);
      return FALSE;
    }
  g_autofree char *stripped = g_strdup (text);
  /* a blank or a tab between columns may be stated as itself */
  if (text && key->get && g_strcmp0 (name, "delimiter") != 0)
    g_strstrip (stripped);
  return key->set (rule, stripped, error);
}

gboolean
tide_reading_rule_set (TideReadingRule *rule, const char *name, const char *text, GError **error)
{
  /* a new column may take the place of others; at the bound that is not weighed */
  if (text && strlen (text) + count_bytes (rule) > MAX_RULE_BYTES)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                   _ ("%s: the rule grows longer than %d bytes"), name, MAX_RULE_BYTES);
      return FALSE;
    }
  return tide_reading_rule_take (rule, name, text, error);
}

gboolean
tide_reading_rule_is_empty (const TideReadingRule *rule)
{
  return !rule || count_bytes (rule) == 0;
}

gboolean
tide_reading_rule_equal (const TideReadingRule *a, const TideReadingRule *b)
{
  for (const char *const *key = tide_reading_rule_get_keys (); *key; key++)
    {
      g_auto (GStrv) one = tide_reading_rule_get (a, *key);
      g_auto (GStrv) other = tide_reading_rule_get (b, *key);
      if (!g_strv_equal ((const char *const *)one, (const char *const *)other))
        return FALSE;
    }
  return TRUE;
}

TideReadingRule *
tide_reading_rule_copy (const TideReadingRule *rule)
{
  TideReadingRule *copy = tide_reading_rule_new ();
  tide_reading_rule_merge (copy, rule);
  return copy;
}

void
tide_reading_rule_merge (TideReadingRule *rule, const TideReadingRule *over)
{
  if (!over)
    return;
  for (guint i = 0; i < over->columns->len; i++)
    tide_reading_rule_state_column (rule, tide_column_statement_copy (
                                              g_ptr_array_index (over->columns, i)));
  for (const char *const *name = tide_reading_rule_get_keys (); *name; name++)
    {
      const TideRuleKey *key = tide_rule_key_find (*name);
      g_autofree char *text = key->get ? key->get (over) : NULL;
      if (text && !key->set (rule, text, NULL))
        g_return_if_reached ();
    }
}
