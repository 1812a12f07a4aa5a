"""The teeth that were counted on the motorcycle, typed as front/rear: they settle what a ride leaves open."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.ridelog.telling.offers import typed_set
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel


class CountedSet(QWidget):
    """`counted` carries front and rear teeth; what cannot be read stays typed, with what would be right."""

    counted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        row = Flow()
        label = PlainLabel(tr("&Teeth counted, front/rear"))
        self.field = QLineEdit()
        self.field.setPlaceholderText("15/45")
        self.field.setAccessibleName(tr("Teeth counted, front/rear"))
        fixed_width(self.field, 80)
        label.setBuddy(self.field)
        self.button = QPushButton(tr("Tell all else for this set"))
        self.field.returnPressed.connect(self._pressed)
        self.button.clicked.connect(self._pressed)
        for widget in (label, self.field, self.button):
            row.addWidget(widget)
        column.addLayout(row)
        self.wrong = PlainLabel()
        self.wrong.setWordWrap(True)
        self.wrong.setProperty("role", "error")
        self.wrong.hide()
        column.addWidget(self.wrong)

    def _pressed(self) -> None:
        found = typed_set(self.field.text())
        self.refuse(found if isinstance(found, str) else "")
        if not isinstance(found, str):
            self.counted.emit(found)

    def refuse(self, reason: str) -> None:
        """Say why what is typed cannot be taken; nothing said where it can."""
        self.wrong.setText(reason)
        self.wrong.setVisible(bool(reason))
