"""How doubts are carried: against the guide's worked example, an outside library and random draws."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from uncertainties import ufloat, umath  # type: ignore[import-untyped]

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, value, with_value
from gearplan.setup import doubt
from gearplan.setup.doubt import Doubtful, Input, carried, inputs, varied

BIKE = demo_bike().bike


def given(name: str, value: float, off: float) -> Input:
    return Input(name, name, value, value - off, value + off, measured=True)


def through(function: Callable[..., float], found: list[Input]) -> Doubtful:
    """A function of the inputs by name, carried."""

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        at = {each.field: each.value for each in found}
        if one is not None:
            at[one.field] = to
        return {"y": function(**at)}

    return carried(results, found)["y"]


def test_the_end_gauge_of_the_guide() -> None:
    """JCGM 100:2008, annex H.1: length of a 50 mm end gauge; u_c = 32 nm to first order. Lengths in nm, K."""

    def length(standard: float, difference: float, expansion: float, other: float, warm: float, warmer: float) -> float:
        return standard + difference - standard * (other * warm + expansion * warmer)

    found = [
        given("standard", 50_000_623.0, 25.0),
        given("difference", 215.0, 9.7),
        given("expansion", 11.5e-6, 1.2e-6),
        given("other", 0.0, 0.58e-6),
        given("warm", -0.1, 0.41),
        given("warmer", 0.0, 0.029),
    ]
    got = through(length, found)
    assert got.value == pytest.approx(50_000_838.0)
    assert got.half == pytest.approx(32.0, abs=0.5)
    assert got.high - got.value == pytest.approx(got.value - got.low, rel=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_an_outside_library_says_the_same(seed: int) -> None:
    """The `uncertainties` library carries standard deviations by derivatives; small doubts must agree."""
    rng = np.random.default_rng(seed)
    values, offs = rng.uniform(0.5, 3.0, 4), rng.uniform(1e-4, 1e-3, 4)

    def ours(a: float, b: float, c: float, d: float) -> float:
        return a * math.sin(b) / c + math.exp(-d) * a**2

    got = through(ours, [given(name, v, o) for name, v, o in zip("abcd", values, offs, strict=True)])
    a, b, c, d = (ufloat(v, o) for v, o in zip(values, offs, strict=True))
    theirs = a * umath.sin(b) / c + umath.exp(-d) * a**2
    assert got.value == pytest.approx(theirs.nominal_value)
    assert got.half == pytest.approx(theirs.std_dev, rel=2e-3)


def test_a_one_sided_input_makes_a_one_sided_range() -> None:
    got = through(lambda a: 3 * a, [Input("a", "a", 1.0, 1.0, 1.5, measured=False)])
    assert (got.low, got.value, got.high) == (3.0, 3.0, 4.5)


def test_what_an_input_would_shrink_the_range_by() -> None:
    got = through(lambda a, b: a + b, [given("a", 0.0, 3.0), given("b", 0.0, 4.0)])
    assert got.half == pytest.approx(5.0)
    # Without b there is 3 of 5 left; with half of it, the root of 9 + 4.
    assert got.share(["b"]) == pytest.approx(1 - 3 / 5)
    assert got.share(["b"], left=0.5) == pytest.approx(1 - math.sqrt(13) / 5)
    assert got.share([]) == pytest.approx(0.0)


def test_a_result_that_an_input_takes_away_has_no_range() -> None:
    def results(one: Input | None, to: float) -> dict[str, float | None]:
        return {"sure": 1.0, "lost": 2.0 if one is None or to < 1 else None, "never": None}

    found = carried(results, [given("a", 0.5, 1.0)])
    assert set(found) == {"sure"}


def test_what_is_entered_has_its_reading_error_and_what_is_assumed_its_usual_range() -> None:
    bike = with_value(BIKE, "load", "rider_kg", None)
    (rider,) = inputs(bike, ["load.rider_kg"])
    assert (rider.measured, rider.value, rider.low, rider.high) == (False, 80.0, 60.0, 110.0)
    (rider,) = inputs(with_value(bike, "load", "rider_kg", 92.0), ["load.rider_kg"])
    assert (rider.measured, rider.value, rider.low, rider.high) == (True, 92.0, 90.0, 94.0)
    assert inputs(with_value(BIKE, "chassis", "wheelbase_mm", None), ["chassis.wheelbase_mm"]) == ()


def test_both_parts_of_a_pair_are_doubtful() -> None:
    found = inputs(BIKE, ["chassis.axle_range_mm"])
    assert [one.field for one in found] == ["chassis.axle_range_mm.0", "chassis.axle_range_mm.1"]
    assert {one.entry for one in found} == {"chassis.axle_range_mm"}
    assert varied(BIKE, found[1], 600.0).chassis.axle_range_mm == (558, 600.0)


def test_the_torque_is_doubted_as_a_whole() -> None:
    (one,) = inputs(BIKE, [doubt.TORQUE])
    more = varied(BIKE, one, 1.1)
    assert BIKE.engine.torque is not None
    assert more.engine.torque == tuple((rpm, pytest.approx(1.1 * torque)) for rpm, torque in BIKE.engine.torque)
    assert inputs(with_value(BIKE, "engine", "torque", None), [doubt.TORQUE]) == ()


def test_the_wear_of_the_chain_is_entered_read_or_assumed() -> None:
    def worn(bike: Bike) -> Input:
        (one,) = inputs(bike, ["final_drive.elongation_percent"])
        return one

    unread = with_value(BIKE, "wear", "readings", None)
    assert (worn(unread).measured, worn(unread).low, worn(unread).high) == (False, 0.0, 1.0)
    # The last reading of the demo's log: 319.8 mm over 20 links of 15.875 mm.
    assert worn(BIKE).value == pytest.approx(100 * (319.8 / 317.5 - 1))
    assert worn(BIKE).high - worn(BIKE).low == pytest.approx(0.2)
    entered = worn(with_value(BIKE, "final_drive", "elongation_percent", 0.3))
    assert (entered.value, entered.measured) == (0.3, True)
    assert value(varied(BIKE, worn(BIKE), 0.9), "final_drive", "elongation_percent") == 0.9
