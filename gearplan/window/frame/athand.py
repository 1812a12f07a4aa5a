"""The table or chart at hand: copied for other programs, exported as a file, a chart also shown as a table."""

from __future__ import annotations

import atexit
from pathlib import Path
from typing import TYPE_CHECKING, TypeGuard
from weakref import ref

from PySide6.QtCore import QMimeData, QObject, Qt
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QDialogButtonBox,
    QMainWindow,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.files.atomic import replace_file
from gearplan.language import tr
from gearplan.sheet.tablefile import csv_text, spreadsheet
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.opening.files import Files
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable

if TYPE_CHECKING:
    from gearplan.window.kit.charts.plainchart import PlainChart

_NONE = tr("No table or chart is at hand. Go to one by Tab, by F6 or with the pointer first.")
#: So large is the table of a chart, at the usual size of text.
_WIDE, _HIGH = 560, 420

#: By this the program knows what it has put on the clipboard itself.
_OURS = "application/x-gearplan-chart"

Table = list[tuple[str, ...]]


class AtHand(QObject):
    """What is done with the table or chart that has, or had last, the keyboard on the page in sight."""

    def __init__(self, window: QMainWindow, message: MessageStrip, files: Files) -> None:
        super().__init__(window)
        self._window, self._message, self._files = window, message, files
        self._last: ref[QWidget] | None = None
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._note)

    def _note(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None and now.window() is self._window and (isinstance(now, QTableView) or _is_chart(now)):
            self._last = ref(now)

    @property
    def widget(self) -> QWidget | None:
        """The table or chart."""
        last = None if self._last is None else self._last()
        return last if last is not None and last.isVisible() else None

    def copy(self) -> None:
        """Put it on the clipboard: a table with tabs between its columns, a chart as picture and as the table of it."""
        at = self.widget
        if at is None:
            self._message.say(_NONE, wrong=True)
            return
        rows = rows_of(at)
        text = "\n".join("\t".join(map(_on_one_line, row)) for row in rows)
        if _is_chart(at):
            given = QMimeData()
            given.setText(text)
            given.setImageData(at.grab().toImage())
            given.setData(_OURS, b"1")
            QApplication.clipboard().setMimeData(given)
            atexit.register(_let_go)
        else:
            QApplication.clipboard().setText(text)
        kind = tr("picture and table") if _is_chart(at) else "table"
        self._message.say(
            tr(
                "{accessiblename}: on the clipboard as {kind}, {rows} rows.",
                accessiblename=at.accessibleName(),
                kind=kind,
                rows=len(rows) - 1,
            )
        )

    def export(self) -> None:
        """Ask where to, then write it as CSV, or as a spreadsheet where the name ends so."""
        at = self.widget
        if at is None:
            self._message.say(_NONE, wrong=True)
            return
        rows, name = rows_of(at), at.accessibleName().split(":")[0].replace("/", "-")

        def write(path: Path) -> None:
            sheet = path.suffix.lower() == ".xlsx"
            replace_file(path, spreadsheet(rows, name) if sheet else csv_text(rows).encode("utf-8", "replace"))

        self._files.ask_and_write(
            tr("Export the table"), f"{name}.csv", tr("Tables (*.csv);;Spreadsheets (*.xlsx)"), write
        )

    def show_table(self) -> None:
        """Show a chart as a table beside the work."""
        at = self.widget
        if at is None or not _is_chart(at):
            self._message.say(tr("No chart is at hand. Go to one by Tab, by F6 or with the pointer first."), wrong=True)
            return
        ChartTable(at, self._window).open()


class ChartTable(QDialog):
    """The points of a chart's curves, with the sentence about them."""

    def __init__(self, chart: PlainChart, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(chart.accessibleName())
        self.resize(theme.px(_WIDE), theme.px(_HIGH))
        column = QVBoxLayout(self)
        words = PlainLabel(chart.sentence())
        words.setWordWrap(True)
        column.addWidget(words)
        self.table = TextTable(chart.accessibleName(), left=(0,), fills=True)
        self.table.show_texts(*chart.as_table())
        column.addWidget(self.table, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.table.setFocus()


def _let_go() -> None:
    """Qt would free what Python made for the clipboard once Python is gone, and crash at the end of the program."""
    if QApplication.instance() is not None and QApplication.clipboard().mimeData().hasFormat(_OURS):
        QApplication.clipboard().clear()


def _is_chart(widget: QWidget) -> TypeGuard[PlainChart]:
    """Asked without the charts' library, which is loaded last."""
    return hasattr(widget, "as_table")


def rows_of(widget: QWidget) -> Table:
    """Heads and rows of a table as it is shown, or of a chart's curves."""
    if _is_chart(widget):
        heads, rows = widget.as_table()
        return [heads, *rows]
    assert isinstance(widget, QTableView)
    model, across, down = widget.model(), Qt.Orientation.Horizontal, Qt.Orientation.Vertical
    shown = [c for c in range(model.columnCount()) if not widget.isColumnHidden(c)]
    named = widget.verticalHeader().isVisible()
    corner = ("",) if named else ()
    found = [(*corner, *(_text(model.headerData(column, across)) for column in shown))]
    for row in range(model.rowCount()):
        head = (_text(model.headerData(row, down)),) if named else ()
        found.append((*head, *(_text(model.index(row, column).data()) for column in shown)))
    return found


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _on_one_line(cell: str) -> str:
    return " ".join(cell.split())
