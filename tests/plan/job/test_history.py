"""What was done and what is due, over one bike and over a folder."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.plan.driveset import DriveSet
from gearplan.plan.job.finishing import finish
from gearplan.plan.job.history import chain_due, changes_to, matches, search
from gearplan.plan.job.job import begin, with_job
from gearplan.plan.job.odometer import odometer_findings, today_findings
from gearplan.plan.job.words import job_line, job_title
from tests.plan.job.workshop import DAY, checked, conversion, serviced, signed

LATER = date(2027, 6, 2)


@pytest.fixture
def converted() -> Bike:
    bike = serviced()
    job = signed(bike, conversion(bike))
    return checked(finish(with_job(bike, job, job), job))


def test_a_job_tells_itself_in_a_line(converted: Bike) -> None:
    line = job_line(converted.jobs[-1])
    assert line.startswith("2026-05-31, 18650 km (11589 mi): 525 conversion (from 520): 15/46 → 16/47, 112 links")
    assert "M. K." in line


def test_other_jobs_have_titles_too() -> None:
    bike = serviced()
    same = begin(bike, DriveSet(15, 46, 112, "520"), DAY)
    assert job_title(same) == "Parts as they were: 15/46, 520 chain, 112 links"
    assert job_title(replace(same, new_chain="yes")) == "New chain: 15/46, 520 chain, 112 links"
    assert job_title(begin(bike, DriveSet(15, 46, 114, "520"), DAY)) == "520: 112 → 114 links"
    assert job_title(begin(bike, DriveSet(14, 46, 112, "520"), DAY)) == "520: 15/46 → 14/46, 112 links"


def test_a_year_later_the_chain_says_when_it_is_due(converted: Bike) -> None:
    due = chain_due(converted, LATER)
    assert due is not None
    assert not due.is_due
    assert due.finding.text == (
        "Chain fitted on 2026-05-31 at 18650 km (11589 mi), 12 months ago. "
        "First chain check due at 27650 km (17181 mi)."
    )
    ridden = chain_due(converted, LATER, now_km=28000)
    assert ridden is not None
    assert ridden.is_due
    assert "the odometer is at 28000 km" in ridden.finding.text


def test_wear_near_its_limit_is_due(converted: Bike) -> None:
    wear = replace(converted.wear, gauge_links=20, readings=((19000, 317.6), (24000, 320.3)))
    due = chain_due(replace(converted, wear=wear), LATER)
    assert due is not None
    assert due.is_due
    assert "the limit is 1.0 % (common practice)" in due.finding.text


def test_nothing_known_is_nothing_due() -> None:
    assert chain_due(Bike(), LATER) is None


def test_without_readings_or_a_distance_it_says_what_would_help(converted: Bike) -> None:
    due = chain_due(with_value(converted, "service", "chain_due_km", None), LATER)
    assert due is not None
    assert "Add a reading" in due.finding.text
    assert due.due_km is None


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("525 conversion", True),
        ("which bikes have had a 525 conversion?", True),
        ("520 conversion", False),
        ("conversion", True),
        ("brindle 16/47", True),
        ("brindle 17/47", False),
        ("2026-05", True),
        ("", True),
    ],
)
def test_words_find_jobs(converted: Bike, words: str, found: bool) -> None:
    assert matches(words, converted.name, converted.jobs[-1]) is found


@pytest.mark.parametrize("asked", ["520 umbau", "520er-umbau", "520er umbauten", "umbau auf 520", "520 conversion"])
def test_a_change_of_size_is_understood_as_another_language_asks_for_it(asked: str) -> None:
    found = [match[1] for pattern in changes_to("Umbau Umbauten") if (match := pattern.search(asked))]
    assert found == ["520"]


def test_english_asks_for_no_more_than_english() -> None:
    assert [pattern.search("conversion to 520") for pattern in changes_to("conversion conversions")] == [None]


def test_a_folder_is_searched_and_broken_files_are_named(tmp_path: Path, converted: Bike) -> None:
    inside = tmp_path / "customers" / "b"
    inside.mkdir(parents=True)
    save_bike(inside / "one.bike.toml", converted, None)
    plain = serviced()
    other = begin(plain, DriveSet(14, 46, 112, "520"), DAY)
    save_bike(tmp_path / "two.bike.toml", with_job(plain, other, other), None)
    (tmp_path / "bad.bike.toml").write_text("not toml at all", encoding="utf-8")
    (tmp_path / "letter.toml").write_text("x = 1", encoding="utf-8")
    answer = search(tmp_path, "525 conversion", LATER)
    assert [found.path.name for found in answer.found] == ["one.bike.toml"]
    assert answer.files == 3
    assert [path.name for path, _ in answer.broken] == ["bad.bike.toml"]
    assert len(search(tmp_path, "", LATER).found) == 2
    assert search(tmp_path, "chains due", LATER).found == ()
    worn = replace(plain.wear, readings=((12000, 318.0), (20000, 328.0)))
    save_bike(tmp_path / "worn.bike.toml", replace(plain, wear=worn), None)
    due = search(tmp_path, "chains due", LATER).found
    assert [found.path.name for found in due] == ["worn.bike.toml"]
    assert due[0].due is not None


def test_a_folder_within_that_cannot_be_read_is_named(
    tmp_path: Path, converted: Bike, monkeypatch: pytest.MonkeyPatch
) -> None:
    shut = tmp_path / "shut"
    shut.mkdir()
    save_bike(tmp_path / "one.bike.toml", converted, None)
    scan = os.scandir

    def refuses(place: str) -> Any:
        if Path(place) == shut:
            raise PermissionError(errno.EACCES, "Permission denied", str(shut))
        return scan(place)

    monkeypatch.setattr(os, "scandir", refuses)
    answer = search(tmp_path, "", LATER)
    assert len(answer.found) == 1
    assert answer.broken == ((shut, f"{shut}: this folder cannot be searched: Permission denied"),)


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="nowhere"):
        search(tmp_path / "nowhere", "", LATER)


def test_an_unsigned_check_after_the_first_ride_is_due(converted: Bike) -> None:
    waiting = replace(converted, jobs=(replace(converted.jobs[0], state="fitted"),))
    due = chain_due(waiting, LATER)
    assert due is not None
    assert due.is_due
    assert due.finding.text.startswith("The check after the first ride of 2026-05-31 is not signed off. Chain fitted")
    assert "to be checked after the first ride" in job_line(waiting.jobs[0])
    only_front = replace(waiting.jobs[0], new_chain="no")
    sprocket = replace(waiting, jobs=(only_front,), wear=replace(waiting.wear, readings=None))
    due = chain_due(sprocket, LATER)
    assert due is not None
    assert due.is_due
    after = replace(waiting, jobs=(*waiting.jobs, replace(converted.jobs[0], new_chain="no")))
    due = chain_due(after, LATER)
    assert due is not None
    assert not due.is_due


def test_the_newest_chain_counts_also_where_the_odometer_fell(converted: Bike) -> None:
    newer = replace(converted.jobs[0], chain="530", odometer_km=1000.0)
    twice = replace(converted, jobs=(converted.jobs[0], newer), wear=replace(converted.wear, odometer_km=1000.0))
    due = chain_due(twice, LATER)
    assert due is not None
    assert "at 1000 km" in due.finding.text
    assert (due.fitted_km, due.now_km, due.is_due) == (1000.0, 1000.0, False)


def test_an_odometer_that_falls_is_told(converted: Bike) -> None:
    job = replace(conversion(converted), odometer_km=1000.0)
    found = odometer_findings(converted, job)
    assert [f.level for f in found] == ["check"]
    assert found[0].text.startswith("The odometer, 1000 km (621 mi), is below the 18650 km (11589 mi) at the job")
    assert odometer_findings(converted, replace(job, odometer_km=18650.0)) == ()
    assert odometer_findings(converted, replace(job, odometer_km=None)) == ()
    assert odometer_findings(converted, converted.jobs[0]) == ()
    read = replace(serviced(), wear=replace(serviced().wear, readings=((20000, 318.0),)))
    assert "in the wear log" in odometer_findings(read, job)[0].text
    assert today_findings(read, 19999.0)
    assert not today_findings(read, 20000.0)


def test_the_odometer_today_is_kept_and_a_folder_is_judged_by_it(tmp_path: Path, converted: Bike) -> None:
    assert converted.wear.odometer_km == 18650.0
    path = tmp_path / "one.bike.toml"
    save_bike(path, converted, None)
    assert search(tmp_path, "chains due", LATER).found == ()
    ridden = replace(converted, wear=replace(converted.wear, odometer_km=28000.0))
    here = chain_due(ridden, LATER)
    assert search(tmp_path, "", LATER, due=True, instead={path.resolve(): ridden}).found[0].due == here
    save_bike(path, ridden, None)
    assert search(tmp_path, "", LATER, due=True).found[0].due == here


def test_no_file_ends_a_search_whatever_is_wrong_with_it(
    tmp_path: Path, converted: Bike, monkeypatch: pytest.MonkeyPatch
) -> None:
    save_bike(tmp_path / "good.bike.toml", converted, None)
    for name, text in (
        ("huge", "format = 1\n[final_drive]\nlinks = 1" + "0" * 400),
        ("hugeratio", "format = 1\n[gearbox]\nprimary = [1" + "0" * 400 + ", 75]"),
        ("hugepoint", "format = 1\n[wear]\nreadings = [[1" + "0" * 400 + ", 318]]"),
        ("endless", "format = 1\n[final_drive]\nlinks = 1" + "0" * 5000),
        ("nested", "format = 1\nname = " + "[" * 5000),
        ("bytes", "format = 1\n"),
    ):
        (tmp_path / f"{name}.bike.toml").write_text(text, encoding="utf-8")
    (tmp_path / "bytes.bike.toml").write_bytes(b"\xff\xfe\x00")
    answer = search(tmp_path, "", LATER)
    assert [found.path.name for found in answer.found] == ["good.bike.toml"]
    assert len(answer.broken) == 6
    assert all("\n" not in why and len(why) < 400 for _, why in answer.broken)

    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("cannot be")

    monkeypatch.setattr("gearplan.plan.job.history.matches", fails)
    answer = search(tmp_path, "x", LATER)
    assert len(answer.broken) == 7
    assert "cannot be judged: cannot be" in dict(answer.broken)[tmp_path / "good.bike.toml"]


def test_a_search_stops_where_it_is_told_to(tmp_path: Path, converted: Bike) -> None:
    for number in range(5):
        save_bike(tmp_path / f"{number}.bike.toml", converted, None)
    seen: list[tuple[int, int]] = []

    def go_on(done: int, of: int) -> bool:
        seen.append((done, of))
        return done < 2

    assert len(search(tmp_path, "", LATER, go_on=go_on).found) == 2
    assert seen[-1] == (2, 5)
