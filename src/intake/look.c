/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See look.h. One read of a file's head, at most three where it has to be probed. */
#include "intake/look.h"

struct _TideLook
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
  GError *error; /* may be NULL */
};

static TideLook *
new_look (GFile *file, const TideReadingRule *rule)
{
  TideLook *look = g_new0 (TideLook, 1);
  g_autofree char *name = g_file_get_basename (file);

  g_atomic_ref_count_init (&look->ref_count);
  look->file = g_object_ref (file);
  look->name = name != NULL ? g_filename_display_name (name) : g_file_get_uri (file);
  look->rule = rule != NULL ? tide_reading_rule_copy (rule) : tide_reading_rule_new ();
  look->stated = tide_conditions_new ();
  return look;
}

TideLook *
tide_look_ref (TideLook *look)
{
  g_atomic_ref_count_inc (&look->ref_count);
  return look;
}

void
tide_look_unref (TideLook *look)
{
  if (!g_atomic_ref_count_dec (&look->ref_count))
    return;
  g_object_unref (look->file);
  g_free (look->name);
  tide_reading_rule_free (look->rule);
  tide_conditions_free (look->stated);
  g_free (look->rule_name);
  g_clear_pointer (&look->tables, g_ptr_array_unref);
  g_clear_error (&look->error);
  g_free (look);
}

/* Probing */

gboolean
tide_look_can_mend (const GError *error)
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
static GPtrArray *
probe (TideLook *look, const Statement *statements, guint n, GCancellable *cancellable)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideReadOptions options = { .rule = rule };

  for (guint i = 0; i < n; i++)
    if (!tide_reading_rule_set (rule, statements[i].key, statements[i].text, NULL))
      return NULL;
  tide_reading_rule_merge (rule, look->rule);
  return tide_understand_file (look->file, &options, cancellable, NULL);
}

/* A table with names but no time; then rows without any names. */
static void
probe_file (TideLook *look, GCancellable *cancellable)
{
  static const Statement no_time[] = { { "every", "1" } };
  static const Statement no_names[] = { { "every", "1" }, { "header", "0" }, { "column", "w=1" } };

  look->tables = probe (look, no_time, G_N_ELEMENTS (no_time), cancellable);
  if (look->tables == NULL)
    look->tables = probe (look, no_names, G_N_ELEMENTS (no_names), cancellable);
  look->is_probe = look->tables != NULL;
}

/* Taking */

/* What the library remembers becomes what is stated, so that from here on the rule says it all. */
static gboolean
take_over_remembered (TideLook *look, TideStore *store, GError **error)
{
  g_autoptr (TideStoredRule) stored = NULL;
  g_autoptr (TideReadingRule) rule = NULL;

  if (look->rule_name == NULL)
    return TRUE;
  if (!tide_store_find_rule (store, look->rule_name, FALSE, &stored, error))
    return FALSE;
  if (stored == NULL) /* removed just now by another program */
    {
      g_clear_pointer (&look->rule_name, g_free);
      return TRUE;
    }
  rule = tide_reading_rule_from_text (stored->text, error);
  if (rule == NULL)
    return FALSE;
  tide_reading_rule_merge (rule, look->rule);
  tide_reading_rule_free (look->rule);
  look->rule = g_steal_pointer (&rule);
  return TRUE;
}

TideLook *
tide_look_take (TideStore *store,
                GFile *file,
                const TideReadingRule *rule,
                GCancellable *cancellable,
                GError **error)
{
  g_autoptr (TideLook) look = new_look (file, rule);
  TideIntakeOptions options = { .read.rule = rule, .ignore_rules = rule != NULL };

  look->tables =
      tide_intake_understand (store, file, &options, &look->rule_name, cancellable, &look->error);
  if (look->error != NULL)
    {
      gboolean stopped = g_error_matches (look->error, G_IO_ERROR, G_IO_ERROR_CANCELLED);

      if (!stopped && tide_look_can_mend (look->error))
        probe_file (look, cancellable);
      if (stopped || (rule == NULL && look->tables == NULL))
        {
          g_propagate_error (error, g_steal_pointer (&look->error));
          return NULL;
        }
    }
  if (!take_over_remembered (look, store, error))
    return NULL;
  return g_steal_pointer (&look);
}

