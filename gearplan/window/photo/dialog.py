"""The window in which the swingarm is measured from a photograph. It sets points; the photo room tells what follows."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QMessageBox, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import entry
from gearplan.bike.text.written import counted, listed
from gearplan.language import tr
from gearplan.photo.points import PINS, Point, Sight
from gearplan.photo.profile import lacking, sight, taken
from gearplan.photo.told import Told, tell
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.background import Background, Tell, Unwanted
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import Scrolled
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.photo.canvas import PhotoCanvas
from gearplan.window.photo.picture import FILTER, PictureError, read_picture
from gearplan.window.photo.pointlist import PointList
from gearplan.window.photo.resultpanel import ResultPanel
from gearplan.window.photo.words import ASKED, KEYS
from gearplan.window.photo.work import PhotoWork

#: How far a pivot's bolt head may stand out of the chain's plane, or behind it (mm).
_HEAD_MM = (-100.0, 150.0)


class PhotoDialog(QDialog):
    """Picture on the left; steps, points and what they tell on the right. The work stays when the window is closed."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Measure from a photograph"))
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self.resize(1180, 740)
        work = PhotoWork(self)
        self._document, self.work = document, work
        self.telling = Background(self)
        self.telling.done.connect(self._told)
        self.canvas = PhotoCanvas(work)
        self.canvas.set_asked.connect(self._set)
        self.points = PointList(work)
        self.results = ResultPanel()
        self.results.take_asked.connect(self._take)
        self.results.count_asked.connect(work.replace_all)
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.canvas, 1)
        two_sides(self, left, self._side(), 0.66)
        for keys, slot in (("Ctrl+Z", work.undo), ("Ctrl+Y", work.redo), ("Ctrl+Shift+Z", work.redo)):
            QShortcut(QKeySequence(keys), self, slot)
        work.changed.connect(self._work_changed)
        work.moved.connect(self._show_step)
        document.changed.connect(self._work_changed)
        self._show_file()
        self._show_step()

    def _side(self) -> QWidget:
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(theme.UNIT, theme.UNIT, theme.UNIT, theme.UNIT)
        column.setSpacing(theme.UNIT)
        self.open_button = QPushButton(tr("&Open a picture…"))
        self.open_button.clicked.connect(self.ask_open)
        self.close_button = QPushButton(tr("&Close"))
        self.close_button.clicked.connect(self.close)
        top = Flow()
        top.addWidget(self.open_button)
        top.push()
        top.addWidget(self.close_button)
        self.file = PlainLabel()
        self.file.setProperty("role", "small")
        self.file.setWordWrap(True)
        self.wrong = ErrorLabel()
        self.asked = PlainLabel()
        self.asked.setWordWrap(True)
        self.head = NumberField(_head_refused, unit="mm")
        self.head.errors = head_wrong = ErrorLabel()
        self.head.show_number(self.work.head_mm)
        self.head.entered.connect(self._head_entered)
        label = labelled(tr("Pivot's bolt &head stands out of the chain's plates"), self.head)
        label.setWordWrap(True)
        head = QHBoxLayout()
        head.addWidget(label, 1)
        head.addWidget(self.head)
        head.addWidget(UnitLabel("mm"))
        self.fewer, self.more = QPushButton(tr("Pin number −")), QPushButton(tr("Pin number +"))
        self.delete, self.undo, self.redo = (
            QPushButton(tr("&Delete")),
            QPushButton(tr("&Undo")),
            QPushButton(tr("&Redo")),
        )
        edits = Flow(spacing=theme.UNIT // 2)
        for button, slot in (
            (self.undo, self.work.undo),
            (self.redo, self.work.redo),
            (self.delete, self.work.remove),
            (self.fewer, self._count_fewer),
            (self.more, self._count_more),
        ):
            button.clicked.connect(slot)
            edits.addWidget(button)
        for button in (self.open_button, self.close_button, self.fewer, self.more, self.delete, self.undo, self.redo):
            # Enter sets a point; it never presses a button that has not the focus.
            button.setAutoDefault(False)
        keys = PlainLabel(KEYS)
        keys.setProperty("role", "small")
        keys.setWordWrap(True)
        column.addLayout(top)
        column.addWidget(self.file)
        column.addWidget(self.wrong)
        column.addWidget(self.asked)
        column.addWidget(self.points, 1)
        column.addLayout(edits)
        column.addLayout(head)
        column.addWidget(head_wrong)
        column.addWidget(self.results)
        column.addWidget(keys)
        return Scrolled(side)

    def ask_open(self) -> None:
        """Ask which picture, then open it; points that were set belong to the open one, so it is asked first."""
        if self.work.points and not self.may_drop():
            return
        name, _ = QFileDialog.getOpenFileName(self, tr("Open a photograph"), "", FILTER)
        if name:
            self.open_picture(Path(name))

    def may_drop(self) -> bool:
        """Whether the points of the open picture may go."""
        count = counted(len(self.work.points), "point", "points")
        asked = tr("With another picture the {count} on this one go. Open another?", count=count)
        return QMessageBox.question(self, self.windowTitle(), plain(asked)) == QMessageBox.StandardButton.Yes

    def open_picture(self, path: Path) -> bool:
        """Open a picture; what can't be read is said, and what is open stays."""
        try:
            picture = read_picture(path)
        except PictureError as refused:
            self.wrong.say(str(refused))
            return False
        self.wrong.say("")
        self.work.open(picture)
        self._show_file()
        self.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def forget(self) -> None:
        """Another bike was opened: its picture is another one."""
        self.work.forget()
        self._show_file()

    def done(self, result: int) -> None:
        """The points stay; what is being worked out is no longer wanted."""
        self.telling.cancel()
        super().done(result)

    def showEvent(self, event: QShowEvent) -> None:
        """While it was closed the bike may have changed."""
        super().showEvent(event)
        self._work_changed()

    def _set(self, x: float, y: float) -> None:
        drive = self._document.bike.final_drive
        if drive.front is not None and drive.rear is not None:
            self.work.add(x, y, {"front": drive.front, "rear": drive.rear})

    def _count_fewer(self) -> None:
        self.work.count(-1)

    def _count_more(self) -> None:
        self.work.count(1)

    def _head_entered(self, value: object) -> None:
        if isinstance(value, (int, float)):
            self.work.set_head(value)

    def _show_file(self) -> None:
        picture = self.work.picture
        self.file.setText("" if picture is None else f"{picture.name}: {picture.note}")
        self.file.setVisible(picture is not None)

    def _show_step(self) -> None:
        self.asked.setText(ASKED[self.work.step])
        self.undo.setEnabled(self.work.can_undo)
        self.redo.setEnabled(self.work.can_redo)
        point = self.work.point
        self.delete.setEnabled(point is not None)
        for button in (self.fewer, self.more):
            button.setEnabled(point is not None and point.group in PINS)

    def _work_changed(self) -> None:
        """Work out what the points tell now, beside the window; a point that is being dragged is waited for."""
        if self.canvas.dragging or not self.isVisible():
            return
        bike, picture = self._document.bike, self.work.picture
        missing = lacking(bike)
        if picture is None or missing:
            self.telling.cancel()
            self.work.told = None
            needs = listed(f"“{entry(*path.split('.')).label}”" for path in missing)
            words = tr("The chain is the ruler: first enter {needs} on the Bike page.", needs=needs) if missing else ""
            self.results.show_told(bike, None, words)
            return
        known = sight(bike, picture.size, picture.focal, self.work.head_mm)
        if known is not None:
            self.telling.start(partial(_tell, self.work.points, known))

    def _told(self, told: object) -> None:
        assert isinstance(told, Told)
        self.work.told = told
        self.results.show_told(self._document.bike, told)
        self.points.refresh()
        self.canvas.update()
        self.work.moved.emit()

    def _take(self) -> None:
        told = self.work.told
        if told is not None and not self.telling.busy:
            bike = taken(self._document.bike, told, self.results.wanted())
            self._document.edit(tr("Measure from a photograph"), bike)


def _head_refused(head_mm: float) -> str | None:
    low, high = _HEAD_MM
    return None if low <= head_mm <= high else tr("between {low:g} and {high:g} mm", low=low, high=high)


def _tell(points: tuple[Point, ...], known: Sight, _tell: Tell, _unwanted: Unwanted) -> object:
    return tell(points, known)
