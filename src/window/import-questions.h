/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The questions of the import sheet: each a plain sentence with its answers to choose from. One that was
 * answered stays, so that the answer can be changed, though the file raises it no more.
 */
#pragma once

#include <gtk/gtk.h>

#include "reading/understanding.h"

#define TIDE_TYPE_IMPORT_QUESTIONS (tide_import_questions_get_type ())
G_DECLARE_FINAL_TYPE (TideImportQuestions, tide_import_questions, TIDE, IMPORT_QUESTIONS, GtkBox)

/* Signals: "answered" (const char *key, const char *text); "withdrawn" (the same), before another answer with another
 * key; "place" (guint64 row), a person wants to see the example.
 * questions: TideQuestion, borrowed for the call. */
void tide_import_questions_update (TideImportQuestions *self, GPtrArray *questions, const TideReadingRule *rule);
/* Moves the keyboard to the first that is open; FALSE when there is none. */
gboolean tide_import_questions_focus_open (TideImportQuestions *self);
