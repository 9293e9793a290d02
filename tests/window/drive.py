#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The window as a person uses it, from outside: pointer, keys, drag and drop, and what assistive
programs are told. Run by meson inside xrun -a; prints TAP.

    drive.py TIDEMARK TIDE DRAGSOURCE

DRIVE_ONLY='drop_two tick' runs those cases alone, by their functions' names. A case that fails
leaves a picture of the screen in DRIVE_OUT (else in the present folder).
"""
import os
import shutil
import sys
import tempfile
import time
import traceback

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))


def find_missing():
    """What these tests need and this machine lacks; None when it is all there."""
    for program in ("xdotool", "import", "xmllint", "rsvg-convert", "pngcheck", "pdftotext"):
        if shutil.which(program) is None:
            return program
    try:
        import gi
        gi.require_version("Atspi", "2.0")
    except (ImportError, ValueError) as e:
        return str(e)
    return None


def run(number, name, function, desk):
    start = time.monotonic()
    desk.shot = os.path.join(os.environ.get("DRIVE_OUT", "."), f"drive-{function.__name__}.png")
    try:
        function(desk)
    except Exception:       # whatever went wrong, the other cases still count
        print(f"not ok {number} {name}", flush=True)
        for line in traceback.format_exc().splitlines():
            print("#", line, flush=True)
        return False
    print(f"ok {number} {name}", flush=True)
    print(f"# {function.__name__}: {time.monotonic() - start:.1f} s", flush=True)
    return True


def main(tidemark, tide, dragsource):
    missing = find_missing()
    if missing:
        print(f"1..0 # SKIP not on this machine: {missing} (data/setup/install test brings it)")
        return 0
    from drive_cases import desk, comparing, editing, following, importing, publishing, sheet, starting  # noqa: F401
    only = os.environ.get("DRIVE_ONLY", "").split()
    cases = [(name, function) for name, function in desk.CASES if not only or function.__name__ in only]
    print(f"1..{len(cases)}", flush=True)
    with tempfile.TemporaryDirectory(prefix="td") as scratch:
        table = desk.Desk(tidemark, tide, dragsource, scratch)
        results = [run(i, name, function, table) for i, (name, function) in enumerate(cases, 1)]
    return 0 if all(results) else 1


sys.exit(main(*map(os.path.abspath, sys.argv[1:4])))
