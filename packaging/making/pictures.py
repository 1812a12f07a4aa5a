"""The handbook's pictures, drawn from the program: `python -m making.pictures FOLDER [NAME…]`, without a display."""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtGui import QImage
    from PySide6.QtWidgets import QApplication

    from gearplan.window.frame.workbench import Workbench

#: The size of the window (px), which a picture has too.
SIZE = (1280, 800)
#: No picture waits longer than so many seconds for what is computed beside the window.
_PATIENCE = 120.0
_OFFERED = (14, 46)
#: Made-up owners and registrations.
_CUSTOMERS = (
    ("Ada Thorne", "QX 4711"), ("Ben Okafor", "LM 208"), ("Clara Voss", "TT 93"), ("Dario Lenk", "RV 5520"),
    ("Edda Holm", "KA 17"), ("Finn Aldous", "BW 861"), ("Greta Mayhew", "HN 3302"), ("Hugo Prest", "SD 45"),
)  # fmt: skip


def draw(folder: Path, *names: str) -> None:
    """Draw all pictures, or those of some names, into a folder as PNG."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    with tempfile.TemporaryDirectory(prefix="gearplan-pictures-") as scratch:
        for kind in ("CONFIG", "STATE", "DATA", "CACHE"):
            os.environ[f"XDG_{kind}_HOME"] = str(Path(scratch) / kind.lower())
        from gearplan.bike.demo import demo_bike
        from gearplan.window.frame.application import prepared_application
        from gearplan.window.frame.settings import Settings
        from gearplan.window.frame.workbench import Workbench
        from gearplan.window.kit import theme

        app = prepared_application()
        theme.apply(app, theme.LIGHT)
        window = Workbench(Settings())
        window.make_pages()
        window.files.start_with(demo_bike(), None)
        window.resize(*SIZE)
        window.show()
        for name, prepare in _SCENES.items():
            if not names or name in names:
                ready = prepare(window)
                _wait(app, ready)
                written(window.grab().toImage(), folder / f"{name}.png")
        window.document.start(demo_bike(), None)
        window.close()


def written(picture: QImage, path: Path) -> None:
    """Write a picture in the 256 colours that it has most of, which is enough for charts and text and takes a third of
    the room; a fixed table of colours would lay a pattern of dots over every plain ground."""
    import numpy as np
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    whole = picture.convertToFormat(QImage.Format.Format_RGB32)
    colours, counts = np.unique(np.frombuffer(whole.constBits(), np.uint32), return_counts=True)
    most = [int(colour) for colour in colours[np.argsort(counts)[-256:]]]
    few = whole.convertToFormat(QImage.Format.Format_Indexed8, most, Qt.ImageConversionFlag.ThresholdDither)
    if not few.save(str(path)):
        raise OSError(f"{path} cannot be written")


def _wait(app: QApplication, ready: Callable[[], bool]) -> None:
    until = time.monotonic() + _PATIENCE
    while not ready() and time.monotonic() < until:
        app.processEvents()
        time.sleep(0.01)
    # What is laid out or drawn a little later.
    for _ in range(40):
        app.processEvents()
        time.sleep(0.01)


def _page(name: str) -> Callable[[Workbench], Callable[[], bool]]:
    def prepare(window: Workbench) -> Callable[[], bool]:
        _offer(window)
        window.show_page(name)
        return lambda: True

    return prepare


def _offer(window: Workbench) -> None:
    front, rear = _OFFERED
    window.document.propose(replace(window.document.chosen, front=front, rear=rear), "propose")


def _choices(window: Workbench) -> Callable[[], bool]:
    window.view.take_up(None, ("at 120 km/h in top gear at most 5000 rpm", "keep the chain"))
    window.show_page("Choices")
    return lambda: not window.page("Choices").lap_times.busy


def _new_bike(window: Workbench) -> Callable[[], bool]:
    window.show_page("Bike")
    window.ask_basics()
    return lambda: True


def _circuit(window: Workbench) -> Callable[[], bool]:
    _offer(window)
    window.circuits.open_demo("Marlpit Lane")
    window.show_page("Circuit")
    page = window.circuit_page
    return lambda: page.ranker.ranking is not None and not page.ranker.busy


def _ride_log(window: Workbench) -> Callable[[], bool]:
    window.show_page("Ride log")
    page = window.page("Ride log")
    page.open_demo()
    return lambda: not page.background.busy


def _quote(window: Workbench) -> Callable[[], bool]:
    _offer(window)
    window.counter.keep_proposal()
    window.show_page("Quote")
    return lambda: True


def _all_bikes(window: Workbench) -> Callable[[], bool]:
    from gearplan.bike.files.bikefile import bike_from_text, save_bike
    from gearplan.bike.library import demo_bikes

    folder = Path(os.environ["XDG_DATA_HOME"]) / "bikes"
    folder.mkdir(parents=True)
    bikes = [bike_from_text(file.read_text(encoding="utf-8"), name).bike for name, file in demo_bikes().items()]
    for place, (name, registration) in enumerate(_CUSTOMERS):
        bike = bikes[place % len(bikes)]
        owned = replace(bike, owner=replace(bike.owner, name=name, registration=registration))
        save_bike(folder / f"{registration}.bike.toml", owned, None)
    window.remembered.keep(lambda settings: replace(settings, bike_folders=(str(folder),)))
    window.show_page("All bikes")
    page = window.page("All bikes")
    return lambda: page.table.model().rowCount() >= len(_CUSTOMERS)


def _fitting(window: Workbench) -> Callable[[], bool]:
    from gearplan.plan.job.job import begin, with_job

    _offer(window)
    bike = window.document.bike
    job = begin(bike, window.document.chosen, date(2026, 5, 31), "M. K.")
    window.document.edit("fit", with_job(bike, job, job))
    window.show_page("Fitting")
    return lambda: True


#: What the window does for each picture; answers when it is ready.
_SCENES: dict[str, Callable[[Workbench], Callable[[], bool]]] = {
    "speed": _page("Speed"),
    "chain": _page("Chain"),
    "pull": _page("Pull"),
    "bike": _page("Bike"),
    "choices": _choices,
    "customer": _page("Customer"),
    "quote": _quote,
    "circuit": _circuit,
    "ride-log": _ride_log,
    "fitting": _fitting,
    "all-bikes": _all_bikes,
    "new-bike": _new_bike,
}

if __name__ == "__main__":
    draw(Path(sys.argv[1]), *sys.argv[2:])
