/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See choice.h. Cancelling is by token: each load has a GCancellable of its own, and its result
 * counts only while that token is still the current one. */
#include "window/choice.h"

#include <glib/gi18n-lib.h>
#include <math.h>

struct _TideChoice
{
  GObject parent;

  /* owned */
  TideComparison *comparison;
  TideLibrary *library;
  GArray *ids;         /* gint64, wanted, in order */
  GCancellable *token; /* of the run being read; NULL: none is */
  gint64 loading_id;   /* valid while there is a token */
};

G_DEFINE_FINAL_TYPE (TideChoice, tide_choice, G_TYPE_OBJECT)

enum
{
  SIGNAL_CHANGED,
  SIGNAL_FAILED,
  SIGNAL_LOADED,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

static void load_next (TideChoice *self);

/* Helpers */

static guint
find_id (TideChoice *self, gint64 id)
{
  for (guint i = 0; i < self->ids->len; i++)
    if (g_array_index (self->ids, gint64, i) == id)
      return i;
  return G_MAXUINT;
}

static void
give_up_load (TideChoice *self)
{
  if (self->token != NULL)
    g_cancellable_cancel (self->token);
  g_clear_object (&self->token);
}

static void
take_out (TideChoice *self, guint index)
{
  gint64 id = g_array_index (self->ids, gint64, index);
  guint position = tide_comparison_find (self->comparison, id);

  g_array_remove_index (self->ids, index);
  if (self->token != NULL && self->loading_id == id)
    give_up_load (self);
  if (position != G_MAXUINT)
    tide_comparison_remove (self->comparison, position);
}

static gboolean
is_slot_taken (TideChoice *self, guint slot)
{
  for (guint i = 0; i < tide_comparison_get_n_runs (self->comparison); i++)
    if (tide_compared_run_get_slot (tide_comparison_get_run (self->comparison, i)) == slot)
      return TRUE;
  return FALSE;
}

/* Two runs in one picture must not share a colour: the later one takes a free slot, and keeps it.
 */
static gboolean
settle_slot (TideChoice *self, TideEntry *entry, guint *slot, GError **error)
{
  *slot = tide_entry_get_slot (entry);
  if (!is_slot_taken (self, *slot))
    return TRUE;
  *slot = tide_comparison_get_free_slot (self->comparison);
  return tide_library_set_slot (self->library, tide_entry_get_id (entry), *slot, error);
}

static gboolean
put_in (TideChoice *self,
        gint64 id,
        TideRecording *recording,
        TideMeasurement *measurement,
        GError **error)
{
  g_autoptr (TideMeasurement) owned = measurement;
  TideEntry *entry = tide_library_find (self->library, id);
  guint slot;

  if (entry == NULL)
    {
      g_set_error_literal (error, TIDE_STORE_ERROR, TIDE_STORE_ERROR_NO_RUN,
                           _ ("The run is no longer in the library"));
      return FALSE;
    }
  if (!settle_slot (self, entry, &slot, error))
    return FALSE;
  return tide_comparison_add (self->comparison, id, tide_entry_get_info (entry)->conditions,
                              recording, g_steal_pointer (&owned), slot, error);
}

/* Takes the run that could not be read out again and tells why. */
static void
report_failure (TideChoice *self, gint64 id, const GError *error)
{
  guint index = find_id (self, id);

  if (index != G_MAXUINT)
    g_array_remove_index (self->ids, index);
  g_signal_emit (self, signals[SIGNAL_FAILED], 0, id, error->message);
  g_signal_emit (self, signals[SIGNAL_CHANGED], 0);
}

/* Loading */

static void
measure_in_thread (GTask *task, gpointer source, gpointer recording, GCancellable *cancellable)
{
  GError *error = NULL;
  TideMeasurement *measurement = tide_measure (recording, TIDE_STRETCH_ALL, &error);

  if (measurement != NULL)
    g_task_return_pointer (task, measurement, (GDestroyNotify)tide_measurement_free);
  else
    g_task_return_error (task, error);
}

/* One step of a load is done: the run is in, or it failed; on to the next. */
static void
finish_load (TideChoice *self, const GError *error)
{
  gint64 id = self->loading_id;

  g_clear_object (&self->token);
  if (error != NULL)
    report_failure (self, id, error);
  load_next (self);
}

static void
measured_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideChoice *self = TIDE_CHOICE (source);
  GTask *task = G_TASK (result);
  g_autoptr (GError) error = NULL;
  TideMeasurement *measurement = g_task_propagate_pointer (task, &error);

  if (g_task_get_cancellable (task) != self->token)
    {
      g_clear_pointer (&measurement, tide_measurement_free);
      return;
    }
  if (measurement != NULL)
    put_in (self, self->loading_id, g_task_get_task_data (task), measurement, &error);
  finish_load (self, error);
}

typedef struct
{
  TideChoice *choice;
  GCancellable *token;
} Load;

