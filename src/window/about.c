/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See about.h. */
#include "window/about.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>

#include "config.h"

char *
tide_dup_cautions (void)
{
  return g_strjoin ("\n",
                    _ ("Follow the instructions of the makers of device, battery, charger, dock "
                       "and cable; where they differ from "
                       "anything shown here, theirs hold."),
                    _ ("Stop, and disconnect if it is safe, at smell, smoke, swelling, leaking, "
                       "unusual noise or unusual heat."),
                    _ ("Do not leave a charge test unattended or running while you sleep."), NULL);
}

static char *
dup_details (void)
{
  g_autofree char *cautions = tide_dup_cautions ();

  return g_strdup_printf (
      "%s\n%s", cautions,
      _ ("Results are measurements of one specimen under one set-up, not a certification."));
}

void
tide_present_about (GtkWindow *parent)
{
  GtkWidget *about = adw_about_window_new ();
  g_autofree char *details = dup_details ();

  g_object_set (about, "transient-for", parent, "modal", TRUE, "application-name", "Tidemark",
                "application-icon", TIDE_APP_ID, "version", TIDE_VERSION, "developer-name",
                _ ("The Tidemark developers"), "license-type", GTK_LICENSE_GPL_3_0, "comments",
                _ ("Overlays logged charges, reads their numbers and "
                   "publishes the charts."),
                /* Translators: put your name here, one translator a line */
                "translator-credits", _ ("translator-credits"), NULL);
  adw_about_window_add_legal_section (ADW_ABOUT_WINDOW (about), _ ("Cautions"), NULL,
                                      GTK_LICENSE_CUSTOM, details);
  gtk_window_present (GTK_WINDOW (about));
}
