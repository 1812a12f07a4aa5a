"""The Speed page: the saw-tooth, each gear in numbers, and the grid of sets."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.driveset import DriveSet, without_sprockets
from gearplan.plan.findings import Finding
from gearplan.plan.set import words as setwords
from gearplan.plan.set.compare import engine_speeds, fastest, gear_rows, speed_lines
from gearplan.plan.set.doubts import speed_band, top_share
from gearplan.plan.set.evaluate import SetResult, fitted_and
from gearplan.plan.set.grid import evaluate_grid, front_exchanges
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.customerbutton import CustomerButton
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.controls.teethrange import TeethRange
from gearplan.window.kit.emptystate import EmptyState
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import card, fixed_width
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.search.gridview import LEGEND, GridView
from gearplan.window.speed.geartable import GearTable

if TYPE_CHECKING:
    from gearplan.window.kit.charts.runpicture import RunPicture
    from gearplan.window.speed.sawtooth import SawtoothChart

_MOST_CELLS = 60
#: From this height on, at the usual size of text, the chain run stands below the grid.
_WITH_RUN = 1080


class SpeedPage(QWidget):
    """Chart, gear table and grid; `how_asked` carries plan's key and a gear, `customer_wanted` asks for that page."""

    how_asked = Signal(str, int)
    field_wanted = Signal(str)
    customer_wanted = Signal()

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._held = False
        self.table = GearTable(view)
        self.table.how_asked.connect(self.how_asked)
        self.grid = GridView()
        self.grid.proposed.connect(self._propose)
        self.grid.how_asked.connect(self._ask_grid)
        self.grid.in_hand.connect(self._show_in_hand)
        two_sides(self, self._left(), self._right())

    @cached_property
    def chart(self) -> SawtoothChart:
        """The chart, made when it is first wanted: its library takes longer to load than all else together."""
        from gearplan.window.speed.sawtooth import SawtoothChart

        chart = SawtoothChart(self._view)
        chart.cursor_moved.connect(self._view.set_cursor)
        self._chart_place.addWidget(chart)
        return chart

    @cached_property
    def run(self) -> RunPicture:
        """The chain run, for a page so high that the grid leaves room below it; made when it first is."""
        from gearplan.window.kit.charts.runpicture import RunPicture

        run = RunPicture(tr("The chain run, to scale"))
        self._run_place.addWidget(run)
        return run

    def make_chart(self) -> None:
        """Put the chart into its place and draw it; called once the rest of the page has been painted."""
        assert self.chart is not None
        self.refresh()

    def _chart_made(self) -> bool:
        return "chart" in self.__dict__

    def _left(self) -> QWidget:
        frame, column = card()
        self.answer = PlainLabel()
        self.answer.setProperty("role", "large")
        self.answer.setWordWrap(True)
        column.addWidget(FixedSize(self.answer, theme.LARGE, bold=True))
        head = QHBoxLayout()
        self.caption = PlainLabel()
        self.caption.setProperty("role", "small")
        self.caption.setWordWrap(True)
        self.cursor_field = NumberField(_speed_refusal, unit=self._view.speed_unit)
        fixed_width(self.cursor_field, 64)
        self.cursor_field.entered.connect(self._cursor_typed)
        self.cursor_unit = PlainLabel()
        head.addWidget(FixedSize(self.caption, theme.SMALL, lines=2), 1)
        head.addWidget(labelled(tr("C&ursor"), self.cursor_field))
        head.addWidget(self.cursor_field)
        head.addWidget(self.cursor_unit)
        column.addLayout(head)
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 1)
        self._chart_place = QVBoxLayout()
        column.addLayout(self._chart_place, 1)
        self.drag = PlainLabel()
        self.drag.setWordWrap(True)
        column.addWidget(FixedSize(self.drag, theme.BODY))
        column.addWidget(self.table)
        return frame

    def _right(self) -> QWidget:
        frame, column = card()
        head = Flow()
        self.range_error = ErrorLabel()
        self._teeth = {
            part: TeethRange(part, tr("Grid,"), self.range_error, 44, _MOST_CELLS) for part in ("front", "rear")
        }
        self.ranges = {part: each.fields for part, each in self._teeth.items()}
        for each, label in zip(self._teeth.values(), (tr("Front, across"), tr("Rear, down")), strict=True):
            each.entered.connect(self._range_entered)
            title = PlainLabel(label)
            title.setProperty("role", "quiet")
            head.addWidget(each.beside(title))
        column.addLayout(head)
        column.addWidget(self.range_error)
        column.addWidget(self.grid, 1)
        self.legend = PlainLabel(LEGEND)
        self.legend.setProperty("role", "small")
        self.legend.setWordWrap(True)
        self.in_hand = PlainLabel()
        self.in_hand.setWordWrap(True)
        self.in_hand.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.exchange = PlainLabel()
        self.exchange.setWordWrap(True)
        self.exchange.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.to_customer = CustomerButton()
        self.to_customer.clicked.connect(self.customer_wanted)
        row = QHBoxLayout()
        row.addWidget(FixedSize(self.in_hand, theme.BODY, lines=3), 1)
        row.addWidget(self.to_customer, 0, Qt.AlignmentFlag.AlignTop)
        column.addLayout(row)
        column.addWidget(self.legend)
        column.addWidget(FixedSize(self.exchange, theme.BODY, lines=4))
        # Where the grid has all its height, the room that is left stays below, for the chain run if it is enough.
        self._run_place = QVBoxLayout()
        column.addLayout(self._run_place, 1)
        return frame

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the page scrolls the grid is no higher than what is in sight, so that its scroll bar is too."""
        super().resizeEvent(event)
        roomy = self._roomy()
        self.grid.setMaximumHeight(max(self.height(), self.grid.minimumSizeHint().height()))
        if "run" in self.__dict__:
            self.run.setVisible(roomy)
        if roomy:
            self._show_run(*fitted_and(self._document.bike, self._document.chosen))

    def _roomy(self) -> bool:
        return self._chart_made() and self.height() >= theme.px(_WITH_RUN)

    def _show_run(self, on: SetResult, proposed: SetResult) -> None:
        before = None if on.set == proposed.set else on
        self.run.show_sets(self._document.bike, before, proposed, setwords.no_drawing(proposed)[0])

    def refresh(self) -> None:
        """Show document and view as they are now."""
        bike, chosen = self._document.bike, self._document.chosen
        on, proposed = fitted_and(bike, chosen)
        fronts, rears = (range(low, high + 1) for low, high in self._shown_ranges())
        if self._chart_made():
            lines = speed_lines(bike, proposed)
            # Not while a slider moves: the band's edges would be drawn with every step.
            band = None if self._held or lines is None else speed_band(bike, chosen.tyre, lines.run_speed)
            # What is the same needs no second line over the first.
            before = None if on.set == proposed.set else speed_lines(bike, on)
            right = fastest(bike, proposed, fronts[-1], rears[0]) or 0.0
            self.chart.show_lines(before, lines, right, band)
            self.chart.setVisible(proposed.speed_at_redline is not None)
            words = setwords.chart_in_words(on, proposed, self._view.speed_unit)
            self.chart.setAccessibleDescription(words)
        drawn = proposed.speed_at_redline is not None
        lacking = setwords.what_is_missing(proposed, ("speed", "ratio", "rolling circumference"))
        self.empty.say(*(("", "") if drawn else lacking))
        self.refresh_cursor()
        self.to_customer.setEnabled(on.set != proposed.set)
        self._show_drag(proposed)
        if self._roomy():
            self._show_run(on, proposed)
        grid = evaluate_grid(bike, without_sprockets(chosen), tuple(fronts), tuple(rears))
        self.grid.show_grid(bike, grid, chosen)
        self.exchange.setText(setwords.exchange_text(chosen, front_exchanges(chosen), grid))
        self.caption.setText(setwords.chart_caption(proposed, top_share(bike, proposed)))

    def _show_drag(self, proposed: SetResult) -> None:
        """Where drag ends the top gear; not before the chart is there, nor while a slider moves: it takes a while."""
        told = ""
        if self._chart_made() and not self._held:
            # Not loaded before the window is there.
            from gearplan.plan.pull.pull import pull
            from gearplan.plan.pull.words import drag_sentence

            pulled = pull(self._document.bike, proposed.set)
            if not isinstance(pulled, Finding):
                told = drag_sentence(pulled, proposed.speed_at_redline, self._view.speed_unit)
        self.drag.setText(told)

    def refresh_cursor(self) -> None:
        """Show what depends on the cursor alone."""
        bike, view = self._document.bike, self._view
        on, proposed = fitted_and(bike, self._document.chosen)
        one_set, end = on.set == proposed.set, bike.engine.end_rpm
        self.answer.setText(setwords.cursor_sentence(on, proposed, view.cursor, view.speed_unit, end))
        if self._chart_made():
            before, after = (engine_speeds(result, view.cursor) for result in (on, proposed))
            top = None if one_set or not before else before[-1], after[-1] if after else None
            self.chart.show_cursor(view.cursor, top, None if end is None else end * RPM)
        self.table.show_rows(gear_rows(bike, on, proposed, view.cursor), view.cursor, one_set)
        self.cursor_unit.setText(view.speed_unit)
        self.cursor_field.set_unit(view.speed_unit)
        if not self.cursor_field.hasFocus():
            self.cursor_field.show_number(round(view.cursor / view.speed_factor, 1))

    def hold(self, held: bool) -> None:
        """While a slider is held, what takes long is left out."""
        self._held = held
        if not held:
            self.refresh()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        if self._chart_made():
            self.chart.recolour()
        if "run" in self.__dict__:
            self.run.recolour()
        self.refresh()

    def _shown_ranges(self) -> tuple[tuple[int, int], tuple[int, int]]:
        shown = []
        for part, each in self._teeth.items():
            ends = self._view.teeth_range(part, self._document.bike)
            each.show_ends(ends)
            shown.append(ends)
        return shown[0], shown[1]

    def _range_entered(self, part: str, ends: tuple[int, int] | None) -> None:
        self._view.set_teeth_range(part, ends)

    def _cursor_typed(self, value: object) -> None:
        if isinstance(value, (int, float)):
            self._view.set_cursor(value * self._view.speed_factor)

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=words.teeth(chosen)))

    def _show_in_hand(self, told: str) -> None:
        self.in_hand.setText(told)

    def _ask_grid(self, key: str) -> None:
        self.how_asked.emit(key, 1)


def _speed_refusal(value: float) -> str | None:
    return None if 0 <= value <= 500 else tr("expected a speed of 0 to 500")
