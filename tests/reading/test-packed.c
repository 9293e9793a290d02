/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Packed files through the whole of reading: the recordings are those of the log as it is, with the
 * names of members and sheets; what is no log is passed over and told of.
 */
#include "unpack/packing.h"
#include "support.h"

#include <string.h>

static const char log_a[] =
    "time_s,voltage_V,current_A\n0,5.0,1.0\n1,5.1,1.0\n2,5.2,1.5\n3,5.0,1.0\n";
static const char log_b[] =
    "Zeit (s);Spannung (V);Strom (mA)\n0;9,0;2000\n1;9,1;2100\n2;9,2;2200\n";

static GPtrArray *
read_packed (GBytes *bytes, const char *sheet, GError **error)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_assert_true (tide_reading_rule_set (rule, "sheet", sheet, NULL));
  TideReadOptions options = { .rule = rule };
  return tide_read_bytes (bytes, "export.bin", &options, NULL, error);
}

static GPtrArray *
read_good (GBytes *bytes, const char *sheet, guint n)
{
  g_autoptr (GError) error = NULL;
  GPtrArray *recordings = read_packed (bytes, sheet, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (recordings->len, ==, n);
  g_autofree char *sha256 = g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes);
  for (guint i = 0; i < n; i++)
    g_assert_cmpstr (tide_recording_get_sha256 (g_ptr_array_index (recordings, i)), ==, sha256);
  return recordings;
}

static void
assert_is_log (TideRecording *recording, const char *text, const char *label)
{
  g_autoptr (TideRecording) plain = read_one (text);
  assert_same_columns (recording, plain);
  g_assert_cmpstr (tide_recording_get_label (recording), ==, label);
}

static void
assert_refused_packed (GBytes *bytes, const char *sheet, int code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = read_packed (bytes, sheet, &error);
  g_assert_null (recordings);
  g_assert_error (error, TIDE_READING_ERROR, code);
  assert_one_line (error);
  g_assert_true (g_str_has_prefix (error->message, "export.bin: "));
  if (!strstr (error->message, words))
    g_error ("\"%s\" does not say \"%s\"", error->message, words);
}

static void
test_gzip (void)
{
  g_autoptr (GBytes) bytes = pack_gzip (log_a, -1);
  g_autoptr (GPtrArray) recordings = read_good (bytes, NULL, 1);
  assert_is_log (g_ptr_array_index (recordings, 0), log_a, NULL);
}

/* Every row that came before the cut is read. */
static void
test_gzip_cut (void)
{
  GString *text = g_string_new ("time_s,voltage_V,current_A\n");
  for (guint i = 0; i < 20000; i++)
    g_string_append_printf (text, "%u,5.%03u,1.%03u\n", i, i * 7919 % 1000, i * 104729 % 1000);
  g_autoptr (GBytes) whole = pack_gzip (text->str, -1);
  g_autoptr (GBytes) cut = g_bytes_new_from_bytes (whole, 0, g_bytes_get_size (whole) - 100);
  g_autoptr (GPtrArray) recordings = read_good (cut, NULL, 1);
  TideRecording *recording = g_ptr_array_index (recordings, 0);
  g_assert_cmpuint (tide_recording_get_n_samples (recording), >, 19500);
  g_assert_cmpuint (tide_recording_get_n_samples (recording), <, 20000);
  g_assert_true (has_complaint (recording, "cut short"));
  g_string_free (text, TRUE);
}

static void
test_zip (void)
{
  const PackedFile files[] = {
    { "read me.txt", "Two logs.\n" }, { "logs/a.csv", log_a }, { "photo.png", "\x89PNG\r\n" },
    { "logs/b.csv", log_b },          { "end.txt", "" },       { NULL },
  };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  g_autoptr (GPtrArray) recordings = read_good (bytes, NULL, 2);
  TideRecording *a = g_ptr_array_index (recordings, 0), *b = g_ptr_array_index (recordings, 1);
  assert_is_log (a, log_a, "a.csv");
  assert_is_log (b, log_b, "b.csv");
  g_assert_cmpint (tide_recording_get_part (a), ==, 1);
  g_assert_cmpint (tide_recording_get_part (b), ==, 2);
  g_assert_true (has_complaint (a, "read me.txt is not read"));
  g_assert_true (has_complaint (a, "photo.png is not read: this is a PNG picture"));
  g_assert_true (has_complaint (b, "end.txt is not read: the file is empty"));
  g_assert_false (has_complaint (b, "photo.png"));
  g_autoptr (GPtrArray) chosen = read_good (bytes, "b.csv", 1);
  assert_is_log (g_ptr_array_index (chosen, 0), log_b, "b.csv");
}

