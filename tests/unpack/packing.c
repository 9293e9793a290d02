/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unpack/packing.h"

#include <archive.h>
#include <archive_entry.h>
#include <string.h>

#include "recording/complaint.h"

static la_ssize_t
write_cb (struct archive *archive, void *data, const void *bytes, size_t length)
{
  g_byte_array_append (data, bytes, (guint)length);
  return (la_ssize_t)length;
}

static void
write_file (struct archive *archive, const PackedFile *file)
{
  gsize length = !file->content ? 0 : file->length ? (gsize)file->length : strlen (file->content);
  struct archive_entry *entry = archive_entry_new ();
  archive_entry_set_pathname (entry, file->path);
  archive_entry_set_filetype (entry, file->content ? AE_IFREG : AE_IFDIR);
  archive_entry_set_perm (entry, 0644);
  archive_entry_set_size (entry, (la_int64_t)length);
  g_assert_cmpint (archive_write_header (archive, entry), >=, ARCHIVE_WARN);
  if (length > 0)
    g_assert_cmpint (archive_write_data (archive, file->content, length), ==, length);
  archive_entry_free (entry);
}

GBytes *
pack_zip (const PackedFile *files, const char *options)
{
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  struct archive *archive = archive_write_new ();
  archive_write_set_format_zip (archive);
  archive_write_set_bytes_in_last_block (archive, 1);
  gboolean can = !options || archive_write_set_options (archive, options) == ARCHIVE_OK;
  if (options && strstr (options, "encryption"))
    can = can && archive_write_set_passphrase (archive, "secret") == ARCHIVE_OK;
  g_assert_cmpint (archive_write_open (archive, bytes, NULL, write_cb, NULL), ==, ARCHIVE_OK);
  for (; can && files->path; files++)
    write_file (archive, files);
  archive_write_free (archive);
  return can ? g_byte_array_free_to_bytes (g_steal_pointer (&bytes)) : NULL;
}

GBytes *
pack_gzip (const char *content, gssize length)
{
  gsize n = length < 0 ? strlen (content) : (gsize)length;
  g_autoptr (GConverter) converter =
      G_CONVERTER (g_zlib_compressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP, -1));
  g_autoptr (GOutputStream) memory = g_memory_output_stream_new_resizable ();
  g_autoptr (GOutputStream) stream = g_converter_output_stream_new (memory, converter);
  g_autoptr (GError) error = NULL;
  g_output_stream_write_all (stream, content, n, NULL, NULL, &error);
  g_assert_no_error (error);
  g_output_stream_close (stream, NULL, &error);
  g_assert_no_error (error);
  return g_memory_output_stream_steal_as_bytes (G_MEMORY_OUTPUT_STREAM (memory));
}

GBytes *
join (GBytes *a, GBytes *b)
{
  GByteArray *joined = g_byte_array_new ();
  g_byte_array_append (joined, g_bytes_get_data (a, NULL), (guint)g_bytes_get_size (a));
  g_byte_array_append (joined, g_bytes_get_data (b, NULL), (guint)g_bytes_get_size (b));
  return g_byte_array_free_to_bytes (joined);
}

/* ---- Unpacking ---- */

static void
free_unpacked (Unpacked *unpacked)
{
  g_free (unpacked->member);
  g_string_free (unpacked->text, TRUE);
  g_clear_error (&unpacked->error);
  g_ptr_array_unref (unpacked->complaints);
  g_free (unpacked);
}

static Unpacked *
unpack_one (TideUnpacker *unpacker)
{
  Unpacked *unpacked = g_new0 (Unpacked, 1);
  unpacked->member = g_strdup (tide_unpacker_get_member (unpacker));
  unpacked->text = g_string_new (NULL);
  unpacked->complaints = tide_complaints_new ();
  const guint8 *bytes;
  gsize length;
  gboolean at_end = FALSE;
  while (!at_end && tide_unpacker_read (unpacker, &bytes, &length, &at_end, &unpacked->error))
    {
      g_assert_true (at_end || length == TIDE_PIECE_BYTES);
      g_string_append_len (unpacked->text, (const char *)bytes, (gssize)length);
    }
  tide_unpacker_tell (unpacker, unpacked->complaints);
  if (unpacked->error)
    assert_one_line (unpacked->error);
  return unpacked;
}

