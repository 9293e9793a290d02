/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The SHA-256 of a file, worked out in a thread beside the reading of it: hashing takes half as
 * long as all the rest.
 *
 * A few buffers go round: the reader fills one, uses it, and gives it to the thread for an empty
 * one. When all are waiting to be hashed the reader waits too, so memory stays bounded however slow
 * the thread is.
 */
#include "reading/reading-private.h"

#define N_BUFFERS 4

typedef struct
{
  gsize length;
  gboolean is_last;
  guint8 bytes[TIDE_HEAD_BYTES];
} Piece;

struct _TideHash
{
  GAsyncQueue *empty, *full; /* Piece, owned */
  Piece *held;               /* by the reader */
  GThread *thread;           /* NULL once it is joined */
  GChecksum *checksum;       /* the thread's until then */
};

static gpointer
hash_pieces_cb (gpointer data)
{
  TideHash *hash = data;
  gboolean is_last;
  do
    {
      Piece *piece = g_async_queue_pop (hash->full);
      g_checksum_update (hash->checksum, piece->bytes, (gssize)piece->length);
      is_last = piece->is_last;
      g_async_queue_push (hash->empty, piece);
    }
  while (!is_last);
  return NULL;
}

TideHash *
tide_hash_new (void)
{
  TideHash *hash = g_new0 (TideHash, 1);
  hash->checksum = g_checksum_new (G_CHECKSUM_SHA256);
  hash->empty = g_async_queue_new_full (g_free);
  hash->full = g_async_queue_new_full (g_free);
  for (guint i = 0; i < N_BUFFERS - 1; i++)
    g_async_queue_push (hash->empty, g_new0 (Piece, 1));
  hash->held = g_new0 (Piece, 1);
  hash->thread = g_thread_new ("hash", hash_pieces_cb, hash);
  return hash;
}

guint8 *
tide_hash_next_buffer (TideHash *hash, gsize length)
{
  hash->held->length = length;
  g_async_queue_push (hash->full, hash->held);
  hash->held = g_async_queue_pop (hash->empty);
  return hash->held->bytes;
}

const char *
tide_hash_finish (TideHash *hash, gsize length)
{
  hash->held->length = length;
  hash->held->is_last = TRUE;
  g_async_queue_push (hash->full, g_steal_pointer (&hash->held));
  g_thread_join (g_steal_pointer (&hash->thread));
  return g_checksum_get_string (hash->checksum);
}

void
tide_hash_free (TideHash *hash)
{
  if (hash->thread != NULL)
    tide_hash_finish (hash, 0);
  g_async_queue_unref (hash->empty);
  g_async_queue_unref (hash->full);
  g_checksum_free (hash->checksum);
  g_free (hash);
}
