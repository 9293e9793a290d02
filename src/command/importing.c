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
#include "intake/intake.h"

/* Of complaints about a file as a whole; --json and tide measure tell all. */
#define MOST_REMARKS 5

/* Helpers */

static void
free_imported (gpointer data)
{
  TideImported *imported = data;
  g_clear_pointer (&imported->conditions, tide_conditions_free);
  tide_recording_unref (imported->recording);
  g_free (imported);
}

/* As the library has it: names are made there, and what was there before keeps its own. */
static gboolean
take_entry (TideStore *store, TideImported *imported, GError **error)
{
  g_autoptr (TideRunInfo) info = tide_store_get (store, imported->id, error);
  if (info == NULL)
    return FALSE;
  imported->conditions = g_steal_pointer (&info->conditions);
  imported->energy_wh = info->energy_wh;
  return TRUE;
}

static gboolean
import_one (TideStore *store,
            TideImported *imported,
            const TideConditions *stated,
            guint n_parts,
            GError **error)
{
  imported->id = tide_intake_recording (store, imported->recording, n_parts, stated,
                                        &imported->already_there, NULL, error);
  return imported->id != 0 && take_entry (store, imported, error);
}

static void
print_imported (const TideImported *imported)
{
  const char *name = tide_conditions_get (imported->conditions, TIDE_CONDITION_NAME);
  if (imported->already_there)
    {
      g_autofree char *text =
          g_strdup_printf (_ ("%s is in the library already; not imported again, its conditions stay as they are"),
                           tide_recording_get_file (imported->recording));
      tide_text_print ("%5" G_GINT64_FORMAT "  %s  %s", imported->id, name, text);
      return;
    }
  gsize n = tide_recording_get_n_samples (imported->recording);
  g_autofree char *samples = g_strdup_printf (ngettext ("%zu sample", "%zu samples", n), n);
  g_autofree char *duration =
      tide_text_duration (tide_recording_get_duration_s (imported->recording));
  g_autofree char *energy =
      tide_text_quantity (imported->energy_wh, tide_quantity_get_decimals (TIDE_QUANTITY_ENERGY),
                          TIDE_QUANTITY_ENERGY);
  tide_text_print ("%5" G_GINT64_FORMAT "  %s  %s  %s  %s", imported->id, name, samples, duration,
                   energy);
}

/* One line for all complaints about rows. */
static void
remark_rows (const char *file, const TideRecording *recording)
{
  GPtrArray *complaints = tide_recording_get_complaints (recording);
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
  guint64 skipped = tide_recording_get_skipped_rows (recording);
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
remark_file (const char *file, const TideRecording *recording)
{
  GPtrArray *complaints = tide_recording_get_complaints (recording);
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
tide_import_recordings (TideStore *store,
                        GPtrArray *recordings,
                        const TideConditions *conditions,
                        GPtrArray *list,
                        GError **error)
{
  for (guint i = 0; i < recordings->len; i++)
    {
      TideImported *imported = g_new0 (TideImported, 1);
      imported->recording = tide_recording_ref (g_ptr_array_index (recordings, i));
      if (!import_one (store, imported, conditions, recordings->len, error))
        {
          free_imported (imported);
          return FALSE;
        }
      g_ptr_array_add (list, imported);
    }
  return TRUE;
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
      const char *file = tide_recording_get_file (imported->recording);
      if (imported->already_there)
        continue;
      remark_rows (file, imported->recording);
      remark_file (file, imported->recording);
    }
}

static void
add_imported (JsonBuilder *builder, const TideImported *imported)
{
  const TideRecording *recording = imported->recording;
  json_builder_begin_object (builder);
  tide_json_id (builder, "number", imported->id);
  tide_json_text (builder, "name", tide_conditions_get (imported->conditions, TIDE_CONDITION_NAME));
  json_builder_set_member_name (builder, "already_there");
  json_builder_add_boolean_value (builder, imported->already_there);
  tide_json_conditions (builder, "conditions", imported->conditions);
  tide_json_text (builder, "file", tide_recording_get_file (recording));
  tide_json_text (builder, "sha256", tide_recording_get_sha256 (recording));
  tide_json_count (builder, "part", tide_recording_get_part (recording));
  tide_json_count (builder, "samples", tide_recording_get_n_samples (recording));
  tide_json_count (builder, "skipped_rows", tide_recording_get_skipped_rows (recording));
  tide_json_number (builder, "duration_s", tide_recording_get_duration_s (recording));
  tide_json_number (builder, "energy_wh", imported->energy_wh);
  tide_json_complaints (builder, "complaints", tide_recording_get_complaints (recording));
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
