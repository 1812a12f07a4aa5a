"""What to measure next: the entries that would settle what is still open about a set, the most worthwhile first."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from gearplan.bike.measuring import measuring
from gearplan.bike.profile import Bike, entry, value, with_value
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import inside
from gearplan.language import tr
from gearplan.plan.chain.reach import LENGTH, TIGHTEST, UPPER_RUN, Reach, reach
from gearplan.plan.findings import Finding
from gearplan.plan.set.doubts import PULLS_ON, set_doubts, tyre_doubt
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.strength import DOUBTED_BELOW, REFUSED_BELOW, STRENGTH
from gearplan.setup import doubt, wornchain

_LEFT = "chassis.adjuster_left_mm"
#: A measurement that takes less than this share off a doubt is not worth the walk.
_LEAST_SHARE = 0.1
#: What is to be done, where the field's label does not say it.
_DO = {
    wornchain.FIELD: tr("Measure the old chain"),
    _LEFT: tr("Read what is left in the adjuster"),
    "tyre.rolling_circumference_mm": tr("Roll the rear wheel out"),
    "chassis.centre_distance_mm": tr("Hold a tape from the sprocket's shaft to the axle"),
    "chassis.wheelbase_mm": tr("Measure the wheelbase"),
    "final_drive.links": tr("Count the chain's links"),
    "final_drive.front": tr("Count the front sprocket's teeth"),
    "final_drive.rear": tr("Count the rear sprocket's teeth"),
    "tyre.size": tr("Read the tyre's size"),
    "load.bike_kg": tr("Weigh the motorcycle"),
    "gearbox.primary": tr("Enter the primary ratio"),
    "gearbox.gears": tr("Enter the gears"),
    "engine.redline_rpm": tr("Enter the redline"),
    "engine.torque": tr("Enter the torque curve, or peak torque and peak power with their engine speeds"),
    "final_drive.chain": tr("Read the chain's size off a side plate"),
    "chassis.slack_mm": tr("Look up the slack that the service data asks for"),
    "chassis.sprocket_from_pivot_mm": tr("Measure from the swingarm's pivot to the sprocket's shaft"),
    "chassis.swingarm_angle_deg": tr("Measure the swingarm's angle"),
    "chassis.axle_range_mm": tr("Measure from the pivot to both ends of the adjuster"),
    "chassis.axle_now_mm": tr("Measure from the pivot to the axle"),
    "chassis.com_ahead_of_rear_axle_mm": tr("Weigh front and rear axle"),
    "chassis.com_height_mm": tr("Find the height of the centre of mass"),
}
#: What an open question is called, by what the finding is about.
_QUESTIONS = {
    LENGTH: tr("whether the chain fits"),
    "ratio": tr("the ratios"),
    "speed": tr("the speeds"),
    "rolling circumference": tr("the speeds"),
    STRENGTH: tr("whether the chain is strong enough"),
    "speedometer": tr("what the speedometer shows"),
    TIGHTEST: tr("tightest point, clearance and anti-squat"),
    UPPER_RUN: tr("whether the chain clears the pivot"),
    "wheelbase": tr("the wheelbase"),
    "anti-squat": tr("the anti-squat"),
    "front load": tr("the front wheel's share of the weight"),
}
#: Those that are clauses and no nouns.
_CLAUSES = (LENGTH, STRENGTH, UPPER_RUN)


@dataclass(frozen=True, slots=True)
class Next:
    """One measurement: its field ("section.key"), what it settles, and by which share (0 to 1) it shrinks the doubt.

    `settles` is what the finding is about, `question` the same in words, `how` what to hold where. `decides` says
    that with it measured the answer would be sure, or be there at all.
    """

    field: str
    settles: str
    question: str
    share: float
    how: str
    decides: bool

    @property
    def text(self) -> str:
        """One sentence: "Measure the old chain: decides whether 112 links fit."."""
        section, key = self.field.split(".")
        do = _DO.get(self.field) or tr("Enter {label}", label=inside(entry(section, key).label))
        given = {"do": do, "question": self.question}
        if self.share >= 1:
            return (
                tr("{do}: tells {question}.", **given) if self.decides else tr("{do}: needed for {question}.", **given)
            )
        if self.decides:
            return tr("{do}: decides {question}.", **given)
        if self.settles in _CLAUSES:
            return tr("{do}: takes {share:.0f} % off the doubt {question}.", **given, share=100 * self.share)
        return tr("{do}: takes {share:.0f} % off the doubt about {question}.", **given, share=100 * self.share)


@lru_cache(maxsize=64)
def measure_next(bike: Bike, result: SetResult) -> tuple[Next, ...]:
    """The measurements in the order in which they are worth making; each field once.

    First what the verdict cannot be given without, then what would make it sure, then what makes numbers closer, and
    last what only more numbers hang on.
    """
    closer = [*_fit(bike, result), *_strength(bike, result), *_speeds(bike, result)]
    found: dict[str, Next] = {}
    for one in (
        *_missing(result, aside=False),
        *(one for one in closer if one.decides),
        *(one for one in closer if not one.decides),
        *_missing(result, aside=True),
    ):
        found.setdefault(one.field, one)
    return tuple(found.values())


def _missing(result: SetResult, *, aside: bool) -> Iterator[Next]:
    """What cannot be computed yet, by the fields that are missing."""
    for finding in result.findings:
        if finding.sure or not finding.field or finding.aside != aside or finding.value is not None:
            continue
        for field in (finding.field, *finding.also):
            question = _question(result, finding.about)
            yield _next(field, finding.about, question, 1.0, decides=not finding.also)


def _fit(bike: Bike, result: SetResult) -> list[Next]:
    """What would make the axle's place more certain."""
    arm, run = reach(bike), result.run
    if not isinstance(arm, Reach) or arm.to_rear is None or run.moves is None:
        return []
    axle = arm.now + run.moves
    margin = min(abs(axle - arm.axle_in), abs(arm.axle_out - axle))
    fields = (wornchain.FIELD, *(doubt.entry_of(part[0]) for part in arm.to_rear.parts))
    found = _by_share(bike, fields, LENGTH, result, margin, _reach_doubt)
    # Where it surely fits, or surely does not, only the axle's place is in doubt.
    return [replace(one, question=tr("where the axle goes")) for one in found] if arm.doubt < margin else found


