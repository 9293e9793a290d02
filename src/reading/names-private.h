/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: what the name of a column says, word by word. */
#pragma once

#include "reading/understanding.h"

/* ---- units.c ---- */

/* (value × 10^exponent + offset) × times / over is in the quantity's own unit. */
typedef struct {
  int exponent;
  double times, over;
  const char *symbol; /* "mA"; static */
  double offset;      /* -32 for °F */
} TideUnit;

/* The unit of a quantity itself: what a column without a named unit is taken to be in. */
TideUnit tide_unit_plain (TideQuantity quantity);
double   tide_unit_scale (TideUnit unit, double shifted);
/* "mA", "Watt-hr", "W.h", "°C", "sec". A bare "C" is a temperature, or coulombs if wanted is CHARGE. */
gboolean tide_unit_parse (const char *text, TideQuantity wanted, TideQuantity *quantity, TideUnit *unit);
/* A micro or degree sign that was read in a wrong encoding and written again, or a look-alike, becomes itself. Transfer
 * full. */
char    *tide_unit_mend_signs (const char *text);

/* ---- words.c ---- */

typedef enum {
  TIDE_TIME_TOTAL    = 1 << 0, /* "total", "elapsed", "test": since the log began */
  TIDE_TIME_PART     = 1 << 1, /* "step", "cycle": since something smaller began */
  TIDE_TIME_ABSOLUTE = 1 << 2, /* "date", "clock", "epoch" */
  TIDE_TIME_MINUTES  = 1 << 3, /* "(mm:ss)" */
  TIDE_TIME_HOURS    = 1 << 4, /* "(hh:mm)" */
} TideTimeWords;

typedef enum {
  TIDE_WORD_QUANTITY,
  TIDE_WORD_QUALIFIER, /* "charge", "step" */
  TIDE_WORD_AVERAGE,   /* "mean": the same thing, smoothed */
  TIDE_WORD_DISCHARGE,
  TIDE_WORD_NEUTRAL,   /* "bus", "total" */
  TIDE_WORD_LANE,      /* "input", "device": which of several that stand side by side */
  TIDE_WORD_CELL,      /* "battery", "cell": likewise, and not the bus */
  TIDE_WORD_OPENER,    /* "port", "channel": with the number or letter behind it likewise, else neutral */
  TIDE_WORD_REFUSED,   /* "aux", "ripple": never the bus */
} TideWordKind;

typedef struct {
  TideWordKind kind;
  TideQuantity quantity; /* QUANTITY; CHARGE too where a qualifier is a form of "charge" */
  guint time_words;      /* what it says beside a time */
  const char *words;     /* lower case, divided by a blank; the first of a LANE stands for all of them */
} TideWord;

/* NULL: not a word of ours. word is in lower case. */
const TideWord *tide_word_find    (const char *word);
gboolean        tide_word_is_unit (const char *word, TideQuantity *quantity, TideUnit *unit);

#define TIDE_MAX_WORDS 24

typedef struct {
  char *word[TIDE_MAX_WORDS];    /* lower case */
  char *written[TIDE_MAX_WORDS]; /* as the name has it */
  guint n;
} TideWords;

/* Fills words, which is empty, with those of text; more than TIDE_MAX_WORDS are left away. */
void tide_words_split  (const char *text, TideWords *words);
/* Takes count words out and puts one in their place, which may be NULL. */
void tide_words_splice (TideWords *words, guint first, guint count, const char *replacement);
void tide_words_clear  (TideWords *words);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideWords, tide_words_clear)

/* ---- columns.c ---- */

#define TIDE_MAX_MARK_BYTES 48

/* What stands in a name beside quantity and unit, where that may be of another thing than the bus. */
typedef enum {
  TIDE_NAME_UNKNOWN   = 1 << 0, /* a word that is none of ours */
  TIDE_NAME_QUALIFIED = 1 << 1, /* "charging", "step" */
  TIDE_NAME_AVERAGED  = 1 << 2,
  TIDE_NAME_DISCHARGE = 1 << 3,
  TIDE_NAME_CELL      = 1 << 4,
} TideNameWords;

/* What a column's name says, or a rule of it. */
typedef struct {
  gboolean known;       /* FALSE: the name is none of ours, the rest but for is_foreign and then quantity is void */
  gboolean is_foreign;  /* it is none of ours for its unit alone: "Voltage (kV)" */
  TideQuantity quantity;
  TideUnit unit;
  gboolean unit_named;
  int cost;             /* how far from the plainest name of the quantity; 0 is plainest */
  guint beside;         /* TideNameWords */
  guint time_words;     /* TideTimeWords */
  /* which of several that stand side by side, in lower case and as written: "port a", "Port A"; "" where the name
   * does not say */
  char mark[TIDE_MAX_MARK_BYTES], label[TIDE_MAX_MARK_BYTES];
  gboolean mark_is_sure; /* of words that say so; else what is left of the name */
  gboolean stated;       /* by a rule: comes before all that names say */
  guint lane;            /* stated: from 1 */
  gboolean unit_stated;  /* with its unit */
  gboolean in_cells, only_in_cells; /* the cells bear units: see TideColumnUse */
} TideMeaning;

/* The unit of a cell or a name can be that of quantity: data lines are measured as voltages are. */
gboolean    tide_quantity_takes (TideQuantity quantity, TideQuantity of_unit);

/* unit_text is the field of a separate units row, NULL or "" when there is none. */
TideMeaning tide_meaning_of_name (const char *name, const char *unit_text);
/* A quantity is named, be it one that is never taken for the bus ("Max voltage"). A unit alone is no name. */
gboolean    tide_name_says_quantity (const char *name);
