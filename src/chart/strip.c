/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strip: each run less the reference, which is the zero line. A grey band says how far noise
 * alone would carry a difference; inside it a curve is pale, outside in full colour, and the change
 * stands exactly where the curve crosses the band's edge. Bands of runs with different noise lie on
 * each other, each curve being judged by its own.
 */
#include "chart/chart-private.h"

#include <math.h>

#define INSIDE_ALPHA 0.45
#define BAND_ALPHA   0.10
/* A band of another width lies on the widest, this much darker. */
#define INNER_ALPHA 0.05
#define INNER_SHARE 0.85
/* The band is shown with some room around it. */
#define BAND_ROOM 1.3
/* The zero line, in line widths. */
#define ZERO_PEN 0.6

/* The cells of a difference in a view: first .. last - 1. */
static void
find_cells (const TideDifference *difference, double start, double end, gsize *first, gsize *last)
{
  double from = (start - difference->start) / difference->step - 0.5;
  double to = (end - difference->start) / difference->step - 0.5;

  *first = (gsize)CLAMP (floor (from), 0, (double)difference->n);
  *last = (gsize)CLAMP (ceil (to) + 1, 0, (double)difference->n);
}

static double
get_centre (const TideDifference *difference, gsize cell)
{
  return difference->start + ((double)cell + 0.5) * difference->step;
}

gboolean
tide_strip_get_range (TideComparison *comparison,
                      double start,
                      double end,
                      double *low,
                      double *high)
{
  gboolean found = FALSE;

  *low = *high = 0;
  for (guint run = 0; run < tide_comparison_get_n_runs (comparison); run++)
    {
      const TideDifference *difference = tide_comparison_get_difference (comparison, run);
      gsize first, last;

      if (difference == NULL)
        continue;
      *low = MIN (*low, -BAND_ROOM * difference->band);
      *high = MAX (*high, BAND_ROOM * difference->band);
      find_cells (difference, start, end, &first, &last);
      for (gsize cell = first; cell < last; cell++)
        if (!isnan (difference->smoothed[cell]))
          {
            *low = MIN (*low, difference->smoothed[cell]);
            *high = MAX (*high, difference->smoothed[cell]);
            found = TRUE;
          }
    }
  return found;
}

double
tide_strip_read (TideComparison *comparison, guint run, double x)
{
  const TideDifference *difference = tide_comparison_get_difference (comparison, run);
  double cell;

  if (difference == NULL)
    return NAN;
  cell = floor ((x - difference->start) / difference->step);
  return cell >= 0 && cell < (double)difference->n ? difference->smoothed[(gsize)cell] : NAN;
}

/* --- few points --- */

/* What is kept of the cells in one bin. */
typedef struct
{
  double x, first, low, high, last;
  guint count;
} Bin;

static void
flush_bin (const Bin *bin, const TideScale *y, GArray *points, gboolean *starts)
{
  double values[4] = { bin->first, bin->low, bin->high, bin->last };
  guint n = bin->count == 1 ? 1 : 4;

  if (bin->count == 0)
    return;
  if (bin->first > bin->last)
    {
      values[1] = bin->high;
      values[2] = bin->low;
    }
  for (guint i = 0; i < n; i++)
    {
      TidePoint point = { bin->x, tide_scale_to_px (y, values[i]), *starts };

      if (i > 0 && point.y == g_array_index (points, TidePoint, points->len - 1).y)
        continue;
      g_array_append_val (points, point);
      *starts = FALSE;
    }
}

/* The smoothed difference; "bridged" begins a new piece after cells without data. */
static GArray *
reduce_difference (const TideDifference *difference,
                   const TideScale *x,
                   const TideScale *y,
                   guint bins)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  gsize first, last;
  Bin bin = { 0 };
  gboolean starts = TRUE;

  find_cells (difference, x->low, x->high, &first, &last);
  for (gsize cell = first; cell < last; cell++)
    {
      double value = difference->smoothed[cell],
             px = tide_scale_to_px (x, get_centre (difference, cell));

      if (isnan (value) || (bin.count > 0 && floor (px * bins) > floor (bin.x * bins)))
        {
          flush_bin (&bin, y, points, &starts);
          starts = starts || isnan (value);
          bin.count = 0;
        }
      if (isnan (value))
        continue;
      if (bin.count++ == 0)
        bin = (Bin){ px, value, value, value, value, 1 };
      bin.low = MIN (bin.low, value);
      bin.high = MAX (bin.high, value);
      bin.last = value;
    }
  flush_bin (&bin, y, points, &starts);
  return points;
}

/* --- inside and outside --- */

/* Where between a and b the line crosses height y. */
static TidePoint
cross (const TidePoint *a, const TidePoint *b, double y)
{
  double share = (y - a->y) / (b->y - a->y);

  return (TidePoint){ a->x + (b->x - a->x) * share, y, FALSE };
}

static gboolean
is_between (double y, double a, double b)
{
  return (a < y && y < b) || (b < y && y < a);
}

/* Cuts the way from a to b at both edges of the band; way gets 2 to 4 points. */
static guint
cut_way (const TidePoint *a, const TidePoint *b, double top, double bottom, TidePoint way[4])
{
  double edges[2] = { MIN (top, bottom), MAX (top, bottom) };
  guint n = 0;

  if (b->y < a->y)
    {
      edges[0] = MAX (top, bottom);
      edges[1] = MIN (top, bottom);
    }
  way[n++] = *a;
  for (guint i = 0; i < 2; i++)
    if (is_between (edges[i], a->y, b->y))
      way[n++] = cross (a, b, edges[i]);
  way[n++] = *b;
  return n;
}

