/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule as the files of this room see it: the points of rule.h with their types. A rule that is NULL says
 * nothing: every function here takes it so.
 */
#pragma once

#include "reading/reading-private.h"
#include "reading/rule.h"

/* Bounds: a rule comes from people and files. */
#define TIDE_RULE_MAX_NAME_BYTES 200
#define TIDE_RULE_MAX_TEXT_BYTES (64 * 1024)

/* What is said of one column. */
typedef struct {
  guint number;          /* from 1; 0: it is told by its name */
  char *name;            /* NULL: by its number */
  gboolean is_read;      /* FALSE: "-", the rest is void */
  TideQuantity quantity; /* TIME is "t" */
  guint lane;            /* from 1 */
  char *unit_text;       /* as stated; NULL: none */
  TideUnit unit;         /* of unit_text */
} TideColumnStatement;

struct _TideReadingRule {
  GPtrArray *columns;     /* TideColumnStatement, in the order stated */
  char *time_pattern;     /* "%d.%m.%Y"; NULL: not stated, or serial */
  gboolean time_serial;   /* days as a spreadsheet counts them */
  double every_s;         /* 0: not stated */
  char decimal_mark;      /* 0: not stated */
  char delimiter;         /* 0: not stated; ' ' for blanks */
  char *encoding;         /* NULL: not stated */
  int header_row;         /* from 1; 0: no row names the columns; -1: not stated */
  char *sheet;            /* NULL: not stated; a number from 1 or a name */
  guint table;            /* from 1; 0: not stated */
  gboolean accept_broken;
};

/* ---- rule-keys.c ---- */

typedef struct {
  /* text as it came, without blanks around it; NULL unsets. Errors: TIDE_READING_ERROR_RULE; the rule stays as it was */
  gboolean (*set) (TideReadingRule *rule, const char *text, GError **error);
  char    *(*get) (const TideReadingRule *rule); /* transfer full, NULL: not stated. NULL for "column", which has many texts */
} TideRuleKey;

/* NULL: no key. */
const TideRuleKey *tide_rule_key_find (const char *name);
/* Takes statement; it comes in place of those it clashes with. */
void               tide_reading_rule_state_column (TideReadingRule *rule, TideColumnStatement *statement);

/* ---- rule.c ---- */

/* As tide_reading_rule_set() without its bound on all texts together: a text read whole has one. */
gboolean tide_reading_rule_take (TideReadingRule *rule, const char *key, const char *text, GError **error);

/* ---- rule-column.c ---- */

/* `v/2="Port: B":mV` to a statement. Errors: TIDE_READING_ERROR_RULE. */
TideColumnStatement *tide_column_statement_parse  (const char *text, GError **error);
TideColumnStatement *tide_column_statement_copy   (const TideColumnStatement *statement);
void                 tide_column_statement_free   (TideColumnStatement *statement);
/* As parse() takes it; transfer full. */
char                *tide_column_statement_format (const TideColumnStatement *statement);
/* The two say something of the same column, or give the same meaning away. */
gboolean             tide_column_statement_clash  (const TideColumnStatement *a, const TideColumnStatement *b);

/* "t", "v", ... as left of the "=" in a column's text. Static. */
const char *tide_column_key_of (TideQuantity quantity);

/* ---- statements.c ---- */

/* The column of names (char *, as the file has them; "" where there is none) that a statement tells. Errors:
 * TIDE_READING_ERROR_RULE, which lists what there is. */
gboolean tide_column_statement_find (const TideColumnStatement *statement, GPtrArray *names, guint *column, GError **error);

/* Puts what rule says of the columns of names in place of what their names say: meanings, one for each; which of
 * several columns of one quantity is read is for tide_choose_columns(). Errors: TIDE_READING_ERROR_RULE. */
gboolean tide_meanings_state (TideMeaning *meanings, GPtrArray *names, const TideReadingRule *rule, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideColumnStatement, tide_column_statement_free)
