/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Flat stretches of a smoothed curve.
 *
 * A stretch is flat when all its samples lie within ± TIDE_PLATEAU_BAND of its own median, but
 * for interruptions of at most INTERRUPTION_S. The longest is sought by trying levels: for one
 * level the longest run inside its band is found in one walk; then either the level becomes the
 * run's own median until the two agree, or the run is cut until the level is its median. Levels
 * that too few samples are near to are not tried. The search looks at CELLS_MAX samples at most,
 * evenly picked; the ends are then found among all.
 */
#include "analysis/phases.h"

#include <string.h>

#include "analysis/series.h"
#include "recording/overview.h"

/* A renegotiation or a hiccup of the supply takes seconds; a minute's pause is another stage. */
#define INTERRUPTION_S 60.0

/* Levels are tried in steps this far apart: a twentieth of the band's half-width. */
#define LEVEL_STEP 1.0025
/* Levels below this share of the highest are none of a charge. Bounds the number of levels. */
#define LEVEL_LEAST_SHARE 1e-3

/* The search costs cells × levels: 30 ms at worst. 16,384 cells are 2 s each over 9 h. */
#define CELLS_MAX 16384

/* Level and run usually agree in three rounds. */
#define LEVEL_ROUNDS 16

/* How much shorter than the longest a run at a level on the grid may be and still be tried, since
 * its true level lies beside the grid. */
#define NEARLY_LONGEST 0.95

typedef struct
{
  const double *t, *y;
  gsize n;
} Columns;

typedef struct
{
  gsize first, last;
  double length_s, level;
} Flat;

/* How often each level occurs, as time: before[k] is the time below step k of the grid. */
typedef struct
{
  double lowest; /* of the grid */
  gsize n_levels;
  double *before;
} Histogram;

/* ---- One level ---- */

static void
keep_longer (const Columns *columns, gsize first, gsize last, Flat *flat)
{
  double length_s = columns->t[last] - columns->t[first];

  if (length_s > flat->length_s)
    *flat = (Flat){ first, last, length_s, flat->level };
}

/* The longest run of samples in the band of flat->level, interruptions bridged. FALSE: none. */
static gboolean
find_longest_run (const Columns *columns, Flat *flat)
{
  const double *t = columns->t, *y = columns->y;
  double low = flat->level * (1 - TIDE_PLATEAU_BAND), high = flat->level * (1 + TIDE_PLATEAU_BAND);
  gsize first = 0, last = 0;
  gboolean open = FALSE;

  flat->length_s = -1;
  for (gsize i = 0; i < columns->n; i++)
    {
      if (y[i] < low || y[i] > high)
        continue;
      if (open && i > last + 1 && t[i - 1] - t[last + 1] > INTERRUPTION_S)
        {
          keep_longer (columns, first, last, flat);
          open = FALSE;
        }
      if (!open)
        first = i;
      open = TRUE;
      last = i;
    }
  if (open)
    keep_longer (columns, first, last, flat);
  return open;
}

static double
find_level (const Columns *columns, const Flat *flat, double *scratch)
{
  gsize n = flat->last - flat->first + 1;

  memcpy (scratch, columns->y + flat->first, n * sizeof *scratch);
  return tide_median (scratch, n);
}

/* Shortens the run until it holds around its own median; length_s < 0 when nothing does. */
static void
shrink_flat (const Columns *columns, Flat *flat, double *scratch)
{
  for (;;)
    {
      Columns inside = { columns->t + flat->first, columns->y + flat->first,
                         flat->last - flat->first + 1 };
      Flat run = { .level = find_level (columns, flat, scratch) };

      gboolean found = find_longest_run (&inside, &run);

      flat->level = run.level;
      if (found && run.first == 0 && run.last == flat->last - flat->first)
        return;
      flat->length_s = run.length_s;
      if (!found)
        return;
      flat->last = flat->first + run.last;
      flat->first += run.first;
    }
}

/* Makes flat, the longest run at some level, a flat stretch: first by letting the level follow the
 * run and the run the level, then by shortening what still disagrees. */
static void
settle_flat (const Columns *columns, Flat *flat, double *scratch)
{
  for (int round = 0; round < LEVEL_ROUNDS; round++)
    {
      Flat next = { .level = find_level (columns, flat, scratch) };

      if (!find_longest_run (columns, &next))
        break;
      if (next.first == flat->first && next.last == flat->last)
        break;
      *flat = next;
    }
  shrink_flat (columns, flat, scratch);
}

/* ---- All levels ---- */

static gsize
get_step (const Histogram *histogram, double level)
{
  double step = log (level / histogram->lowest) / log (LEVEL_STEP);

  return (gsize)CLAMP (step, 0, (double)histogram->n_levels - 1);
}

