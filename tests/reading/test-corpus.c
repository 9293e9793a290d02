/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Awkward CSV files out of the tests of other programs, with the records that their authors expect.
 * The files are not part of the project; without TIDEMARK_DATASETS these tests skip. Sources, under
 * csv-corpus: csv-spectrum   json/NAME.json is what csvs/NAME.csv holds, objects by the names of
 * the header commons-csv    CSVFileParser/MODE.txt holds the records of a test file, "4:[a, b, c,
 * d]" a line csvkit         NAME_converted.csv holds the values of NAME.csv reference.json how many
 * records Python 3.11's csv module finds in each file
 */
#include "support.h"

#include <json-glib/json-glib.h>
#include <string.h>

#include "reading/reading-private.h"
#include "reading/text-private.h"

static char *
find_corpus (const char *path)
{
  const char *folder = g_getenv ("TIDEMARK_DATASETS");
  g_autofree char *found =
      folder != NULL ? g_build_filename (folder, "csv-corpus", path, NULL) : g_strdup ("");

  if (g_file_test (found, G_FILE_TEST_EXISTS))
    return g_steal_pointer (&found);
  g_test_skip ("TIDEMARK_DATASETS names no folder with csv-corpus");
  return NULL;
}

static char *
load (const char *path, gsize *length)
{
  g_autoptr (GError) error = NULL;
  char *bytes = NULL;

  g_file_get_contents (path, &bytes, length, &error);
  g_assert_no_error (error);
  return bytes;
}

/* The records of bytes, read as all of a head; NULL where they are not text. */
static TideTable *
read_bytes (const char *bytes, gsize length, char delimiter, GError **error)
{
  gsize text_length;
  const char *text;
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (TideDecoder) decoder =
      tide_decoder_new ((const guint8 *)bytes, length, TRUE, NULL, complaints, error);

  if (decoder == NULL
      || !tide_decoder_feed (decoder, (const guint8 *)bytes, length, TRUE, &text, &text_length,
                             error))
    return NULL;
  return tide_table_new (text, text_length, delimiter, FALSE, 1, TRUE, error);
}

static TideTable *
read_table (const char *path, char delimiter, GError **error)
{
  gsize length;
  g_autofree char *bytes = load (path, &length);

  return read_bytes (bytes, length, delimiter, error);
}

static TideTable *
read_table_well (const char *path, char delimiter)
{
  g_autoptr (GError) error = NULL;
  TideTable *table = read_table (path, delimiter, &error);

  g_assert_no_error (error);
  return table;
}

static JsonNode *
load_json (const char *path)
{
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;

  json_parser_load_from_file (parser, path, &error);
  g_assert_no_error (error);
  return json_parser_steal_root (parser);
}

/* ---- csv-spectrum ---- */

static void
check_record (const TideTable *table, guint row, JsonObject *expected)
{
  guint n = tide_table_n_fields (table, 0);

  g_assert_cmpuint (tide_table_n_fields (table, row), ==, n);
  g_assert_cmpuint (json_object_get_size (expected), ==, n);
  for (guint i = 0; i < n; i++)
    {
      const char *name = tide_table_field (table, 0, i);

      /* of which the authors changed only the expected value: location_coordinates */
      if (!g_str_equal (name, "Contact Phone Number"))
        g_assert_cmpstr (tide_table_field (table, row, i), ==,
                         json_object_get_string_member (expected, name));
    }
}

/* The copies of the files that are called after CR LF have lost their CRs on the way; here they get
 * them back. */
static TideTable *
read_spectrum (const char *path)
{
  g_autoptr (GError) error = NULL;
  gsize length;
  g_autofree char *bytes = load (path, &length);
  g_autoptr (GString) text = g_string_new_len (bytes, (gssize)length);

  if (g_str_has_suffix (path, "_crlf.csv") && strchr (bytes, '\r') == NULL)
    g_string_replace (text, "\n", "\r\n", 0);
  TideTable *table = read_bytes (text->str, text->len, ',', &error);
  g_assert_no_error (error);
  return table;
}

/* A single record stands there without an array around it. Transfer full. */
static JsonArray *
take_records (JsonNode *root)
{
  if (JSON_NODE_HOLDS_ARRAY (root))
    return json_node_dup_array (root);
  JsonArray *records = json_array_new ();
  json_array_add_element (records, json_node_copy (root));
  return records;
}

