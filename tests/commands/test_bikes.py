"""The list of bikes without a window."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gearplan import cli
from gearplan.bike.files.bikefile import text_with
from gearplan.bike.profile import Bike, Owner

ADA = Bike("Brindle 650", owner=Owner("Ada Thornbury", "01632 960142", "XQ 4711"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, bike in (("ada", ADA), ("bo", Bike("Wren 125", owner=Owner("Bo Larkspur")))):
        (tmp_path / f"{name}.bike.toml").write_text(text_with(bike, ""))
    (tmp_path / "half.bike.toml").write_text("= [")
    return tmp_path


def test_the_list_and_a_search(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["bikes", str(folder), "--sort", "owner"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"{folder / 'ada.bike.toml'}; Brindle 650; Ada Thornbury; XQ 4711"
    assert lines[1] == f"{folder / 'bo.bike.toml'}; Wren 125; Bo Larkspur"
    assert lines[2].startswith(f"{folder / 'half.bike.toml'}: not a readable bike file")
    assert cli.run(["bikes", str(folder), "--words", "xq4711", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [bike["owner"] for bike in answer["bikes"]] == ["Ada Thornbury"]
    assert answer["files"] == 3
    assert cli.run(["bikes", str(folder), "--words", "nobody"]) == 0
    assert capsys.readouterr().out == "Nothing found in 3 files.\n"


def test_what_is_no_folder_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["bikes", str(folder / "missing")]) == 2
    assert capsys.readouterr().err.endswith("missing: this is no folder\n")
    (folder / "empty").mkdir()
    assert cli.run(["bikes", str(folder / "empty")]) == 0
    assert capsys.readouterr().out == "There are no bike files (.bike.toml).\n"
