"""The Chain page: the run to scale, what it does through the travel, the numbers, wear, and another chain size."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike import checks
from gearplan.bike.text.units import DEGREE, MM
from gearplan.language import marked, tr
from gearplan.plan.driveset import fitted
from gearplan.plan.set import words as setwords
from gearplan.plan.set.adjuster import adjuster
from gearplan.plan.set.doubts import set_doubts
from gearplan.plan.set.evaluate import SetResult, fitted_and
from gearplan.plan.set.quantities import CHAIN_GROUPS, DECIDING
from gearplan.plan.set.sideview import SideView, side_view, with_axle_at
from gearplan.plan.set.travel import Travel, through_travel
from gearplan.window.chain.conversionpanel import ConversionPanel
from gearplan.window.chain.wearpanel import WearPanel
from gearplan.window.document.document import Document
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.emptystate import EmptyState
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import Columns, card, fixed_width, primary, scrolled
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.slotview import SlotView
from gearplan.window.kit.tables.texttable import TextTable

if TYPE_CHECKING:
    from gearplan.window.kit.charts.pairchart import PairChart
    from gearplan.window.kit.charts.sideview import SideViewChart

_HEADS = ("", tr("fitted"), tr("proposed"), "±", tr("change"))
_ANOTHER = tr("Another chain")
_TRAVEL = (tr("below horizontal, °"), DEGREE)


class ChainPage(QWidget):
    """Shows fitted and proposed set on the swingarm; `how_asked` carries plan's key and a gear."""

    how_asked = Signal(str, int)
    #: The axle of the proposed set as it is shown (m along the arm), None for at the slack asked for.
    export_asked = Signal(object)
    field_wanted = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        # Where the user has dragged the axle of the proposed set, m along the arm; None: at the slack asked for.
        self._axle: float | None = None
        self._axle_of: object = None
        self._held = False
        #: The axle's place is being typed for the set that is shown.
        self._typing = False
        two_sides(self, self._left(), self._right())

    @cached_property
    def view(self) -> SideViewChart:
        """The side view."""
        from gearplan.window.kit.charts.sideview import SideViewChart

        chart = SideViewChart()
        chart.axle_dragged.connect(self._axle_dragged)
        return chart

    @cached_property
    def slack_chart(self) -> PairChart:
        """Slack through the travel."""
        from gearplan.window.kit.charts.pairchart import PairChart

        return PairChart(tr("slack, mm"), MM, *_TRAVEL)

    @cached_property
    def squat_chart(self) -> PairChart:
        """Anti-squat through the travel."""
        from gearplan.window.kit.charts.pairchart import PairChart

        return PairChart(tr("anti-squat, %"), 0.01, *_TRAVEL)

    def _left(self) -> QWidget:
        frame, column = card()
        head = Flow()
        self.axle_field = NumberField(_axle_refusal, unit="mm")
        fixed_width(self.axle_field, 72)
        self.axle_error = ErrorLabel()
        self.axle_field.errors = self.axle_error
        self.axle_field.entered.connect(self._axle_typed)
        self.reset = QPushButton(tr("At the slack asked for"))
        self.reset.clicked.connect(self._reset_pressed)
        export = primary(QPushButton(tr("Save drawing…")))
        export.clicked.connect(self._export)
        head.addWidget(together(labelled(tr("Pivot to a&xle"), self.axle_field), self.axle_field, UnitLabel("mm")))
        head.addWidget(self.reset)
        head.push()
        head.addWidget(export)
        column.addLayout(head)
        column.addWidget(self.axle_error)
        self.slack = PlainLabel()
        self.slack.setWordWrap(True)
        column.addWidget(FixedSize(self.slack, theme.BODY, lines=2))
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 3)
        column.addWidget(self.view, 3)
        self.slot = SlotView()
        column.addWidget(self.slot)
        column.addWidget(Columns([self.slack_chart, self.squat_chart]), 2)
        self.travel_note = PlainLabel()
        self.travel_note.setProperty("role", "small")
        self.travel_note.setWordWrap(True)
        column.addWidget(FixedSize(self.travel_note, theme.SMALL))
        return frame

    def _right(self) -> QWidget:
        numbers = QWidget()
        column = QVBoxLayout(numbers)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.table = TextTable(
            tr("The chain in numbers, fitted and proposed"),
            quiet=(1, 3),
            bold=(4,),
            left=(0,),
            only_two=(1, 4),
            explains=True,
        )
        self.table.asked.connect(self._explain)
        self.squat = PlainLabel()
        self.squat.setWordWrap(True)
        self.typical = PlainLabel()
        self.typical.setProperty("role", "small")
        self.typical.setWordWrap(True)
        column.addWidget(self.table)
        column.addWidget(self.typical)
        column.addWidget(FixedSize(self.squat, theme.BODY, lines=2))
        column.addStretch(1)
        self.wear = WearPanel(self._document)
        self.conversion = ConversionPanel(self._document)
        listed = (numbers, tr("Numbers"), 700), (self.wear, marked("Wear"), 420), (self.conversion, _ANOTHER, 420)
        self.spread = Spread([Leaf(name, scrolled(page), high) for page, name, high in listed])
        self.tabs = self.spread.tabs
        self.spread.changed.connect(self._refresh_tab)
        return self.spread

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike, chosen = self._document.bike, self._document.chosen
        if self._axle_of != (bike, chosen):
            self._axle, self._axle_of, self._typing = None, (bike, chosen), False
        on, proposed = fitted_and(bike, chosen)
        shown = side_view(bike, proposed, self._axle)
        self.view.show_views(side_view(bike, on), shown)
        self.view.setVisible(shown is not None)
        for chart in (self.slack_chart, self.squat_chart):
            chart.setVisible(shown is not None)
        lacking = setwords.no_drawing(proposed)
        self.empty.say(*(("", "") if shown is not None else lacking))
        place = adjuster(bike, proposed, self._axle)
        self.slot.show_adjuster(place)
        self.slot.setVisible(place is not None)
        self._show_axle(proposed, shown)
        if self._axle is not None:
            proposed = with_axle_at(bike, proposed, self._axle)
        units = shownunits.current()
        self.slack_chart.measure_in(tr("slack, {name}", name=units.name("mm")), units.size("mm"))
        self._show_travel(
            through_travel(bike, fitted(bike), on.run, on.rolling_radius),
            through_travel(bike, chosen, proposed.run, proposed.rolling_radius),
        )
        # Not while something moves: working the doubts out takes as long as all else.
        doubts = {} if self._held or self._axle is not None else set_doubts(bike, proposed)
        rows: list[tuple[str, ...]] = []
        counts = set()
        self._asked_of: list[str] = []
        for title, listed in CHAIN_GROUPS:
            rows.append((title, "", "", "", ""))
            self._asked_of.append("links")
            if listed is CHAIN_GROUPS[0][1]:
                rows.append(
                    (tr("Links that fit"), *(setwords.links_that_fit(result) for result in (on, proposed)), "", "")
                )
                self._asked_of.append("links")
            for one in listed:
                if one.name in DECIDING:
                    counts.add(len(rows))
                rows.append((one.title(units), *one.compared(on, proposed, doubts, units)))
                self._asked_of.append(one.how)
        one_set = on.set == chosen and self._axle is None
        self.table.show_texts(_HEADS, rows, one_set=one_set, counts=frozenset(counts))
        self.typical.setText(setwords.typical_words(proposed))
        self.squat.setText(setwords.squat_sentence(on, proposed))
        self._refresh_tab()

    def _refresh_tab(self) -> None:
        """Only what is in sight is brought up to date."""
        shown = self.spread.in_sight()
        if "Wear" in shown:
            self.wear.refresh()
        if _ANOTHER in shown:
            self.conversion.refresh()

    def how_to_measure(self) -> bool:
        """Show in a window how the field with the focus is measured; False where there is none such."""
        return self.wear.measurer.asked()

    def forget(self) -> None:
        """Another bike was opened: drop text that was refused for the last one."""
        self.wear.measurer.forget()
        for field in self.findChildren(ValueField):
            field.forget()

    def holds(self, path: str) -> bool:
        """Whether a field of the profile ("section.key") stands on the tab of another chain."""
        section, key = path.split(".")
        return (section, key) in self.conversion.form.rows

    def show_field(self, path: str) -> None:
        """Bring a field ("section.key") into sight and put the focus into it."""
        section, key = path.split(".")
        self.spread.show_page(_ANOTHER)
        self.conversion.form.rows[section, key].focus()

    def hold(self, held: bool) -> None:
        """A slider is held: draw fast, and without doubts; when it is let go, draw finely."""
        self._held = held
        for chart in (self.slack_chart, self.squat_chart):
            chart.hold(held)
        if not held and self.isVisible():
            self.refresh()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for chart in (self.view, self.slack_chart, self.squat_chart):
            chart.recolour()
        self.refresh()

    def _show_axle(self, proposed: SetResult, shown: SideView | None) -> None:
        if not ((self._typing and self.axle_field.hasFocus()) or self.axle_field.problem):
            self.axle_field.show_number(None if shown is None else round(shown.axle_position / MM, 1))
        self.reset.setEnabled(self._axle is not None)
        self.slack.setText("" if shown is None else setwords.slack_sentence(proposed, shown.slack, shown.in_slot))

    def _show_travel(self, on: Travel | None, proposed: Travel | None) -> None:
        angle = self._document.bike.chassis.swingarm_angle_deg
        stands = None if angle is None else angle * DEGREE
        self.slack_chart.show_lines(
            None if on is None else (on.angle, on.slack),
            None if proposed is None else (proposed.angle, proposed.slack),
            stands,
        )
        self.squat_chart.show_lines(
            None if on is None or on.anti_squat is None else (on.angle, on.anti_squat),
            None if proposed is None or proposed.anti_squat is None else (proposed.angle, proposed.anti_squat),
            stands,
        )
        if proposed is None:
            self.travel_note.setText("")
            return
        assumed = proposed.assumed
        self.travel_note.setText(
            tr("Travel assumed, 10° either side of where it stands; enter it on the Bike page.")
            if assumed
            else tr("Through the travel entered; the line marks where the bike stands.")
        )

    def _move_axle(self, position: float) -> None:
        self._axle = position
        self.refresh()

    def _axle_dragged(self, position: float) -> None:
        self.axle_field.forget()
        self._move_axle(position)

    def _axle_typed(self, value: object) -> None:
        self._typing = True
        if isinstance(value, (int, float)):
            self._move_axle(value * MM)
        else:
            self._reset_axle()

    def _reset_pressed(self) -> None:
        self._typing = False
        self.axle_field.forget()
        self._reset_axle()

    def _export(self) -> None:
        self.export_asked.emit(self._axle)

    def _reset_axle(self) -> None:
        self._axle = None
        self.refresh()

    def _explain(self, row: int, column: int) -> None:
        self.how_asked.emit(self._asked_of[row] + (":fitted" if column == 1 else ""), 1)


def _axle_refusal(value: float) -> str | None:
    return checks.check_value("chassis", "axle_now_mm", value, units=shownunits.current())
