/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The end of an import: what was known of the file before, and the rows of the runs filled in. */
#include "library/import-store-private.h"
#include "library/known-private.h"
#include "recording/run-name.h"

/* ---- One run ---- */

/* What the log itself says: as the clock on the wall here reads, which is what a log without a zone
 * was taken to mean. Empty where it says nothing. Transfer full. */
static char *
make_date (gint64 start_us)
{
  g_autoptr (GDateTime) start =
      start_us != 0 ? g_date_time_new_from_unix_local (start_us / G_USEC_PER_SEC) : NULL;
  char *text = start != NULL ? g_date_time_format (start, "%Y-%m-%d %H:%M") : NULL;

  return text != NULL ? text : g_strdup ("");
}

/* Where nothing else is stated. */
static void
set_date (TideConditions *conditions, gint64 start_us)
{
  g_autofree char *date = make_date (start_us);

  if (*tide_conditions_get (conditions, TIDE_CONDITION_DATE) == '\0')
    tide_conditions_set (conditions, TIDE_CONDITION_DATE, date);
}

/* One name for several runs would name none of them. Transfer full. */
static char *
make_name (const TideImportPart *part, TideNaming *naming, GError **error)
{
  const TideStoreImport *import = part->import;
  const char *stated = tide_conditions_get (import->conditions, TIDE_CONDITION_NAME);

  if (*stated == '\0')
    return tide_naming_make_name (naming, part->label, error);
  if (import->is_given || import->parts->len == 1)
    return g_strdup (stated);
  if (part->label != NULL)
    return tide_run_name_extend (stated, part->label);
  return g_strdup_printf ("%s (%u)", stated, part->head.part);
}

static TideConditions *
make_conditions (const TideImportPart *part, TideNaming *naming, GError **error)
{
  g_autoptr (TideConditions) conditions = tide_conditions_copy (part->import->conditions);
  g_autofree char *name = make_name (part, naming, error);

  if (name == NULL)
    return NULL;
  tide_conditions_set (conditions, TIDE_CONDITION_NAME, name);
  if (!part->import->is_given)
    set_date (conditions, part->start_us);
  return g_steal_pointer (&conditions);
}

static char *
make_update (void)
{
  GString *sql =
      g_string_new ("UPDATE run SET file = ?, sha256 = ?, start_us = ?, skipped_rows = ?,"
                    " n_samples = ?, duration_s = ?, energy_wh = ?, slot = ?,"
                    " added_us = ?, ");

  tide_sql_append_conditions (sql, " = ?");
  g_string_append (sql, " WHERE id = ?");
  return g_string_free (sql, FALSE);
}

/* What the runs of one file have in common. */
typedef struct
{
  TideStore *store;
  const char *file, *sha256;
  TideNaming *naming;
  sqlite3_stmt *update, *inherit, *find_date, *set_date, *delete;
} Completion;

static void
clear_completion (Completion *completion)
{
  g_clear_pointer (&completion->naming, tide_naming_free);
  g_clear_pointer (&completion->update, sqlite3_finalize);
  g_clear_pointer (&completion->inherit, sqlite3_finalize);
  g_clear_pointer (&completion->find_date, sqlite3_finalize);
  g_clear_pointer (&completion->set_date, sqlite3_finalize);
  g_clear_pointer (&completion->delete, sqlite3_finalize);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Completion, clear_completion)

static gboolean
fill_row (Completion *completion, const TideImportPart *part, GError **error)
{
  g_autoptr (TideConditions) conditions = make_conditions (part, completion->naming, error);
  sqlite3_stmt *update = completion->update;
  gint64 slot;
  gboolean done;

  if (conditions == NULL)
    return FALSE;
  slot = tide_naming_choose_slot (completion->naming,
                                  tide_conditions_get (conditions, TIDE_CONDITION_DEVICE), error);
  if (slot < 0)
    return FALSE;
  tide_sql_bind_text (update, 1, completion->file);
  tide_sql_bind_text (update, 2, completion->sha256);
  sqlite3_bind_int64 (update, 3, part->start_us);
  sqlite3_bind_int64 (update, 4, (gint64)part->skipped_rows);
  sqlite3_bind_int64 (update, 5, (gint64)part->n_samples);
  sqlite3_bind_double (update, 6, part->duration_s);
  sqlite3_bind_double (update, 7, part->energy_wh); /* NaN becomes NULL */
  sqlite3_bind_int64 (update, 8, slot);
  sqlite3_bind_int64 (update, 9, g_get_real_time ());
  tide_sql_bind_conditions (update, 10, conditions);
  sqlite3_bind_int64 (update, 10 + TIDE_N_CONDITIONS, part->id);
  done = tide_store_step (completion->store, update, NULL, error);
  sqlite3_reset (update);
  return done;
}

/* ---- What was there before ---- */

static gboolean
run_with (Completion *completion,
          sqlite3_stmt *statement,
          gint64 first,
          gint64 second,
          GError **error)
{
  gboolean done;

  sqlite3_bind_int64 (statement, 1, first);
  sqlite3_bind_int64 (statement, 2, second);
  done = tide_store_step (completion->store, statement, NULL, error);
  sqlite3_reset (statement);
  return done;
}

static char *
make_inherit (void)
{
  GString *sql = g_string_new ("UPDATE run SET (slot, ");

  tide_sql_append_conditions (sql, "");
  g_string_append (sql, ") = (SELECT slot, ");
  tide_sql_append_conditions (sql, "");
  g_string_append (sql, " FROM run WHERE id = ?2) WHERE id = ?1");
  return g_string_free (sql, FALSE);
}

