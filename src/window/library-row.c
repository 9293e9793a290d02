/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See library-row.h. */
#include "window/library-row.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>

#include "chart/chart.h"
#include "comparison/comparison.h"
#include "window/chip.h"

/* Chips in one line of the colour popover. */
#define CHIPS_ACROSS 4

struct _TideLibraryRow
{
  GtkBox parent;

  /* template */
  GtkLabel *heading;
  GtkCheckButton *check;
  GtkMenuButton *color_button;
  GtkLabel *name;
  GtkLabel *line;
  GtkLabel *energy;
  GtkDrawingArea *sketch;

  /* owned */
  TideChip *chip; /* by color_button */
  GSignalGroup *entry_signals;

  gboolean updating; /* while the check box follows, rather than asks */
};

G_DEFINE_FINAL_TYPE (TideLibraryRow, tide_library_row, GTK_TYPE_BOX)

/* Helpers */

static void
set_accessible_label (gpointer widget, const char *label)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                  -1);
}

static void
update_color (TideLibraryRow *self, TideEntry *entry)
{
  guint slot = tide_entry_get_slot (entry);
  g_autofree char *label = g_strdup_printf (_ ("Color of %s: %s"), tide_entry_get_name (entry),
                                            tide_palette_get_name (tide_look_of_style (), slot));

  tide_chip_set_slot (self->chip, slot);
  set_accessible_label (self->color_button, label);
}

static void
update (TideLibraryRow *self)
{
  TideEntry *entry = tide_library_row_get_entry (self);

  if (entry == NULL)
    return;
  const TideRunInfo *info = tide_entry_get_info (entry);
  g_autofree char *line = tide_conditions_to_line (info->conditions);
  g_autofree char *energy = tide_text_quantity (info->energy_wh, 2, TIDE_QUANTITY_ENERGY);
  g_autofree char *label = g_strdup_printf (_ ("Compare %s"), tide_entry_get_name (entry));

  gtk_label_set_label (self->name, tide_entry_get_name (entry));
  gtk_label_set_label (self->line, line);
  gtk_widget_set_visible (GTK_WIDGET (self->line), *line != '\0');
  gtk_label_set_label (self->energy, energy);
  set_accessible_label (self->check, label);
  /* GTK 4.8 cannot name a list item; its widget is the parent of what the factory made. */
  if (gtk_widget_get_parent (GTK_WIDGET (self)) != NULL)
    set_accessible_label (gtk_widget_get_parent (GTK_WIDGET (self)), tide_entry_get_name (entry));
  update_color (self, entry);
  gtk_widget_queue_draw (GTK_WIDGET (self->sketch));
}

/* Callbacks */

static void
draw_sketch_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user_data)
{
  TideLibraryRow *self = user_data;
  TideEntry *entry = tide_library_row_get_entry (self);
  GArray *ranges = entry != NULL ? tide_entry_get_sketch (entry) : NULL;

  if (ranges != NULL)
    tide_chart_draw_sketch ((const TideRange *)(void *)ranges->data, ranges->len,
                            tide_palette_get_series (tide_look_of_style (),
                                                     tide_entry_get_slot (entry)),
                            cr, width, height);
}

static void
check_toggled_cb (GtkCheckButton *check, TideLibraryRow *self)
{
  TideEntry *entry = tide_library_row_get_entry (self);

  if (self->updating || entry == NULL)
    return;
  gtk_widget_activate_action (GTK_WIDGET (self), "library.tick", "(xb)", tide_entry_get_id (entry),
                              gtk_check_button_get_active (check));
}

static GtkWidget *
make_slot_button (gint64 id, guint slot)
{
  GtkWidget *button = gtk_button_new ();
  const char *name = tide_palette_get_name (tide_look_of_style (), slot);

  gtk_button_set_child (GTK_BUTTON (button), tide_chip_new (slot));
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_set_tooltip_text (button, name);
  set_accessible_label (button, name);
  gtk_actionable_set_action_target (GTK_ACTIONABLE (button), "(xu)", id, slot);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), "library.slot");
  return button;
}

/* The popover is made when it is first wanted: most rows never show one. */
static void
create_color_popover_cb (GtkMenuButton *button, gpointer user_data)
{
  TideLibraryRow *self = user_data;
  TideEntry *entry = tide_library_row_get_entry (self);
  GtkWidget *popover = gtk_popover_new (), *grid = gtk_grid_new ();

  for (guint slot = 0; entry != NULL && slot < TIDE_N_SLOTS; slot++)
    {
      GtkWidget *chip = make_slot_button (tide_entry_get_id (entry), slot);

      g_signal_connect_swapped (chip, "clicked", G_CALLBACK (gtk_popover_popdown), popover);
      gtk_grid_attach (GTK_GRID (grid), chip, (int)(slot % CHIPS_ACROSS),
                       (int)(slot / CHIPS_ACROSS), 1, 1);
    }
  gtk_popover_set_child (GTK_POPOVER (popover), grid);
  gtk_menu_button_set_popover (button, popover);
}

/* Overrides */

static void
tide_library_row_dispose (GObject *object)
{
  TideLibraryRow *self = TIDE_LIBRARY_ROW (object);

  g_clear_object (&self->entry_signals);
  G_OBJECT_CLASS (tide_library_row_parent_class)->dispose (object);
}

static void
tide_library_row_class_init (TideLibraryRowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_library_row_dispose;
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/library-row.ui");
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, heading);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, check);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, color_button);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, name);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, line);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, energy);
  gtk_widget_class_bind_template_child (widget_class, TideLibraryRow, sketch);
  gtk_widget_class_bind_template_callback (widget_class, check_toggled_cb);
}

static void
tide_library_row_init (TideLibraryRow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->chip = TIDE_CHIP (tide_chip_new (0));
  gtk_menu_button_set_child (self->color_button, GTK_WIDGET (self->chip));
  gtk_menu_button_set_create_popup_func (self->color_button, create_color_popover_cb, self, NULL);
  gtk_drawing_area_set_draw_func (self->sketch, draw_sketch_cb, self, NULL);
  self->entry_signals = g_signal_group_new (TIDE_TYPE_ENTRY);
  g_signal_group_connect_swapped (self->entry_signals, "notify", G_CALLBACK (update), self);
  g_signal_connect_object (adw_style_manager_get_default (), "notify::dark", G_CALLBACK (update),
                           self, G_CONNECT_SWAPPED);
}

/* Public */

GtkWidget *
tide_library_row_new (void)
{
  return g_object_new (TIDE_TYPE_LIBRARY_ROW, NULL);
}

void
tide_library_row_set_entry (TideLibraryRow *self, TideEntry *entry)
{
  g_signal_group_set_target (self->entry_signals, entry);
  gtk_menu_button_set_popover (self->color_button, NULL);
  update (self);
}

TideEntry *
tide_library_row_get_entry (TideLibraryRow *self)
{
  /* the group's reference is a weak one; the list model holds the entry */
  g_autoptr (GObject) entry = g_signal_group_dup_target (self->entry_signals);

  return (TideEntry *)entry;
}

void
tide_library_row_set_ticked (TideLibraryRow *self, gboolean ticked)
{
  self->updating = TRUE;
  gtk_check_button_set_active (self->check, ticked);
  self->updating = FALSE;
}

void
tide_library_row_set_heading (TideLibraryRow *self, const char *heading)
{
  gtk_label_set_label (self->heading, heading != NULL ? heading : "");
  gtk_widget_set_visible (GTK_WIDGET (self->heading), heading != NULL);
}
