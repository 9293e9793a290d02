/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A look at a file before it is imported: what would be read of it, by which rule, and what stands against it. Taken
 * in a worker thread, shown to a person, taken again when the person has stated more; it is also the request
 * to import the file so.
 *
 * Where a file cannot be understood because it lacks names or a time, it is read once more as if it had
 * them, so that a person can see its rows and say what they are: the tables of such a look are probes and never imported.
 */
#pragma once

#include "intake/intake.h"

typedef struct _TideLook TideLook;

/* Immutable once taken, but for what tide_look_request() makes. */
TideLook *tide_look_ref   (TideLook *look);
void      tide_look_unref (TideLook *look);

/* Looks at file: by rule alone, or where rule is NULL by itself and the rule that the library remembers for its header. What
 * can be mended by stating more is no error but stands in the look (tide_look_get_error). With a rule everything is
 * taken as mendable, but for cancelling. Blocking. Errors: those of tide_intake_understand(). */
TideLook *tide_look_take (TideStore *store, GFile *file, const TideReadingRule *rule, GCancellable *cancellable,
                          GError **error);
/* The same look with the error that came when the file was read to its end. Takes error. */
TideLook *tide_look_refused (TideLook *look, GError *error);
/* A request to import look's file by rule, under these conditions; replace: see TideIntakeOptions. All are copied. */
TideLook *tide_look_request (TideLook *look, const TideReadingRule *rule, const TideConditions *stated, gboolean replace);
/* Could stating something about the file mend this? */
gboolean  tide_look_can_mend (const GError *error);

/* All transfer none. */
GFile                 *tide_look_get_file        (TideLook *look);
/* Its base name, for people. */
const char            *tide_look_get_name        (TideLook *look);
/* What is stated, the remembered rule included; never NULL. */
const TideReadingRule *tide_look_get_rule        (TideLook *look);
/* Never NULL. */
const TideConditions  *tide_look_get_stated      (TideLook *look);
gboolean               tide_look_get_replace     (TideLook *look);
/* The name of the remembered rule that took part, or NULL. */
const char            *tide_look_get_rule_name   (TideLook *look);
/* TideUnderstanding; NULL when not even a probe can be read. */
GPtrArray             *tide_look_get_tables      (TideLook *look);
gboolean               tide_look_is_probe        (TideLook *look);
/* What stands against importing; NULL: nothing, or open questions alone. */
const GError          *tide_look_get_error       (TideLook *look);

/* May be imported without being asked about: nothing is open, and no guess was made that a remembered rule does not cover. */
gboolean tide_look_is_sure       (TideLook *look);
gboolean tide_look_has_open      (TideLook *look);
/* The header by which a rule can be known again, "" if there is none or several tables differ. */
const char *tide_look_get_signature (TideLook *look);
/* Looks with the same key look alike: the same answers do for all of them. Transfer full. */
char    *tide_look_dup_key       (TideLook *look);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideLook, tide_look_unref)
