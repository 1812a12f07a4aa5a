"""What the page to take home needs to know: the shop's name and logo, and the paper."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.sheet.shop import PAPERS
from gearplan.window.kit import theme
from gearplan.window.kit.fields import labelled
from gearplan.window.kit.layout import least_width


class TakeHomeDialog(QDialog):
    """Asks for the shop and the paper; what is entered is remembered by whoever asked."""

    def __init__(self, name: str, logo: str, paper: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Page to take home")
        least_width(self, 460)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[3 * theme.UNIT] * 4)
        column.setSpacing(2 * theme.UNIT)
        words = QLabel("Both may stay empty. They are remembered for the next page.")
        words.setProperty("role", "small")
        form = QFormLayout()
        self.name = QLineEdit(name)
        self.name.setMaxLength(200)
        self.logo = QLineEdit(logo)
        self.logo.setPlaceholderText("a PNG, JPEG or SVG file")
        find = QPushButton("Find…")
        # Enter in a field saves; this one is pressed by itself alone.
        find.setAutoDefault(False)
        find.clicked.connect(self._find)
        row = QHBoxLayout()
        row.addWidget(self.logo, 1)
        row.addWidget(find)
        self.paper = QComboBox()
        self.paper.addItems(list(PAPERS))
        self.paper.setCurrentText(paper)
        form.addRow("&Shop's name", self.name)
        form.addRow(labelled("&Logo", self.logo), row)
        form.addRow("&Paper", self.paper)
        column.addWidget(words)
        column.addLayout(form)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        save = buttons.addButton("Save the page…", QDialogButtonBox.ButtonRole.AcceptRole)
        save.setDefault(True)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)

    def _find(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "The shop's logo", str(Path(self.logo.text()).parent), "Pictures (*.png *.jpg *.jpeg *.svg)"
        )
        if name:
            self.logo.setText(name)
