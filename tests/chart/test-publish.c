/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files for readers: what is in them, that they are the same each time, and how writing fails. The
 * formats are held against programs of others where they are installed: xmllint, rsvg-convert,
 * pngcheck, pdftotext. */
#include "chart/publish.h"
#include "chart/support.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

static const char *const names[] = { "chart.png", "chart.svg", "chart.pdf" };

static GBytes *
publish (TideComparison *comparison, int width, int height, TideFormat format)
{
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, width, height);
  g_autoptr (GError) error = NULL;
  GBytes *bytes = tide_publish_to_bytes (comparison, &style, width, height, format, &error);

  g_assert_no_error (error);
  return bytes;
}

static gboolean
holds (GBytes *bytes, const char *text)
{
  gsize length;
  const char *data = g_bytes_get_data (bytes, &length);

  for (gsize i = 0; i + strlen (text) <= length; i++)
    if (memcmp (data + i, text, strlen (text)) == 0)
      return TRUE;
  return FALSE;
}

/* --- formats --- */

static void
test_format_from_name (void)
{
  const struct
  {
    const char *name;
    gboolean known;
    TideFormat format;
  } cases[] = {
    { "a.png", TRUE, TIDE_FORMAT_PNG },
    { "a.SVG", TRUE, TIDE_FORMAT_SVG },
    { "a.b.pdf", TRUE, TIDE_FORMAT_PDF },
    { "/x/a.PnG", TRUE, TIDE_FORMAT_PNG },
    { "a.jpg", FALSE, 0 },
    { "png", FALSE, 0 },
    { "", FALSE, 0 },
    { "a.png.txt", FALSE, 0 },
    { "a.png ", FALSE, 0 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      TideFormat format = TIDE_FORMAT_PNG;

      g_assert_cmpint (tide_format_from_name (cases[k].name, &format), ==, cases[k].known);
      if (cases[k].known)
        g_assert_cmpint (format, ==, cases[k].format);
    }
}

static guint32
read_number (const guchar *at)
{
  return (guint32)at[0] << 24 | (guint32)at[1] << 16 | (guint32)at[2] << 8 | at[3];
}

/* Signature, IHDR's place and fields: PNG specification (ISO/IEC 15948), 5.2 and 11.2.2. */
static void
test_png (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (2);
  g_autoptr (GBytes) bytes = publish (comparison, 640, 361, TIDE_FORMAT_PNG);
  const guchar *data = g_bytes_get_data (bytes, NULL);

  g_assert_cmpmem (data, 8, "\x89PNG\r\n\x1a\n", 8);
  g_assert_cmpmem (data + 12, 4, "IHDR", 4);
  g_assert_cmpuint (read_number (data + 16), ==, 640);
  g_assert_cmpuint (read_number (data + 20), ==, 361);
}

typedef struct
{
  guint elements, depth;
  gboolean title, described;
  char *size[3];
} SvgFacts;

static void
start_cb (GMarkupParseContext *context,
          const char *name,
          const char **keys,
          const char **values,
          gpointer data,
          GError **error)
{
  SvgFacts *facts = data;

  facts->elements++;
  facts->title = facts->title || g_str_equal (name, "title");
  facts->described = facts->described || g_str_equal (name, "desc");
  if (!g_str_equal (name, "svg"))
    return;
  for (guint i = 0; keys[i] != NULL; i++)
    {
      const char *const wanted[] = { "width", "height", "viewBox" };
      for (guint k = 0; k < 3; k++)
        if (g_str_equal (keys[i], wanted[k]))
          facts->size[k] = g_strdup (values[i]);
    }
}

static void
test_svg (void)
{
  static const GMarkupParser parser = { .start_element = start_cb };
  g_autoptr (TideComparison) comparison = made_comparison (2);
  SvgFacts facts = { 0 };
  g_autoptr (GMarkupParseContext) context = g_markup_parse_context_new (&parser, 0, &facts, NULL);
  g_autoptr (GError) error = NULL;
  gsize length;

  tide_comparison_set_title (comparison, "A <title> & \"more\"\x01");
  g_autoptr (GBytes) bytes = publish (comparison, 1280, 720, TIDE_FORMAT_SVG);
  const char *data = g_bytes_get_data (bytes, &length);

  g_assert_true (g_str_has_prefix (data, "<?xml version=\"1.0\""));
  g_markup_parse_context_parse (context, data, (gssize)length, &error);
  g_assert_no_error (error);
  g_assert_true (g_markup_parse_context_end_parse (context, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (facts.elements, >, 50);
  g_assert_true (facts.title && facts.described);
  g_assert_true (holds (bytes, "<title>A &lt;title&gt; &amp; &quot;more&quot; </title>"));
  g_assert_cmpstr (facts.size[0], ==, "1280px");
  g_assert_cmpstr (facts.size[1], ==, "720px");
  g_assert_cmpstr (facts.size[2], ==, "0 0 1280 720");
  for (guint k = 0; k < 3; k++)
    g_free (facts.size[k]);
}

static void
test_pdf (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (2);
  g_autoptr (GBytes) bytes = publish (comparison, 1280, 720, TIDE_FORMAT_PDF);
  gsize length;
  const char *data = g_bytes_get_data (bytes, &length);

  g_assert_cmpmem (data, 5, "%PDF-", 5);
  g_assert_true (holds (bytes, "/MediaBox [ 0 0 1280 720 ]"));
  g_assert_false (holds (bytes, "/CreationDate"));
}

/* --- the same bytes --- */

static void
test_same_twice (void)
{
  for (TideFormat format = TIDE_FORMAT_PNG; format <= TIDE_FORMAT_PDF; format++)
    {
      g_autoptr (TideComparison) first = made_comparison (4), second = made_comparison (4);
      g_autoptr (GBytes) a = publish (first, 800, 500, format),
                         b = publish (first, 800, 500, format);
      g_autoptr (GBytes) c = publish (second, 800, 500, format);

      g_assert_true (g_bytes_equal (a, b));
      g_assert_true (g_bytes_equal (a, c));
    }
}

static char *
make_checksum (TideFormat format)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);
  g_autoptr (GBytes) bytes = publish (comparison, 800, 500, format);

  return g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes);
}

