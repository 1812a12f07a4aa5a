"""A computed lap held against the recorded one, and what the log says of the values that the lap rests on. SI.

The values are fitted within bounds by least squares along the distance, each held back by how far the profile may be
off (common experience, no source): what the log does not decide stays where the profile has it and is said to be open.
Theory: linearised least squares with a normal prior, Gelman and others, Bayesian Data Analysis, ch. 14 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.profile import Bike, entry, value, with_value
from gearplan.bike.text.written import lap_time, signed_percent
from gearplan.drive.lap.rules import USUAL, LapRules
from gearplan.drive.lap.trace import lap_trace
from gearplan.drive.motion.machines import Machines
from gearplan.language import tr
from gearplan.ridelog.laps.tocircuit import CutCircuit
from gearplan.ridelog.log import Floats
from gearplan.ridelog.reading.columns import UNITS
from gearplan.setup import assumed
from gearplan.setup.machine import with_mass

_STEP = 5.0
_ROUNDS = 6
_NUDGE = 0.02
#: Independent readings that a section of the lap gives: it was braked or accelerated once, and ridden by a person.
_A_SECTION = 1.4
#: How well the right values give the time of the lap (relative, one standard deviation).
_LAP_TIME = 0.004
#: A doubt that the log brings below this share of what it was is decided.
_DECIDED = 0.7
_LEAST_NOISE = 0.15
_WIDE = 1.96
#: What a lap of sections and the smoothing of the log leave open of every value (relative, one standard deviation).
_MODEL = 0.05


@dataclass(frozen=True, slots=True)
class Fitted:
    """One value: its field, factor on the profile's, what it was, and the fitted value with its 95 % interval.

    `decided` says whether the log tells more of it than the profile did.
    """

    label: str
    field: str
    unit: str
    before: float
    value: float
    low: float
    high: float
    decided: bool


@dataclass(frozen=True, slots=True, eq=False)
class ModelCheck:
    """The computed lap beside the recorded one, along the same distance (m): speeds (m/s) and times (s).

    `lap` and `recorded_lap` are lap times, `apart` the root mean square of the speeds' difference, `worst` where and
    by how much they differ most (computed less recorded).
    """

    along: Floats
    speed: Floats
    recorded: Floats
    lap: float
    recorded_lap: float
    apart: float
    worst: tuple[float, float]

    @property
    def off(self) -> float:
        """Computed lap time over the recorded one, less one."""
        return self.lap / self.recorded_lap - 1


@dataclass(frozen=True, slots=True, eq=False)
class ModelFit:
    """What the log says of drag area, mass, braking and grip, and the check before and after."""

    values: tuple[Fitted, ...]
    before: ModelCheck
    after: ModelCheck

    def applied(self, bike: Bike) -> Bike:
        """The profile with the values that the log decides."""
        for one in self.values:
            if one.decided:
                section, key = one.field.split(".")
                new = one.value
                if key == "bike_kg":
                    # The rider's mass is known better than the bike's as it is ridden.
                    new = max(one.value - assumed.known(bike, "load", "rider_kg").value, 15.0)
                known = entry(section, key)
                bike = with_value(bike, section, key, float(f"{min(max(new, known.low), known.high):.4g}"))
        return bike


def check_model(machines: Machines, cut: CutCircuit, rules: LapRules = USUAL) -> ModelCheck:
    """The lap of the first of the machines on the circuit that was cut, beside the lap it was cut from."""
    trace = lap_trace(machines, cut.circuit, rules, _STEP)
    length = float(trace.distance[-1])
    along = np.arange(0, length, _STEP)
    speed = np.interp(along, trace.distance, trace.speed)
    recorded = _recorded(cut, along, length)
    off = speed - recorded
    worst = int(np.argmax(np.abs(off)))
    return ModelCheck(
        along,
        np.asarray(speed),
        recorded,
        trace.lap_time,
        cut.lap.time,
        float(np.sqrt(np.mean(off**2))),
        (float(along[worst]), float(off[worst])),
    )


def _recorded(cut: CutCircuit, along: Floats, length: float) -> Floats:
    """The recorded speed from the circuit's start on, which may lie behind the start line."""
    own = float(cut.along[-1] + cut.along[1] - cut.along[0])
    places = (along * own / length + cut.moved) % own
    return np.asarray(np.interp(places, np.append(cut.along, own), np.append(cut.speed, cut.speed[0])))


#: What is fitted: label, field, unit, and how far the profile may be off (relative standard deviation).
_VALUES = (
    (tr("Drag area"), "load.drag_area_m2", "m²", 0.25),
    (tr("Mass of bike and rider"), "load.bike_kg", "kg", 0.06),
    (tr("Braking"), "load.braking_mps2", "m/s²", 0.35),
    (tr("Grip"), "tyre.grip", "", 0.15),
)


