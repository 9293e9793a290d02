/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of columns' names: which are known, and how a name is split into them.
 *
 * Only general words of the trade, in a few languages; no instrument's own. A name is split at all
 * that is no letter or digit, at capitals inside a word ("TestTime"), before a number at the end of
 * a known word ("VBUS1"), and where a unit is glued to a known word ("currentmA"). Case is ignored.
 * Words in other languages than English are from memory, no source.
 */
#include "reading/names-private.h"

#include <string.h>

static const TideWord word_rows[] = {
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, 0,
    "time times t zeit zeitpunkt temps tiempo tempo tijd tid czas čas cas время 时间 時間 时刻 "
    "時刻" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    "elapsed elapsedtime uptime runtime laufzeit duration dauer durée duree duración duracion "
    "duração duracao durata testtime totaltime testzeit prüfzeit pruefzeit messzeit varighet "
    "duur продолжительность 经过时间 經過時間 総時間 总时间 總時間 测试时间 測試時間 "
    "试验时间 運行時間 运行时间 経過時間 測定時間 試験時間 記録時間 稼働時間" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_PART,
    "steptime cycletime looptime schrittzeit 工步时间 步骤时间" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_ABSOLUTE,
    "date datetime timestamp datum fecha data clock uhrzeit zeitstempel hora heure horodatage "
    "epoch unix utc marcatempo orario ora дата 日期 日付 日時 時計 时间戳 時間戳 系统时间 "
    "系統時間" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_VOLTAGE, 0,
    "voltage voltages volts volt u vbus ubus spannung tension tensión tensione tensioni tensão "
    "tensao voltaje voltagem voltaggio spanning spänning napięcie napiecie napětí napeti "
    "potential potentiel potencial potenziale potenzial напряжение 电压 電壓 電圧" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CURRENT, 0,
    "current currents curr i ibus amperage strom stromstärke stromstaerke courant intensité "
    "intensite intensidad intensidade intensità intensita corriente corrente amperaje amperagem "
    "amperaggio ampérage stroom stroomsterkte ström prąd prad proud ток 电流 電流" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_POWER, 0,
    "power pwr p pbus wattage leistung puissance potencia potência potenza vermogen effekt moc "
    "výkon vykon мощность 功率 电力 電力 電功率 电功率" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_ENERGY, 0,
    "energy energie énergie energía energia energi ener arbeit энергия 能量 电能 電能 電力量 "
    "エネルギー" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CHARGE, 0,
    "capacity cap kapazität kapazitaet kapazitat capacité capacite capacidad capacidade capacità "
    "capacita capaciteit kapacitet pojemność pojemnosc kapacita q ladung ladungsmenge carga "
    "carica lading laddning ёмкость емкость 容量 电量 電量 电荷 電荷 電荷量" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TEMPERATURE, 0,
    "temperature temperatures temp temperatur température temperatura temperaturas temperatuur "
    "teplota температура 温度 溫度 気温" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_DATA_PLUS, 0, "d+ data+ dp vd+ ud+ udp vdp dplus vdplus" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_DATA_MINUS, 0,
    "d- data- dm dn vd- ud- udm vdm vdn udn dminus vdminus" },
  /* a bare "cc" is a constant current too: see is_bare_cc() of columns.c */
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CC1, 0, "cc1 vcc1 ucc1 cc" },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CC2, 0, "cc2 vcc2 ucc2" },
  /* "charge" is a quantity only where nothing else is: see find_quantity() */
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART,
    "charge charging chg chrg ladezeit 充电 充電" },
  { TIDE_WORD_DISCHARGE, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART,
    "discharge discharging dischg dchg dchrg disch dis entladung entlade décharge decharge "
    "descarga scarica 放电 放電" },
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_TIME, TIDE_TIME_PART,
    "step cycle cyc loop pulse rest hold segment stage schritt zyklus étape etape paso ciclo "
    "passo etapa fase 工步 步骤 循环 循環" },
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_TIME, 0, "specific load" },
  { TIDE_WORD_AVERAGE, TIDE_QUANTITY_TIME, 0,
    "avg average mean rms mittel mittelwert moyenne moyen media medio média médio 平均 平均值" },
  { TIDE_WORD_NEUTRAL, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    "total test run running cumulative cumul cum accumulated overall gesamt gesamtzeit relative "
    "rel since start log écoulé ecoule transcurrido decorrido trascorso verstrichen vergangen "
    "累计 累計 総" },
  { TIDE_WORD_NEUTRAL, TIDE_QUANTITY_TIME, 0,
    "bus meter main measured actual present value reading dc the of at and und et y e de la le du "
    "des do da della dello del di el wall local stamp ist messwert mesuré mesure medido misurato "
    "sampling sample instantaneous momentan 値 值" },
  { TIDE_WORD_OPENER, TIDE_QUANTITY_TIME, 0,
    "port usb channel ch chan side lane line slot socket type typ kanal canal canale anschluss "
    "puerto porta buchse 端口 通道 ポート チャンネル" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0,
    "input in eingang entrée entree entrada ingresso ingang wejście wejscie вход 输入 輸入 入力" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0,
    "output out ausgang sortie salida saída saida uscita uitgang wyjście wyjscie выход 输出 輸出 "
    "出力" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0,
    "supply charger source adapter adaptor netzteil ladegerät ladegeraet chargeur cargador "
    "carregador caricatore alimentation alimentatore fuente fonte 电源 電源 充电器 充電器" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0,
    "device sink gerät geraet appareil dispositivo aparelho apparaat 设备 設備 機器 端末" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0, "system sys" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0, "primary primär primaer primaire primario primário" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0,
    "secondary sekundär sekundaer secondaire secundario secundário secondario" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0, "left links gauche izquierda esquerda sinistra 左" },
  { TIDE_WORD_LANE, TIDE_QUANTITY_TIME, 0, "right rechts droite derecha direita destra 右" },
  { TIDE_WORD_CELL, TIDE_QUANTITY_TIME, 0,
    "battery batt bat akku batterie batería bateria accu batterij аккумулятор 电池 電池 "
    "バッテリー" },
  { TIDE_WORD_CELL, TIDE_QUANTITY_TIME, 0, "cell zelle cellule celda célula cella 电芯 電芯 セル" },
  { TIDE_WORD_REFUSED, TIDE_QUANTITY_TIME, 0,
    "vd vconn sbu sbu1 sbu2 aux auxiliary ripple noise min max minimum maximum minimal maximal "
    "mini maxi mínimo minimo máximo maximo massimo median peak spitze crête pico picco std stdev "
    "set setpoint soll sollwert consigne requested request negotiated contract advertised offered "
    "pdo nominal rated reference ref target limit range offset threshold internal resistance "
    "impedance ohm dv di dq dt spec efficiency eff onset oneset end begin drop delta error state "
    "status mode index number count fan factor faktor facteur fattore fator "
    "interval intervall intervalle intervalo intervallo 间隔 間隔 最大 最小 最大值 最小值 峰值 "
    "设定 設定 纹波 "
    "内阻 內阻 效率" },
};

