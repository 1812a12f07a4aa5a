"""The next measurement: what is missing first, then what settles a doubtful verdict, by as much as it then does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, Chassis, Wear, with_value
from gearplan.plan.chain.reach import Reach, reach
from gearplan.plan.customer.fitwords import fit_sentence
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.set.doubts import judged, set_doubts
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.measurenext import Next, measure_next

BIKE = demo_bike().bike
ELONGATION = "final_drive.elongation_percent"


def with_left(front: float, back: float) -> Bike:
    """The demo bike without its swingarm and wear log, but with what is left in the adjuster."""
    return replace(BIKE, chassis=Chassis(adjuster_left_mm=(front, back), slack_mm=30.0), wear=Wear())


def asked(bike: Bike) -> tuple[Next, ...]:
    return measure_next(bike, evaluate(bike, fitted(bike)))


def length(bike: Bike, chosen: DriveSet | None = None) -> Finding:
    (found,) = (f for f in evaluate(bike, chosen or fitted(bike)).findings if f.about == "chain length")
    return found


def test_an_empty_bike_is_asked_for_what_everything_rests_on() -> None:
    first = asked(Bike())
    assert [one.field for one in first[:3]] == ["final_drive.front", "final_drive.rear", "gearbox.primary"]
    assert all(one.share == 1 for one in first)
    assert first[0].text == "Count the front sprocket's teeth: needed for the ratios."
    assert all(one.how or one.field.startswith(("gearbox", "engine")) for one in first)


def test_a_doubtful_fit_asks_for_the_old_chains_wear_and_says_what_it_would_do() -> None:
    bike = with_left(5.0, 20.0)
    found = length(bike)
    assert (found.level, found.sure) == ("check", False)
    assert found.text.startswith("Probably 112 links fit: a new chain puts the axle 3 ± 3 mm forward, of 5 mm")
    assert "the old chain's wear decides" in found.text
    first = asked(bike)[0]
    assert (first.field, first.settles, first.decides) == (ELONGATION, "chain length", True)
    assert first.text == "Measure the old chain: decides whether 112 links fit."
    # As said: with the chain measured the doubt is so much smaller, and the answer is sure.
    after = with_value(bike, "final_drive", "elongation_percent", 0.5)
    one, other = reach(bike), reach(after)
    assert isinstance(one, Reach)
    assert isinstance(other, Reach)
    assert first.share == pytest.approx(1 - other.doubt / one.doubt)
    assert ELONGATION not in [n.field for n in asked(after)]


def test_a_sure_fit_still_says_what_would_narrow_it() -> None:
    bike = with_left(20.0, 20.0)
    assert length(bike).sure
    (chain,) = (one for one in asked(bike) if one.field == ELONGATION)
    assert not chain.decides
    assert chain.text == f"Measure the old chain: takes {100 * chain.share:.0f} % off the doubt where the axle goes."


def test_what_alone_tells_nothing_is_not_said_to() -> None:
    texts = [one.text for one in asked(with_left(20.0, 20.0))]
    to_shaft = "Measure from the swingarm's pivot to the sprocket's shaft"
    wanted = f"{to_shaft}: needed for tightest point, clearance and anti-squat."
    assert wanted in texts
    assert "Measure the wheelbase: tells the wheelbase." in texts
    assert "Weigh front and rear axle: tells the front wheel's share of the weight." in texts


def test_without_the_adjuster_it_is_asked_for_and_the_way_is_told() -> None:
    bike = replace(with_left(1.0, 1.0), chassis=Chassis())
    assert length(bike).text == (
        "112 links put the axle about 3 mm forward. Whether the chain fits cannot be computed yet: enter what is left "
        "in the adjuster."
    )
    assert asked(bike)[0].text == "Read what is left in the adjuster: tells whether 112 links fit."


def test_a_wholly_measured_bike_is_asked_for_nothing() -> None:
    assert asked(BIKE) == ()


def test_a_rolled_out_tyre_narrows_the_speeds_by_what_it_says() -> None:
    by_size = with_value(BIKE, "tyre", "rolling_circumference_mm", None)
    (one,) = asked(by_size)
    assert (one.field, one.settles) == ("tyre.rolling_circumference_mm", "speed")
    before = set_doubts(by_size, evaluate(by_size, fitted(by_size)))["speed_at_redline"].half
    around = evaluate(by_size, fitted(by_size)).rolling_circumference
    assert around is not None
    rolled = with_value(by_size, "tyre", "rolling_circumference_mm", 1e3 * around)
    after = set_doubts(rolled, evaluate(rolled, fitted(rolled)))["speed_at_redline"].half
    assert one.share == pytest.approx(1 - after / before)


def test_a_strength_near_its_limit_is_not_sure() -> None:
    for tensile, sure in ((60.0, True), (20.5, False)):
        bike = with_value(BIKE, "final_drive", "chain_tensile_kn", tensile)
        found = judged(bike, evaluate(bike, fitted(bike)))
        (told,) = (f for f in found.findings if f.about == "chain strength")
        assert told.sure is sure


def test_ranges_hold_the_value_and_the_whole_is_known_better_than_its_parts_add_up_to() -> None:
    found = set_doubts(BIKE, evaluate(BIKE, fitted(BIKE)))
    assert {"moves", "axle_position", "wheelbase", "peak_tension", "rolling_circumference"} <= set(found)
    for one in found.values():
        assert one.low <= one.value <= one.high
        assert one.half <= sum(max(down, up) for _, down, up in one.parts) + 1e-12


def test_what_is_not_sure_is_said_to_be_probable_and_how_well_it_is_known() -> None:
    bike = with_value(BIKE, "final_drive", "chain_tensile_kn", 20.5)
    plain = evaluate(bike, fitted(bike))
    (was,) = (f for f in plain.findings if f.about == "chain strength")
    (told,) = (f for f in judged(bike, plain).findings if f.about == "chain strength")
    half = set_doubts(bike, plain)["safety"].half
    assert was.sure
    assert was.text.startswith("The chain")
    assert told.text == f"Probably the{was.text[3:]} Known to ± {half:.1f}."
    assert (told.level, told.value, told.sure) == (was.level, was.value, False)


def test_what_may_be_much_more_but_hardly_less_is_told_by_its_ends() -> None:
    strong = with_value(
        bike_from_text(demo_bikes()["Corvid 1000"].read_text(encoding="utf-8"), "x").bike, "tyre", "grip", None
    )
    plain = evaluate(strong, fitted(strong))
    assert plain.strength.peak_tension is not None
    bike = with_value(strong, "final_drive", "chain_tensile_kn", round(3.1 * plain.strength.peak_tension / 1000, 1))
    plain = evaluate(bike, fitted(bike))
    (told,) = (f for f in judged(bike, plain).findings if f.about == "chain strength")
    known = set_doubts(bike, plain)["safety"]
    assert known.high - known.value > 2 * (known.value - known.low) > 0
    assert told.text.endswith(f" It lies between {known.low:.1f} and {known.high:.1f}.")


def test_a_speedometer_near_the_rule_is_only_probably_beyond_it() -> None:
    chosen = replace(fitted(BIKE), front=14)
    (told,) = (f for f in judged(BIKE, evaluate(BIKE, chosen)).findings if f.about == "speedometer")
    assert not told.sure
    assert told.text == "Probably at 120 km/h the speedometer would show 136 ± 1 km/h; at most 136 are allowed."
    (sure,) = (f for f in judged(BIKE, evaluate(BIKE, replace(chosen, front=13))).findings if f.about == "speedometer")
    assert sure.sure
    assert "robably" not in sure.text


def test_only_the_set_on_the_bike_is_told_by_where_a_new_chain_would_put_the_axle() -> None:
    for bike, fits in (
        (with_left(8.0, 20.0), "a new chain puts the axle 3 ± 3 mm forward"),
        (BIKE, "a new chain puts the axle at "),
    ):
        told = [length(bike, chosen).text for chosen in (fitted(bike), replace(fitted(bike), front=14, rear=47))]
        assert fits in told[0]
        assert "new chain" not in told[1]


def test_the_front_wheels_share_is_as_sure_by_the_adjuster_as_what_it_rests_on() -> None:
    """By drawing its inputs 20 000 times: wheelbase, centre of mass and the axle's way, each by its own range."""
    bike = with_left(8.0, 20.0)
    chassis = replace(bike.chassis, wheelbase_mm=1415.0, com_ahead_of_rear_axle_mm=690.0)
    bike = replace(bike, chassis=chassis)
    result = evaluate(bike, fitted(bike))
    known = set_doubts(bike, result)
    share, moves = known["front_load_share"], known["moves"]
    assert share.value == result.run.front_load_share == pytest.approx((0.690 + moves.value) / (1.415 + moves.value))
    rng = np.random.default_rng(5)
    way, base, ahead = (
        rng.normal(at, off / 1.96, 20_000) for at, off in ((moves.value, moves.half), (1.415, 0.003), (0.690, 0.010))
    )
    low, high = np.quantile((ahead + way) / (base + way), [0.025, 0.975])
    assert (share.low, share.high) == (pytest.approx(low, abs=3e-4), pytest.approx(high, abs=3e-4))


