/* SPDX-License-Identifier: GPL-3.0-or-later */
/* NULs in a log: what a file that was made long before it was filled holds behind its text, and
 * what a crash leaves inside. They are passed over, counted and told, in any encoding; a file of
 * many is no text. The cases are invented; common practice of file systems, no source.
 */
#include "support.h"

#include <string.h>

#include "reading/reading-private.h"
#include "reading/text-private.h"

#define LOG "Time (s),Voltage (V),Current (A)\n0,5,1\n1,5,1\n2,5,2\n"

/* A log with NULs in place of '#' and as many behind it. */
static GBytes *
make_bytes (const char *text, const char *encoding, gsize n_behind)
{
  gsize length;
  char *bytes = g_convert (text, -1, encoding, "UTF-8", NULL, &length, NULL);

  g_assert_nonnull (bytes);
  for (gsize i = 0; i < length; i++)
    if (bytes[i] == '#')
      bytes[i] = '\0';
  bytes = g_realloc (bytes, length + n_behind);
  memset (bytes + length, 0, n_behind);
  return g_bytes_new_take (bytes, length + n_behind);
}

static void
test_passed_over (void)
{
  static const struct
  {
    const char *text, *encoding;
    gsize n_behind;
    const char *complaint; /* NULL: of no NUL */
  } cases[] = {
    { LOG, "UTF-8", 0, NULL },
    { LOG, "UTF-8", 8, "8 NUL characters behind the text were passed over" },
    { LOG, "UTF-8", 1, "1 NUL character behind the text was passed over" },
    /* made long before it was filled: more than one head is looked at */
    { LOG, "UTF-8", 3 * TIDE_HEAD_BYTES + 5, " behind the text were passed over" },
    { LOG, "UTF-16LE", 64, "32 NUL characters behind the text were passed over" },
    { LOG, "UTF-16BE", 64, "32 NUL characters behind the text were passed over" },
    { "Time (s),Spannung \xc2\xb1 (V),Current (A)\n0,5,1\n1,5,1\n2,5,2\n", "WINDOWS-1252", 300,
      "300 NUL characters behind the text were passed over" },
    { "Time (s),Voltage (V),Current (A)\n0,5,1\n1,#5#,1\n2,5,2\n", "UTF-8", 0,
      "2 NUL characters in the text were passed over" },
    { "Time (s),Voltage (V),Current (A)\n0,5,1\n#\n1,5,1\n2,5,2\n", "UTF-8", 0,
      "1 NUL character in the text was passed over" },
    { "Time_s Voltage_V Current_A\n0 5 1\n1 5 #1\n2 5 2\n", "UTF-8", 4,
      "4 NUL characters behind the text were passed over" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GBytes) bytes = make_bytes (cases[i].text, cases[i].encoding, cases[i].n_behind);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) recordings = tide_read_bytes (bytes, "log.csv", NULL, NULL, &error);
      g_assert_no_error (error);
      TideRecording *run = g_ptr_array_index (recordings, 0);

      g_test_message ("case %u", i);
      g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 3);
      g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 0);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, 1), ==, 1);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, 2), ==, 2);
      g_assert_true (has_complaint (run, cases[i].complaint ? cases[i].complaint : "NUL")
                     == (cases[i].complaint != NULL));
    }
}

/* Whatever the pieces in which the bytes come. */
static void
test_pieces (void)
{
  static const char bytes[] = "a,b\n\0001,\0\0002\n\0\0\0";
  for (gsize piece = 1; piece < sizeof bytes; piece++)
    {
      g_autoptr (GPtrArray) complaints = tide_complaints_new ();
      g_autoptr (TideDecoder) decoder = tide_decoder_new ((const guint8 *)bytes, sizeof bytes - 1,
                                                          TRUE, "UTF-8", complaints, NULL);
      g_autoptr (GString) all = g_string_new (NULL);
      for (gsize i = 0; i < sizeof bytes - 1; i += piece)
        {
          gsize part = MIN (piece, sizeof bytes - 1 - i), n;
          const char *text;
          g_assert_true (tide_decoder_feed (decoder, (const guint8 *)bytes + i, part,
                                            i + part == sizeof bytes - 1, &text, &n, NULL));
          g_string_append_len (all, text, (gssize)n);
        }
      g_assert_cmpstr (all->str, ==, "a,b\n1,2\n");
      tide_decoder_tell (decoder, complaints);
      g_assert_cmpuint (complaints->len, ==, 2);
      g_autofree char *inner = tide_complaint_to_text (g_ptr_array_index (complaints, 0));
      g_autofree char *behind = tide_complaint_to_text (g_ptr_array_index (complaints, 1));
      g_assert_cmpstr (inner, ==, "3 NUL characters in the text were passed over");
      g_assert_cmpstr (behind, ==, "3 NUL characters behind the text were passed over");
    }
}

/* More than a tenth of what is in front of the last byte that is none. */
static void
test_refused (void)
{
  static const char *const texts[] = { "Time (s)#,#Power (W)#\n0#,#5\n#1#,#5\n", "####" };
  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autoptr (GBytes) bytes = make_bytes (texts[i], "UTF-8", 9);
      g_autoptr (GError) error = NULL;
      g_assert_null (tide_read_bytes (bytes, "log.csv", NULL, NULL, &error));
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NOT_TEXT);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/nuls/passed-over", test_passed_over);
  g_test_add_func ("/nuls/pieces", test_pieces);
  g_test_add_func ("/nuls/refused", test_refused);
  return g_test_run ();
}
