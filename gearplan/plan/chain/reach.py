"""How far the axle can go, and where it stands: by the swingarm's figures, or by what is left in the adjuster. SI.

Without the swingarm, positions are counted from the front sprocket's shaft: the axle stands where the chain on the
bike puts it, or where a tape says, and can go as far as the adjuster has left. Against the whole geometry that is off
by less than 0.05 mm, because the arm and the line from shaft to axle run nearly the same way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive.chain import chainrun
from gearplan.language import marked, tr
from gearplan.plan.chain.wear import WearLimit, wear_limit
from gearplan.plan.findings import Finding, missing
from gearplan.setup import doubt, wornchain
from gearplan.setup.doubt import Doubtful, Input

#: What findings are about that more than one module asks for.
LENGTH, TIGHTEST, UPPER_RUN = marked("chain length"), marked("tightest point"), marked("upper run")

#: As much of axle (m) as a tape measure and chains of one count may differ by; nearer than this to an end of the
#: adjuster is doubted. Common practice, no source.
TAPE = 3e-3
#: Where the fitted links are not known: half a chain's length over the centre distance.
_HALF_CHAIN = 1.4

_BY_SWINGARM = (
    "chassis.sprocket_from_pivot_mm",
    "chassis.swingarm_angle_deg",
    "chassis.axle_range_mm",
    "chassis.axle_now_mm",
)
_LEFT, _TAPE = "chassis.adjuster_left_mm", "chassis.centre_distance_mm"


@dataclass(frozen=True, slots=True)
class Reach:
    """Where the axle can go, as far as it has been entered; NaN for what has not been and may be missing.

    Positions (`now`, `axle_in`, `axle_out`) run along the arm from its pivot, or from the front sprocket's shaft
    where `basis` is "adjuster"; then the arm is level and has no travel. `slack` is that asked for; 0 where it is not
    entered, which shifts the axle before and after alike. `wear_limit` is the elongation at which the chain is worn
    out. `offset_link` says that an odd count closed by an offset link is meant. `travel` is the (compressed,
    extended) angle below horizontal, `boss` the radius of the boss or rubber round the pivot. `moves`, `to_front` and
    `to_rear` are how surely the axle's way and its distance to the ends are known, of a set that leaves it where it
    stands; None where that is not known.
    """

    basis: Literal["swingarm", "adjuster"]
    forward: float
    up: float
    angle: float
    slack: float
    now: float
    axle_in: float
    axle_out: float
    wear_limit: WearLimit
    travel: tuple[float, float] = (math.nan, math.nan)
    boss: float = math.nan
    offset_link: bool = False
    moves: Doubtful | None = None
    to_front: Doubtful | None = None
    to_rear: Doubtful | None = None

    @property
    def tightest_angle(self) -> float:
        """The angle within the travel at which the sprocket centres are farthest apart.

        That is where sprocket centre, pivot and axle lie in line, if the travel reaches so far; with the travel
        unknown it is taken to.
        """
        in_line = math.atan2(self.up, self.forward)
        low, high = self.travel
        return in_line if math.isnan(low) else min(max(in_line, low), high)

    @property
    def geometry_known(self) -> bool:
        """Whether travel, clearance and anti-squat can be told."""
        return self.basis == "swingarm"

    @property
    def doubt(self) -> float:
        """How far off (m) the distance to either end may be."""
        return max((end.half for end in (self.to_front, self.to_rear) if end is not None), default=0.0)

    @property
    def close(self) -> float:
        """Nearer (m) than this to an end of the adjuster is doubted."""
        return max(TAPE, self.doubt)


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the axle stands: the distance (m) of the sprockets' centres, and the field that says so."""

    centre: float
    field: str


def stand(bike: Bike) -> Stand | None:
    """Where the axle stands by the chain on the bike, or by a tape; None while neither is entered.

    A chain that was measured says it more exactly than a tape, a tape better than a chain that was not.
    """
    tape, by_chain = bike.chassis.centre_distance_mm, centre_by_chain(bike)
    measured = wornchain.elongation(bike).assumed is None
    if by_chain is not None and (measured or tape is None):
        return Stand(by_chain, wornchain.FIELD)
    return None if tape is None else Stand(tape * MM, _TAPE)


def centre_by_chain(bike: Bike) -> float | None:
    """Centre distance (m) at which the worn chain on the bike has the slack asked for; None where that is unknown.

    A chain longer than new by a share e has the slack of a new one at (1 + e) times the distance.
    """
    on, size = bike.final_drive, library.chain_sizes().get(bike.final_drive.chain or "")
    if size is None or on.front is None or on.rear is None or on.links is None:
        return None
    new = float(chainrun.centre_for_links(on.links, on.front, on.rear, size.pitch_mm * MM, slack_asked(bike)))
    return None if math.isnan(new) else new * (1 + wornchain.elongation(bike).value / 100)


