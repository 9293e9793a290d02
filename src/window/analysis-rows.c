/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of the analysis pane and the little functions that pick its numbers. */
#include "window/analysis-rows.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* A getter for a field of TideMeasurement. */
#define PICK(name, field)                                                                          \
  static double pick_##name (const TideMeasurement *m) { return m->field; }

PICK (energy, energy_wh.value)
PICK (window_energy, window_energy_wh.value)
PICK (charge, charge_ah.value)
PICK (window_charge, window_charge_ah.value)
PICK (mean, mean_power_w.value)
PICK (window_mean, window_mean_power_w.value)
PICK (peak, peak_power_w.value)
PICK (sustained, sustained_peak_w.value)
PICK (charge_time, charge_time_s)
PICK (begins, draw_begins_s)
PICK (settles, settles_s)
PICK (taper, taper_s)
PICK (standing, standing_draw_w.value)
PICK (half, milestones_s[0])
PICK (eighty, milestones_s[1])
PICK (ninety_five, milestones_s[3])
PICK (tallest, spikes.tallest_w)
PICK (duration, duration_s)
PICK (interval, median_interval_s)

static double
pick_plateau (const TideMeasurement *m)
{
  return m->has_plateau ? m->plateau.level_w.value : NAN;
}

static double
pick_plateau_time (const TideMeasurement *m)
{
  return m->has_plateau ? m->plateau.end_s - m->plateau.start_s : NAN;
}

static double
pick_counter (const TideMeasurement *m)
{
  return m->has_counter ? m->counter.energy_difference_percent : NAN;
}

static double
pick_spikes (const TideMeasurement *m)
{
  return m->spikes.count;
}

static double
pick_samples (const TideMeasurement *m)
{
  return (double)m->n_samples;
}

static double
pick_gaps (const TideMeasurement *m)
{
  return m->gaps.count;
}

const TideAnalysisRow tide_analysis_rows[] = {
  { N_ ("Energy (Wh)"), N_ ("Until settled"), "Wh", 2, pick_window_energy, TIDE_COMPARED_ENERGY, 1 },
  { NULL, N_ ("Whole log"), "Wh", 2, pick_energy, TIDE_COMPARED_ENERGY, 0 },
  { NULL, N_ ("Off the meter’s, %"), "%", 2, pick_counter, -1, -1 },
  { N_ ("Charge (Ah)"), N_ ("Until settled"), "Ah", 3, pick_window_charge, TIDE_COMPARED_CHARGE, 1 },
  { NULL, N_ ("Whole log"), "Ah", 3, pick_charge, TIDE_COMPARED_CHARGE, 0 },
  { N_ ("Power (W)"), N_ ("Plateau"), "W", 2, pick_plateau, TIDE_COMPARED_PLATEAU, -1 },
  { NULL, N_ ("Mean until settled"), "W", 2, pick_window_mean, TIDE_COMPARED_MEAN_POWER, 1 },
  { NULL, N_ ("Mean of the log"), "W", 2, pick_mean, TIDE_COMPARED_MEAN_POWER, 0 },
  { NULL, N_ ("Sustained peak"), "W", 2, pick_sustained, -1, -1 },
  { NULL, N_ ("Highest sample"), "W", 2, pick_peak, -1, -1 },
  { N_ ("Time"), N_ ("Charge time"), "", -1, pick_charge_time, TIDE_COMPARED_CHARGE_TIME, -1 },
  { NULL, N_ ("Plateau lasts"), "", -1, pick_plateau_time, -1, -1 },
  { NULL, N_ ("Taper lasts"), "", -1, pick_taper, -1, -1 },
  { NULL, N_ ("50 % of energy"), "", -1, pick_half, -1, -1 },
  { NULL, N_ ("80 % of energy"), "", -1, pick_eighty, -1, -1 },
  { NULL, N_ ("95 % of energy"), "", -1, pick_ninety_five, -1, -1 },
  { NULL, N_ ("Draw begins at"), "", -1, pick_begins, -1, -1 },
  { NULL, N_ ("Settles at"), "", -1, pick_settles, -1, -1 },
  { N_ ("Tail (W)"), N_ ("Standing draw"), "W", 2, pick_standing, TIDE_COMPARED_STANDING_DRAW, -1 },
  { N_ ("Spikes"), N_ ("Count"), "", 0, pick_spikes, -1, -1 },
  { NULL, N_ ("Tallest, W"), "W", 2, pick_tallest, -1, -1 },
  { N_ ("Log"), N_ ("Length"), "", -1, pick_duration, -1, -1 },
  { NULL, N_ ("Samples"), "", 0, pick_samples, -1, -1 },
  { NULL, N_ ("Interval, s"), "s", 2, pick_interval, -1, -1 },
  { NULL, N_ ("Gaps"), "", 0, pick_gaps, -1, -1 },
};

const unsigned tide_n_analysis_rows = G_N_ELEMENTS (tide_analysis_rows);

char *
tide_analysis_row_to_text (const TideAnalysisRow *row, const TideMeasurement *measurement)
{
  double value = row->get (measurement);

  return row->decimals < 0 ? tide_text_duration (value) : tide_text_number (value, row->decimals);
}

gboolean
tide_analysis_row_compares (const TideAnalysisRow *row,
                            const TideMeasurement *reference,
                            const TideMeasurement *run)
{
  if (row->compared < 0)
    return FALSE;
  return row->over_window < 0 || row->over_window == tide_compare_over_window (reference, run);
}
