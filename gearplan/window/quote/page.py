"""The Quote page: the bike's proposals, what each needs and costs, and up to three of them side by side on a quote."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.work.proposal import Proposal, changed
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.job.parts import parts
from gearplan.plan.quote.fitting import job_of
from gearplan.plan.quote.proposals import name_of, place_of, set_of, without
from gearplan.plan.quote.quote import MOST_SETS, Quote, quote, reopened, usual_hours, with_part
from gearplan.plan.quote.table import quote_table
from gearplan.plan.quote.terms import Terms
from gearplan.plan.words import teeth
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel
from gearplan.window.kit.customerview import CustomerView
from gearplan.window.kit.paperview import PaperView
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import card, most_width, primary, scrolled
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View
from gearplan.window.parts.partslist import PartsList
from gearplan.window.quote.proposallist import ProposalList
from gearplan.window.quote.work import WorkRow

if TYPE_CHECKING:
    from gearplan.plan.customer.page import Customer
    from gearplan.sheet.customer.rows import Row
    from gearplan.sheet.painter import Drawing

#: From this height on, at the usual size of text, the quote is shown as it is printed too.
_WITH_PAPER = 860
#: From this height on the customer's figures stand below what a proposal needs.
_WITH_CUSTOMER = 1100
#: The parts of a proposal stand in lines no wider than this.
_WORK_WIDE = 820


class QuotePage(QWidget):
    """Edits the proposals in the document. The signals carry the places of the proposals that are meant.

    `terms` are the shop's, shown by whoever keeps them.
    """

    pin_asked = Signal()
    shop_asked = Signal()
    save_asked = Signal(object)
    print_asked = Signal(object)
    table_asked = Signal(object)
    job_asked = Signal(int)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self.terms = Terms()
        #: Draws a quote as it is printed, where whoever keeps the shop's head does.
        self.drawn: Callable[[Quote], Drawing | None] | None = None
        #: Draws the page to take home, for the set that is proposed.
        self.drawn_home: Callable[[], Drawing | None] | None = None
        #: What the customer's page tells of the sets.
        self.told_customer: Callable[[], tuple[Customer, tuple[Row, ...]]] | None = None
        self._at = 0
        self._left_off: set[int] = set()
        two_sides(self, self._proposals(), self._paper())

    def _proposals(self) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT)
        head = Flow()
        title = PlainLabel(tr("Proposals of this bike"))
        title.setProperty("role", "title")
        head.addWidget(title)
        head.push()
        self.pin = QPushButton(tr("Keep the proposed set"))
        self.pin.clicked.connect(self.pin_asked)
        head.addWidget(self.pin)
        column.addLayout(head)
        self.none = PlainLabel(
            tr("None yet. A set that is kept here, or pinned on the Customer page, stays with the bike.")
        )
        self.none.setProperty("role", "small")
        self.none.setWordWrap(True)
        column.addWidget(self.none)
        self.list = ProposalList()
        self.list.ticked.connect(self._ticked)
        self.list.state_chosen.connect(self._state_chosen)
        self.list.picked.connect(self._picked)
        self.list.removed.connect(self._removed)
        self.list.job_asked.connect(self.job_asked)
        column.addWidget(self.list)
        self.needs = PlainLabel()
        self.needs.setProperty("role", "title")
        column.addWidget(self.needs)
        self.work = WorkRow()
        self.work.answered.connect(self._answered)
        self.work.hours_entered.connect(self._hours_entered)
        self.work.discount_entered.connect(self._discount_entered)
        self.work.finished.connect(self._document.end_merge)
        self.work.discount.unread.connect(self._document.note_unread)
        column.addWidget(self.work)
        errors = ErrorLabel()
        self.work.hours.errors = self.work.discount.errors = errors
        column.addWidget(errors)
        self.parts = PartsList()
        self.parts.entered.connect(self._part_entered)
        self.parts.finished.connect(self._document.end_merge)
        self.parts.unread.connect(self._document.note_unread)
        self.parts.total.hide()
        most_width(self.parts, _WORK_WIDE)
        column.addWidget(self.parts)
        column.addStretch(1)
        frame, on_card = card()
        on_card.addWidget(scrolled(inside), 1)
        self.customer = CustomerView()
        self.customer.hide()
        on_card.addWidget(self.customer, 1)
        return frame

    def _paper(self) -> QWidget:
        frame, column = card(spacing=theme.UNIT)
        self.title = PlainLabel()
        self.title.setProperty("role", "title")
        self.title.setWordWrap(True)
        column.addWidget(self.title)
        self.table = TextTable(tr("Quote"), left=(0,), fills=True)
        column.addWidget(self.table, 1)
        papers = QHBoxLayout()
        papers.setSpacing(2 * theme.UNIT)
        self.paper = PaperView(tr("The quote as it is printed"))
        self.home = PaperView(tr("The page to take home, as it is printed"))
        for paper in (self.paper, self.home):
            paper.hide()
            papers.addWidget(paper, 1)
        column.addLayout(papers, 4)
        self.notes = PlainLabel()
        self.notes.setWordWrap(True)
        self.notes.setProperty("role", "small")
        self.notes.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(self.notes)
        row = Flow()
        self.save, self.print_it, self.to_table = (
            primary(QPushButton(tr("Save PDF…"))),
            QPushButton(tr("Print…")),
            QPushButton(tr("Save table…")),
        )
        self.shop = QPushButton(tr("Shop and paper…"))
        for button, slot in (
            (self.save, self._save),
            (self.print_it, self._print),
            (self.to_table, self._table),
            (self.shop, self.shop_asked),
        ):
            button.clicked.connect(slot)
            row.addWidget(button)
        column.addLayout(row)
        return frame

    # What it shows.

    @property
    def places(self) -> tuple[int, ...]:
        """The places of the proposals that stand on the quote: the last open ones that were not left off."""
        there = [place for place, one in enumerate(self._document.bike.proposals) if one.open]
        return tuple(place for place in there if place not in self._left_off)[-MOST_SETS:]

    @property
    def shown(self) -> Quote | None:
        """The quote as it stands; None without proposals."""
        bike, places = self._document.bike, self.places
        return quote(bike, places, self.terms, date.today(), self._view.stock) if places else None

    def _note(self, text: str) -> None:
        """Say what is to be said of the quote; a screen reader is told where that is nothing."""
        self.notes.setText(text)
        self.notes.setAccessibleName("" if text else tr("Nothing is to be said of the quote"))

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike = self._document.bike
        self._at = min(self._at, max(len(bike.proposals) - 1, 0))
        self.none.setVisible(not bike.proposals)
        self.pin.setEnabled(place_of(bike, self._document.chosen) is None)
        self.list.show_proposals(bike.proposals, self.places, self._at)
        self._show_needs(bike)
        shown = self.shown
        for button in (self.save, self.print_it, self.to_table):
            button.setEnabled(shown is not None)
        if shown is None:
            self.title.setText(tr("Quote: no proposal is ticked"))
            self.table.show_texts(("",), [])
            self._note("")
            self.paper.hide()
            self.home.hide()
            self.customer.hide()
            return
        told = quote_table(shown)
        self.title.setText(told.title)
        self.table.show_texts(told.heads, list(told.rows))
        self._note("\n".join(told.notes))
        self._show_paper()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The page on paper needs a height of its own."""
        super().resizeEvent(event)
        self._show_paper()

    def _show_paper(self) -> None:
        """The page as it is printed, on a large screen."""
        roomy = self.height() >= theme.px(_WITH_PAPER)
        shown = self.shown if roomy else None
        self.paper.setVisible(shown is not None)
        self.home.setVisible(shown is not None)
        if shown is not None and self.drawn is not None:
            self.paper.show_drawing(self.drawn(shown))
        if shown is not None and self.drawn_home is not None:
            self.home.show_drawing(self.drawn_home())
        high = shown is not None and self.height() >= theme.px(_WITH_CUSTOMER)
        self.customer.setVisible(high)
        if high and self.told_customer is not None:
            self.customer.show_content(*self.told_customer())

    def _show_needs(self, bike: Bike) -> None:
        """What the proposal at hand needs."""
        for widget in (self.needs, self.work, self.parts):
            widget.setVisible(bool(bike.proposals))
        if not bike.proposals:
            return
        one = bike.proposals[self._at]
        self.needs.setText(tr("{name_of} needs", name_of=name_of(one)))
        usual = usual_hours(bike, one, self.terms, date.today())
        job = job_of(bike, one, date.today())
        self.work.show_work(one, job, usual)
        self.parts.show_parts(parts(bike, job, self._view.stock))

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.table.viewport().update()
        self.customer.update()

    def forget(self) -> None:
        """Another bike: its own proposals."""
        self._at, self._left_off = 0, set()
        self.parts.forget()
        self.work.forget()

    # What is done.

    def _edit(self, label: str, one: Proposal, merge: str = "") -> None:
        bike = self._document.bike
        kept = (*bike.proposals[: self._at], one, *bike.proposals[self._at + 1 :])
        self._document.edit(label, replace(bike, proposals=kept), merge and f"proposals.{self._at}.{merge}")

    @property
    def _one(self) -> Proposal:
        return self._document.bike.proposals[self._at]

    def _ticked(self, place: int, on: bool) -> None:
        if on and len(self.places) == MOST_SETS:
            self._left_off.add(self.places[0])
        (self._left_off.discard if on else self._left_off.add)(place)
        self.refresh()

    def _picked(self, place: int) -> None:
        self._at = place
        self.parts.forget()
        self.work.forget()
        chosen: DriveSet = set_of(self._one)
        self._document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))
        self.refresh()

    def _state_chosen(self, place: int, state: object) -> None:
        bike = self._document.bike
        self._document.edit(f"{state}", replace(bike, proposals=changed(bike.proposals, place, state=state)))

    def _removed(self, place: int) -> None:
        self._left_off = {at - (at > place) for at in self._left_off if at != place}
        self._document.edit(tr("Unpin a set"), without(self._document.bike, place))

    def _answered(self, key: str, word: object) -> None:
        proposed = place_of(self._document.bike, self._document.chosen) == self._at
        self._edit(tr("Parts of a proposal"), reopened(self._one, **{key: word}), key)
        if proposed:
            # Whether its chain is new is part of the set.
            self._document.propose(set_of(self._one), tr("Parts of a proposal"), f"proposals.{self._at}.{key}")
        self._document.end_merge()

    def _hours_entered(self, hours: object) -> None:
        self._edit(tr("Labour"), reopened(self._one, labour_h=hours), "labour")

    def _discount_entered(self, entries: dict[str, object]) -> None:
        self._edit(tr("Discount"), reopened(self._one, **entries), "discount")

    def _part_entered(self, part: str, which: str, value: object) -> None:
        self._edit(tr("Parts"), with_part(self._one, part, **{which: value}), f"{part}.{which}")

    def _save(self) -> None:
        self.save_asked.emit(self.shown)

    def _print(self) -> None:
        self.print_asked.emit(self.shown)

    def _table(self) -> None:
        self.table_asked.emit(self.shown)
