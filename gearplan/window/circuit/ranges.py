"""What is ranked on a circuit, and what is not known exactly: ranges, doubts, gearbox options."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.language import tr
from gearplan.plan.choices.space import Space
from gearplan.plan.laps.draws import DOUBT_BOUNDS, NO_DOUBTS, Doubts, usual_doubts
from gearplan.plan.laps.gearboxes import alternatives, pair_doubts, read_options
from gearplan.plan.laps.spread import Plateau
from gearplan.setup.ratios import gearbox
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.search.ranges import SearchRanges

_MOST_GEARS = 8

#: Label, unit and SI in one of it, of each doubt; the names are those that the plateau gives them.
_DOUBTS = {
    "grip": (tr("Grip ±"), "%", 0.01),
    "wind_mps": (tr("Wind ±"), "km/h", KMH),
    "mass_kg": (tr("Mass ±"), "kg", 1.0),
    "shift_time_s": (tr("Shift time ±"), "s", 1.0),
    "braking": (tr("Braking ±"), "%", 0.01),
    "apex": (tr("Apex speeds entered ±"), "%", 0.01),
    "lowest_gear": (tr("Lowest gear ±"), "gears", 1.0),
    "first_below_mps": (tr("First gear below ±"), "km/h", KMH),
    "short_shift": (tr("Early up-shifts ±"), "rpm", RPM),
    "no_shift_beyond": (tr("Lean of the last up-shift ±"), "°", DEGREE),
    "down_shift_s": (tr("Down-shift time ±"), "s", 1.0),
}
#: Those that are speeds.
_SPEEDS = ("wind_mps", "first_below_mps")


class LapRanges(QWidget):
    """The fields; `changed` after every change that asks for another ranking, `doubted` where only the ties change."""

    changed = Signal()
    doubted = Signal()

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._units: dict[str, QLabel] = {}
        self._doubts: dict[str, float] = {}
        self._usual = NO_DOUBTS
        self._options: list[tuple[Ratio, ...]] = [()] * _MOST_GEARS
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        column.addWidget(_title(tr("Which sets")))
        self.ranges = SearchRanges(view)
        self.ranges.changed.connect(self.changed)
        column.addWidget(self.ranges)
        column.addWidget(_title(tr("What is not known exactly")))
        column.addLayout(self._unsure())
        column.addWidget(_title(tr("Race gearbox")))
        column.addLayout(self._gearbox())
        column.addStretch(1)
        view.changed.connect(self._show_units)
        self._show_units()

    def _unsure(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(3, 1)
        errors = ErrorLabel()
        self.doubt_fields: dict[str, NumberField] = {}
        self.worth: dict[str, QLabel] = {}
        for line, (key, (label, unit, si)) in enumerate(_DOUBTS.items()):
            low, high = (bound / si for bound in DOUBT_BOUNDS[key])
            refusal = partial(_refusal, low, high, unit)
            if key in _SPEEDS:
                refusal = partial(self._speed_refusal, DOUBT_BOUNDS[key])
            elif key == "lowest_gear":
                refusal = partial(_gear_refusal, low, high)
            field = NumberField(refusal, unit=unit)
            fixed_width(field, 112)
            field.errors = errors
            field.setObjectName(key)
            field.entered.connect(self._doubt_entered)
            worth = PlainLabel()
            worth.setProperty("role", "small")
            self.doubt_fields[key], self.worth[key] = field, worth
            self._units[key] = PlainLabel(unit) if key in _SPEEDS else UnitLabel(unit)
            for place, widget in enumerate((labelled(label, field), field, self._units[key], worth)):
                grid.addWidget(widget, line, place)
        grid.addWidget(errors, len(_DOUBTS), 0, 1, 4)
        note = PlainLabel(
            tr(
                "64 cases within these ranges are ridden to tell which sets are tied. 0 leaves one out. Those about a "
                "habit count where the rider has it."
            )
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        grid.addWidget(note, len(_DOUBTS) + 1, 0, 1, 4)
        return grid

    def show_worth(self, tied: Plateau | None) -> None:
        """Show how far each doubt moves the tied sets against each other."""
        for key, label in self.worth.items():
            worth = None if tied is None else tied.worth.get(key)
            label.setText("" if worth is None else tr("moves tied sets by up to {worth:.2f} s", worth=worth))

    def _show_units(self) -> None:
        """The same speeds in the window's unit."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        if self._units["wind_mps"].text() == unit:
            self._show_usual()
            return
        for key in _SPEEDS:
            field, known = self.doubt_fields[key], self._doubts.get(key)
            self._units[key].setText(unit)
            field.set_unit(unit)
            field.show_number(None if known is None else round(known / factor, 1))
        self._show_usual()

    def _show_usual(self) -> None:
        """What is taken where a doubt is not entered."""
        for key, field in self.doubt_fields.items():
            si = self._view.speed_factor if key in _SPEEDS else _DOUBTS[key][2]
            usual = float(f"{getattr(self._usual, key) / si:.3g}")
            unit = "" if key in _SPEEDS else _DOUBTS[key][1]
            field.setPlaceholderText(tr("{text} assumed", text=shownunits.current().text(usual, unit)))

    def _speed_refusal(self, bounds: tuple[float, float], value: float) -> str | None:
        """Why a speed cannot be, said in the window's unit; the bounds are m/s."""
        low, high = (round(bound / self._view.speed_factor) for bound in bounds)
        return _refusal(low, high, self._view.speed_unit, value)

    def _gearbox(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        note = PlainLabel(tr("Other pairs for each gear: driver/driven teeth or ratios, semicolons between."))
        note.setProperty("role", "small")
        note.setWordWrap(True)
        grid.addWidget(note, 0, 0, 1, 2)
        self.options: list[ValueField] = []
        self._option_names: list[QLabel] = []
        #: What is wrong with the pairs as typed, and what is asked about those that could be read.
        self.pair_errors = errors = ErrorLabel()
        for gear in range(_MOST_GEARS):
            field = ValueField(read_options)
            field.setPlaceholderText(tr("none, or 14/33; 15/34"))
            field.errors = errors
            field.setObjectName(str(gear))
            field.entered.connect(self._options_entered)
            name = labelled(tr("Gear {gear}", gear=gear + 1), field)
            self.options.append(field)
            self._option_names.append(name)
            grid.addWidget(name, gear + 1, 0)
            grid.addWidget(field, gear + 1, 1)
        grid.addWidget(errors, _MOST_GEARS + 1, 0, 1, 2)
        return grid

    def show_bike(self, bike: Bike) -> None:
        """Show options for the gears that the bike has."""
        count = len(gearbox(bike).gears)
        self._usual = usual_doubts(bike)
        self._show_usual()
        self.pair_errors.say("\n".join(pair_doubts(bike, self.alternatives(bike))), self)
        for gear, (field, name) in enumerate(zip(self.options, self._option_names, strict=True)):
            field.setVisible(gear < count)
            name.setVisible(gear < count)

    def space(self, bike: Bike) -> Space | str:
        """The sets to be ranked, or why they cannot be."""
        return self.ranges.space(bike)

    def alternatives(self, bike: Bike) -> tuple[tuple[Ratio, ...], ...] | None:
        """Ratios for each gear, where options are given."""
        return alternatives(bike, tuple(self._options))

    @property
    def doubts(self) -> Doubts:
        """How far each assumption may be off."""
        return replace(self._usual, **self._doubts)

    def forget(self) -> None:
        """Another bike: its own ranges and gearbox."""
        self.ranges.forget()
        self._options = [()] * _MOST_GEARS
        for field in self.options:
            field.clear()
            field.forget()

    def _doubt_entered(self, value: object) -> None:
        key = self.sender().objectName()
        self._doubts.pop(key, None)
        if isinstance(value, float):
            self._doubts[key] = value * (self._view.speed_factor if key in _SPEEDS else _DOUBTS[key][2])
        self.doubted.emit()

    def _options_entered(self, value: object) -> None:
        self._options[int(self.sender().objectName())] = value if isinstance(value, tuple) else ()
        self.changed.emit()


def _title(words: str) -> QLabel:
    label = PlainLabel(words)
    label.setProperty("role", "title")
    return label


def _refusal(low: float, high: float, unit: str, value: float) -> str | None:
    return (
        None
        if low <= value <= high
        else tr("expected {low:g} to {high:g} {unit}", low=low, high=high, unit=unit).rstrip()
    )


def _gear_refusal(low: float, high: float, value: float) -> str | None:
    return (
        None
        if low <= value <= high and value == round(value)
        else tr("expected a whole number, {low:g} to {high:g}", low=low, high=high)
    )
