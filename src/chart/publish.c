/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures for readers, in memory and as files.
 *
 * PNG has exactly width × height pixels, SVG that many px, PDF a page of that many points. All
 * drawing is tide_chart_draw(); SVG and PDF get the title and the spoken description with them.
 * A file is written beside its place, brought to the disk, and moved over the old one: a failure at
 * any step leaves the old file as it was and nothing else behind.
 */
#include "chart/publish.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <errno.h>
#include <fcntl.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

G_DEFINE_QUARK (tide_publish_error, tide_publish_error)

gboolean
tide_format_from_name (const char *name, TideFormat *format)
{
  static const char *const endings[] = { ".png", ".svg", ".pdf" };
  g_autofree char *lower = g_ascii_strdown (name, -1);

  for (guint i = 0; i < G_N_ELEMENTS (endings); i++)
    if (g_str_has_suffix (lower, endings[i]))
      {
        *format = i;
        return TRUE;
      }
  return FALSE;
}

/* --- in memory --- */

static cairo_status_t
append_cb (void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

/* A PDF says when it was made only when SOURCE_DATE_EPOCH says what to write. */
static void
set_date (cairo_surface_t *surface)
{
  const char *epoch = g_getenv ("SOURCE_DATE_EPOCH");
  g_autoptr (GDateTime) time = NULL;
  g_autofree char *text = NULL;
  guint64 seconds;

  if (epoch != NULL && g_ascii_string_to_unsigned (epoch, 10, 0, G_MAXINT64, &seconds, NULL))
    time = g_date_time_new_from_unix_utc ((gint64)seconds);
  if (time != NULL)
    text = g_date_time_format (time, "%Y-%m-%dT%H:%M:%SZ");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE,
                                  text != NULL ? text : "");
}

static cairo_surface_t *
create_surface (TideComparison *comparison,
                const TideChartStyle *style,
                int width,
                int height,
                TideFormat format,
                GByteArray *bytes)
{
  g_autofree char *title = tide_comparison_dup_title (comparison);
  cairo_surface_t *surface;

  switch (format)
    {
    case TIDE_FORMAT_SVG:
      surface = cairo_svg_surface_create_for_stream (append_cb, bytes, width, height);
      cairo_svg_surface_set_document_unit (surface, CAIRO_SVG_UNIT_PX);
      return surface;
    case TIDE_FORMAT_PDF:
      surface = cairo_pdf_surface_create_for_stream (append_cb, bytes, width, height);
      cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, title);
      set_date (surface);
      return surface;
    default:
      return cairo_image_surface_create (style->paint_ground ? CAIRO_FORMAT_RGB24
                                                             : CAIRO_FORMAT_ARGB32,
                                         width, height);
    }
}

static cairo_status_t
draw (TideComparison *comparison,
      const TideChartStyle *style,
      int width,
      int height,
      TideFormat format,
      GByteArray *bytes)
{
  cairo_surface_t *surface = create_surface (comparison, style, width, height, format, bytes);
  cairo_t *cr = cairo_create (surface);
  cairo_status_t status;

  tide_chart_draw (comparison, style, cr, width, height);
  status = cairo_status (cr);
  cairo_destroy (cr);
  if (status == CAIRO_STATUS_SUCCESS && format == TIDE_FORMAT_PNG)
    status = cairo_surface_write_to_png_stream (surface, append_cb, bytes);
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  return status;
}

/* What XML cannot hold even escaped does not belong into a title. */
static char *
escape (char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autoptr (GString) line = g_string_new (NULL);

  for (const char *at = valid; *at != '\0'; at = g_utf8_next_char (at))
    {
      gunichar c = g_utf8_get_char (at);
      g_string_append_unichar (line, c < ' ' || c == 0xFFFE || c == 0xFFFF ? ' ' : c);
    }
  g_free (text);
  return g_markup_escape_text (line->str, (gssize)line->len);
}

/* Replaces length bytes at a place. */
static void
splice (GByteArray *bytes, gsize at, gsize length, const char *by)
{
  gsize added = strlen (by), rest = bytes->len - at - length;

  if (added > length)
    g_byte_array_set_size (bytes, (guint)(bytes->len + added - length));
  memmove (bytes->data + at + added, bytes->data + at + length, rest);
  memcpy (bytes->data + at, by, added);
  g_byte_array_set_size (bytes, (guint)(at + added + rest));
}

/* Where text first stands, from a place on; the length when it does not. */
static gsize
find_text (GByteArray *bytes, gsize from, const char *text)
{
  const char *all = (const char *)bytes->data;
  const char *found = g_strstr_len (all + from, (gssize)(bytes->len - from), text);

  return found != NULL ? (gsize)(found - all) : bytes->len;
}

/* cairo numbers its surfaces through the life of a process and writes the number down: without it
 * the same chart is the same file. Nothing refers to it. */
static void
drop_surface_number (GByteArray *bytes)
{
  const char *start = "<g id=\"surface";
  gsize at = find_text (bytes, 0, start), end;

  if (at == bytes->len)
    return;
  at += strlen (start);
  end = find_text (bytes, at, "\"");
  splice (bytes, at, end - at, "");
}

