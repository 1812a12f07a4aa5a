"""What a bike that has just been begun tells: what is blank, a range while the gearbox is typical, and what is next."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import KINDS, Bike, Engine, FinalDrive, Gearbox, Tyre, with_value
from gearplan.bike.text.units import KMH
from gearplan.plan.driveset import fitted
from gearplan.plan.set.begun import begun
from gearplan.plan.set.doubts import judged, set_doubts
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.verdict import verdict

BEGUN = Bike(
    kind="naked",
    engine=Engine(redline_rpm=10500),
    gearbox=Gearbox(count=6),
    tyre=Tyre(size="180/55 ZR 17"),
    final_drive=FinalDrive(chain="520", front=15, rear=46, links=112),
)


def told(bike: Bike, unit: str = "km/h") -> tuple[str, ...]:
    return begun(bike, evaluate(bike, fitted(bike)), unit)


def test_what_is_blank_is_named() -> None:
    assert told(Bike()) == (
        "Still blank: kind, size on the sidewall, front sprocket, rear sprocket, chain length, chain size, redline and "
        "number of gears.",
    )
    assert told(with_value(BEGUN, "final_drive", "links", None))[-1] == "Still blank: chain length."


def test_a_typical_gearbox_gives_a_range_and_says_so() -> None:
    speed, next_one = told(BEGUN)
    assert speed == (
        "Gear 6 reaches 170 to 265 km/h at the redline. Assumed: typical for its kind, no source: primary 1.8, typical "
        "steps for 6 gears."
    )
    assert next_one == "Next: Read what is left in the adjuster: tells whether 112 links fit."
    assert "mph" in told(BEGUN, "mph")[0]


def test_an_entered_gearbox_gives_one_speed() -> None:
    bike = replace(demo_bike("Brindle 650").bike, kind="naked")
    assert told(bike)[0] == "Gear 6 reaches 230 km/h at the redline."


def growing(result: SetResult) -> float:
    """By how much a tyre whose growth nobody knows may be larger at the redline in the last gear: 3e-6 s²/m² · v²."""
    assert result.speed_at_redline is not None
    return 3e-6 * result.speed_at_redline[-1] ** 2


def test_the_doubt_about_a_typical_gearbox_is_that_of_its_parts() -> None:
    """By hand: primary 1.5 to 2.2 of 1.8, each gear ± 12 %, rolling factor 0.95 to 0.99 of 0.97, and the growth."""
    result = evaluate(BEGUN, fitted(BEGUN))
    grows = growing(result)
    speed = set_doubts(BEGUN, result)["speed_at_redline"]
    rolls = 0.02 / 0.97
    # A speed goes with one over the ratio.
    assert speed.high - 1 == pytest.approx(math.hypot(1.8 / 1.5 - 1, 1 / 0.88 - 1, rolls, grows), rel=1e-6)
    assert 1 - speed.low == pytest.approx(math.hypot(1 - 1.8 / 2.2, 1 - 1 / 1.12, rolls), rel=1e-6)
    typed = with_value(BEGUN, "gearbox", "primary", (43, 75))
    closer = set_doubts(typed, evaluate(typed, fitted(typed)))["speed_at_redline"]
    assert closer.high - 1 == pytest.approx(
        math.hypot(1 / 0.88 - 1, rolls, growing(evaluate(typed, fitted(typed)))), rel=1e-6
    )
    # The answer with the true gearbox of such a bike lies within.
    assert result.speed_at_redline is not None
    low, high = (end * result.speed_at_redline[-1] / KMH for end in (speed.low, speed.high))
    assert low < 230 < high


def test_one_gear_needs_no_steps() -> None:
    single = replace(BEGUN, kind="electric", gearbox=Gearbox(primary=1.0))
    result = evaluate(single, fitted(single))
    speed = set_doubts(single, result)["speed_at_redline"]
    assert speed.high - 1 == pytest.approx(math.hypot(0.02 / 0.97, growing(result)), rel=1e-6)
    assert 1 - speed.low == pytest.approx(0.02 / 0.97, rel=1e-6)


@pytest.mark.parametrize("kind", KINDS[1:])
def test_no_range_of_speeds_reaches_down_to_standstill(kind: str) -> None:
    """The widest primary, an electric motor's with or without a reduction, once gave −80 to 165 km/h."""
    bike = replace(BEGUN, kind=kind)
    speed = set_doubts(bike, evaluate(bike, fitted(bike)))["speed_at_redline"]
    assert 0.25 < speed.low < 1 <= speed.high < 2


def test_the_safety_of_a_chain_falls_as_its_tension_rises() -> None:
    curve = Engine(redline_rpm=10500, torque=((3000, 20), (7000, 26), (10000, 22)), torque_at="crank")
    bike = replace(BEGUN, engine=curve)
    found = set_doubts(bike, evaluate(bike, fitted(bike)))
    primary = {key: {field: (down, up) for field, down, up in one.parts} for key, one in found.items()}
    down, up = (part / found["peak_tension"].value for part in primary["peak_tension"]["gearbox.primary"])
    assert (1 - down, 1 + up) == pytest.approx((1.5 / 1.8, 2.2 / 1.8))
    down, up = (part / found["safety"].value for part in primary["safety"]["gearbox.primary"])
    assert (1 - down, 1 + up) == pytest.approx((1.8 / 2.2, 1.8 / 1.5))


def test_the_gearbox_is_what_would_make_the_speeds_surer() -> None:
    asked = measure_next(BEGUN, evaluate(BEGUN, fitted(BEGUN)))
    speeds = [one for one in asked if one.settles == "speed"]
    assert [one.field for one in speeds] == ["gearbox.primary", "gearbox.gears"]
    assert 0.3 < speeds[0].share < 0.6
    assert speeds[0].text.startswith("Enter the primary ratio: takes ")


def test_a_pull_on_a_typical_gearbox_is_less_sure() -> None:
    curve = Engine(redline_rpm=10500, torque=((3000, 20), (7000, 26), (10000, 22)), torque_at="crank")
    bike = replace(BEGUN, engine=curve)
    typed = replace(bike, gearbox=Gearbox(primary=1.8, gears=(2.65, 2.05, 1.63, 1.33, 1.13, 1.02)))
    found, entered = (set_doubts(b, evaluate(b, fitted(b)))["peak_tension"] for b in (bike, typed))
    assert found.value == pytest.approx(entered.value)
    assert found.half > 1.5 * entered.half


def test_that_the_chain_fits_stays_in_sight_before_what_is_still_to_be_entered() -> None:
    bike = with_value(BEGUN, "chassis", "adjuster_left_mm", (8.0, 14.0))
    said = verdict(judged(bike, evaluate(bike, fitted(bike))))
    assert said.head == "Fits, entries missing"
    assert said.folded[0].startswith("112 links fit: a new chain puts the axle")
    assert said.folded[1:] == said.told
    # What is to be heeded comes before it.
    short = with_value(bike, "limits", "front_teeth_min", 16)
    said = verdict(judged(short, evaluate(short, fitted(short))))
    assert said.head == "Does not fit, entries missing"
    assert "16" in said.folded[0]
    assert said.folded[1].startswith("112 links fit")
