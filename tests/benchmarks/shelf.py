"""What the list of all bikes costs with 1,000 and with 10,000 of them: `python -m tests.benchmarks.shelf`.

Times are of the processor, also as multiples of a fixed piece of work, so that the machine cancels out.
"""

from __future__ import annotations

import random
import tempfile
from datetime import date
from pathlib import Path

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import text_with
from gearplan.bike.profile import Owner, with_value
from gearplan.shelf.index import Index, opened
from gearplan.shelf.looking import look
from gearplan.shelf.order import COLUMNS, cells, in_order
from tests.benchmarks.laps import quickest, yardstick

DAY = date(2026, 5, 31)
_NAMES = ("Ada", "Bo", "Cyril", "Dora", "Egon", "Fay"), ("Thornbury", "Larkspur", "Quill", "Marsh", "Oake")


def fill(folder: Path, count: int) -> None:
    """So many files, a hundred to a folder."""
    chance, bike = random.Random(count), demo_bike().bike
    text = text_with(with_value(bike, "owner", "name", "OWNER"), "")
    text = text.replace('"OWNER"', '"OWNER"\nregistration = "PLATE"')
    for number in range(count):
        place = folder / str(number // 100)
        place.mkdir(exist_ok=True)
        owner = Owner(" ".join(chance.choice(names) for names in _NAMES), None, f"XQ {chance.randrange(10_000):04}")
        own = text.replace("OWNER", str(owner.name)).replace("PLATE", str(owner.registration))
        (place / f"{number}.bike.toml").write_text(own, encoding="utf-8")


def warm(file: Path) -> None:
    """What stands between the page being asked for and its table: read, sort, write the lines."""
    index = opened(file)
    for entry in in_order(index.entries(), COLUMNS[0]):
        cells(entry)
    index.close()


def report(count: int) -> dict[str, float]:
    """Milliseconds by what they were spent on."""
    with tempfile.TemporaryDirectory() as place:
        folder, file = Path(place) / "bikes", Path(place) / "bikes.sqlite"
        folder.mkdir()
        fill(folder, count)
        index: Index = opened(file)
        found = {
            "read all files once": quickest(lambda: look(index, [folder], DAY), 1),
            "list from the index": quickest(lambda: warm(file)),
            "look for what changed": quickest(lambda: look(index, [folder], DAY), 3),
            "find by two words": quickest(lambda: index.matching("thorn xq 12")),
        }
        index.close()
    return found


if __name__ == "__main__":
    measure = yardstick()
    few, many = report(1_000), report(10_000)
    for name, took in many.items():
        print(f"{name}: 1,000 bikes {few[name]:.1f} ms, 10,000 {took:.1f} ms, {took / measure:.1f} × the fixed work")