def _strength(bike: Bike, result: SetResult) -> list[Next]:
    """What would make it sure whether the chain is strong enough."""
    safety = result.strength.safety
    if safety is None or safety > 1.5 * DOUBTED_BELOW:
        return []
    limit = min((REFUSED_BELOW, DOUBTED_BELOW), key=lambda one: abs(safety - one))

    def towards_limit(other: Bike) -> float:
        found = set_doubts(other, evaluate(other, result.set)).get("safety")
        if found is None:
            return math.inf
        return found.value - found.low if found.value > limit else found.high - found.value

    return _by_share(bike, PULLS_ON, STRENGTH, result, abs(safety - limit), towards_limit)


def _speeds(bike: Bike, result: SetResult) -> Iterator[Next]:
    """A gearbox that is only typical, and a tyre that rolls by its size and an assumed factor."""
    speed, box = set_doubts(bike, result).get("speed_at_redline"), doubt.gearbox_shares(bike)
    if speed is not None and box:
        for place, _, _ in box:
            yield _next(place, "speed", _question(result, "speed"), speed.share([place]), decides=False)
        return
    rolls, field = set_doubts(bike, result).get("rolling_circumference"), "tyre.rolling_circumference_mm"
    if rolls is not None and result.rolls_by == "size, assumed factor" and not result.set.tyre:
        at = 0.0 if result.speed_at_redline is None else result.speed_at_redline[-1]
        rolled = with_value(bike, "tyre", "rolling_circumference_mm", rolls.value / MM)
        before, after = tyre_doubt(bike, None, at), tyre_doubt(rolled, None, at)
        if before is not None and after is not None:
            yield _next(field, "speed", _question(result, "speed"), 1 - after.half / before.half, decides=False)


def _by_share(
    bike: Bike,
    fields: Iterable[str],
    about: str,
    result: SetResult,
    margin: float,
    half: Callable[[Bike], float],
) -> list[Next]:
    """The fields whose measurement takes most off a doubt, the most first: computed as if they had been measured.

    `margin` is how far the number is from the nearest limit, `half` how far it may be off.
    """
    now, worth = half(bike), []
    for one in doubt.inputs(
        bike, dict.fromkeys(field for field in fields if field not in (doubt.NEW_CHAIN, doubt.TORQUE))
    ):
        section, key = one.entry.split(".")
        if one.measured or value(bike, section, key) is not None or not now > 0:
            continue
        after = half(with_value(bike, section, key, one.value))
        if 1 - after / now >= _LEAST_SHARE:
            decides = after < margin <= now
            worth.append(_next(one.entry, about, _question(result, about), 1 - after / now, decides=decides))
    return sorted(worth, key=lambda one: -one.share)


def _reach_doubt(bike: Bike) -> float:
    found = reach(bike)
    return math.inf if isinstance(found, Finding) else found.doubt


def _next(field: str, about: str, question: str, share: float, *, decides: bool) -> Next:
    told = measuring(*field.split("."))
    how = told.hold if told is not None else ""
    return Next(field, about, question, share, how, decides)


def _question(result: SetResult, about: str) -> str:
    if about == LENGTH and result.set.links is not None:
        return tr("whether {links} links fit", links=result.set.links)
    return _QUESTIONS.get(about) or tr(about)
