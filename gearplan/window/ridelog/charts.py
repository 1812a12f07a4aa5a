"""The charts of a ride: large the evidence of one statement, and below it both speeds over time as an overview."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.ridelog.telling.evidence import evidence
from gearplan.ridelog.telling.learned import Learned
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.window.ridelog.evidencechart import EvidenceChart
    from gearplan.window.ridelog.ratiochart import RatioChart
    from gearplan.window.ridelog.ridechart import RideChart

#: The evidence that is shown until another is asked for.
RATIOS = "gears"
_RATIOS_TITLE = tr("How long each ratio of engine speed to road speed was ridden")


class RideCharts(QWidget):
    """Made when a ride is first shown, since their library takes a while to load.

    `pointed` carries the time (s) that was clicked.
    """

    pointed = Signal(float)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._about = RATIOS
        self._by_ratios = False
        self._learned: Learned | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(theme.UNIT // 2)
        self.title = PlainLabel()
        self.title.setProperty("role", "small")

    @cached_property
    def speed(self) -> RideChart:
        """Road speed over time."""
        from gearplan.window.ridelog.ridechart import RideChart

        return RideChart(self._view.speed_unit, self._view.speed_factor)

    @cached_property
    def engine(self) -> RideChart:
        """Engine speed over time."""
        from gearplan.window.ridelog.ridechart import RideChart

        return RideChart(tr("rpm"), RPM)

    @cached_property
    def ratios(self) -> RatioChart:
        """How long each ratio was ridden."""
        from gearplan.window.ridelog.ratiochart import RatioChart

        return RatioChart(self._view)

    @cached_property
    def evidence(self) -> EvidenceChart:
        """What another statement rests on."""
        from gearplan.window.ridelog.evidencechart import EvidenceChart

        return EvidenceChart()

    def _make(self) -> None:
        if self._column.count():
            return
        self._column.addWidget(self.title)
        for evidence_ in (self.ratios, self.evidence):
            self._column.addWidget(evidence_, 1)
        self._column.addWidget(self.speed)
        self._column.addWidget(self.engine)
        self.engine.setXLink(self.speed)
        for chart in (self.speed, self.engine):
            chart.pointed.connect(self.pointed)

    def show_ride(self, learned: Learned, about: str) -> None:
        """Show another ride, the whole of it, with the evidence of the statement of that name."""
        self._make()
        log, self._about = learned.log, about
        nothing = np.full(len(log.time), np.nan)
        speeds = [line for line in (log.road, log.gps) if line is not None]
        self.speed.show_channels(log.time, speeds or [nothing])
        self.engine.show_channels(log.time, [log.engine if log.engine is not None else nothing])
        self.engine.setVisible(log.engine is not None)
        # The lower one names the time for both.
        self.speed.show_time(named=log.engine is None)

    def show_learned(self, learned: Learned, mark: float | None) -> None:
        """Show what is told of the ride that is drawn: its laps, the mark (s), the evidence."""
        self._learned = learned
        self.speed.measure_in(self._view.speed_unit, self._view.speed_factor)
        laps = [] if learned.laps is None else learned.laps.laps
        times = [lap.start for lap in laps] + [lap.end for lap in laps[-1:]]
        for chart in (self.speed, self.engine):
            chart.show_laps(times)
        self.show_mark(mark)
        self.show_evidence(self._about)

    def show_mark(self, mark: float | None) -> None:
        """Mark one time (s), or none."""
        for chart in (self.speed, self.engine):
            chart.show_cursor(mark)

    @property
    def drawn(self) -> str:
        """Whose evidence is drawn."""
        return RATIOS if self._by_ratios else self._about

    def show_evidence(self, about: str) -> None:
        """Show what the statement of that name rests on; the ratios where it has nothing of its own."""
        learned = self._learned
        if learned is None:
            return
        self._about = about
        found = evidence(learned, about, self._view.speed_unit, self._view.speed_factor)
        ratios = self._by_ratios = found is None and learned.gears is not None
        self.ratios.setVisible(ratios)
        self.evidence.setVisible(found is not None)
        self.title.setVisible(ratios or found is not None)
        self.title.setText(_RATIOS_TITLE if found is None else found.title)
        if found is not None:
            self.evidence.show_evidence(found)
        elif learned.gears is not None:
            self.ratios.show_gears(learned.gears)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for name in ("speed", "engine", "ratios", "evidence"):
            if name in self.__dict__:
                getattr(self, name).recolour()
