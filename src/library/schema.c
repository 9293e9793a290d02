/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Schema of the library file.
 *
 * A step, once released, is never edited: a change is a new step at the end. PRAGMA user_version
 * holds the number of steps that were run, PRAGMA application_id says that the file is ours. A
 * file of a newer schema is refused, not guessed at; there is no way back to an older one.
 */
#include "library/schema-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

/* Columns of run: the conditions' ids (recording/conditions.h), then provenance, then figures that
 * lists show. removed_us: when the run was hidden, NULL while it is not. The channel of a chunk
 * is a quantity's id. Samples stand in chunk as encoded blocks (blocks.c), each pair of lowest and
 * highest value in overview as two values of such a block. */
static const char STEP_1[] =
    "CREATE TABLE run ("
    " id INTEGER PRIMARY KEY AUTOINCREMENT,"
    " name TEXT NOT NULL, device TEXT NOT NULL, port TEXT NOT NULL, mode TEXT NOT NULL,"
    " supply TEXT NOT NULL, cable TEXT NOT NULL, meter TEXT NOT NULL, ambient TEXT NOT NULL,"
    " date TEXT NOT NULL, notes TEXT NOT NULL,"
    " file TEXT, sha256 TEXT, part INTEGER NOT NULL,"
    " start_us INTEGER NOT NULL, skipped_rows INTEGER NOT NULL, power_logged INTEGER NOT NULL,"
    " n_samples INTEGER NOT NULL, duration_s REAL NOT NULL, energy_wh REAL,"
    " slot INTEGER NOT NULL, added_us INTEGER NOT NULL, removed_us INTEGER);"
    "CREATE TABLE complaint ("
    " run INTEGER NOT NULL REFERENCES run (id) ON DELETE CASCADE,"
    " seq INTEGER NOT NULL, file_row INTEGER NOT NULL, file_column TEXT, text TEXT NOT NULL,"
    " PRIMARY KEY (run, seq)) WITHOUT ROWID;"
    "CREATE TABLE chunk ("
    " run INTEGER NOT NULL REFERENCES run (id) ON DELETE CASCADE,"
    " channel TEXT NOT NULL, seq INTEGER NOT NULL, n INTEGER NOT NULL, data BLOB NOT NULL,"
    " PRIMARY KEY (run, channel, seq));"
    "CREATE TABLE overview ("
    " run INTEGER NOT NULL REFERENCES run (id) ON DELETE CASCADE,"
    " channel TEXT NOT NULL, seq INTEGER NOT NULL, n INTEGER NOT NULL, data BLOB NOT NULL,"
    " PRIMARY KEY (run, channel, seq));";

/* Reading rules: signature and text are the reading room's. */
static const char STEP_2[] =
    "CREATE TABLE rule ("
    " id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE,"
    " signature TEXT NOT NULL, text TEXT NOT NULL, saved_us INTEGER NOT NULL);"
    "ALTER TABLE run ADD COLUMN member TEXT;"
    "ALTER TABLE run ADD COLUMN names_row INTEGER;"
    "ALTER TABLE run ADD COLUMN lane INTEGER;"
    "ALTER TABLE run ADD COLUMN nth INTEGER;"
    "UPDATE run SET lane = 1, nth = part;";

const char *const tide_schema_steps[] = { STEP_1, STEP_2 };
const guint tide_schema_n_steps = G_N_ELEMENTS (tide_schema_steps);

/* What the head of a file says of it. */
typedef struct
{
  gint64 application_id;
  gint64 version;
  gint64 n_objects;
} Head;

/* In one transaction: another program may be making the library at this moment. */
static gboolean
read_head (TideStore *store, Head *head, GError **error)
{
  gboolean read =
      tide_store_begin_read (store, error)
      && tide_store_get_int (store, "PRAGMA application_id", &head->application_id, error)
      && tide_store_get_int (store, "PRAGMA user_version", &head->version, error)
      && tide_store_get_int (store, "SELECT count(*) FROM sqlite_schema", &head->n_objects, error);

  tide_store_roll_back (store);
  return read;
}

gboolean
tide_schema_check (TideStore *store, guint n_steps, GError **error)
{
  g_autofree char *name = g_filename_display_name (store->path);
  Head head;

  if (!read_head (store, &head, error))
    return FALSE;
  if (head.application_id == 0 && head.version == 0 && head.n_objects == 0)
    return TRUE;
  if (head.application_id != TIDE_SCHEMA_APPLICATION_ID || head.version < 1)
    {
      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NOT_OURS,
                   _ ("%s: no Tidemark library; choose another file"), name);
      return FALSE;
    }
  if (head.version > n_steps)
    {
      g_set_error (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_TOO_NEW,
                   _ ("%s: written by a newer Tidemark (schema %" PRId64
                      ", this one knows %u); open it with that one"),
                   name, head.version, n_steps);
      return FALSE;
    }
  return TRUE;
}

/* Runs step number version if it is still due: another program may have been faster. */
static gboolean
run_step (TideStore *store, const char *const *steps, guint version, GError **error)
{
  g_autofree char *mark = NULL;
  gint64 present;

  if (!tide_store_begin_write (store, error))
    return FALSE;
  if (!tide_store_get_int (store, "PRAGMA user_version", &present, error))
    return FALSE;
  if (present != version)
    return tide_store_commit (store, error);
  mark = g_strdup_printf ("PRAGMA application_id = %d; PRAGMA user_version = %u",
                          TIDE_SCHEMA_APPLICATION_ID, version + 1);
  return tide_store_run_sql (store, steps[version], error)
         && tide_store_run_sql (store, mark, error) && tide_store_commit (store, error);
}

gboolean
tide_schema_upgrade (TideStore *store, const char *const *steps, guint n_steps, GError **error)
{
  gint64 version;

  if (!tide_store_get_int (store, "PRAGMA user_version", &version, error))
    return FALSE;
  for (gint64 i = MAX (version, 0); i < n_steps; i++)
    if (!run_step (store, steps, (guint)i, error))
      {
        tide_store_roll_back (store);
        return FALSE;
      }
  return TRUE;
}
