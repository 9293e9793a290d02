# SPDX-License-Identifier: GPL-3.0-or-later
"""The library as it is kept: removing, bringing back, conditions, the reference, searching."""
from atdrive import keys, typed, wait
from .desk import case


@case("a removed run comes back by the button and by Ctrl+Z, ticked as it was")
def remove(desk):
    library = desk.new_library(filled=True)
    with desk.open(library) as app:
        app.tick("Left port")
        app.tick("Base port")
        app.wait_chart("Chart of 2 runs")
        app.select("Base port")
        keys("Delete")
        app.page("Base port removed")
        app.wait_rows(9)
        app.wait_chart("Chart of 1 run")
        app.find("push button", "Undo").click()
        app.wait_rows(10)
        app.wait_chart("Chart of 2 runs", "Base port")
        app.select("Base port")
        keys("Delete")
        app.wait_rows(9)
        app.select("In use")
        keys("Delete")
        app.wait_rows(8)
        keys("ctrl+z")
        app.wait_rows(9)
        keys("ctrl+z")
        app.wait_rows(10)
        app.wait_chart("Chart of 2 runs", "Base port")
        app.wait_ticked("Left port", "Base port")
    assert len(desk.runs(library)) == 10


@case("a run that was removed stays removed")
def stay_removed(desk):
    library = desk.new_library(filled=True)
    with desk.open(library) as app:
        app.select("Base port")
        keys("Delete")
        app.wait_rows(9)
    assert "Base port" not in [run["name"] for run in desk.runs(library).values()]
    with desk.open(library) as app:
        app.wait_rows(9)


def edit(app, name, **texts):
    app.select(name)
    keys("F2")
    dialog = app.window("Conditions")
    for label, text in texts.items():
        dialog.find("text", label).type(text)
    return dialog


@case("conditions are saved, refused while they are wrong, and left alone when cancelled")
def conditions(desk):
    library = desk.new_library(filled=True)
    before = desk.runs(library)[4]["conditions"]
    with desk.open(library) as app:
        app.tick("Base port")
        app.wait_chart("Base port")
        dialog = edit(app, "Base port", Name="Never", Port="nowhere")
        dialog.find("push button", "Cancel").click()
        wait(lambda: len(app.children()) == 1, "the form to close")
        assert desk.runs(library)[4]["conditions"] == before
        dialog = edit(app, "Base port", Ambient="warm")
        wait(lambda: [n for n in dialog.all() if n.role in ("alert", "label", "notification") and "mbient" in n.name and n.drawn and n.name != "Ambient"],
             "a complaint")
        assert not dialog.find("push button", "Save").has("sensitive")
        keys("Escape")
        wait(lambda: len(app.children()) == 1, "the form to close by Escape")
        dialog = edit(app, "Base port", Name="Base & port", Ambient="21.5")
        dialog.find("push button", "Save").point(repeat=2)
        wait(lambda: len(app.children()) == 1, "the form to close")
        app.wait_chart("Base & port")
        wait(lambda: app.rows().count("Base & port") == 1 and "Base port" not in app.rows(), "the list to follow")
    after = desk.runs(library)[4]["conditions"]
    assert after == {**before, "name": "Base & port", "ambient": "21.5"}, after


@case("a run made the reference stands first in the numbers and is named on the chart")
def reference(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        app.tick("Left port")
        app.tick("Desk cradle")
        app.wait_chart("Chart of 2 runs", "Left port, 37.04\u00a0Wh, reference")
        app.select("Desk cradle")
        app.row_of("Desk cradle").find("label", "Desk cradle").point(button=3)
        app.find("menu item", "Make Reference").click()
        app.wait_chart("Desk cradle, 37.70\u00a0Wh, reference")
        wait(lambda: next(iter(app.cells())).startswith("Desk cradle, "), "the reference to stand first")
        wait(lambda: app.find("combo box", "Reference run").all("label", "Desk cradle"), "the drop-down to follow")


@case("searching shows the runs that match and keeps the ticks")
def search(desk):
    with desk.open(desk.new_library(filled=True)) as app:
        app.wait_rows(10)
        app.tick("Base port")
        everything = app.rows()
        keys("ctrl+f")
        typed("cradle")
        app.wait_rows(["Desk cradle"])
        keys("ctrl+a")
        typed("no such run")
        app.page("No run matches the search")
        assert app.rows() == []
        keys("Escape")
        app.wait_rows(everything)
        app.wait_ticked("Base port")


@case("double clicks do no harm")
def double_clicks(desk):
    library = desk.new_library()
    with desk.open(library) as app:
        app.find("push button", "Open the Demo").point(repeat=2)
        app.wait_rows(10)
        app.wait_imported()
        app.wait_rows(10)
        ticked = app.ticked()
        app.box_of("Early stop").point(repeat=2)
        app.find("push button", "Add exports").point(repeat=2)
        app.window("Add Exports")
        assert [n.name for n in app.children()].count("Add Exports") == 1
        keys("Escape")
        wait(lambda: len(app.children()) == 1, "the file chooser to close")
        app.wait_ticked(*ticked)
        app.select("Base port")
        keys("Delete")
        app.wait_rows(9)
        app.find("push button", "Undo").point(repeat=2)
        app.wait_rows(10)
    assert len(desk.runs(library)) == 10


@case("an import is undone by its toast, comes back by Ctrl+Z, and a later removal takes the toast's place")
def undo_import(desk):
    library = desk.new_library()
    with desk.open(library) as app:
        app.find("push button", "Open the Demo").click()
        app.wait_rows(10)
        app.page("Imported 10 runs")
        app.find("push button", "Undo").click()
        app.wait_rows(0)
        app.page("10 runs removed")
        assert not desk.runs(library)
        keys("ctrl+z")
        app.wait_rows(10)
        app.gone("label", "10 runs removed")
        app.select("Base port")
        keys("Delete")
        app.page("Base port removed")
        app.find("push button", "Undo").point(repeat=2)
        app.wait_rows(10)
    assert len(desk.runs(library)) == 10