static void
test_zip_without_logs (void)
{
  const PackedFile files[] = { { "photo.png", "\x89PNG\r\n" }, { "b.txt", "A note\n" }, { NULL } };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  assert_refused_packed (bytes, NULL, TIDE_READING_ERROR_NOT_TEXT,
                         "photo.png: this is a PNG picture");
  assert_refused_packed (bytes, "3", TIDE_READING_ERROR_RULE, "there is no sheet 3");
}

/* A question about one of the texts is a question about the file: nothing of it is read until it is
 * answered. */
static void
test_zip_in_question (void)
{
  const char *log_c = "Date,voltage_V,current_A\n01/02/2026 10:00:00,5,1\n01/02/2026 10:00:01,5,1\n"
                      "01/02/2026 10:00:02,5,1\n";
  const PackedFile files[] = { { "a.csv", log_a }, { "c.csv", log_c }, { NULL } };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  assert_refused_packed (bytes, NULL, TIDE_READING_ERROR_AMBIGUOUS, "c.csv: ");
  g_autoptr (GPtrArray) recordings = read_good (bytes, "1", 1);
  assert_is_log (g_ptr_array_index (recordings, 0), log_a, "a.csv");
}

#define SHEET(rows) "<worksheet><sheetData>" rows "</sheetData></worksheet>"

static GBytes *
pack_two_sheets (void)
{
  /* 46085.25 days is 2026-03-04 06:00:00: 46085 - 25569 = 20516 days after 1970-01-01; a second is
   * 1/86400 */
  const PackedFile files[] = {
    { "xl/workbook.xml",
      "<workbook><sheets><sheet name=\"Dock\" id=\"a\"/><sheet name=\"Notes\" id=\"n\"/>"
      "<sheet name=\"Handheld\" id=\"b\"/></sheets></workbook>" },
    { "xl/_rels/workbook.xml.rels",
      "<Relationships><Relationship Id=\"a\" Type=\"x/worksheet\" Target=\"a.xml\"/>"
      "<Relationship Id=\"n\" Type=\"x/worksheet\" Target=\"n.xml\"/>"
      "<Relationship Id=\"b\" Type=\"x/worksheet\" Target=\"b.xml\"/>"
      "<Relationship Id=\"s\" Type=\"x/styles\" Target=\"s.xml\"/></Relationships>" },
    { "xl/a.xml",
      SHEET ("<row r=\"3\"><c t=\"str\"><v>Time (s)</v></c><c t=\"str\"><v>Voltage (V)</v></c>"
             "<c t=\"str\"><v>Current (A)</v></c></row>"
             "<row r=\"4\"><c><v>0</v></c><c><v>5</v></c><c><v>1</v></c></row>"
             "<row r=\"5\"><c><v>1</v></c><c><v>5.0999999999999996</v></c><c><v>1</v></c></row>"
             "<row r=\"6\"><c><v>2</v></c><c t=\"str\"><v>n.a.</v></c><c><v>1.5</v></c></row>"
             "<row r=\"7\"><c><v>2</v></c><c><v>5.2</v></c><c><v>1.5</v></c></row>"
             "<row r=\"8\"><c><v>3</v></c><c><v>5</v></c><c><v>1</v></c></row>"
             "<row r=\"9\"><c><v>4</v></c><c><v>5</v></c><c><v>1</v></c></row>") },
    { "xl/n.xml", SHEET ("<row><c t=\"str\"><v>A note</v></c></row>") },
    { "xl/b.xml",
      SHEET ("<row><c t=\"str\"><v>Date</v></c><c t=\"str\"><v>Voltage (V)</v></c><c "
             "t=\"str\"><v>Current (A)</v></c>"
             "</row><row><c s=\"1\"><v>46085.25</v></c><c><v>9</v></c><c><v>2</v></c></row>"
             "<row><c s=\"1\"><v>46085.250011574077</v></c><c><v>9.1</v></c><c><v>2.1</v></c></row>"
             "<row><c "
             "s=\"1\"><v>46085.250023148146</v></c><c><v>9.2</v></c><c><v>2.2</v></c></row>") },
    { "xl/s.xml",
      "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"22\"/></cellXfs></styleSheet>" },
    { NULL },
  };
  return pack_zip (files, NULL);
}

