/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drives the reading of a file: its texts (texts.c), and for each head, understanding, rows,
 * recordings.
 *
 * A text is read once, in pieces of TIDE_HEAD_BYTES; the first is sniffed, then it and all others
 * go through the decoder and the tokens into the rows. No text is ever held as a whole. The SHA-256
 * is that of the file's bytes. Every error names the file.
 */
#include "reading/reading.h"

#include "reading/rule-private.h"
#include "reading/runs-private.h"
#include "reading/texts-private.h"
#include "recording/memory-sink.h"

G_DEFINE_QUARK (tide_reading_error, tide_reading_error)

/* At most ten reports a second. */
#define PROGRESS_INTERVAL_US (G_USEC_PER_SEC / 10)

typedef struct
{
  const TideReadOptions *options;
  GCancellable *cancellable;
  goffset total;
  gint64 reported_us;
  TideTexts texts;
  TideOpening opening;
  TideUnderstanding *u;  /* of the table being read */
  TideRuns *runs;        /* likewise */
  GPtrArray *complaints; /* that go with those runs */
  TideSink *sink;
  guint next_part;
} Reader;

static void
clear_reader (Reader *reader)
{
  g_clear_pointer (&reader->complaints, g_ptr_array_unref);
  g_clear_pointer (&reader->runs, tide_runs_free);
  g_clear_pointer (&reader->u, tide_understanding_unref);
  tide_opening_clear (&reader->opening);
  tide_texts_clear (&reader->texts);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Reader, clear_reader)

static void
report_progress (Reader *reader, gboolean at_last)
{
  gint64 now = g_get_monotonic_time ();
  if (!reader->options || !reader->options->progress
      || (!at_last && now - reader->reported_us < PROGRESS_INTERVAL_US))
    return;
  goffset done = tide_unpacker_get_done (reader->texts.unpacker);
  reader->reported_us = now;
  reader->options->progress (done, MAX (reader->total, done), reader->options->progress_data);
}

static void
take_complaints (GPtrArray *into, GPtrArray *from)
{
  for (guint i = 0; i < from->len; i++)
    g_ptr_array_add (into, tide_complaint_copy (g_ptr_array_index (from, i)));
}

/* ---- One text ---- */

static gboolean
begin_table (Reader *reader, TideUnderstanding *u, GError **error)
{
  reader->u = tide_understanding_ref (u);
  take_complaints (reader->complaints, reader->u->complaints);
  if (!tide_understanding_check_answered (reader->u, error))
    return FALSE;
  reader->runs = tide_runs_new (reader->u, reader->sink, &reader->next_part);
  return TRUE;
}

/* Once it is known what is passed over behind it, for that is told with its runs. */
static gboolean
finish_table (Reader *reader, GError **error)
{
  take_complaints (reader->complaints, reader->texts.passed_over);
  g_ptr_array_set_size (reader->texts.passed_over, 0);
  if (!tide_runs_finish (reader->runs, reader->complaints, error)
      || g_cancellable_set_error_if_cancelled (reader->cancellable, error))
    return FALSE;
  g_ptr_array_set_size (reader->complaints, 0);
  g_clear_pointer (&reader->runs, tide_runs_free);
  g_clear_pointer (&reader->u, tide_understanding_unref);
  return TRUE;
}

/* What the head showed of a table was held against more of the file; else it is as its own rows
 * tell. */
static TideUnderstanding *
choose_understanding (const Reader *reader, TideUnderstanding *another)
{
  for (guint i = 0; i < reader->opening.tables->len; i++)
    {
      TideUnderstanding *shown = g_ptr_array_index (reader->opening.tables, i);
      if (shown->header_row == another->header_row)
        return shown;
    }
  return another;
}

/* The table ended at from, the names of another, which begins; or it goes on, or is passed over, if
 * that cannot be read. has_ended: nothing of another is wanted. */
static gboolean
change_table (Reader *reader,
              TideLines *lines,
              const char *from,
              gsize length,
              gboolean *has_ended,
              GError **error)
{
  const char *text;
  if (!tide_lines_go_back (lines, from, length, &text, &length, error))
    return FALSE;
  g_autoptr (TideUnderstanding) another =
      tide_understand_another (reader->u, text, length, tide_lines_is_at_end (lines),
                               tide_runs_get_end (reader->runs));
  if (!another)
    {
      tide_runs_go_on (reader->runs, text, length, tide_lines_is_at_end (lines));
      return TRUE;
    }
  *has_ended = reader->texts.rule && reader->texts.rule->table > 0;
  if (*has_ended)
    return TRUE;
  tide_lines_skip (lines, another->data_offset);
  return finish_table (reader, error)
         && begin_table (reader, choose_understanding (reader, another), error);
}

static gboolean
read_rows (Reader *reader, TideLines *lines, GError **error)
{
  gboolean has_ended = FALSE;
  const char *text;
  gsize length, taken;
  while (!has_ended)
    {
      if (!tide_lines_next (lines, &text, &length, error))
        return FALSE;
      if (length == 0)
        break;
      if (!tide_runs_feed (reader->runs, text, length, &taken, error))
        return FALSE;
      if (taken < length
          && !change_table (reader, lines, text + taken, length - taken, &has_ended, error))
        return FALSE;
      report_progress (reader, FALSE);
    }
  tide_unpacker_tell (reader->texts.unpacker, reader->complaints);
  tide_decoder_tell (reader->opening.decoder, reader->complaints);
  return TRUE;
}

static gboolean
read_text (Reader *reader, gboolean at_end, GError **error)
{
  TideUnderstanding *u = g_ptr_array_index (reader->opening.tables, 0);
  g_autoptr (TideLines) lines = tide_lines_new (reader->texts.unpacker, reader->opening.decoder,
                                                reader->opening.text + u->data_offset,
                                                reader->opening.length - u->data_offset, at_end);
  return begin_table (reader, u, error) && read_rows (reader, lines, error);
}

/* ---- All of them ---- */

static gboolean
read_texts (Reader *reader, GError **error)
{
  gboolean at_end, found;
  while (tide_texts_next (&reader->texts, &reader->opening, &at_end, &found, error))
    {
      if (reader->runs && !finish_table (reader, error))
        return FALSE;
      if (!found)
        return TRUE;
      if (!read_text (reader, at_end, error))
        return FALSE;
    }
  return FALSE;
}

static gboolean
read_all (Reader *reader, GError **error)
{
  if (read_texts (reader, error))
    return TRUE;
  if (reader->u && reader->u->member)
    g_prefix_error (error, "%s: ", reader->u->member);
  return FALSE;
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
  const char *sha256 = NULL;
  g_auto (Reader) reader = {
    .options = options,
    .cancellable = cancellable,
    .total = total,
    .complaints = tide_complaints_new (),
    .sink = sink,
    .next_part = 1,
  };
  if (options && options->complaints)
    take_complaints (reader.complaints, options->complaints);
  if (tide_texts_open (&reader.texts, stream, TRUE, options ? options->rule : NULL, cancellable,
                       error)
      && read_all (&reader, error))
    sha256 = tide_unpacker_finish (reader.texts.unpacker, error);
  if (!sha256)
    {
      g_prefix_error (error, "%s: ", name);
      return FALSE;
    }
  *result = (TideReadResult){
    .name = g_strdup (name),
    .sha256 = g_strdup (sha256),
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
