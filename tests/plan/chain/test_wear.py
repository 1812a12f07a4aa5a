"""One wear limit everywhere, and one check of what a reading can be."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.drive.chain import wear as driven
from gearplan.plan.chain.wear import forecast_text, refused_reading, unlikely, wear_limit, wear_state
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import default_space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.job.job import begin
from gearplan.plan.job.kept import kept_values
from gearplan.plan.job.parts import parts
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.verdicts import step_state
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid
from gearplan.plan.set.verdict import verdict
from gearplan.setup.wornchain import reading_elongations
from gearplan.sheet.fitting.content import fitting_sheet
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
    assert reading_elongations(with_value(bike, "wear", "readings", readings)) == pytest.approx(
        [driven.elongation(mm / 1000, 20, 0.015875) for _, mm in readings]
    )
    only = wear_state(with_value(bike, "wear", "readings", ((20000, 31.86),)))
    assert only is not None
    assert only.forecast is None
    assert forecast_text(only) == "Measure again to know when it is due."


def test_a_limit_that_the_last_reading_has_passed_is_due_now() -> None:
    """1.5 % of 317.5 mm are 4.76 mm: on the line from 0.2 % at 12,400 km to 1.6 % at 18,300 km that is behind."""
    state = wear_state(with_length(317.5 * 1.016))
    assert state is not None
    assert forecast_text(state) == "By its readings the chain is due now."


WORN = 322.3


def kept(bike: Bike, chosen: DriveSet) -> list[Finding]:
    return [f for f in evaluate(bike, chosen).findings if f.about == "chain wear"]


def test_a_worn_out_chain_fits_no_set_that_keeps_it() -> None:
    """1.51 % of 317.5 mm: 322.3 mm; the trade's limit is 1.5 %."""
    bike = with_length(WORN)
    on = fitted(bike)
    for chosen in (on, replace(on, front=16), replace(on, rear=45)):
        (told,) = kept(bike, chosen)
        assert told.text == (
            "The fitted chain is worn out: 1.51 % longer than new, limit 1.5 % (common practice). Replace it."
        )
        assert evaluate(bike, chosen).verdict == "check"
        said = verdict(evaluate(bike, chosen))
        assert "112 links fit" in said.passed[0]
        assert told.text in said.told
    for chosen in (replace(on, links=110), replace(on, chain="525")):
        assert not kept(bike, chosen)


def test_a_chain_that_is_nearly_worn_out_is_told_and_decides_nothing() -> None:
    # The axle was read with a chain less worn.
    bike = with_value(with_length(321.4), "chassis", "axle_now_mm", None)
    (told,) = kept(bike, fitted(bike))
    assert told.aside
    assert "The fitted chain is 1.23 % longer than new" in told.text
    assert evaluate(bike, fitted(bike)).verdict == "fits"
    assert not kept(with_length(318.5), fitted(bike))


def test_a_chain_that_once_read_worn_out_may_well_be() -> None:
    """1.6 %, then 1.2 %: no chain gets shorter, so which of both is right is to be seen first."""
    bike = with_value(demo_bike().bike, "wear", "readings", ((12400, 317.5 * 1.016), (18300, 317.5 * 1.012)))
    (told,) = kept(bike, fitted(bike))
    assert told.level == "check"
    assert not told.aside


def test_grid_and_choices_judge_the_worn_chain_as_the_single_sets() -> None:
    bike = with_length(WORN)
    on = fitted(bike)
    fronts, rears = (14, 15, 16), (44, 45, 46, 47)
    found = evaluate_grid(bike, replace(on, front=None, rear=None), fronts, rears)
    for row in range(len(rears)):
        for column in range(len(fronts)):
            assert found.levels[row][column] == evaluate(bike, found.set_at(row, column)).verdict
    all_sets = candidates(bike, default_space(bike, fronts=(14, 16), rears=(44, 47), chains=("525",)))
    levels = {all_sets.level_at(k) for k in range(all_sets.count)}
    assert {"check", "fits"} <= levels
    for k in range(all_sets.count):
        assert all_sets.level_at(k) == evaluate(bike, all_sets.set_at(k)).verdict


def test_a_job_renews_a_worn_out_chain_of_the_same_length() -> None:
    bike = with_length(WORN)
    chosen = replace(fitted(bike), rear=47)
    job = begin(bike, chosen, date(2026, 5, 31))
    assert (job.new_chain, job.opened) == ("yes", "cut")
    chain = next(part for part in parts(bike, job) if part.key == "chain")
    assert (chain.action, chain.why) == ("order", "instead of the worn one")
    sheet = fitting_sheet(bike, job)
    assert sheet.verdict == "fits"
    assert not any("worn out" in text for text in sheet.reasons)
    stays = replace(job, new_chain="no")
    chain = next(part for part in parts(bike, stays) if part.key == "chain")
    assert (chain.action, chain.why) == ("reuse", "worn out by the wear log: renew it")
    assert fitting_sheet(bike, stays).verdict == "check"
    # What a finished job says stays as it was, whatever is measured later.
    done = replace(stays, state="done", profile=kept_values(bike))
    for later in (bike, with_value(bike, "wear", "readings", None)):
        assert fitting_sheet(later, done).reasons[:2] == fitting_sheet(bike, stays).reasons[:2]
        assert next(part for part in parts(later, done) if part.key == "chain").why == chain.why
    assert begin(with_length(321.4), chosen, date(2026, 5, 31)).new_chain == "no"


def test_a_chain_that_got_shorter_is_no_good_reading() -> None:
    """0.98 % is 320.6 mm; new is 317.5 mm."""
    bike = with_value(demo_bike().bike, "wear", "readings", ((12400, 320.6), (18300, 317.5)))
    state = wear_state(bike)
    assert state is not None
    assert state.finding.level == "check"
    assert state.finding.text == (
        "The chain reads 0.00 % longer than new, but 0.98 % at 12400 km (7705 mi): a chain does not get shorter. "
        "Measure again; if it is a new chain, remove the readings of the old one."
    )
    assert kept(bike, fitted(bike))[0].aside
    worn = with_value(bike, "wear", "readings", ((12400, WORN), (18300, 317.5)))
    assert evaluate(worn, fitted(worn)).verdict == "check"
    # Nobody reads a rule to two tenths of a per cent.
    near = wear_state(with_value(bike, "wear", "readings", ((12400, 318.2), (18300, 317.7))))
    assert near is not None
    assert near.finding.level == "fits"


def test_a_chain_fitted_between_two_readings_begins_its_own_log() -> None:
    bike = with_value(demo_bike().bike, "wear", "readings", ((12400, 322.6), (18300, 317.5)))
    job = replace(conversion(bike), state="done", odometer_km=15000.0)
    state = wear_state(replace(bike, jobs=(job,)))
    assert state is not None
    assert (state.finding.level, state.readings) == ("fits", ((18300, 0.0),))
    other = replace(bike, jobs=(replace(job, new_chain="no"), replace(job, state="open")))
    before = wear_state(other)
    assert before is not None
    assert before.finding.level == "check"
