/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The switches that say how an export is to be read: one for each key of a reading rule (reading/rule.h), under the key's
 * own name, and --rule for one that the library remembers. What a switch may say is the rule's affair alone.
 */
#pragma once

#include "command/arguments.h"
#include "library/store.h"
#include "reading/understanding.h"

#define TIDE_MAX_READING_SWITCHES 16

typedef struct {
  char **given[TIDE_MAX_READING_SWITCHES]; /* the texts of each; NULL: not given */
  char *rule_name;                         /* --rule; NULL: not given */
  TideReadingRule *stated;                 /* what the switches say, once taken; never NULL then */
} TideReadingSwitches;

/* The options that fill switches, for TideUsage. Transfer full. */
GOptionGroup *tide_reading_switches_make_group (TideReadingSwitches *switches);
/* After parsing: makes stated. TIDE_GO_ON, or wrong use after a line that says what may stand there. */
TideExit      tide_reading_switches_take        (TideReadingSwitches *switches, const char *verb);
void          tide_reading_switches_clear       (TideReadingSwitches *switches);
/* Any of them was given. */
gboolean      tide_reading_switches_are_given   (const TideReadingSwitches *switches);

/* The rule to read by: the one --rule names, from the library at path, which must exist then, with what else is
 * stated over it. Transfer full. */
TideReadingRule *tide_reading_switches_make_rule (const TideReadingSwitches *switches, const char *path, GError **error);

/* "--time '%d.%m.%Y'", as a shell takes it. Transfer full. */
char *tide_reading_switch_to_text (const char *key, const char *text);

/* Puts behind the one line of an error of reading what would mend it: the answers to what is open in tables
 * (TideUnderstanding; may be NULL), or the switch that applies; nothing where none does. */
void tide_reading_error_hint (GError *error, GPtrArray *tables);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideReadingSwitches, tide_reading_switches_clear)