/* The pieces of points inside (or outside) the band; "bridged" begins each piece. */
static GArray *
select_pieces (GArray *points, double top, double bottom, gboolean inside)
{
  GArray *pieces = g_array_new (FALSE, FALSE, sizeof (TidePoint));
  gboolean open = FALSE;

  for (guint i = 1; i < points->len; i++)
    {
      const TidePoint *to = &g_array_index (points, TidePoint, i);
      TidePoint way[4];
      guint n = to->bridged ? 0 : cut_way (to - 1, to, top, bottom, way);

      open = open && !to->bridged;
      for (guint k = 1; k < n; k++)
        {
          double middle = (way[k - 1].y + way[k].y) / 2;
          gboolean wanted = (middle >= top && middle <= bottom) == inside;

          way[k - 1].bridged = TRUE;
          way[k].bridged = FALSE;
          if (wanted && !open)
            g_array_append_val (pieces, way[k - 1]);
          if (wanted)
            g_array_append_val (pieces, way[k]);
          open = wanted;
        }
    }
  return pieces;
}

static void
draw_piece (cairo_t *cr,
            GArray *pieces,
            guint first,
            guint last,
            TideColor color,
            double alpha,
            double width,
            guint slot)
{
  g_autoptr (GArray) piece = g_array_sized_new (FALSE, FALSE, sizeof (TidePoint), last - first);

  g_array_append_vals (piece, &g_array_index (pieces, TidePoint, first), last - first);
  g_array_index (piece, TidePoint, 0).bridged = FALSE;
  tide_lines_stroke (cr, piece, color, alpha, width, slot);
}

static void
draw_pieces (cairo_t *cr, GArray *pieces, TideColor color, double alpha, double width, guint slot)
{
  guint first = 0;

  for (guint i = 1; i <= pieces->len; i++)
    if (i == pieces->len || g_array_index (pieces, TidePoint, i).bridged)
      {
        draw_piece (cr, pieces, first, i, color, alpha, width, slot);
        first = i;
      }
}

/* --- drawing --- */

static void
fill_band (const TidePlan *plan, cairo_t *cr, double band, double alpha)
{
  const TideRect *strip = &plan->room.strip;
  double top = tide_scale_to_px (&plan->room.strip_y, band),
         bottom = tide_scale_to_px (&plan->room.strip_y, -band);

  tide_pencil_set_color (cr, tide_palette_get_ink (plan->style.look), alpha);
  cairo_rectangle (cr, strip->x, top, strip->width, bottom - top);
  cairo_fill (cr);
}

static double
get_band (const TidePlan *plan, guint run)
{
  const TideDifference *difference = tide_comparison_get_difference (plan->comparison, run);

  return difference != NULL ? difference->band : 0;
}

static void
draw_bands (const TidePlan *plan, cairo_t *cr)
{
  guint n = tide_comparison_get_n_runs (plan->comparison);
  double widest = 0;

  for (guint run = 0; run < n; run++)
    widest = MAX (widest, get_band (plan, run));
  if (widest > 0)
    fill_band (plan, cr, widest, BAND_ALPHA);
  for (guint run = 0; run < n; run++)
    {
      double band = get_band (plan, run);
      if (band > 0 && band < INNER_SHARE * widest)
        fill_band (plan, cr, band, INNER_ALPHA);
    }
}

/* The reference itself. */
static void
draw_zero (const TidePlan *plan, cairo_t *cr)
{
  guint slot = tide_plan_get_slot (plan, tide_comparison_get_reference (plan->comparison));
  double y = tide_scale_to_px (&plan->room.strip_y, 0);

  tide_pencil_set_color (cr, tide_palette_get_series (plan->style.look, slot), 1);
  tide_pencil_line (cr, plan->room.strip.x, y, plan->room.strip.x + plan->room.strip.width, y,
                    MAX (1, round (ZERO_PEN * plan->style.line_px)));
}

static void
draw_difference (const TidePlan *plan, cairo_t *cr, guint run, const TideDifference *difference)
{
  const TideScale *y = &plan->room.strip_y;
  g_autoptr (GArray) points =
      reduce_difference (difference, &plan->room.x, y, tide_plan_get_bins (plan, cr));
  double top = tide_scale_to_px (y, difference->band),
         bottom = tide_scale_to_px (y, -difference->band);
  g_autoptr (GArray) inside = select_pieces (points, top, bottom, TRUE);
  g_autoptr (GArray) outside = select_pieces (points, top, bottom, FALSE);
  guint slot = tide_plan_get_slot (plan, run);
  TideColor color = tide_palette_get_series (plan->style.look, slot);
  TideColor pale = tide_color_mix (tide_palette_get_ground (plan->style.look), color, INSIDE_ALPHA);
  double pen = tide_plan_get_pen (plan, run);

  draw_pieces (cr, inside, pale, 1, pen, slot);
  draw_pieces (cr, outside, color, 1, pen, slot);
}

void
tide_strip_draw (const TidePlan *plan, cairo_t *cr)
{
  const TideRect *strip = &plan->room.strip;
  g_autoptr (GArray) order = tide_plan_get_order (plan);

  if (strip->height <= 0)
    return;
  cairo_save (cr);
  cairo_rectangle (cr, strip->x, strip->y - plan->style.line_px, strip->width,
                   strip->height + 2 * plan->style.line_px);
  cairo_clip (cr);
  draw_bands (plan, cr);
  draw_zero (plan, cr);
  for (guint i = 0; i < order->len; i++)
    {
      guint run = g_array_index (order, guint, i);
      const TideDifference *difference = tide_comparison_get_difference (plan->comparison, run);
      if (difference != NULL)
        draw_difference (plan, cr, run, difference);
    }
  cairo_restore (cr);
}
