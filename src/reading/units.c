/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units as people and machines write them: "mA", "Watt-hr", "W.h", "µs", "Sekunden".
 *
 * One table. Letters' case is ignored: in the logs of a meter "m" is milli, whatever its case.
 */
#include "reading/reading-private.h"

#include <string.h>

/* The longest way to write a unit; more is no unit. */
#define MAX_UNIT_BYTES 40

typedef struct
{
  TideQuantity quantity;
  TideUnit unit;
  const char *writings; /* lower case, without ". - _ · * blank"; a blank before and behind each */
} UnitRow;

/* A bare "c" stands with both; tide_unit_parse() tells them apart. */
static const UnitRow unit_rows[] = {
  { TIDE_QUANTITY_TIME,
    { 0, 1, 1, "s" },
    " s sec secs second seconds sekunde sekunden seconde secondes segundo segundos secondo secondi "
    "с сек 秒 " },
  { TIDE_QUANTITY_TIME,
    { -3, 1, 1, "ms" },
    " ms msec msecs millis millisecond milliseconds millisekunden 毫秒 " },
  { TIDE_QUANTITY_TIME, { -6, 1, 1, "µs" }, " us μs usec microsecond microseconds " },
  { TIDE_QUANTITY_TIME, { -9, 1, 1, "ns" }, " ns nsec nanosecond nanoseconds " },
  { TIDE_QUANTITY_TIME,
    { 0, 60, 1, "min" },
    " min mins minute minutes minuten minuto minutos minuti мин 分 " },
  { TIDE_QUANTITY_TIME,
    { 0, 3600, 1, "h" },
    " h hr hrs hour hours stunde stunden std heure heures hora horas ora ore ч 小时 " },
  { TIDE_QUANTITY_TIME, { 0, 86400, 1, "d" }, " days tage jours dias giorni " },
  { TIDE_QUANTITY_VOLTAGE, { 0, 1, 1, "V" }, " v volt volts в 伏 " },
  { TIDE_QUANTITY_VOLTAGE, { -3, 1, 1, "mV" }, " mv millivolt millivolts мв " },
  { TIDE_QUANTITY_VOLTAGE, { -6, 1, 1, "µV" }, " uv μv microvolt microvolts " },
  { TIDE_QUANTITY_CURRENT, { 0, 1, 1, "A" }, " a amp amps ampere amperes amperios ampères а 安 " },
  { TIDE_QUANTITY_CURRENT,
    { -3, 1, 1, "mA" },
    " ma milliamp milliamps milliampere milliamperes ма " },
  { TIDE_QUANTITY_CURRENT,
    { -6, 1, 1, "µA" },
    " ua μa microamp microamps microampere microamperes " },
  { TIDE_QUANTITY_POWER, { 0, 1, 1, "W" }, " w watt watts вт 瓦 " },
  { TIDE_QUANTITY_POWER, { -3, 1, 1, "mW" }, " mw milliwatt milliwatts мвт " },
  { TIDE_QUANTITY_POWER, { -6, 1, 1, "µW" }, " uw μw microwatt microwatts " },
  { TIDE_QUANTITY_POWER, { 3, 1, 1, "kW" }, " kw kilowatt kilowatts " },
  { TIDE_QUANTITY_ENERGY,
    { 0, 1, 1, "Wh" },
    " wh whr whrs watthr watthrs watthour watthours wattstunde wattstunden втч " },
  { TIDE_QUANTITY_ENERGY, { -3, 1, 1, "mWh" }, " mwh mwhr milliwatthour milliwatthours мвтч " },
  { TIDE_QUANTITY_ENERGY, { -6, 1, 1, "µWh" }, " uwh μwh " },
  { TIDE_QUANTITY_ENERGY, { 3, 1, 1, "kWh" }, " kwh kilowatthour kilowatthours " },
  { TIDE_QUANTITY_ENERGY, { 3, 1, 3600, "kJ" }, " kj kilojoule kilojoules " },
  { TIDE_QUANTITY_ENERGY, { 0, 1, 3600, "J" }, " j joule joules ws wattsecond wattseconds " },
  { TIDE_QUANTITY_CHARGE,
    { 0, 1, 1, "Ah" },
    " ah ahr ahrs amphr amphrs amphour amphours amperehour amperehours amperestunde amperestunden "
    "ач " },
  { TIDE_QUANTITY_CHARGE,
    { -3, 1, 1, "mAh" },
    " mah mahr milliamphour milliamphours milliamperehour milliamperehours мач " },
  { TIDE_QUANTITY_CHARGE, { -6, 1, 1, "µAh" }, " uah μah " },
  { TIDE_QUANTITY_CHARGE,
    { 0, 1, 3600, "C" },
    " c as coulomb coulombs amperesecond amperseconds " },
  { TIDE_QUANTITY_TEMPERATURE,
    { 0, 1, 1, "°C" },
    " c °c degc deg celsius degcelsius degreec degreesc degreescelsius gradc " },
};

TideUnit
tide_unit_plain (TideQuantity quantity)
{
  return (TideUnit){ 0, 1, 1, tide_quantity_get_unit (quantity) };
}

double
tide_unit_scale (TideUnit unit, double shifted)
{
  return shifted * unit.times / unit.over;
}

/* " amphr " from "Amp-Hr"; NULL when text is no unit at all. */
static char *
normalise_unit (const char *text)
{
  if (strlen (text) > MAX_UNIT_BYTES || !g_utf8_validate (text, -1, NULL))
    return NULL;
  /* compatibility forms: ℃ becomes °C, the micro sign the Greek letter */
  g_autofree char *composed = g_utf8_normalize (text, -1, G_NORMALIZE_ALL_COMPOSE);
  g_autofree char *lower = g_utf8_strdown (composed, -1);
  GString *key = g_string_new (" ");
  for (const char *p = lower; *p; p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);
      if (!g_unichar_isspace (c) && !(c < 128 && strchr (".-_*", (char)c)) && c != 0xb7
          && c != 0x22c5)
        g_string_append_unichar (key, c);
    }
  g_string_append_c (key, ' ');
  return g_string_free (key, key->len == 2);
}

/* A degree sign that lost its encoding on the way ("?C", "\xef\xbf\xbdC") is still one. */
static gboolean
looks_like_lost_celsius (const char *key)
{
  return g_strcmp0 (key, " ?c ") == 0
         || g_strcmp0 (key, " \xef\xbf\xbd"
                            "c ")
                == 0
         || g_strcmp0 (key, " \xef\xbf\xbd\xef\xbf\xbd"
                            "c ")
                == 0;
}

gboolean
tide_unit_parse (const char *text, TideQuantity wanted, TideQuantity *quantity, TideUnit *unit)
{
  g_autofree char *key = normalise_unit (text);
  if (!key)
    return FALSE;
  const UnitRow *found = NULL;
  for (guint i = 0; i < G_N_ELEMENTS (unit_rows); i++)
    if (strstr (unit_rows[i].writings, key) && (!found || wanted != found->quantity))
      found = &unit_rows[i];
  if (!found && looks_like_lost_celsius (key))
    found = &unit_rows[G_N_ELEMENTS (unit_rows) - 1];
  if (!found)
    return FALSE;
  *quantity = found->quantity;
  *unit = found->unit;
  return TRUE;
}
