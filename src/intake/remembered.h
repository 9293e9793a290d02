/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reading rule that the library remembers for the header of a file, found by looking at the file's head.
 *
 * A file that is understood by itself has a header to ask for. One that is not is held against the rules there are: one is the
 * file's if by it the file has the very header that the rule was kept for. What is stated comes before what is remembered. A
 * rule that no longer fits its header's file is left out with a complaint where the file is sure without it,
 * else it is an error that names it. No rule is looked for where options say so, nor, with a complaint, for what comes
 * through a pipe.
 */
#pragma once

#include "intake/intake.h"

/* So many rules are tried on a file that is not understood by itself, those saved last. */
#define TIDE_MAX_RULES_TRIED 100

typedef struct {
  TideReadingRule *rule; /* what the file is to be read by; NULL: by nothing */
  char *name;            /* of the remembered rule in it; NULL: there is none */
  GPtrArray *tables;     /* the file as understood so; NULL when no rules are looked for */
  GPtrArray *complaints; /* TideComplaint, of the rule; they stand in the first of tables too */
} TideRemembered;

/* Of file, or of bytes of that name; the other is NULL. Errors: those of tide_understand_file() and of the store. Clear remembered
 * even then. */
gboolean tide_remembered_find  (TideRemembered *remembered, TideStore *store, GFile *file, GBytes *bytes, const char *name,
                                const TideIntakeOptions *options, GCancellable *cancellable, GError **error);
void     tide_remembered_clear (TideRemembered *remembered);
/* Says in an error of reading by which remembered rule it came about. */
void     tide_remembered_explain (const TideRemembered *remembered, GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideRemembered, tide_remembered_clear)
