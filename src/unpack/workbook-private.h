/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheets of an .xlsx workbook as text, and the parts it takes: XML, strings, styles, dates.
 *
 * What is read here of SpreadsheetML is in ECMA-376 Part 1: workbook and sheets 18.2, rows, cells and their values
 * 18.3.1 (c, is, row, sheetData, v), shared strings 18.4, number formats and cell formats 18.8 (numFmts 18.8.31,
 * numFmt 18.8.30, cellXfs 18.8.10), cell types 18.18.11, escaped characters 22.9.2.19, the two date systems 18.17.4;
 * relationships are in Part 2, 9.3. From memory of that standard.
 */
#pragma once

#include "unpack/archive-private.h"

/* ---- workbook-xml.c ---- */

/* Each may be NULL. Names come without their prefix; FALSE and an error end the parse. */
typedef struct {
  gboolean (*start) (gpointer data, const char *name, const char **names, const char **values, GError **error);
  gboolean (*end)   (gpointer data, const char *name, GError **error);
  /* a piece of the text inside an element */
  gboolean (*text)  (gpointer data, const char *text, gsize length, GError **error);
} TideXmlHandlers;

typedef struct _TideXml TideXml;

/* handlers static, data borrowed. */
TideXml    *tide_xml_new       (const TideXmlHandlers *handlers, gpointer data);
void        tide_xml_free      (TideXml *xml);
/* Errors: those of the handlers; TIDE_UNPACK_ERROR_PACKED: no XML, or beyond a bound. */
gboolean    tide_xml_feed      (TideXml *xml, const char *bytes, gsize length, GError **error);
gboolean    tide_xml_finish    (TideXml *xml, GError **error);
/* All of a member of the archive. */
gboolean    tide_xml_read_part (TideArchive *archive, const TideMember *part, const TideXmlHandlers *handlers,
                                gpointer data, GError **error);
/* The attribute of that name, whatever its prefix; NULL: none. */
const char *tide_xml_attribute (const char **names, const char **values, const char *name);
/* An xsd:boolean. */
gboolean    tide_xml_is_true   (const char *value);
/* A whole number of digits only, up to max. */
gboolean    tide_xml_to_uint   (const char *value, guint max, guint *number);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideXml, tide_xml_free)

/* ---- workbook-strings.c ---- */

/* The text of a cell: pieces inside t elements, phonetic hints (rPh) left out. Used for shared and inline strings. */
typedef struct {
  GString *text;
  guint phonetic; /* depth in rPh */
  gboolean in_text;
} TideRichText;

void     tide_rich_text_init  (TideRichText *rich);
void     tide_rich_text_clear (TideRichText *rich);
/* For the next text. */
void     tide_rich_text_reset (TideRichText *rich);
void     tide_rich_text_start (TideRichText *rich, const char *name);
void     tide_rich_text_end   (TideRichText *rich, const char *name);
/* Errors: _TOO_LARGE. */
gboolean tide_rich_text_add   (TideRichText *rich, const char *text, gsize length, GError **error);
/* Its text, with escapes such as _x000D_ undone; only once. Borrowed until the next reset. */
const char *tide_rich_text_get (TideRichText *rich);

/* The workbook's table of shared strings, held in memory up to MAX_STRINGS_BYTES. */
typedef struct _TideStrings TideStrings;

/* part NULL: an empty table. */
TideStrings *tide_strings_read  (TideArchive *archive, const TideMember *part, GError **error);
void         tide_strings_free  (TideStrings *strings);
/* NULL: there is none of that number. */
const char  *tide_strings_get   (const TideStrings *strings, guint number);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideStrings, tide_strings_free)

/* ---- workbook-styles.c ---- */

/* What a cell's number stands for. */
typedef enum {
  TIDE_CELL_NUMBER,
  TIDE_CELL_DATE,     /* a format with a day, a month or a year: days since the date system's first */
  TIDE_CELL_MOMENT,   /* ... and a clock */
  TIDE_CELL_CLOCK,    /* hours, minutes or seconds without a date */
  TIDE_CELL_DURATION, /* [h]:mm:ss */
} TideCellKind;

typedef struct _TideStyles TideStyles;

/* part NULL: all cells are numbers. */
TideStyles  *tide_styles_read     (TideArchive *archive, const TideMember *part, GError **error);
void         tide_styles_free     (TideStyles *styles);
TideCellKind tide_styles_get_kind (const TideStyles *styles, guint style);
/* Of a number format's code, such as "dd/mm/yyyy hh:mm". */
TideCellKind tide_format_to_kind  (const char *code);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideStyles, tide_styles_free)

/* ---- workbook-dates.c ---- */

/* A cell's number of days as ISO 8601 or clock text at the end of text. FALSE, and text as it was, when it is none of a
 * calendar: the number itself is then to be shown. */
gboolean tide_serial_append (GString *text, double serial, TideCellKind kind, gboolean is_1904);

/* ---- workbook-sheet.c ---- */

typedef struct {
  const TideStrings *strings;
  const TideStyles *styles;
  gboolean is_1904;
} TideSheetContext;

typedef struct _TideSheet TideSheet;

/* context is borrowed. */
TideSheet *tide_sheet_new       (const TideSheetContext *context);
void       tide_sheet_free      (TideSheet *sheet);
/* A piece of the sheet's XML; the lines that are complete are added to text. */
gboolean   tide_sheet_feed      (TideSheet *sheet, const char *bytes, gsize length, GString *text, GError **error);
gboolean   tide_sheet_finish    (TideSheet *sheet, GString *text, GError **error);
/* Cells with a formula of which the result was not stored, and the row of the first. */
guint64    tide_sheet_get_n_unworked (const TideSheet *sheet, guint64 *row);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideSheet, tide_sheet_free)

/* ---- workbook.c ---- */

typedef struct _TideWorkbook TideWorkbook;

gboolean      tide_workbook_is_one   (TideArchive *archive);
/* archive is borrowed. Errors: TIDE_UNPACK_ERROR_PACKED, _TOO_LARGE, those of the archive. */
TideWorkbook *tide_workbook_new      (TideArchive *archive, GError **error);
void          tide_workbook_free     (TideWorkbook *workbook);
/* Names of the sheets that hold cells, char *, at least one. */
GPtrArray    *tide_workbook_get_names (TideWorkbook *workbook);
gboolean      tide_workbook_open     (TideWorkbook *workbook, guint sheet, GError **error);
/* Adds text of the sheet that is open, some kilobytes at a time. */
gboolean      tide_workbook_read     (TideWorkbook *workbook, GString *text, gboolean *at_end, GError **error);
/* What there is to complain of the sheet read: TideComplaint at the end of complaints. */
void          tide_workbook_tell     (TideWorkbook *workbook, GPtrArray *complaints);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideWorkbook, tide_workbook_free)
