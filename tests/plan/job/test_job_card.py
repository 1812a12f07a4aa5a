"""The card of a job: time, a second person's check, torque marks, what is due again, the label, the file."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from gearplan.bike.profile import Bike, Owner
from gearplan.bike.work.job import Job, job_from_table, job_table
from gearplan.bike.work.jobcard import JobCard
from gearplan.plan.driveset import fitted
from gearplan.plan.job import card
from gearplan.plan.job import job as jobs
from gearplan.plan.job.finishing import hinders_finish
from gearplan.plan.job.steps.order import steps
from gearplan.sheet.fitting.content import LabelSheet, fitting_sheet, label_sheet
from tests.plan.job.workshop import serviced

BIKE = serviced()
FULL = JobCard(
    "yes", "W-1234", "2026-01-31", "Kestrel 520, lot 77", "returned to the customer", 120.5, 24000, "2026-10-01",
    150, "yes", ((1, 1), (500, 900), (0, 0), (10, 10)),
)  # fmt: skip


def _job() -> Job:
    begun = jobs.begin(BIKE, replace(fitted(BIKE), front=(BIKE.final_drive.front or 0) + 1), date(2026, 5, 4), "MK")
    return jobs.with_card(begun, "second_check", "yes")


def _signed(job: Job, key: str) -> Job:
    step = next(step for step in steps(BIKE, job) if step.key == key)
    return jobs.sign(BIKE, jobs.with_reason(job, key, "measured before"), step, "MK")


def test_the_card_goes_to_the_file_and_back_and_wrong_entries_are_told() -> None:
    job = replace(_job(), card=FULL, minutes=(("axle", "12"),), checked=(("axle", "AB"),), photos=(("a.jpg", "axle"),))
    again, faults, notices = job_from_table(job_table(job))
    assert again == job
    assert not faults
    assert not notices
    table = job_table(job)
    table["card"] |= {"due_date": "soon", "old_parts": "lost", "signature": [[1, 5000]], "hours": -1}
    again, faults, _ = job_from_table(table)
    assert len(faults) == 4
    assert again.card.wrench == "W-1234"
    assert job_from_table(table | {"card": 3})[1]


def test_a_second_person_checks_after_the_first_has_signed() -> None:
    job = _job()
    axle = next(step for step in steps(BIKE, job) if step.key == "axle")
    with pytest.raises(jobs.NotYet, match="signed off first"):
        card.check_off(BIKE, job, axle, "AB")
    job = _signed(job, "axle")
    with pytest.raises(jobs.NotYet, match="another person"):
        card.check_off(BIKE, job, axle, " mk ")
    assert axle.key in {step.key for step in card.still_to_check(BIKE, job)}
    checked = card.check_off(BIKE, job, axle, "AB")
    assert axle.key not in {step.key for step in card.still_to_check(BIKE, checked)}
    # The check goes with the signature that it followed.
    assert not card.is_checked(BIKE, jobs.unsign(checked, "axle"), axle)
    assert not jobs.unsign(checked, "axle").checked
    sheet = fitting_sheet(BIKE, checked)
    assert "MK / AB" in [step.initials for step in sheet.steps]


def test_a_job_is_finished_only_when_all_is_checked() -> None:
    job = replace(_job(), odometer_km=20000.0)
    for step in steps(BIKE, job):
        if not step.later:
            job = _signed(job, step.key)
    assert "second person" in hinders_finish(BIKE, job)
    for step in card.still_to_check(BIKE, job):
        job = card.check_off(BIKE, job, step, "AB")
    assert hinders_finish(BIKE, job) == ""
    assert hinders_finish(BIKE, jobs.with_card(replace(job, checked=()), "second_check", "no")) == ""


def test_time_is_added_up_and_nonsense_refused() -> None:
    job = card.with_minutes(card.with_minutes(_job(), "axle", "12,5"), "slack", "55 min")
    assert card.minutes_in_all(job) == 67.5
    assert card.time_words(card.minutes_in_all(job)) == "1 h 08 min"
    assert card.with_minutes(job, "axle", "").minutes == (("slack", "55"),)
    for wrong in ("long", "-3", "9999"):
        with pytest.raises(ValueError, match=r"number|can't be right"):
            card.with_minutes(job, "axle", wrong)
    told = dict(fitting_sheet(BIKE, job).head)["Job card"]
    assert "Time: 1 h 08 min" in told


def test_torque_marks_are_asked_and_a_finished_job_keeps_its_blanks() -> None:
    def marks(job: Job) -> set[str]:
        return {blank.key for step in steps(BIKE, job) for blank in step.blanks if blank.key.endswith("_mark")}

    job = _job()
    assert {"axle_mark", "front_mark"} <= marks(job)
    done = replace(job, state="done")
    assert marks(done) == set()
    assert marks(replace(done, readings=(("axle_mark", "yes"),))) == {"axle_mark"}


@pytest.mark.parametrize(
    ("today", "km", "hours", "due"),
    [
        (date(2026, 9, 30), 23999, 149, 0),
        (date(2026, 10, 1), 23999, 149, 1),
        (date(2026, 9, 30), 24000, 149, 1),
        (date(2026, 10, 2), 25000, 150, 3),
        (date(2026, 9, 30), None, None, 0),
    ],
)
def test_due_by_date_distance_or_hours(today: date, km: float | None, hours: float | None, due: int) -> None:
    done = replace(_job(), state="done", card=FULL)
    since = Job(state="open", card=JobCard(hours=hours))
    assert len(card.due_again(replace(BIKE, jobs=(done, since)), today, km)) == due
    assert card.due_again(Bike(), today, km) == ()


def test_the_label_says_bike_set_day_and_what_is_due() -> None:
    job = replace(_job(), card=FULL, odometer_km=20000.0)
    lines = card.label_lines(job)
    assert "2026-05-04, 20000 km" in lines[1]
    assert lines[-1] == "Due again at 24000 km (14913 mi) or on 2026-10-01 or at 150 h"
    bike = replace(BIKE, owner=Owner(name="Ada Thornbury"))
    assert label_sheet(bike, job) == LabelSheet(BIKE.name, "", lines)
    assert label_sheet(bike, job, with_owner=True) == LabelSheet(BIKE.name, "Ada Thornbury", lines)


def test_an_old_job_s_file_has_no_card_and_gets_none() -> None:
    table = job_table(Job(date="2020-01-01", state="done"))
    assert set(table) == {"date", "state"}
    assert job_from_table(table)[0].card == JobCard()
