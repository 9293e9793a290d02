/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between the unpack room and the rest: a rule's sheet goes down, errors come up in reading's
 * terms.
 *
 * A note or a picture beside the logs of an archive, and the empty sheet of a workbook, do not
 * stand in the way: what cannot be opened at its head is passed over and told of. What goes wrong
 * later on in a text is an error.
 */
#include "reading/texts-private.h"

#include <glib/gi18n-lib.h>

/* ---- The unpacker, as the rest of reading sees it ---- */

static void
translate_error (GError **error)
{
  static const TideReadingError codes[] = {
    [TIDE_UNPACK_ERROR_PACKED] = TIDE_READING_ERROR_PACKED,
    [TIDE_UNPACK_ERROR_TOO_LARGE] = TIDE_READING_ERROR_TOO_LARGE,
    [TIDE_UNPACK_ERROR_NO_SHEET] = TIDE_READING_ERROR_RULE,
  };
  if (!error || (*error)->domain != TIDE_UNPACK_ERROR)
    return;
  (*error)->domain = TIDE_READING_ERROR;
  (*error)->code = (int)codes[(*error)->code];
}

TideUnpacker *
tide_texts_unpack (GInputStream *raw,
                   gboolean is_hashed,
                   const TideReadingRule *rule,
                   GCancellable *cancellable,
                   GError **error)
{
  g_auto (GStrv) sheet = tide_reading_rule_get (rule, "sheet");
  TideUnpacker *unpacker = tide_unpacker_new (raw, is_hashed, sheet[0], cancellable, error);
  if (!unpacker)
    translate_error (error);
  return unpacker;
}

gboolean
tide_texts_read (TideUnpacker *unpacker,
                 const guint8 **bytes,
                 gsize *length,
                 gboolean *at_end,
                 GError **error)
{
  if (tide_unpacker_read (unpacker, bytes, length, at_end, error))
    return TRUE;
  translate_error (error);
  return FALSE;
}

/* ---- One text after the other ---- */

gboolean
tide_texts_open (TideTexts *texts,
                 GInputStream *raw,
                 gboolean is_hashed,
                 const TideReadingRule *rule,
                 GCancellable *cancellable,
                 GError **error)
{
  *texts = (TideTexts){ .raw = raw, .rule = rule, .cancellable = cancellable };
  texts->passed_over = tide_complaints_new ();
  texts->unpacker = tide_texts_unpack (raw, is_hashed, rule, cancellable, error);
  return texts->unpacker != NULL;
}

void
tide_texts_clear (TideTexts *texts)
{
  g_clear_pointer (&texts->unpacker, tide_unpacker_free);
  g_clear_pointer (&texts->passed_over, g_ptr_array_unref);
  g_clear_error (&texts->problem);
}

static gboolean
open_text (TideTexts *texts, TideOpening *opening, gboolean *at_end, GError **error)
{
  const guint8 *bytes;
  gsize length;
  tide_opening_clear (opening);
  return tide_texts_read (texts->unpacker, &bytes, &length, at_end, error)
         && tide_opening_make (opening, bytes, length, *at_end,
                               tide_unpacker_get_member (texts->unpacker), texts->rule,
                               texts->cancellable, error)
         && tide_orders_look_ahead (texts->raw, texts->rule, texts->text, opening->tables,
                                    texts->cancellable, error);
}

static void
pass_over (TideTexts *texts, GError *why)
{
  const char *member = tide_unpacker_get_member (texts->unpacker);
  if (member)
    {
      g_ptr_array_add (texts->passed_over, tide_complaint_new (0, NULL, _ ("%s is not read: %s"),
                                                               member, why->message));
      g_prefix_error (&why, "%s: ", member);
    }
  if (texts->problem)
    g_error_free (why);
  else
    texts->problem = why;
}

gboolean
tide_texts_next (TideTexts *texts,
                 TideOpening *opening,
                 gboolean *at_end,
                 gboolean *found,
                 GError **error)
{
  *found = FALSE;
  while (!*found && tide_unpacker_next (texts->unpacker))
    {
      GError *problem = NULL;
      texts->text++;
      *found = open_text (texts, opening, at_end, &problem);
      if (*found)
        texts->n_opened++;
      else if (g_error_matches (problem, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        {
          g_propagate_error (error, problem);
          return FALSE;
        }
      else
        pass_over (texts, problem);
    }
  if (texts->n_opened > 0)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&texts->problem));
  return FALSE;
}
