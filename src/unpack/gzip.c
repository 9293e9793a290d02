/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gzip through GIO's converter. A gzip file may be several streams end to end (RFC 1952, 2.2:
 * loggers that append write them so); the converter knows one, so it is begun anew for each. Zeros
 * behind the last pad a tape or a block and mean nothing; anything else there is told of.
 */
#include "unpack/gzip-private.h"

#include <glib/gi18n-lib.h>

#include "unpack/unpack-private.h"

#define GZIP_FIRST_BYTE 0x1f
#define OUTPUT_BYTES    16384

struct _TideGzip
{
  GConverter *converter;
  gboolean in_stream; /* between its first and its last byte */
  gboolean has_ended; /* the first stream has: what comes may be none */
  gboolean has_remains;
  guint64 n_in, n_out;
};

TideGzip *
tide_gzip_new (void)
{
  TideGzip *gzip = g_new0 (TideGzip, 1);
  gzip->converter = G_CONVERTER (g_zlib_decompressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP));
  return gzip;
}

void
tide_gzip_free (TideGzip *gzip)
{
  g_object_unref (gzip->converter);
  g_free (gzip);
}

/* Passes over what is between two streams, or behind the last. */
static gsize
skip_padding (TideGzip *gzip, const guint8 *bytes, gsize length)
{
  if (gzip->has_remains)
    return length;
  gsize n = 0;
  while (gzip->has_ended && n < length && bytes[n] == 0)
    n++;
  gzip->has_remains = gzip->has_ended && n < length && bytes[n] != GZIP_FIRST_BYTE;
  return gzip->has_remains ? length : n;
}

static gboolean
convert (TideGzip *gzip,
         const guint8 *bytes,
         gsize length,
         gsize *used,
         GString *text,
         gboolean *wants_more,
         GError **error)
{
  char output[OUTPUT_BYTES];
  gsize written = 0;
  g_autoptr (GError) problem = NULL;
  GConverterResult result = g_converter_convert (gzip->converter, bytes, length, output,
                                                 sizeof output, 0, used, &written, &problem);
  if (g_error_matches (problem, G_IO_ERROR, G_IO_ERROR_PARTIAL_INPUT))
    {
      *wants_more = TRUE;
      return TRUE;
    }
  if (result == G_CONVERTER_ERROR)
    {
      g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                           _ ("this gzip archive is damaged; fetch or export it again"));
      return FALSE;
    }
  gzip->in_stream = result != G_CONVERTER_FINISHED;
  if (!gzip->in_stream)
    {
      g_converter_reset (gzip->converter);
      gzip->has_ended = TRUE;
    }
  g_string_append_len (text, output, (gssize)written);
  gzip->n_in += *used;
  gzip->n_out += written;
  return tide_unpacked_is_bearable (gzip->n_in, gzip->n_out, error);
}

gboolean
tide_gzip_unpack (TideGzip *gzip,
                  const guint8 *bytes,
                  gsize length,
                  gsize *used,
                  GString *text,
                  gboolean *wants_more,
                  GError **error)
{
  gsize skipped = gzip->in_stream ? 0 : skip_padding (gzip, bytes, length);
  *used = 0;
  *wants_more = FALSE;
  if (!gzip->in_stream && skipped == length)
    *wants_more = TRUE;
  else if (!convert (gzip, bytes + skipped, length - skipped, used, text, wants_more, error))
    return FALSE;
  *used += skipped;
  return TRUE;
}

gboolean
tide_gzip_is_whole (const TideGzip *gzip)
{
  return gzip->has_ended && !gzip->in_stream;
}

gboolean
tide_gzip_has_remains (const TideGzip *gzip)
{
  return gzip->has_remains;
}
