/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of all shapes in which the same run stands: each must read back as it. Shapes of exports:
 * common practice, no source; "sep=" is a line that spreadsheets read, from memory.
 */
#include "reading/opening-private.h"
#include "reading/runs-private.h"

#include <string.h>

#include "reading/texts-private.h"
#include "recording/memory-sink.h"
#include "support.h"

/* 0, 1, 2, 3 s; 5 V; 1, 2, 3, 4 A */
static void
check_run (TideRecording *run, const char *what)
{
  if (tide_recording_get_n_samples (run) != 4)
    g_error ("%s: %" G_GSIZE_FORMAT " samples", what, tide_recording_get_n_samples (run));
  for (guint i = 0; i < 4; i++)
    {
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_TIME, i), ==, i);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, i), ==, 5.25);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, i), ==, i + 1.5);
    }
}

#define ROWS "0,5.25,1.5\n1,5.25,2.5\n2,5.25,3.5\n3,5.25,4.5\n"

static const struct
{
  const char *what, *text;
  guint n_skipped;
} shapes[] = {
  { "plain", "Time (s),Voltage (V),Current (A)\n" ROWS, 0 },
  { "blanks between columns",
    "Time(s)  Voltage(V)  Current(A)\n      0        5.25         1.5\n      1        5.25         "
    "2.5\n      2        5.25         3.5\n      3        5.25         4.5\n",
    0 },
  { "blanks inside names",
    "Time (s)   Bus Voltage (V)   Bus Current (A)\n0 5.25 1.5\n1 5.25 2.5\n2 5.25 3.5\n3 5.25 "
    "4.5\n",
    0 },
  { "blanks, a row of units",
    "Time  Voltage  Current\n(s)   (V)      (mA)\n0 5.25 1500\n1 5.25 2500\n2 5.25 3500\n3 5.25 "
    "4500\n",
    0 },
  { "blanks, tabs among them, a preamble",
    "A log made by hand\n\n t \t U \t I\n0 \t5.25\t1.5\n1\t 5.25 2.5\n2 5.25 3.5\n3 5.25 4.5\n",
    0 },
  { "blanks, decimal commas",
    "Zeit/s Spannung/V Strom/A\n0 5,25 1,5\n1 5,25 2,5\n2 5,25 3,5\n3 5,25 4,5", 0 },
  { "blanks, names in quotes",
    "\"Time (s)\" \"Voltage (V)\" \"Current (A)\"\r\n0 5.25 1.5\r\n1 5.25 2.5\r\n2 5.25 3.5\r\n3 "
    "5.25 4.5\r\n",
    0 },
  { "bars all round",
    "| Time (s) | Voltage (V) | Current (A) |\n|---|---|---|\n| 0 | 5.25 | 1.5 |\n| 1 | 5.25 | 2.5 "
    "|\n"
    "| 2 | 5.25 | 3.5 |\n| 3 | 5.25 | 4.5 |\n",
    0 },
  { "names and units stand again",
    "Time;Voltage;Current\ns;V;A\n0;5.25;1.5\n1;5.25;2.5\nTime;Voltage;Current\ns;V;A\n"
    "2;5.25;3.5\n3;5.25;4.5\n",
    1 },
  { "dashes about the units",
    "Time;Voltage;Current\n------;------;------\ns;V;A\n======;=====;=====\n0;5.25;1.5\n1;5.25;2."
    "5\n2;5.25;"
    "3.5\n3;5.25;4.5\n",
    0 },
  { "one unit in the row of units",
    "Time (s),Voltage (V),Current\n,,mA\n0,5.25,1500\n1,5.25,2500\n2,5.25,3500\n3,5.25,4500\n", 0 },
  { "units and dashes for none",
    "Time,Voltage,Current,Note\ns,V,A,-\n0,5.25,1.5,x\n1,5.25,2.5,x\n2,5.25,3.5,x\n3,"
    "5.25,4.5,x\n",
    0 },
  { "delimiter said",
    "sep=;\nTime (s);Voltage (V);Current (A)\n0;5,25;1,5\n1;5,25;2,5\n2;5,25;3,5\n3;5,25;4,5\n",
    0 },
  { "delimiter said in quotes", "\"sep=,\"\r\nTime (s),Voltage (V),Current (A)\r\n" ROWS, 0 },
  { "comments of all kinds",
    "// made by hand\n' likewise\nREM too\nTime (s),Voltage (V),Current (A)\n// now, the, rows\n' "
    "so, it, "
    "begins\nREM, well, well\n# and, an, end\n" ROWS "% end, of, it\n~ so, it, is\n; yes, it, is\n",
    0 },
  { "names behind a comment mark", "// Time (s),Voltage (V),Current (A)\n" ROWS, 0 },
  { "blank lines below the names", "\n\nTime (s),Voltage (V),Current (A)\n\n\n" ROWS "\n\n", 0 },
  { "a footer of words, a total, dashes", "Time (s),Voltage (V),Current (A)\n" ROWS "end of log\n",
    1 },
  { "names repeated, trailing delimiters, ragged rows",
    "Time (s),Voltage (V),Current (A),Note\n0,5.25,1.5,,,\n1,5.25,2.5\nTime (s),Voltage "
    "(V),Current (A),Note\n"
    "2,5.25,3.5,x\n3,5.25,4.5,,\n",
    0 },
  { "the end of old systems", "Time (s),Voltage (V),Current (A)\n" ROWS "\x1a", 0 },
  { "a page's end", "Time (s),Voltage (V),Current (A)\n" ROWS "\f\n", 0 },
  { "byte-order marks inside",
    "Time (s),Voltage (V),Current (A)\n0,5.25,1.5\n1,5.25,2.5\n\xef\xbb\xbf"
    "2,5.25,3.5\n\xef\xbb\xbf"
    "3,5.25,4.5\n",
    0 },
  { "line ends of all kinds",
    "Time (s),Voltage (V),Current (A)\r0,5.25,1.5\r\n1,5.25,2.5\n2,5.25,3.5\r3,5.25,4.5", 0 },
  { "units in all cells",
    "Time,Voltage,Current\n0 s,5.25 V,1.5 A\n1 s,5250 mV,2500 mA\n2 s,5.25 V,3.5 A\n3 s,5.25 "
    "V,4.5A\n",
    0 },
  { "a preamble that speaks of volts",
    "Charge at 5 V, 3 A, for 10 s\nTime (s),Voltage (V),Current (A)\n" ROWS, 0 },
  { "an incomplete last row", "Time (s),Voltage (V),Current (A)\n" ROWS "4,5.2", 1 },
};

