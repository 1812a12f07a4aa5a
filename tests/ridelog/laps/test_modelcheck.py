"""The computed lap against the recorded one, and the values that the log tells, against the generator's truth."""

from __future__ import annotations

import pytest

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.written import lap_time
from gearplan.drive.lap.lap import lap_times
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import fitted_machines
from gearplan.ridelog.laps.laps import find_laps
from gearplan.ridelog.laps.modelcheck import ModelFit, check_model, fit_model, fit_words, model_words
from gearplan.ridelog.laps.tocircuit import CutCircuit, circuit_of
from tests.ridelog.rides import BRINDLE, START, lapped


def cut(seed: int) -> CutCircuit:
    _, log = lapped(seed, ease=0.0)
    laps = find_laps(log, START)
    assert laps.median is not None
    return circuit_of(log, laps, laps.median, "own")


def fitted(bike: Bike, seed: int) -> ModelFit:
    made = fitted_machines(bike)
    assert not isinstance(made, Finding)
    return fit_model(made, cut(seed))


#: What the demo rider really has: the profile's road load, and a braking of 6 m/s².
TRUTH = {"load.drag_area_m2": 0.40, "load.bike_kg": 268.0, "load.braking_mps2": 6.0}


def test_with_the_true_values_the_computed_lap_is_the_recorded_one() -> None:
    made = fitted_machines(with_value(BRINDLE, "load", "braking_mps2", 6.0))
    assert not isinstance(made, Finding)
    found = cut(1)
    check = check_model(made(1.0), found)
    assert check.off == pytest.approx(0, abs=0.008)
    assert check.apart < 0.7
    assert check.lap == pytest.approx(float(lap_times(made(1.0), found.circuit).time[0]), rel=1e-9)
    words = model_words(check)
    assert f"recorded {lap_time(found.lap.time)}" in words


@pytest.mark.parametrize(("drag", "braking"), [(0.55, 8.0), (0.30, 4.5), (0.40, 6.0)])
def test_wrong_values_are_drawn_to_the_truth(drag: float, braking: float) -> None:
    bike = with_value(with_value(BRINDLE, "load", "drag_area_m2", drag), "load", "braking_mps2", braking)
    fit = fitted(bike, 2)
    assert fit.after.apart <= fit.before.apart + 1e-9
    assert abs(fit.after.off) < 0.006
    for one in fit.values:
        if one.field in TRUTH:
            assert one.low <= TRUTH[one.field] <= one.high
    told = {one.field: one for one in fit.values}
    assert told["load.braking_mps2"].decided
    applied = fit.applied(bike)
    assert applied.load.braking_mps2 == pytest.approx(6.0, rel=0.08)
    assert applied.load.drag_area_m2 == pytest.approx(0.40, rel=0.2)
    assert applied.load.rider_kg == bike.load.rider_kg


def test_the_truth_lies_in_the_intervals_for_most_logs() -> None:
    bike = with_value(with_value(BRINDLE, "load", "drag_area_m2", 0.48), "load", "braking_mps2", 7.0)
    inside = dict.fromkeys(TRUTH, 0)
    for seed in range(12):
        for one in fitted(bike, seed).values:
            if one.field in TRUTH:
                inside[one.field] += one.low <= TRUTH[one.field] <= one.high
    assert min(inside.values()) >= 11


def test_what_the_lap_leaves_open_is_said_and_kept() -> None:
    fit = fitted(BRINDLE, 3)
    words = " ".join(fit_words(fit, BRINDLE))
    for one in fit.values:
        assert one.low < one.value < one.high
        if not one.decided:
            assert one.label.lower() in words.split("leaves open")[1]


def test_a_fit_that_is_no_longer_wanted_stops() -> None:
    made = fitted_machines(BRINDLE)
    assert not isinstance(made, Finding)
    fit = fit_model(made, cut(1), cancelled=lambda: True)
    assert fit.after is fit.before


def test_an_unfinished_profile_names_what_is_missing() -> None:
    lacking = fitted_machines(Bike())
    assert isinstance(lacking, Finding)
    assert lacking.field == "final_drive.front"
    only_set = with_value(with_value(Bike(), "final_drive", "front", 15), "final_drive", "rear", 45)
    assert isinstance(fitted_machines(only_set), Finding)
