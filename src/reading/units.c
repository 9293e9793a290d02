/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units as people and machines write them: "mA", "Watt-hr", "W.h", "µs", "Sekunden", "毫安时".
 *
 * One table, looked up by hash. Letters' case is ignored: in the logs of a meter "m" is milli,
 * whatever its case. A micro or degree sign that lost its encoding on the way is still read.
 * Writings in other languages than English are from memory, no source.
 */
#include "reading/names-private.h"

#include <string.h>

/* The longest way to write a unit; more is no unit. */
#define MAX_UNIT_BYTES 64

typedef struct
{
  TideQuantity quantity;
  TideUnit unit;
  const char *writings; /* lower case, without ". - _ · * blank"; divided by blanks */
} UnitRow;

/* A bare "c" stands with both; tide_unit_parse() tells them apart: the first is meant. */
static const UnitRow unit_rows[] = {
  { TIDE_QUANTITY_TIME,
    { 0, 1, 1, "s" },
    "s sec secs second seconds sek sekunde sekunden seconde secondes seg segundo segundos secondo "
    "secondi secondes sekund sekunder sekundy seconden с сек 秒 秒钟 秒鐘" },
  { TIDE_QUANTITY_TIME,
    { -3, 1, 1, "ms" },
    "ms msec msecs millis millisec millisecond milliseconds millisekunde millisekunden "
    "milliseconde "
    "millisecondes milisegundo milisegundos millisegundos millisecondi millisecondo мс 毫秒 "
    "ミリ秒" },
  { TIDE_QUANTITY_TIME,
    { -6, 1, 1, "µs" },
    "us μs usec micros microsec microsecond microseconds mikrosekunde mikrosekunden microseconde "
    "microsecondes microsegundo microsegundos microsecondi мкс 微秒 マイクロ秒" },
  { TIDE_QUANTITY_TIME,
    { -9, 1, 1, "ns" },
    "ns nsec nanos nanosecond nanoseconds nanosekunden nanosecondes nanosegundos nanosecondi нс "
    "纳秒 "
    "奈秒 ナノ秒" },
  { TIDE_QUANTITY_TIME,
    { 0, 60, 1, "min" },
    "min mins minute minutes minuten minuto minutos minuti minuut minuter minuty мин 分 分钟 "
    "分鐘" },
  { TIDE_QUANTITY_TIME,
    { 0, 3600, 1, "h" },
    "h hr hrs hour hours stunde stunden std heure heures hora horas ora ore uur uren timmar "
    "godziny "
    "hodiny ч 小时 小時 时 時" },
  { TIDE_QUANTITY_TIME,
    { 0, 86400, 1, "d" },
    "d day days tag tage jour jours día días dia dias giorno giorni dag dagen 天 日" },
  { TIDE_QUANTITY_VOLTAGE,
    { 0, 1, 1, "V" },
    "v vdc volt volts voltio voltios в вольт 伏 伏特 ボルト" },
  { TIDE_QUANTITY_VOLTAGE,
    { -3, 1, 1, "mV" },
    "mv mvdc millivolt millivolts milivoltio milivoltios milivolts мв 毫伏 ミリボルト" },
  { TIDE_QUANTITY_VOLTAGE,
    { -6, 1, 1, "µV" },
    "uv μv microvolt microvolts mikrovolt мкв 微伏 マイクロボルト" },
  { TIDE_QUANTITY_VOLTAGE, { -9, 1, 1, "nV" }, "nv nanovolt nanovolts" },
  { TIDE_QUANTITY_CURRENT,
    { 0, 1, 1, "A" },
    "a amp amps ampere amperes ampère ampères amper amperio amperios ампер а 安 安培 "
    "アンペア" },
  { TIDE_QUANTITY_CURRENT,
    { -3, 1, 1, "mA" },
    "ma milliamp milliamps milliampere milliamperes milliampère milliampères miliamperio "
    "miliamperios miliampere miliamperes miliampères ма 毫安 ミリアンペア" },
  { TIDE_QUANTITY_CURRENT,
    { -6, 1, 1, "µA" },
    "ua μa microamp microamps microampere microamperes mikroampere мка 微安 マイクロアンペア" },
  { TIDE_QUANTITY_CURRENT, { -9, 1, 1, "nA" }, "na nanoamp nanoamps nanoampere" },
  { TIDE_QUANTITY_POWER, { 0, 1, 1, "W" }, "w watt watts vatio vatios вт ватт 瓦 瓦特 ワット" },
  { TIDE_QUANTITY_POWER,
    { -3, 1, 1, "mW" },
    "mw milliwatt milliwatts milivatio milivatios miliwatt мвт 毫瓦 ミリワット" },
  { TIDE_QUANTITY_POWER, { -6, 1, 1, "µW" }, "uw μw microwatt microwatts mikrowatt мквт 微瓦" },
  { TIDE_QUANTITY_POWER, { -9, 1, 1, "nW" }, "nw nanowatt nanowatts" },
  { TIDE_QUANTITY_POWER,
    { 3, 1, 1, "kW" },
    "kw kilowatt kilowatts kilovatio kilovatios квт 千瓦 キロワット" },
  { TIDE_QUANTITY_ENERGY,
    { 0, 1, 1, "Wh" },
    "wh whr whrs watthr watthrs watthour watthours watthora watthoras watthore wattora wattore "
    "wattheure wattheures wattstunde wattstunden vatiohora vatioshora vatiohoras wattuur втч 瓦时 "
    "瓦時 ワット時 ワットアワー" },
  { TIDE_QUANTITY_ENERGY,
    { -3, 1, 1, "mWh" },
    "mwh mwhr mwhrs milliwatthr milliwatthour milliwatthours milliwattstunde milliwattstunden "
    "milliwattheure milliwattheures milliwattora miliwatthora milivatiohora мвтч 毫瓦时 毫瓦時 "
    "ミリワット時" },
  { TIDE_QUANTITY_ENERGY, { -6, 1, 1, "µWh" }, "uwh μwh microwatthour microwatthours мквтч" },
  { TIDE_QUANTITY_ENERGY,
    { 3, 1, 1, "kWh" },
    "kwh kwhr kilowatthour kilowatthours kilowattstunde kilowattstunden kilowattheure "
    "kilowattheures kilovatiohora квтч 千瓦时 千瓦時" },
  { TIDE_QUANTITY_ENERGY, { 3, 1, 3600, "kJ" }, "kj kilojoule kilojoules кдж 千焦" },
  { TIDE_QUANTITY_ENERGY, { -3, 1, 3600, "mJ" }, "mj millijoule millijoules mws мдж 毫焦" },
  { TIDE_QUANTITY_ENERGY,
    { 0, 1, 3600, "J" },
    "j joule joules julio julios ws wsec wattsecond wattseconds wattsekunde wattsekunden "
    "wattseconde wattsecondes дж 焦 焦耳 ジュール" },
  { TIDE_QUANTITY_CHARGE,
    { 0, 1, 1, "Ah" },
    "ah ahr ahrs amphr amphrs amphour amphours amperehour amperehours amperestunde amperestunden "
    "ampereheure ampereheures ampèreheure ampèreheures amperiohora amperioshora amperehora "
    "amperehoras ampèrehora ampereora ampereore ач 安时 安時 アンペア時" },
  { TIDE_QUANTITY_CHARGE,
    { -3, 1, 1, "mAh" },
    "mah mahr mahrs milliamphr milliamphour milliamphours milliamperehour milliamperehours "
    "milliamperestunde milliamperestunden milliampereheure milliampereheures milliampèreheure "
    "milliampèreheures miliamperiohora miliamperehora milliampereora мач 毫安时 毫安時 "
    "ミリアンペア時" },
  { TIDE_QUANTITY_CHARGE, { -6, 1, 1, "µAh" }, "uah μah microamphour microamphours мкач" },
  { TIDE_QUANTITY_TEMPERATURE,
    { 0, 1, 1, "°C" },
    "c °c degc deg celsius centigrade degcelsius degreec degreesc degreecelsius "
    "degreescelsius gradc gradcelsius degrécelsius degréscelsius degrecelsius degrescelsius "
    "gradoscelsius graucelsius grauscelsius gradicelsius градус 摄氏度 攝氏度 摄氏 攝氏 度 セ氏" },
  { TIDE_QUANTITY_TEMPERATURE,
    { 0, 1, 1, "K", -273.15 },
    "k °k kelvin kelvins degk 开尔文 ケルビン" },
  { TIDE_QUANTITY_TEMPERATURE,
    { 0, 5, 9, "°F", -32 },
    "f °f degf fahrenheit degfahrenheit degreef degreesf degreefahrenheit "
    "degreesfahrenheit gradfahrenheit 华氏度 華氏度" },
  { TIDE_QUANTITY_CHARGE,
    { 0, 1, 3600, "C" },
    "c as asec coulomb coulombs culombio culombios amperesecond ampereseconds amperseconds "
    "amperesekunde amperesekunden кл 库仑 庫侖 クーロン" },
  { TIDE_QUANTITY_CHARGE, { -3, 1, 3600, "mC" }, "mc millicoulomb millicoulombs" },
};

