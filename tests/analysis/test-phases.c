/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Phases on simulated charges whose truth is known, over sampling, noise, steps of the display and
 * spikes, within the tolerances of the method notes; then the traps one by one.
 */
#include "analysis/phases.h"

#include <string.h>

#include "analysis/series.h"
#include "analysis/support.h"

static TideMeasurement *
measure (TideRecording *recording)
{
  g_autoptr (GError) error = NULL;
  TideMeasurement *m = tide_measure (recording, TIDE_STRETCH_ALL, &error);

  g_assert_no_error (error);
  return m;
}

static TideMeasurement *
measure_charge (const SupportCharge *charge)
{
  g_autoptr (TideRecording) recording = support_charge_log (charge);

  return measure (recording);
}

/* The method notes' tolerances; to 2 % noise they may double. */
static void
check_charge (const SupportCharge *charge)
{
  g_autoptr (TideMeasurement) m = measure_charge (charge);
  double settles_s = support_charge_settles_s (charge);
  double wider = charge->noise > 0.005 ? 2 : 1, interval_s = charge->interval_s;
  double mark_s = wider * MAX (MAX (60, 0.015 * (settles_s - charge->begins_s)), 2 * interval_s);

  g_test_message ("interval %g s, noise %g, quantum %g W, spikes %u, seed %u", interval_s,
                  charge->noise, charge->quantum_w, charge->n_spikes, charge->seed);
  support_assert_near (m->draw_begins_s, charge->begins_s, wider * MAX (5, 2 * interval_s));
  support_assert_near (m->settles_s, settles_s, mark_s);
  support_assert_near (m->charge_time_s, m->settles_s - m->draw_begins_s, 0);
  g_assert_null (m->unsettled_reason);
  g_assert_true (m->has_plateau);
  support_assert_near (m->plateau.level_w.value, charge->plateau_w,
                       wider * 0.01 * charge->plateau_w);
  support_assert_near (m->plateau.end_s, support_charge_leaves_band_s (charge), mark_s);
  support_assert_near (m->standing_draw_w.value, charge->standing_w, wider * 0.02);
  g_assert_cmpuint (m->plateaus->len, >=, 1);
  support_assert_near (m->taper_s,
                       m->settles_s
                           - g_array_index (m->plateaus, TidePlateau, m->plateaus->len - 1).end_s,
                       0);
}

static void
test_table (void)
{
  static const double intervals_s[] = { 0.1, 1, 2.5, 10, 30, 60 }, noises[] = { 0, 0.005, 0.02 };
  static const double quanta_w[] = { 0, 0.01, 0.1 };
  static const guint spikes[] = { 0, 12 };
  SupportCharge charge = support_charge;

  for (guint i = 0; i < G_N_ELEMENTS (intervals_s); i++)
    for (guint k = 0; k < G_N_ELEMENTS (noises); k++)
      for (guint q = 0; q < G_N_ELEMENTS (quanta_w); q++)
        for (guint s = 0; s < G_N_ELEMENTS (spikes); s++)
          {
            charge.interval_s = intervals_s[i];
            charge.noise = noises[k];
            charge.quantum_w = quanta_w[q];
            charge.n_spikes = spikes[s];
            charge.seed++;
            check_charge (&charge);
          }
}

/* 10 ms: a shorter charge, still 180,000 samples and windows of 3,001. */
static void
test_fast_sampling (void)
{
  SupportCharge charge = support_charge;

  charge.begins_s = 20;
  charge.plateau_ends_s = 620;
  charge.tau_s = 200;
  charge.end_s = 1800;
  charge.interval_s = 0.01;
  charge.quantum_w = 0.001;
  charge.n_spikes = 5;
  for (guint k = 0; k < 2; k++)
    {
      charge.noise = k == 0 ? 0.005 : 0.02;
      charge.seed++;
      check_charge (&charge);
    }
}

/* The draw may begin anywhere near the log's start, also where the smoothing window is cut. */
static void
test_begins (void)
{
  SupportCharge charge = support_charge;

  charge.noise = 0.005;
  for (double begins_s = 0; begins_s <= 40; begins_s++)
    {
      charge.begins_s = begins_s;
      g_autoptr (TideMeasurement) m = measure_charge (&charge);
      support_assert_near (m->draw_begins_s, begins_s, 5);
    }
}