static void
test_spectrum (void)
{
  static const char *const names[] = { "comma_in_quotes", "empty",         "empty_crlf",
                                       "escaped_quotes",  "json",          "location_coordinates",
                                       "newlines",        "newlines_crlf", "quotes_and_newlines",
                                       "simple",          "simple_crlf",   "utf8" };
  g_autofree char *folder = find_corpus ("csv-spectrum");

  for (guint i = 0; folder != NULL && i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *csv = g_strdup_printf ("%s/csvs/%s.csv", folder, names[i]);
      g_autofree char *json = g_strdup_printf ("%s/json/%s.json", folder, names[i]);
      g_autoptr (TideTable) table = read_spectrum (csv);
      g_autoptr (JsonNode) root = load_json (json);
      g_autoptr (JsonArray) expected = take_records (root);

      g_test_message ("%s", names[i]);
      g_assert_cmpuint (table->rows->len, ==, json_array_get_length (expected) + 1);
      for (guint row = 1; row < table->rows->len; row++)
        check_record (table, row, json_array_get_object_element (expected, row - 1));
    }
}

/* ---- commons-csv ---- */

/* The modes that are ours: blanks around fields do not count, blank lines are no records, lines
 * that begin with # are comments where is_commented says so (for us the header's search knows them,
 * so that here they are left out). The modes test_default, test_default_comment and test_rfc4180
 * keep blanks around fields, and quotes behind them as text: not ours. */
static const struct
{
  const char *mode;
  gboolean is_commented;
} modes[] = {
  { "test_rfc4180_trim.txt", FALSE },
  { "testCSV85_default.txt", TRUE },
  { "testCSV85_ignoreEmpty.txt", TRUE },
  { "testCSV246_checkWithNoComment.txt", TRUE },
};

/* "4:[a, b, c, d]" */
static char *
print_record (const TideTable *table, guint row)
{
  guint n = tide_table_n_fields (table, row);
  GString *text = g_string_new (NULL);

  g_string_append_printf (text, "%u:[", n);
  for (guint i = 0; i < n; i++)
    g_string_append_printf (text, "%s%s", i > 0 ? ", " : "", tide_table_field (table, row, i));
  g_string_append_c (text, ']');
  return g_string_free (text, FALSE);
}

static char *
print_records (const char *path, gboolean is_commented)
{
  g_autoptr (TideTable) table = read_table_well (path, ',');
  GString *text = g_string_new (NULL);

  for (guint row = 0; row < table->rows->len; row++)
    {
      g_autofree char *record = print_record (table, row);
      const char *first = tide_table_field (table, row, 0);

      if (!is_commented || !tide_is_comment (first, strlen (first)))
        g_string_append_printf (text, "%s\n", record);
    }
  return g_string_free (text, FALSE);
}

/* The lines of records, but for those of blank lines, without the comments that their parser puts
 * behind. */
static char *
take_expected (char **lines)
{
  GString *text = g_string_new (NULL);

  for (guint i = 2; lines[i] != NULL; i++)
    {
      const char *end = strrchr (lines[i], ']');

      if (g_ascii_isdigit (*lines[i]) && !g_str_has_prefix (lines[i], "1:[]"))
        {
          g_string_append_len (text, lines[i], end - lines[i] + 1);
          g_string_append_c (text, '\n');
        }
    }
  return g_string_free (text, FALSE);
}

static void
test_commons (void)
{
  g_autofree char *folder = find_corpus ("commons-csv/CSVFileParser");

  for (guint i = 0; folder != NULL && i < G_N_ELEMENTS (modes); i++)
    {
      gsize length;
      g_autofree char *mode = g_build_filename (folder, modes[i].mode, NULL);
      g_autofree char *text = load (mode, &length);
      g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
      g_auto (GStrv) words = g_strsplit (lines[0], " ", 2);
      g_autofree char *path = g_build_filename (folder, words[0], NULL);
      g_autofree char *records = print_records (path, modes[i].is_commented);
      g_autofree char *expected = take_expected (lines);

      g_test_message ("%s", modes[i].mode);
      g_assert_cmpstr (records, ==, expected);
    }
}

/* ---- csvkit ---- */

/* blanks.csv: the ways to say that there is no value; the converted file has nothing there. A lone
 * full stop among them is not ours: in a log it is a number cut short, and said to be none. */
