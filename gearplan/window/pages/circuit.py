"""The Circuit page: every set's lap, where each gear is used, and the sections of the circuit."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QScrollArea,
    QTabWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike import circuit as circuits
from gearplan.bike import library
from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.bike.units import RPM
from gearplan.drive.lap import LapRules
from gearplan.plan import lapview, sentences
from gearplan.plan.circuitmap import CircuitMap, circuit_map
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.lapranking import Cancelled, LapRanking, rank_laps
from gearplan.plan.lapsets import GearboxError
from gearplan.plan.lapspread import Plateau, plateau
from gearplan.plan.lapview import Floats, LapView, lap_view
from gearplan.plan.searchspace import Space
from gearplan.window import theme
from gearplan.window.background import Background, Tell, Unwanted
from gearplan.window.cards import card, two_sides
from gearplan.window.document import Document
from gearplan.window.emptystate import EmptyState
from gearplan.window.fields import labelled
from gearplan.window.lapranges import LapRanges
from gearplan.window.lapresults import RankingTab, WhereTab
from gearplan.window.sectionsform import SectionsForm
from gearplan.window.still import Still
from gearplan.window.view import View

if TYPE_CHECKING:
    from gearplan.window.charts.lapchart import LapChart
    from gearplan.window.charts.mapchart import MapChart
    from gearplan.window.charts.pairchart import PairChart

_PATIENCE_MS = 150
#: So long after the last change the neighbours of the proposed set are ridden, so that the next step finds its lap.
_IDLE_MS = 250
#: While a slider is held, the map follows at a slower pace.
_MAP_MS = 60
_SHADES = ("gear", "engine speed")


class CircuitPage(QWidget):
    """Laps of the fitted and the proposed set, and the ranking of all others.

    The signals ask for what the window does with files: `open_asked`, `demo_asked` (name), `new_asked`, `save_asked`
    (True: under another name); `table_ready` and `page_ready` carry what is to be exported.
    """

    field_wanted = Signal(str)
    open_asked = Signal()
    demo_asked = Signal(str)
    new_asked = Signal()
    save_asked = Signal(bool)
    table_ready = Signal(object)
    page_ready = Signal(object)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self.distance = 0.0
        self.ranking: LapRanking | None = None
        self.tied: Plateau | None = None
        self._ranked_for: object = None
        self.background = Background(self)
        self.background.done.connect(self._ranked)
        self.background.failed.connect(self._not_ranked)
        self.background.progressed.connect(self._on_the_way)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._rank)
        self._held = False
        self._ahead = Background(self)
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.setInterval(_IDLE_MS)
        self._idle.timeout.connect(self._think_ahead)
        self._map_pause = QTimer(self)
        self._map_pause.setSingleShot(True)
        self._map_pause.setInterval(_MAP_MS)
        self._map_pause.timeout.connect(self._show_map)
        two_sides(self, self._left(), self._right(), (680, 480))

    @cached_property
    def map(self) -> MapChart:
        """The track map."""
        from gearplan.window.charts.mapchart import MapChart

        chart = MapChart()
        chart.moved_to.connect(self.go_to)
        return chart

    @cached_property
    def plateau_chart(self) -> PairChart:
        """Seconds behind the quickest over the final ratio."""
        from gearplan.window.charts.pairchart import PairChart

        return PairChart("behind, s", 1.0, "final ratio", 1.0, mark="proposed")

    @cached_property
    def charts(self) -> tuple[LapChart, LapChart, LapChart]:
        """Speed, engine speed and time gained, along the lap."""
        from gearplan.window.charts.lapchart import LapChart

        made = (
            LapChart("km/h", across=False, banded=True),
            LapChart("rpm", across=False, from_zero=False),
            LapChart("ahead, s", across=True),
        )
        for chart in made:
            chart.moved_to.connect(self.go_to)
        return made

    def _left(self) -> QWidget:
        frame, column = card()
        column.addLayout(self._head())
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        column.addWidget(Still(self.sentence, theme.BODY, lines=2))
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 1)
        self.drawn = QWidget()
        inside = QVBoxLayout(self.drawn)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(theme.UNIT // 2)
        above = QHBoxLayout()
        above.addWidget(self.map, 3)
        above.addWidget(self.plateau_chart, 2)
        inside.addLayout(above, 7)
        for chart, share in zip(self.charts, (5, 3, 4), strict=True):
            inside.addWidget(chart, share)
        self.here = QLabel()
        self.here.setProperty("role", "small")
        self.here.setWordWrap(True)
        inside.addWidget(Still(self.here, theme.SMALL, lines=2))
        column.addWidget(self.drawn, 1)
        return frame

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.name = QLabel()
        self.name.setProperty("role", "title")
        row.addWidget(self.name, 1)
        self.shade = QComboBox()
        self.shade.addItems([f"by {name}" for name in _SHADES])
        self.shade.currentIndexChanged.connect(self._shade_changed)
        row.addWidget(labelled("&Map", self.shade))
        row.addWidget(self.shade)
        file_menu, export_menu = QMenu(self), QMenu(self)
        file_menu.addAction("Open…").triggered.connect(self.open_asked)
        demos = file_menu.addMenu("Demo circuits")
        for name in library.demo_circuits():
            action = demos.addAction(name.replace("&", "&&"))
            action.setData(name)
            action.triggered.connect(self._demo_asked)
        file_menu.addAction("New, empty").triggered.connect(self.new_asked)
        file_menu.addSeparator()
        file_menu.addAction("Save").triggered.connect(self._save)
        file_menu.addAction("Save as…").triggered.connect(self._save_as)
        export_menu.addAction("Ranking as CSV…").triggered.connect(self._export_table)
        export_menu.addAction("Page as PDF or picture…").triggered.connect(self._export_page)
        for label, menu in (("Circuit", file_menu), ("Export", export_menu)):
            button = QToolButton()
            button.setText(label)
            button.setProperty("plain", True)
            button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
            button.setMenu(menu)
            row.addWidget(button)
        return row

    def _right(self) -> QWidget:
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.results = RankingTab(self._view)
        self.results.proposed.connect(self._propose)
        self.results.filtered.connect(self._filtered)
        self.results.cancelled.connect(self._stop)
        self.where = WhereTab(self._view)
        self.sections = SectionsForm(self._document)
        self.sections.picked.connect(self._section_picked)
        self.ranges = LapRanges(self._view)
        self.ranges.changed.connect(self.refresh)
        for tab, name in (
            (self.results, "Ranking"),
            (self.where, "Where"),
            (self.sections, "Sections"),
            (self.ranges, "What is ranked"),
        ):
            tab.setBackgroundRole(QPalette.ColorRole.Base)
            tab.setAutoFillBackground(True)
            scroll = QScrollArea()
            scroll.setWidgetResizable(True)
            scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            scroll.setWidget(tab)
            self.tabs.addTab(scroll, name)
        self.tabs.currentChanged.connect(self._refresh_tab)
        self._demo_buttons()
        return self.tabs

    def _demo_buttons(self) -> None:
        """Ways out of the empty state."""
        self.offers = QWidget()
        row = QHBoxLayout(self.offers)
        row.addStretch(1)
        for name in library.demo_circuits():
            button = QPushButton(name.replace("&", "&&"))
            button.setObjectName(name)
            button.clicked.connect(self._demo_pressed)
            row.addWidget(button)
        other = QPushButton("Open a file…")
        other.clicked.connect(self.open_asked)
        row.addWidget(other)
        row.addStretch(1)
        layout = self.empty.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(layout.count() - 1, self.offers)

    # What is shown.

    def refresh(self) -> None:
        """Show the document as it is now."""
        circuit = self._document.circuit
        self.ranges.show_bike(self._document.bike)
        known = self.known()
        lap = known if isinstance(known, LapView) else None
        self._show_empty(circuit, known)
        self.drawn.setVisible(lap is not None)
        mark = " ●" if self._document.circuit_unsaved else ""
        length = f", {circuit.length_m:.0f} m" if circuit and circuit.sections else ""
        self.name.setText(f"{(circuit.name if circuit else '') or 'No circuit'}{length}{mark}")
        self.name.setToolTip("The circuit has unsaved changes" if mark else "")
        if lap is not None and circuit is not None:
            self._show_lap(lap)
        else:
            self.sentence.setText("")
        self._rank_if_stale()
        self._refresh_tab()

    def known(self) -> LapView | Finding | None:
        """Both sets' laps, what they lack, or None without a circuit."""
        circuit = self._document.circuit
        if circuit is None:
            return None
        return lap_view(self._document.bike, self._document.chosen, circuit, self.ranges.rules)

    def refresh_cursor(self) -> None:
        """The road-speed cursor of other charts means nothing here."""

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for chart in (self.map, self.plateau_chart, *self.charts):
            chart.recolour()
        self.refresh()

    def forget(self) -> None:
        """Another bike: its own ranges."""
        self.ranges.forget()

    def refused(self) -> list[str]:
        """The names of fields that hold text which could not be taken."""
        return self.sections.refused()

    def _show_empty(self, circuit: Circuit | None, known: LapView | Finding | None) -> None:
        self.offers.setVisible(circuit is None)
        if circuit is None:
            self.empty.say("Which circuit? Take a demo circuit, open a file, or add sections on the right.", "")
        elif isinstance(known, Finding):
            self.empty.say(sentences.in_words(known.text), known.field or "")
        else:
            self.empty.say("", "")

    def _show_lap(self, lap: LapView) -> None:
        unit = self._view.speed_factor
        speed, engine, gain = self.charts
        speed.name_axis(self._view.speed_unit)
        on, new = lap.on, lap.proposed
        speed.show_lines(None if on is None else (on.distance, on.speed / unit), (new.distance, new.speed / unit))
        speed.show_bands(tuple((band.start, band.end, band.gear) for band in lapview.gear_bands(new)))
        limiter = self._document.bike.engine.limiter_rpm or self._document.bike.engine.redline_rpm
        engine.show_lines(
            None if on is None else (on.distance, on.engine / RPM), (new.distance, new.engine / RPM), limiter
        )
        gain.show_lines(None, lap.ahead)
        if self._held:
            if not self._map_pause.isActive():
                self._map_pause.start()
        else:
            self._show_map()
        self._idle.start()
        self.sentence.setText(lapview.lap_sentence(lap))
        self._show_here(lap)

    def _show_map(self) -> None:
        lap, circuit = self.known(), self._document.circuit
        if not isinstance(lap, LapView) or circuit is None:
            return
        line = _line(circuit)
        if self.shade.currentIndex() == 0:
            shading = lapview.shaded_by_gear(lap.proposed, line.distance)
        else:
            shading = lapview.shaded_by_engine(lap.proposed, line.distance, lap.row, circuit.starts_m)
        self.map.show_line(_drawn(circuit), shading)

    def hold(self, held: bool) -> None:
        """A slider is held: the charts follow each step, the map a little later."""
        self._held = held
        for chart in self.charts:
            chart.hold(held)
        if not held and self.isVisible():
            self.refresh()

    def _think_ahead(self) -> None:
        """Ride the sets that a slider reaches next, beside the window."""
        bike, chosen, circuit = self._document.bike, self._document.chosen, self._document.circuit
        if circuit is None or not self.isVisible() or self.background.busy:
            return
        rules = self.ranges.rules
        near = [
            replace(chosen, **{part: teeth})  # type: ignore[arg-type]
            for part in ("rear", "front")
            for teeth in _outwards(getattr(chosen, part), self._view.teeth_range(part, bike))
        ]

        def work(_tell: Tell, unwanted: Unwanted) -> object:
            for one in near:
                if unwanted():
                    break
                lap_view(bike, one, circuit, rules)
            return None

        self._ahead.start(work)

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self.background.finish()
        self._ahead.finish()

    def _show_here(self, lap: LapView) -> None:
        self.distance = min(self.distance, float(lap.proposed.distance[-1]))
        for chart in (self.map, *self.charts):
            chart.put_cursor(self.distance)
        self.here.setText(
            lapview.at_distance(lap, self.distance, self._view.speed_factor, self._view.speed_unit)
            + " Computed speeds, not advice."
        )

    def go_to(self, distance: float) -> None:
        """Take the cursor to a distance (m) along the lap."""
        self.distance = distance
        known = self.known()
        if isinstance(known, LapView):
            self._show_here(known)

    def _refresh_tab(self) -> None:
        at = self.tabs.currentIndex()
        if at == 0:
            self._show_ranking()
        elif at == 1:
            known = self.known()
            self.where.show_view(known if isinstance(known, LapView) else None)
        elif at == 2:
            self.sections.refresh()

    # The ranking, off the window's thread.

    def _rank_if_stale(self) -> None:
        wanted = self._question()
        if wanted == self._ranked_for:
            return
        self._ranked_for = wanted
        self.ranking = self.tied = None
        self.background.cancel()
        if isinstance(wanted, str):
            self._pause.stop()
            self.results.show_waiting(None)
            self.results.say(wanted)
            return
        self._pause.start()

    def _question(self) -> tuple[Bike, Circuit, Space, LapRules, object] | str:
        """What the ranking depends on, or why there is none."""
        bike, circuit = self._document.bike, self._document.circuit
        if circuit is None:
            return "Choose a circuit first."
        if refused := circuits.refusal(circuit):
            return refused
        space = self.ranges.space(bike)
        if isinstance(space, str):
            return space
        return bike, circuit, space, self.ranges.rules, self.ranges.alternatives(bike)

    def _rank(self) -> None:
        wanted = self._ranked_for
        if not isinstance(wanted, tuple):
            return
        bike, circuit, space, rules, options = wanted
        shown = self.results.wanted
        self.results.show_waiting(0.0)

        def work(tell: Tell, unwanted: Unwanted) -> object:
            def progress(at: int, of: int) -> bool:
                tell(at / of)
                return not unwanted()

            ranking = rank_laps(bike, circuit, space, rules, options, progress)
            return ranking, None if isinstance(ranking, Finding) else plateau(ranking, wanted=shown)

        self.background.start(work)

    def _on_the_way(self, share: float) -> None:
        self.results.show_waiting(share)

    def _ranked(self, result: object) -> None:
        assert isinstance(result, tuple)
        ranking, tied = result
        self.results.show_waiting(None)
        if isinstance(ranking, Finding):
            self.results.say(sentences.in_words(ranking.text))
            return
        self.ranking, self.tied = ranking, tied
        self._show_plateau()
        self._show_ranking()

    def _not_ranked(self, failed: object) -> None:
        self.results.show_waiting(None)
        if isinstance(failed, GearboxError):
            self.results.say(f"The race gearbox: {failed}.")
        elif isinstance(failed, Exception) and not isinstance(failed, Cancelled):
            raise failed

    def _stop(self) -> None:
        self.background.cancel()
        self.results.show_waiting(None)
        self.results.say("Stopped. Change anything to rank again.")

    def _filtered(self) -> None:
        if self.ranking is not None:
            self.tied = plateau(self.ranking, wanted=self.results.wanted)
            self._show_ranking()

    def _show_plateau(self) -> None:
        if self.ranking is None:
            return
        ratio, time = self.ranking.ratio_curve()
        self.plateau_chart.show_lines(None, (ratio, time - float(time.min())), self._stands())

    def _stands(self) -> float | None:
        """Where the proposed set stands among the ratios."""
        chosen = self._document.chosen
        return chosen.rear / chosen.front if chosen.front and chosen.rear else None

    def _show_ranking(self) -> None:
        if self.ranking is not None:
            self.results.show_ranking(self.ranking, self.tied, self._document.chosen)
            self.plateau_chart.put_mark(self._stands())

    # What is done.

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, f"Propose {sentences.teeth(chosen)}")

    def _section_picked(self, index: int) -> None:
        circuit = self._document.circuit
        if circuit is not None and index < len(circuit.sections):
            starts = circuit.starts_m
            self.go_to((starts[index] + starts[index + 1]) / 2)

    def _shade_changed(self) -> None:
        self.refresh()

    def _demo_asked(self) -> None:
        self.demo_asked.emit(self.sender().data())  # type: ignore[attr-defined]

    def _demo_pressed(self) -> None:
        self.demo_asked.emit(self.sender().objectName())

    def _save(self) -> None:
        self.save_asked.emit(False)

    def _save_as(self) -> None:
        self.save_asked.emit(True)

    def _export_table(self) -> None:
        if self.ranking is not None:
            self.table_ready.emit(self.ranking.best(None, self.results.wanted))

    def _export_page(self) -> None:
        from gearplan.sheet.circuitsheet import circuit_sheet

        known, circuit = self.known(), self._document.circuit
        if not isinstance(known, LapView) or circuit is None:
            return
        ranking = self.ranking
        sheet = circuit_sheet(
            self._document.bike,
            self._document.chosen,
            circuit,
            known,
            ranking,
            self.tied,
            () if ranking is None else ranking.best(20, self.results.wanted),
            unit=self._view.speed_factor,
            unit_name=self._view.speed_unit,
        )
        self.page_ready.emit(sheet)


def _outwards(middle: int | None, ends: tuple[int, int]) -> list[int]:
    """The counts of a range, the nearest first."""
    return [] if middle is None else sorted(range(ends[0], ends[1] + 1), key=lambda teeth: abs(teeth - middle))[1:]


@lru_cache(maxsize=8)
def _drawn(circuit: Circuit) -> tuple[Floats, Floats, Floats]:
    line = _line(circuit)
    return line.distance, line.x, line.y


@lru_cache(maxsize=8)
def _line(circuit: Circuit) -> CircuitMap:
    """The map of a circuit, the same object for the same circuit."""
    return circuit_map(circuit)
