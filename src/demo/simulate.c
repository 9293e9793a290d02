/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The meter: looks at the true curve once an interval, adds its noise, rounds to its resolution,
 * counts, and writes what it saw in one of several dialects.
 */
#include "demo/curve-private.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define NOISE_STREAM 2

#define MOST_ROWS 2000000
/* Bounds the work on the true curve, whatever the interval. */
#define MOST_SECONDS 400000.0

/* Meters tell volts apart better than amperes. */
#define VOLTAGE_NOISE_SHARE 0.1

/* Decimals of what has no resolution of its own. */
#define FULL_DECIMALS    9
#define POWER_DECIMALS   3
#define COUNTER_DECIMALS 4

/* ---- Bounds ---- */

static gboolean
fail_check (GError **error, const char *reason)
{
  g_set_error_literal (error, TIDE_DEMO_ERROR, TIDE_DEMO_ERROR_SIMULATION, reason);
  return FALSE;
}

static gboolean
is_whole (double value)
{
  return fabs (value - round (value)) < 1e-6;
}

static gboolean
check_values (const TideSimulation *s, GError **error)
{
  const double not_negative[] = { s->lead_s,       s->idle_w,       s->idle_v,        s->first_s,
                                  s->first_w,      s->first_v,      s->pause_s,       s->plateau_s,
                                  s->standing_w,   s->cable_ohm,    s->spike_every_s, s->spike_w,
                                  s->spike_s,      s->load_every_s, s->load_w,        s->load_s,
                                  s->ripple_share, s->ripple_s,     s->noise_share,   s->step_v,
                                  s->step_a };
  const double positive[] = { s->interval_s, s->plateau_w, s->taper_tau_s, s->taper_end_share,
                              s->voltage_v };

  for (guint i = 0; i < G_N_ELEMENTS (not_negative); i++)
    if (!(not_negative[i] >= 0 && not_negative[i] <= MOST_SECONDS))
      return fail_check (error, _ ("a value is negative, too large or no number"));
  for (guint i = 0; i < G_N_ELEMENTS (positive); i++)
    if (!(positive[i] > 0 && positive[i] <= MOST_SECONDS))
      return fail_check (error, _ ("a value that must be above 0 is not, or is too large"));
  if (!(fabs (s->tail_s) <= MOST_SECONDS))
    return fail_check (error, _ ("the tail is too long or no number"));
  if ((guint)s->dialect >= TIDE_N_DIALECTS)
    return fail_check (error, _ ("there is no such dialect"));
  return TRUE;
}

static gboolean
check_events (const TideSimulation *s, GError **error)
{
  if (s->spike_every_s > 0 && (s->spike_every_s < 120 || s->spike_s <= 0 || s->spike_s >= 30))
    return fail_check (error,
                       _ ("spikes must last less than 30 s and come every 120 s or less often"));
  if (s->load_every_s > 0 && (s->load_s < 60 || s->load_every_s < s->load_s + 60))
    return fail_check (error, _ ("loads and the rests between them must last 60 s or longer"));
  return TRUE;
}

/* Well below the most that can flow, which is V²/4R. */
static gboolean
can_carry (const TideSimulation *s, double supply_v, double power_w)
{
  return supply_v > 0 && s->cable_ohm * power_w <= 0.2 * supply_v * supply_v;
}

static gboolean
check_power (const TideSimulation *s, GError **error)
{
  double extra_w = s->spike_w + s->load_w;

  if (s->taper_end_share >= 1 || s->standing_w >= s->plateau_w || s->ripple_share >= 1
      || s->noise_share >= 1)
    return fail_check (error, _ ("shares must be below 1, the standing draw below the plateau"));
  if (!can_carry (s, s->idle_v > 0 ? s->idle_v : s->voltage_v, s->idle_w)
      || (s->first_s > 0 && !can_carry (s, s->first_v, s->first_w + extra_w))
      || !can_carry (s, s->voltage_v, s->plateau_w * (1 + s->ripple_share) + extra_w))
    return fail_check (error, _ ("the cable cannot carry so much power at that voltage"));
  return TRUE;
}

