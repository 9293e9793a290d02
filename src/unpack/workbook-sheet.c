/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A worksheet's XML becomes lines of text as it comes: a TAB between columns, a line for every row,
 * so that the rows of the text have the numbers that the spreadsheet shows. One row is in memory,
 * not the sheet.
 *
 * Cells and rows may be left out of the XML, and say then where they are; they must come in order.
 * Cells without a value count as left out, wherever they stand: a sheet may be formatted far beyond
 * its log. Numbers keep the digits that are stored; what a style shows as a date or clock becomes
 * one (workbook-dates.c). A field that holds quotes is quoted; line ends, TABs and other control
 * characters in it become blanks.
 */
#include "unpack/workbook-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "unpack/unpack.h"

/* A spreadsheet's bounds, ECMA-376 leaves them open. */
#define MAX_ROWS    1048576
#define MAX_COLUMNS 16384
/* Of a row as text, or of one value: a hundred times what a row of a log takes. */
#define MAX_ROW_BYTES (1024 * 1024)

typedef enum
{
  PLACE_OUTSIDE,
  PLACE_DATA,   /* sheetData */
  PLACE_ROW,    /* row */
  PLACE_CELL,   /* c */
  PLACE_VALUE,  /* v */
  PLACE_INLINE, /* is */
} Place;

typedef enum
{
  TYPE_NUMBER,
  TYPE_SHARED,
  TYPE_INLINE,
  TYPE_BOOLEAN,
  TYPE_ERROR,
  TYPE_OTHER, /* text as it stands: formula strings, ISO 8601 dates */
} CellType;

struct _TideSheet
{
  const TideSheetContext *context;
  TideXml *xml;
  Place place;
  GString *text;  /* where the lines go; borrowed for a feed */
  guint last_row; /* that has its line; from 1 */
  guint row;      /* the one at hand */
  guint column;   /* the cell at hand, from 1 */
  guint n_tabs;   /* of its line */
  GString *line;
  CellType type;
  guint style;
  gboolean has_formula;
  gboolean has_value;
  TideRichText rich; /* of INLINE */
  GString *value;    /* what v holds */
  guint64 n_unworked, unworked_row;
};

static gboolean
set_damaged (TideSheet *sheet, GError **error)
{
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
               _ ("row %u of this sheet is damaged; save the workbook again as .xlsx, or as CSV"),
               sheet->row);
  return FALSE;
}

/* ---- A field's text ---- */

static gboolean
is_plain (const char *text)
{
  for (const char *p = text; *p; p++)
    if ((guchar)*p < 0x20 || *p == 0x7f || *p == '"')
      return FALSE;
  return TRUE;
}

static void
append_field (GString *line, const char *text)
{
  if (is_plain (text))
    {
      g_string_append (line, text);
      return;
    }
  gboolean is_quoted = strchr (text, '"') != NULL;
  if (is_quoted)
    g_string_append_c (line, '"');
  for (const char *p = text; *p; p++)
    {
      if (*p == '"')
        g_string_append_c (line, '"');
      g_string_append_c (line, (guchar)*p < 0x20 || *p == 0x7f ? ' ' : *p);
    }
  if (is_quoted)
    g_string_append_c (line, '"');
}

static void
append_number (TideSheet *sheet, GString *line)
{
  TideCellKind kind = tide_styles_get_kind (sheet->context->styles, sheet->style);
  char *end;
  double serial = g_ascii_strtod (sheet->value->str, &end);
  if (kind == TIDE_CELL_NUMBER || end == sheet->value->str || *end
      || !tide_serial_append (line, serial, kind, sheet->context->is_1904))
    append_field (line, sheet->value->str);
}

static gboolean
append_shared (TideSheet *sheet, GString *line, GError **error)
{
  guint number;
  const char *text = NULL;
  if (tide_xml_to_uint (sheet->value->str, G_MAXUINT, &number))
    text = tide_strings_get (sheet->context->strings, number);
  if (!text)
    return set_damaged (sheet, error);
  append_field (line, text);
  return TRUE;
}

