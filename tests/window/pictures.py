# SPDX-License-Identifier: GPL-3.0-or-later
"""Takes the pictures of the window: the demo opened, three runs ticked, the pointer on the chart.

    xrun -a -c -s 1920x1080x24 -- /usr/bin/python3 pictures.py TIDEMARK TIDE OUT

Writes OUT/window-WIDTHxHEIGHT-LOOK.png for three sizes, light and dark, and OUT/sheet-…-LOOK.png of the import sheet
with its question answered. Not a test: for eyes, and for the
README, whose picture is window-1280x800-light.png. Needs GSETTINGS_SCHEMA_DIR when uninstalled.
"""
import math
import os
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import atdrive  # noqa: E402

SIZES = [(1280, 800), (900, 600), (1920, 1080)]
SHEETS = [(1060, 720), (900, 600)]
LOOKS = {"light": "prefer-light", "dark": "prefer-dark"}
RUNS = ["Left port", "Base port", "Desk cradle"]


def take(tidemark, library, size, look, out):
    width, height = size
    env = {"ADW_DEBUG_COLOR_SCHEME": LOOKS[look]}
    with atdrive.App([tidemark, "--library", library], env=env) as app:
        window = atdrive.wait(lambda: atdrive.x("search", "--onlyvisible", "--pid", app.proc.pid), "the X window")[-1]
        atdrive.x("windowmove", window, 0, 0)
        atdrive.x("windowsize", window, width, height)
        for name in RUNS:
            app.find("check box", "Compare " + name).point()
        chart = app.find("image", "Chart of the compared runs")
        atdrive.wait(lambda: all(name in chart.description for name in RUNS), "the runs on the chart")
        place = chart.place()
        atdrive.move(place[0] - width // 20, place[1] - height // 6)
        time.sleep(1)       # the fade of the check marks
        path = os.path.join(out, f"window-{width}x{height}-{look}.png")
        subprocess.run(["import", "-window", "root", "-crop", f"{width}x{height}+0+0", path], check=True)
        print(path)


def write_logs(folder):
    """Two logs whose dates can be read in two ways: the sheet has something to ask."""
    for name, top_w in (("base-port_run1.csv", 40), ("left-port_run2.csv", 27)):
        with open(os.path.join(folder, name), "w") as f:
            f.write("Date time,Voltage(V),Current(A),Power(W),Shell temp(°C)\n")
            for i in range(2400):
                power_w = 2 + top_w * min(1, i / 20) * math.exp(-max(0, i - 900) / 260)
                at = 10 * 3600 + 3 * i
                f.write(f"03/04/2026 {at // 3600:02}:{at // 60 % 60:02}:{at % 60:02},{20 - power_w / 400:.3f},"
                        f"{power_w / 20:.4f},{power_w:.3f},{24 + power_w / 9:.1f}\n")
            yield f.name


def take_sheet(tidemark, folder, size, look, out):
    width, height = size
    logs = list(write_logs(folder))
    library = os.path.join(folder, f"sheet-{width}-{look}.db")
    with atdrive.App([tidemark, "--library", library, *logs], env={"ADW_DEBUG_COLOR_SCHEME": LOOKS[look]}) as app:
        sheet = app.window("Import")
        for wid in atdrive.x("search", "--onlyvisible", "--pid", app.proc.pid, "--name", "^Import$"):
            atdrive.x("windowsize", wid, width, height)
            atdrive.x("windowmove", wid, 0, 0)
        app.find("check box", "day/month/year: the log begins on 3 April 2026").point()
        atdrive.wait(lambda: "3 April" in sheet.find("image", "Preview of the curve").description, "the preview")
        time.sleep(1)       # the scroll bars fade
        path = os.path.join(out, f"sheet-{width}x{height}-{look}.png")
        subprocess.run(["import", "-window", "root", "-crop", f"{width}x{height}+0+0", path], check=True)
        print(path)


def main(tidemark, tide, out):
    os.makedirs(out, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        library = os.path.join(folder, "library.db")
        subprocess.run([tide, "demo", "--library", library], check=True, stdout=subprocess.DEVNULL)
        for size in SIZES:
            for look in LOOKS:
                take(tidemark, library, size, look, out)
        for size in SHEETS:
            for look in LOOKS:
                take_sheet(tidemark, folder, size, look, out)


main(*sys.argv[1:])
