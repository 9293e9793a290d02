# SPDX-License-Identifier: GPL-3.0-or-later
"""A log that is still being written: followed from the menu, growing, settled, stopped."""
import json
import os
import subprocess
import sys

from atdrive import wait
from .desk import case

SERVICE = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "notifications.py")


class Notifications:
    """What a desktop is asked to show, as lines."""

    def __enter__(self):
        self.process = subprocess.Popen([sys.executable, SERVICE], stdout=subprocess.PIPE, text=True)
        assert self.process.stdout.readline() == "ready\n"
        return self

    def next(self):
        return self.process.stdout.readline().rstrip("\n")

    def __exit__(self, *exc):
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()


class Log:
    """One of the demo's exports, written bit by bit."""

    def __init__(self, desk):
        with open(desk.export("left-port.csv"), "rb") as f:
            self.bytes = f.read()
        self.path = os.path.join(desk.folder(), "l.csv")
        self.written = 0
        self.write(0)

    def write(self, share):
        """As far as a share of the whole, which may be within a row."""
        end = int(len(self.bytes) * share)
        with open(self.path, "ab") as f:
            f.write(self.bytes[self.written:end])
        self.written = end


def follow(app, log):
    app.menu("Main menu", "Follow a File…")
    app.type_path("Follow a File", log.path)
    app.find("label", "Following l.csv")


def status(app, *words):
    """The bar's line, once it says that."""
    return wait(lambda: next((label.name for label in app.all("label")
                              if all(word in label.name for word in words)), None), f"the bar to say {words}")


@case("a file that grows is a growing curve; when the draw settles a notification tells so, and Import keeps the run")
def follow_until_settled(desk):
    library = desk.new_library()
    log = Log(desk)
    with Notifications() as desktop, desk.open(library) as app:
        follow(app, log)
        log.write(0.3)
        status(app, "\u00a0W · ", "\u00a0Wh · charging steadily")
        app.wait_chart("Chart of 1 run", "l · live")
        first = app.picture()
        log.write(0.7)
        status(app, "tapering, settles in about ")
        app.wait_picture(lambda shot: shot != first, "the curve to grow")
        log.write(1)
        app.find("label", "l.csv has settled")
        said = status(app, "settled; the charge took 2 h 29 min")
        assert desktop.next() == f"l.csv has settled | {said}"
        app.find("push button", "Import").click()
        wait(lambda: len(desk.runs(library)) == 1, "the run to be stored")
        app.wait_chart("Chart of 1 run", "l, ")
    run, = desk.runs(library).values()
    measured, = json.loads(desk.tide("measure", "--json", desk.export("left-port.csv")).stdout)["runs"]
    assert (run["samples"], run["energy_wh"]) == (measured["samples"], measured["energy_wh"]["value"]), (run, measured)


@case("stopping imports what there is; a file cut short is said, and closing takes its run off the chart")
def follow_and_stop(desk):
    library = desk.new_library()
    log = Log(desk)
    log.write(0.2)
    with Notifications() as desktop, desk.open(library) as app:
        follow(app, log)
        app.wait_chart("Chart of 1 run", "l · live")
        app.find("push button", "Stop").click()
        app.wait_rows(["l"])
        app.wait_chart("Chart of 1 run", "l, ")
        other = Log(desk)
        other.write(0.4)
        follow(app, other)
        app.wait_chart("Chart of 2 runs", "l · live")
        os.truncate(other.path, 1000)
        app.find("label", "l.csv was replaced")
        assert desktop.next().startswith("l.csv was replaced | The file was cut shorter")
        app.find("push button", "Take off the Chart").click()
        wait(lambda: "win.close-following" not in app.window("Tidemark").actions(), "the bar to go")
        app.wait_chart("Chart of 1 run")
