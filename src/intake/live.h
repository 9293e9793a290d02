/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A charge whose log is still being written: reading/follow.h, measured as it grows, with what its taper tells of its end. For
 * the command line and the window alike.
 *
 * Blocking; for one thread at a time. A poll that finds something new reads it, and measures all rows anew unless that was done
 * less than a second ago, or less than ten times as long as it took: a log of ten million rows is followed, too.
 */
#pragma once

#include "analysis/expect.h"
#include "reading/follow.h"

typedef struct _TideLive TideLive;

/* As tide_follower_new(). library (may be NULL): the path of one whose rules are looked through for the file's header, once it
 * stands there; it is not made. */
TideLive *tide_live_new  (GFile *file, const TideReadOptions *options, guint lane, const char *library);
void      tide_live_free (TideLive *live);

/* Looks at the file; errors as tide_follower_poll(). What is told below changes with it alone. REMOVED: the log has ended. */
gboolean  tide_live_poll     (TideLive *live, TideFollowEvent *event, GCancellable *cancellable, GError **error);
/* Measures what was read already, if that is still due. */
gboolean  tide_live_catch_up (TideLive *live, GError **error);

/* How it stands. */
typedef struct {
  TideRecording *recording;           /* borrowed; NULL while there are no rows, and the numbers NaN */
  TideExpectation expectation;
  double power_w;                     /* smoothed, at the end */
  double energy_wh, draw_begins_s;
  double settles_in_s, sooner_s, later_s; /* from the last sample on; NaN: cannot be told */
  double still_s;                     /* for so long nothing was appended */
  guint n_parts;                      /* recordings in the file so far, the last of which is followed */
  const char *reason;                 /* why there are no rows, or none that can be used, borrowed; NULL where there are */
} TideLiveState;

TideLiveState    tide_live_get_state         (TideLive *live);
/* The measurement of its recording, to be taken once; NULL when it was, or there is none. Transfer full. */
TideMeasurement *tide_live_steal_measurement (TideLive *live);
/* "tapering, settles in about 25 min (15 to 40 min)", "charging steadily", "coming to rest, settled in 3 min if it stays so".
 * Transfer full. */
char         *tide_live_state_to_text (const TideLiveState *state);
/* The file's, for people. */
const char   *tide_live_get_name  (TideLive *live);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideLive, tide_live_free)
