/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sums over a recording's samples, and what its end makes of them.
 *
 * Only the sign of the areas is asked for, so plain sums will do. The median of how far power is
 * off V·I comes from a count over bins as wide as one part in 2,048. Optional columns that lack
 * many values would cost more samples than they are worth and are left out; of one that lacks few,
 * the samples without it go. Which these will be is open until the end, so samples are counted by
 * all that they lack.
 */
#include "recording/audit-private.h"

#include <math.h>
#include <string.h>

#include "recording/columns-private.h"

/* A column that lacks a larger share of its values is left out. */
#define HOLES_SHARE 0.05

/* The bins: mantissas cut to so many bits, from the tolerance up to a million times off. */
#define BIN_BITS  11
#define BIN_SHIFT (52 - BIN_BITS)
#define MOST_OFF  1e6

void
tide_audit_clear (TideAudit *audit)
{
  g_clear_pointer (&audit->off, g_free);
  for (guint i = 0; i < TIDE_N_OPTIONAL; i++)
    g_clear_pointer (&audit->hole_rows[i], g_array_unref);
}

/* ---- Adding ---- */

static void
add_area (TideAudit *audit, const TideColumns *samples, TideQuantity quantity)
{
  const double *times = samples->values[TIDE_QUANTITY_TIME];
  const double *values = samples->values[quantity];
  double sum = audit->area[quantity];

  if (values == NULL)
    return;
  if (audit->n > 0)
    sum += (values[0] + audit->last[quantity]) / 2 * (times[0] - audit->last[TIDE_QUANTITY_TIME]);
  for (gsize i = 1; i < samples->n; i++)
    sum += (values[i] + values[i - 1]) / 2 * (times[i] - times[i - 1]);
  audit->area[quantity] = sum;
}

static void
add_product (TideAudit *audit, const TideColumns *samples)
{
  const double *power = samples->values[TIDE_QUANTITY_POWER];
  const double *current = samples->values[TIDE_QUANTITY_CURRENT];

  for (gsize i = 0; current != NULL && i < samples->n; i++)
    audit->product += power[i] * current[i];
}

/* A counter may restart now and then; a missing value is no step. */
static void
add_rises (TideAudit *audit, const TideColumns *samples, TideQuantity quantity)
{
  const double *values = samples->values[quantity];
  double before = audit->n > 0 ? audit->last[quantity] : NAN;

  for (gsize i = 0; values != NULL && i < samples->n; i++)
    {
      audit->n_rises[quantity] += (values[i] > before) - (values[i] < before);
      before = isnan (values[i]) ? before : values[i];
    }
  if (values != NULL)
    audit->last[quantity] = before;
}

static gsize
find_bin (double off)
{
  const double lowest = TIDE_POWER_TOLERANCE;
  double bounded = MIN (off, MOST_OFF);
  guint64 bits, lowest_bits;

  memcpy (&bits, &bounded, sizeof bits);
  memcpy (&lowest_bits, &lowest, sizeof lowest_bits);
  return (gsize)((bits >> BIN_SHIFT) - (lowest_bits >> BIN_SHIFT));
}

static double
find_middle (gsize bin)
{
  const double lowest = TIDE_POWER_TOLERANCE;
  double middle;
  guint64 bits;

  memcpy (&bits, &lowest, sizeof bits);
  bits = (((bits >> BIN_SHIFT) + bin) << BIN_SHIFT) + ((guint64)1 << (BIN_SHIFT - 1));
  memcpy (&middle, &bits, sizeof middle);
  return MAX (middle, TIDE_POWER_TOLERANCE);
}

/* Whether the current is counted the other way than the power is open; what came so far says what
 * is likely. */
static void
add_mismatches (TideAudit *audit, const TideColumns *samples)
{
  gboolean turned = audit->product < 0;

  if (!tide_columns_have_all (samples))
    return;
  for (gsize i = 0; i < samples->n; i++)
    {
      double off = tide_columns_measure_sample (samples, i, turned);

      if (!(off > TIDE_POWER_TOLERANCE))
        continue;
      if (audit->off == NULL)
        audit->off = g_new0 (guint32, find_bin (MOST_OFF) + 1);
      audit->off[find_bin (off)]++;
      audit->n_off++;
    }
}

static gboolean
is_whole (const TideColumns *samples)
{
  for (guint q = TIDE_QUANTITY_ENERGY; q < TIDE_N_QUANTITIES; q++)
    for (gsize i = 0; samples->values[q] != NULL && i < samples->n; i++)
      if (isnan (samples->values[q][i]))
        return FALSE;
  return TRUE;
}

static void
count_hole (TideHole *hole, guint64 n, double first_s, double last_s)
{
  hole->first_s = hole->n == 0 ? first_s : hole->first_s;
  hole->last_s = last_s;
  hole->n += n;
}

static void
note_hole (TideAudit *audit, guint optional, guint64 row)
{
  if (audit->hole_rows[optional] == NULL)
    audit->hole_rows[optional] = g_array_new (FALSE, FALSE, sizeof row);
  if (audit->hole_rows[optional]->len < TIDE_AUDIT_MOST_TOLD)
    g_array_append_val (audit->hole_rows[optional], row);
}

