/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plain lines split into fields without a parser.
 *
 * Nearly every line of nearly every export is plain: no quote mark in it, a LF or CRLF behind it.
 * All there is to do then is to look for delimiters, which costs a third of what libcsv does. What
 * is reported is what libcsv reports, to the blank: blanks around a field are not part of it, a
 * line of blanks is a record without fields.
 */
#include "reading/tokens-private.h"

#include <string.h>

static gboolean
is_blank (char c, char delimiter)
{
  return (c == ' ' || c == '\t') && c != delimiter;
}

static void
report_field (const char *start,
              const char *end,
              char delimiter,
              const TidePlainFuncs *report,
              gpointer user_data)
{
  while (start < end && is_blank (*start, delimiter))
    start++;
  while (end > start && is_blank (end[-1], delimiter))
    end--;
  report->field ((void *)start, (gsize)(end - start), user_data);
}

static gboolean
is_blank_line (const char *line, const char *end, char delimiter)
{
  while (line < end && is_blank (*line, delimiter))
    line++;
  return line == end;
}

/* Fields are a few bytes long: a loop is faster than memchr(). */
static const char *
find_delimiter (const char *at, const char *end, char delimiter)
{
  while (at < end && *at != delimiter)
    at++;
  return at;
}

static void
split_line (const char *line,
            const char *end,
            char delimiter,
            const TidePlainFuncs *report,
            gpointer user_data)
{
  if (!is_blank_line (line, end, delimiter))
    {
      const char *stop = find_delimiter (line, end, delimiter);

      for (; stop < end; stop = find_delimiter (line, end, delimiter))
        {
          report_field (line, stop, delimiter, report, user_data);
          line = stop + 1;
        }
      report_field (line, end, delimiter, report, user_data);
    }
  report->record ('\n', user_data);
}

gsize
tide_plain_split (const char *text,
                  gsize length,
                  char delimiter,
                  const TidePlainFuncs *report,
                  gpointer user_data)
{
  const char *line = text, *end = text + length, *stop;

  while ((stop = memchr (line, '\n', (gsize)(end - line))) != NULL)
    {
      const char *cut = stop > line && stop[-1] == '\r' ? stop - 1 : stop;

      if (memchr (line, '"', (gsize)(cut - line)) || memchr (line, '\r', (gsize)(cut - line)))
        break;
      split_line (line, cut, delimiter, report, user_data);
      line = stop + 1;
    }
  return (gsize)(line - text);
}
