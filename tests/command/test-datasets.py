# SPDX-License-Identifier: GPL-3.0-or-later
"""Real logs. Reference values: each data set's reference.json, computed with scipy.integrate.trapezoid over the
phase's rows (SciPy 1.10.1); agreement asked for: 0.01 %."""

import json

import harness
from harness import case, datasets

AGREEMENT = 1e-4
# The relative part says nothing of a phase of a few seconds: five of the reference's last digits.
LAST_DIGITS = 5e-8


def reference(folder):
    return json.loads((folder / 'reference.json').read_text())


def agree(got, expected, what):
    harness.assert_close(got, expected, AGREEMENT * abs(expected) + LAST_DIGITS, what)


def check_charge_phases(scratch, folder, export):
    """Phases are given on the log's own clock; ours begins at the log's first sample."""
    told = reference(folder)
    phases = [phase for phase in told['step_phases'] if phase['kind'] == 'charge']
    assert phases
    scratch.tide('import', str(folder / export))
    for phase in phases:
        start = phase['t_start_s'] - told['file']['t_first_s']
        run = scratch.json('measure', '1', '--from', repr(start),
                           '--to', repr(start + phase['duration_s']))['runs'][0]
        what = f'rows {phase["first_row"]} to {phase["last_row"]}'
        agree(run['energy_wh']['value'], phase['energy_Wh'], f'{what}: energy')
        agree(run['charge_ah']['value'], phase['charge_Ah'], f'{what}: charge')


@case
def pouch_five_rates(scratch):
    check_charge_phases(scratch, datasets('pouch-five-rates'), 'run.csv')


@case
def cccv_many_cycles(scratch):
    check_charge_phases(scratch, datasets('cccv-many-cycles'), 'run.tsv')


@case
def pouch_same_run_two_dialects(scratch):
    folder = datasets('pouch-same-run-two-dialects')
    told = reference(folder)
    phase = [phase for phase in told['step_phases'] if phase['kind'] == 'charge'][1]
    stretch = ['--from', repr(phase['t_start_s']),
               '--to', repr(phase['t_start_s'] + phase['duration_s'])]
    runs = [scratch.json('measure', str(folder / name), *stretch)['runs'][0]
            for name in ('run-milliseconds.csv', 'run-seconds-tab.txt')]
    agree(runs[0]['energy_wh']['value'], phase['energy_Wh'], 'energy')
    for run in runs:
        for key in ('name', 'file', 'sha256', 'complaints'):
            del run[key]
    assert runs[0] == runs[1]


raise SystemExit(harness.main())