static void
test_csvkit_blanks (void)
{
  g_autofree char *path = find_corpus ("csvkit/blanks.csv");
  g_autofree char *converted = path != NULL ? find_corpus ("csvkit/blanks_converted.csv") : NULL;

  if (converted == NULL)
    return;
  g_autoptr (TideTable) table = read_table_well (path, ',');
  g_autoptr (TideTable) expected = read_table_well (converted, ',');
  for (guint i = 0; i < 5; i++)
    {
      const char *field = tide_table_field (table, 1, i);

      g_assert_cmpstr (tide_table_field (expected, 1, i), ==, "");
      g_assert_true (tide_number_is_missing (field, strlen (field)));
    }
  g_assert_cmpstr (tide_table_field (table, 1, 5), ==, ".");
}

/* test_locale.csv: a decimal comma, and full stops between thousands. */
static void
test_csvkit_locale (void)
{
  g_autofree char *path = find_corpus ("csvkit/test_locale.csv");
  g_autofree char *converted =
      path != NULL ? find_corpus ("csvkit/test_locale_converted.csv") : NULL;

  if (converted == NULL)
    return;
  g_autoptr (TideTable) table = read_table_well (path, ',');
  g_autoptr (TideTable) expected = read_table_well (converted, ',');
  for (guint i = 0; i < 2; i++)
    {
      const char *field = tide_table_field (table, 1, i);
      double value = 0;

      g_assert_true (tide_number_parse_grouped (field, strlen (field), ',', '.', 0, &value));
      g_assert_cmpfloat (value, ==, g_ascii_strtod (tide_table_field (expected, 1, i), NULL));
    }
}

/* test_date_format.csv: days before months, as its second row tells of the first. */
static void
test_csvkit_dates (void)
{
  g_autofree char *path = find_corpus ("csvkit/test_date_format.csv");
  g_autofree char *converted =
      path != NULL ? find_corpus ("csvkit/test_date_format_converted.csv") : NULL;
  TideDateOrder orders = ~TIDE_ORDER_NONE;

  if (converted == NULL)
    return;
  g_autoptr (TideTable) table = read_table_well (path, ',');
  g_autoptr (TideTable) expected = read_table_well (converted, ',');
  for (guint row = 1; row < 3; row++)
    {
      const char *field = tide_table_field (table, row, 0);

      orders &= tide_date_orders (field, strlen (field));
    }
  g_assert_cmpint (orders, ==, TIDE_ORDER_DAY);
  for (guint row = 1; row < 3; row++)
    {
      const char *field = tide_table_field (table, row, 0);
      const char *wanted = tide_table_field (expected, row, 0);
      TideMoment moment, other;

      g_assert_true (tide_date_parse (field, strlen (field), orders, &moment));
      g_assert_true (tide_date_parse (wanted, strlen (wanted), TIDE_ORDER_YEAR, &other));
      g_assert_cmpint (moment.us, ==, other.us);
    }
}

/* ---- Python's count of records ---- */

static const struct
{
  const char *name;
  char delimiter;
} delimiters[] = { { "comma", ',' }, { "semicolon", ';' }, { "tab", '\t' }, { "pipe", '|' } };

#define UNCLOSED "a quote mark that never closes"
#define NULS     "more bytes of 0 than a text has"

/* Why Python's reading is not to be compared with ours; NULL: it is. */
static const char *
find_reason (const char *path)
{
  static const struct
  {
    const char *path, *reason;
  } others[] = {
    /* ours is refused, in one line that names the row */
    { "commons-csv/CSV-141/csv-141.csv", UNCLOSED },
    { "commons-csv/CSV-213/999751170.patch.csv", UNCLOSED },
    { "duckdb/error/json.csv", UNCLOSED },
    { "duckdb/rejects/multiple_errors/multiple_errors.csv", UNCLOSED },
    { "duckdb/rejects/multiple_errors/unquoted_cast.csv", UNCLOSED },
    { "duckdb/rejects/multiple_errors/unquoted_less.csv", UNCLOSED },
    { "duckdb/rejects/multiple_errors/unquoted_maxline.csv", UNCLOSED },
    { "duckdb/rejects/multiple_errors/unquoted_more.csv", UNCLOSED },
    { "duckdb/test/unterminated.csv", UNCLOSED },
    { "duckdb/null_terminator.csv", NULS },
    { "duckdb/nullterm.csv", NULS },
    /* RFC 4180 knows neither; libcsv and Python go on differently from there */
    { "duckdb/auto/backslash_escape.csv", "quotes escaped by a backslash" },
    { "duckdb/auto/quote_escape.csv", "fields with quotes in them, read by another delimiter" },
    { "duckdb/auto/semicolon_escape.csv", "fields with quotes in them, read by another delimiter" },
    { "duckdb/auto/semicolon_quote.csv", "fields with quotes in them, read by another delimiter" },
    { "duckdb/rejects/frankstein/nightmare.csv", "a quote mark inside a quoted field" },
    { "duckdb/rejects/unquoted/basic.csv", "a quote mark inside a quoted field" },
    { "duckdb/rejects/unquoted/unquoted_new_line.csv", "a quote mark inside a quoted field" },
    { NULL, NULL },
  };

  for (guint i = 0; others[i].path != NULL; i++)
    if (g_str_equal (others[i].path, path))
      return others[i].reason;
  return NULL;
}

