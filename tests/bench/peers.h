/* SPDX-License-Identifier: GPL-3.0-or-later */
/* General programs that read the same log, what a person would use otherwise: each is a process of its own, with all that
 * its start costs, and runs only where it is installed.
 */
#pragma once

#include "bench/bench.h"

#define BENCH_N_PEERS 3

typedef struct {
  char *argv[8];  /* ends with NULL */
  char *database; /* that it writes, and that is deleted before each turn; NULL: none */
} BenchPeer;

/* Fills runners with those that can be run on csv, and gives their number; of the others a line says that they are left
 * out. The runners' data are in peers. */
guint bench_peers_find  (BenchPeer peers[BENCH_N_PEERS], const char *race, const char *csv,
                         BenchRunner runners[BENCH_N_PEERS]);
void  bench_peers_clear (BenchPeer peers[BENCH_N_PEERS]);
