"""Up to four proposals of the bike side by side, each under a name of its own; what they say stands in rows above."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.work.proposal import Proposal
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, plainly
from gearplan.plan.quote.proposals import name_of, pinned, set_of
from gearplan.plan.words import teeth
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_width

_NAME_WIDE = 140


class PinCard(QWidget):
    """The proposal at a place of the bike's; its name is a field."""

    shown = Signal(object)
    renamed = Signal(int, str)
    removed = Signal(int)
    finished = Signal()

    def __init__(self, place: int, proposal: Proposal, chosen: DriveSet, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.place, self.proposal, self.set = place, proposal, chosen
        self._large = False
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.UNIT // 2)
        self.name = QLineEdit(proposal.name)
        self.name.setMaxLength(24)
        fixed_width(self.name, _NAME_WIDE)
        self.name.setAccessibleName(tr("Name of the pinned set {teeth}", teeth=teeth(self.set)))
        self.name.textEdited.connect(self._named)
        self.name.editingFinished.connect(self.finished)
        self.propose = QPushButton(tr("Show"))
        self.propose.setCheckable(True)
        self.propose.clicked.connect(self._show)
        self.away = QPushButton(tr("Unpin"))
        self.away.clicked.connect(self._remove)
        for widget in (self.name, self.propose, self.away):
            row.addWidget(widget)
        self._say_name()

    def show_proposal(self, proposal: Proposal, *, proposed: bool) -> None:
        """The same set under another name, or at another price; whether it is the one that is proposed."""
        self.proposal = proposal
        if self.name.text().strip() != (proposal.name or ""):
            self.name.setText(proposal.name or "")
        self.propose.setChecked(proposed)
        self._say_name()

    def show_large(self, on: bool) -> None:
        """For a customer: one large button with the set's name, and nothing that is only for the shop."""
        self._large = on
        for widget in (self.name, self.away):
            widget.setVisible(not on)
        self.propose.setStyleSheet(f"font-size: {theme.px(theme.LARGE)}px; min-height: {theme.px(52)}px;" if on else "")
        self._say_name()

    def _say_name(self) -> None:
        """The buttons' names for a screen reader follow the set's."""
        name = name_of(self.proposal)
        self.propose.setText(name if self._large else tr("Shown") if self.propose.isChecked() else tr("Show"))
        self.propose.setAccessibleName(tr("Show {name}, {teeth}", name=name, teeth=teeth(self.set)))
        self.away.setAccessibleName(tr("Unpin {name}, {teeth}", name=name, teeth=teeth(self.set)))

    def _named(self, text: str) -> None:
        self.renamed.emit(self.place, text)

    def _show(self) -> None:
        # Whether it is the one shown says the document.
        self.propose.setChecked(True)
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
        self._row = Flow(spacing=2 * theme.UNIT)
        self.setLayout(self._row)
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

    def refresh(self, bike: Bike, chosen: DriveSet) -> None:
        """Show the proposals as they are now."""
        places = pinned(bike)
        wanted = [(place, plainly(bike, set_of(bike.proposals[place]))) for place in places]
        if wanted != [(one.place, one.set) for one in self.cards]:
            self._make(bike, wanted)
        for one in self.cards:
            one.show_proposal(bike.proposals[one.place], proposed=one.set == chosen)

    def _make(self, bike: Bike, wanted: list[tuple[int, DriveSet]]) -> None:
        for one in self.cards:
            self._row.removeWidget(one)
            one.hide()
            # The button that was pressed sits in a card, so the card goes once its event is over.
            one.deleteLater()
        self.cards = [PinCard(place, bike.proposals[place], chosen) for place, chosen in wanted]
        for one in self.cards:
            one.shown.connect(self.proposed)
            one.renamed.connect(self.renamed)
            one.removed.connect(self.removed)
            one.finished.connect(self.finished)
            one.show_large(self._large)
            self._row.addWidget(one)
            one.show()
        self.setVisible(bool(self.cards))
