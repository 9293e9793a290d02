/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that is written while it is read. What is followed must at last be, bit for bit, what
 * reading the finished file gives; that, and habits of file systems, are the measure here, no
 * outside source.
 */
#include "reading/follow.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "reading/reading-private.h"

/* ---- A log and its writer ---- */

typedef struct
{
  char *folder, *path;
  GFile *file;
} Place;

static void
clear_place (Place *place)
{
  g_unlink (place->path);
  g_rmdir (place->folder);
  g_free (place->folder);
  g_free (place->path);
  g_object_unref (place->file);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Place, clear_place)

static Place
make_place (void)
{
  g_autoptr (GError) error = NULL;
  Place place = { .folder = g_dir_make_tmp ("tide-follow-XXXXXX", &error) };

  g_assert_no_error (error);
  place.path = g_build_filename (place.folder, "log.csv", NULL);
  place.file = g_file_new_for_path (place.path);
  return place;
}

static void
append (const Place *place, const void *bytes, gsize length)
{
  int fd = g_open (place->path, O_WRONLY | O_CREAT | O_APPEND, 0600);

  g_assert_cmpint (fd, >=, 0);
  g_assert_cmpint (write (fd, bytes, length), ==, (gssize)length);
  close (fd);
}

static void
append_text (const Place *place, const char *text)
{
  append (place, text, strlen (text));
}

/* Under another inode, as programs that save whole files do it. */
static void
write_whole (const Place *place, const char *text, gssize length)
{
  g_autoptr (GError) error = NULL;

  g_file_set_contents (place->path, text, length, &error);
  g_assert_no_error (error);
}

/* ---- What is asked of it ---- */

static TideFollowEvent
poll_once (TideFollower *follower)
{
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  tide_follower_poll (follower, &event, NULL, &error);
  g_assert_no_error (error);
  return event;
}

static gsize
count_samples (TideFollower *follower)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings = tide_follower_assemble (follower, &error);

  if (recordings == NULL)
    {
      g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS);
      return 0;
    }
  g_assert_no_error (error);
  return tide_recording_get_n_samples (recordings->pdata[recordings->len - 1]);
}

static void
assert_poll_fails (TideFollower *follower, GQuark domain, int code, const char *words)
{
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  g_assert_false (tide_follower_poll (follower, &event, NULL, &error));
  g_assert_error (error, domain, code);
  g_assert_nonnull (strstr (error->message, words));
  g_assert_null (strchr (error->message, '\n'));
}

static void
assert_same_complaints (GPtrArray *found, GPtrArray *wanted)
{
  g_assert_cmpuint (found->len, ==, wanted->len);
  for (guint i = 0; i < found->len; i++)
    {
      g_autofree char *a = tide_complaint_to_text (found->pdata[i]);
      g_autofree char *b = tide_complaint_to_text (wanted->pdata[i]);

      g_assert_cmpstr (a, ==, b);
    }
}

static void
assert_same_recording (TideRecording *found, TideRecording *wanted)
{
  gsize n = tide_recording_get_n_samples (wanted);

  g_assert_cmpuint (tide_recording_get_n_samples (found), ==, n);
  for (TideQuantity q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      const double *a = tide_recording_get_column (found, q);
      const double *b = tide_recording_get_column (wanted, q);

      g_assert_true ((a == NULL) == (b == NULL));
      if (a != NULL)
        g_assert_cmpmem (a, n * sizeof *a, b, n * sizeof *b);
    }
  g_assert_cmpint (tide_recording_get_start_us (found), ==, tide_recording_get_start_us (wanted));
  g_assert_cmpuint (tide_recording_get_skipped_rows (found), ==,
                    tide_recording_get_skipped_rows (wanted));
  g_assert_cmpstr (tide_recording_get_file (found), ==, tide_recording_get_file (wanted));
  g_assert_cmpstr (tide_recording_get_label (found), ==, tide_recording_get_label (wanted));
  g_assert_null (tide_recording_get_sha256 (found));
}

