/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See statements.h. The texts are taken apart only as far as rule.h writes them down. */
#include "intake/statements.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#define MAX_UNITS 12

static const struct
{
  const char *word, *name;
  const char *units[MAX_UNITS];
} meanings[TIDE_N_MEANINGS] = {
  [TIDE_MEANING_UNREAD] = { "-", N_ ("Not read"), { NULL } },
  [TIDE_MEANING_TIME] = { "t", N_ ("Time"), { "s", "ms", "µs", "min", "h", "d", NULL } },
  [TIDE_MEANING_VOLTAGE] = { "v", N_ ("Voltage"), { "V", "mV", "µV", "kV", NULL } },
  [TIDE_MEANING_CURRENT] = { "a", N_ ("Current"), { "A", "mA", "µA", "nA", NULL } },
  [TIDE_MEANING_POWER] = { "w", N_ ("Power"), { "W", "mW", "µW", "kW", NULL } },
  [TIDE_MEANING_ENERGY] = { "wh",
                            N_ ("Energy counter"),
                            { "Wh", "mWh", "µWh", "kWh", "J", "kJ", "Ws", NULL } },
  [TIDE_MEANING_CHARGE] = { "ah", N_ ("Charge counter"), { "Ah", "mAh", "µAh", "C", "As", NULL } },
  [TIDE_MEANING_TEMPERATURE] = { "temp", N_ ("Temperature"), { "°C", "°F", "K", NULL } },
  [TIDE_MEANING_DATA_PLUS] = { "dp", N_ ("D+"), { "V", "mV", NULL } },
  [TIDE_MEANING_DATA_MINUS] = { "dm", N_ ("D−"), { "V", "mV", NULL } },
  [TIDE_MEANING_CC1] = { "cc1", N_ ("CC1"), { "V", "mV", NULL } },
  [TIDE_MEANING_CC2] = { "cc2", N_ ("CC2"), { "V", "mV", NULL } },
};

/* In the order of TideQuantity. */
static const TideColumnMeaning of_quantity[TIDE_N_QUANTITIES] = {
  [TIDE_QUANTITY_TIME] = TIDE_MEANING_TIME,
  [TIDE_QUANTITY_VOLTAGE] = TIDE_MEANING_VOLTAGE,
  [TIDE_QUANTITY_CURRENT] = TIDE_MEANING_CURRENT,
  [TIDE_QUANTITY_POWER] = TIDE_MEANING_POWER,
  [TIDE_QUANTITY_ENERGY] = TIDE_MEANING_ENERGY,
  [TIDE_QUANTITY_CHARGE] = TIDE_MEANING_CHARGE,
  [TIDE_QUANTITY_TEMPERATURE] = TIDE_MEANING_TEMPERATURE,
  [TIDE_QUANTITY_DATA_PLUS] = TIDE_MEANING_DATA_PLUS,
  [TIDE_QUANTITY_DATA_MINUS] = TIDE_MEANING_DATA_MINUS,
  [TIDE_QUANTITY_CC1] = TIDE_MEANING_CC1,
  [TIDE_QUANTITY_CC2] = TIDE_MEANING_CC2,
};

const char *
tide_meaning_get_word (TideColumnMeaning meaning)
{
  return meanings[meaning].word;
}

const char *
tide_meaning_get_name (TideColumnMeaning meaning)
{
  return _ (meanings[meaning].name);
}

const char *const *
tide_meaning_get_units (TideColumnMeaning meaning)
{
  return meanings[meaning].units;
}

void
tide_column_state_clear (TideColumnState *state)
{
  g_clear_pointer (&state->unit, g_free);
}

/* Taking a statement apart: "v/2=3:mV" */

typedef struct
{
  TideColumnMeaning meaning;
  guint lane;
  char *column; /* a number, or a name without its quotes */
  char *unit;   /* NULL: none */
} Parts;

static void
clear_parts (Parts *parts)
{
  g_free (parts->column);
  g_free (parts->unit);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Parts, clear_parts)

static gboolean
find_meaning (const char *word, gsize length, TideColumnMeaning *meaning)
{
  for (guint i = 0; i < TIDE_N_MEANINGS; i++)
    if (strlen (meanings[i].word) == length && strncmp (meanings[i].word, word, length) == 0)
      {
        *meaning = i;
        return TRUE;
      }
  return FALSE;
}

