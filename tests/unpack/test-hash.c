/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The hash of a file in pieces against GLib's of the whole, and giving up in the middle. */
#include "unpack/hash-private.h"

#include <string.h>

#include "unpack/unpack.h"

#define PIECE 1000

/* What a file of so many bytes hashes to, read in pieces. Transfer full. */
static char *
hash_in_pieces (const guint8 *bytes, gsize size)
{
  g_autoptr (TideHash) hash = tide_hash_new ();
  gsize length = 0;
  for (gsize done = 0; done <= size; done += length)
    {
      guint8 *buffer = tide_hash_next_buffer (hash, length);
      length = MIN (size - done, PIECE);
      memcpy (buffer, bytes + done, length);
      if (length < PIECE)
        break;
    }
  return g_strdup (tide_hash_finish (hash, length));
}

static void
test_same_as_whole (void)
{
  static const gsize sizes[] = {
    0, 1, PIECE - 1, PIECE, 2500, 3 * PIECE, 9 * PIECE, 50 * PIECE + 7
  };
  g_autofree guint8 *bytes = g_malloc (51 * PIECE);
  for (gsize i = 0; i < 51 * PIECE; i++)
    bytes[i] = (guint8)(i * 31 + i / 256);
  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    {
      g_autofree char *ours = hash_in_pieces (bytes, sizes[i]);
      g_autofree char *whole = g_compute_checksum_for_data (G_CHECKSUM_SHA256, bytes, sizes[i]);
      g_assert_cmpstr (ours, ==, whole);
    }
}

/* FIPS 180-2, appendix B.1. */
static void
test_published (void)
{
  g_autofree char *hash = hash_in_pieces ((const guint8 *)"abc", 3);
  g_assert_cmpstr (hash, ==, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

/* Reading that fails leaves nothing waiting. */
static void
test_give_up (void)
{
  for (guint n_pieces = 0; n_pieces < 12; n_pieces++)
    {
      g_autoptr (TideHash) hash = tide_hash_new ();
      for (guint i = 0; i < n_pieces; i++)
        memset (tide_hash_next_buffer (hash, i == 0 ? 0 : TIDE_PIECE_BYTES), 'x', TIDE_PIECE_BYTES);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/unpack/hash/same-as-whole", test_same_as_whole);
  g_test_add_func ("/unpack/hash/published", test_published);
  g_test_add_func ("/unpack/hash/give-up", test_give_up);
  return g_test_run ();
}