/* FALSE when no sample is as high as min_level. */
static gboolean
fill_histogram (const Columns *columns, double min_level, Histogram *histogram)
{
  double highest = 0;

  for (gsize i = 0; i < columns->n; i++)
    highest = MAX (highest, columns->y[i]);
  histogram->lowest = MAX (min_level, highest * LEVEL_LEAST_SHARE) * (1 - TIDE_PLATEAU_BAND);
  if (!(highest > histogram->lowest) || !isfinite (log (highest / histogram->lowest)))
    return FALSE;
  histogram->n_levels = 2 + (gsize)(log (highest / histogram->lowest) / log (LEVEL_STEP));
  histogram->before = g_new0 (double, histogram->n_levels + 1);
  for (gsize i = 0; i + 1 < columns->n; i++)
    if (columns->y[i] >= histogram->lowest)
      histogram->before[get_step (histogram, columns->y[i]) + 1] +=
          columns->t[i + 1] - columns->t[i];
  for (gsize k = 0; k < histogram->n_levels; k++)
    histogram->before[k + 1] += histogram->before[k];
  return TRUE;
}

/* Time spent in the band of a level, to the step of the grid above the truth. */
static double
get_time_near (const Histogram *histogram, double level)
{
  gsize from = get_step (histogram, level * (1 - TIDE_PLATEAU_BAND) / LEVEL_STEP);
  gsize to = get_step (histogram, level * (1 + TIDE_PLATEAU_BAND) * LEVEL_STEP);

  return histogram->before[to + 1] - histogram->before[from];
}

typedef struct
{
  const Columns *columns;
  double min_level;
  double *scratch; /* n values */
  gsize
      *earliest; /* 2 n + 1: the first sample after which the balance was k - n, plus 1; 0: never */
  Flat best;
} Search;

/* Shortens a run at a level to its longest part with as many samples above the level as below, so
 * that the level is its median: where the whole run's median is another, that is what is left. */
static void
balance_flat (const Search *search, Flat *flat)
{
  const double *t = search->columns->t, *y = search->columns->y;
  gsize n = flat->last - flat->first + 1, balance = n;
  Flat balanced = { .level = flat->level, .length_s = -1 };

  memset (search->earliest, 0, (2 * n + 1) * sizeof *search->earliest);
  search->earliest[balance] = flat->first + 1;
  for (gsize i = flat->first; i <= flat->last; i++)
    {
      balance += (gsize)(y[i] > flat->level) - (gsize)(y[i] < flat->level);
      if (search->earliest[balance] == 0)
        search->earliest[balance] = i + 2;
      gsize first = search->earliest[balance] - 1;
      if (first < i && t[i] - t[first] > balanced.length_s)
        balanced = (Flat){ first, i, t[i] - t[first], flat->level };
    }
  *flat = balanced;
}

static void
keep_best (Search *search, const Flat *flat)
{
  if (flat->length_s > search->best.length_s && flat->level >= search->min_level)
    search->best = *flat;
}

static void
try_level (Search *search, double level)
{
  Flat run = { .level = level };

  if (!find_longest_run (search->columns, &run)
      || run.length_s < search->best.length_s * NEARLY_LONGEST
      || (run.first == search->best.first && run.last == search->best.last))
    return;

  Flat balanced = run;
  balance_flat (search, &balanced);
  if (balanced.length_s > search->best.length_s)
    {
      shrink_flat (search->columns, &balanced, search->scratch);
      keep_best (search, &balanced);
    }
  settle_flat (search->columns, &run, search->scratch);
  keep_best (search, &run);
}

/* best->length_s is the least length asked for; FALSE leaves it. */
static gboolean
find_longest_flat (const Columns *columns, double min_level, Flat *best)
{
  Histogram histogram;
  double least_s = best->length_s;

  if (columns->n < 2 || !fill_histogram (columns, min_level, &histogram))
    return FALSE;

  g_autofree double *before = histogram.before;
  g_autofree double *scratch = g_new (double, columns->n);
  g_autofree gsize *earliest = g_new (gsize, 2 * columns->n + 1);
  Search search = { columns, min_level, scratch, earliest, *best };
  for (gsize k = 0; k < histogram.n_levels; k++)
    {
      double level = histogram.lowest * pow (LEVEL_STEP, (double)k + 0.5);

      /* A stretch that is more interruption than plateau is none. */
      if (2 * get_time_near (&histogram, level) >= search.best.length_s)
        try_level (&search, level);
    }
  *best = search.best;
  return best->length_s > least_s;
}

/* ---- Samples ---- */

/* Every stride-th sample, and the last. Sets n; transfer full. */
static double *
pick_cells (const double *values, gsize n, gsize stride, gsize *n_cells)
{
  double *cells = g_new (double, n / stride + 2);
  gsize k = 0;

  for (gsize i = 0; i < n; i += stride)
    cells[k++] = values[i];
  if ((n - 1) % stride != 0)
    cells[k++] = values[n - 1];
  *n_cells = k;
  return cells;
}