static gboolean
append_value (TideSheet *sheet, GString *line, GError **error)
{
  switch (sheet->type)
    {
    case TYPE_SHARED:
      return append_shared (sheet, line, error);
    case TYPE_NUMBER:
      append_number (sheet, line);
      return TRUE;
    case TYPE_BOOLEAN:
      append_field (line, tide_xml_is_true (sheet->value->str) ? "TRUE" : "FALSE");
      return TRUE;
    case TYPE_INLINE:
      append_field (line, tide_rich_text_get (&sheet->rich));
      return TRUE;
    case TYPE_ERROR:
      /* "#N/A", "#DIV/0!": with its mark, an error in the first column would make the row a comment
       */
      append_field (line, sheet->value->str + (*sheet->value->str == '#'));
      return TRUE;
    case TYPE_OTHER:
      append_field (line, sheet->value->str);
      return TRUE;
    }
  g_assert_not_reached ();
}

/* ---- Cells and rows ---- */

/* "AB12": the column from 1. */
static gboolean
parse_reference (const char *reference, guint row, guint *column)
{
  guint n = 0, named_row;
  for (; g_ascii_isupper (*reference) && n <= MAX_COLUMNS; reference++)
    n = n * 26 + (guint)(*reference - 'A') + 1;
  *column = n;
  return n >= 1 && n <= MAX_COLUMNS && tide_xml_to_uint (reference, MAX_ROWS, &named_row)
         && named_row == row;
}

static CellType
parse_type (const char *type)
{
  if (!type || strcmp (type, "n") == 0)
    return TYPE_NUMBER;
  if (strcmp (type, "s") == 0)
    return TYPE_SHARED;
  if (strcmp (type, "inlineStr") == 0)
    return TYPE_INLINE;
  if (strcmp (type, "b") == 0)
    return TYPE_BOOLEAN;
  return strcmp (type, "e") == 0 ? TYPE_ERROR : TYPE_OTHER;
}

static gboolean
begin_row (TideSheet *sheet, const char **names, const char **values, GError **error)
{
  guint row = sheet->row + 1;
  const char *named = tide_xml_attribute (names, values, "r");
  if (named && (!tide_xml_to_uint (named, MAX_ROWS, &row) || row <= sheet->row))
    return set_damaged (sheet, error);
  if (row > MAX_ROWS)
    return set_damaged (sheet, error);
  sheet->row = row;
  sheet->column = sheet->n_tabs = 0;
  sheet->place = PLACE_ROW;
  return TRUE;
}

static gboolean
begin_cell (TideSheet *sheet, const char **names, const char **values, GError **error)
{
  guint column = sheet->column + 1;
  const char *reference = tide_xml_attribute (names, values, "r");
  if (reference && (!parse_reference (reference, sheet->row, &column) || column <= sheet->column))
    return set_damaged (sheet, error);
  if (column > MAX_COLUMNS)
    return set_damaged (sheet, error);
  sheet->column = column;
  sheet->type = parse_type (tide_xml_attribute (names, values, "t"));
  sheet->style = 0;
  const char *style = tide_xml_attribute (names, values, "s");
  if (style && !tide_xml_to_uint (style, G_MAXUINT, &sheet->style))
    return set_damaged (sheet, error);
  sheet->has_formula = sheet->has_value = FALSE;
  g_string_truncate (sheet->value, 0);
  tide_rich_text_reset (&sheet->rich);
  sheet->place = PLACE_CELL;
  return TRUE;
}

static gboolean
end_cell (TideSheet *sheet, GError **error)
{
  sheet->place = PLACE_ROW;
  const GString *content = sheet->type == TYPE_INLINE ? sheet->rich.text : sheet->value;
  if (content->len == 0)
    {
      if (sheet->has_formula && !sheet->has_value && sheet->n_unworked++ == 0)
        sheet->unworked_row = sheet->row;
      return TRUE;
    }
  for (; sheet->n_tabs + 1 < sheet->column; sheet->n_tabs++)
    g_string_append_c (sheet->line, '\t');
  if (!append_value (sheet, sheet->line, error))
    return FALSE;
  if (sheet->line->len <= MAX_ROW_BYTES)
    return TRUE;
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_TOO_LARGE,
               _ ("row %u of this sheet is longer than %d MiB"), sheet->row,
               MAX_ROW_BYTES / (1024 * 1024));
  return FALSE;
}

