/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of columns' names: which are known, and how a name is split into them.
 *
 * Only general words of the trade, in a few languages; no instrument's own. A name is split at all
 * that is no letter or digit, at capitals inside a word ("TestTime"), and where a unit is glued to
 * a known word ("currentmA"). Case is ignored.
 */
#include "reading/reading-private.h"

#include <string.h>

static const TideWord word_rows[] = {
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, 0,
    " time times t zeit temps tiempo tempo tijd tid czas čas cas время 时间 時間 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    " elapsed uptime runtime laufzeit duration dauer testtime totaltime " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_PART, " steptime cycletime looptime " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_ABSOLUTE,
    " date datetime timestamp datum fecha data clock uhrzeit zeitstempel hora heure horodatage "
    "epoch unix utc дата 日期 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_VOLTAGE, 0,
    " voltage volts u vbus ubus spannung tension tensión tensione tensão tensao voltaje spanning "
    "spänning napięcie napiecie "
    "potential напряжение 电压 電圧 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CURRENT, 0,
    " current curr i ibus amperage strom stromstärke stromstaerke courant intensité intensite "
    "intensidad corriente corrente stroom "
    "ström prąd prad ток 电流 電流 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_POWER, 0,
    " power pwr p pbus wattage leistung puissance potencia potência potenza vermogen effekt moc "
    "мощность 功率 電力 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_ENERGY, 0,
    " energy energie énergie energía energia energi ener arbeit энергия 能量 電力量 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_CHARGE, 0,
    " capacity cap kapazität kapazitaet capacité capacite capacidad capacità capacita capaciteit "
    "kapacitet q ladung carga lading "
    "ёмкость емкость 容量 电量 " },
  { TIDE_WORD_QUANTITY, TIDE_QUANTITY_TEMPERATURE, 0,
    " temperature temp temperatur température temperatura temperatuur температура 温度 " },
  /* "charge" is a quantity only where nothing else is: see find_quantity() */
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART,
    " charge charging chg chrg ladezeit " },
  { TIDE_WORD_DISCHARGE, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART,
    " discharge discharging dischg dchg dchrg disch dis entladung " },
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_TIME, TIDE_TIME_PART,
    " step cycle cyc loop pulse set rest hold segment stage schritt zyklus étape paso ciclo " },
  { TIDE_WORD_QUALIFIER, TIDE_QUANTITY_TIME, 0,
    " cell specific load avg average mean rms battery akku batterie batería " },
  { TIDE_WORD_NEUTRAL, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    " total test run running cumulative cumul cum accumulated overall gesamt gesamtzeit relative "
    "rel since start log écoulé ecoule " },
  { TIDE_WORD_NEUTRAL, TIDE_QUANTITY_TIME, 0,
    " bus usb port meter main measured value reading dc the of in at and und et y de la le du des "
    "el wall local stamp " },
  { TIDE_WORD_REFUSED, TIDE_QUANTITY_TIME, 0,
    " d+ d- dp dn dm vd udp udm vdp vdm vdn cc cc1 cc2 vcc1 vcc2 vconn sbu sbu1 sbu2 aux auxiliary "
    "ripple noise min max minimum maximum median peak std stdev setpoint target limit range offset "
    "threshold internal resistance impedance ohm dv di dq dt spec efficiency eff onset oneset end "
    "begin drop delta error state status mode index number count fan " },
};

void
tide_words_clear (TideWords *words)
{
  for (guint i = 0; i < words->n; i++)
    g_free (words->word[i]);
  words->n = 0;
}

const TideWord *
tide_word_find (const char *word)
{
  g_autofree char *key = g_strconcat (" ", word, " ", NULL);
  for (guint i = 0; i < G_N_ELEMENTS (word_rows); i++)
    if (strstr (word_rows[i].words, key))
      return &word_rows[i];
  return NULL;
}

gboolean
tide_word_is_unit (const char *word, TideQuantity *quantity, TideUnit *unit)
{
  return tide_unit_parse (word, TIDE_N_QUANTITIES, quantity, unit);
}

static void
add_word (TideWords *words, const char *from, gsize length)
{
  if (length > 0 && words->n < TIDE_MAX_WORDS)
    words->word[words->n++] = g_utf8_strdown (from, (gssize)length);
}

/* No known word with a unit behind it is longer. */
#define MAX_GLUED_BYTES 24

/* "voltageV", "currentma": a known word with a unit glued to it. */
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

/* One run of letters and digits: a word, or words in CamelCase. */
static void
add_run (TideWords *words, const char *from, gsize length)
{
  TideQuantity quantity;
  TideUnit unit;
  g_autofree char *whole = g_strndup (from, length);
  g_autofree char *lower = g_utf8_strdown (whole, -1);
  if (tide_word_find (lower) || tide_word_is_unit (whole, &quantity, &unit))
    {
      add_word (words, from, length);
      return;
    }
  if (add_glued (words, from, length))
    return;
  const char *start = whole;
  for (const char *p = whole; *p; p = g_utf8_next_char (p))
    {
      const char *next = g_utf8_next_char (p);
      if (g_unichar_islower (g_utf8_get_char (p)) && g_unichar_isupper (g_utf8_get_char (next)))
        {
          add_word (words, start, (gsize)(next - start));
          start = next;
        }
    }
  add_word (words, start, strlen (start));
}

void
tide_words_splice (TideWords *words, guint first, guint count, char *replacement)
{
  g_assert (first + count <= words->n && count > 0);
  for (guint i = 0; i < count; i++)
    g_free (words->word[first + i]);
  guint n_put = replacement != NULL;
  memmove (&words->word[first + n_put], &words->word[first + count],
           (words->n - first - count) * sizeof (char *));
  if (replacement)
    words->word[first] = replacement;
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
        tide_words_splice (words, i, 2, g_steal_pointer (&pair));
    }
}

/* "D+" and "D-" are words of their own, though + and - divide words elsewhere. */
static const char *
end_of_data_line (const char *p)
{
  if ((*p == 'D' || *p == 'd') && (p[1] == '+' || p[1] == '-') && !g_ascii_isalnum (p[2]))
    return p + 2;
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
