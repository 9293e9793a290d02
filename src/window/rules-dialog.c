/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See rules-dialog.h. The list is read anew after every change: rules are few. */
#include "window/rules-dialog.h"

#include <glib/gi18n-lib.h>

#include "intake/rule-file.h"
#include "intake/statements.h"

#define HEADER_CHARS 160

struct _TideRulesDialog
{
  AdwWindow parent;

  /* template */
  AdwToastOverlay *toasts;
  AdwPreferencesGroup *rules_group;
  GtkWidget *none;
  GtkSwitch *unasked;

  /* owned */
  GPtrArray *rows;               /* GtkWidget of the group, borrowed */
  GtkFileChooserNative *chooser; /* while it is open */
  TideStoredRule *written;       /* what the chooser is open for; NULL: to read a file */

  TideStore *store; /* borrowed */
};

G_DEFINE_FINAL_TYPE (TideRulesDialog, tide_rules_dialog, ADW_TYPE_WINDOW)

static void fill (TideRulesDialog *self);

/* Helpers */

static TideStoredRule *
copy_rule (const TideStoredRule *rule)
{
  TideStoredRule *copy = g_new0 (TideStoredRule, 1);

  copy->id = rule->id;
  copy->name = g_strdup (rule->name);
  copy->signature = g_strdup (rule->signature);
  copy->text = g_strdup (rule->text);
  copy->saved_us = rule->saved_us;
  return copy;
}

static AdwToast *
say (TideRulesDialog *self, const char *text)
{
  g_autofree char *escaped = g_markup_escape_text (text, -1);
  AdwToast *toast = adw_toast_new (escaped);

  adw_toast_overlay_add_toast (self->toasts, toast);
  return toast;
}

/* The rule of a row or of one of its buttons: a copy hangs on it. */
static void
attach_rule (gpointer widget, const TideStoredRule *rule)
{
  g_object_set_data_full (G_OBJECT (widget), "rule", copy_rule (rule),
                          (GDestroyNotify)tide_stored_rule_free);
}

static TideStoredRule *
get_rule (gpointer widget)
{
  return g_object_get_data (G_OBJECT (widget), "rule");
}

/* The names of the columns as one line. */
static char *
describe_header (const char *signature)
{
  g_autofree char *valid = g_utf8_make_valid (signature, -1);
  g_autoptr (GString) line = g_string_new (NULL);
  gboolean gap = FALSE;

  for (const char *c = valid; *c != '\0' && line->len < HEADER_CHARS; c = g_utf8_next_char (c))
    {
      gunichar letter = g_utf8_get_char (c);

      if (!g_unichar_iscntrl (letter))
        {
          if (gap && line->len > 0)
            g_string_append (line, " · ");
          g_string_append_unichar (line, letter);
        }
      gap = g_unichar_iscntrl (letter);
    }
  return g_markup_escape_text (line->str, -1);
}

/* Changing */

static void
renamed_cb (AdwEntryRow *row, TideRulesDialog *self)
{
  const TideStoredRule *rule = get_rule (row);
  g_autofree char *name = g_strdup (gtk_editable_get_text (GTK_EDITABLE (row)));
  g_autoptr (GError) error = NULL;

  if (!tide_store_rename_rule (self->store, rule->id, g_strstrip (name), &error))
    {
      say (self, error->message);
      return;
    }
  fill (self);
}

static void
bring_back_cb (AdwToast *toast, TideRulesDialog *self)
{
  const TideStoredRule *rule = get_rule (toast);
  g_autoptr (TideStoredRule) taken = NULL;
  g_autoptr (GError) error = NULL;

  if (!tide_store_find_rule (self->store, rule->name, FALSE, &taken, &error))
    say (self, error->message);
  else if (taken != NULL)
    say (self, _ ("Another rule has that name by now"));
  else if (tide_store_save_rule (self->store, rule->name, rule->signature, rule->text, &error) == 0)
    say (self, error->message);
  fill (self);
}

