/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the words of a column's name say together; between saying.c and columns.c. */
#pragma once

#include "reading/names-private.h"

/* No word of ours, a unit alone. */
#define TIDE_COST_UNIT_ONLY 4

typedef struct {
  gboolean has_quantity;  /* a word says which */
  gboolean is_symbol;     /* ... and that word is one letter */
  gboolean charge_only;   /* the one word that may is "charge" */
  gboolean is_refused;
  gboolean says_voltage;  /* a word of voltage, whatever else */
  gboolean says_else;     /* a word of what is no voltage */
  gboolean is_bare_cc;    /* "CC": a data line, or a constant current */
  gboolean has_two_lines; /* "D+/D-" */
  TideQuantity quantity;
  guint time_words;       /* TideTimeWords */
  int cost;
  guint beside;           /* TideNameWords */
  int mark_cost;          /* of it, what words of the mark cost */
  gboolean mark_is_unsure;
  GString *mark, *label;  /* NULL: not wanted */
} TideSaying;

/* Adds what the word of index says beside those before it. */
void     tide_saying_weigh (TideSaying *saying, const TideWords *words, guint index);
void     tide_saying_clear (TideSaying *saying);
/* "Current Port A": the letter is the port's. */
gboolean tide_words_is_behind_opener (const TideWords *words, guint index);
gboolean tide_quantity_is_data_line  (TideQuantity quantity);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideSaying, tide_saying_clear)
