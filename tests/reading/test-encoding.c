/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Encodings of short logs, whose letters are too few for statistics: the names of the columns tell.
 * The bytes are iconv's; the logs are invented.
 */
#include "reading/text-private.h"

#include <string.h>

#include "support.h"

static const struct
{
  const char *encoding, *text;
} logs[] = {
  { "WINDOWS-1252", "Dauer;P [mW];Stromstärke [A]\n0;13’563;1.503\n1;13’563;1.503\n" },
  { "WINDOWS-1252", "Dauer\tLeistung\tStrom\tKapazität\n0 s\t13563 mW\t1503000 µA\t0 mAh\n1 s\t"
                    "13563 mW\t1503000 µA\t0 mAh\n" },
  { "WINDOWS-1252", "Time (s);Power (mW);Current (A)\n0;13’563;1.503\n1;13’563;1.503\n" },
  { "WINDOWS-1252",
    "Temps écoulé (s);Puissance (mW);Intensité (A)\n0;13563;1,5030\n1;13563;1,5030\n" },
  { "SHIFT_JIS", "測定時間;電力;電流\ns;mW;A\n0;13’563;−1.503\n1;13’563;−1.503\n" },
  { "SHIFT_JIS", "時刻;電力 (mW);電流 (A)\n1775211072;13563;1,5030\n1775211073;13563;1,5030\n" },
  { "GB18030", "时间;功率;电流\n1775211072;13563 mW;1.503 A\n1775211073;13563 mW;1.503 A\n" },
  { "EUC-JP", "経過時間 (s),電力 (mW),電流 (A)\n0,13563,1.503\n1,13563,1.503\n" },
  { "BIG5", "時間 (s),功率 (mW),電流 (A)\n0,13563,1.503\n1,13563,1.503\n" },
  { "WINDOWS-1251", "Время (с);Мощность (мВт);Ток (А)\n0;13563;1,5030\n1;13563;1,5030\n" },
};

static void
test_short_logs (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (logs); i++)
    {
      g_autoptr (GError) error = NULL;
      gsize length;
      g_autofree char *bytes =
          g_convert (logs[i].text, -1, logs[i].encoding, "UTF-8", NULL, &length, &error);
      g_assert_no_error (error);
      g_autoptr (GPtrArray) runs = read_text (bytes, (gssize)length, &error);
      if (error)
        g_error ("%s, %s: %s", logs[i].encoding, logs[i].text, error->message);
      TideRecording *run = g_ptr_array_index (runs, 0);
      g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 2);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 13.563);
      g_assert_cmpfloat (ABS (get_value (run, TIDE_QUANTITY_CURRENT, 1)), ==, 1.503);
    }
}

/* Many more bytes than are weighed, cut inside a character at that border. */
static void
test_long_text (void)
{
  g_autoptr (GString) text = g_string_new ("時刻;電力 (mW);メモ\n");
  for (guint i = 0; i < 5000; i++)
    g_string_append_printf (text, "%u;13563;充電中%.*s\n", 1775211072 + i, (int)(i % 3), "xy");
  g_autoptr (GError) error = NULL;
  gsize length;
  g_autofree char *bytes =
      g_convert (text->str, (gssize)text->len, "SHIFT_JIS", "UTF-8", NULL, &length, &error);
  g_assert_no_error (error);
  g_autofree char *encoding = tide_guess_encoding ((const guint8 *)bytes, length);
  g_assert_cmpstr (encoding, ==, "SHIFT_JIS");
  /* one line without an end: nothing can be weighed, statistics remain */
  g_autofree char *line = g_strnfill (20000, '\xe4');
  g_autofree char *of_line = tide_guess_encoding ((const guint8 *)line, 20000);
  g_assert_nonnull (of_line);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/encoding/short-logs", test_short_logs);
  g_test_add_func ("/reading/encoding/long-text", test_long_text);
  return g_test_run ();
}
