"""Proposals kept with a bike, and the job that comes of one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.bike.work.job import JobPart
from gearplan.bike.work.proposal import changed
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.job import NotYet, current, with_job
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.quote.fitting import agreed
from gearplan.plan.quote.proposals import (
    at_start,
    is_kept,
    open_words,
    pinned,
    place_of,
    set_of,
    with_proposal,
    without,
)

DAY = date(2026, 3, 2)
BIKE = demo_bike().bike


def offered(*rears: int, bike: Bike = BIKE) -> Bike:
    for rear in rears:
        bike = with_proposal(bike, replace(fitted(BIKE), rear=rear), DAY, wishes=("calmer",), cruise_kmh=120.0)
    return bike


def test_a_set_is_kept_once_under_a_free_name_with_what_was_wished() -> None:
    bike = offered(45, 44, 45)
    assert [(one.name, one.rear, one.state, one.date) for one in bike.proposals] == [
        ("Set A", 45, "offered", "2026-03-02"),
        ("Set B", 44, "offered", "2026-03-02"),
    ]
    assert bike.proposals[0].wishes == ("calmer",)
    assert bike.proposals[0].cruise_kmh == 120.0
    assert [one.name for one in offered(43, bike=without(bike, 0)).proposals] == ["Set B", "Set A"]
    # What was declined can be offered anew.
    again = offered(45, bike=replace(bike, proposals=changed(bike.proposals, 0, state="declined")))
    assert [one.state for one in again.proposals] == ["declined", "offered", "offered"]
    assert len(offered(*range(30, 70)).proposals) == 40


def test_the_last_four_open_ones_stand_side_by_side() -> None:
    bike = offered(45, 44, 43, 42, 41, 40)
    assert pinned(bike) == (2, 3, 4, 5)
    assert pinned(replace(bike, proposals=changed(bike.proposals, 3, state="declined"))) == (1, 2, 4, 5)
    assert open_words(replace(bike, proposals=changed(bike.proposals, 0, state="agreed"))) == "1 agreed, 5 offered"
    assert open_words(BIKE) == ""


def test_work_goes_on_with_what_was_agreed_else_with_the_last_offered() -> None:
    bike = offered(45, 44, 43)
    assert at_start(BIKE) is None
    assert at_start(bike) == bike.proposals[2]
    settled = changed(changed(bike.proposals, 0, state="agreed"), 2, state="declined")
    assert at_start(replace(bike, proposals=settled)) == settled[0]
    assert at_start(replace(bike, proposals=tuple(replace(p, state="fitted") for p in settled))) is None
    assert is_kept(bike, set_of(bike.proposals[1]))
    # What was declined stands in the file all the same.
    assert is_kept(replace(bike, proposals=settled), set_of(settled[2]))
    assert is_kept(bike, fitted(bike))
    assert not is_kept(bike, DriveSet(14, 40, None, None))


def test_what_was_agreed_begins_its_job_with_the_parts_that_were_quoted() -> None:
    bike = offered(45)
    parts = (JobPart("rear", 1, "R-45", 48.5), JobPart("grease", 0.5, None, 12.0))
    bike = replace(bike, proposals=changed(bike.proposals, 0, parts=parts, new_chain="yes"))
    begun = agreed(bike, 0, DAY, "M. K.")
    job = current(begun)
    assert job is not None
    assert (job.rear, job.new_rear, job.new_front, job.new_chain, job.parts) == (45, "yes", "no", "yes", parts)
    assert (job.opened, job.wheel_out, job.technician, job.date) == ("cut", "yes", "M. K.", "2026-03-02")
    assert begun.proposals[0].state == "agreed"
    with pytest.raises(NotYet, match="A job is open: 520: "):
        agreed(begun, 0, DAY)
    assert current(agreed(with_job(begun, job, None), 0, DAY)) is not None


def test_a_set_with_a_new_chain_is_another_offer_than_one_that_keeps_the_fitted_chain() -> None:
    renewed = replace(fitted(BIKE), rear=45, new_chain=True)
    bike = with_proposal(offered(45), renewed, DAY)
    assert [one.new_chain for one in bike.proposals] == [None, "yes"]
    assert set_of(bike.proposals[1]) == renewed
    assert (place_of(bike, renewed), place_of(bike, replace(renewed, new_chain=False))) == (1, 0)
    job = current(agreed(bike, 1, DAY))
    assert job is not None
    assert job.new_chain == "yes"
    assert new_set(job) == renewed
    # Where the count asks for a new chain anyhow, saying so makes no other set of it.
    longer = with_proposal(BIKE, replace(fitted(BIKE), links=114), DAY)
    said = replace(longer, proposals=changed(longer.proposals, 0, new_chain="yes"))
    assert place_of(said, replace(fitted(BIKE), links=114)) == 0
