/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of one run, in the order the method notes give: what the meter logged over the
 * stretch; power smoothed; sustained peak, draw begins, settles, plateaus; the rest.
 *
 * Sums are made in s, V, A, W, J and leave in Wh and Ah. Costs about 25 walks over the samples,
 * a running median (the most of it) and a handful of selections; takes memory for two more columns
 * while it works and keeps one, the smoothed power.
 *
 * No accuracy of a meter is known to this version: every uncertainty is NaN. make_figure() is the
 * one place where they come from.
 */
#include "analysis/measure.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "analysis/parts-private.h"
#include "analysis/phases.h"
#include "analysis/series.h"
#include "recording/overview.h"

/* Longer than a spike or a negotiation, shorter than a phase. */
#define SMOOTH_SPAN_S 30.0
#define SMOOTH_LEAST  5

/* Smoothing moves the draw's beginning by up to half its span where the log begins shortly before,
 * so that the window is one-sided, or where the supply pauses after a first stage of some seconds.
 * That near to it the edge is looked for with this span, which bridges a glitch of 2 s. */
#define EDGE_SPAN_S 5.0

#define PLATEAU_LEAST_S 180.0
#define PLATEAU_SHARE   0.50
#define LISTED_LEAST_S  300.0

G_DEFINE_QUARK (tide_analysis_error, tide_analysis_error)

/* The stretch at work. Samples first .. first + n - 1 of the recording lie in it. */
typedef struct
{
  TideRecording *recording;
  TideMeasurement *m;
  TideSamples samples;
  double *turned; /* power the other way, when that is what samples holds; owned */
  double current_sign, power_sign;
} Work;

static TideFigure
make_figure (double value)
{
  return (TideFigure){ value, NAN };
}

/* ---- The stretch ---- */

/* As the person typed it, with a point in every locale. Transfer full. */
static char *
print_seconds (double seconds)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  return g_strdup (g_ascii_formatd (text, sizeof text, "%g", seconds));
}

static gboolean
fail_stretch (double from_s, double to_s, double log_s, GError **error)
{
  g_autofree char *from = print_seconds (from_s), *to = print_seconds (to_s);
  g_autofree char *log = print_seconds (log_s);

  if (from_s < to_s)
    g_set_error (error, TIDE_ANALYSIS_ERROR, TIDE_ANALYSIS_ERROR_STRETCH,
                 _ ("the stretch from %s s to %s s holds fewer than two samples of the log's %s s"),
                 from, to, log);
  else
    g_set_error (error, TIDE_ANALYSIS_ERROR, TIDE_ANALYSIS_ERROR_STRETCH,
                 _ ("the stretch from %s s to %s s ends before it begins"), from, to);
  return FALSE;
}

static gboolean
find_stretch (TideRecording *recording, TideStretch asked, TideMeasurement *m, GError **error)
{
  const double *t = tide_recording_get_column (recording, TIDE_QUANTITY_TIME);
  gsize n = tide_recording_get_n_samples (recording);
  double from_s = isnan (asked.from_s) ? t[0] : asked.from_s;
  double to_s = isnan (asked.to_s) ? t[n - 1] : asked.to_s;

  if (!(from_s < to_s))
    return fail_stretch (from_s, to_s, t[n - 1], error);
  m->stretch = (TideStretch){ MAX (from_s, t[0]), MIN (to_s, t[n - 1]) };
  m->first_sample = tide_find_time (t, n, from_s);
  gsize end = tide_find_time (t, n, to_s);
  if (end < n && t[end] <= to_s)
    end++;
  m->n_samples = end - m->first_sample;
  return m->n_samples >= 2 || fail_stretch (from_s, to_s, t[n - 1], error);
}

/* ∫ of a column over the stretch, ends interpolated; NaN without the column. */
static double
integrate_column (const Work *work, TideQuantity quantity)
{
  const double *column = tide_recording_get_column (work->recording, quantity);

  if (column == NULL)
    return NAN;
  return tide_integrate_between (tide_recording_get_column (work->recording, TIDE_QUANTITY_TIME),
                                 column, tide_recording_get_n_samples (work->recording),
                                 work->m->stretch.from_s, work->m->stretch.to_s);
}