/* Run in a process of its own: prints the three sums. */
static int
print_sums (void)
{
  for (TideFormat format = TIDE_FORMAT_PNG; format <= TIDE_FORMAT_PDF; format++)
    {
      g_autofree char *sum = make_checksum (format);
      g_print ("%s\n", sum);
    }
  return 0;
}

static const char *self;

static void
test_same_in_another_process (void)
{
  const char *const argv[] = { self, "--print-sums", NULL };
  g_autofree char *output = NULL;
  g_autoptr (GError) error = NULL;
  GString *expected = g_string_new (NULL);
  int status;

  for (TideFormat format = TIDE_FORMAT_PNG; format <= TIDE_FORMAT_PDF; format++)
    {
      g_autofree char *sum = make_checksum (format);
      g_string_append_printf (expected, "%s\n", sum);
    }
  g_spawn_sync (NULL, (char **)argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &output, NULL, &status,
                &error);
  g_assert_no_error (error);
  g_assert_true (g_spawn_check_wait_status (status, &error));
  g_assert_no_error (error);
  g_assert_cmpstr (output, ==, expected->str);
  g_string_free (expected, TRUE);
}

static void
test_source_date_epoch (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);
  const struct
  {
    const char *epoch;
    gboolean dated;
  } cases[] = {
    { "86400", TRUE },
    { "", FALSE },
    { "yesterday", FALSE },
    { "-5", FALSE },
    { "99999999999999999999", FALSE },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_setenv ("SOURCE_DATE_EPOCH", cases[k].epoch, TRUE);
      g_autoptr (GBytes) bytes = publish (comparison, 400, 300, TIDE_FORMAT_PDF);
      g_unsetenv ("SOURCE_DATE_EPOCH");
      g_assert_cmpint (holds (bytes, "19700102000000Z"), ==, cases[k].dated);
      g_assert_cmpint (holds (bytes, "/CreationDate"), ==, cases[k].dated);
    }
}

