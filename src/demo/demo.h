/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The demo: simulated charges of an invented handheld survey tablet, with the truth beside them.
 *
 * A small simulator turns a scenario (data/demo/survey-tablet.ini, built in) into exports as a
 * meter would write them: constant power, then a taper at constant voltage, the device's own
 * draw, spikes, the meter's noise and quantisation. Everything random comes from the scenario's
 * seeds, so the same scenario gives the same bytes. The truth is what the simulator knew before
 * the meter's noise and rounding were added: marks by the definitions of the help page "Methods",
 * found on the true curve, and integrals of what was really drawn, spikes and all.
 *
 * The time line, each part following the one before:
 *   lead      idle_w at idle_v
 *   first     first_w at first_v, where first_s > 0: what was agreed at first
 *   pause     idle_w for pause_s: the supply is asked for something else
 *   plateau   plateau_w for plateau_s
 *   taper     standing_w and a charging power that falls with taper_tau_s, until charging stops
 *   tail      standing_w
 */
#pragma once

#include <gio/gio.h>

#include "recording/conditions.h"

/* How the export is written. */
typedef enum {
  TIDE_DIALECT_PLAIN,     /* commas, seconds, V, A, W and a Wh counter */
  TIDE_DIALECT_SEMICOLON, /* semicolons and decimal commas */
  TIDE_DIALECT_CLOCK,     /* tabs, elapsed time as HH:MM:SS */
  TIDE_DIALECT_MILLI,     /* commas, ms, mV and mA and a mAh counter; no power */
  TIDE_N_DIALECTS
} TideDialect;

/* What is simulated; all times in s, powers in W. */
typedef struct {
  guint32 seed;
  TideDialect dialect;
  double interval_s;        /* of the log; whole ms, for CLOCK whole s */
  double lead_s;            /* logged before the device draws */
  double idle_w;            /* before that */
  double idle_v;            /* of the supply before that; 0: voltage_v */
  double first_s, first_w, first_v; /* first_s 0: there is no first stage */
  double pause_s;           /* between first stage and plateau */
  double plateau_w;         /* at the port, while charging at constant power, standing draw included */
  double plateau_s;         /* how long */
  double taper_tau_s;       /* time constant of the taper */
  double taper_end_share;   /* charging power at which charging stops, share of its start */
  double standing_w;        /* drawn by the device all along (and alone after settling) */
  double tail_s;            /* logged after charging stops; < 0: the log ends that long before */
  double voltage_v;         /* of the supply, unloaded */
  double cable_ohm;
  double spike_every_s;     /* mean; 0: none; at least 120 */
  double spike_w, spike_s;  /* the highest; each is half of it at least. Below 30 s */
  double load_every_s;      /* the device in use: now and then it draws more. Mean; 0: never */
  double load_w, load_s;    /* how much, and how long on average; at least 60 s */
  double ripple_share, ripple_s; /* slow swing of the charging power, and its period */
  double noise_share;       /* of the reading, on current; a tenth of it on voltage */
  double step_v, step_a;    /* the meter's resolution; 0: none, numbers are written with 9 decimals */
} TideSimulation;

/* Whether a simulation can be run: finite, within bounds, at most 2 million rows. */
gboolean tide_simulation_check (const TideSimulation *simulation, GError **error);

/* What was really there. NaN where the log ends before. */
typedef struct {
  double energy_wh, charge_ah;  /* over the log, from its first to its last row */
  double window_energy_wh;
  double draw_begins_s, settles_s;
  double plateau_w, plateau_start_s, plateau_end_s; /* end: true power leaves ±5 % of the level */
  double standing_w;
  guint spikes;
} TideTruth;

/* The export as a meter would write it (UTF-8), and the truth, which may be NULL. The simulation
 * must pass the check above. Transfer full. */
GBytes *tide_simulate (const TideSimulation *simulation, const char *title, TideTruth *truth);

typedef struct {
  char *file;                   /* suggested base name of the export */
  TideConditions *conditions;
  TideSimulation simulation;
} TideDemoRun;

void       tide_demo_run_free   (TideDemoRun *run);
/* GPtrArray of TideDemoRun: the built-in scenario. Transfer full. */
GPtrArray *tide_demo_runs       (void);
/* The runs of a scenario: a key file whose group "common" holds what the other groups, one a run,
 * do not state themselves. Keys are the fields above and the ids of conditions; none else may
 * stand there. Errors: TIDE_DEMO_ERROR, with group and key. */
GPtrArray *tide_demo_parse      (const char *text, gsize length, GError **error);
/* The truth of all the built-in runs as JSON text, keys as in `tide measure --json`. Transfer full. */
char      *tide_demo_truth_to_json (void);

typedef enum {
  TIDE_DEMO_ERROR_SCENARIO,   /* the scenario's text is wrong */
  TIDE_DEMO_ERROR_SIMULATION, /* a simulation is out of bounds */
} TideDemoError;

#define TIDE_DEMO_ERROR (tide_demo_error_quark ())
GQuark tide_demo_error_quark (void);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideDemoRun, tide_demo_run_free)
