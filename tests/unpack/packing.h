/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Archives and workbooks made for tests by libarchive's and GIO's writers, and all that the unpacker finds in them. */
#pragma once

#include <gio/gio.h>

#include "unpack/unpack.h"

typedef struct {
  const char *path;
  const char *content; /* NULL: a folder */
  gssize length;       /* 0: up to the NUL */
} PackedFile;

/* options: libarchive's, "compression=store", or NULL; "encryption=..." takes the password "secret". NULL where this
 * libarchive cannot do that. Ends at a file without a path. */
GBytes *pack_zip  (const PackedFile *files, const char *options);
GBytes *pack_gzip (const char *content, gssize length);
GBytes *join      (GBytes *a, GBytes *b);

/* One text as the unpacker gave it. */
typedef struct {
  char *member;
  GString *text;         /* up to an error */
  GError *error;         /* of this text */
  GPtrArray *complaints; /* TideComplaint */
} Unpacked;

/* Unpacked, transfer full; NULL and an error when the unpacker refused the file. Holds the hash against GLib's. */
GPtrArray *unpack_all    (GBytes *bytes, const char *sheet, GError **error);
GPtrArray *unpack_stream (GInputStream *stream, const char *sheet, GError **error);
/* The file must be refused so. */
void       assert_not_unpacked (GBytes *bytes, const char *sheet, int code, const char *words);
/* Error and message are as every error is to be. */
void       assert_one_line (const GError *error);
/* The unpacked text number i is this. */
void       assert_text (GPtrArray *texts, guint i, const char *member, const char *text);
/* It ends in that error. */
void       assert_failed (GPtrArray *texts, guint i, int code, const char *words);
/* Cut at every step bytes and with single bytes changed, the file gives texts or one line, and ends. */
void       assert_survives_damage (GBytes *bytes, gsize step);