/* Sides of a conversion are glued to a symbol: V in, I out, V of the battery. */
static const struct
{
  const char *glued, *symbol, *side;
} glued_sides[] = {
  { "vin", "voltage", "in" },     { "iin", "current", "in" },     { "pin", "power", "in" },
  { "uin", "voltage", "in" },     { "vout", "voltage", "out" },   { "iout", "current", "out" },
  { "pout", "power", "out" },     { "uout", "voltage", "out" },   { "vbat", "voltage", "bat" },
  { "ibat", "current", "bat" },   { "pbat", "power", "bat" },     { "ubat", "voltage", "bat" },
  { "vbatt", "voltage", "batt" }, { "ibatt", "current", "batt" }, { "vcell", "voltage", "cell" },
  { "icell", "current", "cell" }, { "ucell", "voltage", "cell" }, { "vsys", "voltage", "sys" },
  { "isys", "current", "sys" },
};

void
tide_words_clear (TideWords *words)
{
  for (guint i = 0; i < words->n; i++)
    {
      g_free (words->word[i]);
      g_free (words->written[i]);
    }
  words->n = 0;
}

/* Word to TideWord, the first row that has it; made once, kept to the end. */
static GHashTable *
get_words (void)
{
  static gsize made = 0;
  if (g_once_init_enter (&made))
    {
      GHashTable *table = g_hash_table_new (g_str_hash, g_str_equal);
      for (guint i = 0; i < G_N_ELEMENTS (word_rows); i++)
        {
          g_auto (GStrv) words = g_strsplit (word_rows[i].words, " ", -1);
          for (char **word = words; *word; word++)
            if (!g_hash_table_contains (table, *word))
              g_hash_table_insert (table, (gpointer)g_intern_string (*word),
                                   (gpointer)&word_rows[i]);
        }
      g_once_init_leave (&made, (gsize)table);
    }
  return (GHashTable *)made;
}

const TideWord *
tide_word_find (const char *word)
{
  return g_hash_table_lookup (get_words (), word);
}

