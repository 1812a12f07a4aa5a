"""What is taken for an entry that is missing: the only place that does, with its reason and its band.

The bands are the usual range. What is typical of the bike's kind (`kinds`) wins over what is usual for any. All of it
is common practice, no source, unless a reason says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.profile import Bike, entry, value
from gearplan.bike.text.unitset import METRIC, UnitSet
from gearplan.bike.text.written import inside
from gearplan.language import tr
from gearplan.setup import kinds
from gearplan.setup.kinds import TYPICAL

COMMON_PRACTICE = tr("common practice, no source")

#: Section and key: what is taken, and the usual range of it, all in the unit of the entry.
_USUAL: dict[tuple[str, str], tuple[float, float, float]] = {
    ("engine", "shift_time_s"): (0.15, 0.05, 0.30),
    ("engine", "efficiency"): (0.93, 0.88, 0.96),
    ("engine", "tested_humidity_percent"): (0.0, 0.0, 100.0),
    ("tyre", "rolling_factor"): (0.97, 0.95, 0.99),
    ("tyre", "grip"): (1.1, 0.8, 1.3),
    # From a belt that gives nothing to 2 % at 300 km/h. By physics a ring grows by m·v²/E′ (mass of tread and belt by
    # its area, some 14 kg/m²; stiffness along the belt by its width): 2 % of a textile belt's 5 MN/m, less of steel's.
    ("tyre", "growth_per_mps2"): (0.0, 0.0, 3e-6),
    ("load", "rider_kg"): (80.0, 60.0, 110.0),
    ("load", "drag_area_m2"): (0.45, 0.30, 0.70),
    ("load", "rolling_coefficient"): (0.02, 0.012, 0.030),
    ("load", "wheel_inertia_kg_m2"): (1.0, 0.5, 1.6),
    ("load", "braking_mps2"): (9.0, 6.0, 10.5),
    ("conditions", "altitude_m"): (0.0, 0.0, 1500.0),
    ("speedometer", "distance_over_true"): (1.0, 0.97, 1.03),
    ("service", "press_tolerance_mm"): (0.1, 0.05, 0.15),
    ("service", "alignment_mm"): (1.0, 0.5, 2.0),
}

#: What is taken for these hangs on the rest of the bike.
_BY_BIKE = {("engine", "launch_rpm"), ("engine", "inertia_kg_m2"), ("tyre", "crown_radius_mm")}
#: Launch speed over the limiter (the redline where no limiter is entered), with its usual range.
_LAUNCH = (0.4, 0.3, 0.6)
#: Inertia of crank and clutch for each newton metre of peak torque (kg·m² each N·m): heavy and light flywheels
#: differ by more than double either way.
_INERTIA = (5e-4, 2e-4, 1e-3)
#: Crown radius over the width of the tyre's section.
_CROWN = (0.5, 0.4, 0.7)
#: Elongation (%) at which a chain is scrapped, and one with sealing rings, which fail before the teeth do.
_WORN, _WORN_SEALED = (1.5, 1.0, 2.0), (1.0, 0.8, 1.5)
#: Elongation (%) of a chain in use that nobody has measured.
_ELONGATION = (0.5, 0.0, 1.0)
#: The same of one that was fitted new not long ago.
_ELONGATION_NEW = (0.1, 0.0, 0.3)
#: Rolling circumference of a rear tyre (mm).
_CIRCUMFERENCE = (1950.0, 1650.0, 2100.0)
#: Half of a swingarm's travel (°).
_TRAVEL = (10.0, 6.0, 14.0)
#: Width of a track (m) whose line is read without it.
_TRACK_WIDTH = (12.0, 9.0, 15.0)
#: Air temperatures in which people ride (°C).
_TEMPERATURES = (0.0, 35.0)


@dataclass(frozen=True, slots=True)
class Assumed:
    """One assumption: for which field of the bike file ("section.key"), its label, value, unit, reason and band.

    `value`, `low` and `high` are in the entry's unit; None where what is assumed is no number. `told` is how it is
    said where label and value would not do.
    """

    field: str
    label: str
    value: float | None = None
    unit: str = ""
    reason: str = COMMON_PRACTICE
    low: float | None = None
    high: float | None = None
    told: str = ""

    @property
    def text(self) -> str:
        """The assumption in words, such as "Rider with gear 80 kg"."""
        if self.told or self.value is None:
            return self.told or self.label
        return f"{self.label} {self.value:g}{f' {self.unit}' if self.unit else ''}"


@dataclass(frozen=True, slots=True)
class Known:
    """A value in the unit of its entry, and the assumption that it is, if it was not entered."""

    value: float
    assumed: Assumed | None = None


def circumference() -> Known:
    """A rolling circumference (mm) where not even the tyre's size is known: only to begin with a recorded ride."""
    return Known(_CIRCUMFERENCE[0], _about("tyre", "rolling_circumference_mm", *_CIRCUMFERENCE, COMMON_PRACTICE))