/* The longest flat stretch among samples first .. last, by their indices in columns. */
static gboolean
search_samples (const Columns *columns,
                gsize first,
                gsize last,
                double min_s,
                double min_level,
                Flat *flat)
{
  gsize n = last - first + 1, stride = (n + CELLS_MAX - 1) / CELLS_MAX, n_cells;
  g_autofree double *t = pick_cells (columns->t + first, n, stride, &n_cells);
  g_autofree double *y = pick_cells (columns->y + first, n, stride, &n_cells);
  Columns cells = { t, y, n_cells };

  /* A hair less than asked for: stamps are rounded decimals. */
  *flat = (Flat){ .length_s = min_s * (1 - 1e-9) };
  if (!find_longest_flat (&cells, min_level, flat))
    return FALSE;

  /* The first cell outside bounds where, among the samples, the stretch can end. */
  gsize reach = stride > 1 ? 1 : 0;
  gsize from = first + (flat->first - MIN (flat->first, reach)) * stride;
  gsize to = MIN (first + (flat->last + reach) * stride, last);
  Columns near_it = { columns->t + from, columns->y + from, to - from + 1 };
  if (!find_longest_run (&near_it, flat) || flat->length_s < min_s * (1 - 1e-9))
    return FALSE;
  flat->first += from;
  flat->last += from;
  return TRUE;
}

static void
fill_plateau (const Columns *columns, const Flat *flat, TidePlateau *plateau)
{
  *plateau = (TidePlateau){ .level_w = { flat->level, NAN },
                            .start_s = columns->t[flat->first],
                            .end_s = columns->t[flat->last] };
}

/* Samples from .. to by time; FALSE when there are not two. */
static gboolean
find_samples (const Columns *columns, double from_s, double to_s, gsize *first, gsize *last)
{
  *first = tide_find_time (columns->t, columns->n, from_s);
  *last = tide_find_time (columns->t, columns->n, to_s);
  if (*last == columns->n || columns->t[*last] > to_s)
    *last -= MIN (*last, 1);
  return *first < *last && *last < columns->n;
}

gboolean
tide_find_plateau (const double *t,
                   const double *smoothed,
                   gsize n,
                   double from_s,
                   double to_s,
                   double min_s,
                   double min_level_w,
                   TidePlateau *plateau)
{
  Columns columns = { t, smoothed, n };
  gsize first, last;
  Flat flat;

  if (!find_samples (&columns, from_s, to_s, &first, &last)
      || !search_samples (&columns, first, last, min_s, min_level_w, &flat))
    return FALSE;
  fill_plateau (&columns, &flat, plateau);
  return TRUE;
}

/* A piece of the curve still to be cut, and the longest flat stretch in it. */
typedef struct
{
  gsize first, last;
  Flat flat;
} Piece;

static gsize
find_longest_piece (const GArray *pieces)
{
  gsize longest = 0;

  for (gsize i = 1; i < pieces->len; i++)
    if (g_array_index (pieces, Piece, i).flat.length_s
        > g_array_index (pieces, Piece, longest).flat.length_s)
      longest = i;
  return longest;
}

static void
add_piece (GArray *pieces,
           const Columns *columns,
           gsize first,
           gsize last,
           double min_s,
           double min_level)
{
  Piece piece = { .first = first, .last = last };

  if (columns->t[last] - columns->t[first] >= min_s * (1 - 1e-9)
      && search_samples (columns, first, last, min_s, min_level, &piece.flat))
    g_array_append_val (pieces, piece);
}

GArray *
tide_find_plateaus (const double *t,
                    const double *smoothed,
                    gsize n,
                    double from_s,
                    double to_s,
                    double min_s,
                    double min_level_w)
{
  GArray *plateaus = g_array_new (FALSE, FALSE, sizeof (TidePlateau));
  g_autoptr (GArray) pieces = g_array_new (FALSE, FALSE, sizeof (Piece));
  Columns columns = { t, smoothed, n };
  gsize first, last;

  if (find_samples (&columns, from_s, to_s, &first, &last))
    add_piece (pieces, &columns, first, last, min_s, min_level_w);
  while (pieces->len > 0 && plateaus->len < TIDE_MAX_PLATEAUS)
    {
      gsize longest = find_longest_piece (pieces);
      Piece piece = g_array_index (pieces, Piece, longest);
      TidePlateau plateau;

      g_array_remove_index_fast (pieces, longest);
      fill_plateau (&columns, &piece.flat, &plateau);
      g_array_append_val (plateaus, plateau);
      if (piece.flat.first > piece.first)
        add_piece (pieces, &columns, piece.first, piece.flat.first - 1, min_s, min_level_w);
      if (piece.flat.last < piece.last)
        add_piece (pieces, &columns, piece.flat.last + 1, piece.last, min_s, min_level_w);
    }
  return plateaus;
}
