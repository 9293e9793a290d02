/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See application.h. */
#include "window/application.h"

#include <glib/gi18n-lib.h>
#include <stdio.h>

#include "config.h"
#include "window/about.h"
#include "window/window.h"

struct _TideApplication
{
  AdwApplication parent;

  char *library_path; /* as asked for; NULL: the usual one */
};

G_DEFINE_FINAL_TYPE (TideApplication, tide_application, ADW_TYPE_APPLICATION)

/* Helpers */

static TideWindow *
get_window (TideApplication *self)
{
  GtkApplication *application = GTK_APPLICATION (self);

  /* a dialog of the window may be the active one */
  for (GList *l = gtk_application_get_windows (application); l != NULL; l = l->next)
    if (TIDE_IS_WINDOW (l->data))
      return l->data;
  return TIDE_WINDOW (tide_window_new (application, self->library_path));
}

/* Actions */

static void
about_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_present_about (gtk_application_get_active_window (user_data));
}

static void
demo_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  tide_window_open_demo (get_window (user_data));
}

/* Each window is closed the usual way, so that it remembers and an import stops cleanly. */
static void
quit_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  g_autoptr (GList) windows = g_list_copy (gtk_application_get_windows (user_data));

  for (GList *l = windows; l != NULL; l = l->next)
    gtk_window_close (l->data);
}

/* Of a notification. */
static void
present_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  gtk_window_present (GTK_WINDOW (get_window (user_data)));
}

static const GActionEntry entries[] = {
  { "about", about_cb },
  { "present", present_cb },
  { "demo", demo_cb },
  { "quit", quit_cb },
};

/* Overrides */

static void
tide_application_activate (GApplication *application)
{
  gtk_window_present (GTK_WINDOW (get_window (TIDE_APPLICATION (application))));
}

static void
tide_application_open (GApplication *application, GFile **files, int n_files, const char *hint)
{
  TideWindow *window = get_window (TIDE_APPLICATION (application));

  gtk_window_present (GTK_WINDOW (window));
  tide_window_import (window, files, (guint)n_files);
}

static int
tide_application_handle_local_options (GApplication *application, GVariantDict *options)
{
  TideApplication *self = TIDE_APPLICATION (application);
  g_autofree char *path = NULL;

  if (g_variant_dict_contains (options, "version"))
    {
      printf ("tidemark %s\n", TIDE_VERSION);
      return 0;
    }
  if (g_variant_dict_lookup (options, "library", "^ay", &path))
    {
      self->library_path = g_canonicalize_filename (path, NULL);
      g_application_set_flags (application,
                               g_application_get_flags (application) | G_APPLICATION_NON_UNIQUE);
    }
  return -1;
}

static void
tide_application_startup (GApplication *application)
{
  G_APPLICATION_CLASS (tide_application_parent_class)->startup (application);
  g_action_map_add_action_entries (G_ACTION_MAP (application), entries, G_N_ELEMENTS (entries),
                                   application);
  gtk_application_set_accels_for_action (GTK_APPLICATION (application), "app.quit",
                                         (const char *[]){ "<Control>q", NULL });
  gtk_window_set_default_icon_name (TIDE_APP_ID);
}

static void
tide_application_finalize (GObject *object)
{
  g_free (TIDE_APPLICATION (object)->library_path);
  G_OBJECT_CLASS (tide_application_parent_class)->finalize (object);
}

static void
tide_application_class_init (TideApplicationClass *klass)
{
  GApplicationClass *application_class = G_APPLICATION_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = tide_application_finalize;
  application_class->activate = tide_application_activate;
  application_class->open = tide_application_open;
  application_class->handle_local_options = tide_application_handle_local_options;
  application_class->startup = tide_application_startup;
}

static void
tide_application_init (TideApplication *self)
{
  static const GOptionEntry options[] = {
    { "library", 'l', 0, G_OPTION_ARG_FILENAME, NULL,
      N_ ("Open this library instead of the usual one"), N_ ("PATH") },
    { "version", 0, 0, G_OPTION_ARG_NONE, NULL, N_ ("Print the version and exit"), NULL },
    { NULL },
  };

  g_application_add_main_option_entries (G_APPLICATION (self), options);
  g_application_set_option_context_parameter_string (G_APPLICATION (self), _ ("[EXPORT…]"));
}

/* Public */

TideApplication *
tide_application_new (void)
{
  return g_object_new (TIDE_TYPE_APPLICATION, "application-id", TIDE_APP_ID, "flags",
                       G_APPLICATION_HANDLES_OPEN, "resource-base-path", "/org/tidemark/Tidemark",
                       NULL);
}