def travel() -> Known:
    """How far either side of where the bike stands (°) the swingarm's travel is drawn while it is not entered."""
    return Known(_TRAVEL[0], _about("chassis", "swingarm_travel_deg", *_TRAVEL, COMMON_PRACTICE))


def track_width() -> Known:
    """Width of a track (m) of which only the line is known."""
    taken, low, high = _TRACK_WIDTH
    return Known(taken, Assumed("line.width_m", tr("Width of the track"), taken, "m", COMMON_PRACTICE, low, high))


def usual(section: str, key: str) -> Assumed | None:
    """What is taken for a field whatever the bike; None for a field that is never assumed, or not without the bike."""
    if (section, key) not in _USUAL:
        return None
    return _about(section, key, *_USUAL[section, key], COMMON_PRACTICE)


def typical(bike: Bike, section: str, key: str) -> Assumed | None:
    """What is typical of the bike's kind for a field; None where nothing is, or where it hangs on the engine."""
    band = kinds.typical(bike, section, key)
    if band is None or (section, key) == ("engine", "inertia_kg_m2"):
        return None
    return _about(section, key, *band, TYPICAL)


def placeholder(bike: Bike, section: str, key: str, units: UnitSet = METRIC) -> str:
    """What a field shows while it is empty: what is taken for it, without the value where that hangs on the bike."""
    unit = entry(section, key).measure
    kind = typical(bike, section, key)
    if kind is not None:
        return tr("{text} typical", text=units.text(kind.value or 0.0, unit))
    if (section, key) in _BY_BIKE:
        return tr("assumed")
    taken = usual(section, key)
    return (
        tr("{text} assumed", text=units.text(taken.value, unit))
        if taken is not None and taken.value is not None
        else ""
    )


def if_known(bike: Bike, section: str, key: str) -> Known | None:
    """A field as entered, else as typical for the bike's kind, else as usual; None where nothing is taken for it."""
    given = value(bike, section, key)
    if given is not None:
        return Known(float(given))
    taken = typical(bike, section, key) or usual(section, key)
    return None if taken is None or taken.value is None else Known(taken.value, taken)


def known(bike: Bike, section: str, key: str, told: str = "") -> Known:
    """A field as `if_known`, said in other words if need be; KeyError for a field for which nothing is taken."""
    found = if_known(bike, section, key)
    if found is None:
        raise KeyError(f"{section}.{key}")
    return found if found.assumed is None or not told else Known(found.value, replace(found.assumed, told=told))


def launch(bike: Bike, limiter_rpm: float) -> Known:
    """Launch speed (rpm): as entered; none for a motor that idles at 0, for it has no clutch to slip.

    Else a share of the limiter, or of the redline where no limiter is entered.
    """
    if bike.engine.launch_rpm is not None:
        return Known(bike.engine.launch_rpm)
    idle = if_known(bike, "engine", "idle_rpm")
    if idle is not None and idle.value == 0:
        reason = tr("a motor that idles at 0 starts without a slipping clutch")
        return Known(0.0, _about("engine", "launch_rpm", 0.0, 0.0, 0.0, reason))
    share, low, high = _LAUNCH
    reason = tr(
        "{share:g} of the limiter, or of the redline where no limiter is entered; {common_practice}",
        share=share,
        common_practice=COMMON_PRACTICE,
    )
    taken, told = share * limiter_rpm, tr("Launch speed {share:.0f} rpm", share=share * limiter_rpm)
    return Known(taken, _about("engine", "launch_rpm", taken, low * limiter_rpm, high * limiter_rpm, reason, told))


def inertia(bike: Bike, peak_torque_nm: float) -> Known:
    """Inertia at the crank (kg·m²): as entered, else in proportion to the peak torque."""
    if bike.engine.inertia_kg_m2 is not None:
        return Known(bike.engine.inertia_kg_m2)
    kind = kinds.typical(bike, "engine", "inertia_kg_m2")
    each, low, high = kind or _INERTIA
    taken = float(f"{each * peak_torque_nm:.2g}")
    reason = tr(
        "{each:g} kg·m² for each N·m of peak torque; {typical}", each=each, typical=TYPICAL if kind else COMMON_PRACTICE
    )
    return Known(taken, _about("engine", "inertia_kg_m2", taken, low * peak_torque_nm, high * peak_torque_nm, reason))


