"""What is found in the book, how near an outing is to today, and in what today differs."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest

from gearplan.bike.book import BookEntry
from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.drive.tyre import worn_circumference
from gearplan.plan.season import near
from gearplan.plan.season.near import circumference_mm, differences, nearest, steps_apart, today_of
from gearplan.plan.season.search import Question, find, read_question

BIKE = with_value(demo_bike().bike, "tyre", "rolling_circumference_mm", 1960.0)
ENTRIES = (
    BookEntry(date(2024, 6, 9), circuit="Heronfleet", temperature_c=31, track="dry", front=16, rear=42, lap_s=96.4),
    BookEntry(
        date(2025, 6, 8), circuit="heron  fleet", temperature_c=24, track="dry", front=16, rear=43, notes="Façade wind."
    ),
    BookEntry(date(2025, 6, 8), circuit="Heronfleet", temperature_c=24, track="dry", front=16, rear=43, rider="Jo"),
    BookEntry(date(2025, 9, 1), circuit="Heronfleet", temperature_c=16, track="wet", front=16, rear=45, rider="Jo"),
    BookEntry(date(2025, 9, 2), circuit="Heronfleet", track="dry"),
    BookEntry(date(2025, 9, 9), circuit="Cairn Brae", temperature_c=25, front=15, rear=46, gears=((14, 38), None)),
)


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ("What did we run here, at 25 °C?", Question((), "Heronfleet", 25.0)),
        ("jo wet", Question(("jo", "wet"))),
        ("16/43 24,5 °C", Question(("16/43",), "", 24.5)),
        ("at -3 degrees", Question((), "", -3.0)),
        ("2025 77°F", Question(("2025",), "", 25.0)),
        ("", Question()),
    ],
)
def test_a_question_is_read_as_typed(typed: str, question: Question) -> None:
    assert read_question(typed, "Heronfleet") == question


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", (5, 4, 3, 2, 1, 0)),
        ("heronfleet 2025", (4, 3, 2)),
        # The nearest temperature first, one step of it is the limit, what does not tell it comes last.
        ("here 25 °C", (2, 0, 3, 4)),
        ("16/43", (2, 1)),
        ("facade", (1,)),
        ("14/38", (5,)),
        ("1:36.4", (0,)),
        ("nobody", ()),
    ],
)
def test_any_words_circuit_and_temperature_find_outings(typed: str, found: tuple[int, ...]) -> None:
    assert find(ENTRIES, read_question(typed, "Heronfleet")) == found


def test_the_nearest_outing_is_the_one_with_the_fewest_steps_and_has_gearing() -> None:
    today = BookEntry(circuit="HERONFLEET", temperature_c=26, track="dry", rider="Jo")
    found = nearest(ENTRIES, today, BIKE)
    assert [one.index for one in found] == [2, 0, 3]
    assert found[0].steps == pytest.approx(0.2)
    assert found[0].differs == ("2 °C warmer",)
    wet = nearest(ENTRIES, replace(today, track="wet"), BIKE)
    assert wet[0].index == 3
    assert wet[0].differs == ("10 °C warmer",)
    assert nearest(ENTRIES, BookEntry(circuit="Marlpit Lane"), BIKE) == ()


@pytest.mark.parametrize("key", near.STEPS)
def test_one_step_of_anything_counts_one(key: str) -> None:
    value = 1950.0 if key == "circumference_mm" else 1000.0 if key == "pressure_hpa" else 20.0
    was = BookEntry(**{key: value})  # type: ignore[arg-type]
    now = BookEntry(**{key: value + near.STEPS[key]})  # type: ignore[arg-type]
    assert steps_apart(was, was, BIKE) == 0
    assert steps_apart(was, now, BIKE) == pytest.approx(1) == steps_apart(now, was, BIKE)
    assert steps_apart(now, BookEntry(), BIKE) == 0
    assert len(list(differences(was, now, BIKE))) == 1
    # A tyre that nobody measured is the bike's own.
    untold = key != "circumference_mm"
    assert steps_apart(BookEntry(), now, BIKE) == untold * near.UNKNOWN_STEPS
    assert len(list(differences(BookEntry(), now, BIKE))) == untold


def test_a_wet_track_is_farther_than_any_usual_day() -> None:
    dry = BookEntry(track="dry", temperature_c=15)
    assert steps_apart(dry, BookEntry(track="wet", temperature_c=15), BIKE) > steps_apart(
        dry, BookEntry(track="dry", temperature_c=38), BIKE
    )
    assert list(differences(dry, BookEntry(track="damp"), BIKE)) == ["damp instead of dry"]


def test_a_worn_tyre_rolls_less_far_by_the_circle_of_what_was_worn_off() -> None:
    # A ring of 312 mm that loses 3 mm of radius: 2π·309 mm.
    assert worn_circumference(math.tau * 0.312, 0.003) == pytest.approx(math.tau * 0.309)
    worn = BookEntry(tyre_worn_mm=3.0)
    assert circumference_mm(worn, BIKE) == pytest.approx(1960 - 18.85, abs=0.01)
    assert circumference_mm(replace(worn, circumference_mm=1950.0), BIKE) == 1950
    assert circumference_mm(BookEntry(), BIKE) is None
    told = list(differences(worn, BookEntry(circumference_mm=1960.0), BIKE))
    assert told == ["19 mm more tyre circumference"]


def test_other_riders_and_gear_pairs_are_told() -> None:
    was = BookEntry(rider="Jo", gears=((14, 38), *(BIKE.gearbox.gears or ())[1:]))
    assert list(differences(was, BookEntry(rider="Ann"), BIKE)) == ["Ann rides instead of Jo", "other gear pairs in 1"]


def test_today_is_what_the_profile_tells_and_what_is_said() -> None:
    bike = with_value(BIKE, "conditions", "temperature_c", 19.0)
    today = today_of(bike, "Heronfleet", track="wet", rider=None)
    assert (today.temperature_c, today.track, today.circumference_mm, today.rider) == (19.0, "wet", 1960.0, "")
