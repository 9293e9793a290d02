/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A page that lists what could not be imported, one line a file. */
#pragma once

#include <adwaita.h>

/* failures: GPtrArray of char *. Presents a window of its own. */
void tide_present_failures (GtkWindow *parent, GPtrArray *failures);
