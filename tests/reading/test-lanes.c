/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which columns are read: runs that stand side by side, units in cells, units that cannot be. The
 * tables are invented from general words of the trade; common practice, no source. P = V·I is the
 * definition of power (the SI Brochure, 9th edition, table 4).
 */
#include "reading/lanes-private.h"

#include <string.h>

#include "support.h"

static TideUnderstanding *
understand_by (const char *text, const char *column)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_auto (GStrv) columns = column ? g_strsplit (column, " ", -1) : NULL;
  for (char **c = columns; c && *c; c++)
    g_assert_true (tide_reading_rule_set (rule, "column", *c, &error));
  TideUnderstanding *u = tide_understand (text, strlen (text), TRUE, rule, NULL, &error);
  if (!u)
    g_error ("%s: %s", text, error->message);
  return u;
}

/* ---- Side by side ---- */

#define V TIDE_QUANTITY_VOLTAGE
#define A TIDE_QUANTITY_CURRENT
#define W TIDE_QUANTITY_POWER
#define E TIDE_QUANTITY_ENERGY
#define T TIDE_QUANTITY_TEMPERATURE

/* "v1 a2 w- | v3 a4": for each lane, the columns of voltage, current, power, energy, temperature
 * that there are. */
static char *
describe_lanes (const TideUnderstanding *u)
{
  static const char letters[] = "tvawhcT";
  GString *text = g_string_new (NULL);
  for (guint lane = 0; lane < u->n_lanes; lane++)
    {
      if (lane > 0)
        g_string_append (text, "| ");
      if (u->n_lanes > 1)
        g_string_append_printf (text, "%s: ", u->lanes[lane].label);
      for (int q = V; q <= T; q++)
        if (u->lanes[lane].columns[q].index >= 0)
          g_string_append_printf (text, "%c%d ", letters[q], u->lanes[lane].columns[q].index);
    }
  return g_string_free (text, FALSE);
}

static const struct
{
  const char *names;
  const char *lanes;
  const char *column; /* stated; NULL: nothing */
} tables[] = {
  { "Time (s),Voltage (V),Current (A)", "v1 a2 ", NULL },
  { "Time (s),Voltage 1,Current 1,Voltage 2,Current 2", "1: v1 a2 | 2: v3 a4 ", NULL },
  { "Time (s),V1,I1,V2,I2", "1: v1 a2 | 2: v3 a4 ", NULL },
  { "Time (s),VBUS1 (V),IBUS1 (A),VBUS2 (V),IBUS2 (A)", "1: v1 a2 | 2: v3 a4 ", NULL },
  { "Time (s),Port A U (V),Port A I (A),Port B U (V),Port B I (A)",
    "Port A: v1 a2 | Port B: v3 a4 ", NULL },
  { "Time (s),Voltage Port A,Current Port A,Voltage Port B,Current Port B",
    "Port A: v1 a2 | Port B: v3 a4 ", NULL },
  { "Time (s),Vin,Iin,Vout,Iout,Pout", "in: v1 a2 | out: v3 a4 w5 ", NULL },
  { "Zeit (s),Eingang Spannung (V),Eingang Strom (A),Ausgang Spannung (V),Ausgang Strom (A)",
    "Eingang: v1 a2 | Ausgang: v3 a4 ", NULL },
  { "Time (s),Supply voltage (V),Supply current (A),Device voltage (V),Device current (A)",
    "Supply: v1 a2 | Device: v3 a4 ", NULL },
  { "时间(s),输入电压(V),输入电流(A),输出电压(V),输出电流(A)", "输入: v1 a2 | 输出: v3 a4 ", NULL },
  /* counters and temperature go with their mark, and with the bus */
  { "Time (s),Voltage 1,Current 1,Power 1,Energy 1 (Wh),Voltage 2,Current 2,Temperature 2 (C)",
    "1: v1 a2 w3 h4 | 2: v5 a6 T7 ", NULL },
  { "Time (s),VBUS (V),IBUS (A),Battery voltage (V),Battery current (A),Temperature (C)",
    "bus: v1 a2 T5 | Battery: v3 a4 ", NULL },
  { "Time (s),Voltage 1,Current 1,Voltage 2,Current 2,Temperature (C),Energy (Wh)",
    "1: v1 a2 | 2: v3 a4 ", NULL },
  /* words of nobody make lanes only where no bare columns are a run */
  { "Time (s),Left voltage,Left current,Cradle voltage,Cradle current",
    "Left: v1 a2 | Cradle: v3 a4 ", NULL },
  { "Time (s),Voltage (V),Current (A),Cradle voltage (V),Cradle current (A)", "v1 a2 ", NULL },
  { "Time (s),Power 1 (W),Power 2 (W)", "1: w1 | 2: w2 ", NULL },
  { "Time (s),Power (W),Loss power (W)", "w1 ", NULL },
  /* one run */
  { "Time (s),Voltage (V),Current (A),Average voltage (V),Average current (A)", "v1 a2 ", NULL },
  { "Time (s),Max voltage,Max current,Voltage,Current", "v3 a4 ", NULL },
  { "Time (s),Voltage (V),Current (A),Cell voltage (V)", "v1 a2 ", NULL },
  { "Time (s),Voltage (V),Current (A),Set voltage (V),Set current (A)", "v1 a2 ", NULL },
  { "Time (s),Charge voltage (V),Charge current (A),Charge (mAh)", "v1 a2 c3 ", NULL },
  /* what is stated */
  { "Time (s),Voltage 1,Current 1,Voltage 2,Current 2", "v3 a4 ", "v=4 a=5" },
  { "Time (s),Voltage 1,Current 1,Voltage 2,Current 2", "1: v1 a2 | 2: v3 a4 ", "v/2=4:mV" },
  { "Time (s),Red,Blue,Green,White", "1: v1 a2 | 2: v3 a4 ", "v=2 a=3 v/2=4 a/2=5" },
  { "Time (s),Voltage (V),Current (A),Other", "v3 a2 ", "v=4" },
  { "Time (s),Voltage (V),Current (A),Power (W)", "v1 a2 ", "-=4" },
};

