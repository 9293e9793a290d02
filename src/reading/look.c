/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looks at the head of a file without reading its rows. Costs one read of TIDE_HEAD_BYTES for each
 * text the file holds.
 */
#include "reading/understanding.h"

#include "reading/texts-private.h"

static gboolean
look_at_texts (TideTexts *texts, GPtrArray *tables, GError **error)
{
  g_auto (TideOpening) opening = { 0 };
  gboolean at_end, found;
  while (tide_texts_next (texts, &opening, &at_end, &found, error))
    {
      if (!found)
        return TRUE;
      for (guint i = 0; i < opening.tables->len; i++)
        g_ptr_array_add (tables, tide_understanding_ref (g_ptr_array_index (opening.tables, i)));
    }
  return FALSE;
}

static GPtrArray *
look_at_stream (GInputStream *stream,
                const char *name,
                const TideReadOptions *options,
                GCancellable *cancellable,
                GError **error)
{
  g_autoptr (GPtrArray) tables =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_understanding_unref);
  g_auto (TideTexts) texts = { 0 };
  if (!tide_texts_open (&texts, stream, FALSE, options ? options->rule : NULL, cancellable, error)
      || !look_at_texts (&texts, tables, error))
    {
      g_prefix_error (error, "%s: ", name);
      return NULL;
    }
  for (guint i = 0; i < texts.passed_over->len; i++)
    tide_understanding_remark (g_ptr_array_index (tables, 0),
                               tide_complaint_copy (g_ptr_array_index (texts.passed_over, i)));
  return g_steal_pointer (&tables);
}

GPtrArray *
tide_understand_bytes (GBytes *bytes,
                       const char *name,
                       const TideReadOptions *options,
                       GCancellable *cancellable,
                       GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  return look_at_stream (stream, name, options, cancellable, error);
}

GPtrArray *
tide_understand_file (GFile *file,
                      const TideReadOptions *options,
                      GCancellable *cancellable,
                      GError **error)
{
  g_return_val_if_fail (G_IS_FILE (file), NULL);
  g_autofree char *name = NULL;
  goffset total;
  g_autoptr (GInputStream) stream = tide_source_open (file, &name, &total, cancellable, error);
  return stream ? look_at_stream (stream, name, options, cancellable, error) : NULL;
}