def gears(bike: Bike, entered: Sequence[float | None], count: int) -> tuple[tuple[float, ...], Assumed] | None:
    """The ratios of `count` gears where those entered do not suffice, and how that is said; None for no known kind.

    Typical steps, moved so that they meet the gears that are entered.
    """
    steps = kinds.typical_gears(bike, count)
    if steps is None:
        return None
    own = {k: ratio for k, ratio in enumerate(entered) if ratio is not None}
    by = np.interp(range(count), list(own), [math.log(ratio / steps[k]) for k, ratio in own.items()]) if own else None
    moved = steps if by is None else np.array(steps) * np.exp(by)
    ratios = tuple(own.get(k, float(f"{moved[k]:.3g}")) for k in range(count))
    left = [str(k + 1) for k in range(count) if k not in own]
    if len(left) == count:
        told = tr("one gear") if count == 1 else tr("typical steps for {count} gears", count=count)
    else:
        told = tr("typical steps for gear{part} {join}", part="s" if len(left) > 1 else "", join=", ".join(left))
    return ratios, Assumed("gearbox.gears", entry("gearbox", "gears").label, reason=TYPICAL, told=told)


def crown_radius(width_mm: float) -> Known:
    """Crown radius of a tyre (mm) whose own is not entered: half the section's width; 0 for one without a width."""
    share, low, high = _CROWN
    taken = share * width_mm
    told = (
        tr("Crown radius {taken:.0f} mm, half the tyre's width", taken=taken)
        if taken
        else tr("a tyre without a round crown")
    )
    reason = tr("half the section's width; {common_practice}", common_practice=COMMON_PRACTICE)
    found = _about("tyre", "crown_radius_mm", taken, low * width_mm, high * width_mm, reason, told)
    return Known(taken, found)


def worn_at(bike: Bike) -> Known:
    """Elongation (%) at which the chain is worn out: the maker's own as entered, else the trade's."""
    own = bike.limits.chain_elongation_percent
    if own is not None:
        return Known(own)
    taken = _WORN_SEALED if bike.service.chain_sealed == "yes" else _WORN
    return Known(taken[0], _about("limits", "chain_elongation_percent", *taken, COMMON_PRACTICE))


def elongation(*, new: bool = False) -> Known:
    """Elongation (%) of the chain on the bike while it has not been measured; `new` for one fitted not long ago."""
    taken = _ELONGATION_NEW if new else _ELONGATION
    return Known(taken[0], _about("final_drive", "elongation_percent", *taken, COMMON_PRACTICE))


def temperature(standard_c: float) -> Known:
    """Air temperature (°C) while none is entered: that of the standard atmosphere at the altitude."""
    told = tr("temperature of the standard atmosphere")
    found = _about("conditions", "temperature_c", standard_c, *_TEMPERATURES, tr("standard atmosphere, ISO 2533"), told)
    return Known(standard_c, found)


def listed(*found: Known | Assumed | None) -> tuple[Assumed, ...]:
    """The assumptions among what is known, each once, in their order."""
    every = (one.assumed if isinstance(one, Known) else one for one in found)
    return tuple(dict.fromkeys(one for one in every if one is not None))


def of_kind(assumptions: Iterable[Assumed]) -> tuple[Assumed, ...]:
    """Those of the assumptions that are only typical of the kind of motorcycle."""
    return tuple(one for one in assumptions if TYPICAL in one.reason)


def assumptions_text(assumptions: Iterable[Assumed]) -> str:
    """Assumptions in one line, empty if there are none; what is only typical of the kind comes last and says so."""
    found = list(assumptions)
    kinds_own = of_kind(found)
    usual_ones = ", ".join(inside(one.text) for one in found if one not in kinds_own)
    kind = ", ".join(inside(one.text) for one in kinds_own)
    return "; ".join(filter(None, (usual_ones, f"{TYPICAL}: {kind}" if kind else "")))


def _about(section: str, key: str, taken: float, low: float, high: float, reason: str, told: str = "") -> Assumed:
    what = entry(section, key)
    return Assumed(f"{section}.{key}", what.label, taken, what.unit, reason, low, high, told)
