/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A reading rule as a file that travels from one library to another: the rule's own key file, and a group that says
 * what it is called and which header its files have. One form for the window and the command line.
 */
#pragma once

#include "library/store.h"

/* The ending of such files, with its dot. */
#define TIDE_RULE_FILE_ENDING ".reading-rule"

/* The text of the file. Transfer full. */
char           *tide_rule_file_to_text   (const TideStoredRule *rule);
/* Back from it; id and saved_us are 0. Refuses what is no such text, with one line. Transfer full. */
TideStoredRule *tide_rule_file_from_text (const char *text, GError **error);
/* Written whole or not at all; read as far as such a file may be long. Blocking. */
gboolean        tide_rule_file_write     (const TideStoredRule *rule, GFile *file, GError **error);
TideStoredRule *tide_rule_file_read      (GFile *file, GError **error);
