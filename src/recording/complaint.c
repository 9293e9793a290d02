/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Complaints: plain values that own their strings. Text made of a file's content is brought into
 * one line of bounded length here, once, because it ends in terminals, lists and JSON.
 */
#include "recording/complaint.h"

#include <glib/gi18n-lib.h>

/* More of a broken field helps nobody. */
#define MOST_CHARACTERS 500

/* Valid UTF-8 of one line, at most MOST_CHARACTERS long. */
static char *
make_line (const char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autoptr (GString) line = g_string_new (NULL);
  const char *p = valid;

  for (guint i = 0; *p != '\0' && i < MOST_CHARACTERS; i++, p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);
      g_string_append_unichar (line, g_unichar_isprint (c) ? c : ' ');
    }
  if (*p != '\0')
    g_string_append (line, "\342\200\246");
  return g_string_free (g_steal_pointer (&line), FALSE);
}

TideComplaint *
tide_complaint_new (guint64 row, const char *column, const char *format, ...)
{
  TideComplaint *complaint = g_new0 (TideComplaint, 1);
  g_autofree char *text = NULL;
  va_list args;

  va_start (args, format);
  text = g_strdup_vprintf (format, args);
  va_end (args);

  complaint->row = row;
  complaint->column = g_strdup (column);
  complaint->text = make_line (text);
  return complaint;
}

TideComplaint *
tide_complaint_copy (const TideComplaint *complaint)
{
  TideComplaint *copy = g_new0 (TideComplaint, 1);

  copy->row = complaint->row;
  copy->column = g_strdup (complaint->column);
  copy->text = g_strdup (complaint->text);
  return copy;
}

void
tide_complaint_free (TideComplaint *complaint)
{
  if (complaint == NULL)
    return;
  g_free (complaint->column);
  g_free (complaint->text);
  g_free (complaint);
}

char *
tide_complaint_to_text (const TideComplaint *complaint)
{
  g_autofree char *column = complaint->column != NULL ? make_line (complaint->column) : NULL;
  g_autofree char *row = g_strdup_printf ("%" G_GUINT64_FORMAT, complaint->row);

  if (complaint->row != 0 && column != NULL)
    return g_strdup_printf (_ ("row %s, column %s: %s"), row, column, complaint->text);
  if (complaint->row != 0)
    return g_strdup_printf (_ ("row %s: %s"), row, complaint->text);
  if (column != NULL)
    return g_strdup_printf (_ ("column %s: %s"), column, complaint->text);
  return g_strdup (complaint->text);
}

GPtrArray *
tide_complaints_new (void)
{
  return g_ptr_array_new_with_free_func ((GDestroyNotify)tide_complaint_free);
}

GPtrArray *
tide_complaints_copy (GPtrArray *complaints)
{
  GPtrArray *copy = tide_complaints_new ();

  for (guint i = 0; i < complaints->len; i++)
    g_ptr_array_add (copy, tide_complaint_copy (complaints->pdata[i]));
  return copy;
}
