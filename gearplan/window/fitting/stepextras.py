"""What is noted at a step besides its readings: how long it took, who checked it, and photos."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QImageReader, QPixmap
from PySide6.QtWidgets import QPushButton, QToolButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.job.card import is_checked, minutes_of, wants_check
from gearplan.plan.job.steps.targets import Step
from gearplan.window.fitting.readingfield import BenchField, quiet
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel, plain

_SMALL = 96


class StepExtras(QWidget):
    """`noted` carries (table of the job, text); `photo_asked`: a photo is to be attached; `photo_removed` its name."""

    noted = Signal(str, str)
    finished = Signal()
    photo_asked = Signal()
    photo_opened = Signal(str)
    photo_removed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        row = Flow()
        self.errors = ErrorLabel()
        self.minutes, self.checked = ValueField(_minutes), BenchField()
        self.minutes.setProperty("bench", True)
        self.minutes.entered.connect(self._minuted)
        # Half the initials are not the person.
        self.checked.finished.connect(self._checked)
        places: list[QWidget] = []
        for field, label in ((self.minutes, tr("&Minutes")), (self.checked, tr("Checked by (second person)"))):
            fixed_width(field, 90)
            field.errors = self.errors
            field.finished.connect(self.finished)
            places.append(together(labelled(label, field), field))
            row.addWidget(places[-1])
        self._check = places[1]
        self.attach = QPushButton(tr("Attach a photo…"))
        self.attach.clicked.connect(self.photo_asked)
        row.addWidget(self.attach)
        column.addLayout(row)
        self.told = quiet()
        column.addWidget(self.told)
        column.addWidget(self.errors)
        self._photos = Flow()
        column.addLayout(self._photos)
        self._who = ""
        self._shown: tuple[Path, ...] = ()
        self._small: list[QWidget] = []

    def show_step(self, bike: Bike, job: Job, step: Step, photos: tuple[Path, ...]) -> None:
        """Show what is noted at a step; `photos` are its files."""
        took, who = dict(job.minutes).get(step.key, ""), dict(job.checked).get(step.key, "")
        self.minutes.show_value(took, took or None)
        self._who = who
        self.checked.show_value(who, who or None)
        wanted = wants_check(job, step)
        self._check.setVisible(wanted or bool(who))
        stale = bool(who) and not is_checked(bike, job, step)
        self.told.setText(tr("Signed anew since it was checked: check it again.") if stale else "")
        self.told.setVisible(stale)
        if photos != self._shown:
            self._shown = photos
            for old in self._small:
                old.setParent(None)
                old.deleteLater()
            self._small = [self._photo(path) for path in photos]
            for small in self._small:
                self._photos.addWidget(small)

    def say(self, problem: str) -> None:
        """Say why something was not taken; empty when it was."""
        self.errors.say(problem, self.checked)

    def _photo(self, path: Path) -> QWidget:
        place = QWidget()
        column = QVBoxLayout(place)
        column.setContentsMargins(0, 0, 0, 0)
        picture = small_picture(path, _SMALL)
        if picture is None:
            column.addWidget(PlainLabel(tr("{name}\nis not there", name=path.name)))
        else:
            button = QToolButton()
            button.setIcon(picture)
            button.setIconSize(picture.size() / picture.devicePixelRatio())
            button.setAccessibleName(tr("Photo {name}, opens large", name=path.name))
            button.setToolTip(plain(path.name))
            button.clicked.connect(partial(self.photo_opened.emit, path.name))
            column.addWidget(button)
        away = QPushButton(tr("Take off"))
        away.setProperty("slim", True)
        away.setAccessibleName(tr("Take off photo {name}", name=path.name))
        away.clicked.connect(partial(self.photo_removed.emit, path.name))
        column.addWidget(away, 0, Qt.AlignmentFlag.AlignLeft)
        return place

    def _minuted(self, value: object) -> None:
        self.noted.emit("minutes", str(value or ""))

    def _checked(self) -> None:
        if self.checked.text().strip() != self._who:
            self.noted.emit("checked", self.checked.text().strip())


def small_picture(path: Path, side: int) -> QPixmap | None:
    """A picture small, turned as it was taken; None for what is no picture."""
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    size = reader.size()
    if not size.isValid() or size.width() * size.height() > 400_000_000:
        return None
    reader.setScaledSize(size.scaled(QSize(2 * theme.px(side), 2 * theme.px(side)), Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        return None
    picture = QPixmap.fromImage(image)
    picture.setDevicePixelRatio(2.0)
    return picture


def _minutes(text: str) -> str:
    if text.strip():
        minutes_of(text)
    return text.strip()
