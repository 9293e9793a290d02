/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines that are read in one go give what the general way gives, to the bit; and tables that begin
 * below others, in the head of a file or far beyond it. Fields in quotes go the general way.
 */
#include <string.h>

#include "reading/reading-private.h"
#include "reading/support.h"

static GPtrArray *
read_well (const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  GPtrArray *runs = tide_read_bytes (bytes, "log.csv", NULL, NULL, &error);

  g_assert_no_error (error);
  return runs;
}

static void
assert_same (GPtrArray *a, GPtrArray *b)
{
  g_assert_cmpuint (a->len, ==, b->len);
  for (guint i = 0; i < a->len; i++)
    {
      TideRecording *x = a->pdata[i], *y = b->pdata[i];
      GPtrArray *p = tide_recording_get_complaints (x), *q = tide_recording_get_complaints (y);

      g_assert_cmpuint (tide_recording_get_n_samples (x), ==, tide_recording_get_n_samples (y));
      for (guint column = 0; column < TIDE_N_QUANTITIES; column++)
        if (tide_recording_get_column (x, column) != NULL)
          g_assert_cmpmem (tide_recording_get_column (x, column),
                           8 * tide_recording_get_n_samples (x),
                           tide_recording_get_column (y, column),
                           8 * tide_recording_get_n_samples (y));
      g_assert_cmpint (tide_recording_get_start_us (x), ==, tide_recording_get_start_us (y));
      g_assert_cmpuint (p->len, ==, q->len);
      for (guint k = 0; k < p->len; k++)
        g_assert_cmpuint (((TideComplaint *)p->pdata[k])->row, ==,
                          ((TideComplaint *)q->pdata[k])->row);
    }
}

/* A number as exports write them, some as few do. Transfer full. */
static char *
make_number (void)
{
  double value = g_test_rand_double_range (-30, 30);

  switch (g_test_rand_int_range (0, 12))
    {
    case 0:
      return g_strdup_printf ("%.17g", value);
    case 1:
      return g_strdup_printf ("%.3e", value);
    case 2:
      return g_strdup_printf ("%+.2f", value);
    case 3:
      return g_strdup_printf ("%.0f", value);
    case 4:
      return g_strdup_printf ("%.12f", value);
    case 5:
      return g_strdup_printf (" %.3f ", value);
    case 6:
      return g_strdup (g_test_rand_bit () ? "-0" : "-0.000");
    case 7:
      return g_strdup (g_test_rand_bit () ? "5." : ".5");
    case 8:
      return g_strdup_printf ("%d0000000000000000000000.5", g_test_rand_int_range (1, 9));
    default:
      return g_strdup_printf ("%.4f", value);
    }
}

/* One row in both texts; in the second its first field is quoted. */
static void
add_row (GString *plain, GString *quoted, const char *time, const char *line_end)
{
  g_autofree char *v = make_number (), *a = make_number (), *w = make_number ();
  const char *hole = g_test_rand_int_range (0, 50) == 0 ? "" : a;

  g_string_append_printf (plain, "%s,%s,%s,note,%s%s", time, v, hole, w, line_end);
  g_string_append_printf (quoted, "\"%s\",%s,%s,note,%s%s", time, v, hole, w, line_end);
}

static void
add_oddity (GString *text, GString *quoted, const char *line_end)
{
  static const char *const oddities[] = { "",    "# a remark", "Time (s),V (V),I (mA),what,P (W)",
                                          "1,2", ",,,,",       "oops" };
  const char *oddity = oddities[g_test_rand_int_range (0, G_N_ELEMENTS (oddities))];

  g_string_append_printf (text, "%s%s", oddity, line_end);
  g_string_append_printf (quoted, "%s%s", oddity, line_end);
}

static void
test_same_bits (void)
{
  static const char *const line_ends[] = { "\n", "\r\n" };

  for (guint round = 0; round < 40; round++)
    {
      g_autoptr (GString) plain = g_string_new ("Time (s),V (V),I (mA),what,P (W)\n");
      g_autoptr (GString) quoted = g_string_new (plain->str);
      const char *line_end = line_ends[round % 2];

      for (guint i = 0; i < 9000; i++)
        {
          g_autofree char *time = g_strdup_printf (round % 3 ? "%u.%u" : "%u", i, i % 10);

          if (i > 2 && g_test_rand_int_range (0, 400) == 0)
            add_oddity (plain, quoted, line_end);
          add_row (plain, quoted, time, i == 8999 && round % 4 == 0 ? "" : line_end);
        }
      g_autoptr (GPtrArray) one = read_well (plain->str), other = read_well (quoted->str);
      assert_same (one, other);
    }
}

