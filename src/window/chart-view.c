/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The chart on the screen. Everything but the crosshair is drawn once into an image and kept
 * until the comparison, the size, the scale or the look changes: moving the pointer over eight long
 * runs then costs a copy and a line. The view holds no state of its own beyond that image; what
 * is visible and where the cursor stands belong to the comparison.
 *
 * Pointer: drag pans, wheel zooms at the pointer, Shift + wheel pans, double click shows all.
 * Keys: arrows move the crosshair, Home and End take it to the ends, Escape puts it away.
 */
#include "window/chart-view.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>
#include <math.h>

#include "chart/publish.h"

/* One notch of the wheel; five of them about halve the span. */
#define ZOOM_STEP 1.15
/* Shares of the visible span for one arrow key and one notch of a sideways wheel. */
#define CURSOR_STEP 0.01
#define WHEEL_PAN   0.08

struct _TideChartView
{
  GtkWidget parent;

  /* owned */
  TideComparison *comparison;
  GSignalGroup *signals;
  cairo_surface_t *picture; /* all but the crosshair; NULL: draw it again */

  /* the size and scale that picture and layout were made for */
  int width, height, scale;
  TideChartLayout layout;
  gboolean has_layout;

  /* while a gesture lasts */
  double pointer_x;
  double drag_start, drag_end;
};

G_DEFINE_FINAL_TYPE (TideChartView, tide_chart_view, GTK_TYPE_WIDGET)

enum
{
  PROP_0,
  PROP_COMPARISON,
  N_PROPS
};
static GParamSpec *properties[N_PROPS];

/* Helpers */

static TideChartStyle
get_style (void)
{
  AdwStyleManager *manager = adw_style_manager_get_default ();

  return tide_chart_style_screen (adw_style_manager_get_dark (manager) ? TIDE_LOOK_DARK
                                                                       : TIDE_LOOK_LIGHT);
}

static void
drop_picture (TideChartView *self)
{
  g_clear_pointer (&self->picture, cairo_surface_destroy);
  self->has_layout = FALSE;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
draw_picture (TideChartView *self, int width, int height, int scale)
{
  TideChartStyle style = get_style ();
  cairo_t *cr;

  /* drawn over the picture in every frame, and may be gone in the next */
  style.show_cursor = FALSE;
  self->picture = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width * scale, height * scale);
  cairo_surface_set_device_scale (self->picture, scale, scale);
  cr = cairo_create (self->picture);
  tide_chart_draw (self->comparison, &style, cr, width, height);
  cairo_destroy (cr);
  self->has_layout = tide_chart_layout (self->comparison, &style, width, height, &self->layout);
  self->width = width;
  self->height = height;
  self->scale = scale;
}

/* Tells assistive programs what the chart shows and, on GTK 4.8 by the description, what the
 * crosshair reads: the value text of an image does not reach them there. */
static void
update_description (TideChartView *self)
{
  g_autofree char *shown =
      self->comparison ? tide_chart_describe (self->comparison) : g_strdup ("");
  g_autofree char *reading =
      self->comparison ? tide_chart_describe_cursor (self->comparison) : NULL;
  g_autofree char *text = reading ? g_strjoin (" ", shown, reading, NULL) : g_strdup (shown);

  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Chart of the compared runs"),
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

/* The x value under a pixel; FALSE outside the plot or without one. */
static gboolean
find_x (TideChartView *self, double px, double *x)
{
  if (!self->has_layout || px < self->layout.plot.x
      || px > self->layout.plot.x + self->layout.plot.width)
    return FALSE;
  *x = tide_scale_from_px (&self->layout.x, px);
  return TRUE;
}

static void
move_cursor_to (TideChartView *self, double x)
{
  double start, end;

  if (tide_comparison_get_view (self->comparison, &start, &end))
    tide_comparison_set_cursor (self->comparison, CLAMP (x, start, end));
}

/* Callbacks */

static void
changed_cb (TideComparison *comparison, TideChartView *self)
{
  drop_picture (self);
  update_description (self);
}

static void
cursor_cb (TideComparison *comparison, GParamSpec *pspec, TideChartView *self)
{
  gtk_widget_queue_draw (GTK_WIDGET (self));
  update_description (self);
}

static void
motion_cb (GtkEventControllerMotion *controller, double px, double py, TideChartView *self)
{
  double x = NAN;

  self->pointer_x = px;
  if (!self->comparison)
    return;
  find_x (self, px, &x);
  tide_comparison_set_cursor (self->comparison, x);
}

static void
leave_cb (GtkEventControllerMotion *controller, TideChartView *self)
{
  if (self->comparison)
    tide_comparison_set_cursor (self->comparison, NAN);
}

static void
drag_begin_cb (GtkGestureDrag *gesture, double px, double py, TideChartView *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  if (!self->comparison
      || !tide_comparison_get_view (self->comparison, &self->drag_start, &self->drag_end))
    {
      gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_DENIED);
      return;
    }
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grabbing");
}

