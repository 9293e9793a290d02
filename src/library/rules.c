/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading rules kept in the library: a name of the person's, the signature of the headers that the
 * rule is for, and the rule's text, into which the library does not look.
 *
 * Names are unique, byte for byte; several rules may stand for one signature, and then the one
 * saved last is found. Refused, with nothing changed: a name that is empty, no UTF-8 or longer than
 * 200 bytes; a text above 64 KiB; an empty signature, which a file could not be known again by.
 */
#include "library/store-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#define SELECT_RULE "SELECT id, name, signature, text, saved_us FROM rule "

void
tide_stored_rule_free (TideStoredRule *rule)
{
  if (rule == NULL)
    return;
  g_free (rule->name);
  g_free (rule->signature);
  g_free (rule->text);
  g_free (rule);
}

/* "" where a damaged file has NULL. */
static char *
read_text (sqlite3_stmt *statement, int column)
{
  char *text = tide_sql_get_text (statement, column);

  return text != NULL ? text : g_strdup ("");
}

static TideStoredRule *
read_rule (sqlite3_stmt *statement)
{
  TideStoredRule *rule = g_new0 (TideStoredRule, 1);

  rule->id = sqlite3_column_int64 (statement, 0);
  rule->name = read_text (statement, 1);
  rule->signature = read_text (statement, 2);
  rule->text = read_text (statement, 3);
  rule->saved_us = sqlite3_column_int64 (statement, 4);
  return rule;
}

/* Refuses what cannot be kept. */
static gboolean
check_name (const char *name, GError **error)
{
  gsize length = strlen (name);

  if (length >= 1 && length <= TIDE_MAX_RULE_NAME_BYTES && g_utf8_validate (name, -1, NULL))
    return TRUE;
  if (length == 0)
    g_set_error_literal (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                         _ ("a rule needs a name; nothing was changed"));
  else if (length > TIDE_MAX_RULE_NAME_BYTES)
    g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                 _ ("the name of a rule may have %d bytes and has %zu; nothing was changed"),
                 TIDE_MAX_RULE_NAME_BYTES, length);
  else
    g_set_error_literal (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                         _ ("the name of a rule must be valid UTF-8 text; nothing was changed"));
  return FALSE;
}

static gboolean
check_content (const char *name, const char *signature, const char *text, GError **error)
{
  gsize length = strlen (text);

  if (*signature == '\0')
    {
      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                   _ ("%s: the file has no header by which the next one could be known; "
                      "nothing was changed"),
                   name);
      return FALSE;
    }
  if (length > TIDE_MAX_RULE_TEXT_BYTES)
    {
      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                   _ ("%s: the text of a rule may have %d bytes and has %zu; nothing was changed"),
                   name, TIDE_MAX_RULE_TEXT_BYTES, length);
      return FALSE;
    }
  return TRUE;
}

static void
add_rule_cb (sqlite3_stmt *row, gpointer list)
{
  g_ptr_array_add (list, read_rule (row));
}

GPtrArray *
tide_store_list_rules (TideStore *store, GError **error)
{
  g_autoptr (GPtrArray) list =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_stored_rule_free);
  g_autoptr (sqlite3_stmt) statement = NULL;

  store->outcome = _ ("the rules were not read");
  statement = tide_store_prepare (store, SELECT_RULE "ORDER BY name", error);
  if (statement == NULL)
    return NULL;
  if (!tide_store_each (store, statement, add_rule_cb, list, error))
    return NULL;
  return g_steal_pointer (&list);
}

gboolean
tide_store_find_rule (TideStore *store,
                      const char *word,
                      gboolean by_signature,
                      TideStoredRule **rule,
                      GError **error)
{
  const char *sql = by_signature ? SELECT_RULE
                        "WHERE signature = ?1 ORDER BY saved_us DESC, id DESC LIMIT 1"
                                 : SELECT_RULE "WHERE name = ?1";
  g_autoptr (sqlite3_stmt) statement = NULL;
  gboolean has_row;

  g_return_val_if_fail (word != NULL && rule != NULL, FALSE);

  *rule = NULL;
  store->outcome = _ ("no rule was looked up");
  statement = tide_store_prepare (store, sql, error);
  if (statement == NULL)
    return FALSE;
  tide_sql_bind_text (statement, 1, word);
  if (!tide_store_step (store, statement, &has_row, error))
    return FALSE;
  if (has_row)
    *rule = read_rule (statement);
  return TRUE;
}