static void
assert_as_read (TideFollower *follower, const Place *place)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) found = tide_follower_assemble (follower, &error);
  g_assert_no_error (error);
  g_autoptr (GPtrArray) wanted = tide_read_file (place->file, NULL, NULL, &error);
  g_assert_no_error (error);

  g_assert_cmpuint (found->len, ==, wanted->len);
  for (guint i = 0; i < found->len; i++)
    {
      assert_same_recording (found->pdata[i], wanted->pdata[i]);
      assert_same_complaints (tide_recording_get_complaints (found->pdata[i]),
                              tide_recording_get_complaints (wanted->pdata[i]));
    }
}

static void
finish (TideFollower *follower)
{
  g_autoptr (GError) error = NULL;

  tide_follower_finish (follower, NULL, &error);
  g_assert_no_error (error);
}

/* ---- Pieces ---- */

/* So much of a short log is written byte by byte: every row may be cut anywhere. */
#define BYTEWISE_BYTES 300

typedef struct
{
  const char *name;
  const char *head;
  char delimiter;
  const char *row_end; /* behind t, V, A */
  const char *encoding;
  guint n_rows;
  double back_at; /* this row, and those behind it, begin a new recording; 0: none */
  const char *end;
} Log;

static const Log logs[] = {
  { "plain", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 700, 0, "" },
  { "cut", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 300, 0, "300.0,9.00" },
  { "cr-lf", "# a meter\r\n# of no name\r\n\r\nTime (s);Voltage (V);Current (A)\r\n", ';', "\r\n",
    NULL, 300, 0, "end of the log" },
  { "broken", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 300, 0,
    "300,,1\nnonsense\n301,9.0,1.0\n302,9.1,1.1\n" },
  { "utf-16-le", "time_s\tvoltage_V\tcurrent_A\n", '\t', "\n", "UTF-16LE", 300, 0, "" },
  { "utf-16-be", "time_s\tvoltage_V\tcurrent_A\n", '\t', "\n", "UTF-16BE", 300, 0, "" },
  { "cp1252", "Zeit (s),Spannung (V),Strom (A),\"Temperatur (\302\260C)\"\n", ',', ",\"21\"\n",
    "WINDOWS-1252", 300, 0, "" },
  { "two", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 500, 300, "" },
  { "long", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 30000, 0, "" },
  { "long-two", "time_s,voltage_V,current_A\n", ',', "\n", NULL, 30000, 22222, "" },
  { "long-utf-16", "time_s,voltage_V,current_A\n", ',', "\n", "UTF-16LE", 18000, 0, "" },
};

/* Transfer full. */
static GBytes *
make_log (const Log *log)
{
  g_autoptr (GString) text = g_string_new (log->head);
  g_autoptr (GError) error = NULL;
  gsize length;

  for (guint i = 0; i < log->n_rows; i++)
    {
      double t = log->back_at > 0 && i >= log->back_at ? i - log->back_at : i;

      g_string_append_printf (text, "%.1f%c%.3f%c%.4f%s", t, log->delimiter, 9 + 0.01 * (i % 7),
                              log->delimiter, 2 - 1e-5 * i, log->row_end);
    }
  g_string_append (text, log->end);
  if (log->encoding == NULL)
    return g_string_free_to_bytes (g_steal_pointer (&text));
  if (g_str_has_prefix (log->encoding, "UTF-16"))
    g_string_prepend_unichar (text, 0xfeff);
  char *bytes =
      g_convert (text->str, (gssize)text->len, log->encoding, "UTF-8", NULL, &length, &error);
  g_assert_no_error (error);
  return g_bytes_new_take (bytes, length);
}

static gsize
choose_piece (guint most, gsize left)
{
  gsize piece = (gsize)g_test_rand_int_range (1, (gint32)most + 1);

  return MIN (piece, left);
}

/* The whole log in pieces of at most most bytes, with a look behind each. A byte of UTF-16 may have
 * to wait for the next. */
static void
write_in_pieces (const Place *place,
                 TideFollower *follower,
                 GBytes *bytes,
                 guint most,
                 gboolean is_wide)
{
  gsize length, n = 0;
  const guint8 *data = g_bytes_get_data (bytes, &length);

  while (n < length)
    {
      guint at_most = n < BYTEWISE_BYTES && length < TIDE_HEAD_BYTES ? 1 : most;
      gsize piece = choose_piece (at_most, length - n);

      append (place, data + n, piece);
      n += piece;
      TideFollowEvent event = poll_once (follower);
      g_assert_true (event == TIDE_FOLLOW_GREW || is_wide);
      g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_SAME);
    }
}

