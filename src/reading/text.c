/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bytes become UTF-8 text: byte-order marks, encodings, and what is no text at all.
 *
 * The encoding is decided once, from a file's first bytes. UTF-8 (and ASCII) passes through
 * without a copy. Anything else is converted in pieces; a character that cannot be is kept as an
 * escape, since what matters in a log, its numbers, is ASCII in every encoding. A guess is
 * always a complaint. NULs are no text: a crash or a file that was made long before it was filled
 * leaves some, which are passed over, counted. Refuses pictures, databases and the like by their
 * first bytes; archives were opened before (texts.c).
 */
#include "reading/text-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

/* More than one NUL in so many bytes in front of the last that is none, and not as UTF-16 has them:
 * no text. */
#define BYTES_PER_NUL 10

struct _TideDecoder
{
  GConverter *converter; /* NULL: the bytes are UTF-8 */
  char *encoding;
  gboolean is_guess;   /* by statistics */
  gsize mark_length;   /* bytes of a byte-order mark still to be passed over */
  GByteArray *waiting; /* bytes not yet converted */
  GString *text;
  guint64 n_nuls;          /* passed over so far */
  guint64 n_trailing_nuls; /* of these, behind all text so far */
};

typedef struct
{
  const char *bytes;
  gsize length;
  const char *what; /* for a person */
} Magic;

#define MAGIC(bytes, what)                                                                         \
  {                                                                                                \
    bytes, sizeof bytes - 1, what                                                                  \
  }

static const Magic magics[] = {
  MAGIC ("\x89PNG", N_ ("a PNG picture")),
  MAGIC ("\xff\xd8\xff", N_ ("a JPEG picture")),
  MAGIC ("GIF8", N_ ("a GIF picture")),
  MAGIC ("RIFF", N_ ("a picture, sound or film")),
  MAGIC ("%PDF", N_ ("a PDF document")),
  MAGIC ("SQLite format 3", N_ ("a database")),
  MAGIC ("\x7f"
         "ELF",
         N_ ("a program")),
};

static gboolean
check_is_text (const guint8 *head, gsize length, GError **error)
{
  for (guint i = 0; i < G_N_ELEMENTS (magics); i++)
    if (length >= magics[i].length && memcmp (head, magics[i].bytes, magics[i].length) == 0)
      {
        g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NOT_TEXT,
                     _ ("this is %s, not a text file; export the log as CSV text"),
                     _ (magics[i].what));
        return FALSE;
      }
  /* what older versions write, and newer ones where a password locks it */
  if (length >= 4 && memcmp (head, "\xd0\xcf\x11\xe0", 4) == 0)
    {
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NOT_TEXT,
                           _ ("this is an old office document, or one with a password; save the "
                              "sheet as .xlsx without one, or as CSV"));
      return FALSE;
    }
  return TRUE;
}

/* UTF-16 without a mark: Latin text has a NUL in every other byte. NULL if it is not that. */
static const char *
guess_utf16 (const guint8 *head, gsize length)
{
  gsize nuls[2] = { 0, 0 };
  for (gsize i = 0; i < length; i++)
    nuls[i % 2] += head[i] == 0;
  if (nuls[1] > length / 3 && nuls[0] < length / 100 + 1)
    return "UTF-16LE";
  if (nuls[0] > length / 3 && nuls[1] < length / 100 + 1)
    return "UTF-16BE";
  return NULL;
}

static gsize
trim_nuls (const guint8 *head, gsize length)
{
  while (length > 0 && head[length - 1] == 0)
    length--;
  return length;
}

static gsize
count_nuls (const guint8 *head, gsize length)
{
  gsize n = 0;
  for (gsize i = 0; i < length; i++)
    n += head[i] == 0;
  return n;
}

/* NULs aside; a character cut by the end of the head does not count against it. */
static gboolean
is_utf8 (const guint8 *head, gsize length, gboolean at_end)
{
  const char *p = (const char *)head;
  const char *end = p + length;
  while (p < end)
    {
      const char *bad;
      if (g_utf8_validate_len (p, (gsize)(end - p), &bad))
        return TRUE;
      if (*bad == '\0')
        p = bad + 1;
      else
        return !at_end && end - bad < 4
               && g_utf8_get_char_validated (bad, end - bad) == (gunichar)-2;
    }
  return TRUE;
}