static void
test_draw_begins (void)
{
  double t[200], y[200];

  for (guint i = 0; i < 200; i++)
    {
      t[i] = i;
      y[i] = i < 20 || (i >= 45 && i < 50) ? 0.2 : 10; /* 25 s of draw are not 30 s */
    }
  g_assert_cmpfloat (tide_find_draw_begins (t, y, 200, 10), ==, 50);
  g_assert_true (isnan (tide_find_draw_begins (t, y, 79, 10))); /* the log ends after 28 s of it */
  g_assert_true (isnan (tide_find_draw_begins (t, y, 0, 10)));
  g_assert_cmpfloat (tide_draw_limit_w (1), ==, 0.25);
  g_assert_cmpfloat (tide_draw_limit_w (100), ==, 5);
}

/* ---- Traps ---- */

static void
test_mid_charge (void)
{
  SupportCharge charge = support_charge;

  charge.begins_s = 0;
  check_charge (&charge);
  charge.plateau_ends_s = 0; /* only a taper */
  g_autoptr (TideMeasurement) m = measure_charge (&charge);
  g_assert_cmpfloat (m->draw_begins_s, ==, 0);
  support_assert_near (m->settles_s, support_charge_settles_s (&charge), 60);
  g_assert_false (m->has_plateau);
  g_assert_true (isnan (m->plateau.level_w.value));
}

static void
test_early_stop (void)
{
  SupportCharge charge = support_charge;
  static const double ends_s[] = { 200, 3000, 5520, 6500, 7500, 8200 };

  for (guint i = 0; i < G_N_ELEMENTS (ends_s); i++)
    {
      charge.end_s = ends_s[i];
      g_autoptr (TideMeasurement) m = measure_charge (&charge);
      g_assert_true (isnan (m->settles_s));
      g_assert_true (isnan (m->charge_time_s));
      g_assert_true (isnan (m->taper_s));
      g_assert_true (isnan (m->standing_draw_w.value));
      g_assert_true (isnan (m->window_energy_wh.value));
      for (guint k = 0; k < TIDE_N_MILESTONES; k++)
        g_assert_true (isnan (m->milestones_s[k]));
      g_assert_cmpstr (m->unsettled_reason, ==, "log ends before the draw settles");
      g_assert_true (m->has_plateau == (ends_s[i] > 320));
    }
}

/* Five minutes of calm settle a draw, four do not. */
static void
test_settles_least (void)
{
  SupportCharge charge = support_charge;
  double settles_s = support_charge_settles_s (&charge);

  charge.end_s = settles_s + 330;
  g_autoptr (TideMeasurement) long_enough = measure_charge (&charge);
  support_assert_near (long_enough->settles_s, settles_s, 60);
  charge.end_s = settles_s + 200;
  g_autoptr (TideMeasurement) too_short = measure_charge (&charge);
  g_assert_true (isnan (too_short->settles_s));
}

static void
test_top_ups (void)
{
  SupportCharge charge = support_charge;
  double settles_s = support_charge_settles_s (&charge);

  charge.top_up_w = 6;
  charge.noise = 0.005;
  charge.end_s = settles_s + 3600;
  charge.interval_s = 1;
  g_autoptr (TideMeasurement) fine = measure_charge (&charge);
  support_assert_near (fine->settles_s, settles_s, 60);
  support_assert_near (fine->standing_draw_w.value, charge.standing_w, 0.02);
  g_assert_cmpuint (fine->top_ups, ==, 4);
  charge.interval_s = 10;
  g_autoptr (TideMeasurement) coarse = measure_charge (&charge);
  support_assert_near (coarse->settles_s, settles_s, 60);
  g_assert_cmpuint (coarse->top_ups, ==, 4);
}

/* Pulses on a settled draw, each breaking one of the rules; the log is 4000 s, the draw falls at
 * 1000 s. */
