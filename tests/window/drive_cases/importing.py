# SPDX-License-Identifier: GPL-3.0-or-later
"""Exports come in: dropped, chosen, twice, broken, and stopped on the way."""
import os
import re
import threading

from atdrive import wait
from .desk import case

# The rows of the analysis pane as "tide measure --json" has them: label, unit, decimals (None:
# a length of time) and where the number is.
ROWS = [
    ("Until settled", "Wh", 2, lambda m: m["window_energy_wh"]["value"]),
    ("Whole log", "Wh", 2, lambda m: m["energy_wh"]["value"]),
    ("Off the meter’s, %", "%", 2, lambda m: m["counter"] and m["counter"]["energy_difference_percent"]),
    ("Until settled", "Ah", 3, lambda m: m["window_charge_ah"]["value"]),
    ("Whole log", "Ah", 3, lambda m: m["charge_ah"]["value"]),
    ("Plateau", "W", 2, lambda m: m["plateau"]["level_w"]["value"]),
    ("Mean until settled", "W", 2, lambda m: m["window_mean_power_w"]["value"]),
    ("Mean of the log", "W", 2, lambda m: m["mean_power_w"]["value"]),
    ("Sustained peak", "W", 2, lambda m: m["sustained_peak_w"]["value"]),
    ("Highest sample", "W", 2, lambda m: m["peak_power_w"]["value"]),
    ("Charge time", "", None, lambda m: m["charge_time_s"]),
    ("Plateau lasts", "", None, lambda m: m["plateau"]["duration_s"]),
    ("Taper lasts", "", None, lambda m: m["taper_s"]),
    ("50 % of energy", "", None, lambda m: m["milestones_s"]["50"]),
    ("80 % of energy", "", None, lambda m: m["milestones_s"]["80"]),
    ("95 % of energy", "", None, lambda m: m["milestones_s"]["95"]),
    ("Draw begins at", "", None, lambda m: m["draw_begins_s"]),
    ("Settles at", "", None, lambda m: m["settles_s"]),
    ("Standing draw", "W", 2, lambda m: m["standing_draw_w"]["value"]),
    ("Count", "", 0, lambda m: m["spikes"]["count"]),
    ("Tallest, W", "W", 2, lambda m: m["spikes"]["tallest_w"]),
    ("Length", "", None, lambda m: m["duration_s"]),
    ("Samples", "", 0, lambda m: m["samples"]),
    ("Interval, s", "s", 2, lambda m: m["median_interval_s"]),
    ("Gaps", "", 0, lambda m: m["gaps"]["count"]),
]
# What is compared, by its key in "tide compare --json".
COMPARED = [("Until settled", "Wh", "energy_wh"), ("Until settled", "Ah", "charge_ah"), ("Plateau", "W", "plateau_w"),
            ("Mean until settled", "W", "mean_power_w"), ("Charge time", "", "charge_time_s"),
            ("Standing draw", "W", "standing_draw_w")]
SHAPES = {"same": "●", "different": "▲", "undecided": "○"}


def read_number(text):
    return float(text.replace("−", "-"))


def read_length(text):
    """'2 h 29 min' -> seconds, and half of what the text rounds to."""
    parts = {unit: float(number) for number, unit in re.findall(r"([0-9.]+) (h|min|s)\b", text)}
    assert parts, text
    seconds = parts.get("h", 0) * 3600 + parts.get("min", 0) * 60 + parts.get("s", 0)
    return seconds, 30 if "h" in parts else 0.5


def find_cell(cells, run, label, unit):
    head, tail = f"{run}, {label}: ", f" {unit}"
    hits = [name for name in cells if name.startswith(head) and name.endswith(tail)]
    assert len(hits) == 1, (head, tail, hits)
    return hits[0][len(head):len(hits[0]) - len(tail)], cells[hits[0]]


