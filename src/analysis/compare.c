/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is to be said of one quantity of two runs. No accuracy of a meter is known to this version
 * and each side is one run, so no interval can be given and every verdict is "undecided", with the
 * reason. find_interval() is where intervals will come from.
 */
#include "analysis/compare.h"

#include <math.h>

#include <glib/gi18n-lib.h>

static const char *const compared_ids[TIDE_N_COMPARED] = {
  [TIDE_COMPARED_ENERGY] = "energy_wh",
  [TIDE_COMPARED_CHARGE] = "charge_ah",
  [TIDE_COMPARED_PLATEAU] = "plateau_w",
  [TIDE_COMPARED_CHARGE_TIME] = "charge_time_s",
  [TIDE_COMPARED_STANDING_DRAW] = "standing_draw_w",
  [TIDE_COMPARED_MEAN_POWER] = "mean_power_w",
};

const char *
tide_compared_get_id (TideCompared compared)
{
  g_return_val_if_fail (compared < TIDE_N_COMPARED, NULL);

  return compared_ids[compared];
}

const char *
tide_verdict_get_id (TideVerdict verdict)
{
  switch (verdict)
    {
    case TIDE_VERDICT_SAME:
      return "same";
    case TIDE_VERDICT_DIFFERENT:
      return "different";
    case TIDE_VERDICT_UNDECIDED:
      return "undecided";
    }
  g_return_val_if_reached (NULL);
}

gboolean
tide_compare_over_window (const TideMeasurement *reference, const TideMeasurement *run)
{
  return !isnan (reference->settles_s) && !isnan (run->settles_s);
}

static double
get_value (const TideMeasurement *m, TideCompared compared, gboolean over_window)
{
  switch (compared)
    {
    case TIDE_COMPARED_ENERGY:
      return over_window ? m->window_energy_wh.value : m->energy_wh.value;
    case TIDE_COMPARED_CHARGE:
      return over_window ? m->window_charge_ah.value : m->charge_ah.value;
    case TIDE_COMPARED_PLATEAU:
      return m->has_plateau ? m->plateau.level_w.value : NAN;
    case TIDE_COMPARED_CHARGE_TIME:
      return m->charge_time_s;
    case TIDE_COMPARED_STANDING_DRAW:
      return m->standing_draw_w.value;
    case TIDE_COMPARED_MEAN_POWER:
      return over_window ? m->window_mean_power_w.value : m->mean_power_w.value;
    case TIDE_N_COMPARED:
      break;
    }
  g_return_val_if_reached (NAN);
}

/* Why a run has no value. Energy and mean power it always has. */
static const char *
get_reason_missing (const TideMeasurement *m, TideCompared compared)
{
  if (compared == TIDE_COMPARED_CHARGE_TIME || compared == TIDE_COMPARED_STANDING_DRAW)
    return m->unsettled_reason;
  if (compared == TIDE_COMPARED_PLATEAU)
    return _ ("no plateau");
  return _ ("current was not logged");
}

/* Leaves the bounds open and says why. */
static void
find_interval (TideFinding *finding)
{
  finding->low_percent = finding->high_percent = NAN;
  finding->repeats_needed = NAN;
  finding->verdict = TIDE_VERDICT_UNDECIDED;
  finding->reason = _ ("meter accuracy unknown; repeatability unknown: one run each");
}

TideFinding
tide_compare_quantity (const TideMeasurement *reference,
                       const TideMeasurement *run,
                       TideCompared compared,
                       double margin_percent)
{
  gboolean over_window = tide_compare_over_window (reference, run);
  TideFinding finding = { .reference = get_value (reference, compared, over_window),
                          .value = get_value (run, compared, over_window),
                          .difference_percent = NAN,
                          .margin_percent = margin_percent };

  finding.difference = finding.value - finding.reference;
  if (finding.reference != 0)
    finding.difference_percent = 100 * finding.difference / finding.reference;
  find_interval (&finding);
  if (isnan (finding.reference))
    finding.reason = get_reason_missing (reference, compared);
  else if (isnan (finding.value))
    finding.reason = get_reason_missing (run, compared);
  return finding;
}
