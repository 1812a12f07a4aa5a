"""The bike at hand in the list, as a picture beside it: what is on it, and its chain run to scale."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.files.bikefile import BikeFileError, read_bike
from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.set import words as setwords
from gearplan.plan.set.evaluate import fitted_and
from gearplan.plan.words import set_name
from gearplan.window.kit.places.layout import card
from gearplan.window.kit.plaintext import PlainLabel

if TYPE_CHECKING:
    from gearplan.window.kit.charts.runpicture import RunPicture


class BikePreview(QWidget):
    """Reads one bike file when it is shown; a file that cannot be read leaves it blank, for the list says why."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._of: tuple[Path, int] | None = None
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        frame, self._column = card()
        outer.addWidget(frame)
        self.name, self.told = PlainLabel(), PlainLabel()
        self.name.setProperty("role", "title")
        self.told.setProperty("role", "quiet")
        for label in (self.name, self.told):
            label.setWordWrap(True)
            self._column.addWidget(label)

    @cached_property
    def run(self) -> RunPicture:
        """The chain run, made when there first is a bike to show."""
        from gearplan.window.kit.charts.runpicture import RunPicture

        run = RunPicture(tr("As fitted, to scale"))
        self._column.addWidget(run, 1)
        return run

    def show_file(self, path: Path | None) -> None:
        """Show the bike in a file as the file is now."""
        try:
            of = None if path is None else (path, path.stat().st_mtime_ns)
            if of is not None and of == self._of:
                return
            bike = None if path is None else read_bike(path).bike
        except (OSError, BikeFileError):
            of, bike = None, None
        self.show_bike(bike)
        self._of = of

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        if "run" in self.__dict__:
            self.run.recolour()

    def show_bike(self, bike: Bike | None) -> None:
        """Show a bike; nothing for None."""
        self._of = None
        self.name.setText("" if bike is None else bike.name or tr("Unnamed bike"))
        self.told.setText("" if bike is None else set_name(fitted(bike)))
        if "run" in self.__dict__:
            self.run.setVisible(bike is not None)
        if bike is not None:
            on, _ = fitted_and(bike, fitted(bike))
            self.run.show_sets(bike, None, on, setwords.no_drawing(on)[0])
