/* SPDX-License-Identifier: GPL-3.0-or-later */
/* XML of a workbook's parts in pieces, by GMarkup: it knows no entities of a document's own, so
 * nothing can expand. Added here are names without prefixes (some writers put one before every
 * element) and bounds, since GMarkup keeps an element's text, its attributes and its ancestors in
 * memory however long they get.
 */
#include "unpack/workbook-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "unpack/unpack.h"

/* The deepest part of a sheet that is read is worksheet/sheetData/row/c/is/r/t; drawings and
 * extensions go further. */
#define MAX_DEPTH 64
/* Between two tags: the longest text of a cell, every character escaped, is a fifth of that. */
#define MAX_SILENT_BYTES (1024 * 1024)
#define PIECE_BYTES      4096

struct _TideXml
{
  const TideXmlHandlers *handlers;
  gpointer data;
  GMarkupParseContext *context;
  guint depth;
  gsize silent_bytes; /* fed since the last tag or text */
  gboolean has_begun;
};

static const char *
skip_prefix (const char *name)
{
  const char *colon = strchr (name, ':');
  return colon ? colon + 1 : name;
}

static gboolean
set_damaged (GError **error)
{
  g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                       _ ("this workbook is damaged; save it again as .xlsx, or as CSV"));
  return FALSE;
}

static void
start_element_cb (GMarkupParseContext *context,
                  const char *name,
                  const char **names,
                  const char **values,
                  gpointer data,
                  GError **error)
{
  TideXml *xml = data;
  xml->silent_bytes = 0;
  if (++xml->depth > MAX_DEPTH)
    set_damaged (error);
  else if (xml->handlers->start)
    xml->handlers->start (xml->data, skip_prefix (name), names, values, error);
}

static void
end_element_cb (GMarkupParseContext *context, const char *name, gpointer data, GError **error)
{
  TideXml *xml = data;
  xml->silent_bytes = 0;
  xml->depth--;
  if (xml->handlers->end)
    xml->handlers->end (xml->data, skip_prefix (name), error);
}

static void
text_cb (GMarkupParseContext *context,
         const char *text,
         gsize length,
         gpointer data,
         GError **error)
{
  TideXml *xml = data;
  xml->silent_bytes = 0;
  if (xml->handlers->text)
    xml->handlers->text (xml->data, text, length, error);
}

static const GMarkupParser parser = {
  .start_element = start_element_cb,
  .end_element = end_element_cb,
  .text = text_cb,
};

TideXml *
tide_xml_new (const TideXmlHandlers *handlers, gpointer data)
{
  TideXml *xml = g_new0 (TideXml, 1);
  xml->handlers = handlers;
  xml->data = data;
  xml->context = g_markup_parse_context_new (&parser, G_MARKUP_TREAT_CDATA_AS_TEXT, xml, NULL);
  return xml;
}

void
tide_xml_free (TideXml *xml)
{
  g_markup_parse_context_free (xml->context);
  g_free (xml);
}

/* GMarkup's own words are of XML; whoever exported the log has no use for them. */
static gboolean
take_error (GError *problem, GError **error)
{
  if (problem->domain != G_MARKUP_ERROR)
    {
      g_propagate_error (error, problem);
      return FALSE;
    }
  g_error_free (problem);
  return set_damaged (error);
}

gboolean
tide_xml_feed (TideXml *xml, const char *bytes, gsize length, GError **error)
{
  if (!xml->has_begun && length >= 3 && memcmp (bytes, "\xef\xbb\xbf", 3) == 0)
    {
      bytes += 3;
      length -= 3;
    }
  xml->has_begun = TRUE;
  while (length > 0)
    {
      gsize n = MIN (length, PIECE_BYTES);
      GError *problem = NULL;
      xml->silent_bytes += n;
      if (!g_markup_parse_context_parse (xml->context, bytes, (gssize)n, &problem))
        return take_error (problem, error);
      if (xml->silent_bytes > MAX_SILENT_BYTES)
        return set_damaged (error);
      bytes += n;
      length -= n;
    }
  return TRUE;
}

gboolean
tide_xml_finish (TideXml *xml, GError **error)
{
  GError *problem = NULL;
  return g_markup_parse_context_end_parse (xml->context, &problem) || take_error (problem, error);
}

gboolean
tide_xml_read_part (TideArchive *archive,
                    const TideMember *part,
                    const TideXmlHandlers *handlers,
                    gpointer data,
                    GError **error)
{
  g_autoptr (TideXml) xml = tide_xml_new (handlers, data);
  if (!tide_archive_open (archive, part, error))
    return FALSE;
  char bytes[PIECE_BYTES];
  gssize n;
  while ((n = tide_archive_read (archive, bytes, sizeof bytes, error)) > 0)
    if (!tide_xml_feed (xml, bytes, (gsize)n, error))
      return FALSE;
  return n == 0 && tide_xml_finish (xml, error);
}

const char *
tide_xml_attribute (const char **names, const char **values, const char *name)
{
  for (guint i = 0; names[i]; i++)
    if (strcmp (skip_prefix (names[i]), name) == 0)
      return values[i];
  return NULL;
}

gboolean
tide_xml_is_true (const char *value)
{
  return value && (strcmp (value, "1") == 0 || strcmp (value, "true") == 0);
}

gboolean
tide_xml_to_uint (const char *value, guint max, guint *number)
{
  guint64 parsed;
  if (!value || !g_ascii_string_to_unsigned (value, 10, 0, max, &parsed, NULL))
    return FALSE;
  *number = (guint)parsed;
  return TRUE;
}
