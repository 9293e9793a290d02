/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-sheet.h. The sheet holds the rule and the look; its parts tell what a person states
 * and show what they are handed. */
#include "window/import-sheet.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#include "intake/statements.h"
#include "window/complaint-list.h"
#include "window/import-columns.h"
#include "window/import-doubts.h"
#include "window/import-facts.h"
#include "window/import-labels.h"
#include "window/import-preview.h"
#include "window/glancing.h"

/* Typing and clicking come to rest before the file is looked at again. */
#define REST_MS 150

struct _TideImportSheet
{
  AdwWindow parent;

  /* template */
  AdwWindowTitle *title;
  GtkWidget *import_button, *skip_button;
  GtkSpinner *spinner;
  GtkLabel *trouble;
  GtkWidget *interval_box; /* where a file without a time is told its own */
  GtkEditable *interval;
  TideImportQuestions *questions;
  TideImportColumns *columns;
  GtkLabel *rows_heading;
  GtkLabel *place;
  TideImportPreview *preview;
  TideImportFacts *facts;
  TideComplaintList *complaints;
  TideImportLabels *labels;
  AdwPreferencesGroup *remember_group;
  GtkSwitch *remember;
  AdwEntryRow *rule_name;

  /* owned */
  char *library_path;
  GPtrArray *looks;          /* TideGlance, as they came */
  TideReadingRule *rule;     /* what is stated for all of them */
  TideGlance *look;          /* the latest, of the file in sight */
  TideUnderstanding *shown;  /* the table in sight: the look's, or of the last look that had one */
  guint supposed;            /* tide_glance_get_supposed() of that look */
  GCancellable *cancellable; /* of the look being taken; NULL: none is */
  GError *read_error;        /* what the whole reading ended with; NULL */
  GError *refusal;           /* of what was stated last, which the rule did not take; NULL */

  guint file, table; /* in sight */
  guint rest;        /* a look is due */
};

G_DEFINE_FINAL_TYPE (TideImportSheet, tide_import_sheet, ADW_TYPE_WINDOW)

