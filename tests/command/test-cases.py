# SPDX-License-Identifier: GPL-3.0-or-later
"""Folders of cases: what is typed and what must come of it.

A case is a folder in cases/: `command` holds lines to run one after the other (`tide` first, words as a
shell would split them); `stdout` and `stderr` hold what the last one must print, a line a line,
where * stands for anything (no such file: nothing is printed); `exit` holds its status (no such
file: 0). Lines before the last must succeed. Every other file is copied into the case's scratch folder.
"""

import re
import shlex
import shutil

import harness

OURS = ('command', 'stdout', 'stderr', 'exit')


def read(folder, name, default=''):
    path = folder / name
    return path.read_text(encoding='utf-8') if path.exists() else default


def matches(text, pattern):
    return re.fullmatch(re.escape(pattern).replace(r'\*', '.*'), text) is not None


def assert_lines(what, got, expected, result):
    lines, patterns = got.splitlines(), expected.splitlines()
    assert len(lines) == len(patterns), \
        f'{what}: {len(lines)} lines, expected {len(patterns)}\n{result}\nexpected:\n{expected}'
    for line, pattern in zip(lines, patterns):
        assert matches(line, pattern), f'{what}: {line!r}, expected {pattern!r}\n{result}'


def copy_inputs(folder, scratch):
    for path in folder.iterdir():
        if path.name not in OURS:
            shutil.copy(path, scratch.folder)


def play(folder, scratch):
    copy_inputs(folder, scratch)
    lines = [shlex.split(line) for line in read(folder, 'command').splitlines()]
    assert lines and all(line[0] == 'tide' for line in lines), f'{folder}: no command'
    for line in lines[:-1]:
        scratch.tide(*line[1:])
    result = scratch.run(*lines[-1][1:])
    assert result.exit == int(read(folder, 'exit', '0')), result
    assert_lines('stdout', result.stdout, read(folder, 'stdout'), result)
    assert_lines('stderr', result.stderr, read(folder, 'stderr'), result)


def add(folder):
    def function(scratch):
        play(folder, scratch)
    harness.cases.append((folder.name, function))


for folder in sorted((harness.HERE / 'cases').iterdir()):
    add(folder)
raise SystemExit(harness.main())
