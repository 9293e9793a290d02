/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names and colour slots for new runs. The library is looked at once for all runs of a file: there
 * may be thousands.
 */
#include "library/import-private.h"
#include "recording/run-name.h"

/* A name that many runs may want. */
typedef struct
{
  GHashTable *taken; /* of "base" and "base (…" */
  guint next;        /* the number to try */
} Base;

struct _TideNaming
{
  TideStore *store;
  char *file;
  GHashTable *bases; /* char * -> Base */
  GHashTable *slots; /* guint as pointer, a set: those of the runs of device */
  char *device;
  guint next_slot;
};

static void
free_base (gpointer data)
{
  Base *base = data;

  g_hash_table_unref (base->taken);
  g_free (base);
}

TideNaming *
tide_naming_new (TideStore *store, const char *file)
{
  TideNaming *naming = g_new0 (TideNaming, 1);

  naming->store = store;
  naming->file = g_strdup (file);
  naming->bases = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, free_base);
  return naming;
}

void
tide_naming_free (TideNaming *naming)
{
  g_hash_table_unref (naming->bases);
  g_clear_pointer (&naming->slots, g_hash_table_unref);
  g_free (naming->device);
  g_free (naming->file);
  g_free (naming);
}

/* ---- Names ---- */

static void
add_name_cb (sqlite3_stmt *row, gpointer names)
{
  g_hash_table_add (names, g_strdup ((const char *)sqlite3_column_text (row, 0)));
}

/* A set of the names, hidden runs' too, that are base or begin with "base (". Transfer full. */
static GHashTable *
list_names (TideStore *store, const char *base, GError **error)
{
  g_autoptr (GHashTable) names = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr (sqlite3_stmt) statement =
      tide_store_prepare (store,
                          "SELECT name FROM run WHERE name = ?1"
                          " OR substr (name, 1, length (?1) + 2) = ?1 || ' ('",
                          error);

  if (statement == NULL)
    return NULL;
  tide_sql_bind_text (statement, 1, base);
  if (!tide_store_each (store, statement, add_name_cb, names, error))
    return NULL;
  return g_steal_pointer (&names);
}

static Base *
find_base (TideNaming *naming, const char *name, GError **error)
{
  Base *base = g_hash_table_lookup (naming->bases, name);
  GHashTable *taken;

  if (base != NULL)
    return base;
  taken = list_names (naming->store, name, error);
  if (taken == NULL)
    return NULL;
  base = g_new0 (Base, 1);
  base->taken = taken;
  base->next = 2;
  g_hash_table_insert (naming->bases, g_strdup (name), base);
  return base;
}

char *
tide_naming_make_name (TideNaming *naming, const char *label, GError **error)
{
  g_autofree char *plain = tide_run_name_make (naming->file, label);
  g_autofree char *name = g_strdup (plain);
  Base *base = find_base (naming, plain, error);

  if (base == NULL)
    return NULL;
  while (g_hash_table_contains (base->taken, name))
    {
      g_free (name);
      name = g_strdup_printf ("%s (%u)", plain, base->next++);
    }
  g_hash_table_add (base->taken, g_strdup (name));
  return g_steal_pointer (&name);
}

/* ---- Slots ---- */

static gboolean
list_slots (TideNaming *naming, const char *device, GError **error)
{
  g_autoptr (sqlite3_stmt) statement =
      tide_store_prepare (naming->store,
                          "SELECT DISTINCT slot FROM run WHERE device = ?1 AND removed_us IS NULL"
                          " AND slot BETWEEN 0 AND 2147483647",
                          error);
  gboolean has_row;

  if (statement == NULL)
    return FALSE;
  g_clear_pointer (&naming->slots, g_hash_table_unref);
  naming->slots = g_hash_table_new (NULL, NULL);
  naming->next_slot = 0;
  g_free (naming->device);
  naming->device = g_strdup (device);
  tide_sql_bind_text (statement, 1, device);
  while (TRUE)
    {
      if (!tide_store_step (naming->store, statement, &has_row, error))
        return FALSE;
      if (!has_row)
        return TRUE;
      g_hash_table_add (naming->slots,
                        GUINT_TO_POINTER ((guint)sqlite3_column_int64 (statement, 0)));
    }
}

/* So that runs which will be laid over each other differ in colour. */
gint64
tide_naming_choose_slot (TideNaming *naming, const char *device, GError **error)
{
  if (g_strcmp0 (naming->device, device) != 0 && !list_slots (naming, device, error))
    return -1;
  while (g_hash_table_contains (naming->slots, GUINT_TO_POINTER (naming->next_slot)))
    naming->next_slot++;
  return naming->next_slot++;
}
