"""How a shown number comes about: its formula, its inputs as they are now, its result and its source."""

from __future__ import annotations

from collections.abc import Callable

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MM, RPM
from gearplan.bike.text.written import number, shortest, signed_percent
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.set.compare import gear_rows
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.how import chain
from gearplan.plan.set.how.explanation import Explanation
from gearplan.plan.set.words import change
from gearplan.plan.words import teeth
from gearplan.setup.assumed import known

_KINEMATICS = tr("elementary kinematics of gears and of a rolling wheel")


def explain(what: str, bike: Bike, chosen: DriveSet, *, gear: int = 1, cursor: float = 0.0) -> Explanation:
    """The explanation of one number; KeyError for a number that is not known.

    `what` is one of the keys of `EXPLAINED`, with ":fitted" after it for the fitted set; `gear` counts from 1
    and `cursor` is the road speed in m/s, where they matter.
    """
    name, _, which = what.partition(":")
    result = evaluate(bike, fitted(bike) if which == "fitted" else chosen)
    return EXPLAINED[name](bike, result, gear, cursor)


def _final_ratio(_bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    return Explanation(
        tr("Final ratio"),
        tr("final ratio = rear teeth ÷ front teeth"),
        ((tr("sprockets, front/rear"), teeth(result.set)),),
        number(result.final_ratio, 1, 4),
        _KINEMATICS,
    )


def _change(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    on = evaluate(bike, fitted(bike))
    return Explanation(
        tr("Change of the final ratio"),
        tr("change = final ratio proposed ÷ final ratio fitted − 1"),
        ((tr("fitted"), number(on.final_ratio, 1, 4)), (tr("proposed"), number(result.final_ratio, 1, 4))),
        signed_percent(change(on, result), 2),
        _KINEMATICS,
    )


def _overall(_bike: Bike, result: SetResult, gear: int, _cursor: float) -> Explanation:
    own = None if result.gear_ratios is None else result.gear_ratios[gear - 1]
    overall = None if result.overall_ratio is None else result.overall_ratio[gear - 1]
    return Explanation(
        tr("Overall ratio in gear {gear}", gear=gear),
        tr("overall ratio = primary × gear × rear ÷ front"),
        (
            (tr("primary"), number(result.primary_ratio, 1, 4)),
            (tr("gear {gear}", gear=gear), number(own, 1, 4)),
            (tr("sprockets, front/rear"), teeth(result.set)),
        ),
        number(overall, 1, 4),
        _KINEMATICS,
    )


def _step(_bike: Bike, result: SetResult, gear: int, _cursor: float) -> Explanation:
    own = result.gear_ratios or ()
    here, after = (number(own[i], 1, 4) if i < len(own) else "–" for i in (gear - 1, gear))
    step = own[gear - 1] / own[gear] - 1 if gear < len(own) else None
    return Explanation(
        tr("Step from gear {gear} to gear {next}", gear=gear, next=gear + 1),
        tr("step = ratio of this gear ÷ ratio of the next − 1"),
        ((tr("gear {gear}", gear=gear), here), (tr("gear {gear}", gear=gear + 1), after)),
        signed_percent(step),
        _KINEMATICS,
    )


def _after_shift(bike: Bike, result: SetResult, gear: int, cursor: float) -> Explanation:
    rows = gear_rows(bike, result, result, cursor)
    dropped = rows[gear - 1].after_shift if gear <= len(rows) else None
    own = result.gear_ratios or ()
    return Explanation(
        tr("Engine speed after the up-shift out of gear {gear}", gear=gear),
        tr("the road speed stays, so: after = redline × ratio of the next gear ÷ ratio of this gear"),
        (
            (tr("redline"), _rpm(bike.engine.redline_rpm)),
            (tr("gear {gear}", gear=gear), number(own[gear - 1], 1, 4) if gear <= len(own) else "–"),
            (tr("gear {gear}", gear=gear + 1), number(own[gear], 1, 4) if gear < len(own) else "–"),
        ),
        _rpm(dropped, RPM),
        _KINEMATICS,
    )


def _rpm(engine: float | None, unit: float = 1.0) -> str:
    return tr("{engine} rpm", engine=number(engine, unit, 0))


def _rolling_inputs(result: SetResult) -> tuple[str, str]:
    mm = number(result.rolling_circumference, MM, 1)
    if result.rolls_by == "measured":
        told = tr("{mm} mm, measured", mm=mm)
    elif result.rolls_by == "size":
        told = tr("{mm} mm, from the size and the factor entered", mm=mm)
    else:
        told = tr("{mm} mm, from the size with an assumed rolling factor", mm=mm)
    return tr("rolling circumference"), told


def _grown(formula: str, result: SetResult) -> str:
    """A formula with the tyre's growth, where it grows."""
    if not result.tyre_growth:
        return formula
    grows = tr(
        "the circumference × (1 + {growth:g} s²/m² × speed²) as the tyre grows",
        growth=result.tyre_growth,
    )
    return f"{formula},\n{grows}"


def _speed_at_redline(bike: Bike, result: SetResult, gear: int, _cursor: float) -> Explanation:
    speed = None if result.speed_at_redline is None else result.speed_at_redline[gear - 1]
    overall = None if result.overall_ratio is None else result.overall_ratio[gear - 1]
    return Explanation(
        tr("Road speed at the redline in gear {gear}", gear=gear),
        _grown(tr("speed = redline × rolling circumference ÷ overall ratio (no slip, no drag)"), result),
        (
            (tr("redline"), _rpm(bike.engine.redline_rpm)),
            _rolling_inputs(result),
            (tr("overall ratio"), number(overall, 1, 4)),
        ),
        f"{number(speed, KMH)} km/h",
        _KINEMATICS,
    )


def _engine_at_cursor(bike: Bike, result: SetResult, gear: int, cursor: float) -> Explanation:
    rows = gear_rows(bike, result, result, cursor)
    engine = rows[gear - 1].engine_at_cursor[1] if gear <= len(rows) else None
    overall = None if result.overall_ratio is None else result.overall_ratio[gear - 1]
    return Explanation(
        tr("Engine speed at {cursor} km/h in gear {gear}", cursor=number(cursor, KMH, 1), gear=gear),
        _grown(tr("engine speed = road speed × overall ratio ÷ rolling circumference"), result),
        (
            (tr("road speed"), f"{number(cursor, KMH, 1)} km/h"),
            (tr("overall ratio"), number(overall, 1, 4)),
            _rolling_inputs(result),
        ),
        _rpm(engine, RPM),
        _KINEMATICS,
    )


def _rolling(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    factor = known(bike, "tyre", "rolling_factor")
    shown = tr("{factor:g} assumed", factor=factor.value) if factor.assumed else shortest(factor.value)
    return Explanation(
        tr("Rolling circumference"),
        tr("as measured; otherwise factor × π × (25.4 mm × rim + 2 × section height)"),
        (
            (tr("tyre"), result.set.tyre or bike.tyre.size or "–"),
            (tr("measured"), f"{number(bike.tyre.rolling_circumference_mm, 1, 1)} mm"),
            (tr("rolling factor"), shown),
        ),
        f"{number(result.rolling_circumference, MM)} mm",
        tr("size markings as tyre makers publish their rule; the factor is common practice"),
    )


EXPLAINED: dict[str, Callable[[Bike, SetResult, int, float], Explanation]] = {
    "rolling": _rolling,
    "links": chain.links,
    "wheelbase": chain.wheelbase,
    "tightest": chain.tightest,
    "clearance": chain.clearance,
    "wear_left": chain.wear_left,
    "wrap": chain.wrap,
    "chordal": chain.chordal,
    "meeting": chain.meeting,
    "strength": chain.strength,
    "anti_squat": chain.anti_squat,
    "final_ratio": _final_ratio,
    "change": _change,
    "overall": _overall,
    "step": _step,
    "after_shift": _after_shift,
    "speed_at_redline": _speed_at_redline,
    "engine_at_cursor": _engine_at_cursor,
}
