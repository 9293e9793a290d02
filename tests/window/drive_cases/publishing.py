# SPDX-License-Identifier: GPL-3.0-or-later
"""The chart written for readers: what the sheet saves is what "tide draw" writes."""
import os
import struct
import subprocess

from atdrive import keys, wait
from .desk import case


def read_png_size(content):
    assert content[:8] == b"\x89PNG\r\n\x1a\n" and content[12:16] == b"IHDR"
    return struct.unpack(">II", content[16:24])


def open_sheet(app):
    app.find("push button", "Publish").click()
    return wait(lambda: next((n for n in app.children() if n.role == "frame" and n.name == "Publish chart"), None), "the sheet")


def save(app, sheet, path):
    """Through the file chooser, as a person who types where it goes."""
    sheet.find("push button", "Save…").click()
    app.find("text", "Name:").type(path)
    app.find("push button", "Save").click()
    app.page(os.path.basename(path) + " published")
    with open(path, "rb") as f:
        return f.read()


def draw(desk, library, path, *options):
    desk.tide("draw", "--library", library, "1", "5", "-o", path, *options)
    with open(path, "rb") as f:
        return f.read()


def check_opens(path, size):
    """Other programs take the file for what it says it is."""
    if path.endswith(".svg"):
        subprocess.run(["xmllint", "--noout", "--nonet", path], check=True)
        shot = subprocess.run(["rsvg-convert", path], check=True, capture_output=True).stdout
        assert read_png_size(shot) == size, read_png_size(shot)
    elif path.endswith(".png"):
        subprocess.run(["pngcheck", "-q", path], check=True)
    else:
        pages = subprocess.run(["pdftotext", path, "-"], check=True, capture_output=True, text=True).stdout
        assert "Desk cradle" in pages, pages


def publish_as(desk, ending, label, size=None, look=None, title=None):
    library, folder = desk.new_library(filled=True), desk.folder()
    shown, measures = size or ("Video, 1920 × 1080", (1920, 1080))
    with desk.open(library) as app:
        app.tick("Left port")
        app.tick("Desk cradle")
        app.wait_chart("Chart of 2 runs")
        sheet = open_sheet(app)
        if label:
            app.choose(sheet.find("combo box", "Format"), label)
        if look:
            app.choose(sheet.find("combo box", "Look"), look)
        if size:
            app.choose(sheet.find("combo box", "Size"), shown)
        if title:
            sheet.find("text", "Title").type(title)
        written = save(app, sheet, os.path.join(folder, "chart" + ending))
    assert os.listdir(folder) == ["chart" + ending], os.listdir(folder)
    if ending == ".png":
        assert read_png_size(written) == measures, read_png_size(written)
    check_opens(os.path.join(folder, "chart" + ending), measures)
    options = ["--size", "%dx%d" % measures, *(["--look", look.lower()] if look else []), *(["--title", title] if title else [])]
    assert written == draw(desk, library, os.path.join(folder, "drawn" + ending), *options), "not what tide draw writes"


@case("a PNG of the usual size is published, byte for byte as tide draw writes it")
def png(desk):
    publish_as(desk, ".png", None)


@case("a dark SVG of another size is published, byte for byte as tide draw writes it")
def svg(desk):
    publish_as(desk, ".svg", "SVG drawing", size=("Square, 1080 × 1080", (1080, 1080)), look="Dark")


@case("a PDF with a title is published, byte for byte as tide draw writes it")
def pdf(desk):
    publish_as(desk, ".pdf", "PDF page", size=("Article, 1200 × 800", (1200, 800)), title="Port & cradle <compared>")


@case("cancelling the sheet or its file chooser writes nothing, and the sheet opens once on a double click")
def cancel(desk):
    library, folder = desk.new_library(filled=True), desk.folder()
    with desk.open(library) as app:
        app.tick("Left port")
        app.wait_chart("Left port")
        app.find("push button", "Publish").point(repeat=2)
        wait(lambda: [n.name for n in app.children()].count("Publish chart"), "the sheet")
        assert [n.name for n in app.children()].count("Publish chart") == 1, app.children()
        sheet = app.window("Publish chart")
        sheet.find("push button", "Save…").click()
        app.find("text", "Name:").type(os.path.join(folder, "chart.png"))
        keys("Escape")
        wait(lambda: not app.all("text", "Name:"), "the file chooser to close")
        sheet.find("push button", "Cancel").click()
        wait(lambda: len(app.children()) == 1, "the sheet to close")
        open_sheet(app)
        keys("Escape")
        wait(lambda: len(app.children()) == 1, "the sheet to close by Escape")
        app.wait_chart("Left port")
    assert os.listdir(folder) == []
