/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looking at files that hold several texts, and at what is no file of ours: the tables of each
 * text, what was passed over, and that reading gives the runs that were shown.
 */
#include <glib/gstdio.h>
#include <string.h>

#include "reading/reading.h"
#include "reading/understanding.h"
#include "unpack/packing.h"

#define LOG_A "Time (s),Power (W)\n0,1\n1,2\n"
#define LOG_B "Time (ms);Voltage (V);Current (A)\n0;5;1\n500;5;2\n"
#define NOTE  "A note about the two logs, which is none itself.\n"

static GPtrArray *
look (GBytes *bytes, const char *sheet, GError **error)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideReadOptions options = { .rule = rule };
  tide_reading_rule_set (rule, "sheet", sheet, NULL);
  return tide_understand_bytes (bytes, "logs.zip", &options, NULL, error);
}

static void
test_members (void)
{
  static const PackedFile files[] = {
    { "note.txt", NOTE, 0 }, { "a.csv", LOG_A, 0 }, { "deep/b.csv", LOG_B, 0 }, { NULL, NULL, 0 }
  };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = look (bytes, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tables->len, ==, 2);
  TideUnderstanding *a = g_ptr_array_index (tables, 0), *b = g_ptr_array_index (tables, 1);
  g_assert_nonnull (strstr (tide_understanding_get_member (a), "a.csv"));
  g_assert_nonnull (strstr (tide_understanding_get_member (b), "b.csv"));
  g_assert_cmpint (tide_understanding_get_delimiter (b), ==, ';');

  /* the note is told of and is no doubt about the logs */
  GPtrArray *complaints = tide_understanding_get_complaints (a);
  g_assert_cmpuint (complaints->len, ==, 1);
  const TideComplaint *complaint = g_ptr_array_index (complaints, 0);
  g_assert_nonnull (strstr (complaint->text, "note.txt is not read"));
  g_assert_true (tide_understanding_is_sure (a));

  g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "logs.zip", NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);

  g_autoptr (GPtrArray) second = look (bytes, "3", &error);
  g_assert_no_error (error);
  g_assert_cmpuint (second->len, ==, 1);
  g_assert_cmpuint (tide_understanding_get_n_columns (g_ptr_array_index (second, 0)), ==, 3);
}

static void
assert_not_looked_at (GBytes *bytes, const char *sheet, TideReadingError code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_assert_null (look (bytes, sheet, &error));
  g_assert_error (error, TIDE_READING_ERROR, (int)code);
  assert_one_line (error);
  g_assert_true (g_str_has_prefix (error->message, "logs.zip: "));
  if (!strstr (error->message, words))
    g_error ("\"%s\" does not say \"%s\"", error->message, words);
}

static void
test_no_logs (void)
{
  static const PackedFile notes[] = { { "note.txt", NOTE, 0 },
                                      { "other.txt", NOTE, 0 },
                                      { NULL, NULL, 0 } };
  g_autoptr (GBytes) bytes = pack_zip (notes, NULL);
  assert_not_looked_at (bytes, NULL, TIDE_READING_ERROR_NO_TABLE, "no table");
  assert_not_looked_at (bytes, "9", TIDE_READING_ERROR_RULE, "note.txt");
  g_autoptr (GBytes) empty = g_bytes_new (NULL, 0);
  assert_not_looked_at (empty, NULL, TIDE_READING_ERROR_EMPTY, "empty");
}

static void
test_files (void)
{
  g_autofree char *folder = g_dir_make_tmp ("tide-look-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "a.csv", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path), parent = g_file_new_for_path (folder);
  g_autoptr (GError) error = NULL;
  g_assert_null (tide_understand_file (file, NULL, NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  g_assert_cmpstr (error->message, ==, "a.csv: there is no such file");
  g_clear_error (&error);
  g_assert_null (tide_understand_file (parent, NULL, NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY);
  g_clear_error (&error);

  g_assert_true (g_file_set_contents (path, LOG_A, -1, NULL));
  g_autoptr (GPtrArray) tables = tide_understand_file (file, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tables->len, ==, 1);
  g_autoptr (GCancellable) cancelled = g_cancellable_new ();
  g_cancellable_cancel (cancelled);
  g_assert_null (tide_understand_file (file, NULL, cancelled, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_unlink (path);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/look/members", test_members);
  g_test_add_func ("/reading/look/no-logs", test_no_logs);
  g_test_add_func ("/reading/look/files", test_files);
  return g_test_run ();
}
