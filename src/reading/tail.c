/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See tail-private.h. The file is opened for each look and closed again: a name that was given to
 * another file meanwhile is noticed, and a drive can be taken out.
 *
 * What tells one file from another is what it says, not its inode: programs that save a growing log
 * whole give it a new one each time, and network drives make them up. Compared are the first bytes,
 * and the last before the place that was reached.
 */
#include "reading/tail-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "reading/opening-private.h"

#define BEGIN_BYTES (16 * 1024)
#define LAST_BYTES  (4 * 1024)
/* Enough to know UTF-16 by. */
#define SIGN_BYTES 64
/* So many NULs are no gap in the text but its end. */
#define NULS_BYTES (1024 * 1024)

struct _TideTail
{
  GFile *file;
  const char *name; /* borrowed */
  gboolean was_seen;
  goffset place;     /* how far the file was read */
  GByteArray *begin; /* its first BEGIN_BYTES */
  GByteArray *last;  /* the LAST_BYTES before place */
  GInputStream *stream;
  guint8 *buffer;
};

TideTail *
tide_tail_new (GFile *file, const char *name)
{
  TideTail *tail = g_new0 (TideTail, 1);

  tail->file = g_object_ref (file);
  tail->name = name;
  tail->begin = g_byte_array_new ();
  tail->last = g_byte_array_new ();
  tail->buffer = g_malloc (TIDE_HEAD_BYTES);
  return tail;
}

void
tide_tail_free (TideTail *tail)
{
  tide_tail_close (tail);
  g_object_unref (tail->file);
  g_byte_array_unref (tail->begin);
  g_byte_array_unref (tail->last);
  g_free (tail->buffer);
  g_free (tail);
}

/* ---- The same file? ---- */

/* A pipe would wait for its writer. What cannot be looked at is for opening to tell. */
static gboolean
check_is_file (TideTail *tail, GCancellable *cancellable, GError **error)
{
  g_autoptr (GFileInfo) info = g_file_query_info (tail->file, G_FILE_ATTRIBUTE_STANDARD_TYPE,
                                                  G_FILE_QUERY_INFO_NONE, cancellable, NULL);

  if (info == NULL || g_file_info_get_file_type (info) != G_FILE_TYPE_SPECIAL)
    return TRUE;
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE,
               _ ("%s: only a file on a drive can be followed"), tail->name);
  return FALSE;
}

static gboolean
seek (TideTail *tail, goffset place, GCancellable *cancellable, GError **error)
{
  return g_seekable_seek (G_SEEKABLE (tail->stream), place, G_SEEK_SET, cancellable, error);
}

/* Do the bytes stand at place, as they did? */
static gboolean
still_has (TideTail *tail,
           goffset place,
           const GByteArray *bytes,
           gboolean *has,
           GCancellable *cancellable,
           GError **error)
{
  gsize length;

  *has = bytes->len == 0;
  if (*has)
    return TRUE;
  if (!seek (tail, place, cancellable, error)
      || !g_input_stream_read_all (tail->stream, tail->buffer, bytes->len, &length, cancellable,
                                   error))
    return FALSE;
  *has = length == bytes->len && memcmp (tail->buffer, bytes->data, length) == 0;
  return TRUE;
}

static gboolean
compare (TideTail *tail, TideFollowEvent *event, GCancellable *cancellable, GError **error)
{
  gboolean begins_so = TRUE, goes_on_so = TRUE;

  if (!still_has (tail, 0, tail->begin, &begins_so, cancellable, error)
      || !still_has (tail, tail->place - tail->last->len, tail->last, &goes_on_so, cancellable,
                     error))
    return FALSE;
  *event = begins_so && goes_on_so ? TIDE_FOLLOW_SAME : TIDE_FOLLOW_REPLACED;
  if (*event == TIDE_FOLLOW_SAME)
    return TRUE;
  tail->place = 0;
  g_byte_array_set_size (tail->begin, 0);
  g_byte_array_set_size (tail->last, 0);
  return TRUE;
}

