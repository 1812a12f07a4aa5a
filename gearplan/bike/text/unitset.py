"""The units in which a person wants to see and type: each quantity by itself, and the sets that choose them all."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from gearplan.language import tr

from .numbertext import format_number, shown_number
from .units import Unit, converted, measured_in

#: The units that each quantity can be shown in, the usual one first; the keys are the fields of a `UnitSet`.
CHOICES = {
    "speed": ("km/h", "mph"),
    "length": ("mm", "in"),
    "distance": ("m", "ft", "yd"),
    "torque": ("N·m", "lbf·ft"),
    "power": ("kW", "PS", "hp"),
    "temperature": ("°C", "°F"),
    "pressure": ("hPa", "kPa", "bar", "psi", "inHg"),
    "mass": ("kg", "lb"),
}
#: What they are called where they are chosen.
NAMES = {
    "speed": tr("Road speed"),
    "length": tr("Lengths on the motorcycle"),
    "distance": tr("Sections of a circuit, altitude"),
    "torque": tr("Torque"),
    "power": tr("Power"),
    "temperature": tr("Temperature"),
    "pressure": tr("Air pressure"),
    "mass": tr("Mass"),
}
#: A ratio of two units is told in this many digits of a common logarithm less: 1 mm has room in 0.04 in, two decimals.
_ROOM = 0.1
#: No length is typed or measured on a motorcycle finer than this many decimals of its own unit.
_FINEST = {"mm": 2}


@dataclass(frozen=True, slots=True)
class UnitSet:
    """One unit for each quantity, by its name on the screen; files never follow it."""

    speed: str = "km/h"
    length: str = "mm"
    distance: str = "m"
    torque: str = "N·m"
    power: str = "kW"
    temperature: str = "°C"
    pressure: str = "hPa"
    mass: str = "kg"

    def shown(self, own: str) -> Unit | None:
        """The unit in which a value that is kept in `own` is shown; None where it has none (see `measured_in`)."""
        found = measured_in(own)
        if found is None:
            return None
        quantity, unit = found
        return quantity.named(getattr(self, quantity.name)) if quantity.name in CHOICES else unit

    def name(self, own: str) -> str:
        """The name of that unit, `own` itself where it does not follow the set."""
        unit = self.shown(own)
        return own if unit is None or own == "share" else unit.name

    def number(self, value: float, own: str) -> float:
        """A value in `own` as a number in the shown unit."""
        found, unit = measured_in(own), self.shown(own)
        return value if found is None or unit is None else converted(value, found[1], unit)

    def decimals(self, own: str, digits: int) -> int:
        """How many decimals the shown unit needs where `own` has so many: enough, and no finer."""
        found, unit = measured_in(own), self.shown(own)
        if found is None or unit is None or unit is found[1]:
            return digits
        return max(digits + round(math.log10(unit.size / found[1].size) + _ROOM), 0)

    def text(self, value: float, own: str) -> str:
        """A kept value as it stands in a field: as exactly as it was typed, in the shown unit."""
        kept = round(value, _FINEST[own]) if own in _FINEST else value
        if self.name(own) == own or own == "share":
            return shown_number(kept)
        digits = self.decimals(own, len(format_number(kept).partition(".")[2]))
        return shown_number(round(self.number(value, own), digits) + 0.0)

    def size(self, own: str) -> float:
        """One of the shown unit in SI, for lengths, masses and whatever else begins at nothing."""
        unit = self.shown(own)
        return 1.0 if unit is None else unit.size


METRIC = UnitSet()
UK = UnitSet(speed="mph", distance="ft", power="hp")
US = UnitSet("mph", "in", "ft", "lbf·ft", "hp", "°F", "inHg", "lb")
#: The sets by their names.
SETS = {"Metric": METRIC, "UK": UK, "US": US}


def sensible(units: UnitSet) -> UnitSet:
    """The same set with the usual unit where the one named is none of the quantity's."""
    kept = {f.name: getattr(units, f.name) for f in fields(UnitSet)}
    return UnitSet(**{name: unit if unit in CHOICES[name] else CHOICES[name][0] for name, unit in kept.items()})
