/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The connection to a library file: statements, transactions, and what SQLite's errors mean.
 *
 * Every message is one line that names the file, the reason, what to do where something can be
 * done, and what became of the verb under way.
 */
#include "library/store-private.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <inttypes.h>

/* How long a verb waits for another program to finish writing: an import of 10 million samples
 * holds the file for less than a second. */
#define BUSY_TIMEOUT_MS 5000
/* No honest row is larger: a block of 65,536 samples that do not compress takes 0.5 MB. */
#define LENGTH_LIMIT (4 * 1024 * 1024)

G_DEFINE_QUARK (tide_store_error, tide_store_error)

/* A full disk shows as SQLITE_FULL only for ENOSPC; a quota or a limit on file sizes is one too. */
static gboolean
is_full (int result, int system_error)
{
  return (result & 0xff) == SQLITE_FULL
         || ((result & 0xff) == SQLITE_IOERR
             && (system_error == ENOSPC || system_error == EDQUOT || system_error == EFBIG));
}

static TideStoreError
classify_result (int result, int system_error)
{
  if (is_full (result, system_error))
    return TIDE_STORE_ERROR_FULL;
  switch (result & 0xff)
    {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return TIDE_STORE_ERROR_BUSY;
    case SQLITE_READONLY:
      return TIDE_STORE_ERROR_READ_ONLY;
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return TIDE_STORE_ERROR_OPEN;
    case SQLITE_NOTADB:
      return TIDE_STORE_ERROR_NOT_OURS;
    case SQLITE_CORRUPT:
    case SQLITE_TOOBIG:
      return TIDE_STORE_ERROR_DAMAGED;
    default:
      return TIDE_STORE_ERROR_FAILED;
    }
}

/* In the person's words, with SQLite's or the system's own in brackets. Transfer full. */
static char *
explain_error (TideStoreError code, const char *name, const char *reason)
{
  switch (code)
    {
    case TIDE_STORE_ERROR_FULL:
      return g_strdup_printf (_ ("disk is full: %s (%s); free some space and try again"), name,
                              reason);
    case TIDE_STORE_ERROR_BUSY:
      return g_strdup_printf (_ ("%s: in use by another program (%s); try again when it is done"),
                              name, reason);
    case TIDE_STORE_ERROR_READ_ONLY:
      return g_strdup_printf (_ ("%s: cannot be written (%s); copy it into a folder of your own"),
                              name, reason);
    case TIDE_STORE_ERROR_OPEN:
      return g_strdup_printf (_ ("%s: cannot be opened (%s); check the folder and its permissions"),
                              name, reason);
    case TIDE_STORE_ERROR_NOT_OURS:
      return g_strdup_printf (_ ("%s: no Tidemark library (%s); choose another file"), name,
                              reason);
    case TIDE_STORE_ERROR_DAMAGED:
      return g_strdup_printf (
          _ ("%s: the library is damaged (%s); bring the file back from a copy"), name, reason);
    default:
      return g_strdup_printf (_ ("%s: the library failed (%s)"), name, reason);
    }
}

/* The system's error behind an I/O error. SQLite keeps it for the connection when a statement
 * fails, but not when a commit does: then the log's file, or the main one, still has it. */
static int
find_system_error (sqlite3 *db)
{
  int system_error = sqlite3_system_errno (db);
  sqlite3_file *log = NULL;

  if (system_error == 0
      && sqlite3_file_control (db, "main", SQLITE_FCNTL_JOURNAL_POINTER, &log) == SQLITE_OK
      && log != NULL && log->pMethods != NULL)
    log->pMethods->xFileControl (log, SQLITE_FCNTL_LAST_ERRNO, &system_error);
  if (system_error == 0)
    sqlite3_file_control (db, "main", SQLITE_FCNTL_LAST_ERRNO, &system_error);
  return system_error;
}

void
tide_store_fail (TideStore *store, GError **error)
{
  int result = sqlite3_extended_errcode (store->db);
  int system_error = (result & 0xff) == SQLITE_IOERR ? find_system_error (store->db) : 0;
  TideStoreError code = classify_result (result, system_error);
  g_autofree char *name = g_filename_display_name (store->path);
  g_autofree char *text =
      explain_error (code, name,
                     system_error != 0 ? g_strerror (system_error) : sqlite3_errmsg (store->db));

  g_set_error (error, TIDE_STORE_ERROR, code, "%s; %s", text, store->outcome);
}

/* damage NULL: there is no such run. */
void
tide_store_fail_run (TideStore *store, gint64 id, const char *damage, GError **error)
{
  g_autofree char *name = g_filename_display_name (store->path);

  if (damage == NULL)
    g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN,
                 _ ("%s: there is no run %" PRId64), name, id);
  else
    g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_DAMAGED,
                 _ ("%s: run %" PRId64 " is damaged (%s); import its file again"), name, id,
                 damage);
}

/* --- Statements --- */

sqlite3_stmt *
tide_store_prepare (TideStore *store, const char *sql, GError **error)
{
  sqlite3_stmt *statement = NULL;

  if (sqlite3_prepare_v2 (store->db, sql, -1, &statement, NULL) != SQLITE_OK)
    tide_store_fail (store, error);
  return statement;
}

