/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Follows one file for the window: intake/live.h in a worker thread, looked after from the main thread.
 *
 * A look that takes longer than a second is let finish before the next begins. Freed while a look is on its way it
 * lets that finish, too, and tells nobody.
 */
#pragma once

#include <gio/gio.h>

#include "intake/live.h"

#define TIDE_TYPE_FOLLOWING (tide_following_get_type ())
G_DECLARE_FINAL_TYPE (TideFollowing, tide_following, TIDE, FOLLOWING, GObject)

typedef enum {
  TIDE_FOLLOWING_ON,
  TIDE_FOLLOWING_SETTLED,
  TIDE_FOLLOWING_REPLACED, /* by another file, or cut shorter */
  TIDE_FOLLOWING_REMOVED,
  TIDE_FOLLOWING_FAILED,   /* "get_text" says why */
} TideFollowingEnd;

/* Signal "changed" (): there is something new to be got; at most once a second. Nothing more comes after it has ended. library: of
 * tide_live_new(). */
TideFollowing   *tide_following_new             (GFile *file, const char *library);
void             tide_following_stop            (TideFollowing *self);
TideFollowingEnd tide_following_get_end         (TideFollowing *self);
GFile           *tide_following_get_file        (TideFollowing *self);
/* The file's, for people. */
const char      *tide_following_get_name        (TideFollowing *self);
/* How it stands, or why it failed, on one line: "23.41 W · 12.30 Wh · tapering, settles in about 25 min (20 min to 30 min)". */
const char      *tide_following_get_text        (TideFollowing *self);
/* NULL while there are no rows. Transfer none. */
TideRecording   *tide_following_get_recording   (TideFollowing *self);
/* Of that recording; once, NULL when it was taken. Transfer full. */
TideMeasurement *tide_following_steal_measurement (TideFollowing *self);
