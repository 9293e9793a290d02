/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the name of a column says: the quantity, the unit, and how plain the name is.
 *
 * Names are taken apart into words and a unit, wherever that stands: "Voltage (V)", "U[V]",
 * "Test Time / ms", "time/s", "Time, s", "current_mA", "Current mA", "voltageV", "Amp-hr". Only
 * general words of the trade are known, in a few languages; no instrument's own. A unit in a name
 * whose words are none of ours ("Ecell/V") is enough, but less plain. Data lines (D+, CC1) are
 * quantities of their own; auxiliary channels and statistics (max, ripple) are never taken for the
 * bus.
 *
 * What a name says beside that ("Port A", "1", "input") is its mark: by it the columns of runs that
 * stand side by side are told apart.
 */
#include "reading/saying-private.h"

#include <string.h>

/* A longer name is prose. */
#define MAX_NAME_BYTES 200

typedef struct
{
  char *words; /* what remains of the name when its unit is taken out */
  gboolean has_unit;
  gboolean has_foreign; /* there is a unit, and it is none of ours: "mAh/g", "Ohm" */
  TideQuantity quantity;
  TideUnit unit;
  guint time_words; /* "(mm:ss)" */
  gboolean begins_with_digit;
  gboolean is_hour_word; /* the unit is "hora", "heure" or "ora", which is the time of day too */
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
  if (g_str_has_prefix (lower, "mm:ss") || g_str_has_prefix (lower, "min:s"))
    *time_words = TIDE_TIME_MINUTES;
  else if (g_strcmp0 (lower, "hh:mm") == 0 || g_strcmp0 (lower, "h:mm") == 0)
    *time_words = TIDE_TIME_HOURS;
  else if (!g_str_has_prefix (lower, "hh:mm:ss") && !g_str_has_prefix (lower, "h:mm:ss")
           && !g_str_has_prefix (lower, "h:min:s") && !g_str_has_prefix (lower, "hr:min:s")
           && g_strcmp0 (lower, "h:m:s") != 0 && g_strcmp0 (lower, "hms") != 0)
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

static gboolean
is_hour_word (const char *word)
{
  const TideWord *row = tide_word_find (word);
  return row && row->kind == TIDE_WORD_QUANTITY && (row->time_words & TIDE_TIME_ABSOLUTE);
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
  g_autofree char *behind = g_strstrip (g_utf8_strdown (at + 1, -1));
  if (take_unit (parts, at + 1))
    {
      parts->is_hour_word = is_hour_word (behind);
      *at = '\0';
      return TRUE;
    }
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
  return row && row->kind == TIDE_WORD_QUANTITY && tide_quantity_is_data_line (row->quantity);
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
      if (!may_be || tide_words_is_behind_opener (words, i) || is_line_word (word)
          || !tide_word_is_unit (word, &parts->quantity, &parts->unit))
        continue;
      /* "Voltage min" is a minimum, not minutes; "Phase A" no current */
      g_auto (TideSaying) rest = { 0 };
      for (guint k = 0; k < words->n; k++)
        if (k != i)
          tide_saying_weigh (&rest, words, k);
      if (rest.has_quantity && !tide_quantity_takes (rest.quantity, parts->quantity))
        continue;
      if (!rest.has_quantity
          && (is_vague_unit (word) || (strlen (word) <= 2 && rest.cost > rest.mark_cost)))
        continue;
      parts->is_hour_word = is_hour_word (word);
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
          && !tide_words_is_behind_opener (words, i))
        letter = (int)i;
    }
  if (letter >= 0)
    tide_words_splice (words, (guint)letter, 1, NULL);
}

/* "Fecha y hora", "Data/Ora" name a point in time and no unit. "Hora" alone can be that, or hours:
 * the fields tell. Gives whether the unit is one that the name says for certain. */
static gboolean
settle_hour_word (Parts *parts, TideSaying *saying)
{
  if (!parts->is_hour_word)
    return parts->has_unit;
  if (saying->time_words & TIDE_TIME_ABSOLUTE)
    parts->has_unit = FALSE;
  saying->time_words |= TIDE_TIME_ABSOLUTE;
  return FALSE;
}

/* Coulombs and degrees Celsius are written alike; the words tell. */
static void
settle_bare_c (Parts *parts, const TideSaying *saying)
{
  gboolean means_charge =
      saying->has_quantity ? saying->quantity == TIDE_QUANTITY_CHARGE : saying->charge_only;
  if (parts->has_unit && parts->quantity == TIDE_QUANTITY_TEMPERATURE && means_charge
      && strcmp (parts->unit.symbol, "°C") == 0)
    tide_unit_parse ("C", TIDE_QUANTITY_CHARGE, &parts->quantity, &parts->unit);
}

