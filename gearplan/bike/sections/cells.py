"""Sections as a table: which columns there are, and how a cell is written, read and put into its section."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from gearplan.bike.circuit import Section, check_section_value, section_entry
from gearplan.bike.text import numbertext
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.typed import read_typed
from gearplan.bike.text.units import converted, measured_in
from gearplan.bike.text.unitset import UnitSet
from gearplan.bike.text.written import listed
from gearplan.language import tr, trc

#: The columns from left to right: what a section is, then what is seldom given.
COLUMNS = (
    "kind",
    "length_m",
    "turn_deg",
    "apex_kmh",
    "radius_m",
    "gradient_percent",
    "note",
    "grip",
    "lean_deg",
    "lowest_gear",
    "hold_gear",
)
#: What a column is headed, without its unit.
HEADS = {
    "kind": trc("straight or corner", "kind"),
    "length_m": tr("length"),
    "turn_deg": trc("heading of a column of angles", "turn"),
    "apex_kmh": tr("apex"),
    "radius_m": tr("radius"),
    "gradient_percent": tr("uphill"),
    "note": tr("note"),
    "grip": tr("grip"),
    "lean_deg": tr("lean"),
    "lowest_gear": tr("lowest gear"),
    "hold_gear": tr("hold gear"),
}
#: What a section has where nothing is entered; elsewhere it has nothing.
EMPTY: dict[str, Any] = {"gradient_percent": 0.0, "turn_deg": 0.0, "note": "", "hold_gear": False}
#: A cell shows so many decimals at most; the value itself keeps all.
_SHOWN_DECIMALS = 1
#: No turn of so many degrees is known to a fraction of one.
_WHOLE_DEGREES = 20.0
_SIDES = re.compile(r"(?<![a-z])(left|right|l|r|links|rechts)(?![a-z])", re.IGNORECASE)
#: Other words for the choices, as tables from elsewhere have them.
_SAME_AS = {
    "curve": "corner", "bend": "corner", "turn": "corner", "kurve": "corner", "virage": "corner", "curva": "corner",
    "gerade": "straight", "ligne droite": "straight", "rettilineo": "straight", "recta": "straight",
    "ja": "yes", "true": "yes", "1": "yes", "nein": "no", "false": "no", "0": "no",
}  # fmt: skip
_HOLDS = {True: "yes", False: "no"}


@dataclass(frozen=True, slots=True)
class SectionUnits:
    """The units in which lengths and apex speeds are shown, and meant where none is written behind a number."""

    length: str = "m"
    speed: str = "km/h"

    def of(self, key: str) -> str:
        """The unit of a column; empty where it has none."""
        own = section_entry(key).unit
        return {"m": self.length, "km/h": self.speed}.get(own, own)


def heading(key: str, units: SectionUnits) -> str:
    """What a column is headed: "apex, mph"."""
    return ", ".join(filter(None, (HEADS[key], units.of(key))))


def exact_text(section: Section, key: str, units: SectionUnits) -> str:
    """A cell as it is edited and copied: the whole value, or nothing."""
    return _text(getattr(section, key), key, units, decimals=None)


def shown_text(section: Section, key: str, units: SectionUnits) -> str:
    """A cell as it is shown: "445", "80 left", "+1.5"."""
    value = getattr(section, key)
    if key == "turn_deg" and value:
        angle = _text(abs(value), key, units, 0 if abs(value) >= _WHOLE_DEGREES else _SHOWN_DECIMALS)
        return tr("{angle} left", angle=angle) if value > 0 else tr("{angle} right", angle=angle)
    text = _text(value, key, units, 2 if key == "grip" else _SHOWN_DECIMALS)
    if key == "gradient_percent":
        return "" if not value else f"{'+' if value > 0 else ''}{text}".replace("-", "−")
    return "" if key in EMPTY and value == EMPTY[key] else text


def shown_number(value: float, key: str, units: SectionUnits) -> str:
    """A number that follows from others, in a column's unit and to whole ones."""
    return numbertext.shown_number(round(_in_unit(value, key, units)))


def read_cell(key: str, text: str, units: SectionUnits) -> object:
    """The value that a text means in a column, None for an empty one; ValueError says what is wrong with it."""
    given, what = text.strip(), section_entry(key)
    if not given:
        return None
    if what.kind == "text":
        if refusal := check_section_value(key, given):
            raise ValueError(refusal)
        return given
    if what.kind == "choice":
        meant = _SAME_AS.get(given.lower(), given.lower())
        chosen = next((word for word in what.choices if word.startswith(meant)), None)
        if chosen is None:
            raise ValueError(
                tr("“{given}” is not one of {join}", given=given[:40], join=listed(map(tr, what.choices), tr("or")))
            )
        return chosen == "yes" if key == "hold_gear" else chosen
    sign = 1.0
    if key == "turn_deg" and (side := _SIDES.search(given)):
        given = _SIDES.sub("", given, count=1).strip()
        if given.startswith(("-", "−")):
            raise NumberTextError(
                tr("“{text}” has both a sign and a side; write 85 right or −85", text=text.strip()[:40])
            )
        sign = 1.0 if side[0].lower().startswith("l") else -1.0
    if units.of(key) != what.unit and given[-1:].isdigit():
        given = f"{given} {units.of(key)}"
    check = partial(check_section_value, key, units=UnitSet(speed=units.speed, distance=units.length))
    value = read_typed(given, what.measure, whole=what.kind == "whole", check=check).value
    return value if what.kind == "whole" else sign * value


def with_cell(section: Section, key: str, value: object) -> Section:
    """A section with another value in one cell; None empties it, but a section keeps its kind and its length."""
    given: Any = EMPTY.get(key) if value is None else value
    return section if given is None and key in ("kind", "length_m") else replace(section, **{key: given})


def stands_empty(section: Section, key: str) -> bool:
    """Whether a section has in a cell what it has while that cannot be read: of kind and length those of before."""
    return key in ("kind", "length_m") or getattr(section, key) == EMPTY.get(key)


def _text(value: Any, key: str, units: SectionUnits, decimals: int | None) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return tr(_HOLDS[value])
    if isinstance(value, str):
        return tr(value) if key == "kind" else value
    number = _in_unit(value, key, units)
    return numbertext.shown_number(number if decimals is None else round(number, decimals) + 0.0)


def _in_unit(value: float, key: str, units: SectionUnits) -> float:
    """A value in the unit in which its column is shown; converted to six digits, as it would be typed."""
    own, shown = section_entry(key).unit, units.of(key)
    if own == shown:
        return value
    measured = measured_in(own)
    assert measured is not None
    quantity, unit = measured
    return float(f"{converted(value, unit, quantity.named(shown)):.6g}")
