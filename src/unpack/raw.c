/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pieces of a file go through the buffers of hash.c, so that they are hashed where they were
 * read, without a copy.
 *
 * An archive needs to seek. Its file is then read to the end for the hash, before it is unpacked; a
 * pipe's bytes are kept besides, up to TIDE_MAX_HELD_BYTES.
 */
#include "unpack/raw-private.h"

#include <glib/gi18n-lib.h>

#include "unpack/hash-private.h"
#include "unpack/unpack.h"

struct _TideRaw
{
  GInputStream *stream;
  GCancellable *cancellable;
  TideHash *hash;     /* NULL: not wanted */
  guint8 *own_buffer; /* TIDE_PIECE_BYTES, where there is no hash */
  const guint8 *bytes;
  gsize length;
  gboolean at_end;
  goffset done;
  const char *sha256; /* of hash, once all was read */
  GInputStream *held; /* what came through a pipe */
};

TideRaw *
tide_raw_new (GInputStream *stream, gboolean is_hashed, GCancellable *cancellable)
{
  TideRaw *raw = g_new0 (TideRaw, 1);
  raw->stream = g_object_ref (stream);
  raw->cancellable = cancellable ? g_object_ref (cancellable) : NULL;
  if (is_hashed)
    raw->hash = tide_hash_new ();
  else
    raw->own_buffer = g_malloc (TIDE_PIECE_BYTES);
  return raw;
}

void
tide_raw_free (TideRaw *raw)
{
  g_clear_pointer (&raw->hash, tide_hash_free);
  g_free (raw->own_buffer);
  g_clear_object (&raw->held);
  g_clear_object (&raw->cancellable);
  g_object_unref (raw->stream);
  g_free (raw);
}

gboolean
tide_raw_read (TideRaw *raw, GError **error)
{
  guint8 *buffer = raw->hash ? tide_hash_next_buffer (raw->hash, raw->length) : raw->own_buffer;
  raw->bytes = buffer;
  if (!g_input_stream_read_all (raw->stream, buffer, TIDE_PIECE_BYTES, &raw->length,
                                raw->cancellable, error)
      || g_cancellable_set_error_if_cancelled (raw->cancellable, error))
    return FALSE;
  raw->at_end = raw->length < TIDE_PIECE_BYTES;
  raw->done += (goffset)raw->length;
  return TRUE;
}

const guint8 *
tide_raw_get_bytes (const TideRaw *raw, gsize *length)
{
  *length = raw->length;
  return raw->bytes;
}

gboolean
tide_raw_is_at_end (const TideRaw *raw)
{
  return raw->at_end;
}

goffset
tide_raw_get_done (const TideRaw *raw)
{
  return raw->done;
}

static gboolean
hold_stream (TideRaw *raw, GError **error)
{
  g_autoptr (GByteArray) held = g_byte_array_new ();
  g_byte_array_append (held, raw->bytes, (guint)raw->length);
  while (!raw->at_end)
    {
      if (!tide_raw_read (raw, error))
        return FALSE;
      g_byte_array_append (held, raw->bytes, (guint)raw->length);
      if (held->len <= TIDE_MAX_HELD_BYTES)
        continue;
      g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                   _ ("this archive comes through a pipe and has more than %d MiB; save it as a "
                      "file first"),
                   TIDE_MAX_HELD_BYTES / (1024 * 1024));
      return FALSE;
    }
  g_autoptr (GBytes) bytes = g_byte_array_free_to_bytes (g_steal_pointer (&held));
  raw->held = g_memory_input_stream_new_from_bytes (bytes);
  return TRUE;
}

GInputStream *
tide_raw_make_seekable (TideRaw *raw, GError **error)
{
  gboolean can_seek = G_IS_SEEKABLE (raw->stream) && g_seekable_can_seek (G_SEEKABLE (raw->stream));
  if (!can_seek && !hold_stream (raw, error))
    return NULL;
  if (raw->hash && !tide_raw_finish (raw, error))
    return NULL;
  return can_seek ? raw->stream : raw->held;
}

const char *
tide_raw_finish (TideRaw *raw, GError **error)
{
  g_return_val_if_fail (raw->hash != NULL, NULL);
  while (!raw->at_end)
    if (!tide_raw_read (raw, error))
      return NULL;
  if (!raw->sha256)
    raw->sha256 = tide_hash_finish (raw->hash, raw->length);
  return raw->sha256;
}
