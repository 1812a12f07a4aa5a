"""One wear limit everywhere, and one check of what a reading can be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.drive import wear as driven
from gearplan.plan.driveset import fitted
from gearplan.plan.job.steps import steps
from gearplan.plan.job.verdicts import step_state
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.wear import elongations, forecast_text, refused_reading, unlikely, wear_limit, wear_state
from tests.plan.job.workshop import conversion, serviced
from tests.plan.job.workshop import written as filled


def with_length(mm: float) -> Bike:
    """A bike whose last reading over 20 links of 15.875 mm is so long."""
    bike = demo_bike().bike
    return with_value(bike, "wear", "readings", ((12400, 318.2), (18300, mm)))


@pytest.mark.parametrize(
    ("own", "sealed", "limit", "words"),
    [
        (None, None, 0.015, "1.5 % (common practice)"),
        (None, "no", 0.015, "1.5 % (common practice)"),
        (None, "yes", 0.010, "1.0 % (common practice)"),
        (2.0, "yes", 0.020, "2.0 %"),
        (0.8, None, 0.008, "0.8 %"),
    ],
)
def test_the_makers_limit_counts_else_the_trades(
    own: float | None, sealed: str | None, limit: float, words: str
) -> None:
    bike = with_value(with_value(Bike(), "limits", "chain_elongation_percent", own), "service", "chain_sealed", sealed)
    found = wear_limit(bike)
    assert (found.elongation, found.words, found.own) == (limit, words, own is not None)


def test_the_chain_page_the_verdict_and_the_step_have_the_same_limit() -> None:
    for own, sealed in ((None, "no"), (None, "yes"), (0.6, "no")):
        bike = with_length(323.0)
        bike = replace(bike, service=replace(serviced().service, chain_sealed=sealed))
        bike = with_value(bike, "limits", "chain_elongation_percent", own)
        limit = 100 * wear_limit(bike).elongation
        state = wear_state(bike)
        assert state is not None
        assert state.finding.limit == pytest.approx(limit)
        stands = 1000 * (evaluate(bike, fitted(bike)).run.axle_position or 0)
        tight = with_value(bike, "chassis", "axle_range_mm", (558.0, stands + 0.2))
        room = next(f for f in evaluate(tight, fitted(tight)).findings if f.about == "adjuster")
        assert room.limit == pytest.approx(limit)
        job = filled(bike, conversion(bike))
        job = replace(job, readings=tuple((k, "323 mm" if k == "gauge_length" else v) for k, v in job.readings))
        step = next(s for s in steps(bike, job) if s.key == "old_chain")
        assert step_state(bike, job, step).findings[0].limit == pytest.approx(limit)


@pytest.mark.parametrize(
    ("mm", "level"),
    [(318.0, "fits"), (321.4, "check"), (322.2, "check"), (322.3, "does not fit"), (325.4, "does not fit")],
)  # fmt: skip
def test_a_chain_is_worn_out_at_the_limit_and_watched_before(mm: float, level: str) -> None:
    """1.5 % of 317.5 mm is 322.26 mm, and four fifths of it 321.31 mm."""
    state = wear_state(with_length(mm))
    assert state is not None
    assert state.finding.level == level


@pytest.mark.parametrize("elongation", [-0.8997, -0.0051, 0.0601, 1.568])
def test_what_cannot_be_says_so(elongation: float) -> None:
    assert "can't be right: count the links" in unlikely(elongation)


@pytest.mark.parametrize("elongation", [-0.005, -0.001, 0.0, 0.0249, 0.06])
def test_what_can_be_is_taken(elongation: float) -> None:
    assert unlikely(elongation) == ""


def test_a_length_that_cannot_be_is_refused_by_the_log_and_by_the_step() -> None:
    bike = demo_bike().bike
    assert refused_reading(bike, 31.86) == (
        "90.0 % shorter than new can't be right: count the links and measure again under tension."
    )
    assert refused_reading(bike, 319.9) == ""
    assert refused_reading(with_value(bike, "wear", "gauge_links", None), 31.86) == ""
    job = conversion(bike)
    job = replace(job, readings=(("gauge_links", "20"), ("gauge_length", "32.1 in")))
    step = next(s for s in steps(bike, job) if s.key == "old_chain")
    found = step_state(bike, job, step)
    assert found.findings[0].level == "does not fit"
    assert found.findings[0].text.startswith("156.8 % longer than new can't be right")


def test_a_reading_in_the_file_that_cannot_be_counts_for_nothing_but_is_told() -> None:
    bike = demo_bike().bike
    good = wear_state(bike)
    assert good is not None
    readings = (*(bike.wear.readings or ()), (20000, 31.86))
    found = wear_state(with_value(bike, "wear", "readings", readings))
    assert found is not None
    assert (found.forecast, found.readings) == (good.forecast, good.readings)
    assert found.finding.level == "check"
    assert found.finding.text.startswith("The reading at 20000 km (12427 mi): 90.0 % shorter")
    assert elongations(with_value(bike, "wear", "readings", readings)) == pytest.approx(
        [driven.elongation(mm / 1000, 20, 0.015875) for _, mm in readings]
    )
    only = wear_state(with_value(bike, "wear", "readings", ((20000, 31.86),)))
    assert only is not None
    assert only.forecast is None
    assert forecast_text(only) == "Measure again to know when it is due."
