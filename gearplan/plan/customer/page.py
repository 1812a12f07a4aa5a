"""What the customer's page says: fitted against proposed in at most six sentences and three pictures.

Every sentence carries the figures in it with the exact values behind them, which are those of `numbers`. How each
is rounded, and whether it is "about" or "roughly" so, follows from how sure it is; what is said of the fitted set
never changes with the proposed one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.text.units import RPM
from gearplan.drive import speedometer
from gearplan.language import tr
from gearplan.plan.choices.wishes import TOP_GEAR
from gearplan.plan.customer.fitwords import fit_sentence
from gearplan.plan.customer.pair import Asked, Pair, pair_of, top_doubt
from gearplan.plan.customer.pictures import Picture, engine_picture, pull_picture, top_picture
from gearplan.plan.customer.words import (
    Sentence,
    bought_sentence,
    engine_sentence,
    lower_gear_sentence,
    pull_sentence,
    speedometer_sentence,
    top_sentence,
)
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding, Level
from gearplan.plan.pull.pull import pull
from gearplan.plan.set.compare import engine_speeds
from gearplan.plan.set.doubts import judged, rolling_share, speed_share, speedometer_share
from gearplan.plan.set.speedometer import rule_speed, speedometer_factor
from gearplan.plan.words import CUSTOMER_CAUTIONS, Speed
from gearplan.setup.assumed import assumptions_text, of_kind

__all__ = ["Asked", "Customer", "Picture", "customer", "usual_cruise"]


@dataclass(frozen=True, slots=True)
class Customer:
    """The whole page, the largest change first. `level` is the proposed set's verdict.

    `lacking` says what is missing for sentences that could not be made, `field` what to fill.
    """

    bike: str
    fitted: DriveSet
    proposed: DriveSet
    level: Level
    sentences: tuple[Sentence, ...]
    pictures: tuple[Picture, Picture, Picture]
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]
    lacking: tuple[str, ...] = ()
    field: str = ""

    @property
    def heads(self) -> tuple[tuple[Sentence, Picture | None], ...]:
        """What has a figure, each with its picture, or with none where nothing changes."""
        pictures = {picture.kind: picture for picture in self.pictures}
        found = [one for one in self.sentences if one.about in pictures]
        return tuple((one, pictures[one.about] if _shows(one, pictures[one.about]) else None) for one in found)

    @property
    def amiss(self) -> tuple[str, ...]:
        """What has to be seen to first; nothing of a set that does not fit, which its own sentence says."""
        found = [one for one in self.sentences if one.amiss and self.level != "does not fit"]
        return tuple(one.beside if one.about == "fit" else one.short for one in found)

    def about(self, what: str) -> Sentence | None:
        """The sentence about something, None where there is none."""
        return next((one for one in self.sentences if one.about == what), None)


def _shows(sentence: Sentence, picture: Picture) -> bool:
    return sentence.change > 0 and None not in (picture.before, picture.after)


def customer(bike: Bike, proposed: DriveSet, asked: Asked, stock: Stock | None = None) -> Customer:
    """The page for one proposed set. Speeds are said in the unit in which the cruising speed was named."""
    pair = pair_of(bike, proposed)
    needed = ("ratio", "speed", "rolling circumference")
    lacking = [] if pair.lacking is None else [pair.lacking]
    lacking += [f for f in pair.then.findings if f.about in needed and f.level != "fits" and f.field]
    result = judged(bike, pair.then)
    fits, refused = fit_sentence(result), result.verdict == "does not fit"
    changes = [one for one in (_engine(pair, asked), _pulling(pair, asked), _top(pair, asked)) if one is not None]
    told = (
        fits if refused else None,
        *sorted(changes, key=lambda one: -one.change),
        _speedometer(pair, asked),
        # Nobody buys what does not go in.
        None if refused else bought_sentence(pair.on.set, proposed, stock),
        None if refused else fits,
    )
    return Customer(
        bike=bike.name or tr("Unnamed bike"),
        fitted=fitted(bike),
        proposed=proposed,
        level=result.verdict,
        sentences=tuple(sentence for sentence in told if sentence is not None),
        pictures=(pull_picture(pair, asked), engine_picture(pair, asked), top_picture(pair, asked)),
        cautions=CUSTOMER_CAUTIONS,
        assumptions=_assumptions(pair),
        lacking=tuple(dict.fromkeys(f.text for f in lacking)),
        field=lacking[0].field if lacking else "",
    )


def _pulling(pair: Pair, asked: Asked) -> Sentence | None:
    gear = pair.gear(asked.pull_gear)
    if gear is None or not pair.changed:
        return None
    before, after = pair.forces(asked)
    if before is not None and after is not None:
        doubt = pair.force_doubt(asked)
        return pull_sentence(after / before - 1, doubt, asked.pull_at, gear + 1, asked.pull_gear == TOP_GEAR)
    turns = _turns(pair)
    if pair.then_pull is not None or turns is None:
        return None
    # Without a torque curve: at the same engine speed the pull goes with the ratio.
    return pull_sentence(turns - 1, _doubt_of_change(pair), None, gear + 1, asked.pull_gear == TOP_GEAR)


def _turns(pair: Pair) -> float | None:
    """Engine speed proposed over fitted at any road speed."""
    one, other = (engine_speeds(r, 1.0) for r in (pair.on, pair.then))
    return None if one is None or other is None else other[-1] / one[-1]


def _doubt_of_change(pair: Pair) -> float:
    """Doubt of a change of ratio: none with the same tyre, else that of both circumferences."""
    if pair.on.set.tyre == pair.then.set.tyre:
        return 0.0
    return math.hypot(*(rolling_share(pair.bike, r.set.tyre) for r in (pair.on, pair.then)))


def _engine(pair: Pair, asked: Asked) -> Sentence | None:
    speeds = engine_speeds(pair.then, asked.cruise.si)
    if not speeds:
        return None
    on, then = pair.cruising(asked.cruise.si)
    before = pair.engine_now(asked.cruise.si) if pair.changed else None
    after = speeds[-1] / RPM
    limiter = pair.bike.engine.end_rpm
    doubt = speed_share(pair.bike, pair.then.set.tyre, asked.cruise.si)
    beyond = ""
    if limiter is not None and after > limiter:
        beyond = tr("the engine's limiter comes first")
    elif then is None:
        beyond = tr("the air holds it back")
    elif not then.last:
        return lower_gear_sentence(before, then.rpm, doubt, asked.cruise, then.gear + 1)
    now_gear = None if on is None or on.last else on.gear + 1
    return engine_sentence(before, after, doubt, asked.cruise, beyond, now_gear)


def _top(pair: Pair, asked: Asked) -> Sentence | None:
    if pair.then_pull is None or pair.then_pull.top is None:
        return None
    top, unit = pair.then_pull.top, asked.cruise.unit
    last = top.gear == len(pair.then_pull.machine.overall) - 1
    before = pair.top_now(unit) if pair.changed else None
    return top_sentence(before, top, top_doubt(pair.bike, pair.then.set), unit, last=last)


def _speedometer(pair: Pair, asked: Asked) -> Sentence | None:
    now, then = (speedometer_factor(pair.bike, r.set) for r in (pair.on, pair.then))
    if then is None:
        return None
    # Judged at the speed of the finding beside it; said in the unit of whoever asks.
    at, unit = rule_speed(pair.bike), asked.cruise.unit
    least, most = (bound / at for bound in speedometer.allowed(at))
    true = Speed(float(max(round(at / Speed(1.0, unit).si), 1)), unit)
    share = speedometer_share(pair.bike, pair.then.set)
    return speedometer_sentence(now, then, true, least, most, share)


def usual_cruise(bike: Bike, unit: str) -> Speed:
    """A cruising speed to begin with: 120 km/h or 75 mph, less where the motorcycle is not made for it."""
    usual, factor = (75.0, Speed(1.0, "mph").si) if unit == "mph" else (120.0, Speed(1.0).si)
    known = pull(bike, fitted(bike))
    if isinstance(known, Finding) or known.top is None:
        return Speed(usual, unit)
    return Speed(max(min(usual, 5.0 * math.floor(0.8 * known.top.speed / factor / 5)), 5.0), unit)


def _assumptions(pair: Pair) -> tuple[str, ...]:
    told = []
    rolls = {
        "measured": tr("The rear tyre's rolling circumference was measured."),
        "size": tr("The rear tyre's rolling circumference follows from its size: measure it to be sure."),
        "size, assumed factor": tr("The rear tyre's rolling circumference is assumed from its size."),
    }
    if pair.then.rolls_by:
        told.append(rolls[pair.then.rolls_by])
    if pair.then_pull is not None and pair.then_pull.assumed:
        told.append(tr("Assumed: {assumptions_text}.", assumptions_text=assumptions_text(pair.then_pull.assumed)))
    elif pair.then_pull is None and (kind := of_kind(pair.then.assumed)):
        told.append(tr("Assumed: {assumptions_text}.", assumptions_text=assumptions_text(kind)))
    if pair.then_pull is not None:
        mass, air = pair.then_pull.machine.mass, pair.then_pull.road.density
        told.append(
            tr(
                "Pull and top speed: level road, no wind, {mass:.0f} kg in all, air of {air:.2f} kg/m³.",
                mass=mass,
                air=air,
            )
        )
    return tuple(told)
