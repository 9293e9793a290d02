# SPDX-License-Identifier: GPL-3.0-or-later
"""Drive a GTK 4 program through AT-SPI, with xdotool for what GTK 4.8 leaves out.

    from atdrive import App
    with App(["build/src/window/tidemark", "a.csv"]) as app:
        app.find("push button", "Open").click()
        app.row("a.csv").select()
        app.menu("Main menu", "Print to PDF")

Run it with the system's python3 (packages python3-gi, gir1.2-atspi-2.0,
xdotool) inside a session bus and an X server, with GTK_A11Y=atspi or unset.

What AT-SPI does on GTK 4.8 and what it does not, as this module works it out:
names, roles, descriptions, text, clicking buttons and menu items, typing into
entries, choosing list rows and running a window's actions all work. Screen
coordinates, GrabFocus, the SHOWING state and keyboard focus on list rows do
not: place() and focus() go through the X server instead.
"""
import itertools
import os
import signal
import subprocess
import time
import warnings

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi, GLib  # noqa: E402

warnings.filterwarnings("ignore", category=DeprecationWarning)

TIMEOUT = float(os.environ.get("ATDRIVE_TIMEOUT", "10"))
# a program under a sanitizer or valgrind answers late; libatspi's own limit of
# under a second would take it for dead
Atspi.set_timeout(int(TIMEOUT * 1000), int(TIMEOUT * 2000))


# newer at-spi2-core says 'button' for what Debian 12's calls 'push button'
ROLES = {"button": "push button"}


class NotFound(AssertionError):
    pass


class OffBus(NotFound):
    """The bus does not list the program: not yet, not at this moment, or because it has ended."""


def wait(condition, what="condition", timeout=None):
    """Call condition() until it is true; hand back what it gave."""
    end = time.monotonic() + (timeout or TIMEOUT)
    while True:
        try:
            value = condition()
        except (GLib.Error, OffBus):    # an object that has just gone away; one that stays away runs into the time
            value = None
        if value:
            return value
        if time.monotonic() > end:
            raise NotFound("timed out waiting for " + what)
        time.sleep(0.05)


def x(*args):
    done = subprocess.run(["xdotool", *map(str, args)], capture_output=True, text=True)
    return done.stdout.split()


def move(px, py):
    """Put the pointer there. Where it is already it goes one pixel aside and
    back: xdotool's --sync would hang for 15 s, and a window that came up under
    a pointer at rest takes no click from it."""
    here = dict(p.split(":", 1) for p in x("getmouselocation"))
    if (int(here["x"]), int(here["y"])) == (px, py):
        x("mousemove", "--sync", px + (1 if px == 0 else -1), py)
    x("mousemove", "--sync", px, py)


