"""The shop's stock list as text that can be edited, used and saved."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.stock import COLUMNS, Stock, StockError, StockFile, save_stock, stock_from_text, stock_text
from gearplan.bike.written import counted
from gearplan.window.kit import theme
from gearplan.window.kit.fields import labelled

_PATIENCE_MS = 400
_MOST_TOLD = 6


class StockDialog(QDialog):
    """Shows a list and takes changes; `stock` is what was read last."""

    def __init__(self, stock: Stock | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Stock list")
        self.resize(520, 560)
        self.stock = stock or Stock(())
        column = QVBoxLayout(self)
        column.setSpacing(theme.UNIT)
        self.text = QPlainTextEdit(stock_text(self.stock))
        self.text.setTabChangesFocus(True)
        self.text.textChanged.connect(self._typed)
        hint = QLabel(
            f"A part a line: {', '.join(COLUMNS)}. Side is front, rear or chain; of a chain, teeth are links."
        )
        hint.setProperty("role", "small")
        hint.setWordWrap(True)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setMinimumHeight(3 * theme.UNIT)
        column.addWidget(labelled("&Parts that the shop has", self.text))
        column.addWidget(self.text, 1)
        column.addWidget(hint)
        column.addWidget(self.words)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.use = QPushButton("Use it")
        self.keep = QPushButton("Save as…")
        self.buttons.addButton(self.use, QDialogButtonBox.ButtonRole.AcceptRole)
        self.buttons.addButton(self.keep, QDialogButtonBox.ButtonRole.ActionRole)
        self.buttons.accepted.connect(self._take)
        self.buttons.rejected.connect(self.reject)
        self.keep.clicked.connect(self._ask_save)
        column.addWidget(self.buttons)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._read)
        self._read()

    def save(self, path: Path) -> bool:
        """Write the list; what cannot be written is said, and the text stays."""
        if self._read() is None:
            return False
        try:
            save_stock(path, self.stock)
        except OSError as failed:
            self.words.setText(f"Not saved to {path}: {failed.strerror}.")
            return False
        self.words.setText(f"Saved: {path}.")
        return True

    def _typed(self) -> None:
        self._pause.start()

    def _read(self) -> StockFile | None:
        self._pause.stop()
        try:
            found = stock_from_text(self.text.toPlainText())
        except StockError as refused:
            self.words.setText(f"{refused}.")
            self._allow(on=False)
            return None
        self.stock = found.stock
        told = [f"{counted(len(found.stock.items), 'part', 'parts')}."]
        if found.problems:
            told += ["Left out:", *found.problems[:_MOST_TOLD]]
        if len(found.problems) > _MOST_TOLD:
            told.append(f"and {len(found.problems) - _MOST_TOLD} lines more.")
        self.words.setText("\n".join(told))
        self._allow(on=True)
        return found

    def _allow(self, *, on: bool) -> None:
        self.use.setEnabled(on)
        self.keep.setEnabled(on)

    def _take(self) -> None:
        if self._read() is not None:
            self.accept()

    def _ask_save(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, "Save the stock list", "stock.csv", "Stock lists (*.csv)")
        if name:
            self.save(Path(name))
