/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Round trips: the same run written in every dialect reads back equal, over delimiters, decimal
 * marks, forms of time, units and wrappings. The writer here is the test's own, so the reader
 * is held against values, not against itself.
 */
#include "support.h"

#include <math.h>
#include <string.h>

#define N 40

/* Milliseconds, microvolts and microamperes: all dialects can write them exactly. */
static int
get_ms (int i)
{
  return i * 1000 + (i % 4) * 125;
}

static int
get_uv (int i)
{
  return 5012345 + i * 1377;
}

static int
get_ua (int i)
{
  return 2999001 - i * 40013;
}

typedef enum
{
  TIME_S,
  TIME_MS,
  TIME_MIN,
  TIME_H,
  TIME_CLOCK,
  TIME_ISO,
  TIME_ISO_ZONE,
  TIME_DAY_FIRST,
  TIME_EPOCH_S,
  TIME_EPOCH_MS,
  N_TIMES
} TimeForm;

static const struct
{
  const char *name;
  double epsilon; /* s */
} times[N_TIMES] = {
  [TIME_S] = { "Time (s)", 0 },
  [TIME_MS] = { "Elapsed time / ms", 0 },
  [TIME_MIN] = { "time_min", 1e-6 },
  [TIME_H] = { "Time [h]", 1e-6 },
  [TIME_CLOCK] = { "Time (hh:mm:ss)", 0 },
  [TIME_ISO] = { "Date", 0 },
  [TIME_ISO_ZONE] = { "Timestamp", 0 },
  [TIME_DAY_FIRST] = { "Datum", 0 },
  [TIME_EPOCH_S] = { "Unix time (s)", 3e-7 }, /* a double's steps at 1.7e9 */
  [TIME_EPOCH_MS] = { "Epoch (ms)", 0 },
};

static char *
write_time (TimeForm form, int ms)
{
  int s = ms / 1000, rest = ms % 1000;
  switch (form)
    {
    case TIME_S:
      return g_strdup_printf ("%d.%03d", s, rest);
    case TIME_MS:
      return g_strdup_printf ("%d", ms);
    case TIME_MIN:
      return g_strdup_printf ("%.12f", ms / 60000.);
    case TIME_H:
      return g_strdup_printf ("%.14f", ms / 3600000.);
    case TIME_CLOCK:
      return g_strdup_printf ("%02d:%02d:%02d.%03d", s / 3600, s / 60 % 60, s % 60, rest);
    case TIME_ISO:
      return g_strdup_printf ("2024-05-01 23:59:%02d.%03d", s + 10, rest);
    case TIME_ISO_ZONE:
      return g_strdup_printf ("2024-05-01T23:59:%02d.%03d+02:00", s + 10, rest);
    case TIME_DAY_FIRST:
      return g_strdup_printf ("31.05.2024 23:59:%02d.%03d", s + 10, rest);
    case TIME_EPOCH_S:
      return g_strdup_printf ("17145711%02d.%03d", s + 30, rest);
    case TIME_EPOCH_MS:
      return g_strdup_printf ("17145711%02d%03d", s + 30, rest);
    case N_TIMES:
      break;
    }
  g_assert_not_reached ();
}

typedef struct
{
  const char *voltage, *current;
  int micro; /* the unit is 10^micro µV, µA */
} Units;

static const Units units[] = {
  { "Voltage (V)", "Current (A)", 6 }, { "U[mV]", "I[mA]", 3 },
  { "voltage_uV", "current_uA", 0 },   { "Volts", "Amps", 6 },
  { "Spannung / V", "Strom / A", 6 },
};

static char *
write_fixed (int micros, int decimals)
{
  int unit = (int)round (pow (10, decimals));
  return decimals == 0 ? g_strdup_printf ("%d", micros)
                       : g_strdup_printf ("%d.%0*d", micros / unit, decimals, micros % unit);
}

static void
append_field (GString *text, const char *field, char delimiter, char mark, gboolean is_last)
{
  g_autofree char *marked = g_strdup (field);
  if (mark == ',')
    g_strdelimit (marked, ".", ',');
  gboolean quote = strchr (marked, delimiter) != NULL;
  g_string_append_printf (text, quote ? "\"%s\"" : "%s", marked);
  if (is_last)
    g_string_append (text, "\n");
  else
    g_string_append_c (text, delimiter);
}

