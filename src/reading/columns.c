/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the name of a column says: the quantity, the unit, and how plain the name is.
 *
 * Names are taken apart into words and a unit, wherever that stands: "Voltage (V)", "U[V]",
 * "Test Time / ms", "time/s", "Time, s", "current_mA", "Current mA", "voltageV", "Amp-hr". Only
 * general words of the trade are known, in a few languages; no instrument's own. A unit in a name
 * whose words are none of ours ("Ecell/V") is enough, but less plain. Names of data lines (D+,
 * CC1), of auxiliary channels and of statistics (max, ripple) are never taken for the bus.
 */
#include "reading/reading-private.h"

#include <string.h>

/* A longer name is prose. */
#define MAX_NAME_BYTES 200
#define MAX_WORDS      24

enum
{
  COST_WORD = 1,      /* a word that is none of ours */
  COST_QUALIFIER = 2, /* "charge" beside "capacity", "cell" beside "voltage" */
  COST_DISCHARGE = 3,
  COST_UNIT_ONLY = 4, /* no word of ours, a unit alone */
};

typedef enum
{
  WORD_QUANTITY,
  WORD_QUALIFIER,
  WORD_DISCHARGE,
  WORD_NEUTRAL,
  WORD_REFUSED,
} WordKind;

typedef struct
{
  WordKind kind;
  TideQuantity quantity; /* QUANTITY */
  guint time_words;      /* what it says beside a time */
  const char *words;     /* lower case, a blank before and behind each */
} WordRow;

static const WordRow word_rows[] = {
  { WORD_QUANTITY, TIDE_QUANTITY_TIME, 0,
    " time times t zeit temps tiempo tempo tijd tid czas čas cas время 时间 時間 " },
  { WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    " elapsed uptime runtime laufzeit duration dauer testtime totaltime " },
  { WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_PART, " steptime cycletime looptime " },
  { WORD_QUANTITY, TIDE_QUANTITY_TIME, TIDE_TIME_ABSOLUTE,
    " date datetime timestamp datum fecha data clock uhrzeit zeitstempel hora heure horodatage "
    "epoch unix utc дата 日期 " },
  { WORD_QUANTITY, TIDE_QUANTITY_VOLTAGE, 0,
    " voltage volts u vbus ubus spannung tension tensión tensione tensão tensao voltaje spanning "
    "spänning napięcie napiecie "
    "potential напряжение 电压 電圧 " },
  { WORD_QUANTITY, TIDE_QUANTITY_CURRENT, 0,
    " current i ibus amperage strom stromstärke stromstaerke courant intensité intensite "
    "intensidad corriente corrente stroom "
    "ström prąd prad ток 电流 電流 " },
  { WORD_QUANTITY, TIDE_QUANTITY_POWER, 0,
    " power p pbus wattage leistung puissance potencia potência potenza vermogen effekt moc "
    "мощность 功率 電力 " },
  { WORD_QUANTITY, TIDE_QUANTITY_ENERGY, 0,
    " energy energie énergie energía energia energi ener arbeit энергия 能量 電力量 " },
  { WORD_QUANTITY, TIDE_QUANTITY_CHARGE, 0,
    " capacity cap kapazität kapazitaet capacité capacite capacidad capacità capacita capaciteit "
    "kapacitet q ladung carga lading "
    "ёмкость емкость 容量 电量 " },
  { WORD_QUANTITY, TIDE_QUANTITY_TEMPERATURE, 0,
    " temperature temp temperatur température temperatura temperatuur температура 温度 " },
  /* "charge" is a quantity only where nothing else is: see find_quantity() */
  { WORD_QUALIFIER, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART, " charge charging chg chrg ladezeit " },
  { WORD_DISCHARGE, TIDE_QUANTITY_CHARGE, TIDE_TIME_PART,
    " discharge discharging dischg dchg dchrg disch dis entladung " },
  { WORD_QUALIFIER, TIDE_QUANTITY_TIME, TIDE_TIME_PART,
    " step cycle cyc loop pulse set rest hold segment stage schritt zyklus étape paso ciclo " },
  { WORD_QUALIFIER, TIDE_QUANTITY_TIME, 0, " cell specific load " },
  { WORD_NEUTRAL, TIDE_QUANTITY_TIME, TIDE_TIME_TOTAL,
    " total test run running cumulative cumul cum accumulated overall gesamt gesamtzeit relative "
    "rel since start log écoulé ecoule " },
  { WORD_NEUTRAL, TIDE_QUANTITY_TIME, 0,
    " bus usb port meter main measured value reading dc the of in at and und et y de la le du des "
    "el wall local stamp " },
  { WORD_REFUSED, TIDE_QUANTITY_TIME, 0,
    " d+ d- dp dn dm vd udp udm vdp vdm vdn cc cc1 cc2 vcc1 vcc2 vconn sbu sbu1 sbu2 aux auxiliary "
    "ripple noise min max "
    "minimum maximum avg average mean median peak std stdev rms setpoint target limit range offset "
    "threshold internal "
    "resistance impedance ohm dv di dq dt spec efficiency eff onset oneset end begin drop delta "
    "error state status mode index "
    "number count fan battery akku batterie batería " },
};

