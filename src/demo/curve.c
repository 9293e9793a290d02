/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The true curve: closed form between its corners, so that its integrals are those of the
 * curve and not of a grid. Events are drawn from the seed alone; neither the meter nor the
 * interval of the log has a say in them.
 */
#include "demo/curve-private.h"

#include <math.h>

/* Streams of one seed. */
#define EVENT_STREAM 1

/* Spikes keep clear of the moment the draw begins, of each other, and of the log's end, where the
 * window of the smoothing is too short to tell one from a change of the draw. */
#define SPIKE_FIRST_S 60.0
#define SPIKE_LAST_S  60.0
#define LOAD_FIRST_S  120.0

/* Between corners the curve is smooth over minutes: Gauss's rule of 3 points is exact to 1e-10 on
 * steps of this length. */
#define STEP_S 15.0

/* ---- Events ---- */

/* Evenly spread around mean, from (1 − spread) to (1 + spread) times it. */
static double
draw_around (GRand *random, double mean, double spread)
{
  return mean * (1 + spread * (2 * g_rand_double (random) - 1));
}

static GArray *
make_spikes (const TideSimulation *simulation, GRand *random, double from_s, double to_s)
{
  GArray *events = g_array_new (FALSE, FALSE, sizeof (TideDemoEvent));

  if (simulation->spike_every_s <= 0)
    return events;
  for (double t = from_s + SPIKE_FIRST_S;;)
    {
      TideDemoEvent event;

      event.start_s =
          t + draw_around (random, simulation->spike_every_s, 0.6) - simulation->spike_s;
      event.end_s = event.start_s + simulation->spike_s;
      event.power_w = draw_around (random, 0.75 * simulation->spike_w, 1.0 / 3);
      t = event.end_s;
      if (t >= to_s - SPIKE_LAST_S)
        return events;
      g_array_append_val (events, event);
    }
}

static GArray *
make_loads (const TideSimulation *simulation, GRand *random, double from_s, double to_s)
{
  GArray *events = g_array_new (FALSE, FALSE, sizeof (TideDemoEvent));

  if (simulation->load_every_s <= 0)
    return events;
  for (double t = from_s + LOAD_FIRST_S;;)
    {
      double rest_s = simulation->load_every_s - simulation->load_s;
      TideDemoEvent event = { .power_w = simulation->load_w };

      event.start_s = t + draw_around (random, rest_s, 0.5);
      event.end_s = event.start_s + draw_around (random, simulation->load_s, 0.5);
      t = event.end_s;
      if (t >= to_s)
        return events;
      g_array_append_val (events, event);
    }
}

static double
get_event_w (GArray *events, double t)
{
  guint low = 0, high = events->len;

  while (low < high)
    {
      guint middle = (low + high) / 2;

      if (g_array_index (events, TideDemoEvent, middle).end_s > t)
        high = middle;
      else
        low = middle + 1;
    }
  if (low == events->len || g_array_index (events, TideDemoEvent, low).start_s > t)
    return 0;
  return g_array_index (events, TideDemoEvent, low).power_w;
}

/* ---- The curve ---- */

void
tide_demo_curve_init (TideDemoCurve *curve, const TideSimulation *simulation)
{
  const guint32 seeds[] = { simulation->seed, EVENT_STREAM };
  g_autoptr (GRand) random = g_rand_new_with_seed_array (seeds, G_N_ELEMENTS (seeds));

  curve->simulation = simulation;
  curve->draw_s = simulation->lead_s;
  curve->pause_s = curve->draw_s + simulation->first_s;
  curve->plateau_s = curve->pause_s + (simulation->first_s > 0 ? simulation->pause_s : 0);
  curve->taper_s = curve->plateau_s + simulation->plateau_s;
  curve->stop_s = curve->taper_s - simulation->taper_tau_s * log (simulation->taper_end_share);
  curve->n_rows =
      (gsize)floor ((curve->stop_s + simulation->tail_s) / simulation->interval_s + 1e-9) + 1;
  curve->end_s = (curve->n_rows - 1) * simulation->interval_s;
  curve->spikes = make_spikes (simulation, random, curve->draw_s, curve->end_s);
  curve->loads = make_loads (simulation, random, curve->draw_s, curve->end_s);
}

void
tide_demo_curve_clear (TideDemoCurve *curve)
{
  g_clear_pointer (&curve->spikes, g_array_unref);
  g_clear_pointer (&curve->loads, g_array_unref);
}