gboolean
tide_word_is_unit (const char *word, TideQuantity *quantity, TideUnit *unit)
{
  return tide_unit_parse (word, TIDE_N_QUANTITIES, quantity, unit);
}

static void
add_as (TideWords *words, const char *lower, const char *written, gsize length)
{
  if (length == 0 || words->n >= TIDE_MAX_WORDS)
    return;
  words->word[words->n] = g_strdup (lower);
  words->written[words->n++] = g_strndup (written, length);
}

static void
add_word (TideWords *words, const char *from, gsize length)
{
  g_autofree char *lower = g_utf8_strdown (from, (gssize)length);
  add_as (words, lower, from, length);
}

/* No known word with a unit behind it is longer. */
#define MAX_GLUED_BYTES 40

/* "voltageV", "currentma", "电压mV": a known word with a unit glued to it. */
static gboolean
add_glued (TideWords *words, const char *from, gsize length)
{
  if (length > MAX_GLUED_BYTES)
    return FALSE;
  g_autofree char *lower = g_utf8_strdown (from, (gssize)length);
  for (const char *p = lower; *p; p = g_utf8_next_char (p))
    {
      TideQuantity quantity;
      TideUnit unit;
      g_autofree char *front = g_strndup (lower, (gsize)(p - lower));
      if (p - lower < 4 || !tide_word_is_unit (p, &quantity, &unit))
        continue;
      const TideWord *row = tide_word_find (front);
      if (row && row->kind == TIDE_WORD_QUANTITY && row->quantity == quantity)
        {
          add_word (words, front, strlen (front));
          add_word (words, p, strlen (p));
          return TRUE;
        }
    }
  return FALSE;
}

/* Words of scripts without blanks stand side by side: "输入电压" is input and voltage. */
static gboolean
add_joined (TideWords *words, const char *from, gsize length)
{
  if (length > MAX_GLUED_BYTES || (guchar)*from < 0xe3)
    return FALSE;
  for (gsize cut = 3; cut + 3 <= length; cut += 3)
    {
      g_autofree char *front = g_strndup (from, cut);
      g_autofree char *back = g_strndup (from + cut, length - cut);
      if (!g_utf8_validate (front, -1, NULL) || !tide_word_find (front) || !tide_word_find (back))
        continue;
      add_word (words, front, cut);
      add_word (words, back, length - cut);
      return TRUE;
    }
  return FALSE;
}

/* "Vmax", "Iavg", "Uset": the symbol and what was done with it. */
static gboolean
add_statistic (TideWords *words, const char *lower, const char *from)
{
  static const char *const statistics[] = { "min", "max", "avg", "mean", "rms", "peak", "set" };
  for (guint i = 0; strchr ("vuip", lower[0]) && i < G_N_ELEMENTS (statistics); i++)
    if (strcmp (lower + 1, statistics[i]) == 0)
      {
        add_as (words, (char[]){ lower[0], '\0' }, from, 1);
        add_as (words, lower + 1, from + 1, strlen (lower + 1));
        return TRUE;
      }
  return FALSE;
}

static gboolean
add_side (TideWords *words, const char *lower, const char *from)
{
  for (guint i = 0; i < G_N_ELEMENTS (glued_sides); i++)
    if (strcmp (lower, glued_sides[i].glued) == 0)
      {
        add_as (words, glued_sides[i].symbol, from, 1);
        add_as (words, glued_sides[i].side, from + 1, strlen (lower) - 1);
        return TRUE;
      }
  return FALSE;
}

/* "VBUS1", "Voltage2", "V1", "A1": a known word, or a unit's letter, and a number of one or two
 * digits. */
static gboolean
add_numbered (TideWords *words, const char *lower, const char *from, gsize length)
{
  static const struct
  {
    const char *letter, *symbol;
  } letters[] = { { "v", "u" }, { "a", "i" }, { "w", "p" } };
  gsize front_length = length;
  while (front_length > 0 && g_ascii_isdigit (lower[front_length - 1]))
    front_length--;
  gsize n_digits = length - front_length;
  if (front_length == 0 || n_digits == 0 || n_digits > 2)
    return FALSE;
  g_autofree char *front = g_strndup (lower, front_length);
  const char *symbol = tide_word_find (front) ? front : NULL;
  for (guint i = 0; i < G_N_ELEMENTS (letters); i++)
    if (strcmp (front, letters[i].letter) == 0)
      symbol = letters[i].symbol;
  if (symbol)
    add_as (words, symbol, from, front_length);
  else if (!add_side (words, front, from))
    return FALSE;
  add_word (words, from + front_length, n_digits);
  return TRUE;
}

