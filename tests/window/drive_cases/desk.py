# SPDX-License-Identifier: GPL-3.0-or-later
"""What the driven cases share: the programs under test, a scratch folder, and the window with
the words a person has for what is on it.

What the command line says of the same library or the same file is the measure throughout:
window and command may never tell different things.
"""
import functools
import json
import os
import shutil
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from atdrive import App, drop_files, keys, move, screenshot, wait  # noqa: E402

CASES = []      # (name, function), in the order of their modules


def case(name):
    """Marks a function as a case. It is called with the desk."""
    def add(function):
        CASES.append((name, function))
        return function
    return add


class Desk:
    """The programs under test and a scratch folder that is gone afterwards."""

    def __init__(self, tidemark, tide, dragsource, scratch):
        self.tidemark, self.tide_program, self.dragsource = tidemark, tide, dragsource
        self.scratch, self.count = scratch, 0
        self.shot = None    # where a picture goes of what was on the screen when a case failed
        self.exports = self.path("exports")
        self.demo = self.path("demo.db")
        self.tide("demo", "--library", self.demo, "--exports", self.exports)

    def path(self, *names):
        return os.path.join(self.scratch, *names)

    def write(self, name, content):
        """A file in the scratch folder; content is text or bytes."""
        with open(self.path(name), "wb") as f:
            f.write(content if isinstance(content, bytes) else content.encode())
        return self.path(name)

    def folder(self):
        """A new empty folder with a short name: some paths are typed."""
        self.count += 1
        os.mkdir(self.path(str(self.count)))
        return self.path(str(self.count))

    def export(self, name):
        return os.path.join(self.exports, "survey-tablet-" + name)

    def new_library(self, filled=False):
        """The path of a library: not there yet, or with the demo's ten runs."""
        path = os.path.join(self.folder(), "runs.db")
        if filled:
            shutil.copy(self.demo, path)
        return path

    # -- the command line --

    def tide(self, *words, status=0):
        done = subprocess.run([self.tide_program, *words], capture_output=True, text=True, timeout=60)
        assert done.returncode == status, f"tide {words}: {done.returncode}, {done.stderr}"
        return done

    def refusals(self, *words):
        """The lines of a tide command that fails, as the window shows them."""
        lines = self.tide(*words, status=1).stderr.splitlines()
        for line in lines:
            assert line.startswith("tide: "), line
        # which switch helps is for the command alone
        return [line[len("tide: "):].split("; --")[0] for line in lines]

    def runs(self, library):
        """The runs of a library by their numbers."""
        return {run["number"]: run for run in json.loads(self.tide("runs", "--json", "--library", library).stdout)["runs"]}

    def measure(self, library, *numbers):
        done = self.tide("measure", "--json", "--library", library, *map(str, numbers))
        return json.loads(done.stdout)["runs"]

    def compare(self, library, *numbers):
        return json.loads(self.tide("compare", "--json", "--library", library, *map(str, numbers)).stdout)

    # -- the window --

    def open(self, library=None, *words, env=None):
        return Tidemark(self, library, words, env)