/* Power that was logged without a sign does not. */
static gboolean
follows_current (const Work *work)
{
  const double *power = tide_recording_get_column (work->recording, TIDE_QUANTITY_POWER);
  const double *current = tide_recording_get_column (work->recording, TIDE_QUANTITY_CURRENT);
  gsize first = work->m->first_sample, end = first + work->m->n_samples;
  double product = 0;

  for (gsize i = first; i < end; i++)
    product += power[i] * current[i];
  return product > 0;
}

/* A recording as a whole is the right way round; a charge cut from a log that gave away more than
 * it took is not. As in assembling: current by its charge, power with the current it follows. */
static void
settle_signs (Work *work, double charge, double energy)
{
  gboolean is_turned = isnan (charge) ? energy < 0 : charge < 0;

  work->current_sign = is_turned ? -1 : 1;
  work->power_sign = is_turned && (isnan (charge) || follows_current (work)) ? -1 : 1;
  if (is_turned)
    g_ptr_array_add (work->m->complaints,
                     tide_complaint_new (0, NULL, "%s",
                                         _ ("the charge over the measured stretch is negative; "
                                            "current and power are counted the other way")));
}

static void
take_samples (Work *work)
{
  const double *t = tide_recording_get_column (work->recording, TIDE_QUANTITY_TIME);
  const double *power = tide_recording_get_column (work->recording, TIDE_QUANTITY_POWER);
  gsize first = work->m->first_sample, n = work->m->n_samples;

  power += first;
  if (work->power_sign < 0)
    {
      work->turned = g_new (double, n);
      for (gsize i = 0; i < n; i++)
        work->turned[i] = 0 - power[i]; /* not −x: a zero stays positive */
      power = work->turned;
    }
  work->m->n_smoothed = n;
  work->m->smoothed_w = tide_running_median (t + first, power, n, SMOOTH_SPAN_S, SMOOTH_LEAST);
  work->samples = (TideSamples){ t + first, power, work->m->smoothed_w, n };
}

/* ---- What was logged ---- */

static void
measure_whole (Work *work, double charge, double energy)
{
  TideMeasurement *m = work->m;

  m->duration_s = m->stretch.to_s - m->stretch.from_s;
  m->energy_wh = make_figure (work->power_sign * energy / TIDE_SECONDS_PER_HOUR);
  m->charge_ah = make_figure (work->current_sign * charge / TIDE_SECONDS_PER_HOUR);
  m->mean_power_w = make_figure (work->power_sign * energy / m->duration_s);
}

static void
measure_intervals (Work *work)
{
  const double *t = work->samples.t;
  double limit_s = tide_recording_get_gap_limit_s (work->recording);
  gsize n = work->samples.n;
  g_autofree double *intervals = g_new (double, n);
  TideSum total_s = { 0 };

  for (gsize i = 0; i + 1 < n; i++)
    {
      intervals[i] = t[i + 1] - t[i];
      if (intervals[i] > limit_s)
        {
          work->m->gaps.count++;
          tide_sum_add (&total_s, intervals[i]);
        }
    }
  work->m->gaps.total_s = tide_sum_get (&total_s);
  work->m->median_interval_s = tide_median (intervals, n - 1);
}

static double
count_column (const Work *work, TideQuantity quantity)
{
  const double *column = tide_recording_get_column (work->recording, quantity);

  if (column == NULL)
    return NAN;
  return tide_count_growth (tide_recording_get_column (work->recording, TIDE_QUANTITY_TIME), column,
                            tide_recording_get_n_samples (work->recording), work->m->stretch.from_s,
                            work->m->stretch.to_s);
}

static void
measure_counter (Work *work)
{
  TideMeasurement *m = work->m;
  TideCounter counter = { count_column (work, TIDE_QUANTITY_ENERGY),
                          count_column (work, TIDE_QUANTITY_CHARGE), NAN, NAN };

  m->has_counter = !isnan (counter.energy_wh) || !isnan (counter.charge_ah);
  if (counter.energy_wh > 0)
    counter.energy_difference_percent =
        (m->energy_wh.value - counter.energy_wh) / counter.energy_wh * 100;
  if (counter.charge_ah > 0)
    counter.charge_difference_percent =
        (m->charge_ah.value - counter.charge_ah) / counter.charge_ah * 100;
  m->counter = counter;
}