static void
add_holes (TideAudit *audit,
           const TideColumns *samples,
           TideSampleRowFunc get_row,
           gpointer user_data)
{
  const double *times = samples->values[TIDE_QUANTITY_TIME];

  if (is_whole (samples))
    {
      count_hole (&audit->holes[0], samples->n, times[0], times[samples->n - 1]);
      return;
    }
  for (gsize i = 0; i < samples->n; i++)
    {
      guint missing = 0;

      for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
        {
          const double *values = samples->values[TIDE_QUANTITY_ENERGY + k];

          if (values == NULL || !isnan (values[i]))
            continue;
          missing |= 1u << k;
          note_hole (audit, k, get_row (i, user_data));
        }
      count_hole (&audit->holes[missing], 1, times[i], times[i]);
    }
}

void
tide_audit_add (TideAudit *audit,
                const TideColumns *samples,
                TideSampleRowFunc get_row,
                gpointer user_data)
{
  if (samples->n == 0)
    return;
  add_area (audit, samples, TIDE_QUANTITY_CURRENT);
  add_area (audit, samples, TIDE_QUANTITY_POWER);
  add_product (audit, samples);
  add_rises (audit, samples, TIDE_QUANTITY_ENERGY);
  add_rises (audit, samples, TIDE_QUANTITY_CHARGE);
  add_mismatches (audit, samples);
  add_holes (audit, samples, get_row, user_data);
  for (guint q = 0; q < TIDE_QUANTITY_ENERGY; q++)
    if (samples->values[q] != NULL)
      audit->last[q] = samples->values[q][samples->n - 1];
  audit->n += samples->n;
}

/* ---- Judging ---- */

guint64
tide_audit_count_missing (const TideAudit *audit, guint optional)
{
  guint64 n = 0;

  for (guint missing = 0; missing < G_N_ELEMENTS (audit->holes); missing++)
    if (missing & (1u << optional))
      n += audit->holes[missing].n;
  return n;
}

/* Power that was logged without a sign, or the other way, does not follow the current; over a log
 * that takes back what it gave, its area alone would not tell. */
static gboolean
is_power_turned (const TideAudit *audit, gboolean power_logged, gboolean has_current)
{
  if (!has_current)
    return TRUE; /* it is what the sign was told by */
  return !power_logged || audit->product > 0;
}

static guint
judge_signs (const TideAudit *audit, gboolean power_logged, gboolean has_current)
{
  guint turned = 0;

  if (!(audit->area[has_current ? TIDE_QUANTITY_CURRENT : TIDE_QUANTITY_POWER] < 0))
    return 0;
  if (has_current)
    turned |= 1u << TIDE_QUANTITY_CURRENT;
  if (is_power_turned (audit, power_logged, has_current))
    turned |= 1u << TIDE_QUANTITY_POWER;
  for (guint q = TIDE_QUANTITY_ENERGY; q <= TIDE_QUANTITY_CHARGE; q++)
    if (audit->n_rises[q] < 0)
      turned |= 1u << q;
  return turned;
}

TideRevision
tide_audit_judge (const TideAudit *audit, gboolean power_logged, gboolean has_current)
{
  TideRevision revision = { .turned = judge_signs (audit, power_logged, has_current) };

  for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
    {
      guint64 n_missing = tide_audit_count_missing (audit, k);

      if (n_missing > HOLES_SHARE * audit->n)
        revision.left_out |= 1u << (TIDE_QUANTITY_ENERGY + k);
      else
        revision.has_holes |= n_missing > 0;
    }
  return revision;
}

gsize
tide_audit_count (const TideAudit *audit,
                  const TideRevision *revision,
                  double *first_s,
                  double *last_s)
{
  guint staying = ~(revision->left_out >> TIDE_QUANTITY_ENERGY);
  gsize n = 0;

  *first_s = INFINITY;
  *last_s = -INFINITY;
  for (guint missing = 0; missing < G_N_ELEMENTS (audit->holes); missing++)
    {
      const TideHole *hole = &audit->holes[missing];

      if (hole->n == 0 || (missing & staying))
        continue;
      n += hole->n;
      *first_s = MIN (*first_s, hole->first_s);
      *last_s = MAX (*last_s, hole->last_s);
    }
  return n;
}

/* The middle of the bin that holds the value of rank k among all samples; 0 below the tolerance. */
static double
find_rank (const TideAudit *audit, guint64 k)
{
  guint64 n = audit->n - audit->n_off;
  gsize bin = 0;

  if (k < n)
    return 0;
  for (n += audit->off[0]; n <= k; n += audit->off[bin])
    bin++;
  return find_middle (bin);
}

double
tide_audit_find_mismatch (const TideAudit *audit)
{
  if (audit->n_off == 0)
    return 0;

  double median = (find_rank (audit, (audit->n - 1) / 2) + find_rank (audit, audit->n / 2)) / 2;
  return median > TIDE_POWER_TOLERANCE ? median : 0;
}
