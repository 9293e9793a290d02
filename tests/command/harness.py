# SPDX-License-Identifier: GPL-3.0-or-later
"""What the command line's tests share: TAP, a scratch folder, and running `tide` in it.

Each case gets a folder of its own that is also its home, so that the default library is there
and nothing outside is touched. The program to run is the first argument of a test script.
"""

import json
import os
import pathlib
import shutil
import signal
import subprocess
import sys
import tempfile
import traceback

TIDE = os.path.abspath(sys.argv[1])
HERE = pathlib.Path(__file__).resolve().parent
# Far above what any case takes, sanitizers and a busy machine included.
TIMEOUT_S = 120

cases = []


class Skip(Exception):
    """A case that cannot run here, and why."""


def case(function):
    """A decorator: the function, called with a Scratch, is a case. Its name is the case's."""
    cases.append((function.__name__.replace('_', '-'), function))
    return function


class Result:
    def __init__(self, args, done):
        self.args = args
        self.exit = done.returncode
        self.stdout = done.stdout
        self.stderr = done.stderr

    def __str__(self):
        return (f'tide {" ".join(self.args)}\nexit {self.exit}\n'
                f'stdout:\n{self.stdout}\nstderr:\n{self.stderr}')


class Scratch:
    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        self.library = self.folder / 'data' / 'tidemark' / 'library.db'

    def path(self, name):
        return str(self.folder / name)

    def write(self, name, text):
        target = self.folder / name
        target.write_bytes(text.encode() if isinstance(text, str) else text)
        return str(target)

    def environment(self, extra):
        environment = dict(os.environ, HOME=str(self.folder), XDG_DATA_HOME=self.path('data'))
        environment.update(extra)
        return environment

    def run(self, *args, env={}, program=(TIDE,), **more):
        """Runs tide whatever comes of it, but never lets it crash or print a stray line."""
        done = subprocess.run([*program, *args], cwd=self.folder, env=self.environment(env),
                              stdin=subprocess.DEVNULL, text=True, encoding='utf-8',
                              timeout=TIMEOUT_S,
                              **{'stdout': subprocess.PIPE, 'stderr': subprocess.PIPE, **more})
        result = Result(args, done)
        assert result.exit in (0, 1, 2), result
        for line in (result.stderr or '').splitlines():
            assert line.startswith('tide: '), result
        return result

    def tide(self, *args, **more):
        """Runs tide and expects it to succeed."""
        result = self.run(*args, **more)
        assert result.exit == 0, result
        return result

    def fails(self, *args, exit=1, **more):
        """Runs tide and expects one line of complaint and no output."""
        result = self.run(*args, **more)
        assert result.exit == exit, result
        assert len(result.stderr.splitlines()) == 1, result
        return result

    def json(self, *args, **more):
        return parse_json(self.tide(*args, '--json', **more).stdout)


def parse_json(text):
    """Strict JSON: the NaN and Infinity that Python would take are refused."""
    def refuse(word):
        raise AssertionError(f'{word} in JSON')
    return json.loads(text, parse_constant=refuse)


def export(samples, head='Time (s),Voltage (V),Current (A)'):
    """An export of rows of numbers."""
    return '\n'.join([head] + [','.join(f'{value:.10g}' for value in row) for row in samples]) + '\n'


def steady(seconds, volts, amperes):
    """A log of constant power, a sample a second."""
    return export((t, volts, amperes) for t in range(seconds + 1))


def charge(plateau_a=2.0, step_s=2):
    """20 V: a minute of nothing, an hour of plateau, a taper of 30 min to 0.1 A, half an hour of that."""
    def amperes(t):
        if t < 60:
            return 0.0
        if t < 3660:
            return plateau_a
        if t < 5460:
            return 0.1 + (plateau_a - 0.1) * (5460 - t) / 1800
        return 0.1
    return export((t, 20, amperes(t)) for t in range(0, 7261, step_s))


def datasets(name):
    """The folder of a published data set; a skip where there is none."""
    root = os.environ.get('TIDEMARK_DATASETS', '')
    folder = pathlib.Path(root, name)
    if not root or not folder.is_dir():
        raise Skip(f'no data set {name} in TIDEMARK_DATASETS ({root or "not set"})')
    return folder


def tool(name):
    found = shutil.which(name)
    if found is None:
        raise Skip(f'{name} is not installed')
    return found


def assert_close(got, expected, tolerance, what):
    assert got is not None and abs(got - expected) <= tolerance, \
        f'{what}: {got}, expected {expected} within {tolerance}'


def run_case(function):
    with tempfile.TemporaryDirectory(prefix='tide-') as folder:
        function(Scratch(folder))


def main():
    signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    print(f'1..{len(cases)}')
    failed = 0
    for number, (name, function) in enumerate(cases, 1):
        try:
            run_case(function)
            print(f'ok {number} {name}', flush=True)
        except Skip as skip:
            print(f'ok {number} {name} # SKIP {skip}', flush=True)
        except Exception:
            failed += 1
            print(f'not ok {number} {name}', flush=True)
            for line in traceback.format_exc().splitlines():
                print(f'# {line}', flush=True)
    return 1 if failed else 0
