/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers printed with too few decimals: where every value of the column that the energy is made of
 * is a multiple of a power of ten that is no small part of the values themselves, rounding alone
 * can move the energy as far. What the steps were inside the meter cannot be known; the printed
 * ones can. Costs one walk over the column, ended by the first value that needs a finer step.
 */
#include "analysis/parts-private.h"

#include <glib/gi18n-lib.h>

/* Of the mean size of the values that are not 0. */
#define COARSE_SHARE 0.1
/* Fewer rows say little of how a log is printed. */
#define FEWEST_SAMPLES 100
#define MOST_DECIMALS  9

static double
find_mean_size (const double *values, gsize n)
{
  double sum = 0;
  gsize count = 0;

  for (gsize i = 0; i < n; i++)
    if (values[i] != 0)
      {
        sum += fabs (values[i]);
        count++;
      }
  return count > 0 ? sum / (double)count : 0;
}

static gboolean
has_decimals (double value, int decimals)
{
  double scaled = value * pow (10, decimals);

  return fabs (scaled - round (scaled)) < 1e-6;
}

/* With so many decimals every value is printed whole; -1 if that takes more than most. */
static int
find_decimals (const double *values, gsize n, int most)
{
  int decimals = 0;

  for (gsize i = 0; i < n; i++)
    while (!has_decimals (values[i], decimals))
      if (++decimals > most)
        return -1;
  return decimals;
}

static guint
count_steps (const double *values, gsize n, double step)
{
  double low = values[0], high = values[0];

  for (gsize i = 1; i < n; i++)
    {
      low = MIN (low, values[i]);
      high = MAX (high, values[i]);
    }
  return (guint)CLAMP (round ((high - low) / step), 0, G_MAXUINT);
}

static TideComplaint *
make_complaint (gboolean of_power, double step, int decimals, double mean, guint n_steps)
{
  g_autofree char *size = tide_text_number (step, decimals);
  g_autofree char *share = tide_text_number (100 * step / mean, 0);

  if (of_power)
    return tide_complaint_new (
        0, NULL,
        ngettext ("the power is printed in steps of %s W, %s %% of its mean, and lies within %u of "
                  "them: energy from it may be off by as much",
                  "the power is printed in steps of %s W, %s %% of its mean, and lies within %u of "
                  "them: energy from it may be off by as much",
                  n_steps),
        size, share, n_steps);
  return tide_complaint_new (
      0, NULL,
      ngettext ("the current is printed in steps of %s A, %s %% of its mean, and lies within %u of "
                "them: energy from it may be off by as much",
                "the current is printed in steps of %s A, %s %% of its mean, and lies within %u of "
                "them: energy from it may be off by as much",
                n_steps),
      size, share, n_steps);
}

void
tide_complain_of_coarseness (TideRecording *recording, GPtrArray *complaints)
{
  gboolean of_power = tide_recording_is_power_logged (recording);
  const double *values =
      tide_recording_get_column (recording, of_power ? TIDE_QUANTITY_POWER : TIDE_QUANTITY_CURRENT);
  gsize n = tide_recording_get_n_samples (recording);

  if (values == NULL || n < FEWEST_SAMPLES)
    return;
  double mean = find_mean_size (values, n);
  int most = (int)floor (-log10 (COARSE_SHARE * mean));
  /* Whole numbers alone are someone's example, not a meter's resolution. */
  if (!(mean > 0) || most < 1)
    return;
  int decimals = find_decimals (values, n, MIN (most, MOST_DECIMALS));
  if (decimals < 1)
    return;
  double step = pow (10, -decimals);
  g_ptr_array_add (complaints,
                   make_complaint (of_power, step, decimals, mean, count_steps (values, n, step)));
}
