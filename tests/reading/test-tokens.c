/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Records and their numbers, in pieces of every size; bounds; and bytes that become text. What a
 * record is: RFC 4180 section 2; a blank line is a row of a spreadsheet without fields.
 */
#include "reading/text-private.h"
#include "reading/tokens-private.h"

#include <string.h>

/* ---- Tokens ---- */

static void
write_field_cb (guint column, const char *text, gsize length, gpointer user_data)
{
  GString *log = user_data;
  if (column > 0)
    g_string_append_c (log, '|');
  g_string_append_len (log, text, (gssize)length);
}

static void
write_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data)
{
  g_string_append_printf (user_data, " #%" G_GUINT64_FORMAT "/%u%s\n", row, n_fields,
                          terminated ? "" : " cut");
}

/* All records as "a|b #1/2" lines, read in pieces of that many bytes. */
static char *
tokenise (const char *text, char delimiter, gboolean wrapped, gsize piece, GError **error)
{
  g_autoptr (GString) log = g_string_new (NULL);
  g_autoptr (TideTokens) tokens =
      tide_tokens_new (delimiter, wrapped, 1, write_field_cb, write_record_cb, log);
  gsize length = strlen (text);
  for (gsize i = 0; i < length; i += piece)
    if (!tide_tokens_feed (tokens, text + i, MIN (piece, length - i), error))
      return NULL;
  if (!tide_tokens_finish (tokens, error))
    return NULL;
  return g_string_free (g_steal_pointer (&log), FALSE);
}