static void
test_pulse_rules (void)
{
  static const struct
  {
    const char *what;
    double at_s[4], length_s;
    double settles_s; /* NaN: never */
    guint top_ups;
  } cases[] = {
    { "none", { 0 }, 0, 1000, 0 },
    { "one of 60 s", { 2000 }, 60, 1000, 1 },
    { "one of 70 s", { 2000 }, 70, 2070, 0 },
    { "close together", { 2000, 2100 }, 60, 2160, 0 },
    { "60 s apart", { 2000, 2120 }, 60, 1000, 2 },
    { "at once after the fall", { 1030 }, 40, 1070, 0 },
    { "at the end", { 3970 }, 40, NAN, 0 },
    { "more than a twentieth", { 1500, 2000, 2500, 3000 }, 60, 2560, 1 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double t[4000], y[4000];
      guint top_ups = 99;

      for (guint i = 0; i < 4000; i++)
        {
          t[i] = i;
          y[i] = i < 1000 ? 18 : 0.5;
          for (guint p = 0; p < 4; p++)
            if (cases[k].at_s[p] > 0 && i >= cases[k].at_s[p]
                && i < cases[k].at_s[p] + cases[k].length_s)
              y[i] = 5;
        }
      double settles_s = tide_find_settles (t, y, 4000, 18, &top_ups);
      g_test_message ("%s: %g", cases[k].what, settles_s);
      if (isnan (cases[k].settles_s))
        g_assert_true (isnan (settles_s));
      else
        g_assert_cmpfloat (settles_s, ==, cases[k].settles_s);
      g_assert_cmpuint (top_ups, ==, cases[k].top_ups);
    }
}

/* A spike at the log's very end, or the plug pulled before logging stopped, are no objection; more
 * is. */
static void
test_loose_end (void)
{
  static const struct
  {
    guint length_s;
    double power_w;
    gboolean settles;
  } cases[] = { { 0, 0, TRUE },  { 10, 9, TRUE },  { 10, -3, TRUE },
                { 14, 9, TRUE }, { 20, 9, FALSE }, { 20, -3, FALSE } };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double t[2000], y[2000];
      guint top_ups = 99;

      for (guint i = 0; i < 2000; i++)
        {
          t[i] = i;
          y[i] = i < 1000 ? 18 : i >= 2000 - cases[k].length_s ? cases[k].power_w : 0.5;
        }
      double settles_s = tide_find_settles (t, y, 2000, 18, &top_ups);
      if (cases[k].settles)
        g_assert_cmpfloat (settles_s, ==, 1000);
      else
        g_assert_true (isnan (settles_s));
      g_assert_cmpuint (top_ups, ==, 0);
    }
}

/* A first stage of some seconds and a pause while another contract is agreed: the draw begins with
 * the stage, though half of the smoothing's span sees nothing. */
static void
test_first_stage (void)
{
  for (guint stage_s = 5; stage_s <= 40; stage_s += 5)
    {
      double t[2000], power[2000];

      for (guint i = 0; i < 2000; i++)
        {
          t[i] = i;
          power[i] = i < 40 ? 0 : i < 40 + stage_s ? 5 : i < 46 + stage_s ? 0.05 : 18;
        }
      g_autoptr (TideRecording) recording =
          support_make_recording (2000, t, power, NULL, NULL, NULL, NULL);
      g_autoptr (TideMeasurement) m = measure (recording);
      g_assert_cmpfloat (m->draw_begins_s, ==, 40);
    }
}

/* What stays within a band but is no standing draw. */
static void
test_not_settled (void)
{
  static const struct
  {
    const char *what;
    double before_w, after_w;
  } cases[] = {
    { "steady from the start", 5, 5 },
    { "rose to its level", 0, 8 },
    { "more than half the peak", 18, 9.5 },
    { "still falls", 18, -1 },
  };

  for (guint k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      double t[2000], y[2000], peak = 0;
      guint top_ups;

      for (guint i = 0; i < 2000; i++)
        {
          t[i] = i;
          y[i] = i < 1000 ? cases[k].before_w
                          : (cases[k].after_w < 0 ? 18 - (i - 1000) * 0.01 : cases[k].after_w);
          peak = MAX (peak, y[i]);
        }
      g_test_message ("%s", cases[k].what);
      g_assert_true (isnan (tide_find_settles (t, y, 2000, peak, &top_ups)));
    }
}

/* A slow decay that comes to rest has settled, however long it took to cross the band; one that the
 * log's end cuts off has not. */
static void
test_slow_decay (void)
{
  static const double rests_at_s[] = { 3550, 4000 };
  static const double onto_w[] = { 6, 0 };

  for (guint k = 0; k < G_N_ELEMENTS (rests_at_s); k++)
    {
      double t[4000], y[4000];
      guint top_ups;

      for (guint i = 0; i < 4000; i++)
        {
          double decays_s = MAX (MIN (i, rests_at_s[k]) - 1000, 0);

          t[i] = i;
          y[i] = i >= rests_at_s[k]
                     ? onto_w[k]
                     : onto_w[k] + (18 - onto_w[k]) * exp (-decays_s / (k ? 800 : 600));
        }
      double settles_s = tide_find_settles (t, y, 4000, 18, &top_ups);
      if (k == 0)
        g_assert_true (settles_s > 2500 && settles_s < 2900); /* 0.54 W above rest at 2860 s */
      else
        g_assert_true (isnan (settles_s));
    }
}