gboolean
tide_store_step (TideStore *store, sqlite3_stmt *statement, gboolean *has_row, GError **error)
{
  int result = sqlite3_step (statement);

  if (result != SQLITE_ROW && result != SQLITE_DONE)
    {
      tide_store_fail (store, error);
      return FALSE;
    }
  if (has_row != NULL)
    *has_row = result == SQLITE_ROW;
  return TRUE;
}

gboolean
tide_store_each (TideStore *store,
                 sqlite3_stmt *statement,
                 void (*func) (sqlite3_stmt *row, gpointer user_data),
                 gpointer user_data,
                 GError **error)
{
  gboolean has_row = TRUE;

  while (has_row)
    {
      if (!tide_store_step (store, statement, &has_row, error))
        return FALSE;
      if (has_row)
        func (statement, user_data);
    }
  return TRUE;
}

gboolean
tide_store_run_sql (TideStore *store, const char *sql, GError **error)
{
  if (sqlite3_exec (store->db, sql, NULL, NULL, NULL) == SQLITE_OK)
    return TRUE;
  tide_store_fail (store, error);
  return FALSE;
}

gboolean
tide_store_get_int (TideStore *store, const char *sql, gint64 *value, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = tide_store_prepare (store, sql, error);
  gboolean has_row;

  if (statement == NULL || !tide_store_step (store, statement, &has_row, error))
    return FALSE;
  g_assert (has_row);
  *value = sqlite3_column_int64 (statement, 0);
  return TRUE;
}

void
tide_sql_bind_text (sqlite3_stmt *statement, int index, const char *text)
{
  sqlite3_bind_text (statement, index, text, -1, SQLITE_STATIC);
}

char *
tide_sql_get_text (sqlite3_stmt *statement, int column)
{
  const char *text = (const char *)sqlite3_column_text (statement, column);

  return text != NULL ? g_utf8_make_valid (text, -1) : NULL;
}

void
tide_sql_append_conditions (GString *sql, const char *suffix)
{
  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    g_string_append_printf (sql, "%s\"%s\"%s", field > 0 ? ", " : "",
                            tide_condition_get_id ((TideCondition)field), suffix);
}

void
tide_sql_bind_conditions (sqlite3_stmt *statement, int first, const TideConditions *conditions)
{
  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    tide_sql_bind_text (statement, first + field,
                        tide_conditions_get (conditions, (TideCondition)field));
}

/* --- Transactions --- */

static gboolean
begin (TideStore *store, const char *sql, GError **error)
{
  if (tide_store_run_sql (store, sql, error))
    return TRUE;
  /* It may have begun before it failed. */
  tide_store_roll_back (store);
  return FALSE;
}

gboolean
tide_store_begin_read (TideStore *store, GError **error)
{
  return begin (store, "BEGIN", error);
}

gboolean
tide_store_begin_write (TideStore *store, GError **error)
{
  return begin (store, "BEGIN IMMEDIATE", error);
}

gboolean
tide_store_commit (TideStore *store, GError **error)
{
  return tide_store_run_sql (store, "COMMIT", error);
}

void
tide_store_roll_back (TideStore *store)
{
  /* Some errors, a full disk among them, have rolled back by themselves. */
  if (!sqlite3_get_autocommit (store->db))
    sqlite3_exec (store->db, "ROLLBACK", NULL, NULL, NULL);
}

/* --- The connection --- */

/* A library may come from anywhere: nothing in its schema is trusted to run. */
static void
harden_connection (sqlite3 *db)
{
  sqlite3_db_config (db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
  sqlite3_db_config (db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
  sqlite3_db_config (db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
  sqlite3_db_config (db, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
  /* A quoted name that is no column is an error, not a text. */
  sqlite3_db_config (db, SQLITE_DBCONFIG_DQS_DML, 0, NULL);
  sqlite3_limit (db, SQLITE_LIMIT_LENGTH, LENGTH_LIMIT);
  sqlite3_limit (db, SQLITE_LIMIT_ATTACHED, 0);
}

TideStore *
tide_store_connect (const char *path, GError **error)
{
  g_autoptr (TideStore) store = g_new0 (TideStore, 1);

  /* Absolute, so that no name means something else to SQLite (":memory:", "") and the current
   * folder may change. */
  store->path = g_canonicalize_filename (path, NULL);
  store->outcome = _ ("nothing was opened");
  if (sqlite3_open_v2 (store->path, &store->db,
                       SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, NULL)
      != SQLITE_OK)
    {
      tide_store_fail (store, error);
      return NULL;
    }
  harden_connection (store->db);
  sqlite3_busy_timeout (store->db, BUSY_TIMEOUT_MS);
  return g_steal_pointer (&store);
}

void
tide_store_free (TideStore *store)
{
  if (store == NULL)
    return;
  /* Every statement is finalized where it was made, so that closing cannot be refused. */
  sqlite3_close (store->db);
  tide_coder_free (store->coder);
  g_free (store->path);
  g_free (store);
}
