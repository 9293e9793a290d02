/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads on in a file that another program is still writing, and gives the recording so far.
 *
 * The file is understood from its head as tide_read_file() does it, so that what is given at last is what reading the
 * finished file gives. While the file is shorter than a head it is understood anew with every row that comes; from then on the understanding
 * stands, and only what was appended is read. A last line waits for its end, a file without two rows for more of them, NULs at the
 * end of a file (room that its writer took beforehand) for what will be written there.
 *
 * It is the same file as long as it begins as it did, and has what was read last where that stood: a file that its writer saves
 * whole each time, under another inode, is followed on; one that was cut shorter or written anew is not. Of several recordings in the file
 * the newest is followed.
 *
 * Blocking; for one thread at a time. Nothing is kept open between polls. Memory grows with the rows, as a recording in memory does.
 */
#pragma once

#include "reading/reading.h"

typedef struct _TideFollower TideFollower;

typedef enum {
  TIDE_FOLLOW_SAME,     /* nothing new */
  TIDE_FOLLOW_GREW,     /* something was appended */
  TIDE_FOLLOW_REPLACED, /* another file stands there: what was read is forgotten, and the next poll begins with the new one */
  TIDE_FOLLOW_REMOVED,  /* there is no file; what was read stays, and the next poll looks again */
} TideFollowEvent;

/* At most so much is read in a poll. */
#define TIDE_FOLLOW_POLL_BYTES (16 * 1024 * 1024)

/* options (may be NULL) are copied; its progress is not called. lane, from 0: which of runs that stand side by side. */
TideFollower *tide_follower_new  (GFile *file, const TideReadOptions *options, guint lane);
void          tide_follower_free (TideFollower *follower);

/* Looks at the file. FALSE: it cannot be looked at (not there yet, no regular file, a drive that is gone ...: trying again may help), or not be
 * read (packed, no text, two plausible readings ...: it does not); errors as for tide_read_file(). */
gboolean    tide_follower_poll       (TideFollower *follower, TideFollowEvent *event, GCancellable *cancellable, GError **error);
/* The last poll stopped at its bound: poll again at once. */
gboolean    tide_follower_is_behind  (TideFollower *follower);
/* The log ended: takes the last line as it stands. Polls do nothing any more. */
gboolean    tide_follower_finish     (TideFollower *follower, GCancellable *cancellable, GError **error);

/* All recordings of the lane so far (GPtrArray of TideRecording, transfer full), the newest last; their sha256 is NULL. NULL and
 * TIDE_READING_ERROR_NO_ROWS while there are none. Copies all rows: once a second is often. */
GPtrArray  *tide_follower_assemble   (TideFollower *follower, GError **error);
/* Why there are no rows yet, as the last poll found it; NULL where there are. */
const char *tide_follower_get_reason (TideFollower *follower);
/* For people. */
const char *tide_follower_get_name   (TideFollower *follower);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideFollower, tide_follower_free)
