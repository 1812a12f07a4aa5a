"""Does a set go into this swingarm? Axle positions and link counts, and what is said of them.

The numbers are computed for a whole grid at once; the words are made for one set, from the same numbers.
Lengths are metres, angles radians; the texts give millimetres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.units import DEGREE, MM
from gearplan.drive import chainrun, sprocket
from gearplan.drive.sprocket import Values
from gearplan.plan.findings import Finding, missing

_LENGTH = "chain length"


@dataclass(frozen=True, slots=True)
class Swingarm:
    """Where the axle can go, in SI, as far as it has been entered."""

    forward: float
    up: float
    angle: float
    slack: float
    axle_in: float
    axle_out: float


@dataclass(frozen=True, slots=True)
class Fit:
    """Where the sets of a grid put the axle; arrays of one shape, NaN where no position exists.

    `axle` is the axle position for the links at hand at the slack asked for, `shortest` and `longest` the
    (fractional) link counts that the two ends of the adjuster allow at that slack; `longest` is NaN where
    the sprockets would touch even with the axle fully out.
    """

    axle: NDArray[np.float64]
    shortest: NDArray[np.float64]
    longest: NDArray[np.float64]


def swingarm(bike: Bike) -> Swingarm | Finding:
    """The swingarm in SI, or the finding that names the fields still to be filled."""
    c = bike.chassis
    place, reach = _whole_pair(c.sprocket_from_pivot_mm), _whole_pair(c.axle_range_mm)
    angle, slack = c.swingarm_angle_deg, c.slack_mm
    if place is None or reach is None or angle is None or slack is None:
        wanted = (
            ("chassis.sprocket_from_pivot_mm", "the front sprocket's place", place),
            ("chassis.axle_range_mm", "the adjuster's range", reach),
            ("chassis.swingarm_angle_deg", "the swingarm's angle", angle),
            ("chassis.slack_mm", "the slack that the service data asks for", slack),
        )
        lacking = [(path, label) for path, label, value in wanted if value is None]
        return missing(_LENGTH, "Whether the chain fits", lacking)
    if reach[0] >= reach[1]:
        return Finding(
            "check",
            _LENGTH,
            f"Whether the chain fits cannot be computed: the adjuster's two ends are swapped or equal "
            f"({reach[0]:g} and {reach[1]:g} mm); the shorter distance comes first.",
            field="chassis.axle_range_mm",
        )
    return Swingarm(place[0] * MM, place[1] * MM, angle * DEGREE, slack * MM, reach[0] * MM, reach[1] * MM)


def fit(arm: Swingarm, front: Values, rear: Values, links: float | None, pitch: float) -> Fit:
    """Axle positions and link limits for every front × rear given (arrays that broadcast)."""
    z1, z2 = np.broadcast_arrays(np.asarray(front, float), np.asarray(rear, float))
    touching = sprocket.pitch_radius(z1, pitch) + sprocket.pitch_radius(z2, pitch)
    near, far = (
        np.asarray(chainrun.centre_distance(end, arm.angle, arm.forward, arm.up)) for end in (arm.axle_in, arm.axle_out)
    )
    far = np.where(far > touching, far, np.nan)
    shortest, longest = (
        np.asarray(chainrun.links_at_slack(centre, z1, z2, pitch, arm.slack))
        for centre in (np.maximum(near, touching), far)
    )
    axle = np.full(z1.shape, np.nan)
    if links is not None:
        axle = np.asarray(chainrun.axle_for_links(links, z1, z2, pitch, arm.slack, arm.angle, arm.forward, arm.up))
    return Fit(axle, shortest, longest)


def even_counts(shortest: float, longest: float) -> tuple[int, ...]:
    """The even link counts that the adjuster can take; empty if there is none."""
    return () if math.isnan(longest) else chainrun.even_links_between(shortest, longest)


def links_to_order(shortest: float, longest: float, at_hand: int | None) -> int | None:
    """The chain at hand if it fits, else the even count nearest to it that does (without one: the longest)."""
    return _nearest(even_counts(shortest, longest), at_hand)


def chain_finding(arm: Swingarm, axle: float, shortest: float, longest: float, links: int | None) -> Finding:
    """What is to be said of one set's chain length. Arguments as in `Fit`, for one set."""
    fitting = even_counts(shortest, longest)
    if math.isnan(longest):
        return Finding(
            "does not fit",
            _LENGTH,
            "The sprockets would touch each other anywhere in the adjuster's range: choose smaller ones.",
            source="geometry of the swingarm as entered",
        )
    would = _would_fit(fitting, shortest, longest)
    if links is None:
        lacking = missing(_LENGTH, "Whether the chain at hand fits", [("final_drive.links", "its links")])
        return Finding("check", _LENGTH, f"{lacking.text} {would}", field=lacking.field)
    reach = f"the adjuster reaches from {arm.axle_in / MM:.1f} to {arm.axle_out / MM:.1f} mm"
    source = "exact chain run at the slack asked for; adjuster's range as entered"
    if math.isnan(axle):
        return Finding(
            "does not fit",
            _LENGTH,
            f"{links} links do not even reach round these sprockets. {would}",
            links,
            _nearest(fitting, links),
            "links",
            source,
        )
    stands = f"pivot to axle would be {axle / MM:.1f} mm"
    if axle < arm.axle_in:
        text = f"{links} links are too short: {stands}, {reach}. {would}"
        return Finding("does not fit", _LENGTH, text, axle / MM, arm.axle_in / MM, "mm", source)
    if axle > arm.axle_out:
        text = f"{links} links are too long: {stands}, {reach}. {would}"
        return Finding("does not fit", _LENGTH, text, axle / MM, arm.axle_out / MM, "mm", source)
    if links % 2:
        text = f"{links} is an odd count: it closes only with an offset link, which weakens a chain. {would}"
        return Finding("does not fit", _LENGTH, text, links, _nearest(fitting, links), "links", source)
    left = arm.axle_out - axle
    return Finding(
        "fits",
        _LENGTH,
        f"{links} links fit: {stands.replace('would be', 'is')}, {reach}; {left / MM:.1f} mm left for wear.",
        axle / MM,
        arm.axle_out / MM,
        "mm",
        source,
    )


def _would_fit(fitting: tuple[int, ...], shortest: float, longest: float) -> str:
    if fitting:
        return f"{' or '.join(map(str, fitting))} links fit."
    return f"No even count fits: the adjuster takes {shortest:.2f} to {longest:.2f} links."


def _nearest(fitting: tuple[int, ...], links: int | None) -> int | None:
    return min(fitting, key=lambda count: -count if links is None else abs(count - links), default=None)


def _whole_pair(pair: tuple[float | None, float | None] | None) -> tuple[float, float] | None:
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    return (pair[0], pair[1])
