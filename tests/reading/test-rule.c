/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading rules: what each key takes and refuses, and that every text that is taken comes back to
 * the same rule, from get() and from a key file. Hostile rules end in one line.
 */
#include <glib.h>
#include <string.h>

#include "reading/reading-private.h"
#include "reading/rule-private.h"

static void
set (TideReadingRule *rule, const char *key, const char *text)
{
  g_autoptr (GError) error = NULL;
  if (!tide_reading_rule_set (rule, key, text, &error))
    g_error ("%s=%s: %s", key, text, error->message);
}

static void
assert_refused (const char *key, const char *text, const char *words)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (GError) error = NULL;
  g_assert_false (tide_reading_rule_set (rule, key, text, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
  g_assert_true (g_utf8_validate (error->message, -1, NULL));
  g_assert_null (strpbrk (error->message, "\r\n"));
  if (!strstr (error->message, words))
    g_error ("%s=%s: \"%s\" does not say \"%s\"", key, text, error->message, words);
  g_assert_true (tide_reading_rule_is_empty (rule));
}

static char *
get_one (const TideReadingRule *rule, const char *key)
{
  g_auto (GStrv) texts = tide_reading_rule_get (rule, key);
  g_assert_cmpuint (g_strv_length (texts), <=, 1);
  return g_strdup (texts[0]);
}

/* Through a key file, and through get() and set(). */
static void
assert_round_trip (const TideReadingRule *rule)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_assert_cmpuint (strlen (text), <=, TIDE_RULE_MAX_TEXT_BYTES);
  g_autoptr (TideReadingRule) again = tide_reading_rule_from_text (text, &error);
  g_assert_no_error (error);
  g_assert_true (tide_reading_rule_equal (rule, again));
  g_autoptr (TideReadingRule) said = tide_reading_rule_new ();
  for (const char *const *key = tide_reading_rule_get_keys (); *key; key++)
    {
      g_auto (GStrv) texts = tide_reading_rule_get (rule, *key);
      for (guint i = 0; texts[i]; i++)
        set (said, *key, texts[i]);
    }
  g_assert_true (tide_reading_rule_equal (rule, said));
}

/* What a key takes, and the form it comes back in; NULL: as it was. */
static const struct
{
  const char *key, *text, *canonical;
} taken[] = {
  { "column", "v=3", NULL },
  { "column", "v=3:mV", NULL },
  { "column", " v = 3 : mV ", "v=3:mV" },
  { "column", "a/2=12:A", NULL },
  { "column", "-=5", NULL },
  { "column", "-=Ripple", NULL },
  { "column", "t=Zeit", NULL },
  { "column", "t=\"Zeit\"", "t=Zeit" },
  { "column", "t=\"Zeit: gesamt\":ms", NULL },
  { "column", "t=\"5\"", NULL },
  { "column", "w=\"a \"\"quoted\"\" name\"", NULL },
  { "column", "w=\" blank \"", NULL },
  { "column", "w=Leistung (W)", NULL },
  { "column", "w=\"Power\n(W)\":mW", NULL },
  { "column", "w/1=2", "w=2" },
  { "column", "wh=4:mWh", NULL },
  { "column", "ah=4:C", NULL },
  { "column", "temp=4", NULL },
  { "column", "dp=4:mV", NULL },
  { "column", "dm=5:V", NULL },
  { "column", "cc1=6", NULL },
  { "column", "cc2=7", NULL },
  { "time", "%d.%m.%Y %H:%M:%S", NULL },
  { "time", "serial", NULL },
  { "every", "1", NULL },
  { "every", "0.1", NULL },
  { "every", " 1e-3 ", "0.001" },
  { "every", "0.30000000000000004", NULL },
  { "decimal", ",", NULL },
  { "decimal", ".", NULL },
  { "delimiter", ";", NULL },
  { "delimiter", "tab", NULL },
  { "delimiter", "\t", "tab" },
  { "delimiter", "space", NULL },
  { "delimiter", " ", "space" },
  { "delimiter", "\\", NULL },
  { "encoding", "WINDOWS-1252", NULL },
  { "encoding", "utf-8", NULL },
  { "header", "0", NULL },
  { "header", "12", NULL },
  { "header", "012", "12" },
  { "sheet", "2", NULL },
  { "sheet", "Messung; 2=a\\b", NULL },
  { "table", "3", NULL },
  { "broken", "accept", NULL },
};

