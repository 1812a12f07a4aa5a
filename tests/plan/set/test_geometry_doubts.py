"""How surely the swingarm's numbers are known: each part is what the same reading entered does."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.plan.driveset import fitted
from gearplan.plan.set.doubts import set_doubts
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.geometrydoubts import geometry_doubts
from gearplan.setup import doubt

KEYS = ("anti_squat", "upper_clearance", "lower_clearance", "front_load_share")


def result_of(bike: Bike) -> SetResult:
    return evaluate(bike, fitted(bike))


def told(result: SetResult) -> dict[str, float | None]:
    run = result.run
    values = (result.anti_squat, run.upper_clearance, run.lower_clearance, run.front_load_share)
    return dict(zip(KEYS, values, strict=True))


@pytest.mark.parametrize("name", demo_bikes())
def test_each_part_is_what_the_same_reading_does(name: str) -> None:
    bike = demo_bike(name).bike
    found, middle = geometry_doubts(bike, result_of(bike)), told(result_of(bike))
    assert set(found) == set(KEYS)
    for key, one in found.items():
        was = middle[key]
        assert was is not None
        assert one.value == pytest.approx(was, rel=1e-9)
        for field, down, up in one.parts:
            [given] = [i for i in doubt.inputs(bike, [".".join(field.split(".")[:2])]) if i.field == field]
            ends = [told(result_of(doubt.varied(bike, given, end)))[key] for end in (given.low, given.high)]
            by = [end - was for end in ends if end is not None]
            assert down == pytest.approx(max(0.0, *(-b for b in by)), rel=0.05, abs=2e-4), (key, field)
            assert up == pytest.approx(max(0.0, *by), rel=0.05, abs=2e-4), (key, field)


def test_as_many_random_draws_lie_within_as_are_meant_to() -> None:
    """JCGM 101:2008: propagation by draws, every input normal, its range holding 95 %."""
    rng, bike = np.random.default_rng(20), demo_bike().bike
    found = geometry_doubts(bike, result_of(bike))
    fields = dict.fromkeys(".".join(field.split(".")[:2]) for one in found.values() for field, _, _ in one.parts)
    inside, draws = dict.fromkeys(KEYS, 0), 400
    for _ in range(draws):
        drawn = bike
        for one in doubt.inputs(bike, fields):
            drawn = doubt.varied(drawn, one, one.value + (one.high - one.value) / 1.96 * rng.standard_normal())
        for key, value in told(result_of(drawn)).items():
            inside[key] += value is not None and found[key].low <= value <= found[key].high
    for key, count in inside.items():
        assert 0.93 <= count / draws <= 0.97, (key, count / draws)


@pytest.mark.parametrize("field", ["sprocket_from_pivot_mm", "com_height_mm", "pivot_boss_radius_mm", "wheelbase_mm"])
def test_what_is_not_computed_has_no_range(field: str) -> None:
    bike = with_value(demo_bike().bike, "chassis", field, None)
    result = result_of(bike)
    found = geometry_doubts(bike, result)
    # Without the swingarm nothing of its geometry is told, even what the adjuster alone knows.
    known = {key for key, value in told(result).items() if value is not None and result.run.basis == "swingarm"}
    assert set(found) == known
    assert set(found) <= set(set_doubts(bike, result))
