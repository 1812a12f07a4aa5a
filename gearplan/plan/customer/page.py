"""What the customer's page says: fitted against proposed in at most six sentences and three pictures.

Every sentence carries the figures in it with the exact values behind them, which are those of `numbers`. How each
is rounded, and whether it is "about" or "roughly" so, follows from how sure it is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.units import RPM
from gearplan.drive import speedometer
from gearplan.drive.motion.thrust import thrust
from gearplan.plan.choices.wishes import TOP_GEAR
from gearplan.plan.customer.words import (
    SAME_SPEED,
    Sentence,
    bought_sentence,
    engine_figure,
    engine_sentence,
    fit_sentence,
    lower_gear_sentence,
    pull_sentence,
    speedometer_sentence,
    top_figure,
    top_sentence,
)
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.doubts import top_speed_doubt
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import holding_gear
from gearplan.plan.set.compare import engine_speeds
from gearplan.plan.set.doubts import judged, rolling_share, speed_share, speedometer_share
from gearplan.plan.set.evaluate import SetResult, fitted_and
from gearplan.plan.set.speedometer import rule_speed, speedometer_factor
from gearplan.plan.words import CUSTOMER_CAUTIONS, Speed, alike
from gearplan.setup.assumed import assumptions_text, of_kind

#: A torque curve's points may stand so far off in engine speed: common practice, no source.
_CURVE_SHIFT = 0.03
_LEAST_PULL_DOUBT = 0.005


@dataclass(frozen=True, slots=True)
class Asked:
    """What the customer names: cruising speed, and the speed and gear in which the pull matters (None: top gear)."""

    cruise: Speed = Speed(120.0)
    pull_at: Speed = Speed(80.0)
    pull_gear: int = TOP_GEAR


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: a quantity of the fitted and the proposed set on a scale from 0 to `end`, in `unit`.

    `mark` is a limit on the scale (the redline), with its name; values are None where data lacks.
    """

    kind: str
    title: str
    unit: str
    end: float
    before: float | None
    after: float | None
    before_words: str
    after_words: str
    mark: float | None = None
    mark_name: str = ""


@dataclass(frozen=True, slots=True)
class Customer:
    """The whole page. `lacking` says what is missing for sentences that could not be made, `field` what to fill."""

    bike: str
    fitted: DriveSet
    proposed: DriveSet
    sentences: tuple[Sentence, ...]
    pictures: tuple[Picture, Picture, Picture]
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]
    lacking: tuple[str, ...] = ()
    field: str = ""


@dataclass(frozen=True, slots=True)
class _Pair:
    """Both sets with all that is known of them."""

    bike: Bike
    on: SetResult
    proposed: SetResult
    on_pull: Pull | None
    pull: Pull | None
    top_doubt: float

    @property
    def changed(self) -> bool:
        """Whether anything is different."""
        return self.on.set != self.proposed.set


def customer(bike: Bike, proposed: DriveSet, asked: Asked, stock: Stock | None = None) -> Customer:
    """The page for one proposed set. Speeds are said in the unit in which the cruising speed was named."""
    pulls = [pull(bike, s) for s in (fitted(bike), proposed)]
    on_pull, new_pull = (None if isinstance(p, Finding) else p for p in pulls)
    on, then = fitted_and(bike, proposed)
    top = top_speed_doubt(bike, proposed)
    pair = _Pair(bike, on, then, on_pull, new_pull, 0.0 if top is None else top.half)
    lacking = [p for p in pulls if isinstance(p, Finding)][-1:]
    needed = ("ratio", "speed", "rolling circumference")
    lacking += [f for f in pair.proposed.findings if f.about in needed and f.level != "fits" and f.field]
    told = (
        _pulling(pair, asked),
        _engine(pair, asked),
        _top(pair, asked),
        _speedometer(pair, asked),
        bought_sentence(pair.on.set, proposed, stock),
        fit_sentence(judged(bike, pair.proposed)),
    )
    return Customer(
        bike=bike.name or "Unnamed bike",
        fitted=fitted(bike),
        proposed=proposed,
        sentences=tuple(sentence for sentence in told if sentence is not None),
        pictures=(_pull_picture(pair, asked), _engine_picture(pair, asked), _top_picture(pair, asked)),
        cautions=CUSTOMER_CAUTIONS,
        assumptions=_assumptions(pair),
        lacking=tuple(dict.fromkeys(f.text for f in lacking)),
        field=lacking[0].field if lacking else "",
    )


def _gear(pair: _Pair, gear: int) -> int | None:
    """A gear from 0; None if the bike has none such."""
    count = len(pair.proposed.overall_ratio or ())
    if not 0 <= gear <= count or not count:
        return None
    return count - 1 if gear == TOP_GEAR else gear - 1


