"""The Circuit page: every set's lap, where each gear is used, and the sections of the circuit."""

from __future__ import annotations

import bisect

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import with_value
from gearplan.bike.text.written import lap_time
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.laps import view as lapview
from gearplan.plan.laps.ownlap import own_lap
from gearplan.plan.laps.view import LapView
from gearplan.plan.season.wet import Wet
from gearplan.window.book.panel import BookPanel
from gearplan.window.circuit.advicehead import AdviceHead
from gearplan.window.circuit.charts.pictures import LapCharts
from gearplan.window.circuit.exports import board_of, page_of
from gearplan.window.circuit.head import CircuitHead, CircuitOffers
from gearplan.window.circuit.lineform import LineForm
from gearplan.window.circuit.mapdrag import MapDrag
from gearplan.window.circuit.questions import Questions
from gearplan.window.circuit.rangelabel import RangeLabel
from gearplan.window.circuit.ranges import LapRanges
from gearplan.window.circuit.ranker import Ranker
from gearplan.window.circuit.results import RankingTab, WhereTab
from gearplan.window.circuit.riderform import RiderForm
from gearplan.window.circuit.seasonform import SeasonForm
from gearplan.window.circuit.sections.form import SectionsForm
from gearplan.window.circuit.tworiders import TwoRiders
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.emptystate import EmptyState
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.layout import card, scrolled
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View

_DRY = tr(" The lap time counts as one in the dry.")
_RANKING, _WHERE, _SECTIONS, _RIDER, _LINE, _BOOK = (
    tr("Ranking"),
    tr("Where"),
    tr("Sections"),
    tr("How it is ridden"),
    tr("Line"),
    tr("Book"),
)
_SETS, _SEASON = tr("Sets"), tr("Season")
#: From which height and width on ranking and gains are worth a place of their own beside the other tabs.
_FIRST = {_RANKING: (600, 520, True), _WHERE: (480, 480, False)}
_OTHER = (560, 500, False)


