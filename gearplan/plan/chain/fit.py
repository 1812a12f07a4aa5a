"""Does a set go into this motorcycle? Axle positions and link counts, for a whole grid at once.

What is said of one set, from the same numbers, is in `fitwords`. Lengths are metres, angles radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.library import ChainSize
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive import sprocket
from gearplan.drive.chain import chainrun, squat
from gearplan.drive.sprocket import Values
from gearplan.plan.chain.reach import Reach

#: Advised: Mott, Machine Elements in Mechanical Design, example 7-3.
LEAST_WRAP_DEG = 120.0
#: Nearer than this the run is said to pass close: common practice, no source.
LEAST_CLEARANCE = 2e-3


class Placed(NamedTuple):
    """One set's numbers; lengths in m, angles in rad, NaN where there is none.

    `axle` is the axle position for the links at hand at the slack asked for, `shortest` and `longest` the
    (fractional) link counts that the two ends of the adjuster allow at that slack; `longest` is NaN where the
    sprockets would touch even with the axle fully out. Counts from `roomy_from` to `roomy_to` stand clear of both ends
    and leave room for the chain's wear. `slack_needed` is the slack on the stand below which the
    chain would be tight somewhere in the travel. `upper` and `lower` are the clearances of the runs' plates from
    the boss, `wear_left` is the elongation that the adjuster can still take up, a fraction.
    """

    axle: float
    shortest: float
    longest: float
    roomy_from: float
    roomy_to: float
    slack_needed: float
    wrap_front: float
    upper: float
    lower: float
    wear_left: float


@dataclass(frozen=True, slots=True)
class Fit:
    """The numbers of `Placed` for the sets of a grid, as arrays of one shape."""

    axle: NDArray[np.float64]
    shortest: NDArray[np.float64]
    longest: NDArray[np.float64]
    roomy_from: NDArray[np.float64]
    roomy_to: NDArray[np.float64]
    slack_needed: NDArray[np.float64]
    wrap_front: NDArray[np.float64]
    upper: NDArray[np.float64]
    lower: NDArray[np.float64]
    wear_left: NDArray[np.float64]

    def rows(self) -> list[list[Placed]]:
        """The sets one by one, [row][column] of a two-dimensional grid."""
        whole = np.stack([np.broadcast_to(getattr(self, f.name), self.axle.shape) for f in fields(self)], axis=-1)
        return [[Placed(*cell) for cell in row] for row in whole.tolist()]

    def only(self) -> Placed:
        """The numbers of a single set."""
        return Placed(*(float(getattr(self, f.name)) for f in fields(self)))


def fit(arm: Reach, front: Values, rear: Values, links: Values | None, size: ChainSize) -> Fit:
    """Where every front × rear given (arrays that broadcast; `links` may too) puts the axle, and what follows."""
    pitch, plate = size.pitch_mm * MM, (size.plate_height_mm or 0.0) * MM
    z1, z2 = np.broadcast_arrays(np.asarray(front, float), np.asarray(rear, float))
    touching = sprocket.pitch_radius(z1, pitch) + sprocket.pitch_radius(z2, pitch)
    ends = np.array([arm.axle_in, arm.axle_out, arm.axle_in + arm.close, arm.axle_out - arm.close])
    centres = chainrun.centre_distance(ends, arm.angle, arm.forward, arm.up).reshape(4, *[1] * z1.ndim)
    # Between sprockets that would touch there is no chain, whatever the adjuster does.
    shortest, longest, roomy_from, before_end = chainrun.links_at_slack(
        np.maximum(centres, touching), z1, z2, pitch, arm.slack
    )
    longest = np.where(centres[1] > touching, longest, np.nan)
    roomy_to = np.minimum(before_end, longest / (1 + arm.wear_limit.elongation))
    none = np.full(z1.shape, np.nan)
    if links is None:
        return Fit(none, shortest, longest, roomy_from, roomy_to, none, none, none, none, none)
    axle = chainrun.axle_for_links(links, z1, z2, pitch, arm.slack, arm.angle, arm.forward, arm.up)
    upper, lower = squat.runs(axle, arm.angle, arm.forward, arm.up, z1, z2, pitch)
    centre = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    return Fit(
        axle=axle,
        shortest=shortest,
        longest=longest,
        roomy_from=roomy_from,
        roomy_to=roomy_to,
        slack_needed=slack_needed(arm, axle, z1, z2, pitch),
        wrap_front=chainrun.wrap_angles(centre, z1, z2, pitch)[0],
        upper=np.asarray(squat.distance_to_pivot(upper) - arm.boss - plate / 2),
        lower=np.asarray(-squat.distance_to_pivot(lower) - arm.boss - plate / 2),
        wear_left=np.asarray(longest / links - 1),
    )


def slack_needed(arm: Reach, axle: Values, front: Values, rear: Values, pitch: float) -> NDArray[np.float64]:
    """Slack as the bike stands, below which the chain would be tight at the tightest point of the travel."""
    here = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    farthest = chainrun.centre_distance(axle, arm.tightest_angle, arm.forward, arm.up)
    spare = pitch * (chainrun.links_taut(farthest, front, rear, pitch) - chainrun.links_taut(here, front, rear, pitch))
    return chainrun.slack_for_excess(chainrun.tangent_length(here, front, rear, pitch), np.maximum(spare, 0))


def levels(arm: Reach, placed: Fit, links: NDArray[np.int_]) -> NDArray[np.int_]:
    """What `fitwords.findings` says of many sets with known counts at once: 0 fits, 1 check, 2 does not fit."""
    with np.errstate(invalid="ignore"):
        inside = (placed.axle >= arm.axle_in) & (placed.axle <= arm.axle_out)
        odd = links % 2 == 1
        closes = inside & (arm.offset_link | ~odd)
        doubted = placed.wrap_front / DEGREE < LEAST_WRAP_DEG
        doubted |= inside & (to_end(arm, placed.axle) < arm.close)
        doubted |= (placed.upper < LEAST_CLEARANCE) | (placed.lower < LEAST_CLEARANCE)
        if not math.isnan(arm.travel[0]):
            doubted |= ~(placed.slack_needed / MM <= arm.slack / MM)
        if arm.wear_limit.own:
            doubted |= inside & ~odd & (100 * placed.wear_left < 100 * arm.wear_limit.elongation)
        refused = ~closes | (placed.upper < 0) | (placed.lower < 0)
    return np.where(refused, 2, np.where(doubted | odd, 1, 0))


def moved(arm: Reach, axle: Values) -> Any:
    """How far an axle position is behind where the axle stands now, level share (m); 0 with that not known."""
    return 0.0 if math.isnan(arm.now) else (axle - arm.now) * math.cos(arm.angle)


def even_counts(shortest: float, longest: float) -> tuple[int, ...]:
    """The even link counts that the adjuster can take; empty if there is none."""
    return () if math.isnan(longest) else chainrun.even_links_between(shortest, longest)


def links_to_order(placed: Placed, at_hand: int | None) -> int | None:
    """The chain at hand if it fits, else the even count nearest to it that does (without one: the longest).

    A count that stands clear of the adjuster's ends and leaves room for wear goes before one that does not.
    """
    fitting = even_counts(placed.shortest, placed.longest)
    if at_hand in fitting:
        return at_hand
    return nearest(even_counts(placed.roomy_from, placed.roomy_to) or fitting, at_hand)


def to_end(arm: Reach, axle: Values) -> NDArray[np.float64]:
    """How far (m) an axle position is from the nearer end of the adjuster; negative outside."""
    return np.asarray(np.minimum(axle - arm.axle_in, arm.axle_out - axle))


def nearest(fitting: tuple[int, ...], links: int | None) -> int | None:
    """The count that is nearest to the one at hand, without one the longest; None of none."""
    return min(fitting, key=lambda count: -count if links is None else abs(count - links), default=None)
