"""The effect of each doubt is what the same change in the bike file does."""

from __future__ import annotations

import math

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, value, with_value
from gearplan.bike.units import KMH
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.sensitivity import effects, top_speed_doubt


def pulled(bike: Bike, slope: float = 0.0) -> Pull:
    found = pull(bike, fitted(bike), slope)
    assert isinstance(found, Pull)
    return found


def scaled(bike: Bike, section: str, key: str, part: float) -> Bike:
    return with_value(bike, section, key, part * value(bike, section, key))


def changed(bike: Bike, doubt: str, way: int) -> Bike:
    """The bike with one value moved by its doubt, as a person would type it."""
    match doubt:
        case "drag area":
            return scaled(bike, "load", "drag_area_m2", 1 + way * 0.10)
        case "rolling coefficient":
            return scaled(bike, "load", "rolling_coefficient", 1 + way * 0.20)
        case "mass":
            return scaled(scaled(bike, "load", "bike_kg", 1 + way * 0.05), "load", "rider_kg", 1 + way * 0.05)
        case "torque":
            points = tuple((n, t * (1 + way * 0.05)) for n, t in bike.engine.torque or ())
            return with_value(bike, "engine", "torque", points)
        case "grip":
            return scaled(bike, "tyre", "grip", 1 + way * 0.15)
        case "shift time":
            return scaled(bike, "engine", "shift_time_s", 1 + way * 0.50)
    raise AssertionError(doubt)


def complete(name: str) -> Bike:
    bike = demo_bike(name).bike
    return bike if bike.tyre.grip is not None else with_value(bike, "tyre", "grip", 1.1)


@pytest.mark.parametrize("name", demo_bikes())
@pytest.mark.parametrize("slope", [0.0, math.atan(0.08)])
def test_each_effect_is_that_of_the_same_change_in_the_file(name: str, slope: float) -> None:
    bike, end = complete(name), 50 * KMH

    def result(one: Pull) -> float | None:
        return one.run.time_to_speed(end)

    found = effects(pulled(bike, slope), result)
    assert {one.name for one in found} == {"drag area", "rolling coefficient", "mass", "torque", "grip", "shift time"}
    middle = result(pulled(bike, slope))
    assert middle is not None
    for one in found:
        for way, told in ((-1, one.lower), (1, one.higher)):
            truth = result(pulled(changed(bike, one.name, way), slope))
            assert truth is not None
            assert told == pytest.approx(truth - middle, abs=2e-6), (one.name, way)
    assert [one.size for one in found] == sorted((one.size for one in found), reverse=True)


def test_a_heavier_motorcycle_that_lifts_its_wheel_is_hardly_slower() -> None:
    """Where lift or grip bind, thrust goes with the weight: only drag and shifts are left of the effect of mass."""
    bike = complete("Corvid 1000")
    strong = tuple((n, 2 * t) for n, t in bike.engine.torque or ())
    bike = with_value(bike, "engine", "torque", strong)

    def result(one: Pull) -> float | None:
        return one.run.time_to_speed(60 * KMH)

    [mass] = [one for one in effects(pulled(bike), result) if one.name == "mass"]
    middle = result(pulled(bike))
    assert middle is not None
    assert abs(mass.higher) < 0.005 * middle
    assert abs(mass.lower) < 0.005 * middle
    free = with_value(bike, "chassis", "com_height_mm", None)
    [mass] = [one for one in effects(pulled(free), result) if one.name == "mass"]
    middle = result(pulled(free))
    assert middle is not None
    assert mass.higher > 0.03 * middle


@pytest.mark.parametrize("name", demo_bikes())
def test_the_doubt_of_the_top_speed_adds_the_effects_by_their_squares(name: str) -> None:
    one = pulled(complete(name))
    found = effects(one, lambda p: None if p.top is None else p.top.speed)
    assert top_speed_doubt(one) == pytest.approx(math.hypot(*(e.size for e in found)))
    assert top_speed_doubt(one) > 0


def test_what_has_no_result_has_no_effects() -> None:
    assert effects(pulled(complete("Wren 125")), lambda _: None) == ()
