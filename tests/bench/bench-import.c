/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A whole import as the programs do it (read, energy, store), against what reading the same file
 * takes at the least: libcsv with callbacks that do nothing, and the count of its line ends; and
 * against other programs that only read it, or read and store it row by row.
 */
#include <csv.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include "bench/bench.h"
#include "bench/logs.h"
#include "bench/peers.h"
#include "intake/intake.h"

#define BUFFER_BYTES (256 * 1024)

typedef struct
{
  char *csv, *library;
  guint64 bytes;
  char *buffer;
  gsize n_lines;
} Import;

static void
forget_library (gpointer data)
{
  Import *import = data;
  static const char *const endings[] = { "", "-wal", "-shm" };

  for (guint i = 0; i < G_N_ELEMENTS (endings); i++)
    {
      g_autofree char *path = g_strconcat (import->library, endings[i], NULL);

      unlink (path);
    }
}

static void
import_file (gpointer data)
{
  Import *import = data;
  g_autoptr (GFile) file = g_file_new_for_path (import->csv);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (import->library, &error);
  g_autoptr (GArray) stored = NULL;

  g_assert_no_error (error);
  stored = tide_intake_file (store, file, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (stored->len, ==, 1);
}

/* Calls take with each piece of the file. */
static void
read_pieces (Import *import,
             void (*take) (const char *piece, gsize length, gpointer data),
             gpointer take_data)
{
  int fd = open (import->csv, O_RDONLY | O_CLOEXEC);
  ssize_t length;

  g_assert (fd >= 0);
  while ((length = read (fd, import->buffer, BUFFER_BYTES)) > 0)
    take (import->buffer, (gsize)length, take_data);
  g_assert (length == 0);
  close (fd);
}

static void
do_nothing_with_field_cb (void *text, size_t length, void *data)
{
}

static void
do_nothing_with_record_cb (int terminator, void *data)
{
}

static void
parse_piece (const char *piece, gsize length, gpointer data)
{
  gsize parsed =
      csv_parse (data, piece, length, do_nothing_with_field_cb, do_nothing_with_record_cb, NULL);

  g_assert (parsed == length);
}

static void
parse_only (gpointer data)
{
  struct csv_parser parser;

  csv_init (&parser, 0);
  read_pieces (data, parse_piece, &parser);
  csv_fini (&parser, do_nothing_with_field_cb, do_nothing_with_record_cb, NULL);
  csv_free (&parser);
}

static void
count_piece (const char *piece, gsize length, gpointer data)
{
  gsize *n_lines = data;
  const char *end = piece + length;

  while ((piece = memchr (piece, '\n', (gsize)(end - piece))) != NULL)
    {
      piece++;
      ++*n_lines;
    }
}

static void
count_lines (gpointer data)
{
  Import *import = data;

  import->n_lines = 0;
  read_pieces (import, count_piece, &import->n_lines);
}

static void
race_import (const char *folder, const char *name, gsize n_rows, gboolean with_peers)
{
  g_autofree char *csv = g_strdup_printf ("%s/%s.csv", folder, name);
  g_autofree char *library = g_strdup_printf ("%s/%s.db", folder, name);
  g_autofree char *buffer = g_malloc (BUFFER_BYTES);
  Import import = { .csv = csv, .library = library, .buffer = buffer };

  import.bytes = log_write_csv (csv, n_rows, 1);
  BenchRunner runners[3 + BENCH_N_PEERS] = {
    { name, import_file, forget_library, &import, &import.bytes },
    { "libcsv", parse_only, NULL, &import, NULL },
    { "newlines", count_lines, NULL, &import, NULL },
  };
  BenchPeer peers[BENCH_N_PEERS] = { 0 };
  guint n_peers = with_peers ? bench_peers_find (peers, name, csv, runners + 3) : 0;

  bench_race (runners, 3 + n_peers);
  bench_peers_clear (peers);
  g_assert (import.n_lines == n_rows + 1);
}

int
main (void)
{
  char *folder = bench_make_folder ();

  race_import (folder, "import-10k", 10000, FALSE);
  race_import (folder, "import-1m", 1000000, TRUE);
  if (bench_is_large ())
    race_import (folder, "import-10m", 10000000, TRUE);
  bench_delete_folder (folder);
  return 0;
}