static void
recording_loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autofree Load *load = user_data;
  g_autoptr (TideChoice) self = load->choice;
  g_autoptr (GCancellable) token = load->token;
  g_autoptr (GError) error = NULL;
  g_autoptr (TideRecording) recording =
      tide_library_load_finish (TIDE_LIBRARY (source), result, &error);

  if (token != self->token)
    return;
  if (recording == NULL)
    {
      finish_load (self, error);
      return;
    }
  g_autoptr (GTask) task = g_task_new (self, token, measured_cb, NULL);
  g_task_set_task_data (task, g_steal_pointer (&recording), (GDestroyNotify)tide_recording_unref);
  g_task_run_in_thread (task, measure_in_thread);
}

static void
load_next (TideChoice *self)
{
  if (self->token != NULL)
    return;
  for (guint i = 0; i < self->ids->len; i++)
    {
      gint64 id = g_array_index (self->ids, gint64, i);
      Load *load;

      if (tide_comparison_find (self->comparison, id) != G_MAXUINT)
        continue;
      self->loading_id = id;
      self->token = g_cancellable_new ();
      load = g_new (Load, 1);
      *load = (Load){ g_object_ref (self), g_object_ref (self->token) };
      tide_library_load_async (self->library, id, self->token, recording_loaded_cb, load);
      return;
    }
  g_signal_emit (self, signals[SIGNAL_LOADED], 0);
}

/* Overrides */

static void
tide_choice_dispose (GObject *object)
{
  TideChoice *self = TIDE_CHOICE (object);

  give_up_load (self);
  g_clear_object (&self->library);
  g_clear_object (&self->comparison);
  G_OBJECT_CLASS (tide_choice_parent_class)->dispose (object);
}

static void
tide_choice_finalize (GObject *object)
{
  TideChoice *self = TIDE_CHOICE (object);

  g_array_unref (self->ids);
  G_OBJECT_CLASS (tide_choice_parent_class)->finalize (object);
}

static void
tide_choice_class_init (TideChoiceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->dispose = tide_choice_dispose;
  object_class->finalize = tide_choice_finalize;
  signals[SIGNAL_CHANGED] = g_signal_new ("changed", TIDE_TYPE_CHOICE, G_SIGNAL_RUN_LAST, 0, NULL,
                                          NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_FAILED] = g_signal_new ("failed", TIDE_TYPE_CHOICE, G_SIGNAL_RUN_LAST, 0, NULL,
                                         NULL, NULL, G_TYPE_NONE, 2, G_TYPE_INT64, G_TYPE_STRING);
  signals[SIGNAL_LOADED] = g_signal_new ("loaded", TIDE_TYPE_CHOICE, G_SIGNAL_RUN_LAST, 0, NULL,
                                         NULL, NULL, G_TYPE_NONE, 0);
}

static void
tide_choice_init (TideChoice *self)
{
  self->ids = g_array_new (FALSE, FALSE, sizeof (gint64));
}

/* Public */

TideChoice *
tide_choice_new (TideComparison *comparison)
{
  TideChoice *self = g_object_new (TIDE_TYPE_CHOICE, NULL);

  self->comparison = g_object_ref (comparison);
  return self;
}

void
tide_choice_set_library (TideChoice *self, TideLibrary *library)
{
  tide_choice_clear (self);
  g_set_object (&self->library, library);
}

void
tide_choice_set (TideChoice *self, gint64 id, gboolean in)
{
  guint index = find_id (self, id);

  if ((index != G_MAXUINT) == in)
    return;
  if (in && (self->library == NULL || tide_library_find (self->library, id) == NULL))
    return;
  if (in)
    g_array_append_val (self->ids, id);
  else
    take_out (self, index);
  g_signal_emit (self, signals[SIGNAL_CHANGED], 0);
  load_next (self);
}

void
tide_choice_follow (TideChoice *self)
{
  guint before = self->ids->len;

  for (guint i = before; self->library != NULL && i > 0; i--)
    if (tide_library_find (self->library, g_array_index (self->ids, gint64, i - 1)) == NULL)
      take_out (self, i - 1);
  if (self->ids->len == before)
    return;
  g_signal_emit (self, signals[SIGNAL_CHANGED], 0);
  load_next (self);
}

void
tide_choice_update (TideChoice *self, gint64 id)
{
  guint position = tide_comparison_find (self->comparison, id);
  TideEntry *entry = self->library != NULL ? tide_library_find (self->library, id) : NULL;

  if (position == G_MAXUINT || entry == NULL)
    return;
  tide_comparison_set_conditions (self->comparison, position,
                                  tide_entry_get_info (entry)->conditions);
  tide_comparison_set_slot (self->comparison, position, tide_entry_get_slot (entry));
}

gboolean
tide_choice_has (TideChoice *self, gint64 id)
{
  return find_id (self, id) != G_MAXUINT;
}

GArray *
tide_choice_get_ids (TideChoice *self)
{
  return self->ids;
}

gboolean
tide_choice_is_loading (TideChoice *self)
{
  return self->token != NULL;
}

void
tide_choice_clear (TideChoice *self)
{
  give_up_load (self);
  if (self->ids->len == 0)
    return;
  g_array_set_size (self->ids, 0);
  tide_comparison_clear (self->comparison);
  g_signal_emit (self, signals[SIGNAL_CHANGED], 0);
}
