/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-preview.h. One worker at a time counts: the others were cancelled and are not listened
 * to. */
#include "window/import-preview.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>
#include <math.h>

#include "chart/palette.h"
#include "window/chip.h"
#include "window/preview-curve.h"

#define HEIGHT_PX 132
#define PAD_PX    10

struct _TideImportPreview
{
  GtkBox parent;

  GtkWidget *area;
  GtkLabel *caption;

  /* owned */
  TidePreviewCurve *curve;   /* NULL: none */
  GCancellable *cancellable; /* of the worker; NULL: none runs */
};

G_DEFINE_FINAL_TYPE (TideImportPreview, tide_import_preview, GTK_TYPE_BOX)

static guint read_signal;

/* Drawing */

typedef struct
{
  double left, top, width, height; /* the plot */
  double low_w, high_w;
} Plot;

static double
get_y (const Plot *plot, double power_w)
{
  return plot->top + plot->height * (1 - (power_w - plot->low_w) / (plot->high_w - plot->low_w));
}

static void
draw_curve (cairo_t *cr, const Plot *plot, GArray *ranges, TideColor color)
{
  cairo_set_source_rgb (cr, color.red, color.green, color.blue);
  cairo_new_path (cr);
  for (guint i = 0; i < ranges->len; i++)
    {
      const TideRange *range = &g_array_index (ranges, TideRange, i);
      double x = plot->left + plot->width * i / (TIDE_PREVIEW_COLUMNS - 1);

      if (!isfinite (range->low) || !isfinite (range->high))
        continue;
      cairo_line_to (cr, x, get_y (plot, range->high));
      cairo_line_to (cr, x, get_y (plot, range->low));
    }
  cairo_set_line_width (cr, 1.5);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_BEVEL);
  cairo_stroke (cr);
}

static void
draw_text (TideImportPreview *self,
           cairo_t *cr,
           double x,
           double y,
           double x_align,
           const char *text)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (self->area, text);
  PangoAttrList *attributes = pango_attr_list_new ();
  int width, height;

  pango_attr_list_insert (attributes, pango_attr_scale_new (0.82));
  pango_layout_set_attributes (layout, attributes);
  pango_attr_list_unref (attributes);
  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_move_to (cr, x - x_align * width, y);
  pango_cairo_show_layout (cr, layout);
  cairo_new_path (cr);
}

static void
draw_axes (TideImportPreview *self, cairo_t *cr, const Plot *plot, TideColor ink)
{
  g_autofree char *top =
      tide_text_quantity (plot->high_w, plot->high_w < 10 ? 1 : 0, TIDE_QUANTITY_POWER);
  g_autofree char *length = tide_text_duration (self->curve->duration_s);
  double zero = floor (get_y (plot, 0)) + 0.5, high = floor (plot->top) + 0.5;

  cairo_set_line_width (cr, 1);
  cairo_set_source_rgba (cr, ink.red, ink.green, ink.blue, 0.3);
  cairo_move_to (cr, plot->left, zero);
  cairo_line_to (cr, plot->left + plot->width, zero);
  cairo_stroke (cr);
  cairo_set_source_rgba (cr, ink.red, ink.green, ink.blue, 0.08);
  cairo_move_to (cr, plot->left, high);
  cairo_line_to (cr, plot->left + plot->width, high);
  cairo_stroke (cr);
  cairo_set_source_rgba (cr, ink.red, ink.green, ink.blue, 0.7);
  draw_text (self, cr, plot->left - 6, plot->top - 8, 1, top);
  draw_text (self, cr, plot->left - 6, zero - 8, 1, "0");
  draw_text (self, cr, plot->left + plot->width, plot->top + plot->height + 4, 1, length);
}

/* In the middle, where the curve would be. */
static void
draw_reason (TideImportPreview *self, cairo_t *cr, int width, int height, TideColor ink)
{
  g_autoptr (PangoLayout) layout =
      gtk_widget_create_pango_layout (self->area, gtk_label_get_label (self->caption));
  int text_height;

  pango_layout_set_width (layout, (width - 2 * PAD_PX) * PANGO_SCALE);
  pango_layout_set_alignment (layout, PANGO_ALIGN_CENTER);
  pango_layout_get_pixel_size (layout, NULL, &text_height);
  cairo_set_source_rgba (cr, ink.red, ink.green, ink.blue, 0.55);
  cairo_move_to (cr, PAD_PX, (height - text_height) / 2.0);
  pango_cairo_show_layout (cr, layout);
}

static void
draw_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user_data)
{
  TideImportPreview *self = user_data;
  TideLook look = tide_look_of_style ();
  const TidePreviewCurve *curve = self->curve;
  Plot plot = { 52, PAD_PX, width - 52 - PAD_PX, height - PAD_PX - 22, 0, 1 };

  if (plot.width < 20)
    return;
  if (curve == NULL)
    {
      draw_reason (self, cr, width, height, tide_palette_get_ink (look));
      return;
    }
  plot.low_w = fmin (curve->bottom_w, 0);
  plot.high_w = curve->top_w > plot.low_w ? curve->top_w : plot.low_w + 1;
  draw_axes (self, cr, &plot, tide_palette_get_ink (look));
  for (guint i = 0; i < curve->curves->len; i++)
    draw_curve (cr, &plot, curve->curves->pdata[i], tide_palette_get_series (look, i));
}

