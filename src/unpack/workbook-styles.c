/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of a workbook's cell formats show their number as a date or a clock: a cell itself only
 * says which format it has. The codes behind the built-in numbers are those of ECMA-376 Part
 * 1, 18.8.30; 27 to 36 and 50 to 58 are dates of East Asian locales there, some of them clocks.
 */
#include "unpack/workbook-private.h"

#include <string.h>

/* A spreadsheet program's own bound is 65,490 formats; what a workbook has beyond is not looked up.
 */
#define MAX_FORMATS 65536

struct _TideStyles
{
  GHashTable *codes; /* numFmtId -> TideCellKind */
  GByteArray *kinds; /* TideCellKind of each cell format */
  gboolean in_cell_formats;
};

/* ---- Format codes ---- */

typedef enum
{
  HAS_DATE = 1 << 0,
  HAS_CLOCK = 1 << 1,
  HAS_ELAPSED = 1 << 2,
  HAS_MINUTE_OR_MONTH = 1 << 3,
} FormatParts;

/* Passes over a bracket: a colour, a locale, a condition, or [h], [mm], [ss]. */
static const char *
skip_bracket (const char *p, guint *parts)
{
  const char *end = strchr (p, ']');
  if (!end)
    return p + strlen (p);
  gsize n = strspn (p + 1, "hHmMsS");
  if (n > 0 && p + 1 + n == end)
    *parts |= HAS_ELAPSED;
  return end + 1;
}

/* "AM/PM" and "A/P" are of a clock. */
static const char *
skip_half_of_day (const char *p, guint *parts)
{
  gsize n = g_ascii_strncasecmp (p, "AM/PM", 5) == 0 ? 5
            : g_ascii_strncasecmp (p, "A/P", 3) == 0 ? 3
                                                     : 0;
  if (n > 0)
    *parts |= HAS_CLOCK;
  return p + MAX (n, 1);
}

/* Passes over text in quotes and characters after \, _ and *, which are shown or left blank as they
 * are. */
static const char *
skip_literal (const char *p)
{
  if (*p == '"')
    {
      const char *end = strchr (p + 1, '"');
      return end ? end + 1 : p + strlen (p);
    }
  return p[1] ? g_utf8_next_char (p + 1) : p + 1;
}

static const char *
take_letter (const char *p, guint *parts)
{
  if (strchr ("dDyY", *p))
    *parts |= HAS_DATE;
  else if (strchr ("hHsS", *p))
    *parts |= HAS_CLOCK;
  else if (strchr ("mM", *p))
    *parts |= HAS_MINUTE_OR_MONTH;
  return p + 1;
}

TideCellKind
tide_format_to_kind (const char *code)
{
  guint parts = 0;
  if (g_ascii_strncasecmp (code, "General", 7) == 0)
    return TIDE_CELL_NUMBER;
  /* what follows a semicolon is for negative numbers, zero and text */
  for (const char *p = code; *p && *p != ';';)
    if (*p == '[')
      p = skip_bracket (p, &parts);
    else if (strchr ("\"\\_*", *p))
      p = skip_literal (p);
    else if (strchr ("aA", *p))
      p = skip_half_of_day (p, &parts);
    else
      p = take_letter (p, &parts);
  /* an m is a month unless hours or seconds stand beside it */
  if (parts == HAS_MINUTE_OR_MONTH)
    parts = HAS_DATE;
  if (parts & HAS_DATE)
    return parts & (HAS_CLOCK | HAS_ELAPSED) ? TIDE_CELL_MOMENT : TIDE_CELL_DATE;
  if (parts & HAS_ELAPSED)
    return TIDE_CELL_DURATION;
  return parts & HAS_CLOCK ? TIDE_CELL_CLOCK : TIDE_CELL_NUMBER;
}

static TideCellKind
get_built_in_kind (guint id)
{
  if (id == 22)
    return TIDE_CELL_MOMENT;
  if ((id >= 14 && id <= 17) || (id >= 27 && id <= 31) || id == 36 || (id >= 50 && id <= 54)
      || id == 57 || id == 58)
    return TIDE_CELL_DATE;
  if ((id >= 18 && id <= 21) || (id >= 32 && id <= 35) || id == 45 || id == 47 || id == 55
      || id == 56)
    return TIDE_CELL_CLOCK;
  return id == 46 ? TIDE_CELL_DURATION : TIDE_CELL_NUMBER;
}

/* ---- The part ---- */

static void
add_code (TideStyles *styles, const char **names, const char **values)
{
  guint id;
  const char *code = tide_xml_attribute (names, values, "formatCode");
  if (code && tide_xml_to_uint (tide_xml_attribute (names, values, "numFmtId"), G_MAXINT, &id)
      && g_hash_table_size (styles->codes) < MAX_FORMATS)
    g_hash_table_insert (styles->codes, GUINT_TO_POINTER (id),
                         GUINT_TO_POINTER (tide_format_to_kind (code)));
}

static void
add_cell_format (TideStyles *styles, const char **names, const char **values)
{
  guint id = 0;
  gpointer kind;
  tide_xml_to_uint (tide_xml_attribute (names, values, "numFmtId"), G_MAXINT, &id);
  if (!g_hash_table_lookup_extended (styles->codes, GUINT_TO_POINTER (id), NULL, &kind))
    kind = GUINT_TO_POINTER (get_built_in_kind (id));
  guint8 byte = (guint8)GPOINTER_TO_UINT (kind);
  if (styles->kinds->len < MAX_FORMATS)
    g_byte_array_append (styles->kinds, &byte, 1);
}

static gboolean
start_cb (gpointer data, const char *name, const char **names, const char **values, GError **error)
{
  TideStyles *styles = data;
  if (strcmp (name, "numFmt") == 0)
    add_code (styles, names, values);
  else if (strcmp (name, "cellXfs") == 0)
    styles->in_cell_formats = TRUE;
  else if (strcmp (name, "xf") == 0 && styles->in_cell_formats)
    add_cell_format (styles, names, values);
  return TRUE;
}

static gboolean
end_cb (gpointer data, const char *name, GError **error)
{
  TideStyles *styles = data;
  if (strcmp (name, "cellXfs") == 0)
    styles->in_cell_formats = FALSE;
  return TRUE;
}

static const TideXmlHandlers handlers = { .start = start_cb, .end = end_cb };

TideStyles *
tide_styles_read (TideArchive *archive, const TideMember *part, GError **error)
{
  g_autoptr (TideStyles) styles = g_new0 (TideStyles, 1);
  styles->codes = g_hash_table_new (NULL, NULL);
  styles->kinds = g_byte_array_new ();
  if (part && !tide_xml_read_part (archive, part, &handlers, styles, error))
    return NULL;
  return g_steal_pointer (&styles);
}

void
tide_styles_free (TideStyles *styles)
{
  g_hash_table_unref (styles->codes);
  g_byte_array_unref (styles->kinds);
  g_free (styles);
}

TideCellKind
tide_styles_get_kind (const TideStyles *styles, guint style)
{
  return style < styles->kinds->len ? (TideCellKind)styles->kinds->data[style] : TIDE_CELL_NUMBER;
}
