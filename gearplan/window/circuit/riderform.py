"""How it is ridden: the habits of one rider or two, the wind, what lean does, and both riders side by side."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLabel, QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.entries import entry_in
from gearplan.bike.profile import Bike
from gearplan.bike.rider import MOST_GEARS, MOST_RIDERS, NOBODY, Rider, check_rider_value, rider_keys
from gearplan.bike.text.numbertext import NumberTextError, parse_whole
from gearplan.bike.text.units import KMH
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.plan.season.wet import USUAL_WET, WET_BOUNDS, Wet, wet
from gearplan.setup import riding
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.view import View

#: Keys in the window's unit of speed.
_SPEEDS = ("first_below_kmh",)
#: Most wind that is taken (m/s).
_WIND = 100 * KMH
_SKIPS = tr("Gears passed over")
_TIPS = {
    "lowest_gear": tr(
        "Of every corner that names none of its own. Second is usual where there are five gears or more "
        "(common practice, no source)."
    ),
    "first_below_kmh": tr("Second gear is taken at the latest there, if it pulls; leaned over a little below."),
    "skips": tr("Such as 3, or 3 5"),
    "short_shift_rpm": tr("By how much earlier than at the best engine speed, wherever the next gear still pulls"),
    "downshift_time_s": tr("Braking hides it as far as it lasts; where it does not, the throttle is shut earlier."),
    "rider_kg": tr("In place of what stands on the Bike page"),
    "braking_mps2": tr("In place of what stands on the Pull page"),
}


class RiderForm(QWidget):
    """The fields; habits are edited in the circuit, `changed` tells that wind or lean were."""

    changed = Signal()

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._wind: float | None = None
        self._share: float | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self.errors = ErrorLabel()
        column.addLayout(self._track())
        self.rain = PlainLabel()
        self.rain.setProperty("role", "small")
        self.rain.setWordWrap(True)
        self.rain.hide()
        column.addWidget(self.rain)
        column.addLayout(self._habits())
        column.addLayout(self._rest())
        note = PlainLabel(
            tr(
                "Habits are kept in the circuit's file. Grip, crown radius and growth stand on the Pull page, Values; "
                "shift time there, Shifts."
            )
        )
        note.setProperty("role", "small")
        note.setWordWrap(True)
        column.addWidget(note)
        self.told = PlainLabel()
        self.told.setWordWrap(True)
        self.told.hide()
        column.addWidget(self.told)
        column.addStretch(1)
        view.changed.connect(self._show_units)
        self._show_units()

    def _track(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(0, 1)
        self.wet = QCheckBox(tr("The trac&k is wet; grip as a share of that in the dry"))
        self.wet.toggled.connect(self._wet_toggled)
        self.share = NumberField(_share_refusal)
        self.share.setAccessibleName(tr("Grip in the wet, share of that in the dry"))
        self.share.setPlaceholderText(tr("{usual_wet:g} assumed", usual_wet=USUAL_WET))
        fixed_width(self.share, 96)
        self.share.errors = self.errors
        self.share.setEnabled(False)
        self.share.entered.connect(self._share_entered)
        grid.addWidget(self.wet, 0, 0)
        grid.addWidget(self.share, 0, 1)
        return grid

    def _habits(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(0, 1)
        self.other = QCheckBox(tr("Compare with another rider"))
        self.other.clicked.connect(self._other_clicked)
        grid.addWidget(self.other, 0, 0, 1, 4)
        self.fields: list[dict[str, ValueField]] = [{} for _ in range(MOST_RIDERS)]
        self._units: dict[str, QLabel] = {}
        for line, key in enumerate(rider_keys(), 1):
            label = _SKIPS if key == "skips" else entry_in(Rider, key).label
            for number in range(MOST_RIDERS):
                field = self._field(number, key)
                field.setAccessibleName(tr("{label}, rider {number}", label=label, number=number + 1))
                self.fields[number][key] = field
                grid.addWidget(field, line, number + 1)
            name = labelled(label, self.fields[0][key])
            name.setToolTip(plain(_TIPS.get(key, "")))
            grid.addWidget(name, line, 0)
            self._units[key] = PlainLabel() if key == "skips" else UnitLabel(entry_in(Rider, key).unit)
            grid.addWidget(self._units[key], line, MOST_RIDERS + 1)
        grid.addWidget(self.errors, grid.rowCount(), 0, 1, 4)
        return grid

    def _field(self, number: int, key: str) -> ValueField:
        if key == "skips":
            field = ValueField(_gears)
        elif key == "name":
            field = ValueField(str.strip)
        else:
            field = NumberField(
                partial(self._refusal, key), unit=entry_in(Rider, key).unit, whole=entry_in(Rider, key).kind == "whole"
            )
        fixed_width(field, 96)
        field.errors = self.errors
        field.setObjectName(f"{number} {key}")
        field.setToolTip(plain(_TIPS.get(key, "")))
        field.entered.connect(self._entered)
        field.finished.connect(self._document.end_merge)
        return field

    def _rest(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(0, 1)
        self.wind = NumberField(self._wind_refusal, unit="km/h")
        self.wind.errors = self.errors
        self.wind.entered.connect(self._wind_entered)
        grid.addWidget(labelled(tr("Head &wind all round"), self.wind), 0, 0)
        grid.addWidget(self.wind, 0, 1)
        self._wind_unit = PlainLabel("km/h")
        grid.addWidget(self._wind_unit, 0, 2)
        self.shares = QCheckBox(tr("Leaned, the line leaves less &grip for the drive"))
        self.leans = QCheckBox(tr("Leaned, the tyre rolls on a &smaller radius"))
        for line, box in enumerate((self.shares, self.leans), 1):
            box.setChecked(True)
            box.toggled.connect(self.changed)
            grid.addWidget(box, line, 0, 1, 3)
        return grid

    # What is shown.

    def refresh(self) -> None:
        """Show the circuit's riders as they are now."""
        circuit, bike = self._document.circuit, self._document.bike
        self.rain.setText("" if circuit is None else self.weather(bike, circuit).told)
        self.rain.setVisible(bool(self.rain.text()))
        two = circuit is not None and len(circuit.riders) > 1
        self.other.setEnabled(circuit is not None)
        self.other.setChecked(two)
        for number, fields in enumerate(self.fields):
            rider = _rider(circuit, number)
            for key, field in fields.items():
                field.setVisible(number == 0 or two)
                field.setEnabled(circuit is not None)
                self._show(field, key, getattr(rider, key))
            lowest = riding.lowest_gear(bike, NOBODY)
            fields["lowest_gear"].setPlaceholderText(
                tr("{value:.0f} assumed", value=lowest.value) if lowest.assumed else "1"
            )

    def _show(self, field: ValueField, key: str, value: object) -> None:
        if key == "skips":
            assert isinstance(value, tuple)
            field.show_value(" ".join(map(str, value)), value or None)
        elif key == "name":
            field.show_value(str(value), value or None)
        else:
            assert isinstance(field, NumberField)
            assert value is None or isinstance(value, (int, float))
            shown = value if value is None or key not in _SPEEDS else round(value * KMH / self._view.speed_factor, 1)
            field.show_number(shown)

    def say(self, told: tuple[str, ...]) -> None:
        """Show both riders side by side, in words."""
        self.told.setText("\n".join(told))
        self.told.setVisible(bool(told))

    def weather(self, bike: Bike, circuit: Circuit) -> Wet:
        """Bike and circuit as they are ridden today, and what the wet changes in words; nothing in the dry."""
        return wet(bike, circuit, self._share) if self.wet.isChecked() else Wet(bike, circuit, "")

    def rules(self, bike: Bike, circuit: Circuit | None, number: int = 0) -> LapRules:
        """How one of the riders rides the lap."""
        return riding.rules(
            bike,
            _rider(circuit, number),
            wind=self._wind or 0.0,
            share_grip=self.shares.isChecked(),
            lean=self.leans.isChecked(),
        )

    def _show_units(self) -> None:
        """The same speeds in the window's unit."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        if self._wind_unit.text() == unit:
            return
        self._wind_unit.setText(unit)
        self.wind.set_unit(unit)
        self.wind.show_number(None if self._wind is None else round(self._wind / factor, 1))
        for key in _SPEEDS:
            self._units[key].setText(unit)
            for number, fields in enumerate(self.fields):
                field = fields[key]
                assert isinstance(field, NumberField)
                field.set_unit(unit)
                self._show(field, key, getattr(_rider(self._document.circuit, number), key))

    # What is done.

    def _entered(self, value: object) -> None:
        circuit = self._document.circuit
        if circuit is None:
            return
        number, key = self.sender().objectName().split(" ")
        if key in ("skips", "name"):
            value = value or (() if key == "skips" else "")
        elif isinstance(value, float):
            value = round(value * self._view.speed_factor / KMH, 3) if key in _SPEEDS else value
            if entry_in(Rider, key).kind == "whole":
                value = int(value)
        riders = [_rider(circuit, k) for k in range(max(len(circuit.riders), int(number) + 1))]
        riders[int(number)] = replace(riders[int(number)], **{key: value})  # type: ignore[arg-type]
        if riders == [NOBODY]:
            riders = []
        label = _SKIPS if key == "skips" else entry_in(Rider, key).label
        self._document.edit_circuit(
            label, replace(circuit, riders=tuple(riders)), tr("rider {number} {key}", number=number, key=key)
        )

    def _wet_toggled(self, on: bool) -> None:
        self.share.setEnabled(on)
        self.changed.emit()

    def _share_entered(self, value: object) -> None:
        self._share = value if isinstance(value, float) else None
        self.changed.emit()

    def _other_clicked(self) -> None:
        circuit = self._document.circuit
        if circuit is None:
            return
        if self.other.isChecked():
            # Whoever is compared begins as the first is.
            riders: tuple[Rider, ...] = (circuit.rider, replace(circuit.rider, name=""))
        else:
            riders = () if circuit.rider == NOBODY else (circuit.rider,)
        self._document.edit_circuit(self.other.text(), replace(circuit, riders=riders))

    def _refusal(self, key: str, value: float) -> str | None:
        """Why a number cannot stand in a field, said in the unit in which it is typed."""
        if key not in _SPEEDS:
            whole = entry_in(Rider, key).kind == "whole"
            if whole and value != round(value):
                return tr("expected a whole number, 1 to {most_gears}", most_gears=MOST_GEARS)
            return check_rider_value(key, int(value) if whole else value)
        what, factor = entry_in(Rider, key), KMH / self._view.speed_factor
        low, high = what.low * factor, what.high * factor
        return (
            None
            if low <= value <= high
            else tr(
                "expected {low:.0f} to {high:.0f} {speed_unit}", low=low, high=high, speed_unit=self._view.speed_unit
            )
        )

    def _wind_refusal(self, value: float) -> str | None:
        most = round(_WIND / self._view.speed_factor)
        return (
            None
            if abs(value) <= most
            else tr("expected {most} to {most2} {speed_unit}", most=-most, most2=most, speed_unit=self._view.speed_unit)
        )

    def _wind_entered(self, value: object) -> None:
        self._wind = value * self._view.speed_factor if isinstance(value, float) else None
        self.changed.emit()


def _rider(circuit: Circuit | None, number: int) -> Rider:
    return circuit.riders[number] if circuit is not None and number < len(circuit.riders) else NOBODY


def _share_refusal(value: float) -> str | None:
    low, high = WET_BOUNDS
    return (
        None
        if low <= value <= high
        else tr("expected {low:g} to {high:g}, the grip in the wet over that in the dry", low=low, high=high)
    )


def _gears(text: str) -> tuple[int, ...]:
    """Gears as typed; ValueError in words."""
    try:
        found = tuple(sorted({parse_whole(part) for part in text.replace(",", " ").replace(";", " ").split()}))
    except NumberTextError as error:
        raise ValueError(str(error)) from error
    if refused := check_rider_value("skips", found):
        raise ValueError(refused.replace("[3]", "3"))
    return found
