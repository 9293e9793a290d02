/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-labels.h. */
#include "window/import-labels.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>

#include "intake/labels.h"

/* Conditions that a group of files has in common; the name is each file's own, the date its log's.
 */
static const TideCondition fields[] = {
  TIDE_CONDITION_DEVICE, TIDE_CONDITION_PORT,  TIDE_CONDITION_MODE,    TIDE_CONDITION_SUPPLY,
  TIDE_CONDITION_CABLE,  TIDE_CONDITION_METER, TIDE_CONDITION_AMBIENT,
};

typedef struct
{
  GtkWidget *entry;   /* AdwEntryRow */
  GtkWidget *by_file; /* the row with the switch; NULL: the files do not differ in it */
  GtkSwitch *by_switch;
} Field;

struct _TideImportLabels
{
  GtkBox parent;

  /* template */
  AdwPreferencesGroup *files_group, *conditions_group;

  Field fields[TIDE_N_CONDITIONS];
  GPtrArray *names;     /* GtkEditable, borrowed, one a file */
  GPtrArray *proposals; /* TideConditions, one a file */
};

G_DEFINE_FINAL_TYPE (TideImportLabels, tide_import_labels, GTK_TYPE_BOX)

enum
{
  SIGNAL_CHANGED,
  SIGNAL_SHOWN,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Callbacks */

static void
changed_cb (TideImportLabels *self)
{
  g_signal_emit (self, signals[SIGNAL_CHANGED], 0);
}

static void
entered_cb (GtkEventControllerFocus *focus, TideImportLabels *self)
{
  GtkWidget *row = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus));
  guint file;

  if (g_ptr_array_find (self->names, row, &file))
    g_signal_emit (self, signals[SIGNAL_SHOWN], 0, file);
}

static void
by_file_cb (GtkSwitch *by_file, GParamSpec *pspec, TideImportLabels *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    {
      Field *field = &self->fields[fields[i]];

      if (field->by_switch == by_file)
        gtk_widget_set_visible (field->entry, !gtk_switch_get_active (by_file));
    }
  changed_cb (self);
}

/* Files */

static void
add_file (TideImportLabels *self, TideGlance *look, const char *name)
{
  GtkWidget *row = adw_entry_row_new ();
  GtkEventController *focus = gtk_event_controller_focus_new ();

  adw_preferences_row_set_use_markup (ADW_PREFERENCES_ROW (row), FALSE);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), tide_glance_get_name (look));
  adw_entry_row_set_activates_default (ADW_ENTRY_ROW (row), TRUE);
  gtk_widget_set_tooltip_text (row, tide_glance_get_name (look));
  gtk_editable_set_text (GTK_EDITABLE (row), name);
  g_signal_connect (focus, "enter", G_CALLBACK (entered_cb), self);
  gtk_widget_add_controller (row, focus);
  g_signal_connect_swapped (row, "changed", G_CALLBACK (changed_cb), self);
  adw_preferences_group_add (self->files_group, row);
  g_ptr_array_add (self->names, row);
}

/* Conditions */

/* The same for all files, or NULL. */
static const char *
find_common (TideImportLabels *self, TideCondition field)
{
  const char *common = tide_conditions_get (self->proposals->pdata[0], field);

  for (guint i = 1; i < self->proposals->len; i++)
    if (!g_str_equal (tide_conditions_get (self->proposals->pdata[i], field), common))
      return NULL;
  return common;
}

static char *
list_proposals (TideImportLabels *self, TideCondition field)
{
  g_autoptr (GString) list = g_string_new (NULL);

  for (guint i = 0; i < self->proposals->len; i++)
    {
      const char *text = tide_conditions_get (self->proposals->pdata[i], field);

      g_string_append_printf (list, "%s%s", i > 0 ? " · " : "", *text != '\0' ? text : "–");
    }
  return g_markup_escape_text (list->str, -1);
}

static void
add_by_file (TideImportLabels *self, TideCondition condition)
{
  Field *field = &self->fields[condition];
  g_autofree char *list = list_proposals (self, condition);
  /* Translators: %s is the label of a condition: "Port" */
  g_autofree char *title =
      g_strdup_printf (_ ("%s by the files’ names"), tide_condition_get_label (condition));

  field->by_switch = GTK_SWITCH (gtk_switch_new ());
  gtk_switch_set_active (field->by_switch, TRUE);
  gtk_widget_set_valign (GTK_WIDGET (field->by_switch), GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (field->by_switch), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  title, -1);
  field->by_file = adw_action_row_new ();
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (field->by_file), title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (field->by_file), list);
  adw_action_row_set_subtitle_lines (ADW_ACTION_ROW (field->by_file), 2);
  adw_action_row_add_suffix (ADW_ACTION_ROW (field->by_file), GTK_WIDGET (field->by_switch));
  adw_action_row_set_activatable_widget (ADW_ACTION_ROW (field->by_file),
                                         GTK_WIDGET (field->by_switch));
  adw_preferences_group_add (self->conditions_group, field->by_file);
  g_signal_connect (field->by_switch, "notify::active", G_CALLBACK (by_file_cb), self);
}

