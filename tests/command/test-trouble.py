# SPDX-License-Identifier: GPL-3.0-or-later
"""Surroundings that turn against us: full disks, libraries of others, closed streams, hostile names.
Whatever happens, one line says so and what was there stays whole."""

import os
import pathlib
import shlex
import sqlite3
import subprocess

import harness
from harness import case

# Enough samples that no part of an import fits a few pages.
LONG = 200_000


def noisy(n):
    """A log that does not compress to nothing."""
    state = 1
    rows = []
    for k in range(n):
        state = state * 1103515245 + 12345 & 0x7fffffff
        rows.append((k, 20 + state % 1000 / 1e4, 1 + state // 1000 % 1000 / 1e4))
    return harness.export(rows)


def names(scratch):
    return [run['name'] for run in scratch.json('runs')['runs']]


@case
def disk_full_while_importing(scratch):
    """A limit on file sizes stands in for the disk: writes beyond it fail the same way."""
    scratch.write('first.csv', harness.steady(60, 20, 1))
    scratch.write('long.csv', noisy(LONG))
    scratch.tide('import', 'first.csv')
    before = scratch.library.stat().st_size
    limit = before // 512 + 100  # ulimit counts 512-byte blocks in sh
    script = f'trap "" XFSZ; ulimit -f {limit}; exec {shlex.quote(harness.TIDE)} import long.csv'
    result = scratch.fails(program=('sh', '-c', script))
    assert 'full' in result.stderr or 'large' in result.stderr, result
    assert names(scratch) == ['first']
    check = sqlite3.connect(scratch.library).execute('PRAGMA integrity_check').fetchone()
    assert check == ('ok',), check
    scratch.tide('import', 'long.csv')
    assert names(scratch) == ['first', 'long']


@case
def disk_full_under_stdout(scratch):
    if not pathlib.Path('/dev/full').exists():
        raise harness.Skip('no /dev/full here')
    scratch.write('a.csv', harness.steady(60, 20, 1))
    for words in (['--help'], ['measure', '--help'], ['measure', './a.csv'], ['measure', './a.csv', '--json']):
        with open('/dev/full', 'w') as full:
            result = scratch.run(*words, stdout=full)
        assert result.exit == 1 and 'could not be written' in result.stderr, result


@case
def closed_stdout(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    script = f'exec {shlex.quote(harness.TIDE)} draw ./a.csv -o a.svg >&-'
    result = scratch.fails(program=('sh', '-c', script))
    assert 'could not be written' in result.stderr, result
    # And nothing that was meant for it went into the picture.
    assert (scratch.folder / 'a.svg').read_text().rstrip().endswith('</svg>')


@case
def all_streams_closed(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    script = f'exec {shlex.quote(harness.TIDE)} import a.csv <&- >&- 2>&-'
    result = scratch.run(program=('sh', '-c', script))
    assert result.exit == 1, result
    assert names(scratch) == ['a']


@case
def reader_that_left(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    script = f'trap "" PIPE; {shlex.quote(harness.TIDE)} measure ./a.csv --json; echo $? >&2'
    read_end, write_end = os.pipe()
    os.close(read_end)
    done = subprocess.run(['sh', '-c', script], cwd=scratch.folder, env=scratch.environment({}),
                          stdout=write_end, stderr=subprocess.PIPE, text=True)
    os.close(write_end)
    assert done.stderr.splitlines()[-1] == '1' and 'could not be written' in done.stderr, done.stderr


@case
def library_of_a_newer_version(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    scratch.tide('import', 'a.csv')
    with sqlite3.connect(scratch.library) as library:
        library.execute('PRAGMA user_version = 9999')
    library.close()
    before = scratch.library.read_bytes()
    for words in (['runs'], ['import', 'a.csv'], ['measure', '1'], ['demo']):
        result = scratch.fails(*words)
        assert 'newer' in result.stderr, result
    assert scratch.library.read_bytes() == before
    # An export needs no library.
    scratch.tide('measure', './a.csv')


@case
def library_of_another_program(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    with sqlite3.connect(scratch.path('other.db')) as other:
        other.execute('CREATE TABLE letter (text)')
    other.close()
    before = (scratch.folder / 'other.db').read_bytes()
    for words in (['runs'], ['import', 'a.csv'], ['demo']):
        scratch.fails(*words, '--library', 'other.db')
    assert (scratch.folder / 'other.db').read_bytes() == before


@case
def library_that_is_a_folder(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    (scratch.folder / 'folder').mkdir()
    for words in (['runs'], ['import', 'a.csv'], ['measure', 'a']):
        scratch.fails(*words, '--library', 'folder')


@case
def reading_verbs_make_no_library(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    scratch.tide('measure', 'a.csv')
    scratch.tide('draw', 'a.csv', '-o', 'a.svg')
    scratch.fails('measure', '1')
    scratch.fails('measure', 'a')
    assert not (scratch.folder / 'data').exists()


@case
def names_that_would_steer_a_terminal(scratch):
    evil = 'a\x1b[31m\x07\n\u202e.csv'
    scratch.write('bad\x1b[2J.csv', '')
    scratch.write(evil, harness.steady(60, 20, 1))
    result = scratch.fails('measure', './bad\x1b[2J.csv')
    assert '\x1b' not in result.stderr, result
    for words in (['import', evil], ['runs'], ['measure', '1'], ['draw', '1', '-o', 'a\x1b.svg']):
        result = scratch.tide(*words)
        assert '\x1b' not in result.stdout and '\x07' not in result.stdout, result
        assert '\x1b' not in result.stderr, result


@case
def names_that_are_no_utf8(scratch):
    name = os.fsencode(scratch.folder) + b'/caf\xe9.csv'
    pathlib.Path(os.fsdecode(name)).write_text(harness.steady(60, 20, 1))
    word = os.fsdecode(b'./caf\xe9.csv')
    assert scratch.json('measure', word)['runs'][0]['samples'] == 61
    scratch.tide('import', word)
    assert len(scratch.json('runs')['runs']) == 1
    result = scratch.fails('import', './nothing.csv', '--device', os.fsdecode(b'caf\xe9'), exit=2)
    assert 'UTF-8' in result.stderr, result


@case
def library_of_no_runs(scratch):
    scratch.write('bad.csv', '')
    scratch.fails('import', 'bad.csv')
    result = scratch.tide('runs')
    assert result.stdout == '' and 'holds no runs' in result.stderr, result
    assert scratch.json('runs')['runs'] == []


@case
def more_remarks_than_a_reader_wants(scratch):
    rows = harness.steady(300, 20, 1).splitlines()
    for k in range(10, 300, 20):
        rows[k] = f'{k},?,1'
    scratch.write('a.csv', '\n'.join(rows))
    run = scratch.json('measure', './a.csv')['runs'][0]
    assert run['skipped_rows'] == 15, run
    remarks = [line for line in scratch.tide('measure', './a.csv').stdout.splitlines()
               if line.startswith('a: ')]
    more = len(run['complaints']) - 5
    assert len(remarks) == 6 and remarks[-1] == f'a: {more} more remarks; --json tells all', remarks
    assert len(scratch.run('import', 'a.csv').stderr.splitlines()) == 1


@case
def two_imports_at_once(scratch):
    words = [[harness.TIDE, 'import', scratch.write(f'{k}.csv', noisy(2000 + k))] for k in range(4)]
    running = [subprocess.Popen(word, cwd=scratch.folder, env=scratch.environment({}),
                                stdout=subprocess.DEVNULL) for word in words]
    assert [process.wait(timeout=harness.TIMEOUT_S) for process in running] == [0] * len(words)
    assert sorted(names(scratch)) == ['0', '1', '2', '3']


@case
def a_great_many_words(scratch):
    scratch.write('a.csv', harness.steady(60, 20, 1))
    got = scratch.json('measure', *['./a.csv'] * 300)
    assert len(got['runs']) == 300


raise SystemExit(harness.main())
