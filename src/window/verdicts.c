/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See verdicts.h. The legend tells the reason only where all undecided differences share it: each
 * has its own in its tooltip.
 */
#include "window/verdicts.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "window/analysis-rows.h"

char *
tide_verdicts_get_difference (const TideFinding *finding)
{
  static const char *const shapes[] = { "●", "▲", "○" };
  g_autofree char *percent = NULL;

  if (isnan (finding->difference_percent))
    return NULL;
  percent = tide_text_signed (finding->difference_percent, 1);
  return g_strdup_printf ("%s %% %s", percent, shapes[finding->verdict]);
}

char *
tide_verdicts_describe (const TideFinding *finding)
{
  const char *words[] = { _ ("same"), _ ("different"), _ ("undecided") };

  if (!finding->reason)
    {
      g_autofree char *margin = tide_text_number (finding->margin_percent, 1);
      return g_strdup_printf (_ ("%s at a margin of %s %%"), words[finding->verdict], margin);
    }
  return g_strdup_printf ("%s: %s", words[finding->verdict], finding->reason);
}

/* --- the legend --- */

typedef struct
{
  gboolean any, several; /* differences are shown; their reasons differ */
  const char *reason;    /* of the undecided ones; NULL: none is */
} Seen;

static void
see_run (TideComparison *comparison, guint position, Seen *seen)
{
  const TideMeasurement *reference = tide_compared_run_get_measurement (
      tide_comparison_get_run (comparison, tide_comparison_get_reference (comparison)));
  const TideMeasurement *run =
      tide_compared_run_get_measurement (tide_comparison_get_run (comparison, position));

  for (guint i = 0; i < tide_n_analysis_rows; i++)
    if (tide_analysis_row_compares (&tide_analysis_rows[i], reference, run))
      {
        TideFinding finding =
            tide_comparison_get_finding (comparison, position, tide_analysis_rows[i].compared);

        if (isnan (finding.difference_percent))
          continue;
        seen->any = TRUE;
        if (finding.verdict != TIDE_VERDICT_UNDECIDED)
          continue;
        seen->several = seen->several
                        || (seen->reason != NULL && g_strcmp0 (seen->reason, finding.reason) != 0);
        seen->reason = finding.reason;
      }
}

char *
tide_verdicts_make_legend (TideComparison *comparison)
{
  guint reference = tide_comparison_get_reference (comparison);
  g_autofree char *margin = tide_text_number (tide_comparison_get_margin (comparison), 1);
  g_autofree char *decided = g_strdup_printf (_ ("● same within %s %%   ▲ different"), margin);
  Seen seen = { 0 };

  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    if (i != reference)
      see_run (comparison, i, &seen);
  if (!seen.any)
    return NULL;
  if (seen.reason == NULL)
    return g_strdup_printf ("%s   ○ %s", decided, _ ("undecided"));
  return g_strdup_printf ("%s\n○ %s: %s", decided, _ ("undecided"),
                          seen.several ? _ ("point at the number to read why") : seen.reason);
}