static gboolean
check_times (const TideSimulation *s, GError **error)
{
  double charge_s =
      s->first_s + s->pause_s + s->plateau_s - s->taper_tau_s * log (s->taper_end_share);
  double end_s = s->lead_s + charge_s + s->tail_s;

  if (s->first_s > s->plateau_s)
    return fail_check (error, _ ("the first stage must not last longer than the plateau"));
  if (end_s < s->lead_s || end_s > MOST_SECONDS || end_s / s->interval_s >= MOST_ROWS)
    return fail_check (error, _ ("the log ends before the draw begins, or is too long"));
  if (!is_whole (s->interval_s * 1000)
      || (s->dialect == TIDE_DIALECT_CLOCK && !is_whole (s->interval_s)))
    return fail_check (error, _ ("the interval cannot be written in that dialect"));
  return TRUE;
}

gboolean
tide_simulation_check (const TideSimulation *simulation, GError **error)
{
  return check_values (simulation, error) && check_events (simulation, error)
         && check_power (simulation, error) && check_times (simulation, error);
}

/* ---- The meter ---- */

typedef struct
{
  double t_s, voltage_v, current_a, power_w, energy_wh, charge_ah;
} Reading;

typedef struct
{
  const TideDemoCurve *curve;
  GRand *noise;
  Reading last;
} Meter;

/* Box and Muller's polar form needs no table and takes two numbers a value. */
static double
draw_normal (GRand *random)
{
  double radius = sqrt (-2 * log (1 - g_rand_double (random)));

  return radius * cos (2 * G_PI * g_rand_double (random));
}

static double
quantise (double value, double step)
{
  return step > 0 ? round (value / step) * step : value;
}

static void
read_meter (Meter *meter, gsize row)
{
  const TideSimulation *simulation = meter->curve->simulation;
  double t = row * simulation->interval_s;
  double power_w = tide_demo_curve_get_power_w (meter->curve, t);
  double voltage_v = tide_demo_curve_get_voltage_v (meter->curve, t, power_w);
  double current_a = power_w / voltage_v;
  Reading now = { .t_s = t };

  voltage_v *= 1 + VOLTAGE_NOISE_SHARE * simulation->noise_share * draw_normal (meter->noise);
  current_a *= 1 + simulation->noise_share * draw_normal (meter->noise);
  now.power_w = voltage_v * current_a;
  now.voltage_v = quantise (voltage_v, simulation->step_v);
  now.current_a = quantise (current_a, simulation->step_a);
  if (row > 0)
    {
      double hours = (t - meter->last.t_s) / 3600;

      now.energy_wh = meter->last.energy_wh + (now.power_w + meter->last.power_w) / 2 * hours;
      now.charge_ah = meter->last.charge_ah + (now.current_a + meter->last.current_a) / 2 * hours;
    }
  meter->last = now;
}

/* ---- The export ---- */

typedef struct
{
  const char *header;
  const char *line_end;
  char delimiter, decimal_mark;
} Form;

static const Form forms[TIDE_N_DIALECTS] = {
  [TIDE_DIALECT_PLAIN] = { "Time (s),Voltage (V),Current (A),Power (W),Energy (Wh)", "\n", ',',
                           '.' },
  [TIDE_DIALECT_SEMICOLON] = { "Time [s];Voltage [V];Current [A];Power [W];Energy [Wh]", "\r\n",
                               ';', ',' },
  [TIDE_DIALECT_CLOCK] = { "Elapsed time\tVoltage (V)\tCurrent (A)\tPower (W)\tEnergy (Wh)", "\n",
                           '\t', '.' },
  [TIDE_DIALECT_MILLI] = { "Time (ms),Voltage (mV),Current (mA),Charge (mAh)", "\n", ',', '.' },
};

