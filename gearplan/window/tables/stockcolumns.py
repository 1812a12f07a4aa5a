"""Opening a stock list: its columns are asked about where they leave a doubt, and remembered for that look."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QDialog, QVBoxLayout, QWidget

from gearplan.bike.stocklist.columns import LABELS, UNITS, Layout
from gearplan.bike.stocklist.opening import read_table
from gearplan.bike.stocklist.reading import StockList, keep, layout_of, list_of, stock_of, told
from gearplan.bike.stocklist.table import StockError, Table
from gearplan.bike.text.written import inside, listed
from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.waiting import awaited
from gearplan.window.tables.question import ColumnsQuestion

_MOST_TOLD = 4


class StockColumns(ColumnsQuestion):
    """Asks about the layout of a stock list."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(LABELS, UNITS, tr("Read the list so"), parent)

    def words_for(self, layout: Layout) -> str:
        """What is lacking or in doubt."""
        told_of = [*layout.gathered]
        if layout.lacking:
            lacking = listed([f"“{inside(LABELS[kind])}”" for kind in layout.lacking], tr("or"))
            told_of.append(
                tr("No column is known as {lacking}: say which it is, or which holds a description.", lacking=lacking)
            )
        elif not layout.sure:
            told_of.append(tr("What is not sure is marked; put it right if need be."))
        return " ".join(told_of)


class ColumnsDialog(QDialog):
    """Asks how a list is to be read and shows at once what comes of it; `layout_said` is the answer."""

    def __init__(self, table: Table, layout: Layout, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Columns of {name}", name=name) if name else tr("Columns"))
        self.resize(640, 600)
        self._table = table
        self.layout_said = layout
        column = QVBoxLayout(self)
        column.setSpacing(theme.UNIT)
        self.question = StockColumns()
        self.outcome = PlainLabel()
        self.outcome.setWordWrap(True)
        self.question.changed.connect(self._show_outcome)
        self.question.confirmed.connect(self._confirmed)
        column.addWidget(self.question, 1)
        column.addWidget(self.outcome)
        self.question.ask(layout)

    def _show_outcome(self) -> None:
        try:
            words = told(stock_of(self._table, self.question.layout_shown), _MOST_TOLD)
        except StockError:
            words = ""
        self.outcome.setText(words)

    def _confirmed(self, layout: Layout) -> None:
        self.layout_said = layout
        keep(layout)
        self.accept()


def open_stock(path: Path, parent: QWidget) -> StockList | None:
    """The list in a file, asked about where its columns leave a doubt; None if the question was left.

    StockError if it is no list, GivenUp if it does not answer.
    """
    table = awaited(lambda: read_table(path), path.name, parent)
    layout, clear = layout_of(table)
    if not clear:
        said = asked(table, layout, path.name, parent)
        if said is None:
            return None
        layout = said
    try:
        return list_of(table, layout, path)
    except StockError as error:
        raise StockError(f"{path}: {error}") from error


def asked(table: Table, layout: Layout, name: str, parent: QWidget) -> Layout | None:
    """The columns as a person says that they are; None if the question was left."""
    dialog = ColumnsDialog(table, layout, name, parent)
    agreed = dialog.exec() == ColumnsDialog.DialogCode.Accepted
    said = dialog.layout_said
    dialog.deleteLater()
    return said if agreed else None
