/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See window.h and, for who does what, window-private.h. */
#include "window/window-private.h"

#include <glib/gi18n-lib.h>

#include "window/about.h"

/* Removed runs can be brought back while their window is open; 30 days later they go for good. */
#define PURGE_AFTER_S (30.0 * 24 * 3600)
/* Long enough to see that it worked */
#define COPIED_SECONDS 2

G_DEFINE_FINAL_TYPE (TideWindow, tide_window, ADW_TYPE_APPLICATION_WINDOW)

/* Helpers */

static void
purge_in_thread (GTask *task, gpointer source, gpointer path, GCancellable *cancellable)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (path, &error);

  if (store != NULL && tide_store_purge (store, PURGE_AFTER_S, &error))
    g_task_return_boolean (task, TRUE);
  else
    g_task_return_error (task, g_steal_pointer (&error));
}

static void
purged_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;

  /* Nothing is lost when old runs stay a little longer: the next start tries again. */
  if (!g_task_propagate_boolean (G_TASK (result), &error))
    g_info ("removed runs were not cleared away: %s", error->message);
}

static void
purge_later (const char *path)
{
  g_autoptr (GTask) task = g_task_new (NULL, NULL, purged_cb, NULL);

  g_task_set_task_data (task, g_strdup (path), g_free);
  g_task_run_in_thread (task, purge_in_thread);
}

static void
show_failed_page (TideWindow *self, const GError *error)
{
  g_autofree char *escaped = g_markup_escape_text (error->message, -1);
  g_autofree char *text =
      g_strdup_printf ("%s\n\n%s", escaped,
                       _ ("Mend the cause and try again, or open another library."));

  adw_status_page_set_description (self->failed_page, text);
  gtk_stack_set_visible_child_name (self->stack, "failed");
}

static void
close_library (TideWindow *self)
{
  if (self->library == NULL)
    return;
  tide_window_close_following (self);
  tide_window_detach_importer (self);
  tide_window_clear_sheets (self);
  g_hash_table_remove_all (self->run_files);
  tide_window_clear_removals (self);
  tide_window_end_undo (self, NULL);
  tide_choice_set_library (self->choice, NULL);
  g_signal_handlers_disconnect_by_data (self->library, self);
  tide_library_pane_set_library (self->library_pane, NULL);
  g_clear_object (&self->library);
}

/* Callbacks */

static void
comparison_changed_cb (TideWindow *self)
{
  tide_window_update_pages (self);
  tide_window_update_actions (self);
  tide_window_save_soon (self);
}

static void
choice_failed_cb (TideWindow *self, gint64 id, const char *message)
{
  tide_window_toast (self, message);
}

static void
library_changed_cb (TideWindow *self)
{
  tide_window_update_pages (self);
  tide_window_update_actions (self);
}

/* A pane that has no room any more folds away; when there is room again it is as it was wanted. */
static void
folded_cb (AdwFlap *flap, GParamSpec *pspec, TideWindow *self)
{
  adw_flap_set_reveal_flap (flap,
                            !adw_flap_get_folded (flap) && tide_window_wants_pane (self, flap));
}

static void
revealed_cb (AdwFlap *flap, GParamSpec *pspec, TideWindow *self)
{
  if (!adw_flap_get_folded (flap))
    tide_window_remember_pane (self, flap);
  tide_window_update_actions (self);
}

static void
copied_dismissed_cb (AdwToast *toast, TideWindow *self)
{
  if (toast == self->copied_toast)
    g_clear_weak_pointer (&self->copied_toast);
}

/* Many numbers copied one after the other are told in one toast, not in a queue of them. */
static void
number_copied_cb (TideAnalysisPane *pane, const char *number, TideWindow *self)
{
  /* Translators: %s is a number */
  g_autofree char *text = g_strdup_printf (_ ("%s copied"), number);
  g_autofree char *escaped = g_markup_escape_text (text, -1);

  if (self->copied_toast != NULL)
    {
      adw_toast_set_title (self->copied_toast, escaped);
      return;
    }
  AdwToast *toast = adw_toast_new (escaped);
  adw_toast_set_timeout (toast, COPIED_SECONDS);
  g_signal_connect_object (toast, "dismissed", G_CALLBACK (copied_dismissed_cb), self, 0);
  adw_toast_overlay_add_toast (self->toasts, toast);
  g_set_weak_pointer (&self->copied_toast, toast);
}

/* Overrides */

static gboolean
tide_window_close_request (GtkWindow *window)
{
  TideWindow *self = TIDE_WINDOW (window);

  tide_window_save_now (self);
  close_library (self);
  return GTK_WINDOW_CLASS (tide_window_parent_class)->close_request (window);
}

