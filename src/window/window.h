/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The window: the library at the left, the comparison's chart in the middle, its numbers at the right.
 * Everything a person can do is an action of the window (window-actions.c).
 */
#pragma once

#include <adwaita.h>

#include "comparison/comparison.h"
#include "library/library.h"

#define TIDE_TYPE_WINDOW (tide_window_get_type ())
G_DECLARE_FINAL_TYPE (TideWindow, tide_window, TIDE, WINDOW, AdwApplicationWindow)

/* library_path NULL: the library the settings name, or the usual place. A library that cannot be
 * opened shows as a page that says so; the window then can do nothing but open one. */
GtkWidget *tide_window_new          (GtkApplication *application, const char *library_path);
/* Imports the files, which are borrowed, in a worker thread. */
void       tide_window_import       (TideWindow *self, GFile *const *files, guint n_files);
/* Makes the demo's simulated runs, or ticks them where they are there already. */
void       tide_window_open_demo    (TideWindow *self);

/* Transfer none; the library is NULL while none is open. */
TideLibrary    *tide_window_get_library    (TideWindow *self);
TideComparison *tide_window_get_comparison (TideWindow *self);
