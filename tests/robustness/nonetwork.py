"""python -m tests.robustness.nonetwork WAY: goes a way through the program where no socket to anywhere can be had.

The kernel ends the process at the first socket of the internet, whoever asks for it: Python, Qt, a library or a helper.
Sockets within the machine, of the display and the desktop, are let be.
"""

from __future__ import annotations

import ctypes
import os
import platform
import signal
import socket
import struct
import sys
import tempfile
from pathlib import Path

#: The number of the call `socket` by machine, and what of the kernel's headers is needed (linux/seccomp.h, filter.h).
SOCKET = {"x86_64": 41, "aarch64": 198}
_NO_NEW_PRIVILEGES, _SECCOMP, _FILTER = 38, 22, 2
_LOAD, _IF_EQUAL, _RETURN = 0x20, 0x15, 0x06
_NUMBER, _FIRST_ARGUMENT = 0, 16
_KILL, _ALLOW = 0x80000000, 0x7FFF0000
#: How such a process ends.
ENDED = -int(getattr(signal, "SIGSYS", 31))


def forbid() -> None:
    """From now on a socket of the internet ends this process and those that it starts; OSError if that can't be had."""
    rules = [
        (_LOAD, 0, 0, _NUMBER),
        (_IF_EQUAL, 0, 4, SOCKET[platform.machine()]),
        (_LOAD, 0, 0, _FIRST_ARGUMENT),
        (_IF_EQUAL, 1, 0, int(socket.AF_INET)),
        (_IF_EQUAL, 0, 1, int(socket.AF_INET6)),
        (_RETURN, 0, 0, _KILL),
        (_RETURN, 0, 0, _ALLOW),
    ]
    held = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *rule) for rule in rules))
    program = ctypes.create_string_buffer(struct.pack("HxxxxxxP", len(rules), ctypes.addressof(held)))
    system = ctypes.CDLL(None, use_errno=True)
    if system.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0) or system.prctl(_SECCOMP, _FILTER, program, 0, 0):
        raise OSError(ctypes.get_errno(), "no such filter here")


def commands(folder: Path) -> None:
    """Each command that needs no other file than a bike, and a page on paper."""
    from gearplan import cli
    from gearplan.bike.demo import demo_bike
    from gearplan.bike.files.bikefile import save_bike

    bike = folder / "a.bike.toml"
    save_bike(bike, demo_bike().bike, None)
    for arguments in (
        ["numbers", str(bike), "--rear", "45", "--json"],
        ["jobs", str(bike)],
        ["bikes", str(folder)],
        ["customer", str(bike), "-o", str(folder / "a.pdf")],
    ):
        if code := cli.run(arguments):
            raise SystemExit(f"{arguments}: {code}")


def window(folder: Path, pages: bool) -> None:
    """The window on a bike: an edit, a save, and the pages, or all that stands at the start."""
    from gearplan.bike.files.bikefile import read_bike
    from gearplan.window.frame import application
    from gearplan.window.frame.pagehost import PAGES

    app = application.prepared_application()
    shown = application.shown_window(app, None)
    app.processEvents()
    for name in PAGES if pages else ():
        shown.show_page(name)
        app.processEvents()
    shown.document.set_value("load", "bike_kg", 171.0, "Weight")
    assert shown.files.write(folder / "a.bike.toml")
    assert read_bike(folder / "a.bike.toml").bike.load.bike_kg == 171
    assert shown.close()


def main() -> int:
    """Go the way that is asked for."""
    forbid()
    way = sys.argv[1]
    if way == "socket":
        socket.socket(socket.AF_UNIX).close()
        print("within the machine", flush=True)
        socket.socket()
        return 0
    with tempfile.TemporaryDirectory() as name:
        os.environ.update({"XDG_CONFIG_HOME": f"{name}/c", "XDG_STATE_HOME": f"{name}/s"})
        if way == "commands":
            commands(Path(name))
        else:
            window(Path(name), way == "pages")
    return 0


if __name__ == "__main__":
    sys.exit(main())
