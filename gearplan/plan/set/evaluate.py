"""One profile and one drive set in, one frozen result out: the only door to the numbers.

Results are in SI. A number that lacks its inputs is None and a finding names the field to fill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gearplan.bike import checks, library
from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike, entry
from gearplan.bike.tyresize import parse_tyre_size
from gearplan.bike.units import MM, RPM
from gearplan.drive import gearing, sprocket, tyre
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, Level, in_order, missing, worst
from gearplan.plan.set.chain import ChainRun, chain_run
from gearplan.plan.set.strength import Strength, pulling, strength, strength_finding, tensile
from gearplan.plan.set.travel import anti_squat_as_it_stands


@dataclass(frozen=True, slots=True)
class SetResult:
    """Everything that is known of one drive set on one bike, in SI (m, m/s, rad); None where data lacks.

    `rolls_by` says where the rolling circumference comes from: "measured", "size" (with a rolling factor that
    was entered) or "size, assumed factor". Tuples run over the gears, first gear first.
    """

    set: DriveSet
    final_ratio: float | None = None
    gear_ratios: tuple[float, ...] | None = None
    primary_ratio: float | None = None
    overall_ratio: tuple[float, ...] | None = None
    rolling_circumference: float | None = None
    rolls_by: str = ""
    speed_at_redline: tuple[float, ...] | None = None
    chordal_dip: float | None = None
    run: ChainRun = ChainRun()
    strength: Strength = Strength()
    anti_squat: float | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def verdict(self) -> Level:
        """The level of the gravest finding."""
        return worst(self.findings)

    @property
    def rolling_radius(self) -> float | None:
        """Rolling circumference over 2π, in metres."""
        return None if self.rolling_circumference is None else self.rolling_circumference / math.tau


@lru_cache(maxsize=512)
def evaluate(bike: Bike, chosen: DriveSet) -> SetResult:
    """All numbers and findings of one set. Pure, so the result is kept by value."""
    found: list[Finding] = []
    final, ratios, primary, overall = _ratios(bike, chosen, found)
    circumference, rolls_by = _rolling(bike, chosen, found)
    speeds = None
    redline = bike.engine.redline_rpm
    if redline is None:
        found.append(missing("speed", "The speed in each gear", [("engine.redline_rpm", "the redline")]))
    elif overall is not None and circumference is not None:
        radius = tyre.rolling_radius(circumference)
        speeds = _floats(gearing.road_speed(redline * RPM, np.array(overall), radius))
    run, about_chain = chain_run(bike, chosen)
    found += about_chain
    found += front_findings(bike, chosen)
    pull = pulling(bike)
    if isinstance(pull, Finding):
        found.append(pull)
    tyre_radius = None if circumference is None else tyre.rolling_radius(circumference)
    strong = strength(
        bike,
        chosen,
        pull,
        first_overall=overall[0] if overall else None,
        tyre_radius=tyre_radius,
        pitch=run.pitch,
        moved=run.moved,
        top_speed=speeds[-1] if speeds else None,
    )
    if strong.peak_tension is not None:
        found.append(strength_finding(strong.safety or math.nan, strong.peak_tension, tensile(bike, chosen)[1]))
    squat = anti_squat_as_it_stands(bike, chosen, run, tyre_radius, found)
    found += _contradictions(bike)
    return SetResult(
        set=chosen,
        final_ratio=final,
        gear_ratios=ratios,
        primary_ratio=primary,
        overall_ratio=overall,
        rolling_circumference=circumference,
        rolls_by=rolls_by,
        speed_at_redline=speeds,
        chordal_dip=None if chosen.front is None else float(sprocket.chordal_dip(chosen.front)),
        run=run,
        strength=strong,
        anti_squat=squat,
        findings=in_order(found),
    )


def gear_ratios(bike: Bike) -> tuple[float, ...] | None:
    """The gearbox ratios, first gear first; None while any gear is unfinished."""
    gears = bike.gearbox.gears
    if not gears:
        return None
    values = [whole_ratio(gear) for gear in gears]
    return None if None in values else tuple(v for v in values if v is not None)


def whole_ratio(entered: Ratio | None) -> float | None:
    """The value of an entered ratio; None while a tooth count is missing."""
    if entered is None or (isinstance(entered, tuple) and None in entered):
        return None
    return float(gearing.ratio_value(entered))


def _ratios(
    bike: Bike, chosen: DriveSet, found: list[Finding]
) -> tuple[float | None, tuple[float, ...] | None, float | None, tuple[float, ...] | None]:
    ratios, primary = gear_ratios(bike), whole_ratio(bike.gearbox.primary)
    final = None
    if chosen.front is not None and chosen.rear is not None:
        final = chosen.rear / chosen.front
    if chosen.front is not None and chosen.rear is not None and primary is not None and ratios is not None:
        overall = gearing.overall_ratios(primary, np.array(ratios), chosen.front, chosen.rear)
        return final, ratios, primary, _floats(overall)
    wanted = (
        ("final_drive.front", "the front sprocket", chosen.front),
        ("final_drive.rear", "the rear sprocket", chosen.rear),
        ("gearbox.primary", "the primary ratio", primary),
        ("gearbox.gears", _unfinished_gear(bike), ratios),
    )
    lacking = [(path, label) for path, label, value in wanted if value is None]
    found.append(missing("ratio", "The overall ratios", lacking))
    return final, ratios, primary, None


def _unfinished_gear(bike: Bike) -> str:
    gears = bike.gearbox.gears
    if not gears:
        return "the gears"
    number = next((i for i, gear in enumerate(gears, 1) if whole_ratio(gear) is None), 1)
    return f"gear {number}"


def _rolling(bike: Bike, chosen: DriveSet, found: list[Finding]) -> tuple[float | None, str]:
    about = "rolling circumference"
    entered, measured = bike.tyre, bike.tyre.rolling_circumference_mm
    size = chosen.tyre if chosen.tyre is not None else entered.size
    other_tyre = chosen.tyre is not None and not _same_size(chosen.tyre, entered.size)
    if measured is not None and not other_tyre:
        text = f"Rolling circumference {measured:.0f} mm, measured."
        found.append(Finding("fits", about, text, measured, None, "mm", "measured, as entered"))
        return measured * MM, "measured"
    if size is None:
        fields = [("tyre.size", "the tyre's size, or its measured rolling circumference")]
        found.append(missing(about, "Speeds", fields))
        return None, ""
    factor = entered.rolling_factor
    assumed = factor is None
    if factor is None:
        factor = entry("tyre", "rolling_factor").assumed
        assert factor is not None
    read = parse_tyre_size(size)
    value = float(tyre.rolling_circumference(tyre.free_diameter(read), factor))
    text = f"Rolling circumference {value / MM:.0f} mm, from the size {size} with "
    text += f"an assumed rolling factor of {factor:g}" if assumed else f"the rolling factor {factor:g}"
    text += "; a measured one would be surer."
    doubts = []
    if other_tyre and measured is not None:
        doubts.append(f"The measured {measured:.0f} mm belong to the tyre in the profile.")
    if read.by == "inch":
        doubts.append("Tyres with inch sizes are often some 2 % taller than the size says.")
    source = "size marking: rim 25.4 mm an inch, twice the section height; common practice for the factor"
    level: Level = "check" if doubts else "fits"
    found.append(Finding(level, about, " ".join([text, *doubts]), value / MM, None, "mm", source))
    return value, "size, assumed factor" if assumed else "size"


def _same_size(one: str, other: str | None) -> bool:
    return other is not None and parse_tyre_size(one) == parse_tyre_size(other)


def front_findings(bike: Bike, chosen: DriveSet) -> list[Finding]:
    """Whether the front sprocket is too small: by the profile's own limit, else by what is usual."""
    about, front = "front sprocket", chosen.front
    if front is None:
        return []
    own = bike.limits.front_teeth_min
    if own is not None:
        source = "smallest front sprocket as entered in the profile"
        if front < own:
            text = f"Front sprocket {front} is smaller than this bike's smallest, {own} teeth."
            return [Finding("does not fit", about, text, front, own, "teeth", source)]
        text = f"Front sprocket {front} is not below this bike's smallest, {own} teeth."
        return [Finding("fits", about, text, front, own, "teeth", source)]
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None:
        return []
    usual, source = size.front_teeth_min, "common practice for this chain size, no source"
    if front < usual:
        text = (
            f"Front sprocket {front} is smaller than is usual for a {size.size} chain, {usual} teeth: tight bends "
            "wear chain and swingarm. Look up the smallest in the service data."
        )
        return [Finding("check", about, text, front, usual, "teeth", source)]
    text = (
        f"Front sprocket {front} is not below the {usual} teeth usual for a {size.size} chain; "
        "the service data may ask for more."
    )
    return [Finding("fits", about, text, front, usual, "teeth", source)]


def _contradictions(bike: Bike) -> list[Finding]:
    return [
        Finding("check", "profile", f"{problem.text}", field=f"{problem.section}.{problem.key}")
        for problem in checks.check_bike(bike)
    ]


def _floats(values: object) -> tuple[float, ...]:
    return tuple(np.asarray(values, float).tolist())
