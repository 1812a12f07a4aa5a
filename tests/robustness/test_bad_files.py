"""Files that are not bikes: one clear line each, naming the place, and never a crash."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, read_bike

CASES = {
    "empty": (b"", "empty"),
    "blank": (b"\n\n  \n", "empty"),
    "broken": (b"format = 1\nname = \n", "line 2"),
    "binary": (bytes(range(256)), "not a text file"),
    "newer": (b"format = 2\n", "newer version"),
    "no format": (b"name = 'x'\n", "format = 1"),
    "odd format": (b"format = '1'\n", "whole number"),
    "boolean format": (b"format = true\n", "whole number"),
    "section a number": (b"format = 1\nengine = 4\n", "[engine]"),
    "section a list": (b"format = 1\nengine = [1]\n", "[engine]"),
    "text for a number": (b"format = 1\n[engine]\nredline_rpm = 'fast'\n", "[engine] redline_rpm"),
    "nan": (b"format = 1\n[engine]\nredline_rpm = nan\n", "[engine] redline_rpm"),
    "infinite": (b"format = 1\n[load]\nbike_kg = inf\n", "[load] bike_kg"),
    "negative": (b"format = 1\n[tyre]\nrolling_circumference_mm = -1955\n", "rolling_circumference_mm"),
    "absurd": (b"format = 1\n[final_drive]\nfront = 400\n", "[final_drive] front"),
    "float teeth": (b"format = 1\n[final_drive]\nfront = 15.5\n", "whole number"),
    "date": (b"format = 1\n[engine]\nidle_rpm = 2020-01-01\n", "[engine] idle_rpm"),
    "table for a number": (b"format = 1\n[engine.idle_rpm]\nx = 1\n", "[engine] idle_rpm"),
    "gears not a list": (b"format = 1\n[gearbox]\ngears = 5\n", "[gearbox] gears"),
    "deep gears": (b"format = 1\n[gearbox]\ngears = [[[1]]]\n", "gear 1"),
    "gear of texts": (b"format = 1\n[gearbox]\ngears = [['a', 'b']]\n", "gear 1"),
    "pair of three": (b"format = 1\n[chassis]\naxle_range_mm = [1, 2, 3]\n", "axle_range_mm"),
    "name a number": (b"format = 1\nname = 5\n", "name"),
    "name of two lines": (b'format = 1\nname = "a\\nb"\n', "name"),
    "unknown chain": (b"format = 1\n[final_drive]\nchain = '521'\n", "did you mean"),
    "deep nesting": (b"format = 1\nx = " + b"[" * 5000 + b"]" * 5000 + b"\n", "not a readable"),
}


@pytest.mark.parametrize("name", CASES)
def test_bad_file(name: str, tmp_path: Path) -> None:
    data, says = CASES[name]
    path = tmp_path / "case.bike.toml"
    path.write_bytes(data)
    with pytest.raises(BikeFileError) as refused:
        read_bike(path)
    text = str(refused.value)
    assert says in text
    assert str(path) in text
    assert "\n" not in text


def test_several_faults_are_named_at_once() -> None:
    text = "format = 1\n[engine]\nidle_rpm = -1\nredline_rpm = 'x'\nlimiter_rpm = nan\n[load]\nbike_kg = 0\n"
    with pytest.raises(BikeFileError, match=r"idle_rpm.*redline_rpm.*limiter_rpm.*and 1 more"):
        bike_from_text(text, "b")


def test_missing_file_folder_and_no_rights(tmp_path: Path) -> None:
    with pytest.raises(BikeFileError, match="no such file"):
        read_bike(tmp_path / "none.bike.toml")
    with pytest.raises(BikeFileError, match="folder"):
        read_bike(tmp_path)
    locked = tmp_path / "locked.bike.toml"
    locked.write_text("format = 1\n")
    locked.chmod(0)
    if os.access(locked, os.R_OK):
        return  # Whoever may read everything cannot be locked out.
    with pytest.raises(BikeFileError, match="cannot be read"):
        read_bike(locked)


def test_no_rights_as_the_system_tells_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.bike.toml"
    path.write_text("format = 1\n")

    def locked(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", locked)
    with pytest.raises(BikeFileError, match="cannot be read: Permission denied"):
        read_bike(path)


def test_a_huge_file_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "huge.bike.toml"
    with path.open("wb") as file:
        file.truncate(5_000_000_000)
    with pytest.raises(BikeFileError, match="larger than"):
        read_bike(path)


@pytest.mark.parametrize("special", ["/dev/null", "/dev/zero"])
def test_devices_are_not_files(special: str) -> None:
    with pytest.raises(BikeFileError):
        read_bike(Path(special))


@given(st.text(max_size=200))
@settings(max_examples=200)
def test_any_text_is_a_bike_or_a_refusal(text: str) -> None:
    try:
        bike_from_text("format = 1\n" + text, "b")
    except BikeFileError as refused:
        assert "\n" not in str(refused)
