/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When to look at a file that is followed: once a second, since file monitors miss network drives, and soon after
 * a monitor saw something. In the main context of the thread that makes it.
 */
#pragma once

#include <gio/gio.h>

typedef struct _TidePulse TidePulse;

/* Also called once at first, from the main loop. */
TidePulse *tide_pulse_new  (GFile *file, void (*look) (gpointer user_data), gpointer user_data);
void       tide_pulse_free (TidePulse *pulse);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TidePulse, tide_pulse_free)
