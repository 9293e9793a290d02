/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is understood of a file's head, with and without a rule: columns, rows, samples, signature,
 * tables, questions; and that reading by an answer gives what the answer says.
 */
#include "support.h"

#include <string.h>

#include "reading/understanding.h"

/* "column=v=3 decimal=, ...": the keys of a rule, a TAB between them. NULL: none. */
static TideReadingRule *
make_rule (const char *texts)
{
  if (!texts)
    return NULL;
  TideReadingRule *rule = tide_reading_rule_new ();
  g_auto (GStrv) all = g_strsplit (texts, "\t", -1);
  for (guint i = 0; all[i]; i++)
    {
      g_auto (GStrv) pair = g_strsplit (all[i], "=", 2);
      g_autoptr (GError) error = NULL;
      if (!tide_reading_rule_set (rule, pair[0], pair[1], &error))
        g_error ("%s: %s", all[i], error->message);
    }
  return rule;
}

static GPtrArray *
understand (const char *text, gssize length, const char *rule_texts, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, length < 0 ? strlen (text) : (gsize)length);
  g_autoptr (TideReadingRule) rule = make_rule (rule_texts);
  TideReadOptions options = { .rule = rule };
  return tide_understand_bytes (bytes, "log.csv", &options, NULL, error);
}

static TideUnderstanding *
understand_one (const char *text, const char *rule_texts)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = understand (text, -1, rule_texts, &error);
  if (!tables)
    g_error ("%s, by %s: %s", text, rule_texts, error->message);
  g_assert_cmpuint (tables->len, ==, 1);
  return tide_understanding_ref (g_ptr_array_index (tables, 0));
}

static GPtrArray *
read_by (const char *text, const char *rule_texts, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  g_autoptr (TideReadingRule) rule = make_rule (rule_texts);
  TideReadOptions options = { .rule = rule };
  return tide_read_bytes (bytes, "log.csv", &options, NULL, error);
}

static TideRecording *
read_one_by (const char *text, const char *rule_texts)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = read_by (text, rule_texts, &error);
  if (!runs)
    g_error ("%s, by %s: %s", text, rule_texts, error->message);
  return tide_recording_ref (g_ptr_array_index (runs, 0));
}

static void
assert_not_understood (const char *text,
                       const char *rule_texts,
                       TideReadingError code,
                       const char *words)
{
  for (int reads = 0; reads < 2; reads++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) result =
          reads ? read_by (text, rule_texts, &error) : understand (text, -1, rule_texts, &error);
      g_assert_null (result);
      g_assert_true (g_str_has_prefix (error->message, "log.csv: "));
      g_assert_null (strpbrk (error->message, "\r\n"));
      if (!g_error_matches (error, TIDE_READING_ERROR, (int)code)
          || !strstr (error->message, words))
        g_error ("by %s: %d: \"%s\" does not say \"%s\"", rule_texts, error->code, error->message,
                 words);
    }
}

/* ---- A plain file ---- */

#define PLAIN                                                                                      \
  "Log of a charge\n\nTime;Voltage;Current;Note\ns;V;mA;\n0;5,12;1500;begin\n"                     \
  "1;5,11;1499;\n# a comment\n2;5,10;1498;end\n"

static void
assert_column (TideUnderstanding *u,
               guint index,
               const char *name,
               TideColumnRole role,
               int quantity,
               const char *unit)
{
  TideColumnReading column = tide_understanding_get_column (u, index);
  g_assert_cmpstr (column.name, ==, name);
  g_assert_cmpint (column.role, ==, role);
  g_assert_cmpstr (column.unit, ==, unit);
  if (role == TIDE_ROLE_VALUE)
    {
      g_assert_cmpint (column.quantity, ==, quantity);
      g_assert_cmpuint (column.lane, >=, 1);
    }
}

