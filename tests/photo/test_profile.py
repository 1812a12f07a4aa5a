"""What the profile gives to a photograph and takes from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.photo.profile import lacking, rows, sight, taken
from gearplan.photo.told import Told, Value, tell
from gearplan.setup import doubt
from tests.photo.pictures import Scene


def told(**doubts: float) -> Told:
    return Told(
        (
            Value("shaft forward", 0.0634, doubts.get("shaft", 0.0011)),
            Value("shaft up", None, why="Needs more."),
            Value("pivot to axle", 0.5791, 0.0024),
            Value("angle", 0.1502, 0.0015),
            Value("wheelbase", 1.4182, 0.0001),
        )
    )


def test_the_chain_is_a_ruler_only_with_its_size_and_both_sprockets() -> None:
    assert lacking(Bike()) == ("final_drive.chain", "final_drive.front", "final_drive.rear")
    assert sight(Bike(), (10, 10), None, 25) is None
    bike = demo_bike().bike
    assert lacking(bike) == ()
    found = sight(bike, (4000, 3000), 3000.0, 30)
    assert found is not None
    assert (found.front, found.rear, found.focal) == (bike.final_drive.front, bike.final_drive.rear, 3000.0)
    assert found.head.value == pytest.approx(0.030)
    assert found.pitch == pytest.approx(0.015875)


def test_a_measured_chain_is_a_surer_ruler() -> None:
    bike = with_value(demo_bike().bike, "wear", "readings", None)
    assumed, measured = (
        sight(with_value(bike, "final_drive", "elongation_percent", worn), (10, 10), None, 25) for worn in (None, 0.8)
    )
    assert assumed is not None
    assert measured is not None
    assert measured.elongation.value == pytest.approx(0.008)
    assert measured.elongation.doubt < assumed.elongation.doubt / 3


def test_numbers_carry_no_more_figures_than_their_doubt_allows() -> None:
    found = {row.quantity: row for row in rows(demo_bike().bike, told())}
    assert (found["shaft forward"].after, found["shaft forward"].doubt) == ("63 mm", "± 3")
    assert (found["angle"].after, found["angle"].doubt) == ("8.6 °", "± 0.2")
    assert (found["wheelbase"].after, found["wheelbase"].doubt) == ("1418.2 mm", "± 0.2")
    assert (found["shaft up"].after, found["shaft up"].number, found["shaft up"].why) == ("–", None, "Needs more.")


def test_only_what_is_wanted_and_told_is_taken() -> None:
    bike = demo_bike().bike
    after = taken(bike, told(), ("shaft forward", "shaft up", "pivot to axle"))
    assert bike.chassis.sprocket_from_pivot_mm is not None
    assert after.chassis.sprocket_from_pivot_mm == (63, bike.chassis.sprocket_from_pivot_mm[1])
    assert after.chassis.axle_now_mm == 579
    assert (after.chassis.swingarm_angle_deg, after.chassis.wheelbase_mm) == (
        bike.chassis.swingarm_angle_deg,
        bike.chassis.wheelbase_mm,
    )
    assert taken(bike, replace(told(), contradiction="Two scales."), ("wheelbase",)) == bike


def test_a_whole_photograph_fills_an_empty_swingarm() -> None:
    bike = Bike(final_drive=replace(demo_bike().bike.final_drive, chain="520", front=15, rear=46))
    shot = Scene().photograph(np.random.default_rng(3))
    seen = sight(bike, shot.sight.size, shot.sight.focal, 25)
    assert seen is not None
    found = tell(shot.points, seen)
    after = taken(bike, found, [value.quantity for value in found.values]).chassis
    assert after.sprocket_from_pivot_mm == pytest.approx((62, 21), abs=5)
    assert after.axle_now_mm == pytest.approx(577, abs=6)
    assert after.swingarm_angle_deg == pytest.approx(8.5, abs=0.6)
    assert after.wheelbase_mm == pytest.approx(1415, abs=15)


def test_what_is_taken_keeps_the_doubt_of_the_picture_until_it_is_typed_anew() -> None:
    made = taken(demo_bike().bike, told(), [one.quantity for one in told().values])
    fields = ("chassis.sprocket_from_pivot_mm", "chassis.axle_now_mm", "chassis.wheelbase_mm")
    off = {one.field: one.high - one.value for one in doubt.inputs(made, fields)}
    assert off == {
        "chassis.sprocket_from_pivot_mm.0": pytest.approx(3),
        "chassis.sprocket_from_pivot_mm.1": doubt.reading_error(fields[0], 21),
        "chassis.axle_now_mm": pytest.approx(5),
        "chassis.wheelbase_mm": pytest.approx(0.2),
    }
    typed = with_value(made, "chassis", "wheelbase_mm", 1401.0)
    [one] = doubt.inputs(typed, ["chassis.wheelbase_mm"])
    assert one.high - one.value == doubt.reading_error("chassis.wheelbase_mm", 1401.0)
