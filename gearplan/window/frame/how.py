"""The panel that answers "how?" for a number that is shown."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.plan.set.how.explanation import Explanation
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel


class HowPanel(QDialog):
    """One explanation: formula, inputs, result, source. Escape or Enter closes it."""

    def __init__(self, said: Explanation, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("How: {title}", title=said.title))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setMinimumWidth(440)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[3 * theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        column.addWidget(_text(said.title, "title"))
        column.addWidget(_text(said.formula))
        inputs = QFormLayout()
        inputs.setHorizontalSpacing(2 * theme.UNIT)
        for name, value in said.inputs:
            inputs.addRow(_text(name, "quiet"), _text(value))
        column.addLayout(inputs)
        column.addWidget(_text(f"= {said.result}", "title"))
        column.addWidget(_text(tr("Source: {source}", source=said.source), "small"))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)


def _text(text: str, role: str = "") -> QLabel:
    label = PlainLabel(text)
    label.setProperty("role", role)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
