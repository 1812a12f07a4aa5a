"""What a photograph tells, how surely, and what it can't tell and why."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from gearplan.bike.text import written
from gearplan.language import tr
from gearplan.photo.camera import Floats
from gearplan.photo.fit import Fit, fit
from gearplan.photo.miscount import Miscount, miscount
from gearplan.photo.model import AT, CLICK
from gearplan.photo.points import Point, Sight, of
from gearplan.photo.start import FRONT_PINS, REAR_PINS

Quantity = Literal["shaft forward", "shaft up", "pivot to axle", "angle", "wheelbase"]

#: Each quantity, and the standard doubt (m, rad) beyond which it is told no more: it would only mislead.
_QUANTITIES: dict[Quantity, float] = {
    "shaft forward": 0.012,
    "shaft up": 0.012,
    "pivot to axle": 0.025,
    "angle": 0.035,
    "wheelbase": 0.06,
}
#: Points that miss by more than the click explains widen every doubt; so far off (mean square over that of the
#: clicks) they contradict each other, and nothing is told.
_CONTRADICTS = 9.0
#: A point is named that misses by so many clicks' doubts.
_FAR_OFF = 4.0
#: The wheel's radius by the chain and by its tyre differ by no more than this share.
_TYRE = 0.12
_STEP = 1e-6
#: Points of a group nearer than this (px) are one.
_ONE_SPOT = 3.0


@dataclass(frozen=True, slots=True)
class Value:
    """A quantity (m, rad) and its standard doubt; None where it is not told. `why` says why not, or what to mind."""

    quantity: Quantity
    value: float | None
    doubt: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """All that a photograph tells. `misses` are px, of every point that took part.

    `contradiction` says in words what cannot be true together: then no value is told. `miscount` is a numbering of the
    pins that would fit better. `notes` are what to mind or to better.
    """

    values: tuple[Value, ...]
    misses: tuple[tuple[Point, float], ...] = ()
    contradiction: str = ""
    miscount: Miscount | None = None
    notes: tuple[str, ...] = ()


def tell(points: tuple[Point, ...], sight: Sight) -> Told:
    """Everything that the points tell; pure."""
    if twice := _on_one_spot(points):
        return _refused(twice)
    found = fit(points, sight)
    if found is None:
        return Told(tuple(Value(q, None, why=_too_few(points)) for q in _QUANTITIES))
    off = np.hypot(*found.misses.T)
    misses = tuple(zip(found.model.points, off.tolist(), strict=True))
    excess = found.squares / max(found.model.freedom, 1)
    other = miscount(points, sight, found)
    contradiction = _contradiction(found, excess, misses) if other is None else f"{other.text}."
    if contradiction:
        return _refused(contradiction, misses, other)
    middle, spread = _mixed(found)
    spread = spread * max(excess, 1.0)
    values = tuple(
        _value(points, quantity, float(middle[i]), float(np.sqrt(spread[i, i])))
        for i, quantity in enumerate(_QUANTITIES)
    )
    return Told(values, misses, "", None, _notes(points, misses, sight, found))


def _refused(contradiction: str, misses: tuple[tuple[Point, float], ...] = (), other: Miscount | None = None) -> Told:
    values = tuple(Value(q, None, why=contradiction) for q in _QUANTITIES)
    return Told(values, misses, contradiction, other)


def _on_one_spot(points: tuple[Point, ...]) -> str:
    """Which two points of a group cannot be two; empty if none."""
    for a, b in combinations(points, 2):
        if a.group == b.group and math.hypot(a.x - b.x, a.y - b.y) < _ONE_SPOT:
            return tr("{name} and {name2} lie on one spot: take one of them away.", name=a.name, name2=b.name)
    return ""


def _mixed(found: Fit) -> tuple[Floats, Floats]:
    """The quantities and their covariance over all possible minima, each as likely as its weight."""
    each, spreads = [], []
    for unknowns, covariance in zip(found.minima, found.covariances, strict=True):
        steps = np.eye(len(unknowns)) * _STEP
        slopes = (_quantities(unknowns + steps) - _quantities(unknowns - steps)).T / (2 * _STEP)
        each.append(_quantities(unknowns[None])[0])
        spreads.append(slopes @ covariance @ slopes.T)
    weights = found.weights[:, None]
    middle = (weights * each).sum(0)
    apart = np.array(each) - middle
    between = np.einsum("ni,nj->nij", apart, apart)
    return middle, (found.weights[:, None, None] * (np.array(spreads) + between)).sum(0)


def _quantities(unknowns: Floats) -> Floats:
    """In the order of `_QUANTITIES`, of (n, unknowns)."""
    at = {name: unknowns[:, AT[name]] for name in ("front_x", "front_y", "pivot_x", "pivot_y", "wheelbase")}
    x, y = at["pivot_x"], at["pivot_y"]
    return np.stack([at["front_x"] - x, at["front_y"] - y, np.hypot(x, y), np.arctan2(y, x), at["wheelbase"]], axis=1)


def _value(points: tuple[Point, ...], quantity: Quantity, value: float, doubt: float) -> Value:
    if why := _why_not(points, quantity):
        return Value(quantity, None, why=why)
    if doubt > _QUANTITIES[quantity]:
        more = tr("points on both rims' edges") if not of(points, "rim rear") else tr("more pins, farther apart,")
        return Value(quantity, None, why=tr("Known too vaguely from these points; {more} would help.", more=more))
    level = of(points, "ground rear") and of(points, "ground front")
    if not level and quantity in ("shaft forward", "shaft up", "angle"):
        return Value(
            quantity, value, doubt, tr("With the camera taken as level: point at the ground under both wheels.")
        )
    if quantity == "angle":
        return Value(
            quantity, value, doubt, tr("As the motorcycle stood in the picture; the field is meant with the rider on.")
        )
    return Value(quantity, value, doubt)


def _why_not(points: tuple[Point, ...], quantity: Quantity) -> str:
    """What is missing for a quantity; empty if nothing is."""
    if quantity == "wheelbase":
        seen = of(points, "ground front") or len(of(points, "rim front")) >= 3
        return "" if seen else tr("Needs the ground under the front wheel, or three points on its rim's edge.")
    if not of(points, "pivot"):
        return tr("Needs the pivot.")
    if quantity in ("shaft forward", "shaft up") and len(of(points, "front")) < FRONT_PINS:
        return tr("Needs two pins on the front sprocket; with none in sight, measure the shaft's place.")
    return ""


def _too_few(points: tuple[Point, ...]) -> str:
    if (more := REAR_PINS - len(of(points, "rear"))) > 0:
        return tr("Needs {counted} on the rear sprocket.", counted=written.counted(more, "more pin", "more pins"))
    return tr("Needs a point farther forward: the pivot, or pins of the upper run.")


def _contradiction(found: Fit, excess: float, misses: tuple[tuple[Point, float], ...]) -> str:
    if excess > _CONTRADICTS:
        worst, off = max(misses, key=lambda one: one[1])
        return (
            f"These points contradict each other by up to {off:.0f} px, most of all: {worst.name}. "
            "Check the points, the pins' numbers, the teeth of both sprockets and the chain size."
        )
    wheel, own = found.model.sight.wheel, float(found.minima[0, AT["ground"]])
    doubt = float(np.sqrt(found.covariances[0, AT["ground"], AT["ground"]]))
    seen = any(p.group == "ground rear" for p in found.model.points)
    if wheel is not None and seen and abs(own - wheel) > _TYRE * wheel + 2 * doubt:
        return tr(
            "By the chain the rear wheel's radius is {own:.0f} mm, by its tyre {wheel:.0f} mm: two scales "
            "that contradict each other. Check chain size, pins' numbers, tyre and the point on the ground.",
            own=1000.0 * own,
            wheel=1000.0 * wheel,
        )
    return ""


def _notes(
    points: tuple[Point, ...], misses: tuple[tuple[Point, float], ...], sight: Sight, found: Fit
) -> tuple[str, ...]:
    """What to look at again, and what would make the answer surer."""
    told = []
    far = [p.name for p, off in misses if off > _FAR_OFF * CLICK and not p.group.startswith("ground")]
    if far:
        told.append(tr("Look again at {listed}: far from where the others have it.", listed=written.listed(far)))
    if not of(points, "rim rear") or not of(points, "rim front"):
        told.append(tr("Points all round both rims' edges would tell how the camera was turned."))
    if found.model.start.scale < 1700:
        told.append(f"{found.model.start.scale / 1000:.1f} px a mm: let the motorcycle fill a larger picture.")
    if sight.focal is None:
        told.append(tr("The picture does not tell its focal length; one straight from the camera would."))
    told.append(tr("What is left in the adjuster is read with a ruler: a photograph is too vague for it."))
    return tuple(told)