class CircuitPage(QWidget):
    """Laps of the fitted and the proposed set, and the ranking of all others.

    The signals ask for what the window does with files: `open_asked`, `demo_asked` (name), `new_asked`, `save_asked`
    (True: under another name), `bike_save_asked` and `sessions_asked` (the sheet to fill in; True: to a printer);
    `table_ready`, `page_ready` and `board_ready` carry what is to be exported. `told`: words, and whether something
    is wrong.
    """

    field_wanted = Signal(str)
    open_asked = Signal()
    demo_asked = Signal(str)
    new_asked = Signal()
    save_asked = Signal(bool)
    table_ready = Signal(object, object, object)
    page_ready = Signal(object)
    board_ready = Signal(object, bool)
    bike_save_asked = Signal()
    sessions_asked = Signal(bool)
    told = Signal(str, bool)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        document.unread_changed.connect(self._unread_changed)
        self.ranker = Ranker(self)
        self.ranker.ranked.connect(self._ranked)
        two_sides(self, self._left(), self._right())

    def _left(self) -> QWidget:
        frame, column = card()
        column.setSpacing(theme.UNIT // 2)
        self.head = self._head()
        column.addWidget(self.head)
        self.advice = AdviceHead()
        self.advice.proposed.connect(self._propose)
        column.addWidget(self.advice)
        told = QHBoxLayout()
        told.setSpacing(2 * theme.UNIT)
        self.sentence = PlainLabel()
        self.sentence.setProperty("role", "small")
        self.sentence.setWordWrap(True)
        told.addWidget(FixedSize(self.sentence, theme.SMALL))
        self.range = RangeLabel()
        self.range.told.connect(self._show_pinned)
        told.addWidget(FixedSize(self.range, theme.SMALL))
        column.addLayout(told)
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 1)
        self.drawn = LapCharts(self._view)
        self.drawn.moved.connect(self._cursor_moved)
        self.head.shaded.connect(self.drawn.show_shade)
        column.addWidget(self.drawn, 1)
        return frame

    def _head(self) -> CircuitHead:
        head = CircuitHead()
        for asks, answered in (
            (head.open_asked, self.open_asked),
            (head.demo_asked, self.demo_asked),
            (head.new_asked, self.new_asked),
            (head.save_asked, self.save_asked),
            (head.table_asked, self._export_table),
            (head.page_asked, self._export_page),
        ):
            asks.connect(answered)
        return head

    def _right(self) -> QWidget:
        self.results = RankingTab(self._view)
        self.results.proposed.connect(self._propose)
        self.results.boxed.connect(self._take_gearbox)
        self.results.filtered.connect(self._filtered)
        self.results.cancelled.connect(self.ranker.stop)
        self.ranker.said.connect(self.results.say)
        self.results.resumed.connect(self.ranker.go_on)
        self.ranker.waiting.connect(self._waits)
        self.where = WhereTab(self._view)
        self.sections = SectionsForm(self._document, self._view)
        self.sections.picked.connect(self._section_picked)
        self.sections.own.asked.connect(self._own_lap)
        self.line = LineForm(self._document)
        self.ranges = LapRanges(self._view)
        self.ranges.changed.connect(self.refresh)
        self.ranges.doubted.connect(self._filtered)
        self.rider = RiderForm(self._document, self._view)
        self.rider.changed.connect(self.refresh)
        self.asks = Questions(self._document, self.rider, self.ranges)
        self.riders = TwoRiders(self.ranker, self.rider, self._view, self)
        self.season = SeasonForm(self.asks.season, lambda: self._document.circuit)
        self.season.proposed.connect(self._propose)
        self.book = BookPanel(self._document)
        self.book.proposed.connect(self._propose)
        self.book.told.connect(self.told)
        self.book.save_asked.connect(self.bike_save_asked)
        self.book.sheet_asked.connect(self.sessions_asked)
        self.book.board_asked.connect(self._export_board)
        listed = (
            (self.results, _RANKING),
            (self.where, _WHERE),
            (self.sections, _SECTIONS),
            (self.ranges, _SETS),
            (self.rider, _RIDER),
            (self.line, _LINE),
            (self.book, _BOOK),
            (self.season, _SEASON),
        )
        self.spread = Spread([Leaf(name, scrolled(tab), *_FIRST.get(name, _OTHER)) for tab, name in listed])
        self.tabs = self.spread.tabs
        self.drag = MapDrag(self._document, self.drawn.map, self.sections, self)
        self.spread.changed.connect(self._refresh_tab)
        self._offer_circuits()
        return self.spread

    def _offer_circuits(self) -> None:
        """Ways out of the empty state."""
        self.offers = CircuitOffers()
        self.offers.demo_asked.connect(self.demo_asked)
        self.offers.open_asked.connect(self.open_asked)
        self.empty.block.insertWidget(self.empty.block.count() - 1, self.offers)

    # What is shown.

    def refresh(self) -> None:
        """Show the document as it is now."""
        circuit = self._document.circuit
        self.ranges.show_bike(self._document.bike)
        known = self.asks.known()
        lap = known if isinstance(known, LapView) else None
        self._show_empty(circuit, known)
        self.drawn.setVisible(lap is not None)
        self.head.show_circuit(circuit, unsaved=self._document.circuit_unsaved, wet=self.asks.wet)
        self.sentence.setText("" if lap is None else lapview.lap_sentence(lap))
        self.range.ask(lap, self.ranges.doubts)
        if lap is not None and circuit is not None:
            self._show_lap(lap, self.asks.today(circuit))
        question = self.asks.ranking()
        self.ranker.ask(question, self.results.wanted, self.ranges.doubts)
        self.riders.ask(question, self.results.wanted, self.ranges.doubts)
        if self.ranker.ranking is None:
            self.drawn.show_plateau(None, None, None)
        self._show_advice()
        self._refresh_tab()

    def _unread_changed(self) -> None:
        if self.isVisible():
            self.refresh()

    def refresh_cursor(self) -> None:
        """The road-speed cursor of other charts means nothing here."""

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.drawn.recolour()
        self.line.recolour()
        self.refresh()

    def forget(self) -> None:
        """Another bike: its own ranges."""
        self.ranges.forget()
        self.book.forget()

    def _show_empty(self, circuit: Circuit | None, known: LapView | Finding | None) -> None:
        self.offers.setVisible(circuit is None)
        self.advice.setVisible(isinstance(known, LapView))
        if circuit is None:
            self.empty.say(tr("Which circuit? Take a demo circuit, open a file, or add sections on the right."), "")
        elif isinstance(known, Finding):
            self.empty.say(known.text, known.field or "")
        else:
            self.empty.say("", "")

    def _show_lap(self, lap: LapView, today: Wet) -> None:
        bike, chosen = self._document.bike, self._document.chosen
        self.drawn.show_lap(lap, bike.engine.end_rpm)
        near = {part: self._view.teeth_range(part, bike) for part in ("rear", "front")}
        self.ranker.ahead(today.bike, chosen, near, today.circuit, self.asks.rules(today))

    def hold(self, held: bool) -> None:
        """A slider is held: the charts follow each step, the map a little later."""
        self.drawn.hold(held)
        if not held and self.isVisible():
            self.refresh()

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self.ranker.finish()
        self.riders.other.finish()
        self.range.finish()
        self.season.finish()

    def _refresh_tab(self) -> None:
        self.spread.offer(_LINE, self._document.line is not None)
        shown = self.spread.in_sight()
        if _RANKING in shown:
            self._show_ranking()
        if _WHERE in shown:
            self.where.show_view(self.asks.lap())
        if _BOOK in shown:
            self.book.refresh(self.ranker.ranking, self.ranker.tied, wet=self.asks.wet)
        for name, form in (
            (_SECTIONS, self.sections),
            (_RIDER, self.rider),
            (_LINE, self.line),
            (_SEASON, self.season),
        ):
            if name in shown:
                form.refresh()
        self.drag.refresh(_SECTIONS in shown and self.asks.lap() is not None)

    def _ranked(self) -> None:
        self.drawn.show_plateau(self.ranker.ranking, self.ranker.tied, self._ratio())
        self.ranges.show_worth(self.ranker.tied)
        self._show_advice()
        self._show_ranking()
        if _BOOK in self.spread.in_sight():
            self.book.refresh(self.ranker.ranking, self.ranker.tied, wet=self.asks.wet)

    def _show_advice(self) -> None:
        self.advice.show_advice(self.ranker.ranking, self.ranker.tied, self._document.chosen)
        self.drawn.show_tied(self.ranker.ranking, self.ranker.tied)
        self._show_pinned()

    def _show_pinned(self) -> None:
        self.results.show_pinned(self.ranker.ranking, self.ranker.tied, self.asks.lap(), self.range.found)

    def _filtered(self) -> None:
        self.ranker.filter(self.results.wanted, self.ranges.doubts)
        self.riders.other.filter(self.results.wanted, self.ranges.doubts)
        self.range.ask(self.asks.lap(), self.ranges.doubts)

    def _waits(self, share: float | None, words: str) -> None:
        self.results.show_waiting(share, words, self.ranker.more)

    def _show_ranking(self) -> None:
        if self.ranker.ranking is None:
            # The last one stays in sight until there is another.
            self.results.show_proposed(self._document.chosen)
        else:
            self.results.show_ranking(self.ranker.ranking, self.ranker.tied, self.ranker.among, self._document.chosen)
            self.drawn.put_ratio(self._ratio())

    def _ratio(self) -> float | None:
        """The final ratio of the proposed set."""
        chosen = self._document.chosen
        return chosen.rear / chosen.front if chosen.front and chosen.rear else None

    # What is done.

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=words.teeth(chosen)))

    def _take_gearbox(self, gears: object) -> None:
        bike = self._document.bike
        self._document.edit(tr("Take a gearbox"), with_value(bike, "gearbox", "gears", gears))

    def _own_lap(self, seconds: float) -> None:
        circuit = self._document.circuit
        if circuit is None:
            return
        # A lap in the dry: what the wet changes is computed from it.
        found = own_lap(self._document.bike, circuit, seconds, self.rider.rules(self._document.bike, circuit))
        if isinstance(found, Finding):
            self.sections.own.say(found.text, circuit)
            return
        self.sections.own.say(f"{found.told}{_DRY if self.asks.wet else ''}", found.circuit)
        if found.circuit is not circuit:
            self._document.edit_circuit(tr("Apex speeds for {seconds}", seconds=lap_time(seconds)), found.circuit)

    def _section_picked(self, index: int) -> None:
        circuit = self._document.circuit
        if circuit is not None and index < len(circuit.sections):
            starts = circuit.starts_m
            self.drawn.go_to((starts[index] + starts[index + 1]) / 2)

    def _cursor_moved(self) -> None:
        """The section under the cursor comes to hand where sections are looked at."""
        circuit = self._document.circuit
        if circuit is not None and _SECTIONS in self.spread.in_sight():
            self.sections.pick(bisect.bisect_right(circuit.starts_m[1:-1], self.drawn.distance))

    def _export_table(self) -> None:
        ranking = self.ranker.ranking
        if ranking is not None:
            self.table_ready.emit(ranking, ranking.rows(self.results.wanted), self.ranker.tied)

    def _export_page(self) -> None:
        lap, wanted = self.asks.lap(), self.results.wanted
        if lap is not None:
            self.page_ready.emit(page_of(self._document, self._view, lap, self.ranker, wanted, self.asks.weather))

    def _export_board(self, to_printer: bool) -> None:
        known = self.asks.known()
        if isinstance(known, LapView):
            self.board_ready.emit(board_of(self._document, known, self.asks.weather), to_printer)
        else:
            self.told.emit(tr("The pit board needs a circuit.") if known is None else known.text, True)
