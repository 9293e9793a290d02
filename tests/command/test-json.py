# SPDX-License-Identifier: GPL-3.0-or-later
"""The JSON of schema 1: every key of the contract is there with its kind, no number is NaN, and what is
printed means the same by path as by number, in every locale."""

import shlex

import harness
from harness import case

NUMBER = (int, float, type(None))
TEXT = (str, type(None))
QUANTITY = {'value': NUMBER, 'uncertainty': NUMBER}
PLATEAU = {'level_w': QUANTITY, 'start_s': float, 'end_s': float, 'duration_s': float}
COMPLAINT = {'row': (int, type(None)), 'column': TEXT, 'text': str}


class Bool:
    """true or false."""


class Maybe:
    """null, or of that shape."""
    def __init__(self, shape):
        self.shape = shape


RUN = {
    'name': str, 'file': str, 'sha256': str, 'samples': int, 'skipped_rows': int,
    'duration_s': NUMBER, 'median_interval_s': NUMBER,
    'gaps': {'count': int, 'total_s': NUMBER},
    'energy_wh': QUANTITY, 'charge_ah': QUANTITY, 'mean_power_w': QUANTITY,
    'window_energy_wh': QUANTITY, 'window_charge_ah': QUANTITY, 'window_mean_power_w': QUANTITY,
    'peak_power_w': QUANTITY, 'sustained_peak_w': QUANTITY,
    'draw_begins_s': NUMBER, 'settles_s': NUMBER, 'charge_time_s': NUMBER,
    'plateau': Maybe(PLATEAU), 'plateaus': [PLATEAU], 'taper_s': NUMBER,
    'standing_draw_w': QUANTITY,
    'spikes': {'count': int, 'tallest_w': NUMBER, 'total_s': NUMBER, 'energy_wh': NUMBER},
    'milestones_s': {key: NUMBER for key in ('50', '80', '90', '95', '99', '100')},
    'counter': Maybe({'energy_wh': NUMBER, 'charge_ah': NUMBER, 'energy_difference_percent': NUMBER,
                      'charge_difference_percent': NUMBER}),
    'balance': type(None),
    'complaints': [COMPLAINT],
}
MEASURE = {'schema': int, 'runs': [RUN]}

FINDING = {
    'reference': NUMBER, 'value': NUMBER, 'difference': NUMBER, 'difference_percent': NUMBER,
    'low_percent': NUMBER, 'high_percent': NUMBER, 'margin_percent': NUMBER, 'verdict': str,
    'repeats_needed': NUMBER, 'reason': TEXT,
}
COMPARED = ('energy_wh', 'charge_ah', 'plateau_w', 'charge_time_s', 'standing_draw_w', 'mean_power_w')
PAIR = {
    'run': str, 'offset_s': NUMBER, 'over': str,
    'quantities': {key: FINDING for key in COMPARED},
    'curve': {key: NUMBER for key in ('mean_w', 'rms_w', 'largest_w', 'largest_at_s', 'overlap_percent')},
}
COMPARE = {'schema': int, 'reference': str, 'pairs': [PAIR]}


def check(value, shape, where='$'):
    if isinstance(shape, Maybe):
        if value is not None:
            check(value, shape.shape, where)
    elif isinstance(shape, Bool):
        assert isinstance(value, bool), f'{where}: {value!r}'
    elif isinstance(shape, dict):
        assert isinstance(value, dict), f'{where}: {value!r} is no object'
        for key, inner in shape.items():
            assert key in value, f'{where}: no {key}'
            check(value[key], inner, f'{where}.{key}')
    elif isinstance(shape, list):
        assert isinstance(value, list), f'{where}: {value!r} is no array'
        for index, inner in enumerate(value):
            check(inner, shape[0], f'{where}[{index}]')
    else:
        assert isinstance(value, shape) and not isinstance(value, bool), f'{where}: {value!r}'


def without(run, *keys):
    return {key: value for key, value in run.items() if key not in keys}