static void
test_tables (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (tables); i++)
    {
      g_autoptr (GString) text = g_string_new (tables[i].names);
      g_auto (GStrv) names = g_strsplit (tables[i].names, ",", -1);
      for (guint row = 0; row < 3; row++)
        {
          g_string_append_printf (text, "\n%u", row);
          for (guint column = 1; names[column]; column++)
            g_string_append_printf (text, ",%u", column + row);
        }
      g_autoptr (TideUnderstanding) u = understand_by (text->str, tables[i].column);
      g_autofree char *lanes = describe_lanes (u);
      if (strcmp (lanes, tables[i].lanes) != 0)
        g_error ("%s: %s", tables[i].names, lanes);
      g_assert_true (u->n_lanes > 1 || u->lanes[0].label == NULL);
    }
}

static void
test_two_runs (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs =
      read_text ("Time (s),Port A U (V),Port A I (A),Port B U (V),Port B I (mA)\n0,5,1,9,500\n"
                 "1,5,1,9,500\n2,5,1,9,500\n",
                 -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 2);
  g_assert_cmpfloat (get_value (runs->pdata[0], W, 1), ==, 5);
  g_assert_cmpfloat (get_value (runs->pdata[1], W, 1), ==, 4.5);
}

/* Of two runs the one that cannot be used is told of, though the other ends before it is looked at.
 */
static void
test_left_out (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GString) text =
      g_string_new ("Time (s),Port A U (V),Port A I (A),Port B U (V),Port B I (A)\n");
  for (guint row = 0; row < 10; row++)
    g_string_append_printf (text, "%u,5,1,%s\n", row < 8 ? 0 : row, row < 8 ? "9,1" : ",");
  g_autoptr (GPtrArray) runs = read_text (text->str, -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (runs->len, ==, 1);
  g_assert_true (has_complaint (runs->pdata[0], "Port B is left out: no two rows follow"));
}

/* What is empty in the head may be full below; what holds nothing in all of the file is not told
 * of. */
static void
test_mostly_empty (void)
{
  g_autoptr (GString) text = g_string_new ("Time (s),Voltage 1,Current 1,Voltage 2,Current 2\n");
  for (guint row = 0; row < 40000; row++)
    g_string_append_printf (text, "%u,5,1,,\n", row);
  g_autoptr (TideRecording) empty = read_one (text->str);
  g_assert_true (has_complaint (empty, "0 of the first"));

  const char *head = "Time (s),Power (W),Energy (Wh),Temperature (C)\n0,5,,\n1,5,,\n2,5,,";
  g_autofree char *few = g_strconcat (head, "20\n3,5,,\n", NULL);
  g_autofree char *none = g_strconcat (head, "\n3,5,,\n", NULL);
  g_autoptr (TideRecording) one = read_one (few), nothing = read_one (none);
  g_assert_true (has_complaint (one, "column Temperature (C): 1 of the first 4 rows holds"));
  g_assert_false (has_complaint (nothing, "of the first"));

  g_autoptr (TideUnderstanding) stated = understand_by (few, "temp=4");
  g_assert_cmpuint (stated->complaints->len, ==, 0);
  g_assert_cmpint (stated->lanes[0].columns[TIDE_QUANTITY_TEMPERATURE].index, ==, 3);
}

