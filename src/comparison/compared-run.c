/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One run in a comparison: which it is, what it is called, its colour, and what the comparison
 * noted about it. Its columns are in run-columns.c. Runs are made and changed by the comparison
 * alone.
 */
#include "comparison/compared-run-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

#include "recording/run-name.h"

G_DEFINE_FINAL_TYPE (TideComparedRun, tide_compared_run, G_TYPE_OBJECT)

enum
{
  PROP_0,
  PROP_NAME,
  PROP_SLOT,
  N_PROPS
};

static GParamSpec *properties[N_PROPS];

/* Helpers */

/* A run that was given no name is called after its file, or after its number. */
static char *
make_name (TideComparedRun *self)
{
  const char *file = tide_recording_get_file (self->recording);

  if ((file == NULL || *file == '\0') && self->id != 0)
    return g_strdup_printf (_ ("Run %" PRId64), self->id);
  return tide_run_name_make (file, tide_recording_get_label (self->recording));
}

static TideConditions *
copy_with_name (TideComparedRun *self, const TideConditions *conditions)
{
  TideConditions *copy =
      conditions != NULL ? tide_conditions_copy (conditions) : tide_conditions_new ();

  if (*tide_conditions_get (copy, TIDE_CONDITION_NAME) == '\0')
    {
      g_autofree char *name = make_name (self);

      tide_conditions_set (copy, TIDE_CONDITION_NAME, name);
    }
  return copy;
}

static void
take_recording (TideComparedRun *self, TideRecording *recording, TideMeasurement *measurement)
{
  self->recording = tide_recording_ref (recording);
  self->measurement = measurement;
  self->first = measurement->first_sample;
  self->n = measurement->n_smoothed;
  self->t = tide_recording_get_column (recording, TIDE_QUANTITY_TIME) + self->first;
  g_assert (self->first + self->n <= tide_recording_get_n_samples (recording));
}

/* Overrides */

static void
tide_compared_run_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  TideComparedRun *self = TIDE_COMPARED_RUN (object);

  switch (id)
    {
    case PROP_NAME:
      g_value_set_string (value, tide_compared_run_get_name (self));
      break;
    case PROP_SLOT:
      g_value_set_uint (value, self->slot);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
tide_compared_run_finalize (GObject *object)
{
  TideComparedRun *self = TIDE_COMPARED_RUN (object);

  for (guint i = 0; i < TIDE_N_QUANTITIES; i++)
    tide_run_channel_clear (&self->channels[i]);
  g_free (self->energy_wh);
  g_free (self->x);
  g_free (self->note);
  g_clear_pointer (&self->difference, tide_difference_free);
  g_clear_pointer (&self->measurement, tide_measurement_free);
  g_clear_pointer (&self->recording, tide_recording_unref);
  g_clear_pointer (&self->conditions, tide_conditions_free);
  G_OBJECT_CLASS (tide_compared_run_parent_class)->finalize (object);
}

static void
tide_compared_run_class_init (TideComparedRunClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = tide_compared_run_get_property;
  object_class->finalize = tide_compared_run_finalize;

  properties[PROP_NAME] =
      g_param_spec_string ("name", NULL, NULL, NULL, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  properties[PROP_SLOT] = g_param_spec_uint ("slot", NULL, NULL, 0, G_MAXUINT, 0,
                                             G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
tide_compared_run_init (TideComparedRun *self)
{
}

/* Inside the room */

TideComparedRun *
tide_compared_run_new (gint64 id,
                       const TideConditions *conditions,
                       TideRecording *recording,
                       TideMeasurement *measurement,
                       guint slot)
{
  TideComparedRun *self = g_object_new (TIDE_TYPE_COMPARED_RUN, NULL);

  self->id = id;
  self->slot = slot;
  take_recording (self, recording, measurement);
  self->conditions = copy_with_name (self, conditions);
  return self;
}

void
tide_compared_run_set_recording (TideComparedRun *self,
                                 TideRecording *recording,
                                 TideMeasurement *measurement)
{
  g_autoptr (TideRecording) old_recording = g_steal_pointer (&self->recording);
  g_autoptr (TideMeasurement) old_measurement = g_steal_pointer (&self->measurement);

  tide_compared_run_drop_place (self);
  for (guint i = 0; i < TIDE_N_QUANTITIES; i++)
    tide_run_channel_clear (&self->channels[i]);
  g_clear_pointer (&self->energy_wh, g_free);
  g_clear_pointer (&self->note, g_free);
  take_recording (self, recording, measurement);
}

gboolean
tide_compared_run_set_conditions (TideComparedRun *self, const TideConditions *conditions)
{
  g_autoptr (TideConditions) old = self->conditions;
  TideConditions *copy = copy_with_name (self, conditions);

  self->conditions = copy;
  if (g_strcmp0 (tide_conditions_get (old, TIDE_CONDITION_NAME),
                 tide_conditions_get (copy, TIDE_CONDITION_NAME))
      != 0)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_NAME]);
  return !tide_conditions_equal (old, copy);
}

gboolean
tide_compared_run_set_slot (TideComparedRun *self, guint slot)
{
  if (self->slot == slot)
    return FALSE;
  self->slot = slot;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_SLOT]);
  return TRUE;
}

void
tide_compared_run_keep_difference (TideComparedRun *self, TideDifference *difference)
{
  tide_compared_run_drop_difference (self);
  self->difference = difference;
  self->compared = TRUE;
}

void
tide_compared_run_drop_difference (TideComparedRun *self)
{
  g_clear_pointer (&self->difference, tide_difference_free);
  self->compared = FALSE;
}

gboolean
tide_compared_run_get_difference (TideComparedRun *self, const TideDifference **difference)
{
  *difference = self->difference;
  return self->compared;
}

const char *
tide_compared_run_keep_note (TideComparedRun *self, char *note)
{
  g_free (self->note);
  self->note = note;
  return note;
}

/* Public */

gint64
tide_compared_run_get_id (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), 0);
  return self->id;
}

const char *
tide_compared_run_get_name (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), NULL);
  return tide_conditions_get (self->conditions, TIDE_CONDITION_NAME);
}

const TideConditions *
tide_compared_run_get_conditions (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), NULL);
  return self->conditions;
}

TideRecording *
tide_compared_run_get_recording (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), NULL);
  return self->recording;
}

const TideMeasurement *
tide_compared_run_get_measurement (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), NULL);
  return self->measurement;
}

guint
tide_compared_run_get_slot (TideComparedRun *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARED_RUN (self), 0);
  return self->slot;
}