static void
test_shapes (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (shapes); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs = read_text (shapes[i].text, -1, &error);
      if (!runs)
        g_error ("%s: %s", shapes[i].what, error->message);
      g_assert_cmpuint (runs->len, ==, 1);
      check_run (runs->pdata[0], shapes[i].what);
      if (tide_recording_get_skipped_rows (runs->pdata[0]) != shapes[i].n_skipped)
        g_error ("%s: %u skipped", shapes[i].what,
                 (guint)tide_recording_get_skipped_rows (runs->pdata[0]));
    }
}

/* Groups over the names, over the units, and none where one name stands over several units. */
/* A table below that begins with the same name holds other columns all the same. */
static void
test_other_columns_below (void)
{
  static const struct
  {
    const char *names, *row;
  } below[] = {
    { "Time (s),Voltage (V),Current (A),Power (W)", ",5,1.5,7.5\n" },
    { "Time (s), Voltage (V),Current (A)", ",5,1.5\n" },
    { "Time (s),Power (W)", ",7.5\n" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (below); i++)
    {
      g_autoptr (GString) text =
          g_string_new ("Time (s),Power (W),Voltage (V),Current (A)\n0,30,20,1.5\n1,30,20,1.5\n");
      g_string_append_printf (text, "\n%s\n", below[i].names);
      for (guint row = 0; row < 3; row++)
        g_string_append_printf (text, "%u%s", row, below[i].row);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs = read_text (text->str, -1, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (runs->len, ==, 2);
      TideRecording *run = g_ptr_array_index (runs, 1);
      g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 3);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 0), ==, 7.5);
    }
}