static void
test_pieces (gconstpointer user_data)
{
  const Log *log = user_data;
  g_autoptr (GBytes) bytes = make_log (log);
  const guint small[] = { 40, 5000 }, large[] = { 30000, 300000 };
  gboolean is_wide = log->encoding != NULL && g_str_has_prefix (log->encoding, "UTF-16");

  for (guint i = 0; i < 2; i++)
    {
      g_auto (Place) place = make_place ();
      append (&place, "", 0);
      g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
      guint most = g_bytes_get_size (bytes) > TIDE_HEAD_BYTES ? large[i] : small[i];

      write_in_pieces (&place, follower, bytes, most, is_wide);
      finish (follower);
      assert_as_read (follower, &place);
      finish (follower);
      assert_as_read (follower, &place);
    }
}

/* At every moment it is what reading the file so far gives, but for the row that is being written.
 */
static void
test_so_far (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);

  append_text (&place, "time_s,power_W\n");
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  for (guint i = 0; i < 200; i++)
    {
      g_autofree char *row = g_strdup_printf ("%u,%u.5\n", i, 10 + i % 3);

      append (&place, row, 2);
      poll_once (follower);
      g_assert_cmpuint (count_samples (follower), ==, i < 2 ? 0 : i);
      append_text (&place, row + 2);
      poll_once (follower);
      g_assert_cmpuint (count_samples (follower), ==, i < 1 ? 0 : i + 1);
      if (i > 0)
        assert_as_read (follower, &place);
    }
}

/* ---- A file that has nothing yet ---- */

static void
test_waits (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);

  g_assert_cmpstr (tide_follower_get_name (follower), ==, "log.csv");
  assert_poll_fails (follower, G_IO_ERROR, G_IO_ERROR_NOT_FOUND, "log.csv");
  append (&place, "", 0);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_SAME);
  g_assert_nonnull (strstr (tide_follower_get_reason (follower), "empty"));
  append_text (&place, "a meter of no name\n\n");
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  g_assert_nonnull (tide_follower_get_reason (follower));
  append_text (&place, "time_s,power_W\n");
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  append_text (&place, "0,10\n");
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  append_text (&place, "0,10\n");
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  append_text (&place, "1,10\n2,11\n");
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 3);
  g_assert_null (tide_follower_get_reason (follower));
}

static void
test_empty_at_last (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  g_autoptr (GError) error = NULL;

  append (&place, "", 0);
  g_assert_false (tide_follower_finish (follower, NULL, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY);
}

/* ---- NULs ---- */

/* Room taken beforehand is written into from its beginning. */
static void
check_taken_room (const char *encoding)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  Log log = { "", "time_s,power_W,current_A\n", ',', "\n", encoding, 400, 0, "" };
  g_autoptr (GBytes) bytes = make_log (&log);
  gsize length, room = 60000, n = 0;
  const guint8 *data = g_bytes_get_data (bytes, &length);
  int fd = g_open (place.path, O_WRONLY | O_CREAT, 0600);

  g_assert_cmpint (ftruncate (fd, (off_t)room), ==, 0);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_SAME);
  while (n < length)
    {
      gsize piece = choose_piece (400, length - n);

      g_assert_cmpint (pwrite (fd, data + n, piece, (off_t)n), ==, (gssize)piece);
      n += piece;
      poll_once (follower);
    }
  g_assert_cmpuint (count_samples (follower), ==, 400);
  /* the room that was not needed is given back */
  g_assert_cmpint (ftruncate (fd, (off_t)length), ==, 0);
  close (fd);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_SAME);
  finish (follower);
  assert_as_read (follower, &place);
}

static void
test_taken_room (void)
{
  check_taken_room (NULL);
  check_taken_room ("UTF-16LE");
  check_taken_room ("UTF-16BE");
}

/* NULs with text behind them are the file's own. */
static void
test_nuls_inside (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  char nuls[3000] = { 0 };
  GString *rows = g_string_new ("time_s,power_W\n");

  for (guint i = 0; i < 60000; i++)
    g_string_append_printf (rows, "%u,10\n", i);
  append (&place, rows->str, rows->len);
  append (&place, nuls, sizeof nuls);
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 60000);
  append_text (&place, "\n60001,11\n60002,11\n");
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 60002);
  finish (follower);
  assert_as_read (follower, &place);
  g_string_free (rows, TRUE);
}

