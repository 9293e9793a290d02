/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: the true curve of a simulation, in continuous time. */
#pragma once

#include "demo/demo.h"

/* The device draws power_w more from start_s to end_s. */
typedef struct { double start_s, end_s, power_w; } TideDemoEvent;

typedef struct {
  const TideSimulation *simulation;   /* borrowed */
  double draw_s, pause_s, plateau_s, taper_s, stop_s; /* when each part begins; stop: charging stops */
  double end_s;                       /* the log's last row */
  gsize n_rows;
  GArray *spikes, *loads;             /* TideDemoEvent, in order, apart */
} TideDemoCurve;

/* simulation must pass tide_simulation_check(). */
void   tide_demo_curve_init  (TideDemoCurve *curve, const TideSimulation *simulation);
void   tide_demo_curve_clear (TideDemoCurve *curve);

/* True power without the spikes, and with them. */
double tide_demo_curve_get_trend_w (const TideDemoCurve *curve, double t_s);
double tide_demo_curve_get_power_w (const TideDemoCurve *curve, double t_s);
/* Voltage behind the cable at which power_w flows at t_s. */
double tide_demo_curve_get_voltage_v (const TideDemoCurve *curve, double t_s, double power_w);

/* Energy (J) and charge (C) between two times. */
void   tide_demo_curve_integrate (const TideDemoCurve *curve, double from_s, double to_s, double *energy_j,
                                  double *charge_c);

/* truth.c */
void   tide_demo_curve_find_truth (const TideDemoCurve *curve, TideTruth *truth);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideDemoCurve, tide_demo_curve_clear)