/* --- how large --- */

/* Bounded by the width, not by the samples: the house's goal is at most 0.6 MB for 4 runs of any
 * length, and 10 times the samples within 10 % (performance notes, goal 16). */
static void
test_svg_size (void)
{
  gsize sizes[2];

  for (guint k = 0; k < 2; k++)
    {
      g_autoptr (TideComparison) comparison = tide_comparison_new ();
      for (guint i = 0; i < 4; i++)
        {
          MadeRun run = made_run ("Run", 40 - 5.0 * i, 4200, i + 1);

          run.interval_s = k == 0 ? 0.5 : 0.05;
          run.noise_w = 1;
          made_add (comparison, &run);
        }
      g_autoptr (GBytes) bytes = publish (comparison, 1920, 1080, TIDE_FORMAT_SVG);
      sizes[k] = g_bytes_get_size (bytes);
      g_test_message ("%" G_GSIZE_FORMAT " bytes", sizes[k]);
      g_assert_cmpuint (sizes[k], <, 600 * 1000);
    }
  g_assert_cmpfloat ((double)sizes[1], <, 1.1 * (double)sizes[0]);
}

/* --- requests that cannot be met --- */

static void
test_sizes (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);
  const int sizes[][2] = { { 199, 500 },  { 500, 199 },   { 0, 0 },
                           { -800, 500 }, { 16385, 500 }, { 500, G_MAXINT } };

  for (guint k = 0; k < G_N_ELEMENTS (sizes); k++)
    for (TideFormat format = TIDE_FORMAT_PNG; format <= TIDE_FORMAT_PDF; format++)
      {
        TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 800, 500);
        g_autoptr (GError) error = NULL;

        g_assert_null (
            tide_publish_to_bytes (comparison, &style, sizes[k][0], sizes[k][1], format, &error));
        g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_SIZE);
        g_assert_nonnull (strstr (error->message, "from 200 to 16384 px"));
        g_assert_null (strchr (error->message, '\n'));
      }
  g_autoptr (GBytes) least =
      publish (comparison, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MIN_PX, TIDE_FORMAT_PNG);
  g_autoptr (GBytes) wide = publish (comparison, TIDE_PUBLISH_MAX_PX, 300, TIDE_FORMAT_PNG);
  g_assert_cmpuint (g_bytes_get_size (least), >, 1000);
  g_assert_cmpuint (read_number ((const guchar *)g_bytes_get_data (wide, NULL) + 16), ==, 16384);
}

static void
test_empty (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 800, 500);
  g_autoptr (GError) error = NULL;

  g_assert_null (tide_publish_to_bytes (comparison, &style, 800, 500, TIDE_FORMAT_PNG, &error));
  g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_EMPTY);
}

/* --- files --- */

typedef struct
{
  TideComparison *comparison;
  char *folder;
} Place;

static void
set_up (Place *place, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  place->comparison = made_comparison (2);
  place->folder = g_dir_make_tmp ("tidemark-publish-XXXXXX", &error);
  g_assert_no_error (error);
}

static guint
count_files (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  guint count = 0;

  while (g_dir_read_name (dir) != NULL)
    count++;
  return count;
}

static void
tear_down (Place *place, gconstpointer data)
{
  g_autoptr (GDir) dir = g_dir_open (place->folder, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (place->folder, name, NULL);
      g_remove (path);
    }
  g_rmdir (place->folder);
  g_free (place->folder);
  g_object_unref (place->comparison);
}

static gboolean
write_to (Place *place, const char *path, GError **error)
{
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 400, 300);
  g_autoptr (GFile) file = g_file_new_for_path (path);

  return tide_publish_to_file (place->comparison, &style, 400, 300, file, error);
}

