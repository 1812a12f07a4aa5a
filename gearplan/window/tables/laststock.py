"""The last stock list, opened again at the start, beside the window."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject

from gearplan.language import tr
from gearplan.window.kit.background import Background
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.bike.stocklist.reading import StockList


class LastStock(QObject):
    """Opens the list that the view knows the file of."""

    def __init__(self, view: View, parent: QObject) -> None:
        super().__init__(parent)
        self._view = view
        self._work = Background(self)
        self._work.done.connect(self._read)

    def open(self) -> None:
        """Begin to read the list; a folder that is slow or gone holds nothing up."""
        path = self._view.stock_path
        if path is not None and self._view.stock_list is None:
            self._view.say_of_stock(tr("{name} is being read …", name=path.name))
            self._work.start(lambda _tell, _unwanted: _opened(path))

    def finish(self) -> None:
        """Before the window goes, which does not wait for a drive that hangs."""
        self._work.cancel()

    def _read(self, answer: object) -> None:
        if self._view.stock_list is not None:
            return
        if isinstance(answer, str):
            self._view.say_of_stock(answer)
        else:
            self._view.set_stock(cast("StockList", answer))


def _opened(path: Path) -> StockList | str:
    """The list, or why it is not read. The columns were confirmed when it was opened first."""
    # The window is there before it is wanted.
    from gearplan.bike.stocklist.opening import read_table
    from gearplan.bike.stocklist.reading import layout_of, list_of
    from gearplan.bike.stocklist.table import StockError

    try:
        table = read_table(path)
        layout, clear = layout_of(table)
        if not clear:
            return tr("{name}: its columns are to be confirmed; open it again", name=path.name)
        return list_of(table, layout, path)
    except StockError as error:
        return str(error)