static void
test_groups (void)
{
  static const char *const texts[] = {
    ",Port A,,Port B,\nTime (s),Voltage (V),Current (A),Voltage (V),Current (A)\n"
    "0,5.25,1.5,9,1\n1,5.25,2.5,9,1\n2,5.25,3.5,9,1\n3,5.25,4.5,9,1\n",
    "made by hand\nTime,Port A,,Port B\ns,V,A,V,A\n"
    "0,5.25,1.5,9,1\n1,5.25,2.5,9,1\n2,5.25,3.5,9,1\n3,5.25,4.5,9,1\n",
    "Time;Port A;;Port "
    "B;\n;V;A;V;A\n0;5,25;1,5;9;1\n1;5,25;2,5;9;1\n2;5,25;3,5;9;1\n3;5,25;4,5;9;1\n",
  };
  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) runs = read_text (texts[i], -1, &error);
      if (!runs)
        g_error ("%s: %s", texts[i], error->message);
      g_assert_cmpuint (runs->len, ==, 2);
      check_run (runs->pdata[0], texts[i]);
      g_assert_cmpfloat (get_value (runs->pdata[1], TIDE_QUANTITY_POWER, 0), ==, 9);
    }
  g_autoptr (TideRecording) run = read_one ("Time,Power,,Voltage\ns,W,%,V\n0,5,50,5\n1,5,50,5\n");
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_POWER, 1), ==, 5);
}

/* 0 to 200 lines, one of them long, of words and of numbers. */
static void
test_preambles (void)
{
  static const guint counts[] = { 0, 1, 2, 17, 199, 200 };
  g_autofree char *longest = g_strnfill (64 * 1024, 'x');
  for (guint i = 0; i < G_N_ELEMENTS (counts); i++)
    for (guint with_long = 0; with_long < 2; with_long++)
      {
        g_autoptr (GString) text = g_string_new (NULL);
        for (guint n = 0; n < counts[i]; n++)
          g_string_append_printf (text,
                                  n % 3 == 0   ? "setting %u: yes, 5 V; no\n"
                                  : n % 3 == 1 ? "%u,1,2,3\n"
                                               : "\"a quote that stays open %u\n",
                                  n);
        if (with_long)
          g_string_append_printf (text, "%s\n", longest);
        g_string_append (text, "Time (s),Voltage (V),Current (A)\n" ROWS);
        g_autoptr (TideRecording) run = read_one (text->str);
        check_run (run, text->str);
      }
}

