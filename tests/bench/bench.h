/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Timing one way of doing a thing against others, in one process.
 *
 * Milliseconds do not travel between machines; ratios to a yardstick that was measured in the same
 * minute do. So a figure is a race: our own code and its yardsticks take turns (A B A B ...), each
 * at least BENCH_ROUNDS times. Wall times are medians; ratios are of CPU seconds, turn by turn, and
 * their median is told, so that other work on the machine hardly moves them. What a turn starts as a
 * process of its own and waits for counts with it.
 *
 * Every runner prints one line of JSON on standard output:
 *   {"name":"import-1m","median_s":…,"min_s":…,"max_s":…,"cpu_s":…,"bytes":…,"peak_kib":…,
 *    "ratio":{"libcsv":1.9,"newlines":14}}
 * "bytes" stands only where a size is of interest, "ratio" only for the first runner, and a ratio
 * of 2 means that ours takes twice as long. "peak_kib" is the greatest resident memory of the process
 * so far.
 */
#pragma once

#include <glib.h>

#define BENCH_ROUNDS 5

typedef void (*BenchFunc) (gpointer data);

typedef struct {
  const char *name;    /* of the yardstick; of the race for the first */
  BenchFunc run;       /* is timed */
  BenchFunc prepare;   /* is not, before each turn; may be NULL */
  gpointer data;
  const guint64 *bytes; /* what a turn read or wrote; NULL: not of interest */
} BenchRunner;

/* Up to BENCH_MOST runners; all run once before the clock is started. */
#define BENCH_MOST 6
void bench_race (const BenchRunner *runners, guint n);

/* A figure that is a size, and its ratio to another. */
void bench_size (const char *name, guint64 bytes, const char *against, guint64 other_bytes);

/* Whether the environment asks for logs of 10 million rows (TIDEMARK_BENCH_LARGE=1). */
gboolean bench_is_large (void);

/* A folder of its own under the current one, and its removal with the files in it. */
char *bench_make_folder   (void);
void  bench_delete_folder (char *folder);
