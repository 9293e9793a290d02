/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text, colours and straight lines for the chart's layers, on cairo and pango.
 *
 * Glyphs are neither hinted nor moved to whole pixels: a chart has the same proportions in a
 * window, at twice the size and in a PDF, and the same input gives the same bytes.
 */
#include "chart/chart-private.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>

/* Longer texts are cut before they are shaped: no label shows more. */
#define LONGEST_TEXT 400

PangoContext *
tide_pencil_context_new (void)
{
  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  cairo_font_options_t *options = cairo_font_options_create ();

  cairo_font_options_set_hint_style (options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics (options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias (options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options (context, options);
  cairo_font_options_destroy (options);
  pango_context_set_round_glyph_positions (context, FALSE);
  return context;
}

static PangoFontDescription *
describe_font (const TideChartStyle *style, TidePrint print)
{
  static const struct
  {
    double size;
    PangoWeight weight;
  } prints[] = {
    [TIDE_PRINT_TITLE] = { 1.6, PANGO_WEIGHT_BOLD },
    [TIDE_PRINT_STRONG] = { 1.0, PANGO_WEIGHT_SEMIBOLD },
    [TIDE_PRINT_PLAIN] = { 1.0, PANGO_WEIGHT_NORMAL },
    [TIDE_PRINT_SMALL] = { 0.9, PANGO_WEIGHT_NORMAL },
  };
  PangoFontDescription *font = pango_font_description_new ();

  pango_font_description_set_family (font, style->font != NULL ? style->font : "Sans");
  pango_font_description_set_weight (font, prints[print].weight);
  pango_font_description_set_absolute_size (font,
                                            prints[print].size * style->base_px * PANGO_SCALE);
  return font;
}

PangoLayout *
tide_pencil_text (PangoContext *context,
                  const TideChartStyle *style,
                  TidePrint print,
                  const char *text)
{
  PangoLayout *layout = pango_layout_new (context);
  PangoFontDescription *font = describe_font (style, print);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();
  g_autofree char *valid = g_utf8_make_valid (text, -1);

  if (g_utf8_strlen (valid, -1) > LONGEST_TEXT)
    *g_utf8_offset_to_pointer (valid, LONGEST_TEXT) = '\0';
  /* Line breaks and the like would show as signs of their own. */
  for (char *at = valid; *at != '\0'; at++)
    if ((guchar)*at < ' ' || *at == 0x7F)
      *at = ' ';
  pango_attr_list_insert (attributes, pango_attr_font_features_new ("tnum=1"));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_set_single_paragraph_mode (layout, TRUE);
  pango_layout_set_font_description (layout, font);
  pango_layout_set_text (layout, valid, -1);
  pango_font_description_free (font);
  return layout;
}

double
tide_pencil_width (PangoLayout *layout)
{
  int width;

  pango_layout_get_size (layout, &width, NULL);
  return (double)width / PANGO_SCALE;
}

double
tide_pencil_height (PangoLayout *layout)
{
  int height;

  pango_layout_get_size (layout, NULL, &height);
  return (double)height / PANGO_SCALE;
}

void
tide_pencil_limit (PangoLayout *layout, double width)
{
  if (tide_pencil_width (layout) <= width)
    return;
  pango_layout_set_ellipsize (layout, PANGO_ELLIPSIZE_END);
  pango_layout_set_width (layout, (int)(MAX (width, 1) * PANGO_SCALE));
}

void
tide_pencil_wrap (PangoLayout *layout, double width, int lines)
{
  if (tide_pencil_width (layout) <= width)
    return;
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_ellipsize (layout, PANGO_ELLIPSIZE_END);
  pango_layout_set_width (layout, (int)(MAX (width, 1) * PANGO_SCALE));
  pango_layout_set_height (layout, -lines);
}

TideColor
tide_color_mix (TideColor a, TideColor b, double share_of_b)
{
  return (TideColor){ a.red + (b.red - a.red) * share_of_b,
                      a.green + (b.green - a.green) * share_of_b,
                      a.blue + (b.blue - a.blue) * share_of_b };
}

TideColor
tide_color_quiet (TideLook look)
{
  return tide_color_mix (tide_palette_get_ground (look), tide_palette_get_ink (look), 0.66);
}

TideColor
tide_color_print (TideLook look, guint slot)
{
  /* The palette holds 3:1 against the ground, enough for a line; a fifth of ink brings names of
   * the palest series near the 4.5:1 that text wants, and leaves them their hue. */
  return tide_color_mix (tide_palette_get_series (look, slot), tide_palette_get_ink (look), 0.2);
}

void
tide_pencil_set_color (cairo_t *cr, TideColor color, double alpha)
{
  cairo_set_source_rgba (cr, color.red, color.green, color.blue, alpha);
}

void
tide_pencil_line (cairo_t *cr, double x0, double y0, double x1, double y1, double width)
{
  double half = fmod (ceil (width), 2) == 1 ? 0.5 : 0;

  if (y0 == y1)
    y0 = y1 = floor (y0) + half;
  else if (x0 == x1)
    x0 = x1 = floor (x0) + half;
  cairo_new_path (cr);
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
  cairo_set_dash (cr, NULL, 0, 0);
  cairo_set_line_width (cr, width);
  cairo_stroke (cr);
}

void
tide_pencil_show (cairo_t *cr, PangoLayout *layout, double x, double y, TideColor color)
{
  tide_pencil_set_color (cr, color, 1);
  cairo_move_to (cr, x, y);
  pango_cairo_show_layout (cr, layout);
  cairo_new_path (cr); /* showing text leaves a current point behind */
}

void
tide_pencil_clear (cairo_t *cr,
                   PangoLayout *layout,
                   double x,
                   double y,
                   double width,
                   TideColor ground)
{
  cairo_save (cr);
  tide_pencil_set_color (cr, ground, 1);
  cairo_set_dash (cr, NULL, 0, 0);
  cairo_set_line_width (cr, 2 * width);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_move_to (cr, x, y);
  pango_cairo_layout_path (cr, layout);
  cairo_stroke (cr);
  cairo_restore (cr);
}

gboolean
tide_pencil_is_vector (cairo_t *cr)
{
  cairo_surface_type_t type = cairo_surface_get_type (cairo_get_target (cr));

  return type == CAIRO_SURFACE_TYPE_SVG || type == CAIRO_SURFACE_TYPE_PDF;
}

void
tide_pencil_set_dash (cairo_t *cr, guint slot, double line_px, double offset)
{
  const double *dashes = NULL;
  double scaled[8];
  int n = tide_palette_get_dash (slot, &dashes);

  g_assert (n <= (int)G_N_ELEMENTS (scaled));
  for (int i = 0; i < n; i++)
    scaled[i] = dashes[i] * line_px / 2; /* the table is for lines of 2 px */
  cairo_set_dash (cr, scaled, n, offset);
}

gboolean
tide_rect_overlaps (const TideRect *a, const TideRect *b)
{
  const double slack = 1e-6; /* boxes on each other's edge touch, whatever the last bits say */

  return a->x + slack < b->x + b->width && b->x + slack < a->x + a->width
         && a->y + slack < b->y + b->height && b->y + slack < a->y + a->height;
}

gboolean
tide_rect_contains (const TideRect *outer, const TideRect *inner)
{
  return inner->x >= outer->x && inner->y >= outer->y
         && inner->x + inner->width <= outer->x + outer->width
         && inner->y + inner->height <= outer->y + outer->height;
}
