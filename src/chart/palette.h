/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The colours and dashes of the charts: one table, both grounds. */
#pragma once

#include <glib.h>

typedef struct { double red, green, blue; } TideColor; /* sRGB, 0..1 */

typedef enum { TIDE_LOOK_LIGHT, TIDE_LOOK_DARK, TIDE_N_LOOKS } TideLook;

const char *tide_look_get_id (TideLook look);

TideColor tide_palette_get_series (TideLook look, guint slot);
TideColor tide_palette_get_ground (TideLook look);
TideColor tide_palette_get_ink    (TideLook look);
/* Dash pattern of a slot in px at scale 1 (line width 2 px), static; returns the count, 0 (and NULL)
 * for a solid line. Slots from 8 on repeat the colours with the next dash. */
int       tide_palette_get_dash   (guint slot, const double **dashes);
/* The slot's name for screen readers and menus, translated: "indigo". Static. */
const char *tide_palette_get_name (TideLook look, guint slot);