/* A device in use after the charge: steady within the band it has settled, else not. */
static void
test_in_use (void)
{
  double t[4000], power[4000];

  for (guint wild = 0; wild < 2; wild++)
    {
      for (guint i = 0; i < 4000; i++)
        {
          t[i] = i;
          power[i] = i < 1500 ? 18 : 6 + (wild ? 2 : 0.3) * sin (i / 40.0);
        }
      g_autoptr (TideRecording) recording =
          support_make_recording (4000, t, power, NULL, NULL, NULL, NULL);
      g_autoptr (TideMeasurement) m = measure (recording);
      if (wild)
        g_assert_true (isnan (m->settles_s));
      else
        {
          support_assert_near (m->settles_s, 1500, 5);
          support_assert_near (m->standing_draw_w.value, 6, 0.02);
        }
    }
}

static void
test_gaps (void)
{
  SupportCharge charge = support_charge;

  charge.gap_s = 300;
  for (double at_s = 1000; at_s < 10000; at_s += 1500)
    {
      charge.gap_at_s = at_s;
      g_autoptr (TideMeasurement) m = measure_charge (&charge);
      g_assert_cmpuint (m->gaps.count, ==, 1);
      support_assert_near (m->gaps.total_s, 300, 1);
      support_assert_near (m->draw_begins_s, charge.begins_s, 5);
      support_assert_near (m->plateau.level_w.value, charge.plateau_w, 0.18);
      support_assert_near (m->settles_s, support_charge_settles_s (&charge), 125);
    }
}

static void
test_no_draw (void)
{
  double t[1000], power[1000];

  for (guint i = 0; i < 1000; i++)
    {
      t[i] = i;
      power[i] = 0.01 * (i % 3);
    }
  g_autoptr (TideRecording) recording =
      support_make_recording (1000, t, power, NULL, NULL, NULL, NULL);
  g_autoptr (TideMeasurement) m = measure (recording);
  g_assert_true (isnan (m->draw_begins_s));
  g_assert_true (isnan (m->settles_s));
  g_assert_cmpstr (m->unsettled_reason, ==, "no draw in this log");
  g_assert_cmpuint (m->plateaus->len, ==, 0);
}

/* ---- Plateaus ---- */

/* Stages with their levels; all must be found, in their places, longest first. */
static void
test_stages (void)
{
  static const double ends_s[] = { 1000, 3000, 3250, 3650, 4000 };
  static const double levels_w[] = { 20, 14, 9, 6, 0.1 };
  static const double longest_first[] = { 14, 20, 6 };
  double t[4000], y[4000];

  for (guint i = 0; i < 4000; i++)
    {
      guint stage = 0;

      while (i >= ends_s[stage])
        stage++;
      t[i] = i;
      y[i] = levels_w[stage];
    }
  g_autoptr (GArray) plateaus = tide_find_plateaus (t, y, 4000, 0, 3999, 300, 1);
  g_assert_cmpuint (plateaus->len, ==, 3);
  for (guint k = 0; k < 3; k++)
    {
      const TidePlateau *plateau = &g_array_index (plateaus, TidePlateau, k);
      g_assert_cmpfloat (plateau->level_w.value, ==, longest_first[k]);
    }
  g_assert_cmpfloat (g_array_index (plateaus, TidePlateau, 0).start_s, ==, 1000);
  g_assert_cmpfloat (g_array_index (plateaus, TidePlateau, 0).end_s, ==, 2999);

  TidePlateau plateau;
  g_assert_true (tide_find_plateau (t, y, 4000, 0, 3999, 180, 15, &plateau));
  g_assert_cmpfloat (plateau.level_w.value, ==, 20);
  g_assert_false (tide_find_plateau (t, y, 4000, 0, 3999, 180, 21, &plateau));
  g_assert_false (tide_find_plateau (t, y, 4000, 3000, 3100, 180, 1, &plateau));
  g_assert_false (tide_find_plateau (t, y, 4000, 3999, 3999, 180, 0.01, &plateau));
  g_assert_false (tide_find_plateau (t, y, 4000, 5000, 6000, 180, 0.01, &plateau));
}