def check_number(shown, decimals, value):
    if value is None:
        assert shown == "–", shown
    elif decimals is None:
        seconds, half = read_length(shown)
        assert abs(seconds - value) <= half + 1e-6, (shown, value)
    else:
        assert len(shown.partition(".")[2]) == decimals, shown
        assert abs(read_number(shown) - value) <= 0.5 * 10 ** -decimals + 1e-9, (shown, value)


def check_pane(desk, app, library):
    """Every number of the pane against the command's, for all runs of the library."""
    cells = app.cells()
    checked = 0
    for number, run in desk.runs(library).items():
        measured, = desk.measure(library, number)
        for label, unit, decimals, get in ROWS:
            said, shown = find_cell(cells, run["name"], label, unit)
            assert shown[0] == said, (shown, said)
            check_number(said, decimals, get(measured))
            checked += 1
    assert checked == len(cells), (checked, len(cells))


def check_differences(desk, app, library):
    cells = app.cells()
    pair, = desk.compare(library, 1, 2)["pairs"]
    for label, unit, key in COMPARED:
        shown = find_cell(cells, pair["run"], label, unit)[1]
        finding = pair["quantities"][key]
        percent, sign, shape = shown[1].split(" ")
        assert (sign, shape) == ("%", SHAPES[finding["verdict"]]), shown
        assert abs(read_number(percent) - finding["difference_percent"]) <= 0.05 + 1e-9, (shown, finding)


@case("two exports dropped on the window become runs, and the pane's numbers are those of tide measure")
def drop_two(desk):
    library = desk.new_library()
    names = ["survey-tablet-left-port", "survey-tablet-desk-cradle"]
    with desk.open(library) as app:
        assert app.drop(desk.export("left-port.csv"), desk.export("desk-cradle.txt")) == "end copied"
        app.wait_rows(names)
        app.page("Imported 2 runs")
        app.wait_ticked(*names)
        app.wait_chart("Chart of 2 runs", *names)
        wait(lambda: len(app.cells()) == 2 * len(ROWS), "the numbers of both runs")
        check_pane(desk, app, library)
        check_differences(desk, app, library)


@case("an export chosen in the file chooser becomes a run")
def choose_file(desk):
    library = desk.new_library()
    path = os.path.join(desk.folder(), "a & b.csv")
    os.link(desk.export("base-port.csv"), path)
    with desk.open(library) as app:
        app.find("push button", "Add exports").click()
        app.type_path("Add Exports", path)
        app.wait_rows(["a & b"])
        app.wait_chart("a & b")
    assert [run["file"] for run in desk.runs(library).values()] == ["a & b.csv"]


@case("an export that is there already is told of and not doubled")
def add_twice(desk):
    library = desk.new_library()
    desk.tide("import", "--library", library, desk.export("base-port.csv"))
    with desk.open(library) as app:
        app.wait_rows(["survey-tablet-base-port"])
        copy = desk.write("other name.csv", open(desk.export("base-port.csv"), "rb").read())
        assert app.drop(copy) == "end copied"
        app.page("survey-tablet-base-port is in the library already")
        assert app.rows() == ["survey-tablet-base-port"]
    assert len(desk.runs(library)) == 1


def write_bad_files(desk):
    folder = desk.folder()

    def write(name, content):
        with open(os.path.join(folder, name), "wb") as f:
            f.write(content)
        return f.name
    pixel = (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\0\0\0\0\x3a\x7e\x9b\x55"
             b"\0\0\0\x0aIDAT\x78\x9c\x63\x60\0\0\0\2\0\1\x48\xaf\xa4\x71\0\0\0\0IEND\xaeB\x60\x82")
    return [
        write("empty.csv", b""),
        write("header only.csv", b"time_s,voltage_V,current_A\n"),
        write("prose.txt", "Dear reader,\nthis is a letter about charging, and no log.\nYours\n".encode()),
        write("<i>picture & more.png", pixel),
        write("one row.csv", b"time_s,voltage_V,current_A\n0,9.0,2.4\n"),
    ]