static void
test_plain (void)
{
  g_autoptr (TideUnderstanding) u = understand_one (PLAIN, NULL);
  g_assert_null (tide_understanding_get_member (u));
  g_assert_cmpstr (tide_understanding_get_encoding (u), ==, "UTF-8");
  g_assert_cmpint (tide_understanding_get_delimiter (u), ==, ';');
  g_assert_cmpint (tide_understanding_get_decimal_mark (u), ==, ',');
  g_assert_cmpint (tide_understanding_get_group_mark (u), ==, 0);
  g_assert_cmpuint (tide_understanding_get_header_row (u), ==, 3);
  g_assert_cmpuint (tide_understanding_get_units_row (u), ==, 4);
  g_assert_cmpuint (tide_understanding_get_first_row (u), ==, 5);
  g_assert_cmpuint (tide_understanding_get_n_columns (u), ==, 4);
  g_assert_cmpuint (tide_understanding_get_n_lanes (u), ==, 1);
  g_assert_null (tide_understanding_get_lane_label (u, 0));
  assert_column (u, 0, "Time", TIDE_ROLE_TIME, 0, "s");
  assert_column (u, 1, "Voltage", TIDE_ROLE_VALUE, TIDE_QUANTITY_VOLTAGE, "V");
  assert_column (u, 2, "Current", TIDE_ROLE_VALUE, TIDE_QUANTITY_CURRENT, "mA");
  assert_column (u, 3, "Note", TIDE_ROLE_UNREAD, 0, NULL);
  g_autofree char *time = tide_understanding_dup_time_text (u);
  g_assert_cmpstr (time, ==, "elapsed time in s, column \"Time\"");
  g_assert_true (tide_understanding_is_sure (u));
}

static void
test_samples (void)
{
  g_autoptr (TideUnderstanding) u = understand_one (PLAIN, NULL);
  g_assert_cmpuint (tide_understanding_get_n_samples (u), ==, 3);
  g_assert_cmpuint (tide_understanding_get_sample_row (u, 2), ==, 8);
  g_assert_cmpstr (tide_understanding_get_sample (u, 0, 1), ==, "5,12");
  g_assert_cmpstr (tide_understanding_get_sample (u, 2, 3), ==, "end");
  g_assert_cmpstr (tide_understanding_get_sample (u, 1, 99), ==, "");

  g_autoptr (GString) text = g_string_new ("Time (s),Power (W),Note\n");
  g_autofree char *filler = g_strnfill (199, 'x');
  for (int i = 0; i < 200; i++)
    g_string_append_printf (text, "%d,10,%s\xc3\xa4tail\n", i, filler);
  g_autoptr (TideUnderstanding) many = understand_one (text->str, NULL);
  g_assert_cmpuint (tide_understanding_get_n_samples (many), ==, TIDE_SAMPLE_ROWS);
  /* cut before a character that the bound would split */
  g_assert_cmpstr (tide_understanding_get_sample (many, 49, 2), ==, filler);
}

/* How the time is read, in words. */
static const struct
{
  const char *text, *rule, *words;
} timed[] = {
  { "Time (min);W\n0;1\n1;1\n2;1\n", NULL, "elapsed time in min, column \"Time (min)\"" },
  { "Unix time (s);Power (W)\n1714571130;1\n1714571131;1\n", NULL,
    "s since 1970, column \"Unix time (s)\"" },
  { "Clock;Power (W)\n10:00:00;1\n10:00:01;1\n", NULL,
    "a clock, hours:minutes:seconds, column \"Clock\"" },
  { "Elapsed time;Power (W)\n100:00:00;1\n100:00:01;1\n", NULL,
    "elapsed time as hours:minutes:seconds, column \"Elapsed time\"" },
  { "Time (mm:ss);Power (W)\n10:00;1\n10:01;1\n", NULL,
    "minutes:seconds, column \"Time (mm:ss)\"" },
  { "Date;Power (W)\n31.05.2024 10:00:00;1\n31.05.2024 10:00:01;1\n", NULL,
    "dates, day before month, column \"Date\"" },
  { "Date;Power (W)\n05/31/2024 10:00:00;1\n05/31/2024 10:00:01;1\n", NULL,
    "dates, month before day, column \"Date\"" },
  { "Date;Power (W)\n2024-05-31 10:00:00;1\n2024-05-31 10:00:01;1\n", NULL,
    "dates, year first, column \"Date\"" },
  { "Date;Time;Power (W)\n2024-05-31;10:00:00;1\n2024-05-31;10:00:01;1\n", NULL,
    "dates, year first, column \"Date\", with a clock, hours:minutes:seconds, column \"Time\"" },
  { "Date;Power (W)\n45000.5;1\n45000.6;1\n", "time=serial",
    "days as a spreadsheet counts them, column \"Date\"" },
  { "Date;Power (W)\n31x05x2024 10.00.00;1\n31x05x2024 10.00.01;1\n", "time=%dx%mx%Y %H.%M.%S",
    "written as %dx%mx%Y %H.%M.%S, column \"Date\"" },
  { "Power (W);Note\n1;a\n2;b\n", "every=0.5", "no column: a row every 0.5 s" },
};

