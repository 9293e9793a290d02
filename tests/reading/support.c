/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support.h"

#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

GPtrArray *
read_text (const char *text, gssize length, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, length < 0 ? strlen (text) : (gsize)length);
  return tide_read_bytes (bytes, "log.csv", NULL, NULL, error);
}

GPtrArray *
read_via_file (const char *text, gssize length, GError **error)
{
  g_autoptr (GError) problem = NULL;
  g_autofree char *folder = g_dir_make_tmp ("tidemark-reading-XXXXXX", &problem);
  g_assert_no_error (problem);
  g_autofree char *path = g_build_filename (folder, "log.csv", NULL);
  g_file_set_contents (path, text, length, &problem);
  g_assert_no_error (problem);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  GPtrArray *recordings = tide_read_file (file, NULL, NULL, error);
  g_assert_cmpint (g_unlink (path), ==, 0);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
  return recordings;
}

TideRecording *
read_one (const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = read_text (text, -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (recordings->len, ==, 1);
  return tide_recording_ref (g_ptr_array_index (recordings, 0));
}

void
assert_refused_bytes (const char *text, gssize length, TideReadingError code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = read_text (text, length, &error);
  g_assert_null (recordings);
  g_assert_error (error, TIDE_READING_ERROR, (int)code);
  g_assert_true (g_str_has_prefix (error->message, "log.csv: "));
  g_assert_null (strpbrk (error->message, "\r\n"));
  g_assert_true (g_utf8_validate (error->message, -1, NULL));
  if (!strstr (error->message, words))
    g_error ("\"%s\" does not say \"%s\"", error->message, words);
}

void
assert_refused (const char *text, TideReadingError code, const char *words)
{
  assert_refused_bytes (text, -1, code, words);
}

gboolean
has_complaint (TideRecording *recording, const char *words)
{
  GPtrArray *complaints = tide_recording_get_complaints (recording);
  for (guint i = 0; i < complaints->len; i++)
    {
      g_autofree char *text = tide_complaint_to_text (g_ptr_array_index (complaints, i));
      if (strstr (text, words))
        return TRUE;
    }
  return FALSE;
}

double
get_value (TideRecording *recording, TideQuantity quantity, gsize index)
{
  const double *column = tide_recording_get_column (recording, quantity);
  g_assert_nonnull (column);
  g_assert_cmpuint (index, <, tide_recording_get_n_samples (recording));
  return column[index];
}

void
assert_same_columns (TideRecording *a, TideRecording *b)
{
  gsize n = tide_recording_get_n_samples (a);
  g_assert_cmpuint (n, ==, tide_recording_get_n_samples (b));
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      const double *x = tide_recording_get_column (a, q);
      const double *y = tide_recording_get_column (b, q);
      g_assert_true ((x == NULL) == (y == NULL));
      for (gsize i = 0; x && i < n; i++)
        g_assert_cmpfloat (x[i], ==, y[i]);
    }
}
