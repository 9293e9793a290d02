/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See chip.h. */
#include "window/chip.h"

#include <adwaita.h>

#include "comparison/comparison.h"

#define SIDE_PX   14
#define RADIUS_PX 4
#define RING_PX   3

struct _TideChip
{
  GtkWidget parent;

  guint slot;
};

G_DEFINE_FINAL_TYPE (TideChip, tide_chip, GTK_TYPE_WIDGET)

static void
tide_chip_measure (GtkWidget *widget,
                   GtkOrientation orientation,
                   int for_size,
                   int *minimum,
                   int *natural,
                   int *minimum_baseline,
                   int *natural_baseline)
{
  *minimum = *natural = SIDE_PX;
}

static void
tide_chip_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  TideChip *self = TIDE_CHIP (widget);
  TideColor color = tide_palette_get_series (tide_look_of_style (), self->slot);
  GdkRGBA rgba = { (float)color.red, (float)color.green, (float)color.blue, 1 };
  GskRoundedRect outline;
  float x = (float)(gtk_widget_get_width (widget) - SIDE_PX) / 2;
  float y = (float)(gtk_widget_get_height (widget) - SIDE_PX) / 2;

  gsk_rounded_rect_init_from_rect (&outline, &GRAPHENE_RECT_INIT (x, y, SIDE_PX, SIDE_PX),
                                   RADIUS_PX);
  if (self->slot >= TIDE_N_SLOTS)
    {
      gtk_snapshot_append_border (snapshot, &outline,
                                  (float[4]){ RING_PX, RING_PX, RING_PX, RING_PX },
                                  (GdkRGBA[4]){ rgba, rgba, rgba, rgba });
      return;
    }
  gtk_snapshot_push_rounded_clip (snapshot, &outline);
  gtk_snapshot_append_color (snapshot, &rgba, &outline.bounds);
  gtk_snapshot_pop (snapshot);
}

static void
tide_chip_class_init (TideChipClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->measure = tide_chip_measure;
  widget_class->snapshot = tide_chip_snapshot;
  gtk_widget_class_set_css_name (widget_class, "chip");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
}

static void
tide_chip_init (TideChip *self)
{
  g_signal_connect_object (adw_style_manager_get_default (), "notify::dark",
                           G_CALLBACK (gtk_widget_queue_draw), self, G_CONNECT_SWAPPED);
}

GtkWidget *
tide_chip_new (guint slot)
{
  TideChip *self = g_object_new (TIDE_TYPE_CHIP, NULL);

  self->slot = slot;
  return GTK_WIDGET (self);
}

void
tide_chip_set_slot (TideChip *self, guint slot)
{
  if (self->slot == slot)
    return;
  self->slot = slot;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

TideLook
tide_look_of_style (void)
{
  return adw_style_manager_get_dark (adw_style_manager_get_default ()) ? TIDE_LOOK_DARK
                                                                       : TIDE_LOOK_LIGHT;
}