static void
tide_window_dispose (GObject *object)
{
  TideWindow *self = TIDE_WINDOW (object);

  g_clear_handle_id (&self->save_source, g_source_remove);
  close_library (self);
  if (self->comparison != NULL)
    g_signal_handlers_disconnect_by_data (self->comparison, self);
  if (self->choice != NULL)
    g_signal_handlers_disconnect_by_data (self->choice, self);
  g_clear_weak_pointer (&self->undo_toast);
  g_clear_weak_pointer (&self->copied_toast);
  g_clear_object (&self->chooser);
  g_clear_weak_pointer (&self->live_run);
  g_clear_object (&self->choice);
  g_clear_object (&self->comparison);
  g_clear_object (&self->settings);
  G_OBJECT_CLASS (tide_window_parent_class)->dispose (object);
}

static void
tide_window_finalize (GObject *object)
{
  TideWindow *self = TIDE_WINDOW (object);

  g_free (self->library_path);
  g_hash_table_unref (self->run_files);
  G_OBJECT_CLASS (tide_window_parent_class)->finalize (object);
}

static void
bind_template (GtkWidgetClass *widget_class)
{
  gtk_widget_class_set_template_from_resource (widget_class, "/org/tidemark/Tidemark/window.ui");
  gtk_widget_class_bind_template_child (widget_class, TideWindow, toasts);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, title);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, stack);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, middle);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, failed_page);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, cautions);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, library_flap);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, analysis_flap);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, library_pane);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, analysis_pane);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, chart_bar);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, chart_view);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, drop_zone);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, progress);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, progress_bar);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, progress_label);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, follow_revealer);
  gtk_widget_class_bind_template_child (widget_class, TideWindow, follow_bar);
  gtk_widget_class_bind_template_callback (widget_class, folded_cb);
  gtk_widget_class_bind_template_callback (widget_class, revealed_cb);
  gtk_widget_class_bind_template_callback (widget_class, number_copied_cb);
}

static void
tide_window_class_init (TideWindowClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = tide_window_dispose;
  object_class->finalize = tide_window_finalize;
  GTK_WINDOW_CLASS (klass)->close_request = tide_window_close_request;

  g_type_ensure (TIDE_TYPE_LIBRARY_PANE);
  g_type_ensure (TIDE_TYPE_ANALYSIS_PANE);
  g_type_ensure (TIDE_TYPE_CHART_BAR);
  g_type_ensure (TIDE_TYPE_CHART_VIEW);
  g_type_ensure (TIDE_TYPE_FOLLOW_BAR);
  bind_template (widget_class);
  tide_window_class_add_keys (widget_class);
}

static void
connect_views (TideWindow *self)
{
  tide_analysis_pane_set_comparison (self->analysis_pane, self->comparison);
  tide_chart_view_set_comparison (self->chart_view, self->comparison);
  tide_chart_bar_set_comparison (self->chart_bar, self->comparison);
  tide_library_pane_set_choice (self->library_pane, self->choice);
  g_signal_connect_swapped (self->comparison, "changed", G_CALLBACK (comparison_changed_cb), self);
  g_signal_connect_swapped (self->choice, "failed", G_CALLBACK (choice_failed_cb), self);
  g_signal_connect_swapped (self->choice, "changed", G_CALLBACK (comparison_changed_cb), self);
  g_signal_connect_object (self->library_pane, "failed", G_CALLBACK (tide_window_toast), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->library_pane, "selection-changed",
                           G_CALLBACK (tide_window_update_actions), self, G_CONNECT_SWAPPED);
}

static void
tide_window_init (TideWindow *self)
{
  g_autofree char *cautions = tide_dup_cautions ();

  g_queue_init (&self->removals);
  g_queue_init (&self->sheets);
  self->run_files = g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, g_object_unref);
  self->settings = g_settings_new ("org.tidemark.Tidemark");
  self->comparison = tide_comparison_new ();
  self->choice = tide_choice_new (self->comparison);
  tide_window_add_actions (self);
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_label_set_label (self->cautions, cautions);
  tide_window_add_drop_target (self);
  tide_window_restore_frame (self);
  tide_window_restore_look (self);
  connect_views (self);
}

/* For the window's other files */

gboolean
tide_window_open_library (TideWindow *self, const char *path)
{
  g_autoptr (GError) error = NULL;
  TideLibrary *library = tide_library_open (path, &error);

  close_library (self);
  if (self->library_path != path)
    {
      g_free (self->library_path);
      self->library_path = g_strdup (path);
    }
  if (library == NULL)
    {
      show_failed_page (self, error);
      tide_window_update_actions (self);
      return FALSE;
    }
  self->library = library;
  tide_library_pane_set_library (self->library_pane, library);
  /* after the pane, whose selection has to know first which runs are gone */
  g_signal_connect_swapped (library, "items-changed", G_CALLBACK (library_changed_cb), self);
  tide_choice_set_library (self->choice, library);
  tide_window_attach_importer (self);
  purge_later (path);
  tide_window_restore_runs (self);
  tide_window_update_pages (self);
  tide_window_update_actions (self);
  return TRUE;
}