@lru_cache(maxsize=64)
def reach(bike: Bike) -> Reach | Finding:
    """Where the axle can go, by the swingarm or else by the adjuster; or the finding that names what to enter."""
    found = _reach(bike)
    return found if isinstance(found, Finding) else _with_doubt(bike, found)


@lru_cache(maxsize=64)
def swingarm(bike: Bike) -> Reach | Finding:
    """The same by the swingarm's figures only, as the drawing, the travel and anti-squat need them."""
    found = reach(bike)
    return found if isinstance(found, Reach) and found.geometry_known else _swingarm(bike)


def _reach(bike: Bike) -> Reach | Finding:
    whole = _swingarm(bike)
    if not isinstance(whole, Finding):
        return whole
    by_adjuster = _adjuster(bike)
    # Swapped ends are told as such while nothing else answers.
    return whole if isinstance(by_adjuster, Finding) and not whole.aside else by_adjuster


def _swingarm(bike: Bike) -> Reach | Finding:
    c = bike.chassis
    place, ends = whole_pair(c.sprocket_from_pivot_mm), whole_pair(c.axle_range_mm)
    angle, slack = c.swingarm_angle_deg, c.slack_mm
    if place is None or ends is None or angle is None or slack is None:
        wanted = (
            ("chassis.sprocket_from_pivot_mm", tr("the front sprocket's place"), place),
            ("chassis.axle_range_mm", tr("the adjuster's range"), ends),
            ("chassis.swingarm_angle_deg", tr("the swingarm's angle"), angle),
            ("chassis.slack_mm", tr("the slack that the service data asks for"), slack),
        )
        lacking = [(path, label) for path, label, value in wanted if value is None]
        return missing(TIGHTEST, tr("Tightest point, clearance and anti-squat"), lacking, aside=True)
    if ends[0] >= ends[1]:
        return Finding(
            "check",
            LENGTH,
            tr(
                "Whether the chain fits cannot be computed: the adjuster's two ends are swapped or equal "
                "({front:g} and {rear:g} mm); the shorter distance comes first.",
                front=ends[0],
                rear=ends[1],
            ),
            field="chassis.axle_range_mm",
        )
    travel = whole_pair(c.swingarm_travel_deg)
    if travel is None or travel[0] >= travel[1]:
        travel = (math.nan, math.nan)
    place_si = (angle * DEGREE, place[0] * MM, place[1] * MM)
    return Reach(
        basis="swingarm",
        forward=place[0] * MM,
        up=place[1] * MM,
        angle=angle * DEGREE,
        slack=slack * MM,
        now=_now(bike, ends[0] * MM, place_si),
        axle_in=ends[0] * MM,
        axle_out=ends[1] * MM,
        wear_limit=wear_limit(bike),
        travel=(travel[0] * DEGREE, travel[1] * DEGREE),
        offset_link=bike.final_drive.offset_link == "yes",
        boss=math.nan if c.pivot_boss_radius_mm is None else c.pivot_boss_radius_mm * MM,
    )


def _now(bike: Bike, axle_in: float, place: tuple[float, float, float]) -> float:
    """Where the axle stands along the arm (m): as entered, else by what is left, by chain or tape; NaN if unknown."""
    c = bike.chassis
    if c.axle_now_mm is not None:
        return c.axle_now_mm * MM
    if c.adjuster_left_mm is not None and c.adjuster_left_mm[0] is not None:
        return axle_in + c.adjuster_left_mm[0] * MM
    stands = stand(bike)
    return math.nan if stands is None else float(chainrun.axle_at_centre_distance(stands.centre, *place))


def left_in_adjuster(bike: Bike) -> tuple[float, float] | None:
    """What is left in the adjuster (forward, rearward; m) as read, else between its ends and where the axle stands."""
    c = bike.chassis
    left, ends = whole_pair(c.adjuster_left_mm), whole_pair(c.axle_range_mm)
    if left is None and ends is not None and c.axle_now_mm is not None:
        left = (c.axle_now_mm - ends[0], ends[1] - c.axle_now_mm)
    return None if left is None or left[0] + left[1] <= 0 else (left[0] * MM, left[1] * MM)


def _adjuster(bike: Bike) -> Reach | Finding:
    left, stands = left_in_adjuster(bike), stand(bike)
    if left is None or stands is None:
        on = bike.final_drive
        wanted = (
            (_LEFT, tr("what is left in the adjuster"), left),
            ("final_drive.front", tr("the fitted front sprocket"), stands or on.front),
            ("final_drive.rear", tr("the fitted rear sprocket"), stands or on.rear),
            ("final_drive.links", tr("the fitted chain's links"), stands or on.links),
        )
        lacking = [(path, label) for path, label, value in wanted if value is None]
        if left is None and whole_pair(bike.chassis.adjuster_left_mm) is not None:
            lacking[0] = (_LEFT, tr("what is left in the adjuster, which is not 0 mm both ways"))
        if not lacking:
            lacking = [(_TAPE, tr("the distance from sprocket shaft to axle: the fitted links do not reach round"))]
        return missing(LENGTH, tr("Whether the chain fits"), lacking)
    return Reach(
        basis="adjuster",
        forward=0.0,
        up=0.0,
        angle=0.0,
        slack=slack_asked(bike),
        now=stands.centre,
        axle_in=stands.centre - left[0],
        axle_out=stands.centre + left[1],
        wear_limit=wear_limit(bike),
        offset_link=bike.final_drive.offset_link == "yes",
    )