def fit_model(
    made: Callable[[float], Machines],
    cut: CutCircuit,
    rules: LapRules = USUAL,
    cancelled: Callable[[], bool] | None = None,
) -> ModelFit:
    """Fit the values to a lap. `made` gives the set that was ridden with the tyre's grip times a factor."""
    doubts = np.array([doubt for *_, doubt in _VALUES])
    here = np.zeros(len(_VALUES))
    first = check_model(made(1.0), cut, rules)
    now = first
    readings = _A_SECTION * len(cut.circuit.sections)
    jacobian, times = np.zeros((len(now.along), len(_VALUES))), [0.0] * len(_VALUES)
    for turn in range(_ROUNDS):
        if cancelled is not None and cancelled():
            break
        for k in range(len(_VALUES)):
            nudged = here.copy()
            nudged[k] += _NUDGE
            then = check_model(_with(made, nudged), cut, rules)
            jacobian[:, k], times[k] = (then.speed - now.speed) / _NUDGE, (then.off - now.off) / _NUDGE
        noise = max(now.apart, _LEAST_NOISE)
        weight = readings / len(now.along) / noise**2
        curvature = weight * jacobian.T @ jacobian + np.diag(1 / doubts**2)
        # The lap time is a reading too: what the speeds leave open may not add up along the lap.
        by_time = np.array(times) / _LAP_TIME
        curvature += np.outer(by_time, by_time)
        pull = weight * jacobian.T @ (now.recorded - now.speed) - here / doubts**2 - by_time * now.off / _LAP_TIME
        step = np.linalg.solve(curvature, pull)
        step *= min(1.0, 0.5 / max(float(np.abs(step / doubts).max()), 1e-9) if turn == 0 else 1.0)
        tried = np.clip(here + step, -3 * doubts, 3 * doubts)
        then = check_model(_with(made, tried), cut, rules)
        if _cost(then, tried, doubts, weight) > _cost(now, here, doubts, weight):
            tried = here + (tried - here) / 3
            then = check_model(_with(made, tried), cut, rules)
            if _cost(then, tried, doubts, weight) > _cost(now, here, doubts, weight):
                break
        moved = float(np.abs((tried - here) / doubts).max())
        here, now = tried, then
        if moved < 0.02:
            break
    noise = max(now.apart, _LEAST_NOISE)
    weight = readings / len(now.along) / noise**2
    left = np.sqrt(np.diag(np.linalg.inv(weight * jacobian.T @ jacobian + np.diag(1 / doubts**2))) + _MODEL**2)
    start = made(1.0)
    before = (start.drag_area, start.mass, start.braking, start.friction)
    values = tuple(
        Fitted(
            label,
            field,
            unit,
            was,
            was * math.exp(at),
            was * math.exp(at - _WIDE * doubt),
            was * math.exp(at + _WIDE * doubt),
            bool(doubt < _DECIDED * usual),
        )
        for (label, field, unit, usual), was, at, doubt in zip(
            _VALUES, before, here.tolist(), left.tolist(), strict=True
        )
    )
    return ModelFit(values, first, now)


def _with(made: Callable[[float], Machines], factors: Floats) -> Machines:
    drag, mass, braking, grip = np.exp(factors).tolist()
    own = made(grip)
    return replace(with_mass(own, mass), drag_area=own.drag_area * drag, braking=own.braking * braking)


def _cost(check: ModelCheck, at: Floats, doubts: Floats, weight: float) -> float:
    apart = weight * np.sum((check.recorded - check.speed) ** 2) + np.sum((at / doubts) ** 2)
    return float(apart + (check.off / _LAP_TIME) ** 2)


def model_words(check: ModelCheck, unit: str = "km/h") -> str:
    """How well the computed lap meets the recorded one, with speeds in a unit of road speed."""
    one = UNITS["road"][unit]
    place, by = check.worst
    told = {
        "lap": lap_time(check.lap),
        "recorded": lap_time(check.recorded_lap),
        "off": signed_percent(check.off),
        "apart": check.apart / one,
        "unit": unit,
        "place": place,
        "by": abs(by) / one,
    }
    if by > 0:
        return tr(
            "Computed {lap}, recorded {recorded} ({off}). Along the lap the speeds differ by {apart:.1f} "
            "{unit} on average; most {place:.0f} m after the start, where the computed one is {by:.0f} {unit} "
            "faster.",
            **told,
        )
    return tr(
        "Computed {lap}, recorded {recorded} ({off}). Along the lap the speeds differ by {apart:.1f} "
        "{unit} on average; most {place:.0f} m after the start, where the computed one is {by:.0f} {unit} "
        "slower.",
        **told,
    )


def ranked_words(fit: ModelFit | None, lowest_gear: int | None, *, taken: bool) -> str:
    """With what the sets are ranked on the lap; `taken` says that the profile has the fitted values already."""
    decided = [] if fit is None else [one.label.lower() for one in fit.values if one.decided]
    told = tr("On your own lap and apex speeds")
    if decided:
        whose = tr("the profile's values, as fitted to this lap") if taken else tr("the values fitted to this lap")
        told += tr(", with {whose} ({join})", whose=whose, join=", ".join(decided))
    else:
        told += tr(", with the profile's values")
    if lowest_gear is not None and lowest_gear > 1:
        told += tr(", corners in gear {lowest_gear} or higher, as ridden", lowest_gear=lowest_gear)
    return told


def fit_words(fit: ModelFit, bike: Bike) -> tuple[str, ...]:
    """What the log decides and what it leaves open."""
    told = []
    for one in fit.values:
        section, key = one.field.split(".")
        assumed = "" if value(bike, section, key) is not None else " (assumed)"
        unit = f" {one.unit}" if one.unit else ""
        spread = tr("{low:.3g} to {high:.3g}{unit}", low=one.low, high=one.high, unit=unit)
        if one.decided:
            told.append(
                tr(
                    "{label}: {value:.3g}{unit} ({spread}), before {before:.3g}{assumed}.",
                    label=one.label,
                    value=one.value,
                    unit=unit,
                    spread=spread,
                    before=one.before,
                    assumed=assumed,
                )
            )
    left = [one.label.lower() for one in fit.values if not one.decided]
    if left:
        told.append(tr("The lap leaves open: {join}. A ranking is only as sure as those.", join=", ".join(left)))
    return tuple(told)
