/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The unpacker over plain files, gzip and ZIP: what comes out is what went in, the hash is that of
 * the file's own bytes, and hostile files end in one line. Archives are made by libarchive's
 * writer, gzip by GIO's; the SHA-256 is GLib's.
 */
#include "unpack/packing.h"

#include <string.h>

#include "recording/complaint.h"

#define KIB 1024
#define MIB (1024 * KIB)

/* Text of that length that does not compress to nothing. */
static char *
make_text (gsize length)
{
  GString *text = g_string_sized_new (length + 64);
  for (guint i = 0; text->len < length; i++)
    g_string_append_printf (text, "%u.%03u,5.%03u,%u\n", i, i * 7919 % 1000, i * 104729 % 1000,
                            i * 31);
  g_string_truncate (text, length);
  return g_string_free (text, FALSE);
}

static const gsize lengths[] = {
  1, 100, TIDE_PIECE_BYTES - 1, TIDE_PIECE_BYTES, TIDE_PIECE_BYTES + 1, 3 * TIDE_PIECE_BYTES + 5,
};

static void
test_plain (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (lengths); i++)
    {
      g_autofree char *text = make_text (lengths[i]);
      g_autoptr (GBytes) bytes = g_bytes_new (text, lengths[i]);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (texts->len, ==, 1);
      assert_text (texts, 0, NULL, text);
    }
}

static void
test_plain_empty (void)
{
  g_autoptr (GBytes) bytes = g_bytes_new (NULL, 0);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  assert_text (texts, 0, NULL, "");
}

/* The hash is the file's even where its text was not wanted to the end. */
static void
test_stop_early (void)
{
  g_autofree char *text = make_text (5 * TIDE_PIECE_BYTES);
  g_autoptr (GBytes) plain = g_bytes_new (text, 5 * TIDE_PIECE_BYTES);
  g_autoptr (GBytes) packed = pack_gzip (text, 5 * TIDE_PIECE_BYTES);
  GBytes *both[] = { plain, packed };
  for (guint i = 0; i < G_N_ELEMENTS (both); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (both[i]);
      g_autoptr (TideUnpacker) unpacker = tide_unpacker_new (stream, TRUE, NULL, NULL, &error);
      g_assert_no_error (error);
      g_assert_true (tide_unpacker_next (unpacker));
      const guint8 *bytes;
      gsize length;
      gboolean at_end;
      g_assert_true (tide_unpacker_read (unpacker, &bytes, &length, &at_end, &error));
      g_assert_false (at_end);
      g_assert_false (tide_unpacker_next (unpacker));
      g_autofree char *wanted = g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, both[i]);
      g_assert_cmpstr (tide_unpacker_finish (unpacker, &error), ==, wanted);
      g_assert_cmpint (tide_unpacker_get_done (unpacker), ==, g_bytes_get_size (both[i]));
    }
}

/* ---- gzip ---- */

static void
test_gzip (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (lengths); i++)
    {
      g_autofree char *text = make_text (lengths[i]);
      g_autoptr (GBytes) bytes = pack_gzip (text, (gssize)lengths[i]);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
      g_assert_no_error (error);
      assert_text (texts, 0, NULL, text);
      g_assert_cmpuint (((Unpacked *)g_ptr_array_index (texts, 0))->complaints->len, ==, 0);
    }
}

static void
assert_gzip (GBytes *bytes, const char *text, const char *complaint)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  assert_text (texts, 0, NULL, text);
  GPtrArray *complaints = ((Unpacked *)g_ptr_array_index (texts, 0))->complaints;
  g_assert_cmpuint (complaints->len, ==, complaint ? 1 : 0);
  if (complaint)
    g_assert_nonnull (
        strstr (((TideComplaint *)g_ptr_array_index (complaints, 0))->text, complaint));
}

static void
test_gzip_members (void)
{
  g_autofree char *long_text = make_text (2 * MIB);
  g_autofree char *joined_text = g_strconcat ("one\n", long_text, NULL);
  g_autoptr (GBytes) one = pack_gzip ("one\n", -1);
  g_autoptr (GBytes) two = pack_gzip (long_text, -1);
  g_autoptr (GBytes) joined = join (one, two);
  assert_gzip (joined, joined_text, NULL);

  char zeros[600] = { 0 };
  g_autoptr (GBytes) padding = g_bytes_new_static (zeros, sizeof zeros);
  g_autoptr (GBytes) padded = join (one, padding);
  assert_gzip (padded, "one\n", NULL);

  g_autoptr (GBytes) note = g_bytes_new_static ("a note", 6);
  g_autoptr (GBytes) noted = join (padded, note);
  assert_gzip (noted, "one\n", "are not read");
}

