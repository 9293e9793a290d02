# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs beside each other: ticking, the crosshair, the visible span."""
from atdrive import drag, keys, move, wait, x
from .desk import case


def tick_two(app):
    app.tick("Left port")
    app.tick("Desk cradle")
    app.wait_chart("Chart of 2 runs", "Left port", "Desk cradle")


@case("runs ticked with the pointer stand on the chart in that order, and leave it again")
def tick(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        app.page("No run in the comparison")
        app.tick("Desk cradle")
        app.tick("Left port")
        said = app.wait_chart("Chart of 2 runs, Power over Time: Desk cradle, ", ", reference; Left port, ")
        for number in (1, 5):
            run, = desk.measure(desk.demo, number)
            energy = run["window_energy_wh"]["value"]
            assert f"{run['name']}, {energy:.2f}\u00a0Wh" in said, (said, energy)
        app.tick("Desk cradle")
        app.wait_chart("Chart of 1 run, ", "Left port")
        app.tick("Left port")
        app.wait_chart("An empty chart")
        app.find("push button", "Compare All").point()
        app.wait_chart("Chart of 10 runs")


@case("the crosshair reads all runs, moved by keys and by the pointer, and goes away")
def crosshair(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        tick_two(app)
        chart = app.chart
        chart.focus()
        said = app.wait_chart("Crosshair at ", "; Left port, ", "; Desk cradle, ")
        keys("Left")
        wait(lambda: chart.description not in ("", said), "the crosshair to move")
        keys("Home")
        home = app.wait_chart("Crosshair at ")
        keys("Right", "Right", "Right")
        wait(lambda: chart.description != home, "the crosshair to move on")
        keys("Escape")
        wait(lambda: "Crosshair" not in chart.description, "the crosshair to go")
        px, py = chart.place()
        move(px + 60, py)
        pointed = app.wait_chart("Crosshair at ")
        move(px - 60, py)
        wait(lambda: chart.description != pointed, "the crosshair to follow")
        move(2, 2)
        wait(lambda: "Crosshair" not in chart.description, "the crosshair to go with the pointer")


def check_view_changes(app, *doings):
    """Each doing changes the picture; Ctrl+0 brings the first back."""
    whole = app.wait_picture(lambda shot: True, "a picture")
    for what, do in doings:
        last = app.picture()
        do()
        app.wait_picture(lambda shot: shot != last, what + " to change the chart")
    app.find("push button", "Show everything")
    keys("ctrl+0")
    app.wait_picture(lambda shot: shot == whole, "everything to show again after " + what)
    app.gone("push button", "Show everything")


@case("zooming, panning and resetting by keys and pointer change what the chart shows and bring it back")
def view(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        tick_two(app)
        px, py = app.chart.place()

        def wheel(button):
            move(px, py - 60)
            x("click", "--repeat", 4, "--delay", 30, button)
        check_view_changes(app, ("Ctrl++", lambda: keys("ctrl+plus")), ("Alt+Left", lambda: keys("alt+Left")),
                           ("Alt+Right", lambda: keys("alt+Right")), ("Ctrl+-", lambda: keys("ctrl+plus", "ctrl+minus", "ctrl+plus")))
        check_view_changes(app, ("the wheel", lambda: wheel(4)),
                           ("a drag", lambda: drag((px, py - 60), (px - 90, py - 60))))
        whole = app.picture()
        wheel(4)
        app.wait_picture(lambda shot: shot != whole, "the wheel to zoom")
        move(px, py - 60)
        x("click", "--repeat", 2, "--delay", 60, 1)
        app.wait_picture(lambda shot: shot == whole, "a double click to show everything")


@case("a click on a number copies it and says so, and the pane says what its marks mean")
def numbers(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        tick_two(app)
        for name in ("Left port, Whole log: 37.35 Wh", "Left port, Highest sample: 32.11 W"):
            app.find("push button", name).click()
            app.find("label", name.split(": ")[1].split(" ")[0] + " copied")
        app.find("label", "● same within 3.0 %   ▲ different\n○ undecided: "
                          "meter accuracy unknown; repeatability unknown: one run each")


@case("what is drawn and how it is aligned follow the keys, the bar and the drop-downs")
def axes(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        tick_two(app)
        for key, word in (("2", "Voltage"), ("3", "Current"), ("4", "Energy"), ("1", "Power")):
            keys(key)
            app.wait_chart(f"Chart of 2 runs, {word} over Time")
        app.find("push button", "Voltage").click()
        app.wait_chart("Voltage over Time")
        app.choose(app.find("combo box", "Reference run"), "Desk cradle")
        app.wait_chart("Desk cradle, reference")
        app.choose(app.find("combo box", "Horizontal axis"), "Energy delivered")
        app.wait_chart("Voltage over Energy")
        wide = app.picture()
        keys("ctrl+d")
        app.wait_picture(lambda shot: shot != wide, "the strip to go")
        keys("ctrl+d")
        app.wait_picture(lambda shot: shot == wide, "the strip to come back")