/* Showing */

static void
show (TideImportPreview *self, TidePreviewCurve *curve, const char *caption)
{
  g_clear_pointer (&self->curve, tide_preview_curve_free);
  self->curve = curve;
  gtk_label_set_label (self->caption, caption);
  gtk_widget_set_opacity (GTK_WIDGET (self->caption), curve != NULL ? 1 : 0);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->area), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  caption, -1);
  gtk_widget_queue_draw (self->area);
}

static void
forget_worker (TideImportPreview *self)
{
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
}

/* The worker */

typedef struct
{
  GFile *file;
  TideReadingRule *rule;
} Request;

static void
free_request (Request *request)
{
  g_object_unref (request->file);
  tide_reading_rule_free (request->rule);
  g_free (request);
}

static void
read_in_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Request *request = data;
  g_autoptr (GError) error = NULL;
  TidePreviewCurve *curve =
      tide_preview_curve_read (request->file, request->rule, cancellable, &error);

  if (curve != NULL)
    g_task_return_pointer (task, curve, (GDestroyNotify)tide_preview_curve_free);
  else
    g_task_return_error (task, g_steal_pointer (&error));
}

static void
read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideImportPreview *self = TIDE_IMPORT_PREVIEW (source);
  g_autoptr (GError) error = NULL;
  TidePreviewCurve *curve = g_task_propagate_pointer (G_TASK (result), &error);

  /* another one was asked for since */
  if (g_task_get_cancellable (G_TASK (result)) != self->cancellable)
    {
      g_clear_pointer (&curve, tide_preview_curve_free);
      return;
    }
  g_clear_object (&self->cancellable);
  if (curve == NULL)
    {
      show (self, NULL, error->message);
      g_signal_emit (self, read_signal, 0, NULL, error);
      return;
    }
  g_autofree char *caption =
      curve->cut ? g_strdup_printf (_ ("The first %u MB of the file: %s"),
                                    TIDE_PREVIEW_BYTES / (1024 * 1024), curve->figures)
                 : g_strdup (curve->figures);
  show (self, curve, caption);
  g_signal_emit (self, read_signal, 0, curve->complaints, NULL);
}

/* Class */

static void
tide_import_preview_dispose (GObject *object)
{
  TideImportPreview *self = TIDE_IMPORT_PREVIEW (object);

  forget_worker (self);
  g_clear_pointer (&self->curve, tide_preview_curve_free);
  if (self->area != NULL)
    gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->area), NULL, NULL, NULL);
  self->area = NULL;
  G_OBJECT_CLASS (tide_import_preview_parent_class)->dispose (object);
}

static void
tide_import_preview_class_init (TideImportPreviewClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = tide_import_preview_dispose;
  read_signal = g_signal_new ("read", TIDE_TYPE_IMPORT_PREVIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                              NULL, G_TYPE_NONE, 2, G_TYPE_POINTER, G_TYPE_POINTER);
}

static void
tide_import_preview_init (TideImportPreview *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->area = g_object_new (GTK_TYPE_DRAWING_AREA, "accessible-role", GTK_ACCESSIBLE_ROLE_IMG,
                             "content-height", HEIGHT_PX, NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->area), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Preview of the curve"), -1);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->area), draw_cb, self, NULL);
  self->caption = GTK_LABEL (gtk_label_new (""));
  gtk_label_set_wrap (self->caption, TRUE);
  gtk_label_set_xalign (self->caption, 0);
  gtk_widget_add_css_class (GTK_WIDGET (self->caption), "caption");
  gtk_widget_add_css_class (GTK_WIDGET (self->caption), "numeric");
  gtk_widget_add_css_class (GTK_WIDGET (self->caption), "figures");
  gtk_box_append (GTK_BOX (self), self->area);
  gtk_box_append (GTK_BOX (self), GTK_WIDGET (self->caption));
  g_signal_connect_object (adw_style_manager_get_default (), "notify::dark",
                           G_CALLBACK (gtk_widget_queue_draw), self->area, G_CONNECT_SWAPPED);
}

/* Public */

void
tide_import_preview_read (TideImportPreview *self, GFile *file, const TideReadingRule *rule)
{
  Request *request = g_new0 (Request, 1);
  g_autoptr (GTask) task = NULL;

  forget_worker (self);
  self->cancellable = g_cancellable_new ();
  request->file = g_object_ref (file);
  request->rule = tide_reading_rule_copy (rule);
  task = g_task_new (self, self->cancellable, read_cb, NULL);
  g_task_set_task_data (task, request, (GDestroyNotify)free_request);
  g_task_run_in_thread (task, read_in_thread);
}

void
tide_import_preview_clear (TideImportPreview *self, const char *why)
{
  forget_worker (self);
  show (self, NULL, why);
}
