/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A way to the texts of a file for each kind that it may be (unpack-kind.c):
 *
 *   plain     the file's own pieces, handed on where they were read
 *   gzip      unpacked as its pieces come (gzip.c)
 *   zip       looked through by its directory (archive.c); each visible file in it is a text
 *   workbook  a zip too, whose sheets are its texts (workbook.c)
 *
 * The last two seek to and fro in the file, so it is hashed before, in a pass of its own; what
 * cannot seek is held in memory up to TIDE_MAX_HELD_BYTES. An archive within an archive is not
 * opened: one level is what exports come in.
 */
#include "unpack/unpack.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "recording/complaint.h"
#include "unpack/gzip-private.h"
#include "unpack/raw-private.h"
#include "unpack/unpack-choose-private.h"
#include "unpack/unpack-kind-private.h"
#include "unpack/unpack-private.h"
#include "unpack/workbook-private.h"

G_DEFINE_QUARK (tide_unpack_error, tide_unpack_error)

struct _TideUnpacker
{
  TideRaw *raw;
  gsize raw_used; /* of the piece at hand */
  GCancellable *cancellable;
  TideKind kind;
  /* how the kind is opened */
  TideGzip *gzip;
  TideArchive *archive;   /* ZIP, WORKBOOK */
  GPtrArray *files;       /* ZIP: TideMember of archive that are texts; borrowed */
  TideWorkbook *workbook; /* WORKBOOK */
  /* the texts */
  GPtrArray *names; /* char *; one NULL where there is a text without a name */
  guint next, end;  /* of names: which to read; the text at hand is that before next */
  GString *text;    /* unpacked: what was handed out last, then what comes */
  gsize text_used;
  gboolean at_start, at_end;
  gboolean has_failed;
  GPtrArray *complaints;
};

/* ---- What it is ---- */

static gboolean
open_files (TideUnpacker *unpacker, GError **error)
{
  unpacker->files = tide_files_list (unpacker->archive, unpacker->names);
  if (unpacker->files->len > 0)
    return TRUE;
  g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                       _ ("this archive holds no files"));
  return FALSE;
}

static gboolean
open_zip (TideUnpacker *unpacker, GError **error)
{
  GInputStream *stream = tide_raw_make_seekable (unpacker->raw, error);
  if (!stream)
    return FALSE;
  unpacker->archive = tide_archive_new (stream, unpacker->cancellable, error);
  if (!unpacker->archive)
    return FALSE;
  if (!tide_workbook_is_one (unpacker->archive))
    return open_files (unpacker, error);
  unpacker->kind = TIDE_KIND_WORKBOOK;
  unpacker->workbook = tide_workbook_new (unpacker->archive, error);
  if (!unpacker->workbook)
    return FALSE;
  GPtrArray *names = tide_workbook_get_names (unpacker->workbook);
  for (guint i = 0; i < names->len; i++)
    g_ptr_array_add (unpacker->names, g_strdup (g_ptr_array_index (names, i)));
  return TRUE;
}

static gboolean
open_kind (TideUnpacker *unpacker, GError **error)
{
  gsize length;
  const guint8 *bytes = tide_raw_get_bytes (unpacker->raw, &length);
  const char *what;
  unpacker->kind = tide_kind_find (bytes, length, &what);
  if (unpacker->kind == TIDE_KIND_ZIP)
    return open_zip (unpacker, error);
  g_ptr_array_add (unpacker->names, NULL);
  if (unpacker->kind == TIDE_KIND_GZIP)
    unpacker->gzip = tide_gzip_new ();
  if (unpacker->kind != TIDE_KIND_REFUSED)
    return TRUE;
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
               _ ("this is %s, which is not opened here; unpack it and import the log itself"),
               _ (what));
  return FALSE;
}

static gboolean
choose_texts (TideUnpacker *unpacker, const char *sheet, GError **error)
{
  unpacker->end = unpacker->names->len;
  if (!sheet)
    return TRUE;
  if (!tide_texts_choose (unpacker->names, sheet, &unpacker->next, error))
    return FALSE;
  unpacker->end = unpacker->next + 1;
  return TRUE;
}

/* ---- Unpacking ---- */

