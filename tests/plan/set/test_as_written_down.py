"""Everything that one set is told to be, held to what was written down: no outside check, but no change goes unnoticed.

After a change that is meant, look at the difference and write it down anew:
`python -m tests.plan.set.test_as_written_down`.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.plan.chain import reach, wear
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.set import compare, conversion, grid, quantities, sideview, travel, words
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.how.numbers import EXPLAINED, explain
from gearplan.plan.set.verdict import verdict

_KEPT = Path(__file__).parent / "written_down.json"
_BRINDLE = demo_bike().bike


def bikes() -> Iterator[tuple[str, Bike]]:
    """The demo bikes, and the first with something missing, odd or contradictory."""
    for name in demo_bikes():
        yield name, demo_bike(name).bike
    for place, value in (
        ("chassis.axle_now_mm", 560.0),
        ("chassis.axle_now_mm", 590.0),
        ("chassis.axle_range_mm", (577.0, 580.0)),
        ("chassis.swingarm_angle_deg", None),
        ("chassis.com_height_mm", None),
        ("chassis.slack_mm", 3.0),
        ("tyre.rolling_circumference_mm", None),
        ("tyre.growth_per_mps2", 1e-5),
        ("engine.torque", None),
        ("engine.redline_rpm", None),
        ("gearbox.primary", (75, 43)),
        ("final_drive.links", 111),
        ("final_drive.chain_tensile_kn", 18.0),
        ("speedometer.sensor", "rear wheel"),
        ("limits.front_teeth_min", None),
        ("wear.readings", ((1000.0, 318.0), (9000.0, 320.0), (14000.0, 321.5))),
    ):
        section, key = place.split(".")
        yield f"{place} {value}", with_value(_BRINDLE, section, key, value)


def sets(bike: Bike) -> Iterator[DriveSet]:
    on = fitted(bike)
    yield on
    yield replace(on, front=(on.front or 15) - 1)
    yield replace(on, rear=(on.rear or 45) + 4, links=114)
    yield replace(on, front=12, chain="428" if on.chain != "428" else "520")
    yield replace(on, tyre="4.00-18", links=118)


def told(bike: Bike, chosen: DriveSet) -> dict[str, Any]:
    """Numbers, findings, drawings and words of one set."""
    on, result = evaluate(bike, fitted(bike)), evaluate(bike, chosen)
    run, radius = result.run, result.rolling_radius
    return {
        "result": result,
        "how": {
            f"{name}{which} {gear}": explain(f"{name}{which}", bike, chosen, gear=gear, cursor=27.0)
            for name in EXPLAINED
            for which, gear in (("", 1), (":fitted", 6))
            if len(result.gear_ratios or ()) >= gear and chosen == on.set
        },
        "listed": {q.title(): (q.value(result), q.unit, q.digits) for q in (quantities.RATIO, *quantities.CHAIN)},
        "gears": compare.gear_rows(bike, on, result, 27.0),
        "travel": travel.through_travel(bike, chosen, run, radius),
        "drawn": sideview.side_view(bike, result),
        "moved": _moved(bike, result),
        "swingarm": reach.swingarm(bike),
        "reach": reach.reach(bike),
        "wear": wear.wear_state(bike),
        "conversion": [
            (other := conversion.in_size(bike, chosen, size), conversion.drive_mass(evaluate(bike, other)))
            for size in ("420", "520", "530")
        ],
        "cautions": conversion.cautions(bike, on, result),
        "lines": compare.speed_lines(bike, result),
        "words": (
            words.links_that_fit(result),
            words.feel(words.change(on, result)),
            words.exchange_text(chosen, grid.front_exchanges(chosen)),
            words.chart_caption(result),
            words.what_is_missing(result, ("speed", "ratio", "chain length", "rolling circumference")),
            words.chart_in_words(on, result, "km/h"),
            words.squat_sentence(on, result),
            verdict(result),
        ),
    }


def _moved(bike: Bike, result: SetResult) -> Any:
    if result.run.axle_position is None:
        return None
    there = result.run.axle_position + 0.002
    return sideview.slack_at(bike, result, there), sideview.with_axle_at(bike, result, there).run


def plain(value: Any) -> Any:
    """Values as JSON has them: long arrays by some of their elements, numbers to eight digits."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, np.ndarray):
        flat = value.ravel()
        return [plain(x) for x in (flat if len(flat) <= 8 else flat[:: len(flat) // 6]).tolist()]
    if isinstance(value, dict):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if isinstance(value, float):
        return "not a number" if math.isnan(value) else float(f"{value:.8g}")
    return value if isinstance(value, (int, str, bool, type(None))) else str(value)


def everything(bike: Bike) -> list[Any]:
    return [plain(told(bike, chosen)) for chosen in sets(bike)]


def same(was: Any, now: Any, place: str = "") -> Iterator[str]:
    """Where two values differ; numbers by more than rounding."""
    if isinstance(was, dict) and isinstance(now, dict) and was.keys() == now.keys():
        for key in was:
            yield from same(was[key], now[key], f"{place}.{key}")
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for number, (one, other) in enumerate(zip(was, now, strict=True)):
            yield from same(one, other, f"{place}[{number}]")
    elif isinstance(was, float) and isinstance(now, (int, float)):
        if now != pytest.approx(was, rel=1e-6, abs=1e-9):
            yield f"{place}: {was} became {now}"
    elif was != now:
        yield f"{place}: {was} became {now}"


@pytest.mark.parametrize(("name", "bike"), list(bikes()), ids=[name for name, _ in bikes()])
def test_nothing_changed_unnoticed(name: str, bike: Bike) -> None:
    kept = json.loads(_KEPT.read_text(encoding="utf-8"))
    assert not list(same(kept[name], everything(bike)))


if __name__ == "__main__":
    made = {name: everything(bike) for name, bike in bikes()}
    _KEPT.write_text(json.dumps(made, ensure_ascii=False, separators=(",", ":")) + "\n", encoding="utf-8")
