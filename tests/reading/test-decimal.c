/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The decimal mark and what stands between thousands, decided over a whole file. Ways of writing
 * numbers: common practice; the blank between thousands is ISO 80000-1's, 7.3.2 (from memory).
 */
#include "reading/reading-private.h"

#include <string.h>

#include "support.h"

static TideUnderstanding *
understand (const char *text, const char *decimal)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  if (decimal)
    g_assert_true (tide_reading_rule_set (rule, "decimal", decimal, &error));
  TideUnderstanding *u = tide_understand (text, strlen (text), TRUE, rule, NULL, &error);
  g_assert_no_error (error);
  return u;
}

static double
read_cell (const TideUnderstanding *u, TideQuantity quantity, const char *text)
{
  double value;
  if (!tide_column_use_parse (u, &u->lanes[0].columns[quantity], quantity, text, strlen (text),
                              &value))
    g_error ("\"%s\" is not read", text);
  return value;
}

typedef struct
{
  const char *text;
  char decimal, group;
  const char *field; /* of the voltage column */
  double value_v;
} Case;

#define HEAD "Time (s);Voltage (mV);Current (A)\n"

static const Case decided[] = {
  { HEAD "0;5,012.5;1\n1;5,013.5;1\n", '.', ',', "5,012.5", 5.0125 },
  { HEAD "0;5.012,5;1\n1;5.013,5;1\n", ',', '.', "5.012,5", 5.0125 },
  { HEAD "0;5 012,5;1\n1;5 013,5;1\n", ',', ' ', "5 012,5", 5.0125 },
  { HEAD "0;5'012.5;1\n1;5'013.5;1\n", '.', '\'', "5'012.5", 5.0125 },
  { HEAD "0;5\xe2\x80\x99"
         "012.5;1\n1;5\xe2\x80\x99"
         "013.5;1\n",
    '.', '\'', "5'012.5", 5.0125 },
  { HEAD "0;5\xc2\xa0"
         "012,5;1\n1;5\xc2\xa0"
         "013,5;1\n",
    ',', ' ',
    "5\xc2\xa0"
    "012,5",
    5.0125 },
  { HEAD "0;5\xe2\x80\xaf"
         "012,5;1\n1;5\xe2\x80\xaf"
         "013,5;1\n",
    ',', ' ', "5 012,5", 5.0125 },
  { HEAD "0;1,05,012.7;1\n1;1,05,013.7;1\n", '.', ',', "1,05,012.7", 105.0127 },
  { HEAD "0;5,012;1.5\n1;5,013;1.5\n", '.', ',', "5,012", 5.012 },
  { HEAD "0;5.012;1,5\n1;5.013;1,5\n", ',', '.', "5.012", 5.012 },
  { HEAD "0;1,005,012;1\n1;1,005,013;1\n", '.', ',', "1,005,012", 1005.012 },
  /* one mark, and never between thousands */
  { HEAD "0;5012,5;1\n1;5013,5;1\n", ',', '\0', "5012,5", 5.0125 },
  { HEAD "0;5012,125;1\n1;5013,125;1\n", ',', '\0', "5012,125", 5.012125 },
  { HEAD "0;0,125;1\n1;0,126;1\n", ',', '\0', "0,125", 0.000125 },
  { HEAD "0;5012;1\n1;5013;1\n", '.', '\0', "5012", 5.012 },
  /* whole numbers of four digits stand in the same column without marks */
  { HEAD "0;5012;1\n1;50,125;1\n", ',', '\0', "50,125", 0.050125 },
  /* a time that must not fall: 999 ms, 1,000 ms; and 0,999 s, 1 s */
  { "Time (ms);Voltage (V);Current (A)\n500;5;1\n999;5;1\n1,000;5;1\n1,500;5;1\n", '.', ',', "5",
    5 },
  { "Time (s);Voltage (V);Current (A)\n1,125;5;1\n1,625;5;1\n2;5;1\n2,125;5;1\n", ',', '\0', "5",
    5 },
  /* points alone are decimal points */
  { "Time (s);Voltage (V);Current (A)\n0;5.123;1.500\n1;5.124;1.501\n", '.', '\0', "5.123", 5.123 },
  /* the majority, where a few rows are broken */
  { HEAD "0;5012,5;1\n1;5013,5;1\n2;5012.5;1\n3;5012,5;1\n", ',', '\0', "5012,5", 5.0125 },
  /* units in cells */
  { "Time (s);Voltage;Current\n0;5.012,5 mV;1\n1;5.013,5 mV;1\n", ',', '.', "5.012,5 mV", 5.0125 },
};

