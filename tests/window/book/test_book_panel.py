"""The book in the window: written down, found again, kept on disk; nothing entered is lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bookfile import read_book
from gearplan.window.book.panel import BookPanel
from gearplan.window.frame.workbench import Workbench

BOOK = """\
# ours
format = 1

[[entry]]
day = 2025-06-08
circuit = "Heronfleet"
temperature_c = 24
track = "dry"
front = 15
rear = 44
lap_s = "1:28.30"

[[entry]]
day = 2025-09-01
circuit = "Heronfleet"
lap_s = 0
"""


@pytest.fixture
def book(window: Workbench, tmp_path: Path, qapp: QApplication) -> BookPanel:
    (tmp_path / "own.book.toml").write_text(BOOK, encoding="utf-8")
    window.document.save(tmp_path / "own.bike.toml")
    window.circuits.open_demo("Heronfleet")
    window.show_page("Circuit")
    page = window.circuit_page
    page.tabs.setCurrentIndex([page.tabs.tabText(k) for k in range(page.tabs.count())].index("Book"))
    qapp.processEvents()
    return page.book


def press(qtbot: QtBot, book: BookPanel, name: str) -> None:
    qtbot.mouseClick(book.buttons[name], Qt.MouseButton.LeftButton)


def pick(qtbot: QtBot, book: BookPanel, row: int) -> None:
    at = book.table.visualRect(book.table.model().index(row, 0)).center()
    qtbot.mouseClick(book.table.viewport(), Qt.MouseButton.LeftButton, pos=at)


def cells(book: BookPanel, column: int) -> list[str]:
    model = book.table.model()
    return [str(model.index(row, column).data()) for row in range(model.rowCount())]


def test_outings_are_found_and_the_nearest_is_named(qtbot: QtBot, book: BookPanel) -> None:
    assert cells(book, 2) == ["no gearing", "15/44"]
    assert ": 2025-06-08, 15/44, 1:28.30, 24 °C, dry." in book.words.text()
    assert "0 is no lap" in book.lacks.text()
    qtbot.keyClicks(book.search, "here 23 °C dry")
    assert cells(book, 0) == ["2025-06-08"]
    pick(qtbot, book, 0)
    press(qtbot, book, "Propose its set")


def test_the_ranking_says_how_the_nearest_set_does_today(qtbot: QtBot, window: Workbench, book: BookPanel) -> None:
    ranker = window.circuit_page.ranker
    qtbot.waitUntil(lambda: ranker.tied is not None)
    assert "Its 15/44 comes to " in book.words.text()
    assert " today" in book.words.text()


def test_an_outing_is_proposed(qtbot: QtBot, window: Workbench, book: BookPanel) -> None:
    pick(qtbot, book, 1)
    assert book.buttons["Propose its set"].isEnabled()
    press(qtbot, book, "Propose its set")
    assert (window.document.chosen.front, window.document.chosen.rear) == (15, 44)
    pick(qtbot, book, 0)
    assert not book.buttons["Propose its set"].isEnabled()
    assert "no advice can start from it" in book.lacks.text()


def test_today_is_written_down_at_once_and_can_be_taken_back(
    qtbot: QtBot, window: Workbench, book: BookPanel, tmp_path: Path
) -> None:
    press(qtbot, book, "Write down today")
    lap, rider = book.form.fields["lap_s"], book.form.fields["rider"]
    qtbot.keyClicks(rider, "Jo")
    qtbot.keyClicks(lap, "1:27,9")
    qtbot.keyClicks(book.form.notes, "tail wind")
    qtbot.keyClick(book.form.notes, Qt.Key.Key_Return)
    qtbot.keyClicks(book.form.notes, "hot")
    path = tmp_path / "own.book.toml"
    qtbot.waitUntil(lambda: "hot" in path.read_text(encoding="utf-8"))
    entry = read_book(path).entries[-1]
    on = window.document.bike.final_drive
    assert (entry.day, entry.circuit, entry.front, entry.rear) == (date.today(), "Heronfleet", on.front, on.rear)
    assert (entry.rider, entry.lap_s, entry.notes) == ("Jo", 87.9, "tail wind\nhot")
    assert path.read_text(encoding="utf-8").startswith(BOOK)
    press(qtbot, book, "Take out")
    assert len(book.keeper.book.entries) == 2
    press(qtbot, book, "Take back")
    assert book.keeper.book.entries[-1] == entry
    assert book.may_leave()
    assert read_book(path).entries[-1] == entry


def test_a_lap_of_nought_is_said_and_what_was_typed_stays(qtbot: QtBot, book: BookPanel) -> None:
    press(qtbot, book, "Write down today")
    field = book.form.fields["lap_s"]
    qtbot.keyClicks(field, "0")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.text() == "0"
    assert field.problem
    assert book.keeper.book.entries[-1].lap_s is None


def test_a_broken_book_is_said_and_never_written(qtbot: QtBot, book: BookPanel, tmp_path: Path) -> None:
    path = tmp_path / "own.book.toml"
    path.write_text("format = 1\n[[entry", encoding="utf-8")
    book.refresh()
    assert "not a readable book file" in book.words.text()
    assert not book.buttons["Write down today"].isEnabled()
    assert book.may_leave()
    assert path.read_text(encoding="utf-8") == "format = 1\n[[entry"


def test_what_another_hand_wrote_meanwhile_is_kept_beside_what_is_written_here(
    qtbot: QtBot, book: BookPanel, tmp_path: Path
) -> None:
    path = tmp_path / "own.book.toml"
    press(qtbot, book, "Write down today")
    path.write_text(BOOK.replace("# ours", "# ours\n# by hand").replace("24", "26"), encoding="utf-8")
    with qtbot.waitSignal(book.told) as told:
        assert book.keeper.write()
    assert "both are kept" in told.args[0]
    entries = read_book(path).entries
    assert (len(entries), entries[0].temperature_c, entries[-1].day) == (3, 26, date.today())
    assert "# by hand" in path.read_text(encoding="utf-8")


def test_the_entry_at_hand_stays_at_hand_where_another_hand_has_put_one_before_it(
    qtbot: QtBot, book: BookPanel, tmp_path: Path
) -> None:
    path = tmp_path / "own.book.toml"
    press(qtbot, book, "Write down today")
    qtbot.keyClicks(book.form.fields["rider"], "Jo")
    path.write_text(BOOK + '\n[[entry]]\ncircuit = "Heronfleet"\nrider = "Al"\n', encoding="utf-8")
    assert book.keeper.write()
    qtbot.keyClicks(book.form.fields["session"], "2")
    assert book.keeper.write()
    assert [entry.rider for entry in read_book(path).entries] == ["", "", "Al", "Jo"]
    assert read_book(path).entries[-1].session == "2"


def test_a_book_that_another_hand_broke_is_not_written_over(qtbot: QtBot, book: BookPanel, tmp_path: Path) -> None:
    path = tmp_path / "own.book.toml"
    press(qtbot, book, "Write down today")
    path.write_text("[[entry", encoding="utf-8")
    with qtbot.waitSignal(book.told) as told:
        assert not book.keeper.write()
    assert "It is still here." in told.args[0]
    assert book.keeper.unwritten
    assert path.read_text(encoding="utf-8") == "[[entry"


def test_what_is_proposed_is_written_down_as_ridden(qtbot: QtBot, window: Workbench, book: BookPanel) -> None:
    window.document.propose(replace(window.document.chosen, rear=41), "p")
    with qtbot.waitSignal(book.told) as told:
        press(qtbot, book, "Write down today")
    assert book.keeper.book.entries[-1].rear == 41
    assert "/41" in told.args[0]


def test_a_bike_without_a_file_asks_to_be_saved_first(window: Workbench, qapp: QApplication) -> None:
    window.show_page("Circuit")
    page = window.circuit_page
    page.tabs.setCurrentIndex([page.tabs.tabText(k) for k in range(page.tabs.count())].index("Book"))
    qapp.processEvents()
    assert "Save the bike" in page.book.words.text()
    assert page.book.buttons["Save the bike first…"].isVisible()
    assert not page.book.buttons["Write down today"].isEnabled()


def test_sheet_and_board_are_drawn_into_files_and_printed(
    qtbot: QtBot, book: BookPanel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, button in (("s.pdf", "Session sheet…"), ("b.pdf", "Pit board…")):
        target = tmp_path / name
        monkeypatch.setattr(
            "gearplan.window.frame.opening.files.QFileDialog.getSaveFileName", lambda *_, at=target: (str(at), "")
        )
        press(qtbot, book, button)
        assert target.read_bytes().startswith(b"%PDF")
    for name, button in (("ps.pdf", "Print the sheet…"), ("pb.pdf", "Print the board…")):
        target = tmp_path / name

        def agree(dialog: QPrintDialog, at: Path = target) -> int:
            dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
            dialog.printer().setOutputFileName(str(at))
            return int(QPrintDialog.DialogCode.Accepted.value)

        monkeypatch.setattr(QPrintDialog, "exec", agree)
        press(qtbot, book, button)
        assert target.read_bytes().startswith(b"%PDF")
