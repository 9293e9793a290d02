/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A second look, beyond the head: where the order of a table's dates is in question, all of its
 * dates are held against each other before anybody is asked.
 *
 * Only then, and only where the file can be wound back. Costs one more read of the file, and memory
 * for one piece of it. What goes wrong on the way is no concern here but for being cancelled: the
 * reading proper will meet it again.
 */
#include "reading/texts-private.h"

typedef struct
{
  TideOrderScan scan;
  guint column;
} Ahead;

static void
take_field_cb (guint column, const char *text, gsize length, gpointer user_data)
{
  Ahead *ahead = user_data;
  if (column == ahead->column)
    tide_order_scan_feed (&ahead->scan, text, length);
}

static void
pass_record_cb (guint64 row G_GNUC_UNUSED,
                guint n_fields G_GNUC_UNUSED,
                gboolean terminated G_GNUC_UNUSED,
                gpointer user_data G_GNUC_UNUSED)
{
}

/* Which text of the file: from 1. */
static TideUnpacker *
open_text (GInputStream *raw,
           const TideReadingRule *rule,
           guint text,
           GCancellable *cancellable,
           GError **error)
{
  g_autoptr (TideUnpacker) unpacker = tide_texts_unpack (raw, FALSE, rule, cancellable, error);
  for (guint i = 0; unpacker && i < text; i++)
    if (!tide_unpacker_next (unpacker))
      return NULL;
  return g_steal_pointer (&unpacker);
}

/* All of the text goes through tokens, from where the table begins. */
static gboolean
scan_text (TideUnpacker *unpacker, const TideUnderstanding *u, TideTokens *tokens, GError **error)
{
  const guint8 *bytes;
  const char *text;
  gsize length, text_length;
  gboolean at_end;
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (TideDecoder) decoder = NULL;
  do
    {
      if (!tide_texts_read (unpacker, &bytes, &length, &at_end, error))
        return FALSE;
      gsize begin = decoder ? 0 : u->data_offset;
      if (!decoder)
        decoder = tide_decoder_new (bytes, length, at_end, u->encoding, complaints, error);
      if (!decoder
          || !tide_decoder_feed (decoder, bytes, length, at_end, &text, &text_length, error)
          || !tide_tokens_feed (tokens, text + begin, text_length - begin, error))
        return FALSE;
    }
  while (!at_end);
  return tide_tokens_finish (tokens, error);
}

static void
look_ahead (TideUnpacker *unpacker, TideUnderstanding *u, GError **error)
{
  Ahead ahead = { .column = (guint)tide_order_get_column (u) };
  tide_order_scan_init (&ahead.scan);
  g_autoptr (TideTokens) tokens = tide_tokens_new (u->delimiter, u->wrapped, u->first_row,
                                                   take_field_cb, pass_record_cb, &ahead);
  if (scan_text (unpacker, u, tokens, error))
    tide_order_settle (u, &ahead.scan);
}

gboolean
tide_orders_look_ahead (GInputStream *raw,
                        const TideReadingRule *rule,
                        guint text,
                        GPtrArray *tables,
                        GCancellable *cancellable,
                        GError **error)
{
  /* the last table is the one that goes on beyond the head */
  TideUnderstanding *u = g_ptr_array_index (tables, tables->len - 1);
  g_autoptr (GError) problem = NULL;
  if (tide_order_get_column (u) < 0 || !G_IS_SEEKABLE (raw)
      || !g_seekable_can_seek (G_SEEKABLE (raw)))
    return TRUE;
  goffset at = g_seekable_tell (G_SEEKABLE (raw));
  if (!g_seekable_seek (G_SEEKABLE (raw), 0, G_SEEK_SET, cancellable, error))
    return FALSE;
  g_autoptr (TideUnpacker) unpacker = open_text (raw, rule, text, cancellable, &problem);
  if (unpacker)
    look_ahead (unpacker, u, &problem);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return FALSE;
  return g_seekable_seek (G_SEEKABLE (raw), at, G_SEEK_SET, cancellable, error);
}