gboolean
tide_unpacked_is_bearable (guint64 packed_bytes, guint64 unpacked_bytes, GError **error)
{
  if (unpacked_bytes <= TIDE_UNPACKED_FREE_BYTES
      || unpacked_bytes / TIDE_MAX_UNPACKED_RATIO <= packed_bytes)
    return TRUE;
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
               _ ("this archive grows to more than %d times its size, as no log does; it is not "
                  "unpacked any further"),
               TIDE_MAX_UNPACKED_RATIO);
  return FALSE;
}

static void
end_gzip (TideUnpacker *unpacker)
{
  unpacker->at_end = TRUE;
  if (!tide_gzip_is_whole (unpacker->gzip))
    g_ptr_array_add (unpacker->complaints,
                     tide_complaint_new (0, NULL,
                                         _ ("the gzip archive is cut short; what came before the "
                                            "cut is read")));
  if (tide_gzip_has_remains (unpacker->gzip))
    g_ptr_array_add (unpacker->complaints,
                     tide_complaint_new (0, NULL,
                                         _ ("behind the packed log stand bytes that are none; they "
                                            "are not read")));
}

static gboolean
unpack_gzip (TideUnpacker *unpacker, GError **error)
{
  gsize length, used;
  gboolean wants_more;
  const guint8 *bytes = tide_raw_get_bytes (unpacker->raw, &length);
  if (!tide_gzip_unpack (unpacker->gzip, bytes + unpacker->raw_used, length - unpacker->raw_used,
                         &used, unpacker->text, &wants_more, error))
    return FALSE;
  unpacker->raw_used += used;
  if (wants_more && tide_raw_is_at_end (unpacker->raw))
    end_gzip (unpacker);
  else if (wants_more)
    {
      unpacker->raw_used = 0;
      return tide_raw_read (unpacker->raw, error);
    }
  return TRUE;
}

static gboolean
unpack_file (TideUnpacker *unpacker, GError **error)
{
  char bytes[16384];
  gssize n = tide_archive_read (unpacker->archive, bytes, sizeof bytes, error);
  if (n < 0)
    return FALSE;
  g_string_append_len (unpacker->text, bytes, n);
  unpacker->at_end = n == 0;
  return TRUE;
}

static gboolean
unpack_sheet (TideUnpacker *unpacker, GError **error)
{
  if (!tide_workbook_read (unpacker->workbook, unpacker->text, &unpacker->at_end, error))
    return FALSE;
  if (unpacker->at_end)
    tide_workbook_tell (unpacker->workbook, unpacker->complaints);
  return TRUE;
}

static gboolean
unpack_some (TideUnpacker *unpacker, GError **error)
{
  if (g_cancellable_set_error_if_cancelled (unpacker->cancellable, error))
    return FALSE;
  switch (unpacker->kind)
    {
    case TIDE_KIND_GZIP:
      return unpack_gzip (unpacker, error);
    case TIDE_KIND_ZIP:
      return unpack_file (unpacker, error);
    case TIDE_KIND_WORKBOOK:
      return unpack_sheet (unpacker, error);
    case TIDE_KIND_PLAIN:
    case TIDE_KIND_REFUSED:
      break;
    }
  g_assert_not_reached ();
}

static gboolean
check_is_no_archive (TideUnpacker *unpacker, GError **error)
{
  if (!tide_is_packed ((const guint8 *)unpacker->text->str, unpacker->text->len))
    return TRUE;
  g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                       _ ("an archive within an archive; unpack it and import the log itself"));
  return FALSE;
}

/* Lazily, so that a text that cannot be opened is that text's error and not the file's. */
static gboolean
open_text (TideUnpacker *unpacker, GError **error)
{
  guint text = unpacker->next - 1;
  if (unpacker->kind == TIDE_KIND_ZIP)
    return tide_archive_open (unpacker->archive, g_ptr_array_index (unpacker->files, text), error);
  return unpacker->kind != TIDE_KIND_WORKBOOK
         || tide_workbook_open (unpacker->workbook, text, error);
}

static gboolean
read_unpacked (TideUnpacker *unpacker,
               const guint8 **bytes,
               gsize *length,
               gboolean *at_end,
               GError **error)
{
  if (unpacker->at_start && !open_text (unpacker, error))
    return FALSE;
  g_string_erase (unpacker->text, 0, (gssize)unpacker->text_used);
  unpacker->text_used = 0;
  while (unpacker->text->len < TIDE_PIECE_BYTES && !unpacker->at_end)
    if (!unpack_some (unpacker, error))
      return FALSE;
  if (unpacker->at_start && !check_is_no_archive (unpacker, error))
    return FALSE;
  *bytes = (const guint8 *)unpacker->text->str;
  *length = unpacker->text_used = MIN (unpacker->text->len, TIDE_PIECE_BYTES);
  *at_end = unpacker->at_end && unpacker->text->len == *length;
  return TRUE;
}