def _forces(pair: _Pair, asked: Asked) -> tuple[float, float, float, int] | None:
    """(thrust before, thrust after, doubt of their ratio, gear from 0); None where either has none."""
    gear = _gear(pair, asked.pull_gear)
    if pair.on_pull is None or pair.pull is None or gear is None:
        return None
    speed = asked.pull_at.si
    before, after = (float(thrust(p.machine, gear, speed)) for p in (pair.on_pull, pair.pull))
    if before <= 0 or after <= 0:
        return None
    doubt = _LEAST_PULL_DOUBT
    for shift in (1 - _CURVE_SHIFT, 1 + _CURVE_SHIFT):
        moved = [
            float(thrust(replace(p.machine, engine=tuple(n * shift for n in p.machine.engine)), gear, speed))
            for p in (pair.on_pull, pair.pull)
        ]
        if min(moved) > 0:
            doubt = max(doubt, abs(moved[1] / moved[0] - after / before))
    return before, after, doubt, gear


def _pulling(pair: _Pair, asked: Asked) -> Sentence | None:
    known = _forces(pair, asked)
    gear = _gear(pair, asked.pull_gear)
    if gear is None or not pair.changed:
        return None
    if known is not None:
        before, after, doubt, gear = known
        return pull_sentence(after / before - 1, doubt, asked.pull_at, gear + 1, asked.pull_gear == TOP_GEAR)
    turns = _turns(pair)
    if pair.pull is not None or turns is None:
        return None
    # Without a torque curve: at the same engine speed the pull goes with the ratio.
    return pull_sentence(turns - 1, _doubt_of_change(pair), None, gear + 1, asked.pull_gear == TOP_GEAR)


def _turns(pair: _Pair) -> float | None:
    """Engine speed proposed over fitted at any road speed."""
    one, other = (engine_speeds(r, 1.0) for r in (pair.on, pair.proposed))
    return None if one is None or other is None else other[-1] / one[-1]


def _doubt_of_change(pair: _Pair) -> float:
    """Doubt of a change of ratio: none with the same tyre, else that of both circumferences."""
    if pair.on.set.tyre == pair.proposed.set.tyre:
        return 0.0
    return math.hypot(*(rolling_share(pair.bike, r.set.tyre) for r in (pair.on, pair.proposed)))


def _engine(pair: _Pair, asked: Asked) -> Sentence | None:
    speeds = [engine_speeds(r, asked.cruise.si) for r in (pair.on, pair.proposed)]
    if speeds[1] is None:
        return None
    before = None if speeds[0] is None else speeds[0][-1] / RPM
    gear = _cruise_gear(pair, asked)
    after = speeds[1][-1] / RPM
    limiter = pair.bike.engine.end_rpm
    doubt = speed_share(pair.bike, pair.proposed.set.tyre)
    beyond = ""
    if limiter is not None and after > limiter:
        beyond = "the engine's limiter comes first"
    elif gear is None:
        beyond = "the air holds it back"
    elif gear < len(speeds[1]) - 1:
        return lower_gear_sentence(speeds[1][gear] / RPM, doubt, asked.cruise, gear + 1)
    return engine_sentence(before if pair.changed else None, after, doubt, asked.cruise, beyond)


def _cruise_gear(pair: _Pair, asked: Asked) -> int | None:
    """The highest gear (from 0) in which the proposed set holds the cruising speed, None where none does.

    Without a pull it is taken to be the last.
    """
    if pair.pull is None:
        return len(pair.proposed.overall_ratio or ()) - 1
    return holding_gear(pair.pull, asked.cruise.si)


def _top(pair: _Pair, asked: Asked) -> Sentence | None:
    if pair.pull is None or pair.pull.top is None:
        return None
    before = None if pair.on_pull is None or pair.on_pull.top is None else pair.on_pull.top.speed
    top = pair.pull.top
    count = len(pair.pull.machine.overall)
    return top_sentence(
        before if pair.changed else None, top, pair.top_doubt, asked.cruise.unit, last=top.gear == count - 1
    )


def _speedometer(pair: _Pair, asked: Asked) -> Sentence | None:
    now, then = (speedometer_factor(pair.bike, r.set) for r in (pair.on, pair.proposed))
    if then is None:
        return None
    # Judged at the speed of the finding beside it; said in the unit of whoever asks.
    at, unit = rule_speed(pair.bike), asked.cruise.unit
    least, most = (bound / at for bound in speedometer.allowed(at))
    true = Speed(float(max(round(at / Speed(1.0, unit).si), 1)), unit)
    share = speedometer_share(pair.bike, pair.proposed.set)
    return speedometer_sentence(now, then, true, least, most, share)