static double
find_highest (const double *values, gsize n)
{
  double highest = values[0];

  for (gsize i = 1; i < n; i++)
    highest = MAX (highest, values[i]);
  return highest;
}

/* ---- Phases ---- */

/* The first crossing of a less smoothed curve near that of the smoothed one. */
static double
find_begins (const TideSamples *samples, double sustained_peak)
{
  const double *t = samples->t;
  double begins_s = tide_find_draw_begins (t, samples->smoothed, samples->n, sustained_peak);
  double limit = tide_draw_limit_w (sustained_peak), near_s = SMOOTH_SPAN_S / 2;

  if (isnan (begins_s))
    return NAN;

  gsize first = tide_find_time (t, samples->n, begins_s - near_s - EDGE_SPAN_S);
  gsize end = tide_find_time (t, samples->n, begins_s + near_s + EDGE_SPAN_S);
  g_autofree double *edge = tide_running_median (t + first, samples->power + first, end - first,
                                                 EDGE_SPAN_S, SMOOTH_LEAST);
  for (gsize i = first; i < end; i++)
    if (fabs (t[i] - begins_s) <= near_s && edge[i - first] >= limit)
      return t[i];
  return begins_s;
}

static void
measure_window (Work *work)
{
  TideMeasurement *m = work->m;
  const TideSamples *samples = &work->samples;
  const double *current = tide_recording_get_column (work->recording, TIDE_QUANTITY_CURRENT);
  double from_s = m->draw_begins_s, to_s = m->settles_s, length_s = to_s - from_s;
  double energy = tide_integrate_between (samples->t, samples->power, samples->n, from_s, to_s);

  m->charge_time_s = length_s;
  m->window_energy_wh = make_figure (energy / TIDE_SECONDS_PER_HOUR);
  m->window_mean_power_w = make_figure (energy / length_s);
  if (current != NULL)
    m->window_charge_ah = make_figure (
        work->current_sign / TIDE_SECONDS_PER_HOUR
        * tide_integrate_between (samples->t, current + m->first_sample, samples->n, from_s, to_s));
  tide_find_milestones (samples, from_s, to_s, m->milestones_s);
}

static void
measure_standing_draw (Work *work)
{
  const TideSamples *samples = &work->samples;
  gsize first = tide_find_time (samples->t, samples->n, work->m->settles_s);
  g_autofree double *copy = g_memdup2 (samples->power + first, (samples->n - first) * sizeof *copy);

  work->m->standing_draw_w = make_figure (tide_median (copy, samples->n - first));
}

static void
find_marks (Work *work)
{
  TideMeasurement *m = work->m;
  const TideSamples *samples = &work->samples;
  double peak = m->sustained_peak_w.value;

  m->draw_begins_s = find_begins (samples, peak);
  if (isnan (m->draw_begins_s))
    {
      m->unsettled_reason = _ ("no draw in this log");
      return;
    }
  m->settles_s = tide_find_settles (samples->t, samples->smoothed, samples->n, peak, &m->top_ups);
  if (m->settles_s > m->draw_begins_s)
    return;
  m->settles_s = NAN;
  m->top_ups = 0;
  m->unsettled_reason = _ ("log ends before the draw settles");
}

static int
compare_starts_cb (const void *a, const void *b)
{
  const TidePlateau *x = a, *y = b;

  return (x->start_s > y->start_s) - (x->start_s < y->start_s);
}

/* Plateaus with their medians as level, for now. */
static void
find_plateaus (Work *work)
{
  TideMeasurement *m = work->m;
  const TideSamples *samples = &work->samples;
  double peak = m->sustained_peak_w.value;
  double to_s = isnan (m->settles_s) ? m->stretch.to_s : m->settles_s;

  m->plateau.level_w = make_figure (NAN);
  m->plateau.start_s = m->plateau.end_s = NAN;
  if (isnan (m->draw_begins_s))
    {
      m->plateaus = g_array_new (FALSE, FALSE, sizeof (TidePlateau));
      return;
    }
  m->has_plateau = tide_find_plateau (samples->t, samples->smoothed, samples->n, m->draw_begins_s,
                                      to_s, PLATEAU_LEAST_S, PLATEAU_SHARE * peak, &m->plateau);
  m->plateaus = tide_find_plateaus (samples->t, samples->smoothed, samples->n, m->draw_begins_s,
                                    to_s, LISTED_LEAST_S, tide_draw_limit_w (peak));
  g_array_sort (m->plateaus, compare_starts_cb);
}

