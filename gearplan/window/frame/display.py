"""Whether a window can be shown, asked before Qt starts, because Qt ends the process where it cannot."""

from __future__ import annotations

import ctypes
import os
import sys

from gearplan.language import tr

_NEEDS_NO_DISPLAY = ("offscreen", "minimal", "vnc", "linuxfb", "eglfs")


def display_problem() -> str | None:
    """Why no window can be shown, in words; None if one can."""
    platform = os.environ.get("QT_QPA_PLATFORM", "").split(":")[0]
    if platform in _NEEDS_NO_DISPLAY:
        return None
    if sys.platform in ("win32", "darwin"):
        return None
    display = os.environ.get("DISPLAY")
    if not display:
        if os.environ.get("WAYLAND_DISPLAY"):
            return None
        return tr("there is no display (neither DISPLAY nor WAYLAND_DISPLAY is set)")
    if platform == "wayland":
        return None
    try:
        ctypes.CDLL("libxcb-cursor.so.0")
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError as missing:
        return tr(
            "a library for X displays is missing ({missing}); install it with: apt-get install libxcb-cursor0",
            missing=missing,
        )
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(None, None)
    refused = bool(xcb.xcb_connection_has_error(connection))
    xcb.xcb_disconnect(connection)
    return tr("the display {display} does not answer", display=display) if refused else None
