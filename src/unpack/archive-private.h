/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files in a ZIP archive, looked up and read one at a time; nothing is written to disk. */
#pragma once

#include <gio/gio.h>

typedef struct {
  char *path;             /* in the archive; UTF-8, no control characters */
  guint entry;            /* which of the archive's entries it is, from 0 */
  gboolean is_encrypted;
} TideMember;

typedef struct _TideArchive TideArchive;

/* raw: can seek; read from its beginning. Errors: those of raw, TIDE_UNPACK_ERROR_PACKED. */
TideArchive *tide_archive_new         (GInputStream *raw, GCancellable *cancellable, GError **error);
void         tide_archive_free        (TideArchive *archive);
/* TideMember, files only, in the archive's order. */
GPtrArray   *tide_archive_get_members (TideArchive *archive);
/* NULL: there is none of that path. */
TideMember  *tide_archive_find        (TideArchive *archive, const char *path);
/* Those in the archive's order cost no look back. */
gboolean     tide_archive_open        (TideArchive *archive, const TideMember *member, GError **error);
/* Of the member that is open: how many bytes came, 0 at its end, -1 on error. */
gssize       tide_archive_read        (TideArchive *archive, void *buffer, gsize size, GError **error);
/* FALSE and an error when text made of what was read grows beyond what archives may. */
gboolean     tide_archive_bears_text  (const TideArchive *archive, guint64 text_bytes, GError **error);
/* How far into the archive reading came: bytes, at most those it has; never less than before. */
goffset      tide_archive_get_done    (TideArchive *archive);

/* A name from a file made fit for one line: control characters become "?". Transfer full. */
char        *tide_name_clean          (const char *name);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideArchive, tide_archive_free)
