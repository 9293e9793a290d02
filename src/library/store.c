/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library file: opening, the list of runs, edits, removal.
 *
 * The conditions of a run are one column each, named by their ids; the column lists of statements
 * are made from that table. A hidden run (removed_us set) answers nothing but restore and purge.
 */
#include "library/schema-private.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Where the conditions begin in a row of RUN_COLUMNS. */
#define FIRST_CONDITION 9
#define RUN_COLUMNS     "id, file, sha256, part, added_us, n_samples, duration_s, energy_wh, slot"

/* --- TideRunInfo --- */

TideRunInfo *
tide_run_info_copy (const TideRunInfo *info)
{
  TideRunInfo *copy = g_memdup2 (info, sizeof *info);

  copy->conditions = tide_conditions_copy (info->conditions);
  copy->file = g_strdup (info->file);
  copy->sha256 = g_strdup (info->sha256);
  return copy;
}

void
tide_run_info_free (TideRunInfo *info)
{
  if (info == NULL)
    return;
  g_clear_pointer (&info->conditions, tide_conditions_free);
  g_free (info->file);
  g_free (info->sha256);
  g_free (info);
}

/* --- Opening --- */

char *
tide_store_default_path (void)
{
  return g_build_filename (g_get_user_data_dir (), "tidemark", "library.db", NULL);
}

static gboolean
make_folder (const char *path, GError **error)
{
  g_autofree char *absolute = g_canonicalize_filename (path, NULL);
  g_autofree char *folder = g_path_get_dirname (absolute);
  g_autofree char *name = NULL;
  int reason;

  if (g_mkdir_with_parents (folder, 0700) == 0)
    return TRUE;
  reason = errno;
  name = g_filename_display_name (folder);
  g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_OPEN,
               _ ("%s: the folder for the library cannot be made (%s); choose another"), name,
               g_strerror (reason));
  return FALSE;
}

static void
refuse_read_only (TideStore *store, GError **error)
{
  g_autofree char *name = g_filename_display_name (store->path);

  g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_READ_ONLY,
               _ ("%s: cannot be written; copy it into a folder of your own"), name);
}

/* Page size and vacuum mode take hold in an empty file only, and are kept by it; to set the latter
 * again would write, and wait for any import to end. Larger pages make
 * writing and deleting of blobs faster; a removed run's pages go back to the system. WAL lets
 * others read during an import; FULL makes a finished import outlive a power cut, for one sync a
 * commit. Deleted content is overwritten only where that costs no extra writing. The cache is set
 * once the file's page size is known: SQLite's own 2 MiB are counted in pages before, and would
 * hold 8 of ours; nothing is read twice that would need them. */
static gboolean
set_pragmas (TideStore *store, GError **error)
{
  gint64 n_pages;

  if (!tide_store_get_int (store, "PRAGMA page_count", &n_pages, error)
      || (n_pages == 0
          && !tide_store_run_sql (store,
                                  "PRAGMA page_size = 16384; PRAGMA auto_vacuum = INCREMENTAL",
                                  error)))
    return FALSE;
  /* Refused while another opens the same new file: then that one sets it, and the file keeps it. */
  if (sqlite3_exec (store->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL) != SQLITE_OK
      && (sqlite3_errcode (store->db) & 0xff) != SQLITE_BUSY)
    {
      tide_store_fail (store, error);
      return FALSE;
    }
  return tide_store_run_sql (store,
                             "PRAGMA synchronous = FULL; PRAGMA secure_delete = FAST;"
                             "PRAGMA foreign_keys = ON; PRAGMA journal_size_limit = 4194304;"
                             "PRAGMA cache_size = -2048",
                             error);
}

TideStore *
tide_store_open (const char *path, GError **error)
{
  g_autoptr (TideStore) store = NULL;

  g_return_val_if_fail (path != NULL, NULL);

  if (!make_folder (path, error))
    return NULL;
  store = tide_store_connect (path, error);
  if (store == NULL || !tide_schema_check (store, tide_schema_n_steps, error))
    return NULL;
  if (sqlite3_db_readonly (store->db, "main") == 1)
    {
      refuse_read_only (store, error);
      return NULL;
    }
  if (!set_pragmas (store, error)
      || !tide_schema_upgrade (store, tide_schema_steps, tide_schema_n_steps, error))
    return NULL;
  return g_steal_pointer (&store);
}

const char *
tide_store_get_path (TideStore *store)
{
  return store->path;
}

/* --- Reading the list --- */

static char *
make_select (const char *condition)
{
  GString *sql = g_string_new ("SELECT " RUN_COLUMNS ", ");

  tide_sql_append_conditions (sql, "");
  g_string_append_printf (sql, " FROM run WHERE removed_us IS NULL %s", condition);
  return g_string_free (sql, FALSE);
}

static TideRunInfo *
read_info (sqlite3_stmt *statement)
{
  TideRunInfo *info = g_new0 (TideRunInfo, 1);

  info->id = sqlite3_column_int64 (statement, 0);
  info->file = tide_sql_get_text (statement, 1);
  info->sha256 = tide_sql_get_text (statement, 2);
  info->part = (guint)sqlite3_column_int64 (statement, 3);
  info->added_us = sqlite3_column_int64 (statement, 4);
  info->n_samples = (guint64)MAX (sqlite3_column_int64 (statement, 5), 0);
  info->duration_s = sqlite3_column_double (statement, 6);
  info->energy_wh = sqlite3_column_type (statement, 7) == SQLITE_NULL
                        ? NAN /* not known */
                        : sqlite3_column_double (statement, 7);
  info->slot = (guint)sqlite3_column_int64 (statement, 8);
  info->conditions = tide_conditions_new ();
  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    {
      g_autofree char *text = tide_sql_get_text (statement, FIRST_CONDITION + field);

      tide_conditions_set (info->conditions, (TideCondition)field, text);
    }
  return info;
}