static void
test_time_texts (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (timed); i++)
    {
      g_autoptr (TideUnderstanding) u = understand_one (timed[i].text, timed[i].rule);
      g_autofree char *words = tide_understanding_dup_time_text (u);
      g_assert_cmpstr (words, ==, timed[i].words);
    }
  g_autoptr (TideUnderstanding) both = understand_one (timed[8].text, NULL);
  g_assert_cmpint (tide_understanding_get_column (both, 0).role, ==, TIDE_ROLE_DATE);
  g_autoptr (TideUnderstanding) beside =
      understand_one ("Time (s);Date;Power (W)\n0;2024-05-31 10:00:00;1\n1;2024-05-31 10:00:01;1\n",
                      NULL);
  g_assert_cmpint (tide_understanding_get_column (beside, 1).role, ==, TIDE_ROLE_CLOCK);
}

/* ---- Signature ---- */

static void
test_signature (void)
{
  g_autoptr (TideUnderstanding) u = understand_one (PLAIN, NULL);
  g_assert_cmpstr (tide_understanding_get_signature (u), ==,
                   "time\x1fvoltage\x1f"
                   "current\x1fnote");
  /* the delimiter, the letters' case and the rows are not part of it, the names are */
  g_autoptr (TideUnderstanding) alike =
      understand_one ("TIME, Voltage ,CURRENT,note\ns,V,A,\n0,9,1,\n1,9,1,\n", NULL);
  g_assert_cmpstr (tide_understanding_get_signature (u), ==,
                   tide_understanding_get_signature (alike));
  g_autoptr (TideUnderstanding) other = understand_one ("Time (s),Power (W)\n0,1\n1,1\n", NULL);
  g_assert_cmpstr (tide_understanding_get_signature (other), ==, "time (s)\x1fpower (w)");
  g_autoptr (TideUnderstanding) nameless =
      understand_one ("0,5,1\n1,5,1\n", "header=0\tcolumn=t=1\tcolumn=v=2\tcolumn=a=3");
  g_assert_cmpstr (tide_understanding_get_signature (nameless), ==, "");
}

/* ---- Rules ---- */

static void
test_column_statements (void)
{
  const char *text = "foo;bar;baz;qux\n0;5120;1,5;x\n1;5110;1,5;y\n";
  assert_not_understood (text, NULL, TIDE_READING_ERROR_NO_TABLE, "no table");
  const char *by_name = "column=t=foo:s\tcolumn=v=bar:mV\tcolumn=a=baz:A";
  g_autoptr (TideUnderstanding) u = understand_one (text, by_name);
  g_assert_cmpuint (tide_understanding_get_header_row (u), ==, 1);
  assert_column (u, 1, "bar", TIDE_ROLE_VALUE, TIDE_QUANTITY_VOLTAGE, "mV");
  g_assert_true (tide_understanding_get_column (u, 1).unit_named);
  g_autoptr (TideRecording) run = read_one_by (text, by_name);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 0), ==, 5.12);
  g_autoptr (TideRecording) same = read_one_by (text, "column=t=1:s\tcolumn=v=2:mV\tcolumn=a=3:A");
  assert_same_columns (run, same);
}

