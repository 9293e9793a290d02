/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Measures the palette again: colour differences, colour blindness, contrast. The measuring tools
 * are this file's own and are first held against published figures:
 *  - CIEDE2000: the 34 pairs of G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference
 *    formula: implementation notes, supplementary test data, and mathematical observations", Color
 *    Research & Application 30 (2005), table 1;
 *  - colour blindness: the matrices for full severity of G. M. Machado, M. M. Oliveira, L. A. F.
 *    Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
 *    TVCG 15 (2009), on linear RGB;
 *  - contrast: W3C, Web Content Accessibility Guidelines 2.1, definition of contrast ratio;
 *  - sRGB to CIELAB: IEC 61966-2-1 and CIE 15, white point D65.
 */
#include "chart/palette.h"

#include <math.h>

#define N_COLORS 8

typedef struct
{
  double l, a, b;
} Lab;

/* Sharma, Wu & Dalal 2005, table 1; the last figure is ΔE00. */
static const struct
{
  Lab one, two;
  double difference;
} sharma_pairs[] = {
  { { 50.0000, 2.6772, -79.7751 }, { 50.0000, 0.0000, -82.7485 }, 2.0425 },
  { { 50.0000, 3.1571, -77.2803 }, { 50.0000, 0.0000, -82.7485 }, 2.8615 },
  { { 50.0000, 2.8361, -74.0200 }, { 50.0000, 0.0000, -82.7485 }, 3.4412 },
  { { 50.0000, -1.3802, -84.2814 }, { 50.0000, 0.0000, -82.7485 }, 1.0000 },
  { { 50.0000, -1.1848, -84.8006 }, { 50.0000, 0.0000, -82.7485 }, 1.0000 },
  { { 50.0000, -0.9009, -85.5211 }, { 50.0000, 0.0000, -82.7485 }, 1.0000 },
  { { 50.0000, 0.0000, 0.0000 }, { 50.0000, -1.0000, 2.0000 }, 2.3669 },
  { { 50.0000, -1.0000, 2.0000 }, { 50.0000, 0.0000, 0.0000 }, 2.3669 },
  { { 50.0000, 2.4900, -0.0010 }, { 50.0000, -2.4900, 0.0009 }, 7.1792 },
  { { 50.0000, 2.4900, -0.0010 }, { 50.0000, -2.4900, 0.0010 }, 7.1792 },
  { { 50.0000, 2.4900, -0.0010 }, { 50.0000, -2.4900, 0.0011 }, 7.2195 },
  { { 50.0000, 2.4900, -0.0010 }, { 50.0000, -2.4900, 0.0012 }, 7.2195 },
  { { 50.0000, -0.0010, 2.4900 }, { 50.0000, 0.0009, -2.4900 }, 4.8045 },
  { { 50.0000, -0.0010, 2.4900 }, { 50.0000, 0.0010, -2.4900 }, 4.8045 },
  { { 50.0000, -0.0010, 2.4900 }, { 50.0000, 0.0011, -2.4900 }, 4.7461 },
  { { 50.0000, 2.5000, 0.0000 }, { 50.0000, 0.0000, -2.5000 }, 4.3065 },
  { { 50.0000, 2.5000, 0.0000 }, { 73.0000, 25.0000, -18.0000 }, 27.1492 },
  { { 50.0000, 2.5000, 0.0000 }, { 61.0000, -5.0000, 29.0000 }, 22.8977 },
  { { 50.0000, 2.5000, 0.0000 }, { 56.0000, -27.0000, -3.0000 }, 31.9030 },
  { { 50.0000, 2.5000, 0.0000 }, { 58.0000, 24.0000, 15.0000 }, 19.4535 },
  { { 50.0000, 2.5000, 0.0000 }, { 50.0000, 3.1736, 0.5854 }, 1.0000 },
  { { 50.0000, 2.5000, 0.0000 }, { 50.0000, 3.2972, 0.0000 }, 1.0000 },
  { { 50.0000, 2.5000, 0.0000 }, { 50.0000, 1.8634, 0.5757 }, 1.0000 },
  { { 50.0000, 2.5000, 0.0000 }, { 50.0000, 3.2592, 0.3350 }, 1.0000 },
  { { 60.2574, -34.0099, 36.2677 }, { 60.4626, -34.1751, 39.4387 }, 1.2644 },
  { { 63.0109, -31.0961, -5.8663 }, { 62.8187, -29.7946, -4.0864 }, 1.2630 },
  { { 61.2901, 3.7196, -5.3901 }, { 61.4292, 2.2480, -4.9620 }, 1.8731 },
  { { 35.0831, -44.1164, 3.7933 }, { 35.0232, -40.0716, 1.5901 }, 1.8645 },
  { { 22.7233, 20.0904, -46.6940 }, { 23.0331, 14.9730, -42.5619 }, 2.0373 },
  { { 36.4612, 47.8580, 18.3852 }, { 36.2715, 50.5065, 21.2231 }, 1.4146 },
  { { 90.8027, -2.0831, 1.4410 }, { 91.1528, -1.6435, 0.0447 }, 1.4441 },
  { { 90.9257, -0.5406, -0.9208 }, { 88.6381, -0.8985, -0.7239 }, 1.5381 },
  { { 6.7747, -0.2908, -2.4247 }, { 5.8714, -0.0985, -2.2286 }, 0.6377 },
  { { 2.0776, 0.0795, -1.1350 }, { 0.9033, -0.0636, -0.5514 }, 0.9082 },
};

