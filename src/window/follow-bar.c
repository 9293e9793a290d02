/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See follow-bar.h. */
#include "window/follow-bar.h"

struct _TideFollowBar
{
  GtkBox parent;

  /* template */
  GtkWidget *mark;
  GtkLabel *title;
  GtkLabel *text;
  GtkWidget *stop, *import, *close;
};

G_DEFINE_FINAL_TYPE (TideFollowBar, tide_follow_bar, GTK_TYPE_BOX)

/* Overrides */

static void
tide_follow_bar_class_init (TideFollowBarClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/follow-bar.ui");
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, mark);
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, title);
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, text);
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, stop);
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, import);
  gtk_widget_class_bind_template_child (widget_class, TideFollowBar, close);
}

static void
tide_follow_bar_init (TideFollowBar *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/* Public */

void
tide_follow_bar_show (TideFollowBar *self,
                      const char *title,
                      const char *text,
                      gboolean is_live,
                      gboolean can_import)
{
  gtk_label_set_label (self->title, title);
  gtk_label_set_label (self->text, text);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self->text), text);
  gtk_widget_set_visible (self->mark, is_live);
  gtk_widget_set_visible (self->stop, is_live);
  gtk_widget_set_visible (self->import, !is_live && can_import);
  gtk_widget_set_visible (self->close, !is_live);
}

const char *
tide_follow_bar_get_text (TideFollowBar *self)
{
  return gtk_label_get_label (self->text);
}
