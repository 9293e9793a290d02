/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See chart-bar.h. The quantity's buttons are radio actions of the window ("win.y"); the drop-downs
 * are bound to the comparison here. */
#include "window/chart-bar.h"

#include <glib/gi18n-lib.h>

struct _TideChartBar
{
  GtkBox parent;

  /* template */
  GtkDropDown *x;
  GtkDropDown *align;
  GtkDropDown *reference;
  GtkWidget *everything; /* the button that ends zooming, shown while zoomed */

  /* owned */
  TideComparison *comparison;
  GtkStringList *names; /* of the runs, in the comparison's order */

  gboolean following; /* while the drop-downs follow, rather than set */
};

G_DEFINE_FINAL_TYPE (TideChartBar, tide_chart_bar, GTK_TYPE_BOX)

/* The drop-downs' faces: what is chosen, under a small word for what the choice is of. */

/* The word is the box's accessible name already. */
static GtkWidget *
make_caption (const char *text)
{
  GtkWidget *label = g_object_new (GTK_TYPE_LABEL, "label", text, "xalign", 0.0, "accessible-role",
                                   GTK_ACCESSIBLE_ROLE_PRESENTATION, NULL);

  gtk_widget_add_css_class (label, "dim-label");
  gtk_widget_add_css_class (label, "face-caption");
  return label;
}

/* Gives way when there is little room. */
static void
setup_face_cb (GtkSignalListItemFactory *factory, GtkListItem *item, const char *caption)
{
  GtkWidget *face = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *choice = g_object_new (GTK_TYPE_LABEL, "xalign", 0.0, "ellipsize", PANGO_ELLIPSIZE_END,
                                    "width-chars", 7, "max-width-chars", 18, NULL);

  gtk_widget_set_valign (face, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (face), make_caption (caption));
  gtk_box_append (GTK_BOX (face), choice);
  gtk_list_item_set_child (item, face);
}

static void
bind_face_cb (GtkSignalListItemFactory *factory, GtkListItem *item)
{
  GtkWidget *choice = gtk_widget_get_last_child (gtk_list_item_get_child (item));

  gtk_label_set_label (GTK_LABEL (choice),
                       gtk_string_object_get_string (gtk_list_item_get_item (item)));
}

static void
set_face (GtkDropDown *drop_down, const char *caption)
{
  g_autoptr (GtkListItemFactory) factory = gtk_signal_list_item_factory_new ();

  g_signal_connect_data (factory, "setup", G_CALLBACK (setup_face_cb), g_strdup (caption),
                         (GClosureNotify)(void (*) (void))g_free, 0);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_face_cb), NULL);
  gtk_drop_down_set_factory (drop_down, factory);
}

/* Helpers */

static void
fill_choices (TideChartBar *self)
{
  g_autoptr (GtkStringList) axes = gtk_string_list_new (NULL);
  g_autoptr (GtkStringList) alignments = gtk_string_list_new (NULL);

  for (TideAxis axis = 0; axis < TIDE_N_AXES; axis++)
    gtk_string_list_append (axes, tide_axis_get_name (axis));
  for (TideAlignment alignment = 0; alignment < TIDE_N_ALIGNMENTS; alignment++)
    gtk_string_list_append (alignments, tide_alignment_get_name (alignment));
  self->following = TRUE;
  gtk_drop_down_set_model (self->x, G_LIST_MODEL (axes));
  gtk_drop_down_set_model (self->align, G_LIST_MODEL (alignments));
  gtk_drop_down_set_model (self->reference, G_LIST_MODEL (self->names));
  self->following = FALSE;
}

static gboolean
has_current_names (TideChartBar *self)
{
  guint n = tide_comparison_get_n_runs (self->comparison);

  if (n != g_list_model_get_n_items (G_LIST_MODEL (self->names)))
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (g_strcmp0 (gtk_string_list_get_string (self->names, i),
                   tide_compared_run_get_name (tide_comparison_get_run (self->comparison, i)))
        != 0)
      return FALSE;
  return TRUE;
}

static void
take_names (TideChartBar *self)
{
  guint n = tide_comparison_get_n_runs (self->comparison);
  g_autofree const char **names = g_new0 (const char *, n + 1);

  for (guint i = 0; i < n; i++)
    names[i] = tide_compared_run_get_name (tide_comparison_get_run (self->comparison, i));
  gtk_string_list_splice (self->names, 0, g_list_model_get_n_items (G_LIST_MODEL (self->names)),
                          names);
}

static void
follow (TideChartBar *self)
{
  self->following = TRUE;
  if (!has_current_names (self))
    take_names (self);
  gtk_drop_down_set_selected (self->x, tide_comparison_get_x (self->comparison));
  gtk_drop_down_set_selected (self->align, tide_comparison_get_alignment (self->comparison));
  gtk_drop_down_set_selected (self->reference, tide_comparison_get_reference (self->comparison));
  gtk_widget_set_visible (self->everything, tide_comparison_is_zoomed (self->comparison));
  self->following = FALSE;
}

/* Callbacks */

static void
selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, TideChartBar *self)
{
  guint selected = gtk_drop_down_get_selected (drop_down);

  if (self->following || self->comparison == NULL || selected == GTK_INVALID_LIST_POSITION)
    return;
  if (drop_down == self->x)
    tide_comparison_set_x (self->comparison, selected);
  else if (drop_down == self->align)
    tide_comparison_set_alignment (self->comparison, selected);
  else
    tide_comparison_set_reference (self->comparison, selected);
}

/* Overrides */

static void
tide_chart_bar_dispose (GObject *object)
{
  TideChartBar *self = TIDE_CHART_BAR (object);

  if (self->comparison != NULL)
    g_signal_handlers_disconnect_by_data (self->comparison, self);
  g_clear_object (&self->comparison);
  g_clear_object (&self->names);
  G_OBJECT_CLASS (tide_chart_bar_parent_class)->dispose (object);
}

static void
tide_chart_bar_class_init (TideChartBarClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_chart_bar_dispose;
  gtk_widget_class_set_css_name (widget_class, "chartbar");
  gtk_widget_class_set_template_from_resource (widget_class, "/org/tidemark/Tidemark/chart-bar.ui");
  gtk_widget_class_bind_template_child (widget_class, TideChartBar, x);
  gtk_widget_class_bind_template_child (widget_class, TideChartBar, align);
  gtk_widget_class_bind_template_child (widget_class, TideChartBar, reference);
  gtk_widget_class_bind_template_child (widget_class, TideChartBar, everything);
  gtk_widget_class_bind_template_callback (widget_class, selected_cb);
}

static void
tide_chart_bar_init (TideChartBar *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->names = gtk_string_list_new (NULL);
  set_face (self->x, _ ("Over"));
  set_face (self->align, _ ("Aligned on"));
  set_face (self->reference, _ ("Reference"));
  fill_choices (self);
}

/* Public */

void
tide_chart_bar_set_comparison (TideChartBar *self, TideComparison *comparison)
{
  g_return_if_fail (self->comparison == NULL);

  self->comparison = g_object_ref (comparison);
  g_signal_connect_swapped (comparison, "changed", G_CALLBACK (follow), self);
  g_signal_connect_swapped (comparison, "items-changed", G_CALLBACK (follow), self);
  follow (self);
}
