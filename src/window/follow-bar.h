/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bar under the header that tells how the followed charge goes, and what can be done about it. Shows what it is told;
 * its buttons are actions of the window: win.stop-following, win.import-followed, win.close-following.
 */
#pragma once

#include <gtk/gtk.h>

#define TIDE_TYPE_FOLLOW_BAR (tide_follow_bar_get_type ())
G_DECLARE_FINAL_TYPE (TideFollowBar, tide_follow_bar, TIDE, FOLLOW_BAR, GtkBox)

/* title: "Following base-port.csv". is_live: it goes on, else it has ended, and can_import says whether there is a file to
 * be imported. */
void        tide_follow_bar_show     (TideFollowBar *self, const char *title, const char *text, gboolean is_live,
                                      gboolean can_import);
/* What the bar says, on one line. */
const char *tide_follow_bar_get_text (TideFollowBar *self);
