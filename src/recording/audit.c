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

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>

#include "recording/columns-private.h"

/* A column that lacks a larger share of its values is left out. */
#define HOLES_SHARE 0.05
/* Rows without a value that are told one by one; the others are counted. */
#define MOST_TOLD 100

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
  if (audit->hole_rows[optional]->len < MOST_TOLD)
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

static guint64
count_missing (const TideAudit *audit, guint optional)
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
      guint64 n_missing = count_missing (audit, k);

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

/* ---- Complaining ---- */

typedef struct
{
  guint64 row;
  guint optional;
} MissingValue;

static int
compare_missing_cb (gconstpointer a, gconstpointer b)
{
  const MissingValue *x = a, *y = b;

  if (x->row != y->row)
    return x->row < y->row ? -1 : 1;
  return (x->optional > y->optional) - (x->optional < y->optional);
}

/* Of the columns that stay. Transfer full. */
static GArray *
list_missing (const TideAudit *audit, const TideRevision *revision)
{
  GArray *list = g_array_new (FALSE, FALSE, sizeof (MissingValue));

  for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
    {
      GArray *rows = audit->hole_rows[k];

      if (revision->left_out & (1u << (TIDE_QUANTITY_ENERGY + k)))
        continue;
      for (guint i = 0; rows != NULL && i < rows->len; i++)
        {
          MissingValue value = { g_array_index (rows, guint64, i), k };
          g_array_append_val (list, value);
        }
    }
  g_array_sort (list, compare_missing_cb);
  return list;
}

static const char *
get_name (const char *const *names, guint optional)
{
  TideQuantity quantity = TIDE_QUANTITY_ENERGY + optional;

  return names != NULL && names[quantity] != NULL ? names[quantity]
                                                  : tide_quantity_get_id (quantity);
}

static void
complain_of_missing (const TideAudit *audit,
                     const TideRevision *revision,
                     const char *const *names,
                     GPtrArray *complaints)
{
  g_autoptr (GArray) list = list_missing (audit, revision);
  double first_s, last_s;
  guint64 n = audit->n - tide_audit_count (audit, revision, &first_s, &last_s), n_told = 0;

  for (guint i = 0; i < list->len && n_told < MOST_TOLD; i++)
    {
      const MissingValue *value = &g_array_index (list, MissingValue, i);

      if (i > 0 && value->row != 0 && value->row == value[-1].row)
        continue;
      g_ptr_array_add (complaints,
                       tide_complaint_new (value->row, get_name (names, value->optional),
                                           _ ("no value; the row is skipped")));
      n_told++;
    }
  if (n > n_told)
    g_ptr_array_add (
        complaints,
        tide_complaint_new (0, NULL,
                            g_dngettext (GETTEXT_PACKAGE,
                                         "%" PRIu64 " more row lacks a value and is skipped",
                                         "%" PRIu64 " more rows lack a value and are skipped",
                                         (gulong)(n - n_told)),
                            n - n_told));
}

void
tide_audit_complain (const TideAudit *audit,
                     const TideRevision *revision,
                     const char *const *names,
                     guint64 names_row,
                     GPtrArray *complaints)
{
  for (guint k = 0; k < TIDE_N_OPTIONAL; k++)
    if (revision->left_out & (1u << (TIDE_QUANTITY_ENERGY + k)))
      g_ptr_array_add (complaints,
                       tide_complaint_new (names_row, get_name (names, k),
                                           _ ("the column lacks %" PRIu64 " of %" PRIu64
                                              " values and is left out"),
                                           count_missing (audit, k), (guint64)audit->n));
  complain_of_missing (audit, revision, names, complaints);
}
