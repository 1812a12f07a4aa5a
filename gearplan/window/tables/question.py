"""The columns of a table for confirmation: what each is taken as, how it is written, beside its first values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import Scrolled
from gearplan.window.kit.plaintext import PlainLabel

_VALUES = 3


class Column(Protocol):
    """One column as it is asked about; `why` tells what was guessed and from what, where it is not `sure`."""

    @property
    def index(self) -> int:
        """Its place, from 0."""

    @property
    def heading(self) -> str:
        """What stands above it."""

    @property
    def kind(self) -> str:
        """What it holds."""

    @property
    def unit(self) -> str:
        """How that is written."""

    @property
    def sure(self) -> bool:
        """Whether nothing is guessed."""

    @property
    def why(self) -> str:
        """What was guessed and from what."""


class Layout(Protocol):
    """The columns of a table as they stand; a change gives another layout."""

    @property
    def columns(self) -> Sequence[Column]:
        """From the left."""

    @property
    def preview(self) -> Sequence[Sequence[str]]:
        """Some rows."""

    @property
    def usable(self) -> bool:
        """Whether the table can be read so."""

    def with_column(self, index: int, kind: Any, unit: str = "") -> Layout:
        """The layout with one column as a person says it is."""


class _Choice(QComboBox):
    """A choice that the wheel leaves alone while it has not the focus."""

    def __init__(self, column: int, name: str) -> None:
        super().__init__()
        self.column = column
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Never change by the wheel without the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class ColumnsQuestion(QWidget):
    """Asks about a layout; `confirmed` carries it as it was confirmed, `changed` after each answer before.

    `labels` are what a column may hold, with its name, `units` the ways in which each may be written, `done` the words
    on the button that confirms.
    """

    confirmed = Signal(object)
    changed = Signal()

    def __init__(
        self,
        labels: Mapping[Any, str],
        units: Mapping[Any, Iterable[str]],
        done: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._labels, self._units = labels, units
        self._layout: Any = None
        # The column that is being answered, and the layout before: going through the kinds by the arrow keys takes
        # nothing from the other columns on the way.
        self._before: tuple[int, Any] | None = None
        self.kinds: list[_Choice] = []
        self.units: list[_Choice] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        self._scroll = Scrolled()
        column.addWidget(self._scroll, 1)
        row = QHBoxLayout()
        self.read = QPushButton(done)
        self.read.clicked.connect(self._confirm)
        row.addWidget(self.read)
        row.addStretch(1)
        column.addLayout(row)

    @property
    def layout_shown(self) -> Any:
        """The layout as it stands now; None before the first."""
        return self._layout

    def words_for(self, layout: Any) -> str:
        """What is to be said above the columns of a layout."""
        raise NotImplementedError

    def ask(self, layout: Layout) -> None:
        """Show a layout."""
        self._layout, self._before = layout, None
        self.words.setText(self.words_for(layout))
        inside = QWidget()
        inside.setBackgroundRole(QPalette.ColorRole.Base)
        inside.setAutoFillBackground(True)
        grid = QGridLayout(inside)
        grid.setHorizontalSpacing(theme.UNIT)
        for at, head in enumerate((tr("Column and first values"), "holds", tr("written in"))):
            label = PlainLabel(head)
            label.setProperty("role", "small")
            grid.addWidget(label, 0, at)
        self.kinds, self.units = [], []
        for row, column in enumerate(layout.columns, 1):
            grid.addLayout(self._told(layout, column), row, 0)
            kind = _Choice(column.index, tr("{heading} holds", heading=column.heading))
            for key, words in self._labels.items():
                kind.addItem(words, key)
            kind.setCurrentIndex(kind.findData(column.kind))
            kind.activated.connect(self._kind_picked)
            unit = _Choice(column.index, tr("{heading} unit", heading=column.heading))
            unit.addItems([word for word in self._units[column.kind] if word])
            unit.setCurrentText(column.unit)
            unit.setVisible(unit.count() > 0)
            unit.activated.connect(self._unit_picked)
            grid.addWidget(kind, row, 1, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(unit, row, 2, Qt.AlignmentFlag.AlignTop)
            self.kinds.append(kind)
            self.units.append(unit)
        grid.setColumnStretch(0, 1)
        grid.setRowStretch(len(layout.columns) + 1, 1)
        # The choice that was just picked is still at work: it goes later.
        if (old := self._scroll.takeWidget()) is not None:
            old.deleteLater()
        self._scroll.setWidget(inside)
        self.read.setEnabled(layout.usable)
        self.changed.emit()

    def _told(self, layout: Layout, column: Column) -> QVBoxLayout:
        """Heading, first values and, where it is not sure, why it is taken so."""
        told = QVBoxLayout()
        told.setSpacing(0)
        told.addWidget(PlainLabel(column.heading[:32] or tr("column {index}", index=column.index + 1)))
        cells = [line[column.index][:12] for line in layout.preview if column.index < len(line)]
        words = ",  ".join(cells[:_VALUES])
        if not column.sure:
            words += f"\n? {column.why}"
        small = PlainLabel(words)
        small.setWordWrap(True)
        small.setProperty("role", "small")
        told.addWidget(small)
        return told

    def _kind_picked(self, _index: int) -> None:
        choice = self.sender()
        assert isinstance(choice, _Choice)
        if self._before is None or self._before[0] != choice.column:
            self._before = (choice.column, self._layout)
        self._answer(self._before[1].with_column(choice.column, choice.currentData()))
        self.kinds[choice.column].setFocus()

    def _unit_picked(self, _index: int) -> None:
        choice = self.sender()
        assert isinstance(choice, _Choice)
        kind = self._layout.columns[choice.column].kind
        self._before = None
        self._answer(self._layout.with_column(choice.column, kind, choice.currentText()))
        self.units[choice.column].setFocus()

    def _answer(self, layout: Layout) -> None:
        before = self._before
        self.ask(layout)
        self._before = before

    def _confirm(self) -> None:
        if self._layout is not None:
            self.confirmed.emit(self._layout)