static gboolean
find_quantity (const Parts *parts, const TideSaying *saying, TideMeaning *meaning)
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
  meaning->cost = saying->cost + (has_word ? 0 : TIDE_COST_UNIT_ONLY);
  return TRUE;
}

/* Statistics, auxiliaries; two data lines at once, something else of one than its voltage. */
static gboolean
is_refused (const Parts *parts, const TideSaying *saying, TideQuantity quantity)
{
  if (quantity == TIDE_QUANTITY_CC1 && saying->is_bare_cc && !parts->has_unit
      && !saying->says_voltage)
    return TRUE;
  if (tide_quantity_is_data_line (quantity) && (saying->has_two_lines || saying->says_else))
    return TRUE;
  return saying->is_refused && quantity != TIDE_QUANTITY_TEMPERATURE;
}

static void
keep_mark (TideMeaning *meaning, const TideSaying *saying)
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

gboolean
tide_name_says_quantity (const char *name)
{
  TideQuantity quantity;
  TideUnit unit;
  if (*name == '\0' || strlen (name) > MAX_NAME_BYTES || !g_utf8_validate (name, -1, NULL)
      || tide_unit_parse (name, TIDE_N_QUANTITIES, &quantity, &unit))
    return FALSE;
  g_auto (Parts) parts = { 0 };
  g_auto (TideWords) words = { 0 };
  take_apart (name, NULL, &parts);
  tide_words_split (parts.words, &words);
  gboolean says = parts.has_unit;
  for (guint i = 0; i < words.n; i++)
    {
      const TideWord *row = tide_word_find (words.word[i]);
      says |= row && row->kind == TIDE_WORD_QUANTITY && words.word[i][1] != '\0';
    }
  return says && !parts.begins_with_digit;
}

/* "Voltage kV", "kA": units that no charge by cable is measured in, and that must not be taken for
 * a word of nobody. */
static gboolean
ends_with_large_unit (const char *words, TideQuantity *quantity)
{
  static const struct
  {
    const char *word;
    TideQuantity quantity;
  } large[] = { { "kv", TIDE_QUANTITY_VOLTAGE },
                { "ka", TIDE_QUANTITY_CURRENT },
                { "gw", TIDE_QUANTITY_POWER },
                { "kah", TIDE_QUANTITY_CHARGE } };
  const char *end = words + strlen (words);
  while (end > words && end[-1] == ' ')
    end--;
  const char *last = end;
  while (last > words && g_ascii_isalpha (last[-1]))
    last--;
  g_autofree char *word = g_ascii_strdown (last, end - last);
  for (guint i = 0; i < G_N_ELEMENTS (large); i++)
    if (strcmp (word, large[i].word) == 0)
      {
        *quantity = large[i].quantity;
        return TRUE;
      }
  return FALSE;
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

  if (!parts.has_unit && ends_with_large_unit (parts.words, &meaning.quantity))
    return (TideMeaning){ .is_foreign = TRUE, .quantity = meaning.quantity };
  gboolean whole_is_unit = FALSE;
  if (!parts.has_unit && !parts.has_foreign && parts.time_words == 0)
    parts.has_unit = whole_is_unit = take_unit_word (&words, &parts);
  drop_unit_letter (&words, &parts);
  g_auto (TideSaying) saying = { .time_words = parts.time_words,
                                 .mark = g_string_new (NULL),
                                 .label = g_string_new (NULL) };
  for (guint i = 0; i < words.n; i++)
    tide_saying_weigh (&saying, &words, i);
  settle_bare_c (&parts, &saying);
  gboolean unit_named = settle_hour_word (&parts, &saying);

  if (!find_quantity (&parts, &saying, &meaning) || is_refused (&parts, &saying, meaning.quantity))
    return (TideMeaning){ 0 };
  if (parts.has_foreign)
    return (TideMeaning){ .is_foreign = TRUE, .quantity = meaning.quantity };
  /* "Volts", "Amp-hr": the unit is the word */
  if (whole_is_unit && words.n == 0 && meaning.quantity != TIDE_QUANTITY_TIME)
    meaning.cost = 0;
  meaning.known = TRUE;
  meaning.beside = saying.beside;
  meaning.unit_named = unit_named;
  meaning.unit = parts.has_unit ? parts.unit : tide_unit_plain (meaning.quantity);
  meaning.time_words = saying.time_words;
  keep_mark (&meaning, &saying);
  return meaning;
}