static void
test_workbook (void)
{
  g_autoptr (GBytes) bytes = pack_two_sheets ();
  g_autoptr (GPtrArray) recordings = read_good (bytes, NULL, 2);
  TideRecording *dock = g_ptr_array_index (recordings, 0);
  TideRecording *handheld = g_ptr_array_index (recordings, 1);
  g_assert_cmpstr (tide_recording_get_label (dock), ==, "Dock");
  g_assert_cmpuint (tide_recording_get_n_samples (dock), ==, 5);
  g_assert_cmpfloat (get_value (dock, TIDE_QUANTITY_VOLTAGE, 1), ==, 5.1);
  /* rows have the spreadsheet's numbers */
  g_assert_true (has_complaint (dock, "row 6"));
  g_assert_true (has_complaint (dock, "Notes is not read"));
  assert_is_log (handheld, log_b, "Handheld");
  g_assert_cmpint (tide_recording_get_start_us (handheld), ==,
                   (20516 * G_GINT64_CONSTANT (86400) + 6 * 3600) * G_USEC_PER_SEC);
  g_autoptr (GPtrArray) third = read_good (bytes, "3", 1);
  assert_is_log (g_ptr_array_index (third, 0), log_b, "Handheld");
}

static GBytes *
pack_one_cell (const char *text)
{
  g_autofree char *sheet =
      g_strdup_printf (SHEET ("<row><c t=\"inlineStr\"><is><t>%s</t></is></c></row>"), text);
  const PackedFile files[] = {
    { "xl/workbook.xml", "<workbook><sheets><sheet name=\"A\" id=\"a\"/></sheets></workbook>" },
    { "xl/_rels/workbook.xml.rels", "<Relationships><Relationship Id=\"a\" Type=\"x/worksheet\" "
                                    "Target=\"a.xml\"/></Relationships>" },
    { "xl/a.xml", sheet },
    { NULL },
  };
  return pack_zip (files, NULL);
}

/* What the unpacker refuses comes in reading's own terms, at the head of a text and beyond it. */
static void
test_codes (void)
{
  g_autoptr (GBytes) sheets = pack_two_sheets ();
  assert_refused_packed (sheets, "9", TIDE_READING_ERROR_RULE, "there is no sheet 9");
  g_autofree char *text = g_strnfill (200000, 'x');
  g_autoptr (GBytes) long_cell = pack_one_cell (text);
  assert_refused_packed (long_cell, NULL, TIDE_READING_ERROR_TOO_LARGE, "more text than");

  g_autoptr (GString) log = g_string_new ("time_s,power_W\n");
  for (guint i = 0; log->len < 3 * TIDE_PIECE_BYTES; i++)
    g_string_append_printf (log, "%u,5.%u\n", i, i % 7);
  g_autoptr (GBytes) sound = pack_gzip (log->str, -1);
  g_autoptr (GPtrArray) recordings = read_good (sound, NULL, 1);
  gsize size = g_bytes_get_size (sound);
  g_autofree guint8 *changed = g_memdup2 (g_bytes_get_data (sound, NULL), size);
  changed[size - 8] ^= 1; /* of the check sum: RFC 1952, 2.3 */
  g_autoptr (GBytes) damaged = g_bytes_new (changed, size);
  assert_refused_packed (damaged, NULL, TIDE_READING_ERROR_PACKED, "is damaged");
}

/* Cut anywhere, a packed file gives recordings or one line that names it. */
static void
test_cut (void)
{
  const PackedFile files[] = { { "a.csv", log_a }, { NULL } };
  g_autoptr (GBytes) gzip = pack_gzip (log_a, -1);
  g_autoptr (GBytes) zip = pack_zip (files, NULL);
  g_autoptr (GBytes) workbook = pack_two_sheets ();
  GBytes *all[] = { gzip, zip, workbook };
  for (guint i = 0; i < G_N_ELEMENTS (all); i++)
    for (gsize cut = 1; cut < g_bytes_get_size (all[i]); cut += 7)
      {
        g_autoptr (GBytes) part = g_bytes_new_from_bytes (all[i], 0, cut);
        g_autoptr (GError) error = NULL;
        g_autoptr (GPtrArray) recordings = read_packed (part, NULL, &error);
        g_assert_true ((recordings == NULL) == (error != NULL));
        if (error)
          {
            assert_one_line (error);
            g_assert_true (g_str_has_prefix (error->message, "export.bin: "));
          }
      }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/packed/gzip", test_gzip);
  g_test_add_func ("/reading/packed/gzip-cut", test_gzip_cut);
  g_test_add_func ("/reading/packed/zip", test_zip);
  g_test_add_func ("/reading/packed/zip-without-logs", test_zip_without_logs);
  g_test_add_func ("/reading/packed/zip-in-question", test_zip_in_question);
  g_test_add_func ("/reading/packed/workbook", test_workbook);
  g_test_add_func ("/reading/packed/codes", test_codes);
  g_test_add_func ("/reading/packed/cut", test_cut);
  return g_test_run ();
}
