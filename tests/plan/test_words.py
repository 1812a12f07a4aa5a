"""Sentences and explanations, built from the same numbers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, RPM
from gearplan.commands.output import numberstext
from gearplan.plan.customer.page import Asked, customer
from gearplan.plan.driveset import fitted, without_sprockets
from gearplan.plan.pull.words import pull_text
from gearplan.plan.set import words as setwords
from gearplan.plan.set.compare import gear_rows, speed_lines
from gearplan.plan.set.conversion import cautions
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid, front_exchanges
from gearplan.plan.set.how.numbers import EXPLAINED, explain
from tests.bike.strategies import bikes

#: A minus before nothing, or one of many.
WRONG = re.compile(
    r"(?<![\d–])[-−]0(?:\.0+)?(?!\d|\.\d)|(?<![\d.,/–-])1 (?:whole )?(?:up-shifts|links|teeth|laps|corners|sets|gears|"
    r"values|parts|turns|gaps|sections|places|coast-downs)\b"
)
BIKE = demo_bike().bike
ON = evaluate(BIKE, fitted(BIKE))
SHORTER = evaluate(BIKE, replace(fitted(BIKE), front=14))


def test_what_the_change_feels_like() -> None:
    assert setwords.feel(setwords.change(ON, SHORTER)) == "7.1 % shorter: revs more"
    assert setwords.feel(setwords.change(SHORTER, ON)) == "6.7 % taller: revs less"
    assert setwords.feel(setwords.change(ON, ON)) == "same ratio as fitted"


def test_the_exchange_in_words() -> None:
    chosen = fitted(BIKE)
    text = setwords.exchange_text(chosen, front_exchanges(chosen))
    assert "One front tooth fewer acts like 3.29 rear teeth more" in text
    assert "14/43 (+0.16 %)" in text
    # With the 112 links that are on, 14/43 puts the axle behind the adjuster's end.
    around = evaluate_grid(BIKE, without_sprockets(chosen), (14, 15, 16), tuple(range(40, 53)))
    row, column = around.cell_of(14, 43) or (0, 0)
    assert around.levels[row][column] == evaluate(BIKE, replace(chosen, front=14, rear=43)).verdict == "does not fit"
    text = setwords.exchange_text(chosen, front_exchanges(chosen), around)
    assert "14/43 (+0.16 %, does not fit)." in text
    assert "16/49 (−0.14 %)." in text


def test_rows_of_the_gears_by_hand() -> None:
    """Gear 1 → 2 of the demo bike: 32/13 over 30/16 is 1.3128, so 10500 rpm fall to 7998."""
    row = gear_rows(BIKE, ON, SHORTER, 100 * KMH)[0]
    assert row.step == pytest.approx(0.31282, abs=1e-5)
    assert row.after_shift is not None
    assert row.after_shift / RPM == pytest.approx(7998.0, abs=0.1)
    assert row.engine_at_cursor[0] is not None
    assert row.engine_at_cursor[1] is not None
    assert row.engine_at_cursor[1] / row.engine_at_cursor[0] == pytest.approx(15 / 14)
    assert gear_rows(BIKE, ON, ON, 0.0)[-1].step is None


def test_the_saw_ends_at_the_top_speed() -> None:
    lines = speed_lines(BIKE, SHORTER)
    assert lines is not None
    assert SHORTER.speed_at_redline is not None
    assert lines.run_speed[-1] == pytest.approx(SHORTER.speed_at_redline[-1])
    assert lines.run_engine.max() == pytest.approx(lines.redline)


@pytest.mark.parametrize("which", ["", ":fitted"])
@pytest.mark.parametrize("what", EXPLAINED)
def test_every_number_can_be_explained(what: str, which: str) -> None:
    said = explain(what + which, BIKE, SHORTER.set, gear=2, cursor=100 * KMH)
    assert said.formula
    assert said.inputs
    assert said.source
    assert "–" not in said.result


def test_an_explanation_s_result_is_the_number_shown() -> None:
    said = explain("engine_at_cursor", BIKE, SHORTER.set, gear=6, cursor=100 * KMH)
    assert said.result == "4886 rpm"
    assert explain("final_ratio", BIKE, SHORTER.set).result == "3.2857"
    assert "582 mm" in explain("links", BIKE, SHORTER.set).result


@given(bikes())
@settings(max_examples=60)
def test_any_bike_can_be_told(bike: Bike) -> None:
    chosen = fitted(bike)
    assert numberstext.numbers_text(bike, chosen)
    result = evaluate(bike, chosen)
    assert setwords.chart_in_words(result, result, "mph")
    for what in EXPLAINED:
        gears = len(result.gear_ratios or ())
        for gear in range(1, gears + 1):
            assert explain(what, bike, chosen, gear=gear, cursor=20.0).title


@given(bikes(), st.sampled_from([13, 15, 17]), st.sampled_from([38, 46, 50]))
@settings(max_examples=60)
def test_no_text_says_minus_nothing_or_one_of_many(bike: Bike, front: int, rear: int) -> None:
    chosen = replace(fitted(bike), front=front, rear=rear)
    on, then = evaluate(bike, fitted(bike)), evaluate(bike, chosen)
    content = customer(bike, chosen, Asked())
    told = [
        numberstext.numbers_text(bike, chosen),
        pull_text(bike, chosen),
        *(f.text for result in (on, then) for f in result.findings),
        *(sentence.text for sentence in content.sentences),
        *content.lacking,
        *content.assumptions,
        setwords.squat_sentence(on, then),
        *cautions(bike, on, then),
    ]
    for text in told:
        assert not WRONG.search(text), text


@pytest.mark.parametrize("text", ["touches, -0.0 mm", "gap −0.00 s", "1 up-shifts", "1 whole laps", "falls by −0."])
def test_what_is_wrong_is_found(text: str) -> None:
    assert WRONG.search(text)


@pytest.mark.parametrize(
    "text", ["−0.5 mm", "11 links", "0–100 km/h", "1 to 3", "2026-05-31", "gear 1 reaches", "400-08"]
)
def test_what_is_right_is_left_alone(text: str) -> None:
    assert not WRONG.search(text)