static void
test_not_whole (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  const char *text = "Time (s),Voltage (V),Current (A),Other\n0,5,1,1\n1,5,1,1\n";
  g_assert_true (tide_reading_rule_set (rule, "column", "v/2=4", &error));
  g_assert_null (tide_understand (text, strlen (text), TRUE, rule, NULL, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);

  g_autoptr (GString) many = g_string_new ("Time (s)");
  for (guint i = 1; i <= TIDE_MAX_LANES + 1; i++)
    g_string_append_printf (many, ",Voltage %u,Current %u", i, i);
  for (guint row = 0; row < 3; row++)
    {
      g_string_append_printf (many, "\n%u", row);
      for (guint i = 1; i <= TIDE_MAX_LANES + 1; i++)
        g_string_append (many, ",5,1");
    }
  assert_refused (many->str, TIDE_READING_ERROR_TOO_LARGE, "side by side");
}

/* Data lines are channels of their own, in volts; never the bus. */
static void
test_data_lines (void)
{
  g_autoptr (TideRecording) run =
      read_one ("Time (s),D+ (V),D-,CC1 (mV),CC2 (mV),VBUS (V),IBUS (A)\n0,0.6,0.61,1700,0,5,1\n"
                "1,0.6,0.61,1700,0,5,1\n");
  g_assert_cmpfloat (get_value (run, V, 0), ==, 5);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_DATA_PLUS, 1), ==, 0.6);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_DATA_MINUS, 1), ==, 0.61);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CC1, 1), ==, 1.7);
  g_assert_cmpfloat (get_value (run, TIDE_QUANTITY_CC2, 1), ==, 0);
  assert_refused ("Time (s),D+ (V),D- (V),Current (A)\n0,0.6,0.6,1\n1,0.6,0.6,1\n",
                  TIDE_READING_ERROR_NO_TABLE, "neither power nor both");
}

/* ---- Units in cells ---- */

static void
test_cells (void)
{
  g_autoptr (TideRecording) run = read_one (
      "Time;Voltage;Current;Power;Energy;Temp\n0 s;5,12 V;0,450 A;2,304W;12 mWh;23,5 °C\n"
      "1 s;5120 mV;980 mA;5,018W;0,013 Wh;77 °F\n2 s;5,12 V;1,02 A;5,222;14 mWh;296,15 K\n");
  g_assert_cmpuint (tide_recording_get_n_samples (run), ==, 3);
  for (guint i = 0; i < 3; i++)
    g_assert_cmpfloat_with_epsilon (get_value (run, V, i), 5.12, 1e-12);
  g_assert_cmpfloat (get_value (run, A, 1), ==, 0.98);
  g_assert_cmpfloat (get_value (run, A, 2), ==, 1.02);
  g_assert_cmpfloat (get_value (run, E, 1), ==, 0.013);
  g_assert_cmpfloat_with_epsilon (get_value (run, T, 1), 25, 1e-9);
  g_assert_cmpfloat_with_epsilon (get_value (run, T, 2), 23, 1e-9);
  g_assert_false (has_complaint (run, "names no unit"));
}

