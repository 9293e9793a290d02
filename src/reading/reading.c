/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drives the reading of a file: head, understanding, rows, recordings.
 *
 * The file is read once, in pieces of TIDE_HEAD_BYTES; the first is sniffed, then it and all
 * others go through the decoder and the tokens into the rows. The text is never held as a whole.
 * The SHA-256 is that of the file's bytes. Every error names the file.
 */
#include "reading/reading.h"

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
  TideOpening opening;
  TideRows *rows;
  TideTokens *tokens;
} Reader;

static void
clear_reader (Reader *reader)
{
  g_clear_pointer (&reader->hash, tide_hash_free);
  g_clear_pointer (&reader->complaints, g_ptr_array_unref);
  g_clear_pointer (&reader->tokens, tide_tokens_free);
  g_clear_pointer (&reader->rows, tide_rows_free);
  tide_opening_clear (&reader->opening);
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

static TideUnderstanding *
get_understanding (const Reader *reader)
{
  return g_ptr_array_index (reader->opening.tables, 0);
}

static gboolean
understand_head (Reader *reader, GError **error)
{
  const TideReadingRule *rule = reader->options ? reader->options->rule : NULL;
  if (!tide_opening_make (&reader->opening, reader->buffer, reader->length, reader->at_end, NULL,
                          rule, error)
      || !tide_understanding_check_answered (get_understanding (reader), error))
    return FALSE;
  TideUnderstanding *u = get_understanding (reader);
  reader->rows = tide_rows_new (u, 0);
  reader->tokens = tide_tokens_new (u->delimiter, u->wrapped, u->first_row, tide_rows_field_cb,
                                    tide_rows_record_cb, reader->rows);
  return TRUE;
}

static gboolean
read_rows (Reader *reader, GError **error)
{
  const char *text;
  gsize length;
  if (!read_piece (reader, error) || !understand_head (reader, error))
    return FALSE;
  gsize begin = get_understanding (reader)->data_offset;
  if (!tide_tokens_feed (reader->tokens, reader->opening.text + begin,
                         reader->opening.length - begin, error))
    return FALSE;
  while (!reader->at_end && !tide_rows_is_full (reader->rows))
    if (!read_piece (reader, error)
        || !tide_decoder_feed (reader->opening.decoder, reader->buffer, reader->length,
                               reader->at_end, &text, &length, error)
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
  take_complaints (reader->complaints, get_understanding (reader)->complaints);
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

GPtrArray *
tide_read_file (GFile *file,
                const TideReadOptions *options,
                GCancellable *cancellable,
                GError **error)
{
  g_return_val_if_fail (G_IS_FILE (file), NULL);
  g_autofree char *name = NULL;
  goffset total;
  g_autoptr (GInputStream) stream = tide_source_open (file, &name, &total, cancellable, error);
  return stream ? read_stream (stream, name, total, options, cancellable, error) : NULL;
}
