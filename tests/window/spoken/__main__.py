"""Shows every page on a display of its own and reads it through the accessibility bus, as a screen reader does.

`python -m tests.window.spoken [FILE]` prints what has no name, and what was announced while sets were tried; all that
was read goes to FILE. It needs Xvfb, dbus-run-session, at-spi2-core, and the bindings of the desktop's own Python
(python3-gi, gir1.2-atspi-2.0), so it is not part of the suite, which looks at Qt's tree alone.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

_BUS = "/usr/libexec/at-spi-bus-launcher"
_READER = Path(__file__).with_name("reader.py")
_INSIDE = "GEARPLAN_SPOKEN_INSIDE"
#: What a person can act on or reads as one thing: without a name nobody knows what it is.
_NAMED = (
    "button", "toggle button", "check box", "radio button", "combo box", "text", "entry", "slider", "spin button",
    "list", "table", "table cell", "chart", "page tab", "menu", "menu item", "check menu item", "radio menu item",
    "list item",
)  # fmt: skip

Node = dict[str, Any]


def outside() -> int:
    """A display, a session bus and the accessibility bus, all private, then this program again within them."""
    read_end, write_end = os.pipe()
    display = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write_end), "-screen", "0", "1920x1080x24", "-nolisten", "tcp"],
        pass_fds=[write_end],
        stderr=subprocess.DEVNULL,
    )
    try:
        with os.fdopen(read_end) as told:
            number = told.readline().strip()
        with tempfile.TemporaryDirectory() as home:
            own = {f"XDG_{name}_HOME": home for name in ("CONFIG", "STATE", "DATA", "CACHE")}
            env = os.environ | own | {
                "DISPLAY": f":{number}", "QT_QPA_PLATFORM": "xcb", "QT_LINUX_ACCESSIBILITY_ALWAYS_ON": "1",
                "XDG_RUNTIME_DIR": home, _INSIDE: "1",
            }  # fmt: skip
            env.pop("WAYLAND_DISPLAY", None)
            Path(home).chmod(0o700)
            command = ["dbus-run-session", "--", sys.executable, "-m", "tests.window.spoken", *sys.argv[1:]]
            return subprocess.run(command, env=env, check=False).returncode
    finally:
        display.terminate()
        display.wait()


class Reader:
    """The other program; its questions come back to this one, so the window goes on while it reads."""

    def __init__(self, turn: Any) -> None:
        self._turn = turn
        self._bus = subprocess.Popen([_BUS, "--launch-immediately"], stderr=subprocess.DEVNULL)
        time.sleep(1)
        self._process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Once the program is on the bus."""
        self._process = subprocess.Popen(
            ["/usr/bin/python3", str(_READER)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self._answer()

    def ask(self, command: str) -> list[Node]:
        """The answer to a command."""
        assert self._process is not None
        assert self._process.stdin is not None
        self._process.stdin.write(command + "\n")
        self._process.stdin.flush()
        found: list[Node] = self._answer()
        return found

    def _answer(self) -> Any:
        import select

        assert self._process is not None
        assert self._process.stdout is not None
        while not select.select([self._process.stdout], [], [], 0)[0]:
            self._turn()
            time.sleep(0.001)
        line = self._process.stdout.readline()
        if not line:
            raise SystemExit("the reader has gone")
        return json.loads(line)

    def stop(self) -> None:
        """End what was started."""
        for process in (self._process, self._bus):
            if process is not None:
                process.terminate()
                process.wait()


def unnamed(nodes: list[Node]) -> Iterator[str]:
    """What can be acted on and has no name, with what it lies in."""
    path: list[str] = []
    for node in nodes:
        del path[node["depth"] :]
        path.append(node["name"] or node["role"])
        if (node["role"] in _NAMED or node["takes keys"]) and not node["name"].strip():
            yield f"{node['role']} without a name in {' / '.join(path[-4:-1])} (value {node['value']!r})"


def inside() -> int:
    """Walk through the pages."""
    from PySide6.QtWidgets import QTabWidget

    from gearplan.bike.demo import demo_bike
    from gearplan.window.frame import settings
    from gearplan.window.frame.application import prepared_application
    from gearplan.window.frame.pagehost import PAGES
    from gearplan.window.frame.workbench import Workbench
    from gearplan.window.kit import theme

    app = prepared_application()

    def turn() -> None:
        app.processEvents()

    reader = Reader(turn)
    theme.apply(app, theme.LIGHT)
    window = Workbench(settings.Settings())
    window.make_pages()
    window.files.start_with(demo_bike(), None)
    window.show()
    window.activateWindow()
    for _ in range(50):
        turn()
    window.circuits.open_demo("Marlpit Lane")
    # What was not saved is not asked about.
    window.circuits.may_leave = lambda: True  # type: ignore[method-assign]
    record: dict[str, list[Node]] = {}
    complaints: list[str] = []
    try:
        reader.start()
        for name in PAGES:
            window.show_page(name)
            tabs = window.page(name).findChildren(QTabWidget)
            for tab in range(tabs[0].count() if tabs else 1):
                if tabs:
                    tabs[0].setCurrentIndex(tab)
                for _ in range(30):
                    turn()
                time.sleep(0.4)
                turn()
                place = f"{name}, {tabs[0].tabText(tab)}" if tabs else name
                record[place] = reader.ask("read")
                complaints += [f"{place}: {what}" for what in unnamed(record[place])]
                print(f"{place}: {len(record[place])} read", flush=True)
        window.show_page("Speed")
        reader.ask("heard")
        for front, rear in ((15, 52), (17, 40), (9, 70)):
            window.document.propose(replace(window.document.chosen, front=front, rear=rear), "p")
            until = time.time() + 1.2
            while time.time() < until:
                turn()
            announced = reader.ask("heard")
            print(f"{front}/{rear}: announced {[one['text'] for one in announced]}")
            if not announced:
                complaints.append(f"{front}/{rear}: the verdict was not announced")
        record["announced"] = announced
    finally:
        reader.stop()
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(json.dumps(record, indent=1, ensure_ascii=False), encoding="utf-8")
    for what in dict.fromkeys(complaints):
        print(what)
    print(f"{sum(map(len, record.values()))} read, {len(set(complaints))} amiss")
    return 1 if complaints else 0


if __name__ == "__main__":
    code = inside() if _INSIDE in os.environ else outside()
    # Qt's threads of the bus need no orderly end.
    sys.stdout.flush()
    os._exit(code)