@case
def measure_of_a_whole_charge(scratch):
    scratch.write('charge.csv', harness.charge())
    got = scratch.json('measure', './charge.csv')
    check(got, MEASURE)
    run = got['runs'][0]
    assert got['schema'] == 1 and run['name'] == 'charge' and run['file'] == 'charge.csv', run
    # 40 W for an hour, a ramp from 40 W to 2 W in half an hour, 2 W for half an hour; the step up
    # from 0 W takes one interval of 2 s: trapezoids by hand.
    expected_wh = 40 * 3600 / 3600 + 40 * 2 / 2 / 3600 + (40 + 2) / 2 * 1800 / 3600 + 2 * 1800 / 3600
    harness.assert_close(run['energy_wh']['value'], expected_wh, 1e-6, 'energy')
    harness.assert_close(run['charge_ah']['value'], expected_wh / 20, 1e-7, 'charge')
    harness.assert_close(run['plateau']['level_w']['value'], 40, 0.4, 'plateau')
    harness.assert_close(run['draw_begins_s'], 60, 5, 'draw begins')
    harness.assert_close(run['settles_s'], 5460, 60, 'settles')
    harness.assert_close(run['standing_draw_w']['value'], 2, 0.02, 'standing draw')
    assert run['energy_wh']['uncertainty'] is None and run['counter'] is None, run


@case
def measure_of_a_log_that_ends_early(scratch):
    scratch.write('short.csv', harness.steady(600, 20, 2))
    got = scratch.json('measure', './short.csv')
    check(got, MEASURE)
    run = got['runs'][0]
    for key in ('settles_s', 'charge_time_s', 'taper_s'):
        assert run[key] is None, key
    assert run['window_energy_wh']['value'] is None and run['standing_draw_w']['value'] is None
    assert all(value is None for value in run['milestones_s'].values())
    assert run['unsettled_reason'] in [complaint['text'] for complaint in run['complaints']], run


@case
def measure_of_nothing_drawn(scratch):
    scratch.write('idle.csv', harness.steady(600, 20, 0))
    got = scratch.json('measure', './idle.csv')
    check(got, MEASURE)
    run = got['runs'][0]
    assert run['energy_wh']['value'] == 0 and run['plateau'] is None and run['draw_begins_s'] is None, run


@case
def measure_by_path_and_by_number(scratch):
    scratch.write('charge.csv', harness.charge())
    scratch.tide('import', 'charge.csv', '--name', 'Left port')
    by_path = scratch.json('measure', './charge.csv')['runs'][0]
    by_number = scratch.json('measure', '1')['runs'][0]
    by_name = scratch.json('measure', 'Left port')['runs'][0]
    assert without(by_path, 'name', 'number') == without(by_number, 'name', 'number')
    assert by_number == by_name and by_number['number'] == 1 and by_path['number'] is None


@case
def measure_of_a_stretch(scratch):
    scratch.write('charge.csv', harness.charge())
    run = scratch.json('measure', './charge.csv', '--from', '100', '--to', '1000.5')['runs'][0]
    harness.assert_close(run['energy_wh']['value'], 40 * 900.5 / 3600, 1e-9, 'energy')
    harness.assert_close(run['mean_power_w']['value'], 40, 1e-9, 'mean power')


@case
def compare_of_two_charges(scratch):
    scratch.write('a.csv', harness.charge(2.0))
    scratch.write('b.csv', harness.charge(1.8))
    scratch.tide('import', 'a.csv', 'b.csv')
    got = scratch.json('compare', '1', '2')
    check(got, COMPARE)
    assert got['reference'] == 'a' and [pair['run'] for pair in got['pairs']] == ['b'], got
    pair = got['pairs'][0]
    assert pair['over'] == 'window' and abs(pair['offset_s']) <= 5, pair
    energy = pair['quantities']['energy_wh']
    assert energy['margin_percent'] == 3 and energy['verdict'] in ('same', 'different', 'undecided')
    harness.assert_close(energy['difference'], energy['value'] - energy['reference'], 1e-9, 'difference')
    harness.assert_close(pair['quantities']['plateau_w']['difference_percent'], -10, 0.5, 'plateau')
    # 4 W less on the plateau, which is where most of the time goes.
    harness.assert_close(pair['curve']['largest_w'], -4, 0.1, 'largest difference')
    assert pair['curve']['mean_w'] < 0 < pair['curve']['rms_w'], pair


@case
def compare_never_pairs_the_reference(scratch):
    scratch.write('a.csv', harness.charge(2.0))
    scratch.write('b.csv', harness.charge(1.8))
    scratch.write('c.csv', harness.charge(1.6))
    scratch.tide('import', 'a.csv', 'b.csv', 'c.csv')
    for words in (['1', '2', '3', '--reference', '2'], ['1', '3', '--reference', '2'],
                  ['1', '3', '1', '--reference', 'b']):
        got = scratch.json('compare', *words)
        assert got['reference'] == 'b', got
        assert [pair['run'] for pair in got['pairs']] == ['a', 'c'], got


