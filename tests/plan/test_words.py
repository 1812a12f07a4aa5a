"""Sentences and explanations, built from the same numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.bike.units import KMH, RPM
from gearplan.commands import numberstext
from gearplan.plan.driveset import fitted
from gearplan.plan.set import words as setwords
from gearplan.plan.set.compare import gear_rows, speed_lines
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import front_exchanges
from gearplan.plan.set.how import EXPLAINED, explain
from tests.bike.strategies import bikes

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
    assert "582.2 mm" in explain("links", BIKE, SHORTER.set).result


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