static void
test_refused (void)
{
  static const struct
  {
    const char *text;
    TideReadingError code;
    const char *words;
  } cases[] = {
    { "'Time (s)','Voltage (V)','Current (A)'\n'0','5','1'\n'1','5','1'\n",
      TIDE_READING_ERROR_NO_TABLE, "single quotes" },
    { "0,5.25,1.5\n1,5.25,2.5\n", TIDE_READING_ERROR_NO_TABLE, "no row names the columns" },
    /* three names or two? */
    { "Time  Bus Voltage Current\n0 5.25 1.5\n1 5.25 2.5\n", TIDE_READING_ERROR_NO_TABLE, "" },
    /* rows of several widths */
    { "Time Voltage Current\n0 5.25 1.5 x y\n1 5.25 2.5\n", TIDE_READING_ERROR_NO_TABLE, "" },
    { "5 V, 3 A, 10 s\n5 V, 3 A, 11 s\n5 V, 3 A, 12 s\n", TIDE_READING_ERROR_NO_TABLE, "" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_test_message ("%s", cases[i].text);
      assert_refused (cases[i].text, cases[i].code, cases[i].words);
    }
}

/* ---- Bounds, on streams that have no end to speak of ---- */

/* The first bytes are begin, then more comes for ever. */
typedef struct
{
  GInputStream parent;
  const char *begin, *more;
  guint64 given;
} Spring;

typedef GInputStreamClass SpringClass;

GType spring_get_type (void);
G_DEFINE_TYPE (Spring, spring, G_TYPE_INPUT_STREAM)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (Spring, g_object_unref)

static gssize
read_spring (GInputStream *stream,
             void *buffer,
             gsize count,
             GCancellable *cancellable,
             GError **error)
{
  Spring *spring = (Spring *)stream;
  char *to = buffer;
  gsize n_begin = strlen (spring->begin), n_more = strlen (spring->more);
  for (gsize i = 0; i < count; i++, spring->given++)
    to[i] = spring->given < n_begin ? spring->begin[spring->given]
                                    : spring->more[(spring->given - n_begin) % n_more];
  return (gssize)count;
}

static void
spring_class_init (SpringClass *class)
{
  class->read_fn = read_spring;
}

static void
spring_init (Spring *spring)
{
}

/* What the driver does with a stream: texts, lines, runs, until there is an error. */
static void
read_endless (GInputStream *stream, GError **error)
{
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_auto (TideTexts) texts = { 0 };
  g_auto (TideOpening) opening = { 0 };
  gboolean at_end, found;
  if (!tide_texts_open (&texts, stream, FALSE, NULL, NULL, error)
      || !tide_texts_next (&texts, &opening, &at_end, &found, error))
    return;
  TideUnderstanding *u = g_ptr_array_index (opening.tables, 0);
  guint next_part = 1;
  const char *text;
  gsize length, taken;
  g_autoptr (TideRuns) runs = tide_runs_new (u, tide_memory_sink_get_sink (memory), &next_part);
  g_autoptr (TideLines) lines =
      tide_lines_new (texts.unpacker, opening.decoder, opening.text + u->data_offset,
                      opening.length - u->data_offset, at_end);
  while (tide_lines_next (lines, &text, &length, error)
         && tide_runs_feed (runs, text, length, &taken, error))
    g_assert_cmpuint (taken, ==, length);
}

#define MIB (G_GUINT64_CONSTANT (1024) * 1024)

/* One clear error soon, of a stream that would go on for a gigabyte and more. */
static void
test_endless (void)
{
  static const struct
  {
    const char *begin, *more, *words;
    guint most_mib;
  } cases[] = {
    { "", "x", "longer than", 1 },
    { "", "\"", "", 1 },
    { "", ",", "", 1 },
    { "", "1 ", "", 1 },
    { "", "\n", "no table", 1 },
    { "", "# a comment\n", "no table", 1 },
    { "Time (s),Voltage (V),Current (A)\n", "\n", "no rows stand below", 1 },
    { "Time (s),Voltage (V),Current (A)\n" ROWS, "9", "row 6", 8 },
    { "Time (s),Voltage (V),Current (A)\n" ROWS "\"", "9\n", "row 6", 8 },
    { "Time (s),Voltage (V),Current (A)\n" ROWS, "9,", "row 6 has more than 2000 columns", 8 },
    { "Time Voltage Current\n0 5 1\n1 5 1\n", "9 ", "row 4 is longer", 8 },
    { "Time Voltage Current\n0 5 1\n1 5 1\n", "  ", "row 4 is longer", 8 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (Spring) spring = g_object_new (spring_get_type (), NULL);
      g_autoptr (GError) error = NULL;
      spring->begin = cases[i].begin;
      spring->more = cases[i].more;
      read_endless (G_INPUT_STREAM (spring), &error);
      if (error->domain != TIDE_READING_ERROR || !strstr (error->message, cases[i].words))
        g_error ("case %u: %s", i, error->message);
      g_assert_cmpuint (spring->given, <=, cases[i].most_mib * MIB);
    }
}

/* A whole head of rows, and then for ever lines that are none. */
static void
test_fruitless (void)
{
  static const struct
  {
    const char *names, *row, *more;
  } cases[] = {
    { "Time (s),Voltage (V),Current (A)\n", "9,5.25,1.5\n", "\n" },
    { "Time (s),Voltage (V),Current (A)\n", "9,5.25,1.5\n", "# the log was, or not, stopped\n" },
    { "Time (s),Voltage (V),Current (A)\n", "9,5.25,1.5\n", "9,5.25,not a number of any kind\n" },
    { "Time (s),Voltage (V),Current (A)\n", "9,5.25,1.5\n", "words, more of them, and more\n" },
    { "Time Voltage Current\n", "9 5.2500 10\n", "9 5.25 not a number of any kind\n" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (Spring) spring = g_object_new (spring_get_type (), NULL);
      g_autoptr (GString) begin = g_string_new (cases[i].names);
      g_autoptr (GError) error = NULL;
      guint row = 1;
      for (; begin->len < TIDE_HEAD_BYTES; row++)
        g_string_append_printf (begin, "%u%s", row, cases[i].row + 1);
      spring->begin = begin->str;
      spring->more = cases[i].more;
      read_endless (G_INPUT_STREAM (spring), &error);
      g_autofree char *words =
          g_strdup_printf ("the 64 MiB of text below row %u hold no usable row", row);
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE);
      g_assert_cmpstr (error->message, ==, words);
      g_assert_cmpuint (spring->given, <, 66 * MIB);
    }
}

/* Of a text that is at hand no look at it is finished. */
static void
test_cancelled (void)
{
  static const char *const begins[] = { "", "Time (s),Voltage (V),Current (A)\n" ROWS };
  for (guint i = 0; i < G_N_ELEMENTS (begins); i++)
    {
      g_autoptr (GCancellable) cancellable = g_cancellable_new ();
      g_autoptr (GError) error = NULL;
      g_autofree char *text = g_strconcat (begins[i], ROWS, NULL);
      g_cancellable_cancel (cancellable);
      g_assert_null (tide_understand_tables (text, strlen (text), TRUE, NULL, cancellable, &error));
      g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
    }
}

/* 10,000 columns, 256 KiB of two-letter names: no more than a moment. */
static void
test_wide (void)
{
  g_autoptr (GString) text = g_string_new ("Time (s),Voltage (V),Current (A)");
  for (guint i = 0; i < 10000; i++)
    g_string_append (text, ",ab");
  g_string_append (text, "\n0,5,1\n1,5,1\n");
  assert_refused (text->str, TIDE_READING_ERROR_TOO_LARGE, "row 1 has more than 2000 columns");
  g_string_truncate (text, 0);
  for (guint i = 0; i < 1500; i++)
    g_string_append (text, "ab cd;ef,gh ij;kl mn,op ab cd;ef,gh ij;kl mn,op ab cd;ef,gh ij\n");
  gint64 begin_us = g_get_monotonic_time ();
  assert_refused (text->str, TIDE_READING_ERROR_NO_TABLE, "no table");
  g_test_minimized_result ((double)(g_get_monotonic_time () - begin_us) / 1e6, "seconds");
}

/* Columns lined up with several blanks, where one blank stands in cells. */
static void
test_wide_blanks (void)
{
  static const struct
  {
    const char *text;
    double duration_s;
  } cases[] = {
    { "Time                  Bus Voltage    Current\n"
      "2026-03-25 10:00:01   5.0 V          1.0 A\n"
      "2026-03-25 10:00:02   5.0 V          1.0 A\n"
      "2026-03-25 10:00:03   5.0 V          1.0 A\n",
      2 },
    { "  Time (s)  Voltage  Current \n  0         5.0 V    1.0 A  \n  1         5.0 V    1.0 A  \n",
      1 },
    { "Time\t\tVoltage (V)\tCurrent (A)\n10:00:00 AM\t5.0\t1.0\n10:00:04 AM\t5.0\t1.0\n", 4 },
    { "Time          Voltage (V)   Current (A)\n10:00:00 AM   5.0           1.0\n"
      "1:00:00 PM    5.0           1.0\n",
      10800 },
    { "Time (s)  Voltage (V)  Current (A)\n0         5.0          1.0\n1         5.0          "
      "1.0\n",
      1 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      g_assert_cmpfloat (tide_recording_get_duration_s (run), ==, cases[i].duration_s);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 1), ==, 5);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CURRENT, 1), ==, 1);
      g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 0);
    }
  /* to people it is a blank, stated or not */
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_assert_true (tide_reading_rule_set (rule, "delimiter", "space", &error));
  g_autoptr (TideUnderstanding) u =
      tide_understand (cases[0].text, strlen (cases[0].text), TRUE, rule, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpint (tide_understanding_get_delimiter (u), ==, ' ');
}

