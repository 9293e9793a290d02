# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo against what was simulated: the tolerances are those of the project's method notes for runs
to 0.5 % noise (help page "Methods", Phases)."""

import json
import re

import harness
from harness import case, assert_close


def make_demo(scratch):
    scratch.tide('demo', '--exports', 'exports')
    truth = json.loads((scratch.folder / 'exports' / 'truth.json').read_text())
    return {run['file']: run for run in truth['runs']}


def figure(run, key):
    value = run.get(key)
    return value['value'] if isinstance(value, dict) else value


def check_run(run, truth):
    step = run['median_interval_s']
    name = run['name']
    assert_close(figure(run, 'energy_wh'), figure(truth, 'energy_wh'),
                 0.005 * figure(truth, 'energy_wh'), f'{name}: energy')
    assert_close(run['draw_begins_s'], truth['draw_begins_s'], max(5, 2 * step), f'{name}: draw begins')
    plateau = truth['plateau']
    level = figure(plateau, 'level_w')
    assert_close(figure(run['plateau'], 'level_w'), level, 0.01 * level, f'{name}: plateau level')
    settled = truth['settles_s'] is not None
    charge_time = (truth['settles_s'] if settled else truth['plateau']['end_s']) - truth['draw_begins_s']
    mark = max(60, 0.015 * charge_time, 2 * step)
    assert_close(run['plateau']['end_s'], plateau['end_s'], mark, f'{name}: plateau end')
    if not settled:
        assert run['settles_s'] is None and figure(run, 'standing_draw_w') is None, run
        return
    assert_close(run['settles_s'], truth['settles_s'], mark, f'{name}: settles')
    assert_close(figure(run, 'standing_draw_w'), figure(truth, 'standing_draw_w'), 0.02,
                 f'{name}: standing draw')


@case
def measured_as_simulated(scratch):
    truths = make_demo(scratch)
    assert len(truths) >= 3, truths.keys()
    numbers = [str(run['number']) for run in scratch.json('runs')['runs']]
    runs = scratch.json('measure', *numbers)['runs']
    assert sorted(run['file'] for run in runs) == sorted(truths), runs
    for run in runs:
        check_run(run, truths[run['file']])


@case
def exports_are_what_was_imported(scratch):
    truths = make_demo(scratch)
    by_number = {run['sha256']: run for run in scratch.json('runs')['runs']}
    for name in truths:
        run = scratch.json('measure', f'./exports/{name}')['runs'][0]
        assert run['sha256'] in by_number, name
        again = scratch.tide('import', f'exports/{name}').stdout
        assert 'is in the library already' in again, again


@case
def twice_is_once(scratch):
    first = scratch.tide('demo').stdout
    runs = scratch.json('runs')['runs']
    second = scratch.tide('demo').stdout
    assert scratch.json('runs')['runs'] == runs
    assert len(first.splitlines()) == len(second.splitlines()) == len(runs)
    assert all('is in the library already' in line for line in second.splitlines()), second


@case
def json_has_truth_and_numbers(scratch):
    got = scratch.json('demo', '--library', 'demo.db')
    assert got['schema'] == 1 and got['library'] == 'demo.db'
    assert {run['file'] for run in got['imported']} == {run['file'] for run in got['truth']['runs']}
    assert all(run['number'] > 0 for run in got['imported'])


@case
def every_run_is_marked_as_simulated(scratch):
    scratch.tide('demo')
    for run in scratch.json('runs')['runs']:
        assert 'imulated' in run['conditions']['notes'], run


def label_and_cells(text):
    """The lines of a table, split where two columns part."""
    return [re.split(r' {2,}', line.strip()) for line in text.splitlines()]


@case
def compared_in_words(scratch):
    scratch.tide('demo')
    text = scratch.tide('compare', 'Left port', 'Base port').stdout
    assert text.startswith('Base port against Left port, from draw begins until settled\n'), text
    got = scratch.json('compare', 'Left port', 'Base port')['pairs'][0]['quantities']['energy_wh']
    energy = next(cells for cells in label_and_cells(text) if cells[0] == 'Energy')
    assert energy[1:3] == [f'{got["reference"]:.2f} Wh', f'{got["value"]:.2f} Wh'], energy
    assert energy[5].split()[1] == got['verdict'], energy


@case
def compared_in_words_where_one_log_ends_early(scratch):
    scratch.tide('demo')
    text = scratch.tide('compare', 'Left port', 'Early stop', '--align', 'settle').stdout
    assert text.startswith('Early stop against Left port, over the whole recordings\n'), text
    assert 'stands on draw begins instead' in text, text
    assert 'Charge time, Standing draw: log ends before the draw settles' in text, text


@case
def measured_in_words(scratch):
    scratch.tide('demo')
    runs = scratch.json('runs')['runs']
    assert len(runs) > 4, 'too few for a second table'
    numbers = [str(run['number']) for run in runs]
    lines = label_and_cells(scratch.tide('measure', *numbers).stdout)
    energies = [cell for cells in lines if cells[0] == 'Energy' for cell in cells[2:]]
    assert energies == [f'{run["energy_wh"]:.2f}' for run in runs], energies


@case
def exports_where_none_can_be_written(scratch):
    scratch.write('file', '')
    scratch.fails('demo', '--exports', 'file/exports')
    (scratch.folder / 'taken' / 'truth.json').mkdir(parents=True)
    scratch.fails('demo', '--exports', 'taken')


raise SystemExit(harness.main())
