/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stated patterns: what they read, held against what GLib and the strptime() of Python's datetime
 * make of the same text; what cannot be a pattern; fields that do not fit.
 */
#include "reading/time-private.h"

#include <gio/gio.h>
#include <string.h>

static TidePattern *
make (const char *text)
{
  g_autoptr (GError) error = NULL;
  TidePattern *pattern = tide_pattern_new (text, &error);
  g_assert_no_error (error);
  return pattern;
}

static void
test_fields (void)
{
  static const struct
  {
    const char *pattern, *text;
    gint64 us;
    gboolean has_date, has_clock, has_zone;
  } cases[] = {
    { "%d/%m/%Y %H:%M:%S", "03/04/2026 10:11:12", 1775211072000000, TRUE, TRUE, FALSE },
    { "%d/%m/%Y %H:%M:%S", " 3/4/2026  10:11:12.25 ", 1775211072250000, TRUE, TRUE, FALSE },
    { "%d/%m/%Y %H:%M:%S", "03/04/2026 10:11:12,25", 1775211072250000, TRUE, TRUE, FALSE },
    { "%m/%d/%y %I:%M %p", "04/03/26 10:11 AM", 1775211060000000, TRUE, TRUE, FALSE },
    { "%Y-%m-%d", "2026-04-03", 1775174400000000, TRUE, FALSE, FALSE },
    { "%Y%m%d%H%M%S", "20260403101112", 1775211072000000, TRUE, TRUE, FALSE },
    { "%FT%T%z", "2026-04-03T10:11:12+02:00", 1775203872000000, TRUE, TRUE, TRUE },
    { "%F %T.%f", "2026-04-03 10:11:12.5", 1775211072500000, TRUE, TRUE, FALSE },
    { "%F %T:%f", "2026-04-03 10:11:12:250", 1775211072250000, TRUE, TRUE, FALSE },
    { "%a %d. %B %Y %R", "Fr 3. April 2026 10:11", 1775211060000000, TRUE, TRUE, FALSE },
    { "%Y-%j", "2026-093", 1775174400000000, TRUE, FALSE, FALSE },
    { "%Y %j", "2024 366", 1735603200000000, TRUE, FALSE, FALSE },
    { "%s", "1775211072.5", 1775211072500000, TRUE, TRUE, TRUE },
    { "%s", "-1", -1000000, TRUE, TRUE, TRUE },
    { "%H:%M", "12:34", 45240000000, FALSE, TRUE, FALSE },
    { "%H:%M", "93:40", 337200000000, FALSE, TRUE, FALSE },
    { "%M:%S", "75:30", 4530000000, FALSE, TRUE, FALSE },
    { "%S", "4000.5", 4000500000, FALSE, TRUE, FALSE },
    { "%p%I:%M", "午後1:02", 46920000000, FALSE, TRUE, FALSE },
    { "%I:%M %p", "12:00 am", 0, FALSE, TRUE, FALSE },
    { "%H h %M", "2 h 3", 7380000000, FALSE, TRUE, FALSE },
    { "%H%% %M", "2% 3", 7380000000, FALSE, TRUE, FALSE },
    { "%F %T", "2016-12-31 23:59:60", 1483228800000000, TRUE, TRUE, FALSE },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TidePattern) pattern = make (cases[i].pattern);
      TideMoment moment;
      if (!tide_pattern_parse (pattern, cases[i].text, strlen (cases[i].text), &moment))
        g_error ("\"%s\" does not fit %s", cases[i].text, cases[i].pattern);
      if (moment.us != cases[i].us)
        g_error ("\"%s\" by %s: %" G_GINT64_FORMAT, cases[i].text, cases[i].pattern, moment.us);
      g_assert_cmpint (moment.has_date, ==, cases[i].has_date);
      g_assert_cmpint (moment.has_clock, ==, cases[i].has_clock);
      g_assert_cmpint (moment.has_zone, ==, cases[i].has_zone);
      g_assert_cmpint (tide_pattern_has_date (pattern), ==, cases[i].has_date);
      g_assert_cmpint (tide_pattern_has_clock (pattern), ==, cases[i].has_clock);
    }
}

static void
test_misfits (void)
{
  static const struct
  {
    const char *pattern, *text;
  } cases[] = {
    { "%d/%m/%Y", "" },
    { "%d/%m/%Y", "04/13/2026" },
    { "%d/%m/%Y", "03/04/26" },
    { "%d/%m/%Y", "03/04/2026 10:11" },
    { "%d/%m/%Y", "31/04/2026" },
    { "%d/%m/%Y", "00/04/2026" },
    { "%d/%m/%Y", "03-04-2026" },
    { "%y-%m-%d", "6-04-03" },
    { "%F %T", "2026-04-03 24:00:00" },
    { "%F %T", "2026-04-03 10:60:00" },
    { "%F %T", "2026-04-03 10:11:61" },
    { "%F %I:%M %p", "2026-04-03 13:00 PM" },
    { "%F %I:%M %p", "2026-04-03 10:00" },
    { "%F %I:%M %p", "2026-04-03 00:00 AM" },
    { "%F%z", "2026-04-03" },
    { "%F%z", "2026-04-03 CET" },
    { "%b %d %Y", "Foo 3 2026" },
    { "%Y-%j", "2026-366" },
    { "%Y-%j", "2026-000" },
    { "%H:%M", "10:60" },
    { "%H:%M", "10:11:12" },
    { "%s", "12345678901234567890" },
    { "%s", "x" },
    { "%F %T.%f", "2026-04-03 10:11:12." },
    { "%H%% %M", "2 3" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TidePattern) pattern = make (cases[i].pattern);
      TideMoment moment;
      if (tide_pattern_parse (pattern, cases[i].text, strlen (cases[i].text), &moment))
        g_error ("\"%s\" fits %s", cases[i].text, cases[i].pattern);
    }
}