/* ---- Summaries below the rows ---- */

#define LOG_NAMES "Time (s),Voltage (V),Current (A)\n"
#define LOG_ROWS  "0,5,1\n1,5,1\n2,5,1\n3,5,1\n4,5,1\n5,5,1\n6,5,1\n7,5,1\n8,5,1\n9,5,1\n"
#define SUMMARY   "Duration (s),Max voltage (V),Min voltage (V)\n"

static void
test_summary (void)
{
  static const struct
  {
    const char *below;
    guint n_samples;
    const char *words; /* NULL: the table does not end */
  } cases[] = {
    { SUMMARY "9,5.9,5\n", 10, "row 12: other columns are named here" },
    { "\n" SUMMARY "39,5.9,5,7\n\nEnd,,\n", 10, "2 rows below are not read" },
    { SUMMARY "9.5,5.9,5\n", 10, "1 row below is not read" },
    { SUMMARY "s,V,V\n12,5.9,5\n", 10, "2 rows below" },
    /* a remark, for the time goes on */
    { "Cradle voltage fell,current fell,at 5 V\n10,5,1\n11,5,1\n", 12, NULL },
    { SUMMARY "10,5,1\n11,5,1\n", 12, NULL },
    /* nothing stands below */
    { SUMMARY, 10, NULL },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text = g_strconcat (LOG_NAMES LOG_ROWS, cases[i].below, NULL);
      g_autoptr (TideRecording) run = read_one (text);
      g_assert_cmpuint (tide_recording_get_n_samples (run), ==, cases[i].n_samples);
      g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_VOLTAGE, 9), ==, 5);
      if (has_complaint (run, "the table ends") != (cases[i].words != NULL)
          || (cases[i].words && !has_complaint (run, cases[i].words)))
        g_error ("case %u", i);
    }
}

