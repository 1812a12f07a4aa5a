"""The tabs beside the thrust chart: times, shifts, the everyday side, and how sure all that is."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from gearplan.bike.text import written
from gearplan.bike.text.units import KMH, RPM, unit_told
from gearplan.language import decimal, tr
from gearplan.plan.driveset import fitted
from gearplan.plan.pull import asked as pullasked
from gearplan.plan.pull import shifts
from gearplan.plan.pull import table as pulltable
from gearplan.plan.pull import words as pullwords
from gearplan.plan.pull.doubts import effects, row_half
from gearplan.plan.pull.pull import Pull
from gearplan.plan.pull.table import PullRow, row_key
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import SPEEDOMETER
from gearplan.setup.doubt import Doubtful
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import least_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.shapes import VerdictShape
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View

_HEADS = ("", tr("fitted"), tr("proposed"), "±", tr("change"))
#: Ranges of times and top speed by the keys of their rows; None while a slider is held.
Doubts = Mapping[str, Doubtful] | None

#: What moves the time by less (s) is not listed.
_LEAST_TOLD = 0.005


class PullTab(QWidget):
    """A tab; `asked` carries a listed figure and the column (1 fitted, 2 proposed) that somebody wants explained."""

    asked = Signal(object, int)
    changed = Signal()
    #: Whether it shows how surely times are known.
    shows_doubts = False

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self.rows: tuple[PullRow, ...] = ()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(*[theme.UNIT] * 4)

    def show_pulls(self, on: Pull | None, proposed: Pull | None, doubts: Doubts) -> None:
        """Show both sets, and how surely the proposed one is known."""
        raise NotImplementedError

    def _figures(self, name: str) -> TextTable:
        table = TextTable(name, quiet=(1, 3), bold=(4,), left=(0,), only_two=(1, 4), explains=True)
        table.asked.connect(self._explain)
        return table

    @property
    def _one_set(self) -> bool:
        return self._document.chosen == fitted(self._document.bike)

    def _texts(self, row: PullRow, doubts: Doubts) -> tuple[str, ...]:
        title = f"{row.name}, {unit_told(row.unit_name)}" if row.unit_name else row.name
        half = 0.0 if doubts is None else row_half(row, doubts, self._document.bike, self._document.chosen)
        return title, *written.compared(row.before, row.after, half, 1, row.digits)

    def _asked_field(self, label: str, key: str, read: Callable[[str, str], object]) -> ValueField:
        """A line of text that says what to list; wrong text stays and says what would be right."""

        def checked(text: str) -> str:
            read(text, self._view.speed_unit)
            return text

        row = Flow()
        field = ValueField(checked)
        least_width(field, 170)
        field.errors = ErrorLabel()
        # A long list is read whole under the pointer.
        field.textChanged.connect(field.setToolTip)
        field.show_value(self._view.asked[key], self._view.asked[key])
        field.setObjectName(key)
        field.entered.connect(self._asked_entered)
        row.addWidget(labelled(label, field))
        row.addWidget(field)
        self._column.addLayout(row)
        self._column.addWidget(field.errors)
        return field

    def _asked_entered(self, text: object) -> None:
        if isinstance(text, str):
            self._view.ask(self.sender().objectName(), text)
            self.changed.emit()

    def _explain(self, row: int, column: int) -> None:
        if row < len(self.rows):
            self.asked.emit(self.rows[row], column)


class TimesTab(PullTab):
    """Sprints and roll-ons of the user's choice, and top speed."""

    shows_doubts = True

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        self.sprints = self._asked_field(tr("S&prints"), "sprints", pullasked.read_sprints)
        self.roll_ons = self._asked_field(tr("&In each gear"), "roll_ons", pullasked.read_roll_ons)
        self.table = self._figures(tr("Times and speeds, fitted and proposed"))
        self._column.addWidget(self.table)
        self._column.addStretch(1)

    def show_pulls(self, on: Pull | None, proposed: Pull | None, doubts: Doubts) -> None:
        """Show both sets."""
        asked, unit = self._view.asked, self._view.speed_unit
        self.rows = (
            *pulltable.sprint_rows(on, proposed, pullasked.read_sprints(asked["sprints"], unit), unit),
            *pulltable.roll_on_rows(on, proposed, pullasked.read_roll_ons(asked["roll_ons"], unit)),
        )
        self.table.show_texts(_HEADS, [self._texts(row, doubts) for row in self.rows], one_set=self._one_set)