/* ---- Another file ---- */

static const char first_log[] = "time_s,power_W\n0,10\n1,10\n2,10\n3,10\n";
static const char longer_log[] = "time_s,power_W\n0,10\n1,10\n2,10\n3,10\n4,11\n5,11\n";
static const char other_log[] = "time_s,power_W\n0,20\n1,21\n2,22\n3,23\n4,24\n5,25\n";

static void
check_begins_anew (TideFollower *follower, const char *text)
{
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  guint n_rows = 0;
  for (const char *p = text; *p != '\0'; p++)
    n_rows += *p == '\n';
  g_assert_cmpuint (count_samples (follower), ==, n_rows - 1);
}

static void
test_replaced (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);

  write_whole (&place, first_log, -1);
  poll_once (follower);
  g_assert_cmpuint (count_samples (follower), ==, 4);
  /* saved whole, with more behind it: the same log */
  write_whole (&place, longer_log, -1);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 6);
  write_whole (&place, other_log, -1);
  check_begins_anew (follower, other_log);
  /* shorter */
  write_whole (&place, first_log, -1);
  check_begins_anew (follower, first_log);
  g_assert_cmpint (truncate (place.path, 20), ==, 0);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 0);
  g_assert_cmpint (truncate (place.path, 0), ==, 0);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  append_text (&place, first_log);
  poll_once (follower);
  finish (follower);
  assert_as_read (follower, &place);
}

/* Behind its first bytes, and longer than before: what stood where reading had stopped is gone. */
static void
test_replaced_later_on (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  g_autoptr (GBytes) bytes = make_log (&logs[8]);
  gsize length;
  g_autofree char *copy = g_memdup2 (g_bytes_get_data (bytes, &length), g_bytes_get_size (bytes));

  write_whole (&place, copy, (gssize)length - 100);
  while (poll_once (follower) == TIDE_FOLLOW_GREW)
    ;
  for (gsize i = 300000; i < length; i++)
    copy[i] = copy[i] == '9' ? '8' : copy[i];
  write_whole (&place, copy, (gssize)length);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  while (poll_once (follower) == TIDE_FOLLOW_GREW)
    ;
  finish (follower);
  assert_as_read (follower, &place);
}

static void
test_removed (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);

  write_whole (&place, first_log, -1);
  poll_once (follower);
  g_unlink (place.path);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REMOVED);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REMOVED);
  g_assert_cmpuint (count_samples (follower), ==, 4);
  /* it was only moved away for a moment */
  write_whole (&place, longer_log, -1);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 6);
  g_unlink (place.path);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REMOVED);
  write_whole (&place, other_log, -1);
  check_begins_anew (follower, other_log);
  g_unlink (place.path);
  finish (follower);
  g_assert_cmpuint (count_samples (follower), ==, 6);
}

/* ---- What is not followed ---- */

static void
test_refused (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (GFile) folder = g_file_new_for_path (place.folder);
  g_autoptr (TideFollower) of_folder = tide_follower_new (folder, NULL, 0);
  g_autoptr (TideFollower) of_pipe = tide_follower_new (place.file, NULL, 0);
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);

  assert_poll_fails (of_folder, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY, "folder");
  g_assert_cmpint (mkfifo (place.path, 0600), ==, 0);
  assert_poll_fails (of_pipe, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE, "followed");
  g_unlink (place.path);

  write_whole (&place, "\x1f\x8b\x08 and so on", -1);
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_PACKED, "log.csv: ");
  /* it stays so */
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_PACKED, "packed");
  write_whole (&place, "PK\x03\x04 and so on", -1);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_PACKED, "packed");
  write_whole (&place, "\x28\xb5\x2f\xfd and so on", -1); /* zstd: nor is it opened here */
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_PACKED, "packed");
  write_whole (&place, "\x89PNG and so on", -1);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_REPLACED);
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_NOT_TEXT, "picture");
  write_whole (&place, first_log, -1);
  check_begins_anew (follower, first_log);
}

