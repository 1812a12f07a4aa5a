"""Where is searched: teeth, other chain sizes and tyres that are allowed, and the stock list."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QGridLayout, QPushButton, QWidget

from gearplan.bike import checks
from gearplan.bike.profile import Bike
from gearplan.bike.stocklist.table import StockError
from gearplan.language import tr
from gearplan.plan.choices.space import Space, SpaceError, default_space
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.teethrange import TeethRange
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import least_width
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.view import View
from gearplan.window.kit.waiting import GivenUp
from gearplan.window.tables.stockcolumns import open_stock

_MOST_HINTED = 200


class SearchRanges(QWidget):
    """The fields; `changed` after every change that can be searched. A stock list that is opened goes to the view."""

    changed = Signal()

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._chains: tuple[str, ...] = ()
        self._tyres: tuple[str, ...] = ()
        self._ends: dict[str, tuple[int, int] | None] = {"front": None, "rear": None}
        self._bike = Bike()
        self.errors = ErrorLabel()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        self.teeth = {part: TeethRange(part, tr("Search"), self.errors, 48) for part in ("front", "rear")}
        self.ranges = {part: each.fields for part, each in self.teeth.items()}
        teeth = Flow()
        for part, each in self.teeth.items():
            each.entered.connect(self._range_entered)
            teeth.addWidget(each.beside(PlainLabel(tr(part))))
        grid.addWidget(PlainLabel(tr("Teeth")), 0, 0)
        grid.addLayout(teeth, 0, 1)
        self.chains = ValueField(_chain_sizes)
        self.tyres = ValueField(_tyre_sizes)
        for line, (label, sizes, hint, slot) in enumerate(
            (
                (tr("Other &chain sizes"), self.chains, tr("none, or such as 525, 428"), self._chains_typed),
                (tr("Other t&yres"), self.tyres, tr("none, or such as 190/50-17"), self._tyres_typed),
            ),
            1,
        ):
            sizes.setPlaceholderText(hint)
            sizes.errors = self.errors
            sizes.entered.connect(slot)
            least_width(sizes, 190)
            name = labelled(label, sizes)
            name.setWordWrap(True)
            grid.addWidget(name, line, 0)
            grid.addWidget(sizes, line, 1)
        stock_row = Flow()
        self.open_stock = QPushButton(tr("Open a list…"))
        self.open_stock.clicked.connect(self._ask_stock)
        self.stock_words = PlainLabel()
        self.stock_words.setProperty("role", "small")
        self.stock_words.setWordWrap(True)
        self.edit_stock = QPushButton(tr("Edit it…"))
        self.edit_stock.clicked.connect(self._edit_stock)
        stock_row.addWidget(self.open_stock)
        stock_row.addWidget(self.edit_stock)
        grid.addWidget(PlainLabel(tr("Stock list")), 3, 0)
        grid.addLayout(stock_row, 3, 1)
        grid.addWidget(self.stock_words, 4, 1)
        grid.addWidget(self.errors, 5, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        view.changed.connect(self._show_stock)
        self._show_stock()

    def space(self, bike: Bike) -> Space | str:
        """What is to be searched on a bike, or why it cannot be."""
        self._bike = bike
        try:
            made = default_space(
                bike,
                fronts=self._ends["front"],
                rears=self._ends["rear"],
                chains=self._chains,
                tyres=self._tyres,
            )
        except SpaceError as refused:
            return str(refused)
        for part, values in (("front", made.fronts), ("rear", made.rears)):
            if self._ends[part] is None:
                self.teeth[part].show_ends((values[0], values[-1]))
        return made

    def forget(self) -> None:
        """Another bike: search about its own set again."""
        self._ends = {"front": None, "rear": None}
        self._chains = self._tyres = ()
        for each in self.teeth.values():
            each.forget()
        for sizes in (self.chains, self.tyres):
            sizes.forget()
            sizes.show_value("", ())

    def read(self, path: Path) -> None:
        """Open a stock list, ask about its columns where they leave a doubt, and say what was wrong with single lines;
        one that cannot be read changes nothing."""
        try:
            listed = open_stock(path, self)
        except (StockError, GivenUp) as refused:
            self._view.say_of_stock(str(refused))
            return
        if listed is not None:
            self._view.set_stock(listed)

    def _show_stock(self) -> None:
        """The list is shared with the other page."""
        listed = self._view.stock_list
        self.stock_words.setText(self._view.stock_told)
        self.stock_words.setToolTip("" if listed is None else plain("\n".join(listed.found.problems[:_MOST_HINTED])))
        self.edit_stock.setText(tr("New list…") if listed is None else tr("Edit it…"))

    def _ask_stock(self) -> None:
        last = self._view.stock_path
        folder = "" if last is None else str(last.parent)
        kinds = tr("Stock lists (*.csv *.txt *.tsv *.xlsx *.xlsm *.ods);;All files (*)")
        name, _ = QFileDialog.getOpenFileName(self, tr("Open a stock list"), folder, kinds)
        if name:
            self.read(Path(name))

    def _edit_stock(self) -> None:
        from gearplan.window.tables.stockdialog import StockDialog

        dialog = StockDialog(self._view.stock_list, self)
        if dialog.exec() == StockDialog.DialogCode.Accepted:
            self._view.set_stock(dialog.listed)
        dialog.deleteLater()

    def _range_entered(self, part: str, ends: tuple[int, int] | None) -> None:
        self._ends[part] = ends
        self.changed.emit()

    def _chains_typed(self, value: object) -> None:
        self._chains = value if isinstance(value, tuple) else ()
        self.changed.emit()

    def _tyres_typed(self, value: object) -> None:
        self._tyres = value if isinstance(value, tuple) else ()
        self.changed.emit()


def _chain_sizes(text: str) -> tuple[str, ...]:
    return _several(text.upper(), "final_drive", "chain")


def _tyre_sizes(text: str) -> tuple[str, ...]:
    return _several(text, "tyre", "size")


def _several(text: str, section: str, key: str) -> tuple[str, ...]:
    """Several values with commas between; ValueError for the first that cannot be."""
    values = tuple(part.strip() for part in text.replace(";", ",").split(",") if part.strip())
    for value in values:
        if refusal := checks.check_value(section, key, value):
            raise ValueError(refusal)
    return values