/* Where the column's part ends and its unit begins. */
static const char *
find_colon (const char *column)
{
  const char *quote = *column == '"' ? strrchr (column + 1, '"') : NULL;

  return strchr (quote != NULL ? quote : column, ':');
}

static gboolean
take_apart (const char *text, Parts *parts)
{
  const char *equals = strchr (text, '='), *slash, *colon;
  gsize word;

  if (equals == NULL)
    return FALSE;
  slash = memchr (text, '/', (gsize)(equals - text));
  word = (gsize)((slash != NULL ? slash : equals) - text);
  if (!find_meaning (text, word, &parts->meaning))
    return FALSE;
  parts->lane = slash != NULL ? (guint)g_ascii_strtoull (slash + 1, NULL, 10) : 1;
  colon = find_colon (equals + 1);
  parts->column =
      colon != NULL ? g_strndup (equals + 1, (gsize)(colon - equals - 1)) : g_strdup (equals + 1);
  parts->unit = colon != NULL ? g_strdup (colon + 1) : NULL;
  if (parts->column[0] == '"' && g_str_has_suffix (parts->column + 1, "\""))
    {
      parts->column[strlen (parts->column) - 1] = '\0';
      memmove (parts->column, parts->column + 1, strlen (parts->column));
    }
  return TRUE;
}

static gboolean
is_about (const Parts *parts, TideUnderstanding *table, guint column)
{
  char *end;
  guint64 number = g_ascii_strtoull (parts->column, &end, 10);

  if (*end == '\0' && end != parts->column)
    return number == column + 1;
  return column < tide_understanding_get_n_columns (table)
         && g_str_equal (parts->column, tide_understanding_get_column (table, column).name);
}

/* One column */

static TideColumnState
understand_column (TideUnderstanding *table, guint column, guint supposed)
{
  TideColumnReading reading = tide_understanding_get_column (table, column);
  TideColumnState state = { TIDE_MEANING_UNREAD, MAX (reading.lane, 1), NULL, FALSE, FALSE };

  if (column + 1 == supposed)
    return state;
  if (reading.role == TIDE_ROLE_TIME || reading.role == TIDE_ROLE_DATE)
    state.meaning = TIDE_MEANING_TIME;
  else if (reading.role == TIDE_ROLE_VALUE)
    state.meaning = of_quantity[reading.quantity];
  if (state.meaning != TIDE_MEANING_UNREAD)
    state.unit = g_strdup (reading.unit);
  state.assumed = state.unit != NULL && !reading.unit_named;
  return state;
}

TideColumnState
tide_column_state_get (const TideReadingRule *rule,
                       TideUnderstanding *table,
                       guint column,
                       guint supposed)
{
  TideColumnState state = understand_column (table, column, supposed);
  g_auto (GStrv) texts = tide_reading_rule_get (rule, "column");

  for (guint i = 0; texts[i] != NULL; i++)
    {
      g_auto (Parts) parts = { 0 };

      if (!take_apart (texts[i], &parts) || !is_about (&parts, table, column))
        continue;
      if (parts.unit != NULL || parts.meaning != state.meaning)
        {
          g_free (state.unit);
          state.unit = g_steal_pointer (&parts.unit);
          state.assumed = FALSE;
        }
      state.meaning = parts.meaning;
      state.lane = MAX (parts.lane, 1);
      state.stated = TRUE;
    }
  return state;
}

/* "column" again, without what goes against a new statement about column. */
static void
drop_columns (TideReadingRule *rule,
              TideUnderstanding *table,
              guint column,
              const TideColumnState *state)
{
  g_auto (GStrv) texts = tide_reading_rule_get (rule, "column");

  tide_reading_rule_set (rule, "column", NULL, NULL);
  for (guint i = 0; texts[i] != NULL; i++)
    {
      g_auto (Parts) parts = { 0 };
      gboolean is_known = take_apart (texts[i], &parts);
      gboolean same = is_known && is_about (&parts, table, column);
      gboolean displaced = is_known && state->meaning != TIDE_MEANING_UNREAD
                           && parts.meaning == state->meaning
                           && MAX (parts.lane, 1) == MAX (state->lane, 1);

      /* it was taken by rule before, so that it is taken again */
      if (!same && !displaced)
        tide_reading_rule_set (rule, "column", texts[i], NULL);
    }
}

