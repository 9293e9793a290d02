/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See remembered.h. Reads the head of the file once, once more by the rule that is found, and once
 * for each rule that is tried.
 */
#include "intake/remembered.h"

#include <glib/gi18n-lib.h>

typedef struct
{
  TideStore *store;
  GFile *file;
  GBytes *bytes;
  const char *name; /* of bytes */
  const TideReadingRule *stated;
  GCancellable *cancellable;
} Search;

static GPtrArray *
understand (const Search *search, const TideReadingRule *rule, GError **error)
{
  TideReadOptions options = { .rule = rule };

  return search->file != NULL
             ? tide_understand_file (search->file, &options, search->cancellable, error)
             : tide_understand_bytes (search->bytes, search->name, &options, search->cancellable,
                                      error);
}

static const char *
get_signature (GPtrArray *tables)
{
  return tide_understanding_get_signature (tables->pdata[0]);
}

/* What is stated over what is remembered. NULL: what the library holds is no rule. */
static TideReadingRule *
merge (const TideStoredRule *stored, const TideReadingRule *stated, GError **error)
{
  TideReadingRule *rule = tide_reading_rule_from_text (stored->text, error);

  if (rule != NULL)
    tide_reading_rule_merge (rule, stated);
  return rule;
}

static void
take (TideRemembered *remembered,
      const TideStoredRule *stored,
      TideReadingRule *rule,
      GPtrArray *tables)
{
  g_clear_pointer (&remembered->rule, tide_reading_rule_free);
  g_clear_pointer (&remembered->tables, g_ptr_array_unref);
  remembered->rule = rule;
  remembered->tables = tables;
  remembered->name = g_strdup (stored->name);
}

/* Reads the head by stored. FALSE: it does not fit, and why; the header need not be the rule's own.
 */
static gboolean
apply (TideRemembered *remembered,
       const Search *search,
       const TideStoredRule *stored,
       GError **error)
{
  g_autoptr (TideReadingRule) rule = merge (stored, search->stated, error);
  g_autoptr (GPtrArray) tables = rule != NULL ? understand (search, rule, error) : NULL;

  if (tables == NULL)
    return FALSE;
  if (!g_str_equal (get_signature (tables), stored->signature))
    {
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                           _ ("by it the file has another header"));
      return FALSE;
    }
  take (remembered, stored, g_steal_pointer (&rule), g_steal_pointer (&tables));
  return TRUE;
}

static gboolean
are_sure (GPtrArray *tables)
{
  for (guint i = 0; i < tables->len; i++)
    if (!tide_understanding_is_sure (tables->pdata[i]))
      return FALSE;
  return TRUE;
}

static gboolean
was_cancelled (const GError *error)
{
  return g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

/* The file has the header that stored was kept for. */
static gboolean
apply_or_complain (TideRemembered *remembered,
                   const Search *search,
                   const TideStoredRule *stored,
                   GError **error)
{
  g_autoptr (GError) problem = NULL;

  if (apply (remembered, search, stored, &problem))
    return TRUE;
  if (was_cancelled (problem) || !are_sure (remembered->tables))
    {
      if (!was_cancelled (problem))
        g_prefix_error (&problem, _ ("the remembered rule \"%s\" does not fit: "), stored->name);
      g_propagate_error (error, g_steal_pointer (&problem));
      return FALSE;
    }
  g_ptr_array_add (remembered->complaints,
                   tide_complaint_new (0, NULL,
                                       _ ("the remembered rule \"%s\" does not fit and was left "
                                          "out: %s"),
                                       stored->name, problem->message));
  g_ptr_array_add (tide_understanding_get_complaints (remembered->tables->pdata[0]),
                   tide_complaint_copy (remembered->complaints->pdata[0]));
  return TRUE;
}

static int
compare_saved (gconstpointer a, gconstpointer b)
{
  const TideStoredRule *one = *(TideStoredRule *const *)a, *other = *(TideStoredRule *const *)b;

  return (other->saved_us > one->saved_us) - (other->saved_us < one->saved_us);
}

/* A rule that says where the names stand finds a header that the file by itself does not show. */
static gboolean
may_show_another_header (const TideStoredRule *stored)
{
  static const char *const keys[] = { "header", "delimiter", "encoding", "sheet", "table" };
  g_autoptr (TideReadingRule) rule = tide_reading_rule_from_text (stored->text, NULL);

  for (guint i = 0; rule != NULL && i < G_N_ELEMENTS (keys); i++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, keys[i]);

      if (texts[0] != NULL)
        return TRUE;
    }
  return FALSE;
}

