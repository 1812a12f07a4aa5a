"""Service data and jobs in the bike file: they come back, comments stay, and what is wrong is named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import settings as hypothesis_settings

from gearplan.bike.checks import check_bike, check_value
from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, text_with
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.work.job import Job, JobPart
from gearplan.bike.work.jobcard import JobCard
from tests.bike.strategies import jobs

SAVED = """\
format = 1
name = "Thistle 300"

[service]
axle_nm = 88   # stated for the dry thread
axle_nm_from = "manual, page 6-12"
slack_range_mm = [25, 35]

# what we did
[[job]]
date = 2026-05-31   # a Sunday
state = "done"
odometer_km = 18300
chain = "520"

[job.readings]
press_width = "17,50 mm"   # with the small caliper
press_beside_1 = 17.56

[job.signed]
axle = "M. K."

[[job.part]]
part = "chain"
quantity = 1
price = 98.5

[[job]]
date = "2026-06-30"
state = "open"
"""


def test_service_data_and_jobs_are_read() -> None:
    read = bike_from_text(SAVED, "x")
    assert not read.notices
    assert read.bike.service.axle_nm == 88
    assert read.bike.service.axle_nm_from == "manual, page 6-12"
    assert read.bike.service.slack_range_mm == (25, 35)
    first, second = read.bike.jobs
    assert first.date == "2026-05-31"
    assert dict(first.readings) == {"press_width": "17,50 mm", "press_beside_1": "17.56"}
    assert first.signed == (("axle", "M. K."),)
    assert first.parts == (JobPart("chain", 1, None, 98.5),)
    assert second == Job(date="2026-06-30", state="open")


def test_comments_in_and_around_jobs_survive() -> None:
    bike = bike_from_text(SAVED, "x").bike
    first, second = bike.jobs
    readings = (*first.readings[:1], ("press_beside_1", "17.57 mm"), ("flare_1", "5.6"))
    changed = replace(first, odometer_km=18310.0, technician="A. B.", readings=readings)
    after = replace(bike, jobs=(changed, replace(second, state="fitted"), Job(date="2027-01-02")))
    text = text_with(with_value(after, "service", "pivot_nm", 100), SAVED)
    for kept in ("# what we did", "# a Sunday", "# with the small caliper", "# stated for the dry thread"):
        assert kept in text
    assert bike_from_text(text, "x").bike == with_value(after, "service", "pivot_nm", 100)


def test_a_job_that_is_given_up_leaves_the_others_with_their_comments() -> None:
    bike = bike_from_text(SAVED, "x").bike
    text = text_with(replace(bike, jobs=bike.jobs[:1]), SAVED)
    assert "# a Sunday" in text
    assert bike_from_text(text, "x").bike.jobs == bike.jobs[:1]
    none = text_with(replace(bike, jobs=()), SAVED)
    assert "[[job]]" not in none
    assert bike_from_text(none, "x").bike.jobs == ()


@given(jobs(), jobs())
@example(Job(reasons=(("b", "0"),)), Job(reasons=(("a", "0"), ("b", "0"))))
@hypothesis_settings(max_examples=60)
def test_any_job_can_be_changed_into_any_other_in_place(before: Job, after: Job) -> None:
    text = text_with(Bike(jobs=(before,)), "")
    assert bike_from_text(text_with(Bike(jobs=(after,)), text), "x").bike.jobs == (after,)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ("job = 3", "must be headed [[job]]"),
        ('[[job]]\ndate = "31.5.2026"', "[[job]] 1, date: “31.5.2026” is no date; write it like 2026-05-31"),
        ("[[job]]\nodometer_km = -4", "[[job]] 1, odometer_km: −4 km can't be right"),
        ("[[job]]\n[[job]]\nreadings = 4", "[[job]] 2, readings: must be a section of texts"),
        ("[[job]]\npart = 4", "headed [[job.part]]"),
        ('[[job]]\n[[job.part]]\nprice = "much"', "part 1: price: “much” must be a number"),
        ('[[job]]\nstate = "opne"', "did you mean “open”?"),
        ("[service]\naxle_nm = 4000", "4000 N·m can't be right; expected 0.5–400 N·m"),
        ('[service]\nslack_how = "a\\nb"', "must be one line"),
    ],
)
def test_what_is_wrong_is_named(wrong: str, told: str) -> None:
    with pytest.raises(BikeFileError) as refused:
        bike_from_text(f"format = 1\n{wrong}\n", "my.bike.toml")
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "text",
    [
        '[[job]]\ndate = "2026-01-01"\n[tyre]\nsize = "3.00-18" # kept\n[[job]]\ndate = "2026-02-01" # kept\n',
        'job = [{date = "2026-01-01", readings = {a = "1"}}, {date = "2026-02-01"}]\n[tyre]\nsize = "3.00-18" # kept\n',
        '[[job]]\nreadings.a = "1"\npart = [{part = "chain", price = 3}]\n[[job]]\nreadings = {a = "1"}\n',
        "job = []\n",
    ],
)
def test_jobs_written_by_hand_in_any_form_can_be_changed(text: str) -> None:
    text = f"format = 1\n{text}"
    bike = bike_from_text(text, "x").bike
    extra = Job(date="2027-01-01", readings=(("p", "3"),), parts=(JobPart("front", 1),))
    changed = tuple(
        replace(job, odometer_km=5.0, readings=(*job.readings, ("z", "9 mm")), parts=(JobPart("rear", 2),))
        for job in bike.jobs
    )
    for after in ((*bike.jobs, extra), changed, bike.jobs[1:], ()):
        saved = text_with(replace(bike, jobs=after), text)
        assert bike_from_text(saved, "x").bike == replace(bike, jobs=after)
        assert ('size = "3.00-18" # kept' in saved) == ("tyre" in text)


def test_an_unknown_key_of_a_job_is_kept_and_told() -> None:
    text = 'format = 1\n[[job]]\ndate = "2026-05-31"\nweather = "rain"\n'
    read = bike_from_text(text, "x")
    assert read.notices == ("x: [[job]] 1: “weather” is not known and is left as it is",)
    saved = text_with(replace(read.bike, jobs=(replace(read.bike.jobs[0], state="done"),)), text)
    assert 'weather = "rain"' in saved


def test_a_range_that_is_upside_down_is_pointed_out() -> None:
    bike = with_value(Bike(), "service", "slack_range_mm", (40, 30))
    assert [p.key for p in check_bike(bike)] == ["slack_range_mm"]
    assert check_value("service", "slack_range_mm", (40, 30)) is None


def test_a_signature_is_nobodys_business_in_a_report() -> None:
    assert "417" not in repr(JobCard(signature=((417.0, 3.0),)))