TideUnit
tide_unit_plain (TideQuantity quantity)
{
  return (TideUnit){ 0, 1, 1, tide_quantity_get_unit (quantity), 0 };
}

double
tide_unit_scale (TideUnit unit, double shifted)
{
  if (unit.offset != 0) /* never added as a zero, which would turn -0 into 0 */
    shifted += unit.offset;
  return shifted * unit.times / unit.over;
}

/* ---- Look-up ---- */

/* Writing to UnitRow, the first row that has it; made once, kept to the end. */
static GHashTable *
get_writings (void)
{
  static gsize made = 0;
  if (g_once_init_enter (&made))
    {
      GHashTable *table = g_hash_table_new (g_str_hash, g_str_equal);
      for (guint i = 0; i < G_N_ELEMENTS (unit_rows); i++)
        {
          g_auto (GStrv) writings = g_strsplit (unit_rows[i].writings, " ", -1);
          for (char **writing = writings; *writing; writing++)
            if (!g_hash_table_contains (table, *writing))
              g_hash_table_insert (table, (gpointer)g_intern_string (*writing),
                                   (gpointer)&unit_rows[i]);
        }
      g_once_init_leave (&made, (gsize)table);
    }
  return (GHashTable *)made;
}

static gboolean
is_left_out (gunichar c)
{
  return g_unichar_isspace (c) || (c < 128 && strchr (".-_*", (char)c)) || c == 0xb7 || c == 0x22c5
         || c == 0x30fb;
}

