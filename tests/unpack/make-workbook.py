#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes workbooks with openpyxl and, beside each, the text that its sheets are to be read as.

make-workbook.py FOLDER   writes FOLDER/NAME.xlsx and FOLDER/NAME.txt: for every sheet a line "= NAME", then
                          the sheet's lines, a TAB between columns.
Dates are formatted by Python's datetime here, not by the rules of spreadsheets. Exits with 77 where openpyxl is
missing.
"""
import random
import sys
from datetime import date, datetime, time, timedelta
from pathlib import Path

try:
    from openpyxl import Workbook
    from openpyxl.utils.datetime import CALENDAR_MAC_1904
except ImportError:
    print("openpyxl is not installed", file=sys.stderr)
    sys.exit(77)


def clock_text(total_ms):
    s, ms = divmod(total_ms, 1000)
    fraction = f".{ms:03}".rstrip("0") if ms else ""
    return f"{s // 3600:02}:{s // 60 % 60:02}:{s % 60:02}{fraction}"


def as_text(value):
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        ms = (value.hour * 3600 + value.minute * 60 + value.second) * 1000 + value.microsecond // 1000
        return f"{value.date().isoformat()}T{clock_text(ms)}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return clock_text((value.hour * 3600 + value.minute * 60 + value.second) * 1000 + value.microsecond // 1000)
    if isinstance(value, timedelta):
        return clock_text(round(value.total_seconds() * 1000))
    if isinstance(value, str):
        text = "".join(" " if c < " " or c == "\x7f" else c for c in value)
        return '"' + text.replace('"', '""') + '"' if '"' in text else text
    return repr(value)


def fill(sheet, rows, first_row=1, first_column=1):
    """Puts rows into the sheet; gives the lines of text they are to be read as."""
    for i, row in enumerate(rows):
        for k, value in enumerate(row):
            if value is not None:
                sheet.cell(row=first_row + i, column=first_column + k, value=value)
    lines = [""] * (first_row - 1)
    for row in rows:
        cells = [""] * (first_column - 1) + [as_text(v) for v in row]
        lines.append("\t".join(cells).rstrip("\t"))
    return lines


def log_rows(seed, n, start):
    """A log: when, time of day, since the start, seconds, volts, a count, a remark, a switch."""
    random.seed(seed)
    notes = [None, "dock", "Zelle \u00e4\u6d4b", 'say "go"', "tab\there", "two\nlines", "a&b<c>"]
    rows = [["When", "Clock", "Elapsed", "Time (s)", "Voltage (V)", "Count", "Note", "On"]]
    for i in range(n):
        elapsed = timedelta(milliseconds=i * 7_654_321 % 400_000_000)
        moment = start + timedelta(milliseconds=random.randrange(4 * 10**10))
        volts = round(random.gauss(9, 0.01), 12)  # openpyxl writes 16 digits
        rows.append([moment, moment.time(), elapsed, round(i * 0.1, 1), volts, random.randrange(-10**9, 10**9),
                     random.choice(notes), random.random() < 0.5])
    return rows


def days():
    """Days at the ends of months and around what spreadsheets get wrong."""
    singles = [date(1900, 3, 1), date(1904, 2, 29), date(1970, 1, 1), date(1999, 12, 31), date(2000, 2, 29),
               date(2000, 3, 1), date(2038, 1, 19), date(2100, 2, 28), date(2100, 3, 1), date(9999, 12, 31)]
    return [["Day"]] + [[d] for d in singles]


def write(folder, name, sheets, epoch=None):
    book = Workbook()
    book.remove(book.active)
    if epoch is not None:
        book.epoch = epoch
    lines = []
    for title, rows, first_row, first_column in sheets:
        lines.append(f"= {title}")
        lines += fill(book.create_sheet(title), rows, first_row, first_column)
    book.save(folder / f"{name}.xlsx")
    (folder / f"{name}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def main():
    folder = Path(sys.argv[1])
    start = datetime(2026, 3, 4, 5, 6, 7)
    write(folder, "log", [("Log", log_rows(1, 500, start), 1, 1), ("Zweites Bl\u00e4tt", log_rows(2, 20, start), 4, 3),
                          ("Days", days(), 1, 1)])
    later_days = [row for row in days() if row[0] != date(1900, 3, 1)]
    write(folder, "since-1904", [("Log", log_rows(3, 300, start), 1, 1), ("Days", later_days, 2, 28)],
          CALENDAR_MAC_1904)


main()