static char *
write_run (TimeForm form, const Units *u, char delimiter, char mark)
{
  g_autoptr (GString) text = g_string_new (NULL);
  append_field (text, times[form].name, delimiter, 0, FALSE);
  append_field (text, u->voltage, delimiter, 0, FALSE);
  append_field (text, u->current, delimiter, 0, TRUE);
  for (int i = 0; i < N; i++)
    {
      g_autofree char *time = write_time (form, get_ms (i));
      g_autofree char *voltage = write_fixed (get_uv (i), u->micro);
      g_autofree char *current = write_fixed (get_ua (i), u->micro);
      gboolean has_mark = form <= TIME_H || form == TIME_EPOCH_S;
      append_field (text, time, delimiter, has_mark ? mark : 0, FALSE);
      append_field (text, voltage, delimiter, mark, FALSE);
      append_field (text, current, delimiter, mark, TRUE);
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
check_run (TideRecording *run, TimeForm form)
{
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, N);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 0);
  for (int i = 0; i < N; i++)
    {
      g_autofree char *v = write_fixed (get_uv (i), 6);
      g_autofree char *a = write_fixed (get_ua (i), 6);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, i), ==, g_ascii_strtod (v, NULL));
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, i), ==, g_ascii_strtod (a, NULL));
      double expected = get_ms (i) / 1000.;
      double t = get_value (run, TIDE_QUANTITY_TIME, i);
      if (fabs (t - expected) > times[form].epsilon)
        g_error ("%s: %.17g s is not %.17g s", times[form].name, t, expected);
    }
}

static void
test_round_trip (void)
{
  static const char delimiters[] = { ',', ';', '\t', '|' };
  static const char marks[] = { '.', ',' };
  for (int form = 0; form < N_TIMES; form++)
    for (guint u = 0; u < G_N_ELEMENTS (units); u++)
      for (guint d = 0; d < G_N_ELEMENTS (delimiters); d++)
        for (guint m = 0; m < G_N_ELEMENTS (marks); m++)
          {
            g_autofree char *text = write_run (form, &units[u], delimiters[d], marks[m]);
            g_autoptr (TideRecording) run = read_one (text);
            check_run (run, form);
          }
}

/* ---- Wrappings ---- */

static char *
replace (const char *text, const char *what, const char *by)
{
  g_auto (GStrv) parts = g_strsplit (text, what, -1);
  return g_strjoinv (by, parts);
}

typedef char *(*Wrap) (const char *text, gssize *length);

static char *
wrap_plain (const char *text, gssize *length)
{
  return g_strdup (text);
}

static char *
wrap_crlf (const char *text, gssize *length)
{
  return replace (text, "\n", "\r\n");
}

static char *
wrap_cr (const char *text, gssize *length)
{
  return replace (text, "\n", "\r");
}

static char *
wrap_bom (const char *text, gssize *length)
{
  return g_strconcat ("\xef\xbb\xbf", text, NULL);
}

static char *
wrap_no_final_newline (const char *text, gssize *length)
{
  return g_strndup (text, strlen (text) - 1);
}

static char *
wrap_blank_lines (const char *text, gssize *length)
{
  g_autofree char *doubled = replace (text, "\n", "\n\n");
  return g_strconcat ("\n\n", doubled, "\n", NULL);
}

static char *
wrap_trailing_delimiter (const char *text, gssize *length)
{
  return replace (text, "\n", ";\n");
}

static char *
wrap_preamble (const char *text, gssize *length)
{
  return g_strconcat ("Log of a charge\n# made by hand; time and power follow\n\"a quote that "
                      "stays open\nDevice: tablet\n"
                      "[settings]\nrange;5;V\n\n",
                      text, NULL);
}

static char *
wrap_comments (const char *text, gssize *length)
{
  g_autofree char *more = replace (text, "\n", "\n# a comment; with a delimiter\n");
  return g_steal_pointer (&more);
}

static char *
wrap_quotes (const char *text, gssize *length)
{
  g_autofree char *fields = replace (text, ";", "\";\"");
  g_autofree char *lines = replace (fields, "\n", "\"\n\"");
  lines[strlen (lines) - 1] = '\0';
  return g_strconcat ("\"", lines, NULL);
}

/* Each row one quoted field, as a spreadsheet saves a file it did not understand. */
static char *
wrap_whole_rows (const char *text, gssize *length)
{
  g_autofree char *lines = replace (text, "\n", "\"\n\"");
  lines[strlen (lines) - 1] = '\0';
  return g_strconcat ("\"", lines, NULL);
}

static char *
wrap_utf16 (const char *text, gssize *length, const char *encoding, const char *mark)
{
  gsize n;
  g_autofree char *converted = g_convert (text, -1, encoding, "UTF-8", NULL, &n, NULL);
  char *all = g_malloc (n + 2);
  memcpy (all, mark, 2);
  memcpy (all + 2, converted, n);
  *length = (gssize)n + 2;
  return all;
}

