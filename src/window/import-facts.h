/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a file is read, in a few rows that can be changed: names, dividing mark, decimal mark, time, encoding. A change is
 * told as a key and a text of a reading rule; what shows follows tide_import_facts_update().
 */
#pragma once

#include <adwaita.h>

#include "intake/glance.h"

#define TIDE_TYPE_IMPORT_FACTS (tide_import_facts_get_type ())
G_DECLARE_FINAL_TYPE (TideImportFacts, tide_import_facts, TIDE, IMPORT_FACTS, AdwPreferencesGroup)

/* Signals: "stated" (const char *key, const char *text or NULL); "table" (guint), another table is to be looked at. */
void tide_import_facts_update (TideImportFacts *self, TideGlance *look, guint table, const TideReadingRule *rule);
