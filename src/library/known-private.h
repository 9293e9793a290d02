/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: the runs that the library has of a file already, and which of them a recording is. */
#pragma once

#include "library/store-private.h"

typedef struct _TideKnown TideKnown;

/* The runs, not hidden, of the file with that hash. NULL on error. */
TideKnown *tide_known_new  (TideStore *store, const char *sha256, GError **error);
void       tide_known_free (TideKnown *known);
/* The run from that very place in the file; 0: none. known may be NULL: nothing is known. */
gint64     tide_known_find (const TideKnown *known, const TideRecordingPlace *place);
/* The same where the file is read anew, perhaps with other names: also the run of that turn in that text. */
gint64     tide_known_find_replaced (const TideKnown *known, const TideRecordingPlace *place);
/* Hides the runs that those at places (TideRecordingPlace *), read anew and numbered from first_id on, take the place of:
 * all of their tables; or, where in a text no table stands any more where one did, all of that text. */
gboolean   tide_known_hide (const TideKnown *known, GPtrArray *places, gint64 first_id, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideKnown, tide_known_free)
