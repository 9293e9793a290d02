/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fuzz entry of the reading room: any bytes, by any rule, are understood and read or refused with
 * one line. Built with -Dfuzz=true and clang; run with a folder of seeds.
 *
 * An input whose first byte is 1 to 7 begins with so many statements: a byte that chooses the key,
 * and one that chooses a text that is good for it, or (from 128 on) how many of the bytes that
 * follow are the text. Everything else is the file.
 */
#include <stdint.h>
#include <string.h>

#include "reading/reading.h"
#include "reading/understanding.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

typedef struct
{
  const uint8_t *bytes;
  size_t size;
} Input;

static uint8_t
take_byte (Input *input)
{
  if (input->size == 0)
    return 0;
  input->size--;
  return *input->bytes++;
}

static const char *const good[][10] = {
  { "column", "t=1", "v=2", "a=3:mA", "w=2", "v/2=4", "a/2=5", "-=1", "t=\"Time (s)\"", "dp=4" },
  { "time", "serial", "%d/%m/%Y %H:%M:%S", "%H:%M", "%m/%d/%y", "%M:%S", "%Y-%m-%d", NULL },
  { "every", "1", "0.1", "86400", NULL },
  { "decimal", ",", ".", NULL },
  { "delimiter", ",", ";", "tab", "space", "|", ":", NULL },
  { "encoding", "UTF-8", "UTF-16LE", "WINDOWS-1252", "SHIFT_JIS", "UTF-7", NULL },
  { "header", "0", "1", "2", "3", NULL },
  { "sheet", "1", "2", "Sheet1", NULL },
  { "table", "1", "2", NULL },
  { "broken", "accept", NULL },
};

static void
take_statement (Input *input, TideReadingRule *rule)
{
  guint key = take_byte (input) % G_N_ELEMENTS (good), choice = take_byte (input), n = 0;
  g_autofree char *text = NULL;
  if (choice < 128)
    {
      while (n + 1 < G_N_ELEMENTS (good[0]) && good[key][n + 1])
        n++;
      text = g_strdup (good[key][1 + choice % n]);
    }
  else
    {
      size_t length = MIN (choice - 128, input->size);
      text = g_strndup ((const char *)input->bytes, length);
      input->bytes += length;
      input->size -= length;
    }
  tide_reading_rule_set (rule, good[key][0], text, NULL);
}

static TideReadingRule *
take_rule (Input *input)
{
  TideReadingRule *rule = tide_reading_rule_new ();
  if (input->size > 0 && *input->bytes >= 1 && *input->bytes <= 7)
    for (guint n = take_byte (input); n > 0; n--)
      take_statement (input, rule);
  return rule;
}

static void
check_rule (const TideReadingRule *rule)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_autoptr (TideReadingRule) again = tide_reading_rule_from_text (text, &error);
  g_assert_no_error (error);
  g_assert_true (tide_reading_rule_equal (rule, again));
}

static void
check_line (const char *text)
{
  g_assert_true (g_utf8_validate (text, -1, NULL));
  g_assert_null (strpbrk (text, "\r\n"));
}

/* Every answer is a statement that a rule takes. */
static void
check_question (const TideQuestion *question)
{
  check_line (question->text);
  g_assert_cmpuint (question->answers->len, >, 0);
  for (guint i = 0; i < question->answers->len; i++)
    {
      const TideAnswer *answer = g_ptr_array_index (question->answers, i);
      g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
      check_line (answer->meaning);
      g_assert_true (tide_reading_rule_set (rule, answer->key, answer->text, NULL));
    }
}

static void
check_table (TideUnderstanding *u)
{
  g_autofree char *time = tide_understanding_dup_time_text (u);
  g_assert_true (g_utf8_validate (time, -1, NULL));
  g_assert_true (g_utf8_validate (tide_understanding_get_signature (u), -1, NULL));
  guint n_columns = tide_understanding_get_n_columns (u);
  for (guint c = 0; c < n_columns; c++)
    {
      TideColumnReading column = tide_understanding_get_column (u, c);
      g_assert_true (g_utf8_validate (column.name, -1, NULL));
      for (guint s = 0; s < tide_understanding_get_n_samples (u); s++)
        g_assert_true (g_utf8_validate (tide_understanding_get_sample (u, s, c), -1, NULL));
    }
  for (guint lane = 0; lane < tide_understanding_get_n_lanes (u); lane++)
    tide_understanding_get_lane_label (u, lane);
  GPtrArray *questions = tide_understanding_get_questions (u);
  for (guint i = 0; i < questions->len; i++)
    check_question (g_ptr_array_index (questions, i));
}

static gboolean
has_open (GPtrArray *tables)
{
  for (guint i = 0; i < tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (g_ptr_array_index (tables, i));
      for (guint q = 0; q < questions->len; q++)
        if (((const TideQuestion *)g_ptr_array_index (questions, q))->is_open)
          return TRUE;
    }
  return FALSE;
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  Input input = { data, size };
  g_autoptr (TideReadingRule) rule = take_rule (&input);
  check_rule (rule);
  g_autoptr (GBytes) bytes = g_bytes_new (input.bytes, input.size);
  TideReadOptions options = { .rule = rule };
  g_autoptr (GError) not_understood = NULL, not_read = NULL;
  g_autoptr (GPtrArray) tables =
      tide_understand_bytes (bytes, "fuzz.csv", &options, NULL, &not_understood);
  g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "fuzz.csv", &options, NULL, &not_read);
  g_assert_true ((tables == NULL) == (not_understood != NULL));
  g_assert_true ((runs == NULL) == (not_read != NULL));
  if (not_understood)
    check_line (not_understood->message);
  if (not_read)
    check_line (not_read->message);
  g_assert_true (tables || !runs);
  for (guint i = 0; tables && i < tables->len; i++)
    check_table (g_ptr_array_index (tables, i));
  if (tables && !has_open (tables))
    g_assert_false (g_error_matches (not_read, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS));
  return 0;
}
