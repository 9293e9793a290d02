/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file is opened, and called by a name that people know it by. */
#include "reading/opening-private.h"

#include <glib/gi18n-lib.h>

char *
tide_source_dup_name (GFile *file)
{
  g_autofree char *base = g_file_get_basename (file);
  char *name = base ? g_filename_display_name (base) : g_file_get_parse_name (file);
  return g_strdelimit (name, "\n\r", ' ');
}

gboolean
tide_file_can_be_read_again (GFile *file)
{
  g_return_val_if_fail (G_IS_FILE (file), FALSE);
  return g_file_query_file_type (file, G_FILE_QUERY_INFO_NONE, NULL) != G_FILE_TYPE_SPECIAL;
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

GInputStream *
tide_source_open (GFile *file,
                  char **name,
                  goffset *total,
                  GCancellable *cancellable,
                  GError **error)
{
  g_autofree char *display_name = tide_source_dup_name (file);
  g_autoptr (GError) problem = NULL;
  GFileInputStream *stream = g_file_read (file, cancellable, &problem);
  if (!stream)
    {
      explain_open_error (&problem, display_name);
      g_propagate_error (error, g_steal_pointer (&problem));
      return NULL;
    }
  g_autoptr (GFileInfo) info =
      g_file_input_stream_query_info (stream, G_FILE_ATTRIBUTE_STANDARD_SIZE, cancellable, NULL);
  *total = info ? g_file_info_get_size (info) : 0;
  *name = g_steal_pointer (&display_name);
  return G_INPUT_STREAM (stream);
}
