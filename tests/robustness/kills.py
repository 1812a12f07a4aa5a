"""python -m tests.robustness.kills COUNT [--seed N]

Kills the real window so many times, each at a random moment while keys edit a bike and save it, and looks at what is
left: whether the bike's file and what was kept aside can be read, whether what was told to be saved is there, and how
old the newest edit is that is lost. Prints a table; ends with 1 if a file is broken, a save is lost, or more than ten
seconds of work.
"""

from __future__ import annotations

import argparse
import os
import random
import select
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

#: At most so many seconds of work may be lost.
_MOST_LOST = 10.0
#: Longest time from the first edit to the kill (s).
_LONGEST = 4.0
_LIGHTEST, _STEP = 120.0, 0.1


@dataclass
class Tally:
    """What became of all kills."""

    kills: int = 0
    edits: int = 0
    saves: int = 0
    broken: int = 0
    lost_saves: int = 0
    most_lost: float = 0.0
    left: int = 0


def _mass(number: int) -> float:
    return round(_LIGHTEST + _STEP * number, 1)


def _number(mass: float | None) -> int:
    return -1 if mass is None else round((mass - _LIGHTEST) / _STEP)


def _ride(path: Path, told: int, seed: int) -> None:
    """The process that is killed: a window, a field of the Bike page, and keys without end."""
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    from gearplan.window.document.entryrows import NumberRow
    from gearplan.window.frame import application

    app, chance = application.prepared_application(), random.Random(seed)
    window = application.shown_window(app, str(path))
    app.processEvents()
    window.show_page("Bike")
    window.show_field("load.bike_kg")
    row = window.bike_page.rows["load", "bike_kg"]
    assert isinstance(row, NumberRow)

    def tell(what: str, number: int) -> None:
        os.write(told, f"{what} {number} {time.monotonic()}\n".encode())

    number = 0
    while True:
        number += 1
        row.field.selectAll()
        QTest.keyClicks(row.field, f"{_mass(number)}")
        QTest.keyClick(row.field, Qt.Key.Key_Return)
        tell("edit", number)
        app.processEvents()
        if chance.random() < 0.15:
            QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
        app.processEvents()
        # What the title says is what the user sees.
        if not window.isWindowModified():
            tell("saved", number)


def _killed(folder: Path, chance: random.Random, tally: Tally) -> None:
    from gearplan.bike.demo import demo_bike
    from gearplan.bike.files.bikefile import BikeFileError, read_bike, save_bike
    from gearplan.bike.profile import with_value

    path = folder / "a.bike.toml"
    save_bike(path, with_value(demo_bike().bike, "load", "bike_kg", _mass(0)), None)
    reading, telling = os.pipe()
    seed = chance.randrange(1 << 30)
    child = os.fork()
    if child == 0:
        try:
            os.environ.update({"XDG_CONFIG_HOME": f"{folder}/c", "XDG_STATE_HOME": f"{folder}/s"})
            os.close(reading)
            _ride(path, telling, seed)
        finally:
            os._exit(1)
    os.close(telling)
    heard, end = b"", None
    wait = chance.uniform(0, _LONGEST)
    while end is None or (left := end - time.monotonic()) > 0:
        if select.select([reading], [], [], None if end is None else left)[0]:
            more = os.read(reading, 65536)
            if not more:
                raise SystemExit("the window ended by itself")
            heard += more
            end = end or time.monotonic() + wait
    os.kill(child, signal.SIGKILL)
    at = time.monotonic()
    os.waitpid(child, 0)
    while more := os.read(reading, 65536):
        heard += more
    os.close(reading)
    lines = [line.split() for line in heard.decode().splitlines() if line.count(" ") == 2]
    edits = {int(number): float(when) for what, number, when in lines if what == "edit"}
    saves = [int(number) for what, number, _ in lines if what == "saved"]
    tally.kills, tally.edits, tally.saves = tally.kills + 1, tally.edits + len(edits), tally.saves + len(saves)
    there = -1
    kept = list((folder / "s" / "gearplan" / "unsaved").glob("*.bike.toml"))
    for held in (path, *kept):
        try:
            number = _number(read_bike(held).bike.load.bike_kg)
            there = max(there, number)
            if held == path:
                tally.lost_saves += number < max(saves, default=-1)
        except BikeFileError:
            tally.broken += 1
    lost = [at - when for number, when in edits.items() if number > there]
    tally.most_lost = max(tally.most_lost, *lost, 0.0)
    tally.left += sum(".gearplan-" in left.name for left in folder.rglob(".*"))


def main() -> int:
    """Kill it."""
    asked = argparse.ArgumentParser(prog="python -m tests.robustness.kills", description=__doc__)
    asked.add_argument("count", type=int)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    # All is loaded once; each window is a process of its own that begins from here.
    import gearplan.window.bike.page
    import gearplan.window.frame.application
    import gearplan.window.speed.page  # noqa: F401

    tally, chance = Tally(), random.Random(given.seed)
    for _ in range(given.count):
        with tempfile.TemporaryDirectory(prefix="kills") as folder:
            _killed(Path(folder), chance, tally)
    print(f"{tally.kills} kills among {tally.edits} edits, {tally.saves} times saved")
    print(f"{tally.broken} broken files, {tally.lost_saves} lost saves, {tally.left} files left that are not whole")
    print(f"at most {tally.most_lost:.1f} s of edits lost")
    return 1 if tally.broken or tally.lost_saves or tally.most_lost > _MOST_LOST else 0


if __name__ == "__main__":
    sys.exit(main())