static TideUnpacker *
open_unpacker (GInputStream *stream, gboolean is_hashed, const char *sheet, GError **error)
{
  return tide_unpacker_new (stream, is_hashed, sheet, NULL, error);
}

GPtrArray *
unpack_stream (GInputStream *stream, const char *sheet, GError **error)
{
  g_autoptr (TideUnpacker) unpacker = open_unpacker (stream, FALSE, sheet, error);
  if (!unpacker)
    return NULL;
  GPtrArray *texts = g_ptr_array_new_with_free_func ((GDestroyNotify)free_unpacked);
  while (tide_unpacker_next (unpacker))
    g_ptr_array_add (texts, unpack_one (unpacker));
  g_assert_cmpuint (texts->len, ==, sheet ? 1 : tide_unpacker_get_n_texts (unpacker));
  return texts;
}

static void
assert_hash (TideUnpacker *unpacker, GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *wanted = g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes);
  g_assert_cmpstr (tide_unpacker_finish (unpacker, &error), ==, wanted);
  g_assert_no_error (error);
}

GPtrArray *
unpack_all (GBytes *bytes, const char *sheet, GError **error)
{
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  g_autoptr (TideUnpacker) unpacker = open_unpacker (stream, TRUE, sheet, error);
  if (!unpacker)
    return NULL;
  GPtrArray *texts = g_ptr_array_new_with_free_func ((GDestroyNotify)free_unpacked);
  while (tide_unpacker_next (unpacker))
    g_ptr_array_add (texts, unpack_one (unpacker));
  g_assert_cmpint (tide_unpacker_get_done (unpacker), <=, g_bytes_get_size (bytes));
  assert_hash (unpacker, bytes);
  return texts;
}

/* ---- Checks ---- */

void
assert_one_line (const GError *error)
{
  g_assert_nonnull (error);
  g_assert_null (strpbrk (error->message, "\r\n"));
  g_assert_true (g_utf8_validate (error->message, -1, NULL));
}

static void
assert_says (const char *text, const char *words)
{
  if (!strstr (text, words))
    g_error ("\"%s\" does not say \"%s\"", text, words);
}

void
assert_not_unpacked (GBytes *bytes, const char *sheet, int code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, sheet, &error);
  g_assert_null (texts);
  g_assert_error (error, TIDE_UNPACK_ERROR, code);
  assert_one_line (error);
  assert_says (error->message, words);
}

void
assert_text (GPtrArray *texts, guint i, const char *member, const char *text)
{
  g_assert_cmpuint (i, <, texts->len);
  Unpacked *unpacked = g_ptr_array_index (texts, i);
  g_assert_no_error (unpacked->error);
  g_assert_cmpstr (unpacked->member, ==, member);
  g_assert_cmpstr (unpacked->text->str, ==, text);
}

void
assert_failed (GPtrArray *texts, guint i, int code, const char *words)
{
  g_assert_cmpuint (i, <, texts->len);
  Unpacked *unpacked = g_ptr_array_index (texts, i);
  g_assert_error (unpacked->error, TIDE_UNPACK_ERROR, code);
  assert_says (unpacked->error->message, words);
}

static void
assert_ends (const guint8 *data, gsize length)
{
  g_autoptr (GBytes) bytes = g_bytes_new (data, length);
  g_autoptr (GError) error = NULL;
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  g_autoptr (GPtrArray) texts = unpack_stream (stream, NULL, &error);
  g_assert_true ((texts == NULL) == (error != NULL));
  if (error)
    assert_one_line (error);
}

void
assert_survives_damage (GBytes *bytes, gsize step)
{
  gsize length;
  const guint8 *data = g_bytes_get_data (bytes, &length);
  g_autofree guint8 *changed = g_memdup2 (data, length);
  for (gsize i = 0; i < length; i += step)
    {
      assert_ends (data, i);
      changed[i] ^= (guint8)(1 + i % 255);
      assert_ends (changed, length);
      changed[i] = data[i];
    }
}
