"""What was said of a table's columns comes back for the next table that looks the same, and for no other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.files.tablelooks import recall, remember


def test_what_was_said_last_comes_back_for_the_same_look_and_use_only() -> None:
    assert recall("ride log", ["a", "b"]) is None
    remember("ride log", ["a", "b"], (("time", "s"), ("road", "mph")))
    remember("ride log", ["a", "Höhe [m]"], (("time", "ms"), ("altitude", "m")))
    remember("stock list", ["a", "b"], (("teeth", ""), ("price", "EUR")))
    remember("ride log", ["a", "b"], (("time", "s"), ("road", "km/h")))
    assert recall("ride log", ["a", "b"]) == (("time", "s"), ("road", "km/h"))
    assert recall("ride log", ["a", "Höhe [m]"]) == (("time", "ms"), ("altitude", "m"))
    assert recall("stock list", ["a", "b"]) == (("teeth", ""), ("price", "EUR"))
    assert recall("ride log", ["b", "a"]) is None


def test_the_latest_fifty_are_kept() -> None:
    for i in range(55):
        remember("ride log", [str(i)], (("time", "s"),))
    assert recall("ride log", ["4"]) is None
    assert recall("ride log", ["5"]) is not None
    assert recall("ride log", ["54"]) is not None


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[]",
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"ride log": 3}',
        json.dumps({"ride log": [3, {"look": 3, "columns": []}, {"look": ["a"], "columns": [["time"]]}]}).encode(),
        json.dumps({"ride log": [{"look": ["a"], "columns": [["time", 4]]}]}).encode(),
    ],
)
def test_a_file_that_makes_no_sense_is_as_none_and_is_written_anew(content: bytes) -> None:
    path = state_folder() / "columns.json"
    path.parent.mkdir(parents=True)
    path.write_bytes(content)
    assert recall("ride log", ["a"]) is None
    remember("ride log", ["a"], (("time", "s"),))
    assert recall("ride log", ["a"]) == (("time", "s"),)


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(blocked))
    with pytest.raises(NotADirectoryError):
        remember("ride log", ["a"], (("time", "s"),))