@case
def compare_without_a_shared_time(scratch):
    scratch.write('a.csv', harness.export((t, 20, 2) for t in range(0, 100, 10)))
    # No draw: begins and settles are no marks to align on, so that another way is taken and said.
    scratch.write('b.csv', harness.export((t, 20, 0) for t in range(0, 100, 10)))
    got = scratch.json('compare', './a.csv', './b.csv', '--align', 'settle')
    check(got, COMPARE)
    assert got['pairs'][0]['alignment_note'], got
    assert got['pairs'][0]['over'] == 'recording', got


@case
def compare_of_a_copy(scratch):
    text = harness.charge()
    scratch.write('a.csv', text)
    scratch.write('b.csv', text)
    for align in ('begin', 'settle', 'log', 'fit'):
        pair = scratch.json('compare', './a.csv', './b.csv', '--align', align)['pairs'][0]
        assert pair['offset_s'] == 0 and pair['curve']['rms_w'] == 0, (align, pair)
        assert pair['quantities']['energy_wh']['difference'] == 0, (align, pair)


@case
def numbers_too_large_for_plain_digits(scratch):
    scratch.write('strange "e1.0" \\.csv', 'Time (s),Power (W)\n0,1e22\n1,1e22\n2,3e300\n')
    run = scratch.json('measure', './strange "e1.0" \\.csv', '--column', 'w=2:W')['runs'][0]
    check(run, RUN)
    assert run['file'] == 'strange "e1.0" \\.csv', run
    assert run['sustained_peak_w']['value'] == 1e22 and run['peak_power_w']['value'] == 3e300, run


@case
def compare_margin(scratch):
    scratch.write('a.csv', harness.charge(2.0))
    scratch.write('b.csv', harness.charge(1.8))
    got = scratch.json('compare', './a.csv', './b.csv', '--margin', '7.5')
    assert got['pairs'][0]['quantities']['energy_wh']['margin_percent'] == 7.5, got
    got = scratch.json('compare', './a.csv', './b.csv', '--margin', '100')
    assert got['pairs'][0]['quantities']['energy_wh']['margin_percent'] == 100, got


@case
def import_and_runs(scratch):
    scratch.write('a.csv', harness.charge())
    scratch.write('bad.csv', '')
    result = scratch.run('import', 'a.csv', 'bad.csv', '--json', '--device', 'Survey tablet')
    assert result.exit == 1, result
    got = harness.parse_json(result.stdout)
    check(got, {'schema': int, 'library': str, 'imported': [{
        'number': int, 'name': str, 'conditions': dict, 'file': str, 'sha256': str, 'samples': int,
        'duration_s': NUMBER, 'energy_wh': NUMBER, 'complaints': [COMPLAINT]}],
        'failed': [{'file': str, 'error': str}]})
    assert [run['already_there'] for run in got['imported']] == [False], got
    assert [failed['file'] for failed in got['failed']] == ['bad.csv'], got
    assert scratch.json('import', 'a.csv')['imported'][0]['already_there'] is True
    runs = scratch.json('runs')
    check(runs, {'schema': int, 'library': str, 'runs': [{
        'number': int, 'name': str, 'conditions': dict, 'file': str, 'sha256': str, 'part': int,
        'added': str, 'samples': int, 'duration_s': NUMBER, 'energy_wh': NUMBER}]})
    assert len(runs['runs']) == 1 and runs['runs'][0]['conditions']['device'] == 'Survey tablet', runs


