# SPDX-License-Identifier: GPL-3.0-or-later
"""A log that is written while `tide follow` reads it: what is told, and every way to end."""

import json
import os
import signal
import subprocess
import time

import harness


class Following:
    """A running `tide follow`; lines are read at the end."""

    def __init__(self, scratch, *args):
        self.words = ['follow', *args]
        self.process = subprocess.Popen([harness.TIDE, *self.words], cwd=scratch.folder,
                                        env=scratch.environment({}), stdin=subprocess.DEVNULL, text=True,
                                        stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding='utf-8')

    def first_line(self):
        return self.process.stdout.readline()

    def end(self, exit):
        out, err = self.process.communicate(timeout=harness.TIMEOUT_S)
        assert self.process.returncode == exit, (self.words, self.process.returncode, out, err)
        return out, err

    def is_running(self):
        return self.process.poll() is None


def export(scratch):
    """The demo's first log: its bytes, and what `tide measure` says of it."""
    scratch.tide('demo', '--exports', scratch.path('exports'))
    path = scratch.folder / 'exports' / 'survey-tablet-left-port.csv'
    measured = json.loads(scratch.tide('measure', str(path), '--json').stdout)['runs'][0]
    return path.read_bytes(), measured


def cut_at(log, seconds):
    """As much of the log as was written up to a time, and half a row."""
    at = log.index(b'\n%d.' % seconds) if b'\n%d.' % seconds in log else log.index(b'\n%d,' % seconds)
    return log[:at + 4]


def append(path, data):
    with open(path, 'ab') as file:
        file.write(data)


@harness.case
def until_it_settles(scratch):
    log, measured = export(scratch)
    path = scratch.path('live.csv')
    open(path, 'wb').close()
    following = Following(scratch, path, '--json', '--interval', '1')
    told = [json.loads(following.first_line())]
    assert told[0]['state'] == 'waiting' and told[0]['power_w'] is None and 'empty' in told[0]['reason'], told
    written = 0
    for seconds in (30, 600, 3000, 6000, 7500, 8600, int(measured['settles_s']) + 120):
        piece = cut_at(log, seconds)
        append(path, piece[written:])
        written = len(piece)
        while True:     # until it was seen
            told.append(json.loads(following.first_line()))
            if (told[-1]['duration_s'] or 0) >= seconds - 2:
                break
    append(path, log[written:])
    out, err = following.end(0)
    told += [json.loads(line) for line in out.splitlines()]
    assert err == '', err

    states = [line['state'] for line in told]
    order = ['waiting', 'steady', 'tapering', 'resting', 'settled']
    assert sorted(set(states), key=order.index) == order, states
    assert states == sorted(states, key=order.index), states
    for line in told:
        assert line['schema'] == 1 and line['file'] == 'live.csv'
        if line['state'] == 'steady':
            assert line['settles_s'] is None and line['reason'], line
        if line['state'] == 'tapering' and line['duration_s'] > 7000:
            assert line['settles_earliest_s'] <= measured['settles_s'] <= line['settles_latest_s'], line
            assert abs(line['settles_in_s'] - (line['settles_s'] - line['duration_s'])) < 1e-6, line
    last = told[-1]
    assert last['settles_s'] == measured['settles_s'], (last, measured['settles_s'])


@harness.case
def words_for_people(scratch):
    log, measured = export(scratch)
    path = scratch.write('live.csv', cut_at(log, 7500))
    following = Following(scratch, path, '--until', '7600')
    first = following.first_line()
    assert ' 2:0' in first and ' W ' in first and ' Wh ' in first, first
    assert 'tapering, settles in about ' in first and ' to ' in first, first
    append(path, cut_at(log, 8000)[len(cut_at(log, 7500)):])
    out, err = following.end(0)
    assert out.splitlines()[-1].startswith(' 2:13:'), out
    assert err == ''
    settled = scratch.tide('follow', str(scratch.folder / 'exports' / 'survey-tablet-left-port.csv'))
    assert measured['charge_time_s'] // 60 == 148 and settled.stdout.count('\n') == 1, settled
    assert 'settled; the charge took 2 h 29 min' in settled.stdout, settled


@harness.case
def interrupted(scratch):
    log, _ = export(scratch)
    for number in (signal.SIGINT, signal.SIGTERM):
        path = scratch.write('live.csv', cut_at(log, 3000))
        following = Following(scratch, path, '--interval', '3600')
        first = following.first_line()
        assert 'charging steadily' in first, first
        append(path, cut_at(log, 3100)[len(cut_at(log, 3000)):])
        time.sleep(1.5)
        following.process.send_signal(number)
        out, err = following.end(0)
        lines = out.splitlines()
        assert len(lines) == 1 and lines[0].strip().startswith('0:51:'), out
        assert err == ''


@harness.case
def cut_off_or_replaced(scratch):
    log, _ = export(scratch)
    path = scratch.write('live.csv', cut_at(log, 3000))
    following = Following(scratch, path)
    following.first_line()
    os.truncate(path, 100)
    _, err = following.end(1)
    assert err == 'tide: live.csv: the file was cut shorter or another one was put in its place\n', err

    path = scratch.write('live.csv', cut_at(log, 3000))
    following = Following(scratch, path)
    following.first_line()
    other = scratch.write('other.csv', cut_at(log, 3000).replace(b'8.', b'7.'))
    os.replace(other, path)
    _, err = following.end(1)
    assert 'another one was put in its place' in err and err.count('\n') == 1, err


@harness.case
def removed(scratch):
    log, _ = export(scratch)
    path = scratch.write('live.csv', cut_at(log, 3000))
    following = Following(scratch, path)
    following.first_line()
    os.unlink(path)
    out, err = following.end(1)
    assert 'log ended' in out, out
    assert err == 'tide: live.csv: the file was removed, or its drive\n', err


@harness.case
def what_cannot_be_followed(scratch):
    missing = scratch.run('follow', 'missing.csv')
    assert missing.exit == 1 and missing.stderr == 'tide: missing.csv: there is no such file\n', missing
    scratch.write('log.csv.gz', b'\x1f\x8b\x08\x00\x00')
    packed = scratch.run('follow', 'log.csv.gz')
    assert packed.exit == 1 and 'packed' in packed.stderr, packed
    rows = ''.join(f'03/04/2026 10:00:{i:02},10\n' for i in range(40))
    scratch.write('dates.csv', 'time,power_W\n' + rows)
    dates = scratch.run('follow', 'dates.csv')
    assert dates.exit == 1 and dates.stderr.startswith('tide: dates.csv: '), dates


@harness.case
def no_library_is_made(scratch):
    scratch.write('dates.csv', 'time,power_W\n0,10\n1,10\n')
    following = Following(scratch, scratch.path('dates.csv'), '--until', '1')
    following.end(0)
    assert not scratch.library.exists()


@harness.case
def wrong_use(scratch):
    for words, text in ((('a.csv', 'b.csv'), 'one file is followed at a time'),
                        (('a.csv', '--interval', '0.5'), '--interval: not a number of seconds from 1 up: 0.5'),
                        (('a.csv', '--interval', 'often'), '--interval: not a number'),
                        (('a.csv', '--until', 'noon'), '--until: neither “settled” nor a number of seconds: noon'),
                        (('a.csv', '--run', '9'), '--run: not a number from 1 to 8: 9'),
                        ((), 'name at least one FILE')):
        result = scratch.run('follow', *words)
        assert result.exit == 2 and text in result.stderr and result.stdout == '', result


raise SystemExit(harness.main())
