/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be read in more than one way, as questions whose answers are points of a reading rule.
 *
 * An open question stops the reading of a file, never the understanding of it: that goes on by the
 * first answer, so that a person sees what it would mean.
 */
#include "reading/reading-private.h"

#include <string.h>

#include "reading/rule-private.h"

static void
free_answer (TideAnswer *answer)
{
  g_free (answer->key);
  g_free (answer->text);
  g_free (answer->meaning);
  g_free (answer);
}

/* Questions are one line, whatever stands in the file's fields. */
G_GNUC_PRINTF (1, 0)
static char *
dup_line (const char *format, va_list arguments)
{
  g_autofree char *text = g_strdup_vprintf (format, arguments);
  char *line = g_utf8_make_valid (text, -1);
  return g_strdelimit (line, "\r\n\t", ' ');
}

TideQuestion *
tide_question_new (gboolean is_open, guint64 row, const char *column, const char *format, ...)
{
  TideQuestion *question = g_new0 (TideQuestion, 1);
  va_list arguments;
  va_start (arguments, format);
  question->text = dup_line (format, arguments);
  va_end (arguments);
  question->is_open = is_open;
  question->row = row;
  question->column = g_strdup (column);
  question->answers = g_ptr_array_new_with_free_func ((GDestroyNotify)free_answer);
  return question;
}

void
tide_question_add_answer (TideQuestion *question,
                          const char *key,
                          const char *text,
                          const char *format,
                          ...)
{
  TideAnswer *answer = g_new0 (TideAnswer, 1);
  va_list arguments;
  va_start (arguments, format);
  answer->meaning = dup_line (format, arguments);
  va_end (arguments);
  answer->key = g_strdup (key);
  answer->text = g_strdup (text);
  g_ptr_array_add (question->answers, answer);
}

void
tide_question_free (TideQuestion *question)
{
  g_free (question->text);
  g_free (question->column);
  g_ptr_array_unref (question->answers);
  g_free (question);
}

char *
tide_question_to_text (const TideQuestion *question)
{
  gboolean is_named = question->column == NULL || strstr (question->text, question->column) != NULL;
  g_autoptr (TideComplaint) complaint =
      tide_complaint_new (question->row, is_named ? NULL : question->column, "%s", question->text);
  return tide_complaint_to_text (complaint);
}

void
tide_understanding_ask (TideUnderstanding *u, TideQuestion *question)
{
  g_return_if_fail (question->answers->len > 0);
  g_ptr_array_add (u->questions, question);
}

gboolean
tide_understanding_check_answered (const TideUnderstanding *u, GError **error)
{
  for (guint i = 0; i < u->questions->len; i++)
    {
      const TideQuestion *question = g_ptr_array_index (u->questions, i);
      if (!question->is_open)
        continue;
      g_autofree char *text = tide_question_to_text (question);
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS, text);
      return FALSE;
    }
  return TRUE;
}

char *
tide_column_answer (guint column, TideQuantity quantity, guint lane, const char *unit)
{
  g_autoptr (GString) text = g_string_new (tide_column_key_of (quantity));
  if (lane > 1)
    g_string_append_printf (text, "/%u", lane);
  g_string_append_printf (text, "=%u", column + 1);
  if (unit)
    g_string_append_printf (text, ":%s", unit);
  return g_string_free (g_steal_pointer (&text), FALSE);
}
