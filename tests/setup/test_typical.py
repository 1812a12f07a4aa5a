"""What is taken for a kind of motorcycle: in ordinary ranges, inside its band, replaced by what is typed, and said."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.profile import KINDS, SECTIONS, Bike, Engine, FinalDrive, Gearbox, Tyre, entries, entry, with_value
from gearplan.bike.text.units import KMH
from gearplan.bike.work.job import Job
from gearplan.commands.output.numbersjson import numbers
from gearplan.commands.output.numberstext import numbers_text
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import default_space
from gearplan.plan.choices.wishtext import parse_wishes
from gearplan.plan.driveset import fitted
from gearplan.plan.job.kept import bike_of, kept_kind, kept_values
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.set.evaluate import TYPICAL_VALUES, evaluate
from gearplan.plan.set.words import chart_caption
from gearplan.setup import assumed, kinds
from gearplan.setup.kinds import TYPICAL
from gearplan.setup.limits import tyre_limits
from gearplan.setup.machine import Basis, basis
from gearplan.setup.ratios import box_ratios, gear_ratios, gearbox
from tests.bike.strategies import bikes

WITH_VALUES = KINDS[1:]

#: An invented motorcycle of each kind as read off in five minutes: gears, redline (rpm), peak torque (N·m) and its
#: speed, peak power (kW) and its speed, tyre, chain, teeth; and between what 0–100 km/h (s, None where it is not
#: reached) and top speed (km/h) lie for such motorcycles: common experience, no source.
EXAMPLES: dict[str, tuple[Gearbox, Engine, str, tuple[int, int], tuple[float, float] | None, tuple[float, float]]] = {
    "sport": (
        Gearbox(count=6),
        Engine(
            redline_rpm=14000, peak_torque_nm=64, peak_torque_rpm=11000, peak_power_kw=85, peak_power_rpm=13500
        ),
        "180/55 ZR 17", (16, 43), (2.6, 4.5), (220, 300),
    ),
    "naked": (
        Gearbox(count=6),
        Engine(redline_rpm=10500, peak_torque_nm=64, peak_torque_rpm=7000, peak_power_kw=54, peak_power_rpm=9500),
        "180/55 ZR 17", (15, 46), (3.0, 5.0), (170, 240),
    ),
    "tourer": (
        Gearbox(count=6),
        Engine(redline_rpm=9000, peak_torque_nm=100, peak_torque_rpm=6500, peak_power_kw=80, peak_power_rpm=8500),
        "180/55 ZR 17", (17, 43), (2.8, 5.0), (190, 260),
    ),
    "cruiser": (
        Gearbox(count=5),
        Engine(redline_rpm=7000, peak_torque_nm=62, peak_torque_rpm=4500, peak_power_kw=38, peak_power_rpm=6500),
        "150/80-16", (16, 42), (4.5, 8.5), (130, 190),
    ),
    "trail": (
        Gearbox(count=6),
        Engine(redline_rpm=9500, peak_torque_nm=75, peak_torque_rpm=6500, peak_power_kw=60, peak_power_rpm=9000),
        "150/70-17", (16, 45), (3.0, 5.5), (170, 230),
    ),
    "enduro": (
        Gearbox(count=6),
        Engine(redline_rpm=10500, peak_torque_nm=36, peak_torque_rpm=7500, peak_power_kw=33, peak_power_rpm=9500),
        "140/80-18", (13, 50), (3.5, 7.0), (110, 165),
    ),
    "supermoto": (
        Gearbox(count=6),
        Engine(redline_rpm=9000, peak_torque_nm=60, peak_torque_rpm=6500, peak_power_kw=48, peak_power_rpm=8500),
        "150/60-17", (15, 42), (3.0, 5.5), (140, 200),
    ),
    "small commuter": (
        Gearbox(count=5),
        Engine(redline_rpm=9500, peak_torque_nm=10.5, peak_torque_rpm=6500, peak_power_kw=8.6, peak_power_rpm=8500),
        "3.00-18", (15, 42), (13.0, 60.0), (90, 125),
    ),
    "geared scooter": (
        Gearbox(count=4),
        Engine(redline_rpm=8500, peak_torque_nm=8.5, peak_torque_rpm=5500, peak_power_kw=6.2, peak_power_rpm=7500),
        "2.75-17", (14, 36), None, (75, 115),
    ),
    "one-ratio scooter": (
        Gearbox(),
        Engine(redline_rpm=8500, peak_torque_nm=4.0, peak_torque_rpm=5000, peak_power_kw=2.6, peak_power_rpm=7000),
        "2.75-17", (13, 36), None, (40, 75),
    ),
    "electric": (
        Gearbox(),
        Engine(redline_rpm=6000, torque=((0, 100), (3800, 100), (6000, 58)), torque_at="crank"),
        "140/70-17", (14, 60), (4.0, 9.0), (110, 170),
    ),
    "sidecar": (
        Gearbox(count=5),
        Engine(redline_rpm=6500, peak_torque_nm=60, peak_torque_rpm=4300, peak_power_kw=32, peak_power_rpm=5900),
        "4.00-18", (16, 46), (8.0, 20.0), (100, 140),
    ),
    "vintage": (
        Gearbox(count=4),
        Engine(redline_rpm=6500, peak_torque_nm=38, peak_torque_rpm=4500, peak_power_kw=22, peak_power_rpm=6000),
        "3.50-19", (18, 46), (7.0, 14.0), (125, 165),
    ),
}  # fmt: skip


def example(kind: str) -> Bike:
    box, engine, tyre, (front, rear), _, _ = EXAMPLES[kind]
    size = "428" if kind in ("small commuter", "geared scooter", "one-ratio scooter") else "520"
    drive = FinalDrive(chain=size, front=front, rear=rear, links=112)
    return Bike(name="a", kind=kind, engine=engine, gearbox=box, tyre=Tyre(size=tyre), final_drive=drive)


def test_each_kind_but_the_plain_one_has_its_values() -> None:
    assert set(EXAMPLES) == set(WITH_VALUES)
    for section, key in (("load", "bike_kg"), ("chassis", "wheelbase_mm"), ("gearbox", "primary")):
        assert kinds.typical(Bike(), section, key) is None
        assert kinds.typical(Bike(kind="hovercraft"), section, key) is None
        assert all(kinds.typical(Bike(kind=kind), section, key) is not None for kind in WITH_VALUES)


@pytest.mark.parametrize("kind", WITH_VALUES)
def test_every_typical_value_lies_in_a_wide_band_within_its_entry(kind: str) -> None:
    bike, some = Bike(kind=kind), 0
    for section in SECTIONS:
        for key, what in entries(section):
            found = assumed.typical(bike, section, key)
            if found is None:
                continue
            some += 1
            assert found.value is not None
            assert found.low is not None
            assert found.high is not None
            assert what.low <= found.low <= found.value <= found.high <= what.high
            assert found.reason == TYPICAL == "typical for its kind, no source"
            if key not in ("idle_rpm", "launch_rpm", "count"):
                assert found.high - found.low >= 0.06 * found.value
    assert some >= 9
    each, low, high = kinds.typical(bike, "engine", "inertia_kg_m2") or (0, 0, 0)
    assert 0 < 1.8 * low <= each <= high / 1.8


#: What may be taken for a kind. Torques, slack, wear, strength and smallest teeth are not among it.
MAY_BE_TYPICAL = {
    ("chassis", "wheelbase_mm"),
    ("chassis", "com_height_mm"),
    ("chassis", "com_ahead_of_rear_axle_mm"),
    ("engine", "idle_rpm"),
    ("engine", "launch_rpm"),
    ("engine", "shift_time_s"),
    ("engine", "efficiency"),
    ("engine", "inertia_kg_m2"),
    ("gearbox", "count"),
    ("gearbox", "primary"),
    ("load", "bike_kg"),
    ("load", "drag_area_m2"),
    ("load", "rolling_coefficient"),
    ("load", "wheel_inertia_kg_m2"),
    ("load", "braking_mps2"),
    ("tyre", "grip"),
}


@pytest.mark.parametrize("kind", WITH_VALUES)
def test_nothing_that_safety_hangs_on_is_ever_filled_in(kind: str) -> None:
    every = {(section, key) for section in SECTIONS for key, _ in entries(section)}
    bike = Bike(kind=kind)
    assert {place for place in every if kinds.typical(bike, *place) is not None} <= MAY_BE_TYPICAL
    for section, key in every:
        if section in ("service", "limits", "wear", "new_chain") or key in (
            "slack_mm",
            "chain_tensile_kn",
            "chain_mass_kg_per_m",
        ):
            plain = assumed.if_known(Bike(), section, key) if entry(section, key).kind == "number" else None
            assert plain == (assumed.if_known(bike, section, key) if entry(section, key).kind == "number" else None)


@pytest.mark.parametrize("kind", WITH_VALUES)
def test_a_motorcycle_of_each_kind_goes_as_such_motorcycles_do(kind: str) -> None:
    *_, hundred, fastest = EXAMPLES[kind]
    bike = example(kind)
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    assert found.top is not None
    assert fastest[0] <= found.top.speed / KMH <= fastest[1]
    time = found.run.time_to_speed(100 * KMH)
    if hundred is None:
        assert time is None or time > 20
    else:
        assert time is not None
        assert hundred[0] <= time <= hundred[1]
    limits = tyre_limits(bike)
    assert limits is not None
    assert 0.3 < limits.ahead / limits.wheelbase < 0.6
    assert {one.field for one in assumed.of_kind(found.assumed)} >= {
        "chassis.wheelbase_mm", "chassis.com_height_mm", "chassis.com_ahead_of_rear_axle_mm", "load.bike_kg",
        "load.drag_area_m2", "gearbox.primary", "gearbox.gears",
    }  # fmt: skip


def test_without_a_kind_nothing_is_taken_that_was_not_before() -> None:
    plain = replace(example("naked"), kind="solo")
    result = evaluate(plain, fitted(plain))
    assert result.overall_ratio is None
    assert not any(f.about == TYPICAL_VALUES for f in result.findings)
    assert not assumed.of_kind(result.assumed)
    assert tyre_limits(plain) is None
    assert basis(plain) == (("load.bike_kg", "the motorcycle's weight"),)


@pytest.mark.parametrize(("section", "key"), sorted(MAY_BE_TYPICAL - {("engine", "inertia_kg_m2")}))
def test_a_typed_value_takes_the_place_of_a_typical_one(section: str, key: str) -> None:
    for kind in WITH_VALUES:
        bike = Bike(kind=kind)
        if (taken := assumed.typical(bike, section, key)) is None or key == "primary":
            continue
        assert taken.value is not None
        own = 0.5 * (taken.value + entry(section, key).high)
        assert assumed.known(with_value(bike, section, key, own), section, key) == assumed.Known(own)


def test_the_centre_of_mass_goes_with_the_wheelbase_that_is_entered() -> None:
    for kind in WITH_VALUES:
        bike = with_value(Bike(kind=kind), "chassis", "wheelbase_mm", 1200.0)
        ahead = assumed.known(bike, "chassis", "com_ahead_of_rear_axle_mm")
        assert ahead.assumed is not None
        assert 0.3 * 1200 < (ahead.assumed.low or 0) < ahead.value < (ahead.assumed.high or 0) < 0.6 * 1200


@pytest.mark.parametrize("kind", WITH_VALUES)
@pytest.mark.parametrize("count", range(1, 9))
def test_typical_gears_fall_in_steps_that_shrink(kind: str, count: int) -> None:
    bike = Bike(kind=kind, gearbox=Gearbox(count=count))
    ratios = gear_ratios(bike)
    assert ratios is not None
    assert len(ratios) == count
    steps = [one / other for one, other in pairwise(ratios)]
    assert all(1.06 < step < 1.9 for step in steps)
    assert all(one > other - 0.02 for one, other in pairwise(steps))
    assert bike.gearbox.gears is None


def test_typed_gears_take_the_place_of_typical_ones_and_move_the_others() -> None:
    bike = Bike(kind="naked", gearbox=Gearbox(primary=(43, 75), count=6))
    typical = gear_ratios(bike)
    assert typical is not None
    assert [one.text for one in gearbox(bike).assumed] == ["typical steps for 6 gears"]
    some = with_value(bike, "gearbox", "gears", (None, None, (16, 30), (13, None)))
    moved = gear_ratios(some)
    assert moved is not None
    assert moved[2] == 30 / 16
    # The others keep their steps to the one that is known.
    assert moved == pytest.approx([ratio * 30 / 16 / typical[2] for ratio in typical], rel=5e-3)
    assert [one.text for one in gearbox(some).assumed] == ["typical steps for gears 1, 2, 4, 5, 6"]
    ends = with_value(bike, "gearbox", "gears", (3.0, None, None, None, None, 1.0))
    between = gear_ratios(ends)
    assert between is not None
    assert (between[0], between[5]) == (3.0, 1.0)
    assert all(one > other for one, other in pairwise(between))
    own = (2.5, 1.9, 1.5, 1.3, 1.1, 1.0)
    whole = gearbox(with_value(bike, "gearbox", "gears", own))
    assert (whole.ratios, whole.assumed, whole.gears) == (own, (), own)
    assert kinds.gear_count(Bike(kind="one-ratio scooter")) == 1
    # A half-entered gear without a count stays what it was: unfinished.
    left = with_value(Bike(kind="naked", gearbox=Gearbox(gears=(2.5, None))), "gearbox", "primary", 1.8)
    assert box_ratios(left) is None
    assert [one.field for one in gearbox(Bike(kind="electric")).assumed] == ["gearbox.primary", "gearbox.gears"]
    assert gear_ratios(Bike(kind="solo", gearbox=Gearbox(count=6))) is None


def test_what_is_typical_is_said_wherever_a_result_shows() -> None:
    bike = example("naked")
    result = evaluate(bike, fitted(bike))
    [told] = [f for f in result.findings if f.about == TYPICAL_VALUES]
    assert told.aside
    assert told.source == TYPICAL
    assert "typical steps for 6 gears" in told.text
    assert "primary 1.8" in told.text
    assert "wheelbase 1430 mm" in told.text
    caption = chart_caption(result)
    assert "Assumed: typical for its kind, no source: primary 1.8, typical steps for 6 gears." in caption
    text = numbers_text(bike, fitted(bike))
    assert "Typical for its kind: primary 1.8" in text
    values = numbers(bike, fitted(bike))["proposed"]["assumed"]
    [primary] = [one for one in values if one["field"] == "gearbox.primary"]
    assert (primary["value"], primary["low"], primary["high"]) == (1.8, 1.5, 2.2)
    assert primary["reason"] == TYPICAL
    known = basis(bike)
    assert isinstance(known, Basis)
    said = assumed.assumptions_text(known.assumed)
    assert said.count(TYPICAL) == 1
    assert said.index("efficiency") < said.index(TYPICAL) < said.index("wheelbase")
    # The engine's inertia goes with its torque, by what is typical for the kind.
    assert "inertia at the crank" in said[said.index(TYPICAL) :]


def test_choices_and_laps_say_it_too() -> None:
    bike = example("naked")
    space = default_space(bike, fronts=(14, 16), rears=(44, 48))
    answer = search(bike, parse_wishes(("calmer",))[0], space, most=3)
    assert any("typical steps for 6 gears" in note for note in answer.notes)
    circuit = Circuit("a", (Section("straight", 400.0), Section("corner", 60.0, apex_kmh=70.0)))
    lap = rank_laps(bike, circuit, space)
    assert isinstance(lap, LapRanking)
    assert any(TYPICAL in note and "typical steps for 6 gears" in note for note in lap.notes)
    plain = replace(bike, kind="solo")
    assert not any("ypical" in note for note in search(plain, parse_wishes(("calmer",))[0], space, most=3).notes)


def test_an_electric_motorcycle_has_no_idle_no_clutch_and_one_gear() -> None:
    bike = example("electric")
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    assert found.machine.launch == 0
    assert len(found.machine.overall) == 1
    assert found.shift_speeds == ()
    own = with_value(with_value(bike, "engine", "idle_rpm", 1200), "engine", "launch_rpm", 3000)
    launched = pull(own, fitted(own))
    assert isinstance(launched, Pull)
    assert launched.machine.launch > 0


def test_the_kind_and_the_number_of_gears_go_into_the_file_and_the_steps_do_not() -> None:
    bike = example("naked")
    text = text_with(bike, "")
    assert 'kind = "naked"' in text
    assert "count = 6" in text
    assert "gears" not in text
    assert "primary" not in text
    assert "wheelbase" not in text
    assert bike_from_text(text, "x").bike == bike


def test_more_gears_than_the_bike_is_said_to_have_are_pointed_out() -> None:
    bike = Bike(kind="naked", gearbox=Gearbox(gears=(2.5, 1.9, 1.5), count=2))
    result = evaluate(bike, fitted(bike))
    assert any("3 gears are entered, but the number of gears says 2" in f.text for f in result.findings)
    assert gear_ratios(bike) == (2.5, 1.9, 1.5)


def test_a_finished_job_keeps_the_kind_that_its_sheet_rests_on() -> None:
    bike = example("naked")
    job = Job(date="2026-05-31", state="done", profile=kept_values(bike), kind=kept_kind(bike))
    today = replace(bike, kind="cruiser", jobs=(job,))
    assert bike_of(today, job).kind == "naked"
    assert evaluate(bike_of(today, job), fitted(bike)) == evaluate(bike, fitted(bike))
    read = bike_from_text(text_with(today, ""), "x").bike
    assert read.jobs == (job,)
    # A job of an older version says no kind: nothing typical stood behind its sheet, but a sidecar did not lean.
    old = replace(job, kind=None)
    assert bike_of(today, old).kind == "solo"
    assert bike_of(replace(today, kind="sidecar"), old).kind == "sidecar"
    assert kept_kind(replace(bike, kind="solo")) is None


@settings(max_examples=40, deadline=None)
@given(bikes(), st.sampled_from(KINDS))
def test_any_bike_of_any_kind_can_be_evaluated(bike: Bike, kind: str) -> None:
    one = replace(bike, kind=kind)
    result = evaluate(one, fitted(one))
    assert bool(assumed.of_kind(result.assumed)) == any(f.about == TYPICAL_VALUES for f in result.findings)
    for found in result.assumed:
        assert found.text
