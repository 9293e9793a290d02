/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The About window, and the standing cautions for whoever charges a battery on a bench.
 */
#pragma once

#include <gtk/gtk.h>

/* Three sentences, a line each, translated. Transfer full. */
char *tide_dup_cautions  (void);
void  tide_present_about (GtkWindow *parent);
