/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bytes that are appended to a file, and whether it is still the same one; see follow.h. Knows nothing of what the
 * bytes say.
 */
#pragma once

#include "reading/follow.h"

typedef struct _TideTail TideTail;

TideTail *tide_tail_new   (GFile *file, const char *name);
void      tide_tail_free  (TideTail *tail);

/* Opens the file and looks whether it is the one that was read so far. SAME: what is behind the place reached can be read. REPLACED:
 * begins anew. Errors name the file; NOT_FOUND only before it was first seen. */
gboolean  tide_tail_open  (TideTail *tail, TideFollowEvent *event, GCancellable *cancellable, GError **error);
/* The next bytes, at most TIDE_HEAD_BYTES, borrowed until the next call; length 0: none for now. NULs at the end of the file
 * are not taken. */
gboolean  tide_tail_read  (TideTail *tail, const guint8 **bytes, gsize *length, GCancellable *cancellable, GError **error);
void      tide_tail_close (TideTail *tail);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTail, tide_tail_free)
