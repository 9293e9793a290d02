/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tidemark program. Everything but main() is in the room's library, so that tests can link it.
 */
#include "window/application.h"

#include <glib/gi18n-lib.h>
#include <locale.h>

#include "config.h"

/* GLib ends a program that asks for a schema that is not there; say first what to do. */
static gboolean
has_schema (void)
{
  GSettingsSchemaSource *source = g_settings_schema_source_get_default ();
  g_autoptr (GSettingsSchema) schema =
      source != NULL ? g_settings_schema_source_lookup (source, TIDE_APP_ID, TRUE) : NULL;

  return schema != NULL;
}

int
main (int argc, char **argv)
{
  const char *locale_dir = g_getenv ("TIDEMARK_LOCALEDIR");

  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, locale_dir != NULL ? locale_dir : TIDE_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);
  g_set_application_name ("Tidemark");
  if (!has_schema ())
    {
      g_printerr (_ ("tidemark: its settings schema is not installed; install Tidemark, or run it "
                     "uninstalled with "
                     "\"meson devenv -C BUILD tidemark\"\n"));
      return 1;
    }

  g_autoptr (TideApplication) application = tide_application_new ();
  return g_application_run (G_APPLICATION (application), argc, argv);
}
