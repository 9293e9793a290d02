/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ticks are whole multiples of a step that people count in. Of all such steps the finest is taken
 * that puts no more than one tick above what is wanted: a 1-2-5 ladder then gives four to seven
 * for a wish of six. P. Heckbert ("Nice numbers for graph labels", Graphics Gems, 1990) rounds
 * twice, first the range and then the step, and so at times ends with three; where the two
 * differ, this one is the finer.
 *
 * Any input is allowed: ends the wrong way round are swapped, ends that are equal (as far as
 * doubles tell) get the one tick they have, ends that are no numbers none.
 */
#include "chart/scale.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define MINUTE_S 60.0
#define HOUR_S   3600.0
#define DAY_S    86400.0

#define MIN_WANTED 2
#define MAX_WANTED 100

/* A tick this share of a step outside the span still counts: 0.3 is not 3 × 0.1 in doubles. */
#define STEP_SLACK 1e-6
/* A span narrower than this share of its ends has no room for different labels. */
#define NARROWEST_SHARE 1e-12

static const double mantissas[] = { 1, 2, 5 };

/* The clock's steps from a second to half a day. Below and above them 1-2-5 goes on. */
static const double clock_steps_s[] = {
  1,
  2,
  5,
  10,
  15,
  20,
  30,
  1 * MINUTE_S,
  2 * MINUTE_S,
  5 * MINUTE_S,
  10 * MINUTE_S,
  15 * MINUTE_S,
  20 * MINUTE_S,
  30 * MINUTE_S,
  1 * HOUR_S,
  2 * HOUR_S,
  3 * HOUR_S,
  6 * HOUR_S,
  12 * HOUR_S,
};

/* A span as ticks see it: ends in order, in units of what is counted. */
typedef struct
{
  double low, high;
  guint most; /* ticks */
} Span;

/* FALSE when there is nothing to count between the ends. */
static gboolean
fill_span (Span *span, double low, double high, guint wanted)
{
  span->low = MIN (low, high);
  span->high = MAX (low, high);
  span->most = CLAMP (wanted, MIN_WANTED, MAX_WANTED) + 1;
  return isfinite (span->high - span->low)
         && span->high - span->low > NARROWEST_SHARE * MAX (fabs (span->low), fabs (span->high));
}

/* The first and last multiple of step inside the span. */
static void
find_multiples (const Span *span, double step, double *first, double *last)
{
  *first = ceil (span->low / step - STEP_SLACK);
  *last = floor (span->high / step + STEP_SLACK);
}

static gboolean
fits (const Span *span, double step)
{
  double first, last;

  find_multiples (span, step, &first, &last);
  return last - first + 1 <= span->most;
}

/* The finest fitting step of 1, 2, 5 × 10ⁿ; decimals is what its multiples need. */
static double
choose_plain_step (const Span *span, int *decimals)
{
  /* Below 10⁻³⁰⁰ dividing runs into the smallest doubles. */
  int exponent = (int)fmax (floor (log10 ((span->high - span->low) / span->most)) - 1, -300);

  for (;; exponent++)
    for (guint i = 0; i < G_N_ELEMENTS (mantissas); i++)
      {
        /* Dividing by the exact power rounds once; 10⁻³ itself is not exact. */
        double step =
            exponent < 0 ? mantissas[i] / pow (10, -exponent) : mantissas[i] * pow (10, exponent);

        if (fits (span, step))
          {
            *decimals = MAX (0, -exponent);
            return step;
          }
      }
}

static TideTicks
place_ticks (const Span *span, double step, int decimals)
{
  double first, last;

  find_multiples (span, step, &first, &last);
  return (TideTicks){ .first = first * step + 0.0, /* + 0.0: no minus zero */
                      .step = step,
                      .count = last >= first ? (guint)(last - first) + 1 : 0,
                      .decimals = decimals };
}

/* What is left for ends that are equal or no numbers. */
static TideTicks
place_single_tick (double low, double high)
{
  if (!isfinite (low) || !isfinite (high) || !isfinite (high - low))
    return (TideTicks){ .step = 1 };
  return (TideTicks){
    .first = low + 0.0, .step = 1, .count = 1, .decimals = low == floor (low) ? 0 : 3
  };
}

double
tide_scale_to_px (const TideScale *scale, double value)
{
  double span = scale->high - scale->low;

  if (span == 0)
    return (scale->start_px + scale->end_px) / 2;
  return scale->start_px + (value - scale->low) / span * (scale->end_px - scale->start_px);
}

