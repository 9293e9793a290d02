/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Samples as they come are cut into blocks of TIDE_BLOCK_SAMPLES and written, each block's channels
 * one after the other; their overview is made beside them. In memory stand less than a block and
 * the overview of some million samples.
 */
#include "library/import-private.h"

/* ---- The desk ---- */

gboolean
tide_desk_init (TideDesk *desk, TideStore *store, GCancellable *cancellable, GError **error)
{
  *desk = (TideDesk){ .store = store, .cancellable = cancellable };
  desk->put_chunk = tide_series_prepare_put (store, TIDE_SERIES_CHUNK, error);
  desk->put_overview =
      desk->put_chunk != NULL ? tide_series_prepare_put (store, TIDE_SERIES_OVERVIEW, error) : NULL;
  desk->guess = g_new (double, TIDE_BLOCK_SAMPLES);
  return desk->put_overview != NULL;
}

void
tide_desk_clear (TideDesk *desk)
{
  g_clear_pointer (&desk->put_chunk, sqlite3_finalize);
  g_clear_pointer (&desk->put_overview, sqlite3_finalize);
  g_clear_pointer (&desk->guess, g_free);
}

/* What power is likely to be: volts times amperes, rounded once. NULL where there are not both. */
static const double *
make_guess (TideDesk *desk, const double *voltage, const double *current, gsize n)
{
  if (voltage == NULL || current == NULL)
    return NULL;
  for (gsize i = 0; i < n; i++)
    desk->guess[i] = voltage[i] * current[i];
  return desk->guess;
}

/* ---- Writing ---- */

void
tide_writer_init (TideWriter *writer, TideDesk *desk, gint64 run)
{
  *writer = (TideWriter){ .desk = desk, .run = run };
  tide_outline_init (&writer->outline, run);
}

void
tide_writer_clear (TideWriter *writer)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&writer->columns[q], g_array_unref);
  tide_outline_clear (&writer->outline);
}

static const double *
get_column (const TideWriter *writer, TideQuantity quantity)
{
  return writer->columns[quantity] != NULL ? (const double *)writer->columns[quantity]->data : NULL;
}

static gsize
count_waiting (const TideWriter *writer)
{
  return writer->columns[TIDE_QUANTITY_TIME] != NULL ? writer->columns[TIDE_QUANTITY_TIME]->len : 0;
}

static gboolean
put_channel (TideWriter *writer, TideQuantity quantity, gsize n, GError **error)
{
  TideSeries series = { TIDE_SERIES_CHUNK, writer->run, quantity };
  const double *guess = quantity == TIDE_QUANTITY_POWER
                            ? make_guess (writer->desk, get_column (writer, TIDE_QUANTITY_VOLTAGE),
                                          get_column (writer, TIDE_QUANTITY_CURRENT), n)
                            : NULL;

  return tide_series_put_block (writer->desk->store, writer->desk->put_chunk, &series,
                                writer->n_blocks, get_column (writer, quantity), guess, n, error);
}

static gboolean
put_block (TideWriter *writer, GError **error)
{
  gsize n = count_waiting (writer);

  if (g_cancellable_set_error_if_cancelled (writer->desk->cancellable, error))
    return FALSE;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (writer->columns[q] != NULL && !put_channel (writer, q, n, error))
      return FALSE;
  if (!tide_outline_add (&writer->outline, writer->desk->store, writer->desk->put_overview,
                         get_column (writer, TIDE_QUANTITY_TIME),
                         get_column (writer, TIDE_QUANTITY_POWER), n, error))
    return FALSE;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (writer->columns[q] != NULL)
      g_array_set_size (writer->columns[q], 0);
  writer->n_blocks++;
  return TRUE;
}

static void
append (TideWriter *writer, const TideColumns *samples, gsize first, gsize n)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (samples->values[q] == NULL)
        continue;
      if (writer->columns[q] == NULL)
        writer->columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
      g_array_append_vals (writer->columns[q], samples->values[q] + first, (guint)n);
    }
}