static gboolean
read_plain (TideUnpacker *unpacker,
            const guint8 **bytes,
            gsize *length,
            gboolean *at_end,
            GError **error)
{
  /* the first piece is there: it was looked at to know the file by */
  if (!unpacker->at_start && !tide_raw_read (unpacker->raw, error))
    return FALSE;
  *bytes = tide_raw_get_bytes (unpacker->raw, length);
  *at_end = tide_raw_is_at_end (unpacker->raw);
  return TRUE;
}

/* ---- Public ---- */

TideUnpacker *
tide_unpacker_new (GInputStream *raw,
                   gboolean is_hashed,
                   const char *sheet,
                   GCancellable *cancellable,
                   GError **error)
{
  g_return_val_if_fail (G_IS_INPUT_STREAM (raw), NULL);
  g_autoptr (TideUnpacker) unpacker = g_new0 (TideUnpacker, 1);
  unpacker->raw = tide_raw_new (raw, is_hashed, cancellable);
  unpacker->cancellable = cancellable ? g_object_ref (cancellable) : NULL;
  unpacker->names = g_ptr_array_new_with_free_func (g_free);
  unpacker->text = g_string_new (NULL);
  unpacker->complaints = tide_complaints_new ();
  if (!tide_raw_read (unpacker->raw, error) || !open_kind (unpacker, error)
      || !choose_texts (unpacker, sheet, error))
    return NULL;
  return g_steal_pointer (&unpacker);
}

void
tide_unpacker_free (TideUnpacker *unpacker)
{
  g_clear_pointer (&unpacker->files, g_ptr_array_unref);
  g_clear_pointer (&unpacker->workbook, tide_workbook_free);
  g_clear_pointer (&unpacker->archive, tide_archive_free);
  g_clear_pointer (&unpacker->gzip, tide_gzip_free);
  g_ptr_array_unref (unpacker->complaints);
  g_ptr_array_unref (unpacker->names);
  g_string_free (unpacker->text, TRUE);
  g_clear_object (&unpacker->cancellable);
  tide_raw_free (unpacker->raw);
  g_free (unpacker);
}

gboolean
tide_unpacker_next (TideUnpacker *unpacker)
{
  if (unpacker->next == unpacker->end)
    return FALSE;
  unpacker->next++;
  unpacker->at_start = TRUE;
  unpacker->at_end = unpacker->has_failed = FALSE;
  unpacker->text_used = 0;
  g_string_truncate (unpacker->text, 0);
  g_ptr_array_set_size (unpacker->complaints, 0);
  return TRUE;
}

gboolean
tide_unpacker_read (TideUnpacker *unpacker,
                    const guint8 **bytes,
                    gsize *length,
                    gboolean *at_end,
                    GError **error)
{
  g_return_val_if_fail (unpacker->next > 0 && !unpacker->has_failed, FALSE);
  gboolean is_read = unpacker->kind == TIDE_KIND_PLAIN
                         ? read_plain (unpacker, bytes, length, at_end, error)
                         : read_unpacked (unpacker, bytes, length, at_end, error);
  unpacker->at_start = FALSE;
  unpacker->has_failed = !is_read;
  return is_read;
}

const char *
tide_unpacker_get_member (TideUnpacker *unpacker)
{
  g_return_val_if_fail (unpacker->next > 0, NULL);
  return g_ptr_array_index (unpacker->names, unpacker->next - 1);
}

guint
tide_unpacker_get_n_texts (TideUnpacker *unpacker)
{
  return unpacker->names->len;
}

goffset
tide_unpacker_get_done (TideUnpacker *unpacker)
{
  return unpacker->archive ? tide_archive_get_done (unpacker->archive)
                           : tide_raw_get_done (unpacker->raw);
}

void
tide_unpacker_tell (TideUnpacker *unpacker, GPtrArray *complaints)
{
  g_ptr_array_extend_and_steal (complaints, g_steal_pointer (&unpacker->complaints));
  unpacker->complaints = tide_complaints_new ();
}

const char *
tide_unpacker_finish (TideUnpacker *unpacker, GError **error)
{
  return tide_raw_finish (unpacker->raw, error);
}
