"""The columns of a ride log for confirmation: what each is taken as, in which unit, beside its first values."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.ridelog.reading.columns import LABELS, UNITS, Column, Layout
from gearplan.window.kit import theme
from gearplan.window.kit.layout import Scrolled

_VALUES = 3


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


class ColumnsPanel(QWidget):
    """Asks about a layout; `confirmed` carries it as it was confirmed."""

    confirmed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layout: Layout | None = None
        self.kinds: list[_Choice] = []
        self.units: list[_Choice] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        self.words = QLabel()
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        self._scroll = Scrolled()
        column.addWidget(self._scroll, 1)
        row = QHBoxLayout()
        self.read = QPushButton("Read the log so")
        self.read.clicked.connect(self._confirm)
        row.addWidget(self.read)
        row.addStretch(1)
        column.addLayout(row)

    @property
    def layout_shown(self) -> Layout | None:
        """The layout as it stands now."""
        return self._layout

    def ask(self, layout: Layout) -> None:
        """Show a layout."""
        self._layout = layout
        doubtful = [column for column in layout.columns if not column.sure]
        told = [*layout.gathered]
        if not layout.usable:
            told.append("Say which column holds a speed, or positions.")
        elif layout.column("time") is None:
            told.append("No column is known as the time: say which it is, or read the log without.")
        elif doubtful:
            told.append("What is not sure is marked; put it right if need be.")
        elif not told:
            told.append("Headings and units leave no doubt.")
        self.words.setText(" ".join(told))
        inside = QWidget()
        inside.setBackgroundRole(QPalette.ColorRole.Base)
        inside.setAutoFillBackground(True)
        grid = QGridLayout(inside)
        grid.setHorizontalSpacing(theme.UNIT)
        for at, head in enumerate(("Column and first values", "holds", "unit")):
            label = QLabel(head)
            label.setProperty("role", "small")
            grid.addWidget(label, 0, at)
        self.kinds, self.units = [], []
        for row, column in enumerate(layout.columns, 1):
            grid.addLayout(self._told(layout, column), row, 0)
            kind = _Choice(column.index, f"{column.heading} holds")
            for key, words in LABELS.items():
                kind.addItem(words, key)
            kind.setCurrentIndex(kind.findData(column.kind))
            kind.activated.connect(self._kind_picked)
            unit = _Choice(column.index, f"{column.heading} unit")
            unit.addItems([word for word in UNITS[column.kind] if word])
            unit.setCurrentText(column.unit)
            unit.setEnabled(unit.count() > 0)
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

    def _told(self, layout: Layout, column: Column) -> QVBoxLayout:
        """Heading, first values and, where it is not sure, why it is taken so."""
        told = QVBoxLayout()
        told.setSpacing(0)
        told.addWidget(QLabel(column.heading[:32] or f"column {column.index + 1}"))
        cells = [line[column.index][:12] for line in layout.preview if column.index < len(line)]
        words = ",  ".join(cells[:_VALUES])
        if not column.sure:
            words += f"\n? {column.why}"
        small = QLabel(words)
        small.setWordWrap(True)
        small.setProperty("role", "small")
        told.addWidget(small)
        return told

    def _kind_picked(self, _index: int) -> None:
        choice = self.sender()
        assert isinstance(choice, _Choice)
        assert self._layout is not None
        self.ask(self._layout.with_column(choice.column, choice.currentData()))
        self.kinds[choice.column].setFocus()

    def _unit_picked(self, _index: int) -> None:
        choice = self.sender()
        assert isinstance(choice, _Choice)
        assert self._layout is not None
        kind = self._layout.columns[choice.column].kind
        self.ask(self._layout.with_column(choice.column, kind, choice.currentText()))
        self.units[choice.column].setFocus()

    def _confirm(self) -> None:
        if self._layout is not None:
            self.confirmed.emit(self._layout)