class Tidemark(App):
    """The program with one window, as a person sees it."""

    def __init__(self, desk, library, words, env):
        self.desk = desk
        chosen = ["--library", library] if library is not None else []
        super().__init__([desk.tidemark, *chosen, *words], env=env)

    def __exit__(self, kind, *exc):
        if kind is not None:
            if self.proc.poll() is not None:
                print("# the program had ended with status", self.proc.returncode, flush=True)
            screenshot(self.desk.shot)
        super().__exit__(kind, *exc)

    def ended(self, timeout=20):
        """Waits for the program to end by itself; its exit status."""
        try:
            return self.proc.wait(timeout)
        except subprocess.TimeoutExpired:
            raise AssertionError("the program did not end") from None

    # -- the library --

    # These three are there as long as the window is; walking to them each time would be slow.

    @functools.cached_property
    def library(self):
        return self.find("list", "Runs", drawn=False)

    @functools.cached_property
    def chart(self):
        return self.find("image", "Chart of the compared runs", drawn=False)

    @functools.cached_property
    def pane(self):
        return self.find("filler", "TideAnalysisPane", drawn=False)

    def rows(self):
        """The names of the runs that the list shows, in its order."""
        return [row.name for row in self.library.children()]

    def wait_rows(self, names, timeout=None):
        if isinstance(names, int):
            wait(lambda: len(self.rows()) == names, f"{names} runs", timeout)
        else:
            wait(lambda: self.rows() == names, f"the runs {names}", timeout)

    def row_of(self, name):
        return self.library.find("list item", name)

    def select(self, name):
        """A click on the run's name: not on its check box, and not on its color."""
        self.row_of(name).find("label", name).point()
        wait(lambda: self.row_of(name).has("selected"), name + " to be selected")

    def box_of(self, name):
        return self.library.find("check box", "Compare " + name)

    def tick(self, name):
        """A click on the run's check box; waits until it has turned."""
        before = self.box_of(name).has("checked")
        self.box_of(name).point()
        wait(lambda: self.box_of(name).has("checked") != before, "the tick of " + name)

    def ticked(self):
        boxes = self.library.all("check box")
        return {box.name.removeprefix("Compare ") for box in boxes if box.has("checked")}

    def wait_ticked(self, *names):
        wait(lambda: self.ticked() == set(names), f"{names} to be ticked")

    # -- the chart --

    def wait_chart(self, *words):
        """Waits until the chart's description holds all of the words; the description."""
        def look():
            said = self.chart.description
            return said if all(word in said for word in words) else None
        return wait(look, f"a chart with {words}")

    def picture(self):
        """The pixels of the chart as they are on the screen, without a crosshair."""
        middle, chart = self.chart.place(), self.chart.box
        move(2, 2)
        wait(lambda: "Crosshair" not in self.chart.description, "the crosshair to go")
        spot = f"{chart[2] - 8}x{chart[3] - 8}+{middle[0] - chart[2] // 2 + 4}+{middle[1] - chart[3] // 2 + 4}"
        return subprocess.run(["import", "-window", "root", "-crop", spot, "ppm:-"], check=True,
                              capture_output=True).stdout

    def wait_picture(self, condition, what):
        """Waits until the chart's picture fulfils the condition; that picture."""
        def look():
            shot = self.picture()
            return shot if condition(shot) else None
        return wait(look, what)

    # -- the numbers --

    def cells(self):
        """The cells of the analysis pane: what each is called and what it shows."""
        return {cell.name: [label.name for label in cell.all("label")] for cell in self.pane.all("push button")}

    def wait_imported(self):
        """Waits until no import is under way. (Its bar keeps a size while it is hidden.)"""
        wait(lambda: "win.cancel-import" not in self.window("Tidemark").actions(), "the import to end")

    # -- the rest --

    def drop(self, *paths):
        """A real drag of files from another program's window onto this one."""
        return drop_files(self.find("frame", "Tidemark"), paths, self.desk.dragsource)

    def page(self, text):
        """Waits for a text that is to be seen."""
        return self.find("label", text)

    def close(self):
        self.window("Tidemark").do("window.close")

    def choose(self, box, label):
        """Picks from a drop-down or a combo row, with the pointer."""
        box.point()
        wait(lambda: box.all("label", label) and box.all("filler", "GtkPopoverContent"), "the list of " + repr(box))
        content = box.find("filler", "GtkPopoverContent")
        content.find("label", label).point()
        wait(lambda: not box.all("filler", "GtkPopoverContent"), "the list to close")
        wait(lambda: box.all("label", label), f"{label} to be chosen")

    def type_path(self, chooser, path):
        """Answers a file chooser; a leading slash opens its field for a path."""
        self.find(None, chooser)
        wait(lambda: self.find("push button", "Cancel"))
        subprocess.run(["xdotool", "type", "--delay", "12", "--", path], check=True)
        keys("Return")

