/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See glance.h. One read of a file's head, at most five where it has to be probed. */
#include "intake/glance.h"

struct _TideGlance
{
  gatomicrefcount ref_count;
  GFile *file;
  char *name;
  TideReadingRule *rule;
  TideConditions *stated;
  gboolean replace;
  char *rule_name;   /* may be NULL */
  GPtrArray *tables; /* may be NULL */
  gboolean is_probe;
  guint supposed; /* the column that only the probe says something of, from 1; 0: none */
  GError *error;  /* may be NULL */
};

static TideGlance *
new_glance (GFile *file, const TideReadingRule *rule)
{
  TideGlance *glance = g_new0 (TideGlance, 1);
  g_autofree char *name = g_file_get_basename (file);

  g_atomic_ref_count_init (&glance->ref_count);
  glance->file = g_object_ref (file);
  glance->name = name != NULL ? g_filename_display_name (name) : g_file_get_uri (file);
  glance->rule = rule != NULL ? tide_reading_rule_copy (rule) : tide_reading_rule_new ();
  glance->stated = tide_conditions_new ();
  return glance;
}

TideGlance *
tide_glance_ref (TideGlance *glance)
{
  g_atomic_ref_count_inc (&glance->ref_count);
  return glance;
}

void
tide_glance_unref (TideGlance *glance)
{
  if (!g_atomic_ref_count_dec (&glance->ref_count))
    return;
  g_object_unref (glance->file);
  g_free (glance->name);
  tide_reading_rule_free (glance->rule);
  tide_conditions_free (glance->stated);
  g_free (glance->rule_name);
  g_clear_pointer (&glance->tables, g_ptr_array_unref);
  g_clear_error (&glance->error);
  g_free (glance);
}

/* Probing */

gboolean
tide_glance_can_mend (const GError *error)
{
  static const TideReadingError mendable[] = {
    TIDE_READING_ERROR_NO_TABLE, TIDE_READING_ERROR_NO_TIME, TIDE_READING_ERROR_AMBIGUOUS,
    TIDE_READING_ERROR_BROKEN,   TIDE_READING_ERROR_RULE,
  };

  for (guint i = 0; i < G_N_ELEMENTS (mendable); i++)
    if (g_error_matches (error, TIDE_READING_ERROR, (int)mendable[i]))
      return TRUE;
  return FALSE;
}

typedef struct
{
  const char *key, *text;
} Statement;

/* The file as it reads when these are stated too, where nothing else is. */
static gboolean
probe (TideGlance *glance,
       const Statement *statements,
       guint n,
       guint supposed,
       GCancellable *cancellable)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideReadOptions options = { .rule = rule };

  for (guint i = 0; i < n; i++)
    if (!tide_reading_rule_set (rule, statements[i].key, statements[i].text, NULL))
      return FALSE;
  tide_reading_rule_merge (rule, glance->rule);
  glance->tables = tide_understand_file (glance->file, &options, cancellable, NULL);
  glance->is_probe = glance->tables != NULL;
  glance->supposed = glance->is_probe ? supposed : 0;
  return glance->is_probe;
}

/* A table with names but no time; with a time, but nothing else that is known; rows without any
 * names. */
static void
probe_file (TideGlance *glance, GCancellable *cancellable)
{
  static const Statement no_time[] = { { "every", "1" } };
  static const Statement second[] = { { "column", "w=2" } }, first[] = { { "column", "w=1" } };
  static const Statement no_names[] = { { "every", "1" }, { "header", "0" }, { "column", "w=1" } };

  if (!probe (glance, no_time, G_N_ELEMENTS (no_time), 0, cancellable)
      && !probe (glance, second, G_N_ELEMENTS (second), 2, cancellable)
      && !probe (glance, first, G_N_ELEMENTS (first), 1, cancellable))
    probe (glance, no_names, G_N_ELEMENTS (no_names), 1, cancellable);
}

/* Taking */

/* What the library remembers becomes what is stated, so that from here on the rule says it all. */
static gboolean
take_over_remembered (TideGlance *glance, TideStore *store, GError **error)
{
  g_autoptr (TideStoredRule) stored = NULL;
  g_autoptr (TideReadingRule) rule = NULL;

  if (glance->rule_name == NULL)
    return TRUE;
  if (!tide_store_find_rule (store, glance->rule_name, FALSE, &stored, error))
    return FALSE;
  if (stored == NULL) /* removed just now by another program */
    {
      g_clear_pointer (&glance->rule_name, g_free);
      return TRUE;
    }
  rule = tide_reading_rule_from_text (stored->text, error);
  if (rule == NULL)
    return FALSE;
  tide_reading_rule_merge (rule, glance->rule);
  tide_reading_rule_free (glance->rule);
  glance->rule = g_steal_pointer (&rule);
  return TRUE;
}