static void
test_records (void)
{
  static const struct
  {
    const char *text;
    char delimiter;
    gboolean wrapped;
    const char *records;
  } cases[] = {
    { "a,b\nc,d\n", ',', FALSE, "a|b #1/2\nc|d #2/2\n" },
    { "a,b\r\nc,d\r\n", ',', FALSE, "a|b #1/2\nc|d #2/2\n" },
    { "a,b\rc,d\r", ',', FALSE, "a|b #1/2\nc|d #2/2\n" },
    { "a,b\nc,d", ',', FALSE, "a|b #1/2\nc|d #2/2 cut\n" },
    { "a\n\nb\n\n\nc\n", ',', FALSE, "a #1/1\nb #3/1\nc #6/1\n" },
    { "a\r\n\r\nb\r\n", ',', FALSE, "a #1/1\nb #3/1\n" },
    { "a\r\rb\r", ',', FALSE, "a #1/1\nb #3/1\n" },
    { "\n\na\n", ',', FALSE, "a #3/1\n" },
    { "\"a,b\",c\n", ',', FALSE, "a,b|c #1/2\n" },
    { "\"a\"\"b\",c\n", ',', FALSE, "a\"b|c #1/2\n" },
    { "\"a\nb\",c\nd\n", ',', FALSE, "a\nb|c #1/2\nd #2/1\n" },
    { "a,,\n,,\n", ',', FALSE, "a|| #1/3\n|| #2/3\n" },
    { "a\tb\n\t\n", '\t', FALSE, "a|b #1/2\n| #2/2\n" },
    { " a , b \n", ',', FALSE, "a|b #1/2\n" },
    { "a;b,c\n", ';', FALSE, "a|b,c #1/2\n" },
    { "\"a,b\"\n\"c,\"\"d\"\"\"\ne\n", ',', TRUE, "a|b #1/2\nc|d #2/2\ne #3/1\n" },
    { "\"a,b\",c\n", ',', TRUE, "a,b|c #1/2\n" },
    { "", ',', FALSE, "" },
    { "a,\"b", ',', FALSE, "a|b #1/2 cut\n" },
    /* numbers as text, for spreadsheets */
    { "=\"5.0\",=\"\",=a\n", ',', FALSE, "5.0||=a #1/3\n" },
    { "\"=\"\"5,0\"\"\",=\"b\n", ',', FALSE, "5,0|=\"b #1/2\n" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    for (gsize piece = 1; piece < 12; piece++)
      {
        g_autoptr (GError) error = NULL;
        g_autofree char *records =
            tokenise (cases[i].text, cases[i].delimiter, cases[i].wrapped, piece, &error);
        g_assert_no_error (error);
        g_assert_cmpstr (records, ==, cases[i].records);
      }
}

static void
assert_bound (const char *text, TideReadingError code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *records = tokenise (text, ',', FALSE, 10000, &error);
  g_assert_error (error, TIDE_READING_ERROR, (int)code);
  g_assert_nonnull (strstr (error->message, words));
  g_assert_null (records);
}

static void
test_bounds (void)
{
  g_autofree char *wide = g_strnfill (TIDE_MAX_COLUMNS - 1, ',');
  g_autofree char *just = g_strconcat ("a\n", wide, "\n", NULL);
  g_autofree char *beyond = g_strconcat ("a\n", wide, ",\n", NULL);
  g_autofree char *records = tokenise (just, ',', FALSE, 100, NULL);
  g_assert_nonnull (records);
  assert_bound (beyond, TIDE_READING_ERROR_TOO_LARGE, "row 2 has more than 2000 columns");

  g_autofree char *field = g_strnfill (TIDE_MAX_FIELD_BYTES + 1, 'x');
  g_autofree char *closed = g_strconcat (field, "\n", NULL);
  assert_bound (closed, TIDE_READING_ERROR_TOO_LARGE, "row 1 has a field");
  g_autofree char *endless = g_strconcat ("a\n\"", field, field, NULL);
  assert_bound (endless, TIDE_READING_ERROR_TOO_LARGE, "row 2 has a field");

  g_autoptr (GString) record = g_string_new (NULL);
  field[TIDE_MAX_FIELD_BYTES / 2] = '\0';
  while (record->len <= TIDE_MAX_RECORD_BYTES)
    g_string_append_printf (record, "%s,", field);
  assert_bound (record->str, TIDE_READING_ERROR_TOO_LARGE, "row 1 is longer");
  assert_bound ("a\nb,\"c\nd\ne\n", TIDE_READING_ERROR_BROKEN, "row 2 opens a quote");
}

/* What is split without libcsv must read as libcsv reads it. Text that comes byte by byte goes
 * through libcsv but for its blank lines, so the two ways are held against each other; the border
 * between two pieces falls on every byte of a row on the way. */
static void
test_both_lanes_agree (void)
{
  static const char *const bits[] = { "1.5", "-2", "a b",  " ",  "\t", ",",       ",",    ";",
                                      "\n",  "\n", "\r\n", "\r", "\"", "\"x,y\"", "\"\"", "\n\n" };
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  for (guint i = 0; i < 3000; i++)
    {
      g_autoptr (GString) text = g_string_new (NULL);
      for (int n = g_rand_int_range (rand, 0, 40); n > 0; n--)
        g_string_append (text, bits[g_rand_int_range (rand, 0, G_N_ELEMENTS (bits))]);
      char delimiter = ",;\t "[i % 4];
      gboolean wrapped = i % 3 == 0;
      g_autofree char *slowly = tokenise (text->str, delimiter, wrapped, 1, NULL);
      for (gsize piece = 2; piece <= text->len; piece += 1 + piece / 4)
        {
          g_autofree char *records = tokenise (text->str, delimiter, wrapped, piece, NULL);
          g_assert_cmpstr (records, ==, slowly);
        }
    }
}

static void
ignore_field_cb (void *text, gsize length, gpointer user_data)
{
}

static void
ignore_record_cb (int terminator, gpointer user_data)
{
}

/* Only whole lines, and only up to what needs libcsv. */
static void
test_plain_lines (void)
{
  static const TidePlainFuncs ignore = { ignore_field_cb, ignore_record_cb };
  static const struct
  {
    const char *text;
    gsize taken;
  } cases[] = { { "a,b\nc\r\n", 7 },   { "a\nb", 2 },       { "a\nb,\"c\"\nd\n", 2 },
                { "a\nb\rc\nd\n", 2 }, { "\"a\"\nb\n", 0 }, { "\n\n", 2 } };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpuint (tide_plain_split (cases[i].text, strlen (cases[i].text), ',', &ignore, NULL),
                      ==, cases[i].taken);
}

static void
test_wide_wrapped (void)
{
  /* what is inside a wrapped row is bounded too */
  g_autofree char *commas = g_strnfill (TIDE_MAX_COLUMNS * 2, ',');
  g_autofree char *text = g_strconcat ("\"", commas, "\"\n", NULL);
  g_autoptr (TideTable) table = tide_table_new (text, strlen (text), ',', TRUE, 1, TRUE, NULL);
  g_assert_nonnull (table);
  g_assert_cmpuint (tide_table_n_fields (table, 0), ==, TIDE_MAX_COLUMNS);
}

static void
test_table (void)
{
  const char *text = "a,b\nc\nd";
  g_autoptr (TideTable) whole = tide_table_new (text, strlen (text), ',', FALSE, 7, TRUE, NULL);
  g_assert_cmpuint (whole->rows->len, ==, 3);
  g_assert_cmpstr (tide_table_field (whole, 0, 1), ==, "b");
  g_assert_cmpstr (tide_table_field (whole, 1, 1), ==, "");
  g_assert_cmpuint (g_array_index (whole->rows, TideTableRow, 2).row, ==, 9);
  g_autoptr (TideTable) part = tide_table_new (text, strlen (text), ',', FALSE, 7, FALSE, NULL);
  g_assert_cmpuint (part->rows->len, ==, 2);
}

/* ---- Text ---- */

/* bytes decoded in pieces; NULL with error. The complaints' number goes to n_complaints. */
static char *
decode (const char *bytes, gsize length, gsize piece, guint *n_complaints, GError **error)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (TideDecoder) decoder =
      tide_decoder_new ((const guint8 *)bytes, length, TRUE, NULL, complaints, error);
  if (!decoder)
    return NULL;
  g_autoptr (GString) all = g_string_new (NULL);
  for (gsize i = 0; i < length; i += piece)
    {
      const char *text;
      gsize n, part = MIN (piece, length - i);
      if (!tide_decoder_feed (decoder, (const guint8 *)bytes + i, part, i + part == length, &text,
                              &n, error))
        return NULL;
      g_string_append_len (all, text, (gssize)n);
    }
  *n_complaints = complaints->len;
  return g_string_free (g_steal_pointer (&all), FALSE);
}

#define BYTES(literal) literal, sizeof literal - 1

static void
test_encodings (void)
{
  static const struct
  {
    const char *bytes;
    gsize length;
    const char *text;
    guint n_complaints;
  } cases[] = {
    { BYTES ("Zeit"), "Zeit", 0 },
    { BYTES ("\xef\xbb\xbfT °C"), "T °C", 0 },
    { BYTES ("T °C"), "T °C", 0 },
    { BYTES ("\xff\xfe"
             "T\0 \0\xb0\0C\0"),
      "T °C", 0 },
    { BYTES ("\xfe\xff\0T\0 \0\xb0\0C"), "T °C", 0 },
    { BYTES ("T\0i\0m\0e\0"), "Time", 1 },
    { BYTES ("\0T\0i\0m\0e"), "Time", 1 },
    { BYTES ("T \xb0"
             "C"),
      "T °C", 1 },
    { BYTES ("Stromst\xe4rke; Gr\xf6\xdf"
             "e; Temperatur in \xb0"
             "C"),
      "Stromstärke; Größe; Temperatur in °C", 1 },
    { BYTES ("\x80 5,00 \x96 \xb5"
             "A"),
      NULL, 1 },
    { BYTES ("\xff\xfe"
             "T\0i"),
      "T", 0 }, /* cut inside a character */
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    for (gsize piece = 1; piece < 9; piece++)
      {
        g_autoptr (GError) error = NULL;
        guint n_complaints = 99;
        g_autofree char *text =
            decode (cases[i].bytes, cases[i].length, piece, &n_complaints, &error);
        g_assert_no_error (error);
        g_assert_true (g_utf8_validate (text, -1, NULL));
        if (cases[i].text)
          g_assert_cmpstr (text, ==, cases[i].text);
        g_assert_cmpuint (n_complaints, ==, cases[i].n_complaints);
      }
}

static void
test_no_text (void)
{
  static const struct
  {
    const char *bytes;
    gsize length;
    TideReadingError code;
    const char *words;
  } cases[] = {
    { BYTES (""), TIDE_READING_ERROR_EMPTY, "empty" },
    { BYTES ("\x89PNG\r\n\x1a\n\0\0"), TIDE_READING_ERROR_NOT_TEXT, "PNG" },
    { BYTES ("\xff\xd8\xff\xe0"), TIDE_READING_ERROR_NOT_TEXT, "JPEG" },
    { BYTES ("\xd0\xcf\x11\xe0\xa1\xb1"), TIDE_READING_ERROR_NOT_TEXT, "as .xlsx without" },
    { BYTES ("%PDF-1.7"), TIDE_READING_ERROR_NOT_TEXT, "PDF" },
    { BYTES ("\x01\x02\0\0\0\0\x03\0\0\0\0\0\0\x04"), TIDE_READING_ERROR_NOT_TEXT,
      "not a text file" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      guint n_complaints;
      g_autofree char *text = decode (cases[i].bytes, cases[i].length, 4, &n_complaints, &error);
      g_assert_null (text);
      g_assert_error (error, TIDE_READING_ERROR, (int)cases[i].code);
      g_assert_nonnull (strstr (error->message, cases[i].words));
    }
}

static void
test_head_cut_in_character (void)
{
  /* the head of a longer file ends inside a character: still UTF-8 */
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (TideDecoder) decoder =
      tide_decoder_new ((const guint8 *)"Temp \xc2", 6, FALSE, NULL, complaints, NULL);
  g_assert_nonnull (decoder);
  g_assert_cmpuint (complaints->len, ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/tokens/records", test_records);
  g_test_add_func ("/reading/tokens/bounds", test_bounds);
  g_test_add_func ("/reading/tokens/both-lanes-agree", test_both_lanes_agree);
  g_test_add_func ("/reading/tokens/plain-lines", test_plain_lines);
  g_test_add_func ("/reading/tokens/wide-wrapped", test_wide_wrapped);
  g_test_add_func ("/reading/tokens/table", test_table);
  g_test_add_func ("/reading/text/encodings", test_encodings);
  g_test_add_func ("/reading/text/no-text", test_no_text);
  g_test_add_func ("/reading/text/head-cut-in-character", test_head_cut_in_character);
  return g_test_run ();
}
