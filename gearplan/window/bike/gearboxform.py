"""Primary and gears: each as a tooth pair or as a ratio; whichever is typed, the other is shown quietly."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import checks
from gearplan.bike.checks import Problem
from gearplan.bike.entries import Ratio
from gearplan.bike.text.units import RPM
from gearplan.bike.text.written import number, percent
from gearplan.drive.gearing import nearest_teeth
from gearplan.language import decimal, tr
from gearplan.plan.set.compare import shift_steps
from gearplan.setup.ratios import gearbox, whole_ratio
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel, plain

_MOST_GEARS = 8
#: The driving and the driven wheel of a gear, and of the primary.
_WHEELS = (
    (tr("input shaft's gear (driving)"), tr("output shaft's gear (driven)")),
    (tr("crank gear (driving)"), tr("clutch gear (driven)")),
)


#: The names of the gears fill their column.
_LEFT = Qt.AlignmentFlag(0)


class RatioFields(QObject):
    """Driver and driven teeth and the ratio of one pair of gears; `entered` carries the new Ratio or None."""

    entered = Signal(object)
    unread = Signal(str, str, str)
    finished = Signal()

    def __init__(self, name: str) -> None:
        super().__init__()
        self.name = name
        self._value: Ratio | None = None
        self.errors = ErrorLabel()
        self.teeth = [NumberField(partial(self._teeth_refusal, half), unit="teeth", whole=True) for half in (0, 1)]
        self.ratio = NumberField(self._ratio_refusal)
        self.title = PlainLabel(name)
        self.title.setBuddy(self.teeth[0])
        for half, field in enumerate(self.teeth):
            fixed_width(field, 54)
            wheel = _WHEELS[name == tr("Primary")][half]
            field.setAccessibleName(tr("{name}, {wheel}, teeth", name=name, wheel=wheel))
            field.setToolTip(plain(tr("Teeth of the {wheel}", wheel=wheel)))
            field.entered.connect(self._teeth_entered)
        fixed_width(self.ratio, 74)
        self.ratio.setAccessibleName(tr("{name}, ratio", name=name))
        self.ratio.entered.connect(self._ratio_entered)
        for field in (*self.teeth, self.ratio):
            field.errors = self.errors
            field.stands_for(f"gearbox.{field.accessibleName()}", field.accessibleName())
            field.unread.connect(self.unread)
            field.finished.connect(self.finished)

    def widgets(self) -> tuple[QWidget, ...]:
        """All widgets, in the order of a row."""
        return (self.title, *self.teeth, self.ratio, self.errors)

    def show_ratio(self, value: Ratio | None, taken: float | None = None) -> None:
        """Show what is entered, and quietly what follows from it or is taken while it is not entered."""
        self._value = value
        nothing = tr("ratio") if taken is None else tr("{taken:.3g} typical", taken=taken)
        if isinstance(value, tuple):
            for field, count in zip(self.teeth, value, strict=True):
                field.show_number(count)
                field.setPlaceholderText(tr("teeth"))
            self.ratio.show_number(None)
            follows = whole_ratio(value)
            self.ratio.setPlaceholderText(nothing if follows is None else decimal(f"{follows:.4f}"))
            return
        self.ratio.show_number(value)
        self.ratio.setPlaceholderText(nothing)
        near = None if value is None else nearest_teeth(value)
        for half, field in enumerate(self.teeth):
            field.show_number(None)
            field.setPlaceholderText(tr("teeth") if near is None else f"≈ {near[half]}")

    def show_problem(self, text: str) -> None:
        """Show what contradicts the other gears."""
        self.ratio.set_outer_problem(text)

    def _teeth_entered(self, value: object) -> None:
        half = 0 if self.sender() is self.teeth[0] else 1
        assert value is None or isinstance(value, int)
        pair = self._value if isinstance(self._value, tuple) else (None, None)
        pair = (value, pair[1]) if half == 0 else (pair[0], value)
        self.entered.emit(None if pair == (None, None) else pair)

    def _ratio_entered(self, value: object) -> None:
        self.entered.emit(value)

    def _teeth_refusal(self, half: int, value: float) -> str | None:
        pair = (value, None) if half == 0 else (None, value)
        return checks.check_value("gearbox", "primary", pair)

    def _ratio_refusal(self, value: float) -> str | None:
        return checks.check_value("gearbox", "primary", value)


class GearboxForm(QWidget):
    """Primary and up to eight gears."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self._count = EntryForm(document, (("gearbox", "count"),))
        #: The rows that are those of a form.
        self.rows = self._count.rows
        column.addWidget(self._count)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(theme.UNIT)
        self._grid.setVerticalSpacing(theme.UNIT // 2)
        self._grid.setColumnStretch(0, 1)
        heads = (
            "",
            tr("crank or\ninput"),
            tr("clutch or\noutput"),
            tr("ratio"),
            tr("step to\nnext"),
            tr("rpm after\nthe shift"),
        )
        for place, head in enumerate(heads):
            label = PlainLabel(head)
            label.setProperty("role", "small")
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
            self._grid.addWidget(label, 0, place, Qt.AlignmentFlag.AlignRight)
        self.primary = RatioFields(tr("Primary"))
        self.gears = [RatioFields(tr("Gear {i}", i=i + 1)) for i in range(_MOST_GEARS)]
        for line, fields in enumerate((self.primary, *self.gears)):
            title, driver, driven, ratio, errors = fields.widgets()
            for place, widget in enumerate((title, driver, driven, ratio)):
                self._grid.addWidget(widget, 2 * line + 1, place, Qt.AlignmentFlag.AlignRight if place else _LEFT)
            self._grid.addWidget(errors, 2 * line + 2, 0, 1, 6)
            fields.entered.connect(self._entered)
            fields.finished.connect(document.end_merge)
            fields.unread.connect(document.note_unread)
        #: What follows for the shift out of each gear: by how much the ratio falls, and the engine speed after it.
        self.shifts = [(PlainLabel(), PlainLabel()) for _ in self.gears]
        for line, labels in enumerate(self.shifts, 1):
            for place, label in enumerate(labels, 4):
                label.setProperty("role", "quiet")
                self._grid.addWidget(label, 2 * line + 1, place, Qt.AlignmentFlag.AlignRight)
        column.addLayout(self._grid)
        buttons = Flow()
        self.add = QPushButton(tr("Add a gear"))
        self.add.clicked.connect(self._add)
        self.remove = QPushButton(tr("Remove the last"))
        self.remove.clicked.connect(self._remove)
        buttons.addWidget(self.add)
        buttons.addWidget(self.remove)
        column.addLayout(buttons)

    def refresh(self, problems: tuple[Problem, ...]) -> None:
        """Show the document's gearbox as it is now."""
        box = self._document.bike.gearbox
        gears, taken = box.gears or (), gearbox(self._document.bike)
        shown_gears = self._shown()
        self._count.refresh(problems)
        self.primary.show_ratio(box.primary, taken.primary)
        self.primary.show_problem(" ".join(p.text for p in problems if p.key == "primary"))
        for index, fields in enumerate(self.gears):
            shown = index < shown_gears
            for widget in fields.widgets()[:-1]:
                widget.setVisible(shown)
            entered, whole = (gears[index] if index < len(gears) else None), taken.ratios or ()
            fields.show_ratio(entered, whole[index] if index < len(whole) else None)
            fields.show_problem(" ".join(p.text for p in problems if p.key == "gears" and p.index == index))
        steps = shift_steps(self._document.bike, taken.ratios) if taken.ratios else ()
        for index, labels in enumerate(self.shifts):
            step, after = steps[index] if index < min(len(steps), shown_gears) else (None, None)
            said = ("", "") if step is None else (percent(step, 1), number(after, RPM))
            for label, words, what in zip(
                labels, said, (tr("step to the next"), tr("rpm after the shift")), strict=True
            ):
                label.setText(words)
                label.setAccessibleName(
                    tr("Gear {index}, {what}: {words}", index=index + 1, what=what, words=words) if words else ""
                )
        self.add.setEnabled(shown_gears < _MOST_GEARS)
        self.remove.setEnabled(shown_gears > 0)

    def focus(self, key: str) -> None:
        """Put the focus into the first field that lacks a value."""
        if key == "count" or (key == "gears" and not self._shown()):
            self.rows["gearbox", "count"].focus()
            return
        gears = (*(self._document.bike.gearbox.gears or ()), None)
        unfinished = next((i for i, gear in enumerate(gears) if whole_ratio(gear) is None), 0)
        row = self.primary if key == "primary" else self.gears[unfinished if unfinished < self._shown() else 0]
        row.teeth[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def _shown(self) -> int:
        """How many gears have a row: those entered, or as many as the bike is said to have."""
        box = self._document.bike.gearbox
        return max(len(box.gears or ()), box.count or 0)

    def _entered(self, value: object) -> None:
        row = self.sender()
        box = self._document.bike.gearbox
        assert value is None or isinstance(value, (int, float, tuple))
        if row is self.primary:
            changed = replace(box, primary=value)
            label = tr("Primary")
        else:
            index = next(i for i, fields in enumerate(self.gears) if fields is row)
            gears = [*(box.gears or ()), *(None,) * (index + 1 - len(box.gears or ()))]
            gears[index] = value
            changed = replace(box, gears=tuple(gears))
            label = tr("Gear {index}", index=index + 1)
        self._document.edit(label, replace(self._document.bike, gearbox=changed), merge=label)

    def _add(self) -> None:
        self._change_number(self._shown() + 1, tr("Add a gear"))
        self.gears[self._shown() - 1].teeth[0].setFocus()

    def _remove(self) -> None:
        self._change_number(self._shown() - 1, tr("Remove the last gear"))

    def _change_number(self, number: int, label: str) -> None:
        """So many gears from now on: what was entered for one beyond them goes."""
        bike, box = self._document.bike, self._document.bike.gearbox
        gears = (box.gears or ())[:number]
        if box.count is None:
            gears += (None,) * (number - len(gears))
        count = None if box.count is None else number or None
        self._document.edit(label, replace(bike, gearbox=replace(box, gears=gears or None, count=count)))
