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

/* Everything of both recordings is equal, samples bit for bit. */
void assert_same_recording (TideRecording *a, TideRecording *b);

/* A new folder, and the path of a library that is not there yet in it. */
typedef struct { char *folder; char *path; } Place;

void set_up_place   (Place *place, gconstpointer unused);
void tear_down_place (Place *place, gconstpointer unused);