static void
test_cells_in_doubt (void)
{
  /* a cell's unit goes before the name's */
  g_autoptr (TideRecording) run =
      read_one ("Time (s),Voltage (V),Current (mA)\n0,5,0.5 A\n1,5,600 mA\n2,5,700\n");
  g_assert_cmpfloat (get_value (run, A, 0), ==, 0.5);
  g_assert_cmpfloat (get_value (run, A, 2), ==, 0.7);
  g_assert_true (has_complaint (run, "the name says mA, the cells say A"));
  /* among cells of several units a plain number is none */
  g_autoptr (TideUnderstanding) mixed =
      understand_by ("Time (s),Voltage (V),Current\n0,5,0.5 A\n1,5,600 mA\n2,5,700 mA\n", NULL);
  double value;
  g_assert_false (tide_column_use_parse (mixed, &mixed->lanes[0].columns[A], A, "700", 3, &value));
  g_assert_true (tide_column_use_parse (mixed, &mixed->lanes[0].columns[A], A, "7 A", 3, &value));
  /* units of another quantity, or of none, are no values */
  g_autoptr (TideRecording) skipped =
      read_one ("Time (s),Voltage,Current\n0,5 V,1 A\n1,5 V,1 V\n2,5 V,1 A\n3,5 V,1 A\n4,5 V,1 A\n"
                "5,5 V,12 %\n6,5 V,1 A\n7,5 V,1 A\n8,5 V,1 A\n9,5 V,1 A\n10,5 V,1 A\n");
  g_assert_cmpuint (tide_recording_get_skipped_rows (skipped), ==, 2);
  g_assert_true (has_complaint (skipped, "row 3, column Current: not a number: \"1 V\""));
  assert_refused ("Time (s),Voltage,Current\n0,5 V,12 %\n1,5 V,12 %\n2,5 V,12 %\n",
                  TIDE_READING_ERROR_NO_TABLE, "neither power nor both");
}

/* ---- Magnitude ---- */

static const TideQuestion *
find_question (const TideUnderstanding *u, guint n)
{
  return n < u->questions->len ? g_ptr_array_index (u->questions, n) : NULL;
}

static void
test_asked (void)
{
  static const struct
  {
    const char *text;
    const char *answers[2]; /* of the first question */
    guint n;                /* questions */
  } cases[] = {
    { "Time (s),Voltage (V),Current (A)\n0,5012,1\n1,5013,1\n", { "v=2:mV", "v=2:V" }, 1 },
    { "Time (s),Voltage,Current\n0,5012,1500\n1,5013,1500\n", { "v=2:mV", "v=2:V" }, 2 },
    { "Time (s),Voltage (V),Current (A)\n0,5,1500\n1,5,1500\n", { "a=3:mA", "a=3:A" }, 1 },
    { "Time (s),Power (W)\n0,15000\n1,15000\n", { "w=2:mW", "w=2:W" }, 1 },
    /* a word of nobody weighs nothing against one that says when */
    { "Time (s),Voltage (V),Charging current (A),Quiescent current (A)\n0,5,1,0.1\n1,5,1,0.1\n",
      { "a=4", "a=3" },
      1 },
    { "Time (s),Voltage (V),Quiescent current (A),Charging current (A)\n0,5,1,0.1\n1,5,1,0.1\n",
      { "a=3", "a=4" },
      1 },
    { "Time (s),Load voltage (V),Cradle open voltage (V),Current (A)\n0,5,6,1\n1,5,6,1\n",
      { "v=2", "v=3" },
      1 },
    { "Time (s),Voltage (V),Quiescent current (A),Charging current (A)\n0,5,1,1\n1,5,1,1\n",
      { NULL, NULL },
      0 },
    { "Time (s),Voltage (V),Discharge current (A),Charging current (A)\n0,5,0,1\n1,5,0,1\n",
      { NULL, NULL },
      0 },
    { "Time (s),Voltage (V),Charging current (A),Average charging current (A)\n0,5,1,2\n1,5,1,2\n",
      { NULL, NULL },
      0 },
    { "Time (s),Voltage (V),Cradle current (A),Battery current (A)\n0,5,0.9,1\n1,5,0.9,1\n",
      { NULL, NULL },
      0 },
    { "Time (s),Power (W),D+\n0,15,600\n1,15,600\n", { "dp=3:mV", "dp=3:V" }, 1 },
    { "Time (s),V1,I1,V2,I2\n0,5,1,9012,1\n1,5,1,9012,1\n", { "v/2=4:mV", "v/2=4:V" }, 1 },
    /* apart by a thousand, and both can be: amperes, or milliwatts? */
    { "Time (s),Voltage (V),Current (mA),Power (W)\n0,5,9,45\n1,5,9,45\n",
      { "a=3:mA", "a=3:A" },
      1 },
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5,1,5\n1,5,1,5\n", { NULL, NULL }, 0 },
    /* nothing tells a large pack from a small device */
    { "Time (s),Voltage,Current,Power\n0,24,180,4320\n1,24,180,4320\n", { "a=3:mA", "a=3:A" }, 1 },
    /* a device that draws next to nothing */
    { "Time (s),Voltage (mV),Current (mA)\n0,5000,0.02\n1,5000,0.02\n", { NULL, NULL }, 0 },
    { "Time (s),Voltage (mV),Current (A)\n0,0.05,1\n1,0.05,1\n", { NULL, NULL }, 0 },
    { "Time (s),Voltage (V),Current (A)\n0,48,5\n1,48,5\n", { NULL, NULL }, 0 },
    /* no unit mends this: it is complained of */
    { "Time (s),Power (W)\n0,1e22\n1,1e22\n", { NULL, NULL }, 0 },
    { "Time (s),Voltage,Current\n0,5012 V,1\n1,5013 V,1\n", { NULL, NULL }, 0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideUnderstanding) u = understand_by (cases[i].text, NULL);
      if (u->questions->len != cases[i].n)
        g_error ("case %u: %u questions", i, u->questions->len);
      const TideQuestion *question = find_question (u, 0);
      for (guint k = 0; question && k < 2; k++)
        {
          const TideAnswer *answer = question->answers->pdata[k];
          g_assert_true (question->is_open);
          g_assert_cmpstr (answer->key, ==, "column");
          g_assert_cmpstr (answer->text, ==, cases[i].answers[k]);
          /* any answer settles it */
          g_autoptr (TideUnderstanding) answered = understand_by (cases[i].text, answer->text);
          g_assert_cmpuint (answered->questions->len, ==, cases[i].n - 1);
        }
    }
}

