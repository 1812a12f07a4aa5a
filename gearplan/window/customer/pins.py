"""Up to four proposals of the bike side by side, each under a name of its own, with what the customer compares."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.proposal import Proposal
from gearplan.bike.stock import Stock
from gearplan.plan.customer.page import Asked, customer
from gearplan.plan.driveset import DriveSet
from gearplan.plan.quote.proposals import name_of, pinned, price_words, set_of
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.words import VERDICT, chain_name, teeth
from gearplan.window.kit import theme
from gearplan.window.kit.layout import card


class PinCard(QWidget):
    """The proposal at a place of the bike's; its name is a field."""

    shown = Signal(object)
    renamed = Signal(int, str)
    removed = Signal(int)
    finished = Signal()

    def __init__(self, place: int, proposal: Proposal, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.place, self.proposal, self.set = place, proposal, set_of(proposal)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        frame, column = card()
        outer.addWidget(frame)
        self.frame: QFrame = frame
        self.name = QLineEdit(proposal.name)
        self.name.setMaxLength(24)
        self.name.setAccessibleName(f"Name of the pinned set {teeth(self.set)}")
        self.name.textEdited.connect(self._named)
        self.name.editingFinished.connect(self.finished)
        column.addWidget(self.name)
        self.title, self.words = QLabel(), QLabel()
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
        self._say_name()

    def show_proposal(self, proposal: Proposal) -> None:
        """The same set under another name, or at another price."""
        self.proposal = proposal
        if self.name.text().strip() != (proposal.name or ""):
            self.name.setText(proposal.name or "")
        self._say_name()

    def show_figures(self, bike: Bike, asked: Asked, stock: Stock | None, *, proposed: bool) -> None:
        """The figures of the set, from the same page that the sentences make."""
        content = customer(bike, self.set, asked, stock)
        pull, engine, top = content.pictures
        verdict = VERDICT[evaluate(bike, self.set).verdict]
        told = [f"{teeth(self.set)}, {chain_name(self.set)}: {verdict.lower()}"]
        told += [
            f"{name} {picture.after_words}, now {picture.before_words}"
            for name, picture in (("Pull", pull), ("Engine", engine), ("Top speed", top))
        ]
        prices = [figure.exact for sentence in content.sentences for figure in sentence.figures if figure.of == "price"]
        told += [price_words(self.proposal)] if self.proposal.price is not None else [f"Parts {p:.2f}" for p in prices]
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

    def _say_name(self) -> None:
        """The buttons' names for a screen reader follow the set's."""
        name = name_of(self.proposal)
        self.title.setText(name)
        self.propose.setAccessibleName(f"Show {name}, {teeth(self.set)}")
        self.away.setAccessibleName(f"Unpin {name}, {teeth(self.set)}")

    def _named(self, text: str) -> None:
        self.renamed.emit(self.place, text)

    def _show(self) -> None:
        self.shown.emit(self.set)

    def _remove(self) -> None:
        self.removed.emit(self.place)


class Pins(QWidget):
    """The row of pinned sets; `proposed` carries the set to be shown, the others the place of a proposal."""

    proposed = Signal(object)
    renamed = Signal(int, str)
    removed = Signal(int)
    finished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(theme.UNIT)
        self._large = False
        self.cards: list[PinCard] = []
        self.hide()

    def holds(self, chosen: DriveSet) -> bool:
        """Whether a set is pinned."""
        return any(one.set == chosen for one in self.cards)

    def show_large(self, on: bool) -> None:
        """Show every set for a customer, or for the shop."""
        self._large = on
        for one in self.cards:
            one.show_large(on)

    def refresh(self, bike: Bike, asked: Asked, stock: Stock | None, chosen: DriveSet) -> None:
        """Show the proposals and their figures as they are now."""
        places = pinned(bike)
        wanted = [(place, set_of(bike.proposals[place])) for place in places]
        if wanted != [(one.place, one.set) for one in self.cards]:
            self._make(bike, places)
        for one in self.cards:
            one.show_proposal(bike.proposals[one.place])
            one.show_figures(bike, asked, stock, proposed=one.set == chosen)

    def _make(self, bike: Bike, places: tuple[int, ...]) -> None:
        for one in self.cards:
            self._row.removeWidget(one)
            one.hide()
            # The button that was pressed sits in a card, so the card goes once its event is over.
            one.deleteLater()
        self.cards = [PinCard(place, bike.proposals[place]) for place in places]
        for one in self.cards:
            one.shown.connect(self.proposed)
            one.renamed.connect(self.renamed)
            one.removed.connect(self.removed)
            one.finished.connect(self.finished)
            one.show_large(self._large)
            self._row.addWidget(one, 1)
            one.show()
        self.setVisible(bool(self.cards))