static void
add_info_cb (sqlite3_stmt *row, gpointer list)
{
  g_ptr_array_add (list, read_info (row));
}

GPtrArray *
tide_store_list (TideStore *store, GError **error)
{
  g_autofree char *sql = make_select ("ORDER BY device, id");
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_run_info_free);
  g_autoptr (sqlite3_stmt) statement = NULL;

  store->outcome = _ ("the list was not read");
  statement = tide_store_prepare (store, sql, error);
  if (statement == NULL)
    return NULL;
  if (!tide_store_each (store, statement, add_info_cb, list, error))
    return NULL;
  return g_steal_pointer (&list);
}

TideRunInfo *
tide_store_get (TideStore *store, gint64 id, GError **error)
{
  g_autofree char *sql = make_select ("AND id = ?1");
  g_autoptr (sqlite3_stmt) statement = NULL;
  gboolean has_row;

  store->outcome = _ ("the run was not read");
  statement = tide_store_prepare (store, sql, error);
  if (statement == NULL)
    return NULL;
  sqlite3_bind_int64 (statement, 1, id);
  if (!tide_store_step (store, statement, &has_row, error))
    return NULL;
  if (has_row)
    return read_info (statement);
  tide_store_fail_run (store, id, NULL, error);
  return NULL;
}

/* First column of the first row of a bound statement; 0 without a row, -1 on error. */
static gint64
read_id (TideStore *store, sqlite3_stmt *statement, GError **error)
{
  gboolean has_row;

  if (!tide_store_step (store, statement, &has_row, error))
    return -1;
  return has_row ? sqlite3_column_int64 (statement, 0) : 0;
}

gint64
tide_store_find_name (TideStore *store, const char *name, guint *n_matches, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;
  gint64 id;

  store->outcome = _ ("nothing was looked up");
  statement = tide_store_prepare (store,
                                  "SELECT coalesce(min(id), 0), count(*) FROM run"
                                  " WHERE name = ?1 AND removed_us IS NULL",
                                  error);
  if (statement == NULL)
    return -1;
  tide_sql_bind_text (statement, 1, name);
  id = read_id (store, statement, error);
  if (id >= 0 && n_matches != NULL)
    *n_matches = (guint)sqlite3_column_int64 (statement, 1);
  return id;
}

/* --- Edits --- */

/* Runs a bound statement that must change the run of that number. */
static gboolean
change_run (TideStore *store, sqlite3_stmt *statement, gint64 id, GError **error)
{
  if (!tide_store_step (store, statement, NULL, error))
    return FALSE;
  if (sqlite3_changes (store->db) > 0)
    return TRUE;
  tide_store_fail_run (store, id, NULL, error);
  return FALSE;
}

gboolean
tide_store_set_conditions (TideStore *store,
                           gint64 id,
                           const TideConditions *conditions,
                           GError **error)
{
  GString *columns = g_string_new ("UPDATE run SET ");
  g_autofree char *sql = NULL;
  g_autoptr (sqlite3_stmt) statement = NULL;

  tide_sql_append_conditions (columns, " = ?");
  g_string_append (columns, " WHERE id = ? AND removed_us IS NULL");
  sql = g_string_free (columns, FALSE);

  store->outcome = _ ("nothing was changed");
  statement = tide_store_prepare (store, sql, error);
  if (statement == NULL)
    return FALSE;
  tide_sql_bind_conditions (statement, 1, conditions);
  sqlite3_bind_int64 (statement, 1 + TIDE_N_CONDITIONS, id);
  return change_run (store, statement, id, error);
}

/* sql takes the run's number as ?1 and value as ?2. */
static gboolean
change_number (TideStore *store, const char *sql, gint64 id, gint64 value, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;

  store->outcome = _ ("nothing was changed");
  statement = tide_store_prepare (store, sql, error);
  if (statement == NULL)
    return FALSE;
  sqlite3_bind_int64 (statement, 1, id);
  sqlite3_bind_int64 (statement, 2, value);
  return change_run (store, statement, id, error);
}

gboolean
tide_store_set_slot (TideStore *store, gint64 id, guint slot, GError **error)
{
  return change_number (store, "UPDATE run SET slot = ?2 WHERE id = ?1 AND removed_us IS NULL", id,
                        slot, error);
}

gboolean
tide_store_remove (TideStore *store, gint64 id, GError **error)
{
  return change_number (store,
                        "UPDATE run SET removed_us = ?2 WHERE id = ?1 AND removed_us IS NULL", id,
                        g_get_real_time (), error);
}

gboolean
tide_store_restore (TideStore *store, gint64 id, GError **error)
{
  return change_number (store, "UPDATE run SET removed_us = NULL WHERE id = ?1 AND ?2 = 0", id, 0,
                        error);
}

gboolean
tide_store_purge (TideStore *store, double older_than_s, GError **error)
{
  g_autoptr (sqlite3_stmt) statement = NULL;

  store->outcome = _ ("nothing was deleted");
  statement = tide_store_prepare (store, "DELETE FROM run WHERE removed_us <= ?1", error);
  if (statement == NULL)
    return FALSE;
  sqlite3_bind_double (statement, 1, (double)g_get_real_time () - older_than_s * 1e6);
  if (!tide_store_step (store, statement, NULL, error))
    return FALSE;
  if (sqlite3_changes (store->db) == 0)
    return TRUE;
  store->outcome = _ ("the space was not given back yet");
  return tide_store_run_sql (store, "PRAGMA incremental_vacuum", error);
}

TideRecording *
tide_store_load (TideStore *store, gint64 id, GError **error)
{
  return tide_store_load_samples (store, id, NULL, error);
}