static gboolean
set_converter (TideDecoder *decoder, const char *encoding)
{
  GCharsetConverter *converter = g_charset_converter_new ("UTF-8", encoding, NULL);
  if (!converter)
    return FALSE;
  g_charset_converter_set_use_fallback (converter, TRUE);
  decoder->converter = G_CONVERTER (converter);
  decoder->encoding = g_strdup (encoding);
  return TRUE;
}

/* Latin-1 is always there, and gives every byte a meaning. */
static void
set_guessed_converter (TideDecoder *decoder, const guint8 *head, gsize length)
{
  g_autofree char *guess = tide_guess_encoding (head, length);
  decoder->is_guess = !tide_has_only_unit_signs (head, length);
  if (!set_converter (decoder, guess))
    set_converter (decoder, "ISO-8859-1");
}

static gboolean
take_stated_encoding (TideDecoder *decoder, const char *encoding, GError **error)
{
  gboolean is_utf8 =
      g_ascii_strcasecmp (encoding, "UTF-8") == 0 || g_ascii_strcasecmp (encoding, "UTF8") == 0;
  if (is_utf8 || set_converter (decoder, encoding))
    return TRUE;
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               _ ("encoding: \"%s\" is not known here"), encoding);
  return FALSE;
}

/* The length of the byte-order mark, and what it says. */
static gsize
find_mark (const guint8 *head, gsize length, const char **encoding)
{
  static const struct
  {
    const char *bytes, *encoding;
  } marks[] = { { "\xef\xbb\xbf", "UTF-8" },
                { "\xff\xfe", "UTF-16LE" },
                { "\xfe\xff", "UTF-16BE" } };
  for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
    {
      gsize n = strlen (marks[i].bytes);
      if (length >= n && memcmp (head, marks[i].bytes, n) == 0)
        {
          *encoding = marks[i].encoding;
          return n;
        }
    }
  *encoding = NULL;
  return 0;
}

static gboolean
decide_encoding (TideDecoder *decoder,
                 const guint8 *head,
                 gsize length,
                 gboolean at_end,
                 GPtrArray *complaints,
                 GError **error)
{
  const char *marked;
  decoder->mark_length = find_mark (head, length, &marked);
  if (marked && g_strcmp0 (marked, "UTF-8") != 0)
    return set_converter (decoder, marked);
  const char *utf16 = guess_utf16 (head, trim_nuls (head, length));
  if (utf16)
    {
      set_converter (decoder, utf16);
      g_ptr_array_add (complaints,
                       tide_complaint_new (0, NULL, _ ("no byte-order mark; read as %s"), utf16));
      return TRUE;
    }
  gsize n_text = trim_nuls (head, length);
  if (n_text == 0 || count_nuls (head, n_text) > n_text / BYTES_PER_NUL)
    {
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NOT_TEXT,
                           _ ("this is not a text file; export the log as CSV text"));
      return FALSE;
    }
  if (is_utf8 (head, n_text, at_end))
    return TRUE;
  decoder->mark_length = 0;
  set_guessed_converter (decoder, head, n_text);
  g_ptr_array_add (complaints, tide_complaint_new (0, NULL, _ ("the text is not UTF-8; read as %s"),
                                                   decoder->encoding));
  return TRUE;
}

/* A mark is passed over where it is one of the stated encoding. */
static gboolean
state_encoding (TideDecoder *decoder,
                const guint8 *head,
                gsize length,
                const char *encoding,
                GError **error)
{
  const char *marked;
  gsize mark_length = find_mark (head, length, &marked);
  if (marked && g_ascii_strcasecmp (marked, encoding) == 0)
    decoder->mark_length = mark_length;
  return take_stated_encoding (decoder, encoding, error);
}

TideDecoder *
tide_decoder_new (const guint8 *head,
                  gsize length,
                  gboolean at_end,
                  const char *encoding,
                  GPtrArray *complaints,
                  GError **error)
{
  if (length == 0)
    {
      g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY,
                           _ ("the file is empty"));
      return NULL;
    }
  if (!check_is_text (head, length, error))
    return NULL;
  g_autoptr (TideDecoder) decoder = g_new0 (TideDecoder, 1);
  decoder->waiting = g_byte_array_new ();
  decoder->text = g_string_new (NULL);
  gboolean is_decided = encoding
                            ? state_encoding (decoder, head, length, encoding, error)
                            : decide_encoding (decoder, head, length, at_end, complaints, error);
  if (!is_decided)
    return NULL;
  return g_steal_pointer (&decoder);
}

void
tide_decoder_free (TideDecoder *decoder)
{
  g_clear_object (&decoder->converter);
  g_free (decoder->encoding);
  g_byte_array_unref (decoder->waiting);
  g_string_free (decoder->text, TRUE);
  g_free (decoder);
}

