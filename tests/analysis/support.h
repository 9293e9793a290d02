/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of analysis share: recordings from plain columns, a simulated charge whose truth
 * is known, and closeness of numbers.
 */
#pragma once

#include <math.h>

#include "recording/recording.h"

/* A recording of n samples; voltage, current, energy and charge may be NULL. */
TideRecording *support_make_recording (gsize n, const double *t, const double *power, const double *voltage,
                                       const double *current, const double *energy, const double *charge);

/* A charge: nothing until begins_s, plateau_w until plateau_ends_s, then falling with tau_s until cut_w,
 * then standing_w up to end_s. Logged every interval_s. */
typedef struct
{
  double begins_s, plateau_w, plateau_ends_s, tau_s, cut_w, standing_w, end_s;
  double interval_s;
  double noise;        /* standard deviation as a share of true power */
  double quantum_w;    /* power is rounded to this; 0: not */
  guint n_spikes;      /* 4 s each, 40 to 50 % above, scattered over the plateau */
  double top_up_w;     /* pulses of 40 s every 900 s after settling; 0: none */
  double gap_at_s, gap_s; /* samples missing; 0: none */
  guint32 seed;
} SupportCharge;

extern const SupportCharge support_charge;

double support_charge_settles_s     (const SupportCharge *charge);
/* Where true power leaves the ±5 % band of the plateau. */
double support_charge_leaves_band_s (const SupportCharge *charge);
double support_charge_power_w       (const SupportCharge *charge, double t);
/* Its log. */
TideRecording *support_charge_log   (const SupportCharge *charge);

/* A normal deviate of standard deviation 1. */
double support_normal (GRand *rand);

#define support_assert_near(a, b, tolerance) \
  G_STMT_START { \
    double near_a = (a), near_b = (b), near_within = (tolerance); \
    if (!(fabs (near_a - near_b) <= near_within)) \
      { \
        g_autofree char *near_text = g_strdup_printf ("%s:%d: %s = %.17g, expected %.17g within %g", \
                                                      __FILE__, __LINE__, #a, near_a, near_b, near_within); \
        g_assertion_message (G_LOG_DOMAIN, __FILE__, __LINE__, G_STRFUNC, near_text); \
      } \
  } G_STMT_END