static void
remove_cb (GtkButton *button, TideRulesDialog *self)
{
  g_autoptr (TideStoredRule) rule = copy_rule (get_rule (button));
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;
  AdwToast *toast;

  if (!tide_store_remove_rule (self->store, rule->id, &error))
    {
      say (self, error->message);
      return;
    }
  /* Translators: %s is the name of a reading rule */
  text = g_strdup_printf (_ ("%s removed"), rule->name);
  toast = say (self, text);
  adw_toast_set_button_label (toast, _ ("_Undo"));
  attach_rule (toast, rule);
  g_signal_connect_object (toast, "button-clicked", G_CALLBACK (bring_back_cb), self, 0);
  fill (self);
}

/* Files */

static void
write_rule (TideRulesDialog *self, GFile *file)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;

  if (tide_rule_file_write (self->written, file, &error))
    /* Translators: %s is the name of a reading rule */
    text = g_strdup_printf (_ ("%s exported"), self->written->name);
  say (self, error != NULL ? error->message : text);
}

/* A rule of that name that is there already stays. */
static void
read_rule (TideRulesDialog *self, GFile *file)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStoredRule) rule = tide_rule_file_read (file, &error), taken = NULL;
  g_autofree char *text = NULL;

  if (rule != NULL && tide_store_find_rule (self->store, rule->name, FALSE, &taken, &error)
      && taken == NULL)
    tide_store_save_rule (self->store, rule->name, rule->signature, rule->text, &error);
  if (error != NULL)
    text = g_strdup (error->message);
  else if (taken != NULL)
    /* Translators: %s is the name of a reading rule */
    text = g_strdup_printf (_ ("There is a rule named %s already: rename it first"), rule->name);
  else
    text = g_strdup_printf (_ ("%s added"), rule->name);
  say (self, text);
  fill (self);
}

static void
chosen_cb (TideRulesDialog *self, int response)
{
  g_autoptr (GtkFileChooserNative) chooser = g_steal_pointer (&self->chooser);
  g_autoptr (GFile) file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (chooser));

  if (response == GTK_RESPONSE_ACCEPT && file != NULL && self->written != NULL)
    write_rule (self, file);
  else if (response == GTK_RESPONSE_ACCEPT && file != NULL)
    read_rule (self, file);
  g_clear_pointer (&self->written, tide_stored_rule_free);
}

static void
show_chooser (TideRulesDialog *self, const char *title, GtkFileChooserAction action)
{
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self), action,
                                               action == GTK_FILE_CHOOSER_ACTION_SAVE ? _ ("_Save")
                                                                                      : _ ("_Open"),
                                               _ ("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_swapped (self->chooser, "response", G_CALLBACK (chosen_cb), self);
}

static void
export_cb (GtkButton *button, TideRulesDialog *self)
{
  g_autofree char *name = NULL;

  if (self->chooser != NULL)
    return;
  self->written = copy_rule (get_rule (button));
  name = g_strconcat (self->written->name, TIDE_RULE_FILE_ENDING, NULL);
  show_chooser (self, _ ("Export Reading Rule"), GTK_FILE_CHOOSER_ACTION_SAVE);
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser),
                                     g_strdelimit (name, "/\\:*?\"<>|", '-'));
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
add_cb (TideRulesDialog *self)
{
  if (self->chooser != NULL)
    return;
  show_chooser (self, _ ("Add Reading Rule"), GTK_FILE_CHOOSER_ACTION_OPEN);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

/* The list */

static void
add_button (TideRulesDialog *self,
            GtkWidget *row,
            const TideStoredRule *rule,
            const char *icon,
            const char *format_label,
            GCallback clicked_cb)
{
  GtkWidget *button = gtk_button_new_from_icon_name (icon);
  /* Translators: what a button does, and the name of the reading rule it does it with */
  g_autofree char *label = g_strdup_printf (_ ("%s: %s"), format_label, rule->name);

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_set_tooltip_text (button, format_label);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                  -1);
  attach_rule (button, rule);
  g_signal_connect (button, "clicked", clicked_cb, self);
  adw_expander_row_add_action (ADW_EXPANDER_ROW (row), button);
}

static void
add_line (GtkWidget *row, const char *line)
{
  GtkWidget *part = adw_action_row_new ();

  adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (part), FALSE);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (part), line);
  adw_action_row_set_title_lines (ADW_ACTION_ROW (part), 3);
  adw_expander_row_add_row (ADW_EXPANDER_ROW (row), part);
}