/* Tries the rules there are on a file without a header that one is kept for. */
static gboolean
try_all (TideRemembered *remembered, const Search *search, GError **error)
{
  g_autoptr (GPtrArray) rules = tide_store_list_rules (search->store, error);

  if (rules == NULL)
    return FALSE;
  g_ptr_array_sort (rules, compare_saved);
  for (guint i = 0; i < MIN (rules->len, TIDE_MAX_RULES_TRIED); i++)
    {
      const TideStoredRule *stored = rules->pdata[i];
      g_autoptr (GError) problem = NULL;

      if (*stored->signature == '\0'
          || (remembered->tables != NULL && !may_show_another_header (stored)))
        continue;
      if (apply (remembered, search, stored, &problem))
        return TRUE;
      if (was_cancelled (problem))
        {
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
    }
  return TRUE;
}

/* The file by what is stated alone; that it is not understood so is told in problem. */
static gboolean
find_by_header (TideRemembered *remembered, const Search *search, GError **problem, GError **error)
{
  g_autoptr (TideStoredRule) stored = NULL;

  remembered->tables = understand (search, search->stated, problem);
  if (remembered->tables != NULL && *get_signature (remembered->tables) != '\0')
    {
      if (!tide_store_find_rule (search->store, get_signature (remembered->tables), TRUE, &stored,
                                 error))
        return FALSE;
      if (stored != NULL)
        return apply_or_complain (remembered, search, stored, error);
    }
  return was_cancelled (*problem) || try_all (remembered, search, error);
}

gboolean
tide_remembered_find (TideRemembered *remembered,
                      TideStore *store,
                      GFile *file,
                      GBytes *bytes,
                      const char *name,
                      const TideIntakeOptions *options,
                      GCancellable *cancellable,
                      GError **error)
{
  Search search = { store, file, bytes, name, options->read.rule, cancellable };
  g_autoptr (GError) problem = NULL;

  remembered->complaints = tide_complaints_new ();
  if (search.stated != NULL)
    remembered->rule = tide_reading_rule_copy (search.stated);
  if (options->ignore_rules)
    return TRUE;
  if (file != NULL && !tide_file_can_be_read_again (file))
    {
      g_ptr_array_add (remembered->complaints,
                       tide_complaint_new (0, NULL,
                                           _ ("what comes through a pipe can be read only once; no "
                                              "remembered rule was looked for")));
      return TRUE;
    }
  if (!find_by_header (remembered, &search, &problem, error))
    return FALSE;
  if (remembered->tables != NULL)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

void
tide_remembered_clear (TideRemembered *remembered)
{
  g_clear_pointer (&remembered->rule, tide_reading_rule_free);
  g_clear_pointer (&remembered->name, g_free);
  g_clear_pointer (&remembered->tables, g_ptr_array_unref);
  g_clear_pointer (&remembered->complaints, g_ptr_array_unref);
}

void
tide_remembered_explain (const TideRemembered *remembered, GError **error)
{
  if (remembered->name != NULL && error != NULL && (*error)->domain == TIDE_READING_ERROR)
    g_prefix_error (error, _ ("by the remembered rule \"%s\": "), remembered->name);
}

GPtrArray *
tide_intake_understand (TideStore *store,
                        GFile *file,
                        const TideIntakeOptions *options,
                        char **rule_name,
                        GCancellable *cancellable,
                        GError **error)
{
  static const TideIntakeOptions nothing = { 0 };
  g_auto (TideRemembered) remembered = { 0 };

  if (options == NULL)
    options = &nothing;
  if (rule_name != NULL)
    *rule_name = NULL;
  if (options->ignore_rules || !tide_file_can_be_read_again (file))
    return tide_understand_file (file, &options->read, cancellable, error);
  if (!tide_remembered_find (&remembered, store, file, NULL, NULL, options, cancellable, error))
    return NULL;
  if (rule_name != NULL)
    *rule_name = g_steal_pointer (&remembered.name);
  return g_steal_pointer (&remembered.tables);
}
