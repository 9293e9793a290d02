/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Adding a run: one transaction for its row, complaints, samples and overview. Whatever fails on
 * the way, or is cancelled, leaves the file as it was.
 */
#include "library/store-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

/* The base name of the file without its extension, never empty. Transfer full. */
static char *
make_stem (const char *file)
{
  g_autofree char *valid = NULL;
  char *base, *dot;

  if (file == NULL)
    return g_strdup (_ ("Run"));
  valid = g_utf8_make_valid (file, -1);
  base = g_path_get_basename (valid);
  dot = strrchr (base, '.');
  if (dot != NULL && dot != base)
    *dot = '\0';
  if (*g_strstrip (base) != '\0')
    return base;
  g_free (base);
  return g_strdup (_ ("Run"));
}

/* A set of the names, hidden runs' too, that are stem or begin with "stem (". Transfer full. */
static GHashTable *
list_names (TideStore *store, const char *stem, GError **error)
{
  g_autoptr (GHashTable) names = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr (sqlite3_stmt) statement =
      tide_store_prepare (store,
                          "SELECT name FROM run WHERE name = ?1"
                          " OR substr (name, 1, length (?1) + 2) = ?1 || ' ('",
                          error);
  gboolean has_row;

  if (statement == NULL)
    return NULL;
  tide_sql_bind_text (statement, 1, stem);
  while (TRUE)
    {
      if (!tide_store_step (store, statement, &has_row, error))
        return NULL;
      if (!has_row)
        return g_steal_pointer (&names);
      g_hash_table_add (names, g_strdup ((const char *)sqlite3_column_text (statement, 0)));
    }
}

/* A name no other run has: "base", "base (2)", "base (3)" ... One look at the list, as a file of a
 * thousand recordings takes a thousand names. Transfer full. */
static char *
make_name (TideStore *store, const char *file, GError **error)
{
  g_autofree char *stem = make_stem (file);
  g_autofree char *name = g_strdup (stem);
  g_autoptr (GHashTable) names = list_names (store, stem, error);

  if (names == NULL)
    return NULL;
  for (guint i = 2; g_hash_table_contains (names, name); i++)
    {
      g_free (name);
      name = g_strdup_printf ("%s (%u)", stem, i);
    }
  return g_steal_pointer (&name);
}

/* The first slot that no run of the same device has, so that runs which will be laid over each
 * other differ in colour; -1 on error. */
static gint64
choose_slot (TideStore *store, const char *device, GError **error)
{
  g_autoptr (sqlite3_stmt) statement =
      tide_store_prepare (store,
                          "SELECT slot FROM run WHERE device = ?1 AND removed_us IS NULL"
                          " AND slot >= 0 GROUP BY slot ORDER BY slot",
                          error);
  gboolean has_row;

  if (statement == NULL)
    return -1;
  tide_sql_bind_text (statement, 1, device);
  for (gint64 slot = 0;; slot++)
    {
      if (!tide_store_step (store, statement, &has_row, error))
        return -1;
      if (!has_row || sqlite3_column_int64 (statement, 0) != slot)
        return slot;
    }
}

static char *
make_insert (void)
{
  GString *sql = g_string_new (
      "INSERT INTO run (file, sha256, part, start_us, skipped_rows, power_logged, n_samples,"
      " duration_s, energy_wh, slot, added_us, ");

  tide_sql_append_conditions (sql, "");
  g_string_append (sql, ") VALUES (?");
  for (int i = 1; i < 11 + TIDE_N_CONDITIONS; i++)
    g_string_append (sql, ", ?");
  g_string_append_c (sql, ')');
  return g_string_free (sql, FALSE);
}

static gint64
insert_run (TideStore *store,
            TideRecording *recording,
            const TideConditions *conditions,
            double energy_wh,
            GError **error)
{
  g_autofree char *sql = make_insert ();
  g_autoptr (sqlite3_stmt) statement = tide_store_prepare (store, sql, error);
  gint64 slot = choose_slot (store, tide_conditions_get (conditions, TIDE_CONDITION_DEVICE), error);

  if (statement == NULL || slot < 0)
    return 0;
  tide_sql_bind_text (statement, 1, tide_recording_get_file (recording));
  tide_sql_bind_text (statement, 2, tide_recording_get_sha256 (recording));
  sqlite3_bind_int64 (statement, 3, tide_recording_get_part (recording));
  sqlite3_bind_int64 (statement, 4, tide_recording_get_start_us (recording));
  sqlite3_bind_int64 (statement, 5, (gint64)tide_recording_get_skipped_rows (recording));
  sqlite3_bind_int (statement, 6, tide_recording_is_power_logged (recording));
  sqlite3_bind_int64 (statement, 7, (gint64)tide_recording_get_n_samples (recording));
  sqlite3_bind_double (statement, 8, tide_recording_get_duration_s (recording));
  sqlite3_bind_double (statement, 9, energy_wh); /* NaN becomes NULL */
  sqlite3_bind_int64 (statement, 10, slot);
  sqlite3_bind_int64 (statement, 11, g_get_real_time ());
  tide_sql_bind_conditions (statement, 12, conditions);
  return tide_store_step (store, statement, NULL, error) ? sqlite3_last_insert_rowid (store->db)
                                                         : 0;
}

/* All of one import, within an open transaction. */
static gint64
add_parts (TideStore *store,
           TideRecording *recording,
           const TideConditions *conditions,
           double energy_wh,
           GCancellable *cancellable,
           GError **error)
{
  g_autoptr (TideConditions) named = tide_conditions_copy (conditions);
  gint64 id;

  if (tide_conditions_get (named, TIDE_CONDITION_NAME)[0] == '\0')
    {
      g_autofree char *name = make_name (store, tide_recording_get_file (recording), error);

      if (name == NULL)
        return 0;
      tide_conditions_set (named, TIDE_CONDITION_NAME, name);
    }
  id = insert_run (store, recording, named, energy_wh, error);
  if (id == 0 || !tide_store_add_samples (store, id, recording, cancellable, error)
      || !tide_store_add_overview (store, id, recording, cancellable, error)
      || !tide_store_commit (store, error))
    return 0;
  return id;
}

gint64
tide_store_add (TideStore *store,
                TideRecording *recording,
                const TideConditions *conditions,
                double energy_wh,
                GCancellable *cancellable,
                GError **error)
{
  gint64 id;

  g_return_val_if_fail (recording != NULL && conditions != NULL, 0);

  store->outcome = _ ("nothing was imported");
  if (!tide_store_begin_write (store, error))
    return 0;
  id = add_parts (store, recording, conditions, energy_wh, cancellable, error);
  if (id == 0)
    {
      tide_store_roll_back (store);
      return 0;
    }
  /* The import is safe in the log. Moving it into the file now halves the space on disk; where
   * that cannot be done, because someone reads or the disk is full, a later one does it. */
  sqlite3_wal_checkpoint_v2 (store->db, NULL, SQLITE_CHECKPOINT_PASSIVE, NULL, NULL);
  return id;
}
