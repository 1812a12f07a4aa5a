"""Fields of the profile filled from other readings: what is read, its sketch, and what becomes of the fields."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike import values
from gearplan.bike.entries import Entry
from gearplan.language import tr
from gearplan.setup.readings import Reading, Taken, Unusable, Way, begin, take, told_lines, with_taken
from gearplan.setup.ways import ways_to
from gearplan.window.document.document import Document
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.layout import Scrolled
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.measuring.sketchview import SketchView

#: So many numbers a way gives at most, each on a line of its own.
_LINES = 3


class WayForm(QWidget):
    """The readings of one way; `entered` carries a reading's key and number, `focused` the key of the field in use."""

    entered = Signal(str, object)
    focused = Signal(str)

    def __init__(self, way: Way, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, NumberField] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(theme.UNIT // 2)
        grid.setColumnStretch(0, 1)
        for line, reading in enumerate(way.readings):
            self._row(grid, 2 * line, reading)
        grid.setRowStretch(2 * len(way.readings), 1)

    def _row(self, grid: QGridLayout, line: int, reading: Reading) -> None:
        asked = reading.entry
        field = NumberField(partial(_refusal, asked), unit=asked.measure, whole=asked.kind == "whole")
        field.setObjectName(reading.key)
        field.errors = ErrorLabel()
        example = values.example(asked, shownunits.current())
        field.setToolTip(plain(tr("For example {example}", example=example)) if example else "")
        field.entered.connect(self._told)
        field.installEventFilter(self)
        name, unit = labelled(asked.label, field), UnitLabel(asked.unit)
        name.setWordWrap(True)
        unit.setProperty("role", "quiet")
        grid.addWidget(name, line, 0)
        grid.addWidget(field, line, 1)
        grid.addWidget(unit, line, 2)
        grid.addWidget(field.errors, line + 1, 0, 1, 3)
        self.fields[reading.key] = field

    def _told(self, number: object) -> None:
        self.entered.emit(self.sender().objectName(), number)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A reading's dimension lights up while its field has the focus."""
        if event.type() == QEvent.Type.FocusIn:
            self.focused.emit(watched.objectName())
        return False


class ReadingsDialog(QDialog):
    """Asks for readings and fills what they give as one step to undo; bad readings are told, and nothing is taken.

    `kept` are the readings of before, by key; it is kept up to date, so that a dialog that was closed loses none.
    """

    def __init__(self, document: Document, field: str, kept: dict[str, float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("From measurements"))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._document, self._kept = document, kept
        self._ways = ways_to(field)
        self._found: tuple[Taken, ...] = ()
        self.ways = QComboBox()
        self.ways.addItems([way.title for way in self._ways])
        self.how, self.told = PlainLabel(), PlainLabel()
        self.sketch, self.pages = SketchView(), QStackedWidget()
        self.forms = [WayForm(way) for way in self._ways]
        for form in self.forms:
            form.entered.connect(self._entered)
            form.focused.connect(self._light)
            self.pages.addWidget(form)
        self.alternatives = QComboBox()
        self.alternatives.setAccessibleName(tr("Pairs that match"))
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.take = QPushButton(tr("Take into the profile"))
        self.buttons.addButton(self.take, QDialogButtonBox.ButtonRole.AcceptRole)
        self._lay_out()
        self.ways.currentIndexChanged.connect(self._show_way)
        self.alternatives.currentIndexChanged.connect(self._show_found)
        self.buttons.accepted.connect(self._take)
        self.buttons.rejected.connect(self.reject)
        self._show_way()

    @property
    def way(self) -> Way:
        """The way that is chosen."""
        return self._ways[self.ways.currentIndex()]

    def _lay_out(self) -> None:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setSpacing(theme.UNIT)
        if len(self._ways) > 1:
            choice = QHBoxLayout()
            choice.addWidget(labelled(tr("&By"), self.ways))
            choice.addWidget(self.ways, 1)
            column.addLayout(choice)
        for label in (self.how, self.told):
            label.setWordWrap(True)
        self.how.setMinimumHeight(3 * theme.metrics().lineSpacing())
        self.how.setAlignment(Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.how)
        sides = QHBoxLayout()
        sides.setSpacing(2 * theme.UNIT)
        sides.addWidget(self.pages, 2)
        sides.addWidget(self.sketch, 3)
        column.addLayout(sides, 1)
        column.addWidget(self.told)
        column.addWidget(self.alternatives)
        lines = QGridLayout()
        lines.setHorizontalSpacing(2 * theme.UNIT)
        lines.setColumnStretch(0, 1)
        for place, head in enumerate(("", tr("now"), tr("becomes"))):
            label = PlainLabel(head)
            label.setProperty("role", "small")
            lines.addWidget(label, 0, place, Qt.AlignmentFlag.AlignRight)
        self.lines = [[PlainLabel() for _ in range(3)] for _ in range(_LINES)]
        for line, labels in enumerate(self.lines, 1):
            for place, label in enumerate(labels):
                lines.addWidget(
                    label, line, place, Qt.AlignmentFlag.AlignRight if place else Qt.AlignmentFlag.AlignLeft
                )
        column.addLayout(lines)
        outer = QVBoxLayout(self)
        outer.addWidget(Scrolled(inside), 1)
        outer.addWidget(self.buttons)
        self.resize(QSize(theme.px(720), theme.px(560)).boundedTo(self.screen().availableSize()))

    def _show_way(self) -> None:
        way, form = self.way, self.forms[self.ways.currentIndex()]
        self.pages.setCurrentWidget(form)
        self.how.setText(way.how)
        for key, number in begin(way, self._document.bike).items():
            form.fields[key].show_number(self._kept.get(key, number))
        first = next((key for key, field in form.fields.items() if not field.text()), way.readings[0].key)
        self._light(first)
        form.fields[first].setFocus()
        self._compute()

    def _light(self, key: str) -> None:
        self.sketch.show_sketch(self.way.sketch, key, self.way.title, self.way.how)

    def _entered(self, key: str, number: object) -> None:
        if isinstance(number, (int, float)):
            self._kept[key] = number
        else:
            self._kept.pop(key, None)
        self._compute()

    def _compute(self) -> None:
        fields = self.forms[self.ways.currentIndex()].fields
        given = {key: field.value for key, field in fields.items()}
        wrong = ("", "")
        try:
            self._found = take(self.way, given, self._document.bike)  # type: ignore[arg-type]
        except Unusable as refused:
            self._found, wrong = (), (refused.key, str(refused))
        for key, field in fields.items():
            field.set_outer_problem(wrong[1] if key == wrong[0] else "")
        self.told.setText(self._found[0].told if self._found else "" if wrong[0] else wrong[1])
        self.alternatives.blockSignals(True)
        self.alternatives.clear()
        self.alternatives.addItems(["/".join(str(one.value) for one in each.outcomes) for each in self._found])
        self.alternatives.blockSignals(False)
        self.alternatives.setVisible(len(self._found) > 1)
        self._show_found()

    def _show_found(self) -> None:
        shown = told_lines(self.way, self._chosen, self._document.bike) if self._found else []
        for line, labels in enumerate(self.lines):
            texts = shown[line] if line < len(shown) else ("", "", "")
            for label, text in zip(labels, texts, strict=True):
                label.setText(text)
        self.take.setEnabled(bool(self._found))

    @property
    def _chosen(self) -> Taken:
        return self._found[max(self.alternatives.currentIndex(), 0)]

    def _take(self) -> None:
        self._document.edit(self.way.title, with_taken(self._document.bike, self._chosen))
        self.accept()


def _refusal(asked: Entry, value: float) -> str | None:
    return values.check_entry(asked, value, shownunits.current())
