/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of the library's runs are in the comparison.
 *
 * Putting a run in means reading its samples and measuring them, both in a worker thread; TideChoice
 * keeps the wanted runs in their order, brings them into the comparison one after the other, and
 * drops a run that is no longer wanted while it is being read. One run is read at a time, so that
 * the order of the comparison is the order in which they were ticked.
 */
#pragma once

#include <gio/gio.h>

#include "comparison/comparison.h"
#include "library/library.h"

#define TIDE_TYPE_CHOICE (tide_choice_get_type ())
G_DECLARE_FINAL_TYPE (TideChoice, tide_choice, TIDE, CHOICE, GObject)

/* Signals, all on the main thread: "changed" () when the set of wanted runs changed; "failed" (gint64 id,
 * char *message) when a run cannot be read and was therefore taken out again; "loaded" () when all
 * wanted runs are in the comparison. */
TideChoice *tide_choice_new         (TideComparison *comparison);
/* Takes every run out and turns to another library; library may be NULL. */
void        tide_choice_set_library (TideChoice *self, TideLibrary *library);
/* Takes a run in or out; an id that the library does not have is left out. */
void        tide_choice_set         (TideChoice *self, gint64 id, gboolean in);
/* The library was read anew: what it has no more goes out. */
void        tide_choice_follow      (TideChoice *self);
/* The run's conditions or slot were edited in the library: the comparison follows. */
void        tide_choice_update      (TideChoice *self, gint64 id);
gboolean    tide_choice_has         (TideChoice *self, gint64 id);
/* The wanted runs in their order, gint64. Transfer none. */
GArray     *tide_choice_get_ids     (TideChoice *self);
/* Is a run still being read? */
gboolean    tide_choice_is_loading  (TideChoice *self);
void        tide_choice_clear       (TideChoice *self);