/* A word begins at p inside a run: "test|Time", "USB|Voltage". */
static gboolean
is_camel_border (const char *start, const char *p)
{
  gunichar c = g_utf8_get_char (p);
  if (p == start || !g_unichar_isupper (c))
    return FALSE;
  const char *next = g_utf8_next_char (p);
  return g_unichar_islower (g_utf8_get_char (g_utf8_prev_char (p)))
         || (g_unichar_isupper (g_utf8_get_char (g_utf8_prev_char (p))) && *next
             && g_unichar_islower (g_utf8_get_char (next)));
}

/* A word that is no run of several; FALSE where it may be. */
static gboolean
add_known (TideWords *words, const char *from, gsize length)
{
  TideQuantity quantity;
  TideUnit unit;
  g_autofree char *whole = g_strndup (from, length);
  g_autofree char *lower = g_utf8_strdown (whole, -1);
  if (!tide_word_find (lower) && !tide_word_is_unit (whole, &quantity, &unit))
    return add_side (words, lower, from) || add_statistic (words, lower, from)
           || (strlen (lower) == length && add_numbered (words, lower, from, length))
           || add_glued (words, from, length) || add_joined (words, from, length);
  add_word (words, from, length);
  return TRUE;
}

/* One run of letters and digits: a word, or words in CamelCase. */
static void
add_run (TideWords *words, const char *from, gsize length)
{
  if (add_known (words, from, length))
    return;
  g_autofree char *whole = g_strndup (from, length);
  const char *start = whole;
  for (const char *p = whole; *p; p = g_utf8_next_char (p))
    if (is_camel_border (start, p))
      {
        if (!add_known (words, start, (gsize)(p - start)))
          add_word (words, start, (gsize)(p - start));
        start = p;
      }
  if (start == whole || !add_known (words, start, strlen (start)))
    add_word (words, start, strlen (start));
}

void
tide_words_splice (TideWords *words, guint first, guint count, const char *replacement)
{
  g_assert (first + count <= words->n && count > 0);
  g_autofree char *put = g_strdup (replacement); /* it may be one of those that go */
  for (guint i = first; i < first + count; i++)
    {
      g_free (words->word[i]);
      g_free (words->written[i]);
    }
  guint n_put = put != NULL, n_behind = words->n - first - count;
  memmove (&words->word[first + n_put], &words->word[first + count], n_behind * sizeof (char *));
  memmove (&words->written[first + n_put], &words->written[first + count],
           n_behind * sizeof (char *));
  if (put)
    {
      words->word[first] = g_strdup (put);
      words->written[first] = g_steal_pointer (&put);
    }
  words->n -= count - n_put;
}

/* "amp" + "hours" is one unit. */
static void
join_hour_units (TideWords *words)
{
  for (guint i = 0; i + 1 < words->n; i++)
    {
      TideQuantity first, second, joined;
      TideUnit unit;
      g_autofree char *pair = g_strconcat (words->word[i], words->word[i + 1], NULL);
      if (tide_word_is_unit (words->word[i], &first, &unit)
          && (first == TIDE_QUANTITY_CURRENT || first == TIDE_QUANTITY_POWER)
          && tide_word_is_unit (words->word[i + 1], &second, &unit) && second == TIDE_QUANTITY_TIME
          && tide_word_is_unit (pair, &joined, &unit))
        tide_words_splice (words, i, 2, pair);
    }
}

/* "D+" and "D-" are words of their own, though + and - divide words elsewhere. Gives where it ends,
 * or NULL. */
static const char *
end_of_data_line (const char *p)
{
  static const char *const fronts[] = { "vd", "ud", "data", "d" };
  for (guint i = 0; i < G_N_ELEMENTS (fronts); i++)
    {
      gsize n = strlen (fronts[i]);
      if (g_ascii_strncasecmp (p, fronts[i], n) == 0 && (p[n] == '+' || p[n] == '-')
          && !g_ascii_isalnum (p[n + 1]))
        return p + n + 1;
    }
  return NULL;
}

void
tide_words_split (const char *text, TideWords *words)
{
  for (const char *p = text; *p;)
    {
      const char *end = end_of_data_line (p);
      if (end)
        {
          add_word (words, p, (gsize)(end - p));
          p = end;
          continue;
        }
      end = p;
      while (*end && g_unichar_isalnum (g_utf8_get_char (end)))
        end = g_utf8_next_char (end);
      if (end > p)
        add_run (words, p, (gsize)(end - p));
      p = end > p ? end : g_utf8_next_char (p);
    }
  join_hour_units (words);
}