static void
drag_update_cb (GtkGestureDrag *gesture, double dx, double dy, TideChartView *self)
{
  double moved;

  if (!self->has_layout || !tide_comparison_is_zoomed (self->comparison))
    return;
  moved = dx / self->layout.plot.width * (self->drag_end - self->drag_start);
  tide_comparison_set_view (self->comparison, self->drag_start - moved, self->drag_end - moved);
}

static void
drag_end_cb (GtkGestureDrag *gesture, double dx, double dy, TideChartView *self)
{
  gtk_widget_set_cursor (GTK_WIDGET (self), NULL);
}

static void
pressed_cb (GtkGestureClick *gesture, int n_press, double px, double py, TideChartView *self)
{
  if (n_press == 2 && self->comparison)
    tide_comparison_set_view (self->comparison, NAN, NAN);
}

static gboolean
scroll_cb (GtkEventControllerScroll *controller, double dx, double dy, TideChartView *self)
{
  GdkModifierType state =
      gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (controller));
  double x;

  if (!self->comparison)
    return GDK_EVENT_PROPAGATE;
  if (state & GDK_SHIFT_MASK || dx != 0)
    tide_comparison_pan (self->comparison, WHEEL_PAN * (dx != 0 ? dx : dy));
  else if (find_x (self, self->pointer_x, &x))
    tide_comparison_zoom (self->comparison, pow (ZOOM_STEP, dy), x);
  else
    return GDK_EVENT_PROPAGATE;
  return GDK_EVENT_STOP;
}

static void
pinch_begin_cb (GtkGesture *gesture, GdkEventSequence *sequence, TideChartView *self)
{
  if (self->comparison)
    tide_comparison_get_view (self->comparison, &self->drag_start, &self->drag_end);
}

static void
pinch_cb (GtkGestureZoom *gesture, double scale, TideChartView *self)
{
  double px, py, around;

  if (!self->comparison || scale <= 0
      || !gtk_gesture_get_bounding_box_center (GTK_GESTURE (gesture), &px, &py)
      || !find_x (self, px, &around))
    return;
  tide_comparison_set_view (self->comparison, around - (around - self->drag_start) / scale,
                            around + (self->drag_end - around) / scale);
}

static gboolean
key_cursor_cb (GtkWidget *widget, GVariant *args, gpointer unused)
{
  TideChartView *self = TIDE_CHART_VIEW (widget);
  double start, end, x;

  if (!self->comparison || !tide_comparison_get_view (self->comparison, &start, &end))
    return FALSE;
  x = tide_comparison_get_cursor (self->comparison);
  if (isnan (x))
    x = (start + end) / 2;
  move_cursor_to (self, x + g_variant_get_double (args) * (end - start));
  return TRUE;
}

static gboolean
key_hide_cb (GtkWidget *widget, GVariant *args, gpointer unused)
{
  TideChartView *self = TIDE_CHART_VIEW (widget);

  if (!self->comparison || isnan (tide_comparison_get_cursor (self->comparison)))
    return FALSE;
  tide_comparison_set_cursor (self->comparison, NAN);
  return TRUE;
}

/* Overrides */

static void
tide_chart_view_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  TideChartView *self = TIDE_CHART_VIEW (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  int scale = gtk_widget_get_scale_factor (widget);
  TideChartStyle style = get_style ();
  cairo_t *cr;

  if (!self->comparison || width < 1 || height < 1)
    return;
  if (!self->picture || width != self->width || height != self->height || scale != self->scale)
    {
      g_clear_pointer (&self->picture, cairo_surface_destroy);
      draw_picture (self, width, height, scale);
    }
  cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  cairo_set_source_surface (cr, self->picture, 0, 0);
  cairo_paint (cr);
  tide_chart_draw_cursor (self->comparison, &style, cr, width, height);
  cairo_destroy (cr);
}

static void
tide_chart_view_measure (GtkWidget *widget,
                         GtkOrientation orientation,
                         int for_size,
                         int *minimum,
                         int *natural,
                         int *minimum_baseline,
                         int *natural_baseline)
{
  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? 280 : 200;
  *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 720 : 480;
}

static void
tide_chart_view_dispose (GObject *object)
{
  TideChartView *self = TIDE_CHART_VIEW (object);

  if (self->signals)
    g_signal_group_set_target (self->signals, NULL);
  g_clear_object (&self->signals);
  g_clear_object (&self->comparison);
  g_clear_pointer (&self->picture, cairo_surface_destroy);
  G_OBJECT_CLASS (tide_chart_view_parent_class)->dispose (object);
}