static void
test_taken (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (taken); i++)
    {
      g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
      set (rule, taken[i].key, taken[i].text);
      g_autofree char *text = get_one (rule, taken[i].key);
      g_assert_cmpstr (text, ==, taken[i].canonical ? taken[i].canonical : taken[i].text);
      g_assert_false (tide_reading_rule_is_empty (rule));
      assert_round_trip (rule);
      set (rule, taken[i].key, NULL);
      g_assert_true (tide_reading_rule_is_empty (rule));
    }
}

static const struct
{
  const char *key, *text, *words;
} refused[] = {
  { "column", "", "v=3:mV" },
  { "column", "v", "v=3:mV" },
  { "column", "volt=3", "left of the equals sign" },
  { "column", "=3", "left of the equals sign" },
  { "column", "v=", "number from 1, or its name" },
  { "column", "v=\"\"", "number from 1, or its name" },
  { "column", "v=0", "numbered from 1" },
  { "column", "v=2001", "numbered from 1" },
  { "column", "v=99999999999999999999", "numbered from 1" },
  { "column", "v=3:A", "no unit of Voltage" },
  { "column", "v=3:", "no unit of Voltage" },
  { "column", "w=3:Wh", "no unit of Power" },
  { "column", "dp=3:mA", "no unit" },
  { "column", "-=3:V", "has no unit" },
  { "column", "v/0=3", "number of a run" },
  { "column", "v/9=3", "number of a run" },
  { "column", "v/x=3", "number of a run" },
  { "column", "t/2=3", "share one time" },
  { "column", "v=\"open", "not closed" },
  { "column", "v=\"Strom\"x", "behind the name" },
  { "column", "v=\x01", "control" },
  { "column", "v=\xff", "UTF-8" },
  { "time", "", "serial" },
  { "time", "%q", "time pattern" },
  { "time", "HH:MM", "time pattern" },
  { "every", "0", "from row to row" },
  { "every", "-1", "from row to row" },
  { "every", "1,5", "from row to row" },
  { "every", "1e9", "from row to row" },
  { "every", "nan", "from row to row" },
  { "decimal", ";", "decimal mark" },
  { "decimal", "", "decimal mark" },
  { "delimiter", "a", "between columns" },
  { "delimiter", "\"", "between columns" },
  { "delimiter", ".", "between columns" },
  { "delimiter", "", "between columns" },
  { "delimiter", ";;", "between columns" },
  { "encoding", "no-such-encoding", "no encoding of that name" },
  { "encoding", "UTF-8//TRANSLIT", "no encoding of that name" },
  { "encoding", "", "no encoding of that name" },
  { "header", "-1", "row that names" },
  { "header", "x", "row that names" },
  { "sheet", "", "number of a sheet" },
  { "sheet", "a\nb", "number of a sheet" },
  { "table", "0", "number of a table" },
  { "broken", "yes", "accept" },
  { "colour", "red", "no such key" },
};

static void
test_refused (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (refused); i++)
    assert_refused (refused[i].key, refused[i].text, refused[i].words);
  g_autofree char *long_name = g_strnfill (TIDE_RULE_MAX_NAME_BYTES + 1, 'n');
  g_autofree char *column = g_strconcat ("v=", long_name, NULL);
  assert_refused ("column", column, "longer than 200 bytes");
  assert_refused ("sheet", long_name, "number of a sheet");
}