enum
{
  SIGNAL_IMPORT,
  SIGNAL_SKIP_ALL,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Showing */

static gboolean
is_busy (TideImportSheet *self)
{
  return self->rest != 0 || self->cancellable != NULL;
}

/* May the look be read to its end? */
static gboolean
is_readable (TideImportSheet *self)
{
  return tide_glance_get_error (self->look) == NULL && !tide_glance_is_probe (self->look)
         && !tide_glance_has_open (self->look);
}

/* What the person sees of what is wrong; a broken file is a question instead. */
static char *
describe_trouble (TideImportSheet *self)
{
  if (self->refusal != NULL)
    return g_strdup (self->refusal->message);

  const GError *error = tide_glance_get_error (self->look);
  const char *hint = "";

  if (error == NULL)
    error = self->read_error;
  if (error == NULL || g_error_matches (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN))
    return tide_import_labels_check (self->labels);
  if (g_error_matches (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME))
    hint = _ ("Choose the column that is the time above it, or state the seconds from row to row.");
  else if (g_error_matches (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE))
    hint = _ ("Choose above the columns what they mean.");
  return g_strdup_printf ("%s%s%s", error->message, *hint != '\0' ? "\n" : "", hint);
}

static void
update_state (TideImportSheet *self)
{
  g_autofree char *trouble = describe_trouble (self);
  gboolean can_import =
      !is_busy (self) && is_readable (self) && self->read_error == NULL && trouble == NULL;
  gboolean remembers = gtk_switch_get_active (self->remember);

  gtk_label_set_label (self->trouble, trouble != NULL ? trouble : "");
  gtk_widget_set_visible (GTK_WIDGET (self->trouble), trouble != NULL);
  gtk_spinner_set_spinning (self->spinner, is_busy (self));
  gtk_widget_set_sensitive (self->import_button, can_import);
  gtk_widget_set_visible (GTK_WIDGET (self->remember_group),
                          *tide_glance_get_signature (self->look) != '\0');
  gtk_widget_set_sensitive (GTK_WIDGET (self->rule_name), remembers);
}

static void
ask (TideImportSheet *self)
{
  const GError *error = tide_glance_get_error (self->look);

  tide_import_doubts_ask (self->questions, self->look, error != NULL ? error : self->read_error,
                          self->rule);
}

/* Of several files the one is named whose rows are in sight. */
static void
show_heading (TideImportSheet *self)
{
  g_autofree char *text = NULL;

  if (self->looks->len == 1)
    return;
  /* Translators: %s is the name of a file */
  text = g_strdup_printf (_ ("First Rows of %s"), tide_glance_get_name (self->look));
  gtk_label_set_label (self->rows_heading, text);
}

/* By what is stated, at once. */
static void
show_columns (TideImportSheet *self)
{
  if (self->shown != NULL)
    tide_import_columns_update (self->columns, self->shown, self->rule, self->supposed);
}

/* Is the time among what has to be said? Of rows without names nothing is known at first. */
static gboolean
lacks_time (TideImportSheet *self)
{
  GPtrArray *tables = tide_glance_get_tables (self->look);
  g_auto (GStrv) header = tide_reading_rule_get (self->rule, "header");

  return tide_glance_is_probe (self->look)
         && (g_error_matches (tide_glance_get_error (self->look), TIDE_READING_ERROR,
                              TIDE_READING_ERROR_NO_TIME)
             || (tide_understanding_get_header_row (tables->pdata[0]) == 0 && header[0] == NULL));
}

/* What can be shown of the look; where it has no table, that of the one before stays in sight. */
static void
show_look (TideImportSheet *self)
{
  GPtrArray *tables = tide_glance_get_tables (self->look);

  g_clear_error (&self->read_error);
  gtk_widget_set_visible (GTK_WIDGET (self->place), FALSE);
  gtk_widget_set_visible (self->interval_box, lacks_time (self));
  show_heading (self);
  ask (self);
  if (tables != NULL)
    {
      self->table = MIN (self->table, tables->len - 1);
      g_clear_pointer (&self->shown, tide_understanding_unref);
      self->shown = tide_understanding_ref (tables->pdata[self->table]);
      self->supposed = tide_glance_get_supposed (self->look);
      tide_import_facts_update (self->facts, self->look, self->table, self->rule);
      tide_complaint_list_update (self->complaints,
                                  tide_glance_is_probe (self->look)
                                      ? NULL
                                      : tide_understanding_get_complaints (self->shown),
                                  NULL);
    }
  show_columns (self);
  if (is_readable (self))
    tide_import_preview_read (self->preview, tide_glance_get_file (self->look), self->rule);
  else
    tide_import_preview_clear (self->preview,
                               _ ("The curve shows here once the file can be read."));
  update_state (self);
}

/* Looking again */

static void
stop_looking (TideImportSheet *self)
{
  g_clear_handle_id (&self->rest, g_source_remove);
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
}

static void
taken_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideImportSheet *self = TIDE_IMPORT_SHEET (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (TideGlance) look = g_task_propagate_pointer (G_TASK (result), &error);

  /* something else was stated since, or the sheet is closed */
  if (g_task_get_cancellable (G_TASK (result)) != self->cancellable)
    return;
  g_clear_object (&self->cancellable);
  if (look != NULL)
    {
      tide_glance_unref (self->look);
      self->look = g_steal_pointer (&look);
      show_look (self);
      return;
    }
  g_clear_error (&self->read_error);
  self->read_error = g_steal_pointer (&error);
  update_state (self);
}

static gboolean
rest_cb (gpointer user_data)
{
  TideImportSheet *self = user_data;

  self->rest = 0;
  self->cancellable = g_cancellable_new ();
  tide_glance_async (G_OBJECT (self), self->library_path,
                     tide_glance_get_file (self->looks->pdata[self->file]), self->rule,
                     self->cancellable, taken_cb);
  return G_SOURCE_REMOVE;
}

static void
look_again (TideImportSheet *self)
{
  stop_looking (self);
  g_clear_error (&self->refusal);
  show_columns (self);
  tide_import_preview_clear (self->preview, "");
  self->rest = g_timeout_add (REST_MS, rest_cb, self);
  update_state (self);
}

/* What a person states */

/* The rule stays as it was, and so does all that shows. What a rule calls it says nothing here. */
static void
refuse (TideImportSheet *self, const char *key, GError *error)
{
  g_autofree char *prefix = g_strconcat (key, ": ", NULL);

  if (g_str_has_prefix (error->message, prefix))
    memmove (error->message, error->message + strlen (prefix),
             strlen (error->message) - strlen (prefix) + 1);
  g_clear_error (&self->refusal);
  self->refusal = error;
  update_state (self);
}

static void
stated_cb (GtkWidget *part, const char *key, const char *text, TideImportSheet *self)
{
  GError *error = NULL;

  if (tide_reading_rule_set (self->rule, key, text, &error))
    look_again (self);
  else
    refuse (self, key, error);
}

static void
withdrawn_cb (GtkWidget *part, const char *key, const char *text, TideImportSheet *self)
{
  if (!tide_statement_is_made (self->rule, key, text))
    return;
  tide_statement_withdraw (self->rule, key, text);
  look_again (self);
}

static void
interval_cb (TideImportSheet *self)
{
  g_autofree char *text = g_strdup (gtk_editable_get_text (self->interval));

  if (*g_strstrip (text) != '\0')
    stated_cb (GTK_WIDGET (self->interval), "every", text, self);
}

static void
column_cb (GtkWidget *part, guint column, const TideColumnState *state, TideImportSheet *self)
{
  GError *error = NULL;

  /* where the rows had to be shown as if nothing named them, saying what one is says that too */
  if (!is_readable (self) && tide_understanding_get_header_row (self->shown) == 0
      && !tide_reading_rule_set (self->rule, "header", "0", &error))
    refuse (self, "header", error);
  else if (tide_column_state_set (self->rule, self->shown, column, state, &error))
    look_again (self);
  else
    refuse (self, "column", error);
}

static void
table_cb (GtkWidget *part, guint table, TideImportSheet *self)
{
  self->table = table;
  show_look (self);
}

static void
file_cb (GtkWidget *part, guint file, TideImportSheet *self)
{
  if (file == self->file)
    return;
  self->file = file;
  look_again (self);
}

static void
place_cb (GtkWidget *part, guint64 row, TideImportSheet *self)
{
  g_autofree char *text = NULL;

  if (row == tide_understanding_get_header_row (self->shown))
    text = g_strdup_printf (_ ("Row %" PRIu64 " names the columns"), row);
  else if (!tide_import_columns_show_row (self->columns, row))
    text = g_strdup_printf (_ ("Row %" PRIu64 " lies beyond the rows shown here"), row);
  gtk_label_set_label (self->place, text != NULL ? text : "");
  gtk_widget_set_visible (GTK_WIDGET (self->place), text != NULL);
}

static void
read_cb (GtkWidget *part, GPtrArray *complaints, const GError *error, TideImportSheet *self)
{
  tide_complaint_list_update (self->complaints, tide_understanding_get_complaints (self->shown),
                              complaints);
  /* what has no preview can be imported all the same */
  if (error == NULL || error->domain == G_IO_ERROR)
    return;
  g_clear_error (&self->read_error);
  self->read_error = g_error_copy (error);
  ask (self);
  update_state (self);
}

/* Buttons */

static void
import_cb (TideImportSheet *self)
{
  g_autoptr (GPtrArray) requests =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_glance_unref);
  gboolean remembers = gtk_switch_get_active (self->remember)
                       && gtk_widget_get_visible (GTK_WIDGET (self->remember_group));

