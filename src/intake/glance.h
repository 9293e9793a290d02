/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A glance at a file before it is imported: what would be read of it, by which rule, and what stands against it. Taken
 * in a worker thread, shown to a person, taken again when the person has stated more; it is also the request
 * to import the file so.
 *
 * Where a file cannot be understood because it lacks names, a time or values that are known, it is read once more as if it had
 * them, so that a person can see its rows and say what they are: the tables of such a glance are probes and never imported.
 */
#pragma once

#include "intake/intake.h"

typedef struct _TideGlance TideGlance;

/* Immutable once taken, but for what tide_glance_request() makes. */
TideGlance *tide_glance_ref   (TideGlance *glance);
void      tide_glance_unref (TideGlance *glance);

/* Looks at file: by rule alone, or where rule is NULL by itself and the rule that the library remembers for its header. What
 * can be mended by stating more is no error but stands in the glance (tide_glance_get_error). With a rule everything is
 * taken as mendable, but for cancelling. Blocking. Errors: those of tide_intake_understand(). */
TideGlance *tide_glance_take (TideStore *store, GFile *file, const TideReadingRule *rule, GCancellable *cancellable,
                          GError **error);
/* The same glance with the error that came when the file was read to its end. Takes error. */
TideGlance *tide_glance_refused (TideGlance *glance, GError *error);
/* A request to import glance's file by rule, under these conditions; replace: see TideIntakeOptions. All are copied. */
TideGlance *tide_glance_request (TideGlance *glance, const TideReadingRule *rule, const TideConditions *stated, gboolean replace);
/* Could stating something about the file mend this? */
gboolean  tide_glance_can_mend (const GError *error);

/* All transfer none. */
GFile                 *tide_glance_get_file        (TideGlance *glance);
/* Its base name, for people. */
const char            *tide_glance_get_name        (TideGlance *glance);
/* What is stated, the remembered rule included; never NULL. */
const TideReadingRule *tide_glance_get_rule        (TideGlance *glance);
/* Never NULL. */
const TideConditions  *tide_glance_get_stated      (TideGlance *glance);
gboolean               tide_glance_get_replace     (TideGlance *glance);
/* The name of the remembered rule that took part, or NULL. */
const char            *tide_glance_get_rule_name   (TideGlance *glance);
/* TideUnderstanding; NULL when not even a probe can be read. */
GPtrArray             *tide_glance_get_tables      (TideGlance *glance);
gboolean               tide_glance_is_probe        (TideGlance *glance);
/* The column, from 1, that the probe had to take for something to show the rows at all; 0: none. */
guint                  tide_glance_get_supposed    (TideGlance *glance);
/* What stands against importing; NULL: nothing, or open questions alone. */
const GError          *tide_glance_get_error       (TideGlance *glance);

/* May be imported without being asked about: nothing is open, and no guess was made that a remembered rule does not cover. */
gboolean tide_glance_is_sure       (TideGlance *glance);
gboolean tide_glance_has_open      (TideGlance *glance);
/* The header by which a rule can be known again, of the first table; "" if there is none. */
const char *tide_glance_get_signature (TideGlance *glance);
/* Glances with the same key look alike: the same answers do for all of them. Transfer full. */
char    *tide_glance_dup_key       (TideGlance *glance);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideGlance, tide_glance_unref)