gboolean
tide_column_state_set (TideReadingRule *rule,
                       TideUnderstanding *table,
                       guint column,
                       const TideColumnState *state,
                       GError **error)
{
  g_autoptr (GString) text = g_string_new (meanings[state->meaning].word);

  if (state->lane > 1 && state->meaning != TIDE_MEANING_UNREAD)
    g_string_append_printf (text, "/%u", state->lane);
  g_string_append_printf (text, "=%u", column + 1);
  if (state->unit != NULL && state->meaning != TIDE_MEANING_UNREAD)
    g_string_append_printf (text, ":%s", state->unit);
  drop_columns (rule, table, column, state);
  return tide_reading_rule_set (rule, "column", text->str, error);
}

/* Any key */

gboolean
tide_statement_is_made (const TideReadingRule *rule, const char *key, const char *text)
{
  g_autoptr (TideReadingRule) alone = tide_reading_rule_new ();
  g_auto (GStrv) made = tide_reading_rule_get (rule, key), wanted = NULL;

  if (!tide_reading_rule_set (alone, key, text, NULL))
    return FALSE;
  wanted = tide_reading_rule_get (alone, key);
  return wanted[0] != NULL && g_strv_contains ((const char *const *)made, wanted[0]);
}

void
tide_statement_withdraw (TideReadingRule *rule, const char *key, const char *text)
{
  g_auto (GStrv) made = tide_reading_rule_get (rule, key);

  if (!tide_statement_is_made (rule, key, text))
    return;
  tide_reading_rule_set (rule, key, NULL, NULL);
  for (guint i = 0; made[i] != NULL; i++)
    {
      g_autoptr (TideReadingRule) alone = tide_reading_rule_new ();

      if (tide_reading_rule_set (alone, key, made[i], NULL)
          && !tide_statement_is_made (alone, key, text))
        tide_reading_rule_set (rule, key, made[i], NULL);
    }
}

/* In words */

static const struct
{
  const char *key, *label;
} labels[] = {
  { "time", N_ ("Time written as") }, { "every", N_ ("Seconds from row to row") },
  { "decimal", N_ ("Decimal mark") }, { "delimiter", N_ ("Columns divided by") },
  { "encoding", N_ ("Encoding") },    { "header", N_ ("Row of names") },
  { "sheet", N_ ("Sheet") },          { "table", N_ ("Table") },
};

static char *
describe_column (const char *text)
{
  g_auto (Parts) parts = { 0 };
  g_autoptr (GString) line = g_string_new (NULL);

  if (!take_apart (text, &parts))
    return g_strdup (text);
  /* Translators: a column's number or name, and what it means: "Column 3: Voltage" */
  g_string_append_printf (line, _ ("Column %s: %s"), parts.column,
                          tide_meaning_get_name (parts.meaning));
  if (parts.lane > 1)
    g_string_append_printf (line, _ (" of run %u"), parts.lane);
  if (parts.unit != NULL)
    g_string_append_printf (line, _ (", in %s"), parts.unit);
  return g_string_free (g_steal_pointer (&line), FALSE);
}

static char *
describe_statement (const char *key, const char *text)
{
  if (g_str_equal (key, "column"))
    return describe_column (text);
  if (g_str_equal (key, "header") && g_str_equal (text, "0"))
    return g_strdup (_ ("No row of names"));
  if (g_str_equal (key, "broken"))
    return g_strdup (_ ("More than a fifth of the rows may be broken"));
  for (guint i = 0; i < G_N_ELEMENTS (labels); i++)
    if (g_str_equal (key, labels[i].key))
      /* Translators: a label and what stands there: "Decimal mark: ," */
      return g_strdup_printf (_ ("%s: %s"), _ (labels[i].label), text);
  return g_strdup_printf ("%s = %s", key, text);
}

char *
tide_statements_describe (const TideReadingRule *rule)
{
  const char *const *keys = tide_reading_rule_get_keys ();
  g_autoptr (GString) lines = g_string_new (NULL);

  for (guint k = 0; keys[k] != NULL; k++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, keys[k]);

      for (guint i = 0; texts[i] != NULL; i++)
        {
          g_autofree char *line = describe_statement (keys[k], texts[i]);

          g_string_append_printf (lines, "%s%s", lines->len > 0 ? "\n" : "", line);
        }
    }
  return g_string_free (g_steal_pointer (&lines), FALSE);
}
