"""The version before the last save is taken up by the menu, and left again by undo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from gearplan.bike.demo import demo_bike
from gearplan.window.frame.workbench import Workbench


def choose(window: Workbench) -> None:
    next(one for one in window.actions() if one.text() == "Take back the &earlier version").trigger()


def test_the_earlier_version_comes_back_as_a_change(window: Workbench, tmp_path: Path) -> None:
    choose(window)
    assert "There is no earlier version" in window.message.text.text()
    path, first = tmp_path / "a.bike.toml", demo_bike().bike
    assert window.files.write(path)
    window.document.edit("name", replace(first, name="Second"))
    assert window.files.write(path)
    choose(window)
    assert window.document.bike.name == first.name
    assert window.document.path == path
    assert "before its last save" in window.message.text.text()
    window.document.undo()
    assert window.document.bike.name == "Second"