/* Another table is found below it, and a clock may pass midnight there. */
static void
test_below_summary (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs =
      read_text (LOG_NAMES LOG_ROWS SUMMARY "9,5.9,5\nTime (s),Power (W)\n0,5\n1,5\n2,5\n", -1,
                 &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_cmpuint (tide_recording_get_n_samples (runs->pdata[1]), ==, 3);

  /* the units below names that stand again are no names */
  g_autoptr (GPtrArray) resumed =
      read_text ("Time,Voltage,Current\ns,V,A\n" LOG_ROWS "Time,Voltage,Current\ns,V,A\n" LOG_ROWS,
                 -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (resumed->len, ==, 2);
  g_assert_cmpuint (tide_recording_get_n_samples (resumed->pdata[1]), ==, 10);

  g_autoptr (TideRecording) night =
      read_one ("Time,Voltage (V),Current (A)\n23:59:57,5,1\n23:59:58,5,1\n23:59:59,5,1\n"
                "Cradle voltage fell,current fell,at 5 V\n00:00:00,5,1\n00:00:01,5,1\n"
                "00:00:02,5,1\n00:00:03,5,1\n");
  g_assert_cmpuint (tide_recording_get_n_samples (night), ==, 7);
}

/* Lines that begin with words, below ten rows: neither the time's form nor the share of broken rows
 * is told by them. Among the rows they are rows. */
static void
test_footer (void)
{
  g_autoptr (TideRecording) run =
      read_one (LOG_NAMES LOG_ROWS "Energy,12.5,Wh\nDuration,00:00:09\nAverage power,5,W\n");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 10);
  g_assert_cmpuint (tide_recording_get_skipped_rows (run), ==, 3);
  g_assert_true (has_complaint (run, "row 12, column Time (s): not a time: \"Energy\""));
  assert_refused (LOG_NAMES LOG_ROWS "x,5,1\ny,5,1\nz,5,1\n10,5,1\n", TIDE_READING_ERROR_NO_TIME,
                  "column \"Time (s)\", such as \"x\"");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/tables/shapes", test_shapes);
  g_test_add_func ("/reading/tables/groups", test_groups);
  g_test_add_func ("/reading/tables/other-columns-below", test_other_columns_below);
  g_test_add_func ("/reading/tables/preambles", test_preambles);
  g_test_add_func ("/reading/tables/refused", test_refused);
  g_test_add_func ("/reading/tables/endless", test_endless);
  g_test_add_func ("/reading/tables/fruitless", test_fruitless);
  g_test_add_func ("/reading/tables/cancelled", test_cancelled);
  g_test_add_func ("/reading/tables/wide", test_wide);
  g_test_add_func ("/reading/tables/wide-blanks", test_wide_blanks);
  g_test_add_func ("/reading/tables/summary", test_summary);
  g_test_add_func ("/reading/tables/below-summary", test_below_summary);
  g_test_add_func ("/reading/tables/footer", test_footer);
  return g_test_run ();
}
