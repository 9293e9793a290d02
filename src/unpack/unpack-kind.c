/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The marks that packed files begin with. Where a format has no longer mark of its own, the one of
 * the data behind it is asked for as well, so that no text is taken for an archive.
 */
#include "unpack/unpack-kind-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "unpack/unpack.h"

typedef struct
{
  TideKind kind;
  gsize offset;
  const char *bytes;
  gsize length;
  const char *what;
} Magic;

#define MAGIC(kind, offset, bytes, what)                                                           \
  {                                                                                                \
    kind, offset, bytes, sizeof bytes - 1, what                                                    \
  }

static const Magic magics[] = {
  MAGIC (TIDE_KIND_GZIP, 0, "\x1f\x8b", N_ ("a gzip archive")),
  MAGIC (TIDE_KIND_ZIP, 0, "PK\x03\x04", N_ ("a ZIP archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "PK\x05\x06", N_ ("an empty ZIP archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "PK\x07\x08", N_ ("one part of a split ZIP archive")),
  MAGIC (TIDE_KIND_REFUSED, 4, "1AY&SY", N_ ("a bzip2 archive")),
  MAGIC (TIDE_KIND_REFUSED,
         0,
         "\xfd"
         "7zXZ",
         N_ ("an xz archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "7z\xbc\xaf", N_ ("a 7z archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "\x28\xb5\x2f\xfd", N_ ("a zstd archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "\x04\x22\x4d\x18", N_ ("an lz4 archive")),
  MAGIC (TIDE_KIND_REFUSED, 0, "Rar!\x1a\x07", N_ ("a RAR archive")),
  MAGIC (TIDE_KIND_REFUSED, 257, "ustar", N_ ("a tar archive")),
};

TideKind
tide_kind_find (const guint8 *bytes, gsize length, const char **what)
{
  for (guint i = 0; i < G_N_ELEMENTS (magics); i++)
    if (length >= magics[i].offset + magics[i].length
        && memcmp (bytes + magics[i].offset, magics[i].bytes, magics[i].length) == 0)
      {
        *what = magics[i].what;
        return magics[i].kind;
      }
  *what = NULL;
  return TIDE_KIND_PLAIN;
}

gboolean
tide_is_packed (const guint8 *bytes, gsize length)
{
  const char *what;
  return tide_kind_find (bytes, length, &what) != TIDE_KIND_PLAIN;
}
