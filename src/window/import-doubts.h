/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the import sheet asks: the questions of a look's tables, and one of its own where reading broke off over
 * too many broken rows.
 */
#pragma once

#include "intake/glance.h"
#include "window/import-questions.h"

/* Puts them to the person. error: what a whole reading ended with, may be NULL. */
void tide_import_doubts_ask (TideImportQuestions *questions, TideGlance *look, const GError *error,
                             const TideReadingRule *rule);
