/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "window/wheel.h"

#include <math.h>

static gboolean
scroll_cb (GtkEventControllerScroll *controller, double dx, double dy, GtkScrolledWindow *outer)
{
  GtkAdjustment *adjustment = gtk_scrolled_window_get_vadjustment (outer);
  GdkModifierType state =
      gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (controller));
  double step = 1; /* pixels */

  if (state & GDK_SHIFT_MASK || fabs (dx) >= fabs (dy))
    return GDK_EVENT_PROPAGATE;
  /* one notch goes as far as in GTK's own scrollers */
  if (gtk_event_controller_scroll_get_unit (controller) == GDK_SCROLL_UNIT_WHEEL)
    step = pow (gtk_adjustment_get_page_size (adjustment), 2.0 / 3.0);
  gtk_adjustment_set_value (adjustment, gtk_adjustment_get_value (adjustment) + dy * step);
  return GDK_EVENT_STOP;
}

void
tide_pass_wheel_up (GtkScrolledWindow *sideways, GtkScrolledWindow *outer)
{
  GtkEventController *scroll =
      gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);

  gtk_event_controller_set_propagation_phase (scroll, GTK_PHASE_CAPTURE);
  g_signal_connect (scroll, "scroll", G_CALLBACK (scroll_cb), outer);
  gtk_widget_add_controller (GTK_WIDGET (sideways), scroll);
}
