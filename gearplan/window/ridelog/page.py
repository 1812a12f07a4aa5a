"""The Ride log page: a recorded ride opened, what it tells of the bike, its laps, and what may be taken over."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QWidget,
)

from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike
from gearplan.bike.work.rides import Ride
from gearplan.language import decimal, tr
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.words import teeth
from gearplan.ridelog.laps.laps import Lap, StartLine, line_at
from gearplan.ridelog.laps.tocircuit import circuit_of
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.offers import Offer
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.background import Background, Work
from gearplan.window.kit.places.layout import card, on_paper
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.view import View
from gearplan.window.ridelog import work as ridework
from gearplan.window.ridelog.charts import RideCharts
from gearplan.window.ridelog.columnspanel import ColumnsPanel
from gearplan.window.ridelog.head import Head
from gearplan.window.ridelog.historypanel import HistoryPanel
from gearplan.window.ridelog.lapspanel import LapsPanel
from gearplan.window.ridelog.modelpanel import ModelPanel
from gearplan.window.ridelog.tells import Tells
from gearplan.window.ridelog.work import Cancelled, Counted, Modelled, Progress, Read, told_by

_FILTER = tr("Recorded rides (*.csv *.txt *.tsv *.gpx *.nmea *.log);;All files (*)")
_LEARNED, _LAPS, _MODEL, _HISTORY, _COLUMNS = (
    tr("What it tells"),
    tr("Laps"),
    tr("Own lap"),
    tr("History"),
    tr("Columns"),
)
#: From which height on each tab is worth a place of its own; the first has a column to itself.
_HIGH = {_LEARNED: 900, _LAPS: 820, _MODEL: 400, _HISTORY: 400, _COLUMNS: 400}


class RideLogPage(QWidget):
    """`circuit_wanted` carries a circuit that gearing is to be ranked on; `told` a line for the message strip."""

    circuit_wanted = Signal(object)
    told = Signal(str, bool)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        #: The file that is being opened, and the one whose columns are asked about.
        self._path: Path | None = None
        self._asking: Path | None = None
        self._read: Read | None = None
        self._learned: Learned | None = None
        self._about: Bike | None = None
        self._line: StartLine | None = None
        self._mark: float | None = None
        #: The set that the user has counted; it holds while the profile has it.
        self._counted: tuple[int, int] | None = None
        self._modelled: Modelled | None = None
        two_sides(self, self._left(), self._right())
        self.background = Background(self)
        self.background.progressed.connect(self.head.show_progress)
        self.background.done.connect(self._arrived)
        self.background.failed.connect(self._failed)
        self._show_state()

    def _left(self) -> QWidget:
        frame, column = card(spacing=theme.UNIT)
        self.head = Head()
        self.head.open.clicked.connect(self._ask_open)
        self.head.demo.clicked.connect(self.open_demo)
        self.head.stop.clicked.connect(self._cancelled)
        column.addWidget(self.head)
        self.tells = Tells()
        self.tells.finding.taken.connect(self._take)
        self.tells.finding.evidence_asked.connect(self._draw_evidence)
        column.addWidget(self.tells.finding)
        self.charts = RideCharts(self._view)
        self.charts.pointed.connect(self._pointed)
        column.addWidget(self.charts, 1)
        return frame

    def _right(self) -> QWidget:
        self.tells.inferences.taken.connect(self._take)
        self.tells.inferences.evidence_asked.connect(self._draw_evidence)
        self.tells.count.counted.connect(self._count)
        self.laps = LapsPanel(self._view)
        self.laps.lap_chosen.connect(self._lap_chosen)
        self.laps.circuit_asked.connect(self.circuit_wanted)
        self.laps.line_asked.connect(self._line_here)
        self.model = ModelPanel(self._view)
        self.model.wanted.connect(self._compute)
        self.model.taken.connect(self._take_fit)
        self.model.proposed.connect(self._propose)
        self.history = HistoryPanel()
        self.history.keep_asked.connect(self._keep)
        self.history.removed.connect(self._forget)
        self.columns = ColumnsPanel()
        self.columns.confirmed.connect(self._confirmed)
        panels = (self.tells, self.laps, self.model, self.history, self.columns)
        listed = zip(_HIGH, (on_paper(panel, theme.UNIT) for panel in panels), strict=True)
        self.spread = Spread([Leaf(name, page, _HIGH[name], alone=name == _LEARNED) for name, page in listed])
        self.tabs = self.spread.tabs
        return self.spread

    # Showing what was read.

    @property
    def learned(self) -> Learned | None:
        """What the ride at hand tells."""
        return self._learned

    def refresh(self) -> None:
        """Show the document as it is now: what a ride tells depends on the profile."""
        if self._learned is not None:
            self._catch_up()
            self._show_learned(charts=False)
        else:
            self._show_state()

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self.background.finish()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.charts.recolour()
        self.model.recolour()
        self.history.recolour()

    def _show_state(self) -> None:
        there, busy = self._learned is not None, self.background.busy
        self.head.show_start(alone=not there)
        self.tells.finding.setVisible(there)
        self.charts.setVisible(there)
        rides, asked = self._document.bike.rides, self.columns.layout_shown is not None
        self.history.show_rides(rides, there=there, real=self._read is not None and self._read.day is not None)
        card = self.spread.parentWidget()
        assert card is not None
        card.setVisible(there or asked or bool(rides))
        self.head.show_busy(busy=busy)
        for name in (_LEARNED, _LAPS, _MODEL):
            self.spread.enable(name, there)
        self.spread.enable(_COLUMNS, asked)
        # Without a ride a place of its own would stand empty.
        self.spread.keep_together(not there)

    def _show_learned(self, *, charts: bool) -> None:
        learned = self._learned
        assert learned is not None
        log, bike = learned.log, self._document.bike
        minutes = decimal(f", {log.time[-1] / 60:.1f} min") if log.timed else ""
        rows = {"name": log.name, "used_rows": log.used_rows, "rows": log.rows, "minutes": minutes}
        self.head.name.setText(tr("{name}: {used_rows} of {rows} rows{minutes}", **rows))
        about = self._about if self._about is not None else bike
        self.tells.show_told(learned, replace(about, rides=bike.rides), bike, self._view.speed_unit)
        self.laps.show_laps(learned, marked=self._mark is not None)
        self._show_model()
        if charts:
            self.charts.show_ride(learned, self.tells.first)
        self.charts.show_learned(learned, self._mark)
        self.tells.show_drawn(self.charts.drawn)
        self._show_state()

    def _draw_evidence(self, about: str) -> None:
        self.charts.show_evidence(about)
        self.tells.show_drawn(self.charts.drawn)

    # Opening, beside the window.

    def _ask_open(self) -> None:
        folder = str(self._path.parent if self._path is not None else Path.home())
        name, _ = QFileDialog.getOpenFileName(self, tr("Open a recorded ride"), folder, _FILTER)
        if name:
            self.open_file(Path(name))

    def open_file(self, path: Path) -> None:
        """Look at a file, and read it at once where its columns leave no doubt."""
        bike = self._document.bike
        self._path = path

        def work(progress: Progress, cancelled: Cancelled) -> Read:
            return ridework.opened(path, None, bike, progress, cancelled)

        self._begin(work)

    def open_demo(self) -> None:
        """Laps on the bike at hand, with one tooth less in front and one more behind than the profile says."""
        bike, circuit = self._document.bike, demo_circuit().circuit
        on = bike.final_drive
        if on.front is None or on.rear is None:
            self.told.emit(tr("The demo ride needs the sprockets of the profile."), True)
            return
        other = replace(bike, final_drive=replace(on, front=on.front - 1, rear=on.rear + 1))
        known = pull(other, fitted(other))
        if not isinstance(known, Pull):
            self.told.emit(tr("The demo ride needs more of the profile. {text}", text=known.text), True)
            return
        self._path = None

        def work(progress: Progress, cancelled: Cancelled) -> Read:
            return ridework.demo(bike, known, circuit, progress, cancelled)

        self._begin(work)

    def _confirmed(self, layout: Layout) -> None:
        path, bike = self._asking, self._document.bike
        if path is None:
            return
        self._path = path

        def work(progress: Progress, cancelled: Cancelled) -> Read:
            return ridework.opened(path, layout, bike, progress, cancelled)

        self._begin(work)

    def _learn(self) -> None:
        """The same ride against another profile or with another start line."""
        read, bike, line = self._read, self._document.bike, self._line
        if read is None:
            return
        on = bike.final_drive
        counted = self._counted if self._counted == (on.front, on.rear) else None

        def work(progress: Progress, cancelled: Cancelled) -> Read:
            return ridework.again(read, bike, line, counted, progress, cancelled)

        self._begin(work)

    def _begin(self, work: Work) -> None:
        self.head.show_progress(0.0, "")
        self.background.start(work)
        self._show_state()

    def _cancelled(self) -> None:
        self.background.cancel()
        self._show_state()

    def _arrived(self, answer: object) -> None:
        if isinstance(answer, Modelled):
            self._modelled = answer
            self._show_model()
            self._show_state()
            self._catch_up()
            return
        if isinstance(answer, Counted):
            self._show_state()
            self.tells.count.refuse("" if isinstance(answer.offer, Offer) else answer.offer)
            if isinstance(answer.offer, Offer):
                self._take(answer.offer)
            return
        assert isinstance(answer, Read)
        if answer.layout is not None and answer.layout is not self.columns.layout_shown:
            self.columns.ask(answer.layout)
        if answer.learned is None:
            assert answer.path is not None
            self._asking = answer.path
            still = "" if self._learned is None else tr("; below is {name}", name=self._learned.log.name)
            self.head.name.setText(tr("{name}: confirm the columns{still}", name=answer.path.name, still=still))
            self._show_state()
            self.spread.show_page(_COLUMNS)
            return
        another = self._learned is None or answer.learned.log is not self._learned.log
        if another:
            self._asking, self._line, self._mark, self._counted = answer.path, None, None, None
        self._read, self._learned, self._about = answer, answer.learned, answer.bike
        self._show_learned(charts=another)
        if another:
            self.history.another_ride(answer.day)
            self.spread.show_page(_LEARNED)
        self._catch_up()

    def _catch_up(self) -> None:
        """The profile may have changed while something else was worked on."""
        if self._learned is None or self._about is None or self.background.busy:
            return
        if told_by(self._about) != told_by(self._document.bike):
            self._learn()

    def _failed(self, reason: object) -> None:
        self._show_state()
        name = self._path.name if self._path is not None else tr("The ride")
        if not isinstance(reason, LogError):
            # A fault of the program, not of the file.
            assert isinstance(reason, BaseException)
            raise reason
        self.told.emit(f"{name}: {reason}", True)

    # The computed lap.

    def _show_model(self) -> None:
        learned, bike = self._learned, self._document.bike
        cut = None if learned is None else learned.circuit
        if self._modelled is not None and not self._modelled.holds(cut, bike):
            self._modelled = None
        self.model.show_model(self._modelled, bike, possible=cut is not None)

    def _compute(self) -> None:
        learned, bike = self._learned, self._document.bike
        if learned is None or learned.circuit is None:
            return
        cut = learned.circuit
        self._modelled = None

        def work(progress: Progress, cancelled: Cancelled) -> Modelled:
            return ridework.modelled(bike, learned, cut, progress, cancelled)

        self._begin(work)

    def _take_fit(self) -> None:
        fit = None if self._modelled is None else self._modelled.fit
        if fit is not None:
            self._document.edit(tr("Take what the lap decides"), fit.applied(self._document.bike))

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))

    # What the user does with it.

    def _count(self, teeth_: tuple[int, int]) -> None:
        """Tell the ride for a set that was counted, listed or not, and take all that follows in one edit."""
        read, bike, line = self._read, self._document.bike, self._line
        if read is None:
            return

        def work(progress: Progress, cancelled: Cancelled) -> Counted:
            return ridework.counted(read, bike, line, teeth_, progress, cancelled)

        self._begin(work)

    def _take(self, offer: Offer) -> None:
        before = self._document.bike
        after = offer.applied(before)
        if offer.counted is not None:
            self._counted = offer.counted
        if after != before:
            self._document.edit(tr("{label}, from the ride", label=offer.label), after)
        else:
            self._learn()

    def _keep(self) -> None:
        learned = self._learned
        after = None if learned is None else self.history.with_ride(learned, self._document.bike)
        if after is not None:
            self._document.edit(tr("Keep the ride"), after)

    def _forget(self, ride: Ride) -> None:
        bike = self._document.bike
        self._document.edit(tr("Remove the ride"), replace(bike, rides=tuple(one for one in bike.rides if one != ride)))

    def _lap_chosen(self, lap: Lap) -> None:
        learned = self._learned
        if learned is None or learned.laps is None:
            return
        name = learned.circuit.circuit.name if learned.circuit is not None else tr("Lap")
        try:
            cut = circuit_of(learned.ridden, learned.laps, lap, name)
        except LogError as reason:
            self.told.emit(str(reason), True)
            return
        self._learned = replace(learned, circuit=cut, no_laps="")
        self.laps.show_laps(self._learned, marked=self._mark is not None)
        self._show_model()

    def _pointed(self, time: float) -> None:
        self._mark = time
        self.charts.show_mark(time)
        if self._learned is not None:
            self.laps.show_laps(self._learned, marked=True)

    def _line_here(self) -> None:
        learned, mark = self._learned, self._mark
        if learned is None or mark is None:
            return
        try:
            self._line = line_at(learned.log, mark)
        except LogError as reason:
            self.told.emit(str(reason), True)
            return
        self._learn()