/* Whatever the place of the cut, what came out is a beginning of the text, and the cut is told of.
 */
static void
test_gzip_cut (void)
{
  g_autofree char *text = make_text (400 * KIB);
  g_autoptr (GBytes) whole = pack_gzip (text, -1);
  gsize longest = 0;
  for (gsize cut = 2; cut < g_bytes_get_size (whole); cut += 997)
    {
      g_autoptr (GBytes) bytes = g_bytes_new_from_bytes (whole, 0, cut);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
      g_assert_no_error (error);
      Unpacked *unpacked = g_ptr_array_index (texts, 0);
      g_assert_no_error (unpacked->error);
      g_assert_true (g_str_has_prefix (text, unpacked->text->str));
      g_assert_cmpuint (unpacked->complaints->len, ==, 1);
      longest = MAX (longest, unpacked->text->len);
    }
  g_assert_cmpuint (longest, >, 390 * KIB);
}

static void
test_gzip_damaged (void)
{
  g_autofree char *text = make_text (10 * KIB);
  g_autoptr (GBytes) whole = pack_gzip (text, -1);
  gsize length;
  const guint8 *data = g_bytes_get_data (whole, &length);
  g_autofree guint8 *changed = g_memdup2 (data, length);
  changed[length - 6] ^= 0x55; /* of the check sum */
  g_autoptr (GBytes) damaged = g_bytes_new (changed, length);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (damaged, NULL, &error);
  g_assert_no_error (error);
  assert_failed (texts, 0, TIDE_UNPACK_ERROR_PACKED, "damaged");
  assert_survives_damage (whole, 7);
}

static void
assert_bomb (GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  assert_failed (texts, 0, TIDE_UNPACK_ERROR_PACKED, "100 times its size");
  Unpacked *unpacked = g_ptr_array_index (texts, 0);
  g_assert_cmpuint (unpacked->text->len, <=, TIDE_UNPACKED_FREE_BYTES + TIDE_PIECE_BYTES);
}

static void
test_bombs (void)
{
  gsize length = TIDE_UNPACKED_FREE_BYTES + 2 * MIB;
  g_autofree char *text = g_malloc (length);
  memset (text, '0', length);
  g_autoptr (GBytes) gzip = pack_gzip (text, (gssize)length);
  assert_bomb (gzip);
  const PackedFile files[] = { { "zeros.csv", text, (gssize)length }, { NULL } };
  g_autoptr (GBytes) zip = pack_zip (files, NULL);
  assert_bomb (zip);
}

/* ---- zip ---- */

static void
test_zip (void)
{
  g_autofree char *text = make_text (3 * TIDE_PIECE_BYTES);
  const PackedFile files[] = {
    { "logs/", NULL },
    { "logs/b.csv", "b\n" },
    { "logs/a.csv", text },
    { "__MACOSX/logs/._a.csv", "junk" },
    { ".hidden", "junk" },
    { "logs/.DS_Store", "junk" },
    { "Thumbs.db", "junk" },
    { "read me.txt", "hello" },
    { NULL },
  };
  static const char *const options[] = { NULL, "compression=store" };
  for (guint i = 0; i < G_N_ELEMENTS (options); i++)
    {
      g_autoptr (GBytes) bytes = pack_zip (files, options[i]);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (texts->len, ==, 3);
      assert_text (texts, 0, "b.csv", "b\n");
      assert_text (texts, 1, "a.csv", text);
      assert_text (texts, 2, "read me.txt", "hello");
    }
}

