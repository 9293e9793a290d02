# SPDX-License-Identifier: GPL-3.0-or-later
"""Files that are not understood by themselves: the import sheet, what it remembers, and the rules."""
import os

from atdrive import keys, wait
from .desk import case

DAY_FIRST = "day/month/year: the log begins on 3 April 2026"
MONTH_FIRST = "month/day/year: the log begins on 4 March 2026"
REMEMBER = "Remember for files with this header"


def write(desk, name, text):
    """A file in a folder of its own."""
    path = os.path.join(desk.folder(), name)
    with open(path, "w") as f:
        f.write(text)
    return path


def write_dated(desk, name, hours=1):
    """20 W for so many hours, a row every ten seconds, on a day that can be read two ways."""
    rows = "".join(f"03/04/2026 {10 + i // 360:02}:{i // 6 % 60:02}:{i % 6 * 10:02},20.0,1.0\n"
                   for i in range(360 * hours + 1))
    return write(desk, name, "Date time,Voltage(V),Current(A)\n" + rows)


def write_milli(desk, name):
    """The same power, its voltage in a unit that the head does not name."""
    return write(desk, name, "Time(s),V,A\n" + "".join(f"{i * 10},20000,1.0\n" for i in range(361)))


def answer(app, text):
    """The pointer on an answer, until it is marked."""
    app.find("check box", text).point()
    wait(lambda: app.find("check box", text).has("checked"), "the mark")


def can_import(sheet):
    return sheet.find("push button", "Import").has("sensitive")


def no_sheet(app):
    return not any(top.name == "Import" for top in app.children())


def press_import(app):
    sheet = app.window("Import")
    wait(lambda: can_import(sheet), "Import to be possible")
    sheet.find("push button", "Import").click()
    wait(lambda: no_sheet(app), "the sheet to go")


def remember(app):
    app.find("check box", REMEMBER).click()
    wait(lambda: app.find("check box", REMEMBER).has("checked"), "the switch")


@case("a file with dates of two readings is dropped, the choice made, and the run has the right date; the second "
      "file with that header comes in without asking")
def sheet_dates(desk):
    library = desk.new_library()
    with desk.open(library) as app:
        assert app.drop(write_dated(desk, "base-port_run1.csv")) == "end copied"
        sheet = app.window("Import")
        assert not can_import(sheet)
        assert not any(sheet.find("check box", name).has("checked") for name in (DAY_FIRST, MONTH_FIRST))
        assert not desk.runs(library)
        answer(app, DAY_FIRST)
        preview = sheet.find("image", "Preview of the curve")
        wait(lambda: "20.00\N{NO-BREAK SPACE}Wh · began 3 April 2026" in preview.description, "the preview")
        remember(app)
        press_import(app)
        app.wait_rows(["base port run 1"])
        assert app.drop(write_dated(desk, "second.csv", hours=2)) == "end copied"
        app.wait_rows(["base port run 1", "second"])
        assert no_sheet(app)
    runs = [desk.runs(library)[number] for number in sorted(desk.runs(library))]
    assert [run["conditions"]["date"] for run in runs] == ["2026-04-03 10:00"] * 2, runs
    assert [round(run["energy_wh"], 6) for run in runs] == [20, 40], runs
    assert runs[0]["conditions"]["port"] == "base port", runs


@case("two files that look alike share one sheet: one answer, conditions once, names of their own")
def sheet_alike(desk):
    library = desk.new_library()
    with desk.open(library, write_milli(desk, "left-port.csv"), write(desk, "base-port.csv", open(
            write_milli(desk, "x.csv")).read() + "3610,20000,1.0\n")) as app:
        sheet = app.window("Import")
        sheet.find("label", "2 files that look alike")
        sheet.find("check box", "Port by the files’ names")
        answer(app, "mV: about 20.000\N{NO-BREAK SPACE}V")
        sheet.find("text", "Device").type("Survey tablet")
        press_import(app)
        app.wait_rows(2)
    runs = list(desk.runs(library).values())
    assert {run["conditions"]["port"] for run in runs} == {"left port", "base port"}, runs
    assert {run["conditions"]["device"] for run in runs} == {"Survey tablet"}, runs
    assert sorted(round(run["energy_wh"], 3) for run in runs) == [20, 20.056], runs


@case("a sheet that is left by Escape leaves nothing, and the one behind it comes up")
def sheet_cancel(desk):
    library = desk.new_library()
    with desk.open(library, write_dated(desk, "dated.csv"), write_milli(desk, "milli.csv")) as app:
        app.find("check box", DAY_FIRST)
        keys("Escape")
        app.find("check box", "mV: about 20.000\N{NO-BREAK SPACE}V")
        app.window("Import").find("push button", "Cancel").click()
        wait(lambda: no_sheet(app), "the sheet to go")
        app.find("label", "Drop exports here")
    assert not desk.runs(library)


@case("the columns of a file without names or a time are said by menu, its interval in a field")
def sheet_by_hand(desk):
    library = desk.new_library()
    path = write(desk, "bare.csv", "".join(f"{20.0},{1.0}\n" for _ in range(361)))
    with desk.open(library, path) as app:
        app.window("Import")
        for column, meaning in enumerate(("Voltage", "Current"), 1):
            name = f"Meaning of column {column}"
            app.menu(name, meaning)
            wait(lambda: app.find("push button", name).description == meaning, meaning)
        app.find("text", "Seconds from row to row").type("10")
        app.find("push button", "Read So").click()
        press_import(app)
        app.wait_rows(["bare"])
    run, = desk.runs(library).values()
    assert round(run["energy_wh"], 6) == 20, run


@case("a rule is renamed, exported, removed, brought back by undo, and taken from its file")
def rules(desk):
    library = desk.new_library()
    with desk.open(library, write_dated(desk, "dated.csv")) as app:
        answer(app, DAY_FIRST)
        remember(app)
        press_import(app)
        app.wait_rows(["dated"])
        app.menu("Main menu", "Reading Rules…")
        dialog = app.window("Reading Rules")
        dialog.find("label", "dated")
        dialog.find("push button", "Export: dated").click()
        app.find(None, "Export Reading Rule")
        target = os.path.join(desk.folder(), "a.reading-rule")
        app.window("Export Reading Rule").find("text", "Name:").type(target)
        app.window("Export Reading Rule").find("push button", "Save").click()
        wait(lambda: os.path.exists(target), "the file")
        dialog.find("push button", "Remove: dated").click()
        dialog.gone("push button", "Remove: dated")
        dialog.find("push button", "Undo").click()
        dialog.find("push button", "Remove: dated").click()
        dialog.gone("push button", "Remove: dated")
        dialog.find("push button", "Add from File…").click()
        app.type_path("Add Reading Rule", target)
        dialog.find("push button", "Remove: dated")
        dialog.do("window.close")
        assert app.drop(write_dated(desk, "again.csv", hours=2)) == "end copied"
        app.wait_rows(2)
        assert no_sheet(app)