class Node:
    """One accessible object."""

    def __init__(self, app, acc):
        self.app, self.acc = app, acc

    def __repr__(self):
        return f"<{self.role} {self.name!r}>"

    description = property(lambda self: self.acc.get_description())
    interfaces = property(lambda self: self.acc.get_interfaces())

    @property
    def role(self):
        role = self.acc.get_role_name()
        return ROLES.get(role, role)

    @property
    def name(self):
        """The name; 'mnemonic name' pairs such as '_Open Open' become 'Open'."""
        name = self.acc.get_name() or ""
        first, _, rest = name.partition(" ")
        half = (len(name) - 1) // 2
        for cut in {len(first), half, half + 1}:
            if 0 < cut < len(name) and name[:cut].replace("_", "", 1) == name[cut + 1:]:
                return name[cut + 1:]
        return name

    def has(self, state):
        return self.acc.get_state_set().contains(getattr(Atspi.StateType, state.upper()))

    @property
    def text(self):
        # an end of -1 gives '' on GTK 4.8: ask for the count
        return Atspi.Text.get_text(self.acc, 0, Atspi.Text.get_character_count(self.acc))

    @property
    def value(self):
        return Atspi.Value.get_current_value(self.acc)

    @property
    def box(self):
        """x, y, width, height in the window's own coordinates."""
        e = Atspi.Component.get_extents(self.acc, Atspi.CoordType.WINDOW)
        return e.x, e.y, e.width, e.height

    @property
    def drawn(self):
        """Has a size: GTK 4.8 never says SHOWING of anything in a window."""
        if "Component" not in self.interfaces:
            return True
        return min(self.box[2:]) > 0

    # -- the tree --

    def parent(self):
        up = self.acc.get_parent()
        return Node(self.app, up) if up else None

    def children(self):
        kids = []
        try:
            for i in range(self.acc.get_child_count()):
                kid = self.acc.get_child_at_index(i)
                if kid is not None:
                    kids.append(Node(self.app, kid))
        except GLib.Error:      # it has gone while we looked
            pass
        return kids

    def walk(self):
        yield self
        for kid in self.children():
            yield from kid.walk()

    def hits(self, role=None, name=None, drawn=True):
        for node in self.walk():
            try:
                if role is not None and node.role != role:
                    continue
                if name is not None and node.name != name:
                    continue
                if not drawn or node.drawn:
                    yield node
            except GLib.Error:
                pass

    def all(self, role=None, name=None, drawn=True):
        return list(self.hits(role, name, drawn))

    def find(self, role=None, name=None, drawn=True, timeout=None, nth=0):
        what = f"{role or 'anything'} named {name!r}" if name is not None else str(role)
        return wait(lambda: next(itertools.islice(self.hits(role, name, drawn), nth, None), None), what, timeout)

    def gone(self, role=None, name=None, timeout=None):
        wait(lambda: next(self.hits(role, name), None) is None, f"{role} {name!r} to go", timeout)

    def up_to(self, *roles):
        node = self
        while node and node.role not in roles:
            node = node.parent()
        return node

    def dump(self, depth=0):
        print("  " * depth + f"{self.role}: {self.name!r}" + (f" ({self.description})" if self.description else ""))
        for kid in self.children():
            kid.dump(depth + 1)

    # -- doing things through AT-SPI --

    def actions(self):
        return [Atspi.Action.get_action_name(self.acc, i) for i in range(Atspi.Action.get_n_actions(self.acc))]

    def do(self, action):
        names = self.actions()
        if action not in names:
            raise NotFound(f"{self!r} has no action {action!r}, only {names}")
        assert Atspi.Action.do_action(self.acc, names.index(action))

    def click(self):
        """The node's own action where it has one, else the pointer.

        On GTK 4.8 buttons, menu items and tabs have 'click', switches have
        'toggle', expanders 'activate'; check buttons, list rows and column
        headings have none. (The 'activate' of an entry is its Return key.)"""
        if "Action" in self.interfaces:
            for action in ("click", "toggle", "activate"):
                if action in self.actions() and (action != "activate" or self.role == "push button"):
                    return self.do(action)
        self.point()

    def type(self, text, replace=True):
        if replace:
            assert Atspi.EditableText.set_text_contents(self.acc, text)
        else:
            at = Atspi.Text.get_character_count(self.acc)
            assert Atspi.EditableText.insert_text(self.acc, at, text, len(text.encode()))

    def select(self):
        """A row in a list box, list view or column view. (In the list of an
        open drop-down this only moves the mark: use point() there.)"""
        parent = self.acc.get_parent()
        for i in range(parent.get_child_count()):
            if parent.get_child_at_index(i) == self.acc:
                assert Atspi.Selection.select_child(parent, i)
                return self
        raise NotFound(f"{self!r} is not in its parent")

    # -- doing things through the X server --

    def surface(self):
        """The node that has an X window of its own: a window or a popover."""
        node, content = self, False
        while True:
            up = node.parent()
            if content or node.role == "menu" or up is None or up.role == "application":
                return node
            content = node.name == "GtkPopoverContent"
            node = up

    def place(self):
        """Middle of the node in pixels of the X screen."""
        top = self.surface()
        px, py, pw, ph = top.box
        bx, by, bw, bh = self.box
        scale = int(os.environ.get("GDK_SCALE", "1"))
        wx, wy, ww, wh = self.app.xwindow(top)
        # a window's shadow or border lies outside what AT-SPI calls the window
        mx, my = (ww - pw * scale) // 2, (wh - ph * scale) // 2
        return (wx + mx + (bx - px) * scale + bw * scale // 2,
                wy + my + (by - py) * scale + bh * scale // 2)

    def point(self, button=1, repeat=1):
        px, py = self.place()
        move(px, py)
        # two calls on one spot are two clicks, not one double click (400 ms)
        when, lx, ly = App.clicked
        near = max(abs(px - lx), abs(py - ly)) < 16
        time.sleep(max(0.05, when + 0.5 - time.monotonic() if near else 0))
        App.clicked = time.monotonic(), px, py
        x("click", "--repeat", repeat, "--delay", 60, button)

    def focus(self):
        self.point()


class App(Node):
    """A started program; ended by process id when the with block is left."""

    clicked = 0.0, 0, 0     # when and where

    def __init__(self, argv, env=None, stderr=None):
        # fatal warnings are for the program alone: libatspi warns in our own
        # process about things that do no harm
        env = {**os.environ, "G_DEBUG": "fatal-warnings", **(env or {})}
        self.proc = subprocess.Popen(argv, env=env, stderr=stderr)
        self.app = self

    @property
    def acc(self):
        desktop = Atspi.get_desktop(0)
        for i in range(desktop.get_child_count()):
            child = desktop.get_child_at_index(i)
            if child is not None and child.get_process_id() == self.proc.pid:
                return child
        raise OffBus("the program is not on the accessibility bus")

    def __enter__(self):
        def ready():
            assert self.proc.poll() is None, f"ended early: {self.proc.returncode}"
            try:
                return any(n.drawn for n in self.children())
            except NotFound:
                return False
        try:
            wait(ready, "the first window")
        except BaseException:
            self.end()
            raise
        return self

    def __exit__(self, kind, *exc):
        status = self.end()
        # a sanitizer speaks when the program ends, so its last word counts
        if kind is None and status not in (0, -signal.SIGTERM):
            raise AssertionError(f"the program ended with status {status}")

    def end(self, timeout=5):
        """Close its windows as a person would: only a program that ends by
        itself writes its coverage and its leak report. Then SIGTERM, SIGKILL."""
        try:
            for node in reversed(self.children()):
                if "window.close" in node.actions():
                    node.do("window.close")
            self.proc.wait(timeout)
        except (NotFound, AssertionError, GLib.Error, subprocess.TimeoutExpired):
            pass
        for end in (signal.SIGTERM, signal.SIGKILL):
            if self.proc.poll() is None:
                self.proc.send_signal(end)
                try:
                    self.proc.wait(timeout)
                except subprocess.TimeoutExpired:
                    pass
        return self.proc.wait()

    def window(self, name=None, timeout=None):
        def top():
            # by name: a file chooser's role is 'filler' on GTK 4.8
            for node in self.children():
                if name in (None, node.name):
                    return node
        return wait(top, f"window {name!r}", timeout)

    def row(self, text, timeout=None):
        """The row of a list that shows this text in one of its cells."""
        label = self.find("label", text, timeout=timeout)
        return label.up_to("table row", "list item", "tree item")

    def menu(self, button, *items):
        opener = [b for b in self.all("push button", button) + self.all("toggle button", button)
                  if "click" in b.actions()]
        opener[-1].click()
        for item in items:
            self.find("menu item", item).click()

    def action(self, name):
        """Run an action of the front window, such as 'win.remove'."""
        self.window().do(name)

    def xwindow(self, top):
        """x, y, width, height of the X window that draws this top-level node."""
        width, height = top.box[2:]
        scale = int(os.environ.get("GDK_SCALE", "1"))
        best = None
        for wid in x("search", "--onlyvisible", "--pid", self.proc.pid):
            geo = dict(p.split("=", 1) for p in x("getwindowgeometry", "--shell", wid))
            w, h = int(geo["WIDTH"]), int(geo["HEIGHT"])
            dw, dh = w - width * scale, h - height * scale
            if min(dw, dh) >= 0 and (best is None or dw + dh < best[0]):
                best = dw + dh, int(geo["X"]), int(geo["Y"]), w, h
        if best is None:
            raise NotFound(f"no X window for {top!r}")
        return best[1:]


def keys(*names):
    x("key", "--clearmodifiers", "--delay", 40, *names)


def typed(text):
    x("type", "--delay", 25, "--", text)


def drag(start, end, steps=12, pause=0.02):
    """Press at start, move to end in small steps, let go. Points are (x, y).

    The first small moves carry the pointer past the drag threshold; a single
    jump is not taken for a drag."""
    (x0, y0), (x1, y1) = start, end
    move(x0, y0)
    time.sleep(0.1)
    x("mousedown", 1)
    for i in range(1, 6):
        move(x0 + 4 * i, y0)
        time.sleep(pause)
    time.sleep(0.15)
    for i in range(1, steps + 1):
        move(round(x0 + 20 + (x1 - x0 - 20) * i / steps), round(y0 + (y1 - y0) * i / steps))
        time.sleep(pause)
    time.sleep(0.25)
    x("mouseup", 1)


def drop_files(target, paths, program="dragsource"):
    """Drag files from another program's window onto a node, as from a file
    manager. program is the built dragsource.c; gives its last word: 'end copied',
    'end refused', or 'cancel' where the target takes no files at all."""
    source = subprocess.Popen([program, *paths], stdout=subprocess.PIPE, text=True)
    try:
        assert source.stdout.readline().strip() == "ready"
        wid = wait(lambda: x("search", "--onlyvisible", "--pid", source.pid, "--name", "^dragsource$"), "dragsource")[-1]
        x("windowmove", "--sync", wid, 8, 8)
        x("windowraise", wid)
        time.sleep(0.2)
        drag((50, 50), target.place())
        words = []
        while not words or not words[-1].startswith(("end", "cancel")):
            word = source.stdout.readline().strip()
            if not word:
                break
            words.append(word)
        return words[-1] if words else "no drag began"
    finally:
        source.terminate()
        source.wait()


def screenshot(path):
    subprocess.run(["import", "-window", "root", path], check=True)
