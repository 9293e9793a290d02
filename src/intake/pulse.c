/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See pulse.h. Where no monitor can be had, the second remains. */
#include "intake/pulse.h"

#define SLOW_MS 1000
/* Appending goes on for a moment: looks are not closer together. */
#define SOON_MS 250

struct _TidePulse
{
  GFileMonitor *monitor; /* NULL: none can be had */
  void (*look) (gpointer user_data);
  gpointer user_data;
  guint slow, soon;
};

static gboolean
slow_cb (gpointer user_data)
{
  TidePulse *pulse = user_data;

  if (pulse->soon == 0)
    pulse->look (pulse->user_data);
  return G_SOURCE_CONTINUE;
}

static gboolean
soon_cb (gpointer user_data)
{
  TidePulse *pulse = user_data;

  pulse->soon = 0;
  pulse->look (pulse->user_data);
  return G_SOURCE_REMOVE;
}

static void
changed_cb (TidePulse *pulse)
{
  if (pulse->soon == 0)
    pulse->soon = g_timeout_add (SOON_MS, soon_cb, pulse);
}

TidePulse *
tide_pulse_new (GFile *file, void (*look) (gpointer user_data), gpointer user_data)
{
  TidePulse *pulse = g_new0 (TidePulse, 1);

  pulse->look = look;
  pulse->user_data = user_data;
  pulse->monitor = g_file_monitor_file (file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (pulse->monitor != NULL)
    g_signal_connect_swapped (pulse->monitor, "changed", G_CALLBACK (changed_cb), pulse);
  pulse->slow = g_timeout_add (SLOW_MS, slow_cb, pulse);
  pulse->soon = g_idle_add (soon_cb, pulse);
  return pulse;
}

void
tide_pulse_free (TidePulse *pulse)
{
  if (pulse->monitor != NULL)
    g_signal_handlers_disconnect_by_data (pulse->monitor, pulse);
  g_clear_object (&pulse->monitor);
  g_clear_handle_id (&pulse->slow, g_source_remove);
  g_clear_handle_id (&pulse->soon, g_source_remove);
  g_free (pulse);
}