void
tide_window_toast (TideWindow *self, const char *text)
{
  g_autofree char *escaped = g_markup_escape_text (text, -1);

  adw_toast_overlay_add_toast (self->toasts, adw_toast_new (escaped));
}

/* A toast that is on its way out takes no new text. */
static void
undo_dismissed_cb (AdwToast *toast, TideWindow *self)
{
  tide_window_take_undo (self, toast);
}

static AdwToast *
add_undo_toast (TideWindow *self)
{
  AdwToast *toast = adw_toast_new ("");

  g_signal_connect_object (toast, "dismissed", G_CALLBACK (undo_dismissed_cb), self, 0);
  adw_toast_overlay_add_toast (self->toasts, toast);
  g_set_weak_pointer (&self->undo_toast, toast);
  return toast;
}

static void
close_offer (TideWindow *self)
{
  g_signal_handlers_disconnect_matched (self->undo_toast, G_SIGNAL_MATCH_ID | G_SIGNAL_MATCH_DATA,
                                        g_signal_lookup ("button-clicked", ADW_TYPE_TOAST), 0, NULL,
                                        NULL, self);
  self->offers_removal = FALSE;
}

/* There is one toast with a button at a time, so that it cannot be taken for that of another. It is
 * told to say something else rather than dismissed: libadwaita 1.2 crashes when a toast is
 * dismissed while it is still coming in, and aborts when one that had to make way for it is
 * shown again before it is out of sight. */
AdwToast *
tide_window_toast_offer (TideWindow *self, const char *text, const char *button)
{
  g_autofree char *escaped = g_markup_escape_text (text, -1);
  AdwToast *toast = self->undo_toast != NULL ? self->undo_toast : add_undo_toast (self);

  close_offer (self);
  adw_toast_set_title (toast, escaped);
  adw_toast_set_button_label (toast, button);
  return toast;
}

AdwToast *
tide_window_toast_undo (TideWindow *self, const char *text)
{
  return tide_window_toast_offer (self, text, _ ("_Undo"));
}

gboolean
tide_window_take_undo (TideWindow *self, AdwToast *toast)
{
  if (toast != self->undo_toast)
    return FALSE;
  g_clear_weak_pointer (&self->undo_toast);
  self->offers_removal = FALSE;
  return TRUE;
}

void
tide_window_end_undo (TideWindow *self, const char *text)
{
  if (self->undo_toast == NULL)
    return;
  close_offer (self);
  adw_toast_set_button_label (self->undo_toast, NULL);
  if (text != NULL)
    adw_toast_set_title (self->undo_toast, text);
}

void
tide_window_update_pages (TideWindow *self)
{
  guint n = tide_comparison_get_n_runs (self->comparison);
  g_autofree char *title = n > 0 ? tide_comparison_dup_title (self->comparison) : NULL;

  adw_window_title_set_subtitle (self->title, title != NULL ? title : "");
  gtk_stack_set_visible_child_name (self->middle, n > 0 ? "chart" : "none");
  if (self->library != NULL)
    gtk_stack_set_visible_child_name (self->stack,
                                      n > 0 || g_list_model_get_n_items (G_LIST_MODEL (self->library)) > 0
                                          ? "runs"
                                          : "empty");
}

const char *
tide_window_get_run_name (TideWindow *self, gint64 id)
{
  TideEntry *entry = tide_library_find (self->library, id);

  return entry != NULL ? tide_entry_get_name (entry) : NULL;
}

/* Public */

GtkWidget *
tide_window_new (GtkApplication *application, const char *library_path)
{
  TideWindow *self = g_object_new (TIDE_TYPE_WINDOW, "application", application, NULL);
  g_autofree char *remembered = tide_window_dup_path (self, "library");
  g_autofree char *usual = tide_store_default_path ();

  if (library_path == NULL)
    library_path = *remembered != '\0' ? remembered : usual;
  tide_window_open_library (self, library_path);
  return GTK_WIDGET (self);
}

void
tide_window_import (TideWindow *self, GFile *const *files, guint n_files)
{
  if (self->importer != NULL)
    tide_importer_add_files (self->importer, files, n_files,
                             !g_settings_get_boolean (self->settings, "import-unasked"));
}

void
tide_window_open_demo (TideWindow *self)
{
  if (self->importer != NULL)
    tide_importer_add_demo (self->importer);
}

TideLibrary *
tide_window_get_library (TideWindow *self)
{
  return self->library;
}

TideComparison *
tide_window_get_comparison (TideWindow *self)
{
  return self->comparison;
}
