/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Charges without noise whose marks are known, and a witness of what a comparison announces. */
#pragma once

#include <math.h>

#include "comparison/comparison.h"

/* lead_s at idle, then plateau_w for plateau_s, then tail_s at standing_w; one sample a second,
 * 20 V. */
typedef struct {
  double lead_s, plateau_w, plateau_s, tail_s, standing_w;
  gboolean power_only;
} Charge;

/* Settled: draw begins at 60 s, settles at 1860 s; at 200 s and 2600 s; at 100 s and 1900 s. */
extern const Charge charge_a, charge_b, charge_c;
/* Never settles; never draws. */
extern const Charge charge_unsettled, charge_idle;

#define IDLE_W 0.02
#define SUPPLY_V 20.0

/* Power of the charge at a time. */
double charge_power_w (const Charge *charge, double t_s);
/* Energy drawn between two times, as trapezoids over whole seconds see it. */
double charge_energy_wh (const Charge *charge, double from_s, double to_s);

/* From columns of n values; any of voltage, current may be NULL. Transfer full. */
TideRecording *make_recording (gsize n, const double *t, const double *power, const double *voltage,
                               const double *current, const char *file);
TideRecording *make_charge (const Charge *charge);
/* Adds a charge under a name; its slot is the next free one. */
void add_charge (TideComparison *comparison, gint64 id, const char *name, const Charge *charge);
/* Conditions with name and device. Transfer full. */
TideConditions *make_conditions (const char *name, const char *device);

/* Writes down "items-changed", "notify" and "changed" in their order: "+0:0:1", "reference", "!". */
typedef struct _Witness Witness;
Witness *witness_new (TideComparison *comparison);
/* What was heard since the last time, separated by spaces. Transfer full. */
char    *witness_take (Witness *witness);
void     witness_free (Witness *witness);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (Witness, witness_free)

#define assert_heard(witness, text) \
  G_STMT_START { g_autofree char *heard_ = witness_take (witness); g_assert_cmpstr (heard_, ==, text); } G_STMT_END
