/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See intake.h. What is read goes straight into an import of the store; energies are summed as
 * samples pass. */
#include "intake/intake.h"

#include "analysis/series.h"
#include "intake/remembered.h"

/* A file on its way; its content is in file or in bytes. */
typedef struct
{
  TideStore *store;
  GFile *file;
  GBytes *bytes;
  const char *name; /* of bytes */
  const TideIntakeOptions *options;
  GCancellable *cancellable;
  TideRemembered remembered;
  GArray *areas; /* TideArea, by part from 1 */
} Intake;

static void
clear_intake (Intake *intake)
{
  tide_remembered_clear (&intake->remembered);
  g_clear_pointer (&intake->areas, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Intake, clear_intake)

/* ---- The rule ---- */

/* Without rules in the library there is no need to look at the file twice. */
static gboolean
find_rule (Intake *intake, GError **error)
{
  TideIntakeOptions options = *intake->options;

  if (!options.ignore_rules)
    {
      g_autoptr (GPtrArray) rules = tide_store_list_rules (intake->store, error);

      if (rules == NULL)
        return FALSE;
      options.ignore_rules = rules->len == 0;
    }
  return tide_remembered_find (&intake->remembered, intake->store, intake->file, intake->bytes,
                               intake->name, &options, intake->cancellable, error);
}

/* ---- Energy ---- */

static void
watch_cb (guint part, const TideColumns *samples, gboolean is_first, gpointer user_data)
{
  Intake *intake = user_data;

  if (intake->areas->len < part)
    g_array_set_size (intake->areas, part);

  TideArea *area = &g_array_index (intake->areas, TideArea, part - 1);
  if (is_first)
    *area = (TideArea){ 0 };
  tide_area_add (area, samples->values[TIDE_QUANTITY_TIME], samples->values[TIDE_QUANTITY_POWER],
                 samples->n);
}

static void
set_energies (const Intake *intake, TideStoreImport *import)
{
  for (guint part = 1; part <= intake->areas->len; part++)
    tide_store_import_set_energy (import, part,
                                  tide_area_get (&g_array_index (intake->areas, TideArea, part - 1))
                                      / TIDE_SECONDS_PER_HOUR);
}

/* ---- The file ---- */

static gboolean
read_into (Intake *intake, TideSink *sink, TideReadResult *result, GError **error)
{
  TideReadOptions options = intake->options->read;

  options.rule = intake->remembered.rule;
  options.complaints = intake->remembered.complaints;
  return intake->file != NULL ? tide_read_file_into (intake->file, &options, sink, result,
                                                     intake->cancellable, error)
                              : tide_read_bytes_into (intake->bytes, intake->name, &options, sink,
                                                      result, intake->cancellable, error);
}

static GArray *
store_file (Intake *intake, GError **error)
{
  g_auto (TideReadResult) result = { 0 };
  TideStoreImport *import =
      tide_store_import_begin (intake->store, intake->options->stated, intake->cancellable, error);

  if (import == NULL)
    return NULL;
  tide_store_import_watch (import, watch_cb, intake);
  if (!read_into (intake, tide_store_import_get_sink (import), &result, error))
    {
      tide_store_import_abort (import);
      tide_remembered_explain (&intake->remembered, error);
      return NULL;
    }
  set_energies (intake, import);
  return tide_store_import_end (import, result.name, result.sha256, intake->options->replace,
                                error);
}

static GArray *
take_in (Intake *intake, GError **error)
{
  intake->areas = g_array_new (FALSE, TRUE, sizeof (TideArea));
  return find_rule (intake, error) ? store_file (intake, error) : NULL;
}

GArray *
tide_intake_file (TideStore *store,
                  GFile *file,
                  const TideIntakeOptions *options,
                  GCancellable *cancellable,
                  GError **error)
{
  static const TideIntakeOptions nothing = { 0 };
  g_auto (Intake) intake = { .store = store,
                             .file = file,
                             .options = options != NULL ? options : &nothing,
                             .cancellable = cancellable };

  return take_in (&intake, error);
}

GArray *
tide_intake_bytes (TideStore *store,
                   GBytes *bytes,
                   const char *name,
                   const TideIntakeOptions *options,
                   GCancellable *cancellable,
                   GError **error)
{
  static const TideIntakeOptions nothing = { 0 };
  g_auto (Intake) intake = { .store = store,
                             .bytes = bytes,
                             .name = name,
                             .options = options != NULL ? options : &nothing,
                             .cancellable = cancellable };

  return take_in (&intake, error);
}
