/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Selection by partition (C. A. R. Hoare, "Algorithm 65: Find", CACM 4, 1961) with the median of
 * three as pivot. Values come from files of strangers: when partitions keep turning out lopsided
 * the rest is sorted instead, so no order of values costs more than O(n log n).
 */
#include "recording/median.h"

/* Rounds without end in sight after which sorting is cheaper; honest data needs about log₂ n. */
#define MOST_ROUNDS 128

static int
compare_doubles_cb (gconstpointer a, gconstpointer b, gpointer user_data)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

static double
choose_pivot (const double *values, gsize low, gsize high)
{
  double a = values[low], b = values[low + (high - low + 1) / 2], c = values[high];

  return a < b ? (b < c ? b : MAX (a, c)) : (a < c ? a : MAX (b, c));
}

/* Puts the value of rank k at values[k], none larger before it and none smaller behind. */
static void
select_rank (double *values, gsize n, gsize k)
{
  gssize low = 0, high = (gssize)n - 1, rank = (gssize)k;

  for (guint round = 0; low < high; round++)
    {
      if (round >= MOST_ROUNDS && high - low < G_MAXINT)
        {
          g_qsort_with_data (values + low, (int)(high - low + 1), sizeof *values,
                             compare_doubles_cb, NULL);
          return;
        }

      double pivot = choose_pivot (values, low, high);
      gssize i = low, j = high;
      while (i <= j)
        {
          while (values[i] < pivot)
            i++;
          while (values[j] > pivot)
            j--;
          if (i <= j)
            {
              double swapped = values[i];
              values[i++] = values[j];
              values[j--] = swapped;
            }
        }
      if (rank <= j)
        high = j;
      else if (rank >= i)
        low = i;
      else
        return;
    }
}

double
tide_select_median (double *values, gsize n)
{
  g_assert (n > 0);

  gsize middle = n / 2;
  select_rank (values, n, middle);
  if (n % 2 != 0)
    return values[middle];

  double below = values[0];
  for (gsize i = 1; i < middle; i++)
    below = MAX (below, values[i]);
  return below / 2 + values[middle] / 2;
}