def _pull_picture(pair: _Pair, asked: Asked) -> Picture:
    known, gear = _forces(pair, asked), _gear(pair, asked.pull_gear)
    where = "top gear" if asked.pull_gear == TOP_GEAR or gear is None else f"gear {gear + 1}"
    before, after = (None, None) if known is None else known[:2]
    return Picture(
        "pull",
        f"Pull at {asked.pull_at.words} in {where}",
        "N",
        1.15 * max(before or 0.0, after or 0.0, 1.0),
        before,
        after,
        "–" if before is None else f"{_round_to(before, 10):.0f} N",
        "–" if after is None else f"{_round_to(after, 10):.0f} N",
    )


def _engine_picture(pair: _Pair, asked: Asked) -> Picture:
    speeds = [engine_speeds(r, asked.cruise.si) for r in (pair.on, pair.proposed)]
    gear = _cruise_gear(pair, asked)
    at = -1 if gear is None else gear
    before, after = (None if s is None or at >= len(s) else s[at] / RPM for s in speeds)
    e = pair.bike.engine
    end = max(1.1 * (e.end_rpm or 0.0), 1.1 * (before or 0.0), 1.1 * (after or 0.0), 1000.0)
    words = ["–", "–"]
    if after is not None:
        shown = engine_figure(after, speed_share(pair.bike, pair.proposed.set.tyre))
        words = ["–" if before is None else f"{alike(before, shown).shown:g} rpm", f"{shown.shown:g} rpm"]
    elif before is not None:
        words[0] = f"{engine_figure(before, speed_share(pair.bike, pair.on.set.tyre)).shown:g} rpm"
    in_gear = "top gear" if at in (-1, len(pair.proposed.overall_ratio or ()) - 1) else f"gear {at + 1}"
    title = f"Engine at {asked.cruise.words} in {in_gear}"
    name = "redline" if e.redline_rpm is not None else ""
    return Picture("engine", title, "rpm", end, before, after, words[0], words[1], e.redline_rpm, name)


def _top_picture(pair: _Pair, asked: Asked) -> Picture:
    unit = asked.cruise.unit
    factor = Speed(1.0, unit).si
    before, after = (None if p is None or p.top is None else p.top.speed for p in (pair.on_pull, pair.pull))
    title, words = "Top speed", ["–", "–"]
    if after is not None and pair.pull is not None and pair.pull.top is not None:
        held = "the limiter" if pair.pull.top.limited_by == "redline" else "the air"
        title = f"Top speed, held back by {held}"
        said = top_figure(after, pair.top_doubt, unit)
        words[1] = f"{said.shown:g} {unit}"
        if before is not None:
            # What is as fast as now must not look different by rounding.
            same = abs(after - before) / factor < SAME_SPEED
            words[0] = words[1] if same else f"{alike(before / factor, said).shown:g} {unit}"
    elif before is not None:
        words[0] = f"{top_figure(before, 0.0, unit).shown:g} {unit}"
    now, then = (None if v is None else v / factor for v in (before, after))
    end = 1.15 * max(now or 0.0, then or 0.0, 10.0)
    return Picture("top speed", title, unit, end, now, then, words[0], words[1], asked.cruise.value, "cruising")


def usual_cruise(bike: Bike, unit: str) -> Speed:
    """A cruising speed to begin with: 120 km/h or 75 mph, less where the motorcycle is not made for it."""
    usual, factor = (75.0, Speed(1.0, "mph").si) if unit == "mph" else (120.0, Speed(1.0).si)
    known = pull(bike, fitted(bike))
    if isinstance(known, Finding) or known.top is None:
        return Speed(usual, unit)
    return Speed(max(min(usual, 5.0 * math.floor(0.8 * known.top.speed / factor / 5)), 5.0), unit)


def _round_to(value: float, step: float) -> float:
    return round(value / step) * step


def _assumptions(pair: _Pair) -> tuple[str, ...]:
    told = []
    rolls = {
        "measured": "The rear tyre's rolling circumference was measured.",
        "size": "The rear tyre's rolling circumference follows from its size: measure it to be sure.",
        "size, assumed factor": "The rear tyre's rolling circumference is assumed from its size.",
    }
    if pair.proposed.rolls_by:
        told.append(rolls[pair.proposed.rolls_by])
    if pair.pull is not None and pair.pull.assumed:
        told.append(f"Assumed: {assumptions_text(pair.pull.assumed)}.")
    elif pair.pull is None and (kind := of_kind(pair.proposed.assumed)):
        told.append(f"Assumed: {assumptions_text(kind)}.")
    if pair.pull is not None:
        mass, air = pair.pull.machine.mass, pair.pull.road.density
        told.append(f"Pull and top speed: level road, no wind, {mass:.0f} kg in all, air of {air:.2f} kg/m³.")
    return tuple(told)