/* What the battery takes, swinging slowly. */
static double
get_charging_w (const TideDemoCurve *curve, double t)
{
  const TideSimulation *simulation = curve->simulation;
  double charging_w = simulation->plateau_w - simulation->standing_w;
  double swing = 0;

  if (t >= curve->stop_s)
    return 0;
  if (t > curve->taper_s)
    charging_w *= exp ((curve->taper_s - t) / simulation->taper_tau_s);
  if (simulation->ripple_s > 0)
    swing =
        simulation->ripple_share * sin (2 * G_PI * (t - curve->plateau_s) / simulation->ripple_s);
  return charging_w * (1 + swing);
}

double
tide_demo_curve_get_trend_w (const TideDemoCurve *curve, double t)
{
  const TideSimulation *simulation = curve->simulation;

  if (t < curve->draw_s || (t >= curve->pause_s && t < curve->plateau_s))
    return simulation->idle_w;
  if (t < curve->pause_s)
    return simulation->first_w + get_event_w (curve->loads, t);
  return simulation->standing_w + get_charging_w (curve, t) + get_event_w (curve->loads, t);
}

double
tide_demo_curve_get_power_w (const TideDemoCurve *curve, double t)
{
  return tide_demo_curve_get_trend_w (curve, t) + get_event_w (curve->spikes, t);
}

/* V = V₀ − R·I and P = V·I, of the two solutions the one with the higher voltage. */
double
tide_demo_curve_get_voltage_v (const TideDemoCurve *curve, double t, double power_w)
{
  const TideSimulation *simulation = curve->simulation;
  double supply_v = simulation->voltage_v;

  if (t < curve->draw_s && simulation->idle_v > 0)
    supply_v = simulation->idle_v;
  else if (t < curve->plateau_s && simulation->first_s > 0 && t >= curve->draw_s)
    supply_v = simulation->first_v;
  return supply_v / 2 + sqrt (supply_v * supply_v / 4 - simulation->cable_ohm * power_w);
}

/* ---- Integrals ---- */

static int
compare_times_cb (gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return (x > y) - (x < y);
}

static void
add_corners (GArray *corners, GArray *events)
{
  for (guint i = 0; i < events->len; i++)
    {
      g_array_append_val (corners, g_array_index (events, TideDemoEvent, i).start_s);
      g_array_append_val (corners, g_array_index (events, TideDemoEvent, i).end_s);
    }
}

/* All times where the curve jumps or bends. */
static GArray *
list_corners (const TideDemoCurve *curve)
{
  const double parts[] = { curve->draw_s, curve->pause_s, curve->plateau_s, curve->taper_s,
                           curve->stop_s };
  GArray *corners = g_array_new (FALSE, FALSE, sizeof (double));

  g_array_append_vals (corners, parts, G_N_ELEMENTS (parts));
  add_corners (corners, curve->spikes);
  add_corners (corners, curve->loads);
  g_array_sort (corners, compare_times_cb);
  return corners;
}

/* Gauss–Legendre, 3 points. */
static void
integrate_step (const TideDemoCurve *curve,
                double from,
                double to,
                double *energy_j,
                double *charge_c)
{
  const double nodes[] = { -sqrt (0.6), 0, sqrt (0.6) };
  static const double weights[] = { 5.0 / 18, 8.0 / 18, 5.0 / 18 };

  for (guint i = 0; i < G_N_ELEMENTS (nodes); i++)
    {
      double t = (from + to) / 2 + nodes[i] * (to - from) / 2;
      double power_w = tide_demo_curve_get_power_w (curve, t);
      double weight_s = weights[i] * (to - from);

      *energy_j += weight_s * power_w;
      *charge_c += weight_s * power_w / tide_demo_curve_get_voltage_v (curve, t, power_w);
    }
}

void
tide_demo_curve_integrate (const TideDemoCurve *curve,
                           double from_s,
                           double to_s,
                           double *energy_j,
                           double *charge_c)
{
  g_autoptr (GArray) corners = list_corners (curve);
  double t = from_s;

  *energy_j = *charge_c = 0;
  g_array_append_val (corners, to_s);
  for (guint i = 0; i < corners->len && t < to_s; i++)
    {
      double corner = MIN (g_array_index (corners, double, i), to_s);
      guint n_steps = corner > t ? (guint)ceil ((corner - t) / STEP_S) : 0;

      for (guint k = 0; k < n_steps; k++)
        integrate_step (curve, t + (corner - t) * k / n_steps, t + (corner - t) * (k + 1) / n_steps,
                        energy_j, charge_c);
      t = MAX (t, corner);
    }
}