/* A refused text leaves what was said before. */
static void
test_refusal_keeps (void)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  for (guint i = 0; i < G_N_ELEMENTS (taken); i++)
    set (rule, taken[i].key, taken[i].text);
  g_autoptr (TideReadingRule) before = tide_reading_rule_copy (rule);
  for (guint i = 0; i < G_N_ELEMENTS (refused); i++)
    g_assert_false (tide_reading_rule_set (rule, refused[i].key, refused[i].text, NULL));
  g_assert_true (tide_reading_rule_equal (rule, before));
  assert_round_trip (rule);
}

static char *
join (const TideReadingRule *rule)
{
  g_auto (GStrv) texts = tide_reading_rule_get (rule, "column");
  return g_strjoinv (" ", texts);
}

/* A column said again, or its meaning given to another, is said anew. */
static void
test_said_again (void)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  set (rule, "column", "v=3");
  set (rule, "column", "a=4");
  set (rule, "column", "v/2=5");
  set (rule, "column", "-=7");
  set (rule, "column", "-=8");
  g_autofree char *all = join (rule);
  g_assert_cmpstr (all, ==, "v=3 a=4 v/2=5 -=7 -=8");
  set (rule, "column", "w=3");
  set (rule, "column", "a=7");
  g_autofree char *anew = join (rule);
  g_assert_cmpstr (anew, ==, "v/2=5 -=8 w=3 a=7");
}

static void
test_merge (void)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (TideReadingRule) over = tide_reading_rule_new ();
  set (rule, "column", "v=3");
  set (rule, "column", "a=4");
  set (rule, "decimal", ",");
  set (rule, "every", "1");
  set (over, "column", "v=5:mV");
  set (over, "decimal", ".");
  set (over, "time", "serial");
  tide_reading_rule_merge (rule, over);
  g_autofree char *columns = join (rule);
  g_assert_cmpstr (columns, ==, "a=4 v=5:mV");
  g_autofree char *decimal = get_one (rule, "decimal");
  g_autofree char *every = get_one (rule, "every");
  g_autofree char *time = get_one (rule, "time");
  g_assert_cmpstr (decimal, ==, ".");
  g_assert_cmpstr (every, ==, "1");
  g_assert_cmpstr (time, ==, "serial");
  tide_reading_rule_merge (rule, NULL);
  assert_round_trip (rule);
}

static void
test_nothing_stated (void)
{
  g_autoptr (TideReadingRule) empty = tide_reading_rule_new ();
  g_assert_true (tide_reading_rule_is_empty (NULL));
  g_assert_true (tide_reading_rule_equal (empty, NULL));
  g_auto (GStrv) none = tide_reading_rule_get (NULL, "column");
  g_assert_null (none[0]);
  assert_round_trip (empty);
}

/* ---- Texts ---- */

static const struct
{
  const char *text, *words;
} bad_texts[] = {
  { "", "one group" },
  { "[Reading rule]\n", "version is missing" },
  { "[Reading rule]\nversion=x\n", "version is missing" },
  { "[Reading rule]\nversion=2\n", "newer version" },
  { "[Reading rule]\nversion=1\ncolour=red\n", "no such key" },
  { "[Reading rule]\nversion=1\n[Other]\n", "one group" },
  { "[Other]\nversion=1\n", "one group" },
  { "[Reading rule]\nversion=1\ndecimal=x\n", "decimal mark" },
  { "[Reading rule]\nversion=1\ncolumn=\n", "cannot be read" },
  { "[Reading rule]\nversion=1\ndecimal=\\x\n", "cannot be read" },
  { "[Reading rule]\nversion=1\ncolumn=v=3;q=4;\n", "left of the equals sign" },
  { "not a key file", "no key file" },
  { "[Reading rule]\nversion=1\nsheet=\xff\n", "no key file" },
};

