/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See failures-dialog.h. */
#include "window/failures-dialog.h"

#include <glib/gi18n-lib.h>

static GtkWidget *
make_row (const char *failure)
{
  GtkWidget *label = gtk_label_new (failure);

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  gtk_label_set_selectable (GTK_LABEL (label), TRUE);
  gtk_widget_add_css_class (label, "failure");
  return label;
}

static GtkWidget *
make_list (GPtrArray *failures)
{
  GtkWidget *list = gtk_list_box_new (), *scroller = gtk_scrolled_window_new ();

  gtk_list_box_set_selection_mode (GTK_LIST_BOX (list), GTK_SELECTION_NONE);
  for (guint i = 0; i < failures->len; i++)
    gtk_list_box_append (GTK_LIST_BOX (list), make_row (failures->pdata[i]));
  gtk_widget_add_css_class (list, "boxed-list");
  gtk_widget_set_valign (list, GTK_ALIGN_START);
  gtk_widget_set_margin_start (list, 18);
  gtk_widget_set_margin_end (list, 18);
  gtk_widget_set_margin_top (list, 18);
  gtk_widget_set_margin_bottom (list, 18);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), list);
  gtk_widget_set_vexpand (scroller, TRUE);
  return scroller;
}

static void
add_escape (GtkWidget *window)
{
  GtkEventController *keys = gtk_shortcut_controller_new ();

  gtk_shortcut_controller_add_shortcut (GTK_SHORTCUT_CONTROLLER (keys),
                                        gtk_shortcut_new (gtk_keyval_trigger_new (GDK_KEY_Escape,
                                                                                  0),
                                                          gtk_named_action_new ("window.close")));
  gtk_widget_add_controller (window, keys);
}

void
tide_present_failures (GtkWindow *parent, GPtrArray *failures)
{
  GtkWidget *window = adw_window_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  g_autofree char *title =
      g_strdup_printf (ngettext ("%u file could not be imported", "%u files could not be imported",
                                 failures->len),
                       failures->len);

  gtk_box_append (GTK_BOX (box), adw_header_bar_new ());
  gtk_box_append (GTK_BOX (box), make_list (failures));
  adw_window_set_content (ADW_WINDOW (window), box);
  gtk_window_set_title (GTK_WINDOW (window), title);
  gtk_window_set_default_size (GTK_WINDOW (window), 560, 360);
  gtk_window_set_transient_for (GTK_WINDOW (window), parent);
  gtk_window_set_modal (GTK_WINDOW (window), TRUE);
  add_escape (window);
  gtk_window_present (GTK_WINDOW (window));
}