static void
end_row (TideSheet *sheet)
{
  sheet->place = PLACE_DATA;
  if (sheet->line->len == 0)
    return;
  for (; sheet->last_row + 1 < sheet->row; sheet->last_row++)
    g_string_append_c (sheet->text, '\n');
  sheet->last_row = sheet->row;
  g_string_append_c (sheet->line, '\n');
  g_string_append_len (sheet->text, sheet->line->str, (gssize)sheet->line->len);
  g_string_truncate (sheet->line, 0);
}

/* ---- Where in the XML ---- */

static gboolean
start_in_cell (TideSheet *sheet, const char *name)
{
  if (strcmp (name, "v") == 0)
    {
      sheet->has_value = TRUE;
      sheet->place = PLACE_VALUE;
    }
  else if (strcmp (name, "is") == 0)
    sheet->place = PLACE_INLINE;
  else if (strcmp (name, "f") == 0)
    sheet->has_formula = TRUE;
  return TRUE;
}

static gboolean
start_cb (gpointer data, const char *name, const char **names, const char **values, GError **error)
{
  TideSheet *sheet = data;
  switch (sheet->place)
    {
    case PLACE_OUTSIDE:
      if (strcmp (name, "sheetData") == 0)
        sheet->place = PLACE_DATA;
      return TRUE;
    case PLACE_DATA:
      return strcmp (name, "row") != 0 || begin_row (sheet, names, values, error);
    case PLACE_ROW:
      return strcmp (name, "c") != 0 || begin_cell (sheet, names, values, error);
    case PLACE_CELL:
      return start_in_cell (sheet, name);
    case PLACE_INLINE:
      tide_rich_text_start (&sheet->rich, name);
      return TRUE;
    case PLACE_VALUE:
      return set_damaged (sheet, error);
    }
  g_assert_not_reached ();
}

static gboolean
end_cb (gpointer data, const char *name, GError **error)
{
  TideSheet *sheet = data;
  switch (sheet->place)
    {
    case PLACE_OUTSIDE:
      break;
    case PLACE_DATA:
      if (strcmp (name, "sheetData") == 0)
        sheet->place = PLACE_OUTSIDE;
      break;
    case PLACE_ROW:
      if (strcmp (name, "row") == 0)
        end_row (sheet);
      break;
    case PLACE_CELL:
      return strcmp (name, "c") != 0 || end_cell (sheet, error);
    case PLACE_VALUE:
      sheet->place = PLACE_CELL;
      break;
    case PLACE_INLINE:
      tide_rich_text_end (&sheet->rich, name);
      if (strcmp (name, "is") == 0)
        sheet->place = PLACE_CELL;
      break;
    }
  return TRUE;
}

static gboolean
text_cb (gpointer data, const char *text, gsize length, GError **error)
{
  TideSheet *sheet = data;
  if (sheet->place == PLACE_INLINE)
    return tide_rich_text_add (&sheet->rich, text, length, error);
  if (sheet->place == PLACE_VALUE)
    {
      g_string_append_len (sheet->value, text, (gssize)length);
      if (sheet->value->len > MAX_ROW_BYTES)
        return set_damaged (sheet, error);
    }
  return TRUE;
}

static const TideXmlHandlers handlers = { .start = start_cb, .end = end_cb, .text = text_cb };

/* ---- Public ---- */

TideSheet *
tide_sheet_new (const TideSheetContext *context)
{
  TideSheet *sheet = g_new0 (TideSheet, 1);
  sheet->context = context;
  sheet->xml = tide_xml_new (&handlers, sheet);
  sheet->line = g_string_new (NULL);
  sheet->value = g_string_new (NULL);
  tide_rich_text_init (&sheet->rich);
  return sheet;
}

void
tide_sheet_free (TideSheet *sheet)
{
  tide_xml_free (sheet->xml);
  g_string_free (sheet->line, TRUE);
  g_string_free (sheet->value, TRUE);
  tide_rich_text_clear (&sheet->rich);
  g_free (sheet);
}

gboolean
tide_sheet_feed (TideSheet *sheet, const char *bytes, gsize length, GString *text, GError **error)
{
  sheet->text = text;
  return tide_xml_feed (sheet->xml, bytes, length, error);
}

gboolean
tide_sheet_finish (TideSheet *sheet, GString *text, GError **error)
{
  sheet->text = text;
  return tide_xml_finish (sheet->xml, error);
}

guint64
tide_sheet_get_n_unworked (const TideSheet *sheet, guint64 *row)
{
  *row = sheet->unworked_row;
  return sheet->n_unworked;
}
