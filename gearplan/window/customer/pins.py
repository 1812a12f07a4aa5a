"""Up to four sets pinned side by side, each under a name of its own, with what the customer compares."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.plan.customer.page import Asked, customer
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.words import VERDICT, chain_name, teeth
from gearplan.window.kit import theme
from gearplan.window.kit.layout import card

MOST_PINS = 4


@dataclass(frozen=True, slots=True)
class Pin:
    """A pinned set and its name."""

    name: str
    set: DriveSet


class PinCard(QWidget):
    """One pinned set; its name is a field."""

    shown = Signal(object)
    renamed = Signal(object, str)
    removed = Signal(object)

    def __init__(self, pin: Pin, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.pin = pin
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        frame, column = card()
        outer.addWidget(frame)
        self.frame: QFrame = frame
        self.name = QLineEdit(pin.name)
        self.name.setMaxLength(24)
        self.name.setAccessibleName(f"Name of the pinned set {teeth(pin.set)}")
        self.name.textEdited.connect(self._named)
        column.addWidget(self.name)
        self.title, self.words = QLabel(pin.name), QLabel()
        self.title.setProperty("role", "title")
        self.title.hide()
        column.addWidget(self.title)
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        buttons = QHBoxLayout()
        self.propose = QPushButton("Show")
        self.propose.clicked.connect(self._show)
        self.away = QPushButton("Unpin")
        self.away.clicked.connect(self._remove)
        buttons.addWidget(self.propose)
        buttons.addWidget(self.away)
        buttons.addStretch(1)
        column.addLayout(buttons)
        self._say_name(pin.name)

    def show_figures(self, bike: Bike, asked: Asked, stock: Stock | None, *, proposed: bool) -> None:
        """The figures of the set, from the same page that the sentences make."""
        content = customer(bike, self.pin.set, asked, stock)
        pull, engine, top = content.pictures
        verdict = VERDICT[evaluate(bike, self.pin.set).verdict]
        told = [f"{teeth(self.pin.set)}, {chain_name(self.pin.set)}: {verdict.lower()}"]
        told += [
            f"{name} {picture.after_words}, now {picture.before_words}"
            for name, picture in (("Pull", pull), ("Engine", engine), ("Top speed", top))
        ]
        prices = [figure.exact for sentence in content.sentences for figure in sentence.figures if figure.of == "price"]
        told += [f"Parts {price:.2f}" for price in prices]
        self.words.setText("\n".join(told))
        self.propose.setText("Shown" if proposed else "Show")
        self.propose.setEnabled(not proposed)

    def show_large(self, on: bool) -> None:
        """For a customer: so large that it is read from a step away, and nothing that is only for the shop."""
        self.title.setVisible(on)
        for widget in (self.name, self.away):
            widget.setVisible(not on)
        for label in (self.title, self.words):
            label.setStyleSheet(f"font-size: {theme.px(theme.TITLE)}px;" if on else "")

    def _say_name(self, name: str) -> None:
        """The buttons' names for a screen reader follow the set's."""
        self.title.setText(name)
        self.propose.setAccessibleName(f"Show {name}, {teeth(self.pin.set)}")
        self.away.setAccessibleName(f"Unpin {name}, {teeth(self.pin.set)}")

    def _named(self, text: str) -> None:
        self._say_name(text)
        self.renamed.emit(self, text)

    def _show(self) -> None:
        self.shown.emit(self.pin.set)

    def _remove(self) -> None:
        self.removed.emit(self)


class Pins(QWidget):
    """The row of pinned sets; `proposed` carries the set to be shown, `changed` tells of more or fewer."""

    proposed = Signal(object)
    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(theme.UNIT)
        self.cards: list[PinCard] = []
        self.hide()

    @property
    def pins(self) -> tuple[Pin, ...]:
        """The pinned sets with their names."""
        return tuple(one.pin for one in self.cards)

    def holds(self, chosen: DriveSet) -> bool:
        """Whether a set is pinned."""
        return any(pin.set == chosen for pin in self.pins)

    def add(self, chosen: DriveSet) -> None:
        """Pin a set, unless it is pinned or there are four."""
        if len(self.cards) >= MOST_PINS or self.holds(chosen):
            return
        taken = {pin.name for pin in self.pins}
        name = next(f"Set {letter}" for letter in "ABCDE" if f"Set {letter}" not in taken)
        one = PinCard(Pin(name, chosen))
        one.shown.connect(self.proposed)
        one.renamed.connect(self._renamed)
        one.removed.connect(self._remove)
        self.cards.append(one)
        self._row.addWidget(one, 1)
        self.show()
        self.changed.emit()

    def clear(self) -> None:
        """Another bike: its sets are others."""
        for one in list(self.cards):
            self._remove(one)

    def show_large(self, on: bool) -> None:
        """Show every set for a customer, or for the shop."""
        for one in self.cards:
            one.show_large(on)

    def refresh(self, bike: Bike, asked: Asked, stock: Stock | None, chosen: DriveSet) -> None:
        """Show every set's figures as they are now."""
        for one in self.cards:
            one.show_figures(bike, asked, stock, proposed=one.pin.set == chosen)

    def _renamed(self, one: PinCard, name: str) -> None:
        one.pin = Pin(name, one.pin.set)

    def _remove(self, one: PinCard) -> None:
        self.cards.remove(one)
        self._row.removeWidget(one)
        one.hide()
        # The button that was pressed sits in the card, so the card goes once its event is over.
        one.deleteLater()
        self.setVisible(bool(self.cards))
        self.changed.emit()
