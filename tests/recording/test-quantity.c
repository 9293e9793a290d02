/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of numbers, spans and quantities. */
#include "recording/quantity.h"

#include <locale.h>
#include <math.h>
#include <string.h>

#define MINUS "\342\210\222"
#define DASH  "\342\200\223"
#define NBSP  "\302\240"

static void
test_quantity__ids_lead_back (void)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      TideQuantity found = TIDE_N_QUANTITIES;

      g_assert_true (tide_quantity_from_id (tide_quantity_get_id (q), &found));
      g_assert_cmpuint (found, ==, q);
      g_assert_cmpstr (tide_quantity_get_name (q), !=, "");
      g_assert_cmpstr (tide_quantity_get_unit (q), !=, "");
    }
}

static void
test_quantity__unknown_id_leaves_result (void)
{
  static const char *const ids[] = { "", "Power", "watts", " power", NULL };

  for (guint i = 0; i < G_N_ELEMENTS (ids); i++)
    {
      TideQuantity found = TIDE_QUANTITY_CHARGE;

      g_assert_false (tide_quantity_from_id (ids[i], &found));
      g_assert_cmpuint (found, ==, TIDE_QUANTITY_CHARGE);
    }
}

/* The decimals the header promises. */
static void
test_quantity__decimals (void)
{
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_ENERGY), ==, 2);
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_POWER), ==, 2);
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_VOLTAGE), ==, 3);
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_CURRENT), ==, 3);
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_CHARGE), ==, 3);
  g_assert_cmpint (tide_quantity_get_decimals (TIDE_QUANTITY_TIME), ==, 0);
}

static void
test_quantity__differences (void)
{
  static const struct
  {
    double value;
    int decimals;
    const char *text;
  } cases[] = {
    { 1.25, 2, "+1.25" }, { -1.25, 1, MINUS "1.2" }, { 0, 1, "0.0" },  { 0.001, 1, "0.0" },
    { -0.001, 1, "0.0" }, { 1e6, 0, "+1000000" },    { NAN, 1, DASH }, { INFINITY, 1, DASH },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text = tide_text_signed (cases[i].value, cases[i].decimals);
      g_assert_cmpstr (text, ==, cases[i].text);
    }
}

static void
test_quantity__numbers (void)
{
  static const struct
  {
    double value;
    int decimals;
    const char *text;
  } cases[] = {
    { 12.5, 2, "12.50" },
    { -0.4, 2, MINUS "0.40" },
    { 0, 2, "0.00" },
    { -0.0, 2, "0.00" },
    { -0.004, 2, "0.00" },
    { -0.006, 2, MINUS "0.01" },
    { -0.4, 0, "0" },
    { -0.6, 0, MINUS "1" },
    { 1234567.25, 1, "1234567.2" },
    { 3, -1, "3" },
    { 1.0 / 3, 99, "0.33333333333333331" },
    { NAN, 2, DASH },
    { INFINITY, 2, DASH },
    { -INFINITY, 0, DASH },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text = tide_text_number (cases[i].value, cases[i].decimals);
      g_assert_cmpstr (text, ==, cases[i].text);
    }
}

static void
test_quantity__largest_double_fits (void)
{
  g_autofree char *text = tide_text_number (-G_MAXDOUBLE, 17);

  g_assert_cmpuint (strlen (text), ==, strlen (MINUS) + 309 + 1 + 17);
  g_assert_true (g_str_has_prefix (text, MINUS "179769313486231"));
}

static void
test_quantity__with_unit (void)
{
  g_autofree char *watts = tide_text_quantity (12.5, 2, TIDE_QUANTITY_POWER);
  g_autofree char *degrees = tide_text_quantity (-3, 1, TIDE_QUANTITY_TEMPERATURE);
  g_autofree char *unknown = tide_text_quantity (NAN, 2, TIDE_QUANTITY_POWER);

  g_assert_cmpstr (watts, ==, "12.50" NBSP "W");
  g_assert_cmpstr (degrees, ==, MINUS "3.0" NBSP "\302\260C");
  g_assert_cmpstr (unknown, ==, DASH);
}

static void
test_quantity__durations (void)
{
  static const struct
  {
    double seconds;
    const char *text;
  } cases[] = {
    { 0, "0 s" },
    { -0.0, "0 s" },
    { 0.0001, "0 s" },
    { -0.0001, "0 s" },
    { 0.01, "0.01 s" },
    { 0.25, "0.25 s" },
    { 0.9999, "1 s" },
    { 2, "2 s" },
    { 2.5, "2.5 s" },
    { 9.94, "9.9 s" },
    { 9.96, "10 s" },
    { 48, "48 s" },
    { 59.4, "59 s" },
    { 59.6, "1 min 0 s" },
    { 725, "12 min 5 s" },
    { 3599.4, "59 min 59 s" },
    { 3599.6, "1 h 0 min" },
    { 9660, "2 h 41 min" },
    { 9689, "2 h 41 min" },
    { 9691, "2 h 42 min" },
    { -725, MINUS "12 min 5 s" },
    { 90061, "25 h 1 min" },
    { 3.6e15, "1000000000000 h" },
    { NAN, DASH },
    { INFINITY, DASH },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text = tide_text_duration (cases[i].seconds);
      g_assert_cmpstr (text, ==, cases[i].text);
    }
}

/* Files and charts travel: a locale with a decimal comma changes nothing. Where none is installed
 * the same is still asserted under the locale there is. */
static void
test_quantity__point_in_every_locale (void)
{
  static const char *const locales[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8",
                                         "nl_NL.UTF-8" };
  g_autofree char *before = g_strdup (setlocale (LC_ALL, NULL));
  const char *now = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (locales) && now == NULL; i++)
    now = setlocale (LC_ALL, locales[i]);
  g_test_message ("locale: %s", now != NULL ? now : before);

  g_autofree char *number = tide_text_number (1234.5, 3);
  g_autofree char *quantity = tide_text_quantity (0.25, 2, TIDE_QUANTITY_ENERGY);
  g_autofree char *span = tide_text_duration (2.5);
  setlocale (LC_ALL, before);

  g_assert_cmpstr (number, ==, "1234.500");
  g_assert_cmpstr (quantity, ==, "0.25" NBSP "Wh");
  g_assert_cmpstr (span, ==, "2.5 s");
}

int
main (int argc, char **argv)
{
  setlocale (LC_ALL, "");
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/quantity/ids-lead-back", test_quantity__ids_lead_back);
  g_test_add_func ("/recording/quantity/unknown-id", test_quantity__unknown_id_leaves_result);
  g_test_add_func ("/recording/quantity/decimals", test_quantity__decimals);
  g_test_add_func ("/recording/quantity/numbers", test_quantity__numbers);
  g_test_add_func ("/recording/quantity/differences", test_quantity__differences);
  g_test_add_func ("/recording/quantity/largest-double", test_quantity__largest_double_fits);
  g_test_add_func ("/recording/quantity/with-unit", test_quantity__with_unit);
  g_test_add_func ("/recording/quantity/durations", test_quantity__durations);
  g_test_add_func ("/recording/quantity/locale", test_quantity__point_in_every_locale);
  return g_test_run ();
}
