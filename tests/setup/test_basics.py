"""What is asked first of a new bike, and what of it counts as told."""

from __future__ import annotations

from dataclasses import replace

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, Gearbox, entry, with_value
from gearplan.setup.basics import BASICS, KIND, blank_basics


def test_every_basic_is_a_field_of_the_profile() -> None:
    assert all(entry(*place.split(".")).label for place in BASICS if place != KIND)


def test_a_new_bike_lacks_them_all_and_a_finished_one_at_most_its_kind() -> None:
    assert blank_basics(Bike()) == BASICS
    for name in demo_bikes():
        assert set(blank_basics(demo_bike(name).bike)) <= {KIND}
        assert blank_basics(replace(demo_bike(name).bike, kind="naked")) == ()


def test_what_tells_the_same_is_not_asked_for() -> None:
    rolled = with_value(Bike(), "tyre", "rolling_circumference_mm", 1950.0)
    assert "tyre.size" not in blank_basics(rolled)
    assert "gearbox.count" in blank_basics(rolled)
    for known in (
        Bike(gearbox=Gearbox(gears=(2.5, 1.0))),
        Bike(gearbox=Gearbox(count=6)),
        Bike(kind="electric"),
    ):
        assert "gearbox.count" not in blank_basics(known)
