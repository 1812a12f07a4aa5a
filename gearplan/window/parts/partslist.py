"""The parts of a job: what to order, look up or reuse, with the shop's own numbers and prices."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from gearplan.bike.entries import entry_in
from gearplan.bike.text.numbertext import shown_number
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import JobPart
from gearplan.language import decimal, tr, trn
from gearplan.plan.job.parts import PART_KEYS, Part, total
from gearplan.plan.money import money
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.layout import fixed_width, least_width
from gearplan.window.kit.plaintext import PlainLabel

_WORDS = {"order": tr("Order"), "look up": tr("Look up"), "reuse": tr("Reuse")}


@dataclass(frozen=True)
class _Row:
    """The widgets of one part."""

    action: QLabel
    name: QLabel
    quantity: NumberField
    number: ValueField
    price: NumberField

    def widgets(self) -> tuple[QWidget, ...]:
        return (self.action, self.name, self.quantity, self.number, self.price)


class PartsList(QWidget):
    """`entered` carries the part, the field of `JobPart` and its value."""

    entered = Signal(str, str, object)
    finished = Signal()
    #: As of `ValueField`: what a field stands for, and the text that cannot be read.
    unread = Signal(str, str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        grid.setColumnStretch(1, 1)
        for column, words in enumerate(("", tr("Part"), tr("Quantity"), tr("Part number"), tr("Price each"))):
            grid.addWidget(_head(words), 0, column)
        self.errors = ErrorLabel()
        self.rows: dict[str, _Row] = {}
        for line, key in enumerate(PART_KEYS, 1):
            row = self._row(key)
            self.rows[key] = row
            for column, widget in enumerate(row.widgets()):
                grid.addWidget(widget, line, column)
        outer.addLayout(grid)
        outer.addWidget(self.errors)
        self.total = PlainLabel()
        outer.addWidget(self.total, 0, Qt.AlignmentFlag.AlignRight)
        outer.addStretch(1)

    def _row(self, key: str) -> _Row:
        quantity = NumberField(partial(check_entry, entry_in(JobPart, "quantity")))
        price = NumberField(partial(check_entry, entry_in(JobPart, "price")))
        number = ValueField(_line)
        number.setMaxLength(200)
        fixed_width(number, 160)
        name = PlainLabel()
        name.setWordWrap(True)
        least_width(name, 120)
        for which, field in (("quantity", quantity), ("number", number), ("price", price)):
            field.errors = self.errors
            field.setObjectName(f"{key}.{which}")
            field.entered.connect(self._entered)
            field.finished.connect(self.finished)
            field.stands_for(f"job.part.{key}.{which}", f"{entry_in(JobPart, which).label}, {key}")
            field.unread.connect(self.unread)
        return _Row(PlainLabel(), name, quantity, number, price)

    def show_parts(self, parts: tuple[Part, ...], currency: str = "") -> None:
        """Show the list as it is now; its prices are in `currency`."""
        listed = {part.key: part for part in parts}
        for key, row in self.rows.items():
            part = listed.get(key)
            for widget in row.widgets():
                widget.setVisible(part is not None)
            if part is not None:
                self._show(row, part)
        summed, unpriced = total(tuple(listed.values()))
        lines = (
            trn(
                ", {n} line without quantity or price",
                ", {n} lines without quantity or price",
                unpriced,
            )
            if unpriced
            else ""
        )
        amount = money(summed, currency) if summed or not unpriced else tr("no price entered")
        self.total.setText(tr("To order: {amount}{lines}", amount=amount, lines=lines))

    def forget(self) -> None:
        """Other parts: drop text that was refused for the last ones."""
        for row in self.rows.values():
            for field in (row.quantity, row.number, row.price):
                field.forget()

    def _show(self, row: _Row, part: Part) -> None:
        own = part.entered or JobPart()
        row.action.setText(_WORDS[part.action])
        row.name.setText(f"{part.name} ({part.why})" if part.why else part.name)
        row.quantity.setPlaceholderText("" if part.quantity is None else shown_number(part.quantity))
        row.price.setPlaceholderText("" if part.listed is None or part.price is None else decimal(f"{part.price:.2f}"))
        row.number.setPlaceholderText("" if part.listed is None else part.listed.number)
        row.quantity.show_number(own.quantity)
        row.number.show_value(own.number or "", own.number)
        row.price.show_number(own.price)
        for field, what in (
            (row.quantity, tr("Quantity")),
            (row.number, tr("Part number")),
            (row.price, tr("Price each")),
        ):
            field.setAccessibleName(f"{what}, {part.name}")

    def _entered(self, value: object) -> None:
        key, which = self.sender().objectName().split(".")
        self.entered.emit(key, which, value)


def _head(words: str) -> QLabel:
    label = PlainLabel(words)
    label.setProperty("role", "small")
    return label


def _line(text: str) -> str:
    if fault := check_entry(entry_in(JobPart, "number"), text.strip()):
        raise ValueError(fault)
    return text.strip()