  for (guint i = 0; i < self->looks->len; i++)
    {
      g_autoptr (TideConditions) stated = tide_import_labels_dup (self->labels, i);
      TideGlance *look = self->looks->pdata[i];

      g_ptr_array_add (requests, tide_glance_request (look, self->rule, stated,
                                                      tide_glance_get_replace (look)));
    }
  g_signal_emit (self, signals[SIGNAL_IMPORT], 0, requests,
                 remembers ? gtk_editable_get_text (GTK_EDITABLE (self->rule_name)) : NULL,
                 tide_glance_get_signature (self->look));
  gtk_window_close (GTK_WINDOW (self));
}

static void
skip_cb (TideImportSheet *self)
{
  g_signal_emit (self, signals[SIGNAL_SKIP_ALL], 0);
  gtk_window_close (GTK_WINDOW (self));
}

/* Class */

static gboolean
tide_import_sheet_close_request (GtkWindow *window)
{
  TideImportSheet *self = TIDE_IMPORT_SHEET (window);

  stop_looking (self);
  tide_import_preview_clear (self->preview, "");
  return GTK_WINDOW_CLASS (tide_import_sheet_parent_class)->close_request (window);
}

static void
tide_import_sheet_dispose (GObject *object)
{
  stop_looking (TIDE_IMPORT_SHEET (object));
  G_OBJECT_CLASS (tide_import_sheet_parent_class)->dispose (object);
}

static void
tide_import_sheet_finalize (GObject *object)
{
  TideImportSheet *self = TIDE_IMPORT_SHEET (object);

  g_free (self->library_path);
  g_clear_pointer (&self->looks, g_ptr_array_unref);
  g_clear_pointer (&self->rule, tide_reading_rule_free);
  g_clear_pointer (&self->look, tide_glance_unref);
  g_clear_pointer (&self->shown, tide_understanding_unref);
  g_clear_error (&self->read_error);
  g_clear_error (&self->refusal);
  G_OBJECT_CLASS (tide_import_sheet_parent_class)->finalize (object);
}