static void
test_no_patterns (void)
{
  static const struct
  {
    const char *pattern, *words;
  } cases[] = {
    { "", "neither a date nor a clock" },
    { "Date", "neither a date nor a clock" },
    { "%a", "neither a date nor a clock" },
    { "%Q", "its letters are" },
    { "%Y-%m-%", "its letters are" },
    { "%c", "its letters are" },
    { "%Y-%m", "one year, one month and one day" },
    { "%d.%m. %H:%M", "one year, one month and one day" },
    { "%Y-%y-%m-%d", "one year, one month and one day" },
    { "%Y-%m-%b-%d", "one year, one month and one day" },
    { "%Y-%m-%j", "one year, one month and one day" },
    { "%F %F", "twice" },
    { "%d %e %m %Y", "twice" },
    { "%I:%M", "need each other" },
    { "%H:%M %p", "need each other" },
    { "%H:%I:%M %p", "need each other" },
    { "%F %M:%S", "lacks a hand" },
    { "%H:%S", "lacks a hand" },
    { "%H:%M.%f", "a fraction needs seconds" },
    { "%H:%M%z", "a zone needs a date" },
    { "%s %Y", "by itself" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (TidePattern) pattern = tide_pattern_new (cases[i].pattern, &error);
      g_assert_null (pattern);
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
      if (!strstr (error->message, cases[i].words))
        g_error ("%s: \"%s\" does not say \"%s\"", cases[i].pattern, error->message,
                 cases[i].words);
    }
  g_autofree char *longest = g_strnfill (201, ' ');
  g_autoptr (GError) error = NULL;
  g_assert_null (tide_pattern_new (longest, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
}

/* What datetime.strptime() of Python reads, as microseconds since 1970 by its own arithmetic. */
static const char oracle[] = "import sys\n"
                             "from datetime import datetime, timezone, timedelta\n"
                             "zero = datetime(1970, 1, 1, tzinfo=timezone.utc)\n"
                             "for line in sys.stdin.buffer.read().decode().split('\\n')[:-1]:\n"
                             "    form, text = line.split('\\t')\n"
                             "    t = datetime.strptime(text, form)\n"
                             "    t = t if t.tzinfo else t.replace(tzinfo=timezone.utc)\n"
                             "    print((t - zero) // timedelta(microseconds=1))\n";

static const char *const oracle_forms[] = {
  "%Y-%m-%d %H:%M:%S", "%d.%m.%y %H:%M:%S",   "%m/%d/%Y %I:%M:%S %p",
  "%d %b %Y %H:%M:%S", "%B %d, %Y %H:%M:%S",  "%Y%m%d%H%M%S",
  "%Y-%j %H:%M:%S",    "%Y-%m-%dT%H:%M:%S%z", "%a, %d %b %y %H:%M",
};

static char *
make_lines (GPtrArray *lines)
{
  GString *input = g_string_new (NULL);
  for (guint i = 0; i < 400 * G_N_ELEMENTS (oracle_forms); i++)
    {
      const char *form = oracle_forms[i % G_N_ELEMENTS (oracle_forms)];
      /* 1969 to 2068: what %y can say */
      gint64 seconds = (gint64)(g_test_rand_double () * 3.15e9) - 3e7;
      g_autoptr (GTimeZone) zone = g_time_zone_new_offset (g_test_rand_int_range (-47, 48) * 900);
      g_autoptr (GDateTime) utc = g_date_time_new_from_unix_utc (seconds);
      g_autoptr (GDateTime) glib = g_date_time_to_timezone (utc, zone);
      g_autofree char *text = g_date_time_format (glib, form);
      g_ptr_array_add (lines, g_strdup_printf ("%s\t%s", form, text));
      g_string_append_printf (input, "%s\t%s\n", form, text);
    }
  return g_string_free (input, FALSE);
}

static void
test_as_python (void)
{
  const char *python = g_getenv ("TIDE_TEST_PYTHON");
  if (!python)
    {
      g_test_skip ("TIDE_TEST_PYTHON names no python3");
      return;
    }
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  g_autofree char *input = make_lines (lines), *output = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (GSubprocess) process =
      g_subprocess_new (G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error,
                        python, "-c", oracle, NULL);
  g_assert_no_error (error);
  g_subprocess_communicate_utf8 (process, input, NULL, &output, NULL, &error);
  g_assert_no_error (error);
  g_assert_true (g_subprocess_get_successful (process));
  g_auto (GStrv) answers = g_strsplit (output, "\n", -1);
  g_assert_cmpuint (g_strv_length (answers), ==, lines->len + 1);
  for (guint i = 0; i < lines->len; i++)
    {
      g_auto (GStrv) parts = g_strsplit (g_ptr_array_index (lines, i), "\t", 2);
      g_autoptr (TidePattern) pattern = make (parts[0]);
      TideMoment moment;
      if (!tide_pattern_parse (pattern, parts[1], strlen (parts[1]), &moment)
          || moment.us != g_ascii_strtoll (answers[i], NULL, 10))
        g_error ("\"%s\" by %s is not %s", parts[1], parts[0], answers[i]);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/pattern/fields", test_fields);
  g_test_add_func ("/reading/pattern/misfits", test_misfits);
  g_test_add_func ("/reading/pattern/no-patterns", test_no_patterns);
  g_test_add_func ("/reading/pattern/as-python", test_as_python);
  return g_test_run ();
}