/* Without a plateau the sustained peak stands in for its level. */
static void
measure_spikes_and_levels (Work *work)
{
  TideMeasurement *m = work->m;
  double level_w = m->has_plateau ? m->plateau.level_w.value : m->sustained_peak_w.value;

  m->noise_w = tide_find_noise_w (&work->samples);
  double limit_w = tide_spike_limit_w (level_w, m->noise_w);
  m->spikes = tide_find_spikes (&work->samples, limit_w);
  if (m->has_plateau)
    m->plateau.level_w = make_figure (tide_find_level_w (&work->samples, &m->plateau, limit_w));
  for (guint i = 0; i < m->plateaus->len; i++)
    {
      TidePlateau *plateau = &g_array_index (m->plateaus, TidePlateau, i);
      plateau->level_w = make_figure (tide_find_level_w (&work->samples, plateau, limit_w));
    }
}

static void
measure_phases (Work *work)
{
  TideMeasurement *m = work->m;

  find_marks (work);
  find_plateaus (work);
  measure_spikes_and_levels (work);
  if (isnan (m->settles_s))
    return;
  measure_window (work);
  measure_standing_draw (work);
  if (m->plateaus->len > 0)
    m->taper_s =
        m->settles_s - g_array_index (m->plateaus, TidePlateau, m->plateaus->len - 1).end_s;
}

/* ---- Public ---- */

/* Everything that may not exist for a run begins as not existing. */
static TideMeasurement *
create_measurement (TideRecording *recording)
{
  TideMeasurement *m = g_new0 (TideMeasurement, 1);
  TideFigure none = make_figure (NAN);

  m->window_energy_wh = m->window_charge_ah = m->window_mean_power_w = none;
  m->standing_draw_w = none;
  m->draw_begins_s = m->settles_s = m->charge_time_s = m->taper_s = NAN;
  for (guint k = 0; k < TIDE_N_MILESTONES; k++)
    m->milestones_s[k] = NAN;
  m->complaints = tide_complaints_copy (tide_recording_get_complaints (recording));
  return m;
}

TideMeasurement *
tide_measure (TideRecording *recording, TideStretch stretch, GError **error)
{
  g_autoptr (TideMeasurement) m = create_measurement (recording);
  Work work = { .recording = recording, .m = m };

  if (!find_stretch (recording, stretch, m, error))
    return NULL;

  double charge = integrate_column (&work, TIDE_QUANTITY_CURRENT);
  double energy = integrate_column (&work, TIDE_QUANTITY_POWER);
  settle_signs (&work, charge, energy);
  take_samples (&work);
  measure_whole (&work, charge, energy);
  measure_intervals (&work);
  measure_counter (&work);
  tide_complain_of_coarseness (recording, m->complaints);
  m->peak_power_w = make_figure (find_highest (work.samples.power, work.samples.n));
  m->sustained_peak_w = make_figure (find_highest (m->smoothed_w, m->n_smoothed));
  measure_phases (&work);
  g_free (work.turned);
  return g_steal_pointer (&m);
}

double
tide_measure_energy_wh (TideRecording *recording)
{
  return tide_integrate (tide_recording_get_column (recording, TIDE_QUANTITY_TIME),
                         tide_recording_get_column (recording, TIDE_QUANTITY_POWER),
                         tide_recording_get_n_samples (recording))
         / TIDE_SECONDS_PER_HOUR;
}

void
tide_measurement_free (TideMeasurement *measurement)
{
  if (measurement == NULL)
    return;
  g_clear_pointer (&measurement->plateaus, g_array_unref);
  g_clear_pointer (&measurement->complaints, g_ptr_array_unref);
  g_free (measurement->smoothed_w);
  g_free (measurement);
}
