"""Steps and parts adapt to the job; it is signed only with readings or reasons; finishing fits the set."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings

from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock, StockItem
from gearplan.bike.work.job import Job
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.finishing import after_ride, finish, hinders_finish
from gearplan.plan.job.job import (
    NotYet,
    begin,
    contradictions,
    current,
    is_signed,
    sign,
    still_to_sign,
    unsign,
    with_job,
    with_part,
    with_reading,
    with_reason,
)
from gearplan.plan.job.parts import parts, total
from gearplan.plan.job.steps.order import steps, targets_missing
from gearplan.plan.job.steps.scope import new_set
from tests.bike.strategies import bikes, jobs
from tests.plan.job.workshop import DAY, conversion, serviced, signed, written


def keys(bike: Bike, job: Job) -> list[str]:
    return [step.key for step in steps(bike, job)]


def job_for(**change: object) -> Job:
    bike = serviced()
    return begin(bike, replace(fitted(bike), **change), DAY)  # type: ignore[arg-type]


def test_a_conversion_goes_through_everything_in_working_order() -> None:
    assert keys(serviced(), conversion(serviced())) == [
        "secure", "old_chain", "lever", "front_loose", "slacken", "cut", "wheel_out", "inspect", "rear", "front",
        "wheel_in", "brake", "chain_line", "count", "press", "rivet", "slack", "align", "axle", "slack_again",
        "front_torque", "cover", "lubricate", "ride", "recheck",
    ]  # fmt: skip


def test_one_front_sprocket_leaves_chain_and_wheel_alone() -> None:
    listed = keys(serviced(), job_for(front=14))
    assert "front_torque" in listed
    assert "lay_on" in listed
    assert not {"cut", "press", "rivet", "wheel_out", "rear", "count"} & set(listed)


def test_one_rear_sprocket_takes_the_wheel_out_but_not_the_front_nut() -> None:
    listed = keys(serviced(), job_for(rear=44))
    assert {"wheel_out", "rear", "wheel_in"} <= set(listed)
    assert not {"lever", "front_loose", "front_torque", "cut"} & set(listed)


def test_split_clip_and_endless_chains_have_their_own_steps() -> None:
    job = conversion(serviced())
    split = keys(serviced(), replace(job, opened="split at its link", closed="clip link"))
    assert "split" in split
    assert "clip" in split
    assert not {"cut", "press", "rivet"} & set(split)
    endless = keys(serviced(), replace(job, opened="left closed", closed="endless"))
    assert {"swingarm_out", "swingarm_in", "wheel_out"} <= set(endless)
    assert not {"cut", "press", "rivet", "clip"} & set(endless)


def test_a_step_appears_once_and_blanks_are_never_shared() -> None:
    answers = itertools.product(("yes", "no"), repeat=4)
    for (front, rear, chain, wheel), opened, closed in itertools.product(
        answers, ("cut", "split at its link", "left closed"), ("rivet link", "clip link", "endless")
    ):
        job = replace(
            conversion(serviced()), new_front=front, new_rear=rear, new_chain=chain, wheel_out=wheel, opened=opened,
            closed=closed,
        )  # fmt: skip
        listed = steps(serviced(), job)
        assert len({step.key for step in listed}) == len(listed)
        blanks = [blank.key for step in listed for blank in step.blanks]
        assert len(set(blanks)) == len(blanks)
        assert ("wheel_in" in keys(serviced(), job)) == ("wheel_out" in keys(serviced(), job))


def test_missing_service_data_is_a_finding_and_never_a_number() -> None:
    bare = Bike()
    listed = steps(bare, conversion(bare))
    shown = [target for step in listed for target in step.targets if target.text]
    assert [target.label for target in shown] == ["Links"]
    fields = {f.field for f in targets_missing(listed)}
    assert {"service.front_nut_nm", "service.slack_range_mm", "service.rivet_flare_mm"} <= fields
    # The workshop's bike has its service data; only the maker's wear limit was never entered.
    assert [f.field for f in targets_missing(steps(serviced(), conversion(serviced())))] == [
        "limits.chain_elongation_percent"
    ]


def test_targets_say_both_units_and_where_they_were_read() -> None:
    axle = next(s for s in steps(serviced(), conversion(serviced())) if s.key == "axle").targets[0]
    assert (axle.text, axle.source) == ("93 N·m (68.6 lbf·ft)", "manual, page 6-3")


def test_parts_of_a_conversion() -> None:
    listed = {part.key: part for part in parts(serviced(), conversion(serviced()))}
    assert listed["chain"].name == "525 chain, 112 links or longer, cut to length, open"
    assert (listed["link"].quantity, listed["link"].why) == (2, "one and a spare")
    assert listed["front"].name == "Front sprocket, 16 teeth, for 525"
    assert (listed["rear_nuts"].action, listed["rear_nuts"].quantity) == ("order", 6)
    assert listed["front_nut"].name == "Front nut's tab washer"
    assert listed["rings"].action == "order"
    assert listed["bearings"].action == "reuse"


def test_parts_that_nothing_is_known_of_are_looked_up_and_not_guessed() -> None:
    listed = {part.key: part for part in parts(Bike(), conversion(Bike()))}
    assert listed["front_nut"].action == listed["rear_nuts"].action == listed["rings"].action == "look up"


def test_one_sprocket_reuses_the_rest() -> None:
    listed = {part.key: part.action for part in parts(serviced(), job_for(front=14))}
    assert listed["front"] == "order"
    assert listed["rear"] == listed["chain"] == "reuse"
    assert "link" not in listed
    shorter = replace(job_for(links=110), new_chain="no", opened="cut")
    chain = next(part for part in parts(serviced(), shorter) if part.key == "chain")
    assert (chain.action, chain.name) == ("reuse", "520 chain, shortened to 110 links")


def test_the_shops_own_numbers_stand_over_the_stock_list() -> None:
    stock = Stock((StockItem("525", "front", 16, 2, 31.5), StockItem("525", "chain", 120, 1, 140.0)))
    job = with_part(conversion(serviced()), "front", price=29.0, quantity=1.0, number="F-16")
    listed = {part.key: part for part in parts(serviced(), job, stock)}
    assert listed["front"].price == 29.0
    assert (listed["chain"].price, listed["chain"].why) == (140.0, "cut from 120 links")
    summed, unpriced = total(tuple(listed.values()))
    assert summed == 169.0
    assert unpriced > 0
    assert with_part(job, "front", price=None, quantity=None, number=None).parts == ()


def test_a_step_is_signed_only_with_its_reading_or_a_reason() -> None:
    bike = serviced()
    job = conversion(bike)
    press = next(step for step in steps(bike, job) if step.key == "press")
    with pytest.raises(NotYet, match="Still needed: New link"):
        sign(bike, job, press, "M. K.")
    with pytest.raises(NotYet, match="initials"):
        sign(bike, written(bike, job), press, " ")
    assert is_signed(bike, sign(bike, written(bike, job), press, "M. K."), press)
    reasoned = sign(bike, with_reason(job, "press", "caliper broken, compared with a gauge"), press, "M. K.")
    assert is_signed(bike, reasoned, press)
    assert not is_signed(bike, unsign(reasoned, "press"), press)


def test_a_reading_that_goes_wrong_after_the_sign_off_takes_it_back() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    assert hinders_finish(bike, job) == ""
    worse = with_reading(job, "press_width", "17.9 mm")
    assert [step.key for step in still_to_sign(bike, worse)] == ["press"]
    with pytest.raises(NotYet, match="Press the closing link"):
        finish(bike, worse)


def test_finishing_fits_the_set_and_begins_a_new_chains_life() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    bike = with_job(bike, job, job)
    done = finish(bike, job)
    assert fitted(done) == DriveSet(16, 47, 112, "525")
    assert done.wear.readings is None
    assert done.jobs[-1].old_wear == bike.wear.readings
    assert done.jobs[-1].state == "fitted"
    assert done.chassis.axle_now_mm == 571.2
    again = current(done)
    assert again is not None
    last = steps(done, again)[-1]
    ended = after_ride(done, sign(done, with_reading(again, "recheck_slack", "31"), last, "M. K."))
    assert ended.state == "done"
    assert current(with_job(done, again, ended)) is None


def test_a_job_cannot_be_finished_without_odometer_or_consent() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    assert hinders_finish(bike, replace(job, odometer_km=None)) == "Enter the odometer."
    track = replace(job, track_only="yes")
    assert "consent" in hinders_finish(bike, track)
    assert hinders_finish(bike, replace(track, consent="yes")) == ""


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"new_front": "no"}, "The front sprocket changes"),
        ({"new_rear": "no"}, "The rear sprocket changes"),
        ({"new_chain": "no"}, "Another chain size needs a new chain."),
    ],
)
def test_answers_that_do_not_go_together_are_told(change: dict[str, str], told: str) -> None:
    assert not contradictions(conversion(serviced()))
    assert told in contradictions(replace(conversion(serviced()), **change))[0].text  # type: ignore[arg-type]


def test_a_longer_chain_is_a_new_one_and_a_shorter_one_is_opened() -> None:
    longer = replace(job_for(links=114), new_chain="no")
    assert "112 links cannot become 114" in contradictions(longer)[0].text
    shorter = replace(job_for(links=110), new_chain="no", opened="left closed")
    assert "must be opened" in contradictions(shorter)[0].text


def test_what_was_typed_outlives_a_step_that_goes_and_comes_back() -> None:
    bike = serviced()
    job = written(bike, conversion(bike))
    away = replace(job, closed="clip link")
    assert "press" not in keys(bike, away)
    assert replace(away, closed="rivet link") == job


def test_a_filled_job_survives_its_file_and_a_year() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    done = finish(with_job(bike, job, job), job)
    assert bike_from_text(text_with(done, ""), "x").bike == done
    assert new_set(done.jobs[-1]) == fitted(done)


@given(bikes(), jobs())
@settings(max_examples=60)
def test_any_bike_and_any_job_have_steps_and_parts(bike: Bike, job: Job) -> None:
    listed = steps(bike, job)
    assert 12 <= len(listed) <= 28
    assert all(step.title and step.how for step in listed)
    found = parts(bike, job)
    assert len({part.key for part in found}) == len(found)
    assert len(still_to_sign(bike, job)) <= len(listed)
    begun = begin(bike, new_set(job), date(2026, 1, 1))
    assert steps(bike, begun)


def test_the_check_after_the_ride_of_a_job_that_another_followed_is_not_at_hand() -> None:
    bike = serviced()
    first, second = replace(conversion(bike), state="fitted"), replace(conversion(bike), state="fitted", rear=45)
    assert current(replace(bike, jobs=(first,))) == first
    assert current(replace(bike, jobs=(first, second))) == second
    assert current(replace(bike, jobs=(first, replace(second, state="done")))) is None
    begun = replace(second, state="open")
    assert current(replace(bike, jobs=(first, begun))) == begun