static void
test_file (Place *place, gconstpointer data)
{
  for (guint k = 0; k < G_N_ELEMENTS (names); k++)
    {
      g_autofree char *path = g_build_filename (place->folder, names[k], NULL), *contents = NULL;
      g_autoptr (GBytes) bytes = publish (place->comparison, 400, 300, k);
      g_autoptr (GError) error = NULL;
      GStatBuf info;
      gsize length;

      for (guint twice = 0; twice < 2; twice++) /* the second time over the first file */
        {
          g_assert_true (write_to (place, path, &error));
          g_assert_no_error (error);
        }
      g_assert_true (g_file_get_contents (path, &contents, &length, &error));
      g_assert_cmpmem (contents, length, g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
      g_assert_cmpint (g_stat (path, &info), ==, 0);
      g_assert_cmpint (info.st_mode & 0400, ==, 0400);
    }
  g_assert_cmpuint (count_files (place->folder), ==, G_N_ELEMENTS (names));
}

static void
assert_write_error (Place *place, const char *path, const char *named)
{
  g_autoptr (GError) error = NULL;

  g_assert_false (write_to (place, path, &error));
  g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_WRITE);
  g_assert_nonnull (strstr (error->message, named));
  g_assert_null (strchr (error->message, '\n'));
}

static void
test_file_failures (Place *place, gconstpointer data)
{
  g_autofree char *missing = g_build_filename (place->folder, "none", "chart.png", NULL);
  g_autofree char *plain = g_build_filename (place->folder, "plain", NULL);
  g_autofree char *under = g_build_filename (plain, "chart.svg", NULL);
  g_autofree char *folder = g_build_filename (place->folder, "folder.png", NULL);

  g_assert_true (g_file_set_contents (plain, "kept", -1, NULL));
  g_assert_cmpint (g_mkdir (folder, 0700), ==, 0);
  assert_write_error (place, missing, missing);
  assert_write_error (place, under, under);
  assert_write_error (place, folder, folder); /* a folder stands in the way of the move */
  g_autofree char *kept = NULL;
  g_assert_true (g_file_get_contents (plain, &kept, NULL, NULL));
  g_assert_cmpstr (kept, ==, "kept");
  g_assert_cmpuint (count_files (place->folder), ==, 2); /* nothing else was left behind */
}

/* Messages go to windows, which take no bytes that are no text. */
static void
test_names_that_are_no_text (Place *place, gconstpointer data)
{
  static const char *const odd[] = { "none\xff/chart.png", "chart\xff.jpg" };

  for (guint i = 0; i < G_N_ELEMENTS (odd); i++)
    {
      g_autofree char *path = g_build_filename (place->folder, odd[i], NULL);
      g_autoptr (GError) error = NULL;

      g_assert_false (write_to (place, path, &error));
      g_assert_true (g_utf8_validate (error->message, -1, NULL));
    }
}

static void
test_old_file_stays (Place *place, gconstpointer data)
{
  g_autofree char *path = g_build_filename (place->folder, "chart.png", NULL), *kept = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (g_file_set_contents (path, "old", -1, NULL));
  tide_comparison_clear (place->comparison);
  g_assert_false (write_to (place, path, &error));
  g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_EMPTY);
  g_assert_true (g_file_get_contents (path, &kept, NULL, NULL));
  g_assert_cmpstr (kept, ==, "old");
}

static void
test_no_file_allowed (Place *place, gconstpointer data)
{
  g_autofree char *path = NULL;

  /* A folder that takes no file at all: neither root nor anybody can make one in /proc. */
  if (!g_file_test ("/proc/self", G_FILE_TEST_IS_DIR))
    {
      g_test_skip ("no /proc here");
      return;
    }
  path = g_build_filename ("/proc/self", "chart.png", NULL);
  assert_write_error (place, path, path);
}

static void
test_unknown_ending (Place *place, gconstpointer data)
{
  g_autofree char *path = g_build_filename (place->folder, "chart.jpg", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_false (write_to (place, path, &error));
  g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_FORMAT);
  g_assert_nonnull (strstr (error->message, "chart.jpg"));
  g_assert_nonnull (strstr (error->message, ".svg"));
  g_assert_cmpuint (count_files (place->folder), ==, 0);
}