static void
test_zip_names (void)
{
  const PackedFile files[] = {
    { "one/run.csv", "1" },
    { "two/run.csv", "2" },
    { "../../etc/passwd", "3" },
    { "Zelle \xc3\xa4.csv", "4" },
    { "line\nbreak\x1b[2J.csv", "5" },
    { "bad\xff.csv", "6" },
    { NULL },
  };
  static const char *const names[] = {
    "one/run.csv",        "two/run.csv",        "passwd",
    "Zelle \xc3\xa4.csv", "line?break?[2J.csv", "bad\xef\xbf\xbd.csv",
  };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (texts->len, ==, G_N_ELEMENTS (names));
  for (guint i = 0; i < texts->len; i++)
    assert_text (texts, i, names[i], files[i].content);
}

static void
test_zip_sheet (void)
{
  const PackedFile files[] = {
    { "a.csv", "A" }, { "2", "B" }, { "c.csv", "C" }, { "c/4", "D" }, { NULL },
  };
  static const struct
  {
    const char *sheet, *member, *text;
  } cases[] = {
    { "1", "a.csv", "A" }, { "2", "2", "B" },         { "3", "c.csv", "C" },
    { "4", "4", "D" },     { "c.csv", "c.csv", "C" }, { "\"2\"", "2", "B" },
  };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (bytes, cases[i].sheet, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (texts->len, ==, 1);
      assert_text (texts, 0, cases[i].member, cases[i].text);
    }
  assert_not_unpacked (bytes, "5", TIDE_UNPACK_ERROR_NO_SHEET,
                       "no sheet 5; there are: 1 \"a.csv\", 2 \"2\", 3 \"c.csv\", 4 \"4\"");
  assert_not_unpacked (bytes, "b.csv", TIDE_UNPACK_ERROR_NO_SHEET, "no sheet b.csv");
}

/* A number that is another's name is no answer; in quotes it is a name. */
static void
test_zip_sheet_both (void)
{
  const PackedFile files[] = { { "2", "A" }, { "1", "B" }, { NULL } };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  assert_not_unpacked (bytes, "2", TIDE_UNPACK_ERROR_NO_SHEET, "in quotes");
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, "\"2\"", &error);
  g_assert_no_error (error);
  assert_text (texts, 0, "2", "A");
}

static void
test_plain_sheet (void)
{
  g_autoptr (GBytes) plain = g_bytes_new_static ("a,b\n", 4);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (plain, "1", &error);
  g_assert_no_error (error);
  assert_text (texts, 0, NULL, "a,b\n");
  assert_not_unpacked (plain, "2", TIDE_UNPACK_ERROR_NO_SHEET, "no workbook and no archive");
  assert_not_unpacked (plain, "Tabelle", TIDE_UNPACK_ERROR_NO_SHEET, "no workbook and no archive");
}

static void
test_zip_encrypted (void)
{
  const PackedFile files[] = { { "a.csv", "A,B\n1,2\n" }, { NULL } };
  g_autoptr (GBytes) bytes = pack_zip (files, "encryption=zipcrypt");
  if (!bytes)
    {
      g_test_skip ("this libarchive writes no encrypted archives");
      return;
    }
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bytes, NULL, &error);
  g_assert_no_error (error);
  assert_failed (texts, 0, TIDE_UNPACK_ERROR_PACKED, "password");
}

/* One damaged file does not keep the others from being read. */
static void
test_zip_damaged (void)
{
  const PackedFile files[] = {
    { "a.csv", "AAAA" }, { "b.csv", "BBBB" }, { "c.csv", "CCCC" }, { NULL }
  };
  g_autoptr (GBytes) bytes = pack_zip (files, "compression=store");
  gsize length;
  const guint8 *data = g_bytes_get_data (bytes, &length);
  g_autofree guint8 *changed = g_memdup2 (data, length);
  guint8 *b = changed;
  while (memcmp (b, "BBBB", 4) != 0)
    b++;
  *b = 'X';
  g_autoptr (GBytes) damaged = g_bytes_new (changed, length);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (damaged, NULL, &error);
  g_assert_no_error (error);
  assert_text (texts, 0, "a.csv", "AAAA");
  assert_failed (texts, 1, TIDE_UNPACK_ERROR_PACKED, "damaged");
  assert_text (texts, 2, "c.csv", "CCCC");
}

