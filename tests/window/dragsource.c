/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A window that can be dragged from: it offers the files named on its command
 * line, as a file manager does. For tests of drop targets under Xvfb.
 *
 *   cc dragsource.c -o dragsource $(pkg-config --cflags --libs gtk4)
 *   dragsource [--uris] FILE...
 *
 * --uris offers plain text/uri-list bytes, as programs of other toolkits do,
 * instead of GTK's own file list.
 *
 * Prints 'ready' when its window is up, then one line a drag: 'begin',
 * 'end copied', 'end refused' or 'cancel'.
 */
#include <gtk/gtk.h>

static gboolean as_uris;

static GListModel *
files_from (int argc, char **argv)
{
  GListStore *files = g_list_store_new (G_TYPE_FILE);

  for (int i = 1 + as_uris; i < argc; i++)
    {
      GFile *file = g_file_new_for_commandline_arg (argv[i]);

      g_list_store_append (files, file);
      g_object_unref (file);
    }
  return G_LIST_MODEL (files);
}

static GdkContentProvider *
prepare (GtkDragSource *source, double x, double y, gpointer files)
{
  GSList *list = NULL;
  GdkContentProvider *provider;

  if (as_uris)
    {
      GString *text = g_string_new (NULL);
      GBytes *bytes;

      for (guint i = 0; i < g_list_model_get_n_items (files); i++)
        {
          GFile *file = g_list_model_get_item (files, i);
          char *uri = g_file_get_uri (file);

          g_string_append_printf (text, "%s\r\n", uri);
          g_free (uri);
          g_object_unref (file);
        }
      bytes = g_string_free_to_bytes (text);
      provider = gdk_content_provider_new_for_bytes ("text/uri-list", bytes);
      g_bytes_unref (bytes);
      return provider;
    }
  for (guint i = 0; i < g_list_model_get_n_items (files); i++)
    list = g_slist_append (list, g_list_model_get_item (files, i));
  provider = gdk_content_provider_new_typed (GDK_TYPE_FILE_LIST, list);
  g_slist_free_full (list, g_object_unref);
  return provider;
}

static void
say (const char *text)
{
  g_print ("%s\n", text);
  fflush (stdout);
}

static void
begin (GtkDragSource *source, GdkDrag *drag, gpointer unused)
{
  say ("begin");
}

static void
end (GtkDragSource *source, GdkDrag *drag, gboolean delete_data, gpointer unused)
{
  say (gdk_drag_get_selected_action (drag) ? "end copied" : "end refused");
}

static gboolean
cancel (GtkDragSource *source, GdkDrag *drag, GdkDragCancelReason reason, gpointer unused)
{
  say ("cancel");
  return FALSE;
}

static gboolean
ready (gpointer unused)
{
  say ("ready");
  return G_SOURCE_REMOVE;
}

int
main (int argc, char **argv)
{
  GtkDragSource *source;
  GtkWidget *window, *label;
  GListModel *files;

  gtk_init ();
  as_uris = argc > 1 && g_str_equal (argv[1], "--uris");
  files = files_from (argc, argv);
  window = gtk_window_new ();
  gtk_window_set_title (GTK_WINDOW (window), "dragsource");
  gtk_window_set_decorated (GTK_WINDOW (window), FALSE);
  gtk_window_set_default_size (GTK_WINDOW (window), 120, 80);
  label = gtk_label_new ("drag me");
  gtk_widget_set_size_request (label, 120, 80);
  gtk_window_set_child (GTK_WINDOW (window), label);
  source = gtk_drag_source_new ();
  gtk_drag_source_set_actions (source, GDK_ACTION_COPY);
  g_signal_connect (source, "prepare", G_CALLBACK (prepare), files);
  g_signal_connect (source, "drag-begin", G_CALLBACK (begin), NULL);
  g_signal_connect (source, "drag-end", G_CALLBACK (end), NULL);
  g_signal_connect (source, "drag-cancel", G_CALLBACK (cancel), NULL);
  gtk_widget_add_controller (label, GTK_EVENT_CONTROLLER (source));
  gtk_window_present (GTK_WINDOW (window));
  g_timeout_add (200, ready, NULL);
  while (g_list_model_get_n_items (gtk_window_get_toplevels ()) > 0)
    g_main_context_iteration (NULL, TRUE);
  g_object_unref (files);
  return 0;
}
