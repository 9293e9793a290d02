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

enum
{
  COST_WORD = 1,      /* a word that is none of ours */
  COST_QUALIFIER = 2, /* "charge" beside "capacity", "cell" beside "voltage" */
  COST_DISCHARGE = 3,
  COST_UNIT_ONLY = 4, /* no word of ours, a unit alone */
};

typedef struct
{
  char *words; /* what remains of the name when its unit is taken out */
  gboolean has_unit;
  gboolean has_foreign; /* there is a unit, and it is none of ours: "mAh/g", "Ohm" */
  TideQuantity quantity;
  TideUnit unit;
  guint time_words; /* "(mm:ss)" */
  gboolean begins_with_digit;
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

/* "kcal", "Psi", "F": a short word of letters that is none of ours must be a unit that is none of
 * ours; to take the column as if it named no unit would be a guess. */
static gboolean
is_foreign_unit (const char *inside)
{
  if (strpbrk (inside, "/%^") || strstr (inside, "Ω"))
    return TRUE;
  gsize n = 0;
  while (g_ascii_isalpha (inside[n]))
    n++;
  g_autofree char *lower = g_ascii_strdown (inside, -1);
  return n > 0 && n <= 4 && inside[n] == '\0' && !tide_word_find (lower);
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
      if (is_foreign_unit (inside))
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
  if (mark == '/' && *behind && !tide_word_find (behind))
    return parts->has_foreign = TRUE;
  return FALSE;
}

static void
take_apart (const char *name, const char *unit_text, Parts *parts)
{
  const char *p = name;
  while (*p && strchr (" #~%;/\"'", *p))
    p++;
  parts->begins_with_digit = g_ascii_isdigit (p[*p == '-' || *p == '+' || *p == '.']);
  /* compatibility forms: full-width brackets become plain ones */
  g_autofree char *mended = tide_unit_mend_signs (p);
  parts->words = g_utf8_normalize (mended, -1, G_NORMALIZE_ALL_COMPOSE);
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
  gboolean says_voltage;  /* a word of voltage, whatever else */
  gboolean says_else;     /* a word of what is no voltage */
  gboolean is_bare_cc;    /* "CC": a data line, or a constant current */
  gboolean has_two_lines; /* "D+/D-" */
  TideQuantity quantity;
  guint time_words;
  int cost;
  int mark_cost; /* of it, what words of the mark cost */
  gboolean mark_is_unsure;
  GString *mark, *label; /* NULL: not wanted */
} Saying;

static void
clear_saying (Saying *saying)
{
  if (saying->mark)
    g_string_free (saying->mark, TRUE);
  if (saying->label)
    g_string_free (saying->label, TRUE);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Saying, clear_saying)

/* Where words name several quantities ("power time", "energy capacity", "CC1 voltage") the earlier
 * in this list is meant; quantities are listed in it once. */
static int
rank_quantity (TideQuantity quantity)
{
  static const TideQuantity order[TIDE_N_QUANTITIES] = {
    TIDE_QUANTITY_DATA_PLUS,   TIDE_QUANTITY_DATA_MINUS, TIDE_QUANTITY_CC1,
    TIDE_QUANTITY_CC2,         TIDE_QUANTITY_TIME,       TIDE_QUANTITY_ENERGY,
    TIDE_QUANTITY_TEMPERATURE, TIDE_QUANTITY_POWER,      TIDE_QUANTITY_VOLTAGE,
    TIDE_QUANTITY_CURRENT,     TIDE_QUANTITY_CHARGE
  };
  int rank = 0;
  while (order[rank] != quantity)
    rank++;
  return rank;
}

static gboolean
is_data_line (TideQuantity quantity)
{
  return quantity >= TIDE_QUANTITY_DATA_PLUS;
}

static void
weigh_quantity (Saying *saying, const TideWord *row, const char *word)
{
  gboolean is_long = word[1] != '\0';
  saying->says_voltage |= row->quantity == TIDE_QUANTITY_VOLTAGE;
  saying->says_else |= row->quantity != TIDE_QUANTITY_VOLTAGE && !is_data_line (row->quantity);
  saying->is_bare_cc |= strcmp (word, "cc") == 0;
  saying->has_two_lines |= saying->has_quantity && is_data_line (row->quantity)
                           && is_data_line (saying->quantity) && row->quantity != saying->quantity;
  if (!saying->has_quantity || (saying->is_symbol && is_long)
      || (is_long && rank_quantity (row->quantity) < rank_quantity (saying->quantity)))
    {
      saying->quantity = row->quantity;
      saying->is_symbol = !is_long;
    }
  saying->has_quantity = TRUE;
}

static void
add_mark (Saying *saying, const char *mark, const char *written, int cost, gboolean is_sure)
{
  saying->cost += cost;
  saying->mark_cost += is_sure ? cost : 0;
  saying->mark_is_unsure |= !is_sure;
  if (!saying->mark)
    return;
  g_string_append_printf (saying->mark, "%s%s", saying->mark->len > 0 ? " " : "", mark);
  g_string_append_printf (saying->label, "%s%s", saying->label->len > 0 ? " " : "", written);
}

/* The first word of the row stands for all: "in" and "Eingang" are "input". */
static void
add_lane_word (Saying *saying, const TideWord *row, const char *written, int cost)
{
  g_autofree char *first = g_strndup (row->words, strcspn (row->words, " "));
  add_mark (saying, first, written, cost, TRUE);
}

static gboolean
is_short_number (const char *word)
{
  return g_ascii_isdigit (word[0])
         && (word[1] == '\0' || (g_ascii_isdigit (word[1]) && word[2] == '\0'));
}

/* "A" behind "port", and any short number. */
static gboolean
is_ordinal (const char *word, gboolean after_opener)
{
  return is_short_number (word)
         || (after_opener && word[0] >= 'a' && word[0] <= 'h' && word[1] == '\0');
}

static void
weigh_word (Saying *saying, const TideWords *words, guint i)
{
  const char *word = words->word[i];
  const TideWord *row = tide_word_find (word);
  const TideWord *before = i > 0 ? tide_word_find (words->word[i - 1]) : NULL;
  gboolean after_opener = before && before->kind == TIDE_WORD_OPENER;
  if (is_ordinal (word, after_opener))
    {
      if (after_opener)
        add_mark (saying, words->word[i - 1], words->written[i - 1], 0, TRUE);
      add_mark (saying, word, words->written[i], COST_WORD, TRUE);
      return;
    }
  if (!row)
    {
      add_mark (saying, word, words->written[i], COST_WORD, FALSE);
      return;
    }
  saying->time_words |= row->time_words;
  switch (row->kind)
    {
    case TIDE_WORD_QUANTITY:
      weigh_quantity (saying, row, word);
      break;
    case TIDE_WORD_QUALIFIER:
    case TIDE_WORD_DISCHARGE:
      saying->charge_only |= row->quantity == TIDE_QUANTITY_CHARGE;
      saying->cost += row->kind == TIDE_WORD_DISCHARGE ? COST_DISCHARGE : COST_QUALIFIER;
      break;
    case TIDE_WORD_AVERAGE:
      saying->cost += COST_QUALIFIER;
      break;
    case TIDE_WORD_LANE:
      add_lane_word (saying, row, words->written[i], COST_WORD);
      break;
    case TIDE_WORD_CELL:
      add_lane_word (saying, row, words->written[i], COST_QUALIFIER);
      break;
    case TIDE_WORD_REFUSED:
      saying->is_refused = TRUE;
      break;
    case TIDE_WORD_NEUTRAL:
    case TIDE_WORD_OPENER:
      break;
    }
}

/* Letters that are a unit in brackets or below a name, but alone may be anything. */
static gboolean
is_vague_unit (const char *word)
{
  static const char *const vague[] = {
    "f", "k", "j", "d", "na", "nv", "nw", "as", "of", "mc", "mj"
  };
  for (guint i = 0; i < G_N_ELEMENTS (vague); i++)
    if (strcmp (word, vague[i]) == 0)
      return TRUE;
  return FALSE;
}

/* "D-" is no day, though hyphens are left out of units. */
static gboolean
is_line_word (const char *word)
{
  const TideWord *row = tide_word_find (word);
  return row && row->kind == TIDE_WORD_QUANTITY && is_data_line (row->quantity);
}

/* "Current Port A": the letter is the port's. */
static gboolean
is_behind_opener (const TideWords *words, guint i)
{
  const TideWord *before = i > 0 ? tide_word_find (words->word[i - 1]) : NULL;
  return before && before->kind == TIDE_WORD_OPENER && is_ordinal (words->word[i], TRUE);
}

/* A unit among the words: at the end ("current_mA"), or long enough to be nothing else ("Watt
 * Hours Charge"). Takes it out. */
static gboolean
take_unit_word (TideWords *words, Parts *parts)
{
  for (guint n = words->n; n > 0; n--)
    {
      guint i = n - 1;
      const char *word = words->word[i];
      gboolean may_be = i + 1 == words->n || strlen (word) > 2 || i == 0;
      if (!may_be || is_behind_opener (words, i) || is_line_word (word)
          || !tide_word_is_unit (word, &parts->quantity, &parts->unit))
        continue;
      /* "Voltage min" is a minimum, not minutes; "Phase A" no current */
      g_auto (Saying) rest = { 0 };
      for (guint k = 0; k < words->n; k++)
        if (k != i)
          weigh_word (&rest, words, k);
      if (rest.has_quantity && !tide_quantity_takes (rest.quantity, parts->quantity))
        continue;
      if (!rest.has_quantity
          && (is_vague_unit (word) || (strlen (word) <= 2 && rest.cost > rest.mark_cost)))
        continue;
      tide_words_splice (words, i, 1, NULL);
      return TRUE;
    }
  return FALSE;
}

/* "V_out (V)", "A in [A]": the unit's letter stands for the quantity where no word does. */
static void
drop_unit_letter (TideWords *words, const Parts *parts)
{
  if (!parts->has_unit || words->n < 2)
    return;
  const char *symbol = tide_quantity_get_unit (parts->quantity);
  int letter = -1;
  for (guint i = 0; i < words->n; i++)
    {
      const TideWord *row = tide_word_find (words->word[i]);
      if (row && row->kind == TIDE_WORD_QUANTITY)
        return;
      if (symbol[1] == '\0' && g_ascii_strcasecmp (words->word[i], symbol) == 0
          && !is_behind_opener (words, i))
        letter = (int)i;
    }
  if (letter >= 0)
    tide_words_splice (words, (guint)letter, 1, NULL);
}

/* Coulombs and degrees Celsius are written alike; the words tell. */
static void
settle_bare_c (Parts *parts, const Saying *saying)
{
  gboolean means_charge =
      saying->has_quantity ? saying->quantity == TIDE_QUANTITY_CHARGE : saying->charge_only;
  if (parts->has_unit && parts->quantity == TIDE_QUANTITY_TEMPERATURE && means_charge
      && strcmp (parts->unit.symbol, "°C") == 0)
    tide_unit_parse ("C", TIDE_QUANTITY_CHARGE, &parts->quantity, &parts->unit);
}

static gboolean
find_quantity (const Parts *parts, const Saying *saying, TideMeaning *meaning)
{
  gboolean has_word = saying->has_quantity;
  TideQuantity quantity = saying->quantity;
  /* one letter says little: it needs its unit, or to stand alone, but for a number or a side */
  int beside = saying->cost - (quantity == TIDE_QUANTITY_TIME ? 0 : saying->mark_cost);
  if (saying->is_symbol && (parts->has_unit ? quantity != parts->quantity : beside > 0))
    has_word = FALSE;
  if (!has_word && saying->charge_only
      && (!parts->has_unit || parts->quantity == TIDE_QUANTITY_CHARGE))
    {
      has_word = TRUE;
      quantity = TIDE_QUANTITY_CHARGE;
    }
  gboolean contradicts =
      has_word && parts->has_unit && !tide_quantity_takes (quantity, parts->quantity);
  /* "5 V" is a value */
  if ((!has_word && (!parts->has_unit || parts->begins_with_digit)) || contradicts)
    return FALSE;
  meaning->quantity = has_word ? quantity : parts->quantity;
  meaning->cost = saying->cost + (has_word ? 0 : COST_UNIT_ONLY);
  return TRUE;
}

/* Statistics, auxiliaries; two data lines at once, something else of one than its voltage. */
static gboolean
is_refused (const Parts *parts, const Saying *saying, TideQuantity quantity)
{
  if (quantity == TIDE_QUANTITY_CC1 && saying->is_bare_cc && !parts->has_unit
      && !saying->says_voltage)
    return TRUE;
  if (is_data_line (quantity) && (saying->has_two_lines || saying->says_else))
    return TRUE;
  return saying->is_refused && quantity != TIDE_QUANTITY_TEMPERATURE;
}

static void
keep_mark (TideMeaning *meaning, const Saying *saying)
{
  if (saying->mark->len >= TIDE_MAX_MARK_BYTES || saying->label->len >= TIDE_MAX_MARK_BYTES)
    {
      /* too long to be one; what cannot be told from others by it is not */
      meaning->mark_is_sure = FALSE;
      g_snprintf (meaning->mark, sizeof meaning->mark, "%u", g_str_hash (saying->mark->str));
      return;
    }
  g_strlcpy (meaning->mark, saying->mark->str, sizeof meaning->mark);
  g_strlcpy (meaning->label, saying->label->str, sizeof meaning->label);
  meaning->mark_is_sure = !saying->mark_is_unsure;
}

TideMeaning
tide_meaning_of_name (const char *name, const char *unit_text)
{
  TideMeaning meaning = { 0 };
  if (*name == '\0' || strlen (name) > MAX_NAME_BYTES || !g_utf8_validate (name, -1, NULL))
    return meaning;
  g_auto (Parts) parts = { 0 };
  g_auto (TideWords) words = { 0 };
  take_apart (name, unit_text, &parts);
  tide_words_split (parts.words, &words);

  gboolean whole_is_unit = FALSE;
  if (!parts.has_unit && !parts.has_foreign && parts.time_words == 0)
    parts.has_unit = whole_is_unit = take_unit_word (&words, &parts);
  drop_unit_letter (&words, &parts);
  g_auto (Saying) saying = { .time_words = parts.time_words,
                             .mark = g_string_new (NULL),
                             .label = g_string_new (NULL) };
  for (guint i = 0; i < words.n; i++)
    weigh_word (&saying, &words, i);
  settle_bare_c (&parts, &saying);

  if (parts.has_foreign || !find_quantity (&parts, &saying, &meaning)
      || is_refused (&parts, &saying, meaning.quantity))
    return (TideMeaning){ 0 };
  /* "Volts", "Amp-hr": the unit is the word */
  if (whole_is_unit && words.n == 0 && meaning.quantity != TIDE_QUANTITY_TIME)
    meaning.cost = 0;
  meaning.known = TRUE;
  meaning.unit_named = parts.has_unit;
  meaning.unit = parts.has_unit ? parts.unit : tide_unit_plain (meaning.quantity);
  meaning.time_words = saying.time_words;
  keep_mark (&meaning, &saying);
  return meaning;
}
