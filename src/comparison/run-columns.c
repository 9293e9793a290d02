/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a run stands and the columns that are drawn of it. V, A and W are the recording's own
 * columns wherever its signs are those of the measurement, so a run of ten million samples costs
 * here its smoothed curves, its places on the x axis and its overviews, each only once it is
 * looked at. Nothing fails: what a run lacks is NULL or NaN.
 */
#include "comparison/compared-run-private.h"

#include <math.h>

#include "analysis/series.h"

#define S_PER_H 3600.0

/* The trend of current and voltage is taken as methods define it for power. */
#define SMOOTH_OVER_S      30
#define SMOOTH_MIN_SAMPLES 5

/* Helpers */

static void
drop_x (TideComparedRun *self)
{
  g_clear_pointer (&self->x, g_free);
  self->x_ready = FALSE;
}

/* Measuring turns the signs of a stretch whose charge is negative; the recording stays as it is.
 * TRUE where a column has to be turned to agree with what was measured over the same stretch. */
static gboolean
is_turned (TideComparedRun *self, TideQuantity quantity)
{
  const TideMeasurement *measurement = self->measurement;
  double measured = quantity == TIDE_QUANTITY_POWER     ? measurement->energy_wh.value
                    : quantity == TIDE_QUANTITY_CURRENT ? measurement->charge_ah.value
                                                        : NAN;

  if (isnan (measured))
    return FALSE;
  return tide_integrate_between (tide_recording_get_column (self->recording, TIDE_QUANTITY_TIME),
                                 tide_recording_get_column (self->recording, quantity),
                                 tide_recording_get_n_samples (self->recording),
                                 measurement->stretch.from_s, measurement->stretch.to_s)
             * measured
         < 0;
}

static double *
turn_signs (const double *column, gsize n)
{
  double *turned = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    turned[i] = 0 - column[i]; /* a zero stays positive */
  return turned;
}

/* Points the channel at a column of the recording, or at a turned copy of it. */
static void
take_column (TideComparedRun *self, TideRunChannel *channel, TideQuantity quantity)
{
  const double *column = tide_recording_get_column (self->recording, quantity);

  if (column == NULL)
    return;
  column += self->first;
  if (is_turned (self, quantity))
    channel->own_y = turn_signs (column, self->n);
  channel->y = channel->own_y != NULL ? channel->own_y : column;
}

static void
take_smoothed (TideComparedRun *self, TideRunChannel *channel, TideQuantity quantity)
{
  if (channel->y == NULL)
    return;
  if (quantity == TIDE_QUANTITY_POWER)
    {
      channel->smoothed = self->measurement->smoothed_w;
      return;
    }
  channel->own_smoothed =
      tide_running_median (self->t, channel->y, self->n, SMOOTH_OVER_S, SMOOTH_MIN_SAMPLES);
  channel->smoothed = channel->own_smoothed;
}

/* Energy since the stretch began. */
static const double *
get_energy_wh (TideComparedRun *self)
{
  const TideRunChannel *power;

  if (self->energy_wh != NULL)
    return self->energy_wh;
  power = tide_compared_run_get_channel (self, TIDE_QUANTITY_POWER);
  self->energy_wh = tide_integrate_running (self->t, power->y, self->n);
  for (gsize i = 0; i < self->n; i++)
    self->energy_wh[i] /= S_PER_H;
  return self->energy_wh;
}

/* Energy since a time of the recording: 0 before it, so that nothing stands left of the start.
 * NULL where it is more than a double holds, which no picture could show. */
static double *
count_energy_from (TideComparedRun *self, double zero_s)
{
  const double *energy_wh = get_energy_wh (self);
  double zero_wh = tide_interpolate (self->t, energy_wh, self->n, zero_s);
  g_autofree double *counted = g_new (double, self->n);

  /* A mark set outside the stretch: count from where the stretch begins. */
  if (isnan (zero_wh))
    zero_wh = 0;
  for (gsize i = 0; i < self->n; i++)
    {
      counted[i] = self->t[i] < zero_s ? 0 : energy_wh[i] - zero_wh;
      if (!isfinite (counted[i]))
        return NULL;
    }
  return g_steal_pointer (&counted);
}

/* Power that reads below zero for a moment must not let an axis run backwards. */
static double *
make_energy_axis (TideComparedRun *self, double zero_s)
{
  double *x = count_energy_from (self, zero_s);
  double most = 0;

  for (gsize i = 0; x != NULL && i < self->n; i++)
    {
      most = MAX (most, x[i]);
      x[i] = most;
    }
  return x;
}

static double
find_begin_s (TideComparedRun *self)
{
  double begins_s = self->measurement->draw_begins_s;

  return isnan (begins_s) ? self->t[0] : begins_s;
}