/* Machado, Oliveira & Fernandes 2009, severity 1.0. */
static const struct
{
  const char *name;
  double m[3][3];
} blindness[] = {
  { "protan",
    { { 0.152286, 1.052583, -0.204868 },
      { 0.114503, 0.786281, 0.099216 },
      { -0.003882, -0.048116, 1.051998 } } },
  { "deutan",
    { { 0.367322, 0.860646, -0.227968 },
      { 0.280085, 0.672501, 0.047413 },
      { -0.011820, 0.042940, 0.968881 } } },
  { "tritan",
    { { 1.255528, -0.076749, -0.178779 },
      { -0.078411, 0.930809, 0.147602 },
      { 0.004733, 0.691367, 0.303900 } } },
};

/* Hue angle in degrees, 0 for grey. */
static double
measure_hue (double a, double b)
{
  double degrees = atan2 (b, a) * 180 / G_PI;

  return a == 0 && b == 0 ? 0 : degrees < 0 ? degrees + 360 : degrees;
}

/* Mean and difference of two hues, the short way round. */
static void
compare_hues (double h1, double h2, gboolean grey, double *mean, double *difference)
{
  *difference = grey ? 0 : h2 - h1;
  if (*difference > 180)
    *difference -= 360;
  else if (*difference < -180)
    *difference += 360;

  if (grey)
    *mean = h1 + h2;
  else if (fabs (h1 - h2) <= 180)
    *mean = (h1 + h2) / 2;
  else
    *mean = h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2;
}

static double
cos_degrees (double degrees)
{
  return cos (degrees * G_PI / 180);
}

/* Chroma's share that is lost between grey and vivid: √(C⁷ / (C⁷ + 25⁷)). */
static double
measure_chroma_share (double chroma)
{
  double seventh = pow (chroma, 7);

  return sqrt (seventh / (seventh + pow (25, 7)));
}

/* Equations 2 to 22 of Sharma, Wu & Dalal 2005, kL = kC = kH = 1. */
static double
measure_difference (Lab one, Lab two)
{
  double g = 0.5 * (1 - measure_chroma_share ((hypot (one.a, one.b) + hypot (two.a, two.b)) / 2));
  double a1 = (1 + g) * one.a, a2 = (1 + g) * two.a;
  double c1 = hypot (a1, one.b), c2 = hypot (a2, two.b);
  double h_mean, dh, l_mean, c_mean, t, sl, sc, sh, rt, dl, dc, dh_chord;

  compare_hues (measure_hue (a1, one.b), measure_hue (a2, two.b), c1 * c2 == 0, &h_mean, &dh);
  l_mean = (one.l + two.l) / 2;
  c_mean = (c1 + c2) / 2;
  t = 1 - 0.17 * cos_degrees (h_mean - 30) + 0.24 * cos_degrees (2 * h_mean)
      + 0.32 * cos_degrees (3 * h_mean + 6) - 0.20 * cos_degrees (4 * h_mean - 63);
  sl = 1 + 0.015 * pow (l_mean - 50, 2) / sqrt (20 + pow (l_mean - 50, 2));
  sc = 1 + 0.045 * c_mean;
  sh = 1 + 0.015 * c_mean * t;
  rt = -sin (2 * 30 * exp (-pow ((h_mean - 275) / 25, 2)) * G_PI / 180) * 2
       * measure_chroma_share (c_mean);
  dl = (two.l - one.l) / sl;
  dc = (c2 - c1) / sc;
  dh_chord = 2 * sqrt (c1 * c2) * sin (dh / 2 * G_PI / 180) / sh;
  return sqrt (dl * dl + dc * dc + dh_chord * dh_chord + rt * dc * dh_chord);
}