/* Power tells in which units voltage and current are. */
static void
test_power_decides (void)
{
  static const struct
  {
    const char *text;
    double v, a, w;
    const char *words; /* NULL: nothing is said */
  } cases[] = {
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5000,3,15\n1,5000,3,15\n", 5, 3, 15,
      "taken as mV instead of V" },
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5000,3,15000\n1,5000,3,15000\n", 5, 3, 15,
      "taken as mW instead of W" },
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5,3,15000\n1,5,3,15000\n", 5, 3, 15,
      "taken as mW instead of W" },
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5000,3000,15\n1,5000,3000,15\n", 5, 3, 15,
      "taken as mA instead of A" },
    { "Time (s),Voltage (V),Current (mA),Power (W)\n0,5,0.9,4.5\n1,5,0.9,4.5\n", 5, 0.9, 4.5,
      "taken as A instead of mA" },
    { "Time (s),Voltage (V),Current (mA),Power (mW)\n0,5,0.2,1\n1,5,0.2,1\n", 5, 0.0002, 0.001,
      NULL },
    { "Time (s),Voltage (V),Current (A),Power (W)\n0,5,3,14\n1,5,3,14\n", 5, 3, 14, NULL },
    /* the counter tells that this is a large pack, and that a small device */
    { "Time (s),Voltage,Current,Power,Watt-hours\n0,24,180,4320,0\n1,24,180,4320,1.2\n"
      "2,24,180,4320,2.4\n",
      24, 180, 4320, NULL },
    { "Time (s),Voltage,Current,Power,Energy (Wh)\n0,24,180,4320,0\n100,24,180,4320,0.12\n"
      "200,24,180,4320,0.24\n",
      24, 0.18, 4.32, "taken as mA instead of A" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideRecording) run = read_one (cases[i].text);
      g_assert_cmpfloat_with_epsilon (get_value (run, V, 0), cases[i].v, 1e-12);
      g_assert_cmpfloat_with_epsilon (get_value (run, A, 0), cases[i].a, 1e-12);
      g_assert_cmpfloat_with_epsilon (get_value (run, W, 0), cases[i].w, 1e-12);
      if (has_complaint (run, "instead of") != (cases[i].words != NULL)
          || (cases[i].words && !has_complaint (run, cases[i].words)))
        g_error ("case %u", i);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/lanes/tables", test_tables);
  g_test_add_func ("/reading/lanes/two-runs", test_two_runs);
  g_test_add_func ("/reading/lanes/left-out", test_left_out);
  g_test_add_func ("/reading/lanes/mostly-empty", test_mostly_empty);
  g_test_add_func ("/reading/lanes/not-whole", test_not_whole);
  g_test_add_func ("/reading/lanes/data-lines", test_data_lines);
  g_test_add_func ("/reading/lanes/cells", test_cells);
  g_test_add_func ("/reading/lanes/cells-in-doubt", test_cells_in_doubt);
  g_test_add_func ("/reading/lanes/asked", test_asked);
  g_test_add_func ("/reading/lanes/power-decides", test_power_decides);
  return g_test_run ();
}
