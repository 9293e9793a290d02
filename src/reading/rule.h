/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule: what a person says of a file, against or beyond what can be understood of it
 * alone. Each point is a key with a text, so that a switch of the command line, an answer to a question, a
 * line of a rule file and a choice in the window are one and the same thing.
 *
 *   key        text                      says
 *   column     v=3:mV  t="Zeit"  -=5     a column's meaning and unit; adds up. Left of "=": t v a w wh ah temp dp dm cc1 cc2 or "-"
 *                                        (not to be read), with "/2" behind it for the second of runs that stand side
 *                                        by side; then the column's number from 1 or its name (in quotes where it holds a
 *                                        colon); then, after a colon, its unit
 *   time       %d.%m.%Y %H:%M:%S         how a point in time is written (the letters of strftime that reading knows:
 *                                        see pattern.c), or "serial": days as a spreadsheet counts them
 *   every      1                         seconds from row to row, where no column is the time
 *   decimal    ,                         the decimal mark, "." or ","
 *   delimiter  ;                         or "tab", "space"
 *   encoding   WINDOWS-1252              as iconv knows it
 *   header     3                         the row that names the columns; 0: none does, columns go by number
 *   sheet      2                         of a workbook or an archive: its number from 1, or its name
 *   table      2                         of a text with several tables: its number from 1
 *   broken     accept                    more than a fifth of the rows may be broken
 */
#pragma once

#include <glib.h>

typedef struct _TideReadingRule TideReadingRule;

TideReadingRule *tide_reading_rule_new      (void);
TideReadingRule *tide_reading_rule_copy     (const TideReadingRule *rule);
void             tide_reading_rule_free     (TideReadingRule *rule);
gboolean         tide_reading_rule_is_empty (const TideReadingRule *rule);
gboolean         tide_reading_rule_equal    (const TideReadingRule *a, const TideReadingRule *b);

/* The keys, NULL-terminated. Static. */
const char *const *tide_reading_rule_get_keys (void);
/* Sets key; NULL unsets it (all of "column"). A column said again is said anew. Errors: TIDE_READING_ERROR_RULE, one line that
 * says what may stand there; the rule stays as it was. */
gboolean    tide_reading_rule_set (TideReadingRule *rule, const char *key, const char *text, GError **error);
/* The texts of key, as set() would take them; NULL-terminated, empty where unset. Transfer full. */
char      **tide_reading_rule_get (const TideReadingRule *rule, const char *key);
/* What over says comes before what rule says. */
void        tide_reading_rule_merge (TideReadingRule *rule, const TideReadingRule *over);

/* As a key file, for the library and for files; from_text refuses what it does not know. */
char            *tide_reading_rule_to_text   (const TideReadingRule *rule);
TideReadingRule *tide_reading_rule_from_text (const char *text, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideReadingRule, tide_reading_rule_free)