typedef struct
{
  char *word[MAX_WORDS]; /* lower case */
  guint n;
} Words;

static void
clear_words (Words *words)
{
  for (guint i = 0; i < words->n; i++)
    g_free (words->word[i]);
  words->n = 0;
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Words, clear_words)

static const WordRow *
find_word (const char *word)
{
  g_autofree char *key = g_strconcat (" ", word, " ", NULL);
  for (guint i = 0; i < G_N_ELEMENTS (word_rows); i++)
    if (strstr (word_rows[i].words, key))
      return &word_rows[i];
  return NULL;
}

static gboolean
is_unit_word (const char *word, TideQuantity *quantity, TideUnit *unit)
{
  return tide_unit_parse (word, TIDE_N_QUANTITIES, quantity, unit);
}

static void
add_word (Words *words, const char *from, gsize length)
{
  if (length > 0 && words->n < MAX_WORDS)
    words->word[words->n++] = g_utf8_strdown (from, (gssize)length);
}

/* "voltageV", "currentma": a known word with a unit glued to it. */
static gboolean
add_glued (Words *words, const char *from, gsize length)
{
  g_autofree char *lower = g_utf8_strdown (from, (gssize)length);
  for (const char *p = lower; *p; p = g_utf8_next_char (p))
    {
      TideQuantity quantity;
      TideUnit unit;
      g_autofree char *front = g_strndup (lower, (gsize)(p - lower));
      if (p - lower < 4 || !is_unit_word (p, &quantity, &unit))
        continue;
      const WordRow *row = find_word (front);
      if (row && row->kind == WORD_QUANTITY && row->quantity == quantity)
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
add_run (Words *words, const char *from, gsize length)
{
  TideQuantity quantity;
  TideUnit unit;
  g_autofree char *whole = g_strndup (from, length);
  g_autofree char *lower = g_utf8_strdown (whole, -1);
  if (find_word (lower) || is_unit_word (whole, &quantity, &unit))
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

/* "D+" and "D-" are words of their own, though + and - divide words elsewhere. */
static const char *
end_of_data_line (const char *p)
{
  if ((*p == 'D' || *p == 'd') && (p[1] == '+' || p[1] == '-') && !g_ascii_isalnum (p[2]))
    return p + 2;
  return NULL;
}

static void
split_words (const char *text, Words *words)
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
}

/* "amp" + "hours" is one unit. */
static void
join_hour_units (Words *words)
{
  for (guint i = 0; i + 1 < words->n; i++)
    {
      TideQuantity first, second, joined;
      TideUnit unit;
      g_autofree char *pair = g_strconcat (words->word[i], words->word[i + 1], NULL);
      if (!is_unit_word (words->word[i], &first, &unit)
          || !is_unit_word (words->word[i + 1], &second, &unit)
          || (first != TIDE_QUANTITY_CURRENT && first != TIDE_QUANTITY_POWER)
          || second != TIDE_QUANTITY_TIME || !is_unit_word (pair, &joined, &unit))
        continue;
      g_free (words->word[i]);
      g_free (words->word[i + 1]);
      words->word[i] = g_steal_pointer (&pair);
      memmove (&words->word[i + 1], &words->word[i + 2], (words->n - i - 2) * sizeof (char *));
      words->n--;
    }
}

typedef struct
{
  char *words; /* what remains of the name when its unit is taken out */
  gboolean has_unit;
  gboolean has_foreign; /* there is a unit, and it is none of ours: "mAh/g", "Ohm" */
  TideQuantity quantity;
  TideUnit unit;
  guint time_words; /* "(mm:ss)" */
} Parts;

static void
clear_parts (Parts *parts)
{
  g_free (parts->words);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Parts, clear_parts)

/* "hh:mm:ss": the form of a clock where a unit would stand. */
static gboolean
take_clock_form (const char *text, guint *time_words)
{
  g_autofree char *lower = g_ascii_strdown (text, -1);
  if (g_str_has_prefix (lower, "mm:ss"))
    *time_words = TIDE_TIME_MINUTES;
  else if (g_strcmp0 (lower, "hh:mm") == 0 || g_strcmp0 (lower, "h:mm") == 0)
    *time_words = TIDE_TIME_HOURS;
  else if (!g_str_has_prefix (lower, "hh:mm:ss") && !g_str_has_prefix (lower, "h:mm:ss")
           && g_strcmp0 (lower, "hms") != 0)
    return FALSE;
  return TRUE;
}

static gboolean
take_unit (Parts *parts, const char *text)
{
  g_autofree char *stripped = g_strstrip (g_strdup (text));
  if (take_clock_form (stripped, &parts->time_words))
    return TRUE;
  parts->has_unit = tide_unit_parse (stripped, TIDE_N_QUANTITIES, &parts->quantity, &parts->unit);
  return parts->has_unit;
}

/* The last "(...)", "[...]" or "{...}" of a name. */
static gboolean
take_bracketed (Parts *parts)
{
  static const char *const pairs[] = { "()", "[]", "{}", "<>" };
  for (guint i = 0; i < G_N_ELEMENTS (pairs); i++)
    {
      char *open = strrchr (parts->words, pairs[i][0]);
      char *close = open ? strchr (open, pairs[i][1]) : NULL;
      if (!close)
        continue;
      g_autofree char *inside = g_strndup (open + 1, (gsize)(close - open - 1));
      if (take_unit (parts, inside))
        {
          memset (open, ' ', (gsize)(close - open + 1));
          return TRUE;
        }
      if (strpbrk (inside, "/%^") || strstr (inside, "°F") || strstr (inside, "Ω"))
        return parts->has_foreign = TRUE;
    }
  return FALSE;
}

/* What stands behind the last slash or comma. */
static gboolean
take_behind (Parts *parts, char mark)
{
  char *at = strrchr (parts->words, mark);
  if (!at)
    return FALSE;
  if (take_unit (parts, at + 1))
    {
      *at = '\0';
      return TRUE;
    }
  g_autofree char *behind = g_strstrip (g_utf8_strdown (at + 1, -1));
  if (mark == '/' && *behind && !find_word (behind))
    return parts->has_foreign = TRUE;
  return FALSE;
}

static void
take_apart (const char *name, const char *unit_text, Parts *parts)
{
  const char *p = name;
  while (*p == ' ' || *p == '#' || *p == '~' || *p == '%' || *p == ';')
    p++;
  /* compatibility forms: full-width brackets become plain ones */
  parts->words = g_utf8_normalize (p, -1, G_NORMALIZE_ALL_COMPOSE);
  if (unit_text && *unit_text && take_unit (parts, unit_text + (*unit_text == '#')))
    return;
  if (!take_bracketed (parts) && !take_behind (parts, '/'))
    take_behind (parts, ',');
}

typedef struct
{
  gboolean has_quantity; /* a word says which */
  gboolean is_symbol;    /* ... and that word is one letter */
  gboolean charge_only;  /* the one word that may is "charge" */
  gboolean is_refused;
  TideQuantity quantity;
  guint time_words;
  int cost;
} Saying;

/* Where words name several quantities ("power time", "energy capacity") the earlier in this list is
 * meant; quantities are listed in it once. */
static int
rank_quantity (TideQuantity quantity)
{
  static const TideQuantity order[] = { TIDE_QUANTITY_TIME,        TIDE_QUANTITY_ENERGY,
                                        TIDE_QUANTITY_TEMPERATURE, TIDE_QUANTITY_POWER,
                                        TIDE_QUANTITY_VOLTAGE,     TIDE_QUANTITY_CURRENT,
                                        TIDE_QUANTITY_CHARGE };
  int rank = 0;
  while (order[rank] != quantity)
    rank++;
  return rank;
}

static void
weigh_word (Saying *saying, const char *word)
{
  const WordRow *row = find_word (word);
  if (!row)
    {
      saying->cost += COST_WORD;
      return;
    }
  saying->time_words |= row->time_words;
  switch (row->kind)
    {
    case WORD_QUANTITY:
      if (!saying->has_quantity || saying->is_symbol
          || (word[1] && rank_quantity (row->quantity) < rank_quantity (saying->quantity)))
        {
          saying->quantity = row->quantity;
          saying->is_symbol = word[1] == '\0';
        }
      saying->has_quantity = TRUE;
      break;
    case WORD_QUALIFIER:
    case WORD_DISCHARGE:
      saying->charge_only |= row->quantity == TIDE_QUANTITY_CHARGE;
      saying->cost += row->kind == WORD_DISCHARGE ? COST_DISCHARGE : COST_QUALIFIER;
      break;
    case WORD_REFUSED:
      saying->is_refused = TRUE;
      break;
    case WORD_NEUTRAL:
      break;
    }
}

/* A unit among the words: at the end ("current_mA"), or long enough to be nothing else ("Watt
 * Hours Charge"). Takes it out. */
static gboolean
take_unit_word (Words *words, Parts *parts)
{
  for (guint n = words->n; n > 0; n--)
    {
      guint i = n - 1;
      gboolean may_be = i + 1 == words->n || strlen (words->word[i]) > 2 || i == 0;
      if (!may_be || !is_unit_word (words->word[i], &parts->quantity, &parts->unit))
        continue;
      /* "Voltage min" is a minimum, not minutes; "Phase A" no current */
      Saying rest = { 0 };
      for (guint k = 0; k < words->n; k++)
        if (k != i)
          weigh_word (&rest, words->word[k]);
      if (rest.has_quantity && rest.quantity != parts->quantity)
        continue;
      if (strlen (words->word[i]) <= 2 && !rest.has_quantity && rest.cost > 0)
        continue;
      g_free (words->word[i]);
      memmove (&words->word[i], &words->word[i + 1], (words->n - i - 1) * sizeof (char *));
      words->n--;
      return TRUE;
    }
  return FALSE;
}

/* Coulombs and degrees Celsius are written alike; the words tell. */
static void
settle_bare_c (Parts *parts, const Saying *saying)
{
  gboolean means_charge =
      saying->has_quantity ? saying->quantity == TIDE_QUANTITY_CHARGE : saying->charge_only;
  if (parts->has_unit && parts->quantity == TIDE_QUANTITY_TEMPERATURE && means_charge
      && parts->unit.exponent == 0)
    tide_unit_parse ("C", TIDE_QUANTITY_CHARGE, &parts->quantity, &parts->unit);
}

static gboolean
find_quantity (const Parts *parts, const Saying *saying, TideMeaning *meaning)
{
  gboolean has_word = saying->has_quantity;
  TideQuantity quantity = saying->quantity;
  /* one letter says little: it needs its unit, or to stand alone */
  if (saying->is_symbol && (parts->has_unit ? quantity != parts->quantity : saying->cost > 0))
    has_word = FALSE;
  if (!has_word && saying->charge_only
      && (!parts->has_unit || parts->quantity == TIDE_QUANTITY_CHARGE))
    {
      has_word = TRUE;
      quantity = TIDE_QUANTITY_CHARGE;
    }
  gboolean contradicts = has_word && parts->has_unit && quantity != parts->quantity;
  if ((!has_word && !parts->has_unit) || contradicts)
    return FALSE;
  meaning->quantity = has_word ? quantity : parts->quantity;
  meaning->cost = saying->cost + (has_word ? 0 : COST_UNIT_ONLY);
  return TRUE;
}

static gboolean
may_be_refused (TideQuantity quantity)
{
  return quantity != TIDE_QUANTITY_TEMPERATURE;
}

TideMeaning
tide_meaning_of_name (const char *name, const char *unit_text)
{
  TideMeaning meaning = { 0 };
  if (*name == '\0' || strlen (name) > MAX_NAME_BYTES || !g_utf8_validate (name, -1, NULL))
    return meaning;
  g_auto (Parts) parts = { 0 };
  g_auto (Words) words = { 0 };
  take_apart (name, unit_text, &parts);
  split_words (parts.words, &words);
  join_hour_units (&words);

  gboolean whole_is_unit = FALSE;
  if (!parts.has_unit && !parts.has_foreign && parts.time_words == 0)
    parts.has_unit = whole_is_unit = take_unit_word (&words, &parts);
  Saying saying = { .time_words = parts.time_words };
  for (guint i = 0; i < words.n; i++)
    weigh_word (&saying, words.word[i]);
  settle_bare_c (&parts, &saying);

  if (parts.has_foreign || !find_quantity (&parts, &saying, &meaning)
      || (saying.is_refused && may_be_refused (meaning.quantity)))
    return (TideMeaning){ 0 };
  /* "Volts", "Amp-hr": the unit is the word */
  if (whole_is_unit && words.n == 0 && meaning.quantity != TIDE_QUANTITY_TIME)
    meaning.cost = 0;
  meaning.known = TRUE;
  meaning.unit_named = parts.has_unit;
  meaning.unit = parts.has_unit ? parts.unit : tide_unit_plain (meaning.quantity);
  meaning.time_words = saying.time_words;
  return meaning;
}
