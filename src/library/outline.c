/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The overview of a run holds, of time and of power, the smallest and the largest value of every so
 * many samples, as a series of alternating values.
 *
 * How long a run will be is not known while it comes: the first samples make pairs of their own,
 * and whenever there are twice as many pairs as a short run needs, two become one, until a pair
 * holds TIDE_OUTLINE_STEP samples; from then on full blocks of pairs go into the file.
 */
#include "library/outline-private.h"

void
tide_outline_init (TideOutline *outline, gint64 run)
{
  *outline = (TideOutline){ .run = run, .step = 1 };
  outline->times = g_array_new (FALSE, FALSE, sizeof (double));
  outline->powers = g_array_new (FALSE, FALSE, sizeof (double));
}

void
tide_outline_clear (TideOutline *outline)
{
  g_clear_pointer (&outline->times, g_array_unref);
  g_clear_pointer (&outline->powers, g_array_unref);
}

/* --- Pairs --- */

static void
begin_pair (GArray *pairs, double value)
{
  double pair[2] = { value, value };

  g_array_append_vals (pairs, pair, 2);
}

static void
widen_pair (GArray *pairs, const double *values, gsize n)
{
  double *pair = &g_array_index (pairs, double, pairs->len - 2);

  for (gsize i = 0; i < n; i++)
    {
      pair[0] = MIN (pair[0], values[i]);
      pair[1] = MAX (pair[1], values[i]);
    }
}

static void
join_pairs (GArray *pairs)
{
  double *values = (double *)pairs->data;

  for (guint i = 0; i < pairs->len / 4; i++)
    {
      values[2 * i] = MIN (values[4 * i], values[4 * i + 2]);
      values[2 * i + 1] = MAX (values[4 * i + 1], values[4 * i + 3]);
    }
  g_array_set_size (pairs, pairs->len / 2);
}

/* Only once the last pair is full. */
static void
coarsen (TideOutline *outline)
{
  join_pairs (outline->times);
  join_pairs (outline->powers);
  outline->step *= 2;
  outline->n_in_pair = outline->step;
}

/* --- Blocks --- */

static gboolean
put_pairs (TideOutline *outline, TideStore *store, sqlite3_stmt *put, GError **error)
{
  TideSeries times = { TIDE_SERIES_OVERVIEW, outline->run, TIDE_QUANTITY_TIME };
  TideSeries powers = { TIDE_SERIES_OVERVIEW, outline->run, TIDE_QUANTITY_POWER };
  gsize seq = outline->n_blocks++, n = outline->times->len;

  if (!tide_series_put_block (store, put, &times, seq, (const double *)outline->times->data, NULL,
                              n, error)
      || !tide_series_put_block (store, put, &powers, seq, (const double *)outline->powers->data,
                                 NULL, n, error))
    return FALSE;
  g_array_set_size (outline->times, 0);
  g_array_set_size (outline->powers, 0);
  return TRUE;
}

static gboolean
make_room (TideOutline *outline, TideStore *store, sqlite3_stmt *put, GError **error)
{
  if (outline->step < TIDE_OUTLINE_STEP && outline->times->len == 4 * TIDE_OUTLINE_PAIRS)
    coarsen (outline);
  if (outline->times->len < TIDE_BLOCK_SAMPLES)
    return TRUE;
  return put_pairs (outline, store, put, error);
}

gboolean
tide_outline_add (TideOutline *outline,
                  TideStore *store,
                  sqlite3_stmt *put,
                  const double *times,
                  const double *powers,
                  gsize n,
                  GError **error)
{
  for (gsize done = 0; done < n;)
    {
      gsize piece;

      if (outline->times->len == 0 || outline->n_in_pair == outline->step)
        {
          if (!make_room (outline, store, put, error))
            return FALSE;
          begin_pair (outline->times, times[done]);
          begin_pair (outline->powers, powers[done]);
          outline->n_in_pair = 0;
        }
      piece = MIN (outline->step - outline->n_in_pair, n - done);
      widen_pair (outline->times, times + done, piece);
      widen_pair (outline->powers, powers + done, piece);
      outline->n_in_pair += piece;
      done += piece;
    }
  return TRUE;
}

gboolean
tide_outline_finish (TideOutline *outline, TideStore *store, sqlite3_stmt *put, GError **error)
{
  return outline->times->len == 0 || put_pairs (outline, store, put, error);
}
