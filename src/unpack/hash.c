/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The SHA-256 of a file, worked out on the way. Nettle uses the processor's own instructions where
 * there are some; then this costs less than handing the bytes to another thread.
 */
#include "unpack/hash-private.h"

#include <nettle/sha2.h>

#include "unpack/unpack.h"

struct _TideHash
{
  struct sha256_ctx context;
  char text[2 * SHA256_DIGEST_SIZE + 1];
  guint8 buffer[TIDE_PIECE_BYTES];
};

TideHash *
tide_hash_new (void)
{
  TideHash *hash = g_new (TideHash, 1);
  sha256_init (&hash->context);
  return hash;
}

guint8 *
tide_hash_next_buffer (TideHash *hash, gsize length)
{
  sha256_update (&hash->context, length, hash->buffer);
  return hash->buffer;
}

const char *
tide_hash_finish (TideHash *hash, gsize length)
{
  guint8 digest[SHA256_DIGEST_SIZE];
  sha256_update (&hash->context, length, hash->buffer);
  sha256_digest (&hash->context, sizeof digest, digest);
  for (guint i = 0; i < sizeof digest; i++)
    g_snprintf (hash->text + 2 * i, 3, "%02x", digest[i]);
  return hash->text;
}

void
tide_hash_free (TideHash *hash)
{
  g_free (hash);
}