/* A minute's interruption is bridged, a longer one is not; neither counts for the level. */
static void
test_interruption (void)
{
  static const double lengths_s[] = { 20, 60, 75 };

  for (guint k = 0; k < G_N_ELEMENTS (lengths_s); k++)
    {
      double t[3000], power[3000];

      for (guint i = 0; i < 3000; i++)
        {
          t[i] = i;
          power[i] = i >= 1000 && i < 1000 + lengths_s[k] ? 3 : 15;
        }
      g_autoptr (TideRecording) recording =
          support_make_recording (3000, t, power, NULL, NULL, NULL, NULL);
      g_autoptr (TideMeasurement) m = measure (recording);
      support_assert_near (m->plateau.level_w.value, 15, 1e-9);
      g_assert_cmpfloat (m->plateau.start_s, ==, lengths_s[k] > 60 ? 1000 + lengths_s[k] : 0);
      g_assert_cmpfloat (m->plateau.end_s, ==, 2999);
      g_assert_cmpuint (m->plateaus->len, ==, lengths_s[k] > 60 ? 2 : 1);
    }
}

/* The longest flat stretch by trying every pair of ends: O(n²), for short curves. */
static double
find_longest_by_force (const double *t, const double *y, gsize n)
{
  g_autofree double *copy = g_new (double, n);
  double longest_s = 0;

  for (gsize i = 0; i < n; i++)
    for (gsize j = n - 1; j > i && t[j] - t[i] > longest_s; j--)
      {
        memcpy (copy, y + i, (j - i + 1) * sizeof *copy);
        double median = tide_median (copy, j - i + 1);
        gboolean flat = fabs (y[i] - median) <= 0.05 * median;
        for (gsize k = i, last = i; flat && k <= j; k++)
          {
            gboolean inside = y[k] >= 0.95 * median && y[k] <= 1.05 * median;
            if (inside && k > last + 1 && t[k - 1] - t[last + 1] > 60)
              flat = FALSE;
            if (inside)
              last = k;
            if (k == j)
              flat = flat && inside;
          }
        if (flat)
          longest_s = t[j] - t[i];
      }
  return longest_s;
}

/* Random smooth curves: nothing longer may exist than what was found, but for the grid of levels.
 */
static void
test_longest (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (11);

  for (guint round = 0; round < 60; round++)
    {
      double t[240], y[240], slope = 0;
      TidePlateau plateau;

      for (guint i = 0; i < 240; i++)
        {
          slope = 0.9 * slope + 0.02 * support_normal (rand);
          t[i] = 10.0 * i;
          y[i] = i == 0 ? 10 : MAX (y[i - 1] + slope, 5);
          if (round % 3 == 0 && i % 40 == 20)
            y[i] += 4;
        }
      double longest_s = find_longest_by_force (t, y, 240);
      g_assert_cmpfloat (longest_s, >=, 180);
      g_assert_true (tide_find_plateau (t, y, 240, 0, t[239], 180, 1, &plateau));
      g_test_message ("round %u: %g of %g s", round, plateau.end_s - plateau.start_s, longest_s);
      g_assert_cmpfloat (plateau.end_s - plateau.start_s, <=, longest_s);
      g_assert_cmpfloat (plateau.end_s - plateau.start_s, >=, 0.95 * longest_s - 20);
    }
}

/* Common practice, no source: meters show short spikes 40 to 50 % above an 11 W plateau. They must
 * not move it. */
static void
test_spikes_on_plateau (void)
{
  SupportCharge charge = support_charge;

  charge.plateau_w = 11;
  charge.cut_w = 1.1;
  charge.quantum_w = 0.01;
  g_autoptr (TideMeasurement) clean = measure_charge (&charge);
  charge.n_spikes = 60;
  g_autoptr (TideMeasurement) spiky = measure_charge (&charge);

  g_assert_cmpuint (clean->spikes.count, ==, 0);
  g_assert_cmpuint (spiky->spikes.count, ==, 60);
  support_assert_near (spiky->spikes.total_s, 60 * 4, 60);
  g_assert_cmpfloat (spiky->spikes.tallest_w, >=, 11 * 1.4);
  g_assert_cmpfloat (spiky->spikes.tallest_w, <=, 11 * 1.5);
  support_assert_near (spiky->spikes.energy_wh, 60 * 4 * 11 * 0.45 / 3600, 0.06);
  support_assert_near (spiky->plateau.level_w.value, clean->plateau.level_w.value, 0.001);
  support_assert_near (spiky->plateau.start_s, clean->plateau.start_s, 0);
  support_assert_near (spiky->plateau.end_s, clean->plateau.end_s, 0);
  support_assert_near (spiky->sustained_peak_w.value, clean->sustained_peak_w.value, 0);
  support_assert_near (spiky->settles_s, clean->settles_s, 0);
}

