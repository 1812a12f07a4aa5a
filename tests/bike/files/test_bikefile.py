"""Reading and saving: values come back, a person's words stay, and nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import BikeFileError, ChangedOnDisk, bike_from_text, read_bike, save_bike, text_with
from gearplan.bike.profile import Bike, with_value, with_within
from tests.bike.strategies import bikes

COMMENTED = """\
# My own bike. Do not lend.
format = 1
name = "Thistle 300"   # bought used

[gearbox]
primary = 3.2
gears = [
    [13, 32],  # first, measured
    [16, 30],  # second
    # third is a guess
    1.5,
]

[final_drive]
front = 15  # from the shop
rear = 46
note_to_self = "keep me"

[tyre]  # rear
size = "140/80-18"
"""


@given(bikes())
@settings(max_examples=60)
def test_a_saved_bike_comes_back_the_same(bike: Bike) -> None:
    text = text_with(bike, "")
    assert bike_from_text(text, "x").bike == bike
    assert text.startswith("format = 1\n")
    assert text_with(bike, text) == text


@given(bikes(), bikes())
@settings(max_examples=40)
def test_any_bike_can_be_saved_over_any_other(before: Bike, after: Bike) -> None:
    assert bike_from_text(text_with(after, text_with(before, "")), "x").bike == after


def test_comments_order_and_unknown_keys_survive() -> None:
    bike = bike_from_text(COMMENTED, "x").bike
    changed = with_value(bike, "final_drive", "front", 14)
    changed = with_value(changed, "gearbox", "gears", ((13, 32), (17, 30), 1.5))
    changed = with_value(changed, "engine", "redline_rpm", 9000)
    text = text_with(changed, COMMENTED)
    for kept in (
        "# My own bike. Do not lend.", "# bought used", "# first, measured", "# second", "# third is a guess",
        "# from the shop", 'note_to_self = "keep me"', "[tyre]  # rear", "[13, 32],",
    ):  # fmt: skip
        assert kept in text
    assert "front = 14  # from the shop" in text
    assert bike_from_text(text, "x").bike == changed
    assert text.index("[gearbox]") < text.index("[final_drive]") < text.index("[tyre]")


def test_an_unchanged_bike_leaves_the_text_alone() -> None:
    assert text_with(bike_from_text(COMMENTED, "x").bike, COMMENTED) == COMMENTED


def test_windows_line_ends_and_byte_order_mark_survive() -> None:
    text = "\ufeff" + COMMENTED.replace("\n", "\r\n")
    bike = bike_from_text(text, "x").bike
    saved = text_with(replace(bike, name="Thistle 301"), text)
    assert saved.startswith("\ufeff# My own bike")
    assert saved.count("\r\n") == saved.count("\n")
    assert bike_from_text(saved, "x").bike.name == "Thistle 301"


def test_an_unfinished_profile_is_saved_and_reopened(tmp_path: Path) -> None:
    bike = Bike(name="half")
    bike = with_value(bike, "chassis", "axle_range_mm", (558, None))
    bike = with_value(bike, "gearbox", "gears", ((13, None), None, 1.5))
    path = tmp_path / "half.bike.toml"
    save_bike(path, bike, None)
    assert 'axle_range_mm = [558, ""]' in path.read_text()
    assert read_bike(path).bike == bike


def test_a_cleared_field_leaves_the_file() -> None:
    bike = with_value(bike_from_text(COMMENTED, "x").bike, "final_drive", "rear", None)
    assert "rear = 46" not in text_with(bike, COMMENTED)


def test_unknown_words_are_kept_and_reported() -> None:
    file = bike_from_text("format = 1\n[engine]\nredlin_rpm = 9000\n[engin]\nx = 1\n", "b.toml")
    assert any("redlin_rpm" in notice and "did you mean “redline_rpm”" in notice for notice in file.notices)
    assert any("“engin”" in notice and "did you mean “engine”" in notice for notice in file.notices)
    assert "redlin_rpm = 9000" in text_with(replace(file.bike, name="n"), file.text)


def test_the_kind_of_motorcycle_stands_above_the_sections() -> None:
    assert bike_from_text(COMMENTED, "x").bike.kind == "solo"
    outfit = replace(bike_from_text(COMMENTED, "x").bike, kind="sidecar")
    text = text_with(outfit, COMMENTED)
    assert text.index('kind = "sidecar"') < text.index("[gearbox]")
    assert bike_from_text(text, "x").bike == outfit
    assert bike_from_text(text_with(replace(outfit, kind="solo"), text), "x").bike.kind == "solo"


def test_a_kind_that_is_not_known_is_kept_and_told() -> None:
    file = bike_from_text('format = 1\nkind = "sidecars"\n', "x")
    [told] = file.notices
    assert told == "x: kind: “sidecars” is not known and is left as it is; did you mean “sidecar”?"
    assert file.bike.kind == "sidecars"
    assert 'kind = "sidecars"' in text_with(replace(file.bike, name="n"), file.text)
    with pytest.raises(BikeFileError, match="kind: 7 must be a text in quotes"):
        bike_from_text("format = 1\nkind = 7\n", "x")


def test_a_file_changed_by_something_else_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "b.bike.toml"
    path.write_text(COMMENTED)
    opened = read_bike(path)
    path.write_text(COMMENTED.replace("15", "16"))
    with pytest.raises(ChangedOnDisk, match=r"b\.bike\.toml"):
        save_bike(path, opened.bike, opened)
    assert "front = 16" in path.read_text()


def test_a_deleted_file_is_written_again(tmp_path: Path) -> None:
    path = tmp_path / "b.bike.toml"
    path.write_text(COMMENTED)
    opened = read_bike(path)
    path.unlink()
    save_bike(path, opened.bike, opened)
    assert path.read_text() == COMMENTED


def test_saving_over_a_broken_text_is_refused_rather_than_guessed() -> None:
    with pytest.raises(BikeFileError):
        text_with(demo_bike().bike, "format = 2\n")


def test_the_format_of_the_first_version_reads_as_it_did() -> None:
    """The demo file's values, written out once by hand."""
    bike = demo_bike().bike
    assert bike.engine.redline_rpm == 10500
    assert bike.gearbox.primary == (43, 75)
    assert bike.gearbox.gears == ((13, 32), (16, 30), (18, 27), (20, 25), (22, 24), (23, 23))
    assert bike.chassis.sprocket_from_pivot_mm == (62, 13)
    assert bike.engine.torque is not None
    assert bike.engine.torque[2] == (7000, 64.0)


def test_how_far_a_measured_value_may_be_off_is_kept_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.bike.toml"
    path.write_text('format = 1\n[measured_within]\n# by the photo\n"chassis.wheelbase_mm" = [1415, 8.5]\n')
    opened = read_bike(path)
    assert opened.notices == ()
    assert opened.bike.within == (("chassis.wheelbase_mm", 1415.0, 8.5),)
    more = with_within(opened.bike, "chassis.sprocket_from_pivot_mm.1", 21.0, 3.0)
    more = with_within(more, "chassis.wheelbase_mm", 1416.0, 4.0)
    saved = save_bike(path, more, opened)
    assert read_bike(path).bike == more
    assert "# by the photo" in saved.text
    assert bike_from_text(text_with(Bike(), saved.text), "x").bike == Bike()
    for wrong in ("[1415]", "1415", '["a", 1]', "[1415, -1]", "[1415, inf]"):
        with pytest.raises(BikeFileError, match="must be a value and how far it may be off"):
            bike_from_text(f'format = 1\n[measured_within]\n"chassis.wheelbase_mm" = {wrong}\n', "x")
