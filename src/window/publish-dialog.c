/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet for publishing. The preview is drawn by the code that writes the file, in the file's
 * own pixels and scaled to fit, so that what is seen is what is written. The title and the strip
 * belong to the comparison and are changed there; size, look and format belong to this sheet.
 */
#include "window/publish-dialog.h"

#include <glib/gi18n-lib.h>

#include "chart/publish.h"

/* Sizes readers publish at, in pixels; the last entry is the two spin buttons. Common practice, no
 * source. */
static const struct
{
  const char *label;
  int width, height;
} sizes[] = {
  { N_ ("Video, 1920 × 1080"), 1920, 1080 },
  { N_ ("Video, 3840 × 2160"), 3840, 2160 },
  { N_ ("Article, 1200 × 800"), 1200, 800 },
  { N_ ("Square, 1080 × 1080"), 1080, 1080 },
  { N_ ("Own size"), 0, 0 },
};

static const char *const endings[] = { "png", "svg", "pdf" };

struct _TidePublishDialog
{
  AdwWindow parent;

  /* template children */
  AdwToastOverlay *toasts;
  GtkWidget *preview, *width_row, *height_row;
  GtkScrolledWindow *scroller;
  AdwEntryRow *title_row;
  AdwComboRow *format_row, *look_row, *size_row;
  GtkSpinButton *width_spin, *height_spin;
  GtkSwitch *strip_switch, *real_switch;

  /* owned */
  TideComparison *comparison;
  GtkFileChooserNative *chooser; /* while it is open */
};

G_DEFINE_FINAL_TYPE (TidePublishDialog, tide_publish_dialog, ADW_TYPE_WINDOW)

enum
{
  SIGNAL_PUBLISHED,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Helpers */

static int
get_width (TidePublishDialog *self)
{
  return gtk_spin_button_get_value_as_int (self->width_spin);
}

static int
get_height (TidePublishDialog *self)
{
  return gtk_spin_button_get_value_as_int (self->height_spin);
}

static TideChartStyle
get_style (TidePublishDialog *self)
{
  TideLook look =
      adw_combo_row_get_selected (self->look_row) == 1 ? TIDE_LOOK_DARK : TIDE_LOOK_LIGHT;

  return tide_chart_style_publish (look, get_width (self), get_height (self));
}

static void
say (TidePublishDialog *self, const char *text)
{
  g_autofree char *markup = g_markup_escape_text (text, -1);

  adw_toast_overlay_add_toast (self->toasts, adw_toast_new (markup));
}

/* A file name made of the chart's title: what most file systems take, and no folder. */
static char *
suggest_name (TidePublishDialog *self)
{
  g_autofree char *title = tide_comparison_dup_title (self->comparison);

  for (char *c = title; *c; c = g_utf8_next_char (c))
    if (strchr ("/\\:*?\"<>|", *c) || g_ascii_iscntrl (*c))
      *c = '-';
  return g_strdup_printf ("%s.%s", title, endings[adw_combo_row_get_selected (self->format_row)]);
}

static void
update_preview (TidePublishDialog *self)
{
  gboolean real = gtk_switch_get_active (self->real_switch);

  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (self->preview),
                                      real ? get_width (self) : 0);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (self->preview),
                                       real ? get_height (self) : 0);
  gtk_widget_queue_draw (self->preview);
}

/* Callbacks */

static void
draw_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user_data)
{
  TidePublishDialog *self = user_data;
  TideChartStyle style = get_style (self);
  double w = get_width (self), h = get_height (self), scale = MIN (width / w, height / h);

  if (gtk_switch_get_active (self->real_switch))
    scale = 1;
  else
    cairo_translate (cr, (width - w * scale) / 2, (height - h * scale) / 2);
  cairo_scale (cr, scale, scale);
  cairo_rectangle (cr, 0, 0, w, h);
  cairo_clip (cr);
  tide_chart_draw (self->comparison, &style, cr, w, h);
}

static void
changed_cb (TidePublishDialog *self)
{
  update_preview (self);
}

static void
size_cb (TidePublishDialog *self)
{
  guint selected = adw_combo_row_get_selected (self->size_row);
  gboolean own;

  if (selected >= G_N_ELEMENTS (sizes))
    return;
  own = sizes[selected].width == 0;
  if (!own)
    {
      gtk_spin_button_set_value (self->width_spin, sizes[selected].width);
      gtk_spin_button_set_value (self->height_spin, sizes[selected].height);
    }
  gtk_widget_set_visible (self->width_row, own);
  gtk_widget_set_visible (self->height_row, own);
  update_preview (self);
}

static void
title_cb (TidePublishDialog *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->title_row));

  tide_comparison_set_title (self->comparison, *text ? text : NULL);
}

