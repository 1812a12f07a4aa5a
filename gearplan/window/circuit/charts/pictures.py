"""The pictures of a circuit: map, plateau, and what happens along the lap, with one cursor for all."""

from __future__ import annotations

from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.laps import view as lapview
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.spread import Plateau
from gearplan.plan.laps.text import tied_gaps, tied_spans
from gearplan.plan.laps.trackmap import circuit_map
from gearplan.plan.laps.view import Floats, LapView
from gearplan.window.kit import theme
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.layout import Columns
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.window.circuit.charts.aheadchart import AheadChart
    from gearplan.window.circuit.charts.lapchart import LapChart
    from gearplan.window.circuit.charts.mapchart import MapChart
    from gearplan.window.circuit.charts.plateauchart import PlateauChart

#: While a slider is held, what takes longest to draw follows at a slower pace.
_SLOW_MS = 60
#: From this height on, at the usual size of text, the engine speed along the lap is drawn too.
_WITH_ENGINE = 480
#: Sets further behind the quickest are left out of the plateau's picture (a share of the lap).
_FAR = 0.015
#: What the map can be shaded by.
SHADES = ("gear", "engine speed")


class LapCharts(QWidget):
    """Draws both sets' laps; `distance` is where the cursor stands along the lap (m), `moved` tells that the user took
    it somewhere else.
    """

    moved = Signal()

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self.distance = 0.0
        self.shade = SHADES[0]
        self._lap: LapView | None = None
        self._held = False
        self._limiter: float | None = None
        self._slow = QTimer(self)
        self._slow.setSingleShot(True)
        self._slow.setInterval(_SLOW_MS)
        self._slow.timeout.connect(self._show_one_slow)
        self._map_next = False
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        column.addWidget(Columns([self.map, self.plateau]), 9)
        for chart, share in zip(self.charts, (6, 4, 4), strict=True):
            column.addWidget(chart, share)
        self.here = PlainLabel()
        self.here.setProperty("role", "small")
        self.here.setWordWrap(True)
        column.addWidget(FixedSize(self.here, theme.SMALL, lines=2))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """In a low window the map takes the place of the engine speed, which would be too low to be read; the line
        below the charts and the Where tab tell it."""
        super().resizeEvent(event)
        self.charts[1].setVisible(self.height() >= theme.px(_WITH_ENGINE))

    @cached_property
    def map(self) -> MapChart:
        """The track map."""
        from gearplan.window.circuit.charts.mapchart import MapChart

        chart = MapChart()
        chart.moved_to.connect(self._taken_to)
        return chart

    @cached_property
    def plateau(self) -> PlateauChart:
        """Seconds behind the quickest over the final ratio."""
        from gearplan.window.circuit.charts.plateauchart import PlateauChart

        return PlateauChart()

    @cached_property
    def charts(self) -> tuple[AheadChart, LapChart, LapChart]:
        """Time gained, engine speed and speed, along the lap."""
        from gearplan.window.circuit.charts.aheadchart import AheadChart
        from gearplan.window.circuit.charts.lapchart import LapChart

        made = (
            AheadChart(),
            LapChart("rpm", across=False, from_zero=False),
            LapChart("km/h", across=True, banded=True),
        )
        for chart in made:
            chart.moved_to.connect(self._taken_to)
        return made

    def show_lap(self, lap: LapView, limiter_rpm: float | None) -> None:
        """Draw both sets' laps."""
        self._lap = lap
        unit = self._view.speed_factor
        gain, _, speed = self.charts
        speed.name_axis(self._view.speed_unit)
        on, new = lap.on, lap.proposed
        speed.show_lines(None if on is None else (on.distance, on.speed / unit), (new.distance, new.speed / unit))
        speed.show_bands(tuple((band.start, band.end, band.gear) for band in lapview.gear_bands(new)))
        gain.show_ahead(lap.ahead)
        self._limiter = limiter_rpm
        if not self._held:
            self._show_slow()
        elif not self._slow.isActive():
            self._slow.start()
        self._show_here()

    def show_shade(self, shade: str) -> None:
        """Shade the map by another of `SHADES`."""
        self.shade = shade
        self._show_map()

    def show_plateau(self, ranking: LapRanking | None, tied: Plateau | None, ratio: float | None) -> None:
        """Draw how far every ratio is behind, and which sets are tied; `ratio` is that of the proposed set."""
        if ranking is None:
            self.plateau.clear_lines()
            return
        ratios, times = ranking.ratio_curve()
        first = float(times.min())
        sets = ranking.sets
        rows = np.array([], int) if tied is None else tied.tied
        # What is far behind would press the plateau flat.
        far = max(_FAR * first, 2 * float(np.max(ranking.time[rows] - first, initial=0.0)))
        behind = np.where(times - first <= far, times - first, np.nan)
        self.plateau.show_lines(None, (ratios, behind), ratio)
        chosen = None
        if tied is not None:
            one = tied.chosen
            name = f"{tied.word} {words.teeth(sets.set_at(one))}"
            chosen = (float(sets.ratio[one]), float(ranking.time[one]) - first, name)
        self.plateau.show_tied(tied_spans(ranking, tied), chosen)
        on = ranking.fitted
        self.plateau.put_fitted(None if on is None else on.ratio)

    def show_tied(self, ranking: LapRanking | None, tied: Plateau | None) -> None:
        """Show in the time gained where the tied sets end."""
        gaps = None if ranking is None else tied_gaps(ranking, tied)
        take = None if ranking is None or tied is None or gaps is None else ranking.time[tied.chosen]
        self.charts[0].show_tied(gaps, None if take is None or ranking is None else take - ranking.time[-1])

    def put_ratio(self, ratio: float | None) -> None:
        """Mark another ratio on the plateau."""
        self.plateau.put_mark(ratio)

    def hold(self, held: bool) -> None:
        """A slider is held: speed and time gained follow each step, engine speed and map a little later."""
        self._held = held
        for chart in self.charts:
            chart.hold(held)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for chart in (self.map, self.plateau, *self.charts):
            chart.recolour()

    def go_to(self, distance: float) -> None:
        """Take the cursor to a distance (m) along the lap."""
        self.distance = distance
        if self._lap is not None:
            self._show_here()

    def _show_slow(self) -> None:
        """What takes longest to draw: the saw-tooth of engine speed, and the map."""
        self._show_engine()
        self._show_map()

    def _show_one_slow(self) -> None:
        """One of the two, so that neither step of a held slider has to draw both."""
        if self._map_next:
            self._show_map()
        else:
            self._show_engine()
            self._slow.start()
        self._map_next = not self._map_next

    def _show_engine(self) -> None:
        if self._lap is not None:
            on, new = self._lap.on, self._lap.proposed
            before = None if on is None else (on.distance, on.engine / RPM)
            self.charts[1].show_lines(before, (new.distance, new.engine / RPM), self._limiter)

    def _taken_to(self, distance: float) -> None:
        self.go_to(distance)
        self.moved.emit()

    def _show_map(self) -> None:
        lap = self._lap
        if lap is None:
            return
        circuit = lap.ranking.circuit
        line = _line(circuit)
        if self.shade == SHADES[0]:
            shading = lapview.shaded_by_gear(lap.proposed, line[0])
        else:
            shading = lapview.shaded_by_engine(lap.proposed, line[0], lap.row, circuit.starts_m)
        self.map.show_line(line, shading)
        self.map.setAccessibleName(
            tr("Map of the circuit. Thin to thick: {shade} {join}", shade=self.shade, join=", ".join(shading.names))
        )

    def _show_here(self) -> None:
        lap = self._lap
        assert lap is not None
        self.distance = min(self.distance, float(lap.proposed.distance[-1]))
        for chart in (self.map, *self.charts):
            chart.put_cursor(self.distance)
        words = lapview.at_distance(lap, self.distance, self._view.speed_factor, self._view.speed_unit)
        self.here.setText(tr("{words} Computed speeds, not advice.", words=words))


@lru_cache(maxsize=8)
def _line(circuit: Circuit) -> tuple[Floats, Floats, Floats]:
    """(Distance, x, y) of a circuit's map, the same object for the same circuit."""
    found = circuit_map(circuit)
    return found.distance, found.x, found.y