static gboolean
prepare_completion (Completion *completion, GError **error)
{
  g_autofree char *update = make_update ();
  g_autofree char *inherit = make_inherit ();
  TideStore *store = completion->store;

  completion->naming = tide_naming_new (store, completion->file);
  return (completion->update = tide_store_prepare (store, update, error)) != NULL
         && (completion->inherit = tide_store_prepare (store, inherit, error)) != NULL
         && (completion->find_date =
                 tide_store_prepare (store, "SELECT date, start_us FROM run WHERE id = ?1", error))
                != NULL
         && (completion->set_date =
                 tide_store_prepare (store, "UPDATE run SET date = ?2 WHERE id = ?1", error))
                != NULL
         && (completion->delete =
                 tide_store_prepare (store, "DELETE FROM run WHERE id = ?1 AND ?2 = 0", error))
                != NULL;
}

/* *is_own: the date of the run is the one that its log's clock told, not a person. */
static gboolean
check_date (Completion *completion, gint64 id, gboolean *is_own, GError **error)
{
  sqlite3_stmt *find = completion->find_date;
  gboolean has_row;

  sqlite3_bind_int64 (find, 1, id);
  if (!tide_store_step (completion->store, find, &has_row, error))
    return FALSE;
  g_autofree char *told = make_date (has_row ? sqlite3_column_int64 (find, 1) : 0);
  *is_own = has_row && g_strcmp0 ((const char *)sqlite3_column_text (find, 0), told) == 0;
  sqlite3_reset (find);
  return TRUE;
}

/* All that a person stated of the run that was known; a date of its log's clock is read anew too.
 */
static gboolean
inherit (Completion *completion, const TideImportPart *part, gint64 known, GError **error)
{
  g_autofree char *date = make_date (part->start_us);
  gboolean is_own, done;

  if (!check_date (completion, known, &is_own, error)
      || !run_with (completion, completion->inherit, part->id, known, error))
    return FALSE;
  if (!is_own)
    return TRUE;
  sqlite3_bind_int64 (completion->set_date, 1, part->id);
  tide_sql_bind_text (completion->set_date, 2, date);
  done = tide_store_step (completion->store, completion->set_date, NULL, error);
  sqlite3_reset (completion->set_date);
  return done;
}

/* Known: the number of the run that the library has of this part, 0: none. */
static gboolean
complete_part (Completion *completion,
               const TideImportPart *part,
               gint64 known,
               gboolean replace,
               GError **error)
{
  if (known == 0)
    return fill_row (completion, part, error);
  if (!replace)
    return run_with (completion, completion->delete, part->id, 0, error);
  return fill_row (completion, part, error) && inherit (completion, part, known, error);
}

static gint64
find_known (const TideKnown *known, const TideImportPart *part, gboolean replace)
{
  return replace ? tide_known_find_replaced (known, &part->head.place)
                 : tide_known_find (known, &part->head.place);
}

static gboolean
hide_known (const TideStoreImport *import, const TideKnown *known, GError **error)
{
  g_autoptr (GPtrArray) places = g_ptr_array_new ();

  for (guint i = 0; i < import->parts->len; i++)
    g_ptr_array_add (places, &((TideImportPart *)import->parts->pdata[i])->head.place);
  return tide_known_hide (known, places, ((TideImportPart *)import->parts->pdata[0])->id, error);
}

static gboolean
complete_parts (TideStoreImport *import,
                Completion *completion,
                const TideKnown *known,
                gboolean replace,
                GError **error)
{
  if (!prepare_completion (completion, error))
    return FALSE;
  for (guint i = 0; i < import->parts->len; i++)
    {
      const TideImportPart *part = import->parts->pdata[i];

      if (g_cancellable_set_error_if_cancelled (import->cancellable, error)
          || !complete_part (completion, part, find_known (known, part, replace), replace, error))
        return FALSE;
    }
  return !replace || known == NULL || hide_known (import, known, error);
}

/* ---- All ---- */

static GArray *
list_stored (const TideStoreImport *import, const TideKnown *known, gboolean replace, guint *n_new)
{
  GArray *stored = g_array_new (FALSE, FALSE, sizeof (TideStored));

  *n_new = 0;
  for (guint i = 0; i < import->parts->len; i++)
    {
      const TideImportPart *part = import->parts->pdata[i];
      gint64 before = replace ? 0 : find_known (known, part, FALSE);
      TideStored one = { before != 0 ? before : part->id, part->head.part, before != 0 };

      g_array_append_val (stored, one);
      *n_new += before == 0;
    }
  return stored;
}

GArray *
tide_store_import_complete (TideStoreImport *import,
                            const char *file,
                            const char *sha256,
                            gboolean replace,
                            GError **error)
{
  g_autoptr (TideKnown) known = NULL;
  g_autoptr (GArray) stored = NULL;
  guint n_new;

  g_assert (import->parts->len > 0);
  if (sha256 != NULL && !import->is_given
      && (known = tide_known_new (import->store, sha256, error)) == NULL)
    return NULL;
  stored = list_stored (import, known, replace, &n_new);
  /* nothing new: all is undone, and no number was given away */
  if (n_new == 0)
    return g_steal_pointer (&stored);

  g_auto (Completion) completion = { .store = import->store, .file = file, .sha256 = sha256 };
  if (!complete_parts (import, &completion, known, replace, error)
      || !tide_store_commit (import->store, error))
    return NULL;
  return g_steal_pointer (&stored);
}