@case
def every_condition_has_a_switch(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    stated = {'name': 'Left port', 'device': 'Survey tablet', 'port': 'left', 'mode': 'docked',
              'supply': '60 W', 'cable': '1 m', 'meter': 'inline', 'ambient': '21.5',
              'date': '2024-05-06', 'notes': 'Größe „groß“'}
    words = [word for key, value in stated.items() for word in (f'--{key}', value)]
    # Not even a locale that knows no "ö" may lose what is stated.
    scratch.tide('import', 'a.csv', *words, env={'LC_ALL': 'C'})
    assert scratch.json('runs')['runs'][0]['conditions'] == stated


@case
def numbers_in_every_locale(scratch):
    scratch.write('charge.csv', harness.charge())
    harness.tool('localedef')
    made = scratch.folder / 'locales' / 'de_DE.UTF-8'
    made.parent.mkdir()
    import subprocess
    if subprocess.run(['localedef', '-i', 'de_DE', '-f', 'UTF-8', made], capture_output=True).returncode > 1:
        raise harness.Skip('no German locale can be made here')
    german = {'LOCPATH': str(made.parent), 'LC_ALL': 'de_DE.UTF-8', 'LANGUAGE': 'en'}
    for words in (['measure', './charge.csv', '--json', '--from', '10.5'], ['measure', './charge.csv']):
        assert scratch.tide(*words, env=german).stdout == scratch.tide(*words).stdout


COLUMN = {'number': int, 'name': str, 'role': str, 'quantity': TEXT, 'unit': TEXT, 'unit_named': Bool(), 'lane': (int, type(None))}
QUESTION = {
    'text': str, 'row': (int, type(None)), 'column': TEXT, 'open': Bool(),
    'answers': [{'key': str, 'text': str, 'switch': str, 'meaning': str}],
}
TABLE = {
    'member': TEXT, 'encoding': str, 'delimiter': str, 'decimal_mark': TEXT, 'group_mark': TEXT,
    'header_row': (int, type(None)), 'units_row': (int, type(None)), 'first_row': int, 'time': str,
    'sure': Bool(), 'signature': str, 'columns': [COLUMN], 'lanes': [{'label': TEXT}],
    'complaints': [COMPLAINT], 'questions': [QUESTION],
}
EXPLAIN = {'schema': int, 'files': [{'file': str, 'rule': TEXT, 'tables': [TABLE]}],
           'failed': [{'file': str, 'error': str}]}
RULES = {'schema': int, 'library': str,
         'rules': [{'number': int, 'name': str, 'saved': str, 'signature': str, 'switches': str, 'text': str}]}


def dated():
    """Dates whose day and month can be either, in a German export."""
    return 'Zeit;Spannung (mV);Strom (A)\n' + ''.join(
        f'03/04/2026 10:00:{second:02d};20000,0;1,5\n' for second in range(0, 60, 5))


@case
def explain_of_an_open_file(scratch):
    scratch.write('log.csv', dated())
    scratch.write('prose.csv', 'Dear reader\n')
    got = harness.parse_json(scratch.run('import', '--explain', '--json', 'log.csv', 'prose.csv').stdout)
    check(got, EXPLAIN)
    assert [entry['file'] for entry in got['failed']] == ['prose.csv'], got
    table = got['files'][0]['tables'][0]
    assert (table['delimiter'], table['decimal_mark'], table['sure']) == (';', ',', False), table
    assert [column['role'] for column in table['columns']] == ['time', 'value', 'value'], table
    voltage = table['columns'][1]
    assert (voltage['number'], voltage['quantity'], voltage['unit'], voltage['unit_named'], voltage['lane']) \
        == (2, 'voltage', 'mV', True, 1), voltage
    questions = [question for question in table['questions'] if question['open']]
    assert len(questions) == 1 and len(questions[0]['answers']) == 2, table
    # Each answer, as a shell takes it, gives the date it promises.
    for answer, month in zip(questions[0]['answers'], ('04', '03')):
        run = scratch.json('import', 'log.csv', *shlex.split(answer['switch']),
                           '--library', f'{month}.db')['imported'][0]
        assert run['conditions']['date'].startswith(f'2026-{month}'), (answer, run)


@case
def rules_from_library_to_library(scratch):
    scratch.write('log.csv', dated())
    switches = ['--time', '%d/%m/%Y %H:%M:%S', '--column', 'a=Strom (A):mA', '--decimal', ',']
    scratch.tide('import', 'log.csv', *switches, '--remember', 'Bench, left')
    got = scratch.json('rules')
    check(got, RULES)
    rule = got['rules'][0]
    said = shlex.split(rule['switches'])
    assert sorted(zip(said[::2], said[1::2])) == sorted(zip(switches[::2], switches[1::2])), rule
    scratch.write('taken.rule', scratch.tide('rules', '--show', 'Bench, left').stdout)
    added = scratch.json('rules', '--add', 'taken.rule', '--library', 'other.db')
    check(added, RULES)
    for key in ('name', 'signature', 'text', 'switches'):
        assert added['rules'][0][key] == rule[key], (key, added)
    explained = scratch.json('import', '--explain', 'log.csv', '--library', 'other.db')
    assert explained['files'][0]['rule'] == 'Bench, left', explained
    run = scratch.json('import', 'log.csv', '--library', 'other.db')['imported'][0]
    harness.assert_close(run['energy_wh'], 20 * 1.5e-3 * 55 / 3600, 1e-9, 'energy by the rule, in mA')
    assert scratch.json('rules', '--remove', 'Bench, left')['rules'][0]['name'] == 'Bench, left'
    assert scratch.json('rules')['rules'] == []


raise SystemExit(harness.main())
