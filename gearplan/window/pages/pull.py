"""The Pull page: thrust against road load, acceleration, and what it costs at the top."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QTabWidget, QVBoxLayout, QWidget

from gearplan.plan import pulltable, pullwords, sentences
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.howpull import explain_row
from gearplan.plan.pull import Pull, pull
from gearplan.plan.pullcurves import pull_curves, run_curve
from gearplan.plan.pulltable import PullRow
from gearplan.plan.sensitivity import effects
from gearplan.window import theme
from gearplan.window.cards import card, two_sides
from gearplan.window.document import Document
from gearplan.window.emptystate import EmptyState
from gearplan.window.fields import ErrorLabel, NumberField, labelled
from gearplan.window.still import Still
from gearplan.window.texttable import TextTable
from gearplan.window.view import View

if TYPE_CHECKING:
    from gearplan.window.charts.pairchart import PairChart
    from gearplan.window.charts.thrustchart import ThrustChart

_HEADS = ("", "fitted", "proposed", "change")
_STEEPEST, _STRONGEST = 30.0, 100.0


class PullPage(QWidget):
    """Shows what fitted and proposed set do to thrust and time; `explained` carries an answer to "how?"."""

    field_wanted = Signal(str)
    explained = Signal(object)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._slope_percent, self._wind = 0.0, 0.0
        self._roll_on = (80.0, 120.0)
        self._rows: tuple[PullRow, ...] = ()
        two_sides(self, self._left(), self._right(), (690, 440))

    @cached_property
    def thrust_chart(self) -> ThrustChart:
        """Thrust over road speed."""
        from gearplan.window.charts.thrustchart import ThrustChart

        return ThrustChart(self._view)

    @cached_property
    def time_chart(self) -> PairChart:
        """Speed over time."""
        from gearplan.window.charts.pairchart import PairChart

        return PairChart("km/h", 1 / 3.6, "seconds", 1.0, snaps=True)

    @cached_property
    def distance_chart(self) -> PairChart:
        """Distance over time."""
        from gearplan.window.charts.pairchart import PairChart

        return PairChart("metres", 1.0, "seconds", 1.0, snaps=True)

    def _left(self) -> QWidget:
        frame, column = card()
        head = QHBoxLayout()
        self.slope = NumberField(_slope_refusal)
        self.wind = NumberField(_wind_refusal)
        self.errors = ErrorLabel()
        for label, field, unit, slot in (
            ("&Gradient", self.slope, "%", self._slope_entered),
            ("Head &wind", self.wind, "km/h", self._wind_entered),
        ):
            field.setFixedWidth(56)
            field.errors = self.errors
            field.show_number(0)
            field.entered.connect(slot)
            head.addWidget(labelled(label, field))
            head.addWidget(field)
            head.addWidget(QLabel(unit))
            head.addSpacing(theme.UNIT)
        head.addStretch(1)
        column.addLayout(head)
        column.addWidget(self.errors)
        self.sentence = QLabel()
        self.sentence.setWordWrap(True)
        column.addWidget(Still(self.sentence, theme.BODY, lines=2))
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 3)
        column.addWidget(self.thrust_chart, 3)
        charts = QHBoxLayout()
        charts.addWidget(self.time_chart)
        charts.addWidget(self.distance_chart)
        column.addLayout(charts, 2)
        self.caption = QLabel()
        self.caption.setProperty("role", "small")
        self.caption.setWordWrap(True)
        column.addWidget(Still(self.caption, theme.SMALL, lines=2))
        return frame

    def _right(self) -> QWidget:
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        times, doubts = QWidget(), QWidget()
        for page, name in ((times, "Times"), (doubts, "How sure")):
            page.setBackgroundRole(QPalette.ColorRole.Base)
            page.setAutoFillBackground(True)
            self.tabs.addTab(page, name)
        column = QVBoxLayout(times)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.table = TextTable(
            "Times and speeds, fitted and proposed", quiet=(1,), bold=(3,), left=(0,), first_width=216, explains=True
        )
        self.table.asked.connect(self._explain)
        column.addWidget(self.table)
        column.addStretch(1)
        other = QVBoxLayout(doubts)
        other.setContentsMargins(*[theme.UNIT] * 4)
        self.doubt_words = QLabel()
        self.doubt_words.setWordWrap(True)
        self.doubts = TextTable("What the doubtful values do to 0–100 km/h", left=(0, 3), first_width=140)
        note = QLabel(
            "Each value is taken lower and higher by the doubt named (common practice, no source). The bars show "
            "how far that moves the time; trust no digit smaller than the longest."
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        other.addWidget(self.doubt_words)
        other.addWidget(self.doubts)
        other.addWidget(note)
        other.addStretch(1)
        self.tabs.currentChanged.connect(self._refresh_tab)
        return self.tabs

    def refresh(self) -> None:
        """Show the document as it is now."""
        on, proposed = self._pulls()
        lacking = proposed if isinstance(proposed, Finding) else None
        known_on = None if isinstance(on, Finding) else on
        known = None if isinstance(proposed, Finding) else proposed
        self.empty.say(*(("", "") if lacking is None else (sentences.in_words(lacking.text), lacking.field)))
        for chart in (self.thrust_chart, self.time_chart, self.distance_chart):
            chart.setVisible(known is not None)
        slopes = (math.atan(0.06), math.atan(0.12))
        self.thrust_chart.show_curves(
            None if known_on is None else pull_curves(known_on, ()),
            None if known is None else pull_curves(known, slopes),
            self._view.cursor,
        )
        self.time_chart.measure_in(self._view.speed_unit, self._view.speed_factor)
        for chart, part in ((self.time_chart, "speed"), (self.distance_chart, "distance")):
            chart.show_lines(run_curve(known_on, part), run_curve(known, part), None)
        self.sentence.setText(pullwords.pull_sentence(known_on, known, self._view.cursor))
        assumed = ", ".join(known.assumed) if known and known.assumed else "nothing"
        self.caption.setText(f"Assumed: {assumed}. Possible speeds, not advice: obey limits.")
        self._refresh_tab()

    def refresh_cursor(self) -> None:
        """Show what depends on the cursor."""
        self.refresh()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        for chart in (self.thrust_chart, self.time_chart, self.distance_chart):
            chart.recolour()
        self.refresh()

    def _pulls(self) -> tuple[Pull | Finding, Pull | Finding]:
        bike, slope = self._document.bike, math.atan(self._slope_percent / 100)
        return tuple(  # type: ignore[return-value]
            pull(bike, s, slope, self._wind) for s in (fitted(bike), self._document.chosen)
        )

    def _refresh_tab(self) -> None:
        on, proposed = (None if isinstance(p, Finding) else p for p in self._pulls())
        if self.tabs.currentIndex() == 1:
            found = () if proposed is None else effects(proposed, pullwords.time_to_hundred)
            self.doubt_words.setText(pullwords.doubt_sentence(found))
            longest = max((effect.size for effect in found), default=0.0)
            self.doubts.show_texts(
                ("value", "doubt", "0–100 by", ""),
                [(e.name, e.doubt, f"{e.size:.2f} s", pullwords.bar(e.size, longest)) for e in found],
            )
            return
        bike = self._document.bike
        start, end = (speed / 3.6 for speed in self._roll_on)
        self._rows = (
            *pulltable.sprint_rows(on, proposed),
            *pulltable.roll_on_rows(on, proposed, start, end),
            *pulltable.shift_rows(on, proposed),
            *pulltable.everyday_rows(bike, fitted(bike), self._document.chosen),
        )
        self.table.show_texts(_HEADS, [_texts(row) for row in self._rows])

    def _explain(self, row: int, column: int) -> None:
        on, proposed = self._pulls()
        pulled = on if column == 1 else proposed
        if not isinstance(pulled, Finding) and row < len(self._rows):
            self.explained.emit(explain_row(self._rows[row], pulled, proposed=column != 1))

    def _slope_entered(self, value: object) -> None:
        if isinstance(value, (int, float)):
            self._slope_percent = float(value)
            self.refresh()

    def _wind_entered(self, value: object) -> None:
        if isinstance(value, (int, float)):
            self._wind = value / 3.6
            self.refresh()


def _texts(row: PullRow) -> tuple[str, ...]:
    title = f"{row.name}, {row.unit_name}" if row.unit_name else row.name
    return (
        title,
        sentences.number(row.before, 1, row.digits),
        sentences.number(row.after, 1, row.digits),
        sentences.signed((row.before, row.after), 1, row.digits),
    )


def _slope_refusal(value: float) -> str | None:
    return None if abs(value) <= _STEEPEST else f"give a gradient from −{_STEEPEST:.0f} to {_STEEPEST:.0f} %"


def _wind_refusal(value: float) -> str | None:
    return None if abs(value) <= _STRONGEST else f"give a wind from −{_STRONGEST:.0f} to {_STRONGEST:.0f} km/h"