static void
test_bad_texts (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (bad_texts); i++)
    {
      g_autoptr (GError) error = NULL;
      g_assert_null (tide_reading_rule_from_text (bad_texts[i].text, &error));
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
      g_assert_null (strpbrk (error->message, "\r\n"));
      if (!strstr (error->message, bad_texts[i].words))
        g_error ("\"%s\" does not say \"%s\"", error->message, bad_texts[i].words);
    }
  g_autofree char *comment = g_strnfill (TIDE_RULE_MAX_TEXT_BYTES, '#');
  g_autofree char *too_long = g_strconcat ("[Reading rule]\nversion=1\n", comment, "\n", NULL);
  g_autoptr (GError) error = NULL;
  g_assert_null (tide_reading_rule_from_text (too_long, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
}

/* As a person would type it. */
static void
test_hand_written (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_from_text (
      "# a comment\n[Reading rule]\nversion=1\ncolumn=t=1;v=2:mV;a=\"I, B\"\ndelimiter=;\n"
      "decimal=,\ntime=%H:%M\n",
      &error);
  g_assert_no_error (error);
  g_autofree char *columns = join (rule);
  g_assert_cmpstr (columns, ==, "t=1 v=2:mV a=I, B");
  g_autofree char *delimiter = get_one (rule, "delimiter");
  g_assert_cmpstr (delimiter, ==, ";");
}

/* ---- Any text ---- */

static char *
make_text (GRand *rand)
{
  static const char *const bits[] = { "v",  "a/2",  "=",   "\"",   ":",       "mV", "3",  " ",
                                      "\\", ";",    "\n",  "-",    "\"\"",    "ü",  "%d", ",",
                                      "t",  "time", "\\;", "[x]",  "wh",      "#",  "\t", "0",
                                      "1e", ".",    "A",   "\x7f", "\xc2\xa0" };
  GString *text = g_string_new (NULL);
  if (g_rand_boolean (rand))
    g_string_append (text, g_rand_boolean (rand) ? "v=" : "-=\"");
  for (int n = g_rand_int_range (rand, 0, 8); n > 0; n--)
    g_string_append (text, bits[g_rand_int_range (rand, 0, G_N_ELEMENTS (bits))]);
  if (g_rand_boolean (rand))
    g_string_append (text, "\"");
  return g_string_free (text, FALSE);
}

static void
test_any_text (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (20240531);
  const char *const *keys = tide_reading_rule_get_keys ();
  guint n_keys = g_strv_length ((char **)keys), n_taken = 0;
  for (int round = 0; round < 20000; round++)
    {
      g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
      g_autofree char *text = make_text (rand);
      const char *key = keys[round % 3 ? 0 : (guint)g_rand_int_range (rand, 0, (gint32)n_keys)];
      if (!tide_reading_rule_set (rule, key, text, NULL))
        continue;
      n_taken++;
      assert_round_trip (rule);
    }
  g_assert_cmpuint (n_taken, >, 2000);
}

/* However much is said, the text stays within its bound, and so does that of two rules. */
static void
test_bound (void)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (TideReadingRule) over = tide_reading_rule_new ();
  g_autoptr (GError) error = NULL;
  for (guint i = 1; !error; i++)
    {
      g_autofree char *semicolons = g_strnfill (150, ';');
      g_autofree char *text = g_strdup_printf ("-=n%u%s", i, semicolons);
      g_assert_cmpuint (i, <, TIDE_MAX_COLUMNS);
      if (tide_reading_rule_set (rule, "column", text, &error))
        text[2] = 'm';
      tide_reading_rule_set (over, "column", text, NULL);
    }
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
  assert_round_trip (rule);
  tide_reading_rule_merge (rule, over);
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_autoptr (GError) problem = NULL;
  g_autoptr (TideReadingRule) again = tide_reading_rule_from_text (text, &problem);
  g_assert_no_error (problem);
  g_assert_true (tide_reading_rule_equal (rule, again));
}

/* ---- Against a table ---- */

