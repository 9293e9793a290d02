/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

typedef struct
{
  double wall_s, cpu_s;
} Turn;

static double
read_clock (clockid_t clock)
{
  struct timespec now;

  clock_gettime (clock, &now);
  return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static double
add_seconds (struct timeval a, struct timeval b)
{
  return (double)(a.tv_sec + b.tv_sec) + (double)(a.tv_usec + b.tv_usec) / G_USEC_PER_SEC;
}

/* Of all threads, and of processes that were waited for. */
static double
read_cpu (void)
{
  struct rusage children;

  getrusage (RUSAGE_CHILDREN, &children);
  return read_clock (CLOCK_PROCESS_CPUTIME_ID) + add_seconds (children.ru_utime, children.ru_stime);
}

static Turn
take_turn (const BenchRunner *runner)
{
  if (runner->prepare != NULL)
    runner->prepare (runner->data);

  double wall_s = read_clock (CLOCK_MONOTONIC), cpu_s = read_cpu ();
  runner->run (runner->data);
  return (Turn){ read_clock (CLOCK_MONOTONIC) - wall_s, read_cpu () - cpu_s };
}

static int
compare_doubles_cb (const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

/* Sorts values. */
static double
find_median (double values[BENCH_ROUNDS])
{
  qsort (values, BENCH_ROUNDS, sizeof *values, compare_doubles_cb);
  return values[BENCH_ROUNDS / 2];
}

static double
find_ratio (const Turn *ours, const Turn *theirs)
{
  double ratios[BENCH_ROUNDS];

  for (guint round = 0; round < BENCH_ROUNDS; round++)
    ratios[round] = ours[round].cpu_s / theirs[round].cpu_s;
  return find_median (ratios);
}

static long
get_peak_kib (void)
{
  struct rusage usage;

  getrusage (RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

/* The line but for its end. prefix is the race's name and a slash for a yardstick. */
static void
print_turns (const char *prefix, const BenchRunner *runner, const Turn *turns)
{
  double walls[BENCH_ROUNDS], cpus[BENCH_ROUNDS];

  for (guint round = 0; round < BENCH_ROUNDS; round++)
    {
      walls[round] = turns[round].wall_s;
      cpus[round] = turns[round].cpu_s;
    }
  double median_s = find_median (walls);
  g_print ("{\"name\":\"%s%s\",\"median_s\":%.6f,\"min_s\":%.6f,\"max_s\":%.6f,\"cpu_s\":%.6f",
           prefix, runner->name, median_s, walls[0], walls[BENCH_ROUNDS - 1], find_median (cpus));
  if (runner->bytes != NULL)
    g_print (",\"bytes\":%" G_GUINT64_FORMAT, *runner->bytes);
  g_print (",\"peak_kib\":%ld", get_peak_kib ());
}

static void
print_ratios (const BenchRunner *runners, guint n, Turn turns[][BENCH_ROUNDS])
{
  for (guint i = 1; i < n; i++)
    g_print ("%s\"%s\":%.3g", i == 1 ? ",\"ratio\":{" : ",", runners[i].name,
             find_ratio (turns[0], turns[i]));
  if (n > 1)
    g_print ("}");
}

void
bench_race (const BenchRunner *runners, guint n)
{
  Turn turns[BENCH_MOST][BENCH_ROUNDS];
  g_autofree char *prefix = g_strconcat (runners[0].name, "/", NULL);

  g_assert (n >= 1 && n <= BENCH_MOST);

  for (guint i = 0; i < n; i++)
    take_turn (&runners[i]);
  for (guint round = 0; round < BENCH_ROUNDS; round++)
    for (guint i = 0; i < n; i++)
      turns[i][round] = take_turn (&runners[i]);
  for (guint i = 0; i < n; i++)
    {
      print_turns (i == 0 ? "" : prefix, &runners[i], turns[i]);
      if (i == 0)
        print_ratios (runners, n, turns);
      g_print ("}\n");
    }
}

void
bench_size (const char *name, guint64 bytes, const char *against, guint64 other_bytes)
{
  g_print ("{\"name\":\"%s\",\"bytes\":%" G_GUINT64_FORMAT ",\"ratio\":{\"%s\":%.3g}}\n", name,
           bytes, against, (double)bytes / (double)other_bytes);
}

gboolean
bench_is_large (void)
{
  return g_strcmp0 (g_getenv ("TIDEMARK_BENCH_LARGE"), "1") == 0;
}

char *
bench_make_folder (void)
{
  char *folder = g_strdup ("logs-XXXXXX");

  if (g_mkdtemp (folder) == NULL)
    g_error ("no folder for the logs can be made here");
  return folder;
}

void
bench_delete_folder (char *folder)
{
  GDir *dir = g_dir_open (folder, 0, NULL);
  const char *name;

  g_assert (dir != NULL);
  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      g_remove (path);
    }
  g_dir_close (dir);
  g_rmdir (folder);
  g_free (folder);
}