static void
copy_cb (TidePublishDialog *self)
{
  TideChartStyle style = get_style (self);
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (GdkTexture) texture = NULL;

  bytes = tide_publish_to_bytes (self->comparison, &style, get_width (self), get_height (self),
                                 TIDE_FORMAT_PNG, &error);
  if (bytes)
    texture = gdk_texture_new_from_bytes (bytes, &error);
  if (!texture)
    {
      say (self, error->message);
      return;
    }
  gdk_clipboard_set_texture (gtk_widget_get_clipboard (GTK_WIDGET (self)), texture);
  say (self, _ ("Picture copied"));
}

static void
chosen_cb (TidePublishDialog *self, int response)
{
  TideChartStyle style = get_style (self);
  g_autoptr (GtkFileChooserNative) chooser = g_steal_pointer (&self->chooser);
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) file = NULL;

  if (response != GTK_RESPONSE_ACCEPT)
    return;
  file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (chooser));
  if (!tide_publish_to_file (self->comparison, &style, get_width (self), get_height (self), file,
                             &error))
    {
      say (self, error->message);
      return;
    }
  g_signal_emit (self, signals[SIGNAL_PUBLISHED], 0, file);
  gtk_window_close (GTK_WINDOW (self));
}

static void
save_cb (TidePublishDialog *self)
{
  g_autofree char *name = suggest_name (self);

  if (self->chooser)
    return;
  self->chooser =
      gtk_file_chooser_native_new (_ ("Publish chart"), GTK_WINDOW (self),
                                   GTK_FILE_CHOOSER_ACTION_SAVE, _ ("_Save"), _ ("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  g_signal_connect_swapped (self->chooser, "response", G_CALLBACK (chosen_cb), self);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

/* Overrides */

static void
tide_publish_dialog_dispose (GObject *object)
{
  TidePublishDialog *self = TIDE_PUBLISH_DIALOG (object);

  if (self->chooser)
    gtk_native_dialog_destroy (GTK_NATIVE_DIALOG (self->chooser));
  g_clear_object (&self->chooser);
  if (self->preview)
    gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->preview), NULL, NULL, NULL);
  if (self->comparison)
    g_signal_handlers_disconnect_by_data (self->comparison, self);
  g_clear_object (&self->comparison);
  G_OBJECT_CLASS (tide_publish_dialog_parent_class)->dispose (object);
}

static void
bind_template (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/publish-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, toasts);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, preview);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, scroller);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, title_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, format_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, look_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, size_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, width_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, height_row);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, width_spin);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, height_spin);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, strip_switch);
  gtk_widget_class_bind_template_child (widget_class, TidePublishDialog, real_switch);
  gtk_widget_class_bind_template_callback (widget_class, changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, size_cb);
  gtk_widget_class_bind_template_callback (widget_class, copy_cb);
  gtk_widget_class_bind_template_callback (widget_class, save_cb);
}

static void
tide_publish_dialog_class_init (TidePublishDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_publish_dialog_dispose;
  signals[SIGNAL_PUBLISHED] =
      g_signal_new ("published", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                    G_TYPE_NONE, 1, G_TYPE_FILE);
  bind_template (widget_class);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
tide_publish_dialog_init (TidePublishDialog *self)
{
  g_autoptr (GtkStringList) labels = gtk_string_list_new (NULL);

  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_spin_button_set_range (self->width_spin, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX);
  gtk_spin_button_set_range (self->height_spin, TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX);
  gtk_spin_button_set_increments (self->width_spin, 10, 100);
  gtk_spin_button_set_increments (self->height_spin, 10, 100);
  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    gtk_string_list_append (labels, _ (sizes[i].label));
  adw_combo_row_set_model (self->size_row, G_LIST_MODEL (labels));
  size_cb (self);
}

/* Public */

GtkWidget *
tide_publish_dialog_new (GtkWindow *parent, TideComparison *comparison)
{
  TidePublishDialog *self;
  const char *title;

  g_return_val_if_fail (TIDE_IS_COMPARISON (comparison), NULL);
  self = g_object_new (TIDE_TYPE_PUBLISH_DIALOG, "transient-for", parent, NULL);
  title = tide_comparison_get_title (comparison);
  self->comparison = g_object_ref (comparison);
  gtk_editable_set_text (GTK_EDITABLE (self->title_row), title ? title : "");
  g_signal_connect_swapped (self->title_row, "changed", G_CALLBACK (title_cb), self);
  g_signal_connect_swapped (comparison, "changed", G_CALLBACK (update_preview), self);
  g_object_bind_property (comparison, "show-strip", self->strip_switch, "active",
                          G_BINDING_SYNC_CREATE | G_BINDING_BIDIRECTIONAL);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->preview), draw_cb, self, NULL);
  return GTK_WIDGET (self);
}
