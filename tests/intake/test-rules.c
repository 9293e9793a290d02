/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules as a person builds them up, tells them and carries them about. The texts are the project's
 * own. */
#include <glib/gstdio.h>
#include <string.h>

#include "intake/rule-file.h"
#include "intake/statements.h"

static TideReadingRule *
make_rule (const char *const *pairs)
{
  TideReadingRule *rule = tide_reading_rule_new ();

  for (guint i = 0; pairs[i] != NULL; i += 2)
    {
      g_autoptr (GError) error = NULL;

      tide_reading_rule_set (rule, pairs[i], pairs[i + 1], &error);
      g_assert_no_error (error);
    }
  return rule;
}

static TideUnderstanding *
understand (const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = tide_understand_bytes (bytes, "log.csv", NULL, NULL, &error);

  g_assert_no_error (error);
  return tide_understanding_ref (tables->pdata[0]);
}

#define LOG                                                                                        \
  "Time(s),Volt(mV),Current,Extra\n0,9000,2.0,1\n1,9000,2.1,1\n2,9000,2.2,1\n3,9000,2.1,1\n"

static void
assert_column (const TideReadingRule *rule,
               TideUnderstanding *table,
               guint column,
               TideColumnMeaning meaning,
               guint lane,
               const char *unit,
               gboolean stated)
{
  g_auto (TideColumnState) state = tide_column_state_get (rule, table, column, FALSE);

  g_assert_cmpint (state.meaning, ==, meaning);
  g_assert_cmpuint (state.lane, ==, lane);
  g_assert_cmpstr (state.unit, ==, unit);
  g_assert_cmpint (state.stated, ==, stated);
}

static void
assert_assumed (const TideReadingRule *rule,
                TideUnderstanding *table,
                guint column,
                gboolean assumed)
{
  g_auto (TideColumnState) state = tide_column_state_get (rule, table, column, FALSE);

  g_assert_cmpint (state.assumed, ==, assumed);
}

static void
set_column (TideReadingRule *rule,
            TideUnderstanding *table,
            guint column,
            TideColumnMeaning meaning,
            guint lane,
            const char *unit)
{
  TideColumnState state = { meaning, lane, (char *)unit, TRUE, FALSE };
  g_autoptr (GError) error = NULL;

  tide_column_state_set (rule, table, column, &state, &error);
  g_assert_no_error (error);
}

static void
test_columns (void)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (TideUnderstanding) table = understand (LOG);

  assert_column (rule, table, 0, TIDE_MEANING_TIME, 1, "s", FALSE);
  assert_column (rule, table, 1, TIDE_MEANING_VOLTAGE, 1, "mV", FALSE);
  assert_column (rule, table, 3, TIDE_MEANING_UNREAD, 1, NULL, FALSE);
  assert_assumed (rule, table, 1, FALSE);
  assert_assumed (rule, table, 2, TRUE);

  /* of a meaning there is one: what is said of another column takes it away */
  set_column (rule, table, 1, TIDE_MEANING_VOLTAGE, 1, "V");
  assert_column (rule, table, 1, TIDE_MEANING_VOLTAGE, 1, "V", TRUE);
  set_column (rule, table, 3, TIDE_MEANING_VOLTAGE, 1, "mV");
  assert_column (rule, table, 3, TIDE_MEANING_VOLTAGE, 1, "mV", TRUE);
  g_assert_false (tide_statement_is_made (rule, "column", "v=2:V"));

  /* the second run's stands beside it */
  set_column (rule, table, 2, TIDE_MEANING_VOLTAGE, 2, NULL);
  assert_column (rule, table, 2, TIDE_MEANING_VOLTAGE, 2, NULL, TRUE);
  assert_column (rule, table, 3, TIDE_MEANING_VOLTAGE, 1, "mV", TRUE);

  /* of a column one thing is said */
  set_column (rule, table, 3, TIDE_MEANING_UNREAD, 1, "mV");
  assert_column (rule, table, 3, TIDE_MEANING_UNREAD, 1, NULL, TRUE);
  set_column (rule, table, 2, TIDE_MEANING_CURRENT, 1, "mA");
  assert_column (rule, table, 2, TIDE_MEANING_CURRENT, 1, "mA", TRUE);
}

/* By its name too, with all that can stand in one. */
static void
test_named (void)
{
  static const char *const pairs[] = { "column", "w=\"a:b\":mW", "column", "temp=Extra", NULL };
  g_autoptr (TideReadingRule) rule = make_rule (pairs);
  g_autoptr (TideUnderstanding) table =
      understand ("Time(s),a:b,Voltage(V),Current(A),Extra\n0,1,9,2,1\n1,1,9,2,1\n2,1,9,2,1\n");

  assert_column (rule, table, 1, TIDE_MEANING_POWER, 1, "mW", TRUE);
  assert_column (rule, table, 4, TIDE_MEANING_TEMPERATURE, 1, NULL, TRUE);
}

