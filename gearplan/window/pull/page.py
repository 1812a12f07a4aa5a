"""The Pull page: thrust against road load, acceleration, and what it costs at the top."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from gearplan.language import marked, tr
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull import words as pullwords
from gearplan.plan.pull.asked import read_roll_ons, read_slopes, read_sprints
from gearplan.plan.pull.curves import later_curve, pull_curves, thrust_band
from gearplan.plan.pull.doubts import pull_doubts, top_speed_doubt
from gearplan.plan.pull.how import explain_row
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import PullRow, reserve
from gearplan.plan.set.compare import fastest
from gearplan.plan.set.evaluate import evaluate
from gearplan.setup.assumed import assumptions_text
from gearplan.setup.doubt import Doubtful
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.customerbutton import CustomerButton
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.emptystate import EmptyState
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import card, fixed_width, scrolled
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.pull.enginetab import EngineTab
from gearplan.window.pull.tabs import DoubtTab, EverydayTab, PullTab, ShiftsTab, TimesTab, ValuesTab

if TYPE_CHECKING:
    from gearplan.window.kit.charts.pairchart import PairChart
    from gearplan.window.pull.thrustchart import ThrustChart

_WIND = tr("Head &wind")
_FROM_STANDSTILL = tr("than fitted, from standstill to road speed")
#: From which height on each tab is worth a place of its own.
_HIGH = {
    marked("Times"): 450, marked("Shifts"): 360, marked("Everyday"): 480, marked("Engine"): 560, marked("Values"): 560,
    marked("How sure"): 420,
}  # fmt: skip
_STEEPEST, _STRONGEST = 30.0, 100.0


class PullPage(QWidget):
    """Shows what fitted and proposed set do to thrust and time; `explained` carries an answer to "how?"."""

    field_wanted = Signal(str)
    customer_wanted = Signal()
    explained = Signal(object)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._slope_percent, self._wind = 0.0, 0.0
        self._held = False
        two_sides(self, self._left(), self._right())

    @cached_property
    def thrust_chart(self) -> ThrustChart:
        """Thrust over road speed."""
        from gearplan.window.pull.thrustchart import ThrustChart

        chart = ThrustChart(self._view)
        chart.cursor_moved.connect(self._view.set_cursor)
        return chart

    @cached_property
    def later_chart(self) -> PairChart:
        """How many seconds later than fitted each speed is reached."""
        from gearplan.window.kit.charts.pairchart import PairChart

        unit = self._view.speed_unit
        return PairChart(tr("seconds later"), 1.0, f"{_FROM_STANDSTILL}, {unit}", self._view.speed_factor, snaps=True)

    def _left(self) -> QWidget:
        frame, column = card()
        head = Flow()
        self.slope = NumberField(_slope_refusal, unit="%")
        self.wind = NumberField(_wind_refusal, unit="km/h")
        self.errors = ErrorLabel()
        self.units: dict[str, QLabel] = {}
        for label, field, unit, slot in (
            (tr("&Gradient"), self.slope, "%", self._slope_entered),
            (_WIND, self.wind, "km/h", self._wind_entered),
        ):
            fixed_width(field, 56)
            field.errors = self.errors
            field.show_number(0)
            field.entered.connect(slot)
            self.units[label] = PlainLabel(unit)
            head.addWidget(together(labelled(label, field), field, self.units[label]))
        self.slopes = ValueField(_slopes_text)
        fixed_width(self.slopes, 72)
        self.slopes.errors = self.errors
        self.slopes.show_value(self._view.asked["slopes"], self._view.asked["slopes"])
        self.slopes.entered.connect(self._slopes_entered)
        head.addWidget(together(labelled(tr("Load &also uphill, %"), self.slopes), self.slopes))
        column.addLayout(head)
        column.addWidget(self.errors)
        self.sentence = PlainLabel()
        self.sentence.setWordWrap(True)
        self.to_customer = CustomerButton()
        self.to_customer.clicked.connect(self.customer_wanted)
        row = QHBoxLayout()
        row.addWidget(FixedSize(self.sentence, theme.BODY, lines=2, longest=pullwords.LONGEST), 1)
        row.addWidget(self.to_customer, 0, Qt.AlignmentFlag.AlignTop)
        column.addLayout(row)
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 3)
        column.addWidget(self.thrust_chart, 3)
        column.addWidget(self.later_chart, 2)
        self.caption = PlainLabel()
        self.caption.setProperty("role", "small")
        self.caption.setWordWrap(True)
        column.addWidget(FixedSize(self.caption, theme.SMALL, lines=2))
        return frame

    def _right(self) -> QWidget:
        self.engine = EngineTab(self._document, self._view)
        self.tab: dict[str, PullTab] = {
            "Times": TimesTab(self._document, self._view),
            "Shifts": ShiftsTab(self._document, self._view),
            "Everyday": EverydayTab(self._document, self._view),
            "Engine": self.engine,
            "Values": ValuesTab(self._document, self._view),
            "How sure": DoubtTab(self._document, self._view),
        }
        for tab in self.tab.values():
            tab.asked.connect(self._explain)
            tab.changed.connect(self._refresh_tab)
        self.spread = Spread([Leaf(name, scrolled(tab), _HIGH[name]) for name, tab in self.tab.items()])
        self.tabs = self.spread.tabs
        self.spread.changed.connect(self._refresh_tab)
        return self.spread

    def holds(self, path: str) -> bool:
        """Whether a field ("section.key") of the profile stands on this page."""
        return path == "engine.torque" or self._form_of(path) is not None

    def show_field(self, path: str) -> None:
        """Bring a field ("section.key") into sight and put the focus into it."""
        form = self._form_of(path)
        if form is None:
            self.spread.show_page("Engine")
            self.engine.text.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.spread.show_page(next(name for name, tab in self.tab.items() if tab.isAncestorOf(form)))
        section, key = path.split(".")
        form.rows[section, key].focus()

    def forget(self) -> None:
        """Another bike was opened: drop text that was refused for the last one."""
        self.engine.forget()
        for form in self.findChildren(EntryForm):
            for field in form.findChildren(ValueField):
                field.forget()

    def _form_of(self, path: str) -> EntryForm | None:
        section, key = path.split(".")
        return next((form for form in self.findChildren(EntryForm) if (section, key) in form.rows), None)

    def refresh(self) -> None:
        """Show the document as it is now."""
        self._show_wind_unit()
        on, proposed = self._pulls()
        lacking = proposed if isinstance(proposed, Finding) else None
        known_on = None if isinstance(on, Finding) else on
        known = None if isinstance(proposed, Finding) else proposed
        self.empty.say(*(("", "") if lacking is None else (lacking.text, lacking.field)))
        self.to_customer.setEnabled(self._document.chosen != fitted(self._document.bike))
        self.thrust_chart.setVisible(known is not None)
        later = None if self._document.chosen == fitted(self._document.bike) else later_curve(known_on, known)
        self.later_chart.setVisible(later is not None)
        slopes = tuple(math.atan(percent / 100) for percent in read_slopes(self._view.asked["slopes"]))
        self.thrust_chart.show_curves(
            None if known_on is None else pull_curves(known_on, ()),
            None if known is None else pull_curves(known, slopes),
            self._tallest() or 0.0,
            # Not while a slider moves: the band's edges would be drawn with every step.
            None if self._held or known is None else thrust_band(self._document.bike, known),
        )
        self.later_chart.measure_across_in(f"{_FROM_STANDSTILL}, {self._view.speed_unit}", self._view.speed_factor)
        if later is not None:
            self.later_chart.show_lines((later[0][[0, -1]], np.zeros(2)), later, None)
        self.refresh_cursor()
        assumed = assumptions_text(known.assumed) if known and known.assumed else tr("nothing")
        self.caption.setText(tr("Assumed: {assumed}. Possible speeds, not advice: obey limits.", assumed=assumed))
        self._refresh_tab()

    def refresh_cursor(self) -> None:
        """Show what depends on the cursor alone."""
        on, proposed = (None if isinstance(p, Finding) else p for p in self._pulls())
        top = None if self._held else top_speed_doubt(self._document.bike, self._document.chosen, *self._against())
        self.sentence.setText(pullwords.pull_sentence(on, proposed, self._view.cursor, self._view.speed_unit, top))
        if proposed is not None:
            self.thrust_chart.show_reserve(self._view.cursor, reserve(proposed, self._view.cursor))

    def hold(self, held: bool) -> None:
        """A slider is held: draw fast, and without doubts; when it is let go, draw finely."""
        self._held = held
        for chart in (self.thrust_chart, self.later_chart):
            chart.hold(held)
        if not held and self.isVisible():
            self.refresh()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for chart in (self.thrust_chart, self.later_chart):
            chart.recolour()
        self.engine.recolour()
        self.refresh()

    def _pulls(self) -> tuple[Pull | Finding, Pull | Finding]:
        bike = self._document.bike
        return tuple(  # type: ignore[return-value]
            pull(bike, s, *self._against()) for s in (fitted(bike), self._document.chosen)
        )

    def _tallest(self) -> float | None:
        """The road speed (m/s) to which the tallest set of the ranges gets at the redline."""
        bike = self._document.bike
        fronts, rears = (self._view.teeth_range(part, bike) for part in ("front", "rear"))
        return fastest(bike, evaluate(bike, self._document.chosen), fronts[1], rears[0])

    def _against(self) -> tuple[float, float]:
        """Slope (rad) and head wind (m/s)."""
        return math.atan(self._slope_percent / 100), self._wind

    def _doubts(self) -> dict[str, Doubtful]:
        """How surely the proposed set's times and top speed are known."""
        asked, unit = self._view.asked, self._view.speed_unit
        return pull_doubts(
            self._document.bike,
            self._document.chosen,
            *self._against(),
            (*read_sprints(asked["sprints"], unit), pullwords.HUNDRED),
            read_roll_ons(asked["roll_ons"], unit),
        )

    def _refresh_tab(self) -> None:
        on, proposed = (None if isinstance(p, Finding) else p for p in self._pulls())
        shown = [self.tab[name] for name in self.spread.in_sight()]
        doubts = self._doubts() if not self._held and any(tab.shows_doubts for tab in shown) else {}
        for tab in shown:
            tab.show_pulls(on, proposed, None if self._held else doubts if tab.shows_doubts else {})

    def _explain(self, row: PullRow, column: int) -> None:
        on, proposed = self._pulls()
        pulled = on if column == 1 else proposed
        if not isinstance(pulled, Finding):
            self.explained.emit(explain_row(row, pulled, proposed=column != 1))

    def _slopes_entered(self, text: object) -> None:
        if isinstance(text, str):
            self._view.ask("slopes", text)
            self.refresh()

    def _slope_entered(self, value: object) -> None:
        self._slope_percent = float(value) if isinstance(value, (int, float)) else 0.0
        self.refresh()

    def _wind_entered(self, value: object) -> None:
        self._wind = value * self._view.speed_factor if isinstance(value, (int, float)) else 0.0
        self.refresh()

    def _show_wind_unit(self) -> None:
        """The same wind in the shown unit."""
        label = self.units[_WIND]
        if label.text() != self._view.speed_unit:
            label.setText(self._view.speed_unit)
            self.wind.set_unit(self._view.speed_unit)
            self.wind.show_number(round(self._wind / self._view.speed_factor, 1))


def _slopes_text(text: str) -> str:
    read_slopes(text)
    return text


def _slope_refusal(value: float) -> str | None:
    return (
        None
        if abs(value) <= _STEEPEST
        else tr("expected a gradient of −{steepest:.0f} to {steepest:.0f} %", steepest=_STEEPEST)
    )


def _wind_refusal(value: float) -> str | None:
    return (
        None
        if abs(value) <= _STRONGEST
        else tr("give a wind from −{strongest:.0f} to {strongest:.0f}", strongest=_STRONGEST)
    )
