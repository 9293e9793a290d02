/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-doubts.h. Tables that raise the same question raise it once: it is known by its
 * answers. */
#include "window/import-doubts.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static void
free_answer (gpointer data)
{
  TideAnswer *answer = data;

  g_free (answer->key);
  g_free (answer->text);
  g_free (answer->meaning);
  g_free (answer);
}

static void
free_question (TideQuestion *question)
{
  g_ptr_array_unref (question->answers);
  g_free (question->text);
  g_free (question);
}

/* The sheet names the file itself; here it would begin the sentence. */
static const char *
skip_file_name (const char *message, const char *name)
{
  gsize length = strlen (name);

  return g_str_has_prefix (message, name) && g_str_has_prefix (message + length, ": ")
             ? message + length + 2
             : message;
}

static TideQuestion *
ask_for_broken (TideGlance *look, const GError *error)
{
  TideQuestion *question = g_new0 (TideQuestion, 1);
  TideAnswer *accept = g_new0 (TideAnswer, 1);

  accept->key = g_strdup ("broken");
  accept->text = g_strdup ("accept");
  accept->meaning = g_strdup (_ ("Leave the broken rows out and read the rest"));
  question->text = g_strdup (skip_file_name (error->message, tide_glance_get_name (look)));
  question->is_open = TRUE;
  question->answers = g_ptr_array_new_with_free_func (free_answer);
  g_ptr_array_add (question->answers, accept);
  return question;
}

void
tide_import_doubts_ask (TideImportQuestions *widget,
                        TideGlance *look,
                        const GError *error,
                        const TideReadingRule *rule)
{
  g_autoptr (GPtrArray) doubts = g_ptr_array_new ();
  GPtrArray *tables = tide_glance_get_tables (look);
  TideQuestion *broken = NULL;

  if (g_error_matches (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN))
    {
      broken = ask_for_broken (look, error);
      g_ptr_array_add (doubts, broken);
    }
  for (guint i = 0; tables != NULL && !tide_glance_is_probe (look) && i < tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (tables->pdata[i]);

      for (guint q = 0; q < questions->len; q++)
        g_ptr_array_add (doubts, questions->pdata[q]);
    }
  tide_import_questions_update (widget, doubts, rule);
  g_clear_pointer (&broken, free_question);
}
