"""The steps of a job as a list with large targets; a box is ticked when it is signed, with the initials."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap
from PySide6.QtWidgets import QListWidgetItem, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import Level
from gearplan.plan.job.job import is_signed
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.verdicts import step_state
from gearplan.window.kit import theme
from gearplan.window.kit.controls.wordlist import WordList
from gearplan.window.kit.places.layout import least_width
from gearplan.window.kit.shapes import paint_verdict

_SIGNED, _TO_DO, _OUT = tr("Signed: "), tr("To do"), tr("Out of range")
_QUERY, _CHANGED = tr("Query: check this reading"), tr("Readings have changed: sign again")


class StepList(WordList):
    """`chosen` carries the place of the step that was picked."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Steps of the fitting"))
        self.setProperty("bench", True)
        self.setIconSize(QSize(theme.px(20), theme.px(20)))
        least_width(self, 230)
        self.currentRowChanged.connect(self._moved)

    def show_steps(self, bike: Bike, job: Job, listed: tuple[Step, ...], at: int) -> None:
        """Show the steps as they are now, with the one at hand marked."""
        self.blockSignals(True)
        while self.count() > len(listed):
            self.takeItem(self.count() - 1)
        for place, step in enumerate(listed):
            if place >= self.count():
                QListWidgetItem(self)
            item, told = self.item(place), step_words(bike, job, step)
            sign, words = _sign(told), f"{place + 1}. {step.title}"
            if sign == "fits":
                words += f" · {told.removeprefix(_SIGNED)}"
            elif told != _TO_DO:
                words += f"\n{told}"
            if item.text() != words:
                item.setText(words)
                item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{place + 1}. {step.title}: {told}")
            look = (sign, theme.current(), theme.scale())
            if item.data(Qt.ItemDataRole.UserRole) != look:
                item.setData(Qt.ItemDataRole.UserRole, look)
                item.setIcon(self._icon(sign))
        if self.currentRow() != at:
            self.setCurrentRow(at)
        self.blockSignals(False)

    def _icon(self, sign: Level | None) -> QIcon:
        """A box that is empty while the step is to do, else a verdict's shape."""
        now, icon = theme.current(), QIcon()
        for mode, ink in ((QIcon.Mode.Normal, now.quiet), (QIcon.Mode.Selected, now.on_accent)):
            side, fine = self.iconSize().width(), self.devicePixelRatioF()
            drawn = QPixmap(round(side * fine), round(side * fine))
            drawn.setDevicePixelRatio(fine)
            drawn.fill(Qt.GlobalColor.transparent)
            painter = QPainter(drawn)
            box = QRectF(1.5, 1.5, side - 3, side - 3)
            if sign is None:
                painter.setPen(QPen(QColor(ink), 1.5))
                painter.drawRect(box)
            else:
                paint_verdict(painter, sign, box)
            painter.end()
            icon.addPixmap(drawn, mode)
        return icon

    def _moved(self, row: int) -> None:
        if row >= 0:
            self.chosen.emit(row)


def step_words(bike: Bike, job: Job, step: Step) -> str:
    """How far a step is."""
    if is_signed(bike, job, step):
        reason = tr(", with a reason") if dict(job.reasons).get(step.key) else ""
        return f"{_SIGNED}{dict(job.signed)[step.key]}{reason}"
    state = step_state(bike, job, step)
    if any(f.level == "does not fit" for f in state.findings):
        return _OUT
    if state.questions or state.unread:
        return _QUERY
    if step.key in dict(job.signed):
        return _CHANGED
    if step.blanks and not state.lacking:
        return tr("Ready to sign")
    return tr("After the first ride") if step.later else _TO_DO


def _sign(told: str) -> Level | None:
    """The shape beside what is said of a step; None for the empty box."""
    if told.startswith(_SIGNED):
        return "fits"
    if told == _OUT:
        return "does not fit"
    return "check" if told in (_QUERY, _CHANGED) else None
