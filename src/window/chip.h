/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A colour slot as a small square: filled for the first eight slots, a ring for those that repeat
 * a colour with another dash. Follows the light and the dark look.
 */
#pragma once

#include <gtk/gtk.h>

#include "chart/palette.h"

#define TIDE_TYPE_CHIP (tide_chip_get_type ())
G_DECLARE_FINAL_TYPE (TideChip, tide_chip, TIDE, CHIP, GtkWidget)

GtkWidget *tide_chip_new      (guint slot);
void       tide_chip_set_slot (TideChip *self, guint slot);

/* The look of the charts that goes with the application's style. */
TideLook   tide_look_of_style (void);
