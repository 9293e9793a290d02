/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The conditions of a run, and what may stand in each. */
#include "recording/conditions.h"

#include <string.h>

static void
test_conditions__new_is_empty (void)
{
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  g_autofree char *line = tide_conditions_to_line (conditions);

  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    g_assert_cmpstr (tide_conditions_get (conditions, i), ==, "");
  g_assert_cmpstr (line, ==, "");
}

static void
test_conditions__set_says_whether_it_changed (void)
{
  g_autoptr (TideConditions) conditions = tide_conditions_new ();

  g_assert_true (tide_conditions_set (conditions, TIDE_CONDITION_PORT, "  left port \n"));
  g_assert_cmpstr (tide_conditions_get (conditions, TIDE_CONDITION_PORT), ==, "left port");
  g_assert_false (tide_conditions_set (conditions, TIDE_CONDITION_PORT, "left port"));
  g_assert_true (tide_conditions_set (conditions, TIDE_CONDITION_PORT, NULL));
  g_assert_cmpstr (tide_conditions_get (conditions, TIDE_CONDITION_PORT), ==, "");
  g_assert_false (tide_conditions_set (conditions, TIDE_CONDITION_PORT, ""));
}

static void
test_conditions__copy_is_equal_until_changed (void)
{
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  tide_conditions_set (conditions, TIDE_CONDITION_MODE, "docked");

  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    {
      g_autoptr (TideConditions) copy = g_boxed_copy (TIDE_TYPE_CONDITIONS, conditions);

      g_assert_true (tide_conditions_equal (conditions, copy));
      tide_conditions_set (copy, i, "else");
      g_assert_false (tide_conditions_equal (conditions, copy));
    }
}

static void
test_conditions__ids_and_labels_differ (void)
{
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    {
      g_assert_cmpstr (tide_condition_get_label (i), !=, "");
      for (guint k = 0; k < i; k++)
        g_assert_cmpstr (tide_condition_get_id (i), !=, tide_condition_get_id (k));
    }
  g_assert_cmpstr (tide_condition_get_id (TIDE_CONDITION_SUPPLY), ==, "supply");
}

static const struct
{
  TideCondition field;
  const char *text;
  gboolean allowed;
} check_cases[] = {
  { TIDE_CONDITION_NAME, "", TRUE },
  { TIDE_CONDITION_NAME, NULL, TRUE },
  { TIDE_CONDITION_NAME, "Base port, 2nd", TRUE },
  { TIDE_CONDITION_NAME, "two\nlines", FALSE },
  { TIDE_CONDITION_NAME, "tab\there", FALSE },
  { TIDE_CONDITION_NAME, "escape \033[2J", FALSE },
  { TIDE_CONDITION_NAME, "para\342\200\251graph", FALSE },
  { TIDE_CONDITION_NAME, "\377", FALSE },
  { TIDE_CONDITION_NOTES, "two\r\nlines\tand a tab", TRUE },
  { TIDE_CONDITION_NOTES, "bell \a", FALSE },
  { TIDE_CONDITION_AMBIENT, "23.5", TRUE },
  { TIDE_CONDITION_AMBIENT, " 23 ", TRUE },
  { TIDE_CONDITION_AMBIENT, "-60", TRUE },
  { TIDE_CONDITION_AMBIENT, "120", TRUE },
  { TIDE_CONDITION_AMBIENT, "+5", TRUE },
  { TIDE_CONDITION_AMBIENT, "-60.1", FALSE },
  { TIDE_CONDITION_AMBIENT, "120.5", FALSE },
  { TIDE_CONDITION_AMBIENT, "23,5", TRUE },
  { TIDE_CONDITION_AMBIENT, "1,2,3", FALSE },
  { TIDE_CONDITION_AMBIENT, "0x17", FALSE },
  { TIDE_CONDITION_AMBIENT, "nan", FALSE },
  { TIDE_CONDITION_AMBIENT, "1e1", FALSE },
  { TIDE_CONDITION_AMBIENT, "23 C", FALSE },
  { TIDE_CONDITION_AMBIENT, "warm", FALSE },
  { TIDE_CONDITION_AMBIENT, "-", FALSE },
  { TIDE_CONDITION_AMBIENT, "1.2.3", FALSE },
  { TIDE_CONDITION_DATE, "2024-05-01", TRUE },
  { TIDE_CONDITION_DATE, "2024-02-29", TRUE },
  { TIDE_CONDITION_DATE, "2024-05-01T13:45", TRUE },
  { TIDE_CONDITION_DATE, "2024-05-01 13:45", TRUE },
  { TIDE_CONDITION_DATE, "2024-05-01T13:45Z", TRUE },
  /* As GLib 2.74.6 reads them, measured. */
  { TIDE_CONDITION_DATE, "2024-05-01T13:45:30+02:00", TRUE },
  { TIDE_CONDITION_DATE, "2024-05-01T13:45:30.123456Z", TRUE },
  { TIDE_CONDITION_DATE, "20240501T134530Z", TRUE },
  { TIDE_CONDITION_DATE, "2024-02-30", FALSE },
  { TIDE_CONDITION_DATE, "2023-02-29", FALSE },
  { TIDE_CONDITION_DATE, "2024-05-01T24:00:00Z", FALSE },
  { TIDE_CONDITION_DATE, "2024-05-01T13:61", FALSE },
  { TIDE_CONDITION_DATE, "01.05.2024", FALSE },
  { TIDE_CONDITION_DATE, "5/1/2024", FALSE },
  { TIDE_CONDITION_DATE, "yesterday", FALSE },
  { TIDE_CONDITION_DATE, "2024", FALSE },
};