static char *
wrap_utf16le (const char *text, gssize *length)
{
  return wrap_utf16 (text, length, "UTF-16LE", "\xff\xfe");
}

static char *
wrap_utf16be (const char *text, gssize *length)
{
  return wrap_utf16 (text, length, "UTF-16BE", "\xfe\xff");
}

static char *
wrap_latin1 (const char *text, gssize *length)
{
  g_autofree char *named = replace (text, "Volts",
                                    "Gr\xf6\xdf"
                                    "e Volts");
  return g_steal_pointer (&named);
}

static void
test_wrappings (void)
{
  static const Wrap wraps[] = { wrap_plain,
                                wrap_crlf,
                                wrap_cr,
                                wrap_bom,
                                wrap_no_final_newline,
                                wrap_blank_lines,
                                wrap_trailing_delimiter,
                                wrap_preamble,
                                wrap_comments,
                                wrap_quotes,
                                wrap_whole_rows,
                                wrap_utf16le,
                                wrap_utf16be,
                                wrap_latin1 };
  g_autofree char *text = write_run (TIME_S, &units[3], ';', ',');
  for (guint i = 0; i < G_N_ELEMENTS (wraps); i++)
    for (int via_file = 0; via_file < 2; via_file++)
      {
        gssize length = -1;
        g_autofree char *wrapped = wraps[i](text, &length);
        g_autoptr (GError) error = NULL;
        g_autoptr (GPtrArray) runs = via_file ? read_via_file (wrapped, length, &error)
                                              : read_text (wrapped, length, &error);
        if (!runs)
          g_error ("wrapping %u: %s", i, error->message);
        g_assert_cmpuint (runs->len, ==, 1);
        check_run (g_ptr_array_index (runs, 0), TIME_S);
      }
}

/* ---- Doubt ---- */

static void
test_decimal_doubt (void)
{
  /* each value has three digits behind its comma, and nothing speaks against thousands */
  assert_refused ("Time (s);Voltage (V);Current (A)\n0;5,123;1,500\n1;5,124;1,501\n",
                  TIDE_READING_ERROR_AMBIGUOUS, "\"5,123\"");
  assert_refused ("Time (s);Voltage (V);Current (mA)\n0;5;1\n1;5;1,500\n",
                  TIDE_READING_ERROR_AMBIGUOUS, "\"1,500\"");
  assert_refused ("Time (s),Voltage (V),Current (A)\n0,0,5,12,1,5\n1,0,5,12,1,5\n2,0,5,11,1,4\n",
                  TIDE_READING_ERROR_AMBIGUOUS, "decimal commas");
}

static void
test_units_row (void)
{
  static const char *const texts[] = {
    "t;U;I\ns;V;mA\n0;5.5;1500\n1;5.25;1400\n",
    "t;U;I\n[s];[V];[mA]\n0;5.5;1500\n1;5.25;1400\n",
    "Time;Voltage;Current\n\n(s);(V);(mA)\n0;5.5;1500\n1;5.25;1400\n",
  };
  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autoptr (TideRecording) run = read_one (texts[i]);
      g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 2);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, 1), ==, 1.4);
      g_assert_false (has_complaint (run, "names no unit"));
    }
}

static void
test_names_over_lines (void)
{
  g_autoptr (TideRecording) run = read_one ("\"Time\n(s)\",\"Voltage\n(V)\",\"Current\n(A)\"\n0,5,"
                                            "1\n1,5,x\n2,5,1\n3,5,1\n4,5,1\n5,5,1\n");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 5);
  g_assert_true (has_complaint (run, "row 3, column Current"));
}

static void
test_second_table (void)
{
  /* a summary with the same words stands above the log itself */
  g_autoptr (TideRecording) run =
      read_one ("Time (s),Power (W)\nsummary,none\n\nTime (s),Power (W)\n0,5\n1,6\n2,7\n");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 3);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/dialect/round-trip", test_round_trip);
  g_test_add_func ("/reading/dialect/wrappings", test_wrappings);
  g_test_add_func ("/reading/dialect/decimal-doubt", test_decimal_doubt);
  g_test_add_func ("/reading/dialect/units-row", test_units_row);
  g_test_add_func ("/reading/dialect/names-over-lines", test_names_over_lines);
  g_test_add_func ("/reading/dialect/second-table", test_second_table);
  return g_test_run ();
}