/* TRUE where the counts differ. */
static gboolean
differs (const char *folder, const char *name, JsonObject *readings, guint which)
{
  JsonObject *reading = json_object_get_object_member (readings, delimiters[which].name);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideTable) table = read_table (path, delimiters[which].delimiter, &error);
  gint64 expected = json_object_get_int_member (reading, "non_empty_records");
  guint n = table != NULL ? table->rows->len : 0;

  if (n == expected)
    return FALSE;
  g_test_message ("%s by %s: %u records, Python %" G_GINT64_FORMAT "%s%s", name,
                  delimiters[which].name, n, expected, error != NULL ? ": " : "",
                  error != NULL ? error->message : "");
  return TRUE;
}

/* The delimiters by which Python read the file; how many of them differ from ours. */
static guint
count_differing (const char *folder, const char *name, JsonObject *file, guint *n_readings)
{
  guint n = 0;

  if (!json_object_has_member (file, "python_csv"))
    return 0;
  JsonObject *readings = json_object_get_object_member (file, "python_csv");
  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    if (json_object_has_member (readings, delimiters[i].name))
      {
        n += differs (folder, name, readings, i);
        ++*n_readings;
      }
  return n;
}

static void
test_python (void)
{
  g_autofree char *folder = find_corpus (".");
  g_autofree char *reference = folder != NULL ? find_corpus ("reference.json") : NULL;
  guint n = 0, n_wrong = 0;

  if (reference == NULL)
    return;
  g_autoptr (JsonNode) root = load_json (reference);
  JsonObject *files = json_object_get_object_member (json_node_get_object (root), "files");
  g_autoptr (GList) names = json_object_get_members (files);
  for (const GList *link = names; link != NULL; link = link->next)
    {
      const char *reason = find_reason (link->data);
      guint n_differ = count_differing (folder, link->data,
                                        json_object_get_object_member (files, link->data), &n);

      if (reason != NULL)
        {
          g_test_message ("not compared: %s", reason);
          g_assert_cmpuint (n_differ, >, 0);
        }
      else
        n_wrong += n_differ;
    }
  g_test_message ("%u readings compared", n);
  g_assert_cmpuint (n_wrong, ==, 0);
}

/* ---- Every file ---- */

/* There is no right answer for most of these but no crash, and one line for what is refused. */
static void
check_file (const char *path)
{
  gsize length;
  g_autofree char *name = g_path_get_basename (path);
  g_autofree char *prefix = g_strconcat (name, ": ", NULL);
  char *content = load (path, &length);
  g_autoptr (GBytes) bytes = g_bytes_new_take (content, length);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) tables = tide_understand_bytes (bytes, name, NULL, NULL, &error);

  g_assert_true ((tables == NULL) == (error != NULL));
  if (error == NULL)
    {
      g_assert_cmpuint (tables->len, >, 0);
      return;
    }
  g_assert_true (g_str_has_prefix (error->message, prefix));
  g_assert_null (strpbrk (error->message, "\r\n"));
  g_assert_true (g_utf8_validate (error->message, -1, NULL));
}

static guint
walk (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;
  guint n = 0;

  g_assert_nonnull (dir);
  while ((name = g_dir_read_name (dir)))
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        n += walk (path);
      else
        {
          check_file (path);
          n++;
        }
    }
  return n;
}

static void
test_understood (void)
{
  g_autofree char *folder = find_corpus (".");

  if (folder != NULL)
    g_assert_cmpuint (walk (folder), >=, 350);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/corpus/spectrum", test_spectrum);
  g_test_add_func ("/reading/corpus/commons", test_commons);
  g_test_add_func ("/reading/corpus/csvkit-blanks", test_csvkit_blanks);
  g_test_add_func ("/reading/corpus/csvkit-locale", test_csvkit_locale);
  g_test_add_func ("/reading/corpus/csvkit-dates", test_csvkit_dates);
  g_test_add_func ("/reading/corpus/python", test_python);
  g_test_add_func ("/reading/corpus/understood", test_understood);
  return g_test_run ();
}
