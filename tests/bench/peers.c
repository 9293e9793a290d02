/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/peers.h"

#include <glib/gstdio.h>

/* The goals are held against these (their names: what the ratios are called). "%s" is the log, "%d"
 * the database; try succeeds where the program has what it needs. */
static const struct
{
  const char *name;
  const char *try[5], *argv[7];
} known[BENCH_N_PEERS] = {
  { "pandas.read_csv",
    { "python3", "-c", "import pandas" },
    { "python3", "-c", "import sys, pandas; pandas.read_csv (sys.argv[1])", "%s" } },
  { "fread, 1 thread",
    { "Rscript", "-e", "library (data.table)" },
    { "Rscript", "-e",
      "library (data.table); setDTthreads (1); invisible (fread (commandArgs (TRUE)[1]))", "%s" } },
  { "sqlite3 .import",
    { "sqlite3", "-version" },
    { "sqlite3", "%d", "CREATE TABLE log (t REAL, v REAL, i REAL, p REAL);", ".mode csv",
      ".import --skip 1 %s log" } },
};

static gboolean
run (char **argv)
{
  int status;

  return g_spawn_sync (NULL, argv, NULL,
                       G_SPAWN_SEARCH_PATH | G_SPAWN_STDOUT_TO_DEV_NULL
                           | G_SPAWN_STDERR_TO_DEV_NULL,
                       NULL, NULL, NULL, NULL, &status, NULL)
         && g_spawn_check_wait_status (status, NULL);
}

static void
run_peer (gpointer data)
{
  BenchPeer *peer = data;
  gboolean well = run (peer->argv);

  g_assert_true (well);
}

static void
delete_database (gpointer data)
{
  BenchPeer *peer = data;

  if (peer->database != NULL)
    g_unlink (peer->database);
}

static char *
fill_in (const char *argument, const char *csv, const char *database)
{
  g_autoptr (GString) text = g_string_new (argument);

  g_string_replace (text, "%s", csv, 0);
  g_string_replace (text, "%d", database, 0);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

guint
bench_peers_find (BenchPeer peers[BENCH_N_PEERS],
                  const char *race,
                  const char *csv,
                  BenchRunner runners[BENCH_N_PEERS])
{
  guint n = 0;

  for (guint i = 0; i < BENCH_N_PEERS; i++)
    {
      peers[i] = (BenchPeer){ 0 };
      if (!run ((char **)known[i].try))
        {
          g_print ("{\"name\":\"%s/%s\",\"skipped\":\"not installed\"}\n", race, known[i].name);
          continue;
        }
      peers[i].database = g_strconcat (csv, ".peer", NULL);
      for (guint k = 0; known[i].argv[k] != NULL; k++)
        peers[i].argv[k] = fill_in (known[i].argv[k], csv, peers[i].database);
      runners[n++] = (BenchRunner){ known[i].name, run_peer, delete_database, &peers[i], NULL };
    }
  return n;
}

void
bench_peers_clear (BenchPeer peers[BENCH_N_PEERS])
{
  for (guint i = 0; i < BENCH_N_PEERS; i++)
    {
      for (guint k = 0; peers[i].argv[k] != NULL; k++)
        g_free (peers[i].argv[k]);
      g_free (peers[i].database);
    }
}
