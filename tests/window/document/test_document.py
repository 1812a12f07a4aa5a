"""History, file and the saved mark."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import BikeFileError, ChangedOnDisk
from gearplan.window.document.document import Document


@pytest.fixture
def document(qtbot: QtBot) -> Document:
    made = Document()
    made.start(demo_bike(), None)
    return made


def test_undo_and_redo_of_every_edit(document: Document) -> None:
    document.set_value("engine", "redline_rpm", 9000, "Redline")
    document.propose(replace(document.chosen, front=14), "Propose 14")
    assert document.undo_label == "Propose 14"
    document.undo()
    assert document.chosen.front == 15
    assert (document.undo_label, document.redo_label) == ("Redline", "Propose 14")
    document.undo()
    assert document.bike == demo_bike().bike
    assert not document.unsaved
    assert document.undo_label is None
    document.undo()
    document.redo()
    document.redo()
    document.redo()
    assert (document.bike.engine.redline_rpm, document.chosen.front) == (9000, 14)


def test_a_drag_is_one_step_and_the_next_another(document: Document) -> None:
    for front in (14, 13, 16):
        document.propose(replace(document.chosen, front=front), "drag", "front")
    document.end_merge()
    document.propose(replace(document.chosen, front=17), "drag", "front")
    document.undo()
    assert document.chosen.front == 16
    document.undo()
    assert document.chosen.front == 15


def test_an_edit_after_undo_drops_what_was_undone(document: Document) -> None:
    document.set_value("engine", "redline_rpm", 9000, "Redline")
    document.undo()
    document.set_value("engine", "redline_rpm", 9500, "Redline")
    assert document.redo_label is None
    document.undo()
    assert document.bike.engine.redline_rpm == 10500


def test_typing_after_an_undo_is_a_step_of_its_own(document: Document) -> None:
    document.set_value("engine", "redline_rpm", 9000, "Redline")
    document.end_merge()
    document.set_value("engine", "redline_rpm", 9500, "Redline")
    document.undo()
    document.set_value("engine", "redline_rpm", 9700, "Redline")
    document.undo()
    assert document.bike.engine.redline_rpm == 9000


def test_proposing_is_not_unsaved_work_but_an_edit_is(document: Document) -> None:
    document.propose(replace(document.chosen, front=14), "p")
    assert not document.unsaved
    document.set_value("load", "bike_kg", 190, "Weight")
    assert document.unsaved
    document.set_value("load", "bike_kg", 188, "Weight")
    assert not document.unsaved


def test_parts_that_were_as_fitted_follow_the_fitted_set(document: Document) -> None:
    document.propose(replace(document.chosen, front=14), "p")
    document.set_value("final_drive", "links", 114, "Links")
    document.set_value("final_drive", "front", 16, "Front")
    assert (document.chosen.links, document.chosen.front) == (114, 14)


def test_one_change_tells_once(document: Document, qtbot: QtBot) -> None:
    told: list[int] = []
    document.changed.connect(lambda: told.append(1))
    document.set_value("load", "bike_kg", 190, "Weight")
    document.set_value("load", "bike_kg", 190, "Weight")
    assert len(told) == 1


def test_save_open_and_refusals(document: Document, tmp_path: Path) -> None:
    path = tmp_path / "a.bike.toml"
    document.set_value("load", "bike_kg", 190, "Weight")
    document.save(path)
    assert (document.path, document.unsaved) == (path, False)
    document.set_value("load", "bike_kg", 191, "Weight")
    with pytest.raises(BikeFileError):
        document.open(tmp_path / "none")
    assert document.bike.load.bike_kg == 191
    path.write_text("format = 1\n")
    with pytest.raises(ChangedOnDisk):
        document.save(path)
    assert document.unsaved
    document.save(path, over_changed=True)
    document.open(path)
    assert document.bike.load.bike_kg == 191


def test_a_save_that_fails_leaves_the_work_unsaved(document: Document, tmp_path: Path) -> None:
    document.set_value("load", "bike_kg", 190, "Weight")
    with pytest.raises(OSError, match="No such file"):
        document.save(tmp_path / "no" / "a.bike.toml")
    assert document.unsaved
    assert document.path is None