/* A statement comes before what a name says. */
static void
test_statements_win (void)
{
  const char *text = "Time (s),Power (W),Voltage (V),Extra\n0,10,5,7000\n1,11,5,8000\n";
  g_autoptr (TideUnderstanding) u = understand_one (text, "column=w=Extra:mW");
  assert_column (u, 3, "Extra", TIDE_ROLE_VALUE, TIDE_QUANTITY_POWER, "mW");
  assert_column (u, 1, "Power (W)", TIDE_ROLE_UNREAD, 0, NULL);
  g_autoptr (TideRecording) run = read_one_by (text, "column=w=4:mW\tcolumn=-=3");
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 8);
  g_assert_false (tide_recording_get_column (run, TIDE_QUANTITY_VOLTAGE) != NULL);
  g_autoptr (TideRecording) plain = read_one_by (text, NULL);
  g_assert_true (tide_recording_get_column (plain, TIDE_QUANTITY_VOLTAGE) != NULL);
}

static const struct
{
  const char *text, *rule;
  TideReadingError code;
  const char *words;
} misfits[] = {
  { PLAIN, "column=v=Spannung", TIDE_READING_ERROR_RULE,
    "no column of that name; the columns are: 1 Time, 2 Voltage, 3 Current, 4 Note" },
  { PLAIN, "column=v=9", TIDE_READING_ERROR_RULE, "no column of that number" },
  { PLAIN, "header=200", TIDE_READING_ERROR_RULE, "row 200" },
  { PLAIN, "header=2", TIDE_READING_ERROR_RULE, "row 2" },
  { PLAIN, "table=2", TIDE_READING_ERROR_RULE, "number 2 is not there" },
  { PLAIN, "column=-=1", TIDE_READING_ERROR_NO_TIME, "time" },
  { "0,5,1\n1,5,1\n", NULL, TIDE_READING_ERROR_NO_TABLE, "no row names the columns" },
  { "0,5,1\n1,5,1\n", "header=0", TIDE_READING_ERROR_NO_TIME, "no column is the time" },
  { "0,5,1\n1,5,1\n", "header=0\tcolumn=t=1", TIDE_READING_ERROR_NO_TABLE, "both of voltage and current" },
  { "0,5,1\n1,5,1\n", "header=0\tcolumn=t=Zeit", TIDE_READING_ERROR_RULE,
    "the columns are: 1, 2, 3" },
  { "words\nand more words\n", "header=0\tcolumn=w=1", TIDE_READING_ERROR_RULE,
    "no row of numbers" },
};

static void
test_misfits (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (misfits); i++)
    assert_not_understood (misfits[i].text, misfits[i].rule, misfits[i].code, misfits[i].words);
}

static void
test_header_row (void)
{
  const char *text = "Time (s),Power (W)\n0,1\n1,1\nt,mW\n0,5000\n1,6000\n";
  g_autoptr (TideUnderstanding) u = understand_one (text, "header=4\tcolumn=t=1:s\tcolumn=w=2:mW");
  g_assert_cmpuint (tide_understanding_get_header_row (u), ==, 4);
  g_assert_cmpuint (tide_understanding_get_first_row (u), ==, 5);
  g_autoptr (TideRecording) run = read_one_by (text, "header=4\tcolumn=t=1:s\tcolumn=w=2:mW");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 2);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 6);
}

