/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers and sizes as people type them, and what is neither. */
#include <glib.h>
#include <math.h>

#include "command/arguments.h"

static void
test_number (void)
{
  static const struct
  {
    const char *text;
    double value; /* NaN: refused; the bounds are 0 .. 1000 */
  } table[] = {
    { "0", 0 },      { "3", 3 },       { "2.5", 2.5 }, { "1e3", 1000 },  { "+7", 7 },
    { ".5", 0.5 },   { "1000", 1000 }, { "", NAN },    { "1,5", NAN },   { "-1", NAN },
    { "1001", NAN }, { "nan", NAN },   { "inf", NAN }, { "1e999", NAN }, { "0x10", NAN },
    { " 1", NAN },   { "1 ", NAN },    { "1s", NAN },  { "1.2.3", NAN }, { "e", NAN },
    { "--1", NAN },  { "٣", NAN },
  };
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    {
      double value = -1;
      gboolean taken = tide_parse_number (table[i].text, 0, 1000, &value);
      g_test_message ("%s", table[i].text);
      g_assert_cmpint (taken, ==, !isnan (table[i].value));
      g_assert_cmpfloat (value, ==, taken ? table[i].value : -1);
    }
}

static void
test_size (void)
{
  static const struct
  {
    const char *text;
    int width, height; /* 0: refused */
  } table[] = {
    { "1920x1080", 1920, 1080 },
    { "1X2", 1, 2 },
    { "", 0, 0 },
    { "1920", 0, 0 },
    { "x", 0, 0 },
    { "0x10", 0, 0 },
    { "-1x5", 0, 0 },
    { "1x2x3", 0, 0 },
    { "1.5x2", 0, 0 },
    { " 1x2", 0, 0 },
    { "1x2 ", 0, 0 },
    { "99999999999x1", 0, 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    {
      int width = 0, height = 0;
      g_test_message ("%s", table[i].text);
      g_assert_cmpint (tide_parse_size (table[i].text, &width, &height), ==, table[i].width > 0);
      g_assert_cmpint (width, ==, table[i].width);
      g_assert_cmpint (height, ==, table[i].height);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/arguments/number", test_number);
  g_test_add_func ("/arguments/size", test_size);
  return g_test_run ();
}
