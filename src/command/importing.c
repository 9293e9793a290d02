/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one road into the library for the verbs: look the file up, store, and take the entry
 * back as the library has it.
 */
#include "command/importing.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/tables.h"

/* Of complaints about a file as a whole; --json and tide measure tell all. */
#define MOST_REMARKS 5

/* Helpers */

static void
free_imported (gpointer data)
{
  TideImported *imported = data;
  g_clear_pointer (&imported->info, tide_run_info_free);
  g_clear_pointer (&imported->complaints, g_ptr_array_unref);
  g_free (imported);
}

/* As the library has it: names are made there, and what was there before keeps its own; but the
 * file is called as it is called now. */
static gboolean
take_entry (TideStore *store,
            const TideStored *stored,
            const char *file,
            GPtrArray *list,
            GError **error)
{
  TideImported *imported = g_new0 (TideImported, 1);
  imported->already_there = stored->already_there;
  imported->info = tide_store_get (store, stored->id, error);
  if (imported->info != NULL)
    imported->complaints =
        tide_store_get_complaints (store, stored->id, &imported->skipped_rows, error);
  if (imported->complaints == NULL)
    {
      free_imported (imported);
      return FALSE;
    }
  g_free (imported->info->file);
  imported->info->file = g_strdup (file);
  g_ptr_array_add (list, imported);
  return TRUE;
}

static gboolean
take_entries (TideStore *store, GArray *stored, const char *file, GPtrArray *list, GError **error)
{
  for (guint i = 0; stored != NULL && i < stored->len; i++)
    if (!take_entry (store, &g_array_index (stored, TideStored, i), file, list, error))
      return FALSE;
  return stored != NULL;
}

static const char *
get_name (const TideImported *imported)
{
  return tide_conditions_get (imported->info->conditions, TIDE_CONDITION_NAME);
}

static void
print_imported (const TideImported *imported)
{
  const TideRunInfo *info = imported->info;
  if (imported->already_there)
    {
      g_autofree char *text = g_strdup_printf (
          _ ("%s is in the library already; not imported again, its conditions stay as they are "
             "(--replace reads it anew)"),
          info->file);
      tide_text_print ("%5" G_GINT64_FORMAT "  %s  %s", info->id, get_name (imported), text);
      return;
    }
  gsize n = (gsize)info->n_samples;
  g_autofree char *samples = g_strdup_printf (ngettext ("%zu sample", "%zu samples", n), n);
  g_autofree char *duration = tide_text_duration (info->duration_s);
  g_autofree char *energy =
      tide_text_quantity (info->energy_wh, tide_quantity_get_decimals (TIDE_QUANTITY_ENERGY),
                          TIDE_QUANTITY_ENERGY);
  tide_text_print ("%5" G_GINT64_FORMAT "  %s  %s  %s  %s", info->id, get_name (imported), samples,
                   duration, energy);
}

/* One line for all complaints about rows. */
static void
remark_rows (const TideImported *imported)
{
  const char *file = imported->info->file;
  GPtrArray *complaints = imported->complaints;
  guint n = 0;
  const TideComplaint *first = NULL;
  for (guint i = 0; i < complaints->len; i++)
    {
      const TideComplaint *complaint = g_ptr_array_index (complaints, i);
      if (complaint->row == 0)
        continue;
      first = first != NULL ? first : complaint;
      n++;
    }
  if (first == NULL)
    return;
  g_autofree char *text = tide_complaint_to_text (first);
  guint64 skipped = imported->skipped_rows;
  if (skipped > 0)
    tide_remark (ngettext ("%s: %" PRIu64 " row skipped, first: %s",
                           "%s: %" PRIu64 " rows skipped, first: %s", skipped),
                 file, skipped, text);
  else
    tide_remark (ngettext ("%s: %u remark on rows, first: %s", "%s: %u remarks on rows, first: %s",
                           n),
                 file, n, text);
}

static void
remark_file (const TideImported *imported)
{
  const char *file = imported->info->file;
  GPtrArray *complaints = imported->complaints;
  guint n = 0;
  for (guint i = 0; i < complaints->len && n < MOST_REMARKS; i++)
    {
      const TideComplaint *complaint = g_ptr_array_index (complaints, i);
      if (complaint->row != 0)
        continue;
      g_autofree char *text = tide_complaint_to_text (complaint);
      tide_remark ("%s: %s", file, text);
      n++;
    }
}

/* Public */

GPtrArray *
tide_imported_list_new (void)
{
  return g_ptr_array_new_with_free_func (free_imported);
}

gboolean
tide_import_file (TideStore *store,
                  GFile *file,
                  const TideIntakeOptions *options,
                  GPtrArray *list,
                  GError **error)
{
  g_autoptr (GArray) stored = tide_intake_file (store, file, options, NULL, error);
  g_autofree char *base = g_file_get_basename (file);
  g_autofree char *name = base != NULL ? g_filename_display_name (base) : g_file_get_uri (file);
  return take_entries (store, stored, name, list, error);
}

gboolean
tide_import_bytes (TideStore *store,
                   GBytes *bytes,
                   const char *name,
                   const TideIntakeOptions *options,
                   GPtrArray *list,
                   GError **error)
{
  g_autoptr (GArray) stored = tide_intake_bytes (store, bytes, name, options, NULL, error);
  return take_entries (store, stored, name, list, error);
}

void
tide_imported_print (GPtrArray *list, guint first)
{
  for (guint i = first; i < list->len; i++)
    print_imported (g_ptr_array_index (list, i));
}

void
tide_imported_remark (GPtrArray *list, guint first)
{
  for (guint i = first; i < list->len; i++)
    {
      const TideImported *imported = g_ptr_array_index (list, i);
      if (imported->already_there)
        continue;
      remark_rows (imported);
      remark_file (imported);
    }
}

static void
add_imported (JsonBuilder *builder, const TideImported *imported)
{
  const TideRunInfo *info = imported->info;
  json_builder_begin_object (builder);
  tide_json_id (builder, "number", info->id);
  tide_json_text (builder, "name", get_name (imported));
  tide_json_boolean (builder, "already_there", imported->already_there);
  tide_json_conditions (builder, "conditions", info->conditions);
  tide_json_text (builder, "file", info->file);
  tide_json_text (builder, "sha256", info->sha256);
  tide_json_count (builder, "part", info->part);
  tide_json_count (builder, "samples", info->n_samples);
  tide_json_count (builder, "skipped_rows", imported->skipped_rows);
  tide_json_number (builder, "duration_s", info->duration_s);
  tide_json_number (builder, "energy_wh", info->energy_wh);
  tide_json_complaints (builder, "complaints", imported->complaints);
  json_builder_end_object (builder);
}

void
tide_json_imported (JsonBuilder *builder, const char *key, GPtrArray *list)
{
  json_builder_set_member_name (builder, key);
  json_builder_begin_array (builder);
  for (guint i = 0; i < list->len; i++)
    add_imported (builder, g_ptr_array_index (list, i));
  json_builder_end_array (builder);
}
