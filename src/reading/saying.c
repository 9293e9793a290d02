/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of a name weighed one by one: which quantity they say, how plainly, and of which of
 * several things that stand side by side. See columns.c for what is made of it.
 */
#include "reading/saying-private.h"

#include <string.h>

enum
{
  COST_WORD = 1,      /* a word that is none of ours */
  COST_QUALIFIER = 2, /* "charge" beside "capacity", "cell" beside "voltage" */
  COST_DISCHARGE = 3,
};

void
tide_saying_clear (TideSaying *saying)
{
  if (saying->mark)
    g_string_free (saying->mark, TRUE);
  if (saying->label)
    g_string_free (saying->label, TRUE);
}

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

gboolean
tide_quantity_is_data_line (TideQuantity quantity)
{
  return quantity >= TIDE_QUANTITY_DATA_PLUS;
}

static void
weigh_quantity (TideSaying *saying, const TideWord *row, const char *word)
{
  gboolean is_long = word[1] != '\0';
  saying->says_voltage |= row->quantity == TIDE_QUANTITY_VOLTAGE;
  saying->says_else |=
      row->quantity != TIDE_QUANTITY_VOLTAGE && !tide_quantity_is_data_line (row->quantity);
  saying->is_bare_cc |= strcmp (word, "cc") == 0;
  saying->has_two_lines |= saying->has_quantity && tide_quantity_is_data_line (row->quantity)
                           && tide_quantity_is_data_line (saying->quantity)
                           && row->quantity != saying->quantity;
  if (!saying->has_quantity || (saying->is_symbol && is_long)
      || (is_long && rank_quantity (row->quantity) < rank_quantity (saying->quantity)))
    {
      saying->quantity = row->quantity;
      saying->is_symbol = !is_long;
    }
  saying->has_quantity = TRUE;
}

static void
add_mark (TideSaying *saying, const char *mark, const char *written, int cost, gboolean is_sure)
{
  saying->cost += cost;
  saying->mark_cost += is_sure ? cost : 0;
  saying->mark_is_unsure |= !is_sure;
  saying->beside |= is_sure ? 0 : TIDE_NAME_UNKNOWN;
  if (!saying->mark)
    return;
  g_string_append_printf (saying->mark, "%s%s", saying->mark->len > 0 ? " " : "", mark);
  g_string_append_printf (saying->label, "%s%s", saying->label->len > 0 ? " " : "", written);
}

/* The first word of the row stands for all: "in" and "Eingang" are "input". */
static void
add_lane_word (TideSaying *saying, const TideWord *row, const char *written, int cost)
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

void
tide_saying_weigh (TideSaying *saying, const TideWords *words, guint i)
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
      saying->beside |=
          row->kind == TIDE_WORD_DISCHARGE ? TIDE_NAME_DISCHARGE : TIDE_NAME_QUALIFIED;
      break;
    case TIDE_WORD_AVERAGE:
      saying->cost += COST_QUALIFIER;
      saying->beside |= TIDE_NAME_AVERAGED;
      break;
    case TIDE_WORD_LANE:
      add_lane_word (saying, row, words->written[i], COST_WORD);
      break;
    case TIDE_WORD_CELL:
      saying->beside |= TIDE_NAME_CELL;
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

gboolean
tide_words_is_behind_opener (const TideWords *words, guint i)
{
  const TideWord *before = i > 0 ? tide_word_find (words->word[i - 1]) : NULL;
  return before && before->kind == TIDE_WORD_OPENER && is_ordinal (words->word[i], TRUE);
}
