/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A recording is told from the others of its file by where it stands, not by how many were read
 * before it: one sheet may be read today and another tomorrow. Of runs from before the library knew
 * places the row of the names is not known; they are found by the rest.
 */
#include "library/known-private.h"

#include <inttypes.h>

struct _TideKnown
{
  TideStore *store;
  char *sha256;
  GHashTable *by_place; /* char *, the whole place -> gint64 * */
  GHashTable *by_turn;  /* without the row of the names; those whose row is not known */
  GHashTable *any;      /* the same, all of them */
};

static char *
make_turn (const TideRecordingPlace *place)
{
  return g_strdup_printf ("%u/%u/%s", place->lane, place->nth,
                          place->member != NULL ? place->member : "");
}

static char *
make_place (const TideRecordingPlace *place)
{
  g_autofree char *turn = make_turn (place);

  return g_strdup_printf ("%" PRIu64 "/%s", place->names_row, turn);
}

/* Takes key. The first run of a place stays. */
static void
note (GHashTable *table, char *key, gint64 id)
{
  if (g_hash_table_contains (table, key))
    g_free (key);
  else
    g_hash_table_insert (table, key, g_memdup2 (&id, sizeof id));
}

static void
note_run_cb (sqlite3_stmt *select, gpointer user_data)
{
  TideKnown *known = user_data;
  gint64 id = sqlite3_column_int64 (select, 0);
  TideRecordingPlace place = { .member = (const char *)sqlite3_column_text (select, 1),
                               .names_row = (guint64)sqlite3_column_int64 (select, 2),
                               .lane = (guint)sqlite3_column_int64 (select, 3),
                               .nth = (guint)sqlite3_column_int64 (select, 4) };

  if (sqlite3_column_type (select, 2) == SQLITE_NULL)
    note (known->by_turn, make_turn (&place), id);
  else
    note (known->by_place, make_place (&place), id);
  note (known->any, make_turn (&place), id);
}

static GHashTable *
make_table (void)
{
  return g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
}

TideKnown *
tide_known_new (TideStore *store, const char *sha256, GError **error)
{
  g_autoptr (TideKnown) known = g_new0 (TideKnown, 1);
  g_autoptr (sqlite3_stmt) select =
      tide_store_prepare (store,
                          "SELECT id, member, names_row, lane, nth FROM run"
                          " WHERE sha256 = ?1 AND removed_us IS NULL ORDER BY id",
                          error);

  known->store = store;
  known->sha256 = g_strdup (sha256);
  known->by_place = make_table ();
  known->by_turn = make_table ();
  known->any = make_table ();
  if (select == NULL)
    return NULL;
  tide_sql_bind_text (select, 1, sha256);
  if (!tide_store_each (store, select, note_run_cb, known, error))
    return NULL;
  return g_steal_pointer (&known);
}

void
tide_known_free (TideKnown *known)
{
  g_free (known->sha256);
  g_hash_table_unref (known->by_place);
  g_hash_table_unref (known->by_turn);
  g_hash_table_unref (known->any);
  g_free (known);
}

static gint64
look_up (GHashTable *table, const char *key)
{
  const gint64 *id = g_hash_table_lookup (table, key);

  return id != NULL ? *id : 0;
}

gint64
tide_known_find (const TideKnown *known, const TideRecordingPlace *place)
{
  if (known == NULL)
    return 0;
  g_autofree char *whole = make_place (place);
  g_autofree char *turn = make_turn (place);
  gint64 id = look_up (known->by_place, whole);

  return id != 0 ? id : look_up (known->by_turn, turn);
}

gint64
tide_known_find_replaced (const TideKnown *known, const TideRecordingPlace *place)
{
  gint64 id = tide_known_find (known, place);

  if (id != 0 || known == NULL)
    return id;
  g_autofree char *turn = make_turn (place);
  return look_up (known->any, turn);
}

/* ---- Hiding ---- */

#define HIDE                                                                                       \
  "UPDATE run SET removed_us = ?1 WHERE sha256 = ?2 AND id < ?3 AND removed_us IS NULL"            \
  " AND member IS ?4"

/* *n: how many runs. */
static gboolean
hide (const TideKnown *known,
      sqlite3_stmt *update,
      const TideRecordingPlace *place,
      gint64 first_id,
      guint *n,
      GError **error)
{
  gboolean done;

  sqlite3_bind_int64 (update, 1, g_get_real_time ());
  tide_sql_bind_text (update, 2, known->sha256);
  sqlite3_bind_int64 (update, 3, first_id);
  tide_sql_bind_text (update, 4, place->member);
  if (sqlite3_bind_parameter_count (update) > 4)
    sqlite3_bind_int64 (update, 5, (gint64)place->names_row);
  done = tide_store_step (known->store, update, NULL, error);
  *n = (guint)sqlite3_changes (known->store->db);
  sqlite3_reset (update);
  return done;
}

static const char *
get_text (const TideRecordingPlace *place)
{
  return place->member != NULL ? place->member : "";
}

gboolean
tide_known_hide (const TideKnown *known, GPtrArray *places, gint64 first_id, GError **error)
{
  g_autoptr (GHashTable) found = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (sqlite3_stmt) table =
      tide_store_prepare (known->store, HIDE " AND (names_row IS NULL OR names_row = ?5)", error);
  g_autoptr (sqlite3_stmt) text = table ? tide_store_prepare (known->store, HIDE, error) : NULL;
  guint n;

  if (text == NULL)
    return FALSE;
  for (guint i = 0; i < places->len; i++)
    {
      const TideRecordingPlace *place = g_ptr_array_index (places, i);

      if (!hide (known, table, place, first_id, &n, error))
        return FALSE;
      if (n > 0)
        g_hash_table_add (found, (gpointer)get_text (place));
    }
  for (guint i = 0; i < places->len; i++)
    {
      const TideRecordingPlace *place = g_ptr_array_index (places, i);

      if (g_hash_table_add (found, (gpointer)get_text (place))
          && !hide (known, text, place, first_id, &n, error))
        return FALSE;
    }
  return TRUE;
}
