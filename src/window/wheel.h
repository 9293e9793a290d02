/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mouse wheel over a scroller that sits inside another one. GTK 4.8's scrolled window keeps every turn of the
 * wheel for itself, also the vertical one it has no use for, so that the outer one would stand still.
 */
#pragma once

#include <gtk/gtk.h>

/* Turns of the wheel over sideways, which scrolls sideways only, move outer up and down. Left to sideways are
 * those with Shift and those that go sideways more than up and down. outer must hold sideways. */
void tide_pass_wheel_up (GtkScrolledWindow *sideways, GtkScrolledWindow *outer);
