/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Samples appended to growing columns, one set a recording; a revision is applied at its end. */
#include "recording/memory-sink.h"

#include "recording/recording-private.h"

/* A recording on its way. */
typedef struct
{
  TideRecordingHead head; /* its label is owned */
  GArray *columns[TIDE_N_QUANTITIES];
  TideRecordingTail tail; /* its complaints are owned */
} Kept;

struct _TideMemorySink
{
  TideSink sink;
  GPtrArray *kept; /* Kept, by part, from 1 */
};

static void
free_kept (gpointer data)
{
  Kept *kept = data;

  g_free ((char *)kept->head.label);
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&kept->columns[q], g_array_unref);
  g_clear_pointer (&kept->tail.complaints, g_ptr_array_unref);
  g_free (kept);
}

static Kept *
get_kept (TideMemorySink *memory, guint part)
{
  g_assert (part >= 1 && part <= memory->kept->len);
  return memory->kept->pdata[part - 1];
}

static gboolean
begin_cb (TideSink *sink, const TideRecordingHead *head, GError **error)
{
  TideMemorySink *memory = (TideMemorySink *)sink;
  Kept *kept = g_new0 (Kept, 1);

  g_assert (head->part == memory->kept->len + 1);
  kept->head = *head;
  kept->head.label = g_strdup (head->label);
  g_ptr_array_add (memory->kept, kept);
  return TRUE;
}

static gboolean
samples_cb (TideSink *sink, guint part, TideColumns *samples, GError **error)
{
  Kept *kept = get_kept ((TideMemorySink *)sink, part);

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (samples->values[q] == NULL)
        continue;
      if (kept->columns[q] == NULL)
        kept->columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
      g_array_append_vals (kept->columns[q], samples->values[q], (guint)samples->n);
    }
  return TRUE;
}

static gboolean
end_cb (TideSink *sink, guint part, const TideRecordingTail *tail, GError **error)
{
  Kept *kept = get_kept ((TideMemorySink *)sink, part);

  kept->tail = *tail;
  kept->tail.complaints = tide_complaints_copy (tail->complaints);
  return TRUE;
}

TideMemorySink *
tide_memory_sink_new (void)
{
  TideMemorySink *memory = g_new0 (TideMemorySink, 1);

  memory->sink = (TideSink){ begin_cb, samples_cb, end_cb };
  memory->kept = g_ptr_array_new_with_free_func (free_kept);
  return memory;
}

void
tide_memory_sink_free (TideMemorySink *memory)
{
  g_ptr_array_unref (memory->kept);
  g_free (memory);
}

TideSink *
tide_memory_sink_get_sink (TideMemorySink *memory)
{
  return &memory->sink;
}

/* ---- The recordings ---- */

/* The columns, of their very size, revised; what was the first sample may have gone. Gives the
 * first's time. */
static double
take_columns (Kept *kept, TideColumns *columns)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      gsize n;

      if (kept->columns[q] == NULL)
        continue;
      columns->values[q] = g_array_steal (kept->columns[q], &n);
      columns->values[q] = g_realloc_n (columns->values[q], n, sizeof (double));
      columns->n = n;
    }
  tide_columns_revise (columns, &kept->tail.revision);

  double *times = columns->values[TIDE_QUANTITY_TIME];
  double first_s = columns->n > 0 ? times[0] : 0;
  for (gsize i = 0; first_s != 0 && i < columns->n; i++)
    times[i] -= first_s;
  return first_s;
}

static TideRecording *
make_recording (Kept *kept, const char *file, const char *sha256, GError **error)
{
  g_auto (TideColumns) columns = { 0 };
  double first_s = take_columns (kept, &columns);
  TideProvenance provenance = { .file = file,
                                .sha256 = sha256,
                                .start_us = tide_recording_head_get_start_us (&kept->head, first_s),
                                .skipped_rows = kept->tail.skipped_rows,
                                .label = kept->head.label };

  return tide_recording_take (&columns, kept->head.power_logged, &provenance, kept->head.part,
                              kept->tail.complaints, error);
}

GPtrArray *
tide_memory_sink_finish (TideMemorySink *memory,
                         const char *file,
                         const char *sha256,
                         GError **error)
{
  g_autoptr (GPtrArray) recordings =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_recording_unref);

  for (guint i = 0; i < memory->kept->len; i++)
    {
      TideRecording *recording = make_recording (memory->kept->pdata[i], file, sha256, error);

      if (recording == NULL)
        return NULL;
      g_ptr_array_add (recordings, recording);
    }
  return g_steal_pointer (&recordings);
}