/* Steps a statement that gives one number, to its end: it is committed only there. */
static gint64
step_returning (TideStore *store, sqlite3_stmt *statement, GError **error)
{
  gboolean has_row;
  gint64 id;

  if (!tide_store_step (store, statement, &has_row, error))
    return 0;
  id = has_row ? sqlite3_column_int64 (statement, 0) : 0;
  return tide_store_step (store, statement, NULL, error) ? id : 0;
}

gint64
tide_store_save_rule (TideStore *store,
                      const char *name,
                      const char *signature,
                      const char *text,
                      GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;

  g_return_val_if_fail (name != NULL && signature != NULL && text != NULL, 0);

  if (!check_name (name, error) || !check_content (name, signature, text, error))
    return 0;
  store->outcome = _ ("the rule was not saved");
  statement = tide_store_prepare (
      store,
      "INSERT INTO rule (name, signature, text, saved_us) VALUES (?1, ?2, ?3, ?4)"
      " ON CONFLICT (name) DO UPDATE SET signature = ?2, text = ?3, saved_us = ?4 RETURNING id",
      error);
  if (statement == NULL)
    return 0;
  tide_sql_bind_text (statement, 1, name);
  tide_sql_bind_text (statement, 2, signature);
  tide_sql_bind_text (statement, 3, text);
  sqlite3_bind_int64 (statement, 4, g_get_real_time ());
  return step_returning (store, statement, error);
}

static void
fail_no_rule (TideStore *store, gint64 id, GError **error)
{
  g_autofree char *path = g_filename_display_name (store->path);

  g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE, _ ("%s: there is no rule %" PRId64),
               path, id);
}

/* Why nothing was renamed. */
static void
fail_rename (TideStore *store, gint64 id, const char *name, GError **error)
{
  g_autoptr (TideStoredRule) namesake = NULL;

  if (!tide_store_find_rule (store, name, FALSE, &namesake, error))
    return;
  if (namesake != NULL)
    g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_RULE,
                 _ ("%s: another rule is called that; nothing was changed"), name);
  else
    fail_no_rule (store, id, error);
}

gboolean
tide_store_rename_rule (TideStore *store, gint64 id, const char *name, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;

  g_return_val_if_fail (name != NULL, FALSE);

  if (!check_name (name, error))
    return FALSE;
  store->outcome = _ ("the rule was not renamed");
  statement =
      tide_store_prepare (store,
                          "UPDATE rule SET name = ?2 WHERE id = ?1 AND NOT EXISTS"
                          " (SELECT 1 FROM rule AS other WHERE other.name = ?2 AND other.id <> ?1)",
                          error);
  if (statement == NULL)
    return FALSE;
  sqlite3_bind_int64 (statement, 1, id);
  tide_sql_bind_text (statement, 2, name);
  if (!tide_store_step (store, statement, NULL, error))
    return FALSE;
  if (sqlite3_changes (store->db) > 0)
    return TRUE;
  fail_rename (store, id, name, error);
  return FALSE;
}

gboolean
tide_store_remove_rule (TideStore *store, gint64 id, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;

  store->outcome = _ ("the rule was not removed");
  statement = tide_store_prepare (store, "DELETE FROM rule WHERE id = ?1", error);
  if (statement == NULL)
    return FALSE;
  sqlite3_bind_int64 (statement, 1, id);
  if (!tide_store_step (store, statement, NULL, error))
    return FALSE;
  if (sqlite3_changes (store->db) > 0)
    return TRUE;
  fail_no_rule (store, id, error);
  return FALSE;
}