/* Percent of the charge window's energy, of all energy where the draw does not settle. */
static double *
make_share_axis (TideComparedRun *self)
{
  g_autofree double *x = make_energy_axis (self, find_begin_s (self));
  double whole;

  if (x == NULL)
    return NULL;
  whole = tide_interpolate (self->t, x, self->n, self->measurement->settles_s);
  if (isnan (whole))
    whole = x[self->n - 1];
  if (!(whole > 0))
    return NULL;
  for (gsize i = 0; i < self->n; i++)
    x[i] = x[i] / whole * 100;
  return g_steal_pointer (&x);
}

static double *
make_time_axis (TideComparedRun *self)
{
  double *x = g_new (double, self->n);

  for (gsize i = 0; i < self->n; i++)
    x[i] = self->t[i] + self->shift_s;
  return x;
}

/* What is drawn of a quantity; all NULL where the run lacks it. */
static void
fill_channel (TideComparedRun *self, TideRunChannel *channel, TideQuantity quantity)
{
  channel->ready = TRUE;
  channel->noise = NAN;
  if (self->n == 0)
    return;
  if (quantity == TIDE_QUANTITY_ENERGY)
    {
      channel->own_y = count_energy_from (self, self->zero_s);
      channel->y = channel->smoothed = channel->own_y;
      channel->noise = 0;
    }
  else
    {
      take_column (self, channel, quantity);
      take_smoothed (self, channel, quantity);
    }
  if (channel->y == NULL)
    return;
  channel->overview_y = tide_overview_new (channel->y, self->n);
  if (channel->smoothed != channel->y)
    channel->own_overview_smoothed = tide_overview_new (channel->smoothed, self->n);
}

/* Inside the room */

void
tide_run_channel_clear (TideRunChannel *channel)
{
  g_free (channel->own_y);
  g_free (channel->own_smoothed);
  g_clear_pointer (&channel->overview_y, tide_overview_free);
  g_clear_pointer (&channel->own_overview_smoothed, tide_overview_free);
  *channel = (TideRunChannel){ 0 };
}

void
tide_compared_run_place (TideComparedRun *self,
                         double shift_s,
                         double zero_s,
                         TideAlignment stands_on)
{
  self->placed = TRUE;
  self->shift_s = shift_s;
  self->zero_s = isnan (zero_s) ? (self->n > 0 ? self->t[0] : 0) : zero_s;
  self->stands_on = stands_on;
}

void
tide_compared_run_drop_place (TideComparedRun *self)
{
  self->placed = FALSE;
  tide_run_channel_clear (&self->channels[TIDE_QUANTITY_ENERGY]);
  drop_x (self);
  tide_compared_run_drop_difference (self);
}

gboolean
tide_compared_run_is_placed (TideComparedRun *self)
{
  return self->placed;
}

double
tide_compared_run_get_shift_s (TideComparedRun *self)
{
  return self->shift_s;
}

TideAlignment
tide_compared_run_get_stands_on (TideComparedRun *self)
{
  return self->stands_on;
}

gsize
tide_compared_run_get_n (TideComparedRun *self)
{
  return self->n;
}

const double *
tide_compared_run_get_x (TideComparedRun *self, TideAxis axis)
{
  g_assert (self->placed);

  if (self->x_ready && self->x_axis == axis)
    return self->x;
  drop_x (self);
  self->x_axis = axis;
  self->x_ready = TRUE;
  if (self->n == 0)
    return NULL;
  if (axis == TIDE_AXIS_TIME)
    self->x = make_time_axis (self);
  else if (axis == TIDE_AXIS_ENERGY)
    self->x = make_energy_axis (self, self->zero_s);
  else
    self->x = make_share_axis (self);
  return self->x;
}

double
tide_compared_run_find_x (TideComparedRun *self, TideAxis axis, double time_s)
{
  const double *x = tide_compared_run_get_x (self, axis);

  if (x == NULL || isnan (time_s))
    return NAN;
  return tide_interpolate (self->t, x, self->n, time_s);
}

const TideRunChannel *
tide_compared_run_get_channel (TideComparedRun *self, TideQuantity quantity)
{
  TideRunChannel *channel = &self->channels[quantity];

  if (!channel->ready)
    fill_channel (self, channel, quantity);
  return channel;
}

double
tide_compared_run_get_noise (TideComparedRun *self, TideQuantity quantity)
{
  TideRunChannel *channel = &self->channels[quantity];
  g_autofree double *residual = NULL;

  tide_compared_run_get_channel (self, quantity);
  if (channel->y == NULL || !isnan (channel->noise))
    return channel->y == NULL ? 0 : channel->noise;
  if (quantity == TIDE_QUANTITY_POWER)
    channel->noise = self->measurement->noise_w;
  else
    {
      residual = g_new (double, self->n);
      for (gsize i = 0; i < self->n; i++)
        residual[i] = channel->y[i] - channel->smoothed[i];
      channel->noise = tide_scaled_mad (residual, self->n);
    }
  if (isnan (channel->noise))
    channel->noise = 0;
  return channel->noise;
}
