/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library as a list: runs under their devices, a search above. Rows are made for what is
 * visible only. Ticking goes to the TideChoice, a colour to the library; everything else that can be done
 * with a run is an action of the window on the runs that are selected here.
 */
#pragma once

#include <gtk/gtk.h>

#include "library/library.h"
#include "window/choice.h"

#define TIDE_TYPE_LIBRARY_PANE (tide_library_pane_get_type ())
G_DECLARE_FINAL_TYPE (TideLibraryPane, tide_library_pane, TIDE, LIBRARY_PANE, GtkWidget)

/* Signals: "selection-changed" (); "failed" (char *message) when the library could not be written. */

/* library may be NULL. */
void    tide_library_pane_set_library  (TideLibraryPane *self, TideLibrary *library);
void    tide_library_pane_set_choice   (TideLibraryPane *self, TideChoice *choice);
/* gint64 numbers of the selected runs, in the order of the list. Transfer full. */
GArray *tide_library_pane_dup_selected (TideLibraryPane *self);
/* Selects that run alone, if it is shown. */
void    tide_library_pane_select       (TideLibraryPane *self, gint64 id);
/* Takes all runs that the search leaves into the comparison. */
void    tide_library_pane_tick_shown   (TideLibraryPane *self);
/* How many runs the search leaves. */
guint   tide_library_pane_get_n_shown  (TideLibraryPane *self);
void    tide_library_pane_focus_search (TideLibraryPane *self);
