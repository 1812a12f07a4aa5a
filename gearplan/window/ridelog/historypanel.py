"""The rides that are kept of the bike: their circumferences drawn, what changed between them, and one more kept."""

from __future__ import annotations

from functools import cached_property, partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike.entries import entry_in
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import odometer_text
from gearplan.bike.text.written import number, percent, signed_percent
from gearplan.bike.values import check_entry
from gearplan.bike.work.rides import SPEEDS, Ride
from gearplan.bike.work.tables import check_date
from gearplan.language import tr
from gearplan.ridelog.telling.history import entry_of, history_evidence, kept, story
from gearplan.ridelog.telling.learned import Learned
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import OdometerField
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_height, fixed_width, scrolled
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences
from gearplan.window.kit.tables.texttable import TextTable

if TYPE_CHECKING:
    from gearplan.window.ridelog.evidencechart import EvidenceChart

_WHAT = tr(
    "Keep each ride of this bike, and the next one tells whether tyre or sprockets were changed since. The bike's file "
    "holds what the ride told, the day and the odometer; no places."
)
_INVENTED = tr("The demo ride is invented: it is not kept.")
_HEADS = (tr("ridden on"), tr("odometer, km"), tr("set"), tr("likely"), tr("rolls, mm"), tr("speed shows"))
_HIGH = 180


class HistoryPanel(QWidget):
    """`keep_asked` wants the ride at hand kept with what `day` and `odometer` hold, `removed` carries a ride."""

    keep_asked = Signal()
    removed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rides: tuple[Ride, ...] = ()
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT)
        self.words = Sentences(_WHAT)
        column.addWidget(self.words)
        column.addLayout(self._keeping())
        column.addWidget(self.errors)
        self.changes = Sentences()
        self.changes.setAccessibleName(tr("What changed between the rides"))
        self.changes.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(self.changes)
        self.title = PlainLabel()
        self.title.setWordWrap(True)
        self.title.setProperty("role", "small")
        column.addWidget(self.title)
        self._chart_place = QVBoxLayout()
        column.addLayout(self._chart_place)
        self.table = TextTable(tr("Rides of this bike"), left=(0, 2))
        column.addWidget(self.table)
        self.remove = QPushButton(tr("Remove this ride"))
        self.remove.setToolTip(tr("Takes the ride that is chosen in the table out of the history"))
        self.remove.clicked.connect(self._remove)
        self.table.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.table.selectionModel().selectionChanged.connect(self._chosen)
        column.addWidget(self.remove, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        outer.addWidget(scrolled(inside))

    def _keeping(self) -> Flow:
        row = Flow()
        self.errors = ErrorLabel()
        self.day = ValueField(_day)
        self.day.setPlaceholderText("2026-05-31")
        fixed_width(self.day, 110)
        self.odometer = OdometerField(partial(check_entry, entry_in(Ride, "odometer_km")))
        self.odometer.setPlaceholderText(tr("if known"))
        for label, field in ((tr("Ridden &on"), self.day), (tr("O&dometer, km"), self.odometer)):
            field.errors = self.errors
            row.addWidget(together(labelled(label, field), field))
        self.keep = QPushButton(tr("Keep this ride"))
        self.keep.clicked.connect(self.keep_asked)
        row.addWidget(self.keep)
        return row

    @cached_property
    def chart(self) -> EvidenceChart:
        """The circumferences."""
        from gearplan.window.ridelog.evidencechart import EvidenceChart

        made = EvidenceChart()
        fixed_height(made, _HIGH)
        self._chart_place.addWidget(made)
        return made

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        if "chart" in self.__dict__:
            self.chart.recolour()

    def another_ride(self, day: str | None) -> None:
        """A ride was opened that was ridden on a day as far as its file tells; None for one that is not kept."""
        self.errors.say("")
        self.day.show_value(day or "", day)
        self.odometer.show_number(None)
        self.odometer.clear()
        self.day.forget()

    def with_ride(self, learned: Learned, bike: Bike) -> Bike | None:
        """The bike with the ride at hand kept, of the day and odometer that are typed; None where it says why not."""
        for field in (self.day, self.odometer):
            if field.problem:
                self.errors.say(field.problem, field)
                field.setFocus()
                return None
        found = entry_of(learned, self._typed_day(), self._typed_distance())
        made = found if isinstance(found, str) else kept(bike, found)
        self.errors.say(made if isinstance(made, str) else "")
        return None if isinstance(made, str) else made

    def _typed_day(self) -> str | None:
        day = self.day.value
        return day if isinstance(day, str) else None

    def _typed_distance(self) -> float | None:
        distance = self.odometer.value
        return distance if isinstance(distance, float | int) else None

    def show_rides(self, rides: tuple[Ride, ...], *, there: bool, real: bool) -> None:
        """Show the rides; `there` is one at hand, which can be kept if it is `real`."""
        possible = there and real
        self.day.setEnabled(possible)
        self.odometer.setEnabled(possible)
        self.keep.setEnabled(possible)
        self.words.setText(f"{_WHAT} {_INVENTED}" if there and not real else _WHAT)
        self.changes.setVisible(bool(rides))
        self.changes.setText(
            "\n\n".join(story(rides)) or tr("No change between these rides that is beyond their ranges.")
        )
        drawn = history_evidence(rides)
        for widget in (self.title, self.table, self.remove):
            widget.setVisible(bool(rides))
        self.remove.setEnabled(bool(self.table.selectionModel().hasSelection()))
        if drawn is not None:
            self.title.setText(drawn.title)
            self.chart.show_evidence(drawn)
        if "chart" in self.__dict__:
            self.chart.setVisible(drawn is not None)
        if rides != self._rides:
            self._rides = rides
            self.table.show_texts(_HEADS, [_cells(ride) for ride in rides])

    def _chosen(self) -> None:
        self.remove.setEnabled(self.table.selectionModel().hasSelection())

    def _remove(self) -> None:
        at = self.table.currentIndex().row()
        if 0 <= at < len(self._rides):
            self.removed.emit(self._rides[at])


def _cells(ride: Ride) -> tuple[str, ...]:
    shown = ride.indicated_over_true
    return (
        ride.date or "–",
        "–" if ride.odometer_km is None else odometer_text(ride.odometer_km),
        f"{ride.front or '–'}/{ride.rear or '–'}",
        percent(ride.likelihood),
        tr(
            "{rolling_circumference_mm} ({rolling_circumference_low_mm} to {rolling_circumference_high_mm})",
            rolling_circumference_mm=number(ride.rolling_circumference_mm),
            rolling_circumference_low_mm=number(ride.rolling_circumference_low_mm),
            rolling_circumference_high_mm=number(ride.rolling_circumference_high_mm),
        ),
        "true"
        if shown is None and ride.speed_by == SPEEDS[0]
        else signed_percent(None if shown is None else shown - 1),
    )


def _day(text: str) -> str:
    if fault := check_date(text.strip()):
        raise ValueError(fault)
    return text.strip()
