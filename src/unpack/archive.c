/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A ZIP archive through libarchive's seeking reader: it goes by the directory at the archive's end,
 * so that members are found whatever their order, encrypted ones are known as such and those not
 * asked for are not unpacked. An archive cut short has no directory and is refused.
 *
 * Hostile archives: the directory may not be larger than MAX_DIRECTORY_BYTES nor name more than
 * TIDE_MAX_MEMBERS, and what comes out is held against what went in (TIDE_MAX_UNPACKED_RATIO), over
 * all that was read since the archive was last looked at from its beginning. Members that overlap
 * gain nothing.
 */
#include "unpack/archive-private.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <glib/gi18n-lib.h>
#include <stdio.h>

#include "unpack/unpack-private.h"

#define BUFFER_BYTES (64 * 1024)
/* libarchive keeps all of it in memory: a hundred times what TIDE_MAX_MEMBERS take. */
#define MAX_DIRECTORY_BYTES (4 * 1024 * 1024)

struct _TideArchive
{
  GInputStream *raw;
  GCancellable *cancellable;
  goffset size, done;
  GPtrArray *members;
  struct archive *handle; /* NULL: to be looked at from the beginning */
  guint next_entry;       /* the one that comes with the handle's next header */
  gboolean in_directory;  /* the handle has not told of an entry yet */
  guint64 n_in, n_out;    /* bytes, of the handle */
  GError *problem;        /* of raw: stands before what libarchive says */
  guint8 buffer[BUFFER_BYTES];
};

static void
free_member (TideMember *member)
{
  g_free (member->path);
  g_free (member);
}

char *
tide_name_clean (const char *name)
{
  g_autofree char *valid = g_utf8_make_valid (name, -1);
  GString *clean = g_string_sized_new (strlen (valid));
  for (const char *p = valid; *p; p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);
      g_string_append_unichar (clean, g_unichar_isprint (c) ? c : '?');
    }
  return g_string_free (clean, FALSE);
}

/* ---- libarchive's callbacks ---- */

static la_ssize_t
read_raw_cb (struct archive *handle, void *data, const void **bytes)
{
  TideArchive *archive = data;
  gssize n = g_input_stream_read (archive->raw, archive->buffer, BUFFER_BYTES, archive->cancellable,
                                  archive->problem ? NULL : &archive->problem);
  if (n < 0 || (archive->in_directory && archive->n_in > MAX_DIRECTORY_BYTES))
    {
      archive_set_error (handle, EIO, "not readable");
      return ARCHIVE_FATAL;
    }
  archive->n_in += (guint64)n;
  archive->done = MAX (archive->done, MIN ((goffset)archive->n_in, archive->size));
  *bytes = archive->buffer;
  return n;
}

static la_int64_t
seek_raw_cb (struct archive *handle, void *data, la_int64_t offset, int whence)
{
  TideArchive *archive = data;
  GSeekType type = whence == SEEK_SET ? G_SEEK_SET : whence == SEEK_CUR ? G_SEEK_CUR : G_SEEK_END;
  /* a wrong offset is the archive's fault and needs no words of its own */
  if (!g_seekable_seek (G_SEEKABLE (archive->raw), offset, type, archive->cancellable, NULL))
    {
      archive_set_error (handle, EIO, "not there");
      return ARCHIVE_FATAL;
    }
  return g_seekable_tell (G_SEEKABLE (archive->raw));
}

/* ---- Going through it ---- */

static void
close_handle (TideArchive *archive)
{
  if (archive->handle)
    archive_read_free (archive->handle);
  archive->handle = NULL;
}

static gboolean
fail (TideArchive *archive, GError **error)
{
  close_handle (archive);
  if (archive->problem)
    g_propagate_error (error, g_steal_pointer (&archive->problem));
  else if (archive->in_directory && archive->n_in > MAX_DIRECTORY_BYTES)
    g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                 _ ("this archive has more than %d files; unpack it and import the logs"),
                 TIDE_MAX_MEMBERS);
  else
    g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                         _ ("this archive is damaged or cut short; fetch or export it again"));
  return FALSE;
}

static gboolean
open_handle (TideArchive *archive, GError **error)
{
  close_handle (archive);
  archive->next_entry = 0;
  archive->n_in = archive->n_out = 0;
  archive->in_directory = TRUE;
  if (!g_seekable_seek (G_SEEKABLE (archive->raw), 0, G_SEEK_SET, archive->cancellable, error))
    return FALSE;
  archive->handle = archive_read_new ();
  archive_read_support_format_zip_seekable (archive->handle);
  archive_read_set_callback_data (archive->handle, archive);
  archive_read_set_read_callback (archive->handle, read_raw_cb);
  archive_read_set_seek_callback (archive->handle, seek_raw_cb);
  return archive_read_open1 (archive->handle) == ARCHIVE_OK || fail (archive, error);
}

