/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: the samples of one run on their way into the file. */
#pragma once

#include "library/outline-private.h"

/* What the writers of one import share. */
typedef struct {
  TideStore *store;
  GCancellable *cancellable;             /* may be NULL */
  sqlite3_stmt *put_chunk, *put_overview;
  double *guess;                         /* TIDE_BLOCK_SAMPLES */
} TideDesk;

gboolean tide_desk_init  (TideDesk *desk, TideStore *store, GCancellable *cancellable, GError **error);
void     tide_desk_clear (TideDesk *desk);

/* One run's samples, cut into blocks. */
typedef struct {
  TideDesk *desk;
  gint64 run;
  gsize n, n_blocks;                 /* samples that came, blocks written */
  double last_s;
  GArray *columns[TIDE_N_QUANTITIES]; /* double: samples not yet written */
  TideOutline outline;
} TideWriter;

void     tide_writer_init   (TideWriter *writer, TideDesk *desk, gint64 run);
void     tide_writer_clear  (TideWriter *writer);
gboolean tide_writer_add    (TideWriter *writer, const TideColumns *samples, GError **error);
gboolean tide_writer_finish (TideWriter *writer, GError **error);

/* Who wants to see samples as they are kept. */
typedef void (*TideWriterFunc) (const TideColumns *samples, gboolean is_first, gpointer user_data);

/* Applies a revision to what a writer that has finished wrote, a block at a time: read, revised, written in its place.
 * *first_s is the time of the first sample that stays, by which all are shifted. */
gboolean tide_writer_revise (TideWriter *writer, const TideRevision *revision, TideWriterFunc watch, gpointer user_data,
                             double *first_s, GError **error);

/* Names and colours for the runs of one import (naming.c), as the library stands at its end. */
typedef struct _TideNaming TideNaming;

TideNaming *tide_naming_new  (TideStore *store, const char *file);
void        tide_naming_free (TideNaming *naming);
/* A name no other run has: the file's, with label behind it where there is one, and a number where it is taken.
 * NULL on error. Transfer full. */
char       *tide_naming_make_name   (TideNaming *naming, const char *label, GError **error);
/* The first slot that no run of the device has; -1 on error. */
gint64      tide_naming_choose_slot (TideNaming *naming, const char *device, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideNaming, tide_naming_free)
