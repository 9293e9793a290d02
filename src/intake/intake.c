/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See intake.h. One look-up and one import; no state. */
#include "intake/intake.h"

#include "analysis/measure.h"

/* What the export itself says, where nothing else is stated: as the clock on the wall here reads,
 * which is what a log without a zone was taken to mean. */
static void
set_date (TideConditions *conditions, const TideRecording *recording)
{
  gint64 start_us = tide_recording_get_start_us (recording);

  if (start_us == 0 || *tide_conditions_get (conditions, TIDE_CONDITION_DATE) != '\0')
    return;
  g_autoptr (GDateTime) start = g_date_time_new_from_unix_local (start_us / G_USEC_PER_SEC);
  g_autofree char *text = start != NULL ? g_date_time_format (start, "%Y-%m-%d %H:%M") : NULL;
  tide_conditions_set (conditions, TIDE_CONDITION_DATE, text);
}

/* One name for several runs would name none of them. */
static void
number_name (TideConditions *conditions, const TideRecording *recording)
{
  const char *name = tide_conditions_get (conditions, TIDE_CONDITION_NAME);

  if (*name == '\0')
    return;
  g_autofree char *numbered =
      g_strdup_printf ("%s (%u)", name, tide_recording_get_part (recording));
  tide_conditions_set (conditions, TIDE_CONDITION_NAME, numbered);
}

gint64
tide_intake_recording (TideStore *store,
                       TideRecording *recording,
                       guint n_parts,
                       const TideConditions *stated,
                       gboolean *already_there,
                       GCancellable *cancellable,
                       GError **error)
{
  const char *sha256 = tide_recording_get_sha256 (recording);
  gint64 id = 0;

  if (sha256 != NULL)
    id = tide_store_find_file (store, sha256, tide_recording_get_part (recording), error);
  if (already_there != NULL)
    *already_there = id > 0;
  if (id != 0)
    return MAX (id, 0);

  g_autoptr (TideConditions) conditions = tide_conditions_copy (stated);
  set_date (conditions, recording);
  if (n_parts > 1)
    number_name (conditions, recording);
  return tide_store_add (store, recording, conditions, tide_measure_energy_wh (recording),
                         cancellable, error);
}