/* Rows without names, under lines of prose. */
static void
test_no_names (void)
{
  const char *text = "a log; made by hand\n\n0;5,1;1,5\n1;5,2;1,6\n2;5,2;1,6\n";
  const char *rule = "header=0\tcolumn=t=1:s\tcolumn=v=2:V\tcolumn=a=3:A";
  g_autoptr (TideUnderstanding) u = understand_one (text, rule);
  g_assert_cmpuint (tide_understanding_get_header_row (u), ==, 0);
  g_assert_cmpuint (tide_understanding_get_first_row (u), ==, 3);
  g_assert_cmpuint (tide_understanding_get_n_columns (u), ==, 3);
  assert_column (u, 2, "", TIDE_ROLE_VALUE, TIDE_QUANTITY_CURRENT, "A");
  g_autofree char *time = tide_understanding_dup_time_text (u);
  g_assert_cmpstr (time, ==, "elapsed time in s, column 1");
  g_autoptr (TideRecording) run = read_one_by (text, rule);
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 3);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 0), ==, 5.1);
}

static void
test_stated_dialect (void)
{
  /* unusual on purpose: a colon between columns */
  const char *text = "Time (s):Power (W)\n0:1\n1:1\n";
  assert_not_understood (text, NULL, TIDE_READING_ERROR_NO_TABLE, "no table");
  g_autoptr (TideUnderstanding) u = understand_one (text, "delimiter=:");
  g_assert_cmpint (tide_understanding_get_delimiter (u), ==, ':');
  g_autoptr (TideUnderstanding) comma =
      understand_one ("Time (s);Power (W)\n0;1\n1;1\n", "decimal=,");
  g_assert_cmpint (tide_understanding_get_decimal_mark (comma), ==, ',');
}

