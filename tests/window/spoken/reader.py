"""Reads a program through the accessibility bus, as a screen reader does; run by the system's own Python.

Not by the project's: the bindings (gi, Atspi) come with the desktop. Each line of the input is a command, each line of
the output its answer as JSON: "read" gives everything in sight, "heard" what was announced since the last time.
"""

# The desktop's bindings have no types.
# mypy: ignore-errors

import json
import sys
import time

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi, GLib  # noqa: E402

NAME = "gearplan"
STATE = Atspi.StateType
#: Of a table with more cells than this only so many are read.
MOST_CELLS = 60
heard = []


def program():
    for _ in range(200):
        desktop = Atspi.get_desktop(0)
        for at in range(desktop.get_child_count()):
            child = desktop.get_child_at_index(at)
            if child is not None and NAME in child.get_name().lower():
                return child
        time.sleep(0.05)
    raise SystemExit("the program is not on the bus")


def told(node):
    role, states = node.get_role_name(), node.get_state_set()
    value = ""
    try:
        if "Value" in node.get_interfaces():
            value = repr(node.get_current_value())
        elif "Text" in node.get_interfaces():
            value = Atspi.Text.get_text(node, 0, -1)
    except GLib.Error as failed:
        value = f"({failed.message})"
    return {
        "role": role,
        "name": node.get_name(),
        "description": node.get_description(),
        "value": value,
        "takes keys": states.contains(STATE.FOCUSABLE),
        "enabled": states.contains(STATE.ENABLED),
        "depth": 0,
    }


def read(node, depth, into):
    try:
        states = node.get_state_set()
        if depth and not (states.contains(STATE.SHOWING) or states.contains(STATE.VISIBLE)):
            return
        one = told(node)
        one["depth"] = depth
        into.append(one)
        count = node.get_child_count()
        if "table" in one["role"] or "list" in one["role"]:
            count = min(count, MOST_CELLS)
        for at in range(count):
            child = node.get_child_at_index(at)
            if child is not None:
                read(child, depth + 1, into)
    except GLib.Error:
        # Gone while it was read.
        return


def announced(event):
    heard.append({"by": event.source.get_role_name(), "text": str(event.any_data)})


def main():
    Atspi.init()
    listener = Atspi.EventListener.new(announced)
    for kind in ("object:announcement", "object:alert"):
        listener.register(kind)
    root = program()
    context = GLib.MainContext.default()
    print(json.dumps({"found": root.get_name()}), flush=True)
    for line in sys.stdin:
        until = time.time() + 0.3
        while time.time() < until:
            context.iteration(False)
            time.sleep(0.005)
        if line.strip() == "read":
            found = []
            read(root, 0, found)
            print(json.dumps(found), flush=True)
        else:
            print(json.dumps(heard), flush=True)
            heard.clear()


main()