static void
test_conditions__check (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (check_cases); i++)
    {
      g_autoptr (GError) error = NULL;
      gboolean allowed = tide_condition_check (check_cases[i].field, check_cases[i].text, &error);

      g_autofree char *shown =
          check_cases[i].text != NULL ? g_strescape (check_cases[i].text, NULL) : NULL;
      g_test_message ("%s", shown != NULL ? shown : "NULL");
      g_assert_cmpint (allowed, ==, check_cases[i].allowed);
      if (allowed)
        {
          g_assert_no_error (error);
          continue;
        }
      g_assert_error (error, TIDE_CONDITION_ERROR, TIDE_CONDITION_ERROR_VALUE);
      g_assert_true (
          g_str_has_prefix (error->message, tide_condition_get_label (check_cases[i].field)));
      g_assert_null (strchr (error->message, '\n'));
    }
}

static void
test_conditions__check_length (void)
{
  g_autofree char *longest = g_strnfill (10000, 'n');
  g_autofree char *longer = g_strnfill (10001, 'n');

  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    {
      gboolean free_text = i != TIDE_CONDITION_AMBIENT && i != TIDE_CONDITION_DATE;

      g_assert_cmpint (tide_condition_check (i, longest, NULL), ==, free_text);
      g_assert_false (tide_condition_check (i, longer, NULL));
      g_assert_true (tide_condition_check (i, "", NULL));
    }
}

static void
test_conditions__line (void)
{
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  tide_conditions_set (conditions, TIDE_CONDITION_NAME, "Base port");
  tide_conditions_set (conditions, TIDE_CONDITION_METER, "inline\nmeter");
  tide_conditions_set (conditions, TIDE_CONDITION_PORT, "base");
  tide_conditions_set (conditions, TIDE_CONDITION_AMBIENT, "21,5");
  tide_conditions_set (conditions, TIDE_CONDITION_NOTES, "not shown");

  g_autofree char *line = tide_conditions_to_line (conditions);
  g_assert_cmpstr (line, ==, "base \302\267 21.5\302\240\302\260C \302\267 inline meter");
}

static void
test_conditions__free_takes_null (void)
{
  g_autoptr (TideConditions) none = NULL;

  tide_conditions_free (none);
  g_assert_null (none);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/conditions/new-is-empty", test_conditions__new_is_empty);
  g_test_add_func ("/recording/conditions/set", test_conditions__set_says_whether_it_changed);
  g_test_add_func ("/recording/conditions/copy", test_conditions__copy_is_equal_until_changed);
  g_test_add_func ("/recording/conditions/ids", test_conditions__ids_and_labels_differ);
  g_test_add_func ("/recording/conditions/check", test_conditions__check);
  g_test_add_func ("/recording/conditions/check-length", test_conditions__check_length);
  g_test_add_func ("/recording/conditions/line", test_conditions__line);
  g_test_add_func ("/recording/conditions/free-takes-null", test_conditions__free_takes_null);
  return g_test_run ();
}