char *
tide_unit_mend_signs (const char *text)
{
  static const char *const broken[][2] = {
    { "\xc3\x82\xc2\xb5", "\xc2\xb5" }, /* Âµ */
    { "\xc3\x8e\xc2\xbc", "\xce\xbc" }, /* Î¼ */
    { "\xc3\x82\xc2\xb0", "\xc2\xb0" }, /* Â° */
    { "\xc2\xba", "\xc2\xb0" },         /* º, an ordinal's mark that looks like a degree's */
  };
  for (guint i = 0; i < G_N_ELEMENTS (broken); i++)
    {
      const char *at = strstr (text, broken[i][0]);
      if (at)
        return g_strdup_printf ("%.*s%s%s", (int)(at - text), text, broken[i][1],
                                at + strlen (broken[i][0]));
    }
  return g_strdup (text);
}

/* "amphr" from "Amp-Hr"; NULL when text is no unit at all. */
static char *
normalise_unit (const char *text)
{
  if (strlen (text) > MAX_UNIT_BYTES || !g_utf8_validate (text, -1, NULL))
    return NULL;
  g_autofree char *mended = tide_unit_mend_signs (text);
  /* compatibility forms: ℃ becomes °C, the micro sign the Greek letter */
  g_autofree char *composed = g_utf8_normalize (mended, -1, G_NORMALIZE_ALL_COMPOSE);
  g_autofree char *lower = g_utf8_strdown (composed, -1);
  GString *key = g_string_new (NULL);
  for (const char *p = lower; *p; p = g_utf8_next_char (p))
    if (!is_left_out (g_utf8_get_char (p)))
      g_string_append_unichar (key, g_utf8_get_char (p));
  return g_string_free (key, key->len == 0);
}

/* The same for the short ASCII units of cells, without allocation. */
static gboolean
normalise_ascii (const char *text, char key[static 8])
{
  gsize n = 0;
  for (; *text; text++)
    {
      if ((guchar)*text >= 128 || n == 7)
        return FALSE;
      if (!is_left_out ((gunichar)*text))
        key[n++] = g_ascii_tolower (*text);
    }
  key[n] = '\0';
  return n > 0;
}

/* "?C", "\xef\xbf\xbd""A": what stood before the letter was a degree sign, or a micro sign. */
static const UnitRow *
find_lost_sign (const char *key)
{
  const char *rest = key;
  for (guint n = 0; n < 2 && (*rest == '?' || g_str_has_prefix (rest, "\xef\xbf\xbd")); n++)
    rest = g_utf8_next_char (rest);
  if (rest == key || *rest == '\0')
    return NULL;
  gboolean is_degree = strcmp (rest, "c") == 0 || strcmp (rest, "f") == 0;
  g_autofree char *mended = g_strconcat (is_degree ? "°" : "μ", rest, NULL);
  return g_hash_table_lookup (get_writings (), mended);
}

gboolean
tide_unit_parse (const char *text, TideQuantity wanted, TideQuantity *quantity, TideUnit *unit)
{
  char short_key[8];
  const UnitRow *found = NULL;
  if (normalise_ascii (text, short_key))
    found = g_hash_table_lookup (get_writings (), short_key);
  if (!found)
    {
      g_autofree char *key = normalise_unit (text);
      found = key ? g_hash_table_lookup (get_writings (), key) : NULL;
      if (!found && key)
        found = find_lost_sign (key);
    }
  if (!found)
    return FALSE;
  *quantity = found->quantity;
  *unit = found->unit;
  if (wanted == TIDE_QUANTITY_CHARGE && strcmp (found->unit.symbol, "°C") == 0
      && g_ascii_strcasecmp (text, "c") == 0)
    {
      *quantity = TIDE_QUANTITY_CHARGE;
      *unit = (TideUnit){ 0, 1, 3600, "C", 0 };
    }
  return TRUE;
}

gboolean
tide_quantity_takes (TideQuantity quantity, TideQuantity of_unit)
{
  return quantity == of_unit
         || (quantity >= TIDE_QUANTITY_DATA_PLUS && of_unit == TIDE_QUANTITY_VOLTAGE);
}
