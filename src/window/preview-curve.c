/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See preview-curve.h. */
#include "window/preview-curve.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "analysis/measure.h"

void
tide_preview_curve_free (TidePreviewCurve *curve)
{
  g_ptr_array_unref (curve->curves);
  g_ptr_array_unref (curve->complaints);
  g_free (curve->figures);
  g_free (curve);
}

/* Reading */

static gboolean
is_packed (const guint8 *bytes, gsize length)
{
  return length >= 2
         && ((bytes[0] == 0x1f && bytes[1] == 0x8b) || (bytes[0] == 'P' && bytes[1] == 'K'));
}

/* The beginning of a text, up to its last whole line. */
static GPtrArray *
read_head (GFile *file, const TideReadOptions *options, GCancellable *cancellable, GError **error)
{
  g_autoptr (GFileInputStream) stream = g_file_read (file, cancellable, error);
  g_autofree guint8 *bytes = NULL;
  g_autofree char *name = g_file_get_basename (file);
  g_autoptr (GBytes) head = NULL;
  gsize length;

  if (stream == NULL)
    return NULL;
  bytes = g_malloc (TIDE_PREVIEW_BYTES);
  if (!g_input_stream_read_all (G_INPUT_STREAM (stream), bytes, TIDE_PREVIEW_BYTES, &length,
                                cancellable, error))
    return NULL;
  if (is_packed (bytes, length))
    {
      g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED,
                           _ ("A large packed file has no preview"));
      return NULL;
    }
  for (gsize end = length; end > 0; end--)
    if (bytes[end - 1] == '\n' && (end % 2 == 0 || bytes[0] < 0xfe))
      {
        length = end;
        break;
      }
  head = g_bytes_new_take (g_steal_pointer (&bytes), length);
  return tide_read_bytes (head, name, options, cancellable, error);
}

static GPtrArray *
read_recordings (GFile *file,
                 const TideReadingRule *rule,
                 gboolean *cut,
                 GCancellable *cancellable,
                 GError **error)
{
  TideReadOptions options = { .rule = rule };
  g_autoptr (GFileInfo) info = g_file_query_info (file, G_FILE_ATTRIBUTE_STANDARD_SIZE,
                                                  G_FILE_QUERY_INFO_NONE, cancellable, error);

  if (info == NULL)
    return NULL;
  *cut = g_file_info_get_size (info) > TIDE_PREVIEW_BYTES;
  return *cut ? read_head (file, &options, cancellable, error)
              : tide_read_file (file, &options, cancellable, error);
}

/* Drawing's numbers */

static GArray *
make_ranges (TideRecording *recording, double duration_s)
{
  gsize n = tide_recording_get_n_samples (recording);
  const double *time_s = tide_recording_get_column (recording, TIDE_QUANTITY_TIME);
  const double *power_w = tide_recording_get_column (recording, TIDE_QUANTITY_POWER);
  g_autoptr (TideOverview) overview = tide_overview_new (power_w, n);
  GArray *ranges = g_array_new (FALSE, FALSE, sizeof (TideRange));
  double step_s = duration_s / TIDE_PREVIEW_COLUMNS;

  for (guint i = 0; i < TIDE_PREVIEW_COLUMNS && i * step_s <= time_s[n - 1]; i++)
    {
      gsize first = tide_find_time (time_s, n, i * step_s);
      gsize last = tide_find_time (time_s, n, (i + 1) * step_s);
      TideRange range;

      /* a column without a sample of its own shows the one before */
      if (first >= last)
        first = last > 0 ? last - 1 : 0;
      range = tide_overview_query (overview, power_w, first, MAX (last, first + 1));
      g_array_append_val (ranges, range);
    }
  return ranges;
}

static void
take_extent (TidePreviewCurve *curve, GArray *ranges)
{
  for (guint i = 0; i < ranges->len; i++)
    {
      const TideRange *range = &g_array_index (ranges, TideRange, i);

      curve->top_w = fmax (curve->top_w, range->high);
      curve->bottom_w = fmin (curve->bottom_w, range->low);
    }
}

static void
copy_complaints (TidePreviewCurve *curve, TideRecording *recording)
{
  GPtrArray *complaints = tide_recording_get_complaints (recording);

  for (guint i = 0; i < complaints->len; i++)
    g_ptr_array_add (curve->complaints, tide_complaint_copy (complaints->pdata[i]));
}

static char *
describe_start (TideRecording *recording)
{
  gint64 start_us = tide_recording_get_start_us (recording);
  g_autoptr (GDateTime) start =
      start_us != 0 ? g_date_time_new_from_unix_local (start_us / G_USEC_PER_SEC) : NULL;
  g_autofree char *text = NULL;

  if (start == NULL)
    return g_strdup ("");
  /* Translators: when a log began, as g_date_time_format() has it: "3 April 2026 10:11" */
  text = g_date_time_format (start, _ ("%-e %B %Y %H:%M"));
  return g_strdup_printf (_ (" · began %s"), text);
}

static char *
describe_recordings (GPtrArray *recordings)
{
  TideRecording *first = recordings->pdata[0];
  g_autofree char *length = tide_text_duration (tide_recording_get_duration_s (first));
  g_autofree char *energy =
      tide_text_quantity (tide_measure_energy_wh (first), 2, TIDE_QUANTITY_ENERGY);
  g_autofree char *start = describe_start (first);
  guint n = (guint)MIN (tide_recording_get_n_samples (first), G_MAXUINT);
  g_autofree char *samples = g_strdup_printf (ngettext ("%u sample", "%u samples", n), n);
  g_autofree char *line = g_strdup_printf ("%s · %s · %s%s", samples, length, energy, start);

  if (recordings->len == 1)
    return g_steal_pointer (&line);
  g_autofree char *runs =
      g_strdup_printf (ngettext ("%u run", "%u runs", recordings->len), recordings->len);
  /* Translators: "3 runs, the first: 3600 samples · 1 h 0 min" */
  return g_strdup_printf (_ ("%s, the first: %s"), runs, line);
}

/* Public */

TidePreviewCurve *
tide_preview_curve_read (GFile *file,
                         const TideReadingRule *rule,
                         GCancellable *cancellable,
                         GError **error)
{
  g_autoptr (TidePreviewCurve) curve = g_new0 (TidePreviewCurve, 1);
  g_autoptr (GPtrArray) recordings = NULL;

  curve->curves = g_ptr_array_new_with_free_func ((GDestroyNotify)g_array_unref);
  curve->complaints = tide_complaints_new ();
  recordings = read_recordings (file, rule, &curve->cut, cancellable, error);
  if (recordings == NULL)
    return NULL;
  for (guint i = 0; i < recordings->len; i++)
    curve->duration_s =
        fmax (curve->duration_s, tide_recording_get_duration_s (recordings->pdata[i]));
  for (guint i = 0; i < recordings->len; i++)
    {
      g_ptr_array_add (curve->curves, make_ranges (recordings->pdata[i], curve->duration_s));
      take_extent (curve, curve->curves->pdata[i]);
      copy_complaints (curve, recordings->pdata[i]);
    }
  curve->figures = describe_recordings (recordings);
  return g_steal_pointer (&curve);
}
