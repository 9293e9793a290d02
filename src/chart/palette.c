/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The series colours were found by a search of our own in OKLCH: far apart under CIEDE2000 in
 * normal vision and under the full protan, deutan and tritan simulations of Machado, Oliveira and
 * Fernandes (2009), and dark or light enough for lines on either ground. tests/chart/test-palette.c
 * measures all of that again; a colour is changed together with the bounds there or not at all.
 * The order is fixed: a run keeps its slot when others come and go.
 *
 * Nothing can fail here; any slot is allowed.
 */
#include "chart/palette.h"

#include <glib/gi18n-lib.h>

#define N_COLORS 8

/* Dashes in px at scale 1 and line width 2. The last has no slot of its own: it is what comes after
 * dash-dot for the ninth run and on, so that 32 slots differ from each other. */
#define N_DASHES 4
#define MAX_DASH 4
static const struct
{
  int n;
  double px[MAX_DASH];
} dash_patterns[N_DASHES] = {
  { 0, { 0 } },
  { 2, { 8, 3 } },
  { 4, { 8, 3, 2, 3 } },
  { 2, { 2, 3 } },
};

typedef struct
{
  guint32 rgb[TIDE_N_LOOKS];
  const char *name[TIDE_N_LOOKS];
  guint dash;
} Series;

static const Series series[N_COLORS] = {
  { { 0x22329D, 0x6E77DB }, { N_ ("indigo"), N_ ("indigo") }, 0 },
  { { 0xA78833, 0xF5CF40 }, { N_ ("ochre"), N_ ("ochre") }, 0 },
  { { 0x1F9BA2, 0x8DF0F6 }, { N_ ("teal"), N_ ("teal") }, 0 },
  { { 0x830E1A, 0xC95667 }, { N_ ("oxblood"), N_ ("oxblood") }, 0 },
  { { 0xD5466F, 0xD6934D }, { N_ ("rose"), N_ ("amber") }, 1 },
  { { 0x817EE5, 0xAFCE9D }, { N_ ("periwinkle"), N_ ("sage") }, 1 },
  { { 0x28664A, 0x379883 }, { N_ ("pine"), N_ ("pine") }, 2 },
  { { 0x573D53, 0xBF97BF }, { N_ ("aubergine"), N_ ("mauve") }, 2 },
};

static const guint32 grounds[TIDE_N_LOOKS] = { 0xFFFFFF, 0x1E1E1E };
static const guint32 inks[TIDE_N_LOOKS] = { 0x1F1F24, 0xF2F2F5 };
static const char *const look_ids[TIDE_N_LOOKS] = { "light", "dark" };

static TideColor
make_color (guint32 rgb)
{
  return (TideColor){ .red = (rgb >> 16 & 0xFF) / 255.0,
                      .green = (rgb >> 8 & 0xFF) / 255.0,
                      .blue = (rgb & 0xFF) / 255.0 };
}

const char *
tide_look_get_id (TideLook look)
{
  g_return_val_if_fail ((guint)look < TIDE_N_LOOKS, NULL);
  return look_ids[look];
}

TideColor
tide_palette_get_series (TideLook look, guint slot)
{
  g_return_val_if_fail ((guint)look < TIDE_N_LOOKS, make_color (0));
  return make_color (series[slot % N_COLORS].rgb[look]);
}

TideColor
tide_palette_get_ground (TideLook look)
{
  g_return_val_if_fail ((guint)look < TIDE_N_LOOKS, make_color (0));
  return make_color (grounds[look]);
}

TideColor
tide_palette_get_ink (TideLook look)
{
  g_return_val_if_fail ((guint)look < TIDE_N_LOOKS, make_color (0));
  return make_color (inks[look]);
}

int
tide_palette_get_dash (guint slot, const double **dashes)
{
  guint index = (series[slot % N_COLORS].dash + slot / N_COLORS) % N_DASHES;

  *dashes = dash_patterns[index].n > 0 ? dash_patterns[index].px : NULL;
  return dash_patterns[index].n;
}

const char *
tide_palette_get_name (TideLook look, guint slot)
{
  g_return_val_if_fail ((guint)look < TIDE_N_LOOKS, NULL);
  return _ (series[slot % N_COLORS].name[look]);
}