static void
bind_template (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (widget_class,
                                               "/org/tidemark/Tidemark/import-sheet.ui");
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, title);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, import_button);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, skip_button);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, spinner);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, trouble);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, interval_box);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, interval);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, questions);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, columns);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, rows_heading);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, place);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, preview);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, facts);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, complaints);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, labels);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, remember_group);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, remember);
  gtk_widget_class_bind_template_child (widget_class, TideImportSheet, rule_name);
  gtk_widget_class_bind_template_callback (widget_class, stated_cb);
  gtk_widget_class_bind_template_callback (widget_class, withdrawn_cb);
  gtk_widget_class_bind_template_callback (widget_class, interval_cb);
  gtk_widget_class_bind_template_callback (widget_class, column_cb);
  gtk_widget_class_bind_template_callback (widget_class, table_cb);
  gtk_widget_class_bind_template_callback (widget_class, file_cb);
  gtk_widget_class_bind_template_callback (widget_class, place_cb);
  gtk_widget_class_bind_template_callback (widget_class, read_cb);
  gtk_widget_class_bind_template_callback (widget_class, update_state);
  gtk_widget_class_bind_template_callback (widget_class, import_cb);
  gtk_widget_class_bind_template_callback (widget_class, skip_cb);
}

static void
ensure_types (void)
{
  g_type_ensure (TIDE_TYPE_IMPORT_QUESTIONS);
  g_type_ensure (TIDE_TYPE_IMPORT_COLUMNS);
  g_type_ensure (TIDE_TYPE_IMPORT_PREVIEW);
  g_type_ensure (TIDE_TYPE_IMPORT_FACTS);
  g_type_ensure (TIDE_TYPE_COMPLAINT_LIST);
  g_type_ensure (TIDE_TYPE_IMPORT_LABELS);
}

static void
tide_import_sheet_class_init (TideImportSheetClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = tide_import_sheet_dispose;
  G_OBJECT_CLASS (klass)->finalize = tide_import_sheet_finalize;
  GTK_WINDOW_CLASS (klass)->close_request = tide_import_sheet_close_request;
  signals[SIGNAL_IMPORT] =
      g_signal_new ("import", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                    G_TYPE_NONE, 3, G_TYPE_PTR_ARRAY, G_TYPE_STRING, G_TYPE_STRING);
  signals[SIGNAL_SKIP_ALL] = g_signal_new ("skip-all", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST,
                                           0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  ensure_types ();
  bind_template (widget_class);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
tide_import_sheet_init (TideImportSheet *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/* Public */

static void
set_titles (TideImportSheet *self, guint n_waiting)
{
  guint n = self->looks->len;
  g_autofree char *subtitle = NULL;

  if (n > 1)
    subtitle =
        g_strdup_printf (ngettext ("%u file that looks alike", "%u files that look alike", n), n);
  else
    subtitle = g_strdup (tide_glance_get_name (self->looks->pdata[0]));
  adw_window_title_set_subtitle (self->title, subtitle);
  gtk_widget_set_visible (self->skip_button, n_waiting > 0);
  if (n_waiting > 0)
    {
      g_autofree char *waiting =
          g_strdup_printf (ngettext ("%u more sheet comes after this one",
                                     "%u more sheets come after this one", n_waiting),
                           n_waiting);

      gtk_widget_set_tooltip_text (self->skip_button, waiting);
    }
}

static void
propose_rule_name (TideImportSheet *self)
{
  const char *name = tide_glance_get_rule_name (self->look);
  g_autoptr (TideConditions) first = tide_import_labels_dup (self->labels, 0);

  gtk_editable_set_text (GTK_EDITABLE (self->rule_name),
                         name != NULL ? name : tide_conditions_get (first, TIDE_CONDITION_NAME));
}

GtkWidget *
tide_import_sheet_new (GtkWindow *parent,
                       const char *library_path,
                       GPtrArray *looks,
                       guint n_waiting)
{
  TideImportSheet *self = g_object_new (TIDE_TYPE_IMPORT_SHEET, "transient-for", parent, NULL);

  self->library_path = g_strdup (library_path);
  self->looks = g_ptr_array_ref (looks);
  self->look = tide_glance_ref (looks->pdata[0]);
  self->rule = tide_reading_rule_copy (tide_glance_get_rule (self->look));
  tide_import_labels_set_looks (self->labels, looks);
  set_titles (self, n_waiting);
  propose_rule_name (self);
  show_look (self);
  if (!tide_import_questions_focus_open (self->questions))
    {
      if (lacks_time (self) && tide_understanding_get_header_row (self->shown) > 0)
        gtk_widget_grab_focus (GTK_WIDGET (self->interval));
      else if (tide_glance_is_probe (self->look))
        tide_import_columns_focus (self->columns);
      else
        gtk_widget_grab_focus (self->import_button);
    }
  return GTK_WIDGET (self);
}