static void
tide_chart_view_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  if (id == PROP_COMPARISON)
    g_value_set_object (value, TIDE_CHART_VIEW (object)->comparison);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
tide_chart_view_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  if (id == PROP_COMPARISON)
    tide_chart_view_set_comparison (TIDE_CHART_VIEW (object), g_value_get_object (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
tide_chart_view_class_init (TideChartViewClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = tide_chart_view_dispose;
  object_class->get_property = tide_chart_view_get_property;
  object_class->set_property = tide_chart_view_set_property;
  widget_class->snapshot = tide_chart_view_snapshot;
  widget_class->measure = tide_chart_view_measure;

  properties[PROP_COMPARISON] =
      g_param_spec_object ("comparison", NULL, NULL, TIDE_TYPE_COMPARISON,
                           G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  gtk_widget_class_set_css_name (widget_class, "chartview");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Left, 0, key_cursor_cb, "d", -CURSOR_STEP);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Right, 0, key_cursor_cb, "d", CURSOR_STEP);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Home, 0, key_cursor_cb, "d", -1.0);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_End, 0, key_cursor_cb, "d", 1.0);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Escape, 0, key_hide_cb, NULL);
}

static void
add_pointer (TideChartView *self)
{
  GtkGesture *drag = gtk_gesture_drag_new (), *pinch = gtk_gesture_zoom_new (),
             *click = gtk_gesture_click_new ();
  GtkEventController *scroll =
      gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);
  GtkEventController *motion = gtk_event_controller_motion_new ();

  g_signal_connect (drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  g_signal_connect (drag, "drag-end", G_CALLBACK (drag_end_cb), self);
  g_signal_connect (pinch, "begin", G_CALLBACK (pinch_begin_cb), self);
  g_signal_connect (pinch, "scale-changed", G_CALLBACK (pinch_cb), self);
  g_signal_connect (click, "pressed", G_CALLBACK (pressed_cb), self);
  g_signal_connect (scroll, "scroll", G_CALLBACK (scroll_cb), self);
  g_signal_connect (motion, "enter", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (leave_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drag));
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (pinch));
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (click));
  gtk_widget_add_controller (GTK_WIDGET (self), scroll);
  gtk_widget_add_controller (GTK_WIDGET (self), motion);
}

static void
tide_chart_view_init (TideChartView *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_hexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_overflow (GTK_WIDGET (self), GTK_OVERFLOW_HIDDEN);
  gtk_widget_add_css_class (GTK_WIDGET (self), "view");
  add_pointer (self);

  self->signals = g_signal_group_new (TIDE_TYPE_COMPARISON);
  g_signal_group_connect (self->signals, "changed", G_CALLBACK (changed_cb), self);
  g_signal_group_connect (self->signals, "notify::cursor", G_CALLBACK (cursor_cb), self);
  g_signal_connect_object (adw_style_manager_get_default (), "notify::dark",
                           G_CALLBACK (drop_picture), self, G_CONNECT_SWAPPED);
}

/* Public */

GtkWidget *
tide_chart_view_new (void)
{
  return g_object_new (TIDE_TYPE_CHART_VIEW, NULL);
}

TideComparison *
tide_chart_view_get_comparison (TideChartView *self)
{
  g_return_val_if_fail (TIDE_IS_CHART_VIEW (self), NULL);
  return self->comparison;
}

void
tide_chart_view_set_comparison (TideChartView *self, TideComparison *comparison)
{
  g_return_if_fail (TIDE_IS_CHART_VIEW (self));
  if (!g_set_object (&self->comparison, comparison))
    return;
  g_signal_group_set_target (self->signals, comparison);
  drop_picture (self);
  update_description (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_COMPARISON]);
}

gboolean
tide_chart_view_copy (TideChartView *self, GError **error)
{
  int width = gtk_widget_get_width (GTK_WIDGET (self)),
      height = gtk_widget_get_height (GTK_WIDGET (self));
  TideChartStyle style = get_style ();
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (GdkTexture) texture = NULL;

  g_return_val_if_fail (TIDE_IS_CHART_VIEW (self), FALSE);
  style.paint_ground = style.show_title = TRUE;
  width = CLAMP (width, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX);
  height = CLAMP (height, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX);
  bytes = tide_publish_to_bytes (self->comparison, &style, width, height, TIDE_FORMAT_PNG, error);
  if (!bytes || !(texture = gdk_texture_new_from_bytes (bytes, error)))
    return FALSE;
  gdk_clipboard_set_texture (gtk_widget_get_clipboard (GTK_WIDGET (self)), texture);
  return TRUE;
}