static GPtrArray *
make_names (void)
{
  GPtrArray *names = g_ptr_array_new_with_free_func (g_free);
  static const char *const all[] = { "Zeit", "U", "I", "I", "power", "POWER", "" };
  for (guint i = 0; i < G_N_ELEMENTS (all); i++)
    g_ptr_array_add (names, g_strdup (all[i]));
  return names;
}

static const struct
{
  const char *text;
  int column; /* -1: an error that says: */
  const char *words;
} found[] = {
  { "t=Zeit", 0, NULL },
  { "t=ZEIT", 0, NULL },
  { "v=2", 1, NULL },
  { "w=power", 4, NULL },
  { "w=POWER", 5, NULL },
  { "w=7", 6, NULL },
  { "w=Power", -1, "several columns" },
  { "a=I", -1, "several columns" },
  { "v=8", -1, "no column of that number; the columns are: 1 Zeit, 2 U, 3 I, 4 I" },
  { "v=Ux", -1, "no column of that name; the columns are: 1 Zeit" },
};

static void
test_found (void)
{
  g_autoptr (GPtrArray) names = make_names ();
  for (guint i = 0; i < G_N_ELEMENTS (found); i++)
    {
      g_autoptr (TideColumnStatement) statement = tide_column_statement_parse (found[i].text, NULL);
      g_autoptr (GError) error = NULL;
      guint column = 99;
      gboolean is_found = tide_column_statement_find (statement, names, &column, &error);
      g_assert_cmpint (is_found, ==, found[i].column >= 0);
      if (is_found)
        g_assert_cmpuint (column, ==, found[i].column);
      else if (!strstr (error->message, found[i].words))
        g_error ("\"%s\" does not say \"%s\"", error->message, found[i].words);
    }
}

static void
test_stated_meanings (void)
{
  g_autoptr (GPtrArray) names = make_names ();
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideMeaning meanings[7] = { 0 };
  for (guint i = 0; i < names->len; i++)
    meanings[i] = tide_meaning_of_name (g_ptr_array_index (names, i), NULL);
  set (rule, "column", "w=2:mW");
  set (rule, "column", "-=3");
  g_assert_true (tide_meanings_state (meanings, names, rule, NULL));
  g_assert_true (meanings[0].known && !meanings[0].stated);
  g_assert_true (meanings[1].stated && meanings[1].quantity == TIDE_QUANTITY_POWER);
  g_assert_cmpstr (meanings[1].unit.symbol, ==, "mW");
  g_assert_true (meanings[1].unit_named);
  g_assert_false (meanings[2].known);
  g_assert_true (meanings[3].known);
  /* which power is read is chosen later, by what is stated */
  g_assert_true (meanings[4].known && meanings[5].known && !meanings[5].stated);
}

static void
test_answers (void)
{
  g_autofree char *plain = tide_column_answer (2, TIDE_QUANTITY_VOLTAGE, 1, "mV");
  g_autofree char *lane = tide_column_answer (0, TIDE_QUANTITY_CURRENT, 2, NULL);
  g_assert_cmpstr (plain, ==, "v=3:mV");
  g_assert_cmpstr (lane, ==, "a/2=1");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/rule/taken", test_taken);
  g_test_add_func ("/reading/rule/refused", test_refused);
  g_test_add_func ("/reading/rule/refusal-keeps", test_refusal_keeps);
  g_test_add_func ("/reading/rule/said-again", test_said_again);
  g_test_add_func ("/reading/rule/merge", test_merge);
  g_test_add_func ("/reading/rule/nothing-stated", test_nothing_stated);
  g_test_add_func ("/reading/rule/bad-texts", test_bad_texts);
  g_test_add_func ("/reading/rule/hand-written", test_hand_written);
  g_test_add_func ("/reading/rule/any-text", test_any_text);
  g_test_add_func ("/reading/rule/bound", test_bound);
  g_test_add_func ("/reading/rule/found", test_found);
  g_test_add_func ("/reading/rule/stated-meanings", test_stated_meanings);
  g_test_add_func ("/reading/rule/answers", test_answers);
  return g_test_run ();
}
