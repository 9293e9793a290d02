# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts the single cases of a meson test run and prints 'N passed, N failed, N skipped'.

    count-results.py testlog.junit.xml testlog.json

Exits 1 when anything failed or nothing passed."""
import json
import sys
import xml.etree.ElementTree as xml


def main(junit, log):
    passed = failed = skipped = 0
    for case in xml.parse(junit).getroot().iter("testcase"):
        if case.find("failure") is not None or case.find("error") is not None:
            failed += 1
        elif case.find("skipped") is not None:
            skipped += 1
        else:
            passed += 1
    # a program that crashes or runs out of time may leave no case behind: take its own verdict too
    with open(log, encoding="utf-8") as lines:
        bad = [run["name"] for run in map(json.loads, lines)
               if run["result"] not in ("OK", "SKIP", "EXPECTEDFAIL")]
    failed = max(failed, len(bad))
    for name in bad:
        print("failed:", name)
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed or not passed else 0


sys.exit(main(*sys.argv[1:]))
