/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers: the same bits as g_ascii_strtod() (whose result is C's correctly rounded strtod), and
 * nothing taken for a number that is none.
 */
#include "reading/number-private.h"

#include <math.h>
#include <string.h>

#define N_RANDOM 200000

static gboolean
parse (const char *text, char mark, double *value)
{
  return tide_number_parse (text, strlen (text), mark, 0, value);
}

static void
assert_same_bits (double a, double b, const char *text)
{
  if (memcmp (&a, &b, sizeof a) != 0)
    g_error ("%s: %.17g is not %.17g", text, a, b);
}

static void
test_accepts (void)
{
  static const struct
  {
    const char *text;
    char mark;
    double value;
  } cases[] = {
    { "0", '.', 0 },
    { "5", '.', 5 },
    { "+5.25", '.', 5.25 },
    { "-0.5", '.', -0.5 },
    { ".5", '.', 0.5 },
    { "5.", '.', 5 },
    { "  7.25 ", '.', 7.25 },
    { "1,5", ',', 1.5 },
    { "-12,75", ',', -12.75 },
    { "1,5E-05", ',', 1.5e-5 },
    { "1e3", '.', 1000 },
    { "1E+3", '.', 1000 },
    { "5.78596e-042", '.', 5.78596e-42 },
    { "0.000000000000000E+000", '.', 0 },
    { "\xe2\x88\x92"
      "2.5",
      '.', -2.5 },
    { "123456789012345678901234567890", '.', 123456789012345678901234567890. },
    { "9007199254740993", '.', 9007199254740993. },
    { "1e-400", '.', 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      double value = NAN;
      g_assert_true (parse (cases[i].text, cases[i].mark, &value));
      assert_same_bits (value, cases[i].value, cases[i].text);
    }
}

static void
test_refuses (void)
{
  static const char *const cases[] = {
    "",    " ",     "-",   "+",     ".",        "e5",   "1e",
    "1e+", "1.2.3", "1,2", "12a",   "0x10",     "inf",  "nan",
    "NaN", "-inf",  "1 2", "1e999", "--1",      "1-",   "12:30",
    "5 V", "1_000", "١",   "1e5.5", "infinity", "\xff", "1e99999999999999999999"
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      double value;
      if (parse (cases[i], '.', &value))
        g_error ("\"%s\" was taken as %g", cases[i], value);
    }
  double value;
  g_assert_false (parse ("1.5", ',', &value));
  g_assert_false (tide_number_parse ("1\0"
                                     "2",
                                     3, '.', 0, &value));
}

static void
test_bound (void)
{
  /* a mantissa longer than anyone prints is refused, not cut */
  g_autofree char *digits = g_strnfill (5000, '7');
  double value;
  g_assert_false (parse (digits, '.', &value));
  digits[1000] = '\0';
  g_assert_false (parse (digits, '.', &value)); /* beyond a double */
  digits[300] = '\0';
  g_assert_true (parse (digits, '.', &value));
  assert_same_bits (value, g_ascii_strtod (digits, NULL), digits);
}

static char *
make_random (GRand *rand)
{
  GString *text = g_string_new (g_rand_boolean (rand) ? "-" : "");
  int n = g_rand_int_range (rand, 1, 20), point = g_rand_int_range (rand, 0, n + 1);
  for (int i = 0; i < n; i++)
    {
      if (i == point)
        g_string_append_c (text, '.');
      g_string_append_c (text, (char)('0' + g_rand_int_range (rand, 0, 10)));
    }
  if (g_rand_int_range (rand, 0, 3) == 0)
    g_string_append_printf (text, "e%d", g_rand_int_range (rand, -330, 300));
  return g_string_free (text, FALSE);
}

static void
test_same_bits_as_strtod (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (20240501);
  guint n_checked = 0;
  for (guint i = 0; i < N_RANDOM; i++)
    {
      g_autofree char *text = make_random (rand);
      double value, expected = g_ascii_strtod (text, NULL);
      if (!isfinite (expected))
        continue;
      g_assert_true (parse (text, '.', &value));
      assert_same_bits (value, expected, text);
      n_checked++;
    }
  g_assert_cmpuint (n_checked, >, N_RANDOM * 9 / 10);
}

static void
test_random_doubles_return (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  for (guint i = 0; i < N_RANDOM; i++)
    {
      guint64 bits = ((guint64)g_rand_int (rand) << 32) | g_rand_int (rand);
      double number, value;
      memcpy (&number, &bits, sizeof number);
      if (!isfinite (number))
        continue;
      char text[64];
      g_ascii_formatd (text, sizeof text, i % 2 ? "%.17g" : "%.16e", number);
      g_assert_true (parse (text, '.', &value));
      assert_same_bits (value, g_ascii_strtod (text, NULL), text);
    }
}

static void
test_shift_rounds_once (void)
{
  /* 1500.1 mA are 1.5001 A to the last bit, whatever 1500.1 / 1000 would round to */
  g_autoptr (GRand) rand = g_rand_new_with_seed (11);
  for (guint i = 0; i < 20000; i++)
    {
      int micros = g_rand_int_range (rand, 0, 100000000);
      g_autofree char *milli = g_strdup_printf ("%d.%03d", micros / 1000, micros % 1000);
      g_autofree char *whole = g_strdup_printf ("%d.%06d", micros / 1000000, micros % 1000000);
      double value;
      g_assert_true (tide_number_parse (milli, strlen (milli), '.', -3, &value));
      assert_same_bits (value, g_ascii_strtod (whole, NULL), milli);
    }
}

static void
test_missing (void)
{
  static const char *const missing[] = { "",    "  ",  "-",    "--",   "N/A",
                                         "n/a", "NaN", "null", "NULL", "–" };
  static const char *const present[] = { "0", "5", "x", "-1", "none of it" };
  for (guint i = 0; i < G_N_ELEMENTS (missing); i++)
    g_assert_true (tide_number_is_missing (missing[i], strlen (missing[i])));
  for (guint i = 0; i < G_N_ELEMENTS (present); i++)
    g_assert_false (tide_number_is_missing (present[i], strlen (present[i])));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/number/accepts", test_accepts);
  g_test_add_func ("/reading/number/refuses", test_refuses);
  g_test_add_func ("/reading/number/bound", test_bound);
  g_test_add_func ("/reading/number/same-bits-as-strtod", test_same_bits_as_strtod);
  g_test_add_func ("/reading/number/random-doubles", test_random_doubles_return);
  g_test_add_func ("/reading/number/shift-rounds-once", test_shift_rounds_once);
  g_test_add_func ("/reading/number/missing", test_missing);
  return g_test_run ();
}