class ShiftsTab(PullTab):
    """Best up-shifts against the user's own."""

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        self.form = EntryForm(document, tuple(("engine", key) for key in ("shift_rpm", "shift_time_s", "launch_rpm")))
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.table = TextTable(tr("Up-shifts, best and your own"), quiet=(1,), bold=(2,), left=(0,))
        note = PlainLabel(
            tr(
                "Engine speeds in rpm, the best for each set: where the next gear pulls harder, else the limiter. Road "
                "speed and “falls to”, where the engine stands after the shift, are the proposed set's."
            )
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        for widget in (self.form, self.words, self.table, note):
            self._column.addWidget(widget)
        self._column.addStretch(1)

    def show_pulls(self, on: Pull | None, proposed: Pull | None, _doubts: Doubts) -> None:
        """Show both sets."""
        self.form.refresh()
        own = self._document.bike.engine.shift_rpm
        before, after = (None if p is None else shifts.habit(p, own and own * RPM) for p in (on, proposed))
        self.words.setText("" if after is None else shifts.habit_sentence(after))
        unit, factor = self._view.speed_unit, self._view.speed_factor
        old = {} if before is None else {shift.gear: shift for shift in before.shifts}
        self.table.show_texts(
            (tr("out of"), tr("fitted"), tr("proposed"), tr("set by"), unit, tr("falls to"), tr("own")),
            [
                (
                    tr("gear {gear}", gear=shift.gear),
                    written.number(old[shift.gear].best if shift.gear in old else None, RPM, 0),
                    f"{shift.best / RPM:.0f}",
                    tr("limiter") if shift.limited else tr("pull"),
                    f"{shift.speed / factor:.0f}",
                    f"{shift.falls_to / RPM:.0f}",
                    written.number(shift.own, RPM, 0),
                )
                for shift in (() if after is None else after.shifts)
            ],
        )


class EverydayTab(PullTab):
    """Engine speed at speeds of the user's choice, speedometer and distance counter."""

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        self.speeds = self._asked_field(tr("At s&peeds"), "speeds", pullasked.read_speeds)
        self.table = self._figures(tr("Engine speed, speedometer and distance counter"))
        self.form = EntryForm(
            document,
            tuple(("speedometer", key) for key in ("sensor", "indicated_over_true", "distance_over_true")),
        )
        verdict = QHBoxLayout()
        self.shape = VerdictShape(18)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        verdict.addWidget(self.shape)
        verdict.addWidget(self.words, 1)
        self.rule = TextTable(tr("What the rule allows the speedometer to show"), quiet=(1,), bold=(4,), left=(0,))
        note = PlainLabel(
            tr(
                "Allowed: not less than the true speed, at most a tenth and 4 km/h more (UN Regulation No. 39, "
                "paragraph "
                "5.3). Local law decides. Of fuel and wear no more is claimed than the engine's turns."
            )
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        for widget in (self.table, self.form):
            self._column.addWidget(widget)
        self._column.addLayout(verdict)
        self._column.addWidget(self.rule)
        self._column.addWidget(note)
        self._column.addStretch(1)

    def show_pulls(self, _on: Pull | None, _proposed: Pull | None, doubts: Doubts) -> None:
        """Show both sets; this side needs no torque."""
        self.form.refresh()
        bike, chosen = self._document.bike, self._document.chosen
        speeds = pullasked.read_speeds(self._view.asked["speeds"], self._view.speed_unit)
        self.rows = pulltable.everyday_rows(bike, fitted(bike), chosen, speeds)
        self.table.show_texts(_HEADS, [self._texts(row, doubts) for row in self.rows], one_set=self._one_set)
        told = judged(bike, evaluate(bike, chosen)).findings
        finding = next((one for one in told if one.about == SPEEDOMETER), None)
        self.shape.setVisible(finding is not None)
        if finding is None:
            self.words.setText(tr("Where is the speed sensed, and how much does the instrument show at a true speed?"))
        else:
            self.shape.show_level(finding.level)
            self.words.setText(finding.text)
        self.rule.setVisible(finding is not None)
        self.rule.show_texts(
            (tr("true"), tr("fitted"), tr("proposed"), tr("allowed"), tr("verdict")),
            pulltable.allowed_rows(bike, fitted(bike), chosen, speeds),
        )


class DoubtTab(PullTab):
    """Which doubtful value moves the result most."""

    shows_doubts = True

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.table = TextTable(tr("What the doubtful values do to 0–100 km/h"), quiet=(1,), left=(0, 1, 3), bars=(3,))
        note = PlainLabel(
            tr(
                "Each value is taken to both ends of its range: a reading error for what is entered, the usual "
                "range for "
                "what is assumed (common practice, no source). The bars show by how much that changes the time."
            )
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        for widget in (self.words, self.table, note):
            self._column.addWidget(widget)
        self._column.addStretch(1)

    def show_pulls(self, _on: Pull | None, _proposed: Pull | None, doubts: Doubts) -> None:
        """Show the proposed set's doubts; those of before while a slider is held."""
        if doubts is None:
            return
        known = doubts.get(row_key(pullwords.HUNDRED))
        found = [one for one in effects(self._document.bike, self._document.chosen, known) if one.size >= _LEAST_TOLD]
        self.words.setText(pullwords.doubt_sentence(known, found))
        longest = max((effect.size for effect in found), default=0.0)
        self.table.show_texts(
            (tr("value"), tr("range"), tr("0–100 by"), ""),
            [(e.name, e.doubt, decimal(f"{e.size:.2f} s"), pullwords.bar(e.size, longest)) for e in found],
        )


class ValuesTab(PullTab):
    """Every value of the model that the Bike page does not hold."""

    ENTRIES = (
        ("load", "drag_area_m2"),
        ("load", "rolling_coefficient"),
        ("load", "wheel_inertia_kg_m2"),
        ("load", "braking_mps2"),
        ("engine", "inertia_kg_m2"),
        ("tyre", "grip"),
        ("tyre", "crown_radius_mm"),
        ("tyre", "growth_per_mps2"),
        ("conditions", "altitude_m"),
        ("conditions", "temperature_c"),
        ("conditions", "pressure_hpa"),
    )

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        note = PlainLabel(
            tr("A quiet figure is assumed while nothing is entered, and named wherever its result shows.")
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        self.form = EntryForm(document, self.ENTRIES)
        self.air = PlainLabel()
        self.air.setWordWrap(True)
        self.air.setProperty("role", "small")
        for widget in (note, self.form, self.air):
            self._column.addWidget(widget)
        self._column.addStretch(1)

    def show_pulls(self, _on: Pull | None, proposed: Pull | None, _doubts: Doubts) -> None:
        """Show the profile's values and the air that follows from them."""
        self.form.refresh()
        self.air.setText(
            ""
            if proposed is None
            else tr(
                "Air of {density:.3f} kg/m³; 100 km/h on a level road takes {load_at:.0f} N.",
                density=proposed.road.density,
                load_at=pulltable.load_at(proposed, 100 * KMH),
            )
        )
