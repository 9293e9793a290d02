# SPDX-License-Identifier: GPL-3.0-or-later
"""Wrong use: exit status 2, one line that says what is wrong and where help is, nothing printed or written."""

import fnmatch
import shlex

import harness

# What is typed, and what is said; * stands for anything.
TABLE = [
    ('compare ./a.csv ./b.csv --align middle', 'compare: --align: middle is none of begin, settle, log, fit (see *)'),
    ('compare ./a.csv', 'compare: a comparison needs two different runs or more (see *)'),
    ('compare a.csv ./a.csv --reference ././a.csv', 'compare: a comparison needs two different runs or more (see *)'),
    ('draw ./a.csv -o chart.gif', 'draw: -o: the name must end in .png, .svg or .pdf: chart.gif (see *)'),
    ('draw ./a.csv -o chart.svg --look pink', 'draw: --look: pink is none of light, dark (see *)'),
    ('draw ./a.csv', 'draw: say where to write: -o FILE (see *)'),
    ('draw ./a.csv -o chart.svg --size large', 'draw: --size: not of the form 1920x1080: large (see *)'),
    ('draw ./a.csv -o chart.svg --size 900x99999', 'draw: --size: a side must have 200 to 16384 pixels: 900x99999 (see *)'),
    ('draw ./a.csv -o chart.svg --size 100x900', 'draw: --size: a side must have 200 to 16384 pixels: 100x900 (see *)'),
    ('draw ./a.csv -o chart.svg --x week', 'draw: --x: week is none of time, energy, share (see *)'),
    ('draw ./a.csv -o chart.svg --y time', 'draw: --y: time is none of power, voltage, current, energy (see *)'),
    ("runs --library ''", 'runs: --library: the path is empty (see *)'),
    ("measure ''", 'measure: an empty word is no RUN (see *)'),
    ('measure ./log.csv --from=-5', 'measure: --from: not a number of seconds from 0 up: -5 (see *)'),
    ('measure ./log.csv --from soon', 'measure: --from: not a number of seconds from 0 up: soon (see *)'),
    ('import a.csv --ambient hot', 'import: Ambient: must be * (see *)'),
    ('import a.csv --date yesterday', 'import: Date: must be * (see *)'),
    ('import a.csv b.csv --name Both', 'import: --name names one run; import these files one by one (see *)'),
    ('import a.csv --decimal x', 'import: --decimal: * (see *)'),
    ('import a.csv --column volts', 'import: --column: * (see *)'),
    ('import a.csv --every soon', 'import: --every: * (see *)'),
    ('measure ./a.csv --time serial --header -1', 'measure: --header: * (see *)'),
    ('draw ./a.csv -o a.svg --broken maybe', 'draw: --broken: * (see *)'),
    ('import a.csv --remember Bench', 'import: --remember: say with other switches what is to be remembered (see *)'),
    ("import a.csv --every 1 --remember ''", 'import: --remember: not a name for a rule (see *)'),
    ('import a.csv --explain --replace', 'import: --explain imports nothing; leave --replace away (see *)'),
    ('import a.csv --explain --every 1 --remember Bench', 'import: --explain imports nothing; leave --remember away (see *)'),
    ('rules Bench', 'rules: unexpected word: Bench (see *)'),
    ('rules --rename Bench', 'rules: --rename NAME: say the new name behind it (see *)'),
    ('rules --show Bench --remove Bench', 'rules: --show and --remove: one at a time (see *)'),
    ('compare ./a.csv ./b.csv --margin wide', 'compare: --margin: not a number from 0 to 100: wide (see *)'),
    ('compare ./a.csv ./b.csv --margin 100.5', 'compare: --margin: not a number from 0 to 100: 100.5 (see *)'),
    ('measure --json', 'measure: name at least one RUN (see *)'),
    ('runs --library', 'runs: Missing argument for --library (see “tide runs --help”)'),
    ('', 'say what to do: import, follow, runs, rules, measure, compare, draw, demo (see “tide --help”)'),
    ('--json runs', '--json is none of *'),
    ('measure ./log.csv --from 30 --to 20', 'measure: --to must be later than --from (see *)'),
    ('measure ./log.csv --to 1,5', 'measure: --to: not a number of seconds from 0 up: 1,5 (see *)'),
    ('measure ./log.csv --to inf', 'measure: --to: not a number of seconds from 0 up: inf (see *)'),
    ("measure --meter 'V 0.1%' ./log.csv", 'measure: Unknown option --meter (see “tide measure --help”)'),
    ('weigh', 'weigh is none of import, follow, runs, rules, measure, compare, draw, demo (see “tide --help”)'),
    ('runs 3', 'runs: unexpected word: 3 (see *)'),
]


def add(words, line):
    def function(scratch):
        scratch.write('a.csv', harness.steady(60, 20, 1.5))
        scratch.write('b.csv', harness.steady(60, 20, 1.2))
        result = scratch.fails(*shlex.split(words), exit=2)
        said = result.stderr.removeprefix('tide: ').rstrip('\n')
        assert fnmatch.fnmatchcase(said, line), f'{said!r}, expected {line!r}'
        assert result.stdout == '', result
        left = sorted(path.name for path in scratch.folder.iterdir())
        assert left == ['a.csv', 'b.csv'], left
    harness.cases.append((words or 'nothing', function))


for words, line in TABLE:
    add(words, line)
raise SystemExit(harness.main())