static void
test_zip_hostile (void)
{
  g_autofree char *text = make_text (500);
  const PackedFile files[] = { { "a.csv", text }, { "b.csv", text + 100 }, { NULL } };
  g_autoptr (GBytes) bytes = pack_zip (files, NULL);
  assert_survives_damage (bytes, 1);
  for (gsize cut = 4; cut + 22 < g_bytes_get_size (bytes); cut += 50)
    {
      g_autoptr (GBytes) part = g_bytes_new_from_bytes (bytes, 0, cut);
      assert_not_unpacked (part, NULL, TIDE_UNPACK_ERROR_PACKED, "damaged or cut short");
    }
}

static GBytes *
pack_many (guint n)
{
  g_autoptr (GStringChunk) paths = g_string_chunk_new (65536);
  g_autofree PackedFile *files = g_new0 (PackedFile, n + 1);
  for (guint i = 0; i < n; i++)
    {
      char path[32];
      g_snprintf (path, sizeof path, "log-%05u.csv", i);
      files[i] = (PackedFile){ g_string_chunk_insert (paths, path), "x" };
    }
  return pack_zip (files, "compression=store");
}

static void
test_zip_many (void)
{
  g_autoptr (GBytes) bearable = pack_many (TIDE_MAX_MEMBERS);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (bearable, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (texts->len, ==, TIDE_MAX_MEMBERS);
  assert_text (texts, TIDE_MAX_MEMBERS - 1, "log-00999.csv", "x");
  g_autoptr (GBytes) many = pack_many (TIDE_MAX_MEMBERS + 1);
  assert_not_unpacked (many, NULL, TIDE_UNPACK_ERROR_PACKED, "more than 1000 files");
  g_autoptr (GBytes) too_many = pack_many (65000); /* a directory of 4.3 MB */
  assert_not_unpacked (too_many, NULL, TIDE_UNPACK_ERROR_PACKED, "more than 1000 files");
}

static void
test_zip_empty (void)
{
  const PackedFile none[] = { { NULL } };
  g_autoptr (GBytes) empty = pack_zip (none, NULL);
  assert_not_unpacked (empty, NULL, TIDE_UNPACK_ERROR_PACKED, "an empty ZIP archive");
  const PackedFile hidden[] = { { "logs/", NULL }, { ".DS_Store", "x" }, { NULL } };
  g_autoptr (GBytes) junk = pack_zip (hidden, NULL);
  assert_not_unpacked (junk, NULL, TIDE_UNPACK_ERROR_PACKED, "holds no files");
}

/* An archive's directory is at its end; through a pipe the whole is held. */
static void
test_zip_through_pipe (void)
{
  g_autofree char *text = make_text (3 * TIDE_PIECE_BYTES);
  const PackedFile files[] = { { "a.csv", text }, { NULL } };
  g_autoptr (GBytes) zip = pack_zip (files, "compression=store");
  g_autoptr (GBytes) packed =
      pack_gzip (g_bytes_get_data (zip, NULL), (gssize)g_bytes_get_size (zip));
  g_autoptr (GInputStream) memory = g_memory_input_stream_new_from_bytes (packed);
  g_autoptr (GConverter) converter =
      G_CONVERTER (g_zlib_decompressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP));
  /* a stream that cannot seek */
  g_autoptr (GInputStream) pipe = g_converter_input_stream_new (memory, converter);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_stream (pipe, NULL, &error);
  g_assert_no_error (error);
  assert_text (texts, 0, "a.csv", text);
}

static void
test_cancelled (void)
{
  const PackedFile files[] = { { "a.csv", "A" }, { NULL } };
  g_autoptr (GBytes) zip = pack_zip (files, NULL);
  g_autoptr (GBytes) gzip = pack_gzip ("A", -1);
  GBytes *both[] = { zip, gzip };
  for (guint i = 0; i < G_N_ELEMENTS (both); i++)
    {
      g_autoptr (GCancellable) cancellable = g_cancellable_new ();
      g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (both[i]);
      g_autoptr (GError) error = NULL;
      g_autoptr (TideUnpacker) unpacker =
          tide_unpacker_new (stream, FALSE, NULL, cancellable, &error);
      g_assert_no_error (error);
      g_assert_true (tide_unpacker_next (unpacker));
      g_cancellable_cancel (cancellable);
      const guint8 *bytes;
      gsize length;
      gboolean at_end;
      g_assert_false (tide_unpacker_read (unpacker, &bytes, &length, &at_end, &error));
      g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
      g_clear_error (&error);
      g_autoptr (TideUnpacker) late = tide_unpacker_new (stream, TRUE, NULL, cancellable, &error);
      g_assert_null (late);
      g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
    }
}