static gboolean
open_stream (TideTail *tail, TideFollowEvent *event, GCancellable *cancellable, GError **error)
{
  g_autoptr (GError) problem = NULL;
  g_autofree char *name = NULL;
  goffset total;

  tide_tail_close (tail);
  if (!check_is_file (tail, cancellable, error))
    return FALSE;
  tail->stream = tide_source_open (tail->file, &name, &total, cancellable, &problem);
  if (tail->stream != NULL)
    return TRUE;
  *event = TIDE_FOLLOW_REMOVED;
  if (tail->was_seen && g_error_matches (problem, G_IO_ERROR, G_IO_ERROR_NOT_FOUND))
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

/* ---- Public ---- */

gboolean
tide_tail_open (TideTail *tail, TideFollowEvent *event, GCancellable *cancellable, GError **error)
{
  *event = TIDE_FOLLOW_SAME;
  if (!open_stream (tail, event, cancellable, error))
    return FALSE;
  if (tail->stream == NULL)
    return TRUE;
  tail->was_seen = TRUE;
  if (compare (tail, event, cancellable, error) && seek (tail, tail->place, cancellable, error))
    return TRUE;
  tide_tail_close (tail);
  g_prefix_error (error, "%s: ", tail->name);
  return FALSE;
}

static void
remember (TideTail *tail, gsize length)
{
  gsize missing = BEGIN_BYTES - tail->begin->len, kept = MIN (length, LAST_BYTES);

  g_byte_array_append (tail->begin, tail->buffer, (guint)MIN (missing, length));
  if (tail->last->len + kept > LAST_BYTES)
    g_byte_array_remove_range (tail->last, 0, tail->last->len + (guint)kept - LAST_BYTES);
  g_byte_array_append (tail->last, tail->buffer + length - kept, (guint)kept);
  tail->place += (goffset)length;
}

/* UTF-16 has a mark, or a NUL in every other byte. */
static gboolean
is_wide (const TideTail *tail, gsize n_text)
{
  const guint8 *begin = tail->begin->len > 0 ? tail->begin->data : tail->buffer;
  gsize n = tail->begin->len > 0 ? tail->begin->len : n_text;

  return (n >= 2 && memcmp (begin, "\xff\xfe", 2) == 0)
         || memchr (begin, 0, MIN (n, SIGN_BYTES)) != NULL;
}

/* Whether anything but NULs follows what is in the buffer: then its NULs are the file's own. */
static gboolean
find_more (TideTail *tail, gboolean *more, GCancellable *cancellable, GError **error)
{
  guint8 bytes[4096];
  gssize length = 1;

  *more = FALSE;
  for (gsize seen = 0; length > 0 && !*more && seen < NULS_BYTES; seen += (gsize)length)
    {
      length = g_input_stream_read (tail->stream, bytes, sizeof bytes, cancellable, error);
      for (gssize i = 0; i < length && !*more; i++)
        *more = bytes[i] != 0;
    }
  return length >= 0;
}

/* How much of what is in the buffer was written; the stream moves where there are NULs at its end.
 */
static gboolean
find_written (TideTail *tail, gsize n_read, gsize *n, GCancellable *cancellable, GError **error)
{
  gsize n_text = n_read;
  gboolean more;

  while (n_text > 0 && tail->buffer[n_text - 1] == 0)
    n_text--;
  *n = n_text;
  if (n_text == n_read)
    return TRUE;
  if (!find_more (tail, &more, cancellable, error))
    return FALSE;
  if (more)
    *n = n_read;
  else if (is_wide (tail, n_text))
    *n += (gsize)((tail->place + (goffset)n_text) % 2);
  return TRUE;
}

gboolean
tide_tail_read (TideTail *tail,
                const guint8 **bytes,
                gsize *length,
                GCancellable *cancellable,
                GError **error)
{
  gsize n_read;

  if (!g_input_stream_read_all (tail->stream, tail->buffer, TIDE_HEAD_BYTES, &n_read, cancellable,
                                error)
      || !find_written (tail, n_read, length, cancellable, error)
      || !seek (tail, tail->place + (goffset)*length, cancellable, error))
    {
      g_prefix_error (error, "%s: ", tail->name);
      return FALSE;
    }
  *bytes = tail->buffer;
  remember (tail, *length);
  return TRUE;
}

void
tide_tail_close (TideTail *tail)
{
  g_clear_object (&tail->stream);
}