gboolean
tide_writer_add (TideWriter *writer, const TideColumns *samples, GError **error)
{
  for (gsize done = 0; done < samples->n;)
    {
      gsize piece = MIN (TIDE_BLOCK_SAMPLES - count_waiting (writer), samples->n - done);

      append (writer, samples, done, piece);
      done += piece;
      if (count_waiting (writer) == TIDE_BLOCK_SAMPLES && !put_block (writer, error))
        return FALSE;
    }
  if (samples->n > 0)
    writer->last_s = samples->values[TIDE_QUANTITY_TIME][samples->n - 1];
  writer->n += samples->n;
  return TRUE;
}

gboolean
tide_writer_finish (TideWriter *writer, GError **error)
{
  if (count_waiting (writer) > 0 && !put_block (writer, error))
    return FALSE;
  return tide_outline_finish (&writer->outline, writer->desk->store, writer->desk->put_overview,
                              error);
}

/* ---- Revising ---- */

static gboolean
get_block (TideWriter *old, gsize seq, TideColumns *samples, GError **error)
{
  TideStore *store = old->desk->store;

  samples->n = MIN (TIDE_BLOCK_SAMPLES, old->n - seq * TIDE_BLOCK_SAMPLES);
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      TideSeries series = { TIDE_SERIES_CHUNK, old->run, q };
      const double *guess = q == TIDE_QUANTITY_POWER
                                ? make_guess (old->desk, samples->values[TIDE_QUANTITY_VOLTAGE],
                                              samples->values[TIDE_QUANTITY_CURRENT], samples->n)
                                : NULL;

      if (old->columns[q] == NULL)
        continue;
      samples->values[q] = g_new (double, samples->n);
      if (!tide_series_get_block (store, &series, seq, samples->values[q], guess, samples->n,
                                  error))
        return FALSE;
    }
  return TRUE;
}

/* What the new blocks do not take the place of. */
static gboolean
cut_old (TideWriter *old, const TideWriter *revised, GError **error)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      TideSeries series = { TIDE_SERIES_CHUNK, old->run, q };
      gsize seq = revised->columns[q] != NULL ? revised->n_blocks : 0;

      if (old->columns[q] != NULL && !tide_series_cut (old->desk->store, &series, seq, error))
        return FALSE;
    }
  return TRUE;
}

static gboolean
cut_overview (TideWriter *old, GError **error)
{
  TideSeries times = { TIDE_SERIES_OVERVIEW, old->run, TIDE_QUANTITY_TIME };
  TideSeries powers = { TIDE_SERIES_OVERVIEW, old->run, TIDE_QUANTITY_POWER };

  return tide_series_cut (old->desk->store, &times, 0, error)
         && tide_series_cut (old->desk->store, &powers, 0, error);
}

static gboolean
revise_block (TideWriter *old,
              gsize seq,
              const TideRevision *revision,
              TideWriter *revised,
              double *first_s,
              TideWriterFunc watch,
              gpointer user_data,
              GError **error)
{
  g_auto (TideColumns) samples = { 0 };

  if (!get_block (old, seq, &samples, error))
    return FALSE;
  tide_columns_revise (&samples, revision);
  if (samples.n == 0)
    return TRUE;
  if (revised->n == 0)
    *first_s = samples.values[TIDE_QUANTITY_TIME][0];
  tide_columns_shift (&samples, *first_s);
  watch (&samples, revised->n == 0, user_data);
  return tide_writer_add (revised, &samples, error);
}

gboolean
tide_writer_revise (TideWriter *writer,
                    const TideRevision *revision,
                    TideWriterFunc watch,
                    gpointer user_data,
                    double *first_s,
                    GError **error)
{
  TideWriter revised;
  gboolean done = cut_overview (writer, error);

  /* A block is full only once as many samples were read: what is written stands behind what is
   * read. */
  *first_s = 0;
  tide_writer_init (&revised, writer->desk, writer->run);
  for (gsize seq = 0; done && seq < writer->n_blocks; seq++)
    done = revise_block (writer, seq, revision, &revised, first_s, watch, user_data, error);
  done = done && tide_writer_finish (&revised, error) && cut_old (writer, &revised, error);
  tide_writer_clear (writer);
  *writer = revised;
  return done;
}
