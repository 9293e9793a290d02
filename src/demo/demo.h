/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The demo: simulated charges of an invented handheld survey tablet, with the truth beside them.
 *
 * A small simulator turns a scenario (data/demo/survey-tablet.ini, built in) into exports as a
 * meter would write them: constant power, then a taper at constant voltage, the device's own
 * draw, spikes, the meter's noise and quantisation. Everything random comes from the scenario's
 * seeds, so the same scenario gives the same bytes. The truth is what the simulator knew before
 * noise, spikes of the meter and rounding were added. Tests and the demo library use it; nothing
 * else does.
 */
#pragma once

#include <gio/gio.h>

#include "recording/conditions.h"

/* What is simulated; all times in s, powers in W. */
typedef struct {
  guint32 seed;
  double interval_s;        /* of the log */
  double lead_s;            /* logged before the device draws */
  double idle_w;            /* before that */
  double plateau_w;         /* at the port, while charging at constant power */
  double plateau_s;         /* how long */
  double taper_tau_s;       /* time constant of the taper */
  double taper_end_share;   /* taper power at which charging stops, share of its start */
  double standing_w;        /* drawn by the device all along (and alone after settling) */
  double tail_s;            /* logged after settling; < 0: the log ends that long before settling */
  double voltage_v;         /* of the supply, unloaded */
  double cable_ohm;
  double spike_every_s;     /* mean; 0: none */
  double spike_w, spike_s;
  double noise_share;       /* of the reading, on power */
  double step_v, step_a;    /* the meter's resolution; 0: none */
} TideSimulation;

/* What was really there. NaN where the log ends before. */
typedef struct {
  double energy_wh, charge_ah;  /* over the log */
  double window_energy_wh;
  double draw_begins_s, settles_s;
  double plateau_w, plateau_start_s, plateau_end_s; /* end: true power leaves ±5 % of the level */
  double standing_w;
  guint spikes;
} TideTruth;

typedef struct {
  char *file;                   /* suggested base name of the export */
  TideConditions *conditions;
  TideSimulation simulation;
} TideDemoRun;

/* GPtrArray of TideDemoRun: the built-in scenario. */
GPtrArray *tide_demo_runs (void);
/* The export as a meter would write it (UTF-8 CSV), and the truth. Transfer full. */
GBytes    *tide_simulate  (const TideSimulation *simulation, const char *title, TideTruth *truth);
/* The truth of all the built-in runs as JSON text, keys as in `tide measure --json`. Transfer full. */
char      *tide_demo_truth_to_json (void);