static void
test_encodings (void)
{
  /* Cyrillic "Время;Мощность (Вт)" as KOI8-R would have it; without a word the guess is statistics
   */
  gsize length;
  g_autofree char *koi8 = g_convert ("Time (s);Power (W);Мощность\n0;1;2\n1;1;2\n", -1, "KOI8-R",
                                     "UTF-8", NULL, &length, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = understand (koi8, (gssize)length, "encoding=KOI8-R", &error);
  g_assert_no_error (error);
  TideUnderstanding *u = g_ptr_array_index (tables, 0);
  g_assert_cmpstr (tide_understanding_get_encoding (u), ==, "KOI8-R");
  g_assert_cmpstr (tide_understanding_get_column (u, 2).name, ==, "Мощность");
  g_assert_true (tide_understanding_is_sure (u));
  g_autoptr (GPtrArray) guessed = understand (koi8, (gssize)length, NULL, &error);
  g_assert_no_error (error);
  g_assert_false (tide_understanding_is_sure (g_ptr_array_index (guessed, 0)));

  /* unit signs alone are no doubt */
  const char *latin1 = "Time (s);Power (W);Temp (\xb0"
                       "C)\n0;1;20\n1;1;20\n";
  g_autoptr (TideUnderstanding) degrees = understand_one (latin1, NULL);
  g_assert_cmpstr (tide_understanding_get_encoding (degrees), ==, "WINDOWS-1252");
  g_assert_cmpuint (tide_understanding_get_complaints (degrees)->len, ==, 1);
  g_assert_true (tide_understanding_is_sure (degrees));
}

/* ---- Several tables ---- */

static void
test_tables (void)
{
  const char *text = "Time (s),Power (W)\n0,1\n1,2\n2,3\n3,3\n4,3\n\nSecond part\n"
                     "Time (ms),Voltage (V),Current (A)\n0,5,1\n500,5,2\n";
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = understand (text, -1, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tables->len, ==, 2);
  TideUnderstanding *second = g_ptr_array_index (tables, 1);
  g_assert_cmpuint (tide_understanding_get_header_row (second), ==, 9);
  g_assert_cmpuint (tide_understanding_get_n_samples (second), ==, 2);
  assert_column (second, 0, "Time (ms)", TIDE_ROLE_TIME, 0, "ms");

  g_autoptr (TideUnderstanding) chosen = understand_one (text, "table=2");
  g_assert_cmpuint (tide_understanding_get_n_columns (chosen), ==, 3);
  /* what was shown is what is read */
  g_autoptr (GPtrArray) runs = read_by (text, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_autoptr (GPtrArray) one = read_by (text, "table=2", &error);
  g_assert_no_error (error);
  g_assert_cmpuint (one->len, ==, 1);
  g_assert_nonnull (tide_recording_get_column (g_ptr_array_index (one, 0), TIDE_QUANTITY_VOLTAGE));
  g_autoptr (GPtrArray) first = read_by (text, "table=1", &error);
  g_assert_no_error (error);
  g_assert_cmpuint (first->len, ==, 1);
  g_assert_cmpuint (tide_recording_get_n_samples (g_ptr_array_index (first, 0)), ==, 5);

  /* the same names again are the same table */
  g_autoptr (TideUnderstanding) resumed =
      understand_one ("Time (s),Power (W)\n0,1\n1,2\nTime (s),Power (W)\n2,1\n3,2\n", NULL);
  g_assert_cmpuint (tide_understanding_get_header_row (resumed), ==, 1);
}

/* ---- Questions ---- */

/* What is asked, of what, and that each answer is taken and settles it. */
static const struct
{
  const char *text, *words;
  guint n_answers;
} asked[] = {
  { "Time (s),Voltage (V),Current (A)\n0,0,5,12,1,5\n1,0,5,12,1,5\n2,0,5,11,1,4\n",
    "decimal commas", 1 },
  { "Date,Power (W)\n01/02/2024 10:00:00,1\n01/02/2024 10:00:01,1\n01/02/2024 10:00:02,2\n",
    "day/month/year or", 2 },
  { "Time (s);Power (mW)\n0;500\n1;1,000\n2;1,500\n3;700\n", "thousands", 2 },
};

static const TideQuestion *
find_open (TideUnderstanding *u)
{
  GPtrArray *questions = tide_understanding_get_questions (u);
  for (guint i = 0; i < questions->len; i++)
    if (((TideQuestion *)g_ptr_array_index (questions, i))->is_open)
      return g_ptr_array_index (questions, i);
  return NULL;
}

static void
test_questions (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (asked); i++)
    {
      g_autoptr (TideUnderstanding) u = understand_one (asked[i].text, NULL);
      const TideQuestion *question = find_open (u);
      g_assert_nonnull (question);
      g_assert_false (tide_understanding_is_sure (u));
      if (!strstr (question->text, asked[i].words))
        g_error ("\"%s\" does not ask \"%s\"", question->text, asked[i].words);
      g_assert_cmpuint (question->answers->len, ==, asked[i].n_answers);
      assert_refused (asked[i].text, TIDE_READING_ERROR_AMBIGUOUS, asked[i].words);
      for (guint k = 0; k < question->answers->len; k++)
        {
          const TideAnswer *answer = g_ptr_array_index (question->answers, k);
          g_autofree char *rule = g_strdup_printf ("%s=%s", answer->key, answer->text);
          g_assert_cmpstr (answer->meaning, !=, "");
          g_autoptr (TideUnderstanding) answered = understand_one (asked[i].text, rule);
          g_assert_null (find_open (answered));
        }
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/understanding/plain", test_plain);
  g_test_add_func ("/reading/understanding/samples", test_samples);
  g_test_add_func ("/reading/understanding/time-texts", test_time_texts);
  g_test_add_func ("/reading/understanding/signature", test_signature);
  g_test_add_func ("/reading/understanding/column-statements", test_column_statements);
  g_test_add_func ("/reading/understanding/statements-win", test_statements_win);
  g_test_add_func ("/reading/understanding/misfits", test_misfits);
  g_test_add_func ("/reading/understanding/header-row", test_header_row);
  g_test_add_func ("/reading/understanding/no-names", test_no_names);
  g_test_add_func ("/reading/understanding/stated-dialect", test_stated_dialect);
  g_test_add_func ("/reading/understanding/encodings", test_encodings);
  g_test_add_func ("/reading/understanding/tables", test_tables);
  g_test_add_func ("/reading/understanding/questions", test_questions);
  return g_test_run ();
}