/* How many decimals a resolution needs. */
static int
count_decimals (double step)
{
  int decimals = 0;

  if (step <= 0)
    return FULL_DECIMALS;
  while (decimals < FULL_DECIMALS && !is_whole (step * pow (10, decimals)))
    decimals++;
  return decimals;
}

static void
append_number (GString *text, const Form *form, double value, int decimals)
{
  char format[8], digits[G_ASCII_DTOSTR_BUF_SIZE];

  g_snprintf (format, sizeof format, "%%.%df", MAX (decimals, 0));
  g_ascii_formatd (digits, sizeof digits, format, value);
  char *mark = strchr (digits, '.');
  if (mark != NULL)
    *mark = form->decimal_mark;
  g_string_append (text, digits);
}

static void
append_field (GString *text, const Form *form, double value, int decimals)
{
  g_string_append_c (text, form->delimiter);
  append_number (text, form, value, decimals);
}

static void
append_time (GString *text, const TideSimulation *simulation, const Form *form, double t_s)
{
  guint s = (guint)round (t_s);

  if (simulation->dialect == TIDE_DIALECT_CLOCK)
    g_string_append_printf (text, "%02u:%02u:%02u", s / 3600, s / 60 % 60, s % 60);
  else if (simulation->dialect == TIDE_DIALECT_MILLI)
    append_number (text, form, t_s * 1000, 0);
  else
    append_number (text, form, t_s, count_decimals (simulation->interval_s));
}

static void
append_reading (GString *text, const TideSimulation *simulation, const Reading *reading)
{
  const Form *form = &forms[simulation->dialect];
  gboolean full = simulation->step_a <= 0;
  int decimals_v = count_decimals (simulation->step_v);
  int decimals_a = count_decimals (simulation->step_a);

  append_time (text, simulation, form, reading->t_s);
  if (simulation->dialect == TIDE_DIALECT_MILLI)
    {
      append_field (text, form, 1000 * reading->voltage_v, decimals_v - 3);
      append_field (text, form, 1000 * reading->current_a, decimals_a - 3);
      append_field (text, form, 1000 * reading->charge_ah, full ? FULL_DECIMALS : 0);
    }
  else
    {
      append_field (text, form, reading->voltage_v, decimals_v);
      append_field (text, form, reading->current_a, decimals_a);
      append_field (text, form, reading->power_w, full ? FULL_DECIMALS : POWER_DECIMALS);
      append_field (text, form, reading->energy_wh, full ? FULL_DECIMALS : COUNTER_DECIMALS);
    }
  g_string_append (text, form->line_end);
}

static GBytes *
write_export (const TideDemoCurve *curve, const char *title)
{
  const TideSimulation *simulation = curve->simulation;
  const guint32 seeds[] = { simulation->seed, NOISE_STREAM };
  g_autoptr (GRand) noise = g_rand_new_with_seed_array (seeds, G_N_ELEMENTS (seeds));
  g_autofree char *one_line = g_strdelimit (g_strdup (title), "\r\n", ' ');
  Meter meter = { curve, noise, { 0 } };
  GString *text = g_string_new (NULL);

  g_string_append_printf (text, "# Simulated charge of an invented survey tablet: %s%s%s%s",
                          one_line, forms[simulation->dialect].line_end,
                          forms[simulation->dialect].header, forms[simulation->dialect].line_end);
  for (gsize row = 0; row < curve->n_rows; row++)
    {
      read_meter (&meter, row);
      append_reading (text, simulation, &meter.last);
    }
  return g_string_free_to_bytes (text);
}

GBytes *
tide_simulate (const TideSimulation *simulation, const char *title, TideTruth *truth)
{
  g_auto (TideDemoCurve) curve = { 0 };

  g_return_val_if_fail (tide_simulation_check (simulation, NULL), NULL);

  tide_demo_curve_init (&curve, simulation);
  if (truth != NULL)
    tide_demo_curve_find_truth (&curve, truth);
  return write_export (&curve, title);
}
