"""The proposals of the bike, a row each: on the quote or not, what became of it, and what can be done with it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike.work.proposal import STATES, Proposal
from gearplan.language import tr
from gearplan.plan.quote.proposals import name_of, price_words, set_of
from gearplan.plan.words import set_name, teeth
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.plaintext import PlainLabel


class ProposalRow(QWidget):
    """One proposal; every signal carries its place."""

    ticked = Signal(int, bool)
    state_chosen = Signal(int, object)
    picked = Signal(int)
    removed = Signal(int)
    job_asked = Signal(int)

    def __init__(self, place: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.place = place
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, theme.UNIT // 2)
        column.setSpacing(theme.UNIT // 2)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        row = Flow()
        self.on_quote = TickBox(tr("On the quote"))
        self.on_quote.toggled.connect(self._ticked)
        self.state = ChoiceField(STATES)
        self.state.removeItem(0)
        self.state.entered.connect(self._state_chosen)
        self.show_it, self.job, self.away = (
            QPushButton(tr("Show")),
            QPushButton(tr("Begin the job")),
            QPushButton(tr("Remove")),
        )
        self.show_it.clicked.connect(self._picked)
        self.job.clicked.connect(self._job)
        self.away.clicked.connect(self._remove)
        for widget in (self.on_quote, self.state, self.show_it, self.job, self.away):
            row.addWidget(widget)
        column.addWidget(self.words)
        column.addLayout(row)

    def show_proposal(self, one: Proposal, *, on_quote: bool, at_hand: bool) -> None:
        """Show it as it is now."""
        name = name_of(one)
        quoted = tr("quote {quote}", quote=one.quote) if one.quote else ""
        told = filter(None, (set_name(set_of(one)), one.date, quoted, price_words(one), *one.wishes))
        self.words.setText(f"{name}: {'; '.join(told)}")
        self.words.setProperty("role", "" if at_hand else "quiet")
        self.words.style().unpolish(self.words)
        self.words.style().polish(self.words)
        with QSignalBlocker(self.on_quote):
            self.on_quote.setChecked(on_quote)
        self.on_quote.setEnabled(one.open)
        self.job.setEnabled(one.open)
        self.state.show_choice(one.state or "offered")
        self.show_it.setText(tr("Shown") if at_hand else tr("Show"))
        for widget, what in (
            (self.on_quote, tr("On the quote")),
            (self.state, tr("State of")),
            (self.show_it, tr("Show")),
            (self.job, tr("Begin the job of")),
            (self.away, tr("Remove")),
        ):
            widget.setAccessibleName(f"{what} {name}, {teeth(set_of(one))}")

    def _ticked(self, on: bool) -> None:
        self.ticked.emit(self.place, on)

    def _state_chosen(self, word: object) -> None:
        self.state_chosen.emit(self.place, word)

    def _picked(self) -> None:
        self.picked.emit(self.place)

    def _job(self) -> None:
        self.job_asked.emit(self.place)

    def _remove(self) -> None:
        self.removed.emit(self.place)


class ProposalList(QWidget):
    """The rows; as many as there are proposals, the newest first."""

    ticked = Signal(int, bool)
    state_chosen = Signal(int, object)
    picked = Signal(int)
    removed = Signal(int)
    job_asked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(theme.UNIT)
        self.rows: list[ProposalRow] = []

    def show_proposals(self, proposals: Sequence[Proposal], on_quote: Sequence[int], at: int) -> None:
        """Show them as they are now."""
        while len(self.rows) > len(proposals):
            row = self.rows.pop()
            self._column.removeWidget(row)
            row.hide()
            # The button that was pressed may sit in it: it goes once its event is over.
            row.deleteLater()
        while len(self.rows) < len(proposals):
            row = ProposalRow(len(self.rows))
            for name in ("ticked", "state_chosen", "picked", "removed", "job_asked"):
                getattr(row, name).connect(getattr(self, name))
            self.rows.append(row)
            self._column.insertWidget(0, row)
            row.show()
        for place, one in enumerate(proposals):
            self.rows[place].show_proposal(one, on_quote=place in on_quote, at_hand=place == at)