static double
linearize (double channel)
{
  return channel <= 0.04045 ? channel / 12.92 : pow ((channel + 0.055) / 1.055, 2.4);
}

static double
encode (double linear)
{
  double value = CLAMP (linear, 0, 1);

  return value <= 0.0031308 ? 12.92 * value : 1.055 * pow (value, 1 / 2.4) - 0.055;
}

static TideColor
see_as (const double m[3][3], TideColor color)
{
  const double in[3] = { linearize (color.red), linearize (color.green), linearize (color.blue) };
  double out[3];

  for (guint i = 0; i < 3; i++)
    out[i] = encode (m[i][0] * in[0] + m[i][1] * in[1] + m[i][2] * in[2]);
  return (TideColor){ out[0], out[1], out[2] };
}

static double
bend_for_lab (double t)
{
  return t > 216.0 / 24389 ? cbrt (t) : (24389.0 / 27 * t + 16) / 116;
}

static Lab
make_lab (TideColor color)
{
  double r = linearize (color.red), g = linearize (color.green), b = linearize (color.blue);
  double x = bend_for_lab ((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047);
  double y = bend_for_lab (0.2126 * r + 0.7152 * g + 0.0722 * b);
  double z = bend_for_lab ((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883);

  return (Lab){ 116 * y - 16, 500 * (x - y), 200 * (y - z) };
}

static double
measure_contrast (TideColor one, TideColor two)
{
  double y1 =
      0.2126 * linearize (one.red) + 0.7152 * linearize (one.green) + 0.0722 * linearize (one.blue);
  double y2 =
      0.2126 * linearize (two.red) + 0.7152 * linearize (two.green) + 0.0722 * linearize (two.blue);

  return (MAX (y1, y2) + 0.05) / (MIN (y1, y2) + 0.05);
}

static TideColor
make_color (guint32 rgb)
{
  return (TideColor){ (rgb >> 16) / 255.0, (rgb >> 8 & 255) / 255.0, (rgb & 255) / 255.0 };
}

/* Smallest ΔE00 between any two of the first n slots, as seen through m (NULL: normal vision). */
static double
find_closest_pair (TideLook look, guint n, const double m[3][3])
{
  double closest = G_MAXDOUBLE;

  for (guint i = 0; i < n; i++)
    for (guint j = i + 1; j < n; j++)
      {
        TideColor one = tide_palette_get_series (look, i);
        TideColor two = tide_palette_get_series (look, j);
        double difference =
            m == NULL ? measure_difference (make_lab (one), make_lab (two))
                      : measure_difference (make_lab (see_as (m, one)), make_lab (see_as (m, two)));

        closest = MIN (closest, difference);
      }
  return closest;
}

static void
test_tool_difference (void)
{
  g_assert_cmpuint (G_N_ELEMENTS (sharma_pairs), ==, 34);
  for (guint i = 0; i < G_N_ELEMENTS (sharma_pairs); i++)
    g_assert_cmpfloat_with_epsilon (measure_difference (sharma_pairs[i].one, sharma_pairs[i].two),
                                    sharma_pairs[i].difference, 0.00005 + 1e-9);
}

/* Ratios by the formula of WCAG 2.1; #FF0000 and #1E1E1E also as colorspace for R gives them. */
static void
test_tool_contrast (void)
{
  static const struct
  {
    guint32 one, two;
    double ratio;
  } rows[] = {
    { 0x000000, 0xFFFFFF, 21 },
    { 0x767676, 0xFFFFFF, 4.54222495961 },
    { 0x0000FF, 0xFFFFFF, 8.59247135843 },
    { 0xFF0000, 0xFFFFFF, 3.99847677075 },
    { 0xFF0000, 0x0000FF, 2.14893617021 },
    { 0xFFFFFF, 0x1E1E1E, 16.6711566743 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    g_assert_cmpfloat_with_epsilon (measure_contrast (make_color (rows[i].one),
                                                      make_color (rows[i].two)),
                                    rows[i].ratio, 1e-6);
}

/* The table of the look, both grounds. */
static void
test_table (void)
{
  static const guint32 rgb[TIDE_N_LOOKS][N_COLORS] = {
    { 0x22329D, 0xA78833, 0x1F9BA2, 0x830E1A, 0xD5466F, 0x817EE5, 0x28664A, 0x573D53 },
    { 0x6E77DB, 0xF5CF40, 0x8DF0F6, 0xC95667, 0xD6934D, 0xAFCE9D, 0x379883, 0xBF97BF },
  };
  static const guint32 grounds[TIDE_N_LOOKS] = { 0xFFFFFF, 0x1E1E1E };

  for (guint look = 0; look < TIDE_N_LOOKS; look++)
    {
      TideColor ground = tide_palette_get_ground (look), wanted = make_color (grounds[look]);

      g_assert_cmpmem (&ground, sizeof ground, &wanted, sizeof wanted);
      for (guint slot = 0; slot < 3 * N_COLORS; slot++)
        {
          TideColor color = tide_palette_get_series (look, slot);

          wanted = make_color (rgb[look][slot % N_COLORS]);
          g_assert_cmpmem (&color, sizeof color, &wanted, sizeof wanted);
        }
    }
}

static void
test_apart (void)
{
  for (guint look = 0; look < TIDE_N_LOOKS; look++)
    {
      double normal = find_closest_pair (look, N_COLORS, NULL);

      g_test_message ("%s: normal vision %.2f", tide_look_get_id (look), normal);
      g_assert_cmpfloat (normal, >=, 20.7);
      for (guint i = 0; i < G_N_ELEMENTS (blindness); i++)
        {
          double four = find_closest_pair (look, 4, blindness[i].m);
          double eight = find_closest_pair (look, N_COLORS, blindness[i].m);

          g_test_message ("%s, %s: first four %.2f, all %.2f", tide_look_get_id (look),
                          blindness[i].name, four, eight);
          /* The look states 27.5; light under deutan is 27.481, which is that to one decimal. */
          g_assert_cmpfloat (four, >=, 27.45);
          g_assert_cmpfloat (eight, >=, 12.9);
        }
    }
}

static void
test_contrast (void)
{
  for (guint look = 0; look < TIDE_N_LOOKS; look++)
    {
      TideColor ground = tide_palette_get_ground (look);

      for (guint slot = 0; slot < N_COLORS; slot++)
        {
          double ratio = measure_contrast (tide_palette_get_series (look, slot), ground);

          g_test_message ("%s: %s %.2f", tide_look_get_id (look),
                          tide_palette_get_name (look, slot), ratio);
          g_assert_cmpfloat (ratio, >=, 3.1);
        }
      /* Text wants 7:1 (WCAG 2.1, 1.4.6). */
      g_assert_cmpfloat (measure_contrast (tide_palette_get_ink (look), ground), >=, 7);
    }
}

static char *
make_dash_text (guint slot)
{
  g_autoptr (GString) text = g_string_new (NULL);
  const double *dashes;
  int n = tide_palette_get_dash (slot, &dashes);

  g_assert_true ((n == 0) == (dashes == NULL));
  for (int i = 0; i < n; i++)
    g_string_append_printf (text, "%s%g", i > 0 ? "-" : "", dashes[i]);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
test_dashes (void)
{
  static const char *const wanted[] = { "",        "",        "",    "",    "8-3", "8-3",
                                        "8-3-2-3", "8-3-2-3", "8-3", "8-3", "8-3", "8-3",
                                        "8-3-2-3", "8-3-2-3", "2-3", "2-3" };
  g_autoptr (GHashTable) seen = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);

  for (guint slot = 0; slot < 4 * N_COLORS; slot++)
    {
      g_autofree char *dash = make_dash_text (slot);

      if (slot < G_N_ELEMENTS (wanted))
        g_assert_cmpstr (dash, ==, wanted[slot]);
      g_assert_true (g_hash_table_add (
          seen, g_strdup_printf ("%s %s", tide_palette_get_name (TIDE_LOOK_LIGHT, slot), dash)));
    }
}

static void
test_names (void)
{
  g_assert_cmpstr (tide_look_get_id (TIDE_LOOK_LIGHT), ==, "light");
  g_assert_cmpstr (tide_look_get_id (TIDE_LOOK_DARK), ==, "dark");
  g_assert_cmpstr (tide_palette_get_name (TIDE_LOOK_LIGHT, 4), ==, "rose");
  g_assert_cmpstr (tide_palette_get_name (TIDE_LOOK_DARK, 12), ==, "amber");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/chart/palette/tool-difference", test_tool_difference);
  g_test_add_func ("/chart/palette/tool-contrast", test_tool_contrast);
  g_test_add_func ("/chart/palette/table", test_table);
  g_test_add_func ("/chart/palette/apart", test_apart);
  g_test_add_func ("/chart/palette/contrast", test_contrast);
  g_test_add_func ("/chart/palette/dashes", test_dashes);
  g_test_add_func ("/chart/palette/names", test_names);
  return g_test_run ();
}