double
tide_scale_from_px (const TideScale *scale, double px)
{
  double span_px = scale->end_px - scale->start_px;

  if (span_px == 0)
    return (scale->low + scale->high) / 2;
  return scale->low + (px - scale->start_px) / span_px * (scale->high - scale->low);
}

TideTicks
tide_ticks_plain (double low, double high, guint wanted)
{
  Span span;
  double step;
  int decimals;

  if (!fill_span (&span, low, high, wanted))
    return place_single_tick (low, high);
  step = choose_plain_step (&span, &decimals);
  return place_ticks (&span, step, decimals);
}

TideTicks
tide_ticks_time (double low_s, double high_s, guint wanted)
{
  Span span, days;
  double step;
  int decimals;

  if (!fill_span (&span, low_s, high_s, wanted))
    return place_single_tick (low_s, high_s);

  step = choose_plain_step (&span, &decimals);
  if (step < clock_steps_s[0])
    return place_ticks (&span, step, decimals);
  for (guint i = 0; i < G_N_ELEMENTS (clock_steps_s); i++)
    if (fits (&span, clock_steps_s[i]))
      return place_ticks (&span, clock_steps_s[i], 0);

  days = span;
  days.low /= DAY_S;
  days.high /= DAY_S;
  step = choose_plain_step (&days, &decimals);
  return place_ticks (&span, MAX (step, 1) * DAY_S, 0);
}

double
tide_ticks_get_value (const TideTicks *ticks, guint index)
{
  double multiple = round (ticks->first / ticks->step);

  /* A single tick of a span without width stands on no multiple. */
  if (ticks->count == 1)
    return ticks->first;
  return (multiple + index) * ticks->step + 0.0;
}

/* "12", "12.5": a number of seconds. */
static char *
make_seconds_text (double seconds, int decimals, gboolean padded)
{
  char format[16], buffer[G_ASCII_DTOSTR_BUF_SIZE];

  if (decimals == 0)
    return g_strdup_printf (padded ? "%02.0f" : "%.0f", seconds);
  g_snprintf (format, sizeof format, "%%.%df", decimals);
  g_ascii_formatd (buffer, sizeof buffer, format, seconds);
  return g_strdup (buffer);
}

/* Steps of seconds: whole minutes stand for themselves, hours bring every unit along. */
static char *
make_second_label (const char *sign, double total_s, int decimals)
{
  double minutes = floor (total_s / MINUTE_S);
  double seconds = total_s - minutes * MINUTE_S;
  double hours = floor (minutes / 60);
  gboolean whole = seconds < 0.5 * pow (10, -decimals);
  g_autofree char *text = make_seconds_text (seconds, decimals, minutes > 0);

  minutes -= hours * 60;
  if (hours > 0 && whole && minutes == 0)
    return g_strdup_printf (_ ("%s%.0f h"), sign, hours);
  if (hours > 0 && whole)
    return g_strdup_printf (_ ("%s%.0f h %02.0f min"), sign, hours, minutes);
  if (hours > 0)
    return g_strdup_printf (_ ("%s%.0f h %02.0f min %s s"), sign, hours, minutes, text);
  if (minutes > 0 && whole)
    return g_strdup_printf (_ ("%s%.0f min"), sign, minutes);
  if (minutes > 0)
    return g_strdup_printf (_ ("%s%.0f min %s s"), sign, minutes, text);
  return g_strdup_printf (_ ("%s%s s"), sign, text);
}

static char *
make_minute_label (const char *sign, double total_s)
{
  double minutes = round (total_s / MINUTE_S);
  double hours = floor (minutes / 60);

  minutes -= hours * 60;
  if (hours == 0)
    return g_strdup_printf (_ ("%s%.0f min"), sign, minutes);
  if (minutes == 0)
    return g_strdup_printf (_ ("%s%.0f h"), sign, hours);
  return g_strdup_printf (_ ("%s%.0f h %02.0f"), sign, hours, minutes);
}

char *
tide_ticks_time_label (const TideTicks *ticks, double value_s)
{
  double per_s = pow (10, ticks->decimals);
  double total_s = round (fabs (value_s) * per_s) / per_s;
  const char *sign = value_s < 0 ? "\u2212" : "";

  if (!isfinite (value_s))
    return g_strdup ("–");
  if (total_s == 0)
    return g_strdup ("0");
  if (ticks->step < MINUTE_S)
    return make_second_label (sign, total_s, ticks->decimals);
  if (ticks->step < HOUR_S)
    return make_minute_label (sign, total_s);
  if (ticks->step < DAY_S)
    return g_strdup_printf (_ ("%s%.0f h"), sign, round (total_s / HOUR_S));
  return g_strdup_printf (_ ("%s%.0f d"), sign, round (total_s / DAY_S));
}
