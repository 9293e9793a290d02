#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A desktop's notification service: prints a line "TITLE | BODY" for each notification until it is ended.

    notifications.py        prints "ready" once it is asked
"""
import sys

from gi.repository import Gio, GLib

XML = """<node><interface name='org.freedesktop.Notifications'>
<method name='GetCapabilities'><arg type='as' direction='out'/></method>
<method name='GetServerInformation'><arg type='s' direction='out'/><arg type='s' direction='out'/>
<arg type='s' direction='out'/><arg type='s' direction='out'/></method>
<method name='Notify'><arg type='s'/><arg type='u'/><arg type='s'/><arg type='s'/><arg type='s'/><arg type='as'/>
<arg type='a{sv}'/><arg type='i'/><arg type='u' direction='out'/></method>
<method name='CloseNotification'><arg type='u'/></method>
</interface></node>"""


def say(text):
    print(text, flush=True)


def called(connection, sender, path, interface, method, parameters, invocation):
    if method == "Notify":
        _, _, _, title, body, *_ = parameters.unpack()
        say(f"{title} | {body}")
    answer = {"Notify": GLib.Variant("(u)", (1,)), "GetCapabilities": GLib.Variant("(as)", (["actions", "body"],)),
              "GetServerInformation": GLib.Variant("(ssss)", ("test", "test", "1", "1.2"))}.get(method)
    invocation.return_value(answer)


def acquired(connection, name):
    info = Gio.DBusNodeInfo.new_for_xml(XML)
    connection.register_object("/org/freedesktop/Notifications", info.interfaces[0], called, None, None)


Gio.bus_own_name(Gio.BusType.SESSION, "org.freedesktop.Notifications", Gio.BusNameOwnerFlags.NONE, acquired,
                 lambda connection, name: say("ready"), lambda connection, name: sys.exit(1))
GLib.MainLoop().run()