def _with_doubt(bike: Bike, found: Reach) -> Reach:
    """The reach with how surely it is known."""
    place = (found.angle, found.forward, found.up)
    middle = found.now if not math.isnan(found.now) else (found.axle_in + found.axle_out) / 2
    centre = float(chainrun.centre_distance(middle, *place))
    on, size = bike.final_drive, library.chain_sizes().get(bike.final_drive.chain or "")
    half_chain = on.links * size.pitch_mm * MM / 2 if on.links and size is not None else _HALF_CHAIN * centre

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        other = found if one is None else _reach_by(doubt.varied(bike, one, to), found.basis)
        if other is None:
            return {}
        longer = (to - 1) * half_chain if one is not None and one.field == doubt.NEW_CHAIN else 0.0
        at = chainrun.axle_at_centre_distance(centre + longer, other.angle, other.forward, other.up)
        axle = float(at)
        every = {"moves": axle - other.now, "to_front": axle - other.axle_in, "to_rear": other.axle_out - axle}
        return {key: None if math.isnan(value) else value for key, value in every.items()}

    carried = doubt.carried(results, doubt.inputs(bike, (*_rests_on(bike, found), doubt.NEW_CHAIN)))
    moves = carried.get("moves")
    if moves is not None:
        moves = _with_chain(bike, found, moves)
    return replace(found, moves=moves, to_front=carried.get("to_front"), to_rear=carried.get("to_rear"))


def _with_chain(bike: Bike, found: Reach, moves: Doubtful) -> Doubtful:
    """The axle's way, known by the axle that was read, and known by a chain that was measured as well.

    Two readings of one thing that agree leave less doubt than either: their mean is weighted by the inverse squares
    of their doubts. The new chain's own length is in both.
    """
    by_chain, worn = centre_by_chain(bike), doubt.inputs(bike, [wornchain.FIELD])
    if not found.geometry_known or by_chain is None or not worn or not worn[0].measured:
        return moves
    place = (found.angle, found.forward, found.up)
    there, longer = (float(chainrun.axle_at_centre_distance(c, *place)) for c in (by_chain, by_chain * 1.001))
    # One per mille is a tenth of a percent of elongation.
    other = (longer - there) * 10 * (worn[0].high - worn[0].value)
    own = math.hypot(*(max(down, up) for field, down, up in moves.parts if field != doubt.NEW_CHAIN))
    off = found.now - there
    if math.isnan(off) or not own > 0 or not other > 0 or abs(off) > math.hypot(own, other):
        return moves
    mean, left = off * own**2 / (own**2 + other**2), own * other / math.hypot(own, other)
    new = [(down, up) for field, down, up in moves.parts if field == doubt.NEW_CHAIN]
    low = mean - math.hypot(left, *(down for down, _ in new))
    high = mean + math.hypot(left, *(up for _, up in new))
    return Doubtful(moves.value, moves.value + min(low, 0.0), moves.value + max(high, 0.0), moves.parts)


def _reach_by(bike: Bike, basis: str) -> Reach | None:
    found = _swingarm(bike) if basis == "swingarm" else _adjuster(bike)
    return None if isinstance(found, Finding) else found


def _rests_on(bike: Bike, found: Reach) -> tuple[str, ...]:
    """The fields that the reach was worked out from."""
    c, stands = bike.chassis, stand(bike)
    by_stand = () if stands is None else (stands.field,)
    if found.basis == "adjuster":
        read = c.adjuster_left_mm is not None
        return (*by_stand, *((_LEFT,) if read else ("chassis.axle_range_mm", "chassis.axle_now_mm")))
    if c.axle_now_mm is not None:
        return _BY_SWINGARM
    return (*_BY_SWINGARM, *((_LEFT,) if c.adjuster_left_mm is not None else by_stand))


def slack_asked(bike: Bike) -> float:
    """The slack (m) that the service data asks for; 0 while it is not entered."""
    return 0.0 if bike.chassis.slack_mm is None else bike.chassis.slack_mm * MM


def whole_pair(pair: tuple[float | None, float | None] | None) -> tuple[float, float] | None:
    """A pair of which both parts are entered, else None."""
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    return (pair[0], pair[1])
