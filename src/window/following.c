/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See following.h. The live charge belongs to the task of a look while that runs, and to the object
 * between looks; what was found is copied out on the main thread.
 */
#include "window/following.h"

#include <glib/gi18n-lib.h>

#include "intake/pulse.h"

struct _TideFollowing
{
  GObject parent;

  /* owned */
  GFile *file;
  char *name, *text;
  TideLive *live;   /* NULL while a look is on its way */
  TidePulse *pulse; /* NULL: it has ended */
  TideRecording *recording;
  TideMeasurement *measurement;

  TideFollowingEnd end;
};

G_DEFINE_FINAL_TYPE (TideFollowing, tide_following, G_TYPE_OBJECT)

static guint changed_signal;

/* A look: what the worker thread works on, and what it found. */
typedef struct
{
  TideLive *live;
  TideFollowEvent event;
} Look;

static void
free_look (Look *look)
{
  g_clear_pointer (&look->live, tide_live_free);
  g_free (look);
}

/* What was found */

static char *
describe (const TideLiveState *state)
{
  g_autofree char *words = tide_live_state_to_text (state);

  if (state->recording == NULL)
    return g_steal_pointer (&words);
  g_autofree char *power = tide_text_quantity (state->power_w, 2, TIDE_QUANTITY_POWER);
  g_autofree char *energy = tide_text_quantity (state->energy_wh, 2, TIDE_QUANTITY_ENERGY);
  return g_strdup_printf ("%s · %s · %s", power, energy, words);
}

static TideFollowingEnd
find_end (const TideLiveState *state, TideFollowEvent event)
{
  if (event == TIDE_FOLLOW_REPLACED)
    return TIDE_FOLLOWING_REPLACED;
  if (event == TIDE_FOLLOW_REMOVED)
    return TIDE_FOLLOWING_REMOVED;
  if (state->recording != NULL && state->expectation.state == TIDE_CHARGE_SETTLED)
    return TIDE_FOLLOWING_SETTLED;
  return TIDE_FOLLOWING_ON;
}

static void
set_text (TideFollowing *self, char *text)
{
  g_free (self->text);
  self->text = text;
}

/* A file that was replaced has nothing to show yet: what was seen of the old one stays. */
static gboolean
take_state (TideFollowing *self, TideFollowEvent event)
{
  TideLiveState state = tide_live_get_state (self->live);
  TideMeasurement *measurement = tide_live_steal_measurement (self->live);
  gboolean is_new = measurement != NULL;

  self->end = find_end (&state, event);
  if (is_new)
    {
      g_clear_pointer (&self->recording, tide_recording_unref);
      g_clear_pointer (&self->measurement, tide_measurement_free);
      self->recording = tide_recording_ref (state.recording);
      self->measurement = measurement;
    }
  g_autofree char *text = describe (&state);
  if (event != TIDE_FOLLOW_REPLACED && g_strcmp0 (text, self->text) != 0)
    {
      set_text (self, g_steal_pointer (&text));
      is_new = TRUE;
    }
  return is_new || self->end != TIDE_FOLLOWING_ON;
}

/* Looking */

static void
look_in_thread (GTask *task, gpointer source, gpointer task_data, GCancellable *cancellable)
{
  Look *look = task_data;
  g_autoptr (GError) error = NULL;

  if (tide_live_poll (look->live, &look->event, cancellable, &error))
    g_task_return_boolean (task, TRUE);
  else
    g_task_return_error (task, g_steal_pointer (&error));
}

static void
looked_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideFollowing *self = TIDE_FOLLOWING (source);
  Look *look = g_task_get_task_data (G_TASK (result));
  g_autoptr (GError) error = NULL;
  gboolean well = g_task_propagate_boolean (G_TASK (result), &error), is_new = TRUE;

  self->live = g_steal_pointer (&look->live);
  if (self->pulse == NULL)
    return;
  if (well)
    is_new = take_state (self, look->event);
  else
    {
      self->end = TIDE_FOLLOWING_FAILED;
      set_text (self, g_strdup (error->message));
    }
  if (self->end != TIDE_FOLLOWING_ON)
    g_clear_pointer (&self->pulse, tide_pulse_free);
  if (is_new)
    g_signal_emit (self, changed_signal, 0);
}

static void
look_cb (gpointer user_data)
{
  TideFollowing *self = user_data;
  Look *look;

  if (self->live == NULL)
    return;
  look = g_new0 (Look, 1);
  look->live = g_steal_pointer (&self->live);
  g_autoptr (GTask) task = g_task_new (self, NULL, looked_cb, NULL);
  g_task_set_task_data (task, look, (GDestroyNotify)free_look);
  g_task_run_in_thread (task, look_in_thread);
}

/* Overrides */

static void
tide_following_finalize (GObject *object)
{
  TideFollowing *self = TIDE_FOLLOWING (object);

  tide_following_stop (self);
  g_clear_pointer (&self->live, tide_live_free);
  g_clear_pointer (&self->recording, tide_recording_unref);
  g_clear_pointer (&self->measurement, tide_measurement_free);
  g_clear_object (&self->file);
  g_free (self->name);
  g_free (self->text);
  G_OBJECT_CLASS (tide_following_parent_class)->finalize (object);
}

static void
tide_following_class_init (TideFollowingClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = tide_following_finalize;
  changed_signal = g_signal_new ("changed", TIDE_TYPE_FOLLOWING, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
tide_following_init (TideFollowing *self)
{
}

/* Public */

TideFollowing *
tide_following_new (GFile *file, const char *library)
{
  TideFollowing *self = g_object_new (TIDE_TYPE_FOLLOWING, NULL);

  self->file = g_object_ref (file);
  self->live = tide_live_new (file, NULL, 0, library);
  self->name = g_strdup (tide_live_get_name (self->live));
  self->text = g_strdup (_ ("looking at the file"));
  self->pulse = tide_pulse_new (file, look_cb, self);
  return self;
}

void
tide_following_stop (TideFollowing *self)
{
  g_clear_pointer (&self->pulse, tide_pulse_free);
}

TideFollowingEnd
tide_following_get_end (TideFollowing *self)
{
  return self->end;
}

GFile *
tide_following_get_file (TideFollowing *self)
{
  return self->file;
}

const char *
tide_following_get_name (TideFollowing *self)
{
  return self->name;
}

const char *
tide_following_get_text (TideFollowing *self)
{
  return self->text;
}

TideRecording *
tide_following_get_recording (TideFollowing *self)
{
  return self->recording;
}

TideMeasurement *
tide_following_steal_measurement (TideFollowing *self)
{
  return g_steal_pointer (&self->measurement);
}
