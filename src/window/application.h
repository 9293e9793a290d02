/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The program: one window, or one a library; files that are opened with it are imported.
 *
 * "--library PATH" opens another library, in a process of its own: a running Tidemark keeps its
 * library. The usual libadwaita resources (style.css, gtk/help-overlay.ui) are found by the id.
 */
#pragma once

#include <adwaita.h>

#define TIDE_TYPE_APPLICATION (tide_application_get_type ())
G_DECLARE_FINAL_TYPE (TideApplication, tide_application, TIDE, APPLICATION, AdwApplication)

TideApplication *tide_application_new (void);
