/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names of columns: quantity, unit and mark. The names are invented here from general words of the
 * trade; common practice, no source; those in other languages than English from memory.
 */
#include "reading/names-private.h"

#include <math.h>
#include <string.h>

#define NONE TIDE_N_QUANTITIES

static const struct
{
  const char *name;
  TideQuantity quantity; /* NONE: not ours */
  const char *symbol;    /* NULL: no unit is named */
} names[] = {
  /* the places where a unit can stand */
  { "Time (s)", TIDE_QUANTITY_TIME, "s" },
  { "Time(s)", TIDE_QUANTITY_TIME, "s" },
  { "Time [ms]", TIDE_QUANTITY_TIME, "ms" },
  { "Time{min}", TIDE_QUANTITY_TIME, "min" },
  { "time/s", TIDE_QUANTITY_TIME, "s" },
  { "Test Time / ms", TIDE_QUANTITY_TIME, "ms" },
  { "Time, h", TIDE_QUANTITY_TIME, "h" },
  { "time_s", TIDE_QUANTITY_TIME, "s" },
  { "elapsed_time_ms", TIDE_QUANTITY_TIME, "ms" },
  { "test_time_second", TIDE_QUANTITY_TIME, "s" },
  { "Voltage V", TIDE_QUANTITY_VOLTAGE, "V" },
  { "voltage_V", TIDE_QUANTITY_VOLTAGE, "V" },
  { "VOLTAGE_MV", TIDE_QUANTITY_VOLTAGE, "mV" },
  { "voltageV", TIDE_QUANTITY_VOLTAGE, "V" },
  { "currentmA", TIDE_QUANTITY_CURRENT, "mA" },
  { "Current (\xc2\xb5"
    "A)",
    TIDE_QUANTITY_CURRENT, "µA" },
  { "Current (\xce\xbc"
    "A)",
    TIDE_QUANTITY_CURRENT, "µA" },
  { "Current（mA）", TIDE_QUANTITY_CURRENT, "mA" },
  { "Power(mW)", TIDE_QUANTITY_POWER, "mW" },
  { "# Time (s)", TIDE_QUANTITY_TIME, "s" },
  { "~U[V]", TIDE_QUANTITY_VOLTAGE, "V" },
  /* units as words */
  { "Volts", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Amps", TIDE_QUANTITY_CURRENT, "A" },
  { "Watts", TIDE_QUANTITY_POWER, "W" },
  { "Watt-hr", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Amp-hr", TIDE_QUANTITY_CHARGE, "Ah" },
  { "Amp Hours", TIDE_QUANTITY_CHARGE, "Ah" },
  { "Watt Hours Charge", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Test (Sec)", TIDE_QUANTITY_TIME, "s" },
  { "mAh", TIDE_QUANTITY_CHARGE, "mAh" },
  { "mWh", TIDE_QUANTITY_ENERGY, "mWh" },
  { "V", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Energy/W.h", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Energy (kJ)", TIDE_QUANTITY_ENERGY, "kJ" },
  { "Energy (kcal)", NONE, NULL },
  { "Temperature (F)", TIDE_QUANTITY_TEMPERATURE, "°F" },
  { "Capacity (F)", NONE, NULL },
  { "F", NONE, NULL },
  { "K", NONE, NULL },
  { "Voltage (bus)", TIDE_QUANTITY_VOLTAGE, NULL },
  { "Energy (J)", TIDE_QUANTITY_ENERGY, "J" },
  { "Charge (C)", TIDE_QUANTITY_CHARGE, "C" },
  { "Charge (mAh)", TIDE_QUANTITY_CHARGE, "mAh" },
  { "Temperature (C)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Temperature (°C)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Temp (℃)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "T1[\xef\xbf\xbd"
    "C]",
    TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Temperature (°F)", TIDE_QUANTITY_TEMPERATURE, "°F" },
  { "Temp [K]", TIDE_QUANTITY_TEMPERATURE, "K" },
  { "temp_k", TIDE_QUANTITY_TEMPERATURE, "K" },
  { "Temperature / ºC", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Temperature (\xc3\x82\xc2\xb0"
    "C)",
    TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Current (\xc3\x82\xc2\xb5"
    "A)",
    TIDE_QUANTITY_CURRENT, "µA" },
  { "Current (\xef\xbf\xbd"
    "A)",
    TIDE_QUANTITY_CURRENT, "µA" },
  { "I (nA)", TIDE_QUANTITY_CURRENT, "nA" },
  { "Power{kW}", TIDE_QUANTITY_POWER, "kW" },
  { "Voltage (kV)", NONE, NULL },
  { "Voltage kV", NONE, NULL },
  { "current_kA", NONE, NULL },
  { "kV", NONE, NULL },
  { "Energy (Ws)", TIDE_QUANTITY_ENERGY, "J" },
  { "Charge (As)", TIDE_QUANTITY_CHARGE, "C" },
  { "Elapsed minutes", TIDE_QUANTITY_TIME, "min" },
  { "Fecha y hora", TIDE_QUANTITY_TIME, NULL },
  { "Data e ora", TIDE_QUANTITY_TIME, NULL },
  { "Data/Hora", TIDE_QUANTITY_TIME, NULL },
  { "Hora", TIDE_QUANTITY_TIME, NULL },
  { "Tiempo (hora)", TIDE_QUANTITY_TIME, "h" },
  { "Carica in Ampere ora", TIDE_QUANTITY_CHARGE, "Ah" },
  { "経過時間", TIDE_QUANTITY_TIME, NULL },
  { "測定時間 (ms)", TIDE_QUANTITY_TIME, "ms" },
  { "power_mW", TIDE_QUANTITY_POWER, "mW" },
  { "energyWh", TIDE_QUANTITY_ENERGY, "Wh" },
  /* no unit */
  { "Voltage", TIDE_QUANTITY_VOLTAGE, NULL },
  { "VBUS", TIDE_QUANTITY_VOLTAGE, NULL },
  { "Total Time", TIDE_QUANTITY_TIME, NULL },
  { "TestTime", TIDE_QUANTITY_TIME, NULL },
  { "Timestamp", TIDE_QUANTITY_TIME, NULL },
  { "Date/Time", TIDE_QUANTITY_TIME, NULL },
  { "Time (hh:mm:ss)", TIDE_QUANTITY_TIME, NULL },
  { "I", TIDE_QUANTITY_CURRENT, NULL },
  /* other languages */
  { "Zeit (s)", TIDE_QUANTITY_TIME, "s" },
  { "Laufzeit in Minuten", TIDE_QUANTITY_TIME, "min" },
  { "Spannung [V]", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Stromstärke (mA)", TIDE_QUANTITY_CURRENT, "mA" },
  { "Strom in A", TIDE_QUANTITY_CURRENT, "A" },
  { "Leistung/W", TIDE_QUANTITY_POWER, "W" },
  { "Energie (Wattstunden)", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Ladung_mAh", TIDE_QUANTITY_CHARGE, "mAh" },
  { "Kapazität [Ah]", TIDE_QUANTITY_CHARGE, "Ah" },
  { "Temperatur (°C)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Temps (s)", TIDE_QUANTITY_TIME, "s" },
  { "Durée (h)", TIDE_QUANTITY_TIME, "h" },
  { "Tension (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Courant (A)", TIDE_QUANTITY_CURRENT, "A" },
  { "Intensite [mA]", TIDE_QUANTITY_CURRENT, "mA" },
  { "Puissance (W)", TIDE_QUANTITY_POWER, "W" },
  { "Énergie (Wh)", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Capacite (mAh)", TIDE_QUANTITY_CHARGE, "mAh" },
  { "Température / °C", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Tiempo (s)", TIDE_QUANTITY_TIME, "s" },
  { "Tensión (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Voltaje (mV)", TIDE_QUANTITY_VOLTAGE, "mV" },
  { "Corriente (A)", TIDE_QUANTITY_CURRENT, "A" },
  { "Potencia (W)", TIDE_QUANTITY_POWER, "W" },
  { "Energía (Wh)", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Carga (mAh)", TIDE_QUANTITY_CHARGE, "mAh" },
  { "Temperatura (°C)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Tempo decorrido (s)", TIDE_QUANTITY_TIME, "s" },
  { "Tensão (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Corrente (A)", TIDE_QUANTITY_CURRENT, "A" },
  { "Potência (W)", TIDE_QUANTITY_POWER, "W" },
  { "Energia (Wh)", TIDE_QUANTITY_ENERGY, "Wh" },
  { "Capacidade (Ah)", TIDE_QUANTITY_CHARGE, "Ah" },
  { "Tensione [V]", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Intensità (A)", TIDE_QUANTITY_CURRENT, "A" },
  { "Potenza (W)", TIDE_QUANTITY_POWER, "W" },
  { "Capacità (mAh)", TIDE_QUANTITY_CHARGE, "mAh" },
  { "Durata (min)", TIDE_QUANTITY_TIME, "min" },
  { "时间(s)", TIDE_QUANTITY_TIME, "s" },
  { "时间（秒）", TIDE_QUANTITY_TIME, "s" },
  { "電壓(V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "电压(V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "电压mV", TIDE_QUANTITY_VOLTAGE, "mV" },
  { "电流(毫安)", TIDE_QUANTITY_CURRENT, "mA" },
  { "电流(A)", TIDE_QUANTITY_CURRENT, "A" },
  { "功率(W)", TIDE_QUANTITY_POWER, "W" },
  { "能量(毫瓦时)", TIDE_QUANTITY_ENERGY, "mWh" },
  { "容量(mAh)", TIDE_QUANTITY_CHARGE, "mAh" },
  { "溫度(℃)", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "輸出電壓(V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "時間", TIDE_QUANTITY_TIME, NULL },
  { "電圧 [V]", TIDE_QUANTITY_VOLTAGE, "V" },
  { "電流 [A]", TIDE_QUANTITY_CURRENT, "A" },
  { "電力 [W]", TIDE_QUANTITY_POWER, "W" },
  { "電力量 [Wh]", TIDE_QUANTITY_ENERGY, "Wh" },
  { "温度 [度]", TIDE_QUANTITY_TEMPERATURE, "°C" },
  { "Ток (мА)", TIDE_QUANTITY_CURRENT, "mA" },
  { "Напряжение, В", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Napětí (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Spanning (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Napięcie (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Ström (A)", TIDE_QUANTITY_CURRENT, "A" },
  /* data lines */
  { "D+ (V)", TIDE_QUANTITY_DATA_PLUS, "V" },
  { "D- (mV)", TIDE_QUANTITY_DATA_MINUS, "mV" },
  { "USB_D+_V", TIDE_QUANTITY_DATA_PLUS, "V" },
  { "VD+", TIDE_QUANTITY_DATA_PLUS, NULL },
  { "D+", TIDE_QUANTITY_DATA_PLUS, NULL },
  { "D-", TIDE_QUANTITY_DATA_MINUS, NULL },
  { "D-_mV", TIDE_QUANTITY_DATA_MINUS, "mV" },
  { "DP [V]", TIDE_QUANTITY_DATA_PLUS, "V" },
  { "DM", TIDE_QUANTITY_DATA_MINUS, NULL },
  { "Data- voltage (V)", TIDE_QUANTITY_DATA_MINUS, "V" },
  { "CC1 (V)", TIDE_QUANTITY_CC1, "V" },
  { "CC2 voltage (V)", TIDE_QUANTITY_CC2, "V" },
  { "VCC1", TIDE_QUANTITY_CC1, NULL },
  { "CC (V)", TIDE_QUANTITY_CC1, "V" },
  { "CC", NONE, NULL },
  { "CC current (A)", NONE, NULL },
  { "CC1 current", NONE, NULL },
  { "D+/D- (V)", NONE, NULL },
  { "D+ max (V)", NONE, NULL },
  { "D+ (A)", NONE, NULL },
  /* never the bus */
  { "VCONN (V)", NONE, NULL },
  { "Set voltage (V)", NONE, NULL },
  { "Requested current (A)", NONE, NULL },
  { "Sample interval (s)", NONE, NULL },
  { "Aux. voltage (V)", NONE, NULL },
  { "Voltage ripple (mV)", NONE, NULL },
  { "Max power (W)", NONE, NULL },
  { "Power factor", NONE, NULL },
  { "Vmin (V)", NONE, NULL },
  { "Imax (A)", NONE, NULL },
  { "Uset", NONE, NULL },
  { "Vavg (V)", TIDE_QUANTITY_VOLTAGE, "V" },
  { "Irms (A)", TIDE_QUANTITY_CURRENT, "A" },
  { "Time [min:sec]", TIDE_QUANTITY_TIME, NULL },
  { "Elapsed (h:min:s)", TIDE_QUANTITY_TIME, NULL },
  { "Voltage min", NONE, NULL },
  { "dV/dt", NONE, NULL },
  { "dQ/dV(mAh/V)", NONE, NULL },
  { "Spec. Cap.(mAh/g)", NONE, NULL },
  { "Internal resistance (Ohm)", NONE, NULL },
  { "R/Ohm", NONE, NULL },
  { "Step Count / 1", NONE, NULL },
  { "Current (V)", NONE, NULL },
  { "Cycle P", NONE, NULL },
  { "Cycle C", NONE, NULL },
  { "Rec", NONE, NULL },
  { "State", NONE, NULL },
  { "Saved as", NONE, NULL },
  { "5.12", NONE, NULL },
  { "5 V", NONE, NULL },
  { "-5 V", NONE, NULL },
  { "", NONE, NULL },
  { "\xff\xfe", NONE, NULL },
};

static void
test_names (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      TideMeaning meaning = tide_meaning_of_name (names[i].name, NULL);
      TideQuantity quantity = meaning.known ? meaning.quantity : NONE;
      if (quantity != names[i].quantity)
        g_error ("\"%s\" was taken as quantity %d", names[i].name, (int)quantity);
      if (quantity == NONE)
        continue;
      if (meaning.unit_named != (names[i].symbol != NULL))
        g_error ("\"%s\": a unit named, or not", names[i].name);
      if (names[i].symbol)
        g_assert_cmpstr (meaning.unit.symbol, ==, names[i].symbol);
    }
}

static void
test_factors (void)
{
  static const struct
  {
    const char *unit;
    TideQuantity wanted, quantity;
    double si;
  } cases[] = {
    { "ms", NONE, TIDE_QUANTITY_TIME, 1e-3 },
    { "us", NONE, TIDE_QUANTITY_TIME, 1e-6 },
    { "min", NONE, TIDE_QUANTITY_TIME, 60 },
    { "Hours", NONE, TIDE_QUANTITY_TIME, 3600 },
    { "mV", NONE, TIDE_QUANTITY_VOLTAGE, 1e-3 },
    { "mA", NONE, TIDE_QUANTITY_CURRENT, 1e-3 },
    { "µA", NONE, TIDE_QUANTITY_CURRENT, 1e-6 },
    { "mW", NONE, TIDE_QUANTITY_POWER, 1e-3 },
    { "kW", NONE, TIDE_QUANTITY_POWER, 1e3 },
    { "mWh", NONE, TIDE_QUANTITY_ENERGY, 1e-3 },
    { "mA.h", NONE, TIDE_QUANTITY_CHARGE, 1e-3 },
    { "J", NONE, TIDE_QUANTITY_ENERGY, 1. / 3600 },
    { "C", TIDE_QUANTITY_CHARGE, TIDE_QUANTITY_CHARGE, 1. / 3600 },
    { "C", NONE, TIDE_QUANTITY_TEMPERATURE, 1 },
    { "coulomb", NONE, TIDE_QUANTITY_CHARGE, 1. / 3600 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideQuantity quantity;
      TideUnit unit;
      g_assert_true (tide_unit_parse (cases[i].unit, cases[i].wanted, &quantity, &unit));
      g_assert_cmpint (quantity, ==, cases[i].quantity);
      double si = tide_unit_scale (unit, pow (10, unit.exponent));
      g_assert_cmpfloat_with_epsilon (si, cases[i].si, cases[i].si * 1e-12);
    }
  TideQuantity quantity;
  TideUnit unit;
  static const char *const none[] = { "", " ", "x", "Ohm", "%", "1", "mAh/g", "V A", "\xff" };
  for (guint i = 0; i < G_N_ELEMENTS (none); i++)
    g_assert_false (tide_unit_parse (none[i], NONE, &quantity, &unit));
}

/* Fixed points by definition: 0 °C is 273.15 K, and 32 °F; 100 °C is 212 °F (the SI Brochure, 9th
 * edition, 2.3.1; NIST SP 811, B.8). */
static void
test_temperatures (void)
{
  static const struct
  {
    const char *unit;
    double from, celsius;
  } cases[] = { { "K", 273.15, 0 },  { "K", 310.65, 37.5 },      { "°F", 32, 0 },
                { "°F", 212, 100 },  { "fahrenheit", -40, -40 }, { "℃", -0.0, -0.0 },
                { "degF", 98.6, 37 } };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideQuantity quantity;
      TideUnit unit;
      g_assert_true (tide_unit_parse (cases[i].unit, NONE, &quantity, &unit));
      g_assert_cmpint (quantity, ==, TIDE_QUANTITY_TEMPERATURE);
      double celsius = tide_unit_scale (unit, cases[i].from);
      g_assert_cmpfloat_with_epsilon (celsius, cases[i].celsius, 1e-12);
      g_assert_cmpint (signbit (celsius), ==, signbit (cases[i].celsius));
    }
}

static void
test_marks (void)
{
  static const struct
  {
    const char *name, *mark, *label;
    gboolean is_sure;
  } cases[] = {
    { "Voltage (V)", "", "", TRUE },
    { "VBUS", "", "", TRUE },
    { "Average voltage (V)", "", "", TRUE },
    { "USB voltage (V)", "", "", TRUE },
    { "Voltage 1 (V)", "1", "1", TRUE },
    { "VBUS1", "1", "1", TRUE },
    { "I2 (A)", "2", "2", TRUE },
    { "A2", "2", "2", TRUE },
    { "V_out (V)", "output", "out", TRUE },
    { "Vout", "output", "out", TRUE },
    { "V in", "input", "in", TRUE },
    { "Port A U (V)", "port a", "Port A", TRUE },
    { "Current Port B", "port b", "Port B", TRUE },
    { "CH1 Power (W)", "ch 1", "CH 1", TRUE },
    { "InputVoltage(V)", "input", "Input", TRUE },
    { "Eingang Spannung", "input", "Eingang", TRUE },
    { "输出电流(A)", "output", "输出", TRUE },
    { "Battery current (A)", "battery", "Battery", TRUE },
    { "Cradle voltage (V)", "cradle", "Cradle", FALSE },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      TideMeaning meaning = tide_meaning_of_name (cases[i].name, NULL);
      if (!meaning.known)
        g_error ("\"%s\" is not known", cases[i].name);
      g_assert_cmpstr (meaning.mark, ==, cases[i].mark);
      g_assert_cmpstr (meaning.label, ==, cases[i].label);
      g_assert_cmpint (meaning.mark_is_sure, ==, cases[i].is_sure);
    }
}

static void
test_plainness (void)
{
  /* of each pair the first is plainer */
  static const char *const pairs[][2] = {
    { "Voltage (V)", "Cell voltage (V)" },
    { "Capacity (Ah)", "Charge capacity (Ah)" },
    { "Charge capacity (Ah)", "Discharge capacity (Ah)" },
    { "Voltage (V)", "V1 (V)" },
    { "Bus voltage (V)", "Output voltage (V)" },
    { "Voltage (V)", "Average voltage (V)" },
    { "VBUS(V)", "Battery voltage (V)" },
    { "Temperature (°C)", "T1 (°C)" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (pairs); i++)
    g_assert_cmpint (tide_meaning_of_name (pairs[i][0], NULL).cost, <,
                     tide_meaning_of_name (pairs[i][1], NULL).cost);
}

static void
test_time_words (void)
{
  g_assert_true (tide_meaning_of_name ("Total Time (s)", NULL).time_words & TIDE_TIME_TOTAL);
  g_assert_true (tide_meaning_of_name ("StepTime(s)", NULL).time_words & TIDE_TIME_PART);
  g_assert_true (tide_meaning_of_name ("Date", NULL).time_words & TIDE_TIME_ABSOLUTE);
  g_assert_true (tide_meaning_of_name ("Time (mm:ss)", NULL).time_words & TIDE_TIME_MINUTES);
  g_assert_true (tide_meaning_of_name ("Time (hh:mm)", NULL).time_words & TIDE_TIME_HOURS);
  g_assert_cmpuint (tide_meaning_of_name ("Time (s)", NULL).time_words, ==, 0);
}

static void
test_units_row (void)
{
  TideMeaning meaning = tide_meaning_of_name ("Current", "mA");
  g_assert_true (meaning.known && meaning.unit_named);
  g_assert_cmpstr (meaning.unit.symbol, ==, "mA");
  g_assert_false (tide_meaning_of_name ("Current", "V").known);
}

static void
test_long_names (void)
{
  g_autofree char *many = g_strnfill (150, ' ');
  for (guint i = 0; i < 150; i += 2)
    many[i] = 'x';
  g_assert_false (tide_meaning_of_name (many, NULL).known);
  g_autofree char *prose = g_strnfill (5000, 'V');
  g_assert_false (tide_meaning_of_name (prose, NULL).known);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/columns/names", test_names);
  g_test_add_func ("/reading/columns/factors", test_factors);
  g_test_add_func ("/reading/columns/temperatures", test_temperatures);
  g_test_add_func ("/reading/columns/marks", test_marks);
  g_test_add_func ("/reading/columns/plainness", test_plainness);
  g_test_add_func ("/reading/columns/time-words", test_time_words);
  g_test_add_func ("/reading/columns/units-row", test_units_row);
  g_test_add_func ("/reading/columns/long-names", test_long_names);
  return g_test_run ();
}