static void
add_words (GtkWidget *row, const TideStoredRule *stored)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_from_text (stored->text, &error);
  g_autofree char *words =
      rule != NULL ? tide_statements_describe (rule) : g_strdup (error->message);
  g_auto (GStrv) lines =
      g_strsplit (*words != '\0' ? words
                                 : _ ("The file is read as it is understood, without asking"),
                  "\n", -1);

  for (guint i = 0; lines[i] != NULL; i++)
    add_line (row, lines[i]);
}

static void
add_name_entry (TideRulesDialog *self, GtkWidget *row, const TideStoredRule *rule)
{
  GtkWidget *entry = adw_entry_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (entry), _ ("Name"));
  gtk_editable_set_text (GTK_EDITABLE (entry), rule->name);
  adw_entry_row_set_show_apply_button (ADW_ENTRY_ROW (entry), TRUE);
  attach_rule (entry, rule);
  g_signal_connect (entry, "apply", G_CALLBACK (renamed_cb), self);
  adw_expander_row_add_row (ADW_EXPANDER_ROW (row), entry);
}

static void
add_rule (TideRulesDialog *self, const TideStoredRule *rule)
{
  GtkWidget *row = adw_expander_row_new ();
  g_autofree char *header = describe_header (rule->signature);
  g_autofree char *name = g_markup_escape_text (rule->name, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), name);
  adw_expander_row_set_subtitle (ADW_EXPANDER_ROW (row), header);
  add_button (self, row, rule, "user-trash-symbolic", _ ("Remove"), G_CALLBACK (remove_cb));
  add_button (self, row, rule, "document-save-symbolic", _ ("Export"), G_CALLBACK (export_cb));
  add_name_entry (self, row, rule);
  add_words (row, rule);
  adw_preferences_group_add (self->rules_group, row);
  g_ptr_array_add (self->rows, row);
}

static void
fill (TideRulesDialog *self)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) rules = tide_store_list_rules (self->store, &error);

  for (guint i = 0; i < self->rows->len; i++)
    adw_preferences_group_remove (self->rules_group, self->rows->pdata[i]);
  g_ptr_array_set_size (self->rows, 0);
  if (rules == NULL)
    say (self, error->message);
  for (guint i = 0; rules != NULL && i < rules->len; i++)
    add_rule (self, rules->pdata[i]);
  gtk_widget_set_visible (self->none, self->rows->len == 0);
}

/* Class */

static void
tide_rules_dialog_dispose (GObject *object)
{
  TideRulesDialog *self = TIDE_RULES_DIALOG (object);

  if (self->chooser != NULL)
    gtk_native_dialog_destroy (GTK_NATIVE_DIALOG (self->chooser));
  g_clear_object (&self->chooser);
  g_clear_pointer (&self->written, tide_stored_rule_free);
  g_clear_pointer (&self->rows, g_ptr_array_unref);
  G_OBJECT_CLASS (tide_rules_dialog_parent_class)->dispose (object);
}

static void
tide_rules_dialog_class_init (TideRulesDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_rules_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/rules-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, TideRulesDialog, toasts);
  gtk_widget_class_bind_template_child (widget_class, TideRulesDialog, rules_group);
  gtk_widget_class_bind_template_child (widget_class, TideRulesDialog, none);
  gtk_widget_class_bind_template_child (widget_class, TideRulesDialog, unasked);
  gtk_widget_class_bind_template_callback (widget_class, add_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
tide_rules_dialog_init (TideRulesDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->rows = g_ptr_array_new ();
}

/* Public */

GtkWidget *
tide_rules_dialog_new (GtkWindow *parent, TideStore *store, GSettings *settings)
{
  TideRulesDialog *self = g_object_new (TIDE_TYPE_RULES_DIALOG, "transient-for", parent, NULL);

  self->store = store;
  g_settings_bind (settings, "import-unasked", self->unasked, "active", G_SETTINGS_BIND_DEFAULT);
  fill (self);
  return GTK_WIDGET (self);
}
