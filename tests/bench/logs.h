/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The logs that are timed: a simulated charge of 2.8 h in any number of samples, columns time,
 * voltage, current and power at 4 decimals, with noise of 1.8 mV and 4 mA, ripple, steps, a taper,
 * pauses and rare spikes. Same seed, same log, on every machine.
 */
#pragma once

#include "comparison/comparison.h"

/* Writes the log as an export of n rows; its size in bytes. Aborts where it cannot. */
guint64 log_write_csv (const char *path, gsize n, guint32 seed);

/* The same log in memory. Transfer full. */
TideRecording *log_make_recording (gsize n, guint32 seed);

/* A comparison of n_runs such logs of n samples each, measured. Transfer full. */
TideComparison *log_make_comparison (guint n_runs, gsize n);
