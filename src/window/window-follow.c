/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file that is still being written: its run grows on the chart, the bar under the header tells
 * how it goes, a notification tells when there is nothing more to wait for. One file at a time. The
 * run is in no library until it is imported, which is when the one in the chart makes way for the
 * library's.
 */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>

#include "recording/run-name.h"

#define NOTIFICATION_ID "follow"

/* The run on the chart */

static guint
find_live_run (TideWindow *self)
{
  for (guint i = 0; i < tide_comparison_get_n_runs (self->comparison); i++)
    if (tide_comparison_get_run (self->comparison, i) == self->live_run)
      return i;
  return G_MAXUINT;
}

static TideConditions *
name_live_run (TideFollowing *following)
{
  TideConditions *conditions = tide_conditions_new ();
  g_autofree char *base = tide_run_name_make (tide_following_get_name (following), NULL);
  /* Translators: %s is the name of a run that is being logged right now */
  g_autofree char *name = g_strdup_printf (_ ("%s · live"), base);

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, name);
  return conditions;
}

static void
add_live_run (TideWindow *self, TideMeasurement *measurement, GError **error)
{
  g_autoptr (TideConditions) conditions = name_live_run (self->following);
  guint n = tide_comparison_get_n_runs (self->comparison);

  if (!tide_comparison_add (self->comparison, 0, conditions,
                            tide_following_get_recording (self->following), measurement,
                            tide_comparison_get_free_slot (self->comparison), error))
    return;
  g_set_weak_pointer (&self->live_run, tide_comparison_get_run (self->comparison, n));
}

static void
show_live_run (TideWindow *self)
{
  TideRecording *recording = tide_following_get_recording (self->following);
  TideMeasurement *measurement = tide_following_steal_measurement (self->following);
  guint position = find_live_run (self);
  g_autoptr (GError) error = NULL;

  if (recording == NULL || (measurement == NULL && position != G_MAXUINT))
    return;
  if (position == G_MAXUINT)
    add_live_run (self, measurement, &error);
  else
    tide_comparison_set_recording (self->comparison, position, recording, measurement, &error);
  if (error != NULL)
    tide_window_toast (self, error->message);
}

static void
remove_live_run (TideWindow *self)
{
  guint position = find_live_run (self);

  g_clear_weak_pointer (&self->live_run);
  if (position != G_MAXUINT)
    tide_comparison_remove (self->comparison, position);
}

/* What is told */

/* Transfer full. */
static char *
make_title (TideFollowing *following)
{
  const char *name = tide_following_get_name (following);

  switch (tide_following_get_end (following))
    {
    case TIDE_FOLLOWING_SETTLED:
      /* Translators: %s is the name of a file */
      return g_strdup_printf (_ ("%s has settled"), name);
    case TIDE_FOLLOWING_REPLACED:
      /* Translators: %s is the name of a file */
      return g_strdup_printf (_ ("%s was replaced"), name);
    case TIDE_FOLLOWING_REMOVED:
      /* Translators: %s is the name of a file */
      return g_strdup_printf (_ ("%s is gone"), name);
    case TIDE_FOLLOWING_FAILED:
      /* Translators: %s is the name of a file */
      return g_strdup_printf (_ ("%s cannot be followed"), name);
    case TIDE_FOLLOWING_ON:
    default:
      /* Translators: %s is the name of a file */
      return g_strdup_printf (_ ("Following %s"), name);
    }
}

static const char *
get_text (TideFollowing *following)
{
  switch (tide_following_get_end (following))
    {
    case TIDE_FOLLOWING_REPLACED:
      return _ (
          "The file was cut shorter or another one was put in its place; what was logged before is "
          "on the chart");
    case TIDE_FOLLOWING_REMOVED:
      return _ ("The file was removed, or its drive; what was logged is on the chart");
    case TIDE_FOLLOWING_ON:
    case TIDE_FOLLOWING_SETTLED:
    case TIDE_FOLLOWING_FAILED:
    default:
      return tide_following_get_text (following);
    }
}

static void
notify (TideWindow *self, const char *title)
{
  GApplication *application = G_APPLICATION (gtk_window_get_application (GTK_WINDOW (self)));
  g_autoptr (GNotification) notification = g_notification_new (title);

  if (application == NULL)
    return;
  g_notification_set_body (notification, get_text (self->following));
  g_notification_set_default_action (notification, "app.present");
  g_application_send_notification (application, NOTIFICATION_ID, notification);
}

static void
show_bar (TideWindow *self)
{
  TideFollowingEnd end = tide_following_get_end (self->following);
  gboolean is_live = end == TIDE_FOLLOWING_ON;
  g_autofree char *title = make_title (self->following);

  tide_follow_bar_show (self->follow_bar, title, get_text (self->following), is_live,
                        end != TIDE_FOLLOWING_REMOVED);
  gtk_revealer_set_reveal_child (self->follow_revealer, TRUE);
  if (!is_live)
    notify (self, title);
}

static void
changed_cb (TideWindow *self)
{
  show_live_run (self);
  show_bar (self);
  tide_window_update_actions (self);
}

/* Ending */

static void
stop (TideWindow *self)
{
  tide_following_stop (self->following);
  g_signal_handlers_disconnect_by_data (self->following, self);
}

void
tide_window_close_following (TideWindow *self)
{
  if (self->following == NULL)
    return;
  stop (self);
  g_clear_object (&self->following);
  gtk_revealer_set_reveal_child (self->follow_revealer, FALSE);
  remove_live_run (self);
  tide_window_update_actions (self);
}

void
tide_window_import_followed (TideWindow *self)
{
  g_autoptr (GFile) file = NULL;

  if (self->following == NULL)
    return;
  file = g_object_ref (tide_following_get_file (self->following));
  tide_window_close_following (self);
  tide_window_import (self, &file, 1);
}

gboolean
tide_window_is_following (TideWindow *self)
{
  return self->following != NULL && tide_following_get_end (self->following) == TIDE_FOLLOWING_ON;
}

/* Beginning */

void
tide_window_follow (TideWindow *self, GFile *file)
{
  tide_window_close_following (self);
  self->following = tide_following_new (file, self->library_path);
  g_signal_connect_swapped (self->following, "changed", G_CALLBACK (changed_cb), self);
  show_bar (self);
  tide_window_update_actions (self);
}

static void
file_chosen_cb (GtkNativeDialog *dialog, int response, TideWindow *self)
{
  g_autoptr (GFile) file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (dialog));

  g_clear_object (&self->chooser);
  if (response == GTK_RESPONSE_ACCEPT && file != NULL)
    tide_window_follow (self, file);
}

void
tide_window_choose_followed (TideWindow *self)
{
  tide_window_show_chooser (self, _ ("Follow a File"), FALSE, G_CALLBACK (file_chosen_cb));
}
