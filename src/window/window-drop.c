/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files dropped anywhere on the window are imported; while they hover the window says so. */
#include "window/window-private.h"

static gboolean
drop_cb (GtkDropTarget *target, const GValue *value, double x, double y, TideWindow *self)
{
  GSList *files = g_value_get_boxed (value);
  g_autoptr (GPtrArray) list = g_ptr_array_new ();

  for (GSList *l = files; l != NULL; l = l->next)
    g_ptr_array_add (list, l->data);
  if (list->len == 0 || self->library == NULL)
    return FALSE;
  tide_window_import (self, (GFile *const *)list->pdata, list->len);
  return TRUE;
}

/* Without a library there is nowhere to put files, and what they are dragged from is told so. */
static GdkDragAction
move_cb (GtkDropTarget *target, double x, double y, TideWindow *self)
{
  return self->library != NULL ? GDK_ACTION_COPY : 0;
}

static void
hover_cb (GtkDropTarget *target, GParamSpec *pspec, TideWindow *self)
{
  gtk_widget_set_visible (self->drop_zone,
                          self->library != NULL
                              && gtk_drop_target_get_current_drop (target) != NULL);
}

void
tide_window_add_drop_target (TideWindow *self)
{
  GtkDropTarget *target = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);

  g_signal_connect (target, "drop", G_CALLBACK (drop_cb), self);
  g_signal_connect (target, "enter", G_CALLBACK (move_cb), self);
  g_signal_connect (target, "motion", G_CALLBACK (move_cb), self);
  g_signal_connect (target, "notify::current-drop", G_CALLBACK (hover_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (target));
}