static void
test_clocks (void)
{
  g_autoptr (GString) plain = g_string_new ("Time,V (V),I (mA),what,P (W)\n");
  g_autoptr (GString) quoted = g_string_new (plain->str);

  for (guint i = 0; i < 90000; i++)
    {
      g_autofree char *time =
          g_strdup_printf ("%02u:%02u:%02u", (i / 3600 + 11) % 24, i / 60 % 60, i % 60);

      add_row (plain, quoted, time, "\n");
    }
  g_autoptr (GPtrArray) one = read_well (plain->str), other = read_well (quoted->str);
  assert_same (one, other);
  g_assert_cmpuint (one->len, ==, 1);
}

/* ---- Several tables ---- */

static void
add_table (GString *text, const char *names, guint n, double scale)
{
  g_string_append_printf (text, "%s\n", names);
  for (guint i = 0; i < n; i++)
    g_string_append_printf (text, "%u,%g,1.5\n", i, scale * (5 + i % 2));
}

/* Rows of the second table count on; its columns are its own, its rows told by their numbers. */
static void
test_second_table (void)
{
  for (guint n = 10; n < 100000; n *= 6)
    {
      g_autoptr (GString) text = g_string_new (NULL);
      g_autoptr (GPtrArray) runs = NULL;

      add_table (text, "Time (s),Voltage (V),Current (A)", n, 1);
      g_string_append (text, "\nsecond run\n");
      add_table (text, "Elapsed (min),Voltage (mV),Current (A)", 20, 1000);
      g_string_append (text, "oops,1,2\n");
      runs = read_well (text->str);
      g_assert_cmpuint (runs->len, ==, 2);
      g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[0]), ==, n);
      g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[1]), ==, 20);
      g_assert_cmpuint (tide_recording_get_part (runs->pdata[1]), ==, 2);
      g_assert_cmpfloat (tide_recording_get_duration_s (runs->pdata[1]), ==, 19 * 60);
      g_assert_cmpfloat (tide_recording_get_column (runs->pdata[1], TIDE_QUANTITY_VOLTAGE)[1], ==,
                         6);
      GPtrArray *complaints = tide_recording_get_complaints (runs->pdata[1]);
      const TideComplaint *last = complaints->pdata[complaints->len - 1];
      g_assert_cmpuint (last->row, ==, 1 + n + 3 + 20 + 1);
    }
}

/* Words in the middle that name no table are broken rows like any other. */
static void
test_words_between (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GPtrArray) runs = NULL;

  add_table (text, "Time (s),Voltage (V),Current (A)", 3000, 1);
  for (guint i = 3000; i < 6000; i++)
    {
      if (i % 20 == 0)
        g_string_append (text, "note,something,else\n");
      g_string_append_printf (text, "%u,5,1.5\n", i);
    }
  runs = read_well (text->str);
  g_assert_cmpuint (runs->len, ==, 1);
  g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[0]), ==, 6000);
  g_assert_cmpuint (tide_recording_get_skipped_rows (runs->pdata[0]), ==, 150);
}

static void
test_chosen_table (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideReadOptions options = { .rule = rule };

  add_table (text, "Time (s),Voltage (V),Current (A)", 10, 1);
  add_table (text, "Elapsed (min),Voltage (mV),Current (A)", 20, 1000);
  add_table (text, "Time (h),Voltage (V),Current (A)", 30, 1);
  for (guint table = 1; table <= 3; table++)
    {
      g_autofree char *number = g_strdup_printf ("%u", table);
      g_autoptr (GBytes) bytes = g_bytes_new (text->str, text->len);
      g_autoptr (GError) error = NULL;

      g_assert_true (tide_reading_rule_set (rule, "table", number, NULL));
      g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "log.csv", &options, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (runs->len, ==, 1);
      g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[0]), ==, 10 * table);
    }
}

/* Two ports side by side, one of them without a load now and then. */
static void
test_side_by_side (void)
{
  g_autoptr (GString) text = g_string_new (
      "Time (s),Port A Voltage (V),Port A Current (A),Port B Voltage (V),Port B Current (A)\n");
  g_autoptr (GPtrArray) runs = NULL;

  for (guint i = 0; i < 1000; i++)
    g_string_append_printf (text, "%u,5,1,%s,2\n", i, i % 100 == 7 ? "" : "9");
  runs = read_well (text->str);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[0]), ==, 1000);
  g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[1]), ==, 990);
  g_assert_cmpuint (tide_recording_get_skipped_rows (runs->pdata[1]), ==, 10);
  g_assert_nonnull (strstr (tide_recording_get_label (runs->pdata[0]), "A"));
  g_assert_nonnull (strstr (tide_recording_get_label (runs->pdata[1]), "B"));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/plain-rows/same-bits", test_same_bits);
  g_test_add_func ("/reading/plain-rows/clocks", test_clocks);
  g_test_add_func ("/reading/runs/second-table", test_second_table);
  g_test_add_func ("/reading/runs/words-between", test_words_between);
  g_test_add_func ("/reading/runs/chosen-table", test_chosen_table);
  g_test_add_func ("/reading/runs/side-by-side", test_side_by_side);
  return g_test_run ();
}