def test_no_length_with_slack_is_told_while_no_slack_is_asked_for() -> None:
    for bike in (BIKE, with_left(8.0, 20.0)):
        assert evaluate(bike, fitted(bike)).run.links_at_slack_now is not None
        run = evaluate(with_value(bike, "chassis", "slack_mm", None), fitted(bike)).run
        assert (run.links_at_slack_now, run.links_taut_now is None) == (None, False)


def test_a_customer_is_told_that_a_set_only_probably_does_not_fit() -> None:
    weak = with_value(BIKE, "final_drive", "chain_tensile_kn", 13.0)
    result = evaluate(weak, fitted(weak))
    assert fit_sentence(result).text == "This set does not fit. The chain is too weak."
    assert fit_sentence(judged(weak, result)).text == (
        "This set probably does not fit. Probably the chain is too weak."
    )


def test_a_centre_of_mass_as_near_the_axle_as_it_may_be_off_leaves_the_strength_without_a_range() -> None:
    """At one end of its range the front wheel would lift without any thrust at all."""
    bike = with_value(BIKE, "chassis", "com_ahead_of_rear_axle_mm", 8.0)
    result = evaluate(bike, fitted(bike))
    assert result.strength.safety is not None
    assert "safety" not in set_doubts(bike, result)
    bare = replace(result, run=replace(result.run, moved=0.0))
    assert "safety" not in set_doubts(with_value(bike, "chassis", "com_ahead_of_rear_axle_mm", 10.0), bare)


def test_a_doubtful_strength_asks_for_what_would_decide_it() -> None:
    """The efficiency is assumed; with it measured the factor is known more closely than it is from its limit."""
    bike = with_value(with_value(BIKE, "engine", "efficiency", None), "final_drive", "chain_tensile_kn", 18.56)
    result = evaluate(bike, fitted(bike))
    assert result.strength.safety == pytest.approx(2.755, abs=0.005)
    (one,) = (n for n in asked(bike) if n.settles == "chain strength")
    assert (one.field, one.decides) == ("engine.efficiency", True)
    far = with_value(bike, "final_drive", "chain_tensile_kn", 27.0)
    assert not any(n.decides for n in asked(far) if n.settles == "chain strength")