TideGlance *
tide_glance_take (TideStore *store,
                  GFile *file,
                  const TideReadingRule *rule,
                  GCancellable *cancellable,
                  GError **error)
{
  g_autoptr (TideGlance) glance = new_glance (file, rule);
  TideIntakeOptions options = { .read.rule = rule, .ignore_rules = rule != NULL };

  glance->tables = tide_intake_understand (store, file, &options, &glance->rule_name, cancellable,
                                           &glance->error);
  if (glance->error != NULL)
    {
      gboolean stopped = g_error_matches (glance->error, G_IO_ERROR, G_IO_ERROR_CANCELLED);

      if (!stopped && tide_glance_can_mend (glance->error))
        probe_file (glance, cancellable);
      if (stopped || (rule == NULL && glance->tables == NULL))
        {
          g_propagate_error (error, g_steal_pointer (&glance->error));
          return NULL;
        }
    }
  if (!take_over_remembered (glance, store, error))
    return NULL;
  return g_steal_pointer (&glance);
}

static TideGlance *
copy_glance (TideGlance *glance, const TideReadingRule *rule)
{
  TideGlance *copy = new_glance (glance->file, rule);

  copy->replace = glance->replace;
  copy->rule_name = g_strdup (glance->rule_name);
  copy->tables = glance->tables != NULL ? g_ptr_array_ref (glance->tables) : NULL;
  copy->is_probe = glance->is_probe;
  copy->supposed = glance->supposed;
  tide_conditions_free (copy->stated);
  copy->stated = tide_conditions_copy (glance->stated);
  return copy;
}

TideGlance *
tide_glance_refused (TideGlance *glance, GError *error)
{
  TideGlance *copy = copy_glance (glance, glance->rule);

  copy->error = error;
  return copy;
}

TideGlance *
tide_glance_request (TideGlance *glance,
                     const TideReadingRule *rule,
                     const TideConditions *stated,
                     gboolean replace)
{
  TideGlance *copy = copy_glance (glance, rule);

  copy->replace = replace;
  tide_conditions_free (copy->stated);
  copy->stated = tide_conditions_copy (stated);
  return copy;
}

/* What it says */

GFile *
tide_glance_get_file (TideGlance *glance)
{
  return glance->file;
}

const char *
tide_glance_get_name (TideGlance *glance)
{
  return glance->name;
}

const TideReadingRule *
tide_glance_get_rule (TideGlance *glance)
{
  return glance->rule;
}

const TideConditions *
tide_glance_get_stated (TideGlance *glance)
{
  return glance->stated;
}

gboolean
tide_glance_get_replace (TideGlance *glance)
{
  return glance->replace;
}

const char *
tide_glance_get_rule_name (TideGlance *glance)
{
  return glance->rule_name;
}

GPtrArray *
tide_glance_get_tables (TideGlance *glance)
{
  return glance->tables;
}

gboolean
tide_glance_is_probe (TideGlance *glance)
{
  return glance->is_probe;
}

guint
tide_glance_get_supposed (TideGlance *glance)
{
  return glance->supposed;
}

const GError *
tide_glance_get_error (TideGlance *glance)
{
  return glance->error;
}

gboolean
tide_glance_has_open (TideGlance *glance)
{
  for (guint i = 0; glance->tables != NULL && i < glance->tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (glance->tables->pdata[i]);

      for (guint q = 0; q < questions->len; q++)
        if (((const TideQuestion *)questions->pdata[q])->is_open)
          return TRUE;
    }
  return FALSE;
}

gboolean
tide_glance_is_sure (TideGlance *glance)
{
  if (glance->error != NULL || glance->tables == NULL || tide_glance_has_open (glance))
    return FALSE;
  if (glance->rule_name != NULL)
    return TRUE;
  for (guint i = 0; i < glance->tables->len; i++)
    if (!tide_understanding_is_sure (glance->tables->pdata[i]))
      return FALSE;
  return TRUE;
}

const char *
tide_glance_get_signature (TideGlance *glance)
{
  if (glance->tables == NULL || glance->is_probe)
    return "";
  return tide_understanding_get_signature (glance->tables->pdata[0]);
}

/* Alike: headers, what is asked, and with what answers. */
static void
add_table_key (GString *key, TideUnderstanding *table)
{
  GPtrArray *questions = tide_understanding_get_questions (table);
  guint n_columns = tide_understanding_get_n_columns (table);

  g_string_append_printf (key, "\n%s\n%c%c", tide_understanding_get_signature (table),
                          tide_understanding_get_delimiter (table),
                          tide_understanding_get_decimal_mark (table));
  for (guint c = 0; c < n_columns; c++)
    g_string_append_printf (key, "\t%s", tide_understanding_get_column (table, c).name);
  for (guint q = 0; q < questions->len; q++)
    {
      const TideQuestion *question = questions->pdata[q];

      for (guint a = 0; a < question->answers->len; a++)
        {
          const TideAnswer *answer = question->answers->pdata[a];

          g_string_append_printf (key, "\n?%s=%s", answer->key, answer->text);
        }
    }
}

char *
tide_glance_dup_key (TideGlance *glance)
{
  g_autofree char *rule = tide_reading_rule_to_text (glance->rule);
  GString *key = g_string_new (rule);

  if (glance->error != NULL)
    g_string_append_printf (key, "\n%s %d", g_quark_to_string (glance->error->domain),
                            glance->error->code);
  for (guint i = 0; glance->tables != NULL && i < glance->tables->len; i++)
    add_table_key (key, glance->tables->pdata[i]);
  return g_string_free (key, FALSE);
}