@case("bad files dropped with a good one are told in the command's words, and the good one comes in")
def drop_bad(desk):
    library, bad = desk.new_library(), write_bad_files(desk)
    lines = desk.refusals("import", "--library", desk.new_library(), *bad)
    assert len(lines) == len(bad), lines
    with desk.open(library) as app:
        assert app.drop(*bad[:3], desk.export("base-port.csv"), *bad[3:]) == "end copied"
        list_of = app.window(f"{len(bad)} files could not be imported")
        wait(lambda: {label.name for label in list_of.all("label")} >= set(lines), f"the lines {lines}")
        list_of.do("window.close")
        app.wait_rows(["survey-tablet-base-port"])
    assert [run["file"] for run in desk.runs(library).values()] == ["survey-tablet-base-port.csv"]


@case("one bad file dropped is told in a line, and nothing comes in")
def drop_one_bad(desk):
    library, bad = desk.new_library(), write_bad_files(desk)
    for path in (bad[3], bad[4]):
        line, = desk.refusals("import", "--library", desk.new_library(), path)
        with desk.open(library) as app:
            assert app.drop(path) == "end copied"
            app.page(line)
            app.find("label", "Drop exports here")
        assert not desk.runs(library)


class SlowFile:
    """A file as it comes over a slow line: a pipe that is fed a little at a time, until its reader
    goes away or a million rows are through."""

    ROWS = 1000000
    CHUNK = 4000

    def __init__(self, path):
        self.path, self.cut_short, self.stopped = path, False, False
        os.mkfifo(path)
        self.thread = threading.Thread(target=self.feed, daemon=True)
        self.pause = threading.Event()
        self.thread.start()

    def feed(self):
        try:
            with open(self.path, "wb", buffering=0) as f:
                f.write(b"time_s,voltage_V,current_A\n")
                for start in range(0, self.ROWS, self.CHUNK):
                    f.write("".join(f"{i},9.{i % 10},2.4{i % 7}\n" for i in range(start, start + self.CHUNK)).encode())
                    self.pause.wait(0.03)
        except BrokenPipeError:
            self.cut_short = True

    def wait_cut_short(self):
        self.thread.join(20)
        assert self.cut_short, "the import read the file to its end"


@case("an import that is stopped leaves nothing behind, and the next one works")
def stop_import(desk):
    library = desk.new_library()
    slow = SlowFile(os.path.join(desk.folder(), "slow.csv"))
    with desk.open(library, slow.path) as app:
        app.page("Reading slow.csv")
        app.find("push button", "Stop").click()
        app.page("Import stopped; nothing was added")
        slow.wait_cut_short()
        app.find("label", "Drop exports here")
        assert app.drop(desk.export("base-port.csv")) == "end copied"
        app.wait_rows(["survey-tablet-base-port"])
    assert len(desk.runs(library)) == 1


@case("closing the window in the middle of an import ends the program well and leaves nothing half done")
def close_while_importing(desk):
    library = desk.new_library()
    slow = SlowFile(os.path.join(desk.folder(), "slow.csv"))
    with desk.open(library, desk.export("base-port.csv"), slow.path) as app:
        app.page("Reading slow.csv")
        app.close()
        assert app.ended() == 0
    slow.wait_cut_short()
    left = list(desk.runs(library).values())
    assert [run["file"] for run in left] == ["survey-tablet-base-port.csv"], left
    with desk.open(library) as app:
        app.wait_rows(["survey-tablet-base-port"])


@case("a log of a million rows comes in whole, or not at all when the window is closed at once")
def close_at_once(desk):
    rows = "".join(f"{i},9.{i % 10},2.4{i % 7}\n" for i in range(1000000))
    path = desk.write("million.csv", "time_s,voltage_V,current_A\n" + rows)
    library = desk.new_library()
    with desk.open(library, path) as app:
        app.close()
        assert app.ended() == 0
    left = desk.runs(library)
    assert [run["samples"] for run in left.values()] in ([], [1000000]), left
    with desk.open(library, path) as app:
        app.wait_rows(["million"])
        app.wait_chart("million")
    assert [run["samples"] for run in desk.runs(library).values()] == [1000000]