static TideLook *
copy_look (TideLook *look, const TideReadingRule *rule)
{
  TideLook *copy = new_look (look->file, rule);

  copy->replace = look->replace;
  copy->rule_name = g_strdup (look->rule_name);
  copy->tables = look->tables != NULL ? g_ptr_array_ref (look->tables) : NULL;
  copy->is_probe = look->is_probe;
  tide_conditions_free (copy->stated);
  copy->stated = tide_conditions_copy (look->stated);
  return copy;
}

TideLook *
tide_look_refused (TideLook *look, GError *error)
{
  TideLook *copy = copy_look (look, look->rule);

  copy->error = error;
  return copy;
}

TideLook *
tide_look_request (TideLook *look,
                   const TideReadingRule *rule,
                   const TideConditions *stated,
                   gboolean replace)
{
  TideLook *copy = copy_look (look, rule);

  copy->replace = replace;
  tide_conditions_free (copy->stated);
  copy->stated = tide_conditions_copy (stated);
  return copy;
}

/* What it says */

GFile *
tide_look_get_file (TideLook *look)
{
  return look->file;
}

const char *
tide_look_get_name (TideLook *look)
{
  return look->name;
}

const TideReadingRule *
tide_look_get_rule (TideLook *look)
{
  return look->rule;
}

const TideConditions *
tide_look_get_stated (TideLook *look)
{
  return look->stated;
}

gboolean
tide_look_get_replace (TideLook *look)
{
  return look->replace;
}

const char *
tide_look_get_rule_name (TideLook *look)
{
  return look->rule_name;
}

GPtrArray *
tide_look_get_tables (TideLook *look)
{
  return look->tables;
}

gboolean
tide_look_is_probe (TideLook *look)
{
  return look->is_probe;
}

const GError *
tide_look_get_error (TideLook *look)
{
  return look->error;
}

gboolean
tide_look_has_open (TideLook *look)
{
  for (guint i = 0; look->tables != NULL && i < look->tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (look->tables->pdata[i]);

      for (guint q = 0; q < questions->len; q++)
        if (((const TideQuestion *)questions->pdata[q])->is_open)
          return TRUE;
    }
  return FALSE;
}

gboolean
tide_look_is_sure (TideLook *look)
{
  if (look->error != NULL || look->tables == NULL || tide_look_has_open (look))
    return FALSE;
  if (look->rule_name != NULL)
    return TRUE;
  for (guint i = 0; i < look->tables->len; i++)
    if (!tide_understanding_is_sure (look->tables->pdata[i]))
      return FALSE;
  return TRUE;
}

const char *
tide_look_get_signature (TideLook *look)
{
  const char *signature = NULL;

  for (guint i = 0; look->tables != NULL && i < look->tables->len; i++)
    {
      const char *other = tide_understanding_get_signature (look->tables->pdata[i]);

      if (signature != NULL && !g_str_equal (signature, other))
        return "";
      signature = other;
    }
  return signature != NULL && !look->is_probe ? signature : "";
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
tide_look_dup_key (TideLook *look)
{
  g_autofree char *rule = tide_reading_rule_to_text (look->rule);
  GString *key = g_string_new (rule);

  if (look->error != NULL)
    g_string_append_printf (key, "\n%s %d", g_quark_to_string (look->error->domain),
                            look->error->code);
  for (guint i = 0; look->tables != NULL && i < look->tables->len; i++)
    add_table_key (key, look->tables->pdata[i]);
  return g_string_free (key, FALSE);
}