static void
test_decided (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (decided); i++)
    {
      g_autoptr (TideUnderstanding) u = understand (decided[i].text, NULL);
      if (u->decimal_mark != decided[i].decimal || u->group_mark != decided[i].group)
        g_error ("case %u: \"%c\" and \"%c\"", i, u->decimal_mark, u->group_mark);
      g_assert_cmpfloat_with_epsilon (read_cell (u, TIDE_QUANTITY_VOLTAGE, decided[i].field),
                                      decided[i].value_v, 1e-12);
      for (guint k = 0; k < u->questions->len; k++)
        g_assert_cmpstr (((TideQuestion *)g_ptr_array_index (u->questions, k))->answers->pdata[0],
                         !=, "decimal");
    }
}

static const TideQuestion *
find_question (const TideUnderstanding *u)
{
  for (guint i = 0; i < u->questions->len; i++)
    {
      const TideQuestion *question = g_ptr_array_index (u->questions, i);
      const TideAnswer *first = g_ptr_array_index (question->answers, 0);
      if (g_str_equal (first->key, "decimal"))
        return question;
    }
  return NULL;
}

/* What is open, the likelier answer first; and what each answer makes of it. */
static void
test_asked (void)
{
  static const struct
  {
    const char *text, *likelier, *field;
    double by_point_v, by_comma_v;
  } cases[] = {
    { "Time (s);Voltage (V);Current (A)\n0;5,123;1,500\n1;5,124;1,501\n", ",", "5,123",
      5.123 /* 5123, which is asked about again: by the first answer mV */, 5.123 },
    { "Time (s);Voltage (mV);Current (A)\n0;5,123;1\n1;5,124;1\n", ".", "5,123", 5.123, 0.005123 },
    { "Time (s);Voltage (mV);Current (A)\n0;5.123;1\n1;5.124;1\n", ",", "5.123", 0.005123, 5.123 },
    { "Time (s);Voltage (V);Current (mA)\n0;5;1.234\n1;5;950\n", ".", "5", 5, 5 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideUnderstanding) u = understand (cases[i].text, NULL);
      const TideQuestion *question = find_question (u);
      if (!question)
        g_error ("case %u is not asked", i);
      g_assert_true (question->is_open);
      g_assert_cmpuint (question->answers->len, ==, 2);
      g_assert_cmpstr (((TideAnswer *)question->answers->pdata[0])->text, ==, cases[i].likelier);
      g_autoptr (TideUnderstanding) point = understand (cases[i].text, ".");
      g_autoptr (TideUnderstanding) comma = understand (cases[i].text, ",");
      g_assert_null (find_question (point));
      g_assert_null (find_question (comma));
      g_assert_cmpfloat_with_epsilon (read_cell (point, TIDE_QUANTITY_VOLTAGE, cases[i].field),
                                      cases[i].by_point_v, 1e-9);
      g_assert_cmpfloat_with_epsilon (read_cell (comma, TIDE_QUANTITY_VOLTAGE, cases[i].field),
                                      cases[i].by_comma_v, 1e-9);
    }
}

static void
test_groups (void)
{
  static const struct
  {
    const char *text;
    char mark, group;
    double value; /* -1: refused */
  } cases[] = {
    { "1,234", '.', ',', 1234 },
    { "-1,234.5e1", '.', ',', -12345 },
    { " 12,34,567 ", '.', ',', 1234567 },
    { "+1.234.567,25", ',', '.', 1234567.25 },
    { "1 234", ',', ' ', 1234 },
    { "1234.5", '.', ',', 1234.5 },
    { "1,23", '.', ',', -1 },
    { "12,345,67", '.', ',', -1 },
    { "1234,567", '.', ',', -1 },
    { "0,123", '.', ',', -1 },
    { ",123", '.', ',', -1 },
    { "1,,234", '.', ',', -1 },
    { "1,234,", '.', ',', -1 },
    { "1.234,567", '.', ',', -1 },
    { "1 234", '.', ',', -1 },
    { "1,234", '.', '\0', -1 },
    { "1,234 V", '.', ',', -1 },
    { "", '.', ',', -1 },
    { "-", '.', ',', -1 },
    { "1,234.5.6", '.', ',', -1 },
    { "1,111,111,111,111,111,111,111,111,111,111,111,111,111,111,111,111", '.', ',', -1 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      double value = 0;
      gboolean is_read = tide_number_parse_grouped (cases[i].text, strlen (cases[i].text),
                                                    cases[i].mark, cases[i].group, 0, &value);
      if (is_read != (cases[i].value != -1) || (is_read && value != cases[i].value))
        g_error ("\"%s\" is %.17g", cases[i].text, value);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/decimal/decided", test_decided);
  g_test_add_func ("/reading/decimal/asked", test_asked);
  g_test_add_func ("/reading/decimal/groups", test_groups);
  return g_test_run ();
}
