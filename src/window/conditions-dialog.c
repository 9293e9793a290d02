/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See conditions-dialog.h. One row a field, made from the table of conditions; the notes, which may
 * hold several lines, have a text view. */
#include "window/conditions-dialog.h"

#include <glib/gi18n-lib.h>

struct _TideConditionsDialog
{
  AdwWindow parent;

  /* template */
  AdwPreferencesGroup *fields;
  GtkTextView *notes;
  GtkLabel *complaint;
  GtkWidget *save;

  GtkEditable *rows[TIDE_N_CONDITIONS]; /* NULL for the notes */
};

G_DEFINE_FINAL_TYPE (TideConditionsDialog, tide_conditions_dialog, ADW_TYPE_WINDOW)

static guint saved_signal;

/* Helpers */

static char *
dup_text (TideConditionsDialog *self, TideCondition field)
{
  GtkTextBuffer *buffer;
  GtkTextIter start, end;

  if (self->rows[field] != NULL)
    return g_strdup (gtk_editable_get_text (self->rows[field]));
  buffer = gtk_text_view_get_buffer (self->notes);
  gtk_text_buffer_get_bounds (buffer, &start, &end);
  return gtk_text_buffer_get_text (buffer, &start, &end, FALSE);
}

static void
mark_field (TideConditionsDialog *self, TideCondition field, gboolean wrong)
{
  GtkWidget *widget =
      self->rows[field] != NULL ? GTK_WIDGET (self->rows[field]) : GTK_WIDGET (self->notes);

  if (wrong)
    gtk_widget_add_css_class (widget, "error");
  else
    gtk_widget_remove_css_class (widget, "error");
  gtk_accessible_update_state (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_STATE_INVALID,
                               wrong ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE,
                               -1);
}

/* Marks the wrong fields, says what is wrong with the first. */
static void
check (TideConditionsDialog *self)
{
  g_autoptr (GError) first = NULL;

  for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
    {
      g_autofree char *text = dup_text (self, field);
      g_autoptr (GError) error = NULL;

      mark_field (self, field, !tide_condition_check (field, g_strstrip (text), &error));
      if (first == NULL)
        first = g_steal_pointer (&error);
    }
  gtk_label_set_label (self->complaint, first != NULL ? first->message : "");
  gtk_widget_set_visible (GTK_WIDGET (self->complaint), first != NULL);
  gtk_widget_set_sensitive (self->save, first == NULL);
}

static const char *
get_hint (TideCondition field)
{
  switch (field)
    {
    case TIDE_CONDITION_AMBIENT:
      return _ ("In degrees Celsius, for example 22.5");
    case TIDE_CONDITION_DATE:
      return _ ("For example 2026-03-01 or 2026-03-01T14:30");
    case TIDE_CONDITION_MODE:
      return _ ("For example docked, handheld, in use");
    default:
      return NULL;
    }
}

static void
add_row (TideConditionsDialog *self, TideCondition field)
{
  GtkWidget *row = adw_entry_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), tide_condition_get_label (field));
  gtk_widget_set_tooltip_text (row, get_hint (field));
  adw_entry_row_set_activates_default (ADW_ENTRY_ROW (row), TRUE);
  adw_preferences_group_add (self->fields, row);
  self->rows[field] = GTK_EDITABLE (row);
  g_signal_connect_swapped (row, "changed", G_CALLBACK (check), self);
}

/* Callbacks */

static void
save_cb (GtkWidget *button, TideConditionsDialog *self)
{
  g_autoptr (TideConditions) conditions = tide_conditions_new ();

  for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
    {
      g_autofree char *text = dup_text (self, field);

      tide_conditions_set (conditions, field, text);
    }
  g_signal_emit (self, saved_signal, 0, conditions);
  gtk_window_close (GTK_WINDOW (self));
}

/* Overrides */

static void
tide_conditions_dialog_class_init (TideConditionsDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  saved_signal = g_signal_new ("saved", TIDE_TYPE_CONDITIONS_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL,
                               NULL, NULL, G_TYPE_NONE, 1, TIDE_TYPE_CONDITIONS);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/conditions-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, TideConditionsDialog, fields);
  gtk_widget_class_bind_template_child (widget_class, TideConditionsDialog, notes);
  gtk_widget_class_bind_template_child (widget_class, TideConditionsDialog, complaint);
  gtk_widget_class_bind_template_child (widget_class, TideConditionsDialog, save);
  gtk_widget_class_bind_template_callback (widget_class, save_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
tide_conditions_dialog_init (TideConditionsDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
    if (field != TIDE_CONDITION_NOTES)
      add_row (self, field);
  g_signal_connect_swapped (gtk_text_view_get_buffer (self->notes), "changed", G_CALLBACK (check),
                            self);
}

/* Public */

GtkWidget *
tide_conditions_dialog_new (GtkWindow *parent, const TideConditions *conditions)
{
  TideConditionsDialog *self =
      g_object_new (TIDE_TYPE_CONDITIONS_DIALOG, "transient-for", parent, NULL);

  for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
    if (self->rows[field] != NULL)
      gtk_editable_set_text (self->rows[field], tide_conditions_get (conditions, field));
    else
      gtk_text_buffer_set_text (gtk_text_view_get_buffer (self->notes),
                                tide_conditions_get (conditions, field), -1);
  check (self);
  gtk_widget_grab_focus (GTK_WIDGET (self->rows[TIDE_CONDITION_NAME]));
  return GTK_WIDGET (self);
}
