/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Workbooks: sheets made by openpyxl (an outside writer; dates by Python's datetime) are read as
 * what was put in; hand-written parts, good and hostile, give the right text or one line.
 */
#include "unpack/packing.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "recording/complaint.h"
#include "unpack/workbook-private.h"

#define MAIN_NS "xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\""
#define REL_NS  "xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\""
#define TYPE    "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"

#define RELATIONSHIP(id, type, target)                                                             \
  "<Relationship Id=\"" id "\" Type=\"" TYPE type "\" Target=\"" target "\"/>"

static const char workbook_xml[] =
    "<?xml version=\"1.0\"?><workbook " MAIN_NS " " REL_NS "><workbookPr/>"
    "<sheets><sheet name=\"Log\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>";
static const char workbook_1904_xml[] =
    "<workbook " MAIN_NS " " REL_NS "><workbookPr date1904=\"true\"/>"
    "<sheets><sheet name=\"Log\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>";
static const char relationships_xml[] =
    "<Relationships>" RELATIONSHIP ("rId1", "worksheet", "worksheets/sheet1.xml")
        RELATIONSHIP ("rId2", "styles", "styles.xml")
            RELATIONSHIP ("rId3", "sharedStrings", "sharedStrings.xml") "</Relationships>";

typedef struct
{
  const char *workbook, *relationships, *sheet, *strings, *styles; /* NULL: as above, or absent */
  const char *options;                                             /* of pack_zip() */
} Parts;

static GBytes *
pack_workbook (Parts parts)
{
  PackedFile files[7] = { { "[Content_Types].xml", "<Types/>" } };
  guint n = 1;
  files[n++] = (PackedFile){ "xl/workbook.xml", parts.workbook ? parts.workbook : workbook_xml };
  files[n++] = (PackedFile){ "xl/_rels/workbook.xml.rels",
                             parts.relationships ? parts.relationships : relationships_xml };
  if (parts.sheet)
    files[n++] = (PackedFile){ "xl/worksheets/sheet1.xml", parts.sheet };
  if (parts.strings)
    files[n++] = (PackedFile){ "xl/sharedStrings.xml", parts.strings };
  if (parts.styles)
    files[n++] = (PackedFile){ "xl/styles.xml", parts.styles };
  return pack_zip (files, parts.options);
}

/* rows are what stands inside sheetData. Transfer full. */
static char *
wrap_rows (const char *rows)
{
  return g_strconcat ("<worksheet " MAIN_NS "><sheetData>", rows, "</sheetData></worksheet>", NULL);
}

static GPtrArray *
read_parts (Parts parts)
{
  g_autoptr (GBytes) bytes = pack_workbook (parts);
  g_autoptr (GError) error = NULL;
  GPtrArray *texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (texts->len, ==, 1);
  return texts;
}

static void
assert_rows (Parts parts, const char *rows, const char *text)
{
  g_autofree char *sheet = wrap_rows (rows);
  parts.sheet = sheet;
  g_autoptr (GPtrArray) texts = read_parts (parts);
  assert_text (texts, 0, "Log", text);
}

static void
assert_sheet_refused (Parts parts, int code, const char *words)
{
  g_autoptr (GPtrArray) texts = read_parts (parts);
  assert_failed (texts, 0, code, words);
}

static void
assert_rows_refused (const char *rows, const char *words)
{
  g_autofree char *sheet = wrap_rows (rows);
  assert_sheet_refused ((Parts){ .sheet = sheet, .strings = "<sst><si><t>A</t></si></sst>" },
                        TIDE_UNPACK_ERROR_PACKED, words);
}

static void
assert_workbook_refused (Parts parts, int code, const char *words)
{
  g_autoptr (GBytes) bytes = pack_workbook (parts);
  assert_not_unpacked (bytes, NULL, code, words);
}

/* ---- Cells ---- */

static void
test_cells (void)
{
  Parts parts = {
    .strings =
        "<sst " MAIN_NS
        "><si><t>Time</t></si><si><r><t>Vol</t></r><r><rPr><b/></rPr><t>tage</t></r>"
        "<rPh sb=\"0\" eb=\"1\"><t>hint</t></rPh></si><si/><si><t>a\tb\nc_x000D_d_x0041_</t></si>"
        "<si><t>say \"go\"</t></si></sst>",
  };
  static const struct
  {
    const char *rows, *text;
  } cases[] = {
    { "", "" },
    { "<row r=\"1\"/>", "" },
    { "<row r=\"1\"><c r=\"A1\"/></row>", "" },
    { "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" t=\"s\"><v>1</v></c></row>",
      "Time\tVoltage\n" },
    { "<row><c><v>1</v></c><c><v>2.50</v></c></row><row><c><v>-1E-3</v></c></row>",
      "1\t2.50\n-1E-3\n" },
    { "<row r=\"3\"><c r=\"B3\"><v>1</v></c><c r=\"AB3\"><v>2</v></c></row>",
      "\n\n\t1\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t\t2\n" },
    { "<row><c t=\"s\"><v>2</v></c><c><v>1</v></c></row>", "\t1\n" },
    { "<row><c t=\"s\"><v>3</v></c><c t=\"s\"><v>4</v></c></row>",
      "a b c dA\t\"say \"\"go\"\"\"\n" },
    { "<row><c t=\"b\"><v>1</v></c><c t=\"b\"><v>0</v></c></row>", "TRUE\tFALSE\n" },
    { "<row><c t=\"e\"><v>#DIV/0!</v></c><c t=\"str\"><f>A1</f><v>x&amp;y</v></c></row>",
      "DIV/0!\tx&y\n" },
    { "<row><c t=\"inlineStr\"><is><t>in</t><r><t>line</t></r></is></c></row>", "inline\n" },
    { "<row><c t=\"d\"><v>2026-03-04T05:06:07Z</v></c></row>", "2026-03-04T05:06:07Z\n" },
    { "<row><c><f>1+2</f><v>3</v></c></row>", "3\n" },
    { "<row><c><v>1</v></c></row><x:row xmlns:x=\"y\"><x:c><x:v>2</x:v></x:c></x:row>", "1\n2\n" },
    { "<row><c><v><![CDATA[4]]><!-- no -->2</v></c></row>", "42\n" },
    { "<row><c><v>1</v></c></row><row r=\"1048576\"/>", "1\n" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    assert_rows (parts, cases[i].rows, cases[i].text);
}

static void
test_unworked_formulas (void)
{
  g_autofree char *sheet = wrap_rows ("<row/><row><c><v>1</v></c><c><f>A2*2</f></c></row>"
                                      "<row><c><v>1</v></c><c><f>A3*2</f><v/></c></row>");
  g_autoptr (GPtrArray) texts = read_parts ((Parts){ .sheet = sheet });
  assert_text (texts, 0, "Log", "\n1\n1\n");
  GPtrArray *complaints = ((Unpacked *)g_ptr_array_index (texts, 0))->complaints;
  g_assert_cmpuint (complaints->len, ==, 1);
  const TideComplaint *complaint = g_ptr_array_index (complaints, 0);
  g_assert_cmpuint (complaint->row, ==, 2);
  g_assert_nonnull (strstr (complaint->text, "1 cell holds a formula"));
}

/* ---- Dates ---- */

static void
test_formats (void)
{
  /* codes as the standard and common practice write them; from memory */
  static const struct
  {
    const char *code;
    TideCellKind kind;
  } cases[] = {
    { "General", TIDE_CELL_NUMBER },
    { "GENERAL", TIDE_CELL_NUMBER },
    { "0.00", TIDE_CELL_NUMBER },
    { "#,##0.00\\ \"dollars\"", TIDE_CELL_NUMBER },
    { "0.00E+00", TIDE_CELL_NUMBER },
    { "[Red]0.0;[Blue]-0.0", TIDE_CELL_NUMBER },
    { "0.0\" s\"", TIDE_CELL_NUMBER },
    { "0\\s", TIDE_CELL_NUMBER },
    { "_-* #,##0.00\\ [$\xe2\x82\xac-407]_-", TIDE_CELL_NUMBER },
    { "@", TIDE_CELL_NUMBER },
    { "0;0;\"day\"", TIDE_CELL_NUMBER },
    { "yyyy-mm-dd", TIDE_CELL_DATE },
    { "mmm", TIDE_CELL_DATE },
    { "[$-407]d. mmmm yyyy", TIDE_CELL_DATE },
    { "dd/mm/yyyy hh:mm:ss.000", TIDE_CELL_MOMENT },
    { "m/d/yy h:mm AM/PM", TIDE_CELL_MOMENT },
    { "mm:ss.0", TIDE_CELL_CLOCK },
    { "h:mm A/P", TIDE_CELL_CLOCK },
    { "[h]:mm:ss", TIDE_CELL_DURATION },
    { "[mm]:ss", TIDE_CELL_DURATION },
    { "[hh]:mm:ss;@", TIDE_CELL_DURATION },
    { "", TIDE_CELL_NUMBER },
    { "\"open", TIDE_CELL_NUMBER },
    { "[open", TIDE_CELL_NUMBER },
    { "0\\", TIDE_CELL_NUMBER },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    if (tide_format_to_kind (cases[i].code) != cases[i].kind)
      g_error ("%s is taken for kind %d", cases[i].code, tide_format_to_kind (cases[i].code));
}

static void
test_serials (void)
{
  /* 1 to 61, and the first day of 1904: ECMA-376 Part 1, 18.17.4, from memory; 25569 is 1970-01-01
   * there. The rest is counted from those by the calendar. */
  static const struct
  {
    double serial;
    TideCellKind kind;
    gboolean is_1904;
    const char *text; /* NULL: none of a calendar */
  } cases[] = {
    { 1, TIDE_CELL_DATE, FALSE, "1900-01-01" },
    { 59, TIDE_CELL_DATE, FALSE, "1900-02-28" },
    { 60, TIDE_CELL_DATE, FALSE, "1900-02-29" },
    { 61, TIDE_CELL_DATE, FALSE, "1900-03-01" },
    { 60.5, TIDE_CELL_MOMENT, FALSE, "1900-02-29T12:00:00" },
    { 25569, TIDE_CELL_DATE, FALSE, "1970-01-01" },
    { 2958465, TIDE_CELL_DATE, FALSE, "9999-12-31" },
    { 2958466, TIDE_CELL_DATE, FALSE, NULL },
    { 2958465.5, TIDE_CELL_MOMENT, FALSE, "9999-12-31T12:00:00" },
    { 2958465.9999999995, TIDE_CELL_MOMENT, FALSE, NULL },
    { 0, TIDE_CELL_DATE, TRUE, "1904-01-01" },
    { 0.5, TIDE_CELL_MOMENT, TRUE, "1904-01-01T12:00:00" },
    { 24107, TIDE_CELL_DATE, TRUE, "1970-01-01" },
    { 2957003, TIDE_CELL_DATE, TRUE, "9999-12-31" },
    { 2957004, TIDE_CELL_DATE, TRUE, NULL },
    { -1, TIDE_CELL_DATE, FALSE, NULL },
    { -0.25, TIDE_CELL_DURATION, FALSE, NULL },
    { NAN, TIDE_CELL_DATE, FALSE, NULL },
    { INFINITY, TIDE_CELL_DURATION, FALSE, NULL },
    { 25569, TIDE_CELL_NUMBER, FALSE, NULL },
    { 25569.25, TIDE_CELL_DATE, FALSE, "1970-01-01T06:00:00" },
    { 25569, TIDE_CELL_MOMENT, FALSE, "1970-01-01T00:00:00" },
    { 0, TIDE_CELL_CLOCK, FALSE, "00:00:00" },
    { 0.5, TIDE_CELL_DATE, FALSE, "12:00:00" },
    { 0.25, TIDE_CELL_MOMENT, FALSE, "06:00:00" },
    { 1.5, TIDE_CELL_CLOCK, FALSE, "36:00:00" },
    { 25569.5, TIDE_CELL_CLOCK, FALSE, "1970-01-01T12:00:00" },
    { 1.25, TIDE_CELL_DURATION, FALSE, "30:00:00" },
    { 400, TIDE_CELL_DURATION, FALSE, "9600:00:00" },
    { 1 / 86400. / 4, TIDE_CELL_DURATION, FALSE, "00:00:00.25" },
    { 59.99999999999, TIDE_CELL_MOMENT, FALSE, "1900-02-29T00:00:00" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GString) text = g_string_new ("x");
      gboolean is_date =
          tide_serial_append (text, cases[i].serial, cases[i].kind, cases[i].is_1904);
      g_assert_cmpint (is_date, ==, cases[i].text != NULL);
      g_assert_cmpstr (text->str + 1, ==, cases[i].text ? cases[i].text : "");
    }
}

static const char styles_xml[] =
    "<styleSheet><numFmts><numFmt numFmtId=\"164\" formatCode=\"dd.mm.yyyy hh:mm:ss\"/>"
    "<numFmt numFmtId=\"20\" formatCode=\"0.0\"/></numFmts>"
    "<cellStyleXfs><xf numFmtId=\"14\"/></cellStyleXfs>"
    "<cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/><xf numFmtId=\"164\"/><xf numFmtId=\"21\"/>"
    "<xf numFmtId=\"46\"/><xf numFmtId=\"22\"/><xf numFmtId=\"20\"/><xf "
    "numFmtId=\"57\"/><xf/></cellXfs>"
    "<dxfs><xf numFmtId=\"14\"/></dxfs></styleSheet>";

static void
test_styled (void)
{
  Parts parts = { .styles = styles_xml };
  const char *rows =
      "<row><c><v>45000</v></c><c s=\"1\"><v>45000</v></c><c s=\"2\"><v>45000.5</v></c>"
      "<c s=\"3\"><v>0.5</v></c><c s=\"4\"><v>1.5</v></c><c s=\"5\"><v>45000</v></c>"
      "<c s=\"6\"><v>0.5</v></c><c s=\"7\"><v>45000</v></c><c s=\"8\"><v>7</v></c>"
      "<c s=\"99\"><v>8</v></c><c s=\"1\"><v>-3</v></c><c s=\"1\" t=\"str\"><v>9</v></c>"
      "<c s=\"1\"><v>4x</v></c></row>";
  /* 45000 is 2023-03-15: 45000 - 25569 days after 1970-01-01, by date -d @$((19431*86400)) */
  assert_rows (parts, rows,
               "45000\t2023-03-15\t2023-03-15T12:00:00\t12:00:00\t36:00:00\t2023-03-15T00:00:00\t"
               "0.5\t2023-03-15\t7\t8\t-3\t9\t4x\n");
  parts.workbook = workbook_1904_xml;
  assert_rows (parts, "<row><c s=\"1\"><v>43538</v></c></row>", "2023-03-15\n");
}

/* ---- Parts ---- */

static void
test_missing_parts (void)
{
  const PackedFile files[] = { { "[Content_Types].xml", "<Types/>" },
                               { "word/document.xml", "<w/>" },
                               { NULL } };
  g_autoptr (GBytes) document = pack_zip (files, NULL);
  assert_not_unpacked (document, NULL, TIDE_UNPACK_ERROR_PACKED, "no .xlsx workbook");
  const PackedFile open[] = { { "mimetype", "application/vnd.oasis.opendocument.spreadsheet" },
                              { "content.xml", "<office/>" },
                              { NULL } };
  g_autoptr (GBytes) other = pack_zip (open, NULL);
  assert_not_unpacked (other, NULL, TIDE_UNPACK_ERROR_PACKED, "no .xlsx workbook");
  const PackedFile alone[] = { { "xl/workbook.xml", workbook_xml }, { NULL } };
  g_autoptr (GBytes) lonely = pack_zip (alone, NULL);
  assert_not_unpacked (lonely, NULL, TIDE_UNPACK_ERROR_PACKED, "lacks its part xl/_rels");
  assert_sheet_refused ((Parts){ 0 }, TIDE_UNPACK_ERROR_PACKED, "lacks this sheet's cells");
  assert_sheet_refused ((Parts){ .relationships = "<Relationships/>" }, TIDE_UNPACK_ERROR_PACKED,
                        "lacks this sheet's cells");
  assert_workbook_refused ((Parts){ .workbook = "<workbook/>" }, TIDE_UNPACK_ERROR_PACKED,
                           "no sheet with cells");
  assert_workbook_refused ((Parts){ .relationships = "<Relationships>" RELATIONSHIP (
                                        "rId1", "chartsheet", "c.xml") "</Relationships>" },
                           TIDE_UNPACK_ERROR_PACKED, "no sheet with cells");
}

static void
test_targets (void)
{
  static const char *const targets[] = { "worksheets/sheet1.xml", "/xl/worksheets/sheet1.xml",
                                         "../xl/worksheets/sheet1.xml" };
  for (guint i = 0; i < G_N_ELEMENTS (targets); i++)
    {
      g_autofree char *relationships =
          g_strdup_printf ("\xef\xbb\xbf<Relationships><Relationship Id=\"rId1\" Type=\"" TYPE
                           "worksheet\" Target=\"%s\"/></Relationships>",
                           targets[i]);
      assert_rows ((Parts){ .relationships = relationships }, "<row><c><v>1</v></c></row>", "1\n");
    }
}

/* Parts that point at each other or at what is no sheet. */
static void
test_cycles (void)
{
  g_autoptr (GPtrArray) texts = read_parts (
      (Parts){ .relationships = "<Relationships>" RELATIONSHIP ("rId1", "worksheet", "workbook.xml")
                   RELATIONSHIP ("rId2", "styles", "workbook.xml")
                       RELATIONSHIP ("rId3", "sharedStrings",
                                     "_rels/workbook.xml.rels") "</Relationships>" });
  assert_text (texts, 0, "Log", "");
}

static void
test_sheets (void)
{
  Parts parts = {
    .workbook = "<workbook><sheets><sheet name=\"B&#10;x\" r:id=\"rId2\"/><sheet name=\"Chart\" "
                "r:id=\"rId4\"/>"
                "<sheet name=\"A\" r:id=\"rId1\"/></sheets></workbook>",
    .relationships = "<Relationships>" RELATIONSHIP ("rId1", "worksheet", "worksheets/sheet1.xml")
        RELATIONSHIP ("rId2", "worksheet", "sharedStrings.xml")
            RELATIONSHIP ("rId4", "chartsheet", "styles.xml") "</Relationships>",
    .sheet = "<worksheet><sheetData><row><c><v>1</v></c></row></sheetData></worksheet>",
    .strings = "<worksheet><sheetData><row><c><v>2</v></c></row></sheetData></worksheet>",
  };
  g_autoptr (GBytes) bytes = pack_workbook (parts);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (texts->len, ==, 2);
  assert_text (texts, 0, "B?x", "2\n");
  assert_text (texts, 1, "A", "1\n");
  g_autoptr (GPtrArray) second = unpack_all (bytes, "A", &error);
  g_assert_no_error (error);
  assert_text (second, 0, "A", "1\n");
  assert_not_unpacked (bytes, "Chart", TIDE_UNPACK_ERROR_NO_SHEET,
                       "no sheet Chart; there are: 1 \"B?x\", 2 \"A\"");
}

/* ---- Hostile ---- */

static void
test_hostile_cells (void)
{
  static const char *const rows[] = {
    "<row><c t=\"s\"><v>1</v></c></row>",
    "<row><c t=\"s\"><v>-1</v></c></row>",
    "<row><c t=\"s\"><v>0x</v></c></row>",
    "<row><c t=\"s\"><v>99999999999999999999</v></c></row>",
    "<row r=\"1\"><c r=\"ZZZZZZ1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"XFE1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"A2\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"A\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"a1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"A1\" s=\"-1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"B1\"><v>1</v></c><c r=\"A1\"><v>1</v></c></row>",
    "<row r=\"1\"><c r=\"XFD1\"/><c><v>1</v></c></row>",
    "<row r=\"-1\"><c><v>1</v></c></row>",
    "<row r=\"0\"><c><v>1</v></c></row>",
    "<row r=\"1048577\"><c><v>1</v></c></row>",
    "<row r=\"2\"/><row r=\"2\"/>",
    "<row r=\"2\"/><row r=\"1\"/>",
    "<row r=\"1048576\"/><row/>",
    "<row><c><v><v>1</v></v></c></row>",
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    assert_rows_refused (rows[i], "is damaged");
}

static void
test_hostile_xml (void)
{
  static const char *const sheets[] = {
    "",
    "<worksheet><sheetData><row><c><v>1</v></c></row>",
    "<worksheet><sheetData></worksheet></sheetData>",
    "<worksheet><sheetData><row><c><v>&boom;</v></c></row></sheetData></worksheet>",
    "<!DOCTYPE x [<!ENTITY boom \"boom\">]><worksheet><sheetData><row><c><v>&boom;</v></c></row>"
    "</sheetData></worksheet>",
    "<worksheet><sheetData><row><c><v>\xff</v></c></row></sheetData></worksheet>",
    "not XML",
    "<worksheet a=\"1",
  };
  for (guint i = 0; i < G_N_ELEMENTS (sheets); i++)
    assert_sheet_refused ((Parts){ .sheet = sheets[i] }, TIDE_UNPACK_ERROR_PACKED, "is damaged");
  assert_workbook_refused ((Parts){ .workbook = "<workbook" }, TIDE_UNPACK_ERROR_PACKED, "damaged");
  assert_workbook_refused ((Parts){ .relationships = "<a></b>" }, TIDE_UNPACK_ERROR_PACKED,
                           "damaged");
  assert_workbook_refused ((Parts){ .strings = "<sst><si>" }, TIDE_UNPACK_ERROR_PACKED, "damaged");
  assert_workbook_refused ((Parts){ .styles = "<styleSheet>" }, TIDE_UNPACK_ERROR_PACKED,
                           "damaged");
}

static char *
repeat (const char *before, const char *text, guint n, const char *behind)
{
  GString *all = g_string_new (before);
  for (guint i = 0; i < n; i++)
    g_string_append (all, text);
  g_string_append (all, behind);
  return g_string_free (all, FALSE);
}

static void
test_bounds (void)
{
  g_autofree char *deep = repeat ("<worksheet>", "<a>", 200000, "");
  assert_sheet_refused ((Parts){ .sheet = deep }, TIDE_UNPACK_ERROR_PACKED, "damaged");
  g_autofree char *attribute = repeat ("<worksheet a=\"", "0123456789", 200000, "\"/>");
  assert_sheet_refused ((Parts){ .sheet = attribute }, TIDE_UNPACK_ERROR_PACKED, "damaged");
  g_autofree char *text =
      repeat ("<worksheet><sheetData><row><c t=\"inlineStr\"><is><t>", "0123456789", 20000,
              "</t></is></c></row></sheetData></worksheet>");
  assert_sheet_refused ((Parts){ .sheet = text }, TIDE_UNPACK_ERROR_TOO_LARGE, "more text than");
  g_autofree char *number = repeat ("<worksheet><sheetData><row><c><v>", "0123456789<!---->",
                                    110000, "</v></c></row></sheetData></worksheet>");
  assert_sheet_refused ((Parts){ .sheet = number }, TIDE_UNPACK_ERROR_PACKED, "damaged");
  g_autofree char *sheets =
      repeat ("<workbook><sheets>", "<sheet name=\"a\"/>", 1001, "</sheets></workbook>");
  assert_workbook_refused ((Parts){ .workbook = sheets }, TIDE_UNPACK_ERROR_PACKED,
                           "more than 1000 sheets");
  GString *many = g_string_new ("<Relationships>");
  for (guint i = 0; i < 2001; i++)
    g_string_append_printf (many, "<Relationship Id=\"%u\" Type=\"x/y\" Target=\"z\"/>", i);
  g_autofree char *relationships = g_string_free (many, FALSE);
  assert_workbook_refused ((Parts){ .relationships = relationships }, TIDE_UNPACK_ERROR_PACKED,
                           "more than 1000 sheets");
}

/* A few long shared strings, used again and again, make a row or the table grow without end. */
static void
test_string_bounds (void)
{
  g_autofree char *strings = repeat ("<sst><si><t>", "0123456789", 10000, "</t></si></sst>");
  g_autofree char *row = repeat ("<worksheet><sheetData><row>", "<c t=\"s\"><v>0</v></c>", 2000,
                                 "</row></sheetData></worksheet>");
  assert_sheet_refused ((Parts){ .sheet = row, .strings = strings }, TIDE_UNPACK_ERROR_TOO_LARGE,
                        "longer than 1 MiB");
  g_autofree char *one = repeat ("<si><t>", "0123456789abcdef", 4000, "</t></si>");
  g_autofree char *table = repeat ("<sst>", one, 1050, "</sst>");
  assert_workbook_refused ((Parts){ .strings = table, .options = "compression=store" },
                           TIDE_UNPACK_ERROR_TOO_LARGE, "too much text");
}

/* XML that is small for its archive may still make text without end: here 960 KB of every row. */
static void
test_text_bounds (void)
{
  g_autofree char *text = g_strnfill (60000, 'x');
  g_autofree char *strings = g_strconcat ("<sst><si><t>", text, "</t></si></sst>", NULL);
  g_autoptr (GString) rows = g_string_new (NULL);
  for (guint row = 0; row < 100; row++)
    {
      g_string_append (rows, "<row>");
      for (guint column = 0; column < 16; column++)
        g_string_append (rows, "<c t=\"s\"><v>0</v></c>");
      g_string_append (rows, "</row>");
    }
  g_autofree char *sheet = wrap_rows (rows->str);
  assert_sheet_refused ((Parts){ .sheet = sheet, .strings = strings }, TIDE_UNPACK_ERROR_PACKED,
                        "grows to more than");
}

static void
test_damage (void)
{
  g_autofree char *sheet = wrap_rows (
      "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" s=\"1\"><v>45000</v></c></row>"
      "<row r=\"9\"><c r=\"C9\" t=\"inlineStr\"><is><t>x</t></is></c></row>");
  g_autoptr (GBytes) bytes = pack_workbook (
      (Parts){ .sheet = sheet, .strings = "<sst><si><t>A</t></si></sst>", .styles = styles_xml });
  assert_survives_damage (bytes, 7);
}

/* Parts damaged inside a sound archive: what unpacks well may still be no XML. */
static void
test_damaged_parts (void)
{
  g_autofree char *sheet = wrap_rows (
      "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" s=\"1\"><v>45000</v></c></row>");
  for (gsize i = 0; i < strlen (sheet); i++)
    {
      g_autofree char *cut = g_strndup (sheet, i);
      assert_sheet_refused ((Parts){ .sheet = cut, .strings = "<sst><si><t>A</t></si></sst>" },
                            TIDE_UNPACK_ERROR_PACKED, "damaged");
      g_autofree char *changed = g_strdup (sheet);
      changed[i] ^= 1 + (char)(i % 31);
      if (!changed[i])
        continue;
      g_autoptr (GBytes) bytes = pack_workbook ((Parts){
          .sheet = changed, .strings = "<sst><si><t>A</t></si></sst>", .styles = styles_xml });
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (texts->len, ==, 1);
    }
}

/* Memory and order: a sheet of some megabytes comes in pieces, each row once. */
static void
test_long_sheet (void)
{
  GString *rows = g_string_new (NULL), *wanted = g_string_new (NULL);
  for (guint i = 1; i <= 100000; i++)
    {
      g_string_append_printf (
          rows, "<row r=\"%u\"><c r=\"A%u\"><v>%u.5</v></c><c r=\"C%u\"><v>%u</v></c></row>", i, i,
          i, i, i * 7919 % 100003);
      g_string_append_printf (wanted, "%u.5\t\t%u\n", i, i * 7919 % 100003);
    }
  assert_rows ((Parts){ 0 }, rows->str, wanted->str);
  g_string_free (rows, TRUE);
  g_string_free (wanted, TRUE);
}

/* ---- What openpyxl wrote ---- */

static gboolean
is_same_field (const char *read, const char *wanted)
{
  char *read_end, *wanted_end;
  double a = g_ascii_strtod (read, &read_end), b = g_ascii_strtod (wanted, &wanted_end);
  gboolean are_numbers = *read && *wanted && !*read_end && !*wanted_end;
  return are_numbers ? a == b : strcmp (read, wanted) == 0;
}

static void
assert_same_line (const char *read, const char *wanted)
{
  g_auto (GStrv) a = g_strsplit (read, "\t", -1);
  g_auto (GStrv) b = g_strsplit (wanted, "\t", -1);
  gboolean is_same = g_strv_length (a) == g_strv_length (b);
  for (guint i = 0; is_same && a[i]; i++)
    is_same = is_same_field (a[i], b[i]);
  if (!is_same)
    g_error ("\"%s\" was read where \"%s\" stands", read, wanted);
}

/* wanted: "= NAME" before the lines of each sheet. */
static void
assert_sheets (GPtrArray *texts, const char *wanted)
{
  g_auto (GStrv) lines = g_strsplit (wanted, "\n", -1);
  guint line = 0, n_compared = 0;
  for (guint i = 0; i < texts->len; i++)
    {
      Unpacked *unpacked = g_ptr_array_index (texts, i);
      g_assert_no_error (unpacked->error);
      g_auto (GStrv) read = g_strsplit (unpacked->text->str, "\n", -1);
      g_assert_true (g_str_has_prefix (lines[line], "= "));
      g_assert_cmpstr (unpacked->member, ==, lines[line++] + 2);
      for (guint k = 0; read[k + 1]; k++, n_compared++)
        assert_same_line (read[k], lines[line++]);
    }
  g_assert_cmpstr (lines[line], ==, "");
  g_assert_null (lines[line + 1]);
  g_assert_cmpuint (n_compared, >, 300);
}

static void
compare_with_openpyxl (const char *folder, const char *name)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *workbook_path = g_strdup_printf ("%s/%s.xlsx", folder, name);
  g_autofree char *text_path = g_strdup_printf ("%s/%s.txt", folder, name);
  g_autofree char *data = NULL, *wanted = NULL;
  gsize length;
  g_file_get_contents (workbook_path, &data, &length, &error);
  g_assert_no_error (error);
  g_file_get_contents (text_path, &wanted, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) bytes = g_bytes_new (data, length);
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  assert_sheets (texts, wanted);
  g_assert_cmpint (g_unlink (workbook_path), ==, 0);
  g_assert_cmpint (g_unlink (text_path), ==, 0);
}

static void
test_openpyxl (void)
{
  char *python = (char *)g_getenv ("TIDE_TEST_PYTHON");
  if (!python)
    {
      g_test_skip ("TIDE_TEST_PYTHON names no python3");
      return;
    }
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("tidemark-workbook-XXXXXX", &error);
  g_assert_no_error (error);
  g_autofree char *script = g_test_build_filename (G_TEST_DIST, "unpack", "make-workbook.py", NULL);
  char *arguments[] = { python, script, folder, NULL };
  int status;
  g_autofree char *words = NULL;
  g_spawn_sync (NULL, arguments, NULL, 0, NULL, NULL, NULL, &words, &status, &error);
  g_assert_no_error (error);
  if (g_spawn_check_wait_status (status, &error))
    {
      compare_with_openpyxl (folder, "log");
      compare_with_openpyxl (folder, "since-1904");
    }
  else if (g_error_matches (error, G_SPAWN_EXIT_ERROR, 77))
    g_test_skip ("python3-openpyxl is not installed: nothing outside to hold workbooks against");
  else
    g_error ("make-workbook.py: %s %s", error->message, words);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/unpack/workbook/cells", test_cells);
  g_test_add_func ("/unpack/workbook/unworked-formulas", test_unworked_formulas);
  g_test_add_func ("/unpack/workbook/formats", test_formats);
  g_test_add_func ("/unpack/workbook/serials", test_serials);
  g_test_add_func ("/unpack/workbook/styled", test_styled);
  g_test_add_func ("/unpack/workbook/missing-parts", test_missing_parts);
  g_test_add_func ("/unpack/workbook/targets", test_targets);
  g_test_add_func ("/unpack/workbook/cycles", test_cycles);
  g_test_add_func ("/unpack/workbook/sheets", test_sheets);
  g_test_add_func ("/unpack/workbook/hostile-cells", test_hostile_cells);
  g_test_add_func ("/unpack/workbook/hostile-xml", test_hostile_xml);
  g_test_add_func ("/unpack/workbook/bounds", test_bounds);
  g_test_add_func ("/unpack/workbook/string-bounds", test_string_bounds);
  g_test_add_func ("/unpack/workbook/text-bounds", test_text_bounds);
  g_test_add_func ("/unpack/workbook/damage", test_damage);
  g_test_add_func ("/unpack/workbook/damaged-parts", test_damaged_parts);
  g_test_add_func ("/unpack/workbook/long-sheet", test_long_sheet);
  g_test_add_func ("/unpack/workbook/openpyxl", test_openpyxl);
  return g_test_run ();
}