static void
test_statements (void)
{
  static const char *const pairs[] = { "column", "v=2:mV", "column", "a=3", "decimal", ",", NULL };
  g_autoptr (TideReadingRule) rule = make_rule (pairs);

  g_assert_true (tide_statement_is_made (rule, "column", "v=2:mV"));
  g_assert_false (tide_statement_is_made (rule, "column", "v=2:V"));
  g_assert_true (tide_statement_is_made (rule, "decimal", ","));
  g_assert_false (tide_statement_is_made (rule, "decimal", "."));
  g_assert_false (tide_statement_is_made (rule, "decimal", "no mark"));
  g_assert_false (tide_statement_is_made (rule, "header", "1"));

  tide_statement_withdraw (rule, "column", "v=2:V"); /* was not made */
  g_assert_true (tide_statement_is_made (rule, "column", "v=2:mV"));
  tide_statement_withdraw (rule, "column", "v=2:mV");
  g_assert_false (tide_statement_is_made (rule, "column", "v=2:mV"));
  g_assert_true (tide_statement_is_made (rule, "column", "a=3"));
  tide_statement_withdraw (rule, "decimal", ",");
  tide_statement_withdraw (rule, "column", "a=3");
  g_assert_true (tide_reading_rule_is_empty (rule));
}

static void
test_words (void)
{
  static const char *const pairs[] = {
    "column",    "v/2=3:mV",
    "column",    "-=5",
    "time",      "%d.%m.%Y %H:%M:%S",
    "every",     "0.5",
    "broken",    "accept",
    "header",    "0",
    "sheet",     "Log",
    "table",     "2",
    "decimal",   ",",
    "delimiter", ";",
    "encoding",  "WINDOWS-1252",
    NULL,
  };
  static const char *const lines[] = {
    "Column 3: Voltage of run 2, in mV",
    "Column 5: Not read",
    "Time written as: %d.%m.%Y %H:%M:%S",
    "Seconds from row to row: 0.5",
    "More than a fifth of the rows may be broken",
    "No row of names",
    "Sheet: Log",
    "Table: 2",
    "Decimal mark: ,",
    "Columns divided by: ;",
    "Encoding: WINDOWS-1252",
  };
  g_autoptr (TideReadingRule) rule = make_rule (pairs), empty = tide_reading_rule_new ();
  g_autofree char *words = tide_statements_describe (rule);
  g_autofree char *none = tide_statements_describe (empty);
  g_auto (GStrv) said = g_strsplit (words, "\n", -1);

  g_assert_cmpuint (g_strv_length (said), ==, G_N_ELEMENTS (lines));
  for (guint i = 0; i < G_N_ELEMENTS (lines); i++)
    if (!g_strv_contains ((const char *const *)said, lines[i]))
      g_error ("not said: %s, but: %s", lines[i], words);
  g_assert_cmpstr (none, ==, "");
}

static void
test_file (void)
{
  static const char *const pairs[] = { "time", "%d.%m.%Y %H:%M:%S", "column", "v=2:mV", NULL };
  g_autoptr (TideReadingRule) rule = make_rule (pairs), back = NULL;
  TideStoredRule stored = { 7, (char *)"Logger [x] = y\\n", (char *)"Time\nVolt;\t\"A\"", NULL, 5 };
  g_autofree char *dir = g_dir_make_tmp ("rules-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (dir, "a" TIDE_RULE_FILE_ENDING, NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (TideStoredRule) read = NULL;
  g_autoptr (GError) error = NULL;

  stored.text = tide_reading_rule_to_text (rule);
  g_assert_true (tide_rule_file_write (&stored, file, &error));
  g_assert_no_error (error);
  read = tide_rule_file_read (file, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (read->name, ==, stored.name);
  g_assert_cmpstr (read->signature, ==, stored.signature);
  back = tide_reading_rule_from_text (read->text, &error);
  g_assert_no_error (error);
  g_assert_true (tide_reading_rule_equal (rule, back));
  g_free (stored.text);
  g_remove (path);
  g_rmdir (dir);
}

static void
test_refused (void)
{
  static const char *const texts[] = {
    "",
    "no key file",
    "\377\376",
    "[Reading rule]\nversion=1\n",
    "[Files]\nname=a\n[Reading rule]\nversion=1\n",
    "[Files]\nname=\nsignature=b\n[Reading rule]\nversion=1\n",
    "[Files]\nname=a\nsignature=b\n",
    "[Files]\nname=a\nsignature=b\n[Reading rule]\nversion=1\nflavour=1\n",
    "[Files]\nname=a\nsignature=b\n[Reading rule]\nversion=1\n[More]\nx=1\n",
  };
  g_autoptr (GFile) missing = g_file_new_for_path ("/nowhere/at/all.reading-rule");
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autoptr (GError) refusal = NULL;

      g_assert_null (tide_rule_file_from_text (texts[i], &refusal));
      g_assert_error (refusal, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
      g_assert_null (strchr (refusal->message, '\n'));
    }
  g_assert_null (tide_rule_file_read (missing, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
}

static void
assert_file_refused (const char *path, const char *content, gsize length)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (path, content, (gssize)length, NULL));
  g_assert_null (tide_rule_file_read (file, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
}

static void
test_hostile_files (void)
{
  g_autofree char *dir = g_dir_make_tmp ("rules-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (dir, "a.reading-rule", NULL);
  g_autofree char *large = g_strnfill (2 * 1024 * 1024, 'x');

  assert_file_refused (path, large, 2 * 1024 * 1024);
  assert_file_refused (path, "[Files]\nname=a\0b", 16);
  g_remove (path);
  g_rmdir (dir);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/statements/columns", test_columns);
  g_test_add_func ("/statements/named", test_named);
  g_test_add_func ("/statements/any-key", test_statements);
  g_test_add_func ("/statements/words", test_words);
  g_test_add_func ("/rule-file/round-trip", test_file);
  g_test_add_func ("/rule-file/refused", test_refused);
  g_test_add_func ("/rule-file/hostile", test_hostile_files);
  return g_test_run ();
}