/* Puts title and description after the opening tag, for readers that read aloud. */
static void
add_description (TideComparison *comparison, GByteArray *bytes)
{
  g_autofree char *title = escape (tide_comparison_dup_title (comparison));
  g_autofree char *words = escape (tide_chart_describe (comparison));
  g_autofree char *added = g_strdup_printf ("\n<title>%s</title>\n<desc>%s</desc>", title, words);
  gsize at = find_text (bytes, find_text (bytes, 0, "<svg"), ">");

  g_assert (at < bytes->len);
  splice (bytes, at + 1, 0, added);
}

static gboolean
check_request (TideComparison *comparison, int width, int height, GError **error)
{
  if (width < TIDE_PUBLISH_MIN_PX || height < TIDE_PUBLISH_MIN_PX || width > TIDE_PUBLISH_MAX_PX
      || height > TIDE_PUBLISH_MAX_PX)
    {
      g_set_error (
          error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_SIZE,
          _ ("a picture of %d × %d px cannot be drawn: each side must be from %d to %d px"), width,
          height, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX);
      return FALSE;
    }
  if (tide_comparison_get_n_runs (comparison) == 0)
    {
      g_set_error_literal (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_EMPTY,
                           _ ("there is nothing to draw: choose at least one run"));
      return FALSE;
    }
  return TRUE;
}

GBytes *
tide_publish_to_bytes (TideComparison *comparison,
                       const TideChartStyle *style,
                       int width,
                       int height,
                       TideFormat format,
                       GError **error)
{
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_status_t status;

  if (!check_request (comparison, width, height, error))
    return NULL;
  status = draw (comparison, style, width, height, format, bytes);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_WRITE,
                   _ ("a picture of %d × %d px could not be drawn: %s"), width, height,
                   cairo_status_to_string (status));
      return NULL;
    }
  if (format == TIDE_FORMAT_SVG)
    {
      drop_surface_number (bytes);
      add_description (comparison, bytes);
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&bytes));
}

/* --- files --- */

static gboolean
write_all (int fd, const char *data, gsize length)
{
  while (length > 0)
    {
      gssize written = write (fd, data, length);

      if (written < 0 && errno == EINTR)
        continue;
      if (written <= 0)
        return FALSE;
      data += written;
      length -= (gsize)written;
    }
  return fsync (fd) == 0;
}

/* Says why of a failed step with errno set, and removes what it left. */
static gboolean
fail_at (const char *path, const char *unfinished, GError **error)
{
  int reason = errno;
  g_autofree char *name = g_filename_display_name (path);

  if (unfinished != NULL)
    g_unlink (unfinished);
  g_set_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_WRITE,
               _ ("%s could not be written: %s"), name, g_strerror (reason));
  return FALSE;
}

static gboolean
write_file (const char *path, GBytes *bytes, GError **error)
{
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *unfinished = g_build_filename (folder, ".tidemark-XXXXXX", NULL);
  gsize length;
  const char *data = g_bytes_get_data (bytes, &length);
  int fd = g_mkstemp_full (unfinished, O_WRONLY | O_CLOEXEC, 0666);
  gboolean written;

  if (fd < 0)
    return fail_at (path, NULL, error);
  written = write_all (fd, data, length);
  if (!written)
    {
      int reason = errno;
      close (fd);
      errno = reason;
      return fail_at (path, unfinished, error);
    }
  if (close (fd) != 0 || g_rename (unfinished, path) != 0)
    return fail_at (path, unfinished, error);
  return TRUE;
}

/* A place that is no path of this machine, such as a share. */
static gboolean
write_far (GFile *file, GBytes *bytes, GError **error)
{
  g_autoptr (GError) reason = NULL;
  g_autofree char *name = g_file_get_parse_name (file);
  gsize length;
  const char *data = g_bytes_get_data (bytes, &length);

  if (g_file_replace_contents (file, data, length, NULL, FALSE, G_FILE_CREATE_NONE, NULL, NULL,
                               &reason))
    return TRUE;
  g_set_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_WRITE,
               _ ("%s could not be written: %s"), name, reason->message);
  return FALSE;
}

gboolean
tide_publish_to_file (TideComparison *comparison,
                      const TideChartStyle *style,
                      int width,
                      int height,
                      GFile *file,
                      GError **error)
{
  g_autofree char *name = g_file_get_basename (file);
  const char *path = g_file_peek_path (file);
  g_autoptr (GBytes) bytes = NULL;
  TideFormat format;

  if (name == NULL || !tide_format_from_name (name, &format))
    {
      g_autofree char *shown = g_filename_display_name (name != NULL ? name : "");
      g_set_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_FORMAT,
                   _ ("%s: the format is not known by its ending; use .png, .svg or .pdf"), shown);
      return FALSE;
    }
  bytes = tide_publish_to_bytes (comparison, style, width, height, format, error);
  if (bytes == NULL)
    return FALSE;
  return path != NULL ? write_file (path, bytes, error) : write_far (file, bytes, error);
}
