"""The Customer page: large, live, turned round by one key, pinned sets, and a page to take home."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from gearplan.bike.profile import Bike, Owner
from gearplan.plan.customer.page import Asked, customer
from gearplan.plan.words import Speed
from gearplan.sheet import painter
from gearplan.sheet.customer.content import customer_sheet
from gearplan.window.customer.page import CustomerPage
from gearplan.window.frame.workbench import Workbench


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> CustomerPage:
    window.document.propose(replace(window.document.chosen, front=16), "p")
    window.show_page("Customer")
    qapp.processEvents()
    return window.customer_page


def said(page: CustomerPage) -> str:
    return page.content.accessibleName()


def test_the_page_says_what_plan_says(window: Workbench, page: CustomerPage) -> None:
    cruise = Speed(120.0)
    content = customer(window.document.bike, window.document.chosen, Asked(cruise, cruise))
    assert said(page) == " ".join(sentence.text for sentence in content.sentences)


def test_the_cruising_speed_is_changed_live(window: Workbench, page: CustomerPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.faster, Qt.MouseButton.LeftButton)
    assert "At 125 km/h in top gear" in said(page)
    qtbot.mouseClick(page.slower, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(page.slower, Qt.MouseButton.LeftButton)
    assert "At 115 km/h in top gear" in said(page)
    page.cruise.setFocus()
    page.cruise.selectAll()
    qtbot.keyClicks(page.cruise, "132")
    assert "At 132 km/h in top gear" in said(page)
    qtbot.mouseClick(page.slower, Qt.MouseButton.LeftButton)
    assert "At 130 km/h in top gear" in said(page)
    for _ in range(40):
        qtbot.mouseClick(page.slower, Qt.MouseButton.LeftButton)
    assert page.asked.cruise.value == 5


def test_the_gear_and_speed_of_the_pull(page: CustomerPage, qtbot: QtBot) -> None:
    page.pull_at.setFocus()
    qtbot.keyClicks(page.pull_at, "60")
    page.gear.setFocus()
    for _ in range(4):
        qtbot.keyClick(page.gear, Qt.Key.Key_Down)
    assert "In 4th gear at 60 km/h it pulls" in said(page)
    page.pull_at.setFocus()
    page.pull_at.selectAll()
    qtbot.keyClick(page.pull_at, Qt.Key.Key_Delete)
    assert "In 4th gear at 120 km/h it pulls" in said(page)


def test_one_key_turns_the_screen_round_and_back(window: Workbench, page: CustomerPage, qtbot: QtBot) -> None:
    window.show_page("Speed")
    qtbot.keyClick(window, Qt.Key.Key_F11)
    assert window.isFullScreen()
    assert window.stack.currentWidget() is page
    for part in (window.menuBar(), window.bar, window.rail, *page.work):
        assert not part.isVisible()
    for part in (page.content, page.slower, page.faster, page.full_screen):
        assert part.isVisible()
    assert page.faster.height() >= 60
    qtbot.mouseClick(page.faster, Qt.MouseButton.LeftButton)
    assert "At 125 km/h" in said(page)
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    assert not window.isFullScreen()
    for part in (window.menuBar(), window.bar, window.rail, *page.work):
        assert part.isVisible()
    qtbot.mouseClick(page.full_screen, Qt.MouseButton.LeftButton)
    assert window.isFullScreen()
    qtbot.keyClick(window, Qt.Key.Key_F11)
    assert not window.isFullScreen()


def test_up_to_four_sets_are_pinned_and_named(
    window: Workbench, page: CustomerPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not page.pins.isVisible()
    for rear in (46, 45, 44, 43, 42):
        window.document.propose(replace(window.document.chosen, rear=rear), "p")
        if page.pin.isEnabled():
            qtbot.mouseClick(page.pin, Qt.MouseButton.LeftButton)
    assert [card.set.rear for card in page.pins.cards] == [46, 45, 44, 43]
    assert not page.pin.isEnabled()
    first = page.pins.cards[0]
    first.name.setFocus()
    first.name.selectAll()
    qtbot.keyClicks(first.name, "Touring")
    assert window.document.bike.proposals[0].name == "Touring"
    qtbot.mouseClick(first.propose, Qt.MouseButton.LeftButton)
    assert window.document.chosen.rear == 46
    rows = page.content._rows
    assert [(row.name, row.proposed) for row in rows] == [
        ("Touring", True), ("Set B", False), ("Set C", False), ("Set D", False),
    ]  # fmt: skip
    assert [row.content.proposed for row in rows] == [card.set for card in page.pins.cards]
    before = rows[0].content.pictures[1].after_words
    qtbot.mouseClick(page.faster, Qt.MouseButton.LeftButton)
    assert page.content._rows[0].content.pictures[1].after_words != before
    # What is not pinned stands below, as long as it is not what is fitted.
    window.document.propose(replace(window.document.chosen, rear=49), "p")
    assert [(row.name, row.proposed) for row in page.content._rows][-1] == ("", True)
    assert not any(card.propose.isChecked() for card in page.pins.cards)
    qtbot.mouseClick(first.propose, Qt.MouseButton.LeftButton)
    page.show_full_screen(True)
    assert [widget.isVisibleTo(page) for widget in (first.propose, first.name, first.away)] == [True, False, False]
    assert (first.propose.text(), first.propose.isChecked()) == ("Touring", True)
    assert first.propose.sizeHint().height() >= 52
    page.show_full_screen(False)
    assert first.name.isVisibleTo(page)
    assert first.propose.text() == "Shown"
    qtbot.mouseClick(page.pins.cards[1].away, Qt.MouseButton.LeftButton)
    assert [card.set.rear for card in page.pins.cards] == [46, 44, 43]
    # They are the bike's, and undone as all else is.
    assert window.document.unsaved
    window.document.undo()
    assert [card.set.rear for card in page.pins.cards] == [46, 45, 44, 43]
    monkeypatch.setattr(QMessageBox, "question", lambda *_a: QMessageBox.StandardButton.Discard)
    window.files.open_demo("Corvid 1000")
    assert page.pins.cards == []


def test_the_page_is_printed_and_copied_by_keys(
    window: Workbench, page: CustomerPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "printed.pdf"

    def agree(dialog: QPrintDialog) -> int:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(target))
        return int(QPrintDialog.DialogCode.Accepted.value)

    monkeypatch.setattr(QPrintDialog, "exec", agree)
    owned = replace(window.document.bike, owner=Owner("Ada Thornbury", None, "XQ 4711"))
    window.document.edit("Owner", owned)
    window.remembered.keep(lambda now: replace(now, owner_on_paper=True))
    page.print_it.setFocus()
    qtbot.keyClick(page.print_it, Qt.Key.Key_Space)
    text = " ".join(pypdf.PdfReader(target).pages[0].extract_text().split())
    assert "To buy: a front sprocket with 16 teeth." in text
    assert "Ada Thornbury" in text
    QApplication.clipboard().clear()
    page.copy.setFocus()
    qtbot.keyClick(page.copy, Qt.Key.Key_Space)
    image = QApplication.clipboard().image()
    sheet = customer_sheet(owned, window.document.chosen, page.asked, date.today())
    # Nothing private is in a picture.
    assert image == painter.customer_image(sheet)
    assert "clipboard" in window.message.text.text()
    window.remembered.keep(lambda now: replace(now, shop_logo=str(tmp_path / "gone.png")))
    qtbot.keyClick(page.copy, Qt.Key.Key_Space)
    assert window.message.text.text().startswith("Nothing copied: ")
    assert "gone.png" in window.message.text.text()


def test_the_page_to_take_home(
    window: Workbench, page: CustomerPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "page.pdf"

    window.remembered.keep(lambda now: replace(now, shop_name="Tillwater Motorcycles", paper="Letter"))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    page.take_home.setFocus()
    qtbot.keyClick(page.take_home, Qt.Key.Key_Return)
    text = " ".join(pypdf.PdfReader(target).pages[0].extract_text().split())
    assert "Tillwater Motorcycles" in text
    assert "To buy: a front sprocket with 16 teeth." in text
    assert float(pypdf.PdfReader(target).pages[0].mediabox.width) == 612
    assert str(target) in window.message.text.text()


def test_a_logo_that_is_not_there_is_said(
    window: Workbench, page: CustomerPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.remembered.keep(lambda now: replace(now, shop_logo=str(tmp_path / "none.png")))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "p.pdf"), ""))
    qtbot.mouseClick(page.take_home, Qt.MouseButton.LeftButton)
    assert "none.png" in window.message.text.text()
    assert not (tmp_path / "p.pdf").exists()


def test_miles_an_hour(window: Workbench, page: CustomerPage, qtbot: QtBot) -> None:
    window.view.set_speed_unit("mph")
    assert "At 75 mph in top gear" in said(page)
    qtbot.mouseClick(page.faster, Qt.MouseButton.LeftButton)
    assert "At 80 mph in top gear" in said(page)


def test_an_empty_bike_is_shown(window: Workbench, page: CustomerPage, qapp: QApplication) -> None:
    window.document.edit("x", Bike())
    qapp.processEvents()
    assert "To be checked first: " in said(page)
    assert "and the motorcycle's data, which are not complete." in said(page)
    assert not page.grab().isNull()


def test_a_name_without_ending_gets_it_and_replaces_nothing_unasked(
    window: Workbench, page: CustomerPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "page"), ""))
    page.take_home.click()
    assert [path.name for path in tmp_path.iterdir()] == ["page.pdf"]
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
    (tmp_path / "page.pdf").write_bytes(b"another")
    monkeypatch.setattr(window.files, "confirmed", lambda _text: False)
    page.take_home.click()
    assert (tmp_path / "page.pdf").read_bytes() == b"another"
