/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drives the reading of a file: head, understanding, rows, recordings.
 *
 * The file is read once, in pieces of TIDE_HEAD_BYTES; the first is sniffed, then it and all
 * others go through the decoder and the tokens into the rows. The text is never held as a whole.
 * The SHA-256 is that of the file's bytes. Every error names the file.
 */
#include "reading/reading.h"

#include <glib/gi18n-lib.h>

#include "reading/reading-private.h"

G_DEFINE_QUARK (tide_reading_error, tide_reading_error)

/* At most ten reports a second. */
#define PROGRESS_INTERVAL_US (G_USEC_PER_SEC / 10)

typedef struct
{
  GInputStream *stream;
  const char *name;
  const TideReadOptions *options;
  GCancellable *cancellable;
  goffset total, done;
  gint64 reported_us;
  TideHash *hash;
  guint8 *buffer; /* TIDE_HEAD_BYTES, of hash */
  gsize length;   /* of what is in it */
  gboolean at_end;
  GPtrArray *complaints;
  TideDecoder *decoder;
  TideUnderstanding *understanding;
  TideRows *rows;
  TideTokens *tokens;
} Reader;

static void
clear_reader (Reader *reader)
{
  g_clear_pointer (&reader->hash, tide_hash_free);
  g_clear_pointer (&reader->complaints, g_ptr_array_unref);
  g_clear_pointer (&reader->decoder, tide_decoder_free);
  g_clear_pointer (&reader->tokens, tide_tokens_free);
  g_clear_pointer (&reader->rows, tide_rows_free);
  g_clear_pointer (&reader->understanding, tide_understanding_unref);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Reader, clear_reader)

static void
report_progress (Reader *reader, gboolean at_last)
{
  gint64 now = g_get_monotonic_time ();
  if (!reader->options || !reader->options->progress
      || (!at_last && now - reader->reported_us < PROGRESS_INTERVAL_US))
    return;
  reader->reported_us = now;
  reader->options->progress (reader->done, MAX (reader->total, reader->done),
                             reader->options->progress_data);
}

/* Fills the next buffer, or finds the end of the file. */
static gboolean
read_piece (Reader *reader, GError **error)
{
  reader->buffer = tide_hash_next_buffer (reader->hash, reader->length);
  if (!g_input_stream_read_all (reader->stream, reader->buffer, TIDE_HEAD_BYTES, &reader->length,
                                reader->cancellable, error))
    return FALSE;
  if (g_cancellable_set_error_if_cancelled (reader->cancellable, error))
    return FALSE;
  reader->at_end = reader->length < TIDE_HEAD_BYTES;
  reader->done += (goffset)reader->length;
  report_progress (reader, FALSE);
  return TRUE;
}

static gboolean
understand_head (Reader *reader, const char **text, gsize *length, GError **error)
{
  reader->decoder =
      tide_decoder_new (reader->buffer, reader->length, reader->at_end, reader->complaints, error);
  if (!reader->decoder
      || !tide_decoder_feed (reader->decoder, reader->buffer, reader->length, reader->at_end, text,
                             length, error))
    return FALSE;
  reader->understanding = tide_understand (*text, *length, reader->at_end, error);
  if (!reader->understanding)
    return FALSE;
  TideUnderstanding *u = reader->understanding;
  reader->rows = tide_rows_new (u, 0);
  reader->tokens = tide_tokens_new (u->delimiter, u->wrapped, u->first_row, tide_rows_field_cb,
                                    tide_rows_record_cb, reader->rows);
  *text += u->data_offset;
  *length -= u->data_offset;
  return TRUE;
}

static gboolean
read_rows (Reader *reader, GError **error)
{
  const char *text;
  gsize length;
  if (!read_piece (reader, error) || !understand_head (reader, &text, &length, error)
      || !tide_tokens_feed (reader->tokens, text, length, error))
    return FALSE;
  while (!reader->at_end && !tide_rows_is_full (reader->rows))
    if (!read_piece (reader, error)
        || !tide_decoder_feed (reader->decoder, reader->buffer, reader->length, reader->at_end,
                               &text, &length, error)
        || !tide_tokens_feed (reader->tokens, text, length, error))
      return FALSE;
  return tide_tokens_finish (reader->tokens, error);
}

