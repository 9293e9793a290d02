/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text as a terminal gets it: widths, cuts, and what must not reach it. */
#include <glib.h>
#include <math.h>
#include <string.h>

#include "command/tables.h"

/* Widths by the Unicode Standard Annex 11 (East Asian Width): wide characters take two cells,
 * combining ones none. */
static void
test_width (void)
{
  static const struct
  {
    const char *text;
    guint width;
  } table[] = {
    { "", 0 },
    { "port", 4 },
    { "Größe", 5 },
    { "o\xcc\x88", 1 },
    { "充电", 4 },
    { "a\xe2\x80\x8b"
      "b",
      2 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    g_assert_cmpuint (tide_text_width (table[i].text), ==, table[i].width);
}

static void
test_one_line (void)
{
  static const struct
  {
    const char *text, *line;
  } table[] = {
    { "plain", "plain" },
    { "two\nlines\r", "two�lines�" },
    { "a\tb", "a b" },
    { "1.50\xc2\xa0W", "1.50 W" },
    { "\x1b[31mred", "�[31mred" },
    { "caf\xe9", "caf�" },
    { "\xe2\x80\xa8", "�" },
    { "\xc2\x9b"
      "31m",
      "�31m" }, /* CSI as one C1 control */
  };
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    {
      g_autofree char *line = tide_text_one_line (table[i].text);
      g_assert_cmpstr (line, ==, table[i].line);
    }
}

static void
test_columns (void)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("lrl");
  const char *cells[] = { "Name", "Wh", "Note", "充电", "1.50", "", "Größe", "12.00", "x" };
  for (guint i = 0; i < G_N_ELEMENTS (cells); i++)
    tide_text_table_add (table, cells[i]);
  tide_text_table_take (table, g_strdup ("a"));
  tide_text_table_take (table, g_strdup ("b"));
  tide_text_table_take (table, g_strdup ("c"));
  g_autofree char *text = tide_text_table_to_text (table, 0);
  g_assert_cmpstr (text, ==,
                   "Name      Wh  Note\n"
                   "充电    1.50\n"
                   "Größe  12.00  x\n"
                   "a          b  c\n");
}

static void
test_empty (void)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("l");
  g_autofree char *text = tide_text_table_to_text (table, 0);
  g_assert_cmpstr (text, ==, "");
}

static void
check_clipped (const char *unit)
{
  GString *cell = g_string_new (NULL);
  for (guint i = 0; i < 1000; i++)
    g_string_append (cell, unit);
  g_autoptr (TideTextTable) table = tide_text_table_new ("l");
  tide_text_table_take (table, g_string_free (cell, FALSE));
  g_autofree char *text = tide_text_table_to_text (table, 0);
  g_assert_true (g_utf8_validate (text, -1, NULL));
  g_assert_true (g_str_has_suffix (text, "…\n"));
  text[strlen (text) - 1] = '\0';
  g_assert_cmpuint (tide_text_width (text), <=, TIDE_TEXT_TABLE_CELL);
  g_assert_cmpuint (tide_text_width (text), >=, TIDE_TEXT_TABLE_CELL - 1);
}

static void
test_long_cell (void)
{
  check_clipped ("n");
  check_clipped ("ü");
  check_clipped ("电");
}

static void
test_narrow (void)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("llr");
  const char *cells[] = { "A rather long name", "A condition that is longer", "12345.678" };
  for (guint i = 0; i < G_N_ELEMENTS (cells); i++)
    tide_text_table_add (table, cells[i]);
  g_autofree char *wide = tide_text_table_to_text (table, 100);
  g_assert_cmpstr (wide, ==, "A rather long name  A condition that is longer  12345.678\n");
  g_autofree char *narrow = tide_text_table_to_text (table, 40);
  g_assert_cmpstr (narrow, ==, "A rather lon…  A condition t…  12345.678\n");
  /* Numbers stay whole, whatever the width. */
  g_autofree char *none = tide_text_table_to_text (table, 1);
  g_assert_cmpstr (none, ==, "A rathe…  A condi…  12345.678\n");
}

static void
test_figure (void)
{
  static const struct
  {
    double value, uncertainty;
    const char *text;
  } table[] = {
    { 36.613, 0.1234, "36.61 ± 0.12" },
    { 36.613, NAN, "36.61" },
    { NAN, 0.1, "–" },
    { NAN, NAN, "–" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    {
      g_autofree char *text = tide_text_figure (table[i].value, table[i].uncertainty, 2);
      g_assert_cmpstr (text, ==, table[i].text);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/tables/width", test_width);
  g_test_add_func ("/tables/one-line", test_one_line);
  g_test_add_func ("/tables/columns", test_columns);
  g_test_add_func ("/tables/empty", test_empty);
  g_test_add_func ("/tables/long-cell", test_long_cell);
  g_test_add_func ("/tables/narrow", test_narrow);
  g_test_add_func ("/tables/figure", test_figure);
  return g_test_run ();
}
