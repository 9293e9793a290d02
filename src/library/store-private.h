/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: the connection, and SQL with errors for people.
 *
 * Each verb begins by saying in store->outcome what its failure means ("nothing was imported");
 * every message ends with it.
 */
#pragma once

#include <sqlite3.h>

#include "library/blocks-private.h"
#include "library/store.h"

struct _TideStore {
  sqlite3 *db;
  char *path;          /* absolute */
  TideCoder *coder;    /* made on first use */
  const char *outcome; /* static or translated */
};

/* Opens the file as it is, with no look at what is in it. */
TideStore *tide_store_connect (const char *path, GError **error);

/* Sets the error for the connection's last failed call. */
void          tide_store_fail     (TideStore *store, GError **error);
void          tide_store_fail_run (TideStore *store, gint64 id, const char *damage, GError **error);
sqlite3_stmt *tide_store_prepare  (TideStore *store, const char *sql, GError **error);
/* *has_row says whether a row came; NULL: none is expected. */
gboolean      tide_store_step     (TideStore *store, sqlite3_stmt *statement, gboolean *has_row, GError **error);
/* Calls func with each row that comes. */
gboolean      tide_store_each     (TideStore *store, sqlite3_stmt *statement,
                                   void (*func) (sqlite3_stmt *row, gpointer user_data), gpointer user_data,
                                   GError **error);
gboolean      tide_store_run_sql  (TideStore *store, const char *sql, GError **error);
/* The first column of the first row, which there must be. */
gboolean      tide_store_get_int  (TideStore *store, const char *sql, gint64 *value, GError **error);
/* NULL is stored as NULL. The text must outlive the statement's steps. */
void          tide_sql_bind_text  (sqlite3_stmt *statement, int index, const char *text);
/* Valid UTF-8, whatever the file holds; NULL for NULL. Transfer full. */
char         *tide_sql_get_text   (sqlite3_stmt *statement, int column);

/* The condition columns, quoted, with suffix behind each, joined by ", ". */
void tide_sql_append_conditions (GString *sql, const char *suffix);
/* Binds them from index first on; conditions must outlive the statement's steps. */
void tide_sql_bind_conditions   (sqlite3_stmt *statement, int first, const TideConditions *conditions);

/* A read transaction sees the file as it is at one moment, and is ended by rolling back; a write
 * transaction holds the file's write lock from its begin on. */
gboolean tide_store_begin_read  (TideStore *store, GError **error);
gboolean tide_store_begin_write (TideStore *store, GError **error);
gboolean tide_store_commit      (TideStore *store, GError **error);
/* Undoes what is open; harmless when nothing is. */
void     tide_store_roll_back   (TideStore *store);

/* What stands beside a run's row (samples.c): its complaints, within a write transaction; its recording, in a transaction of
 * its own. */
gboolean       tide_store_add_complaints (TideStore *store, gint64 id, GPtrArray *complaints, GError **error);
TideRecording *tide_store_load_samples (TideStore *store, gint64 id, GCancellable *cancellable, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (sqlite3_stmt, sqlite3_finalize)