/* A place with no path; this one cannot be written to. */
static void
test_far_file (Place *place, gconstpointer data)
{
  TideChartStyle style = tide_chart_style_publish (TIDE_LOOK_LIGHT, 400, 300);
  g_autoptr (GFile) file = g_file_new_for_uri ("resource:///org/tidemark/chart.png");
  g_autoptr (GError) error = NULL;

  g_assert_false (tide_publish_to_file (place->comparison, &style, 400, 300, file, &error));
  g_assert_error (error, TIDE_PUBLISH_ERROR, TIDE_PUBLISH_ERROR_WRITE);
  g_assert_nonnull (strstr (error->message, "resource:///org/tidemark/chart.png"));
}

/* --- programs of others --- */

static void
check_with (Place *place, guint format, const char *program, const char *const *arguments)
{
  g_autofree char *path = g_build_filename (place->folder, names[format], NULL);
  g_autofree char *found = g_find_program_in_path (program), *output = NULL, *errors = NULL;
  g_autoptr (GPtrArray) argv = g_ptr_array_new ();
  g_autoptr (GError) error = NULL;
  int status;

  if (found == NULL)
    {
      g_test_message ("%s is not installed: not asked", program);
      return;
    }
  g_assert_true (write_to (place, path, &error));
  g_ptr_array_add (argv, found);
  for (; *arguments != NULL; arguments++)
    g_ptr_array_add (argv, g_str_equal (*arguments, "FILE") ? path : (char *)*arguments);
  g_ptr_array_add (argv, NULL);
  g_spawn_sync (NULL, (char **)argv->pdata, NULL, G_SPAWN_DEFAULT, NULL, NULL, &output, &errors,
                &status, &error);
  g_assert_no_error (error);
  if (!g_spawn_check_wait_status (status, &error))
    g_error ("%s: %s%s", program, output, errors);
  g_assert_cmpstr (errors, ==, "");
  if (format == TIDE_FORMAT_PDF)
    g_assert_nonnull (strstr (output, "Power (W)"));
}

static void
test_other_programs (Place *place, gconstpointer data)
{
  check_with (place, TIDE_FORMAT_PNG, "pngcheck", (const char *const[]){ "-q", "FILE", NULL });
  check_with (place, TIDE_FORMAT_SVG, "xmllint",
              (const char *const[]){ "--noout", "--nonet", "FILE", NULL });
  check_with (place, TIDE_FORMAT_SVG, "rsvg-convert", (const char *const[]){ "FILE", NULL });
  check_with (place, TIDE_FORMAT_PDF, "pdftotext", (const char *const[]){ "FILE", "-", NULL });
}

#define ADD(path, function) g_test_add (path, Place, NULL, set_up, function, tear_down)

int
main (int argc, char *argv[])
{
  if (argc == 2 && g_str_equal (argv[1], "--print-sums"))
    return print_sums ();
  g_test_init (&argc, &argv, NULL);
  self = argv[0];
  g_unsetenv ("SOURCE_DATE_EPOCH");
  g_test_add_func ("/publish/format-from-name", test_format_from_name);
  g_test_add_func ("/publish/png", test_png);
  g_test_add_func ("/publish/svg", test_svg);
  g_test_add_func ("/publish/pdf", test_pdf);
  g_test_add_func ("/publish/same-twice", test_same_twice);
  g_test_add_func ("/publish/same-in-another-process", test_same_in_another_process);
  g_test_add_func ("/publish/source-date-epoch", test_source_date_epoch);
  g_test_add_func ("/publish/svg-size", test_svg_size);
  g_test_add_func ("/publish/sizes", test_sizes);
  g_test_add_func ("/publish/empty", test_empty);
  ADD ("/publish/file", test_file);
  ADD ("/publish/file/failures", test_file_failures);
  ADD ("/publish/file/old-stays", test_old_file_stays);
  ADD ("/publish/file/no-text", test_names_that_are_no_text);
  ADD ("/publish/file/no-file-allowed", test_no_file_allowed);
  ADD ("/publish/file/unknown-ending", test_unknown_ending);
  ADD ("/publish/file/far", test_far_file);
  ADD ("/publish/other-programs", test_other_programs);
  return g_test_run ();
}
