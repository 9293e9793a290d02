/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shared strings of a workbook: all of them stand before the first sheet that uses one, so they
 * are held, end to end in one block of at most MAX_STRINGS_BYTES. That is room for two million
 * points in time written as text; logs of numbers have a few names. A cell's text is at most
 * MAX_TEXT_BYTES.
 */
#include "unpack/workbook-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "unpack/unpack.h"

#define MAX_STRINGS_BYTES (64 * 1024 * 1024)
/* Spreadsheets take 32,767 characters; in UTF-8 four bytes at most. */
#define MAX_TEXT_BYTES (128 * 1024)

struct _TideStrings
{
  GString *block; /* each with its NUL */
  GArray *starts; /* guint32 */
};

/* ---- One text ---- */

void
tide_rich_text_init (TideRichText *rich)
{
  *rich = (TideRichText){ .text = g_string_new (NULL) };
}

void
tide_rich_text_clear (TideRichText *rich)
{
  g_string_free (rich->text, TRUE);
}

void
tide_rich_text_reset (TideRichText *rich)
{
  g_string_truncate (rich->text, 0);
  rich->phonetic = 0;
  rich->in_text = FALSE;
}

void
tide_rich_text_start (TideRichText *rich, const char *name)
{
  if (strcmp (name, "rPh") == 0)
    rich->phonetic++;
  else if (strcmp (name, "t") == 0)
    rich->in_text = TRUE;
}

void
tide_rich_text_end (TideRichText *rich, const char *name)
{
  if (strcmp (name, "rPh") == 0)
    rich->phonetic--;
  else if (strcmp (name, "t") == 0)
    rich->in_text = FALSE;
}

gboolean
tide_rich_text_add (TideRichText *rich, const char *text, gsize length, GError **error)
{
  if (!rich->in_text || rich->phonetic > 0)
    return TRUE;
  if (rich->text->len + length > MAX_TEXT_BYTES)
    {
      g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_TOO_LARGE,
                           _ ("a cell of this workbook holds more text than a cell can; save it "
                              "again as .xlsx, or as CSV"));
      return FALSE;
    }
  g_string_append_len (rich->text, text, (gssize)length);
  return TRUE;
}

/* The character of an escape "_x000D_"; 0 where there is none. */
static gunichar
parse_escape (const char *text)
{
  if (text[0] != '_' || text[1] != 'x')
    return 0;
  gunichar c = 0;
  for (int i = 2; i < 6; i++)
    {
      int digit = g_ascii_xdigit_value (text[i]);
      if (digit < 0)
        return 0;
      c = c * 16 + (gunichar)digit;
    }
  return text[6] == '_' && g_unichar_validate (c) ? c : 0;
}

const char *
tide_rich_text_get (TideRichText *rich)
{
  char *to = strstr (rich->text->str, "_x");
  if (!to)
    return rich->text->str;
  for (const char *from = to; *from;)
    {
      gunichar c = parse_escape (from);
      if (c)
        to += g_unichar_to_utf8 (c, to);
      else
        *to++ = *from;
      from += c ? 7 : 1;
    }
  g_string_truncate (rich->text, (gsize)(to - rich->text->str));
  return rich->text->str;
}

/* ---- The table ---- */

typedef struct
{
  TideStrings *strings;
  TideRichText rich;
} Reading;

static gboolean
start_cb (gpointer data, const char *name, const char **names, const char **values, GError **error)
{
  Reading *reading = data;
  if (strcmp (name, "si") == 0)
    tide_rich_text_reset (&reading->rich);
  tide_rich_text_start (&reading->rich, name);
  return TRUE;
}

static gboolean
end_cb (gpointer data, const char *name, GError **error)
{
  Reading *reading = data;
  TideStrings *strings = reading->strings;
  tide_rich_text_end (&reading->rich, name);
  if (strcmp (name, "si") != 0)
    return TRUE;
  const char *text = tide_rich_text_get (&reading->rich);
  guint32 start = (guint32)strings->block->len;
  g_string_append_len (strings->block, text, (gssize)reading->rich.text->len + 1);
  g_array_append_val (strings->starts, start);
  if (strings->block->len + strings->starts->len * sizeof start <= MAX_STRINGS_BYTES)
    return TRUE;
  g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_TOO_LARGE,
                       _ ("this workbook holds too much text; save the sheet as CSV"));
  return FALSE;
}

static gboolean
text_cb (gpointer data, const char *text, gsize length, GError **error)
{
  Reading *reading = data;
  return tide_rich_text_add (&reading->rich, text, length, error);
}

static const TideXmlHandlers handlers = { .start = start_cb, .end = end_cb, .text = text_cb };

TideStrings *
tide_strings_read (TideArchive *archive, const TideMember *part, GError **error)
{
  g_autoptr (TideStrings) strings = g_new0 (TideStrings, 1);
  strings->block = g_string_new (NULL);
  strings->starts = g_array_new (FALSE, FALSE, sizeof (guint32));
  if (!part)
    return g_steal_pointer (&strings);
  Reading reading = { .strings = strings };
  tide_rich_text_init (&reading.rich);
  gboolean is_read = tide_xml_read_part (archive, part, &handlers, &reading, error);
  tide_rich_text_clear (&reading.rich);
  return is_read ? g_steal_pointer (&strings) : NULL;
}

void
tide_strings_free (TideStrings *strings)
{
  g_string_free (strings->block, TRUE);
  g_array_unref (strings->starts);
  g_free (strings);
}

const char *
tide_strings_get (const TideStrings *strings, guint number)
{
  if (number >= strings->starts->len)
    return NULL;
  return strings->block->str + g_array_index (strings->starts, guint32, number);
}
