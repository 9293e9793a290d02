/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule as a person builds it up choice by choice: what a new choice replaces, what is
 * stated of one column, and the rule told in words.
 */
#pragma once

#include "reading/understanding.h"

/* What a column can be said to be, by the words of reading/rule.h. */
typedef enum {
  TIDE_MEANING_UNREAD,
  TIDE_MEANING_TIME,
  TIDE_MEANING_VOLTAGE,
  TIDE_MEANING_CURRENT,
  TIDE_MEANING_POWER,
  TIDE_MEANING_ENERGY,
  TIDE_MEANING_CHARGE,
  TIDE_MEANING_TEMPERATURE,
  TIDE_MEANING_DATA_PLUS,
  TIDE_MEANING_DATA_MINUS,
  TIDE_MEANING_CC1,
  TIDE_MEANING_CC2,
  TIDE_N_MEANINGS
} TideColumnMeaning;

/* "v"; static. */
const char *tide_meaning_get_word   (TideColumnMeaning meaning);
/* "Voltage", "Energy counter", "Not read"; translated, static. */
const char *tide_meaning_get_name   (TideColumnMeaning meaning);
/* Symbols that a column of this meaning can be in, NULL-terminated; empty for none. Static. */
const char *const *tide_meaning_get_units (TideColumnMeaning meaning);

/* What is known of one column. */
typedef struct {
  TideColumnMeaning meaning;
  guint lane;       /* from 1 */
  char *unit;       /* NULL: none, or by itself */
  gboolean stated;  /* by the rule */
  gboolean assumed; /* nobody says the unit: it was taken as plain */
} TideColumnState;

void tide_column_state_clear (TideColumnState *state);

/* What column is in the table: by rule where it says so, else as understood. supposed: the column, from 1, that a
 * probe took for something, which does not count (tide_glance_get_supposed()). */
TideColumnState tide_column_state_get (const TideReadingRule *rule, TideUnderstanding *table, guint column, guint supposed);
/* Says it: in place of what was said of that column, and of another one of the same meaning and lane. */
gboolean tide_column_state_set (TideReadingRule *rule, TideUnderstanding *table, guint column,
                                const TideColumnState *state, GError **error);

/* Does rule say just that? */
gboolean tide_statement_is_made (const TideReadingRule *rule, const char *key, const char *text);
/* Takes back that statement alone. */
void     tide_statement_withdraw (TideReadingRule *rule, const char *key, const char *text);
/* What the rule says, a line each: "Column 3: voltage, in mV". Transfer full; "" for an empty rule. */
char    *tide_statements_describe (const TideReadingRule *rule);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideColumnState, tide_column_state_clear)
