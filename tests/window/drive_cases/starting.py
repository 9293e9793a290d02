# SPDX-License-Identifier: GPL-3.0-or-later
"""The window as it starts: for the first time, on a library it cannot open, and again."""
import os
import subprocess

from atdrive import keys, wait, x
from .desk import case


@case("an empty library says what to do; the demo opened from its button fills it and says it is simulated")
def first_start(desk):
    library = desk.new_library()
    with desk.open(library) as app:
        app.page("Drop exports here")
        app.find("push button", "Add Exports…")
        app.find("push button", "Open the Demo").click()
        app.wait_rows(10)
        app.wait_chart("Chart of 4 runs")
        app.page("Survey tablet (simulated)")
        wait(lambda: [n for n in app.all("label") if n.name.startswith("Survey tablet (simulated): ")], "the title")
        # again: nothing is doubled
        app.menu("Main menu", "Open the Demo")
        app.wait_imported()
        app.wait_rows(10)
    assert len(desk.runs(library)) == 10


@case("a library that cannot be opened is told in the command's words, takes nothing, and can be tried again")
def unwritable(desk):
    below_file = desk.write("a file", "no library\n")
    library = os.path.join(below_file, "runs.db")
    line, = desk.refusals("import", "--library", library, desk.export("base-port.csv"))
    with desk.open(library) as app:
        app.page("The library cannot be opened")
        wait(lambda: [n for n in app.all("label") if n.name.split("\n")[0] == line], f"the line {line!r}")
        assert app.drop(desk.export("base-port.csv")) == "cancel"
        os.remove(below_file)
        os.mkdir(below_file)
        app.find("push button", "Try Again").click()
        app.page("Drop exports here")
        assert app.drop(desk.export("base-port.csv")) == "end copied"
        app.wait_rows(["survey-tablet-base-port"])
    assert len(desk.runs(library)) == 1


@case("a file that is no library is told in the command's words and left alone")
def not_a_library(desk):
    library = desk.write("notes.db", "these are notes of mine\n" * 100)
    line, = desk.refusals("runs", "--library", library)
    with desk.open(library) as app:
        wait(lambda: [n for n in app.all("label") if n.name.split("\n")[0] == line], f"the line {line!r}")
    with open(library) as f:
        assert f.read() == "these are notes of mine\n" * 100


def get_frame(app):
    return app.window("Tidemark").box[2:]


def resize(app, width, height):
    wid = x("search", "--onlyvisible", "--pid", app.proc.pid, "--name", "^Tidemark$")[-1]
    x("windowsize", "--sync", wid, width, height)
    before = None

    def settled():
        nonlocal before
        before, last = get_frame(app), before
        return before == last != (1280, 800)
    wait(settled, "the window's new size")


@case("what was open comes back: library, ticks, reference, axes, alignment, span, size and panes")
def restart(desk):
    home = desk.folder()
    library = os.path.join(home, "mine.db")
    env = {"GSETTINGS_BACKEND": "keyfile", "XDG_CONFIG_HOME": home, "XDG_DATA_HOME": home}
    desk.tide("demo", "--library", library)
    with desk.open(env=env) as app:
        app.page("Drop exports here")
        app.menu("Main menu", "Open Another Library…")
        app.type_path("Open a Library", library)
        app.wait_rows(10)
        for name in ("Base port", "Early stop", "Left port"):
            app.tick(name)
        app.wait_chart("Chart of 3 runs")
        app.select("Early stop")
        keys("ctrl+r")
        keys("2")
        app.choose(app.find("combo box", "Horizontal axis"), "Energy delivered")
        app.choose(app.find("combo box", "Alignment"), "Log start")
        said = app.wait_chart("Voltage over Energy", "Early stop, reference")
        keys("ctrl+plus")
        app.find("push button", "Show everything")
        resize(app, 1250, 700)
        keys("ctrl+F9")
        wait(lambda: not app.find("push button", "Numbers").has("pressed"), "the numbers to hide")
        frame = get_frame(app)
    with desk.open(env=env) as app:
        assert app.wait_chart("Chart of 3 runs", "reference") == said, app.chart.description
        app.wait_ticked("Base port", "Early stop", "Left port")
        assert get_frame(app) == frame, (get_frame(app), frame)
        assert not app.find("push button", "Numbers").has("pressed")
        app.find("push button", "Show everything")


@case("a second start hands its files to the window that is open")
def second_start(desk):
    home = desk.folder()
    env = {"XDG_DATA_HOME": home}
    with desk.open(env=env) as app:
        app.page("Drop exports here")
        done = subprocess.run([desk.tidemark, desk.export("base-port.csv")], env={**os.environ, **env}, timeout=20)
        assert done.returncode == 0
        app.wait_rows(["survey-tablet-base-port"])
        assert len(app.children()) == 1, app.children()


@case("shortcuts and the about window open and close")
def help_windows(desk):
    with desk.open(desk.new_library()) as app:
        for item in ("Keyboard Shortcuts", "About Tidemark"):
            app.menu("Main menu", item)
            wait(lambda: len(app.children()) == 2, item + " to open")
            keys("Escape")
            wait(lambda: len(app.children()) == 1, item + " to close")
