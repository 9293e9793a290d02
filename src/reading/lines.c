/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of a file in blocks of whole lines, so that a row that turns out to begin another table
 * stands in memory as a whole, with what follows it.
 *
 * A piece of the file is handed out where the decoder left it; only the line that a piece cuts is
 * copied. A line without end is handed out in parts once it is longer than any record may be.
 */
#include <string.h>

#include "reading/texts-private.h"

struct _TideLines
{
  TideUnpacker *unpacker;
  TideDecoder *decoder;
  gboolean at_end;  /* all pieces were decoded */
  const char *text; /* of the piece at hand: what was not handed out */
  gsize length;
  GString *rest;  /* before text: a line without its end yet */
  GString *block; /* handed out, where it is no part of a piece */
  GString *ahead; /* text, where it is read again */
};

TideLines *
tide_lines_new (TideUnpacker *unpacker,
                TideDecoder *decoder,
                const char *text,
                gsize length,
                gboolean at_end)
{
  TideLines *lines = g_new0 (TideLines, 1);
  lines->unpacker = unpacker;
  lines->decoder = decoder;
  lines->text = text;
  lines->length = length;
  lines->at_end = at_end;
  lines->rest = g_string_new (NULL);
  lines->block = g_string_new (NULL);
  lines->ahead = g_string_new (NULL);
  return lines;
}

void
tide_lines_free (TideLines *lines)
{
  g_string_free (lines->rest, TRUE);
  g_string_free (lines->block, TRUE);
  g_string_free (lines->ahead, TRUE);
  g_free (lines);
}

static gboolean
read_piece (TideLines *lines, const char **text, gsize *length, GError **error)
{
  const guint8 *bytes;
  gsize n_bytes;
  return tide_texts_read (lines->unpacker, &bytes, &n_bytes, &lines->at_end, error)
         && tide_decoder_feed (lines->decoder, bytes, n_bytes, lines->at_end, text, length, error);
}

static const char *
find_last (const char *text, gsize length, char c)
{
  while (length > 0 && text[length - 1] != c)
    length--;
  return length > 0 ? text + length - 1 : NULL;
}

/* The bytes up to behind the first or the last line end; 0: there is none. */
static gsize
find_line_end (const char *text, gsize length, gboolean last)
{
  static const char ends[] = { '\n', '\r' };
  for (guint i = 0; i < G_N_ELEMENTS (ends); i++)
    {
      const char *end = last ? find_last (text, length, ends[i]) : memchr (text, ends[i], length);
      if (end)
        return (gsize)(end - text) + 1;
    }
  return 0;
}

static void
consume (TideLines *lines, gsize n)
{
  lines->text += n;
  lines->length -= n;
}

static void
keep_rest (TideLines *lines, gsize n)
{
  g_string_append_len (lines->rest, lines->text, (gssize)n);
  consume (lines, n);
}

static void
hand_out_rest (TideLines *lines, const char **text, gsize *length)
{
  GString *block = lines->rest;
  lines->rest = lines->block;
  lines->block = block;
  g_string_truncate (lines->rest, 0);
  *text = block->str;
  *length = block->len;
}

/* What can be handed out of the piece at hand; FALSE: nothing, all is kept. */
static gboolean
take_block (TideLines *lines, const char **text, gsize *length)
{
  gboolean goes_on = lines->rest->len > 0;
  gsize n = find_line_end (lines->text, lines->length, !goes_on);
  if (!goes_on && n > 0)
    {
      *text = lines->text;
      *length = n;
      consume (lines, n);
      keep_rest (lines, lines->length);
      return TRUE;
    }
  keep_rest (lines, n > 0 ? n : lines->length);
  if (n == 0 && lines->rest->len <= TIDE_MAX_RECORD_BYTES)
    return FALSE;
  hand_out_rest (lines, text, length);
  return TRUE;
}

gboolean
tide_lines_next (TideLines *lines, const char **text, gsize *length, GError **error)
{
  *length = 0;
  for (;;)
    {
      if (lines->length > 0 && take_block (lines, text, length))
        return TRUE;
      if (lines->length > 0)
        continue;
      if (lines->at_end)
        {
          hand_out_rest (lines, text, length);
          return TRUE;
        }
      if (!read_piece (lines, &lines->text, &lines->length, error))
        return FALSE;
    }
}

/* What was handed out last from there on, what was kept, and what follows become the piece at hand.
 */
gboolean
tide_lines_go_back (TideLines *lines,
                    const char *from,
                    gsize length,
                    const char **text,
                    gsize *text_length,
                    GError **error)
{
  g_autoptr (GString) ahead = g_string_new_len (from, (gssize)length);
  g_string_append_len (ahead, lines->rest->str, (gssize)lines->rest->len);
  g_string_append_len (ahead, lines->text, (gssize)lines->length);
  while (!lines->at_end && ahead->len < TIDE_HEAD_BYTES)
    {
      const char *more;
      gsize n_more;
      if (!read_piece (lines, &more, &n_more, error))
        return FALSE;
      g_string_append_len (ahead, more, (gssize)n_more);
    }
  g_string_truncate (lines->rest, 0);
  g_string_free (lines->ahead, TRUE);
  lines->ahead = g_steal_pointer (&ahead);
  *text = lines->text = lines->ahead->str;
  *text_length = lines->length = lines->ahead->len;
  return TRUE;
}

void
tide_lines_skip (TideLines *lines, gsize n)
{
  consume (lines, n);
}

gboolean
tide_lines_is_at_end (const TideLines *lines)
{
  return lines->at_end;
}
