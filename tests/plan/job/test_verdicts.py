"""Readings judge themselves: in range, out of range with what to do, and asked about where they cannot be meant."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.profile import Bike, Service
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.units import MM, measured_in
from gearplan.bike.work.job import Job
from gearplan.plan.job.job import with_reading
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.readings import FACTORS, Blank, parse_reading, question, shown
from gearplan.plan.job.verdicts import StepState, step_state
from tests.plan.job.workshop import conversion, serviced, written


def state(key: str, bike: Bike | None = None, /, **texts: str) -> StepState:
    """One step of the conversion with only these readings."""
    machine = serviced() if bike is None else bike
    job: Job = replace(conversion(machine), readings=())
    for blank, text in texts.items():
        job = with_reading(job, blank, text)
    return step_state(machine, job, next(step for step in steps(machine, job) if step.key == key))


def levels(found: StepState) -> list[str]:
    return [f.level for f in found.findings]


def without(*keys: str) -> Bike:
    bike = serviced()
    return replace(bike, service=replace(bike.service, **dict.fromkeys(keys)))


def test_the_press_on_width_of_the_trade_is_accepted() -> None:
    found = state("press", press_width="17.50", press_beside_1="17.56", press_beside_2="17.52")
    assert not found.hindrance
    assert levels(found) == ["fits"]
    assert "0.06 mm narrower than the link beside it: accepted" in found.findings[0].text


@pytest.mark.parametrize(
    ("width", "told"),
    [
        ("17.80", "0.3 mm wider than the link beside it, 0.12 mm is allowed: press the plate on a little further"),
        ("17.20", "pressed too far. If the link is stiff, fit a new one"),
    ],
)
def test_a_width_out_of_tolerance_says_what_to_do(width: str, told: str) -> None:
    found = state("press", press_width=width, press_beside_1="17.50", press_beside_2="17.50")
    assert levels(found) == ["does not fit"]
    assert told in found.hindrance


def test_a_tolerance_that_nobody_entered_is_marked_as_practice() -> None:
    bike = without("press_width_mm", "press_tolerance_mm")
    found = state("press", bike, press_width="17.60", press_beside_1="17.50", press_beside_2="17.50")
    assert levels(found) == ["fits"]
    assert found.findings[0].source == "common practice, no source"
    assert state("press", bike, press_width="17.61", press_beside_1="17.50", press_beside_2="17.5").hindrance


def test_the_chain_makers_width_counts_beside_the_neighbours() -> None:
    found = state("press", press_width="17.70", press_beside_1="17.70", press_beside_2="17.70")
    assert "than the chain maker says" in found.hindrance


@pytest.mark.parametrize(
    ("before", "after", "level", "told"),
    [
        ("5.1", "5.65", "fits", "grown by 0.55 mm; within 5.5 mm to 5.8 mm"),
        ("5.1", "5.5", "fits", "within"),
        ("5.1", "5.8", "fits", "within"),
        ("5.1", "5.4", "does not fit", "at least 5.5 mm: flare on in small steps"),
        ("5.1", "5.9", "does not fit", "overpressed, it can crack. Fit a new link"),
        ("5.6", "5.1", "does not fit", "Were before and after swapped?"),
    ],
)
def test_the_flare_grows_into_its_range_and_not_beyond(before: str, after: str, level: str, told: str) -> None:
    found = state("rivet", flare_1_before=before, flare_1_after=after, flare_2_before="5.1", flare_2_after="5.6")
    assert levels(found) == [level, "fits"]
    assert told in found.findings[0].text


def test_without_the_makers_range_the_flare_is_recorded_and_the_field_named() -> None:
    pins = {"flare_1_before": "5.1", "flare_1_after": "5.9", "flare_2_before": "5.1", "flare_2_after": "5.6"}
    found = state("rivet", without("rivet_flare_mm"), **pins)
    assert not found.hindrance
    assert [f.field for f in found.findings if f.level == "check"] == ["service.rivet_flare_mm"]


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        (("30", "31", "34", "32"), ["fits", "fits"]),
        (("26", "36", "30", "30"), ["fits", "fits"]),
        (("25.9", "30", "30", "30"), ["does not fit", "fits"]),
        (("37", "38", "39", "38"), ["does not fit", "check"]),
        (("30", "38", "31", "31"), ["fits", "check"]),
        (("27", "38", "31", "31"), ["fits", "does not fit"]),
    ],
)
def test_slack_is_judged_at_the_tightest_and_by_its_spread(places: tuple[str, ...], expected: list[str]) -> None:
    found = state("slack", None, **{f"slack_{n}": text for n, text in enumerate(places, 1)})
    assert levels(found) == expected


def test_slack_without_a_range_is_written_down_and_no_number_is_invented() -> None:
    found = state("slack", without("slack_range_mm"), slack_1="30", slack_2="31", slack_3="33", slack_4="30")
    assert not found.hindrance
    assert found.findings[0].field == "service.slack_range_mm"
    assert all(f.limit is None for f in found.findings)


@pytest.mark.parametrize(
    ("right", "level"), [("577.5", "fits"), ("576.0", "fits"), ("575.9", "does not fit"), ("579.1", "does not fit")]
)
def test_both_sides_may_differ_by_the_limit(right: str, level: str) -> None:
    found = state("align", align_left="577.5", align_right=right)
    assert levels(found) == [level]
    if level != "fits":
        assert f"the {'left' if right == '575.9' else 'right'} side reads more" in found.hindrance


def test_the_trades_alignment_is_marked() -> None:
    found = state("align", without("alignment_mm"), align_left="577.5", align_right="576.4")
    assert levels(found) == ["does not fit"]
    assert found.findings[0].source == "common practice, no source"


@pytest.mark.parametrize(
    ("setting", "level"),
    [
        ("96", "fits"), ("71 lbf·ft", "fits"), ("99.8", "fits"), ("92.2", "fits"), ("100", "does not fit"),
        ("90", "does not fit"),
    ],
)  # fmt: skip
def test_the_wrench_is_set_to_the_torque(setting: str, level: str) -> None:
    assert levels(state("front_torque", front_setting=setting)) == [level]


def test_a_torque_that_is_not_entered_is_recorded_and_the_field_named() -> None:
    found = state("front_torque", without("front_nut_nm"), front_setting="85")
    assert not found.hindrance
    assert (found.findings[0].level, found.findings[0].field) == ("check", "service.front_nut_nm")


def test_the_old_chain_is_judged_by_its_elongation() -> None:
    worn = state("old_chain", gauge_links="20", gauge_length="329.2")
    assert "worn out: 3.69 % longer than new" in worn.findings[0].text
    assert worn.findings[0].level == "fits"  # it is replaced
    short = state("old_chain", gauge_links="20", gauge_length="310")
    assert "count the links" in short.hindrance


def test_the_links_are_counted_before_the_cut() -> None:
    assert not state("count", links="112").hindrance
    assert "114 links counted, 112 wanted: count again" in state("count", links="114").hindrance


@pytest.mark.parametrize(
    ("step", "readings", "meant"),
    [
        ("press", {"press_width": "0.689"}, "0.689 in"),
        ("press", {"press_width": "17.5 in"}, "17.5 mm"),
        ("press", {"press_width": "175"}, "17.5 mm"),
        ("press", {"press_width": "1,75"}, "17.5 mm"),
        ("slack", {"slack_1": "1.25"}, "1.25 in"),
        ("slack", {"slack_1": "300"}, "30 mm"),
        ("axle", {"axle_setting": "9.3"}, "93 N·m"),
        ("axle", {"axle_setting": "930"}, "93 N·m"),
        ("rivet", {"flare_1_before": "0.201"}, "0.201 in"),
        ("count", {"links": "12"}, ""),
    ],
)
def test_a_reading_ten_times_off_or_in_the_other_unit_is_asked_about(
    step: str, readings: dict[str, str], meant: str
) -> None:
    found = state(step, None, **readings)
    assert [q.meant for q in found.questions] == [meant]
    assert found.hindrance == found.questions[0].text
    assert not found.readings  # not judged as it stands


def test_without_service_data_the_first_reading_of_a_step_is_the_measure_of_the_next() -> None:
    bike = replace(serviced(), service=Service())
    found = state("press", bike, press_width="17.5", press_beside_1="0.69 in", press_beside_2="0.69")
    assert [q.meant for q in found.questions] == ["0.69 in"]


@pytest.mark.parametrize("text", ["loose", "17.5 kg", "1.234,5", "17,5,", "17 5", "--", "17.5 mm mm"])
def test_text_that_is_no_reading_says_so(text: str) -> None:
    found = state("press", press_width=text)
    assert found.unread[0][0] == "press_width"
    assert found.hindrance


def test_a_torque_beyond_any_motorcycle_is_not_taken() -> None:
    found = state("axle", without("axle_nm"), axle_setting="9000")
    assert found.questions
    assert "N·m" in found.questions[0].text


def test_a_question_writes_its_numbers_out() -> None:
    asked = state("align", axle_now="90000000").questions[0].text
    assert asked == "Pivot to axle: 90000000 mm can't be right; expected 100 mm to 1500 mm. Read it again."


def test_the_axle_s_place_is_not_held_against_the_sides() -> None:
    found = state("align", align_left="28", align_right="28", axle_now="571")
    assert not found.questions
    assert [q.meant for q in state("align", align_left="28", align_right="28.5", axle_now="17.5").questions] == [
        "17.5 in"
    ]


@given(st.sampled_from(["mm", "in"]), st.floats(0.02, 1000))
def test_a_reading_in_either_unit_comes_back(unit: str, number: float) -> None:
    read = parse_reading("length", f"{number:.4f} {unit}")
    assert parse_reading("length", shown(read.value, unit)).value == pytest.approx(read.value, abs=0.006 * MM * 25.4)


@given(st.text(max_size=12))
def test_no_text_is_ever_taken_for_what_it_is_not(text: str) -> None:
    for kind in ("length", "torque", "count"):
        try:
            read = parse_reading(kind, text)
        except NumberTextError:
            continue
        assert f"{read.number:g}"[0] in "0123456789-" or read.number < 0
        assert any(c.isdigit() for c in text)


@given(st.floats(-1e9, 1e9))
def test_a_question_names_bounds_or_what_is_meant(number: float) -> None:
    blank = Blank("w", "Width", "length", 4 * MM, 60 * MM, expected=17.5 * MM)
    read = parse_reading("length", f"{number:.4f}")
    asked = question(blank, read)
    if asked is None:
        assert 4 * MM <= read.value <= 60 * MM
    else:
        assert asked.meant in asked.text
        assert "mm" in asked.text


def test_all_that_is_in_order_lets_every_step_be_signed() -> None:
    bike = serviced()
    job = written(bike, conversion(bike))
    for step in steps(bike, job):
        assert not step_state(bike, job, step).hindrance, step.key


LENGTHS = {unit.name for unit in measured_in("mm")[0].units}  # type: ignore[index]


@pytest.mark.parametrize("unit", sorted(FACTORS))
def test_every_unit_that_may_be_written_can_be_told(unit: str) -> None:
    """The digits carry the value to within a hundredth of a millimetre or a tenth of a newton metre."""
    value = 0.1234567 if unit in LENGTHS else 98.76543
    told = shown(value, unit)
    number, name = told.split(" ", 1)
    assert name == unit
    assert float(number) * FACTORS[unit] == pytest.approx(value, abs=2e-5 if unit in LENGTHS else 0.2)


@pytest.mark.parametrize("text", ["10.2 kgf·m", "10 daN·m", "885 lbf·in", "1020 kgf·cm"])
def test_an_axle_torqued_in_any_unit_is_judged(text: str) -> None:
    bike, job = serviced(), conversion(serviced())
    step = next(one for one in steps(bike, job) if any(blank.key == "axle_setting" for blank in one.blanks))
    state = step_state(bike, with_reading(job, "axle_setting", text), step)
    assert not state.unread
    assert any(text.split()[1] in finding.text for finding in state.findings)
