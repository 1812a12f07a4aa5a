"""The short form of the campaign: each reader with some inputs that are almost right. Its long form is
`python -m tests.robustness.campaign 100000`."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import qInstallMessageHandler
from PySide6.QtWidgets import QApplication

from tests.robustness.campaign.readers import Reader, readers
from tests.robustness.campaign.trying import Tally, attempt, run


def test_no_reader_answers_with_anything_but_words(qapp: QApplication, tmp_path: Path) -> None:
    # What Qt says of a broken picture is the point of it.
    before = qInstallMessageHandler(lambda *_: None)
    try:
        found = {reader.name: run(reader, 15, 7, tmp_path) for reader in readers()}
    finally:
        qInstallMessageHandler(before)
    assert {name: list(tally.finds) for name, tally in found.items() if tally.faults} == {}
    assert all(tally.inputs == 15 for tally in found.values())
    # They are not all refused at the door, and not all taken.
    assert 0.2 < sum(tally.refused for tally in found.values()) / (15 * len(found)) < 0.8


def test_a_fault_is_noted_and_a_refusal_is_not(tmp_path: Path) -> None:
    def strict(path: Path) -> None:
        if b"!" in path.read_bytes():
            raise ValueError("no")
        raise KeyError("x" * 400)

    tally, reader = Tally(), Reader("strict", ((".txt", "a"),), strict, (ValueError,))
    attempt(reader, ".txt", b"!", tmp_path, tally)
    assert (tally.inputs, tally.refused, tally.faults) == (1, 1, 0)
    attempt(reader, ".txt", b"", tmp_path, tally)
    assert (tally.refused, tally.faults) == (1, 1)