static void
take_complaints (GPtrArray *into, GPtrArray *from)
{
  for (guint i = 0; i < from->len; i++)
    g_ptr_array_add (into, tide_complaint_copy (g_ptr_array_index (from, i)));
}

static GPtrArray *
assemble (Reader *reader, GError **error)
{
  take_complaints (reader->complaints, reader->understanding->complaints);
  TideRawRows *raw = tide_rows_finish (reader->rows, reader->complaints, error);
  if (!raw || g_cancellable_set_error_if_cancelled (reader->cancellable, error))
    return NULL;
  TideProvenance provenance = {
    .file = reader->name,
    .sha256 = tide_hash_finish (reader->hash, reader->length),
    .start_us = tide_rows_get_start_us (reader->rows),
    .skipped_rows = tide_rows_get_skipped (reader->rows),
  };
  return tide_recordings_assemble (raw, &provenance, reader->complaints, error);
}

static GPtrArray *
read_stream (GInputStream *stream,
             const char *name,
             goffset total,
             const TideReadOptions *options,
             GCancellable *cancellable,
             GError **error)
{
  g_auto (Reader) reader = {
    .stream = stream,
    .name = name,
    .options = options,
    .cancellable = cancellable,
    .total = total,
    .hash = tide_hash_new (),
    .complaints = tide_complaints_new (),
  };
  GPtrArray *recordings = read_rows (&reader, error) ? assemble (&reader, error) : NULL;
  if (!recordings)
    {
      g_prefix_error (error, "%s: ", name);
      return NULL;
    }
  report_progress (&reader, TRUE);
  return recordings;
}

GPtrArray *
tide_read_bytes (GBytes *bytes,
                 const char *name,
                 const TideReadOptions *options,
                 GCancellable *cancellable,
                 GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  return read_stream (stream, name, (goffset)g_bytes_get_size (bytes), options, cancellable, error);
}

/* Transfer full: a name for people, UTF-8. */
static char *
dup_display_name (GFile *file)
{
  g_autofree char *base = g_file_get_basename (file);
  char *name = base ? g_filename_display_name (base) : g_file_get_parse_name (file);
  return g_strdelimit (name, "\n\r", ' ');
}

/* The system's words carry a path; the person knows it, and wants to know what to do. */
static void
explain_open_error (GError **error, const char *name)
{
  const char *text = NULL;
  if (g_error_matches (*error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND))
    text = _ ("there is no such file");
  else if (g_error_matches (*error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY))
    text = _ ("this is a folder; choose the export file inside it");
  else if (g_error_matches (*error, G_IO_ERROR, G_IO_ERROR_PERMISSION_DENIED))
    text = _ ("the file may not be read; change its permissions");
  if (text)
    {
      int code = (*error)->code;
      g_clear_error (error);
      *error = g_error_new (G_IO_ERROR, code, "%s: %s", name, text);
    }
  else
    g_prefix_error (error, "%s: ", name);
}

GPtrArray *
tide_read_file (GFile *file,
                const TideReadOptions *options,
                GCancellable *cancellable,
                GError **error)
{
  g_return_val_if_fail (G_IS_FILE (file), NULL);
  g_autofree char *name = dup_display_name (file);
  g_autoptr (GError) problem = NULL;
  g_autoptr (GFileInputStream) stream = g_file_read (file, cancellable, &problem);
  if (!stream)
    {
      explain_open_error (&problem, name);
      g_propagate_error (error, g_steal_pointer (&problem));
      return NULL;
    }
  g_autoptr (GFileInfo) info =
      g_file_input_stream_query_info (stream, G_FILE_ATTRIBUTE_STANDARD_SIZE, cancellable, NULL);
  goffset total = info ? g_file_info_get_size (info) : 0;
  return read_stream (G_INPUT_STREAM (stream), name, total, options, cancellable, error);
}
