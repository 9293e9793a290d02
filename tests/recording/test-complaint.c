/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Complaints: their one line of text, whatever a file put into it. */
#include "recording/complaint.h"

#include <string.h>

static void
test_complaint__text (void)
{
  static const struct
  {
    guint64 row;
    const char *column, *text;
  } cases[] = {
    { 12, "Voltage(V)", "row 12, column Voltage(V): not a number: abc" },
    { 12, NULL, "row 12: not a number: abc" },
    { 0, "Voltage(V)", "column Voltage(V): not a number: abc" },
    { 0, NULL, "not a number: abc" },
    { G_MAXUINT64, "two\nlines", "row 18446744073709551615, column two lines: not a number: abc" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideComplaint) complaint =
          tide_complaint_new (cases[i].row, cases[i].column, "not a number: %s", "abc");
      g_autofree char *text = tide_complaint_to_text (complaint);

      g_assert_cmpstr (text, ==, cases[i].text);
      g_assert_cmpstr (complaint->column, ==, cases[i].column);
    }
}

/* A field of a hostile file ends in a terminal and in JSON. */
static void
test_complaint__one_valid_line (void)
{
  g_autofree char *flood = g_strnfill (100000, 'x');
  const char *hostile[] = { "a\r\nb", "\033[2J", "\377\376", "tab\there", flood };

  for (guint i = 0; i < G_N_ELEMENTS (hostile); i++)
    {
      g_autoptr (TideComplaint) complaint = tide_complaint_new (1, NULL, "field: %s", hostile[i]);

      g_assert_true (g_utf8_validate (complaint->text, -1, NULL));
      g_assert_null (strpbrk (complaint->text, "\r\n\t\033"));
      g_assert_cmpint (g_utf8_strlen (complaint->text, -1), <=, 501);
    }
}

static void
test_complaint__copies_are_deep (void)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_ptr_array_add (complaints, tide_complaint_new (3, "A", "first"));
  g_ptr_array_add (complaints, tide_complaint_new (0, NULL, "second"));

  g_autoptr (GPtrArray) copy = tide_complaints_copy (complaints);
  g_ptr_array_set_size (complaints, 0);

  g_assert_cmpuint (copy->len, ==, 2);
  const TideComplaint *first = g_ptr_array_index (copy, 0);
  const TideComplaint *second = g_ptr_array_index (copy, 1);
  g_assert_cmpuint (first->row, ==, 3);
  g_assert_cmpstr (first->column, ==, "A");
  g_assert_cmpstr (first->text, ==, "first");
  g_assert_null (second->column);
  g_assert_cmpstr (second->text, ==, "second");
}

static void
test_complaint__free_takes_null (void)
{
  g_autoptr (TideComplaint) none = NULL;

  tide_complaint_free (none);
  g_assert_null (none);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/complaint/text", test_complaint__text);
  g_test_add_func ("/recording/complaint/one-valid-line", test_complaint__one_valid_line);
  g_test_add_func ("/recording/complaint/copies-are-deep", test_complaint__copies_are_deep);
  g_test_add_func ("/recording/complaint/free-takes-null", test_complaint__free_takes_null);
  return g_test_run ();
}