/* Nothing is guessed; what is stated holds. */
static void
test_two_readings (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (GError) error = NULL;
  TideReadOptions options = { .rule = rule };

  g_assert_true (tide_reading_rule_set (rule, "time", "%d/%m/%Y %H:%M:%S", &error));
  g_autoptr (TideFollower) told = tide_follower_new (place.file, &options, 0);
  append_text (&place, "time,power_W\n");
  for (guint i = 0; i < 19; i++)
    {
      g_autofree char *row = g_strdup_printf ("03/04/2026 10:00:%02u,10\n", i);

      append_text (&place, row);
    }
  poll_once (told);
  g_assert_cmpstr (tide_follower_get_reason (told), ==, NULL);
  g_assert_cmpuint (count_samples (told), ==, 19);
  assert_poll_fails (follower, TIDE_READING_ERROR, TIDE_READING_ERROR_AMBIGUOUS, "log.csv");
}

static void
test_lanes (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) first = tide_follower_new (place.file, NULL, 0);
  g_autoptr (TideFollower) second = tide_follower_new (place.file, NULL, 1);
  g_autoptr (TideFollower) third = tide_follower_new (place.file, NULL, 2);
  g_autoptr (GError) error = NULL;

  append_text (
      &place,
      "Time (s),Port A Voltage (V),Port A Current (A),Port B Voltage (V),Port B Current (A)\n");
  for (guint i = 0; i < 50; i++)
    {
      g_autofree char *row = g_strdup_printf ("%u,9.0,2.0,5.0,%u.5\n", i, i % 3);

      append_text (&place, row);
    }
  finish (first);
  finish (second);
  g_autoptr (GPtrArray) wanted = tide_read_file (place.file, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (wanted->len, ==, 2);
  g_autoptr (GPtrArray) a = tide_follower_assemble (first, &error);
  g_autoptr (GPtrArray) b = tide_follower_assemble (second, &error);
  g_assert_no_error (error);
  assert_same_recording (a->pdata[0], wanted->pdata[0]);
  assert_same_recording (b->pdata[0], wanted->pdata[1]);
  assert_poll_fails (third, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE, "2 runs");
}

/* ---- Bounds ---- */

static void
test_bounded_poll (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  g_autoptr (GString) text = g_string_new ("time_s,power_W,note\n");
  guint n_rows = 0, n_polls = 0;

  while (text->len < 2 * TIDE_FOLLOW_POLL_BYTES + 1000)
    g_string_append_printf (text, "%u,10,%0100d\n", n_rows++, 0);
  write_whole (&place, text->str, (gssize)text->len);
  do
    {
      g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
      n_polls++;
    }
  while (tide_follower_is_behind (follower));
  g_assert_cmpuint (n_polls, ==, 3);
  g_assert_cmpuint (count_samples (follower), ==, n_rows);
}

static void
test_cancelled (void)
{
  g_auto (Place) place = make_place ();
  g_autoptr (TideFollower) follower = tide_follower_new (place.file, NULL, 0);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;
  TideFollowEvent event;

  write_whole (&place, first_log, -1);
  g_cancellable_cancel (cancellable);
  g_assert_false (tide_follower_poll (follower, &event, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_cmpint (poll_once (follower), ==, TIDE_FOLLOW_GREW);
  g_assert_cmpuint (count_samples (follower), ==, 4);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (logs); i++)
    {
      g_autofree char *path = g_strconcat ("/reading/follow/pieces/", logs[i].name, NULL);

      g_test_add_data_func (path, &logs[i], test_pieces);
    }
  g_test_add_func ("/reading/follow/so-far", test_so_far);
  g_test_add_func ("/reading/follow/waits", test_waits);
  g_test_add_func ("/reading/follow/empty-at-last", test_empty_at_last);
  g_test_add_func ("/reading/follow/taken-room", test_taken_room);
  g_test_add_func ("/reading/follow/nuls-inside", test_nuls_inside);
  g_test_add_func ("/reading/follow/replaced", test_replaced);
  g_test_add_func ("/reading/follow/replaced-later-on", test_replaced_later_on);
  g_test_add_func ("/reading/follow/removed", test_removed);
  g_test_add_func ("/reading/follow/refused", test_refused);
  g_test_add_func ("/reading/follow/two-readings", test_two_readings);
  g_test_add_func ("/reading/follow/lanes", test_lanes);
  g_test_add_func ("/reading/follow/bounded-poll", test_bounded_poll);
  g_test_add_func ("/reading/follow/cancelled", test_cancelled);
  return g_test_run ();
}