static void
add_field (TideImportLabels *self, TideCondition condition)
{
  Field *field = &self->fields[condition];
  const char *common = find_common (self, condition);

  if (common == NULL)
    add_by_file (self, condition);
  field->entry = adw_entry_row_new ();
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (field->entry),
                                 tide_condition_get_label (condition));
  adw_entry_row_set_activates_default (ADW_ENTRY_ROW (field->entry), TRUE);
  gtk_editable_set_text (GTK_EDITABLE (field->entry), common != NULL ? common : "");
  gtk_widget_set_visible (field->entry, common != NULL);
  adw_preferences_group_add (self->conditions_group, field->entry);
  g_signal_connect_swapped (field->entry, "changed", G_CALLBACK (changed_cb), self);
}

/* What was stated before comes before what the name of the file proposes. */
static void
take_proposals (TideImportLabels *self, GPtrArray *looks)
{
  g_autofree const char **files = g_new0 (const char *, looks->len);

  for (guint i = 0; i < looks->len; i++)
    files[i] = tide_glance_get_name (looks->pdata[i]);
  self->proposals = tide_labels_propose (files, looks->len);
  for (guint i = 0; i < looks->len; i++)
    for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
      {
        const char *stated = tide_conditions_get (tide_glance_get_stated (looks->pdata[i]), field);

        if (*stated != '\0')
          tide_conditions_set (self->proposals->pdata[i], field, stated);
      }
}

static const char *
get_text (TideImportLabels *self, TideCondition condition, guint file)
{
  const Field *field = &self->fields[condition];

  if (field->by_switch != NULL && gtk_switch_get_active (field->by_switch))
    return tide_conditions_get (self->proposals->pdata[file], condition);
  return gtk_editable_get_text (GTK_EDITABLE (field->entry));
}

/* Class */

static void
tide_import_labels_finalize (GObject *object)
{
  TideImportLabels *self = TIDE_IMPORT_LABELS (object);

  g_ptr_array_unref (self->names);
  g_clear_pointer (&self->proposals, g_ptr_array_unref);
  G_OBJECT_CLASS (tide_import_labels_parent_class)->finalize (object);
}

static void
tide_import_labels_class_init (TideImportLabelsClass *klass)
{
  GType type = G_TYPE_FROM_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = tide_import_labels_finalize;
  signals[SIGNAL_CHANGED] =
      g_signal_new ("changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_SHOWN] = g_signal_new ("shown", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                        G_TYPE_NONE, 1, G_TYPE_UINT);
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/import-labels.ui");
  gtk_widget_class_bind_template_child (widget_class, TideImportLabels, files_group);
  gtk_widget_class_bind_template_child (widget_class, TideImportLabels, conditions_group);
}

static void
tide_import_labels_init (TideImportLabels *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->names = g_ptr_array_new ();
}

/* Public */

void
tide_import_labels_set_looks (TideImportLabels *self, GPtrArray *looks)
{
  g_return_if_fail (self->proposals == NULL && looks->len > 0);

  take_proposals (self, looks);
  for (guint i = 0; i < looks->len; i++)
    add_file (self, looks->pdata[i],
              tide_conditions_get (self->proposals->pdata[i], TIDE_CONDITION_NAME));
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    add_field (self, fields[i]);
}

static void
mark_row (GtkWidget *row, gboolean wrong)
{
  if (wrong)
    gtk_widget_add_css_class (row, "error");
  else
    gtk_widget_remove_css_class (row, "error");
  gtk_accessible_update_state (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_STATE_INVALID,
                               wrong ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE,
                               -1);
}

static void
check_row (GtkWidget *row, TideCondition condition, char **first)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup (gtk_editable_get_text (GTK_EDITABLE (row)));

  mark_row (row, !tide_condition_check (condition, g_strstrip (text), &error));
  if (error != NULL && *first == NULL)
    *first = g_strdup (error->message);
}

char *
tide_import_labels_check (TideImportLabels *self)
{
  char *first = NULL;

  for (guint i = 0; i < self->names->len; i++)
    check_row (self->names->pdata[i], TIDE_CONDITION_NAME, &first);
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    check_row (self->fields[fields[i]].entry, fields[i], &first);
  return first;
}

TideConditions *
tide_import_labels_dup (TideImportLabels *self, guint file)
{
  TideConditions *conditions = tide_conditions_copy (self->proposals->pdata[file]);

  tide_conditions_set (conditions, TIDE_CONDITION_NAME,
                       gtk_editable_get_text (self->names->pdata[file]));
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    tide_conditions_set (conditions, fields[i], get_text (self, fields[i], file));
  return conditions;
}
