/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Looks at the head of a file without reading its rows. Costs one read of TIDE_HEAD_BYTES for each
 * text the file holds.
 */
#include "reading/understanding.h"

#include <glib/gi18n-lib.h>

#include "reading/reading-private.h"
#include "reading/unpack-private.h"

typedef struct
{
  GInputStream *stream;
  const TideReadingRule *rule;
  GCancellable *cancellable;
  TideUnpacker *unpacker;
  guint text; /* which the unpacker stands at, from 1 */
} Looking;

/* Adds the tables of the text that the unpacker stands at. */
static gboolean
look_at_text (const Looking *looking, GPtrArray *tables, GError **error)
{
  const guint8 *bytes;
  gsize length;
  gboolean at_end;
  g_auto (TideOpening) opening = { 0 };
  if (!tide_unpacker_read (looking->unpacker, &bytes, &length, &at_end, error)
      || !tide_opening_make (&opening, bytes, length, at_end,
                             tide_unpacker_get_member (looking->unpacker), looking->rule, error)
      || !tide_orders_look_ahead (looking->stream, looking->rule, looking->text, opening.tables,
                                  looking->cancellable, error))
    return FALSE;
  for (guint i = 0; i < opening.tables->len; i++)
    g_ptr_array_add (tables, tide_understanding_ref (g_ptr_array_index (opening.tables, i)));
  return TRUE;
}

/* One text of several that is no log (a note, a picture) does not stand in the way of the others.
 */
static void
pass_over (TideUnpacker *unpacker, const GError *why, GPtrArray *complaints)
{
  g_ptr_array_add (complaints,
                   tide_complaint_new (0, NULL, _ ("%s is not read: %s"),
                                       tide_unpacker_get_member (unpacker), why->message));
}

static gboolean
look_at_texts (Looking *looking, GPtrArray *tables, GPtrArray *complaints, GError **error)
{
  g_autoptr (GError) first_problem = NULL;
  while (tide_unpacker_next (looking->unpacker))
    {
      g_autoptr (GError) problem = NULL;
      looking->text++;
      if (look_at_text (looking, tables, &problem))
        continue;
      if (g_error_matches (problem, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        {
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
      if (tide_unpacker_get_member (looking->unpacker))
        pass_over (looking->unpacker, problem, complaints);
      if (!first_problem)
        first_problem = g_steal_pointer (&problem);
    }
  if (tables->len > 0)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&first_problem));
  return FALSE;
}

static GPtrArray *
look_at_stream (GInputStream *stream,
                const char *name,
                const TideReadOptions *options,
                GCancellable *cancellable,
                GError **error)
{
  const TideReadingRule *rule = options ? options->rule : NULL;
  g_autoptr (GPtrArray) tables =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_understanding_unref);
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (TideUnpacker) unpacker = tide_unpacker_new (stream, FALSE, rule, cancellable, error);
  Looking looking = {
    .stream = stream, .rule = rule, .cancellable = cancellable, .unpacker = unpacker
  };
  if (!unpacker || !look_at_texts (&looking, tables, complaints, error))
    {
      g_prefix_error (error, "%s: ", name);
      return NULL;
    }
  for (guint i = 0; i < complaints->len; i++)
    tide_understanding_remark (g_ptr_array_index (tables, 0),
                               tide_complaint_copy (g_ptr_array_index (complaints, i)));
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
