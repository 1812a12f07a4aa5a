"""Ratios and rolling circumference of a bike as entered. SI."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import zip_longest
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.tyresize import parse_tyre_size
from gearplan.drive import gearing, tyre
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed, Known
from gearplan.setup.kinds import gear_count


def whole_ratio(entered: Ratio | None) -> float | None:
    """The value of an entered ratio; None while it or one of its tooth counts is missing."""
    if entered is None or (isinstance(entered, tuple) and None in entered):
        return None
    return float(gearing.ratio_value(entered))


@dataclass(frozen=True, slots=True)
class Gearbox:
    """Primary ratio and gears, first gear first, None where one is missing; and what of them was not entered.

    `gears` are as entered, with the ratios that are assumed in the gaps; `ratios` the same as numbers, None while any
    is missing.
    """

    primary: float | None
    gears: tuple[Ratio | None, ...]
    ratios: tuple[float, ...] | None
    assumed: tuple[Assumed, ...]


@lru_cache(maxsize=64)
def gearbox(bike: Bike) -> Gearbox:
    """The gearbox of a bike: as entered; where only the number of gears is known, with steps typical of its kind."""
    primary, found = whole_ratio(bike.gearbox.primary), list[Assumed]()
    if primary is None and (taken := assumed.typical(bike, "gearbox", "primary")) is not None:
        primary = taken.value
        found.append(taken)
    gears = bike.gearbox.gears or ()
    own, count = [whole_ratio(gear) for gear in gears], gear_count(bike)
    counted = bike.gearbox.count is not None or not gears
    if counted and count is not None and (None in own or len(own) < count):
        filled = assumed.gears(bike, own, count)
        if filled is not None:
            gears = tuple(g if r is not None else f for g, r, f in zip_longest(gears, own, filled[0]))
            own = list(filled[0])
            found.append(filled[1])
    whole = tuple(ratio for ratio in own if ratio is not None)
    return Gearbox(primary, gears, whole if whole and len(whole) == len(own) else None, tuple(found))


def gear_ratios(bike: Bike) -> tuple[float, ...] | None:
    """The gearbox ratios, first gear first; None while there is none or any gear is unfinished."""
    return gearbox(bike).ratios


def final_ratio(front: int | None, rear: int | None) -> float | None:
    """Rear over front teeth; None while one is missing."""
    return None if front is None or rear is None else rear / front


def box_ratios(bike: Bike) -> NDArray[np.float64] | None:
    """primary · gear of each gear, first gear first; None while any of it is missing."""
    box = gearbox(bike)
    return None if box.primary is None or box.ratios is None else box.primary * np.array(box.ratios)


@dataclass(frozen=True, slots=True)
class Rolling:
    """The rolling circumference at rest (m) and what it comes from.

    `by` is "measured", "size" (with a rolling factor that was entered) or "size, assumed factor". `size` is the
    marking and `factor` the rolling factor that it was worked out with, None where it is measured.
    """

    circumference: float
    by: Literal["measured", "size", "size, assumed factor"]
    size: str | None = None
    factor: float | None = None
    assumed: Assumed | None = None


def rolling(bike: Bike, size: str | None = None) -> Rolling | None:
    """How far the rear tyre rolls, or a tyre of another size; None while neither size nor circumference is known.

    What was measured belongs to the tyre in the profile.
    """
    measured = bike.tyre.rolling_circumference_mm
    if measured is not None and not other_tyre(bike, size):
        return Rolling(measured * MM, "measured")
    marking = size if size is not None else bike.tyre.size
    if marking is None:
        return None
    factor = assumed.known(bike, "tyre", "rolling_factor")
    value = tyre.rolling_circumference(tyre.free_diameter(parse_tyre_size(marking)), factor.value)
    by: Literal["size", "size, assumed factor"] = "size" if factor.assumed is None else "size, assumed factor"
    return Rolling(value, by, marking, factor.value, factor.assumed)


def other_tyre(bike: Bike, size: str | None) -> bool:
    """Whether a tyre is of another size than the profile's, however each is written; None is the profile's own."""
    if size is None:
        return False
    return bike.tyre.size is None or parse_tyre_size(size) != parse_tyre_size(bike.tyre.size)


def growth(bike: Bike) -> float:
    """Relative growth of the rear tyre's radius with the square of the speed (s²/m²); none is usual."""
    return assumed.known(bike, "tyre", "growth_per_mps2").value


def crown_radius(bike: Bike, size: str | None = None) -> Known:
    """Crown radius (mm) of the rear tyre, or of another size; as entered it belongs to the tyre in the profile.

    0 for an outfit with a sidecar, which stands on the middle of the tyre in every corner.
    """
    if bike.kind == "sidecar":
        return Known(0.0)
    if size is None and bike.tyre.crown_radius_mm is not None:
        return Known(bike.tyre.crown_radius_mm)
    marking = size or bike.tyre.size
    return assumed.crown_radius(parse_tyre_size(marking).width_mm if marking else 0.0)