/* *entry is NULL behind the last. */
static gboolean
read_header (TideArchive *archive, struct archive_entry **entry, GError **error)
{
  *entry = NULL;
  int result = archive_read_next_header (archive->handle, entry);
  if (result == ARCHIVE_EOF)
    {
      *entry = NULL;
      return TRUE;
    }
  /* a warning is of a name that this machine's locale cannot write */
  if (result != ARCHIVE_OK && result != ARCHIVE_WARN)
    return fail (archive, error);
  archive->in_directory = FALSE;
  archive->next_entry++;
  return TRUE;
}

/* Transfer full. Names are UTF-8 nearly always, whether the archive says so or not. */
static char *
dup_path (struct archive_entry *entry)
{
  const char *path = archive_entry_pathname (entry);
  if (!path || !g_utf8_validate (path, -1, NULL))
    {
      const char *converted = archive_entry_pathname_utf8 (entry);
      if (converted)
        path = converted;
    }
  return tide_name_clean (path ? path : "?");
}

static gboolean
list_members (TideArchive *archive, GError **error)
{
  struct archive_entry *entry;
  while (read_header (archive, &entry, error) && entry)
    {
      if (archive->next_entry > TIDE_MAX_MEMBERS)
        {
          g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                       _ ("this archive has more than %d files; unpack it and import the logs"),
                       TIDE_MAX_MEMBERS);
          return FALSE;
        }
      if (archive_entry_filetype (entry) != AE_IFREG)
        continue;
      TideMember *member = g_new0 (TideMember, 1);
      member->path = dup_path (entry);
      member->entry = archive->next_entry - 1;
      member->is_encrypted = archive_entry_is_data_encrypted (entry) != 0;
      g_ptr_array_add (archive->members, member);
    }
  return archive->handle != NULL;
}

/* ---- Public ---- */

TideArchive *
tide_archive_new (GInputStream *raw, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (G_IS_SEEKABLE (raw), NULL);
  g_autoptr (TideArchive) archive = g_new0 (TideArchive, 1);
  archive->raw = g_object_ref (raw);
  archive->cancellable = cancellable ? g_object_ref (cancellable) : NULL;
  archive->members = g_ptr_array_new_with_free_func ((GDestroyNotify)free_member);
  if (!g_seekable_seek (G_SEEKABLE (raw), 0, G_SEEK_END, cancellable, error))
    return NULL;
  archive->size = g_seekable_tell (G_SEEKABLE (raw));
  if (!open_handle (archive, error) || !list_members (archive, error))
    return NULL;
  close_handle (archive);
  return g_steal_pointer (&archive);
}

void
tide_archive_free (TideArchive *archive)
{
  close_handle (archive);
  g_clear_error (&archive->problem);
  g_ptr_array_unref (archive->members);
  g_object_unref (archive->raw);
  g_clear_object (&archive->cancellable);
  g_free (archive);
}

GPtrArray *
tide_archive_get_members (TideArchive *archive)
{
  return archive->members;
}

TideMember *
tide_archive_find (TideArchive *archive, const char *path)
{
  for (guint i = 0; i < archive->members->len; i++)
    {
      TideMember *member = g_ptr_array_index (archive->members, i);
      if (strcmp (member->path, path) == 0)
        return member;
    }
  return NULL;
}

gboolean
tide_archive_open (TideArchive *archive, const TideMember *member, GError **error)
{
  if (member->is_encrypted)
    {
      g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                           _ ("locked with a password; unpack it and import the log itself"));
      return FALSE;
    }
  if ((!archive->handle || archive->next_entry > member->entry) && !open_handle (archive, error))
    return FALSE;
  while (archive->next_entry <= member->entry)
    {
      struct archive_entry *entry;
      if (!read_header (archive, &entry, error))
        return FALSE;
      if (!entry)
        return fail (archive, error);
    }
  return TRUE;
}

gssize
tide_archive_read (TideArchive *archive, void *buffer, gsize size, GError **error)
{
  if (!archive->handle) /* what failed once does not come back */
    {
      fail (archive, error);
      return -1;
    }
  la_ssize_t n = archive_read_data (archive->handle, buffer, size);
  if (n < 0)
    {
      fail (archive, error);
      return -1;
    }
  archive->n_out += (guint64)n;
  if (!tide_unpacked_is_bearable (archive->n_in, archive->n_out, error))
    return -1;
  return n;
}

gboolean
tide_archive_bears_text (const TideArchive *archive, guint64 text_bytes, GError **error)
{
  return tide_unpacked_is_bearable (archive->n_in, text_bytes, error);
}

goffset
tide_archive_get_done (TideArchive *archive)
{
  return archive->done;
}