/* Hostile: a level for every sample, a log of centuries, alternation without end. It ends, and
 * soon. */
static void
test_hostile (void)
{
  gsize n = 60000;
  g_autofree double *t = g_new (double, n), *y = g_new (double, n);
  guint top_ups;

  for (guint kind = 0; kind < 4; kind++)
    {
      for (gsize i = 0; i < n; i++)
        {
          t[i] = (double)i * (kind == 1 ? 1e6 : 1);
          y[i] = kind == 0   ? exp ((double)i * 7e-4)
                 : kind == 1 ? (double)(i % 97)
                 : kind == 2 ? ((i / 59) % 2 ? 10 : 5)
                             : 1e300 * (double)(i % 3) - 1e300;
        }
      g_autoptr (GArray) plateaus = tide_find_plateaus (t, y, n, t[0], t[n - 1], 300, 0.25);
      g_assert_cmpuint (plateaus->len, <=, TIDE_MAX_PLATEAUS);
      for (guint k = 0; k < plateaus->len; k++)
        {
          const TidePlateau *plateau = &g_array_index (plateaus, TidePlateau, k);
          g_assert_cmpfloat (plateau->end_s - plateau->start_s, >=, 299.999);
        }
      double settles_s = tide_find_settles (t, y, n, 10, &top_ups);
      g_assert_true (isnan (settles_s) || settles_s <= t[n - 1] - 300);
    }
}

/* Made so that each round of looking for the settled stretch gives up one sample: below its band
 * the curve climbs just as fast as the band's middle does. */
static void
test_creeping (void)
{
  gsize n = 400000, creeps = n / 5, rest = n - creeps;
  const double center_w = 1, band_w = 0.15, end_s = 400;
  g_autofree double *t = g_new (double, n), *y = g_new (double, n);
  guint top_ups;

  for (gsize i = 0; i < n; i++)
    {
      double share = ((double)i - (double)creeps) / (double)rest;

      t[i] = (double)i * end_s / (double)(n - 1);
      y[i] = share < 0      ? 0.6
             : share < 0.5  ? center_w - band_w + 2 * band_w * share
             : share < 0.75 ? center_w + 4 * band_w * (share - 0.5)
                            : center_w + band_w;
      y[i] += share >= 0.5 ? 3 * band_w / (double)n : 0;
    }
  g_test_timer_start ();
  g_assert_true (isnan (tide_find_settles (t, y, n, 3, &top_ups)));
  g_assert_cmpfloat (g_test_timer_elapsed (), <, 5);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/phases/table", test_table);
  g_test_add_func ("/phases/fast-sampling", test_fast_sampling);
  g_test_add_func ("/phases/begins", test_begins);
  g_test_add_func ("/phases/draw-begins", test_draw_begins);
  g_test_add_func ("/phases/mid-charge", test_mid_charge);
  g_test_add_func ("/phases/early-stop", test_early_stop);
  g_test_add_func ("/phases/settles-least", test_settles_least);
  g_test_add_func ("/phases/top-ups", test_top_ups);
  g_test_add_func ("/phases/pulse-rules", test_pulse_rules);
  g_test_add_func ("/phases/loose-end", test_loose_end);
  g_test_add_func ("/phases/first-stage", test_first_stage);
  g_test_add_func ("/phases/not-settled", test_not_settled);
  g_test_add_func ("/phases/slow-decay", test_slow_decay);
  g_test_add_func ("/phases/in-use", test_in_use);
  g_test_add_func ("/phases/gaps", test_gaps);
  g_test_add_func ("/phases/no-draw", test_no_draw);
  g_test_add_func ("/phases/stages", test_stages);
  g_test_add_func ("/phases/interruption", test_interruption);
  g_test_add_func ("/phases/longest", test_longest);
  g_test_add_func ("/phases/spikes-on-plateau", test_spikes_on_plateau);
  g_test_add_func ("/phases/hostile", test_hostile);
  g_test_add_func ("/phases/creeping", test_creeping);
  return g_test_run ();
}
