/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the library's tests share: made-up recordings, and a library file in a folder of its own. */
#pragma once

#include "library/store.h"

/* A simulated charge of n samples at 4 decimals, with noise and steps; seed 0..: the same each
 * time. The file's name is made of seed, its hash too. */
TideRecording *make_log (gsize n, guint32 seed);
/* Conditions of that name and device. */
TideConditions *make_conditions (const char *name, const char *device);
/* Adds a small log, aborting on error; its number. */
gint64 add_log (TideStore *store, const char *name, const char *device, guint32 seed);

/* Adds a log of n samples under the name "big", which may fail. */
gint64 try_add (TideStore *store, gsize n, GCancellable *cancellable, GError **error);
/* Opens the library, aborting on error. */
TideStore *open_store (const char *path);

/* Everything of both recordings is equal, samples bit for bit. */
void assert_same_recording (TideRecording *a, TideRecording *b);

/* The error has that code, and is one line that names the file and what became of the verb. */
void assert_trouble (const GError *error, TideStoreError code, const char *path, const char *outcome);
/* Exactly the runs 1 .. n are there, all of them whole, and the file is sound. */
void assert_whole (const char *path, guint n);

/* A new folder, and the path of a library that is not there yet in it. */
typedef struct { char *folder; char *path; } Place;

void set_up_place   (Place *place, gconstpointer unused);
void tear_down_place (Place *place, gconstpointer unused);