/* ---- What is not opened ---- */

static void
test_refused (void)
{
  /* the first bytes as the formats' own descriptions give them; from memory */
  static const struct
  {
    const char *bytes;
    gsize length;
    const char *what;
  } cases[] = {
    { "BZh91AY&SY\x12\x34", 12, "bzip2" },
    { "\xfd"
      "7zXZ\0\0",
      7, "xz" },
    { "7z\xbc\xaf\x27\x1c", 6, "7z" },
    { "\x28\xb5\x2f\xfd\x04", 5, "zstd" },
    { "\x04\x22\x4d\x18@", 5, "lz4" },
    { "Rar!\x1a\x07\x01", 7, "RAR" },
    { "PK\x05\x06\0\0", 6, "empty ZIP" },
    { "PK\x07\x08PK", 6, "split ZIP" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GBytes) bytes = g_bytes_new_static (cases[i].bytes, cases[i].length);
      assert_not_unpacked (bytes, NULL, TIDE_UNPACK_ERROR_PACKED, cases[i].what);
      /* within an archive it is no better */
      g_autoptr (GBytes) packed = pack_gzip (cases[i].bytes, (gssize)cases[i].length);
      g_autoptr (GError) error = NULL;
      g_autoptr (GPtrArray) texts = unpack_all (packed, NULL, &error);
      g_assert_no_error (error);
      assert_failed (texts, 0, TIDE_UNPACK_ERROR_PACKED, "within an archive");
    }
  char tar[512] = "log.csv";
  memcpy (tar + 257, "ustar", 6);
  g_autoptr (GBytes) bytes = g_bytes_new_static (tar, sizeof tar);
  assert_not_unpacked (bytes, NULL, TIDE_UNPACK_ERROR_PACKED, "tar");
}

static void
test_nested (void)
{
  g_autoptr (GBytes) inner = pack_gzip ("A,B\n", -1);
  gsize length;
  const char *data = g_bytes_get_data (inner, &length);
  const PackedFile files[] = { { "a.csv.gz", data, (gssize)length }, { "b.csv", "B" }, { NULL } };
  g_autoptr (GBytes) zip = pack_zip (files, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) texts = unpack_all (zip, NULL, &error);
  g_assert_no_error (error);
  assert_failed (texts, 0, TIDE_UNPACK_ERROR_PACKED, "within an archive");
  assert_text (texts, 1, "b.csv", "B");
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/unpack/plain", test_plain);
  g_test_add_func ("/unpack/plain-empty", test_plain_empty);
  g_test_add_func ("/unpack/plain-sheet", test_plain_sheet);
  g_test_add_func ("/unpack/stop-early", test_stop_early);
  g_test_add_func ("/unpack/gzip", test_gzip);
  g_test_add_func ("/unpack/gzip-members", test_gzip_members);
  g_test_add_func ("/unpack/gzip-cut", test_gzip_cut);
  g_test_add_func ("/unpack/gzip-damaged", test_gzip_damaged);
  g_test_add_func ("/unpack/bombs", test_bombs);
  g_test_add_func ("/unpack/zip", test_zip);
  g_test_add_func ("/unpack/zip-names", test_zip_names);
  g_test_add_func ("/unpack/zip-sheet", test_zip_sheet);
  g_test_add_func ("/unpack/zip-sheet-both", test_zip_sheet_both);
  g_test_add_func ("/unpack/zip-encrypted", test_zip_encrypted);
  g_test_add_func ("/unpack/zip-damaged", test_zip_damaged);
  g_test_add_func ("/unpack/zip-hostile", test_zip_hostile);
  g_test_add_func ("/unpack/zip-many", test_zip_many);
  g_test_add_func ("/unpack/zip-empty", test_zip_empty);
  g_test_add_func ("/unpack/zip-through-pipe", test_zip_through_pipe);
  g_test_add_func ("/unpack/cancelled", test_cancelled);
  g_test_add_func ("/unpack/refused", test_refused);
  g_test_add_func ("/unpack/nested", test_nested);
  return g_test_run ();
}
