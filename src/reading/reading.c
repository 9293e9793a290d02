/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drives the reading of a file: head, understanding, rows, recordings.
 *
 * The file is read once, in pieces of TIDE_HEAD_BYTES; the first is sniffed, then it and all
 * others go through the decoder and the tokens into the rows. The text is never held as a whole.
 * The SHA-256 is that of the file's bytes. Every error names the file.
 */
#include "reading/reading.h"

#include "reading/reading-private.h"
#include "recording/memory-sink.h"

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
  TideRuns *runs;
  TideSink *sink;
  guint next_part;
} Reader;

static void
clear_reader (Reader *reader)
{
  g_clear_pointer (&reader->hash, tide_hash_free);
  g_clear_pointer (&reader->complaints, g_ptr_array_unref);
  g_clear_pointer (&reader->runs, tide_runs_free);
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
      || !tide_orders_look_ahead (reader->stream, rule, 1, reader->opening.tables,
                                  reader->cancellable, error)
      || !tide_understanding_check_answered (get_understanding (reader), error))
    return FALSE;
  reader->runs = tide_runs_new (get_understanding (reader), reader->sink, &reader->next_part);
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
  if (!tide_runs_feed (reader->runs, reader->opening.text + begin, reader->opening.length - begin,
                       error))
    return FALSE;
  while (!reader->at_end)
    if (!read_piece (reader, error)
        || !tide_decoder_feed (reader->opening.decoder, reader->buffer, reader->length,
                               reader->at_end, &text, &length, error)
        || !tide_runs_feed (reader->runs, text, length, error))
      return FALSE;
  return TRUE;
}

static void
take_complaints (GPtrArray *into, GPtrArray *from)
{
  for (guint i = 0; i < from->len; i++)
    g_ptr_array_add (into, tide_complaint_copy (g_ptr_array_index (from, i)));
}

static gboolean
finish_rows (Reader *reader, GError **error)
{
  if (reader->options && reader->options->complaints)
    take_complaints (reader->complaints, reader->options->complaints);
  take_complaints (reader->complaints, get_understanding (reader)->complaints);
  return tide_runs_finish (reader->runs, reader->complaints, error)
         && !g_cancellable_set_error_if_cancelled (reader->cancellable, error);
}

static gboolean
read_stream (GInputStream *stream,
             const char *name,
             goffset total,
             const TideReadOptions *options,
             TideSink *sink,
             TideReadResult *result,
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
    .sink = sink,
    .next_part = 1,
  };
  if (options && options->complaints)
    take_complaints (reader.complaints, options->complaints);
  if (!read_rows (&reader, error) || !finish_rows (&reader, error))
    {
      g_prefix_error (error, "%s: ", name);
      return FALSE;
    }
  *result = (TideReadResult){
    .name = g_strdup (name),
    .sha256 = g_strdup (tide_hash_finish (reader.hash, reader.length)),
    .n_parts = reader.next_part - 1,
  };
  report_progress (&reader, TRUE);
  return TRUE;
}

void
tide_read_result_clear (TideReadResult *result)
{
  g_clear_pointer (&result->name, g_free);
  g_clear_pointer (&result->sha256, g_free);
}

gboolean
tide_read_bytes_into (GBytes *bytes,
                      const char *name,
                      const TideReadOptions *options,
                      TideSink *sink,
                      TideReadResult *result,
                      GCancellable *cancellable,
                      GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, FALSE);
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  return read_stream (stream, name, (goffset)g_bytes_get_size (bytes), options, sink, result,
                      cancellable, error);
}

gboolean
tide_read_file_into (GFile *file,
                     const TideReadOptions *options,
                     TideSink *sink,
                     TideReadResult *result,
                     GCancellable *cancellable,
                     GError **error)
{
  g_return_val_if_fail (G_IS_FILE (file), FALSE);
  g_autofree char *name = NULL;
  goffset total;
  g_autoptr (GInputStream) stream = tide_source_open (file, &name, &total, cancellable, error);
  return stream && read_stream (stream, name, total, options, sink, result, cancellable, error);
}

/* ---- Into memory ---- */

static GPtrArray *
finish_memory (TideMemorySink *memory, const TideReadResult *result, GError **error)
{
  GPtrArray *recordings = tide_memory_sink_finish (memory, result->name, result->sha256, error);
  if (!recordings)
    g_prefix_error (error, "%s: ", result->name);
  return recordings;
}

GPtrArray *
tide_read_file (GFile *file,
                const TideReadOptions *options,
                GCancellable *cancellable,
                GError **error)
{
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_auto (TideReadResult) result = { 0 };
  return tide_read_file_into (file, options, tide_memory_sink_get_sink (memory), &result,
                              cancellable, error)
             ? finish_memory (memory, &result, error)
             : NULL;
}

GPtrArray *
tide_read_bytes (GBytes *bytes,
                 const char *name,
                 const TideReadOptions *options,
                 GCancellable *cancellable,
                 GError **error)
{
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_auto (TideReadResult) result = { 0 };
  return tide_read_bytes_into (bytes, name, options, tide_memory_sink_get_sink (memory), &result,
                               cancellable, error)
             ? finish_memory (memory, &result, error)
             : NULL;
}