const char *
tide_decoder_get_encoding (const TideDecoder *decoder)
{
  return decoder->encoding ? decoder->encoding : "UTF-8";
}

gboolean
tide_decoder_is_guess (const TideDecoder *decoder)
{
  return decoder->is_guess;
}

/* Converts what it can of waiting into text, which grows as needed. */
static gboolean
convert_waiting (TideDecoder *decoder, gboolean at_end, GError **error)
{
  GConverterFlags flags = at_end ? G_CONVERTER_INPUT_AT_END : G_CONVERTER_NO_FLAGS;
  while (decoder->waiting->len > 0)
    {
      char buffer[16384];
      gsize n_read = 0, n_written = 0;
      g_autoptr (GError) problem = NULL;
      GConverterResult result =
          g_converter_convert (decoder->converter, decoder->waiting->data, decoder->waiting->len,
                               buffer, sizeof buffer, flags, &n_read, &n_written, &problem);
      if (result == G_CONVERTER_ERROR)
        {
          /* half a character: the rest comes with the next bytes, or never */
          if (g_error_matches (problem, G_IO_ERROR, G_IO_ERROR_PARTIAL_INPUT))
            return TRUE;
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
      g_string_append_len (decoder->text, buffer, (gssize)n_written);
      g_byte_array_remove_range (decoder->waiting, 0, (guint)n_read);
      if (result == G_CONVERTER_FINISHED || (n_read == 0 && n_written == 0))
        break;
    }
  return TRUE;
}

/* Takes the NULs out of text, which is not empty; gives the new length. */
static gsize
drop_nuls (TideDecoder *decoder, char *text, gsize length)
{
  gsize kept = 0, n_trailing = length - trim_nuls ((const guint8 *)text, length);
  for (gsize i = 0; i < length; i++)
    if (text[i] != '\0')
      text[kept++] = text[i];
  decoder->n_nuls += length - kept;
  decoder->n_trailing_nuls = n_trailing + (kept == 0 ? decoder->n_trailing_nuls : 0);
  return kept;
}

/* Text is decoder->text, or the bytes of a file that is UTF-8: copied only where there is a NUL. */
static void
give_text (TideDecoder *decoder, const char **text, gsize *length)
{
  if (*length == 0)
    return;
  if (!memchr (*text, '\0', *length))
    {
      decoder->n_trailing_nuls = 0;
      return;
    }
  if (!decoder->converter)
    {
      g_string_truncate (decoder->text, 0);
      g_string_append_len (decoder->text, *text, (gssize)*length);
    }
  *length = drop_nuls (decoder, decoder->text->str, *length);
  *text = decoder->text->str;
}

gboolean
tide_decoder_feed (TideDecoder *decoder,
                   const guint8 *bytes,
                   gsize length,
                   gboolean at_end,
                   const char **text,
                   gsize *text_length,
                   GError **error)
{
  gsize mark = MIN (decoder->mark_length, length);
  decoder->mark_length -= mark;
  bytes += mark;
  length -= mark;
  if (!decoder->converter)
    {
      *text = (const char *)bytes;
      *text_length = length;
      give_text (decoder, text, text_length);
      return TRUE;
    }
  g_string_truncate (decoder->text, 0);
  g_byte_array_append (decoder->waiting, bytes, (guint)length);
  if (!convert_waiting (decoder, at_end, error))
    return FALSE;
  *text = decoder->text->str;
  *text_length = decoder->text->len;
  give_text (decoder, text, text_length);
  return TRUE;
}

void
tide_decoder_tell (const TideDecoder *decoder, GPtrArray *complaints)
{
  guint64 n_inner = decoder->n_nuls - decoder->n_trailing_nuls;
  if (n_inner > 0)
    g_ptr_array_add (
        complaints,
        tide_complaint_new (0, NULL,
                            ngettext ("%" PRIu64 " NUL character in the text was passed over",
                                      "%" PRIu64 " NUL characters in the text were passed over",
                                      (gulong)n_inner),
                            n_inner));
  if (decoder->n_trailing_nuls > 0)
    g_ptr_array_add (
        complaints,
        tide_complaint_new (0, NULL,
                            ngettext ("%" PRIu64 " NUL character behind the text was passed over",
                                      "%" PRIu64 " NUL characters behind the text were passed over",
                                      (gulong)decoder->n_trailing_nuls),
                            decoder->n_trailing_nuls));
}
