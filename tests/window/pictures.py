# SPDX-License-Identifier: GPL-3.0-or-later
"""Takes the pictures of the window: the demo opened, three runs ticked, the pointer on the chart.

    xrun -a -c -s 1920x1080x24 -- /usr/bin/python3 pictures.py TIDEMARK TIDE OUT

Writes OUT/window-WIDTHxHEIGHT-LOOK.png for three sizes, light and dark. Not a test: for eyes, and for the
README, whose picture is window-1280x800-light.png. Needs GSETTINGS_SCHEMA_DIR when uninstalled.
"""
import os
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import atdrive  # noqa: E402

SIZES = [(1280, 800), (900, 600), (1920, 1080)]
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


def main(tidemark, tide, out):
    os.makedirs(out, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        library = os.path.join(folder, "library.db")
        subprocess.run([tide, "demo", "--library", library], check=True, stdout=subprocess.DEVNULL)
        for size in SIZES:
            for look in LOOKS:
                take(tidemark, library, size, look, out)


main(*sys.argv[1:])
