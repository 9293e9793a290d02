/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is done to columns before they are a recording's. All linear. */
#include "recording/columns-private.h"

#include <math.h>
#include <string.h>

#include "recording/audit-private.h"
#include "recording/median.h"

/* Below one watt the resolution of meters, not their agreement, would decide. */
#define POWER_FLOOR_W 1.0

void
tide_columns_clear (TideColumns *columns)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&columns->values[q], g_free);
}

void
tide_columns_shift (TideColumns *columns, double first_s)
{
  double *times = columns->values[TIDE_QUANTITY_TIME];

  for (gsize i = 0; first_s > 0 && i < columns->n; i++)
    times[i] -= first_s;
}

/* ---- Revision ---- */

static void
turn (double *values, gsize n)
{
  for (gsize i = 0; i < n; i++)
    values[i] = 0 - values[i]; /* not −x: a zero stays positive */
}

static gboolean
has_hole (const TideColumns *columns, gsize i)
{
  for (guint q = TIDE_QUANTITY_ENERGY; q < TIDE_N_QUANTITIES; q++)
    if (columns->values[q] != NULL && isnan (columns->values[q][i]))
      return TRUE;
  return FALSE;
}

static void
take_out_holes (TideColumns *columns)
{
  gsize n_kept = 0;

  for (gsize i = 0; i < columns->n; i++)
    {
      if (has_hole (columns, i))
        continue;
      for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
        if (columns->values[q] != NULL)
          columns->values[q][n_kept] = columns->values[q][i];
      n_kept++;
    }
  columns->n = n_kept;
}

void
tide_columns_revise (TideColumns *columns, const TideRevision *revision)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    {
      if (revision->left_out & (1u << q))
        g_clear_pointer (&columns->values[q], g_free);
      if (columns->values[q] != NULL && (revision->turned & (1u << q)))
        turn (columns->values[q], columns->n);
    }
  if (revision->has_holes)
    take_out_holes (columns);
}

gint64
tide_recording_head_get_start_us (const TideRecordingHead *head, double first_s)
{
  return head->start_us == 0 ? 0 : head->start_us + (gint64)round (first_s * G_USEC_PER_SEC);
}

/* ---- Checks ---- */

static gboolean
is_infinite (double value)
{
  guint64 bits;

  memcpy (&bits, &value, sizeof bits);
  return (bits << 1) >> 53 == 0x7ff;
}

static gboolean
has_infinite (const double *values, gsize n, gboolean may_miss)
{
  guint n_bad = 0;

  for (gsize i = 0; i < n; i++)
    n_bad |= is_infinite (values[i]);
  if (n_bad == 0 || !may_miss)
    return n_bad > 0;
  for (gsize i = 0; i < n; i++)
    if (isinf (values[i]))
      return TRUE;
  return FALSE;
}

TideQuantity
tide_columns_find_infinite (const TideColumns *columns)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns->values[q] != NULL
        && has_infinite (columns->values[q], columns->n, TIDE_IS_OPTIONAL (q)))
      return q;
  return TIDE_N_QUANTITIES;
}

/* ---- Power ---- */

gboolean
tide_columns_have_all (const TideColumns *columns)
{
  return columns->values[TIDE_QUANTITY_POWER] != NULL
         && columns->values[TIDE_QUANTITY_VOLTAGE] != NULL
         && columns->values[TIDE_QUANTITY_CURRENT] != NULL;
}

double
tide_columns_measure_sample (const TideColumns *columns, gsize i, gboolean turned)
{
  double power = columns->values[TIDE_QUANTITY_POWER][i];
  double product =
      columns->values[TIDE_QUANTITY_VOLTAGE][i] * columns->values[TIDE_QUANTITY_CURRENT][i];

  return fabs (turned ? power + product : power - product) / MAX (fabs (power), POWER_FLOOR_W);
}

double
tide_columns_measure_mismatch (const TideColumns *columns)
{
  gsize n_off = 0;

  if (!tide_columns_have_all (columns))
    return 0;

  /* With fewer than half of the samples off the median cannot be, and need not be found. */
  for (gsize i = 0; i < columns->n; i++)
    n_off += tide_columns_measure_sample (columns, i, FALSE) > TIDE_POWER_TOLERANCE;
  if (n_off < columns->n / 2)
    return 0;

  g_autofree double *mismatches = g_new (double, columns->n);
  for (gsize i = 0; i < columns->n; i++)
    mismatches[i] = tide_columns_measure_sample (columns, i, FALSE);
  double median = tide_select_median (mismatches, columns->n);
  return median > TIDE_POWER_TOLERANCE ? median : 0;
}
