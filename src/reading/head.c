/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The first bytes of a text become its tables. Looking at a file and reading it both begin here, so
 * that what was shown is what is read.
 */
#include "reading/opening-private.h"

#include "reading/rule-private.h"

/* What the encoding is complained of goes before what the table is. */
static void
tell_of_encoding (TideUnderstanding *u, const TideDecoder *decoder, GPtrArray *complaints)
{
  for (guint i = complaints->len; i > 0; i--)
    g_ptr_array_insert (u->complaints, 0,
                        tide_complaint_copy (g_ptr_array_index (complaints, i - 1)));
  if (!tide_decoder_is_guess (decoder))
    u->n_remarks += complaints->len;
}

gboolean
tide_opening_make (TideOpening *opening,
                   const guint8 *bytes,
                   gsize length,
                   gboolean at_end,
                   const char *member,
                   const TideReadingRule *rule,
                   GCancellable *cancellable,
                   GError **error)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  opening->decoder =
      tide_decoder_new (bytes, length, at_end, rule ? rule->encoding : NULL, complaints, error);
  if (!opening->decoder
      || !tide_decoder_feed (opening->decoder, bytes, length, at_end, &opening->text,
                             &opening->length, error))
    return FALSE;
  opening->tables =
      tide_understand_tables (opening->text, opening->length, at_end, rule, cancellable, error);
  if (!opening->tables)
    return FALSE;
  for (guint i = 0; i < opening->tables->len; i++)
    {
      TideUnderstanding *u = g_ptr_array_index (opening->tables, i);
      u->member = g_strdup (member);
      u->encoding = g_strdup (tide_decoder_get_encoding (opening->decoder));
    }
  tell_of_encoding (g_ptr_array_index (opening->tables, 0), opening->decoder, complaints);
  return TRUE;
}

void
tide_opening_clear (TideOpening *opening)
{
  g_clear_pointer (&opening->decoder, tide_decoder_free);
  g_clear_pointer (&opening->tables, g_ptr_array_unref);
}
